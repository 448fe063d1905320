//! The layer split.
//!
//! Layer 5.

use serde::Serialize;

use super::super::figure::{CrossSection, cross_section};
use super::super::{Computed, Units};
use super::spoons::spoons;
use super::{Amount, Pick, Row, amount, short};
use crate::batch::Weighed;
use crate::recipe::BatchSize;
use crate::tables::MouldShape;
use crate::units::{Length, Mass};

/// A layer in the split table.
#[derive(Clone, Debug, Serialize)]
pub struct LayerRow {
    /// Name.
    pub name: String,
    /// Its share in words.
    pub share: String,
    /// Its part of the fats.
    pub fats: Amount,
    /// Its part of the lye.
    pub solution: Amount,
    /// Everything together.
    pub poured: Amount,
    /// What goes into it alone.
    pub extras: Vec<Row>,
}

/// The layer split.
#[derive(Clone, Debug, Serialize)]
pub struct LayersView {
    /// What kind of block it is.
    pub kind: &'static str,
    /// The recipe's title.
    pub title: String,
    /// Heads of the table.
    pub heads: [&'static str; 4],
    /// The layers, in pouring order.
    pub rows: Vec<LayerRow>,
    /// All layers together.
    pub total: LayerRow,
    /// How to read it.
    pub note: String,
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
pub fn layers_view(computed: &Computed, units: Units) -> Option<LayersView> {
    let recipe = &computed.recipe;
    if recipe.layers.is_empty() {
        return None;
    }
    let of = |pick: Pick<'_>| amount(computed, units, pick);
    let all_parts: f64 = recipe.layers.iter().map(|it| it.parts).sum();
    let rows: Vec<LayerRow> = recipe
        .layers
        .iter()
        .enumerate()
        .map(|(layer_idx, layer)| LayerRow {
            name: layer.name.clone(),
            share: format!("{} of {} parts", short(layer.parts, 3), short(all_parts, 3)),
            fats: of(&|it| it.layers[layer_idx].fats),
            solution: of(&|it| it.layers[layer_idx].solution),
            poured: of(&|it| it.layers[layer_idx].poured()),
            extras: layer_extras(computed, units, layer_idx),
        })
        .collect();
    let total = LayerRow {
        name: "Together".into(),
        share: String::new(),
        fats: of(&|it| it.total_fats),
        solution: of(&Weighed::solution),
        poured: of(&Weighed::poured),
        extras: Vec::new(),
    };
    let cross_section = cross_section(computed);
    Some(LayersView {
        kind: "Layers",
        title: recipe.title.clone(),
        heads: ["Layer, in pouring order", "Fats", "Lye solution", "Poured"],
        rows,
        total,
        note: note(computed),
        figure: String::new(),
        figure_words: cross_section.words.clone(),
        cross_section,
    })
}

fn note(computed: &Computed) -> String {
    let mut note =
        "Take the fats from the melted and mixed fats, and the lye solution from what was made and has cooled."
            .to_owned();
    if computed.batch.total_extras() > Mass::ZERO {
        note.push_str(" What is poured counts the additives as well.");
    }
    note
}

/// What goes into a layer alone, with its spoon measure.
fn layer_extras(computed: &Computed, units: Units, layer_idx: usize) -> Vec<Row> {
    let extras = computed.batch.layers[layer_idx].extras.iter().enumerate();
    extras
        .map(|(idx, it)| Row {
            name: it.name.clone(),
            hint: it.volume.and_then(spoons).map(|it| format!("about {it}")),
            amount: amount(computed, units, |weighed| weighed.layers[layer_idx].extras[idx]),
        })
        .collect()
}

/// What a mould measures, for the figure.
#[must_use]
pub fn mould_words(computed: &Computed) -> Option<String> {
    let BatchSize::Mould(mould) = &computed.recipe.size else { return None };
    let millimetres = |it: Length| short(it.to_millimetres(), 1);
    let across = match mould.shape {
        MouldShape::Box { width, .. } => format!("{} mm wide", millimetres(width)),
        MouldShape::Cylinder { diameter } => format!("{} mm across", millimetres(diameter)),
    };
    Some(format!("{across} and filled {} mm deep", millimetres(mould.fill_height)))
}
