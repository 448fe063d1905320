//! The layers of a recipe, for programs: what is weighed for each, so that its parts add up to what is poured.
//!
//! Layer 7. Part of the form of `json.rs`.

use serde::Serialize;

use super::json::{Exact, Printed, Quantity, grams, printed, quantity};
use crate::batch::{is_cooked, stop_at};
use crate::ledger::{Key, Kind, Ledger, Part as Of};
use crate::units::Length;

/// A layer. What is weighed for it is `batter`, or `fats`, `solution` and `shared`; with `extras` it is what is poured.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct Layer {
    /// Name.
    name: String,
    /// Share of the batter.
    share: Exact,
    /// How thick it lies in the mould, where there is one; volume; least volume of its vessel; how long it takes until it
    /// is firm but still tacky.
    measures: Vec<Quantity>,
    /// How far it is blended before it is poured: `emulsion`, `light`, `medium` or `thick`; null where the soap is cooked.
    trace: Option<&'static str>,
    /// Its part of the blended batter, where that is what is divided.
    batter: Option<Part>,
    /// Everything that is poured.
    poured: Part,
    /// Fats. Where the batter is divided nobody weighs them, and nothing is printed of them.
    fats: Part,
    /// Lye solution; as for the fats.
    solution: Part,
    /// Its parts of what goes into every layer at trace; none where the batter is divided, which holds them.
    shared: Vec<LayerExtra>,
    /// What goes into it alone.
    extras: Vec<LayerExtra>,
}

/// An additive of one layer.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct LayerExtra {
    /// Name in recipes.
    id: String,
    /// How much.
    amount: Part,
}

/// A part of a layer.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct Part {
    /// Exact, in grams.
    exact: Exact,
    /// On each scale of the course; empty of what is not weighed.
    printed: Vec<Printed>,
}

/// The layers, in pouring order.
pub(super) fn layers(ledger: &Ledger) -> Vec<Layer> {
    let part_of = |key: &Key| {
        let amount = ledger.figure(key)?.amount;
        let scales = [&ledger.grams, &ledger.ounces];
        let printed = printed(&scales, &|it| amount.reading(it.scale.unit).unwrap_or_default());
        Some(Part { exact: grams(amount.mass()?), printed })
    };
    let layers = ledger.batch.layers.iter().enumerate().map(|(layer_idx, it)| {
        let key = |kind| Key::one(kind).in_layer(it.key.clone());
        // What is not weighed is no figure.
        let part = |kind, exact| part_of(&key(kind)).unwrap_or(Part { exact: grams(exact), printed: Vec::new() });
        let extras = |kind: Kind, is_meant: fn(Of, usize) -> bool| {
            let figures = ledger.figures().iter().filter(|it| it.key.kind == kind && is_meant(it.part, layer_idx));
            let extras = figures
                .filter_map(|it| Some(LayerExtra { id: it.key.of.as_deref()?.to_owned(), amount: part_of(&it.key)? }));
            extras.collect()
        };
        Layer {
            name: it.name.to_string(),
            share: Exact { value: it.fraction * 100.0, unit: "%" },
            measures: measures(ledger, layer_idx),
            trace: (!is_cooked(&ledger.recipe)).then(|| stop_at(&ledger.recipe, Some(layer_idx)).name()),
            batter: part_of(&key(Kind::LayerBatter)),
            poured: part(Kind::LayerPoured, it.poured()),
            fats: part(Kind::LayerFats, it.fats),
            solution: part(Kind::LayerSolution, it.solution),
            shared: extras(Kind::LayerShared, |part, of| matches!(part, Of::LayerShared(idx, _) if idx == of)),
            extras: extras(Kind::LayerAdditive, |part, of| matches!(part, Of::LayerExtra(idx, _) if idx == of)),
        }
    });
    layers.collect()
}

fn measures(ledger: &Ledger, layer_idx: usize) -> Vec<Quantity> {
    let layer = &ledger.batch.layers[layer_idx];
    let wait = ledger.waits.get(layer_idx).map(|it| it.time.to_minutes());
    vec![
        quantity("thickness", layer.thickness.map(Length::to_millimetres), "mm"),
        quantity("volume", Some(layer.volume.to_millilitres()), "mL"),
        quantity("vessel", Some(ledger.vessels.layers[layer_idx].to_millilitres()), "mL"),
        quantity("wait", wait, "min"),
    ]
}
