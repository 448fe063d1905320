//! # What it finds
//!
//! A lye with more alkali than dissolves at 20 °C.
//!
//! # Why it matters
//!
//! The rest stays solid or crystallises as the lye cools, and ends as caustic grains in the bar.
//!
//! # Example
//!
//! `water = { lye-concentration = 60 }`
//!
//! # Source
//!
//! `strongest-solution-percent` in `alkalis.toml`, with its source. Of two alkalis the one that dissolves less counts.

use super::Subject;
use crate::finding::Finding;
use crate::tables::AlkaliKind;

pub(super) fn check(subject: &Subject<'_>, findings: &mut Vec<Finding>) {
    if let Some((alkali, strongest)) = exceeded(subject) {
        let place = subject.recipe.places.water.clone();
        let percent = subject.batch.pure_concentration_percent;
        findings.push(Finding::solution_too_strong(place, alkali.formula(), percent, strongest));
    }
}

/// The alkali whose strongest solution the lye exceeds, and its strength in percent.
pub(super) fn exceeded(subject: &Subject<'_>) -> Option<(AlkaliKind, f64)> {
    let alkalis = subject.batch.alkalis.iter().map(|it| subject.tables.alkali(it.kind));
    let weakest = alkalis.min_by(|a, b| a.strongest_solution_percent.total_cmp(&b.strongest_solution_percent))?;
    let strongest = weakest.strongest_solution_percent;
    // A concentration typed as exactly the limit may come back a hair above it.
    let is_exceeded = subject.batch.pure_concentration_percent > strongest * (1.0 + 1e-9);
    is_exceeded.then_some((weakest.kind, strongest))
}
