//! Scales: their unit, their smallest step, and what they show of a mass.
//!
//! Part of `units`.

use super::{GRAMS_PER_OUNCE, Mass, QuantityError, apportion, number};

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

/// A scale: its unit and its smallest step, and that of the finer scale beside it for small amounts, if there is one.
///
/// A reading is a whole number of steps of the finer one, or of divisions where there is none.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scale {
    /// Unit shown.
    pub unit: ScaleUnit,
    /// The smallest step, in that unit; above 0.
    pub division: f64,
    /// How many steps of the finer scale make one division; 1 where there is none.
    pub steps: u32,
}

/// Which of two readings that are as near.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OfTwo {
    /// The lower one.
    Lower,
    /// The higher one.
    Higher,
}

/// Exact products such as 5 * 0.2 come out a hair below a whole number of divisions; this much of one division is taken
/// for such a hair when the alkali is rounded down. A millionth of a division is far below what any scale shows.
pub(crate) const HAIR: f64 = 1e-6;

impl Scale {
    /// Reads the smallest step of a scale, in its unit: `5`, which is in `unit`, `5 g` or `0.1 oz`.
    ///
    /// # Errors
    ///
    /// [`QuantityError`] when it is neither a number nor a mass.
    pub fn step_typed(text: &str, unit: ScaleUnit) -> Result<(ScaleUnit, f64), QuantityError> {
        if let Ok(division) = number(text) {
            return Ok((unit, division));
        }
        let mass = Mass::parse(text)?;
        let words = text.to_lowercase();
        let is_in_ounces = ["oz", "lb", "ounce", "pound"].iter().any(|it| words.contains(it));
        let unit = if is_in_ounces { ScaleUnit::Ounces } else { ScaleUnit::Grams };
        Ok((unit, mass.to_grams() / unit.grams()))
    }

    /// The usual kitchen scale in grams. Common practice.
    pub const GRAMS: Scale = Scale::new(ScaleUnit::Grams, 1.0);
    /// The usual kitchen scale in ounces. Common practice.
    pub const OUNCES: Scale = Scale::new(ScaleUnit::Ounces, 0.05);

    /// A scale alone.
    #[must_use]
    pub const fn new(unit: ScaleUnit, division: f64) -> Scale {
        Scale { unit, division, steps: 1 }
    }

    /// The same with a finer one beside it for small amounts; `None` where no whole number of its steps makes a division.
    #[must_use]
    pub fn with_small(self, step: f64) -> Option<Scale> {
        let steps = (self.division / step).round();
        let fits = (steps * step - self.division).abs() <= HAIR * self.division && steps >= 2.0;
        fits.then_some(Scale { steps: steps as u32, ..self })
    }

    /// The most that the finer scale is used for. Common practice: such scales end at one or two hundred grams, and the cup
    /// stands on them too.
    const SMALL_GRAMS: f64 = 100.0;

    fn divisions(self, mass: Mass) -> f64 {
        mass.to_grams() / (self.unit.grams() * self.division)
    }

    fn whole(self, divisions: f64) -> u64 {
        divisions as u64 * u64::from(self.steps)
    }

    /// The nearest reading, halves upward.
    ///
    /// On a scale of 5 g, 122.4 g reads 24 divisions (120 g).
    #[must_use]
    pub fn nearest(self, mass: Mass) -> u64 {
        self.whole((self.divisions(mass) + HAIR).round())
    }

    /// The same on the finer scale, if there is one and it takes so much.
    ///
    /// On a scale of 5 g with one of 0.1 g beside it, 2.44 g reads 24 steps (2.4 g), and 122.4 g 1200 steps (120 g).
    #[must_use]
    pub fn nearest_small(self, mass: Mass) -> u64 {
        if mass.to_grams() > Scale::SMALL_GRAMS { self.nearest(mass) } else { self.small().nearest(mass) }
    }

    /// The scale that an amount is weighed on which may go onto the finer one.
    #[must_use]
    pub fn for_small(self, mass: Mass) -> Scale {
        if mass.to_grams() > Scale::SMALL_GRAMS { self } else { self.small() }
    }

    /// The finer scale alone.
    #[must_use]
    pub fn small(self) -> Scale {
        Scale::new(self.unit, self.division / f64::from(self.steps))
    }

    /// The reading below: for alkali, so that rounding never takes from the superfat.
    ///
    /// On a scale of 5 g, 124.9 g reads 24 divisions (120 g).
    #[must_use]
    pub fn below(self, mass: Mass) -> u64 {
        self.whole((self.divisions(mass) + HAIR).floor())
    }

    /// The reading above: for how far off a reading may be.
    ///
    /// On a scale of 5 g, 120.1 g reads 25 divisions (125 g).
    #[must_use]
    pub fn above(self, mass: Mass) -> u64 {
        self.whole((self.divisions(mass) - HAIR).ceil())
    }

    /// Divides a reading into parts of whole divisions that add up to it, less what is no whole division.
    #[must_use]
    pub fn apportion(self, reading: u64, weights: &[f64]) -> Vec<u64> {
        let steps = u64::from(self.steps);
        apportion(reading / steps, weights).into_iter().map(|it| it * steps).collect()
    }

    /// A reading of another scale of this unit as this one shows it, the nearest; of two as near the lower or the higher.
    ///
    /// 122 g on a scale of 5 g reads 24 divisions (120 g). 122.5 g reads 24 or 25.
    #[must_use]
    pub fn rereads(self, value: f64, of_two: OfTwo) -> u64 {
        let divisions = value / self.division;
        self.whole(match of_two {
            OfTwo::Lower => (divisions - 0.5 - HAIR).ceil().max(0.0),
            OfTwo::Higher => (divisions + 0.5 + HAIR).floor(),
        })
    }

    /// The coarser scales that are made, finest first: the steps of scales are one, two or five times a power of ten.
    ///
    /// # Source
    ///
    /// OIML R 76-1, scale intervals of non-automatic weighing instruments; from memory.
    pub fn coarser(self) -> impl Iterator<Item = Scale> {
        let (_, coarsest) = self.unit.division_limits();
        let steps = (-4..=3).flat_map(|power| [1.0, 2.0, 5.0].map(|it| format!("{it}e{power}")));
        let steps = steps.filter_map(|it| it.parse::<f64>().ok());
        let is_coarser = move |it: &f64| *it > self.division * (1.0 + HAIR) && *it <= coarsest;
        steps.filter(is_coarser).map(move |it| Scale::new(self.unit, it))
    }

    /// One division as a reading.
    #[must_use]
    pub fn one_division(self) -> u64 {
        u64::from(self.steps)
    }

    /// The mass of a reading.
    #[must_use]
    pub fn mass(self, reading: u64) -> Mass {
        Mass::grams(self.value(reading) * self.unit.grams())
    }

    /// A reading in the unit of the scale.
    #[must_use]
    pub fn value(self, reading: u64) -> f64 {
        reading as f64 * self.division / f64::from(self.steps)
    }

    /// How many decimals the scale shows: two for 0.05, none for 5.
    #[must_use]
    pub fn decimals(self) -> usize {
        // The shortest text that reads back as the same number; six decimals are enough for a milligram in ounces.
        let text = format!("{:.6}", self.division);
        text.trim_end_matches('0').split_once('.').map_or(0, |(_, decimals)| decimals.len())
    }

    /// How many decimals a reading is shown with: those of the finer scale where it takes that to show it.
    #[must_use]
    pub fn decimals_of(self, reading: u64) -> usize {
        let is_whole = reading.is_multiple_of(u64::from(self.steps));
        if is_whole { self.decimals() } else { self.small().decimals() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_scale_shows_the_decimals_of_its_division() {
        for (division, decimals) in [(1.0, 0), (5.0, 0), (0.1, 1), (0.05, 2), (0.005, 3), (0.2, 1)] {
            assert_eq!(Scale::new(ScaleUnit::Ounces, division).decimals(), decimals, "{division}");
        }
    }

    #[test]
    fn alkali_goes_down_and_everything_else_to_the_nearest() {
        let scale = Scale::new(ScaleUnit::Grams, 5.0);
        assert_eq!((scale.below(Mass::grams(124.9)), scale.nearest(Mass::grams(122.4))), (24, 24));
        assert_eq!(scale.nearest(Mass::grams(122.5)), 25);
        assert_eq!([120.0, 120.1, 0.0].map(|it| scale.above(Mass::grams(it))), [24, 25, 0]);
        // 0.3 - 0.1 is a hair below 0.2 in binary, and still two divisions of 0.1 g.
        let fine = Scale::new(ScaleUnit::Grams, 0.1);
        assert_eq!(fine.below(Mass::grams(0.3 - 0.1)), 2);
    }

    #[test]
    fn small_amounts_are_read_off_the_finer_scale() {
        let scale = Scale { steps: 10, ..Scale::GRAMS };
        let reads = |grams: f64| {
            let reading = scale.nearest_small(Mass::grams(grams));
            format!("{:.*}", scale.decimals_of(reading), scale.value(reading))
        };
        assert_eq!([0.44, 2.0, 99.96, 100.4, 0.04].map(reads), ["0.4", "2", "100", "100", "0"]);
        assert_eq!((scale.nearest(Mass::grams(85.6)), scale.below(Mass::grams(85.6))), (860, 850));
        let coarse = Scale::new(ScaleUnit::Grams, 5.0);
        assert_eq!([OfTwo::Lower, OfTwo::Higher].map(|it| coarse.rereads(122.5, it)), [24, 25]);
        assert_eq!([OfTwo::Lower, OfTwo::Higher].map(|it| coarse.rereads(122.4, it)), [24, 24]);
        assert_eq!(coarse.rereads(0.0, OfTwo::Lower), 0);
        let coarser: Vec<f64> = Scale::OUNCES.coarser().map(|it| it.division).collect();
        assert_eq!(coarser, [0.1, 0.2, 0.5, 1.0, 2.0]);
        assert_eq!(scale.mass(853), Mass::grams(85.3));
        assert_eq!(scale.apportion(1003, &[1.0, 1.0, 1.0]), [340, 330, 330]);
    }
}
