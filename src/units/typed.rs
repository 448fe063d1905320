//! Quantities as an author types them: `900 g`, `2 lb 3 oz`, `3 1/4 in`, `1½ tsp`, `4 to 6 weeks`.
//!
//! Part of `units`. What could be read in two ways is refused, since a mass read wrongly ends in somebody's lye: a comma in a
//! number, a sum of units that do not go together, a fraction above one.

use std::fmt;

use super::names::{Dimension, Unit, fraction_sign, unit_after};
use super::{Length, MINUTES_PER_DAY, Mass, Temperature, TimeSpan, Volume};

/// Why a typed quantity could not be read.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum QuantityError {
    /// There is no number at the start.
    NoNumber,
    /// There is a number and nothing after it.
    NoUnit,
    /// There is a unit that the quantity does not have.
    UnknownUnit(String),
    /// The number is below zero or too large to compute with.
    OutOfRange,
    /// There is a comma in the number: it as typed, and the numbers that may be meant.
    Comma(String, Vec<String>),
    /// A range whose second end is below its first.
    UpsideDown,
    /// No colour of sRGB.
    NotAColour,
}

impl fmt::Display for QuantityError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            QuantityError::NoNumber => out.write_str("it does not start with a number"),
            QuantityError::NoUnit => out.write_str("its unit is missing"),
            QuantityError::UnknownUnit(unit) => write!(out, "the unit `{unit}` is not known here"),
            QuantityError::OutOfRange => out.write_str("the number is below zero or far too large"),
            QuantityError::Comma(typed, meant) => {
                write!(out, "`{typed}` has a comma, and decimals come after a point: write {}", meant.join(" or "))
            }
            QuantityError::UpsideDown => out.write_str("it is upside down: the smaller one comes first"),
            QuantityError::NotAColour => out.write_str("it is not a `#` with six digits from 0 to f after it"),
        }
    }
}

/// A quantity at the start of a text.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Typed {
    /// Of what.
    pub(crate) dimension: Dimension,
    /// How much of it, in the base unit of its dimension.
    pub(crate) value: f64,
    /// How many bytes it takes.
    pub(crate) length: usize,
    /// The unit of its first part.
    unit: &'static Unit,
}

/// Reads the quantity that a text starts with: a number and its unit, and the smaller units in which it goes on.
///
/// # Errors
///
/// [`QuantityError`] when there is no number, or no unit after it.
pub(crate) fn typed_at_start(text: &str) -> Result<Typed, QuantityError> {
    let (first, unit, mut length) = part_at_start(text)?;
    let mut value = unit.base(first);
    let mut last = unit;
    while let Some(next) = last.goes_on_with {
        let rest = &text[length..];
        let spaced = rest.trim_start();
        let joined = spaced.strip_prefix(',').or_else(|| spaced.strip_prefix("and ")).unwrap_or(spaced).trim_start();
        let Ok((number, unit, part_length)) = part_at_start(joined) else { break };
        // More than one of the unit before it is a slip, or another amount.
        if unit.name != next || unit.base(number) >= last.base(1.0) {
            break;
        }
        value += unit.base(number);
        length += rest.len() - joined.len() + part_length;
        last = unit;
    }
    Ok(Typed { dimension: unit.dimension, value, length, unit })
}

/// A number, its unit, and where the unit ends.
fn part_at_start(text: &str) -> Result<(f64, &'static Unit, usize), QuantityError> {
    let (number, number_end) = number_at_start(text)?;
    match unit_after(text, number_end) {
        Some((unit, end)) => {
            // An abbreviation may have its point.
            let has_point =
                text[end..].starts_with('.') && !text[end + 1..].starts_with(|it: char| it.is_ascii_digit());
            Ok((number, unit, end + usize::from(has_point)))
        }
        None => match text[number_end..].trim() {
            "" => Err(QuantityError::NoUnit),
            other => Err(QuantityError::UnknownUnit(other.to_owned())),
        },
    }
}

/// Reads a number that is typed alone: `5`, `5.5`, `1/2`, `1 1/2` or `1½`.
///
/// # Errors
///
/// [`QuantityError`] when it is no number, or has a comma in it.
pub fn number(text: &str) -> Result<f64, QuantityError> {
    let text = text.trim();
    match number_at_start(text)? {
        (number, end) if end == text.len() => Ok(number),
        _ => Err(QuantityError::NoNumber),
    }
}

/// The number that a text starts with, and where it ends.
fn number_at_start(text: &str) -> Result<(f64, usize), QuantityError> {
    let is_figure = |it: char| it.is_ascii_digit();
    let figures = |from: usize| from + text[from..].find(|it| !is_figure(it)).unwrap_or(text.len() - from);
    let end_of_decimal = text.find(|it| !(is_figure(it) || matches!(it, '.' | '-' | '+' | '_' | '\u{2212}')));
    let end = end_of_decimal.unwrap_or(text.len());
    if text[end..].starts_with(',') && text[end + 1..].starts_with(is_figure) {
        return Err(comma_in(text));
    }
    let sign = |at: usize| text[at..].chars().next().and_then(|it| Some((fraction_sign(it)?, at + it.len_utf8())));
    let over = |at: usize| {
        let over_end = figures(at);
        let under_start =
            over_end + text[over_end..].strip_prefix(['/', '\u{2044}']).map(|it| text.len() - over_end - it.len())?;
        let under_end = figures(under_start);
        let (over, under): (f64, f64) = (text[at..over_end].parse().ok()?, text[under_start..under_end].parse().ok()?);
        // "11/2" is as likely one and a half.
        (over < under).then(|| (over / under, under_end))
    };
    let whole = &text[..end];
    if whole.is_empty() {
        return sign(0).ok_or(QuantityError::NoNumber);
    }
    if !whole.chars().all(is_figure) {
        let number = whole.replace('_', "").replace('\u{2212}', "-").parse().map_err(|_| QuantityError::NoNumber)?;
        return Ok((number, end));
    }
    let number: f64 = whole.parse().map_err(|_| QuantityError::NoNumber)?;
    if text[end..].starts_with(['/', '\u{2044}']) && text[end..].chars().nth(1).is_some_and(is_figure) {
        return over(0).ok_or(QuantityError::NoNumber);
    }
    let spaced = end + text[end..].len() - text[end..].trim_start_matches([' ', '\u{a0}', '\u{202f}']).len();
    let part = sign(spaced).or_else(|| if spaced > end { over(spaced) } else { None });
    Ok(part.map_or((number, end), |(part, end)| (number + part, end)))
}

/// A number with commas in it, and without: as decimals, as thousands, or as either.
fn comma_in(text: &str) -> QuantityError {
    let end =
        text.find(|it: char| !(it.is_ascii_digit() || matches!(it, '.' | ',' | '_' | '-' | '+'))).unwrap_or(text.len());
    let typed = text[..end].trim_end_matches(['.', ',']);
    QuantityError::Comma(typed.to_owned(), without_comma(typed))
}

/// The numbers that one with commas in it may be meant for: `5,5` is 5.5, and `1,000` is 1000 or 1.000.
fn without_comma(typed: &str) -> Vec<String> {
    let groups: Vec<&str> = typed.split(',').collect();
    let last_is_three = groups.last().is_some_and(|it| it.split('.').next().is_some_and(|it| it.len() == 3));
    let thousands = typed.replace(',', "");
    let decimals = typed.replace('.', "").replace(',', ".");
    match (&groups[..], typed.contains('.')) {
        // "1.234,5" and "1,234.5": what stands last is before the decimals.
        ([_, _], true) if typed.rfind(',') > typed.rfind('.') => vec![decimals],
        (_, true) => vec![thousands],
        ([_, _], false) if last_is_three => vec![thousands, decimals],
        ([_, _], false) => vec![decimals],
        _ => vec![thousands],
    }
}

/// Reads a quantity of one dimension, in its base unit.
fn read(text: &str, dimension: Dimension) -> Result<f64, QuantityError> {
    let text = text.trim();
    let typed = typed_at_start(text)?;
    if typed.dimension != dimension || typed.length != text.len() {
        let (_, number_end) = number_at_start(text)?;
        return Err(QuantityError::UnknownUnit(text[number_end..].trim().to_owned()));
    }
    if typed.value.is_finite() && typed.value >= 0.0 { Ok(typed.value) } else { Err(QuantityError::OutOfRange) }
}

impl Mass {
    /// What an author may write.
    pub const FORMS: &'static str = "a mass with its unit (g, kg, mg, oz or lb), such as \"900 g\" or \"2 lb 3 oz\"";

    /// Reads a mass typed with its unit: `900 g`, `1.2 kg`, `32 oz`, `2 lb 3 oz`, `1/2 lb` or `250 mg`.
    ///
    /// # Errors
    ///
    /// [`QuantityError`] when there is no number, no unit or another unit, or the number is negative or not finite.
    pub fn parse(text: &str) -> Result<Mass, QuantityError> {
        read(text, Dimension::Mass).map(Mass)
    }
}

impl Length {
    /// What an author may write.
    pub const FORMS: &'static str = "a length with its unit (mm, cm or in), such as \"65 mm\" or \"3 1/4 in\"";

    /// Reads a length typed with its unit: `65 mm`, `6.5 cm`, `2.5 in` or `3 1/4 inches`.
    ///
    /// # Errors
    ///
    /// [`QuantityError`] when there is no number, no unit or another unit, or the number is negative or not finite.
    pub fn parse(text: &str) -> Result<Length, QuantityError> {
        read(text, Dimension::Length).map(Length)
    }
}

impl Volume {
    /// What an author may write.
    pub const FORMS: &'static str =
        "a volume with its unit (ml, l, fl oz, tsp or tbsp), such as \"250 ml\" or \"1.2 l\"";

    /// Reads a volume typed with its unit: `2 tsp`, `1 tbsp and 1 1/2 tsp`, `2 fl oz` or `15 ml`. A tablespoon is three
    /// teaspoons.
    ///
    /// # Errors
    ///
    /// [`QuantityError`] when there is no number, no unit or another unit, or the number is negative or not finite.
    pub fn parse(text: &str) -> Result<Volume, QuantityError> {
        read(text, Dimension::Volume).map(Volume)
    }
}

impl TimeSpan {
    /// What an author may write.
    pub const FORMS: &'static str = "a time with its unit (min, h, days or weeks), such as \"3 min\" or \"1 h 30 min\"";
    /// What an author may write where a time may be a range.
    pub const RANGE_FORMS: &'static str =
        "a time with its unit (min, h, days or weeks), such as \"45 min\", \"1 h 30 min\" or \"4 to 6 weeks\"";

    /// Reads a time typed with its unit: `3 min`, `1 h 30 min`, `24 hours`, `2 days` or `5 weeks`.
    ///
    /// # Errors
    ///
    /// [`QuantityError`] when there is no number, no unit or another unit, or the number is negative, or the time is
    /// longer than a hundred years.
    pub fn parse(text: &str) -> Result<TimeSpan, QuantityError> {
        let minutes = read(text, Dimension::Time)?;
        if minutes <= 36_525.0 * MINUTES_PER_DAY { Ok(TimeSpan(minutes)) } else { Err(QuantityError::OutOfRange) }
    }

    /// Reads a time, or a shortest and a longest one: `4 to 6 weeks`, `4-6 weeks`, `20 min to 1 h`.
    ///
    /// # Errors
    ///
    /// As [`TimeSpan::parse`]; and when the second time is shorter than the first.
    pub fn parse_range(text: &str) -> Result<(TimeSpan, TimeSpan), QuantityError> {
        read_range(text, TimeSpan::parse)
    }
}

impl Temperature {
    /// What an author may write.
    pub const RANGE_FORMS: &'static str =
        "a temperature from 0 to 100 °C with its unit (°C or °F), such as \"40 °C\" or \"38 to 42 °C\"";

    /// Reads a temperature typed with its unit: `40 °C` or `104 °F`.
    ///
    /// # Errors
    ///
    /// [`QuantityError`] when there is no number, no unit or another unit, or it is colder than ice or hotter than boiling
    /// water: neither fats nor a lye solution are poured so.
    pub fn parse(text: &str) -> Result<Temperature, QuantityError> {
        let celsius = read(text, Dimension::Temperature)?;
        if celsius <= 100.0 { Ok(Temperature(celsius)) } else { Err(QuantityError::OutOfRange) }
    }

    /// Reads a temperature, or a lowest and a highest one: `38 to 42 °C`.
    ///
    /// # Errors
    ///
    /// As [`Temperature::parse`]; and when the second temperature is below the first.
    pub fn parse_range(text: &str) -> Result<(Temperature, Temperature), QuantityError> {
        read_range(text, Temperature::parse)
    }
}

/// Reads one quantity, or a smallest and a largest one.
fn read_range<T: Copy + PartialOrd>(
    text: &str,
    parse: fn(&str) -> Result<T, QuantityError>,
) -> Result<(T, T), QuantityError> {
    let is_second = |it: &(&str, &str)| it.1.trim_start().starts_with(|it: char| it.is_ascii_digit());
    let ends = text.split_once(" to ").or_else(|| text.split_once('\u{2013}'));
    let ends = ends.or_else(|| text.split_once('-').filter(|it| !it.0.trim().is_empty()).filter(is_second));
    let Some((low, high)) = ends else {
        let only = parse(text)?;
        return Ok((only, only));
    };
    let largest = parse(high)?;
    let smallest = match parse(low) {
        // In "4 to 6 weeks" the unit stands once.
        Err(QuantityError::NoUnit) => parse(&format!("{low} {}", typed_at_start(high.trim())?.unit.name))?,
        other => other?,
    };
    if smallest <= largest { Ok((smallest, largest)) } else { Err(QuantityError::UpsideDown) }
}

#[cfg(test)]
mod tests {
    use super::*;

    const POUND: f64 = 453.592_37;

    #[test]
    fn masses_are_read_in_every_unit_the_guide_names() {
        for (text, grams) in [
            ("900 g", 900.0),
            ("900 grams", 900.0),
            ("1.2 kg", 1200.0),
            ("250mg", 0.25),
            ("16 oz", POUND),
            ("12 ounces", 0.75 * POUND),
            ("12 oz.", 0.75 * POUND),
            ("1 lb", POUND),
            ("2 pounds", 2.0 * POUND),
            ("1/2 lb", 0.5 * POUND),
            ("½ lb", 0.5 * POUND),
            ("1¾ lb", 1.75 * POUND),
            ("2 lb 3 oz", 2.0 * POUND + 3.0 * POUND / 16.0),
            ("2 lb 3 1/4 oz", 2.0 * POUND + 3.25 * POUND / 16.0),
            ("2 lb, 3 oz", 2.0 * POUND + 3.0 * POUND / 16.0),
            ("2 lb and 3 oz", 2.0 * POUND + 3.0 * POUND / 16.0),
            ("1 kg 200 g", 1200.0),
        ] {
            let mass = Mass::parse(text).expect(text);
            assert!((mass.to_grams() - grams).abs() < 1e-9, "{text} is {mass:?}");
        }
    }

    #[test]
    fn temperatures_are_read_from_ice_to_boiling_water() {
        let celsius = |it: &str| Temperature::parse_range(it).map(|(low, high)| [low.to_celsius(), high.to_celsius()]);
        assert_eq!(celsius("38 to 42 °C"), Ok([38.0, 42.0]));
        // (104 - 32) × 5 ÷ 9 = 40
        assert!((celsius("104 °F").expect("a temperature")[1] - 40.0).abs() < 1e-9);
        assert_eq!(celsius("101 °C"), Err(QuantityError::OutOfRange));
        assert_eq!(celsius("31 °F"), Err(QuantityError::OutOfRange));
    }

    #[test]
    fn what_is_not_a_mass_says_why() {
        let unknown = |it: &str| QuantityError::UnknownUnit(it.into());
        let comma = |typed: &str, meant: &[&str]| {
            QuantityError::Comma(typed.into(), meant.iter().map(|it| (*it).to_owned()).collect())
        };
        for (text, why) in [
            ("", QuantityError::NoNumber),
            ("g", QuantityError::NoNumber),
            ("900", QuantityError::NoUnit),
            ("2 lb 3", unknown("lb 3")),
            ("9 cups", unknown("cups")),
            ("9 in", unknown("in")),
            ("9 fl oz", unknown("fl oz")),
            ("1 kg 35 oz", unknown("kg 35 oz")),
            ("1 kg 2 oz", unknown("kg 2 oz")),
            ("3 oz 2 lb", unknown("oz 2 lb")),
            ("2 lb 20 oz", unknown("lb 20 oz")),
            ("900 g (32 oz)", unknown("g (32 oz)")),
            ("900 g 100 g", unknown("g 100 g")),
            ("1 500 g", unknown("500 g")),
            ("-9 g", QuantityError::OutOfRange),
            ("−9 g", QuantityError::OutOfRange),
            ("1.2.3 g", QuantityError::NoNumber),
            ("11/2 lb", QuantityError::NoNumber),
            ("1/0 lb", QuantityError::NoNumber),
            ("1 3/2 lb", unknown("3/2 lb")),
            ("900,5 g", comma("900,5", &["900.5"])),
            ("1,000 g", comma("1,000", &["1000", "1.000"])),
            ("1,234.5 g", comma("1,234.5", &["1234.5"])),
            ("1.234,5 g", comma("1.234,5", &["1234.5"])),
            ("1,000,000 g", comma("1,000,000", &["1000000"])),
            (&format!("{} kg", "9".repeat(400)), QuantityError::OutOfRange),
        ] {
            assert_eq!(Mass::parse(text), Err(why), "{text:?}");
        }
    }

    #[test]
    fn spoons_are_read_as_volumes() {
        let teaspoon = 4.928_921_593_75;
        for (text, millilitres) in [
            ("15 ml", 15.0),
            ("1 tbsp", 3.0 * teaspoon),
            ("0.5 tsp", 0.5 * teaspoon),
            ("1 1/2 tsp", 1.5 * teaspoon),
            ("1/2 tsp and 1/4 tsp", 0.75 * teaspoon),
            ("1 tbsp and 1 1/2 tsp", 4.5 * teaspoon),
            ("2 teaspoons", 2.0 * teaspoon),
        ] {
            let volume = Volume::parse(text).expect(text);
            assert!((volume.to_millilitres() - millilitres).abs() < 1e-9, "{text} is {volume:?}");
        }
        assert_eq!(Volume::parse("2 g"), Err(QuantityError::UnknownUnit("g".into())));
    }

    #[test]
    fn times_are_read_in_every_unit_the_guide_names() {
        let minutes = |low, high| Ok((TimeSpan::minutes(low), TimeSpan::minutes(high)));
        for (text, range) in [
            ("3 min", minutes(3.0, 3.0)),
            ("30 minutes", minutes(30.0, 30.0)),
            ("24 h", minutes(1440.0, 1440.0)),
            ("3 hours", minutes(180.0, 180.0)),
            ("1 h 30 min", minutes(90.0, 90.0)),
            ("1 day", minutes(1440.0, 1440.0)),
            ("2 days", minutes(2880.0, 2880.0)),
            ("4 to 6 weeks", minutes(4.0 * 10_080.0, 6.0 * 10_080.0)),
            ("4-6 weeks", minutes(4.0 * 10_080.0, 6.0 * 10_080.0)),
            ("4–6 weeks", minutes(4.0 * 10_080.0, 6.0 * 10_080.0)),
            ("1 week to 2 weeks", minutes(10_080.0, 20_160.0)),
            ("20 min to 1 h", minutes(20.0, 60.0)),
            ("1 to 1 1/2 h", minutes(60.0, 90.0)),
            ("6 to 4 weeks", Err(QuantityError::UpsideDown)),
            ("9999999 weeks", Err(QuantityError::OutOfRange)),
            ("-4 weeks", Err(QuantityError::OutOfRange)),
            ("3", Err(QuantityError::NoUnit)),
            ("3 to 4", Err(QuantityError::NoUnit)),
            ("soon", Err(QuantityError::NoNumber)),
            ("3 months", Err(QuantityError::UnknownUnit("months".into()))),
        ] {
            assert_eq!(TimeSpan::parse_range(text), range, "{text}");
        }
    }

    #[test]
    fn lengths_are_read_in_every_unit_the_guide_names() {
        for (text, millimetres) in
            [("65 mm", 65.0), ("6.5 cm", 65.0), ("2.5 in", 63.5), ("3 1/4 in", 82.55), ("5 inches", 127.0)]
        {
            let length = Length::parse(text).expect(text);
            assert!((length.to_millimetres() - millimetres).abs() < 1e-9, "{text} is {length:?}");
        }
    }

    #[test]
    fn numbers_alone_are_read_with_fractions() {
        for (text, value) in [("5.5", 5.5), (" 1/2 ", 0.5), ("1 1/2", 1.5), ("1½", 1.5)] {
            assert_eq!(number(text), Ok(value), "{text}");
        }
        for text in ["", "x", "5 g", "inf"] {
            assert_eq!(number(text), Err(QuantityError::NoNumber), "{text}");
        }
    }
}
