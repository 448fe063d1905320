//! A figure as a sentence says it.
//!
//! Layer 6.

use crate::ledger::{Amount, Scales};
use crate::show::{self, Units};

/// An amount in words: masses that are weighed as each scale of the course shows them, the others as pages show them.
///
/// - `units`: which scales; a sentence may ask for one alone.
pub(crate) fn amount_words(amount: &Amount, scales: &Scales, units: Units) -> String {
    match *amount {
        Amount::Weighed { exact, .. } => {
            let readings = units.scales().iter().map(|unit| {
                let divisions = amount.reading(*unit).unwrap_or_default();
                show::weighed(scales.of(*unit), divisions, exact)
            });
            let mut readings = readings;
            let main = readings.next().unwrap_or_default();
            readings.next().map_or(main.clone(), |other| format!("{main} ({other})"))
        }
        Amount::Mass(mass) => show::about(mass, units),
        Amount::Share(percent) => show::superfat(percent),
        Amount::SmallShare(percent) => show::percent_to(percent, 3),
        Amount::ShareByScale { .. } => show::percent(amount.percent(units.main()).unwrap_or_default()),
        Amount::Ratio(ratio) => show::number(ratio),
        Amount::Length(length) => show::length(length, units),
        Amount::Volume(volume) => show::volume(volume, units),
        Amount::Vessel(volume) => show::vessel(volume, units),
        Amount::Time(shortest, longest) => show::time(shortest, longest),
        Amount::Clock(time) => show::clock(time),
        Amount::Celsius(celsius) => show::temperature(celsius, scales.temperature),
        Amount::CelsiusAtMost(celsius) => show::temperature_at_most(celsius, scales.temperature),
        Amount::Count(count) => count.to_string(),
        Amount::SapValue(value) => show::short(value.to_mg_koh_per_g(), 2),
        Amount::IodineValue(value) => show::fixed(value, 1),
        Amount::MolarMass(mass) => show::with_unit(&show::fixed(mass.to_grams_per_mole(), 1), "g/mol"),
        Amount::Step(scale) => show::division(scale),
    }
}
