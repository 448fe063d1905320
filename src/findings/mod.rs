//! What a computed recipe says: one file per rule, named after its code.
//!
//! Layer 4. A rule reads numbers and changes none; its words are in `finding/`, its limits in `tables/limits.toml`. To
//! add a rule, write its file, list it in [`ALL`], give it words, and put a case into `tests/cases/`.

mod amount_below_scale;
mod browns_a_white_layer;
mod density_beyond_range;
mod liquids_over_water;
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
use crate::finding::Finding;
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
pub const ALL: [Rule; 13] = [
    superfat_below_zero::check,
    superfat_unusual::check,
    superfat_worst_case::check,
    solution_too_strong::check,
    solution_unusual::check,
    density_beyond_range::check,
    liquids_over_water::check,
    amount_below_scale::check,
    rate_above_highest::check,
    over_limit::check,
    browns_a_white_layer::check,
    quickeners_together::check,
    purity_not_stated::check,
];

/// The additives that leave the lye as it is, of the batch and of all layers, as typed and as computed.
fn extras_of<'a>(subject: &'a Subject<'_>) -> impl Iterator<Item = (&'a Extra, &'a ExtraAmount)> {
    let (recipe, batch) = (subject.recipe, subject.batch);
    let of_layers =
        recipe.layers.iter().zip(&batch.layers).flat_map(|(layer, amount)| layer.extras.iter().zip(&amount.extras));
    recipe.extras.iter().zip(&batch.extras).chain(of_layers)
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
