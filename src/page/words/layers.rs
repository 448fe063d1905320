//! Layers in words: how large they are, what goes into each, and the mould they lie in.
//!
//! Layer 6.

use super::super::printer::Printer;
use super::steps::in_its_liquid;
use crate::batch::is_wetted;
use crate::ledger::{Figure, Key, Kind, Moment, Part};
use crate::recipe::{Extra, LayerSize, Swirl};
use crate::show::short;
use crate::tables::MouldShape;

/// How large a layer is, as typed.
pub(crate) fn size_words(print: Printer<'_>, layer_idx: usize) -> String {
    let layers = &print.ledger.recipe.layers;
    let parts_of = |size: LayerSize| match size {
        LayerSize::Parts(parts) => parts,
        LayerSize::Thickness(_) => 0.0,
    };
    let key = Key::one(Kind::LayerSize).in_layer(layers[layer_idx].key.clone());
    match layers[layer_idx].size {
        LayerSize::Thickness(_) => format!("{} thick", print.words(&key)),
        LayerSize::Parts(parts) => {
            let all: f64 = layers.iter().map(|it| parts_of(it.size)).sum();
            format!("{} of {} parts", print.mark(&key, short(parts, 3)), short(all, 3))
        }
    }
}

/// The figures of what goes into a layer alone, at one moment or at any.
pub(crate) fn layer_extras(
    print: Printer<'_>,
    layer_idx: usize,
    moment: Option<Moment>,
) -> impl Iterator<Item = &Figure> {
    print.ledger.weighed_out().filter(move |it| {
        matches!(it.part, Part::LayerExtra(its_layer, _) if its_layer == layer_idx)
            && moment.is_none_or(|moment| it.goes_into == Some(moment))
    })
}

/// The spoon measure of what goes into a layer alone.
pub(crate) fn layer_spoons(print: Printer<'_>, figure: &Figure) -> Option<String> {
    print.spoons(&Key { kind: Kind::LayerSpoons, ..figure.key.clone() })
}

/// What is stirred in as one: a blend in place of its oils, which are in one cup by then.
pub(crate) fn in_cups<'a>(print: Printer<'a>, figures: impl Iterator<Item = &'a Figure>) -> Vec<&'a Figure> {
    let recipe = &print.ledger.recipe;
    let blend_of = |figure: &Figure| match figure.part {
        Part::Extra(idx) | Part::LayerShared(_, idx) => recipe.extras[idx].blend.as_ref(),
        Part::LayerExtra(layer_idx, idx) => recipe.layers[layer_idx].extras[idx].blend.as_ref(),
        _ => None,
    };
    let mut cups: Vec<&Figure> = Vec::new();
    for figure in figures {
        let blend = blend_of(figure).map(|it| Key { of: Some(it.id.clone()), ..figure.key.clone() });
        let cup = blend.and_then(|it| print.figure(&it)).unwrap_or(figure);
        if cups.last().is_none_or(|it| it.key != cup.key) {
            cups.push(cup);
        }
    }
    cups
}

/// What goes into a layer alone at one moment: mass, name and spoons of each.
pub(crate) fn own_extras(print: Printer<'_>, layer_idx: usize, moment: Moment) -> impl Iterator<Item = String> {
    let typed = &print.ledger.recipe.layers[layer_idx].extras;
    let of = move |figure: &Figure| match figure.part {
        Part::LayerExtra(_, idx) => Some(idx),
        _ => None,
    };
    let is_liquid = move |idx: usize| typed.get(idx).is_some_and(|it| it.disperses.is_some());
    let alone = layer_extras(print, layer_idx, Some(moment)).filter(move |it| !of(it).is_some_and(is_liquid));
    in_cups(print, alone).into_iter().map(move |figure| {
        let spoons = layer_spoons(print, figure).map(|it| format!(" (about {it})")).unwrap_or_default();
        let dispersed = in_its_liquid(print, figure, "dispersed beforehand in");
        let dispersed = if dispersed.is_empty() { dispersed } else { format!(",{dispersed}") };
        let wetted = match of(figure) {
            Some(idx) if is_wetted(&typed[idx]) => "wetted ",
            _ => "",
        };
        let name = figure.name.as_deref().unwrap_or_default();
        format!("{} of {wetted}{name}{spoons}{dispersed}", print.words(&figure.key))
    })
}

/// Whether an additive is only there for another to be dispersed in.
pub(crate) fn is_dispersing(extra: &Extra) -> bool {
    extra.disperses.is_some()
}

/// Why a batter that is swirled is blended so far and no further.
pub(crate) fn why_that_trace(swirl: Swirl) -> &'static str {
    match swirl {
        Swirl::InThePot => " If it is thinner, the colours run together; if it is thicker, they lie in lumps.",
        Swirl::Drop => " A portion dropped from a height then sinks into the other without mixing with it.",
        Swirl::Hanger => {
            " It then pours like cream: a wire draws fine lines only through a thin batter, and this one thickens \
             while you pour."
        }
        Swirl::Feather => " Then the lines stay on top and can still be drawn out.",
    }
}

/// A swirl by name, and what is done once the portions have their colours, in order.
pub(crate) fn swirl_steps(swirl: Swirl) -> (&'static str, &'static [&'static str]) {
    match swirl {
        Swirl::InThePot => (
            "Swirl in the pot",
            &[
                "Pour the portions back into the pot one after the other, each in its own place at the edge.",
                "Draw a spatula through all of them once or twice, and no more: every further stroke mixes them.",
                "Pour everything into the mould in one stream, moving along it.",
            ],
        ),
        Swirl::Drop => (
            "Drop swirl",
            &[
                "Pour the first portion into the mould.",
                "Pour each other portion into it in a thin stream, some lines from high above and some from close by: the \
                 higher, the deeper it sinks. Hold the jug no higher than your elbow, with goggles on, so that nothing splashes.",
                "Tap the mould on the table once, and leave it alone.",
            ],
        ),
        Swirl::Hanger => (
            "Hanger swirl",
            &[
                "Pour the portions into the mould in turn, in lines along it, until all of the batter is in.",
                "Push the bent wire down along one wall to the bottom, move it across a little, draw it up, and go on \
                 like this to the other wall.",
                "Lift it out along the wall, and wipe it with paper: the batter on it is caustic.",
            ],
        ),
        Swirl::Feather => (
            "Feathered top",
            &[
                "Pour the first portion into the mould, but keep back a little of it.",
                "Pour the others, and what you kept back, onto it in thin lines across the mould, side by side.",
                "Draw a skewer through the lines, along the mould and back, a finger's breadth apart and no deeper than the \
                 lines lie.",
            ],
        ),
    }
}

/// What a mould measures, for the figure.
pub(crate) fn mould_words(print: Printer<'_>) -> Option<String> {
    let mould = print.ledger.recipe.mould()?;
    let _ = print.ledger.batch.filled_height?;
    let depth = print.words_of(Kind::MouldFilled);
    let across = match mould.shape {
        MouldShape::Box { .. } => "wide",
        MouldShape::Cylinder { .. } => "across",
        MouldShape::Other { .. } => return Some(format!("filled {depth} deep")),
    };
    Some(format!("{} {across} and filled {depth} deep", print.words_of(Kind::MouldAcross)))
}
