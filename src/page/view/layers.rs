//! The layer split: what goes into each layer, and what is done at the bench, in order.
//!
//! Layer 6.

use serde::Serialize;

use super::super::figure::{CrossSection, PortionsFigure, cross_section, portions_figure};
use super::super::printer::{Printer, Shown};
use super::super::words::{
    blending_on, cautions_at, in_cups, layer_extras, layer_spoons, misting, own_extras, size_words, slurry_words,
    swirl_steps, trace_and_test, trace_words, until_it_carries, why_that_trace,
};
use super::Row;
use crate::batch::{first_stop, is_cooked, sets_by_its_powder, stirs_in, stop_at, wets_powders};
use crate::finding::Step;
use crate::ledger::{Key, Kind, Moment, Part};
use crate::recipe::{Divide, LayerSize, Pouring};
use crate::show;
use crate::tables::GoesInto;
use crate::units::{Mass, ScaleUnit};

/// A layer in the split table.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct LayerRow {
    pub(crate) name: String,
    pub(crate) share: String,
    pub(crate) amounts: Vec<Shown>,
    pub(crate) extras: Vec<Row>,
}

/// A layer at the bench.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct LayerSteps {
    pub(crate) name: String,
    pub(crate) sentences: Vec<String>,
    /// What is no step; empty where there is nothing to say.
    pub(crate) note: String,
    pub(crate) cautions: Vec<String>,
}

/// The figure of the layers as data.
#[derive(Clone, Debug)]
pub(crate) enum LayersFigure {
    /// Layers as they lie in the mould.
    Bed(CrossSection),
    /// Portions in their jugs.
    Jugs(PortionsFigure),
}

/// The layer split.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct LayersView {
    /// Tells the steps of one block from those of another, for the boxes that stay ticked.
    pub(crate) key: String,
    pub(crate) title: String,
    /// Whether these are portions that are swirled, and no layers.
    pub(crate) are_portions: bool,
    /// Head of the first column, then one for each amount.
    pub(crate) heads: Vec<&'static str>,
    pub(crate) rows: Vec<LayerRow>,
    /// What of the lye is no layer's, if any is.
    pub(crate) left: Option<LayerRow>,
    pub(crate) total: LayerRow,
    pub(crate) note: String,
    /// What comes before the first layer: dividing the fats or the batter among the jugs, and wetting powders.
    pub(crate) dividing: LayerSteps,
    pub(crate) bench: Vec<LayerSteps>,
    /// How portions come together, where they are swirled.
    pub(crate) swirl: Option<LayerSteps>,
    pub(crate) times_note: String,
    /// The figure, already SVG; empty until it is rendered.
    pub(crate) figure: String,
    /// The figure in words, for forms without pictures.
    pub(crate) figure_words: String,
    /// The figure as data.
    #[serde(skip)]
    pub(crate) figure_data: LayersFigure,
}

/// The layer split of a recipe; `None` when it has no layers.
pub(crate) fn layers_view(key: String, print: Printer<'_>) -> Option<LayersView> {
    let recipe = &print.ledger.recipe;
    if recipe.layers.is_empty() {
        return None;
    }
    let swirl = recipe.divide.swirl();
    let first_head = if swirl.is_some() { "Portion" } else { "Layer, in pouring order" };
    let (heads, kinds, totals) = match recipe.divide.is_of_batter() {
        false => (
            vec![first_head, "Fats", "Lye solution", "Poured"],
            vec![Kind::LayerFats, Kind::LayerSolution, Kind::LayerPoured],
            vec![Kind::TotalFatsDivided, Kind::Solution, Kind::TotalBatch],
        ),
        true => (
            vec![first_head, "Batter", if swirl.is_some() { "With what is stirred in" } else { "Poured" }],
            vec![Kind::LayerBatter, Kind::LayerPoured],
            vec![Kind::TotalBatter, Kind::TotalBatch],
        ),
    };
    let rows = recipe.layers.iter().enumerate().map(|(layer_idx, layer)| LayerRow {
        name: layer.name.to_string(),
        share: share_words(print, layer_idx),
        amounts: kinds.iter().map(|it| print.amount(&of_layer(print, layer_idx, *it))).collect(),
        extras: extras(print, layer_idx),
    });
    let total = LayerRow {
        name: "Together".into(),
        share: String::new(),
        amounts: totals.iter().map(|it| print.amount(&Key::one(*it))).collect(),
        extras: Vec::new(),
    };
    let figure_data = match swirl {
        Some(_) => LayersFigure::Jugs(portions_figure(print)),
        None => LayersFigure::Bed(cross_section(print)),
    };
    let figure_words = match &figure_data {
        LayersFigure::Bed(figure) => figure.words.clone(),
        LayersFigure::Jugs(figure) => figure.words.clone(),
    };
    let left = print.figure(&Key::one(Kind::SolutionLeft)).is_some_and(|figure| {
        let reads_something = |unit: &ScaleUnit| figure.amount.reading(*unit) > Some(0);
        print.units().scales().iter().any(reads_something)
    });
    let left = left.then(|| {
        let left = print.amount(&Key::one(Kind::SolutionLeft));
        // Of the fats nothing is left; what is left of the lye is poured for no layer.
        let amounts = vec![Shown::plain(""), left.clone(), left];
        LayerRow { name: "Stays in the jug".into(), share: String::new(), amounts, extras: Vec::new() }
    });
    Some(LayersView {
        key,
        title: recipe.title.clone(),
        are_portions: swirl.is_some(),
        heads,
        rows: rows.collect(),
        left,
        total,
        note: note(print),
        dividing: dividing(print),
        bench: bench(print),
        swirl: swirl.map(|it| LayerSteps {
            name: swirl_steps(it).0.to_owned(),
            sentences: swirl_steps(it).1.iter().map(|it| (*it).to_owned()).collect(),
            note: String::new(),
            cautions: Vec::new(),
        }),
        times_note: times_note(print),
        figure: String::new(),
        figure_words,
        figure_data,
    })
}

/// The key of a layer's figure.
fn of_layer(print: Printer<'_>, layer_idx: usize, kind: Kind) -> Key {
    Key::one(kind).in_layer(print.ledger.recipe.layers[layer_idx].key.clone())
}

/// How large a layer is: as typed, and how thick it lies where a mould tells.
fn share_words(print: Printer<'_>, layer_idx: usize) -> String {
    let typed = size_words(print, layer_idx);
    if print.ledger.recipe.divide.swirl().is_some() {
        return typed;
    }
    let thickness = thickness_words(print, layer_idx);
    match (print.ledger.recipe.layers[layer_idx].size, thickness) {
        (LayerSize::Thickness(_), Some(thickness)) => thickness,
        (LayerSize::Parts(_), Some(thickness)) => format!("{typed}, {thickness}"),
        (LayerSize::Thickness(_), None) => {
            format!("{} of the height", print.words(&of_layer(print, layer_idx, Kind::LayerHeight)))
        }
        (LayerSize::Parts(_), None) => typed,
    }
}

/// How thick a layer lies, where a mould tells.
fn thickness_words(print: Printer<'_>, layer_idx: usize) -> Option<String> {
    let key = of_layer(print, layer_idx, Kind::LayerThickness);
    print.figure(&key).map(|_| format!("{} thick", print.words(&key)))
}

/// What comes before the first layer.
fn note(print: Printer<'_>) -> String {
    let recipe = &print.ledger.recipe;
    let swirl = recipe.divide.swirl();
    let mut note = match recipe.divide.is_of_batter() {
        false => {
            "The melted fats are divided among the jugs first. Then each layer is blended on its own, with its part of the \
             cooled lye solution."
                .to_owned()
        }
        true => format!(
            "All of the fats and the lye solution are blended once, to {} and no further, in a pot of at least {}; \
             then the batter is divided by weight, before it thickens.{}",
            trace_words(stop_at(recipe, None)),
            print.words_of(Kind::Pot),
            swirl.map_or("", why_that_trace)
        ),
    };
    if recipe.divide == Divide::Batter && !is_cooked(recipe) {
        note.push_str(
            " The jug of the first layer is then thickened. The others are left alone until their turn, so that they \
             stay fluid; even so, they thicken while they wait.",
        );
    }
    let batch_wide = recipe.extras.iter().any(|it| it.additive.goes_into == GoesInto::Trace);
    if batch_wide && recipe.divide.is_of_batter() {
        note.push_str(&format!(
            " What goes into every {} is stirred in before the batter is divided.",
            recipe.divide.part_name()
        ));
    }
    if print.figure(&Key::one(Kind::SolutionLeft)).is_some() {
        note.push_str(
            " The lye solution of each layer is rounded down, so that no layer gets more than its share; what is left \
             over stays in the jug.",
        );
    }
    if print.ledger.grams.extras_in_fats > 0 && !recipe.divide.is_of_batter() {
        note.push_str(" The amounts of fats include what was stirred into them.");
    }
    if recipe.divide.swirl().is_none() && (recipe.layers.iter().any(|it| !it.extras.is_empty()) || batch_wide) {
        note.push_str(" The amounts poured include the additives.");
    }
    if print.ledger.batch.all_extras().any(|it| it.fat > Mass::ZERO) {
        note.push_str(
            " The oil that an additive is dispersed in is extra fat, and no lye is made for it: where it goes, the \
             soap is milder and softer. The superfat at the very worst does not count on it.",
        );
    }
    if print.ledger.batch.all_extras().any(|it| it.water > Mass::ZERO) {
        note.push_str(" The water that an additive is dispersed in comes on top of the water for the lye.");
    }
    note
}

/// Each layer at the bench: weigh, blend, stir in, pour or spoon, wait, spritz.
fn bench(print: Printer<'_>) -> Vec<LayerSteps> {
    let recipe = &print.ledger.recipe;
    let steps = recipe.layers.iter().enumerate().map(|(layer_idx, layer)| {
        let words = |kind: Kind| print.words(&of_layer(print, layer_idx, kind));
        let mut sentences = match recipe.divide.is_of_batter() {
            false => {
                let into_fats = own_extras(print, layer_idx, Moment::Fats);
                let mut sentences: Vec<String> = into_fats.map(|it| format!("Stir {it} into its fats.")).collect();
                let solution = words(Kind::LayerSolution);
                sentences.push(format!(
                    "Weigh {solution} of lye solution in a beaker of its own, pour it into its fats, and blend to {}.",
                    trace_and_test(first_stop(recipe, Some(layer_idx)))
                ));
                sentences
            }
            true => Vec::new(),
        };
        let stirred_in = stirred_in(print, layer_idx);
        if recipe.divide.swirl().is_some() {
            let nothing =
                stirred_in.is_empty().then(|| "Nothing is stirred in: it keeps the colour of the soap.".into());
            sentences.extend(stirred_in.into_iter().chain(nothing));
            let cautions = cautions_at(print.ledger, Step::Layer(layer_idx));
            let note = superfat_note(print, layer_idx);
            return LayerSteps { name: layer.name.to_string(), sentences, note, cautions };
        }
        sentences.extend(stirred_in);
        sentences.extend(blended_on(print, layer_idx));
        let verb = match layer.pouring {
            Pouring::Pour => "Pour it",
            Pouring::Spoon => "Lay it on with a spoon",
        };
        let poured = words(Kind::LayerPoured);
        sentences.push(match thickness_words(print, layer_idx) {
            Some(thickness) => format!("{verb}: {poured}, {thickness}."),
            None => format!("{verb}: {poured}."),
        });
        if let Some(wait) = print.ledger.waits.get(layer_idx) {
            let about = if wait.is_usual { "about " } else { "" };
            sentences.push(format!("Wait {about}{}, {}.", words(Kind::LayerWait), until_it_carries()));
        }
        if layer.spritz {
            sentences.push(format!("{}.", show::capitalised(misting())));
        }
        let cautions = cautions_at(print.ledger, Step::Layer(layer_idx));
        LayerSteps { name: layer.name.to_string(), sentences, note: superfat_note(print, layer_idx), cautions }
    });
    steps.collect()
}

/// What superfat a layer's own weighing gives.
fn superfat_note(print: Printer<'_>, layer_idx: usize) -> String {
    let worst = of_layer(print, layer_idx, Kind::LayerWorst);
    if print.ledger.recipe.divide == Divide::Batter || print.figure(&worst).is_none() {
        return String::new();
    }
    let superfat = print.words(&of_layer(print, layer_idx, Kind::LayerSuperfat));
    format!("Weighed like this, its superfat is {superfat}, and at the very worst {}.", print.words(&worst))
}

/// Dividing among the jugs, which comes before all layers, of a batter because the rest thickens while the first of them sets.
/// Powders are wetted before a batter is made, and out of a jug of fats when it is filled.
fn dividing(print: Printer<'_>) -> LayerSteps {
    let recipe = &print.ledger.recipe;
    let is_batter = recipe.divide.is_of_batter();
    let (kind, what) = if is_batter { (Kind::LayerBatter, "batter") } else { (Kind::LayerFats, "the melted fats") };
    let jug = |(layer_idx, name): (usize, &str)| {
        let words = |kind: Kind| print.words(&of_layer(print, layer_idx, kind));
        let (amount, jug) = (words(kind), words(Kind::LayerVessel));
        format!("Weigh {amount} of {what} for {name} into a jug of at least {jug}.")
    };
    let mut sentences: Vec<String> = recipe.layers.iter().map(|it| &*it.name).enumerate().map(jug).collect();
    if wets_powders(recipe) {
        sentences.insert(if is_batter { 0 } else { sentences.len() }, format!("{}.", slurry_words(print)));
    }
    LayerSteps { name: "Divide first".to_owned(), sentences, note: String::new(), cautions: Vec::new() }
}

/// What is stirred into a layer at trace: its part of what goes into every layer, then what goes into it alone.
fn stirred_in(print: Printer<'_>, layer_idx: usize) -> Vec<String> {
    let of_layer = |it: Part| matches!(it, Part::LayerShared(its_layer, _) if its_layer == layer_idx);
    let shared = in_cups(print, print.ledger.figures().iter().filter(|it| of_layer(it.part))).into_iter().map(|it| {
        format!("Stir in its share of {}: {}.", show::the(it.name.as_deref().unwrap_or_default()), print.words(&it.key))
    });
    shared.chain(own_extras(print, layer_idx, Moment::Trace).map(|it| format!("Stir in {it}."))).collect()
}

/// How a layer comes to the trace at which it is poured, if not by its first blending.
fn blended_on(print: Printer<'_>, layer_idx: usize) -> Option<String> {
    let recipe = &print.ledger.recipe;
    if is_cooked(recipe) {
        return None;
    }
    let stop = stop_at(recipe, Some(layer_idx));
    let on = blending_on(print, stop);
    let sets_by_itself = sets_by_its_powder(recipe, &print.ledger.batch, layer_idx, print.tables);
    match recipe.divide {
        Divide::Batter if stop == stop_at(recipe, None) => None,
        // Portions stay as fluid as their batter.
        Divide::Swirl(_) => None,
        _ if sets_by_itself => Some("Its powder thickens it within minutes: stir by hand, and pour at once.".into()),
        Divide::Batter if layer_idx > 0 => {
            Some(format!("It has thickened while it waited. Stir it; if it is not there yet, {on}."))
        }
        Divide::Batter => Some(format!("{}.", show::capitalised(&on))),
        Divide::FatsAndLye if stirs_in(recipe, Some(layer_idx)) && first_stop(recipe, Some(layer_idx)) < stop => {
            Some(format!("If it is not there yet, {on}."))
        }
        Divide::FatsAndLye => None,
    }
}

/// Where the traces and the waiting times are from; empty when the recipe states all of them.
fn times_note(print: Printer<'_>) -> String {
    let recipe = &print.ledger.recipe;
    let mut note = Vec::new();
    if print.ledger.waits.iter().any(|it| it.is_usual) {
        note.push("A wait given as “about” is common practice, and only a place to start.");
    }
    let of_recipe = recipe.trace.is_some() && recipe.divide == Divide::FatsAndLye;
    if !is_cooked(recipe) && !of_recipe && recipe.layers.iter().any(|it| it.trace.is_none()) {
        note.push("So is a trace that the recipe does not state: it depends on what is poured onto the layer.");
    }
    if !note.is_empty() {
        note.push("The spoon decides, not the clock.");
    }
    note.join(" ")
}

/// What goes into a layer alone, with its spoon measure and what it does with time.
fn extras(print: Printer<'_>, layer_idx: usize) -> Vec<Row> {
    let typed = &print.ledger.recipe.layers[layer_idx].extras;
    let rows = layer_extras(print, layer_idx, None).zip(typed).map(|(figure, typed)| {
        let spoons = layer_spoons(print, figure).map(|it| format!("about {it}"));
        let browns = typed.browns().then(|| "browns with time".to_owned());
        let hints: Vec<String> = spoons.into_iter().chain(browns).collect();
        Row {
            name: figure.name.as_deref().unwrap_or_default().to_owned(),
            hint: (!hints.is_empty()).then(|| hints.join(", ")),
            amount: print.amount(&figure.key),
        }
    });
    rows.collect()
}
