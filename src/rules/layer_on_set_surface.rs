//! # What it finds
//!
//! A layer that waits so long that it has set by the time the next is poured.
//!
//! # Why it matters
//!
//! The more clay or other powder a layer contains, the sooner it sets. A layer binds to one that is firm but still
//! tacky. On a set surface it lies loose, and the bar comes apart when it is cut.
//!
//! # Example
//!
//! `additives = [{ item = "kaolin", rate = "4.7 %" }]` with `wait = "15 min"`
//!
//! # Source
//!
//! Common practice: the high ends of `layer-wait-minutes` and `thick-layer-wait-minutes` in `limits.toml`, and between them
//! by `layer-thickening-percent`.

use crate::finding::{Finding, Step};
use crate::ledger::Ledger;
use crate::tables::Tables;

pub(super) fn check(ledger: &Ledger, _: &Tables, findings: &mut Vec<Finding>) {
    // Nothing is poured on the last layer, which waits for none.
    for (layer_idx, (layer, wait)) in ledger.recipe.layers.iter().zip(&ledger.waits).enumerate() {
        let longest = wait.limits.longest;
        if wait.time > longest {
            findings.push(Finding::layer_on_set_surface(
                layer.wait_place.clone(),
                &layer.name,
                wait.time.to_minutes(),
                longest.to_minutes(),
                Step::Layer(layer_idx),
            ));
        }
    }
}
