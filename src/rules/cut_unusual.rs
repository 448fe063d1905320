//! # What it finds
//!
//! Bars that are cut thinner or thicker than bars are, from a mould that is long enough for them.
//!
//! # Why it matters
//!
//! The figure or its unit is likely a slip, and the number and the weight of the bars go with it.
//!
//! # Example
//!
//! `cut = "1 mm"`, which makes 230 slices of a loaf; `cut = "9 in"`, which makes one bar of it.
//!
//! # Source
//!
//! `usual-cut-mm` in `limits.toml`, common practice.

use super::cut_over_mould::length_to_cut;
use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::tables::Tables;

pub(super) fn check(ledger: &Ledger, tables: &Tables, findings: &mut Vec<Finding>) {
    let recipe = &ledger.recipe;
    let (Some(thickness), Some(mould)) = (recipe.cut, recipe.mould()) else { return };
    let (thickness, (low, high)) = (thickness.to_millimetres(), tables.limits.usual_cut_millimetres);
    // What the mould is too short for is told as that.
    if !(low..=high).contains(&thickness) && thickness <= length_to_cut(mould) {
        let place = recipe.places.cut.clone();
        findings.push(Finding::cut_unusual(place, thickness, (low, high), ledger.scales.units));
    }
}
