//! # What it finds
//!
//! More of a salt in the lye's water than dissolves in it, before any alkali is there; or so much that some of it comes
//! out of solution once the lye is in. Where a stock contains some of the water, the salt has only the rest to dissolve
//! in.
//!
//! # Why it matters
//!
//! What does not dissolve lies at the bottom and is poured as grains; the alkali dissolves poorly in a brine; and nobody
//! can tell grains of salt from grains of lye.
//!
//! # Example
//!
//! `additives = [{ item = "salt", rate = "30 %" }]`, which goes into the water; `rate = "25 % of water"` in a lye solution of 33 %.
//!
//! # Source
//!
//! `dissolves-g-per-100-g` of the additive's row, with its source; in lye solution of sodium hydroxide its
//! `dissolves-in-lye`, measured at 90 °C: cold lye solution holds even less.

use crate::batch::dissolves_in_lye;
use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::tables::{AlkaliKind, GoesInto, Tables};
use crate::units::Mass;

pub(super) fn check(ledger: &Ledger, _: &Tables, findings: &mut Vec<Finding>) {
    let batch = &ledger.batch;
    let before_lye = batch.water - batch.stock.map_or(Mass::ZERO, |it| it.water);
    let water = before_lye.to_grams().max(0.0);
    let only_naoh = batch.alkalis.iter().all(|it| it.kind == AlkaliKind::NaOH);
    for (extra, amount) in ledger.recipe.extras.iter().zip(&ledger.batch.extras) {
        let most = extra.additive.dissolves.as_ref().map(|it| it.0 / 100.0 * water);
        if extra.additive.goes_into == GoesInto::Water
            && let Some(most) = most.filter(|it| amount.mass.to_grams() > it * (1.0 + 1e-9))
        {
            let (place, grams) = (extra.place.clone(), amount.mass.to_grams());
            findings.push(Finding::salt_undissolved(place, &amount.name, [grams, water, most], ledger.scales.units));
        } else if extra.additive.goes_into == GoesInto::Water
            && let Some(rows) = extra.additive.dissolves_in_lye.as_ref().filter(|_| only_naoh)
            && let Some(most) = dissolves_in_lye(rows, batch.pure_concentration_percent)
            && amount.mass.to_grams() > most / 100.0 * batch.water.to_grams() * (1.0 + 1e-9)
        {
            let grams = [amount.mass.to_grams(), most / 100.0 * batch.water.to_grams()];
            findings.push(Finding::salt_comes_out(extra.place.clone(), &amount.name, grams, ledger.scales.units));
        }
    }
}
