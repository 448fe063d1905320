//! How hot the lye can get.
//!
//! Layer 3. Solid alkali heats the water it dissolves in. What is computed here is a bound: the temperature of a
//! stirred lye that gives none of that heat to its vessel or the air. Whether a temperature is too high is not decided
//! here; that is a finding (`rules/`). The figures are in `tables/alkalis.toml`; to use another one, change its row
//! there.
//!
//! Symbols: n, moles of water per mole of alkali; w, mass fraction of all alkali; t, degrees Celsius.

use super::Batch;
use crate::tables::{Alkali, AlkaliKind, HeatByDilution, Tables};
use crate::units::Mass;

/// Heat capacity of water in J/(g K), at 0, 5, 10 ... 100 °C and atmospheric pressure.
///
/// # Source
///
/// IAPWS-IF97, which the model below was made with, as computed by PyPI iapws 1.5.5 at 101325 Pa; the last at 99.97 °C,
/// where water is still liquid.
const WATER_JOULES_PER_GRAM_KELVIN: [f64; 21] = [
    4.2194, 4.2049, 4.1954, 4.1891, 4.1848, 4.1819, 4.1800, 4.1789, 4.1786, 4.1788, 4.1796, 4.1809, 4.1828, 4.1852,
    4.1881, 4.1915, 4.1955, 4.2000, 4.2050, 4.2106, 4.2166,
];

/// The temperature at which heats of solution are tabulated.
const TABULATED_CELSIUS: f64 = 25.0;

/// The heat capacity of a solution of one or both alkalis, in J/(g K).
///
/// `cp = (1 - w) cp_water + sum of w_i * cp_i`, with the apparent heat capacity of alkali i
/// `cp_i = a1 exp(a2 t + a3 exp(0.01 t) + a4 w) + a5 w^a6`, w the mass fraction of all alkali; coefficients and their
/// range in `tables/alkalis.toml`. Above the range for NaOH (30.3 %) a straight line leads to the figures of
/// `strong-heat-capacity` (up to 50 %). With two alkalis the formula is the mean of both single solutions of that w,
/// weighted by the mass of the alkalis, and so is what stands in for it above the range.
///
/// - `naoh_fraction`, `koh_fraction`: mass fractions of the pure alkalis, from 0 to 1.
/// - `celsius`: for the formula from 4 to 100 °C (water alone from 0).
/// - Returns the heat capacity and whether concentration and temperature lie within the range. Outside of it the
///   nearest concentration and temperature inside are used. The heat capacity falls with concentration, so that the
///   figure for a stronger lye is too high.
///
/// Cannot fail: every finite input gives a finite number above 0.
///
/// # Example
///
/// 30 % NaOH at 25 °C: 3.536 J/(g K); 30 % KOH: 2.968.
///
/// ```
/// use kettlebook::{batch::lye_heat_capacity, tables::Tables};
/// let tables = Tables::embedded();
/// let (naoh, in_range) = lye_heat_capacity(0.30, 0.0, 25.0, &tables);
/// assert!((naoh - 3.536).abs() < 0.0005 && in_range);
/// let (koh, in_range) = lye_heat_capacity(0.0, 0.30, 25.0, &tables);
/// assert!((koh - 2.968).abs() < 0.0005 && in_range);
/// ```
///
/// # Source
///
/// M. Laliberté, J. Chem. Eng. Data 54 (2009) 1725-1760; coefficients as carried by PyPI chemicals 1.5.2. Strong NaOH:
/// J. Olsson, A. Jernqvist and G. Aly, Int. J. Thermophysics 18 (1997), as carried by PyPI absorptionlib 1.1.0.
#[must_use]
pub fn lye_heat_capacity(naoh_fraction: f64, koh_fraction: f64, celsius: f64, tables: &Tables) -> (f64, bool) {
    let present = [(naoh_fraction, &tables.naoh), (koh_fraction, &tables.koh)];
    let present: Vec<(f64, &Alkali)> = present.into_iter().filter(|(fraction, _)| *fraction > 0.0).collect();
    let total: f64 = present.iter().map(|(fraction, _)| fraction).sum();
    let (mut w, mut t) = (total, celsius);
    for (_, alkali) in &present {
        let (lowest, highest) = alkali.heat_capacity_model.celsius;
        w = w.min(strongest_known_fraction(alkali));
        t = t.clamp(lowest, highest);
    }
    t = t.clamp(0.0, tables.limits.water_boiling_celsius);
    let in_range = w == total && t == celsius;
    // Halved, so that two fractions far beyond any sense still have a finite sum.
    let halves: f64 = present.iter().map(|(fraction, _)| fraction / 2.0).sum();
    let of_alkali = present.iter().map(|(fraction, alkali)| fraction / 2.0 / halves * one_alkali(alkali, w, t)).sum();
    (if present.is_empty() { water_heat_capacity(t) } else { of_alkali }, in_range)
}

/// The strongest solution whose heat capacity is known.
fn strongest_known_fraction(alkali: &Alkali) -> f64 {
    let strong = alkali.strong_heat_capacity.as_ref().and_then(|it| it.pairs.last());
    strong.map_or(0.0, |(percent, _)| percent / 100.0).max(alkali.heat_capacity_model.highest_mass_fraction)
}

/// The heat capacity of a solution of one alkali; `w` is at most `strongest_known_fraction`.
fn one_alkali(alkali: &Alkali, w: f64, t: f64) -> f64 {
    let model = &alkali.heat_capacity_model;
    let by_model = |w: f64| {
        let [a1, a2, a3, a4, a5, a6] = model.coefficients;
        let apparent = a1 * (a2 * t + a3 * (0.01 * t).exp() + a4 * w).exp() + a5 * w.powf(a6);
        (1.0 - w) * water_heat_capacity(t) + w * apparent
    };
    let end = model.highest_mass_fraction;
    let value = if w <= end {
        by_model(w)
    } else {
        let strong = alkali.strong_heat_capacity.iter().flat_map(|it| &it.pairs);
        let strong = strong.map(|(percent, value)| (percent / 100.0, *value)).filter(|(fraction, _)| *fraction > end);
        // In cold lye the model ends a hair below the first figure, which would make stronger lye harder to heat.
        let strong = strong.map(|(fraction, value)| (fraction, value.min(by_model(end))));
        let points: Vec<(f64, f64)> = std::iter::once((end, by_model(end))).chain(strong).collect();
        line_through(&points, w)
    };
    // No lye comes near this; a course's own coefficients may, and are divided by.
    value.max(1.0)
}

/// The heat capacity of water at atmospheric pressure, J/(g K); beyond 0 and 100 °C, as there.
fn water_heat_capacity(celsius: f64) -> f64 {
    let last_idx = WATER_JOULES_PER_GRAM_KELVIN.len() - 1;
    let place = (celsius / 5.0).clamp(0.0, last_idx as f64);
    let idx = (place as usize).min(last_idx - 1);
    let (below, above) = (WATER_JOULES_PER_GRAM_KELVIN[idx], WATER_JOULES_PER_GRAM_KELVIN[idx + 1]);
    below + (above - below) * (place - idx as f64)
}

/// The value at `at` of straight lines through points of rising place; beyond the ends, as at the ends. There is a
/// point.
fn line_through(points: &[(f64, f64)], at: f64) -> f64 {
    let above_idx = points.partition_point(|(place, _)| *place <= at);
    let Some((above_place, above)) = points.get(above_idx) else { return points[points.len() - 1].1 };
    let Some((below_place, below)) = above_idx.checked_sub(1).map(|idx| points[idx]) else { return *above };
    below + (above - below) * ((at - below_place) / (above_place - below_place))
}

/// Heat that a gram of dry alkali sets free when it dissolves at 25 °C, in J/g; a positive number.
///
/// `(Q_endless - (q_endless - q(n))) * 1000 / M`, with Q_endless the heat per mole in endless water (newer
/// measurements) and q a table by n (older ones). Only the differences within that table are used: what strong lye
/// keeps back.
///
/// - `moles_water_per_mole`: n, 0 or more; may be infinite. 33 % NaOH has 4.5, 50 % has 2.2.
///
/// Between the rows q follows straight lines in 1/n, which is nearly how it runs in lye as strong as the trade's (from
/// n = 3 to 5 the slope stays the same within 1 %) and carries it to endless water. Between n = 5 and 10 the true curve
/// lies above the line, by about 0.5 kJ/mol at n = 7 by the shape of Olsson's enthalpies. Below the first row (n = 3,
/// 42.5 % NaOH) the line through the first two is carried on in n: the heat rises ever more slowly with n, so the true
/// heat is less than that. KOH has no table and counts with Q_endless at every concentration, which is too much in
/// strong lye.
///
/// Cannot fail: the result is finite and not negative.
///
/// # Example
///
/// NaOH in 4 moles of water: (44.51 - (42.869 - 34.43)) * 1000 / 39.997 = 901.8 J/g. KOH: 57.61 * 1000 / 56.106 =
/// 1026.8 J/g.
///
/// ```
/// use kettlebook::{batch::heat_of_solution_joules_per_gram, tables::{AlkaliKind, Tables}};
/// let tables = Tables::embedded();
/// assert!((heat_of_solution_joules_per_gram(AlkaliKind::NaOH, 4.0, &tables) - 901.8).abs() < 0.1);
/// assert!((heat_of_solution_joules_per_gram(AlkaliKind::KOH, 4.0, &tables) - 1026.8).abs() < 0.1);
/// ```
///
/// # Source
///
/// Endless water: CRC Handbook, citing Parker, NSRDS-NBS 2 (1965). By n: Koretsky, Engineering and Chemical
/// Thermodynamics, Table 6.1. Details in `tables/alkalis.toml`.
#[must_use]
pub fn heat_of_solution_joules_per_gram(kind: AlkaliKind, moles_water_per_mole: f64, tables: &Tables) -> f64 {
    let alkali = tables.alkali(kind);
    let kept_back = alkali.heat_by_dilution.as_ref().map_or(0.0, |it| {
        // In a table of a course's own a stronger lye may set more free; it is used as it stands.
        it.infinite_dilution_kj_per_mol - tabulated_heat(it, moles_water_per_mole)
    });
    (alkali.heat_of_solution_kj_per_mol - kept_back).max(0.0) * 1000.0 / alkali.molar_mass.to_grams_per_mole()
}

/// The table's own heat at n, kJ/mol.
fn tabulated_heat(table: &HeatByDilution, n: f64) -> f64 {
    let pairs = &table.rows.pairs;
    match pairs[..] {
        [(first_n, first), (second_n, second), ..] if n < first_n => {
            first - (second - first) * (first_n - n) / (second_n - first_n)
        }
        _ => {
            let endless = (0.0, table.infinite_dilution_kj_per_mol);
            let by_reciprocal = pairs.iter().rev().map(|(n, heat)| (1.0 / n, *heat));
            let points: Vec<(f64, f64)> = std::iter::once(endless).chain(by_reciprocal).collect();
            line_through(&points, 1.0 / n)
        }
    }
}

/// The hottest a lye can get.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HottestLye {
    /// Degrees Celsius; never below 0.
    pub celsius: f64,
    /// Whether the inputs lie where the tables say something. If not, the temperature was computed with the nearest
    /// values that are known: a number, but no bound.
    pub in_range: bool,
    /// Whether the temperature reaches the boiling point of water. If not, no part of the stirred lye boils at sea
    /// level. If so, it may steam and spit where water has not met the alkali yet; the lye itself boils later (33 %
    /// NaOH at 120 °C by Olsson's correlation, 50 % at 146 °C).
    pub may_boil: bool,
}

/// The temperature that a stirred lye reaches when all its heat stays in it: an upper bound for the real one.
///
/// `t = 25 + (Q + (m_liquid c_water + sum of m_i c_i) (t_start - 25) - m_ice (333.42 + 25 c_water)) / (m cp)`
///
/// Everything is brought to 25 °C, where heats of solution are tabulated; there the alkali dissolves, and what heat is
/// left warms the lye. Q = sum of m_i times [`heat_of_solution_joules_per_gram`], c_i the heat capacity of the dry
/// alkali, cp that of the lye at 25 °C ([`lye_heat_capacity`]), m the mass of everything.
///
/// - `naoh`, `koh`: pure alkali. `water`: all of it, ice included.
/// - `ice_fraction`: the part of the water that is ice at 0 °C, from 0 to 1.
/// - `start_celsius`: liquid water and dry alkali before they meet, from 0 to 100 °C; if they differ, the warmer one.
///
/// With two alkalis each sets free what it would in a lye with as many moles of alkali in all.
///
/// # Is it a bound?
///
/// What is left out cools: vessel, air, steam, impurities and damp in the alkali. What else heats is not counted: acids
/// (citric, lactic), sugars and milk; and a spot that is not stirred can be hotter than the whole.
///
/// The figures lean to the hot side. The heat capacity of lye rises with temperature, so that of 25 °C is below the
/// mean (1 to 2 %). NaOH above 42.5 % and KOH at every strength count with more heat than they have. The heats
/// themselves are known to about 2 %, some 2 °C in 33 % lye, and no margin is added for that. Measured enthalpies of
/// NaOH lye (Olsson 1997) give, for 10 to 42 % and starts from 5 to 40 °C, 0.6 to 3 °C less than is computed here when
/// joined to the heat of solution in dilute lye, and between 1.4 °C less and 0.4 °C more when joined in endless water;
/// at 50 %, 8 to 12 °C less.
///
/// - Outside the range (more than 50 % NaOH or 46.5 % KOH, start below 0 or above 100 °C, no masses): see
///   [`HottestLye`].
///
/// Cannot fail. More ice is never hotter, a warmer start never cooler.
///
/// # Example
///
/// 100 g of NaOH in 200 g of water, all at 25 °C: n = 4.440, Q = 94.3 kJ, cp = 3.511 J/(g K), so 25 + 94300 / (300 *
/// 3.511) = 114.5 °C. With half of the water as ice: 43.8 kJ less, 73.0 °C.
///
/// ```
/// use kettlebook::{batch::hottest_lye, tables::Tables, units::Mass};
/// let (naoh, water) = (Mass::grams(100.0), Mass::grams(200.0));
/// let lye = hottest_lye(naoh, Mass::ZERO, water, 0.0, 25.0, &Tables::embedded());
/// assert!((lye.celsius - 114.5).abs() < 0.05 && lye.in_range && lye.may_boil);
/// let iced = hottest_lye(naoh, Mass::ZERO, water, 0.5, 25.0, &Tables::embedded());
/// assert!((iced.celsius - 73.0).abs() < 0.1 && iced.in_range && !iced.may_boil);
/// ```
///
/// # Source
///
/// First law, at constant pressure. Heats and heat capacities: `tables/alkalis.toml`; water and ice: `tables/limits.toml`,
/// the heat capacity of water this file.
#[must_use]
pub fn hottest_lye(
    naoh: Mass,
    koh: Mass,
    water: Mass,
    ice_fraction: f64,
    start_celsius: f64,
    tables: &Tables,
) -> HottestLye {
    let limits = &tables.limits;
    let boiling_celsius = limits.water_boiling_celsius;
    let start = start_celsius.clamp(0.0, boiling_celsius);
    let ice_fraction_used = ice_fraction.clamp(0.0, 1.0);
    let inputs_in_range = start == start_celsius && ice_fraction_used == ice_fraction;
    let masses = [naoh, koh, water].map(Mass::to_grams);
    let largest = masses.into_iter().fold(0.0, f64::max);
    if largest == 0.0 {
        return HottestLye { celsius: start, in_range: false, may_boil: start >= boiling_celsius };
    }
    // Only proportions matter, and these have a finite sum.
    let [naoh, koh, water] = masses.map(|it| it / largest);
    let total = naoh + koh + water;
    let (cp, in_range) = lye_heat_capacity(naoh / total, koh / total, TABULATED_CELSIUS, tables);
    let water_cp = water_heat_capacity(TABULATED_CELSIUS);
    let alkalis = [(naoh, &tables.naoh), (koh, &tables.koh)];
    let moles: f64 = alkalis.iter().map(|(mass, alkali)| mass / alkali.molar_mass.to_grams_per_mole()).sum();
    let moles_water_per_mole = water / limits.water_molar_mass.to_grams_per_mole() / moles;
    let ice = water * ice_fraction_used;
    let mut heat = -ice * (limits.ice_melting_joules_per_gram + TABULATED_CELSIUS * water_cp);
    let mut start_capacity = (water - ice) * water_cp;
    for (mass, alkali) in alkalis.into_iter().filter(|(mass, _)| *mass > 0.0) {
        heat += mass * heat_of_solution_joules_per_gram(alkali.kind, moles_water_per_mole, tables);
        start_capacity += mass * alkali.solid_heat_capacity / alkali.molar_mass.to_grams_per_mole();
    }
    heat += start_capacity * (start - TABULATED_CELSIUS);
    // Below 0 °C some of the ice is still ice, and the lye between its freezing point and 0 °C.
    let celsius = (TABULATED_CELSIUS + heat / (total * cp)).max(0.0);
    HottestLye { celsius, in_range: in_range && inputs_in_range, may_boil: celsius >= boiling_celsius }
}

/// The hottest that the lye of a batch can get, from water of the tap; `None` where the tables do not reach so far.
///
/// - `ice_fraction`: the part of the water that is ice at 0 °C, from 0 to 1.
///
/// # Source
///
/// As [`hottest_lye`]; the temperature of the tap is `tap-water-celsius` of `tables/limits.toml`.
#[must_use]
pub fn hottest_lye_of(batch: &Batch, ice_fraction: f64, tables: &Tables) -> Option<f64> {
    let pure = |kind| batch.alkalis.iter().filter(|it| it.kind == kind).map(|it| it.pure).sum::<Mass>();
    let (naoh, koh) = (pure(AlkaliKind::NaOH), pure(AlkaliKind::KOH));
    let lye = hottest_lye(naoh, koh, batch.water, ice_fraction, tables.limits.tap_water_celsius, tables);
    lye.in_range.then_some(lye.celsius)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::SourceFile;

    #[test]
    fn straight_lines_keep_to_their_points_and_stay_level_beyond() {
        let points = [(1.0, 10.0), (2.0, 20.0), (4.0, 0.0)];
        for (at, value) in [(0.0, 10.0), (1.0, 10.0), (1.5, 15.0), (2.0, 20.0), (3.0, 10.0), (4.0, 0.0), (9.0, 0.0)] {
            assert_eq!(line_through(&points, at), value, "{at}");
        }
        assert_eq!(line_through(&points[..1], 7.0), 10.0);
    }

    #[test]
    fn lye_may_boil_sooner_where_a_course_says_that_water_does() {
        let row = "[water-boiling-celsius]\nvalue = 90\nsource = \"a barometer\"\n";
        let (mountains, findings) = Tables::load(&[SourceFile::new("tables/limits.toml", row)]);
        assert!(findings.is_empty(), "{findings:#?}");
        let lye = |tables| hottest_lye(Mass::grams(25.0), Mass::ZERO, Mass::grams(75.0), 0.0, 20.0, tables);
        let (here, there) = (lye(&Tables::embedded()), lye(&mountains));
        assert_eq!(here.celsius, there.celsius);
        assert!(90.0 < here.celsius && here.celsius < 100.0, "{}", here.celsius);
        assert!(!here.may_boil && there.may_boil);
    }

    #[test]
    fn water_between_the_rows_lies_between_them() {
        assert_eq!(water_heat_capacity(25.0), 4.1819);
        assert!((water_heat_capacity(2.5) - (4.2194 + 4.2049) / 2.0).abs() < 1e-12);
        assert_eq!((water_heat_capacity(-40.0), water_heat_capacity(1e300)), (4.2194, 4.2166));
    }
}
