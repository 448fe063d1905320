//! # What it finds
//!
//! A batch of a given mass that leaves much of its mould empty.
//!
//! # Why it matters
//!
//! The bars come out lower than the lesson says, and a thin slab loses its heat before it has set through.
//!
//! # Example
//!
//! `batch = "500 g"` with `into = "loaf-1kg"`
//!
//! # Source
//!
//! Volumes as in `batch/scaling.rs`; the low end of `mould-fill-percent` in `limits.toml`, common practice.

use super::batch_over_mould::filled;
use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::tables::Tables;

pub(super) fn check(ledger: &Ledger, tables: &Tables, findings: &mut Vec<Finding>) {
    let Some((mould, filled, percent)) = filled(ledger) else { return };
    if percent < tables.limits.mould_fill_percent.0 {
        let place = ledger.recipe.places.into.clone();
        findings.push(Finding::batch_under_mould(
            place,
            &mould.name,
            filled,
            mould.fill_height.to_millimetres(),
            ledger.scales.units,
        ));
    }
}
