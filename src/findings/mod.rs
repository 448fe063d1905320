//! What a computed recipe says: one file per rule, named after its code.
//!
//! Layer 4. A rule reads numbers and changes none; its words are in `finding/`, its limits in `tables/limits.toml`. To
//! add a rule, write its file, list it in [`ALL`], give it words, and put a case into `tests/cases/`.

mod acknowledged;
mod amount_below_scale;
mod batch_over_mould;
mod batch_under_mould;
mod browns_a_white_layer;
mod density_beyond_range;
mod heats_in_the_mould;
mod layer_on_set_surface;
mod limit_not_stated;
mod liquids_over_water;
mod mass_out_of_range;
mod over_limit;
mod purity_not_stated;
mod quickeners_together;
mod rate_above_highest;
mod solution_too_strong;
mod solution_unusual;
mod superfat_below_zero;
mod superfat_unusual;
mod superfat_worst_case;

use crate::batch::{Batch, ExtraAmount, Weighed};
pub use acknowledged::acknowledge;

use crate::finding::{Finding, Step};
use crate::recipe::{Extra, Recipe};
use crate::tables::Tables;

/// What a rule may look at.
pub struct Subject<'a> {
    /// The recipe.
    pub recipe: &'a Recipe,
    /// The recipe computed.
    pub batch: &'a Batch,
    /// The amounts as each scale that the course uses shows them.
    pub weighed: &'a [&'a Weighed],
    /// The tables with the limits.
    pub tables: &'a Tables,
}

/// A rule.
pub type Rule = fn(&Subject<'_>, &mut Vec<Finding>);

/// All rules, in the order in which their findings are told.
pub const ALL: [Rule; 19] = [
    superfat_below_zero::check,
    superfat_unusual::check,
    superfat_worst_case::check,
    solution_too_strong::check,
    solution_unusual::check,
    density_beyond_range::check,
    liquids_over_water::check,
    mass_out_of_range::check,
    batch_over_mould::check,
    batch_under_mould::check,
    amount_below_scale::check,
    rate_above_highest::check,
    over_limit::check,
    limit_not_stated::check,
    browns_a_white_layer::check,
    quickeners_together::check,
    heats_in_the_mould::check,
    layer_on_set_surface::check,
    purity_not_stated::check,
];

/// The additives that leave the lye as it is, of the batch and of all layers: when they go in, as typed, as computed.
fn extras_of<'a>(subject: &'a Subject<'_>) -> impl Iterator<Item = (Step, &'a Extra, &'a ExtraAmount)> {
    let (recipe, batch) = (subject.recipe, subject.batch);
    let layers = recipe.layers.iter().zip(&batch.layers).enumerate();
    let of_layers = layers.flat_map(|(layer_idx, (layer, amount))| {
        layer.extras.iter().zip(&amount.extras).map(move |(extra, amount)| (Step::Layer(layer_idx), extra, amount))
    });
    let of_batch = recipe.extras.iter().zip(&batch.extras).map(|(extra, amount)| (Step::Trace, extra, amount));
    of_batch.chain(of_layers)
}

/// Names as a list in words, each once: `clove oil, honey and cocoa`.
fn in_words<'a>(names: impl IntoIterator<Item = &'a str>) -> String {
    let mut once: Vec<&str> = Vec::new();
    for name in names {
        if !once.contains(&name) {
            once.push(name);
        }
    }
    match &once[..] {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// Runs every rule.
#[must_use]
pub fn check(subject: &Subject<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for rule in ALL {
        rule(subject, &mut findings);
    }
    findings
}
