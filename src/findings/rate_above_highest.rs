//! # What it finds
//!
//! More of an additive than the trade takes, in the batch or in a layer.
//!
//! # Why it matters
//!
//! Clay and other powders take up the water that the soap needs, crack the bar, and draw moisture in humid air; too much
//! colour stains. Two thirds of the most is a safe try.
//!
//! # Example
//!
//! `additives = [{ item = "kaolin", rate = "8 %" }]`
//!
//! # Source
//!
//! `highest-rate-percent` of the additive's row, with its source.

use super::{Subject, extras_of};
use crate::finding::Finding;

pub(super) fn check(subject: &Subject<'_>, findings: &mut Vec<Finding>) {
    for (step, extra, amount) in extras_of(subject) {
        // A rate typed as exactly the most may come back a hair above it.
        if let Some((highest, source)) = &extra.additive.highest_rate_percent
            && amount.of_fats_percent > highest * (1.0 + 1e-9)
        {
            findings.push(Finding::rate_above_highest(
                extra.place.clone(),
                &amount.name,
                amount.of_fats_percent,
                *highest,
                &source.to_string(),
                step,
            ));
        }
    }
}
