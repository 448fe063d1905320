//! # What it finds
//!
//! A page that shows amounts of lye and has no `kettle safety` block. The cautions are then put in front of the first
//! thing that shows them.
//!
//! # Why it matters
//!
//! Cautions are read when they stand where the hand is on the jug; only the author of a page knows where that is.
//!
//! # Example
//!
//! a page with a `kettle recipe` block and no other
//!
//! # Source
//!
//! Common practice.

use crate::finding::Finding;
use crate::source::Place;

/// Looks at a page: where the first thing stands that shows lye, and whether the author has placed the cautions.
#[must_use]
pub fn check(first_lye: Place, has_safety: bool) -> Option<Finding> {
    (!has_safety).then(|| Finding::no_cautions(first_lye))
}
