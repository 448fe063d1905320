//! # What it finds
//!
//! A number beside a unit of mass, typed by hand into the prose of a page that has a recipe. A range is told once, and so
//! is an amount in two units. Rates are left alone: what comes after "per" or a stroke, or before one.
//!
//! # Why it matters
//!
//! A typed amount stays as it is when the recipe or a table changes, and then the page contradicts its own card.
//!
//! # Example
//!
//! `Weigh 128 g of lye.` in place of `Weigh {{ lye }} of lye.`
//!
//! # Source
//!
//! Common practice. A value counts as the one that is meant when its printed amount is within ten percent of the typed
//! one: far enough for a recipe that has changed since, and near enough to be no chance as a rule.

use std::ops::Range;

use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::prose::Prose;
use crate::show;
use crate::units::Mass;

/// How far a typed amount may be from the value that is meant, as a part of that value.
const NEAR: f64 = 0.1;

/// The units with how they may be written, and one of them that [`Mass`] reads.
const UNITS: [(&[&str], &str); 4] = [
    (&["g", "gram", "grams", "gramme", "grammes"], "g"),
    (&["kg", "kilo", "kilos", "kilogram", "kilograms", "kilogramme", "kilogrammes"], "kg"),
    (&["oz", "ounce", "ounces"], "oz"),
    (&["lb", "lbs", "pound", "pounds"], "lb"),
];

/// An amount in a text.
#[derive(Clone, Debug, PartialEq)]
struct Quantity {
    span: Range<usize>,
    mass: Mass,
    /// The unit as [`Mass`] reads it.
    unit: &'static str,
    /// Whether it reaches from one amount to another, so that no value can be meant.
    is_range: bool,
}

/// A value that a typed amount may mean.
struct Meant {
    /// What a sentence writes for it.
    expression: String,
    /// As the scales of the course show it, the main one first.
    masses: Vec<Mass>,
    /// The same in words.
    printed: String,
}

/// Looks at the prose of a page.
///
/// - `ledgers`: of the page's recipe, or of all that it has cards of; what is weighed in them may be meant.
#[must_use]
pub fn check(prose: &[Prose], ledgers: &[&Ledger]) -> Vec<Finding> {
    let mut meant: Option<Vec<Meant>> = None;
    let mut findings = Vec::new();
    for it in prose {
        for quantity in quantities(it.text.text()) {
            let meant = meant.get_or_insert_with(|| values_of(ledgers));
            let nearest = if quantity.is_range { None } else { nearest(quantity.mass, meant) };
            let typed = &it.text.text()[quantity.span.clone()];
            let place = it.text.place(quantity.span.clone());
            let nearest = nearest.map(|it| (it.expression.as_str(), it.printed.as_str()));
            findings.push(Finding::typed_quantity(place, typed, nearest));
        }
    }
    findings
}

/// What is weighed in these recipes, with its sums; of several, each value names its recipe.
fn values_of(ledgers: &[&Ledger]) -> Vec<Meant> {
    let figures = ledgers.iter().flat_map(|ledger| ledger.figures().iter().map(move |figure| (ledger, figure)));
    let values = figures.filter_map(|(ledger, figure)| {
        let readings = ledger.scales.units.scales().iter().map(|unit| {
            let scale = ledger.scales.of(*unit);
            figure.amount.reading(*unit).map(|it| (scale.mass(it), show::reading(scale, it)))
        });
        let (masses, texts): (Vec<Mass>, Vec<String>) = readings.collect::<Option<Vec<_>>>()?.into_iter().unzip();
        let printed = match &texts[..] {
            [main, other] => format!("{main} ({other})"),
            texts => texts.concat(),
        };
        let name = figure.key.to_string();
        let expression = if ledgers.len() > 1 { format!("{}.{name}", ledger.recipe.id) } else { name };
        Some(Meant { expression, masses, printed })
    });
    values.collect()
}

/// The value that is nearest to what was typed, by what a scale shows; of equal ones the one with the shortest name.
fn nearest(typed: Mass, values: &[Meant]) -> Option<&Meant> {
    let off =
        |it: &Meant| it.masses.iter().map(|it| (typed.to_grams() - it.to_grams()).abs()).fold(f64::INFINITY, f64::min);
    let is_near =
        |it: &&Meant| it.masses.iter().any(|mass| (typed.to_grams() - mass.to_grams()).abs() <= NEAR * mass.to_grams());
    let parts = |it: &Meant| (it.expression.matches('.').count(), it.expression.len());
    values.iter().filter(is_near).min_by(|a, b| off(a).total_cmp(&off(b)).then_with(|| parts(a).cmp(&parts(b))))
}

/// The amounts in a text, front to back, without those that belong to a rate.
fn quantities(text: &str) -> Vec<Quantity> {
    let mut found: Vec<Quantity> = Vec::new();
    let mut at = 0;
    while let Some(start) = text[at..].find(is_number_start).map(|it| at + it) {
        let (value, number_end) = number(text, start);
        at = number_end;
        let before = text[..start].chars().next_back();
        // The digits of NaCl2, of a date or of a page's name are no amount.
        let stands_alone = before.is_none_or(|it| !it.is_alphanumeric() && !matches!(it, '.' | ',' | '/' | '_'));
        let Some(unit) = unit(text, number_end).filter(|_| stands_alone) else { continue };
        at = unit.1;
        let Ok(mass) = Mass::parse(&format!("{value} {}", unit.0)) else { continue };
        let quantity = Quantity { span: start..unit.1, mass, unit: unit.0, is_range: false };
        match found.last_mut().filter(|it| joined(it, &quantity, text)) {
            Some(last) => join(last, quantity, text),
            None => found.push(with_first_of_range(quantity, text)),
        }
    }
    found.retain(|it| !is_rate(it, text));
    found
}

fn is_number_start(it: char) -> bool {
    it.is_ascii_digit() || fraction_sign(it).is_some()
}

/// The value of a sign such as ½.
fn fraction_sign(it: char) -> Option<f64> {
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

/// Reads `12`, `1.5`, `1,5`, `1,000`, `1/2`, `1 1/2` or `1½`: its value and where it ends.
fn number(text: &str, start: usize) -> (f64, usize) {
    let digits = |from: usize| from + text[from..].find(|it: char| !it.is_ascii_digit()).unwrap_or(text.len() - from);
    let read = |span: Range<usize>| text[span].parse::<f64>().unwrap_or(0.0);
    let mut end = digits(start);
    let mut value = read(start..end);
    // Thousands in groups of three; any other comma is one before decimals.
    while text[end..].starts_with(',') && digits(end + 1) == end + 4 {
        value = value * 1000.0 + read(end + 1..end + 4);
        end += 4;
    }
    if text[end..].starts_with(['.', ',']) && digits(end + 1) > end + 1 {
        let decimals_end = digits(end + 1);
        let decimals = format!("0.{}", &text[end + 1..decimals_end]);
        return (value + decimals.parse::<f64>().unwrap_or(0.0), decimals_end);
    }
    if let Some((sign, after)) =
        text[end..].chars().next().and_then(|it| Some((fraction_sign(it)?, end + it.len_utf8())))
    {
        return (value + sign, after);
    }
    // `1/2` by itself, or after a whole number and a space.
    let (whole, over_start) = match text[end..].strip_prefix([' ', '\u{a0}', '-']) {
        Some(rest) if !text[end..].starts_with('/') => (value, text.len() - rest.len()),
        _ => (0.0, start),
    };
    let over_end = digits(over_start);
    if over_end > over_start && text[over_end..].starts_with('/') && digits(over_end + 1) > over_end + 1 {
        let under_end = digits(over_end + 1);
        let under = read(over_end + 1..under_end);
        if under > 0.0 {
            return (whole + read(over_start..over_end) / under, under_end);
        }
    }
    (value, end)
}

/// The unit that follows a number, and where it ends.
fn unit(text: &str, number_end: usize) -> Option<(&'static str, usize)> {
    let rest = &text[number_end..];
    let spaced = rest.trim_start_matches([' ', '\u{a0}', '\u{202f}', '\u{2009}']);
    let start = text.len() - spaced.len();
    let word_end = spaced.find(|it: char| !it.is_alphanumeric()).unwrap_or(spaced.len());
    let word = spaced[..word_end].to_lowercase();
    let (_, unit) = UNITS.iter().find(|(names, _)| names.contains(&word.as_str()))?;
    Some((unit, start + word_end))
}

/// Whether an amount goes on with another: `3 g to 5 g`, `50 g (1.75 oz)`, `2 lb 3 oz`.
fn joined(first: &Quantity, second: &Quantity, text: &str) -> bool {
    let between = text[first.span.end..second.span.start].trim();
    // Two amounts with "and" between them are two, unless it says "between" before them.
    let is_between = between == "and" && text[..first.span.start].trim_end().ends_with("between");
    is_range_word(between)
        || is_between
        || between == "("
        || between.is_empty() && first.unit == "lb" && second.unit == "oz"
}

fn join(first: &mut Quantity, second: Quantity, text: &str) {
    let between = text[first.span.end..second.span.start].trim();
    first.is_range |= is_range_word(between) || between == "and";
    if between.is_empty() {
        first.mass = first.mass + second.mass;
    }
    let closes = between == "(" && text[second.span.end..].starts_with(')');
    first.span.end = second.span.end + usize::from(closes);
    first.unit = second.unit;
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
    Quantity { span: start..quantity.span.end, is_range: true, ..quantity }
}

/// Whether an amount says how much of one thing goes with another: "per 100 g", "10 g per kg", "10 g/kg".
fn is_rate(quantity: &Quantity, text: &str) -> bool {
    let before = text[..quantity.span.start].trim_end().to_lowercase();
    let after = text[quantity.span.end..].trim_start().to_lowercase();
    let ends_with_per = before.strip_suffix("per").is_some_and(|it| !it.ends_with(char::is_alphanumeric));
    let starts_with_per = after.strip_prefix("per").is_some_and(|it| !it.starts_with(char::is_alphanumeric));
    ends_with_per || before.ends_with('/') || starts_with_per || after.starts_with('/')
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::{Extract, SourceFile};

    #[test]
    fn a_number_beside_a_unit_of_mass_is_an_amount() {
        for (text, amounts) in [
            (
                "Weigh 128 g of lye, 2.5kg and 3\u{a0}oz.",
                vec![("128 g", 128.0), ("2.5kg", 2500.0), ("3\u{a0}oz", 85.05)],
            ),
            (
                "1,5 kg; 1,500 g; 1 1/2 oz; 1½ oz; 1/2 lb",
                vec![("1,5 kg", 1500.0), ("1,500 g", 1500.0), ("1 1/2 oz", 42.52), ("1½ oz", 42.52), ("1/2 lb", 226.8)],
            ),
            ("one gram, 1 Gram, 2 POUNDS", vec![("1 Gram", 1.0), ("2 POUNDS", 907.18)]),
            ("2 lb 3 oz and 50 g (1.75 oz) more", vec![("2 lb 3 oz", 992.23), ("50 g (1.75 oz)", 50.0)]),
            ("5 gel, 3 goggles, 8 fl oz, 40 °C, 10 %, 2 goz, C2 g, step 5. Gloves", vec![]),
            ("per 100 g of fats, 10 g/kg, 3 oz per pound, 28 g per pound, 10/5 g", vec![("10/5 g", 2.0)]),
            ("a paper 5 g", vec![("5 g", 5.0)]),
            ("Weigh 50 g and 30 g.", vec![("50 g", 50.0), ("30 g", 30.0)]),
        ] {
            let found = quantities(text);
            let found: Vec<_> =
                found.iter().map(|it| (&text[it.span.clone()], (it.mass.to_grams() * 100.0).round() / 100.0)).collect();
            assert_eq!(found, amounts, "{text}");
        }
    }

    #[test]
    fn a_range_is_one_amount() {
        for (text, typed) in [
            ("take 3 to 5 g of it", "3 to 5 g"),
            ("take 3–5 g of it", "3–5 g"),
            ("take 3 - 5.5 g of it", "3 - 5.5 g"),
            ("take 3 g to 5 g of it", "3 g to 5 g"),
            ("between 1½ and 2 oz", "1½ and 2 oz"),
            ("between 1 oz and 2 oz", "1 oz and 2 oz"),
        ] {
            let found = quantities(text);
            assert_eq!(found.len(), 1, "{text}: {found:?}");
            assert_eq!((&text[found[0].span.clone()], found[0].is_range), (typed, true), "{text}");
        }
        assert!(!quantities("tomato 5 g")[0].is_range);
    }

    #[test]
    fn the_nearest_value_is_offered_if_it_is_near() {
        let meant = |expression: &str, grams: f64, printed: &str| Meant {
            expression: expression.to_owned(),
            masses: vec![Mass::grams(grams)],
            printed: printed.to_owned(),
        };
        let values = [
            meant("lye", 128.0, "128 g (4.50 oz)"),
            meant("total.solution", 390.0, "390 g"),
            meant("solution", 390.0, "390 g"),
        ];
        for (text, help) in [
            ("128 g", "write {{ lye }}, which is 128 g (4.50 oz) here"),
            ("4.5 oz", "write {{ lye }}, which"),
            ("0.4 kg", "write {{ solution }}, which"),
            ("116 g", "write {{ lye }}, which"),
            ("115 g", "write {{ \"115 g\" }} if"),
            ("120 to 130 g", "write {{ \"120 to 130 g\" }} if"),
        ] {
            let file = SourceFile::new("a.md", text);
            let quantity = quantities(text).remove(0);
            let near = if quantity.is_range { None } else { nearest(quantity.mass, &values) };
            let place = Extract::whole(&file).place(quantity.span);
            let finding = Finding::typed_quantity(place, text, near.map(|it| (&*it.expression, &*it.printed)));
            assert!(finding.help.as_ref().is_some_and(|it| it.contains(help)), "{text}: {finding:?}");
        }
    }
}
