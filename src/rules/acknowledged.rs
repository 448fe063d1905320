//! Warnings that the author means.
//!
//! Layer 4. Not a rule: it takes the findings of the rules and marks those that a recipe acknowledges with a reason.

use crate::finding::{Finding, Severity, nearest};
use crate::recipe::RawAcknowledgement;

/// The codes of the warnings and notes about a recipe, which may be acknowledged.
pub const MAY_BE_MEANT: [&str; 28] = [
    "additive-below-scale",
    "batch-under-mould",
    "batter-sets-in-the-jug",
    "browns-a-white-layer",
    "components-not-stated",
    "cut-unusual",
    "cut-without-mould",
    "dilution-sets-to-jelly",
    "dilution-unusual",
    "dilution-without-preservative",
    "dispersed-in-much",
    "heats-in-the-mould",
    "layer-on-set-surface",
    "layer-superfat-worst-case-below-zero",
    "limit-not-stated",
    "paste-without-time",
    "preservative-unusual",
    "purity-not-stated",
    "purity-unusual",
    "quickeners-together",
    "rate-above-usual",
    "salt-undissolved",
    "sets-at-once",
    "solution-unusual",
    "superfat-unusual",
    "superfat-worst-case-below-zero",
    "time-unusually-short",
    "trace-too-thin",
];

/// The codes of errors that the rules know; no reason excuses them.
pub const NEVER_MEANT: [&str; 17] = [
    "additives-over-layer",
    "amount-below-scale",
    "batch-over-mould",
    "component-over-limit",
    "cut-over-mould",
    "density-beyond-range",
    "dilution-stronger-than-paste",
    "liquids-over-water",
    "mass-out-of-range",
    "over-limit",
    "rate-above-highest",
    "solution-too-strong",
    "stock-leaves-no-water",
    "stock-too-strong",
    "stock-too-weak",
    "superfat-below-zero",
    "time-too-short",
];

/// Marks the findings that a recipe acknowledges, and adds what is wrong with its acknowledgements.
///
/// - `was_computed`: whether the rules could look at all. If not, nothing is known of what occurs.
#[must_use]
pub fn acknowledge(findings: Vec<Finding>, acknowledged: &[RawAcknowledgement], was_computed: bool) -> Vec<Finding> {
    let mut findings = findings;
    for it in acknowledged {
        let code = it.finding.value.as_str();
        let place = it.finding.place.clone();
        let mut occurs = false;
        for finding in &mut findings {
            if finding.code == code && finding.severity != Severity::Error {
                occurs = true;
                *finding = finding.clone().acknowledged(&it.because.value);
            }
        }
        if NEVER_MEANT.contains(&code) {
            findings.push(Finding::error_acknowledged(place, code));
        } else if !MAY_BE_MEANT.contains(&code) {
            findings.push(Finding::unknown_acknowledged(place, code, nearest(code, MAY_BE_MEANT)));
        } else if !occurs && was_computed {
            findings.push(Finding::needless_acknowledgement(place, code));
        }
    }
    findings
}
