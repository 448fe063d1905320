//! # What it finds
//!
//! Bars of a stated thickness in a recipe that names no mould.
//!
//! # Why it matters
//!
//! Without a mould, nobody can say how many bars there will be or how heavy each is; the thickness has no use.
//!
//! # Example
//!
//! `cut = "25 mm"` and `batch = "1 kg"` without `into`.
//!
//! # Source
//!
//! Arithmetic.

use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::tables::Tables;

pub(super) fn check(ledger: &Ledger, _: &Tables, findings: &mut Vec<Finding>) {
    let recipe = &ledger.recipe;
    if recipe.cut.is_some() && recipe.mould().is_none() {
        findings.push(Finding::cut_without_mould(recipe.places.cut.clone()));
    }
}
