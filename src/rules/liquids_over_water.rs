//! # What it finds
//!
//! Liquids and acids that contain more water than the recipe has.
//!
//! # Why it matters
//!
//! They cannot all take the place of water, and the lye solution would be weaker than the page says.
//!
//! # Example
//!
//! `item = "tea"` with `rate = "300 g"`, in a batch of 1 kg of fats with `water = { lye-concentration = 33 }`
//!
//! # Source
//!
//! Arithmetic.

use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::tables::Tables;

pub(super) fn check(ledger: &Ledger, _: &Tables, findings: &mut Vec<Finding>) {
    let (others, water) = (ledger.batch.water_in_others.to_grams(), ledger.batch.water.to_grams());
    // Exactly all of the water may come out a hair over it.
    if others > water * (1.0 + 1e-9) {
        let places = &ledger.recipe.places;
        let place = places.liquids.first().or(places.acids.first()).unwrap_or(&places.water).clone();
        findings.push(Finding::liquids_over_water(place, others, water, ledger.scales.units));
    }
}
