//! Times in words.
//!
//! Part of `show`.

use super::{NO_BREAK, short};
use crate::units::{MINUTES_PER_DAY, TimeSpan};

/// The units in which times are told, longest first: minutes in one, and its names for one and for several.
const UNITS: [(f64, &str, &str); 4] =
    [(7.0 * MINUTES_PER_DAY, "week", "weeks"), (MINUTES_PER_DAY, "day", "days"), (60.0, "h", "h"), (1.0, "min", "min")];

/// A time, or a shortest and a longest one, in the longest unit that makes both simple numbers: `24 h`, `4 to 6 weeks`.
///
/// Days are told from two days on and weeks from two weeks on, as the trade does.
#[must_use]
pub fn time(shortest: TimeSpan, longest: TimeSpan) -> String {
    let (low, high) = (shortest.to_minutes(), longest.to_minutes());
    let halves = |value: f64| (value * 2.0).fract().abs() < 1e-9;
    let fits = |unit: f64| {
        let least = if unit >= MINUTES_PER_DAY { 2.0 * unit } else { unit };
        high >= least && halves(low / unit) && halves(high / unit)
    };
    let (unit, one, several) = UNITS.into_iter().find(|(unit, ..)| fits(*unit)).unwrap_or(UNITS[UNITS.len() - 1]);
    if low == high && unit == 1.0 && high >= 60.0 {
        let hours = (high / 60.0).floor();
        return format!("{hours}{NO_BREAK}h {}{NO_BREAK}min", short(high - 60.0 * hours, 0));
    }
    let number = |minutes: f64| short(minutes / unit, 1);
    let name = if (high / unit - 1.0).abs() < 1e-9 { one } else { several };
    if low == high {
        format!("{}{NO_BREAK}{name}", number(high))
    } else {
        format!("{} to {}{NO_BREAK}{name}", number(low), number(high))
    }
}

/// A time since the beginning, as a clock that starts at nought: `1:05`.
#[must_use]
pub fn clock(it: TimeSpan) -> String {
    let minutes = it.to_minutes().round() as u64;
    format!("{}:{:02}", minutes / 60, minutes % 60)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_told_in_the_unit_of_the_trade() {
        let minutes = TimeSpan::minutes;
        for (low, high, words) in [
            (3.0, 3.0, "3\u{a0}min"),
            (90.0, 90.0, "1.5\u{a0}h"),
            (152.0, 152.0, "2\u{a0}h 32\u{a0}min"),
            (1440.0, 1440.0, "24\u{a0}h"),
            (2880.0, 2880.0, "2\u{a0}days"),
            (10_080.0, 10_080.0, "7\u{a0}days"),
            (40_320.0, 60_480.0, "4 to 6\u{a0}weeks"),
            (20.0, 60.0, "20 to 60\u{a0}min"),
            (1440.0, 2880.0, "1 to 2\u{a0}days"),
        ] {
            assert_eq!(time(minutes(low), minutes(high)), words);
        }
        assert_eq!([clock(minutes(0.0)), clock(minutes(65.0))], ["0:00", "1:05"]);
    }
}
