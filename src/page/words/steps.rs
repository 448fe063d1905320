//! What steps say wherever they stand: the trace to stop at, powders that are wetted, and cautions beside the steps they concern.
//!
//! Layer 6.

use super::super::printer::{Printer, caution};
use super::layers::layer_extras;
use crate::batch::{divides_batter, is_dispersed_beforehand, is_wetted};
use crate::finding::Step;
use crate::ledger::{Figure, Kind, Ledger, Part};
use crate::recipe::Trace;
use crate::show::listed;
use crate::tables::FatKind;

/// A trace in words: "light trace".
pub(crate) fn trace_words(trace: Trace) -> &'static str {
    match trace {
        Trace::Emulsion => "an emulsion",
        Trace::Light => "light trace",
        Trace::Medium => "medium trace",
        Trace::Thick => "thick trace",
    }
}

/// What a spoon shows of a trace. This decides, and not the clock.
fn spoon_test(trace: Trace) -> &'static str {
    match trace {
        Trace::Emulsion => "no streak of oil is left",
        Trace::Light => "what drips from the spoon leaves a mark for a moment",
        Trace::Medium => "what drips from the spoon lies on top",
        Trace::Thick => "it holds a peak",
    }
}

/// A trace in words with what the spoon shows of it.
pub(crate) fn trace_and_test(trace: Trace) -> String {
    format!("{}: {}", trace_words(trace), spoon_test(trace))
}

/// Going on to a trace after something was stirred in, or in the jug of a divided batter: by hand where the recipe holds
/// something whose vapour burns, since a blender's motor can spark.
pub(crate) fn blending_on(print: Printer<'_>, to: Trace) -> String {
    let recipe = &print.ledger.recipe;
    let of_layers = recipe.layers.iter().flat_map(|it| &it.extras);
    let burns = recipe.extras.iter().chain(of_layers).any(|it| it.additive.is_scent_or_burns());
    let how = if burns { "keep stirring by hand" } else { "keep blending in short bursts" };
    format!("{how} to {}", trace_and_test(to))
}

/// How warm the fats are when the lye solution is poured into them: "between 38 °C and 42 °C".
pub(crate) fn fats_when_poured(print: Printer<'_>) -> String {
    let recipe = &print.ledger.recipe;
    // Waxes and fatty acids set while other fats are still warm to the hand.
    let stays_clear = recipe.fats.iter().all(|it| it.fat.kind == FatKind::Triglyceride);
    if stays_clear || recipe.when_poured.fats.is_some() {
        between(print, Kind::FatsWhenPouredFrom, Kind::FatsWhenPouredTo)
    } else {
        "just warm enough to stay clear".to_owned()
    }
}

/// How warm the lye solution is then.
pub(crate) fn lye_when_poured(print: Printer<'_>) -> String {
    between(print, Kind::LyeWhenPouredFrom, Kind::LyeWhenPouredTo)
}

fn between(print: Printer<'_>, low: Kind, high: Kind) -> String {
    let (low, high) = (print.words_of(low), print.words_of(high));
    if low == high { format!("at {low}") } else { format!("between {low} and {high}") }
}

/// The wetting of powders, each with what it is wetted with.
pub(crate) fn slurry_words(print: Printer<'_>) -> String {
    let recipe = &print.ledger.recipe;
    // Oil out of the pot would leave its lye solution behind where the batter is divided.
    let with = match (recipe.layers.is_empty(), divides_batter(recipe)) {
        (true, _) => "a little of the melted fats",
        (false, false) => "a little of the fats out of its own jug",
        (false, true) => "a teaspoonful of water",
    };
    let (wetted, dispersed) = (wetted(print), dispersed(print));
    let slurry = format!("Stir each powder to a slurry in a cup of its own, with {with}: {wetted}");
    match (wetted.is_empty(), dispersed.is_empty()) {
        (_, true) => slurry,
        (true, false) => format!("Disperse, each in a cup of its own: {dispersed}"),
        (false, false) => format!("{slurry}. Disperse, each in a cup of its own: {dispersed}"),
    }
}

/// How long a layer waits: what shows that it carries the next.
pub(crate) fn until_it_carries() -> &'static str {
    "until batter dropped from a spoon lies on top; the surface is then still tacky, and lets a gloved finger go clean"
}

/// Misting a layer.
pub(crate) fn misting() -> &'static str {
    "mist it with rubbing alcohol, with no flame in the room and the blender off, and close the bottle at once"
}

/// The powders that are wetted beforehand, of the batch and of all layers: mass and name of each.
fn wetted(print: Printer<'_>) -> String {
    let recipe = &print.ledger.recipe;
    let in_batch = |it: &&Figure| matches!(it.part, Part::Extra(idx) if is_wetted(&recipe.extras[idx]));
    let of_batch = print.ledger.weighed_out().filter(in_batch).map(|it| amount_of(print, it));
    let of_layers = recipe.layers.iter().enumerate().flat_map(|(layer_idx, layer)| {
        let figures = layer_extras(print, layer_idx, None);
        let wetted = figures
            .filter(|it| matches!(it.part, Part::LayerExtra(_, extra_idx) if is_wetted(&layer.extras[extra_idx])));
        wetted.map(|it| format!("{} for {}", amount_of(print, it), layer.name))
    });
    all_of(of_batch.chain(of_layers))
}

/// What is dispersed in a liquid of its own beforehand, of the batch and of all layers: both masses and names.
fn dispersed(print: Printer<'_>) -> String {
    let recipe = &print.ledger.recipe;
    let of_batch = print.ledger.weighed_out().filter_map(|it| {
        let Part::Extra(idx) = it.part else { return None };
        is_dispersed_beforehand(&recipe.extras[idx]).then(|| amount_of(print, it) + &in_its_liquid(print, it, "in"))
    });
    let of_layers = recipe.layers.iter().enumerate().flat_map(|(layer_idx, layer)| {
        layer_extras(print, layer_idx, None).filter_map(move |it| {
            let Part::LayerExtra(_, idx) = it.part else { return None };
            let both = || format!("{}{} for {}", amount_of(print, it), in_its_liquid(print, it, "in"), layer.name);
            is_dispersed_beforehand(&layer.extras[idx]).then(both)
        })
    });
    all_of(of_batch.chain(of_layers))
}

/// How much of which liquid an additive is dispersed in, after `before`; nothing where it is in none.
pub(crate) fn in_its_liquid(print: Printer<'_>, figure: &Figure, before: &str) -> String {
    let recipe = &print.ledger.recipe;
    let (liquid, extra) = match figure.part {
        Part::Extra(idx) => (Part::Extra(idx + 1), recipe.extras.get(idx + 1)),
        Part::LayerExtra(layer_idx, idx) => {
            (Part::LayerExtra(layer_idx, idx + 1), recipe.layers[layer_idx].extras.get(idx + 1))
        }
        _ => return String::new(),
    };
    let Some(liquid_name) = extra.and_then(|it| Some(&it.disperses.as_ref()?.liquid_name)) else {
        return String::new();
    };
    let liquid = print.ledger.weighed_out().find(|it| it.part == liquid);
    // In a list "sunflower oil, high oleic" would be two things.
    let liquid_name = listed([&**liquid_name]);
    liquid.map(|it| format!(" {before} {} of {liquid_name}", print.words(&it.key))).unwrap_or_default()
}

/// Several amounts as a sentence lists them.
pub(crate) fn all_of(amounts: impl IntoIterator<Item = String>) -> String {
    let amounts: Vec<String> = amounts.into_iter().collect();
    listed(amounts.iter().map(String::as_str))
}

/// A figure with its name: "10 g of kaolin".
pub(crate) fn amount_of(print: Printer<'_>, figure: &Figure) -> String {
    format!("{} of {}", print.words(&figure.key), figure.name.as_deref().unwrap_or_default())
}

/// What a recipe's warnings say to the student at a step.
pub(crate) fn cautions_at(ledger: &Ledger, step: Step) -> Vec<String> {
    ledger.cautions.iter().filter(|it| it.step == step).map(|it| caution(&it.words)).collect()
}

/// What they say at any layer, each with the layer's name.
pub(crate) fn cautions_at_layers(ledger: &Ledger) -> Vec<String> {
    let layers = ledger.recipe.layers.iter().enumerate();
    layers
        .flat_map(|(layer_idx, layer)| {
            let cautions = cautions_at(ledger, Step::Layer(layer_idx)).into_iter();
            cautions.map(|it| format!("In the {} {}: {it}", ledger.recipe.divide.part_name(), layer.name))
        })
        .collect()
}
