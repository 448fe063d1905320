//! One type per quantity, named for the quantity; constructors and getters are named for the unit.
//!
//! Layer 0. Knows nothing of soap. A value of one of these types is finite and not negative, so that
//! whatever is computed from it can be trusted to be a number. Text such as `900 g` or `2 lb 3 oz` is read
//! by [`Mass::parse`] and its like (`typed.rs`, with the units of `names.rs`); how a value is *shown* is decided in `show/`.

mod apportion;
mod colour;
mod names;
mod scale;
mod typed;

pub use apportion::apportion;
pub use colour::Colour;
pub use names::Dimension;
pub(crate) use names::{Unit, fraction_sign, unit_after};
pub(crate) use scale::HAIR;
pub use scale::{OfTwo, Scale, ScaleUnit};
pub use typed::{QuantityError, number};
pub(crate) use typed::{Typed, typed_at_start};

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
    /// A temperature of something that is poured, from freezing water to boiling water.
    Temperature, celsius, to_celsius, "degrees Celsius"
}
quantity! {
    /// A density.
    Density, grams_per_millilitre, to_grams_per_millilitre, "grams per millilitre"
}
quantity! {
    /// A molar mass.
    MolarMass, grams_per_mole, to_grams_per_mole, "grams per mole"
}

impl Add for Length {
    type Output = Length;

    fn add(self, other: Length) -> Length {
        Length(self.0 + other.0)
    }
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
}

impl Volume {
    /// The volume in US teaspoons.
    #[must_use]
    pub fn to_teaspoons(self) -> f64 {
        self.0 / MILLILITRES_PER_TEASPOON
    }
}

/// Minutes in a day.
pub const MINUTES_PER_DAY: f64 = 24.0 * 60.0;

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
