//! # What it finds
//!
//! Something that turns brown with time in a layer that is to stay white.
//!
//! # Why it matters
//!
//! Vanillin, sugars and milk brown over weeks, so the design that the lesson promises is gone by the time the bar is
//! cured.
//!
//! # Example
//!
//! a layer with `stays-white = true` and an additive whose row has `does = ["browns"]`, or a scent with `vanillin = 10`
//!
//! # Source
//!
//! Common practice.

use crate::finding::{Finding, Step};
use crate::ledger::Ledger;
use crate::tables::{Effect, Tables};

pub(super) fn check(ledger: &Ledger, _: &Tables, findings: &mut Vec<Finding>) {
    let recipe = &ledger.recipe;
    let layers = recipe.layers.iter().enumerate();
    for (layer_idx, layer) in layers.filter(|(_, it)| it.stays_white) {
        // What goes into the whole batch goes into this layer too.
        for extra in layer.extras.iter().chain(&recipe.extras) {
            if extra.browns() {
                let step = Step::Layer(layer_idx);
                let name = &extra.additive.name;
                findings.push(Finding::browns_a_white_layer(extra.place.clone(), name, &layer.name, step));
            }
        }
        for (liquid, place) in recipe.liquids.iter().zip(&recipe.places.liquids) {
            if liquid.effects.contains(&Effect::Browns) {
                let step = Step::Layer(layer_idx);
                findings.push(Finding::browns_a_white_layer(place.clone(), &liquid.name, &layer.name, step));
            }
        }
    }
}
