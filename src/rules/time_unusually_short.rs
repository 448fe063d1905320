//! # What it finds
//!
//! A time of the recipe that is shorter than usual: lye solution that hardly cools, a short time over the heat, less
//! than half a day in the mould, less than four weeks of cure. For the mould and the cure, this is about soap that is
//! not cooked; a paste does not need the cure of a bar.
//!
//! # Why it matters
//!
//! Hot lye solution makes the batter rise and spit, and a soap that had little time is soft, harsh and perhaps caustic.
//! Some people do each of these on purpose, so this is a warning to acknowledge with the reason.
//!
//! # Example
//!
//! `times = { cure = "4 days" }`
//!
//! # Source
//!
//! Common practice: the high ends of the rows `least-...-minutes` in `limits.toml`.

use super::stated_times;
use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::tables::{AlkaliKind, Tables};

pub(super) fn check(ledger: &Ledger, tables: &Tables, findings: &mut Vec<Finding>) {
    let is_paste = ledger.recipe.alkalis.iter().all(|it| it.kind == AlkaliKind::KOH);
    for it in stated_times(ledger, tables) {
        let is_of_a_bar = it.key == "cure";
        if it.time < it.unusual_below && it.time >= it.dangerous_below && !(is_paste && is_of_a_bar) {
            findings.push(Finding::time_unusually_short(it.place.clone(), it.key, it.time, it.unusual_below));
        }
    }
}
