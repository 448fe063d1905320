//! The layer split: what goes into each layer, and what is done at the bench, in order.
//!
//! Layer 5.

use serde::Serialize;

use super::super::figure::{CrossSection, cross_section};
use super::super::{Computed, Units};
use super::measures::{length_words, vessel_words};
use super::spoons::spoons;
use super::steps::cautions_at;
use super::times::time_words;
use super::{Amount, Pick, Row, amount, percent, short};
use crate::batch::{ExtraAmount, Weighed, vessels, wait_after};
use crate::finding::Step;
use crate::recipe::{Divide, Layer, LayerSize, Pouring};
use crate::tables::{GoesInto, MouldShape, Tables};
use crate::units::Length;

/// A layer in the split table.
#[derive(Clone, Debug, Serialize)]
pub struct LayerRow {
    /// Name.
    pub name: String,
    /// How large it is, in words.
    pub share: String,
    /// Its amounts, under the heads of the table.
    pub amounts: Vec<Amount>,
    /// What goes into it alone.
    pub extras: Vec<Row>,
}

/// A layer at the bench.
#[derive(Clone, Debug, Serialize)]
pub struct LayerSteps {
    /// Name.
    pub name: String,
    /// What to do, in order, a sentence each.
    pub sentences: Vec<String>,
    /// What to be careful of.
    pub cautions: Vec<String>,
}

/// The layer split.
#[derive(Clone, Debug, Serialize)]
pub struct LayersView {
    /// What kind of block it is.
    pub kind: &'static str,
    /// The recipe's title.
    pub title: String,
    /// Head of the first column, then one for each amount.
    pub heads: Vec<&'static str>,
    /// The layers, in pouring order.
    pub rows: Vec<LayerRow>,
    /// All layers together.
    pub total: LayerRow,
    /// What comes before the first layer.
    pub note: String,
    /// Each layer at the bench.
    pub bench: Vec<LayerSteps>,
    /// Where the waiting times are from.
    pub times_note: String,
    /// The figure, already SVG; empty until it is rendered.
    pub figure: String,
    /// The figure in words, for forms without pictures.
    pub figure_words: String,
    /// The figure as data.
    #[serde(skip)]
    pub cross_section: CrossSection,
}

/// The layer split of a recipe; `None` when it has no layers.
#[must_use]
pub fn layers_view(computed: &Computed, units: Units, tables: &Tables) -> Option<LayersView> {
    let recipe = &computed.recipe;
    if recipe.layers.is_empty() {
        return None;
    }
    let of = |pick: Pick<'_>| amount(computed, units, pick);
    let rows: Vec<LayerRow> = recipe
        .layers
        .iter()
        .enumerate()
        .map(|(layer_idx, layer)| LayerRow {
            name: layer.name.clone(),
            share: share_words(computed, layer_idx, units),
            amounts: match recipe.divide {
                Divide::FatsAndLye => vec![
                    of(&|it| it.layers[layer_idx].fats),
                    of(&|it| it.layers[layer_idx].solution),
                    of(&|it| it.layers[layer_idx].poured()),
                ],
                Divide::Batter => vec![
                    of(&|it| it.layers[layer_idx].batter.unwrap_or_default()),
                    of(&|it| it.layers[layer_idx].poured()),
                ],
            },
            extras: layer_extras(computed, units, layer_idx),
        })
        .collect();
    let poured = of(&Weighed::poured);
    let total = LayerRow {
        name: "Together".into(),
        share: String::new(),
        amounts: match recipe.divide {
            Divide::FatsAndLye => vec![of(&|it| it.total_fats + it.extras_in_fats), of(&Weighed::solution), poured],
            Divide::Batter => vec![of(&|it| it.layers.iter().filter_map(|it| it.batter).sum()), poured],
        },
        extras: Vec::new(),
    };
    let cross_section = cross_section(computed, units);
    Some(LayersView {
        kind: "Layers",
        title: recipe.title.clone(),
        heads: match recipe.divide {
            Divide::FatsAndLye => vec!["Layer, in pouring order", "Fats", "Lye solution", "Poured"],
            Divide::Batter => vec!["Layer, in pouring order", "Batter", "Poured"],
        },
        rows,
        total,
        note: note(computed, units, tables),
        bench: bench(computed, units, tables),
        times_note: times_note(computed, tables),
        figure: String::new(),
        figure_words: cross_section.words.clone(),
        cross_section,
    })
}

/// How large a layer is: as typed, and how thick it lies where a mould tells.
fn share_words(computed: &Computed, layer_idx: usize, units: Units) -> String {
    let typed = size_words(&computed.recipe.layers, layer_idx, units);
    let thickness = computed.batch.layers[layer_idx].thickness.map(|it| thickness_words(it, units));
    match (computed.recipe.layers[layer_idx].size, thickness) {
        (LayerSize::Thickness(_), Some(thickness)) => thickness,
        (LayerSize::Parts(_), Some(thickness)) => format!("{typed}, {thickness}"),
        (LayerSize::Thickness(_), None) => {
            format!("{} of the height", percent(computed.batch.layers[layer_idx].height_fraction * 100.0))
        }
        (LayerSize::Parts(_), None) => typed,
    }
}

/// How large a layer is, as typed.
pub(super) fn size_words(layers: &[Layer], layer_idx: usize, units: Units) -> String {
    match layers[layer_idx].size {
        LayerSize::Thickness(thickness) => thickness_words(thickness, units),
        LayerSize::Parts(parts) => {
            let all: f64 = layers
                .iter()
                .map(|it| match it.size {
                    LayerSize::Parts(parts) => parts,
                    LayerSize::Thickness(_) => 0.0,
                })
                .sum();
            format!("{} of {} parts", short(parts, 3), short(all, 3))
        }
    }
}

fn thickness_words(thickness: Length, units: Units) -> String {
    format!("{} thick", length_words(thickness, units))
}

/// What comes before the first layer.
fn note(computed: &Computed, units: Units, tables: &Tables) -> String {
    let recipe = &computed.recipe;
    let pot = vessel_words(vessels(recipe, &computed.batch, tables).pot, units);
    let mut note = match recipe.divide {
        Divide::FatsAndLye => {
            "Take the fats from the melted and mixed fats, and the lye solution from what was made and has cooled. Each layer \
             is blended on its own."
                .to_owned()
        }
        Divide::Batter => format!(
            "All of the fats and the lye solution are blended once, to an emulsion and no further, in a pot of at least {pot}; \
             then the batter is divided by weight, before it thickens."
        ),
    };
    let batch_wide = recipe.extras.iter().any(|it| it.additive.goes_into == GoesInto::Trace);
    if batch_wide && recipe.divide == Divide::Batter {
        note.push_str(" What goes into every layer is stirred in before the batter is divided.");
    }
    if computed.grams.extras_in_fats > 0 && recipe.divide == Divide::FatsAndLye {
        note.push_str(" The fats are weighed with what was stirred into them.");
    }
    if computed.grams.layers.iter().any(|it| !it.extras.is_empty()) || batch_wide {
        note.push_str(" What is poured counts the additives as well.");
    }
    note
}

/// Each layer at the bench: weigh, blend, stir in, pour or spoon, wait, spritz.
fn bench(computed: &Computed, units: Units, tables: &Tables) -> Vec<LayerSteps> {
    let (recipe, batch) = (&computed.recipe, &computed.batch);
    let jugs = vessels(recipe, batch, tables).layers;
    let n_layers = recipe.layers.len();
    let steps = recipe.layers.iter().enumerate().map(|(layer_idx, layer)| {
        let of = |pick: Pick<'_>| amount(computed, units, pick).sentence();
        let jug = vessel_words(jugs[layer_idx], units);
        let mut sentences = match recipe.divide {
            Divide::FatsAndLye => {
                let fats = of(&|it| it.layers[layer_idx].fats);
                let mut sentences = vec![format!("Weigh {fats} of fats into a jug of at least {jug}.")];
                let into_fats = own_extras(computed, units, layer_idx, GoesInto::Fats);
                sentences.extend(into_fats.map(|it| format!("Stir {it} into them.")));
                let solution = of(&|it| it.layers[layer_idx].solution);
                sentences.push(format!("Weigh {solution} of lye solution to them, and blend to an emulsion."));
                sentences
            }
            Divide::Batter => vec![format!(
                "Weigh {} of batter into a jug of at least {jug}.",
                of(&|it| it.layers[layer_idx].batter.unwrap_or_default())
            )],
        };
        sentences.extend(stirred_in(computed, units, layer_idx));
        let verb = match layer.pouring {
            Pouring::Pour => "Pour it",
            Pouring::Spoon => "Lay it on with a spoon",
        };
        let poured = of(&|it| it.layers[layer_idx].poured());
        sentences.push(match batch.layers[layer_idx].thickness {
            Some(thickness) => format!("{verb}: {poured}, {}.", thickness_words(thickness, units)),
            None => format!("{verb}: {poured}."),
        });
        if layer_idx + 1 < n_layers {
            let (wait, _, is_usual) = wait_after(recipe, layer_idx, tables);
            let wait = time_words(wait, wait);
            let about = if is_usual { "about " } else { "" };
            sentences.push(format!("Wait {about}{wait}, until it is firm but still tacky."));
        }
        if layer.spritz {
            sentences.push("Mist it with rubbing alcohol, away from any flame.".into());
        }
        let cautions = cautions_at(computed, Step::Layer(layer_idx));
        LayerSteps { name: layer.name.clone(), sentences, cautions }
    });
    steps.collect()
}

/// What is stirred into a layer at trace: its part of what goes into every layer, then what goes into it alone.
fn stirred_in(computed: &Computed, units: Units, layer_idx: usize) -> Vec<String> {
    let (recipe, batch) = (&computed.recipe, &computed.batch);
    let of = |pick: Pick<'_>| amount(computed, units, pick).sentence();
    let mut sentences = Vec::new();
    if recipe.divide == Divide::FatsAndLye {
        for (extra_idx, extra) in batch.extras.iter().enumerate().filter(|(_, it)| it.goes_into == GoesInto::Trace) {
            let part = of(&|it| it.layers[layer_idx].shared_extras[extra_idx]);
            sentences.push(format!("Stir in its part of the {}: {part}.", extra.name));
        }
    }
    sentences.extend(own_extras(computed, units, layer_idx, GoesInto::Trace).map(|it| format!("Stir in {it}.")));
    sentences
}

/// What goes into a layer alone at one moment: mass, name and spoons of each.
pub(super) fn own_extras(
    computed: &Computed,
    units: Units,
    layer_idx: usize,
    goes_into: GoesInto,
) -> impl Iterator<Item = String> {
    let extras = computed.batch.layers[layer_idx].extras.iter().enumerate();
    extras.filter(move |(_, it)| it.goes_into == goes_into).map(move |(extra_idx, extra)| {
        let mass = amount(computed, units, |it| it.layers[layer_idx].extras[extra_idx]).sentence();
        let spoons = extra.volume.and_then(spoons).map(|it| format!(" (about {it})")).unwrap_or_default();
        format!("{mass} of {}{spoons}", extra.name)
    })
}

/// Where the waiting times are from; empty when the recipe states all of them.
fn times_note(computed: &Computed, tables: &Tables) -> String {
    let recipe = &computed.recipe;
    let waiting = 0..recipe.layers.len().saturating_sub(1);
    let mut usual = waiting.filter(|it| wait_after(recipe, *it, tables).2).peekable();
    if usual.peek().is_none() {
        return String::new();
    }
    "A wait of “about” is common practice, no more than a place to start: the layer tells when it is ready.".into()
}

/// What goes into a layer alone, with its spoon measure and what it does with time.
fn layer_extras(computed: &Computed, units: Units, layer_idx: usize) -> Vec<Row> {
    let extras = computed.batch.layers[layer_idx].extras.iter().zip(&computed.recipe.layers[layer_idx].extras);
    extras
        .enumerate()
        .map(|(idx, (it, typed))| Row {
            name: it.name.clone(),
            hint: extra_hints(it, typed.browns()),
            amount: amount(computed, units, |weighed| weighed.layers[layer_idx].extras[idx]),
        })
        .collect()
}

fn extra_hints(extra: &ExtraAmount, browns: bool) -> Option<String> {
    let spoons = extra.volume.and_then(spoons).map(|it| format!("about {it}"));
    let hints: Vec<String> = spoons.into_iter().chain(browns.then(|| "browns with time".to_owned())).collect();
    (!hints.is_empty()).then(|| hints.join(", "))
}

/// What a mould measures, for the figure.
#[must_use]
pub fn mould_words(computed: &Computed, units: Units) -> Option<String> {
    let (mould, filled) = (computed.recipe.mould()?, computed.batch.filled_height?);
    let across = match mould.shape {
        MouldShape::Box { width, .. } => format!("{} wide", length_words(width, units)),
        MouldShape::Cylinder { diameter } => format!("{} across", length_words(diameter, units)),
    };
    Some(format!("{across} and filled {} deep", length_words(filled, units)))
}
