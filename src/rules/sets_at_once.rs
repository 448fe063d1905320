//! # What it finds
//!
//! A free fatty acid, such as stearic acid, among the fats of a soap that is not cooked.
//!
//! # Why it matters
//!
//! A free acid takes up alkali the moment the lye solution is poured in: the batter sets in lumps that look like trace, with lye and fat
//! not yet mixed.
//!
//! # Example
//!
//! `stearic-acid = 30` under `[fats]`, and no `cook` under `[times]`.
//!
//! # Source
//!
//! Common practice: soaps of free acids are cooked. The reaction is a neutralisation, which takes no time.

use crate::batch::is_cooked;
use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::tables::{FatKind, Tables};

pub(super) fn check(ledger: &Ledger, _: &Tables, findings: &mut Vec<Finding>) {
    let recipe = &ledger.recipe;
    if is_cooked(recipe) {
        return;
    }
    for (share, place) in recipe.fats.iter().zip(&recipe.places.fats) {
        if share.fat.kind == FatKind::FattyAcid {
            findings.push(Finding::sets_at_once(place.clone(), &share.fat.name));
        }
    }
}
