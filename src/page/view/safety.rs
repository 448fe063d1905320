//! The cautions as a block; their wording is in `page/cautions.rs`.
//!
//! Layer 6.

use serde::Serialize;

use super::super::cautions::Caution;

/// The cautions.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct SafetyView {
    pub(crate) title: String,
    pub(crate) cautions: Vec<Caution>,
}

/// The cautions as a block.
pub(crate) fn safety_view(cautions: Vec<Caution>, title: String) -> SafetyView {
    SafetyView { title, cautions }
}
