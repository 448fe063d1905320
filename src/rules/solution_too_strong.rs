//! # What it finds
//!
//! A lye solution with more lye in it than dissolves at 20 °C.
//!
//! # Why it matters
//!
//! The rest stays solid or crystallises as the lye solution cools, and ends up as caustic grains in the bar.
//!
//! # Example
//!
//! `water = { lye-concentration = 60 }`
//!
//! # Source
//!
//! `strongest-solution-percent` in `alkalis.toml`, with its source. With two alkalis, the one that dissolves less
//! decides.

use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::tables::{AlkaliKind, Tables};

pub(super) fn check(ledger: &Ledger, tables: &Tables, findings: &mut Vec<Finding>) {
    if let Some((alkali, strongest)) = exceeded(ledger, tables) {
        let place = ledger.recipe.places.water.clone();
        let percent = ledger.batch.pure_concentration_percent;
        findings.push(Finding::solution_too_strong(
            place,
            alkali.formula(),
            percent,
            strongest,
            ledger.scales.temperature,
        ));
    }
}

/// The alkali whose strongest solution the lye exceeds, and its strength in percent.
pub(super) fn exceeded(ledger: &Ledger, tables: &Tables) -> Option<(AlkaliKind, f64)> {
    let alkalis = ledger.batch.alkalis.iter().map(|it| tables.alkali(it.kind));
    let weakest = alkalis.min_by(|a, b| a.strongest_solution_percent.total_cmp(&b.strongest_solution_percent))?;
    let strongest = weakest.strongest_solution_percent;
    // A concentration typed as exactly the limit may come back a hair above it.
    let is_exceeded = ledger.batch.pure_concentration_percent > strongest * (1.0 + 1e-9);
    is_exceeded.then_some((weakest.kind, strongest))
}
