//! # What it finds
//!
//! A recipe whose superfat could fall below zero though it is above zero on paper: every fat at the low end of its
//! range, the alkali at its purest, every reading off by half a division in the wrong direction.
//!
//! # Why it matters
//!
//! The superfat is the margin for exactly these errors. A margin that can be used up leaves alkali in the bar.
//!
//! # Example
//!
//! `superfat = 2` with `palm = 100`, whose published range is almost 5 % to either side
//!
//! # Source
//!
//! `batch/uncertainty.rs`; ranges from the tables.

use super::superfat_below_zero::rounds_to_zero;
use crate::batch::Input;
use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::tables::Tables;

pub(super) fn check(ledger: &Ledger, _: &Tables, findings: &mut Vec<Finding>) {
    let uncertainties = ledger.shown().map(|it| ledger.certainty(it.scale.unit));
    let Some(worst) = uncertainties.min_by(|a, b| a.worst_percent.total_cmp(&b.worst_percent)) else { return };
    // A superfat that is below zero already has an error of its own; so has an amount that the scale shows as nothing.
    let reads_nothing = ledger.shown().any(|it| it.fats.iter().chain(&it.alkalis).any(|reading| *reading == 0));
    let has_error = worst.superfat_percent < 0.0 && !rounds_to_zero(worst.superfat_percent) || reads_nothing;
    if worst.worst_percent < 0.0 && !has_error {
        let fats = &ledger.batch.fats;
        let what = match worst.contributions[0].input {
            Input::SaponificationValue(fat_idx) => format!("the saponification value of {}", fats[fat_idx].name),
            Input::Purity(kind) => format!("the purity of {}", kind.formula()),
            Input::FatReading(fat_idx) => {
                format!("the reading of {} (a finer scale, a larger batch)", fats[fat_idx].name)
            }
            Input::AlkaliReading(kind) => format!("the reading of {} (a finer scale, a larger batch)", kind.formula()),
            Input::StockStrength(_) => "the strength of the stock".to_owned(),
            Input::AcidReading(_) => "the reading of the acid (a finer scale, a larger batch)".to_owned(),
        };
        let place = ledger.recipe.places.superfat.clone();
        findings.push(Finding::superfat_worst_case_below_zero(place, worst.worst_percent, &what));
    }
}
