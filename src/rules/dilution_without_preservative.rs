//! # What it finds
//!
//! A diluted soap without a preservative.
//!
//! # Why it matters
//!
//! It is mostly water. Soap is alkaline, but not so alkaline that nothing grows in it, and what grows cannot always be
//! seen.
//!
//! # Example
//!
//! `[dilute]` with `soap = 25` and nothing else.
//!
//! # Source
//!
//! Common practice.

use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::tables::Tables;

pub(super) fn check(ledger: &Ledger, _: &Tables, findings: &mut Vec<Finding>) {
    if let Some(dilute) = ledger.recipe.dilute.as_ref().filter(|it| it.preservative.is_none()) {
        findings.push(Finding::dilution_without_preservative(dilute.place.clone()));
    }
}
