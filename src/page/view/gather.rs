//! What to gather before an evening: ingredients, vessels, tools, and what each person and the room need.
//!
//! Layer 6. The ingredients are what the ledger lists as weighed out, each thing once; for several pairs so many times as much
//! as each pair weighs. What no recipe changes is in `words.toml`.

use serde::Serialize;

use super::super::printer::{Printer, Shown};
use super::super::words::{in_cups, is_dispersing};
use super::Fact;
use super::recipe::name_of;
use crate::batch::is_cooked;
use crate::ledger::{Figure, Key, Kind, Moment, Part};
use crate::show;
use crate::tables::{AlkaliKind, Effect};
use crate::units::{Mass, ScaleUnit};

/// How many work at one batch.
const PAIR: u32 = 2;

/// An ingredient.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct Ingredient {
    name: String,
    /// For one batch.
    one: Shown,
    /// For all of them, where there are several.
    all: Option<Shown>,
}

/// What to gather.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct GatherView {
    title: String,
    /// For how many it is.
    whom: String,
    /// Heads of the columns with amounts.
    heads: Vec<String>,
    ingredients: Vec<Ingredient>,
    note: Option<String>,
    vessels: Vec<Fact>,
    tools: Vec<String>,
    people: Vec<String>,
    room: Vec<String>,
}

/// What one pair, or several, need for a recipe.
pub(crate) fn gather_view(print: Printer<'_>, pairs: u32) -> GatherView {
    let all = format!("all {pairs} pairs");
    let several = pairs > 1;
    GatherView {
        title: print.ledger.recipe.title.clone(),
        whom: if several { format!("{pairs} pairs, {} people", PAIR * pairs) } else { "one pair".into() },
        heads: [vec!["each pair".to_owned()], if several { vec![all] } else { Vec::new() }].concat(),
        ingredients: ingredients(print, pairs),
        note: infused(print).then(|| {
            "Bring a little more of the oil that is steeped: any shortfall is made up with it, fresh.".to_owned()
        }),
        vessels: vessels(print),
        tools: tools(print),
        people: people(print),
        room: room(print),
    }
}

fn infused(print: Printer<'_>) -> bool {
    !print.ledger.batch.infusions.is_empty()
}

/// Everything that is weighed out, each thing once, with the figures that it is the sum of.
fn ingredients(print: Printer<'_>, pairs: u32) -> Vec<Ingredient> {
    let ledger = print.ledger;
    // What is steeped is bought as the oil to start with, of which the fat of the card is a part.
    let is_bought = |figure: &Figure| match figure.part {
        Part::Fat(fat_idx) => ledger.recipe.infusions.iter().all(|it| it.fat_idx != fat_idx),
        Part::Water | Part::FurtherWater => figure.amount.mass() > Some(Mass::ZERO),
        _ => true,
    };
    let mut things: Vec<(String, Vec<&Figure>)> = Vec::new();
    for figure in ledger.weighed_out().filter(|it| is_bought(it)) {
        let name = name_of(figure, print);
        match things.iter_mut().find(|(it, _)| *it == name) {
            Some((_, figures)) => figures.push(figure),
            None => things.push((name, vec![figure])),
        }
    }
    let thing = |(name, figures): (String, Vec<&Figure>)| Ingredient {
        name,
        one: sum(print, &figures, 1),
        all: (pairs > 1).then(|| sum(print, &figures, pairs)),
    };
    things.into_iter().map(thing).collect()
}

/// What the scale shows of several figures together, so many times.
fn sum(print: Printer<'_>, figures: &[&Figure], times: u32) -> Shown {
    if let ([only], 1) = (figures, times) {
        return print.amount(&only.key);
    }
    let names: Vec<String> = figures.iter().map(|it| it.key.to_string()).collect();
    let expression = if times == 1 { names.join(" + ") } else { format!("({}) * {times}", names.join(" + ")) };
    let exact: Mass = figures.iter().filter_map(|it| it.amount.mass()).sum();
    // As where it stands on its own.
    let is_told =
        |unit: ScaleUnit| unit == ScaleUnit::Grams || figures.iter().all(|it| print.is_told_in_ounces(&it.key));
    let mut readings = print.units().scales().iter().filter(|unit| is_told(**unit)).map(|unit| {
        let divisions: u64 = figures.iter().filter_map(|it| it.amount.reading(*unit)).sum();
        let text = show::weighed(print.ledger.scales.of(*unit), divisions * u64::from(times), exact * f64::from(times));
        print.notes.mark(print.ledger, None, &expression, &text)
    });
    Shown { main: readings.next().unwrap_or_default(), other: readings.next() }
}

/// What everything stands in, with the least sizes.
fn vessels(print: Printer<'_>) -> Vec<Fact> {
    let ledger = print.ledger;
    let recipe = &ledger.recipe;
    let at_least = |key: &Key| format!("at least {}", print.words(key));
    let mut vessels = Vec::new();
    let mut vessel = |what: &str, size: String| vessels.push(Fact::new(what, size));
    if infused(print) {
        vessel("Jar with a lid, for steeping", "dry, with room for all of the oil and the plant".into());
    }
    let lye =
        if ledger.vessels.lye.is_some() { at_least(&Key::one(Kind::LyeVessel)) } else { "with room to spare".into() };
    vessel("Jug for the lye solution, of heatproof plastic or stainless steel", lye);
    if ledger.batch.stock.is_some() {
        // Not straight into the jug: what is too much cannot be taken out of the water again.
        vessel("Beaker for the stock as it is weighed", "of polypropylene (PP) or stainless steel".into());
    } else {
        vessel("Cup for the lye as it is weighed", "completely dry".into());
    }
    let in_layers = !recipe.layers.is_empty() && !recipe.divide.is_of_batter();
    let pot = if in_layers { "Pot for the fats" } else { "Pot for the batter" };
    vessel(&format!("{pot}, of stainless steel"), at_least(&Key::one(Kind::Pot)));
    for layer in &ledger.batch.layers {
        let key = Key::one(Kind::LayerVessel).in_layer(layer.key.clone());
        vessel(&format!("Jug for the {} {}", recipe.divide.part_name(), layer.name), at_least(&key));
    }
    if in_layers {
        vessel("Beaker for each layer's part of the lye solution", "labelled".into());
    }
    for (moment, when) in [(Moment::Trace, "at trace"), (Moment::Cooked, "after the cook")] {
        // What a powder is dispersed in is in its cup.
        let cups = ledger.weighed_out().filter(|it| it.goes_into == Some(moment) && !disperses(print, it));
        let n_cups = in_cups(print, cups).len();
        if n_cups > 0 {
            let what = if n_cups == 1 { "Cup of glass or steel" } else { "Cups of glass or steel" };
            vessel(&format!("{what} for what goes in {when}"), n_cups.to_string());
        }
    }
    match recipe.mould() {
        Some(mould) if mould.cavities > 1 => vessel("Mould", mould.name.clone()),
        Some(mould) => vessel("Mould", format!("{}, and paper to line it", mould.name)),
        None if ledger.batch.alkalis.iter().all(|it| it.kind == AlkaliKind::KOH) => {
            vessel("Jars for the paste", "wide, of heatproof plastic, with lids that are not of aluminium".into());
        }
        None => vessel("Mould", "lined".into()),
    }
    vessels
}

/// Whether it is there for a powder to be dispersed in.
fn disperses(print: Printer<'_>, figure: &Figure) -> bool {
    let recipe = &print.ledger.recipe;
    let extra = match figure.part {
        Part::Extra(idx) => recipe.extras.get(idx),
        Part::LayerExtra(layer_idx, idx) => recipe.layers.get(layer_idx).and_then(|it| it.extras.get(idx)),
        _ => None,
    };
    extra.is_some_and(is_dispersing)
}

/// Tools for one batch.
fn tools(print: Printer<'_>) -> Vec<String> {
    let ledger = print.ledger;
    let step = |kind: Kind| {
        let units = print.units().scales().iter().map(|unit| match unit {
            ScaleUnit::Grams => "grams",
            ScaleUnit::Ounces => "ounces",
        });
        let keys = units.map(|it| Key::each(kind, it)).filter(|it| print.figure(it).is_some());
        keys.map(|it| print.words(&it)).collect::<Vec<_>>().join(" or ")
    };
    let mut tools = vec![format!("A scale with steps of {}", step(Kind::ScaleStep))];
    let small = step(Kind::SmallScaleStep);
    let uses_small = ledger.weighed_out().any(|it| matches!(it.goes_into, Some(Moment::Trace | Moment::Before)));
    if uses_small && !small.is_empty() {
        tools.push(format!("A finer scale with steps of {small}, for small amounts"));
    }
    tools.extend(
        [
            "Two thermometers, one for the lye solution and one for the fats",
            "A stick blender",
            "A fine sieve of stainless steel or plastic",
        ]
        .map(str::to_owned),
    );
    if infused(print) {
        tools.push("A cloth to strain through".into());
    }
    if is_cooked(&ledger.recipe) {
        tools.push("A slow cooker or a water bath with a lid, for cooking".into());
    }
    let strong = print.tables.limits.strong_lye_concentration_percent;
    if !ledger.recipe.liquids.is_empty() || ledger.batch.water_conventions.lye_concentration_percent >= strong {
        tools.push("A basin with ice for the jug to stand in".into());
    }
    if ledger.recipe.layers.iter().any(|it| it.spritz) {
        tools.push("A spray bottle with rubbing alcohol, away from any flame".into());
    }
    tools.extend(
        [
            "A long spoon of stainless steel or plastic, and a spatula",
            "A tray, a board to cover the mould, labels and a pen",
        ]
        .map(str::to_owned),
    );
    tools
}

/// What each person wears, besides what everybody always does.
fn people(print: Printer<'_>) -> Vec<String> {
    let recipe = &print.ledger.recipe;
    let mut extras = recipe.extras.iter().chain(recipe.layers.iter().flat_map(|it| &it.extras));
    let is_dusty = extras.any(|it| it.additive.effects.contains(&Effect::Dusty));
    if is_dusty { vec!["A mask against fine powder, while it is spooned and stirred in".into()] } else { Vec::new() }
}

/// What the room shares, besides what it always does.
fn room(print: Printer<'_>) -> Vec<String> {
    let recipe = &print.ledger.recipe;
    let mut extras = recipe.extras.iter().chain(recipe.layers.iter().flat_map(|it| &it.extras));
    let has_scent = extras.any(|it| it.additive.scent.is_some());
    if has_scent { vec!["The supplier's document of each scent".into()] } else { Vec::new() }
}
