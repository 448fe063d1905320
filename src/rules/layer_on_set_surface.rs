//! # What it finds
//!
//! A layer that waits so long that it has set when the next is poured.
//!
//! # Why it matters
//!
//! A layer binds to one that is firm but still tacky. On a set surface it lies loose, and the bar parts when it is cut.
//!
//! # Example
//!
//! a clay layer with `wait = "40 min"`
//!
//! # Source
//!
//! Common practice: the high ends of `layer-wait-minutes` and `thick-layer-wait-minutes` in `limits.toml`.

use super::Subject;
use crate::batch::wait_after;
use crate::finding::{Finding, Step};

pub(super) fn check(subject: &Subject<'_>, findings: &mut Vec<Finding>) {
    let layers = &subject.recipe.layers;
    // Nothing is poured on the last layer.
    let n_waiting = layers.len().saturating_sub(1);
    for (layer_idx, layer) in layers.iter().enumerate().take(n_waiting) {
        let (wait, limits, _) = wait_after(subject.recipe, layer_idx, subject.tables);
        if wait > limits.longest {
            findings.push(Finding::layer_on_set_surface(
                layer.wait_place.clone(),
                &layer.name,
                wait.to_minutes(),
                limits.longest.to_minutes(),
                Step::Layer(layer_idx),
            ));
        }
    }
}
