//! # What it finds
//!
//! More alkali than the fats can take: by the recipe, or by the amounts as printed.
//!
//! # Why it matters
//!
//! The alkali left over stays in the bar and burns skin. No reason can excuse it, so it is an error.
//!
//! # Example
//!
//! `superfat = -2`
//!
//! # Source
//!
//! Follows from the definition of the saponification value (ISO 3657).

use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::tables::Tables;

pub(super) fn check(ledger: &Ledger, tables: &Tables, findings: &mut Vec<Finding>) {
    let place = &ledger.recipe.places.superfat;
    let by_recipe = ledger.recipe.superfat_percent;
    let lowest_printed = ledger.shown().map(|it| it.superfat_percent).fold(f64::INFINITY, f64::min);
    if by_recipe < 0.0 {
        findings.push(Finding::superfat_below_zero(place.clone(), by_recipe, tables.limits.usual_superfat_percent));
    } else if lowest_printed < 0.0 && !rounds_to_zero(lowest_printed) {
        findings.push(Finding::printed_superfat_below_zero(place.clone(), lowest_printed));
    }
}

/// A superfat of exactly 0 % may come out a hair below it in binary fractions.
pub(super) fn rounds_to_zero(percent: f64) -> bool {
    percent.abs() < 1e-6
}
