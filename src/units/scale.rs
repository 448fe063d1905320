//! Scales: their unit, their smallest step, and what they show of a mass.
//!
//! Part of `units`.

use super::{GRAMS_PER_OUNCE, Mass};

/// What a scale shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ScaleUnit {
    /// Grams.
    Grams,
    /// Avoirdupois ounces.
    Ounces,
}

impl ScaleUnit {
    /// Grams in one unit; exact.
    #[must_use]
    pub fn grams(self) -> f64 {
        match self {
            ScaleUnit::Grams => 1.0,
            ScaleUnit::Ounces => GRAMS_PER_OUNCE,
        }
    }

    /// The symbol.
    #[must_use]
    pub fn symbol(self) -> &'static str {
        match self {
            ScaleUnit::Grams => "g",
            ScaleUnit::Ounces => "oz",
        }
    }
}

impl ScaleUnit {
    /// The finest and the coarsest step of a scale that anybody weighs soap on, in its unit. Common practice.
    #[must_use]
    pub fn division_limits(self) -> (f64, f64) {
        match self {
            ScaleUnit::Grams => (0.0001, 100.0),
            ScaleUnit::Ounces => (0.0001, 4.0),
        }
    }
}

/// A scale: its unit and its smallest step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scale {
    /// Unit shown.
    pub unit: ScaleUnit,
    /// The smallest step, in that unit; above 0.
    pub division: f64,
}

/// Exact products such as 5 * 0.2 come out a hair below a whole number of divisions; this much of one division is taken
/// for such a hair when the alkali is rounded down. A millionth of a division is far below what any scale shows.
pub(crate) const HAIR: f64 = 1e-6;

impl Scale {
    /// The usual kitchen scale in grams. Common practice.
    pub const GRAMS: Scale = Scale { unit: ScaleUnit::Grams, division: 1.0 };
    /// The usual kitchen scale in ounces. Common practice.
    pub const OUNCES: Scale = Scale { unit: ScaleUnit::Ounces, division: 0.05 };

    fn divisions(self, mass: Mass) -> f64 {
        mass.to_grams() / (self.unit.grams() * self.division)
    }

    /// The nearest reading, halves upward.
    ///
    /// On a scale of 5 g, 122.4 g reads 24 divisions (120 g).
    #[must_use]
    pub fn nearest(self, mass: Mass) -> u64 {
        (self.divisions(mass) + HAIR).round() as u64
    }

    /// The reading below: for alkali, so that rounding never takes from the superfat.
    ///
    /// On a scale of 5 g, 124.9 g reads 24 divisions (120 g).
    #[must_use]
    pub fn below(self, mass: Mass) -> u64 {
        (self.divisions(mass) + HAIR).floor() as u64
    }

    /// The reading above: for how far off a reading may be.
    ///
    /// On a scale of 5 g, 120.1 g reads 25 divisions (125 g).
    #[must_use]
    pub fn above(self, mass: Mass) -> u64 {
        (self.divisions(mass) - HAIR).ceil() as u64
    }

    /// The mass of a reading.
    #[must_use]
    pub fn mass(self, reading: u64) -> Mass {
        Mass::grams(reading as f64 * self.division * self.unit.grams())
    }

    /// A reading in the unit of the scale.
    #[must_use]
    pub fn value(self, reading: u64) -> f64 {
        reading as f64 * self.division
    }

    /// How many decimals the scale shows: two for 0.05, none for 5.
    #[must_use]
    pub fn decimals(self) -> usize {
        // The shortest text that reads back as the same number; six decimals are enough for a milligram in ounces.
        let text = format!("{:.6}", self.division);
        text.trim_end_matches('0').split_once('.').map_or(0, |(_, decimals)| decimals.len())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_scale_shows_the_decimals_of_its_division() {
        for (division, decimals) in [(1.0, 0), (5.0, 0), (0.1, 1), (0.05, 2), (0.005, 3), (0.2, 1)] {
            assert_eq!(Scale { unit: ScaleUnit::Ounces, division }.decimals(), decimals, "{division}");
        }
    }

    #[test]
    fn alkali_goes_down_and_everything_else_to_the_nearest() {
        let scale = Scale { unit: ScaleUnit::Grams, division: 5.0 };
        assert_eq!((scale.below(Mass::grams(124.9)), scale.nearest(Mass::grams(122.4))), (24, 24));
        assert_eq!(scale.nearest(Mass::grams(122.5)), 25);
        assert_eq!([120.0, 120.1, 0.0].map(|it| scale.above(Mass::grams(it))), [24, 25, 0]);
        // 0.3 - 0.1 is a hair below 0.2 in binary, and still two divisions of 0.1 g.
        let fine = Scale { unit: ScaleUnit::Grams, division: 0.1 };
        assert_eq!(fine.below(Mass::grams(0.3 - 0.1)), 2);
    }
}
