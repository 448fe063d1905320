//! The cut face of what is made, small: the sign by which a lesson is known.
//!
//! Layer 6. Data in, strings out; `theme/templates/emblem.svg` draws it. Without numbers, which are the cross-section's.

use serde::Serialize;

use super::super::printer::Printer;
use super::decimal;
use super::soap::{Fill, fill_of_all, fills, strokes};

/// Width of the drawn soap, in units of the drawing.
const WIDTH: f64 = 96.0;
/// Height of the drawn soap where no mould gives one.
const HEIGHT: f64 = 72.0;
/// The drawn soap is neither flatter nor taller than this, whatever the mould.
const HEIGHTS: (f64, f64) = (36.0, 112.0);
/// Room on each side, for the outline.
const MARGIN: f64 = 2.0;
/// How high the waves of a swirl are, and how many of them there are from edge to edge.
const WAVE: (f64, f64) = (7.0, 3.0);
/// The jar of a paste: how high it is, how high its neck, and how much narrower than the jar that is on each side.
const JAR: (f64, f64, f64) = (104.0, 14.0, 10.0);

/// A layer, or a portion, as drawn: from its upper edge to the bottom, so that the next one covers what is not its own.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(crate) struct Piece {
    pub(crate) path: String,
    /// Strokes of the pattern; empty for a plain one.
    pub(crate) strokes: String,
    pub(crate) fill: Fill,
}

/// The figure.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(crate) struct Emblem {
    pub(crate) title: String,
    pub(crate) words: String,
    pub(crate) width: String,
    pub(crate) height: String,
    /// The last poured first.
    pub(crate) pieces: Vec<Piece>,
    pub(crate) outline: String,
}

/// Draws the cut face of a bar, or the jar of a paste that goes into no mould.
pub(crate) fn emblem(print: Printer<'_>) -> Emblem {
    let ledger = print.ledger;
    let title = &ledger.recipe.title;
    if ledger.timeline.mould.is_none() {
        return jar(title, fill_of_all(ledger));
    }
    let across = ledger.recipe.mould().and_then(|it| it.shape.across());
    let height = across.zip(ledger.batch.filled_height).map_or(HEIGHT, |(across, filled)| {
        (WIDTH * filled.to_millimetres() / across.to_millimetres()).clamp(HEIGHTS.0, HEIGHTS.1)
    });
    let is_swirled = ledger.recipe.divide.swirl().is_some();
    let (left, right, top, bottom) = (MARGIN, MARGIN + WIDTH, MARGIN, MARGIN + height);
    let mut lower_edge = bottom;
    let layers: Vec<(f64, Fill)> = match ledger.batch.layers.is_empty() {
        true => vec![(1.0, fill_of_all(ledger))],
        false => ledger.batch.layers.iter().map(|it| it.height_fraction).zip(fills(ledger)).collect(),
    };
    let n_layers = layers.len();
    let pieces = layers.into_iter().enumerate().map(|(layer_idx, (fraction, fill))| {
        let slice = height * fraction;
        let upper_edge = if layer_idx + 1 == n_layers { top } else { lower_edge - slice };
        let (wave, n_waves) = WAVE;
        // No wave is higher than half of what it goes through, or a thin portion would be covered.
        let wave = if is_swirled && upper_edge > top { wave.min(slice / 2.0) } else { 0.0 };
        let quarter = WIDTH / n_waves / 2.0;
        let half_wave = |direction: f64| format!("q{:.1} {:.1} {quarter:.1} 0", quarter / 2.0, 2.0 * direction * wave);
        let edge = match wave > 0.0 {
            true => format!("{}{}", half_wave(-1.0), half_wave(1.0)).repeat(n_waves as usize),
            false => format!("H{right:.1}"),
        };
        let piece = Piece {
            path: format!("M{left:.1} {upper_edge:.1}{edge}V{bottom:.1}H{left:.1}Z"),
            strokes: strokes(layer_idx, (left, WIDTH), (upper_edge, lower_edge)),
            fill,
        };
        lower_edge = upper_edge;
        piece
    });
    let mut pieces: Vec<Piece> = pieces.collect();
    pieces.reverse();
    let names: Vec<&str> = ledger.recipe.layers.iter().map(|it| &*it.name).collect();
    Emblem {
        title: format!("The cut face of {title}"),
        words: match (n_layers, is_swirled) {
            (1, _) => "A bar of one colour.".to_owned(),
            (_, true) => format!("A sketch: {}, in waves. How they lie is the swirl\u{2019}s.", names.join(", ")),
            (_, false) => format!("From the bottom up: {}.", names.join(", ")),
        },
        width: decimal(WIDTH + 2.0 * MARGIN),
        height: decimal(height + 2.0 * MARGIN),
        pieces,
        outline: format!("M{left:.1} {top:.1}H{right:.1}V{bottom:.1}H{left:.1}Z"),
    }
}

/// A paste in its jar.
fn jar(title: &str, fill: Fill) -> Emblem {
    let (height, neck, inset) = JAR;
    let (left, right, top, bottom) = (MARGIN, MARGIN + WIDTH, MARGIN, MARGIN + height);
    let shoulder = top + 2.0 * neck;
    Emblem {
        title: format!("A jar of {title}"),
        words: "A paste of one colour in a jar.".to_owned(),
        width: decimal(WIDTH + 2.0 * MARGIN),
        height: decimal(height + 2.0 * MARGIN),
        pieces: vec![Piece {
            path: format!("M{left:.1} {:.1}H{right:.1}V{bottom:.1}H{left:.1}Z", shoulder + neck),
            strokes: String::new(),
            fill,
        }],
        outline: format!(
            "M{:.1} {top:.1}H{:.1}V{:.1}L{right:.1} {shoulder:.1}V{bottom:.1}H{left:.1}V{shoulder:.1}L{:.1} {:.1}Z",
            left + inset,
            right - inset,
            top + neck,
            left + inset,
            top + neck
        ),
    }
}
