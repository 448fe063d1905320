//! Layers in words: how large they are, what goes into each, and the mould they lie in.
//!
//! Layer 6.

use super::super::printer::Printer;
use crate::batch::is_wetted;
use crate::ledger::{Figure, Key, Kind, Moment, Part};
use crate::recipe::LayerSize;
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
    let layer = &print.ledger.recipe.layers[layer_idx];
    in_cups(print, layer_extras(print, layer_idx, Some(moment))).into_iter().map(move |figure| {
        let spoons = layer_spoons(print, figure).map(|it| format!(" (about {it})")).unwrap_or_default();
        let wetted = match figure.part {
            Part::LayerExtra(_, extra_idx) if is_wetted(&layer.extras[extra_idx]) => "wetted ",
            _ => "",
        };
        format!("{} of {wetted}{}{spoons}", print.words(&figure.key), figure.name.as_deref().unwrap_or_default())
    })
}

/// What a mould measures, for the figure.
pub(crate) fn mould_words(print: Printer<'_>) -> Option<String> {
    let mould = print.ledger.recipe.mould()?;
    let _ = print.ledger.batch.filled_height?;
    let across = match mould.shape {
        MouldShape::Box { .. } => "wide",
        MouldShape::Cylinder { .. } => "across",
    };
    let (width, depth) = (print.words_of(Kind::MouldAcross), print.words_of(Kind::MouldFilled));
    Some(format!("{width} {across} and filled {depth} deep"))
}
