//! # What it finds
//!
//! Bars that are cut thinner or thicker than bars usually are, or with an unusual side, from a mould that is large
//! enough for them.
//!
//! # Why it matters
//!
//! The figure or its unit is probably a slip, and the number and weight of the bars depend on it.
//!
//! # Example
//!
//! `cut = "1 mm"`, which makes 230 slices of a loaf; `cut = "9 in"`, which makes one bar of it.
//!
//! # Source
//!
//! `usual-cut-mm` in `limits.toml`, and `usual-bar-side-mm` where a slab is cut in both directions; common practice.

use super::cut_over_mould::{length_to_cut, width_to_cut};
use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::tables::Tables;

pub(super) fn check(ledger: &Ledger, tables: &Tables, findings: &mut Vec<Finding>) {
    let recipe = &ledger.recipe;
    let (Some(cut), Some(mould)) = (recipe.cut, recipe.mould()) else { return };
    let limits = &tables.limits;
    let usual = if cut.across.is_some() { limits.usual_bar_side_millimetres } else { limits.usual_cut_millimetres };
    let across = cut.across.zip(width_to_cut(mould));
    for (bar, soap) in [length_to_cut(mould).map(|it| (cut.along, it)), across].into_iter().flatten() {
        let bar = bar.to_millimetres();
        // What the mould is too small for is told as that.
        if !(usual.0..=usual.1).contains(&bar) && bar <= soap {
            findings.push(Finding::cut_unusual(recipe.places.cut.clone(), bar, usual, ledger.scales.units));
        }
    }
}
