//! # What it finds
//!
//! A mould so large or so small that its batch is beyond what is computed: a tonne, or a milligram.
//!
//! # Why it matters
//!
//! A dimension typed in the wrong unit leads to such a batch. A recipe that states such a mass is refused in the same
//! words.
//!
//! # Example
//!
//! a mould of 10 m by 10 m, filled 10 m deep
//!
//! # Source
//!
//! The bounds of the calculator (`MASS_LIMITS_GRAMS`).

use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::recipe::{BatchSize, MASS_LIMITS_GRAMS};
use crate::tables::Tables;

pub(super) fn check(ledger: &Ledger, _: &Tables, findings: &mut Vec<Finding>) {
    let grams = ledger.batch.total_fats.to_grams();
    let (low, high) = MASS_LIMITS_GRAMS;
    // The least is what is computed when additives of a fixed mass leave no room; the scale then shows nothing.
    if matches!(ledger.recipe.size, BatchSize::Mould(_)) && !(low..=high).contains(&grams) {
        findings.push(Finding::mass_out_of_range(ledger.recipe.places.size.clone(), "the batch of this mould", grams));
    }
}
