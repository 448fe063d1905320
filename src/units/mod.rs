//! One type per quantity, named for the quantity; constructors and getters are named for the unit.
//!
//! Layer 0. Knows nothing of soap. A value of one of these types is finite and not negative, so that
//! whatever is computed from it can be trusted to be a number. Text such as `900 g` is read by [`Mass::parse`] and
//! [`Length::parse`]; how a value is *shown* is decided in `show/`.

mod apportion;
mod scale;

pub use apportion::apportion;
pub(crate) use scale::HAIR;
pub use scale::{OfTwo, Scale, ScaleUnit};

use std::fmt;
use std::iter::Sum;
use std::ops::{Add, Div, Mul, Sub};

/// Grams in one avoirdupois ounce, exact by definition.
///
/// # Source
///
/// International yard and pound agreement (1959), one pound = 453.59237 g; NIST SP 811 (2008), Appendix B.8.
pub const GRAMS_PER_OUNCE: f64 = 28.349_523_125;

/// Millimetres in one inch, exact by definition.
///
/// # Source
///
/// NIST SP 811 (2008), Appendix B.8.
pub const MILLIMETRES_PER_INCH: f64 = 25.4;

/// Millilitres in one US teaspoon, exact: a sixth of a US fluid ounce of 29.5735295625 mL.
///
/// # Source
///
/// NIST SP 811 (2008), Appendix B.8. Kitchen measuring spoons are made to 5 mL, 1.4 % more.
pub const MILLILITRES_PER_TEASPOON: f64 = 4.928_921_593_75;

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $make:ident, $get:ident, $unit:literal) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            #[doc = concat!("A value in ", $unit, ".")]
            ///
            /// # Panics
            ///
            /// If `value` is negative or not finite: whatever an author typed was checked before it came here.
            #[must_use]
            #[allow(clippy::self_named_constructors, reason = "a constructor is named for its unit, and percent is one")]
            pub fn $make(value: f64) -> Self {
                assert!(value.is_finite() && value >= 0.0, "{} of {value}", stringify!($name));
                Self(value)
            }

            #[doc = concat!("The value in ", $unit, ".")]
            #[must_use]
            pub fn $get(self) -> f64 {
                self.0
            }
        }
    };
}

quantity! {
    /// A mass, as a balance shows it.
    Mass, grams, to_grams, "grams"
}
quantity! {
    /// A saponification value: milligrams of potassium hydroxide that saponify one gram of fat (ISO 3657).
    SapValue, mg_koh_per_g, to_mg_koh_per_g, "milligrams of KOH per gram of fat"
}
quantity! {
    /// A share of a whole, in percent. May be above 100 where the formula allows it.
    Percent, percent, to_percent, "percent"
}
quantity! {
    /// A length, for the insides of moulds.
    Length, millimetres, to_millimetres, "millimetres"
}
quantity! {
    /// A volume.
    Volume, millilitres, to_millilitres, "millilitres"
}
quantity! {
    /// A length of time.
    TimeSpan, minutes, to_minutes, "minutes"
}
quantity! {
    /// A density.
    Density, grams_per_millilitre, to_grams_per_millilitre, "grams per millilitre"
}
quantity! {
    /// A molar mass.
    MolarMass, grams_per_mole, to_grams_per_mole, "grams per mole"
}

impl Mass {
    /// No mass at all.
    pub const ZERO: Mass = Mass(0.0);

    /// A mass in avoirdupois ounces; one ounce is exactly 28.349523125 g ([`GRAMS_PER_OUNCE`]).
    ///
    /// # Panics
    ///
    /// If `value` is negative or not finite.
    #[must_use]
    pub fn ounces(value: f64) -> Mass {
        Mass::grams(value * GRAMS_PER_OUNCE)
    }

    /// The mass in avoirdupois ounces. 453.59237 g are 16 oz.
    #[must_use]
    pub fn to_ounces(self) -> f64 {
        self.0 / GRAMS_PER_OUNCE
    }

    /// Reads a mass typed with its unit: `900 g`, `1.2 kg`, `32 oz`, `2 lb` or `250 mg`.
    ///
    /// # Errors
    ///
    /// [`QuantityError`] when there is no number, no unit or another unit, or the number is negative or not finite.
    pub fn parse(text: &str) -> Result<Mass, QuantityError> {
        let (number, unit) = split_number(text)?;
        let grams_per_unit = match unit {
            "mg" => 0.001,
            "g" => 1.0,
            "kg" => 1000.0,
            "oz" => GRAMS_PER_OUNCE,
            "lb" => 16.0 * GRAMS_PER_OUNCE,
            "" => return Err(QuantityError::NoUnit),
            other => return Err(QuantityError::UnknownUnit(other.to_owned())),
        };
        finite(number * grams_per_unit).map(Mass)
    }
}

impl Length {
    /// Reads a length typed with its unit: `65 mm`, `6.5 cm` or `2.5 in`.
    ///
    /// # Errors
    ///
    /// [`QuantityError`] when there is no number, no unit or another unit, or the number is negative or not finite.
    pub fn parse(text: &str) -> Result<Length, QuantityError> {
        let (number, unit) = split_number(text)?;
        let millimetres_per_unit = match unit {
            "mm" => 1.0,
            "cm" => 10.0,
            "in" => MILLIMETRES_PER_INCH,
            "" => return Err(QuantityError::NoUnit),
            other => return Err(QuantityError::UnknownUnit(other.to_owned())),
        };
        finite(number * millimetres_per_unit).map(Length)
    }
}

impl Volume {
    /// Reads a volume typed with its unit: `2 tsp`, `1 tbsp` or `15 ml`. A tablespoon is three teaspoons.
    ///
    /// # Errors
    ///
    /// [`QuantityError`] when there is no number, no unit or another unit, or the number is negative or not finite.
    pub fn parse(text: &str) -> Result<Volume, QuantityError> {
        let (number, unit) = split_number(text)?;
        let millilitres_per_unit = match unit {
            "ml" | "mL" => 1.0,
            "tsp" => MILLILITRES_PER_TEASPOON,
            "tbsp" => 3.0 * MILLILITRES_PER_TEASPOON,
            "" => return Err(QuantityError::NoUnit),
            other => return Err(QuantityError::UnknownUnit(other.to_owned())),
        };
        finite(number * millilitres_per_unit).map(Volume)
    }

    /// The volume in US teaspoons.
    #[must_use]
    pub fn to_teaspoons(self) -> f64 {
        self.0 / MILLILITRES_PER_TEASPOON
    }
}

/// Minutes in a day.
pub const MINUTES_PER_DAY: f64 = 24.0 * 60.0;

impl TimeSpan {
    /// Reads a time typed with its unit: `3 min`, `24 h`, `2 days` or `5 weeks`.
    ///
    /// # Errors
    ///
    /// [`QuantityError`] when there is no number, no unit or another unit, or the number is negative, or the time is
    /// longer than a hundred years.
    pub fn parse(text: &str) -> Result<TimeSpan, QuantityError> {
        let (number, unit) = split_number(text)?;
        let minutes_per_unit = minutes_per_unit(unit)?;
        finite(number * minutes_per_unit)
            .ok()
            .filter(|it| *it <= 36_525.0 * MINUTES_PER_DAY)
            .map(TimeSpan)
            .ok_or(QuantityError::OutOfRange)
    }

    /// Reads a time, or a shortest and a longest one: `4 to 6 weeks`, `20 min to 1 h`.
    ///
    /// # Errors
    ///
    /// As [`TimeSpan::parse`]; and when the second time is shorter than the first.
    pub fn parse_range(text: &str) -> Result<(TimeSpan, TimeSpan), QuantityError> {
        let Some((low, high)) = text.split_once(" to ") else {
            let time = TimeSpan::parse(text)?;
            return Ok((time, time));
        };
        let high_time = TimeSpan::parse(high)?;
        let low_time = match TimeSpan::parse(low) {
            // In "4 to 6 weeks" the unit stands once.
            Err(QuantityError::NoUnit) => {
                let (number, _) = split_number(low)?;
                let (_, unit) = split_number(high)?;
                finite(number * minutes_per_unit(unit)?).map(TimeSpan)?
            }
            other => other?,
        };
        if low_time <= high_time { Ok((low_time, high_time)) } else { Err(QuantityError::OutOfRange) }
    }
}

fn minutes_per_unit(unit: &str) -> Result<f64, QuantityError> {
    match unit {
        "min" => Ok(1.0),
        "h" => Ok(60.0),
        "day" | "days" => Ok(MINUTES_PER_DAY),
        "week" | "weeks" => Ok(7.0 * MINUTES_PER_DAY),
        "" => Err(QuantityError::NoUnit),
        other => Err(QuantityError::UnknownUnit(other.to_owned())),
    }
}

impl Percent {
    /// The same share as a fraction of one: 38 % is 0.38.
    #[must_use]
    pub fn to_fraction(self) -> f64 {
        self.0 / 100.0
    }

    /// A share given as a fraction of one: 0.38 is 38 %.
    ///
    /// # Panics
    ///
    /// If `value` is negative or not finite.
    #[must_use]
    pub fn fraction(value: f64) -> Percent {
        Percent::percent(value * 100.0)
    }
}

impl Add for Mass {
    type Output = Mass;
    fn add(self, other: Mass) -> Mass {
        Mass(self.0 + other.0)
    }
}

impl Sub for Mass {
    type Output = Mass;
    /// Never below zero: a difference that rounding made negative is nothing.
    fn sub(self, other: Mass) -> Mass {
        Mass((self.0 - other.0).max(0.0))
    }
}

impl Mul<f64> for Mass {
    type Output = Mass;
    fn mul(self, factor: f64) -> Mass {
        Mass::grams(self.0 * factor)
    }
}

impl Div<f64> for Mass {
    type Output = Mass;
    fn div(self, divisor: f64) -> Mass {
        Mass::grams(self.0 / divisor)
    }
}

impl Div for Mass {
    type Output = f64;
    fn div(self, other: Mass) -> f64 {
        self.0 / other.0
    }
}

impl Sum for Mass {
    fn sum<I: Iterator<Item = Mass>>(masses: I) -> Mass {
        masses.fold(Mass::ZERO, Add::add)
    }
}

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
}

impl fmt::Display for QuantityError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            QuantityError::NoNumber => out.write_str("it does not start with a number"),
            QuantityError::NoUnit => out.write_str("its unit is missing"),
            QuantityError::UnknownUnit(unit) => write!(out, "the unit `{unit}` is not known here"),
            QuantityError::OutOfRange => out.write_str("the number is below zero or far too large"),
        }
    }
}

/// Splits `1.5 kg` into the number and the unit.
fn split_number(text: &str) -> Result<(f64, &str), QuantityError> {
    let text = text.trim();
    let unit_start =
        text.find(|it: char| !(it.is_ascii_digit() || matches!(it, '.' | '-' | '+' | '_'))).unwrap_or(text.len());
    let number = text[..unit_start].replace('_', "").parse().map_err(|_| QuantityError::NoNumber)?;
    Ok((number, text[unit_start..].trim()))
}

fn finite(value: f64) -> Result<f64, QuantityError> {
    if value.is_finite() && value >= 0.0 { Ok(value) } else { Err(QuantityError::OutOfRange) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn masses_are_read_in_every_unit_the_guide_names() {
        for (text, grams) in
            [("900 g", 900.0), ("1.2 kg", 1200.0), ("250mg", 0.25), ("16 oz", 453.592_37), ("1 lb", 453.592_37)]
        {
            let mass = Mass::parse(text).expect(text);
            assert!((mass.to_grams() - grams).abs() < 1e-9, "{text} is {mass:?}");
        }
    }

    #[test]
    fn what_is_not_a_mass_says_why() {
        for (text, why) in [
            ("", QuantityError::NoNumber),
            ("g", QuantityError::NoNumber),
            ("900", QuantityError::NoUnit),
            ("9 cups", QuantityError::UnknownUnit("cups".into())),
            ("-9 g", QuantityError::OutOfRange),
            ("1.2.3 g", QuantityError::NoNumber),
            (&format!("{} kg", "9".repeat(400)), QuantityError::OutOfRange),
        ] {
            assert_eq!(Mass::parse(text), Err(why), "{text:?}");
        }
    }

    #[test]
    fn spoons_are_read_as_volumes() {
        for (text, millilitres) in [("15 ml", 15.0), ("1 tbsp", 14.786_764_781_25), ("0.5 tsp", 2.464_460_796_875)] {
            let volume = Volume::parse(text).expect(text);
            assert!((volume.to_millilitres() - millilitres).abs() < 1e-12, "{text} is {volume:?}");
        }
        assert_eq!(Volume::parse("2 g"), Err(QuantityError::UnknownUnit("g".into())));
    }

    #[test]
    fn times_are_read_in_every_unit_the_guide_names() {
        let minutes = |low, high| Ok((TimeSpan::minutes(low), TimeSpan::minutes(high)));
        for (text, range) in [
            ("3 min", minutes(3.0, 3.0)),
            ("24 h", minutes(1440.0, 1440.0)),
            ("1 day", minutes(1440.0, 1440.0)),
            ("2 days", minutes(2880.0, 2880.0)),
            ("4 to 6 weeks", minutes(4.0 * 10_080.0, 6.0 * 10_080.0)),
            ("1 week to 2 weeks", minutes(10_080.0, 20_160.0)),
            ("20 min to 1 h", minutes(20.0, 60.0)),
            ("6 to 4 weeks", Err(QuantityError::OutOfRange)),
            ("9999999 weeks", Err(QuantityError::OutOfRange)),
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
        for (text, millimetres) in [("65 mm", 65.0), ("6.5 cm", 65.0), ("2.5 in", 63.5)] {
            let length = Length::parse(text).expect(text);
            assert!((length.to_millimetres() - millimetres).abs() < 1e-9, "{text} is {length:?}");
        }
    }
}
