//! # What it finds
//!
//! Acid, salt or sugar that is to be dissolved before the lye comes in, where the stock contains nearly all of the
//! water.
//!
//! # Why it matters
//!
//! They would have to go into the strong stock itself: an acid in it boils and spits, and salt and sugar do not dissolve.
//!
//! # Example
//!
//! `stock = { lye-concentration = 35 }` with `water = { lye-concentration = 33 }` and 2 % of citric acid
//!
//! # Source
//!
//! Common practice: at least as much water, besides the stock, as there is to dissolve in it.

use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::tables::Tables;
use crate::units::Mass;

pub(super) fn check(ledger: &Ledger, _: &Tables, findings: &mut Vec<Finding>) {
    let batch = &ledger.batch;
    let Some(stock) = &batch.stock else { return };
    let acids: Mass = batch.acids.iter().map(|it| it.pure).sum();
    let solids = (acids + batch.extras_in_lye()).to_grams();
    let water = (batch.water - stock.water).to_grams();
    // A stock that brings more water than there is has an error of its own.
    if !stock.brings_too_much_water(batch.plain_water) && solids > water * (1.0 + 1e-9) {
        let place = ledger.recipe.places.stock.clone();
        findings.push(Finding::stock_leaves_no_water(place, [solids, water], ledger.scales.units));
    }
}
