//! What a computed recipe says: one file per rule, named after its code.
//!
//! Layer 4. A rule reads numbers and changes none; its words are in `finding/`, its limits in `tables/limits.toml`. To
//! add a rule, write its file, list it in [`ALL`], give it words, and put a case into `tests/cases/`. A rule about the
//! prose of pages is a module of its own here, since `page/` has to hand it the prose.

mod acknowledged;
mod additive_below_scale;
mod additives_over_layer;
mod amount_below_scale;
mod batch_over_mould;
mod batch_under_mould;
mod batter_sets_in_the_jug;
mod browns_a_white_layer;
mod component_over_limit;
mod components_not_stated;
mod cut_over_mould;
mod cut_unusual;
mod cut_without_mould;
mod density_beyond_range;
mod dilution_sets_to_jelly;
mod dilution_stronger_than_paste;
mod dilution_unusual;
mod dilution_without_preservative;
mod dispersed_in_much;
mod heats_in_the_mould;
mod layer_on_set_surface;
mod layer_superfat_worst_case;
mod limit_not_stated;
mod liquids_over_water;
mod mass_out_of_range;
pub mod no_cautions;
mod over_limit;
mod paste_without_time;
mod preservative_unusual;
mod purity_not_stated;
mod purity_unusual;
mod quickeners_together;
mod rate_above_highest;
mod rate_above_usual;
mod salt_undissolved;
mod sets_at_once;
mod solution_too_strong;
mod solution_unusual;
mod stock_leaves_no_water;
mod stock_too_strong;
mod stock_too_weak;
mod superfat_below_zero;
mod superfat_unusual;
mod superfat_worst_case;
pub mod term_before_its_lesson;
pub mod term_introduced_twice;
mod time_too_short;
mod time_unusually_short;
mod trace_too_thin;
pub mod typed_quantity;

use crate::batch::{ExtraAmount, Weighed, is_cooked};
pub use acknowledged::{MAY_BE_MEANT, NEVER_MEANT, acknowledge};

use crate::finding::{Finding, Step};
use crate::ledger::Ledger;
use crate::recipe::Extra;
use crate::source::Place;
use crate::tables::{GoesInto, LEAST_TIME_KEYS, Tables};
use crate::units::TimeSpan;

/// A rule looks at a ledger and at the tables with the limits.
pub type Rule = fn(&Ledger, &Tables, &mut Vec<Finding>);

/// All rules, in the order in which their findings are told.
pub const ALL: [Rule; 45] = [
    superfat_below_zero::check,
    additives_over_layer::check,
    superfat_unusual::check,
    superfat_worst_case::check,
    layer_superfat_worst_case::check,
    solution_too_strong::check,
    solution_unusual::check,
    stock_too_weak::check,
    stock_too_strong::check,
    stock_leaves_no_water::check,
    density_beyond_range::check,
    liquids_over_water::check,
    mass_out_of_range::check,
    batch_over_mould::check,
    batch_under_mould::check,
    cut_over_mould::check,
    cut_unusual::check,
    cut_without_mould::check,
    amount_below_scale::check,
    additive_below_scale::check,
    rate_above_highest::check,
    rate_above_usual::check,
    dispersed_in_much::check,
    salt_undissolved::check,
    sets_at_once::check,
    over_limit::check,
    component_over_limit::check,
    limit_not_stated::check,
    components_not_stated::check,
    browns_a_white_layer::check,
    quickeners_together::check,
    heats_in_the_mould::check,
    trace_too_thin::check,
    layer_on_set_surface::check,
    batter_sets_in_the_jug::check,
    time_too_short::check,
    time_unusually_short::check,
    paste_without_time::check,
    dilution_stronger_than_paste::check,
    dilution_unusual::check,
    dilution_sets_to_jelly::check,
    dilution_without_preservative::check,
    preservative_unusual::check,
    purity_not_stated::check,
    purity_unusual::check,
];

/// The additives that leave the lye as it is, of the batch and of all layers: when they go in, as typed, as computed.
fn extras_of(ledger: &Ledger) -> impl Iterator<Item = (Step, &Extra, &ExtraAmount)> {
    let (recipe, batch) = (&ledger.recipe, &ledger.batch);
    let layers = recipe.layers.iter().zip(&batch.layers).enumerate();
    let of_layers = layers.flat_map(|(layer_idx, (layer, amount))| {
        layer.extras.iter().zip(&amount.extras).map(move |(extra, amount)| (Step::Layer(layer_idx), extra, amount))
    });
    let of_batch = recipe.extras.iter().zip(&batch.extras).map(|(extra, amount)| (step_of(extra), extra, amount));
    of_batch.chain(of_layers)
}

/// When an additive of the whole batch goes in.
fn step_of(extra: &Extra) -> Step {
    if extra.additive.goes_into == GoesInto::Water { Step::Lye } else { Step::Trace }
}

/// All of one additive in one place: in the batch, or in a layer, where that of the batch counts as well.
struct Dose<'a> {
    /// When it goes in.
    step: Step,
    /// Where to point at.
    extra: &'a Extra,
    /// Percent of the fats there.
    of_fats_percent: f64,
    /// The same by what the scales show, where that is more.
    printed_percent: f64,
    /// The lowest limit that is stated for any part of it, percent of the finished bar.
    limit_percent: Option<f64>,
}

impl Dose<'_> {
    /// The layer that it is in, where that is one alone.
    fn layer_idx(&self) -> Option<usize> {
        match self.step {
            Step::Layer(layer_idx) => Some(layer_idx),
            _ => None,
        }
    }
}

/// The doses of a recipe: of the batch, then of each layer that has some of its own.
fn doses<'a>(ledger: &'a Ledger) -> Vec<Dose<'a>> {
    let (recipe, batch) = (&ledger.recipe, &ledger.batch);
    let dose = |step: Step, extra: &'a Extra, amount: &ExtraAmount, readings: &dyn Fn(&Weighed) -> u64| Dose {
        step,
        extra,
        of_fats_percent: amount.of_fats_percent,
        printed_percent: amount.of_fats_percent * ledger.printed_factor(amount.mass, readings),
        limit_percent: extra.limit_percent,
    };
    let of_batch: Vec<Dose<'a>> = recipe
        .extras
        .iter()
        .zip(&batch.extras)
        .enumerate()
        .map(|(idx, (extra, amount))| {
            let mut dose = dose(step_of(extra), extra, amount, &|it| it.extras[idx]);
            // A layer may be handed more than its part.
            for layer_idx in 0..batch.layers.len() {
                let in_layer = amount.of_fats_percent * ledger.shared_factor(layer_idx, idx);
                dose.printed_percent = dose.printed_percent.max(in_layer);
            }
            dose
        })
        .collect();
    let layers = recipe.layers.iter().zip(&batch.layers).enumerate();
    let of_layers: Vec<Dose<'a>> = layers
        .flat_map(|(layer_idx, (layer, amount))| {
            layer.extras.iter().zip(&amount.extras).enumerate().map(move |(idx, it)| (layer_idx, idx, it))
        })
        .map(|(layer_idx, idx, (extra, amount))| {
            let readings = |it: &Weighed| it.layers[layer_idx].extras[idx];
            let mut dose = dose(Step::Layer(layer_idx), extra, amount, &readings);
            for shared in of_batch.iter().filter(|it| it.extra.additive.id == extra.additive.id) {
                dose.of_fats_percent += shared.of_fats_percent;
                dose.printed_percent += shared.printed_percent;
                let limits = dose.limit_percent.into_iter().chain(shared.limit_percent);
                dose.limit_percent = limits.min_by(f64::total_cmp);
            }
            dose
        })
        .collect();
    of_batch.into_iter().chain(of_layers).collect()
}

/// A time that a recipe states, beside the least that it may be.
struct StatedTime<'a> {
    key: &'static str,
    place: &'a Place,
    /// The shortest by the recipe.
    time: TimeSpan,
    dangerous_below: TimeSpan,
    unusual_below: TimeSpan,
}

/// The times of a recipe that may be too short. What is cooked is soap before it comes into the mould.
fn stated_times<'a>(ledger: &'a Ledger, tables: &Tables) -> Vec<StatedTime<'a>> {
    let recipe = &ledger.recipe;
    let is_judged = |key: &str| !is_cooked(recipe) || !matches!(key, "mould" | "cure");
    let keys = LEAST_TIME_KEYS.into_iter().zip(tables.limits.least_times).filter(|(key, _)| is_judged(key));
    let stated = keys.filter_map(|(key, (dangerous_below, unusual_below))| {
        let (time, _) = *recipe.times.get(key)?;
        Some(StatedTime { key, place: recipe.places.times.get(key)?, time, dangerous_below, unusual_below })
    });
    stated.collect()
}

/// Runs every rule.
#[must_use]
pub fn check(ledger: &Ledger, tables: &Tables) -> Vec<Finding> {
    let mut findings = Vec::new();
    for rule in ALL {
        rule(ledger, tables, &mut findings);
    }
    findings
}
