//! # What it finds
//!
//! A layer given by thickness whose own additives alone would be thicker than that.
//!
//! # Why it matters
//!
//! There would be no batter in it at all, and none of its figures could be right.
//!
//! # Example
//!
//! `thickness = "1 mm"` with 60 g of clay in a loaf mould
//!
//! # Source
//!
//! Volumes as in `batch/scaling.rs`.

use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::tables::Tables;

pub(super) fn check(ledger: &Ledger, _: &Tables, findings: &mut Vec<Finding>) {
    for (layer, amount) in ledger.recipe.layers.iter().zip(&ledger.batch.layers) {
        if amount.has_no_room {
            findings.push(Finding::additives_over_layer(layer.size_place.clone(), &layer.name));
        }
    }
}
