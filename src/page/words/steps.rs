//! What steps say wherever they stand: the trace to stop at, powders that are wetted, and cautions beside the steps they concern.
//!
//! Layer 6.

use super::super::printer::{Printer, caution};
use super::layers::{layer_extras, layer_word};
use crate::batch::{is_dispersed_beforehand, is_wetted};
use crate::finding::Step;
use crate::ledger::{Figure, Ledger, Part};
use crate::recipe::Trace;
use crate::show::listed;

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
    let how = if burns { "stir on by hand" } else { "blend on in short bursts" };
    format!("{how} to {}", trace_and_test(to))
}

/// The powders that are wetted beforehand, of the batch and of all layers: mass and name of each.
pub(crate) fn wetted(print: Printer<'_>) -> String {
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
pub(crate) fn dispersed(print: Printer<'_>) -> String {
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
            cautions.map(|it| format!("In the {} {}: {it}", layer_word(&ledger.recipe), layer.name))
        })
        .collect()
}
