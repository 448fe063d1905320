//! The cautions as a block; their wording is in `page/cautions.rs`.
//!
//! Layer 6.

use serde::Serialize;

use super::super::cautions::Caution;

/// The cautions.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct SafetyView {
    /// What kind of block it is.
    pub(crate) kind: &'static str,
    /// What it warns of, in a few words.
    pub(crate) title: String,
    /// The cautions.
    pub(crate) cautions: Vec<Caution>,
    /// What comes before anything said here.
    pub(crate) closing: &'static str,
}

/// The cautions as a block.
pub(crate) fn safety_view(cautions: Vec<Caution>, title: String) -> SafetyView {
    SafetyView {
        kind: "Cautions",
        title,
        cautions,
        closing: "Before anything said here come the safety data sheets of the products you use, your local rules and \
                  qualified advice. If you give soap away or sell it, local cosmetic law applies.",
    }
}
