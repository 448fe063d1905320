//! # What it finds
//!
//! An alkali whose purity nobody stated.
//!
//! # Why it matters
//!
//! Alkali as sold is not pure, potassium hydroxide least of all; the container says how pure. Counted as pure, the bar
//! gets more superfat than the page says, which is the harmless side.
//!
//! # Example
//!
//! `alkali = "KOH"` without `purity = { KOH = 90 }`
//!
//! # Source
//!
//! Common practice.

use super::Subject;
use crate::finding::Finding;

pub(super) fn check(subject: &Subject<'_>, findings: &mut Vec<Finding>) {
    for alkali in subject.recipe.alkalis.iter().filter(|it| !it.purity_is_stated) {
        let place = subject.recipe.places.alkali.clone();
        findings.push(Finding::purity_not_stated(place, alkali.kind.formula()));
    }
}
