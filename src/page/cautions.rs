//! The cautions that a recipe calls for, computed from what is in it.
//!
//! Layer 6. The wording of every caution is here and nowhere else. What is special to the recipes of a page comes first; what
//! holds every time is short, and the same wherever the lye is. *Lye* is the dry solid and *lye solution* the liquid, here and
//! on every page. Sources: GHS hazard statements of the alkalis (`tables/alkalis.toml`); the rest is the
//! trade's common practice, and no source for it is claimed, nor for how long to rinse (strong alkali is rinsed longer than
//! acid) and for the fumes of sugars (data sheets of sodium hydroxide, from memory).

use std::sync::Arc;

use serde::Serialize;

use super::printer::{Notes, caution};
use crate::batch::is_cooked;
use crate::ledger::{Key, Kind, Ledger};
use crate::recipe::LiquidShare;
use crate::show::{self, capitalised, listed};
use crate::tables::{AlkaliKind, Effect, Fat, FatKind, GoesInto, PublishedRange, Tables};

/// What to be careful of, and what to do.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub(crate) struct Caution {
    /// When it matters, in a few words.
    pub(crate) when: &'static str,
    /// What to do.
    pub(crate) what: String,
}

/// The cautions of a page.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub(crate) struct Cautions {
    /// What its recipes call for and others do not, the most dangerous first.
    pub(crate) own: Vec<Caution>,
    /// What holds whenever lye is open.
    pub(crate) standing: Vec<Caution>,
}

/// The cautions for everything that the given recipes bring to the bench.
pub(crate) fn cautions(recipes: &[&Ledger], tables: &Tables, notes: &Notes) -> Cautions {
    Cautions { own: own(recipes, tables, notes), standing: standing(recipes, tables) }
}

/// One caution, marked so that a template which leaves it out is found.
fn said(when: &'static str, what: impl AsRef<str>) -> Caution {
    Caution { when, what: caution(what.as_ref()) }
}

fn uses(recipes: &[&Ledger], kind: AlkaliKind) -> bool {
    recipes.iter().any(|it| it.batch.alkalis.iter().any(|it| it.kind == kind))
}

/// What holds whenever lye is open, in the order of the evening.
fn standing(recipes: &[&Ledger], tables: &Tables) -> Vec<Caution> {
    let alkalis: Vec<_> = AlkaliKind::ALL.into_iter().filter(|it| uses(recipes, *it)).collect();
    let names: Vec<String> =
        alkalis.iter().map(|it| format!("{} ({})", tables.alkali(*it).name, it.formula())).collect();
    let mut hazards: Vec<&str> =
        alkalis.iter().flat_map(|it| &tables.alkali(*it).hazard_statements).map(String::as_str).collect();
    hazards.sort_unstable();
    hazards.dedup();
    let verbs = if alkalis.len() == 1 {
        "burns skin and eyes severely and attacks"
    } else {
        "burn skin and eyes severely and attack"
    };
    let before = format!(
        "{} {verbs} some metals ({}). Goggles that close at the sides, gloves that withstand alkali, long sleeves and closed \
         shoes, until everything is washed up.",
        capitalised(&names.join(" and ")),
        hazards.join(", ")
    );
    vec![
        said("Before you open the lye", before),
        said(
            "The room",
            "No children, no animals, nobody without goggles. The window open, the bench clear, running water within reach.",
        ),
        said(
            "The lye solution",
            "Always the lye into the water, a little at a time, never water onto the lye, which boils and spits. In heatproof \
             plastic or stainless steel with room to spare: aluminium dissolves in it and gives off a gas that burns, and \
             glass may crack. Do not breathe the fumes or lean over the vessel.",
        ),
        said(
            "The batter",
            "It burns like the lye solution. Gloves and goggles stay on while you blend, pour and wash up, and whenever you \
             touch the soap in the mould. Pull the plug of the blender before anything touches its blade.",
        ),
        said(
            "If it touches you",
            "Brush dry lye off first and take off what is soaked; then rinse at once with plenty of running water for 30 to 60 \
             minutes, eyes too, lids held open and contact lenses out. Put nothing acidic on skin. If it was swallowed, rinse \
             the mouth and do not make anybody vomit: call a poison centre. Get medical help for eyes, for anything \
             swallowed, and for any burn.",
        ),
        said(
            "Keeping it",
            "Lye dry, closed, labelled and locked away. A label on whatever holds lye solution, and never in anything that \
             people drink from.",
        ),
    ]
}

/// What these recipes call for, the most dangerous first.
fn own(recipes: &[&Ledger], tables: &Tables, notes: &Notes) -> Vec<Caution> {
    let mut cautions = vec![said("Heat", heat(recipes, tables, notes))];
    let mut say = |when: &'static str, what: String| cautions.push(said(when, what));
    let is_solvent = |it: &&LiquidShare| it.effects.contains(&Effect::Solvent);
    let liquids = recipes.iter().flat_map(|it| &it.recipe.liquids).filter(|it| !is_solvent(it));
    let liquids = listed(liquids.map(|it| &*it.name));
    if !liquids.is_empty() {
        say(
            "In place of water",
            format!(
                "Whatever is in {liquids} besides water heats and discolours with the lye, and may foam. Its fumes may hold \
                 ammonia and, from sugars such as milk's, carbon monoxide, which nobody smells: open the window. Have it \
                 ice-cold or frozen and free of gas, use a larger vessel, and add the lye more slowly."
            ),
        );
    }
    let acids = listed(recipes.iter().flat_map(|it| &it.batch.acids).map(|it| &*it.name));
    if !acids.is_empty() {
        say(
            "Acids",
            format!(
                "{} must be dissolved in the water, or in the liquid that takes its place, before the lye is added. Acid that meets strong lye solution boils and spits.",
                capitalised(&acids)
            ),
        );
    }
    if uses(recipes, AlkaliKind::KOH) {
        say(
            "Potassium hydroxide",
            "It draws water out of the air within minutes and dissolves with a hiss: weigh it quickly and close the \
             container at once."
                .into(),
        );
    }
    let solvents = listed(recipes.iter().flat_map(|it| &it.recipe.liquids).filter(is_solvent).map(|it| &*it.name));
    if !solvents.is_empty() {
        say(
            "Hot glycerol",
            format!(
                "The water dissolves the lye, not {solvents}: that goes in when the lye solution is clear, a little at a time, and \
                 it gets hot once more. It can get much hotter than boiling water, sticks to skin, and its vapour burns: no open \
                 flame, a thermometer in it, and nobody leaves it alone."
            ),
        );
    }
    if recipes.iter().any(|it| is_cooked(&it.recipe)) {
        say(
            "Cooking",
            "Soap rises while it cooks and can climb out of the pot: fill no more than half of it, stay with it, and stir it \
             down. Its steam scalds, lift the lid away from you; hot paste sticks to skin and goes on burning."
                .into(),
        );
    }
    let extras = || {
        recipes.iter().flat_map(|it| {
            let of_layers = it.recipe.layers.iter().flat_map(|it| &it.extras);
            it.recipe.extras.iter().chain(of_layers)
        })
    };
    let with_effect =
        |effect: Effect| extras().filter(move |it| it.additive.effects.contains(&effect)).map(|it| &*it.additive.name);
    let liquids = recipes.iter().flat_map(|it| &it.recipe.liquids).filter(|it| it.effects.contains(&Effect::Heats));
    let heating = listed(
        extras()
            .filter(|it| it.additive.effects.contains(&Effect::Heats) && it.additive.goes_into != GoesInto::Cooked)
            .map(|it| &*it.additive.name)
            .chain(liquids.map(|it| &*it.name)),
    );
    if !heating.is_empty() {
        say(
            "Heat in the mould",
            format!(
                "With {heating} the soap heats up in the mould, where it may crack, rise or run over: do not wrap it, stand \
                 the mould on a tray, and look at it during the first hours."
            ),
        );
    }
    if recipes.iter().any(|it| it.recipe.layers.iter().any(|it| it.spritz)) {
        say(
            "Rubbing alcohol",
            "The mist that goes onto a layer burns, and so does its vapour: no flame, no glowing hob and no spark in the \
             room, and the window open."
                .into(),
        );
    }
    // Whatever its row says of it, a scent is mostly of what burns.
    let flammable = listed(extras().filter(|it| it.additive.is_scent_or_burns()).map(|it| &*it.additive.name));
    if !flammable.is_empty() {
        say(
            "Scents and flames",
            format!(
                "The vapour of {flammable} burns: no flame, no glowing hob and no spark near it, and close the bottle at once. \
                 Undiluted it irritates skin; wear the gloves."
            ),
        );
    }
    let (solid, waxes) = solid_fats(recipes, tables.limits.solid_below_iodine_value);
    if !solid.is_empty() {
        say(
            "Melting the fats",
            format!(
                "{} must be melted. Hot fat scalds, and fat left alone on a hob can catch fire: melt it gently and stay \
                 with it. If it burns: heat off, lid on, and never water.",
                capitalised(&solid)
            ),
        );
    }
    if !waxes.is_empty() {
        say(
            "Waxes",
            format!(
                "{} will melt only at a high temperature: use a water bath and keep well away from flames.",
                capitalised(&waxes)
            ),
        );
    }
    if recipes.iter().any(|it| it.recipe.dilute.is_some()) {
        say(
            "Diluting the paste",
            "Only a paste that has passed its test for lye is diluted: water makes it milder and takes no lye away. Steam and hot \
             paste scald. What is spilt is very slippery, and liquid soap stings in the eyes: rinse them. Never fill it into a \
             bottle that people drink from."
                .into(),
        );
    }
    if recipes.iter().any(|it| it.recipe.dilute.as_ref().is_some_and(|it| it.preservative.is_some())) {
        say(
            "The preservative",
            "Undiluted it can burn or make allergic: gloves and goggles, and its own safety data sheet first. Not every \
             preservative works in soap: take one whose supplier says so for its alkalinity, no more than the supplier and local \
             law allow, and weigh it."
                .into(),
        );
    }
    let dusty = listed(with_effect(Effect::Dusty));
    if !dusty.is_empty() {
        say(
            "Fine powders",
            format!(
                "Spoon {dusty} gently, with your face away, and stir the powder into a little oil or water before it goes into \
                 the batter. Do not breathe the dust; a mask helps."
            ),
        );
    }
    cautions
}

/// How the lye solution heats, in the words that its strength calls for, with the bound of the hottest of the recipes.
fn heat(recipes: &[&Ledger], tables: &Tables, notes: &Notes) -> String {
    let mark = |ledger: &Ledger, kind: Kind, text: String| {
        let key = Key::one(kind);
        notes.mark(ledger, Some(&key), &key.to_string(), &text)
    };
    let percent = |it: &Ledger| it.batch.water_conventions.lye_concentration_percent;
    let strongest = recipes.iter().max_by(|a, b| percent(a).total_cmp(&percent(b)));
    let strong = strongest.filter(|it| percent(it) >= tables.limits.strong_lye_concentration_percent);
    let mut words = if let Some(strong) = strong {
        let strongest = mark(strong, Kind::LyeConcentration, show::with_unit(&show::fixed(percent(strong), 0), "%"));
        format!(
            "This lye solution is strong: {strongest} of it is lye. It heats within seconds and can come near boiling. Start \
             with ice-cold water, add the lye in smaller portions than usual, and stand the vessel in a basin of cold \
             water."
        )
    } else {
        "The lye solution grows very hot by itself within a minute. Start with cold water, and let it cool where nobody can \
         knock it over."
            .to_owned()
    };
    let hottest = |kind: Kind, of: fn(&Ledger) -> Option<f64>| {
        let bounds = recipes.iter().filter_map(|it| Some((*it, of(it)?)));
        let (ledger, celsius) = bounds.max_by(|a, b| a.1.total_cmp(&b.1))?;
        Some(mark(ledger, kind, show::temperature_at_most(celsius, ledger.scales.temperature)))
    };
    let plain = hottest(Kind::HottestLye, |it| it.hottest_celsius[0]);
    let iced = hottest(Kind::HottestIcedLye, |it| it.hottest_celsius[1]);
    if let (Some(first), Some(plain), Some(iced)) = (recipes.first(), plain, iced) {
        let start =
            mark(first, Kind::TapWater, show::temperature(tables.limits.tap_water_celsius, first.scales.temperature));
        words.push_str(&format!(
            " From water at {start}, all at once and without cooling, it could reach {plain}; with half of the \
             water as ice, {iced}."
        ));
        // The tables end before the strongest solutions.
        if recipes.iter().any(|it| it.hottest_celsius[0].is_none()) {
            words.push_str(" Where it is stronger than the figures reach, it could get hotter still.");
        }
        let hottest = recipes.iter().filter_map(|it| it.hottest_celsius[0]).fold(0.0, f64::max);
        if hottest >= tables.limits.water_boiling_celsius {
            words.push_str(" So it may boil and spit before it gets there.");
        }
    }
    let first = recipes.iter().find_map(|it| Some((it, it.crystals_below_celsius?)));
    if let Some((ledger, celsius)) = first {
        let coldest = mark(ledger, Kind::CrystalsBelow, show::temperature(celsius, ledger.scales.temperature));
        words.push_str(&format!(
            " Do not let it get colder than {coldest}: lye would settle out as crystals, and what stands above them would be \
             too weak."
        ));
    }
    words
}

/// The names of fats and of waxes that have to be melted, each once.
fn solid_fats(recipes: &[&Ledger], solid_below_iodine_value: f64) -> (String, String) {
    let fats = recipes.iter().flat_map(|it| {
        let late_fats = it.recipe.late_fats.iter().map(|it| &it.fat);
        it.recipe.fats.iter().map(|it| &it.fat).chain(late_fats)
    });
    // Without an iodine value nothing is known; the harmless guess is that it must be melted.
    let is_solid = |fat: &Fat| {
        let iodine_value = fat.iodine_value.as_ref().and_then(PublishedRange::middle);
        iodine_value.is_none_or(|it| it < solid_below_iodine_value)
    };
    let (waxes, solid): (Vec<_>, Vec<_>) = fats.filter(|it| is_solid(it)).partition(|it| it.kind == FatKind::Wax);
    let names = |fats: Vec<&Arc<Fat>>| listed(fats.into_iter().map(|it| &*it.name));
    (names(solid), names(waxes))
}
