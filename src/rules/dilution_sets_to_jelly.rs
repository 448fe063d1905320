//! # What it finds
//!
//! A soap that is to be diluted and whose alkali has a lot of NaOH in it.
//!
//! # Why it matters
//!
//! Diluted soda soap sets to a jelly when it cools, and nobody gets it out of the bottle.
//!
//! # Example
//!
//! `alkali = "NaOH"` in a recipe with `[dilute]`.
//!
//! # Source
//!
//! Common practice; `most-sodium-in-liquid-percent` in `limits.toml`.

use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::tables::{AlkaliKind, Tables};

pub(super) fn check(ledger: &Ledger, tables: &Tables, findings: &mut Vec<Finding>) {
    let most = tables.limits.most_sodium_in_liquid_percent;
    let sodium = ledger.recipe.alkalis.iter().filter(|it| it.kind == AlkaliKind::NaOH);
    let percent = sodium.map(|it| it.mole_fraction * 100.0).sum::<f64>();
    if ledger.recipe.dilute.is_some() && percent > most + 1e-9 {
        let place = ledger.recipe.places.alkali.clone();
        findings.push(Finding::dilution_sets_to_jelly(place, percent, most));
    }
}
