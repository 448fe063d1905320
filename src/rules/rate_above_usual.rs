//! # What it finds
//!
//! More of an additive than is usual, where its row states no highest rate. For an acid, the pure acid counts; what goes
//! into the lye as a solvent, such as glycerol, counts too; for a blend whose own row does not say what is usual, what is
//! usual for any of its oils.
//!
//! # Why it matters
//!
//! Too much scent burns the skin, or makes the batter separate or seize; too much colour stains; too much acid takes up
//! alkali for nothing and leaves a soft bar; much glycerol makes a paste that stays sticky, and stays hot for long.
//!
//! # Example
//!
//! `additives = [{ item = "clove-leaf-oil", rate = "10 %" }]`
//!
//! # Source
//!
//! The high end of `usual-rate-percent` of the additive's row, with its source.

use super::doses;
use crate::finding::{Finding, Step};
use crate::ledger::Ledger;
use crate::tables::{AdditiveKind, Effect, Tables};

pub(super) fn check(ledger: &Ledger, tables: &Tables, findings: &mut Vec<Finding>) {
    for dose in doses(ledger) {
        let additive = &dose.extra.additive;
        if let (None, Some(usual)) = (&additive.highest_rate_percent, &additive.usual_rate_percent)
            && let Some(most) = usual.high.filter(|it| dose.of_fats_percent > it * (1.0 + 1e-9))
        {
            let (place, source) = (dose.extra.place.clone(), usual.source.to_string());
            let percents = (dose.of_fats_percent, most);
            findings.push(Finding::rate_above_usual(place, &additive.name, percents, &source, dose.step));
        }
    }
    for it in ledger.blends() {
        let AdditiveKind::Blend(parts) = &it.blend.kind else { continue };
        let own = it.blend.usual_rate_percent.as_ref();
        let usual = own.into_iter().chain(parts.iter().filter_map(|it| it.oil.usual_rate_percent.as_ref()));
        let ends = usual.take(if own.is_some() { 1 } else { parts.len() });
        let highest = ends.filter_map(|it| Some((it.high?, &it.source))).max_by(|a, b| a.0.total_cmp(&b.0));
        if let Some((most, source)) = highest.filter(|(most, _)| it.of_fats_percent > most * (1.0 + 1e-9)) {
            let step = it.layer_idx.map_or(Step::Trace, Step::Layer);
            let (place, percents) = (it.place.clone(), (it.of_fats_percent, most));
            findings.push(Finding::rate_above_usual(place, &it.blend.name, percents, &source.to_string(), step));
        }
    }
    let recipe = &ledger.recipe;
    let liquids = ledger.batch.liquids.iter().zip(recipe.liquids.iter().zip(&recipe.places.liquids));
    for (liquid, (_, place)) in liquids.filter(|(_, (it, _))| it.effects.contains(&Effect::Solvent)) {
        let usual = tables.additives.get(&*liquid.id).and_then(|it| it.usual_rate_percent.as_ref());
        let percent = liquid.mass / ledger.batch.total_fats * 100.0;
        if let Some(usual) = usual
            && let Some(most) = usual.high.filter(|it| percent > it * (1.0 + 1e-9))
        {
            let source = usual.source.to_string();
            findings.push(Finding::solvent_above_usual(place.clone(), &liquid.name, (percent, most), &source));
        }
    }
    let acids = ledger.batch.acids.iter().zip(&ledger.recipe.places.acids);
    for (acid, place) in acids {
        let usual = tables.additives.get(&*acid.id).and_then(|it| it.usual_rate_percent.as_ref());
        let percent = acid.pure / ledger.batch.total_fats * 100.0;
        if let Some(usual) = usual
            && let Some(most) = usual.high.filter(|it| percent > it * (1.0 + 1e-9))
        {
            let source = usual.source.to_string();
            findings.push(Finding::acid_above_usual(place.clone(), &acid.name, (percent, most), &source));
        }
    }
}
