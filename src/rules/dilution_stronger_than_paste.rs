//! # What it finds
//!
//! A liquid soap that is to contain more soap than the paste it is made from.
//!
//! # Why it matters
//!
//! There is no water to add: the liquid cannot be made, and its preservative would have no room.
//!
//! # Example
//!
//! `[dilute]` with `soap = 70` of a paste that is 55 % soap.
//!
//! # Source
//!
//! Conservation of mass.

use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::tables::Tables;

pub(super) fn check(ledger: &Ledger, _: &Tables, findings: &mut Vec<Finding>) {
    if let (Some(dilute), Some(dilution)) = (&ledger.recipe.dilute, &ledger.dilution)
        && dilution.is_too_weak
    {
        let preservative = dilute.preservative.map_or(0.0, |it| it.to_fraction());
        let most = dilution.soap_in_paste_percent() * (1.0 - preservative);
        findings.push(Finding::dilution_stronger_than_paste(dilute.place.clone(), dilute.soap.to_percent(), most));
    }
}
