//! # What it finds
//!
//! A batch of a given mass that is more than the mould it is poured into holds.
//!
//! # Why it matters
//!
//! What runs over is caustic and on the bench.
//!
//! # Example
//!
//! `batch = "2 kg"` with `into = "loaf-1kg"`, which holds half of it
//!
//! # Source
//!
//! Volumes as in `batch/scaling.rs`; the high end of `mould-fill-percent` in `limits.toml`, common practice.

use super::Subject;
use crate::finding::Finding;
use crate::tables::Mould;

pub(super) fn check(subject: &Subject<'_>, findings: &mut Vec<Finding>) {
    let Some((mould, filled, percent)) = filled(subject) else { return };
    if percent > subject.tables.limits.mould_fill_percent.1 {
        let place = subject.recipe.places.into.clone();
        findings.push(Finding::batch_over_mould(place, &mould.name, filled, mould.fill_height.to_millimetres()));
    }
}

/// The mould that the batch is poured into, how deep it lies there in millimetres, and in percent of the fill height.
pub(super) fn filled<'a>(subject: &Subject<'a>) -> Option<(&'a Mould, f64, f64)> {
    let mould = subject.recipe.into.as_ref()?;
    let filled = subject.batch.filled_height?.to_millimetres();
    Some((mould, filled, filled / mould.fill_height.to_millimetres() * 100.0))
}
