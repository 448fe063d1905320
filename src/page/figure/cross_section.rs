//! The cross-section of a layered bar, to scale.
//!
//! Layer 6. Data in, strings out; `theme/templates/cross-section.svg` draws it. Patterns are strokes with coordinates of
//! their own, because a pattern referred to by an id breaks in mdBook's print page. Every layer has a pattern and a name
//! besides its colour (`soap.rs`).

use serde::Serialize;

use super::super::printer::Printer;
use super::super::words::mould_words;
use super::decimal;
use super::soap::{Fill, fills, strokes};
use crate::ledger::{Key, Kind, Ledger};
use crate::show;

/// Width of the drawn soap, in units of the drawing.
const WIDTH: f64 = 240.0;
/// Height of the drawn soap where no mould gives one.
const HEIGHT: f64 = 180.0;
/// The drawn soap is neither flatter nor taller than this, whatever the mould; then it is not to scale and says so.
const HEIGHTS: (f64, f64) = (60.0, 320.0);
/// Room above the soap, below it, and to its right for the numbers. The names stand beside the drawing, as text of the
/// page: in the drawing a long one would be cut, and all would shrink with it on a phone.
const MARGINS: (f64, f64, f64) = (8.0, 8.0, 36.0);
/// Least distance between two numbers.
const NUMBER_STEP: f64 = 18.0;

/// A layer as drawn.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(crate) struct Slice {
    pub(crate) label: String,
    pub(crate) y: String,
    pub(crate) height: String,
    pub(crate) label_y: String,
    /// Middle of the layer, where the line to the number starts.
    pub(crate) middle: String,
    /// Strokes of the pattern; empty for a plain layer.
    pub(crate) strokes: String,
    pub(crate) fill: Fill,
}

/// The figure.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(crate) struct CrossSection {
    pub(crate) title: String,
    pub(crate) words: String,
    /// How large the drawn soap is, and whether it is drawn to scale.
    pub(crate) size: String,
    pub(crate) width: String,
    pub(crate) height: String,
    /// Left edge, top, width and height of the soap.
    pub(crate) soap: [String; 4],
    pub(crate) right: String,
    pub(crate) names_x: String,
    /// Whether colours are those of the soap.
    pub(crate) are_coloured: bool,
    pub(crate) slices: Vec<Slice>,
}

/// Draws the layers of a recipe, the first poured at the bottom.
///
/// Each layer's height is its share of the whole; the whole is as high to its width as the soap in the mould, where the
/// recipe names a mould.
pub(crate) fn cross_section(print: Printer<'_>) -> CrossSection {
    let ledger = print.ledger;
    let mould = ledger.recipe.mould().zip(ledger.batch.filled_height);
    let fill =
        mould.and_then(|(mould, filled)| Some((mould.shape.across()?.to_millimetres(), filled.to_millimetres())));
    let to_scale = fill.map(|(across, deep)| WIDTH * deep / across);
    let height = to_scale.map_or(HEIGHT, |it| it.clamp(HEIGHTS.0, HEIGHTS.1));
    let scale_words = match to_scale {
        Some(it) if it == height => "Drawn to scale.",
        _ => "The layers are drawn to scale against each other, the whole is not.",
    };
    let (top, bottom, right_margin) = MARGINS;
    // Many thin layers have more numbers than fit beside the soap, which then gets room above and below.
    let n_layers = ledger.recipe.layers.len() as f64;
    let spare = (n_layers * NUMBER_STEP - height).max(0.0) / 2.0;
    let (top, bottom) = (top + spare, bottom + spare);
    let mut lower_edge = top + height;
    let number_ys = spread(&middles(ledger, top, height), NUMBER_STEP, top - spare, top + height + spare);
    let mut slices = Vec::new();
    let mut thicknesses = Vec::new();
    for (layer_idx, (layer, fill)) in ledger.batch.layers.iter().zip(fills(ledger)).enumerate() {
        let slice_height = height * layer.height_fraction;
        let upper_edge = lower_edge - slice_height;
        let middle = upper_edge + slice_height / 2.0;
        let key = |kind: Kind| Key::one(kind).in_layer(layer.key.clone());
        let thickness = match layer.thickness {
            Some(_) => print.words(&key(Kind::LayerThickness)),
            None => print
                .mark(&key(Kind::LayerHeight), show::with_unit(&show::fixed(layer.height_fraction * 100.0, 0), "%")),
        };
        slices.push(Slice {
            label: format!("{}, {thickness}", layer.name),
            y: decimal(upper_edge),
            height: decimal(slice_height),
            label_y: decimal(number_ys[layer_idx]),
            middle: decimal(middle),
            strokes: strokes(layer_idx, (MARGINS.0, WIDTH), (upper_edge, lower_edge)),
            fill,
        });
        thicknesses.push(format!("{} {thickness}", layer.name));
        lower_edge = upper_edge;
    }
    let mould = mould_words(print).map_or_else(String::new, |it| format!("The soap is {it}. "));
    CrossSection {
        title: format!("Cross-section of {}", ledger.recipe.title),
        size: format!("{mould}{scale_words}"),
        words: format!("{mould}From the bottom up: {}.", thicknesses.join(", ")),
        width: decimal(MARGINS.0 + WIDTH + right_margin),
        height: decimal(top + height + bottom),
        soap: [decimal(MARGINS.0), decimal(top), decimal(WIDTH), decimal(height)],
        right: decimal(MARGINS.0 + WIDTH),
        names_x: decimal(MARGINS.0 + WIDTH + 16.0),
        are_coloured: slices.iter().any(|it| it.fill.colour.is_some()),
        slices,
    }
}

/// The middle of each layer, from the bottom up.
fn middles(ledger: &Ledger, top: f64, height: f64) -> Vec<f64> {
    let mut lower_edge = top + height;
    let layers = ledger.batch.layers.iter();
    layers
        .map(|it| {
            let middle = lower_edge - height * it.height_fraction / 2.0;
            lower_edge -= height * it.height_fraction;
            middle
        })
        .collect()
}

/// Moves heights, given from the bottom up, as little apart as it takes to have `step` between them and half of it to
/// either limit; between the limits there is room for all of them.
fn spread(wanted: &[f64], step: f64, upper_limit: f64, lower_limit: f64) -> Vec<f64> {
    let mut below = lower_limit + step / 2.0;
    let mut heights: Vec<f64> = wanted
        .iter()
        .map(|it| {
            below = it.min(below - step);
            below
        })
        .collect();
    let mut above = upper_limit - step / 2.0;
    for it in heights.iter_mut().rev() {
        above = it.max(above + step);
        *it = above;
    }
    heights
}
