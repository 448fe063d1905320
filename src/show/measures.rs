//! Lengths and volumes in words, in the units of the course: metric, or inches and US fluid ounces where it shows ounces
//! alone.
//!
//! Part of `show`. A course with both units shows these in metric: a rule and a jug have both scales on them.

use super::{NO_BREAK, Units, reading, short};
use crate::units::{Length, MILLILITRES_PER_TEASPOON, MILLIMETRES_PER_INCH, Mass, Scale, ScaleUnit, Volume};

/// A US fluid ounce is six teaspoons (NIST SP 811, Appendix B.8).
const MILLILITRES_PER_FLUID_OUNCE: f64 = 6.0 * MILLILITRES_PER_TEASPOON;

/// A length: to a tenth of a millimetre, or a hundredth of an inch.
#[must_use]
pub fn length(it: Length, units: Units) -> String {
    match units {
        Units::Ounces => format!("{}{NO_BREAK}in", short(it.to_millimetres() / MILLIMETRES_PER_INCH, 2)),
        Units::Grams | Units::Both => format!("{}{NO_BREAK}mm", short(it.to_millimetres(), 1)),
    }
}

/// A volume: to the millilitre, or a tenth of a fluid ounce.
#[must_use]
pub fn volume(it: Volume, units: Units) -> String {
    match units {
        Units::Ounces => {
            format!("{}{NO_BREAK}fl{NO_BREAK}oz", short(it.to_millilitres() / MILLILITRES_PER_FLUID_OUNCE, 1))
        }
        Units::Grams | Units::Both => format!("{}{NO_BREAK}mL", short(it.to_millilitres(), 0)),
    }
}

/// A vessel's least volume, rounded up: to 50 mL below a litre, to a tenth of a litre above; or to two fluid ounces.
#[must_use]
pub fn vessel(it: Volume, units: Units) -> String {
    let millilitres = it.to_millilitres();
    // A hair above a step is that step.
    let up = |value: f64, step: f64| ((value / step) - 1e-6).ceil().max(1.0) * step;
    match units {
        Units::Ounces => {
            format!("{:.0}{NO_BREAK}fl{NO_BREAK}oz", up(millilitres / MILLILITRES_PER_FLUID_OUNCE, 2.0))
        }
        _ if millilitres > 950.0 => format!("{:.1}{NO_BREAK}L", up(millilitres, 100.0) / 1000.0),
        _ => format!("{:.0}{NO_BREAK}mL", up(millilitres, 50.0)),
    }
}

/// A mass that nobody weighs out, to the gram or a twentieth of an ounce whatever the students' scales show.
#[must_use]
pub fn about(mass: Mass, units: Units) -> String {
    let mut texts = units.scales().iter().map(|unit| {
        let scale = match unit {
            ScaleUnit::Grams => Scale::GRAMS,
            ScaleUnit::Ounces => Scale::OUNCES,
        };
        reading(scale, scale.nearest(mass))
    });
    let main = texts.next().unwrap_or_default();
    texts.next().map_or(main.clone(), |other| format!("{main} ({other})"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_vessel_is_never_smaller_than_what_goes_into_it() {
        for (millilitres, metric, ounces) in [
            (0.0, "50\u{a0}mL", "2\u{a0}fl\u{a0}oz"),
            (601.0, "650\u{a0}mL", "22\u{a0}fl\u{a0}oz"),
            (650.0, "650\u{a0}mL", "22\u{a0}fl\u{a0}oz"),
            (951.0, "1.0\u{a0}L", "34\u{a0}fl\u{a0}oz"),
            (1829.0, "1.9\u{a0}L", "62\u{a0}fl\u{a0}oz"),
        ] {
            let held = Volume::millilitres(millilitres);
            assert_eq!([vessel(held, Units::Both), vessel(held, Units::Ounces)], [metric, ounces]);
        }
    }

    #[test]
    fn lengths_and_volumes_are_told_in_the_units_of_the_course() {
        let (across, held) = (Length::millimetres(15.04), Volume::millilitres(272.4));
        assert_eq!([length(across, Units::Grams), length(across, Units::Ounces)], ["15\u{a0}mm", "0.59\u{a0}in"]);
        assert_eq!([volume(held, Units::Both), volume(held, Units::Ounces)], ["272\u{a0}mL", "9.2\u{a0}fl\u{a0}oz"]);
    }
}
