//! # What it finds
//!
//! More or less preservative in a diluted soap than is usual.
//!
//! # Why it matters
//!
//! Too little does not preserve the liquid; too much harms skin, and local law limits every preservative.
//!
//! # Example
//!
//! `[dilute]` with `preservative = 5`.
//!
//! # Source
//!
//! Common practice; `usual-preservative-percent` in `limits.toml`. The supplier's document decides.

use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::tables::Tables;

pub(super) fn check(ledger: &Ledger, tables: &Tables, findings: &mut Vec<Finding>) {
    let usual = tables.limits.usual_preservative_percent;
    let Some(dilute) = &ledger.recipe.dilute else { return };
    if let Some(percent) = dilute.preservative.map(|it| it.to_percent())
        && !(usual.0..=usual.1).contains(&percent)
    {
        findings.push(Finding::preservative_unusual(dilute.preservative_place.clone(), percent, usual));
    }
}
