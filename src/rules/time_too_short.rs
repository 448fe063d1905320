//! # What it finds
//!
//! A time of the recipe after which the soap is still raw: minutes of cooking, less than an hour in the mould, less than
//! a day of cure. For the mould and the cure, this is about soap that is not cooked.
//!
//! # Why it matters
//!
//! Whoever takes it out, cuts it or washes with it then has lye on their hands.
//!
//! # Example
//!
//! `times = { mould = "5 min" }`
//!
//! # Source
//!
//! Common practice: the low ends of the rows `least-...-minutes` in `limits.toml`.

use super::stated_times;
use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::tables::Tables;

pub(super) fn check(ledger: &Ledger, tables: &Tables, findings: &mut Vec<Finding>) {
    for it in stated_times(ledger, tables) {
        if it.time < it.dangerous_below {
            findings.push(Finding::time_too_short(it.place.clone(), it.key, it.time, it.dangerous_below));
        }
    }
}
