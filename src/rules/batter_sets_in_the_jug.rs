//! # What it finds
//!
//! A batter that is blended once and divided into layers or portions, the last of which waits so long for its turn that
//! it has set in the jug.
//!
//! # Why it matters
//!
//! Batter thickens while it waits, and sooner the further it was blended before it was divided. Batter that has set does
//! not pour, traps air, and is scraped out in lumps that do not bind. Blending it again in haste makes it splash.
//!
//! # Example
//!
//! `divide = "batter"` with four layers that wait 15 minutes each, or with `trace = "medium"` and a single wait
//!
//! # Source
//!
//! Common practice: `batter-fluid-minutes`, and `quick-batter-fluid-minutes` where something in the whole batch speeds
//! up trace, in `limits.toml`. They are counted from an emulsion; each step of trace beyond it takes off a third.

use crate::batch::{Action, batter_fluid, is_cooked};
use crate::finding::{Finding, Step};
use crate::ledger::Ledger;
use crate::tables::Tables;
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
    let fluid = batter_fluid(recipe, tables);
    if waited <= fluid {
        return;
    }
    // The longest wait that the recipe states is the first to be shortened.
    let stated = recipe.layers[..last_idx].iter().filter(|it| it.wait.is_some());
    let longest = stated.max_by(|a, b| a.wait.partial_cmp(&b.wait).unwrap_or(std::cmp::Ordering::Equal));
    let place = longest.map_or(&recipe.places.divide, |it| &it.wait_place);
    let (part, is_layer) = (recipe.divide.part_name(), recipe.divide.swirl().is_none());
    let step = Step::Layer(last_idx);
    findings.push(Finding::batter_sets_in_the_jug(place.clone(), part, is_layer, waited, fluid, step));
}
