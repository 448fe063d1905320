//! What a row of fats.toml may say without being a slip: numbers that chemistry and the row's own acids allow.
//!
//! Layer 1. A saponification value that is too high burns skin, so it is an error; one that is too low leaves fat. How far
//! is too far are rows of limits.toml.

use super::{FatKind, FattyAcids, Limits, Tables, acids_of, named_percent, sap_value_from_acids};
use crate::finding::Finding;
use crate::show::as_typed;
use crate::source::Place;

/// What a fat's saponification value may be, mg KOH per g.
pub(super) struct PlausibleSap {
    low: f64,
    high: f64,
    /// What its own acids come to, where they are known.
    by_acids: Option<f64>,
    /// mg KOH that do the work of a mg NaOH.
    koh_per_naoh: f64,
}

impl PlausibleSap {
    /// By the acids of the row, if they come to a whole; or else what soap is made with.
    pub(super) fn of(kind: FatKind, acids: Option<&FattyAcids>, tables: &Tables) -> PlausibleSap {
        let limits = &tables.limits;
        let koh_per_naoh = tables.koh.molar_mass.to_grams_per_mole() / tables.naoh.molar_mass.to_grams_per_mole();
        let whole = acids.filter(|it| off_whole(it, limits).is_none());
        let by_acids = whole.and_then(|it| sap_value_from_acids(kind, &acids_of(it, tables), tables));
        let by_acids = by_acids.map(|it| it.to_mg_koh_per_g());
        let (low, high) = match by_acids {
            Some(predicted) => {
                let [below, above] = limits.sap_value_off_acids_percent;
                (predicted * (1.0 - below / 100.0), predicted * (1.0 + above / 100.0))
            }
            None => {
                let kinds = FatKind::ALL.into_iter().zip(limits.usual_sap_values);
                kinds.filter(|((_, it), _)| *it == kind).map(|(_, range)| range).fold((0.0, 0.0), |_, it| it)
            }
        };
        PlausibleSap { low, high, by_acids, koh_per_naoh }
    }

    /// Whether a value is more than there can be.
    pub(super) fn is_too_high(&self, value: f64) -> bool {
        value > self.high
    }

    /// A value as mg KOH, if it is that of a fat with such a range as published for NaOH.
    pub(super) fn as_koh(&self, value: f64, (low, high): (f64, f64)) -> Option<f64> {
        Some(value * self.koh_per_naoh).filter(|it| (low..=high).contains(it))
    }

    /// What is wrong with a value, if anything is.
    pub(super) fn judge(&self, place: Place, row: &str, value: f64) -> Option<Finding> {
        let usual = (self.low, self.high);
        let as_koh = self.as_koh(value, usual);
        // By the acids alone there is something to hold a guess against.
        let range = self.by_acids.filter(|_| as_koh.is_none()).map(|it| (it * 0.95, it * 1.05));
        let meant = range.map_or_else(Vec::new, |it| meant(value, it));
        if self.is_too_high(value) {
            return Some(match self.by_acids {
                Some(by_acids) => Finding::value_above_its_acids(place, row, value, by_acids, &meant),
                None => Finding::value_above_the_usual(place, row, value, usual),
            });
        }
        (value < self.low).then(|| match self.by_acids {
            Some(by_acids) => Finding::value_below_its_acids(place, row, value, by_acids, &meant, as_koh),
            None => Finding::value_below_the_usual(place, row, value, usual, as_koh),
        })
    }
}

/// What a fat's acids add up to, if that is no whole, and whether it is too much; percent.
fn off_whole(acids: &FattyAcids, limits: &Limits) -> Option<(f64, bool)> {
    let (lowest, highest) = limits.fatty_acid_sum_percent;
    let sum = |pick: fn(&(String, f64, f64)) -> f64| acids.shares.iter().map(pick).sum::<f64>();
    let (low, middle, high) = (sum(|it| it.1), named_percent(acids), sum(|it| it.2));
    match middle {
        _ if acids.shares.is_empty() || high <= 0.0 => None,
        // All at their low ends already are more than there is: two percent are what rounding leaves.
        _ if low > 102.0 => Some((low, true)),
        _ if high < limits.least_named_acids_percent => Some((high, false)),
        it if it > highest => Some((it, true)),
        it if it < lowest => Some((it, false)),
        _ => None,
    }
}

/// What is wrong with the acids of a fat as a whole, if anything is.
pub(super) fn judge_fatty_acids(place: Place, row: &str, acids: &FattyAcids, limits: &Limits) -> Option<Finding> {
    let (sum, is_too_much) = off_whole(acids, limits)?;
    Some(if is_too_much {
        Finding::acids_over_whole(place, row, sum)
    } else {
        Finding::acids_not_whole(place, row, sum)
    })
}

/// The numbers within a range that become the typed one by a slip: two digits exchanged, or one of them mistyped. None
/// where there are more than two, since that would be a guess.
///
/// 991 for 184 to 196 is 191; 911 is 191.
pub(super) fn meant(typed: f64, (low, high): (f64, f64)) -> Vec<f64> {
    let digits: Vec<char> = as_typed(typed).chars().collect();
    let places: Vec<usize> = (0..digits.len()).filter(|it| digits[*it].is_ascii_digit()).collect();
    let exchanged = places.iter().flat_map(|a| places.iter().map(move |b| (*a, *b))).map(|(a, b)| {
        let mut digits = digits.clone();
        digits.swap(a, b);
        digits
    });
    let mistyped = places.iter().flat_map(|at| ('0'..='9').map(move |digit| (*at, digit))).map(|(at, digit)| {
        let mut digits = digits.clone();
        digits[at] = digit;
        digits
    });
    let numbers = exchanged.chain(mistyped).filter_map(|it| it.into_iter().collect::<String>().parse::<f64>().ok());
    let mut fitting: Vec<f64> = numbers.filter(|it| (low..=high).contains(it)).collect();
    fitting.sort_by(f64::total_cmp);
    fitting.dedup();
    if fitting.len() > 2 { Vec::new() } else { fitting }
}

#[cfg(test)]
mod tests {
    use super::meant;

    #[test]
    fn a_slip_is_told_where_one_number_explains_it() {
        assert_eq!(meant(991.0, (184.0, 196.0)), [191.0]);
        assert_eq!(meant(911.0, (184.0, 196.0)), [191.0]);
        assert_eq!(meant(662.0, (264.0, 270.0)), [266.0]);
        assert_eq!(meant(198.5, (184.0, 196.0)), [189.5, 195.8, 196.0][..0]);
        assert_eq!(meant(500.0, (184.0, 196.0)), [0.0; 0]);
    }
}
