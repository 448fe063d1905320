//! The units that numbers may have, in what an author types as a quantity and in what a lesson says in words.
//!
//! Part of `units`.

use super::{GRAMS_PER_OUNCE, MILLILITRES_PER_TEASPOON, MILLIMETRES_PER_INCH, MINUTES_PER_DAY};

/// What a unit measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Dimension {
    /// Mass, in grams.
    Mass,
    /// A share, in percent.
    Percent,
    /// Volume, in millilitres.
    Volume,
    /// Temperature, in degrees Celsius.
    Temperature,
    /// Length, in millimetres.
    Length,
    /// Time, in minutes.
    Time,
    /// So many bars.
    Bars,
}

/// A unit.
#[derive(Debug, PartialEq)]
pub(crate) struct Unit {
    /// What it is called here.
    pub(crate) name: &'static str,
    pub(crate) dimension: Dimension,
    /// How much of the base unit of its dimension one of it is.
    pub(crate) factor: f64,
    /// What is taken from a number before that.
    offset: f64,
    /// How it may be written: in lower case, but for single letters, where case tells grams from generations of phones.
    forms: &'static [&'static str],
    /// The unit in which an amount may go on: a smaller one, or spoons again.
    pub(crate) goes_on_with: Option<&'static str>,
}

impl Unit {
    /// A number of this unit in the base unit of its dimension.
    pub(crate) fn base(&self, number: f64) -> f64 {
        (number - self.offset) * self.factor
    }
}

const fn unit(name: &'static str, dimension: Dimension, factor: f64, forms: &'static [&'static str]) -> Unit {
    Unit { name, dimension, factor, offset: 0.0, forms, goes_on_with: None }
}

const fn before(smaller: &'static str, unit: Unit) -> Unit {
    Unit { goes_on_with: Some(smaller), ..unit }
}

const TEASPOON: f64 = MILLILITRES_PER_TEASPOON;
const HOUR: f64 = 60.0;

static UNITS: [Unit; 21] = [
    unit("mg", Dimension::Mass, 0.001, &["mg", "milligram", "milligrams"]),
    unit("g", Dimension::Mass, 1.0, &["g", "gr", "gram", "grams", "gramme", "grammes"]),
    before(
        "g",
        unit(
            "kg",
            Dimension::Mass,
            1000.0,
            &["kg", "kgs", "kilo", "kilos", "kilogram", "kilograms", "kilogramme", "kilogrammes"],
        ),
    ),
    unit("oz", Dimension::Mass, GRAMS_PER_OUNCE, &["oz", "ounce", "ounces"]),
    before("oz", unit("lb", Dimension::Mass, 16.0 * GRAMS_PER_OUNCE, &["lb", "lbs", "pound", "pounds"])),
    unit("%", Dimension::Percent, 1.0, &["%", "percent", "per cent", "per-cent", "pct"]),
    unit("fl oz", Dimension::Volume, 6.0 * TEASPOON, &["fl oz", "fl. oz", "floz", "fluid ounce", "fluid ounces"]),
    unit("ml", Dimension::Volume, 1.0, &["ml", "millilitre", "millilitres", "milliliter", "milliliters"]),
    unit("l", Dimension::Volume, 1000.0, &["l", "L", "litre", "litres", "liter", "liters"]),
    before("tsp", unit("tsp", Dimension::Volume, TEASPOON, &["tsp", "tsps", "teaspoon", "teaspoons"])),
    before("tsp", unit("tbsp", Dimension::Volume, 3.0 * TEASPOON, &["tbsp", "tbsps", "tablespoon", "tablespoons"])),
    Unit {
        offset: 32.0,
        ..unit(
            "°F",
            Dimension::Temperature,
            5.0 / 9.0,
            &["°f", "° f", "℉", "F", "degree fahrenheit", "degrees fahrenheit", "degrees f", "fahrenheit"],
        )
    },
    unit(
        "°C",
        Dimension::Temperature,
        1.0,
        &[
            "°c",
            "° c",
            "℃",
            "C",
            "°",
            "degree celsius",
            "degrees celsius",
            "degrees centigrade",
            "degrees c",
            "degrees",
            "celsius",
        ],
    ),
    unit("mm", Dimension::Length, 1.0, &["mm", "millimetre", "millimetres", "millimeter", "millimeters"]),
    unit("cm", Dimension::Length, 10.0, &["cm", "centimetre", "centimetres", "centimeter", "centimeters"]),
    unit("in", Dimension::Length, MILLIMETRES_PER_INCH, &["in", "inch", "inches"]),
    unit("min", Dimension::Time, 1.0, &["min", "mins", "minute", "minutes"]),
    before("min", unit("h", Dimension::Time, HOUR, &["h", "hr", "hrs", "hour", "hours"])),
    before("h", unit("day", Dimension::Time, MINUTES_PER_DAY, &["day", "days"])),
    before("day", unit("week", Dimension::Time, 7.0 * MINUTES_PER_DAY, &["week", "weeks"])),
    unit("bar", Dimension::Bars, 1.0, &["bar", "bars"]),
];

/// What may follow `in` where it stands for inches.
const AFTER_INCHES: [&str; 10] = ["thick", "wide", "deep", "high", "long", "tall", "across", "by", "layer", "slices"];

/// The unit that stands at an offset of a text, after spaces or a hyphen, and where it ends.
pub(crate) fn unit_after(text: &str, offset: usize) -> Option<(&'static Unit, usize)> {
    // Longer than any form, and all that is looked at.
    const LONGEST: usize = 32;
    let is_space = |it: char| matches!(it, ' ' | '\u{a0}' | '\u{202f}' | '\u{2009}');
    let spaced = text[offset..].trim_start_matches(is_space);
    let spaced = spaced.strip_prefix('-').filter(|it| it.starts_with(char::is_alphabetic)).unwrap_or(spaced);
    let start = text.len() - spaced.len();
    let near = &spaced[..spaced.floor_char_boundary(LONGEST.min(spaced.len()))];
    let mut longest: Option<(&'static Unit, usize)> = None;
    for unit in &UNITS {
        for form in unit.forms {
            let Some(length) = length_of(near, form) else { continue };
            if longest.is_none_or(|(_, end)| start + length > end) {
                longest = Some((unit, start + length));
            }
        }
    }
    longest.filter(|(_, end)| is_inches(text, start, *end))
}

/// How much of a text a form takes that it starts with, up to the end of a word.
fn length_of(text: &str, form: &str) -> Option<usize> {
    let is_letter = form.chars().count() == 1;
    let mut letters = text.char_indices();
    for wanted in form.chars() {
        let (_, found) = letters.next()?;
        let is_same = match wanted {
            ' ' => found.is_whitespace(),
            _ if is_letter => found == wanted,
            _ => found.to_lowercase().eq([wanted]),
        };
        if !is_same {
            return None;
        }
    }
    let rest = letters.as_str();
    let ends_in_letter = form.ends_with(char::is_alphanumeric);
    // `12 C-clamps` are no degrees.
    let goes_on = rest.starts_with(char::is_alphanumeric) || is_letter && rest.starts_with('-');
    (!(ends_in_letter && goes_on)).then(|| text.len() - rest.len())
}

/// Whether `in`, which stands between these offsets, is a unit and not a word: `2 in thick`, and not `2 in the pot`.
fn is_inches(text: &str, start: usize, end: usize) -> bool {
    if &text[start..end] != "in" {
        return true;
    }
    let rest = &text[end..];
    let spaced = rest.trim_start();
    let word = spaced.split(|it: char| !it.is_alphabetic()).next().unwrap_or_default();
    if word.is_empty() { !spaced.starts_with(is_figure) } else { AFTER_INCHES.contains(&word) }
}

fn is_figure(it: char) -> bool {
    it.is_ascii_digit() || it == '\u{fffc}'
}

/// The value of a sign such as ½.
pub(crate) fn fraction_sign(it: char) -> Option<f64> {
    const SIGNS: [(char, f64); 9] = [
        ('½', 0.5),
        ('¼', 0.25),
        ('¾', 0.75),
        ('⅓', 1.0 / 3.0),
        ('⅔', 2.0 / 3.0),
        ('⅛', 0.125),
        ('⅜', 0.375),
        ('⅝', 0.625),
        ('⅞', 0.875),
    ];
    SIGNS.iter().find(|(sign, _)| *sign == it).map(|(_, value)| *value)
}
