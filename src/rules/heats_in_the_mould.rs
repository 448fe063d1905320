//! # What it finds
//!
//! Sugar, honey, milk and whatever else heats up with the alkali or in the mould.
//!
//! # Why it matters
//!
//! Sugars burn in strong lye solution, milk curdles and smells of ammonia, and a soap that contains them heats up in the
//! mould: it may crack, rise like a loaf or overflow, hot and caustic. It can be taught, with cold liquids and an
//! uncovered mould, so this is a warning to acknowledge with the reason why it is safe in this lesson.
//!
//! # Example
//!
//! `{ item = "goat-milk", rate = "100 % of water" }`
//!
//! # Source
//!
//! Common practice; `does = ["heats"]` in the additive's row.

use super::extras_of;
use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::show::listed;
use crate::tables::{Effect, GoesInto, Tables};

pub(super) fn check(ledger: &Ledger, _: &Tables, findings: &mut Vec<Finding>) {
    let recipe = &ledger.recipe;
    let mut heating = Vec::new();
    for (liquid, place) in recipe.liquids.iter().zip(&recipe.places.liquids) {
        if liquid.effects.contains(&Effect::Heats) {
            heating.push((&*liquid.name, place));
        }
    }
    for (_, extra, _) in extras_of(ledger) {
        // In cooked soap no lye is left that would heat it.
        if extra.additive.goes_into != GoesInto::Cooked && extra.additive.effects.contains(&Effect::Heats) {
            heating.push((&*extra.additive.name, &extra.place));
        }
    }
    if let Some((_, place)) = heating.first() {
        let names = listed(heating.iter().map(|(name, _)| *name));
        findings.push(Finding::heats_in_the_mould((*place).clone(), &names));
    }
}
