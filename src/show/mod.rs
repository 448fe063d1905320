//! How numbers are shown: decimals, the minus sign, the space that does not break, units.
//!
//! Layer 0. The only code that turns a number into text for people; what number it is was decided elsewhere. Rounding
//! here is for showing alone: what is weighed was rounded to whole divisions of a scale before (`batch/weighing.rs`).

mod measures;
mod spoons;
mod temperature;
mod times;
mod visible;

pub use measures::{about, length, vessel, volume};
pub use spoons::spoons;
pub use temperature::{TemperatureScale, temperature, temperature_at_most};
pub use times::{clock, time};
pub use visible::visible;

use crate::units::{Mass, Scale, ScaleUnit};

/// Between a number and its unit, so that no line breaks there.
pub const NO_BREAK: char = '\u{a0}';

/// The units in which a course shows amounts.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Units {
    /// Grams alone.
    #[default]
    Grams,
    /// Ounces alone.
    Ounces,
    /// Grams, with ounces beside them.
    Both,
}

impl Units {
    /// What book.toml calls them.
    pub const NAMES: [&'static str; 3] = ["grams", "ounces", "both"];

    /// The units of the scales that are read, the main one first.
    #[must_use]
    pub fn scales(self) -> &'static [ScaleUnit] {
        match self {
            Units::Grams => &[ScaleUnit::Grams],
            Units::Ounces => &[ScaleUnit::Ounces],
            Units::Both => &[ScaleUnit::Grams, ScaleUnit::Ounces],
        }
    }

    /// The unit of the main scale.
    #[must_use]
    pub fn main(self) -> ScaleUnit {
        self.scales()[0]
    }

    /// The setting that shows this unit alone.
    #[must_use]
    pub fn only(unit: ScaleUnit) -> Units {
        match unit {
            ScaleUnit::Grams => Units::Grams,
            ScaleUnit::Ounces => Units::Ounces,
        }
    }
}

/// A number with so many decimals, half away from zero; below zero with a minus sign, and never a negative nothing.
///
/// 1.25 with one decimal is 1.3, -0.01 is 0.0, -2.3 is −2.3.
#[must_use]
pub fn fixed(value: f64, decimals: usize) -> String {
    let text = plain(value, decimals);
    text.strip_prefix('-').map_or_else(|| text.clone(), |it| format!("\u{2212}{it}"))
}

/// The same as programs read it, with a hyphen for a minus.
#[must_use]
pub fn plain(value: f64, decimals: usize) -> String {
    let scale = 10_f64.powi(i32::try_from(decimals).unwrap_or(0));
    let rounded = (value * scale).round() / scale;
    format!("{:.*}", decimals, if rounded == 0.0 { 0.0 } else { rounded })
}

/// A number with at most so many decimals and none that say nothing: 5 and 27.3, not 5.0.
#[must_use]
pub fn short(value: f64, decimals: usize) -> String {
    let text = fixed(value, decimals);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// A plain number: two decimals at most from 1 on, and three digits that say something below it: 2.03, 0.134, 0.0125.
#[must_use]
pub fn number(value: f64) -> String {
    let is_small = value.abs() < 1.0 && value != 0.0;
    let decimals = if is_small { (2.0 - value.abs().log10().floor()).clamp(2.0, 6.0) as usize } else { 2 };
    short(value, decimals)
}

/// A number as somebody typed it, without the dust that binary fractions leave behind: 98.99999999999999 is 99.
#[must_use]
pub fn as_typed(value: f64) -> String {
    let rounded = (value * 1e6).round() / 1e6;
    // What is smaller than the dust, or too large to have any, stays as it is.
    let tidy = if rounded == 0.0 || !rounded.is_finite() { value } else { rounded };
    let text = if tidy == 0.0 { 0.0 } else { tidy }.to_string();
    text.strip_prefix('-').map_or_else(|| text.clone(), |it| format!("\u{2212}{it}"))
}

/// A number and its unit, which no line break parts.
#[must_use]
pub fn with_unit(number: &str, unit: &str) -> String {
    format!("{number}{NO_BREAK}{unit}")
}

/// A percentage with one decimal at most.
#[must_use]
pub fn percent(value: f64) -> String {
    percent_to(value, 1)
}

/// A percentage with at most so many decimals.
#[must_use]
pub fn percent_to(value: f64, decimals: usize) -> String {
    with_unit(&short(value, decimals), "%")
}

/// One decimal always, so that a row of figures lines up.
#[must_use]
pub fn percent_fixed(value: f64) -> String {
    with_unit(&fixed(value, 1), "%")
}

/// Tenths of a percent, always with the tenth: 25.0 %.
#[must_use]
pub fn percent_of_tenths(tenths: u64) -> String {
    with_unit(&format!("{}.{}", tenths / 10, tenths % 10), "%")
}

/// A percentage below zero that would be printed as nothing, in words that do not hide it.
///
/// A superfat of exactly nothing may come out a hair below it in binary fractions, and is nothing.
#[must_use]
pub fn superfat(percentage: f64) -> String {
    if is_below_zero(percentage) && short(percentage, 1) == "0" {
        return format!("just below {}", percent(0.0));
    }
    percent(percentage)
}

/// Whether a superfat is below zero by more than binary fractions can do.
#[must_use]
pub fn is_below_zero(percentage: f64) -> bool {
    percentage < -1e-6
}

/// What a scale shows at so many divisions, without its unit.
#[must_use]
pub fn reading_number(scale: Scale, divisions: u64) -> String {
    format!("{:.*}", scale.decimals_of(divisions), scale.value(divisions))
}

/// What a scale shows at so many divisions.
#[must_use]
pub fn reading(scale: Scale, divisions: u64) -> String {
    with_unit(&reading_number(scale, divisions), scale.unit.symbol())
}

/// What a scale shows of a mass, or that it is too little to be shown.
#[must_use]
pub fn weighed(scale: Scale, divisions: u64, exact: Mass) -> String {
    let is_hidden = divisions == 0 && exact.to_grams() > 1e-9;
    if is_hidden { format!("under {}", division(scale.small())) } else { reading(scale, divisions) }
}

/// The smallest step of a scale.
#[must_use]
pub fn division(scale: Scale) -> String {
    with_unit(&short(scale.division, 6), scale.unit.symbol())
}

/// An exact mass for the arithmetic: two decimals where there is enough of it, and more the smaller it is.
///
/// From 10 g on, or 100 oz, two are shown: nobody's scale and nobody's table of fats knows the third. 52.177 g is 52.18 g.
#[must_use]
pub fn exact(mass: Mass, unit: ScaleUnit) -> String {
    let value = mass.to_grams() / unit.grams();
    let two_from = match unit {
        ScaleUnit::Grams => 10.0,
        ScaleUnit::Ounces => 100.0,
    };
    let decimals = match value {
        it if it >= 10_000.0 => 1,
        it if it >= two_from => 2,
        it if it >= 1.0 => 3,
        _ => 5,
    };
    with_unit(&fixed(value, decimals), unit.symbol())
}

/// An exact mass that lies below `limit`, with as many decimals as it takes to see that it does: 104.998 g, which reads
/// 104 g on a scale of 1 g, must not be shown as 105.00 g.
#[must_use]
pub fn exact_below(mass: Mass, unit: ScaleUnit, limit: f64) -> String {
    let value = mass.to_grams() / unit.grams();
    let plain = exact(mass, unit);
    let reaches_limit = |text: &str| text.parse::<f64>().is_ok_and(|it| it >= limit);
    if !reaches_limit(plain.split(NO_BREAK).next().unwrap_or_default()) {
        return plain;
    }
    let texts = (3..9).map(|decimals| format!("{value:.decimals$}"));
    let clear = texts.into_iter().find(|it| !reaches_limit(it));
    clear.map_or(plain, |it| with_unit(&it, unit.symbol()))
}

/// A text with its first letter large.
#[must_use]
pub fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// A name with its article, which the name may have already: `the loaf mould`, and `the loaf` of the one named so.
#[must_use]
pub fn the(name: &str) -> String {
    let rest = name.split_once(' ').filter(|(first, _)| first.eq_ignore_ascii_case("the"));
    format!("the {}", rest.map_or(name, |(_, rest)| rest))
}

/// Names as a list in words, each once: `clove oil, honey and cocoa`. What tells one kind of a thing from another after a
/// comma stands in brackets, or the list could not be told from it: `tallow and shea butter (unrefined)`.
#[must_use]
pub fn listed<'a>(names: impl IntoIterator<Item = &'a str>) -> String {
    let mut once: Vec<&str> = Vec::new();
    for name in names {
        if !once.contains(&name) {
            once.push(name);
        }
    }
    let once: Vec<String> = once.into_iter().map(in_one_piece).collect();
    match &once[..] {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

fn in_one_piece(name: &str) -> String {
    match name.split_once(", ") {
        Some((thing, kind)) if !name.contains('(') => format!("{thing} ({kind})"),
        _ => name.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_shown_without_dust() {
        assert_eq!([short(5.0, 1), short(27.25, 1), short(1.25, 1), short(-0.01, 1)], ["5", "27.3", "1.3", "0"]);
        let numbers = [2.034, 12.0, 1.0 / 3.0, 0.0125, -0.5, 0.0, 1e-9].map(number);
        assert_eq!(numbers, ["2.03", "12", "0.333", "0.0125", "\u{2212}0.5", "0", "0"]);
        assert_eq!([as_typed(98.999_999_999_999_99), as_typed(-0.0), as_typed(-2.5)], ["99", "0", "\u{2212}2.5"]);
        assert_eq!(
            ["loaf", "the loaf", "The loaf", "theatre"].map(the),
            ["the loaf", "the loaf", "the loaf", "the theatre"]
        );
        assert_eq!(exact(Mass::grams(128.675), ScaleUnit::Grams), "128.68\u{a0}g");
        assert_eq!(exact(Mass::grams(9.5), ScaleUnit::Grams), "9.500\u{a0}g");
        assert_eq!(exact(Mass::grams(52.177), ScaleUnit::Grams), "52.18\u{a0}g");
        assert_eq!(exact(Mass::ounces(52.177), ScaleUnit::Ounces), "52.177\u{a0}oz");
    }

    #[test]
    fn names_with_commas_in_them_stay_in_one_piece() {
        for (names, words) in [
            (
                &["tallow", "coconut oil", "shea butter, unrefined"][..],
                "tallow, coconut oil and shea butter (unrefined)",
            ),
            (&["beeswax, white", "honey", "honey"], "beeswax (white) and honey"),
            (&["beeswax, white"], "beeswax (white)"),
            (&["kaolin, fine (1 tsp)"], "kaolin, fine (1 tsp)"),
        ] {
            assert_eq!(listed(names.iter().copied()), words);
        }
    }

    #[test]
    fn below_zero_has_a_minus_sign_in_every_form() {
        assert_eq!([fixed(-2.34, 1), short(-2.0, 1), fixed(-0.04, 1)], ["\u{2212}2.3", "\u{2212}2", "0.0"]);
        assert_eq!([percent_fixed(-2.34), percent(-2.34)], ["\u{2212}2.3\u{a0}%", "\u{2212}2.3\u{a0}%"]);
        assert_eq!([superfat(-0.03), superfat(-1e-9)], ["just below 0\u{a0}%", "0\u{a0}%"]);
        assert_eq!(plain(-2.34, 1), "-2.3");
    }

    #[test]
    fn a_mass_just_below_a_division_is_not_shown_as_the_division() {
        let shown = |grams, limit| exact_below(Mass::grams(grams), ScaleUnit::Grams, limit).replace(NO_BREAK, " ");
        assert_eq!(shown(104.998, 105.0), "104.998 g");
        assert_eq!(shown(104.9999, 105.0), "104.9999 g");
        assert_eq!(shown(104.5, 105.0), "104.50 g");
    }
}
