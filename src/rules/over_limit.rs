//! # What it finds
//!
//! More of an additive in the cured bar than its supplier allows in soap that is rinsed off, by its rate or as
//! printed. In a layer what goes into the whole batch counts as well, by the part of it that the layer is handed.
//!
//! # Why it matters
//!
//! These limits protect skin. They differ from one product to the next, so none is built in: the instructor states what
//! the supplier's document says.
//!
//! # Example
//!
//! `{ item = "essential-oil", rate = "4 %", limit = 2.5 }`
//!
//! # Source
//!
//! The supplier's document. The mass of the cured bar: `batch/yields.rs`. A layer's additive is counted on that layer
//! alone, since a bar may be used from one side.

use super::doses;
use crate::batch::percent_of_cured;
use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::tables::Tables;

pub(super) fn check(ledger: &Ledger, _: &Tables, findings: &mut Vec<Finding>) {
    for dose in doses(ledger) {
        if let Some(limit) = dose.limit_percent {
            // Weighed as printed it may be more than the rate asks for.
            let percent = percent_of_cured(&ledger.yields, &ledger.batch, dose.layer_idx(), dose.printed_percent);
            if percent > limit * (1.0 + 1e-9) {
                let (place, name) = (dose.extra.place.clone(), &dose.extra.additive.name);
                findings.push(Finding::over_limit(place, name, percent, limit));
            }
        }
    }
}
