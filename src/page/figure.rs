//! The cross-section of a layered bar, to scale.
//!
//! Layer 5. Data in, strings out; `theme/templates/cross-section.svg` draws it. Patterns are strokes with coordinates of
//! their own, because a pattern referred to by an id breaks in mdBook's print page. Colours are classes of the style
//! sheet, and every layer has a pattern and a name besides its colour.

use std::fmt::Write as _;

use serde::Serialize;

use super::Computed;
use super::view::mould_words;
use crate::recipe::BatchSize;
use crate::tables::MouldShape;

/// Width of the drawn soap, in units of the drawing.
const WIDTH: f64 = 240.0;
/// Height of the drawn soap where no mould gives one.
const HEIGHT: f64 = 180.0;
/// The drawn soap is neither flatter nor taller than this, whatever the mould; then it is not to scale and says so.
const HEIGHTS: (f64, f64) = (60.0, 320.0);
/// Room above the soap, below it, and to its right for the names.
const MARGINS: (f64, f64, f64) = (8.0, 8.0, 170.0);
/// Distance between strokes of a pattern.
const STEP: f64 = 12.0;
/// Least distance between two names.
const NAME_STEP: f64 = 18.0;

/// A layer as drawn.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Slice {
    /// Name and thickness.
    pub label: String,
    /// Top edge.
    pub y: String,
    /// Height.
    pub height: String,
    /// Baseline of the name.
    pub label_y: String,
    /// Middle of the layer, where the line to the name starts.
    pub middle: String,
    /// Strokes of the pattern; empty for a plain layer.
    pub strokes: String,
    /// Which of the colours of the style sheet.
    pub tone: usize,
}

/// The figure.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CrossSection {
    /// Title for readers who cannot see it.
    pub title: String,
    /// The figure in a sentence.
    pub words: String,
    /// Width of the drawing.
    pub width: String,
    /// Height of the drawing.
    pub height: String,
    /// Left edge, top, width and height of the soap.
    pub soap: [String; 4],
    /// Right edge of the soap.
    pub right: String,
    /// Where names start.
    pub names_x: String,
    /// The layers, from the bottom up.
    pub slices: Vec<Slice>,
}

/// Draws the layers of a recipe, the first poured at the bottom.
///
/// Each layer's height is its share of the whole; the whole is as high to its width as the soap in the mould, where the
/// recipe names a mould.
#[must_use]
pub fn cross_section(computed: &Computed) -> CrossSection {
    let fill = match &computed.recipe.size {
        BatchSize::Mould(mould) => {
            let across = match mould.shape {
                MouldShape::Box { width, .. } => width,
                MouldShape::Cylinder { diameter } => diameter,
            };
            Some((across.to_millimetres(), mould.fill_height.to_millimetres()))
        }
        BatchSize::Fats(_) => None,
    };
    let height = fill.map_or(HEIGHT, |(across, deep)| (WIDTH * deep / across).clamp(HEIGHTS.0, HEIGHTS.1));
    let (top, bottom, right_margin) = MARGINS;
    let mut lower_edge = top + height;
    let mut name_limit = f64::INFINITY;
    let mut slices = Vec::new();
    let mut thicknesses = Vec::new();
    for (layer_idx, layer) in computed.recipe.layers.iter().enumerate() {
        let (slice_height, upper_edge) = (height * layer.fraction, lower_edge - height * layer.fraction);
        let middle = upper_edge + slice_height / 2.0;
        // Names of thin layers move up so that they do not lie over one another.
        let label_y = (middle + 4.0).min(name_limit - NAME_STEP);
        name_limit = label_y;
        let thickness = match fill {
            Some((_, deep)) => format!("{:.1} mm", deep * layer.fraction),
            None => format!("{:.0} %", layer.fraction * 100.0),
        };
        slices.push(Slice {
            label: format!("{}, {thickness}", layer.name),
            y: decimal(upper_edge),
            height: decimal(slice_height),
            label_y: decimal(label_y),
            middle: decimal(middle),
            strokes: strokes(layer_idx, upper_edge, lower_edge),
            tone: layer_idx % 4 + 1,
        });
        thicknesses.push(format!("{} {thickness}", layer.name));
        lower_edge = upper_edge;
    }
    let mould = mould_words(computed).map_or_else(String::new, |it| format!("The soap is {it}. "));
    CrossSection {
        title: format!("Cross-section of {}", computed.recipe.title),
        words: format!("{mould}From the bottom up: {}.", thicknesses.join(", ")),
        width: decimal(MARGINS.0 + WIDTH + right_margin),
        height: decimal((top + height + bottom).max(top + height + bottom)),
        soap: [decimal(MARGINS.0), decimal(top), decimal(WIDTH), decimal(height)],
        right: decimal(MARGINS.0 + WIDTH),
        names_x: decimal(MARGINS.0 + WIDTH + 16.0),
        slices,
    }
}

/// One decimal, so that the same input gives the same bytes everywhere.
fn decimal(value: f64) -> String {
    format!("{value:.1}")
}

/// The strokes of the pattern of a layer: none, dots, dashes or crosses, in turn.
fn strokes(layer_idx: usize, top: f64, bottom: f64) -> String {
    let mut path = String::new();
    let mut line_idx = 0;
    let mut y = top + STEP / 2.0;
    while y < bottom - 2.0 {
        let mut x = MARGINS.0 + STEP / 2.0 + f64::from(line_idx % 2) * STEP / 2.0;
        while x < MARGINS.0 + WIDTH - 4.0 {
            // Writing to a string cannot fail.
            let _ = match layer_idx % 4 {
                0 => break,
                1 => write!(path, "M{x:.1} {y:.1}h0.1"),
                2 => write!(path, "M{:.1} {y:.1}h5", x - 2.5),
                _ => write!(path, "M{:.1} {y:.1}h4M{x:.1} {:.1}v4", x - 2.0, y - 2.0),
            };
            x += STEP;
        }
        y += STEP;
        line_idx += 1;
    }
    path
}
