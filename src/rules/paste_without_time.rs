//! # What it finds
//!
//! A soap of KOH alone that is not cooked and states neither a cure nor a time in the mould.
//!
//! # Why it matters
//!
//! According to its timeline it is spooned into jars minutes after blending, when it is as caustic as its lye solution.
//!
//! # Example
//!
//! `alkali = "KOH"` without `cook` or `cure` under `[times]`
//!
//! # Source
//!
//! Common practice: a paste is cooked until it is clear, or left to itself for weeks.

use crate::batch::is_cooked;
use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::tables::Tables;

pub(super) fn check(ledger: &Ledger, _: &Tables, findings: &mut Vec<Finding>) {
    let timeline = &ledger.timeline;
    // Only a paste has neither by itself.
    if timeline.mould.is_none() && timeline.cure.is_none() && !is_cooked(&ledger.recipe) {
        findings.push(Finding::paste_without_time(ledger.recipe.places.alkali.clone()));
    }
}
