//! The portions of a batter side by side, each in its jug.
//!
//! Layer 6. Data in, strings out; `theme/templates/portions.svg` draws it. All jugs are alike, so that their fills compare.

use serde::Serialize;

use super::super::printer::Printer;
use super::decimal;
use super::soap::{Fill, fills, strokes};
use crate::ledger::{Key, Kind};

/// Width of the row of jugs; more than a few need more.
const WIDTH: f64 = 300.0;
/// The widest and the narrowest jug with the room beside it.
const COLUMNS: (f64, f64) = (48.0, 90.0);
/// Height of a jug, of which the fullest is filled so far.
const HEIGHT: f64 = 110.0;
const FULLEST: f64 = 0.86;
/// Room beside each jug, above it, and below it for its number.
const MARGINS: (f64, f64, f64) = (10.0, 8.0, 26.0);

/// A jug as drawn.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(crate) struct Jug {
    pub(crate) label: String,
    pub(crate) x: String,
    pub(crate) y: String,
    pub(crate) width: String,
    pub(crate) height: String,
    /// Its wall, with the spout.
    pub(crate) outline: String,
    pub(crate) middle: String,
    pub(crate) strokes: String,
    pub(crate) fill: Fill,
}

/// The figure.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(crate) struct PortionsFigure {
    pub(crate) title: String,
    pub(crate) words: String,
    pub(crate) width: String,
    pub(crate) height: String,
    pub(crate) number_y: String,
    pub(crate) are_coloured: bool,
    pub(crate) jugs: Vec<Jug>,
}

/// Draws the portions of a recipe in the order of its file.
pub(crate) fn portions_figure(print: Printer<'_>) -> PortionsFigure {
    let ledger = print.ledger;
    let layers = &ledger.batch.layers;
    let column = (WIDTH / layers.len() as f64).clamp(COLUMNS.0, COLUMNS.1);
    let most = layers.iter().map(|it| it.height_fraction).fold(0.0, f64::max);
    let (beside, top, below) = MARGINS;
    let bottom = top + HEIGHT;
    let mut told = Vec::new();
    let jugs = layers.iter().zip(fills(ledger)).enumerate().map(|(layer_idx, (layer, fill))| {
        let percent = print.words(&Key::one(Kind::LayerPercent).in_layer(layer.key.clone()));
        told.push(format!("{} {percent}", layer.name));
        let (left, width) = (beside + column * layer_idx as f64, column - 2.0 * beside);
        let filled = HEIGHT * FULLEST * layer.height_fraction / most;
        Jug {
            label: format!("{}, {percent} of the batter", layer.name),
            x: decimal(left),
            y: decimal(bottom - filled),
            width: decimal(width),
            height: decimal(filled),
            outline: format!("M{left:.1} {top:.1}V{bottom:.1}H{:.1}V{:.1}l6 -6", left + width, top + 6.0),
            middle: decimal(left + width / 2.0),
            strokes: strokes(layer_idx, (left, width), (bottom - filled, bottom)),
            fill,
        }
    });
    let jugs: Vec<Jug> = jugs.collect();
    PortionsFigure {
        title: format!("The portions of {}", ledger.recipe.title),
        words: format!("Jugs side by side, filled to scale: {}.", told.join(", ")),
        width: decimal((2.0 * beside + column * layers.len() as f64).max(WIDTH)),
        height: decimal(bottom + below),
        number_y: decimal(bottom + below / 2.0),
        are_coloured: jugs.iter().any(|it| it.fill.colour.is_some()),
        jugs,
    }
}
