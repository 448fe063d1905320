//! # What it finds
//!
//! A stock that contains more water than the recipe has: the recipe's own lye solution is stronger than the stock, or
//! liquids and acids already provide the water that is in the stock.
//!
//! # Why it matters
//!
//! Weighing less water cannot put it right, and the soap would have a different amount of water from what the card says.
//!
//! # Example
//!
//! `water = { lye-concentration = 33 }` with `stock = { lye-concentration = 30 }`
//!
//! # Source
//!
//! Follows from the definition of a mass fraction.

use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::tables::Tables;

pub(super) fn check(ledger: &Ledger, _: &Tables, findings: &mut Vec<Finding>) {
    let Some(stock) = &ledger.batch.stock else { return };
    if stock.brings_too_much_water(ledger.batch.plain_water) {
        let place = ledger.recipe.places.stock.clone();
        let grams = [stock.mass, stock.water, ledger.batch.plain_water].map(|it| it.to_grams());
        findings.push(Finding::stock_too_weak(place, stock.strength.to_percent(), grams, ledger.scales.units));
    }
}
