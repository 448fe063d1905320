//! The cautions as a block; their wording is in `page/cautions.rs`.
//!
//! Layer 5.

use serde::Serialize;

use super::super::Caution;

/// The cautions.
#[derive(Clone, Debug, Serialize)]
pub struct SafetyView {
    /// What kind of block it is.
    pub kind: &'static str,
    /// What it warns of, in a few words.
    pub title: String,
    /// The cautions.
    pub cautions: Vec<Caution>,
    /// What comes before anything said here.
    pub closing: &'static str,
}

/// The cautions as a block.
#[must_use]
pub fn safety_view(cautions: Vec<Caution>, title: String) -> SafetyView {
    SafetyView {
        kind: "Cautions",
        title,
        cautions,
        closing: "Before anything said here come the safety data sheets of the products you use, your local rules and \
                  qualified advice. If you give soap away or sell it, local cosmetic law applies.",
    }
}
