//! # What it finds
//!
//! A layer whose superfat could fall below zero though the batch's could not: everything in the batch at its worst, and
//! the layer's fats and its lye solution each weighed half a division off in the wrong direction.
//!
//! # Why it matters
//!
//! A layer that is blended on its own is a batch of its own. The thinner it is, the more half a division matters.
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

/// How much worse than the batch a layer has to be to be told by itself, percentage points: each is always a little worse, for
/// it is weighed once more.
const WORSE_BY_PERCENT: f64 = 1.0;

pub(super) fn check(ledger: &Ledger, _: &Tables, findings: &mut Vec<Finding>) {
    // Of a batch that may itself fall below zero a layer that is no worse is told with the whole.
    let of_batch = ledger.shown().map(|it| ledger.certainty(it.scale.unit).worst_percent);
    let of_batch = of_batch.fold(0.0, f64::min);
    let told_with_the_batch = if of_batch < 0.0 { of_batch - WORSE_BY_PERCENT } else { 0.0 };
    for (layer_idx, layer) in ledger.recipe.layers.iter().enumerate() {
        let worst = ledger.shown().filter_map(|it| ledger.layer_worst_percent(layer_idx, it.scale.unit));
        if let Some(worst) = worst.min_by(f64::total_cmp).filter(|it| *it < told_with_the_batch) {
            let place = layer.size_place.clone();
            findings.push(Finding::layer_superfat_worst_case_below_zero(place, &layer.name, layer_idx, worst));
        }
    }
}
