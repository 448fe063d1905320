//! # What it finds
//!
//! A scent with no components stated, in a course that limits some.
//!
//! # Why it matters
//!
//! The sum over all scents leaves it out, and so may look lower than it is.
//!
//! # Example
//!
//! `{ item = "lavender-oil", rate = "2 %" }`, with a `limit-percent` for linalool in tables/components.toml and no `components`
//! in the row of the oil
//!
//! # Source
//!
//! The supplier's document of the oil, which names them.

use super::extras_of;
use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::tables::Tables;

pub(super) fn check(ledger: &Ledger, tables: &Tables, findings: &mut Vec<Finding>) {
    if tables.components.values().all(|it| it.limit_percent.is_none()) {
        return;
    }
    for (_, extra, amount) in extras_of(ledger) {
        if extra.additive.scent.is_some() && extra.additive.facts.components.is_none() {
            findings.push(Finding::components_not_stated(extra.place.clone(), &amount.name));
        }
    }
}
