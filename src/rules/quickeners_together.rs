//! # What it finds
//!
//! Two or more additives that each speed up trace.
//!
//! # Why it matters
//!
//! The batter may set in the pot before it is poured.
//!
//! # Example
//!
//! `clove-leaf-oil` in the batch, and in a layer a scent whose row in your own table has `does = ["quickens"]`
//!
//! # Source
//!
//! Common practice.

use super::extras_of;
use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::show::listed;
use crate::tables::{Effect, Tables};

pub(super) fn check(ledger: &Ledger, _: &Tables, findings: &mut Vec<Finding>) {
    let quickeners: Vec<_> =
        extras_of(ledger).map(|(_, it, _)| it).filter(|it| it.additive.effects.contains(&Effect::Quickens)).collect();
    let names = || quickeners.iter().map(|it| &*it.additive.name);
    // One of them in several layers is still one.
    let are_several = names().any(|it| Some(it) != names().next());
    if let (Some(extra), true) = (quickeners.last(), are_several) {
        findings.push(Finding::quickeners_together(extra.place.clone(), &listed(names())));
    }
}
