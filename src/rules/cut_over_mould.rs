//! # What it finds
//!
//! Bars that are cut thicker than the mould is long, or longer than it is wide.
//!
//! # Why it matters
//!
//! Not one bar can be cut like that: one of the two figures is a slip.
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
    let (Some(cut), Some(mould)) = (recipe.cut, recipe.mould()) else { return };
    let is_trimmed = cut.ends.to_millimetres() > 0.0;
    let [long, wide] = if is_trimmed { ["long without its ends", "wide without its edges"] } else { ["long", "wide"] };
    let across = cut.across.zip(width_to_cut(mould)).map(|(it, width)| (it, width, wide));
    let along = length_to_cut(mould).map(|it| (cut.along, it, long));
    for (bar, soap, measure) in [along, across].into_iter().flatten() {
        let (bar, units) = (bar.to_millimetres(), ledger.scales.units);
        let usable = soap - 2.0 * cut.ends.to_millimetres();
        if bar > usable {
            let (place, lengths) = (recipe.places.cut.clone(), (bar, usable.max(0.0)));
            findings.push(Finding::cut_over_mould(place, lengths, &mould.name, measure, units));
        }
    }
}

/// How long the soap of a mould is where bars are cut from it, millimetres; inches come to it by a hair more or less. `None`
/// where only what the mould holds is known.
pub(super) fn length_to_cut(mould: &Mould) -> Option<f64> {
    let length = match mould.shape {
        MouldShape::Box { length, .. } => length,
        MouldShape::Cylinder { .. } => mould.fill_height,
        MouldShape::Other { .. } => return None,
    };
    Some(length.to_millimetres() * (1.0 + 1e-9))
}

/// The same of its width.
pub(super) fn width_to_cut(mould: &Mould) -> Option<f64> {
    mould.shape.across().map(|it| it.to_millimetres() * (1.0 + 1e-9))
}
