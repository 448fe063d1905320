//! # What it finds
//!
//! A layer so thin that, weighed as printed, it gets more lye than its fats can take, though the batch does not.
//!
//! # Why it matters
//!
//! Fats and lye are each rounded to the scale. In a thin layer half a division is much, and it may be half a division too
//! little of the one and too much of the other: that layer burns.
//!
//! # Example
//!
//! `batch = "850 g"` on a scale that shows whole grams, with a layer of one part in a hundred
//!
//! # Source
//!
//! Follows from the rounding and the definition of the saponification value (ISO 3657).

use super::superfat_below_zero::rounds_to_zero;
use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::tables::Tables;

pub(super) fn check(ledger: &Ledger, _: &Tables, findings: &mut Vec<Finding>) {
    for (layer_idx, layer) in ledger.recipe.layers.iter().enumerate() {
        let printed = ledger.shown().filter(|it| it.superfat_percent >= 0.0);
        let lowest = printed.filter_map(|it| it.layer_superfat_percent(layer_idx)).min_by(f64::total_cmp);
        if let Some(lowest) = lowest
            && lowest < 0.0
            && !rounds_to_zero(lowest)
        {
            findings.push(Finding::layer_superfat_below_zero(layer.size_place.clone(), &layer.name, lowest));
        }
    }
}
