//! The shares of the fatty acids as bars, to scale.
//!
//! Layer 6. Data in, strings out; `theme/templates/profile.svg` draws it. Every bar stands in a frame that is the whole,
//! under its name and its percentage, and has a pattern of its own besides its tone. Strokes have coordinates of their
//! own, because a pattern referred to by an id breaks in mdBook's print page.

use std::fmt::Write as _;

use serde::Serialize;

/// Left edge of the bars, in units of the drawing.
const LEFT: f64 = 2.0;
/// Width of one percent.
const PERCENT_WIDTH: f64 = 3.0;
/// Distance from bar to bar, of which the name takes the upper part.
const ROW: f64 = 46.0;
/// From the top of a row to the baseline of the name, and to the top of the bar.
const OFFSETS: (f64, f64) = (17.0, 24.0);
/// Height of a bar.
const HEIGHT: f64 = 16.0;
/// Distance between strokes of a pattern.
const STEP: f64 = 8.0;

/// A share to draw.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Share {
    pub(crate) name: &'static str,
    pub(crate) share: String,
    /// The share in tenths of a percent, as the words say.
    pub(crate) tenths: u64,
    /// Which pattern and tone; the same for the same thing in every figure.
    pub(crate) pattern: usize,
}

/// A bar as drawn.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(crate) struct Bar {
    pub(crate) name: &'static str,
    pub(crate) share: String,
    pub(crate) text_y: String,
    pub(crate) y: String,
    pub(crate) width: String,
    /// Strokes of the pattern; empty for a plain bar.
    pub(crate) strokes: String,
    pub(crate) tone: usize,
}

/// The figure.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub(crate) struct ProfileFigure {
    pub(crate) title: String,
    pub(crate) words: String,
    pub(crate) size: [String; 2],
    /// Left edge of the bars, and the width and height of a frame.
    pub(crate) frame: [String; 3],
    pub(crate) right: String,
    pub(crate) bars: Vec<Bar>,
}

/// Draws shares of a whole, one bar under the other.
pub(crate) fn profile_figure(title: String, shares: &[Share]) -> ProfileFigure {
    let whole = 100.0 * PERCENT_WIDTH;
    let bars = shares.iter().enumerate().map(|(share_idx, it)| {
        let top = ROW * share_idx as f64;
        let width = it.tenths as f64 / 10.0 * PERCENT_WIDTH;
        Bar {
            name: it.name,
            share: it.share.clone(),
            text_y: decimal(top + OFFSETS.0),
            y: decimal(top + OFFSETS.1),
            width: decimal(width),
            strokes: strokes(it.pattern, top + OFFSETS.1, width),
            tone: it.pattern % 4 + 1,
        }
    });
    let words: Vec<String> = shares.iter().map(|it| format!("{} {}", it.name, it.share)).collect();
    ProfileFigure {
        title,
        words: format!("Of all the fatty acids by mass: {}.", words.join(", ")),
        size: [decimal(LEFT + whole + LEFT), decimal(ROW * shares.len() as f64)],
        frame: [LEFT, whole, HEIGHT].map(decimal),
        right: decimal(LEFT + whole),
        bars: bars.collect(),
    }
}

/// Two decimals, so that a tenth of a percent is drawn exactly and the same input gives the same bytes.
fn decimal(value: f64) -> String {
    format!("{value:.2}")
}

/// The strokes of a pattern inside a bar: none, dots, dashes, crosses, strokes leaning forward, upright, backward.
fn strokes(pattern: usize, top: f64, width: f64) -> String {
    let mut path = String::new();
    let (middle, bottom) = (top + HEIGHT / 2.0, top + HEIGHT);
    let reach = if matches!(pattern, 4 | 6) { 14.0 } else { 6.0 };
    let mut x = LEFT + 3.0;
    while x + reach <= LEFT + width {
        // Writing to a string cannot fail.
        let _ = match pattern {
            0 => break,
            1 => write!(path, "M{x:.1} {:.1}h0.1M{:.1} {:.1}h0.1", middle - 4.0, x + STEP / 2.0, middle + 4.0),
            2 => write!(path, "M{x:.1} {:.1}h4M{x:.1} {:.1}h4", middle - 3.0, middle + 3.0),
            3 => write!(path, "M{x:.1} {middle:.1}h5M{:.1} {:.1}v5", x + 2.5, middle - 2.5),
            4 => write!(path, "M{x:.1} {:.1}l12 -12", bottom - 2.0),
            5 => write!(path, "M{:.1} {:.1}v{:.1}", x + 1.0, top + 3.0, HEIGHT - 6.0),
            _ => write!(path, "M{x:.1} {:.1}l12 12", top + 2.0),
        };
        x += STEP;
    }
    path
}
