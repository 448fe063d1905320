//! # What it finds
//!
//! A lye solution weaker or stronger than the trade uses, though it would dissolve.
//!
//! # Why it matters
//!
//! Usually one water convention was mistaken for another: 33 meant as a concentration and written as percent of fats.
//!
//! # Example
//!
//! `water = { lye-concentration = 15 }`
//!
//! # Source
//!
//! Common practice; the limits are `usual-lye-concentration-percent` in `limits.toml`.

use super::solution_too_strong::exceeded;
use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::tables::Tables;

pub(super) fn check(ledger: &Ledger, tables: &Tables, findings: &mut Vec<Finding>) {
    let (low, high) = tables.limits.usual_lye_concentration_percent;
    let percent = ledger.batch.water_conventions.lye_concentration_percent;
    // A concentration typed as exactly the limit may come back a hair beyond it.
    let beyond = percent < low - 1e-6 || percent > high + 1e-6;
    // A solution that cannot exist is an error of its own.
    if beyond && exceeded(ledger, tables).is_none() {
        findings.push(Finding::solution_unusual(ledger.recipe.places.water.clone(), percent, low, high));
    }
}
