//! The cautions as a block; their wording is in `page/cautions/`.
//!
//! Layer 6.

use serde::Serialize;

use super::super::cautions::Cautions;

/// The cautions.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct SafetyView {
    pub(crate) title: String,
    #[serde(flatten)]
    pub(crate) cautions: Cautions,
}

/// The cautions as a block.
pub(crate) fn safety_view(cautions: Cautions, title: String) -> SafetyView {
    SafetyView { title, cautions }
}
