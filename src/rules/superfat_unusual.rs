//! # What it finds
//!
//! A superfat above what the trade uses.
//!
//! # Why it matters
//!
//! It is often a slip of the keyboard (50 for 5), and a bar with that much free fat stays soft and turns rancid.
//!
//! # Example
//!
//! `superfat = 50`
//!
//! # Source
//!
//! Common practice; the limit is `highest-usual-superfat-percent` in `limits.toml`.

use super::Subject;
use crate::finding::Finding;

pub(super) fn check(subject: &Subject<'_>, findings: &mut Vec<Finding>) {
    let highest = subject.tables.limits.highest_usual_superfat_percent;
    if subject.recipe.superfat_percent > highest {
        let place = subject.recipe.places.superfat.clone();
        findings.push(Finding::superfat_unusual(place, subject.recipe.superfat_percent, highest));
    }
}
