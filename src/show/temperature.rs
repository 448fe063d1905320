//! Temperatures, on the scale of the course.
//!
//! Part of `show`. Everything is computed in degrees Celsius, and limits are typed so.

use super::{Units, fixed, with_unit};

/// The scale of the thermometers that students have.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum TemperatureScale {
    /// Degrees Celsius.
    #[default]
    Celsius,
    /// Degrees Fahrenheit.
    Fahrenheit,
}

impl TemperatureScale {
    /// What book.toml calls them.
    pub const NAMES: [&'static str; 2] = ["celsius", "fahrenheit"];

    /// What goes with the units of a course that does not say: who weighs in ounces alone reads degrees Fahrenheit.
    #[must_use]
    pub fn with(units: Units) -> TemperatureScale {
        match units {
            Units::Ounces => TemperatureScale::Fahrenheit,
            Units::Grams | Units::Both => TemperatureScale::Celsius,
        }
    }

    fn degrees(self, celsius: f64) -> f64 {
        match self {
            TemperatureScale::Celsius => celsius,
            TemperatureScale::Fahrenheit => celsius * 9.0 / 5.0 + 32.0,
        }
    }

    fn symbol(self) -> &'static str {
        match self {
            TemperatureScale::Celsius => "°C",
            TemperatureScale::Fahrenheit => "°F",
        }
    }
}

/// A temperature in whole degrees.
#[must_use]
pub fn temperature(celsius: f64, scale: TemperatureScale) -> String {
    with_unit(&fixed(scale.degrees(celsius), 0), scale.symbol())
}

/// A bound that is no more exact than whole fives of degrees, rounded up to them.
#[must_use]
pub fn temperature_at_most(celsius: f64, scale: TemperatureScale) -> String {
    with_unit(&fixed((scale.degrees(celsius) / 5.0 - 1e-9).ceil() * 5.0, 0), scale.symbol())
}

#[cfg(test)]
mod tests {
    use super::TemperatureScale::{Celsius, Fahrenheit};
    use super::*;

    #[test]
    fn temperatures_are_told_on_the_scale_of_the_course() {
        for (celsius, in_celsius, in_fahrenheit) in [
            (0.0, "0\u{a0}°C", "32\u{a0}°F"),
            (38.0, "38\u{a0}°C", "100\u{a0}°F"),
            (-40.0, "\u{2212}40\u{a0}°C", "\u{2212}40\u{a0}°F"),
        ] {
            assert_eq!([Celsius, Fahrenheit].map(|it| temperature(celsius, it)), [in_celsius, in_fahrenheit]);
        }
        assert_eq!([Celsius, Fahrenheit].map(|it| temperature_at_most(92.1, it)), ["95\u{a0}°C", "200\u{a0}°F"]);
        assert_eq!([Celsius, Fahrenheit].map(|it| temperature_at_most(95.0, it)), ["95\u{a0}°C", "205\u{a0}°F"]);
        let scales = [Units::Grams, Units::Ounces, Units::Both].map(TemperatureScale::with);
        assert_eq!(scales, [Celsius, Fahrenheit, Celsius]);
    }
}
