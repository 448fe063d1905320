//! # What it finds
//!
//! More of an additive than the trade uses, in the batch or in a layer, where what the whole batch has counts as well.
//!
//! # Why it matters
//!
//! Clay and other powders take up the water that the soap needs, crack the bar, and draw moisture in humid air; too much
//! colour stains. Two thirds of the maximum is a safe start.
//!
//! # Example
//!
//! `additives = [{ item = "kaolin", rate = "8 %" }]`
//!
//! # Source
//!
//! `highest-rate-percent` of the additive's row, with its source.

use super::doses;
use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::tables::Tables;

pub(super) fn check(ledger: &Ledger, _: &Tables, findings: &mut Vec<Finding>) {
    for dose in doses(ledger) {
        // A rate typed as exactly the most may come back a hair above it.
        if let Some((highest, source)) = &dose.extra.additive.highest_rate_percent
            && dose.of_fats_percent > highest * (1.0 + 1e-9)
        {
            findings.push(Finding::rate_above_highest(
                dose.extra.place.clone(),
                &dose.extra.additive.name,
                dose.of_fats_percent,
                *highest,
                &source.to_string(),
            ));
        }
    }
}
