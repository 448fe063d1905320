//! # What it finds
//!
//! A recipe sized by a mould whose lye solution is stronger than the densities known for it.
//!
//! # Why it matters
//!
//! The batch would be a guess, and the mould would run over or stay half empty.
//!
//! # Example
//!
//! `mould = "loaf-1kg"` with `water = { lye-concentration = 51 }` and `purity = { NaOH = 100 }`
//!
//! # Source
//!
//! The range of the coefficients in `alkalis.toml`.

use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::tables::Tables;

pub(super) fn check(ledger: &Ledger, _: &Tables, findings: &mut Vec<Finding>) {
    if ledger.batch.density_beyond_range {
        let place = ledger.recipe.places.size.clone();
        findings.push(Finding::density_beyond_range(place, ledger.batch.pure_concentration_percent));
    }
}
