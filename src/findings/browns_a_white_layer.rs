//! # What it finds
//!
//! Something that turns brown with time in a layer that is to stay white.
//!
//! # Why it matters
//!
//! Vanillin, sugars and milk brown over weeks, so the design that the lesson promises is gone when the bar is cured.
//!
//! # Example
//!
//! a layer with `stays-white = true` and an additive whose row has `does = ["browns"]`
//!
//! # Source
//!
//! Common practice.

use super::Subject;
use crate::finding::Finding;
use crate::tables::Effect;

pub(super) fn check(subject: &Subject<'_>, findings: &mut Vec<Finding>) {
    let recipe = subject.recipe;
    for layer in recipe.layers.iter().filter(|it| it.stays_white) {
        // What goes into the whole batch goes into this layer too.
        for extra in layer.extras.iter().chain(&recipe.extras) {
            if extra.additive.effects.contains(&Effect::Browns) {
                findings.push(Finding::browns_a_white_layer(extra.place.clone(), &extra.additive.name, &layer.name));
            }
        }
    }
}
