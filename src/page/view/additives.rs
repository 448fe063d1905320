//! What an additive is known to do, and how much of it is usual, in words.
//!
//! Layer 5.

use super::super::Computed;
use super::{NO_BREAK, capitalised, percent, short};
use crate::batch::{ExtraAmount, percent_of_cured};
use crate::recipe::Extra;
use crate::rules::in_words;
use crate::tables::{Effect, PublishedRange, Tables};

/// A sentence or two for each additive that takes up no alkali: how much of it there is, how much is usual and how much is
/// the most, and what it does. Each additive is spoken of once, with the highest of its rates.
#[must_use]
pub fn additive_notes(computed: &Computed, tables: &Tables) -> Vec<String> {
    let (recipe, batch) = (&computed.recipe, &computed.batch);
    let of_layers = recipe.layers.iter().zip(&batch.layers);
    let of_layers = of_layers.flat_map(|(layer, amount)| layer.extras.iter().zip(&amount.extras));
    let mut once: Vec<(&Extra, &ExtraAmount)> = Vec::new();
    for (extra, amount) in recipe.extras.iter().zip(&batch.extras).chain(of_layers) {
        match once.iter_mut().find(|(it, _)| it.additive.id == extra.additive.id) {
            Some(known) if known.1.of_fats_percent >= amount.of_fats_percent => {}
            Some(known) => *known = (extra, amount),
            None => once.push((extra, amount)),
        }
    }
    once.into_iter().map(|(extra, amount)| note(computed, extra, amount, tables)).collect()
}

fn note(computed: &Computed, extra: &Extra, amount: &ExtraAmount, tables: &Tables) -> String {
    let additive = &extra.additive;
    let mut note = format!("{}: {} of the fats", capitalised(&additive.name), two_decimals(amount.of_fats_percent));
    let usual = additive.usual_rate_percent.as_ref().and_then(usual_words);
    let highest = additive.highest_rate_percent.as_ref().map(|(highest, _)| percent(*highest));
    match (usual, highest) {
        (Some(usual), Some(highest)) => note.push_str(&format!("; {usual} is usual, {highest} the most")),
        (Some(usual), None) => note.push_str(&format!("; {usual} is usual")),
        (None, Some(highest)) => note.push_str(&format!("; {highest} is the most")),
        (None, None) => {}
    }
    if let Some(limit) = extra.limit_percent {
        let of_bar = percent_of_cured(&computed.recipe, &computed.batch, amount.of_fats_percent, tables);
        let words = format!(
            "; {} of the cured soap, of which its supplier allows {}",
            two_decimals(of_bar),
            two_decimals(limit)
        );
        note.push_str(&words);
    }
    note.push('.');
    let does: Vec<&str> = Effect::ALL.iter().filter_map(|(_, it)| words_of(*it, extra)).collect();
    if !does.is_empty() {
        note.push_str(&format!(" It {}.", in_words(does)));
    }
    let usual_high = additive.usual_rate_percent.as_ref().and_then(|it| it.high);
    if additive.effects.contains(&Effect::AbsorbsWater) && usual_high.is_some_and(|it| amount.of_fats_percent > it) {
        note.push_str(
            " That much draws moisture into the bar in damp air and softens it; two thirds of it or less helps.",
        );
    }
    if let Some(vanillin) = extra.vanillin_percent {
        let how_much = if vanillin > 0.0 { format!("{} of", two_decimals(vanillin)) } else { "no".to_owned() };
        note.push_str(&format!(" There is {how_much} vanillin in it."));
    }
    note
}

/// What an additive does, after "it"; the dusty and the flammable have cautions of their own.
fn words_of(effect: Effect, extra: &Extra) -> Option<&'static str> {
    let does = if effect == Effect::Browns { extra.browns() } else { extra.additive.effects.contains(&effect) };
    let words = match effect {
        Effect::Thickens => "thickens the batter",
        Effect::AbsorbsWater => "takes up water",
        Effect::Quickens => "brings trace on sooner",
        Effect::Browns => "turns brown with time",
        Effect::Heats => "heats up with the alkali or in the mould",
        Effect::DrawsMoisture => "draws moisture into the cured bar in damp air",
        Effect::Hardens => "makes the bar harder",
        Effect::LathersLess => "makes it lather less",
        Effect::Dusty | Effect::Flammable => return None,
    };
    does.then_some(words)
}

fn usual_words(usual: &PublishedRange) -> Option<String> {
    match (usual.low, usual.high) {
        (Some(low), Some(high)) if low < high => Some(format!("{} to {}", short(low, 2), two_decimals(high))),
        (low, high) => high.or(low).map(two_decimals),
    }
}

fn two_decimals(value: f64) -> String {
    format!("{}{}%", short(value, 2), NO_BREAK)
}
