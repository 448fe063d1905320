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

/// What goes into a layer alone at one moment: mass, name and spoons of each.
pub(crate) fn own_extras(print: Printer<'_>, layer_idx: usize, moment: Moment) -> impl Iterator<Item = String> {
    let layer = &print.ledger.recipe.layers[layer_idx];
    layer_extras(print, layer_idx, Some(moment)).map(move |figure| {
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
