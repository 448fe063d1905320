//! # What it finds
//!
//! A batch of a given mass that is more than the mould it is poured into holds.
//!
//! # Why it matters
//!
//! What overflows is caustic, and it is on the bench.
//!
//! # Example
//!
//! `batch = "2 kg"` with `into = "loaf-1kg"`, which holds half of it
//!
//! # Source
//!
//! Volumes as in `batch/scaling.rs`; the high end of `mould-fill-percent` in `limits.toml`, common practice.

use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::tables::{Mould, Tables};

pub(super) fn check(ledger: &Ledger, tables: &Tables, findings: &mut Vec<Finding>) {
    let Some((mould, filled, percent)) = filled(ledger) else { return };
    if percent > tables.limits.mould_fill_percent.1 {
        let place = ledger.recipe.places.into.clone();
        findings.push(Finding::batch_over_mould(
            place,
            &mould.name,
            filled,
            mould.fill_height.to_millimetres(),
            ledger.scales.units,
        ));
    }
}

/// The mould that the batch is poured into, how deep it lies there in millimetres, and in percent of the fill height.
pub(super) fn filled(ledger: &Ledger) -> Option<(&Mould, f64, f64)> {
    let mould = ledger.recipe.into.as_ref()?;
    let filled = ledger.batch.filled_height?.to_millimetres();
    Some((mould, filled, filled / mould.fill_height.to_millimetres() * 100.0))
}
