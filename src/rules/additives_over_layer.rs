//! # What it finds
//!
//! A layer by thickness whose own additives are thicker than it is to be.
//!
//! # Why it matters
//!
//! There would be no batter in it at all, and no number of it could be right.
//!
//! # Example
//!
//! `thickness = "1 mm"` with 60 g of clay in a loaf mould
//!
//! # Source
//!
//! Volumes as in `batch/scaling.rs`.

use super::Subject;
use crate::finding::Finding;

pub(super) fn check(subject: &Subject<'_>, findings: &mut Vec<Finding>) {
    for (layer, amount) in subject.recipe.layers.iter().zip(&subject.batch.layers) {
        if amount.has_no_room {
            findings.push(Finding::additives_over_layer(layer.size_place.clone(), &layer.name));
        }
    }
}
