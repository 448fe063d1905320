//! # What it finds
//!
//! A layer whose stated trace cannot carry what comes on it: an emulsion below another layer, or light trace that is not given
//! the time to thicken.
//!
//! # Why it matters
//!
//! The next layer sinks in where it lands, or digs a hole, and the two run together. An emulsion of slow fats may stay
//! as thin as custard for an hour.
//!
//! # Example
//!
//! `trace = "emulsion"` in a layer that has another above it
//!
//! # Source
//!
//! Common practice: a layer is poured on one that was at medium trace. A layer with as much powder as the high end of
//! `layer-thickening-percent` in `limits.toml` sets at any trace; one at light trace carries after the wait that
//! `layer-wait-minutes` and `trace-wait-minutes` come to.

use crate::batch::{is_cooked, sets_by_its_powder, stop_at};
use crate::finding::{Finding, Step};
use crate::ledger::Ledger;
use crate::recipe::{Divide, Trace};
use crate::tables::Tables;

pub(super) fn check(ledger: &Ledger, tables: &Tables, findings: &mut Vec<Finding>) {
    let (recipe, batch) = (&ledger.recipe, &ledger.batch);
    // Cooked soap carries at once.
    if is_cooked(recipe) {
        return;
    }
    // The last layer carries nothing, and waits for none.
    for (layer_idx, wait) in ledger.waits.iter().enumerate() {
        let is_enough = match stop_at(recipe, Some(layer_idx)) {
            Trace::Emulsion => false,
            Trace::Light => wait.time >= wait.limits.usual,
            Trace::Medium | Trace::Thick => true,
        };
        if is_enough || sets_by_its_powder(recipe, batch, layer_idx, tables) {
            continue;
        }
        let (layer, next) = (&recipe.layers[layer_idx], &recipe.layers[layer_idx + 1]);
        let of_recipe = layer.trace.is_none() && recipe.divide == Divide::FatsAndLye;
        let place = if of_recipe { &recipe.places.trace } else { &layer.trace_place };
        let is_light = stop_at(recipe, Some(layer_idx)) == Trace::Light;
        let waited = is_light.then_some((wait.time, wait.limits.usual));
        let step = Step::Layer(layer_idx);
        findings.push(Finding::trace_too_thin(place.clone(), &layer.name, &next.name, waited, step));
    }
}
