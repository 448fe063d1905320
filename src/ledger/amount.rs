//! What a figure comes to.
//!
//! Layer 4. One type for every quantity that a recipe has; none of them is text yet.

use crate::units::{Length, Mass, MolarMass, SapValue, Scale, ScaleUnit, TimeSpan, Volume};

/// What a figure comes to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Amount {
    /// A mass that is weighed out: exact, and what each scale shows, in divisions.
    Weighed {
        /// Exact.
        exact: Mass,
        /// On the scale in grams.
        grams: u64,
        /// On the scale in ounces.
        ounces: u64,
    },
    /// A mass that nobody weighs.
    Mass(Mass),
    /// Percent; may be below zero.
    Share(f64),
    /// Percent of which the thousandths count.
    SmallShare(f64),
    /// Percent, by what each of the two scales shows; may be below zero.
    ShareByScale {
        /// By the scale in grams.
        grams: f64,
        /// By the scale in ounces.
        ounces: f64,
    },
    /// A plain ratio.
    Ratio(f64),
    /// A length.
    Length(Length),
    /// A volume.
    Volume(Volume),
    /// The least volume of a vessel.
    Vessel(Volume),
    /// A time, shortest and longest.
    Time(TimeSpan, TimeSpan),
    /// A time since the beginning.
    Clock(TimeSpan),
    /// Degrees Celsius.
    Celsius(f64),
    /// Degrees Celsius that are a bound, and so told rounded up.
    CelsiusAtMost(f64),
    /// So many.
    Count(u32),
    /// mg of KOH per g of fat.
    SapValue(SapValue),
    /// g of iodine per 100 g.
    IodineValue(f64),
    /// g/mol.
    MolarMass(MolarMass),
    /// The smallest step of a scale.
    Step(Scale),
}

impl Amount {
    /// What a scale shows of what is weighed; `None` for everything else.
    #[must_use]
    pub fn reading(&self, unit: ScaleUnit) -> Option<u64> {
        match (self, unit) {
            (Amount::Weighed { grams, .. }, ScaleUnit::Grams) => Some(*grams),
            (Amount::Weighed { ounces, .. }, ScaleUnit::Ounces) => Some(*ounces),
            _ => None,
        }
    }

    /// The exact mass, if it is one.
    #[must_use]
    pub fn mass(&self) -> Option<Mass> {
        match self {
            Amount::Weighed { exact, .. } | Amount::Mass(exact) => Some(*exact),
            _ => None,
        }
    }

    /// The percentage, if it is one; by the scale of a unit where the scales differ.
    #[must_use]
    pub fn percent(&self, unit: ScaleUnit) -> Option<f64> {
        match (self, unit) {
            (Amount::Share(percent) | Amount::SmallShare(percent), _) => Some(*percent),
            (Amount::ShareByScale { grams, .. }, ScaleUnit::Grams) => Some(*grams),
            (Amount::ShareByScale { ounces, .. }, ScaleUnit::Ounces) => Some(*ounces),
            _ => None,
        }
    }
}
