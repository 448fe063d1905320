//! # What it finds
//!
//! A liquid soap weaker or stronger than is usual.
//!
//! # Why it matters
//!
//! A strong one sets to a jelly that no pump can lift, a weak one runs through the fingers; often the figure is a slip,
//! such as the share of paste instead of the share of soap.
//!
//! # Example
//!
//! `[dilute]` with `soap = 60`.
//!
//! # Source
//!
//! Common practice; `usual-soap-in-liquid-percent` in `limits.toml`. ASTM D799-74 asks for 15 % in a liquid toilet soap and 30 % in a
//! concentrate.

use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::tables::Tables;

pub(super) fn check(ledger: &Ledger, tables: &Tables, findings: &mut Vec<Finding>) {
    let usual = tables.limits.usual_soap_in_liquid_percent;
    if let (Some(dilute), Some(dilution)) = (&ledger.recipe.dilute, &ledger.dilution)
        && !dilution.is_too_weak
        && !(usual.0..=usual.1).contains(&dilute.soap.to_percent())
    {
        findings.push(Finding::dilution_unusual(dilute.place.clone(), dilute.soap.to_percent(), usual));
    }
}
