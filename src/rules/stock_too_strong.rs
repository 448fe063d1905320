//! # What it finds
//!
//! A stock with more lye in it than stays dissolved at 20 °C.
//!
//! # Why it matters
//!
//! It is kept at room temperature for days. The rest settles as crystals, and then nobody knows how strong the liquid
//! poured from the jug is: too weak above, far too strong below.
//!
//! # Example
//!
//! `stock = { lye-concentration = 60 }`
//!
//! # Source
//!
//! `strongest-solution-percent` in `alkalis.toml`, with its source.

use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::tables::Tables;

pub(super) fn check(ledger: &Ledger, tables: &Tables, findings: &mut Vec<Finding>) {
    let (Some(stock), Some(alkali)) = (&ledger.batch.stock, ledger.batch.alkalis.first()) else { return };
    let strongest = tables.alkali(alkali.kind).strongest_solution_percent;
    if stock.pure_percent > strongest * (1.0 + 1e-9) {
        let (place, formula) = (ledger.recipe.places.stock.clone(), alkali.kind.formula());
        let (percent, scale) = (stock.pure_percent, ledger.scales.temperature);
        findings.push(Finding::stock_too_strong(place, formula, percent, strongest, scale));
    }
}
