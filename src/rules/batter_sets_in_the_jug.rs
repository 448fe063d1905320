//! # What it finds
//!
//! A batter that is blended once and divided, whose last part waits so long for its turn that it has set in the jug.
//!
//! # Why it matters
//!
//! A set batter does not pour, traps air, and is scraped out in lumps that do not bind. Whoever blends it again in haste splashes.
//!
//! # Example
//!
//! `divide = "batter"` with four layers that wait 15 minutes each
//!
//! # Source
//!
//! Common practice: `batter-fluid-minutes`, and `quick-batter-fluid-minutes` where something in the whole batch brings trace
//! on sooner, in `limits.toml`.

use crate::batch::{Action, is_cooked};
use crate::finding::{Finding, Step};
use crate::ledger::Ledger;
use crate::tables::{Effect, Tables};
use crate::units::TimeSpan;

pub(super) fn check(ledger: &Ledger, tables: &Tables, findings: &mut Vec<Finding>) {
    let recipe = &ledger.recipe;
    let Some(last_idx) = recipe.layers.len().checked_sub(1) else { return };
    // Cooked soap is spooned anyway.
    if !recipe.divide.is_of_batter() || is_cooked(recipe) {
        return;
    }
    let step = |action: Action| ledger.timeline.bench.iter().find(|it| it.action == action);
    let last = recipe.divide.swirl().map_or(Action::Pour(Some(last_idx)), Action::Swirl);
    let (Some(blend), Some(pour)) = (step(Action::Blend(None)), step(last)) else { return };
    let minutes = pour.start.to_minutes() - blend.start.to_minutes() - blend.length.to_minutes();
    let waited = TimeSpan::minutes(minutes);
    let quickens = recipe.extras.iter().any(|it| it.additive.effects.contains(&Effect::Quickens));
    let fluid = if quickens { tables.limits.quick_batter_fluid } else { tables.limits.batter_fluid };
    if waited <= fluid {
        return;
    }
    // The longest wait that the recipe states is the first to be shortened.
    let stated = recipe.layers[..last_idx].iter().filter(|it| it.wait.is_some());
    let longest = stated.max_by(|a, b| a.wait.partial_cmp(&b.wait).unwrap_or(std::cmp::Ordering::Equal));
    let place = longest.map_or(&recipe.places.divide, |it| &it.wait_place);
    findings.push(Finding::batter_sets_in_the_jug(place.clone(), waited, fluid, Step::Layer(last_idx)));
}
