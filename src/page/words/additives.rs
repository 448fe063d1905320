//! What an additive is known to do, and how much of it is usual, in words.
//!
//! Layer 6.

use super::super::printer::Printer;
use crate::batch::ExtraAmount;
use crate::finding::Step;
use crate::ledger::{Key, Kind};
use crate::recipe::Extra;
use crate::show::{self, capitalised, listed, percent_to};
use crate::tables::Effect;

/// A sentence or two for each additive that takes up no alkali: how much of it there is, how much is usual and how much is
/// the most, and what it does. Each additive is spoken of once, with the highest of its rates.
pub(crate) fn additive_notes(print: Printer<'_>) -> Vec<String> {
    let of_each = print.ledger.highest_doses().into_iter().map(|(extra, amount)| note(print, extra, amount));
    blend_notes(print).into_iter().chain(of_each).chain(component_notes(print)).collect()
}

/// A sentence for each blend, with the highest of its rates.
fn blend_notes(print: Printer<'_>) -> Vec<String> {
    let mut told: Vec<&str> = Vec::new();
    let mut notes = Vec::new();
    for it in print.ledger.blends() {
        let id = &*it.blend.id;
        if told.contains(&id) {
            continue;
        }
        told.push(id);
        let shown = |kind: Kind| {
            let percent = print.figure(&Key::each(kind, id))?.amount.percent(print.units().main())?;
            Some((percent, print.each(kind, id, percent_to(percent, 2))))
        };
        let rate = shown(Kind::Rate).map(|(_, it)| format!(": {it} of the fats")).unwrap_or_default();
        let vanillin = match shown(Kind::Vanillin) {
            Some((percent, words)) if percent > 0.0 => format!(" It contains {words} vanillin."),
            _ => String::new(),
        };
        let name = capitalised(&it.blend.name);
        notes.push(format!("{name}{rate}. Weigh its oils into one jar, close it, and label it.{vanillin}"));
    }
    notes
}

/// A sentence for each component that is limited, all scents together.
fn component_notes(print: Printer<'_>) -> Vec<String> {
    let mut notes = Vec::new();
    for dose in print.ledger.components() {
        let Some(component) = print.tables.components.get(&dose.id) else { continue };
        let Some((limit, _)) = component.limit_percent else { continue };
        // Three decimals: such limits are hundredths of a percent.
        let percent = print.each(Kind::Component, &dose.id, percent_to(dose.percent, 3));
        let limit = print.each(Kind::ComponentLimit, &dose.id, percent_to(limit, 3));
        let place = match dose.step {
            Step::Layer(layer_idx) => {
                let recipe = &print.ledger.recipe;
                let (part, name) = (recipe.divide.part_name(), &recipe.layers[layer_idx].name);
                format!(" in the {part} {name}, which has most of it")
            }
            _ => String::new(),
        };
        notes.push(format!(
            "{}, all scents together: {percent} of the cured soap{place}; no more than {limit} is allowed.",
            capitalised(&component.name)
        ));
    }
    notes
}

fn note(print: Printer<'_>, extra: &Extra, amount: &ExtraAmount) -> String {
    let additive = &extra.additive;
    let shown = |kind: Kind, percent: f64| print.each(kind, &additive.id, percent_to(percent, 2));
    let mut note =
        format!("{}: {} of the fats", capitalised(&additive.name), shown(Kind::Rate, amount.of_fats_percent));
    let usual = additive.usual_rate_percent.as_ref().and_then(|usual| match (usual.low, usual.high) {
        (Some(low), Some(high)) if low < high => {
            let low = print.each(Kind::UsualRateFrom, &additive.id, show::short(low, 2));
            Some(format!("{low} to {}", shown(Kind::UsualRateTo, high)))
        }
        (_, Some(high)) => Some(shown(Kind::UsualRateTo, high)),
        (low, None) => low.map(|it| shown(Kind::UsualRateFrom, it)),
    });
    let highest = additive.highest_rate_percent.as_ref();
    let highest = highest.map(|(highest, _)| print.each(Kind::HighestRate, &additive.id, show::percent(*highest)));
    match (usual, highest) {
        (Some(usual), Some(highest)) => note.push_str(&format!("; usually {usual}, at most {highest}")),
        (Some(usual), None) => note.push_str(&format!("; usually {usual}")),
        (None, Some(highest)) => note.push_str(&format!("; at most {highest}")),
        (None, None) => {}
    }
    if print.figure(&Key::each(Kind::OfCured, additive.id.clone())).is_some() {
        let percent = |kind: Kind| {
            let figure = print.figure(&Key::each(kind, additive.id.clone()));
            shown(kind, figure.and_then(|it| it.amount.percent(print.units().main())).unwrap_or_default())
        };
        let (of_cured, limit) = (percent(Kind::OfCured), percent(Kind::SupplierLimit));
        let recipe = &print.ledger.recipe;
        let is_it = |it: &Extra| it.additive.id == additive.id;
        let is_in_layer = recipe.layers.iter().any(|it| it.extras.iter().any(is_it));
        let place = match (is_in_layer, recipe.extras.iter().any(is_it)) {
            (false, _) => String::new(),
            (true, false) => format!(" in its {}", recipe.divide.part_name()),
            (true, true) => {
                format!(" in the {} that has most of it, with what is in the whole batch", recipe.divide.part_name())
            }
        };
        note.push_str(&format!("; {of_cured} of the cured soap{place}, where its supplier allows {limit}"));
    }
    note.push('.');
    let does: Vec<&str> = Effect::ALL.iter().filter_map(|(_, it)| words_of(*it, extra)).collect();
    if !does.is_empty() {
        note.push_str(&format!(" It {}.", listed(does)));
    }
    let usual_high = additive.usual_rate_percent.as_ref().and_then(|it| it.high);
    if additive.effects.contains(&Effect::AbsorbsWater) && usual_high.is_some_and(|it| amount.of_fats_percent > it) {
        note.push_str(
            " That much draws moisture into the bar in damp air and softens it; two thirds of that or less helps.",
        );
    }
    if let Some(vanillin) = extra.vanillin_percent {
        let how_much = if vanillin > 0.0 { shown(Kind::Vanillin, vanillin) } else { "no".to_owned() };
        note.push_str(&format!(" It contains {how_much} vanillin."));
    }
    note
}

/// What an additive does, after "it"; the dusty and the flammable have cautions of their own.
fn words_of(effect: Effect, extra: &Extra) -> Option<&'static str> {
    let does = if effect == Effect::Browns { extra.browns() } else { extra.additive.effects.contains(&effect) };
    let words = match effect {
        Effect::Thickens => "thickens the batter",
        Effect::AbsorbsWater => "absorbs water",
        Effect::Quickens => "speeds up trace",
        Effect::Browns => "turns brown with time",
        Effect::Heats => "heats up with the lye or in the mould",
        Effect::DrawsMoisture => "draws moisture into the cured bar in damp air",
        Effect::Hardens => "makes the bar harder",
        Effect::LathersLess => "makes it lather less",
        Effect::Dusty | Effect::Flammable | Effect::Solvent => return None,
    };
    does.then_some(words)
}
