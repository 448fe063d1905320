//! # What it finds
//!
//! An alkali whose purity nobody stated.
//!
//! # Why it matters
//!
//! Alkali as sold is not pure, potassium hydroxide least of all; the container says how pure. Taken as pure, it gives
//! the bar more superfat than the page says, which errs on the harmless side.
//!
//! # Example
//!
//! `alkali = "KOH"` without `purity = { KOH = 90 }`
//!
//! # Source
//!
//! Common practice.

use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::tables::Tables;

pub(super) fn check(ledger: &Ledger, _: &Tables, findings: &mut Vec<Finding>) {
    for alkali in ledger.recipe.alkalis.iter().filter(|it| !it.purity_is_stated) {
        let place = ledger.recipe.places.alkali.clone();
        findings.push(Finding::purity_not_stated(place, alkali.kind.formula()));
    }
}
