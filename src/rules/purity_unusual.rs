//! # What it finds
//!
//! A stated purity outside the range in which the alkali is sold, or purities of NaOH and KOH that seem to be swapped.
//!
//! # Why it matters
//!
//! Potassium hydroxide as sold contains a tenth or more of water and carbonate, sodium hydroxide hardly any. A purity
//! that is stated too low leads to more alkali than the fats can take; one that is stated too high leaves more fat than
//! the page says.
//!
//! # Example
//!
//! `purity = { NaOH = 89 }`, which is the figure of the other container: with 97.5 % in the container a bar of 5 %
//! superfat would have a superfat of -4.1 %.
//!
//! # Source
//!
//! `usual-NaOH-purity-percent` and `usual-KOH-purity-percent` in `limits.toml`; the middle of the range is taken for what is
//! usual.

use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::recipe::AlkaliShare;
use crate::tables::{AlkaliKind, Tables};

pub(super) fn check(ledger: &Ledger, tables: &Tables, findings: &mut Vec<Finding>) {
    let usual = |kind: AlkaliKind| {
        let ranges = AlkaliKind::ALL.into_iter().zip(tables.limits.usual_purity_percent);
        ranges.filter(|(it, _)| *it == kind).map(|(_, range)| range).fold((0.0, 100.0), |_, it| it)
    };
    let is_usual = |kind: AlkaliKind, percent: f64| {
        let (low, high) = usual(kind);
        (low..=high).contains(&percent)
    };
    let alkalis = &ledger.recipe.alkalis;
    let is_unusual = |it: &AlkaliShare| it.purity_is_stated && !is_usual(it.kind, it.purity.to_percent());
    // Moles of alkali beside the fats' own, where each container in truth holds what is usual; per mole that they can take.
    let superfat = |of: &dyn Fn(&AlkaliShare) -> bool| {
        let amounts = alkalis.iter().zip(&ledger.batch.alkalis).filter(|(share, _)| of(share));
        let more = amounts.map(|(share, amount)| {
            let (low, high) = usual(share.kind);
            let ratio = f64::midpoint(low, high) / share.purity.to_percent();
            amount.pure.to_grams() / amount.grams_per_gram_koh * (ratio - 1.0)
        });
        ledger.recipe.superfat_percent - more.sum::<f64>() / ledger.batch.koh.to_grams() * 100.0
    };
    // A default of the course concerns each recipe in its own way, so it is told at the recipe.
    let place = |kind: AlkaliKind| {
        let places = &ledger.recipe.places;
        places.purity.get(&kind).map_or((&places.alkali, true), |it| (it, false))
    };
    if let [first, second] = &alkalis[..]
        && is_unusual(first)
        && is_unusual(second)
        && is_usual(first.kind, second.purity.to_percent())
        && is_usual(second.kind, first.purity.to_percent())
    {
        let percents = [first.purity.to_percent(), second.purity.to_percent()];
        let (place, is_default) = place(second.kind);
        findings.push(Finding::purities_exchanged(place.clone(), percents, superfat(&|_| true), is_default));
        return;
    }
    for it in alkalis.iter().filter(|it| is_unusual(it)) {
        let superfat = superfat(&|other| other.kind == it.kind);
        let (formula, percent) = (it.kind.formula(), it.purity.to_percent());
        let (place, is_default) = place(it.kind);
        let percents = (percent, usual(it.kind));
        findings.push(Finding::purity_unusual(place.clone(), formula, percents, superfat, is_default));
    }
}
