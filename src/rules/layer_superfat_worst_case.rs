//! # What it finds
//!
//! A layer whose superfat could fall below zero though the batch's could not: everything in the batch at its worst, and the
//! layer's fats and its lye solution each weighed half a division off the unlucky way.
//!
//! # Why it matters
//!
//! A layer that is blended on its own is a batch of its own. The thinner it is, the more half a division is of it.
//!
//! # Example
//!
//! `batch = "850 g"` on a scale that shows whole grams, with a layer of one part in a hundred
//!
//! # Source
//!
//! `batch/weighing.rs` and `batch/uncertainty.rs`; ranges from the tables.

use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::tables::Tables;

pub(super) fn check(ledger: &Ledger, _: &Tables, findings: &mut Vec<Finding>) {
    // A batch that may itself fall below zero is told as a whole.
    if ledger.shown().any(|it| ledger.certainty(it.scale.unit).worst_percent < 0.0) {
        return;
    }
    for (layer_idx, layer) in ledger.recipe.layers.iter().enumerate() {
        let worst = ledger.shown().filter_map(|it| ledger.layer_worst_percent(layer_idx, it.scale.unit));
        if let Some(worst) = worst.min_by(f64::total_cmp).filter(|it| *it < 0.0) {
            let place = layer.size_place.clone();
            findings.push(Finding::layer_superfat_worst_case_below_zero(place, &layer.name, layer_idx, worst));
        }
    }
}
