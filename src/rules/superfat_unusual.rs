//! # What it finds
//!
//! A superfat above what the trade uses.
//!
//! # Why it matters
//!
//! It is often a slip of the keyboard (50 for 5), and a bar with that much free fat stays soft and turns rancid.
//!
//! # Example
//!
//! `superfat = 50`
//!
//! # Source
//!
//! Common practice; the limit is `highest-usual-superfat-percent` in `limits.toml`.

use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::tables::Tables;

pub(super) fn check(ledger: &Ledger, tables: &Tables, findings: &mut Vec<Finding>) {
    let highest = tables.limits.highest_usual_superfat_percent;
    if ledger.recipe.superfat_percent > highest {
        let place = ledger.recipe.places.superfat.clone();
        findings.push(Finding::superfat_unusual(place, ledger.recipe.superfat_percent, highest));
    }
}
