//! # What it finds
//!
//! More of a salt in the lye's water than dissolves in it, before any alkali is there.
//!
//! # Why it matters
//!
//! What does not dissolve lies at the bottom and is poured as grains; and the alkali dissolves badly in a brine.
//!
//! # Example
//!
//! `additives = [{ item = "salt", rate = "30 %" }]`, which goes into the water.
//!
//! # Source
//!
//! `dissolves-g-per-100-g` of the additive's row, with its source. With alkali in it water holds less still.

use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::tables::{GoesInto, Tables};

pub(super) fn check(ledger: &Ledger, _: &Tables, findings: &mut Vec<Finding>) {
    let water = ledger.batch.water.to_grams();
    for (extra, amount) in ledger.recipe.extras.iter().zip(&ledger.batch.extras) {
        let most = extra.additive.dissolves.as_ref().map(|it| it.0 / 100.0 * water);
        if extra.additive.goes_into == GoesInto::Water
            && let Some(most) = most.filter(|it| amount.mass.to_grams() > it * (1.0 + 1e-9))
        {
            let (place, grams) = (extra.place.clone(), amount.mass.to_grams());
            findings.push(Finding::salt_undissolved(place, &amount.name, [grams, water, most], ledger.scales.units));
        }
    }
}
