//! # What it finds
//!
//! A page that shows amounts of lye and has no `kettle safety` block before them. The cautions are then put in front of the
//! first thing that shows lye.
//!
//! # Why it matters
//!
//! Cautions are read when they are where the hand is on the jug; only the author of a page knows where that is.
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

/// Looks at a page: the first thing that shows lye, and where the author has placed the first cautions.
#[must_use]
pub fn check(first_lye: &Place, first_safety: Option<usize>) -> Option<Finding> {
    match first_safety {
        Some(offset) if offset <= first_lye.span.start => None,
        safety => Some(Finding::no_cautions(first_lye.clone(), safety.is_some())),
    }
}
