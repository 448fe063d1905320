//! # What it finds
//!
//! A recipe sized by a mould whose lye is stronger than the densities known for it.
//!
//! # Why it matters
//!
//! The batch would be a guess, and the mould would run over or stay half empty.
//!
//! # Example
//!
//! `mould = "loaf-1kg"` with `water = { lye-concentration = 51 }`
//!
//! # Source
//!
//! The range of the coefficients in `alkalis.toml`.

use super::Subject;
use crate::finding::Finding;

pub(super) fn check(subject: &Subject<'_>, findings: &mut Vec<Finding>) {
    if subject.batch.density_beyond_range {
        let place = subject.recipe.places.size.clone();
        findings.push(Finding::density_beyond_range(place, subject.batch.pure_concentration_percent));
    }
}
