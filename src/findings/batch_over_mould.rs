//! # What it finds
//!
//! A batch of a given mass that is more than the mould it is poured into holds, or much less.
//!
//! # Why it matters
//!
//! Batter that runs over is caustic and on the bench; and a mould half full gives bars half as high as the lesson says.
//!
//! # Example
//!
//! `batch = "2 kg"` with `into = "loaf-bench"`, which holds half of it
//!
//! # Source
//!
//! Volumes as in `batch/scaling.rs`; `mould-fill-percent` in `limits.toml`, common practice.

use super::Subject;
use crate::finding::Finding;

pub(super) fn check(subject: &Subject<'_>, findings: &mut Vec<Finding>) {
    let (Some(mould), Some(filled)) = (&subject.recipe.into, subject.batch.filled_height) else { return };
    let (filled, full) = (filled.to_millimetres(), mould.fill_height.to_millimetres());
    let percent = filled / full * 100.0;
    let (low, high) = subject.tables.limits.mould_fill_percent;
    let place = subject.recipe.places.into.clone();
    if percent > high {
        findings.push(Finding::batch_over_mould(place, &mould.name, filled, full));
    } else if percent < low {
        findings.push(Finding::batch_under_mould(place, &mould.name, filled, full));
    }
}
