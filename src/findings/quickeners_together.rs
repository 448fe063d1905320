//! # What it finds
//!
//! Two or more additives that each bring trace on sooner.
//!
//! # Why it matters
//!
//! The batter may set in the pot before it is poured.
//!
//! # Example
//!
//! clove leaf oil in the batch and honey in a layer
//!
//! # Source
//!
//! Common practice.

use super::{Subject, extras_of};
use crate::finding::Finding;
use crate::tables::Effect;

pub(super) fn check(subject: &Subject<'_>, findings: &mut Vec<Finding>) {
    let quickeners: Vec<_> =
        extras_of(subject).map(|(it, _)| it).filter(|it| it.additive.effects.contains(&Effect::Quickens)).collect();
    let mut names: Vec<&str> = Vec::new();
    for extra in &quickeners {
        if !names.contains(&extra.additive.name.as_str()) {
            names.push(&extra.additive.name);
        }
    }
    if let ([first, .., last], [_, .., extra]) = (&names[..], &quickeners[..]) {
        let between = names[1..names.len() - 1].iter().map(|it| format!(", {it}")).collect::<String>();
        findings.push(Finding::quickeners_together(extra.place.clone(), &format!("{first}{between} and {last}")));
    }
}
