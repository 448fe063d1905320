//! How much alkali water can hold, by temperature.
//!
//! Layer 3. The figures are in `tables/alkalis.toml`; whether a lye is too strong is a finding (`rules/`).

use super::Batch;
use crate::tables::{AlkaliKind, Rows, Tables};

/// The strongest solution of an alkali at a temperature, in percent by mass; `None` outside the table, 0 to 100 °C.
///
/// Straight lines between the rows of `solubility`. Where the crystals change from one hydrate to another the
/// solubility jumps at a temperature that the table does not have: NaOH goes from 33.8 % at 10 °C to 52.2 % at 20 °C,
/// most of it at about 16 °C. Up to the warmer row the smaller figure holds, so that the answer is never too high: with
/// NaOH 33.8 % up to just below 20 °C (in truth rising to 39 %), and 63.5 % from 60 to just below 70 °C.
///
/// Lye that is stronger than this need not be cloudy: without a crystal to start from it may stay clear for long, and
/// lye of 46 to 51 % NaOH is clear down to 6 to 12 °C, where weaker lye is not.
///
/// Cannot fail.
///
/// # Example
///
/// NaOH at 35 °C: halfway from 54.3 % to 56.3 %, 55.3 %. At 15 °C: as at 10 °C, 33.8 %.
///
/// ```
/// use kettlebook::{batch::strongest_solution_percent_at, tables::{AlkaliKind, Tables}};
/// let tables = Tables::embedded();
/// let at = |celsius| strongest_solution_percent_at(AlkaliKind::NaOH, celsius, &tables);
/// assert!(at(35.0).is_some_and(|percent| (percent - 55.3).abs() < 1e-9));
/// assert_eq!((at(15.0), at(20.0), at(-1.0), at(101.0)), (Some(33.8), Some(52.2), None, None));
/// ```
///
/// # Source
///
/// NaOH: a supplier's table without a named source, two of its rows confirmed by the Great Soviet Encyclopedia. KOH:
/// CRC Handbook, 98th edition. Details in `tables/alkalis.toml`.
#[must_use]
pub fn strongest_solution_percent_at(kind: AlkaliKind, celsius: f64, tables: &Tables) -> Option<f64> {
    let solubility = &tables.alkali(kind).solubility;
    let pairs = &solubility.rows.pairs;
    let warmer_idx = pairs.partition_point(|(row_celsius, _)| *row_celsius <= celsius);
    let (cold, cold_percent) = *pairs.get(warmer_idx.checked_sub(1)?)?;
    if cold == celsius {
        return Some(cold_percent);
    }
    let (warm, warm_percent) = *pairs.get(warmer_idx)?;
    if solubility.other_crystals_from_celsius.contains(&warm) {
        return Some(cold_percent.min(warm_percent));
    }
    Some(cold_percent + (warm_percent - cold_percent) * (celsius - cold) / (warm - cold))
}

/// How much of a salt stays dissolved in lye solution of sodium hydroxide, g for 100 g of its water; `None` without rows.
///
/// Straight lines between the rows of `dissolves-in-lye`; beyond them the nearest row.
///
/// - `naoh_percent`: pure NaOH in NaOH and water.
///
/// # Example
///
/// Table salt in lye solution of 33 %: between 7.2 g at 32.1 % and 7.3 g at 36.4 %, where plain water takes 35.9 g.
#[must_use]
pub fn dissolves_in_lye(rows: &Rows, naoh_percent: f64) -> Option<f64> {
    let pairs = &rows.pairs;
    let above_idx = pairs.partition_point(|(percent, _)| *percent <= naoh_percent);
    let Some((above, most_above)) = pairs.get(above_idx) else { return pairs.last().map(|(_, most)| *most) };
    let Some((below, most_below)) = above_idx.checked_sub(1).and_then(|it| pairs.get(it)) else {
        return Some(*most_above);
    };
    Some(most_below + (most_above - most_below) * (naoh_percent - below) / (above - below))
}

/// The temperature in degrees Celsius below which sodium hydroxide crystallises out of the lye of a batch, if that may
/// happen in a cool room: there another hydrate is stable, of which far less stays dissolved.
///
/// The warmest at which that hydrate crystallises at all, where the pure alkali in the lye is more than surely dissolves below
/// it. That is a little too careful for most strengths: hydrates settle below 12 to 16 °C near 39 %, and below about 14 °C at
/// 50 %. `None` for a weaker lye, and for one with potassium hydroxide. Cannot fail.
///
/// # Example
///
/// A lye of 40 % NaOH holds more than the 33.8 % that dissolve at 10 °C, so it may crystallise below 16 °C; one of 33 %
/// stays clear.
///
/// # Source
///
/// As [`strongest_solution_percent_at`].
#[must_use]
pub fn crystallises_below_celsius(batch: &Batch, tables: &Tables) -> Option<f64> {
    let [only] = &batch.alkalis[..] else { return None };
    crystallises_below_celsius_at(only.kind, batch.pure_concentration_percent, tables)
}

/// The same for a solution of one alkali, by its strength in percent of the pure alkali.
pub(super) fn crystallises_below_celsius_at(kind: AlkaliKind, pure_percent: f64, tables: &Tables) -> Option<f64> {
    let solubility = &tables.naoh.solubility;
    let next_row = *solubility.other_crystals_from_celsius.first()?;
    let limit = strongest_solution_percent_at(AlkaliKind::NaOH, next_row - 1.0, tables)?;
    let settles_below = solubility.hydrates_below_celsius.unwrap_or(next_row);
    (kind == AlkaliKind::NaOH && pure_percent > limit).then_some(settles_below)
}
