//! # What it finds
//!
//! An additive that a spoon can measure but that the scale would show as nothing.
//!
//! # Why it matters
//!
//! The card says "under 1 g" beside the spoons, and whoever trusts the scale leaves it out.
//!
//! # Example
//!
//! `rate = "0.4 g"` of a clay, on a scale that shows whole grams and no finer one for small amounts
//!
//! # Source
//!
//! Follows from the scale stated in book.toml, and the finer one for small amounts beside it.

use super::amount_below_scale::has_spoons;
use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::show::division;
use crate::tables::Tables;

pub(super) fn check(ledger: &Ledger, _: &Tables, findings: &mut Vec<Finding>) {
    for scale in ledger.shown().map(|it| it.scale) {
        let reads_nothing = ledger.figures().iter().filter(|it| it.amount.reading(scale.unit) == Some(0));
        for figure in reads_nothing.filter(|it| it.goes_into.is_some() && has_spoons(ledger, it)) {
            let name = figure.name.as_deref().unwrap_or_default();
            let division = division(scale.small()).replace('\u{a0}', " ");
            findings.push(Finding::additive_below_scale(figure.place.clone(), name, &division));
        }
    }
}
