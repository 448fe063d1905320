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

pub(super) fn check(subject: &Subject<'_>, findings: &mut Vec<Finding>) {
    let alkalis = subject.batch.alkalis.iter().map(|it| subject.tables.alkali(it.kind));
    let Some(weakest) = alkalis.min_by(|a, b| a.strongest_solution_percent.total_cmp(&b.strongest_solution_percent))
    else {
        return;
    };
    let percent = subject.batch.pure_concentration_percent;
    if percent > weakest.strongest_solution_percent {
        findings.push(Finding::solution_too_strong(
            subject.recipe.places.water.clone(),
            weakest.kind.formula(),
            percent,
            weakest.strongest_solution_percent,
        ));
    }
}
