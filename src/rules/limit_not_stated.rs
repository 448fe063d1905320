//! # What it finds
//!
//! A fragrance or an essential oil for which no limit is stated.
//!
//! # Why it matters
//!
//! How much of a scent skin can bear differs from one product to the next; the supplier's document says how much.
//! Without the limit nothing is checked.
//!
//! # Example
//!
//! `{ item = "lavender-oil", rate = "2 %" }`
//!
//! # Source
//!
//! Common practice. No limit is built in, since none would hold for every product.

use super::extras_of;
use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::tables::Tables;

pub(super) fn check(ledger: &Ledger, _: &Tables, findings: &mut Vec<Finding>) {
    for (_, extra, amount) in extras_of(ledger) {
        if extra.limit_percent.is_none() && extra.additive.scent.is_some() {
            findings.push(Finding::limit_not_stated(extra.place.clone(), &amount.name));
        }
    }
}
