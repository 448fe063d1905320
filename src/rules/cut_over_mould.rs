//! # What it finds
//!
//! Bars that are cut thicker than the mould is long.
//!
//! # Why it matters
//!
//! Not one bar can be cut so: one of the two figures is a slip.
//!
//! # Example
//!
//! `cut = "250 mm"` with a mould of 230 mm.
//!
//! # Source
//!
//! Arithmetic.

use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::tables::{Mould, MouldShape, Tables};

pub(super) fn check(ledger: &Ledger, _: &Tables, findings: &mut Vec<Finding>) {
    let recipe = &ledger.recipe;
    if let (Some(thickness), Some(mould)) = (recipe.cut, recipe.mould()) {
        let (thickness, length) = (thickness.to_millimetres(), length_to_cut(mould));
        if thickness > length {
            findings.push(Finding::cut_over_mould(
                recipe.places.cut.clone(),
                thickness,
                &mould.name,
                length,
                ledger.scales.units,
            ));
        }
    }
}

/// How long the soap of a mould is where bars are cut from it, millimetres; inches come to it by a hair more or less.
pub(super) fn length_to_cut(mould: &Mould) -> f64 {
    let length = match mould.shape {
        MouldShape::Box { length, .. } => length,
        MouldShape::Cylinder { .. } => mould.fill_height,
    };
    length.to_millimetres() * (1.0 + 1e-9)
}
