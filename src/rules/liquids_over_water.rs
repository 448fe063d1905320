//! # What it finds
//!
//! Liquids and acids that bring more water than the recipe has.
//!
//! # Why it matters
//!
//! There is nothing left to take them from, and the lye would be weaker than the page says.
//!
//! # Example
//!
//! `item = "goat-milk"` with `rate = "120 % of water"`
//!
//! # Source
//!
//! Arithmetic.

use super::Subject;
use crate::finding::Finding;

pub(super) fn check(subject: &Subject<'_>, findings: &mut Vec<Finding>) {
    let (others, water) = (subject.batch.water_in_others.to_grams(), subject.batch.water.to_grams());
    // Exactly all of the water may come out a hair over it.
    if others > water * (1.0 + 1e-9) {
        let places = &subject.recipe.places;
        let place = places.liquids.first().or(places.acids.first()).unwrap_or(&places.water).clone();
        findings.push(Finding::liquids_over_water(place, others, water));
    }
}
