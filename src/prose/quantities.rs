//! Numbers beside units in a text: what somebody typed, or what a page prints.
//!
//! Part of `prose`. Whether a number should have been typed is judged elsewhere (`rules/typed_quantity.rs`).

use std::ops::Range;

use crate::units::{Dimension, Unit, fraction_sign, unit_after};

/// An amount in a text.
#[derive(Clone, Debug, PartialEq)]
pub struct Quantity {
    /// Where it stands, with its unit.
    pub span: Range<usize>,
    /// Of what.
    pub dimension: Dimension,
    /// What it comes to in the base unit of its dimension; of a range, its lower end.
    pub low: f64,
    /// The upper end of a range, or the same.
    pub high: f64,
    /// How far rounding to the digits that it has may have moved it.
    pub half_step: f64,
    /// The digits that say something: 3 in 12.5 and 0.125, 1 in 200.
    pub n_digits: usize,
    /// Whether it reaches from one amount to another.
    pub is_range: bool,
    /// The unit as typed last.
    pub(super) unit: &'static Unit,
}

impl Quantity {
    /// Whether both are in the same unit, as grams and grams are.
    #[must_use]
    pub fn has_unit_of(&self, other: &Quantity) -> bool {
        std::ptr::eq(self.unit, other.unit)
    }
}

/// A number as typed, without its unit.
struct Number {
    value: f64,
    end: usize,
    half_step: f64,
    n_digits: usize,
}

/// The amounts in a text, front to back. A range is one, and so is an amount in two units.
#[must_use]
pub fn quantities(text: &str) -> Vec<Quantity> {
    let mut found: Vec<Quantity> = Vec::new();
    let mut at = 0;
    while let Some(start) = text[at..].find(is_number_start).map(|it| at + it) {
        let number = number(text, start);
        at = number.end;
        if !stands_alone(text, start) {
            continue;
        }
        // Milligrams in a lesson are those of a saponification value, and nobody weighs them.
        let Some((unit, end)) = unit_after(text, number.end).filter(|(it, _)| it.name != "mg") else { continue };
        at = end;
        let quantity = with_first_of_range(quantity(start..end, &number, unit), text);
        match found.last_mut().filter(|it| joined(it, &quantity, text)) {
            Some(last) => join(last, &quantity, text),
            None => found.push(quantity),
        }
    }
    found
}

/// The unit that follows an offset of a text, as behind a number: of what, and where it ends.
#[must_use]
pub fn unit_behind(text: &str, offset: usize) -> Option<(Dimension, usize)> {
    unit_after(text, offset).map(|(unit, end)| (unit.dimension, end))
}

fn quantity(span: Range<usize>, number: &Number, unit: &'static Unit) -> Quantity {
    let base = unit.base(number.value);
    Quantity {
        span,
        dimension: unit.dimension,
        low: base,
        high: base,
        half_step: number.half_step * unit.factor,
        n_digits: number.n_digits,
        is_range: false,
        unit,
    }
}

/// Whether a number is one by itself: the digits of `NaCl2`, of a date, of an address or of a page's name are no amount.
fn stands_alone(text: &str, start: usize) -> bool {
    let before = text[..start].chars().next_back();
    let is_alone =
        before.is_none_or(|it| !it.is_alphanumeric() && !matches!(it, '.' | ',' | '/' | '_' | '@' | '#' | ':'));
    if before == Some('-') {
        // `bar-128g` is a name; `5-10 g` is a range, whose second number is looked at here.
        return !text[..start - 1].ends_with(|it: char| it.is_alphabetic() || it == '-');
    }
    is_alone && !is_in_address(text, start)
}

/// Whether the word around an offset is an address: of a page, of mail.
fn is_in_address(text: &str, offset: usize) -> bool {
    // No address is longer than this, and a text without spaces must not be looked through for each of its numbers.
    const LONGEST: usize = 100;
    let from = text.floor_char_boundary(offset.saturating_sub(LONGEST));
    let to = text.floor_char_boundary((offset + LONGEST).min(text.len()));
    let start = text[from..offset].rfind(char::is_whitespace).map_or(from, |it| from + it);
    let end = text[offset..to].find(char::is_whitespace).map_or(to, |it| offset + it);
    let word = &text[start..end];
    word.contains("://") || word.contains("www.") || word.contains('@')
}

pub(super) fn is_number_start(it: char) -> bool {
    it.is_ascii_digit() || fraction_sign(it).is_some()
}

/// Reads `12`, `1.5`, `1,5`, `1,000`, `1 000`, `1/2`, `1 1/2` or `1½`.
fn number(text: &str, start: usize) -> Number {
    let digits = |from: usize| from + text[from..].find(|it: char| !it.is_ascii_digit()).unwrap_or(text.len() - from);
    let read = |span: Range<usize>| text[span].parse::<f64>().unwrap_or(0.0);
    let in_all = |end: usize| {
        let all: String = text[start..end].chars().filter(char::is_ascii_digit).collect();
        all.trim_matches('0').len()
    };
    let whole = |value: f64, end: usize| Number { value, end, half_step: 0.5, n_digits: in_all(end) };
    let exact = |value: f64, end: usize| Number { value, end, half_step: 0.0, n_digits: in_all(end) };
    let mut end = digits(start);
    let mut value = read(start..end);
    // Thousands in groups of three, after a comma or a space that does not break; any other comma is one before decimals.
    while let Some(rest) = text[end..].strip_prefix([',', '\u{a0}', '\u{202f}', '\u{2009}'])
        && end > start
        && value > 0.0
        && digits(text.len() - rest.len()) == text.len() - rest.len() + 3
    {
        let group = text.len() - rest.len();
        value = value * 1000.0 + read(group..group + 3);
        end = group + 3;
    }
    if text[end..].starts_with(['.', ',']) && digits(end + 1) > end + 1 {
        let decimals_end = digits(end + 1);
        let decimals = &text[end + 1..decimals_end];
        let n_decimals = i32::try_from(decimals.len()).unwrap_or(i32::MAX);
        let value = value + format!("0.{decimals}").parse::<f64>().unwrap_or(0.0);
        let half_step = 0.5 * 10_f64.powi(-n_decimals);
        return Number { value, end: decimals_end, half_step, n_digits: in_all(decimals_end) };
    }
    if let Some((sign, after)) =
        text[end..].chars().next().and_then(|it| Some((fraction_sign(it)?, end + it.len_utf8())))
    {
        return exact(value + sign, after);
    }
    // `1/2` by itself, or after a whole number and a space.
    let (wholes, over_start) = match text[end..].strip_prefix([' ', '\u{a0}', '-']) {
        Some(rest) if !text[end..].starts_with('/') => (value, text.len() - rest.len()),
        _ => (0.0, start),
    };
    let over_end = digits(over_start);
    if over_end > over_start && text[over_end..].starts_with('/') && digits(over_end + 1) > over_end + 1 {
        let under_end = digits(over_end + 1);
        let under = read(over_end + 1..under_end);
        if under > 0.0 {
            return exact(wholes + read(over_start..over_end) / under, under_end);
        }
    }
    whole(value, end)
}

/// Whether an amount goes on with another: `3 g to 5 g`, `50 g (1.75 oz)`, `2 lb 3 oz`, `1 tbsp and 1 tsp`.
fn joined(first: &Quantity, second: &Quantity, text: &str) -> bool {
    if first.dimension != second.dimension || second.span.start < first.span.end {
        return false;
    }
    let between = text[first.span.end..second.span.start].trim();
    // Two amounts with "and" between them are two, unless it says "between" before them.
    let is_between = between == "and" && text[..first.span.start].trim_end().ends_with("between");
    is_range_word(between) || is_between || between == "(" || is_sum(first, second, between)
}

/// Whether two amounts are one in two units, such as pounds and ounces.
fn is_sum(first: &Quantity, second: &Quantity, between: &str) -> bool {
    first.unit.goes_on_with == Some(second.unit.name) && matches!(between, "" | "and") && !second.is_range
}

fn join(first: &mut Quantity, second: &Quantity, text: &str) {
    let between = text[first.span.end..second.span.start].trim();
    if is_sum(first, second, between) {
        first.low += second.low;
        first.high += second.high;
        first.n_digits += second.n_digits;
        first.half_step = second.half_step;
    } else if between != "(" {
        first.is_range = true;
        first.high = second.high;
    }
    let closes = between == "(" && text[second.span.end..].starts_with(')');
    first.span.end = second.span.end + usize::from(closes);
    if between != "(" {
        first.unit = second.unit;
    }
}

fn is_range_word(between: &str) -> bool {
    matches!(between, "to" | "-" | "–" | "—" | "or" | "up to")
}

/// Takes in the number before an amount that only the second one has a unit for: `3 to 5 g`.
fn with_first_of_range(quantity: Quantity, text: &str) -> Quantity {
    let before = text[..quantity.span.start].trim_end();
    let without_word = ["up to", "to", "or", "and", "-", "–", "—"].into_iter().find_map(|it| {
        let rest = before.strip_suffix(it)?;
        // "Tomato 5 g" holds no range.
        (it.len() < 2 || !it.is_ascii() || rest.ends_with([' ', '\u{a0}'])).then(|| rest.trim_end())
    });
    let Some(first) = without_word.filter(|it| it.ends_with(is_number_start)) else { return quantity };
    let start = first.rfind(|it: char| !(is_number_start(it) || matches!(it, '.' | ',' | '/')));
    let start = start.map_or(0, |it| it + first[it..].chars().next().map_or(1, char::len_utf8));
    let Some(start) = first[start..].find(is_number_start).map(|it| start + it) else { return quantity };
    let low = quantity.unit.base(number(text, start).value);
    Quantity { span: start..quantity.span.end, is_range: true, low, ..quantity }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(text: &str) -> Vec<(&str, Dimension, f64, f64)> {
        let rounded = |it: f64| (it * 100.0).round() / 100.0;
        let all = quantities(text);
        all.iter().map(|it| (&text[it.span.clone()], it.dimension, rounded(it.low), rounded(it.high))).collect()
    }

    #[test]
    fn a_number_beside_a_unit_of_mass_is_an_amount() {
        for (text, amounts) in [
            (
                "Weigh 128 g of lye, 2.5kg and 3\u{a0}oz.",
                vec![("128 g", 128.0), ("2.5kg", 2500.0), ("3\u{a0}oz", 85.05)],
            ),
            (
                "1,5 kg; 1,500 g; 1 1/2 oz; 1½ oz; 1/2 lb; 1\u{a0}500\u{a0}g",
                vec![
                    ("1,5 kg", 1500.0),
                    ("1,500 g", 1500.0),
                    ("1 1/2 oz", 42.52),
                    ("1½ oz", 42.52),
                    ("1/2 lb", 226.8),
                    ("1\u{a0}500\u{a0}g", 1500.0),
                ],
            ),
            ("one gram, 1 Gram, 2 POUNDS", vec![("1 Gram", 1.0), ("2 POUNDS", 907.18)]),
            ("2 lb 3 oz and 50 g (1.75 oz) more", vec![("2 lb 3 oz", 992.23), ("50 g (1.75 oz)", 50.0)]),
            ("5 gel, 3 goggles, 2 goz, C2 g, step 5. Gloves, 3G, bar-128g, a@128g.org, www.a.org/128 ", vec![]),
            ("a paper 5 g", vec![("5 g", 5.0)]),
            ("Weigh 50 g and 30 g.", vec![("50 g", 50.0), ("30 g", 30.0)]),
        ] {
            let masses: Vec<_> = found(text).into_iter().map(|(typed, _, low, _)| (typed, low)).collect();
            assert_eq!(masses, amounts, "{text}");
        }
    }

    #[test]
    fn every_dimension_has_its_units() {
        use Dimension::{Bars, Length, Percent, Temperature, Time, Volume};
        for (text, dimension, low) in [
            ("5 %", Percent, 5.0),
            ("5%", Percent, 5.0),
            ("33.3 per cent", Percent, 33.3),
            ("33.3 percent", Percent, 33.3),
            ("272 mL", Volume, 272.0),
            ("1.9 litres", Volume, 1900.0),
            ("8 fl oz", Volume, 236.59),
            ("8 fl.\u{a0}oz", Volume, 236.59),
            ("2 fluid ounces", Volume, 59.15),
            ("1 1/2 teaspoons", Volume, 7.39),
            ("1 tbsp and 1 tsp", Volume, 19.72),
            ("40 °C", Temperature, 40.0),
            ("40°", Temperature, 40.0),
            ("104 degrees Fahrenheit", Temperature, 40.0),
            ("104\u{a0}°F", Temperature, 40.0),
            ("15 mm", Length, 15.0),
            ("2.5 centimetres", Length, 25.0),
            ("2 in", Length, 50.8),
            ("2-inch", Length, 50.8),
            ("8 bars", Bars, 8.0),
            ("42 days", Time, 60_480.0),
            ("2 h 32 min", Time, 152.0),
            ("20-minute", Time, 20.0),
        ] {
            assert_eq!(found(text), [(text, dimension, low, low)], "{text}");
        }
        assert_eq!(found("5 in the pot, 12 C-clamps, 4 hands"), []);
    }

    #[test]
    fn a_range_is_one_amount() {
        for (text, typed, ends) in [
            ("take 3 to 5 g of it", "3 to 5 g", (3.0, 5.0)),
            ("take 3–5 g of it", "3–5 g", (3.0, 5.0)),
            ("take 3 - 5.5 g of it", "3 - 5.5 g", (3.0, 5.5)),
            ("take 3 g to 5 g of it", "3 g to 5 g", (3.0, 5.0)),
            ("between 1½ and 2 oz", "1½ and 2 oz", (42.52, 56.7)),
            ("between 1 oz and 2 oz", "1 oz and 2 oz", (28.35, 56.7)),
            ("cure 4 to 6 weeks", "4 to 6 weeks", (40_320.0, 60_480.0)),
        ] {
            let all = found(text);
            assert_eq!(all.len(), 1, "{text}: {all:?}");
            assert_eq!((all[0].0, (all[0].2, all[0].3), quantities(text)[0].is_range), (typed, ends, true), "{text}");
        }
        assert!(!quantities("tomato 5 g")[0].is_range);
    }

    #[test]
    fn digits_that_say_something_are_counted() {
        for (text, n_digits) in [("12.5 %", 3), ("200 g", 1), ("0.125 g", 3), ("1,500 g", 2), ("2 h 32 min", 3)] {
            assert_eq!(quantities(text)[0].n_digits, n_digits, "{text}");
        }
    }
}
