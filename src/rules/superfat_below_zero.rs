//! # What it finds
//!
//! More alkali than the fats can take: by the recipe, or by the amounts as printed. An exercise that asks for the lye at which
//! nothing is left, `with = { superfat = 0 }`, may be printed half a percent below it, by rounding alone.
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
    } else if lowest_printed < 0.0 && !rounds_to_zero(lowest_printed) && !is_asked_for(ledger, lowest_printed) {
        findings.push(Finding::printed_superfat_below_zero(place.clone(), lowest_printed));
    }
}

/// How far below nothing an exercise may be printed whose `with` says `superfat = 0`, percent: what a scale makes of the fats of
/// a batch that is not too small for it. Our choice.
const MOST_BY_ROUNDING_PERCENT: f64 = 0.5;

/// Whether an exercise asks at which amounts nothing is left over. The lye is rounded down there too, so it is the fats as
/// printed that are a hair too few, in one unit or another, by chance. Nobody makes it, and its block says so.
fn is_asked_for(ledger: &Ledger, printed_percent: f64) -> bool {
    ledger.leaves_nothing_on_paper && printed_percent >= -MOST_BY_ROUNDING_PERCENT
}

/// A superfat of exactly 0 % may come out a hair below it in binary fractions.
pub(super) fn rounds_to_zero(percent: f64) -> bool {
    percent.abs() < 1e-6
}
