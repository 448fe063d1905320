//! The cautions that a recipe calls for, computed from what is in it.
//!
//! Layer 5. The wording of every caution is here and nowhere else. What is said depends on the alkali, on how strong
//! the lye is, and on the fats. Sources: GHS hazard statements of the alkalis (`tables/alkalis.toml`); the rest is the
//! trade's common practice, and no source for it is claimed.

use serde::Serialize;

use super::Computed;
use crate::batch::{hottest_lye, strongest_solution_percent_at};
use crate::rules::in_words;
use crate::tables::{AlkaliKind, Effect, Fat, FatKind, PublishedRange, Tables};
use crate::units::Mass;

/// What to be careful of, and what to do.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Caution {
    /// When it matters, in a few words.
    pub when: &'static str,
    /// What to do.
    pub what: String,
}

/// Below this iodine value a fat is solid on a cool bench and has to be melted (g iodine per 100 g). Common practice, no
/// source: lard and palm oil, at 50 to 60, are the usual border.
const SOLID_BELOW_IODINE_VALUE: f64 = 62.0;

/// The cautions for everything that the given recipes bring to the bench, in the order in which they matter.
#[must_use]
pub fn cautions(recipes: &[&Computed], tables: &Tables) -> Vec<Caution> {
    let mut cautions = Vec::new();
    let mut say = |when: &'static str, what: String| cautions.push(Caution { when, what });
    let uses = |kind: AlkaliKind| recipes.iter().any(|it| it.batch.alkalis.iter().any(|it| it.kind == kind));
    let alkalis: Vec<_> = AlkaliKind::ALL.into_iter().filter(|it| uses(*it)).collect();
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
    say(
        "Before you open the container",
        format!(
            "{} {verbs} some metals ({}). Put on goggles that close at the sides, \
             gloves that withstand alkali, long sleeves and closed shoes; keep them on until everything is washed up.",
            sentence_start(&names.join(" and ")),
            hazards.join(", ")
        ),
    );
    say(
        "In the room",
        "No children, no animals, nobody without goggles. Open a window, clear the bench, and have running water within \
         reach."
            .into(),
    );
    say(
        "The vessel",
        "Mix the lye in heatproof plastic or stainless steel with room to spare. Never aluminium, which lye dissolves \
         and which gives off a gas that burns; glass may crack."
            .into(),
    );
    say(
        "Mixing the lye",
        "Always the alkali into the water, never water onto the alkali, which boils and spits. Add it in small portions, \
         stirring each until it is gone."
            .into(),
    );
    say("Heat and fumes", heat(recipes, tables));
    let acids = names_once(recipes.iter().flat_map(|it| &it.batch.acids).map(|it| &it.name));
    if !acids.is_empty() {
        say(
            "Acids",
            format!(
                "{} must be dissolved in the water before the alkali is added. Acid that meets strong lye boils and spits.",
                sentence_start(&listed(&acids))
            ),
        );
    }
    let liquids = names_once(recipes.iter().flat_map(|it| &it.batch.liquids).map(|it| &it.name));
    if !liquids.is_empty() {
        say(
            "In place of water",
            format!(
                "Whatever is in {} besides water heats and discolours with the alkali, and may foam or smell of ammonia: \
                 have it ice-cold or frozen and free of gas, use a larger vessel, and add the alkali more slowly.",
                listed(&liquids)
            ),
        );
    }
    let with_effect = |effect: Effect| {
        let extras = recipes.iter().flat_map(|it| {
            let of_layers = it.recipe.layers.iter().flat_map(|it| &it.extras);
            it.recipe.extras.iter().chain(of_layers)
        });
        names_once(extras.filter(|it| it.additive.effects.contains(&effect)).map(|it| &it.additive.name))
    };
    let dusty = with_effect(Effect::Dusty);
    if !dusty.is_empty() {
        say(
            "Fine powders",
            format!(
                "Spoon {} gently, with your face away, and stir the powder into a little oil or water before it goes into the \
                 batter. Do not breathe the dust; a mask helps.",
                listed(&dusty)
            ),
        );
    }
    if recipes.iter().any(|it| it.recipe.layers.iter().any(|it| it.spritz)) {
        say(
            "Rubbing alcohol",
            "The mist that goes onto a layer burns, and so does its vapour: no flame, no glowing hob and no spark in the \
             room, the window open, and only as much as makes the surface glisten."
                .into(),
        );
    }
    let flammable = with_effect(Effect::Flammable);
    if !flammable.is_empty() {
        say(
            "Scents and flames",
            format!(
                "The vapour of {} burns: no flame, no glowing hob and no spark near it, and close the bottle at once. \
                 Undiluted it irritates skin; wear the gloves.",
                listed(&flammable)
            ),
        );
    }
    let mut heating = with_effect(Effect::Heats);
    let liquids = recipes.iter().flat_map(|it| &it.recipe.liquids).filter(|it| it.effects.contains(&Effect::Heats));
    heating.extend(names_once(liquids.map(|it| &it.name)));
    if !heating.is_empty() {
        say(
            "Heat in the mould",
            format!(
                "With {} the soap heats up in the mould, where it may crack, rise or run over: do not wrap it, stand the \
                 mould on a tray, and look at it during the first hours.",
                listed(&heating)
            ),
        );
    }
    if uses(AlkaliKind::KOH) {
        say(
            "Potassium hydroxide",
            "It draws water out of the air within minutes and dissolves with a hiss: weigh it quickly and close the \
             container at once. A paste that is cooked stays hot for long and scalds."
                .into(),
        );
    }
    let (solid, waxes) = solid_fats(recipes);
    if !solid.is_empty() {
        say(
            "Melting the fats",
            format!(
                "{} must be melted. Hot fat scalds, and fat left alone on a hob can catch fire: melt it gently, stay \
                 with it, and never put water on burning fat.",
                sentence_start(&listed(&solid))
            ),
        );
    }
    if !waxes.is_empty() {
        say(
            "Waxes",
            format!(
                "{} will melt only at a high temperature: use a water bath and keep well away from flames.",
                sentence_start(&listed(&waxes))
            ),
        );
    }
    say(
        "The batter",
        "Fresh soap batter is as caustic as lye. Keep gloves and goggles on while you blend, pour and wash up, and for as \
         long as the soap is in the mould."
            .into(),
    );
    say(
        "If lye or batter touches you",
        "Take off what it has soaked and rinse at once with plenty of running water, for many minutes; eyes longest of \
         all, lids held open. Get medical help for eyes, for anything swallowed, and for any burn. Put nothing acidic on \
         skin."
            .into(),
    );
    say(
        "Keeping it",
        "Keep the alkali dry, closed, locked away and in its own labelled container. Label whatever holds lye, and never \
         leave lye in anything that people drink from."
            .into(),
    );
    cautions
}

/// How the lye heats, in the words that its strength calls for, with the bound of the hottest of the recipes.
fn heat(recipes: &[&Computed], tables: &Tables) -> String {
    let strongest =
        recipes.iter().map(|it| it.batch.water_conventions.lye_concentration_percent).fold(0.0_f64, f64::max);
    let strong = strongest >= tables.limits.strong_lye_concentration_percent;
    let mut words = if strong {
        format!(
            "This lye is strong: {strongest:.0} % of it is alkali. It heats within seconds and can come near boiling. Start \
             with ice-cold water, add the alkali in smaller portions than usual, and stand the vessel in a basin of cold \
             water. Do not breathe the fumes or lean over the vessel."
        )
    } else {
        "The lye grows very hot by itself within a minute. Start with cold water, do not breathe the fumes or lean over \
         the vessel, and let the lye cool where nobody can knock it over."
            .to_owned()
    };
    if crystallises_when_cold(recipes, tables) {
        words.push_str(&format!(
            " Do not let it get colder than {CRYSTALS_BELOW_CELSIUS:.0} °C: alkali would settle out as crystals, and the lye \
             above them would be too weak."
        ));
    }
    if let Some((plain, iced)) = hottest(recipes, tables) {
        let start = tables.limits.tap_water_celsius;
        words.push_str(&format!(
            " From water at {start:.0} °C, all at once and without cooling, it could reach {plain:.0} °C; with half of the \
             water as ice, {iced:.0} °C."
        ));
    }
    words
}

/// Sodium hydroxide dissolves far less below this temperature, where another hydrate is stable (`alkalis.toml`).
const CRYSTALS_BELOW_CELSIUS: f64 = 20.0;

/// Whether a lye holds more sodium hydroxide than stays dissolved just below the temperature of a cool room.
fn crystallises_when_cold(recipes: &[&Computed], tables: &Tables) -> bool {
    let limit = strongest_solution_percent_at(AlkaliKind::NaOH, CRYSTALS_BELOW_CELSIUS - 1.0, tables);
    limit.is_some_and(|limit| {
        recipes.iter().any(|it| {
            let batch = &it.batch;
            let only_naoh = batch.alkalis.iter().all(|it| it.kind == AlkaliKind::NaOH);
            only_naoh && batch.pure_concentration_percent > limit
        })
    })
}

/// The highest temperature that the lye of any of the recipes can reach, from tap water and with half of it ice, rounded
/// up to whole fives; `None` where the tables do not reach so far.
fn hottest(recipes: &[&Computed], tables: &Tables) -> Option<(f64, f64)> {
    let bound = |computed: &Computed, ice_fraction: f64| {
        let batch = &computed.batch;
        let pure = |kind| batch.alkalis.iter().filter(|it| it.kind == kind).map(|it| it.pure).sum::<Mass>();
        let (naoh, koh) = (pure(AlkaliKind::NaOH), pure(AlkaliKind::KOH));
        let lye = hottest_lye(naoh, koh, batch.water, ice_fraction, tables.limits.tap_water_celsius, tables);
        lye.in_range.then(|| (lye.celsius / 5.0).ceil() * 5.0)
    };
    let highest = |ice_fraction: f64| {
        let bounds = recipes.iter().map(|it| bound(it, ice_fraction));
        bounds.collect::<Option<Vec<f64>>>()?.into_iter().max_by(f64::total_cmp)
    };
    Some((highest(0.0)?, highest(0.5)?))
}

/// The names of fats and of waxes that have to be melted, each once.
fn solid_fats(recipes: &[&Computed]) -> (Vec<String>, Vec<String>) {
    let fats = recipes.iter().flat_map(|it| {
        let late_fats = it.recipe.late_fats.iter().map(|it| &it.fat);
        it.recipe.fats.iter().map(|it| &it.fat).chain(late_fats)
    });
    let (waxes, solid): (Vec<_>, Vec<_>) = fats.filter(|it| is_solid(it)).partition(|it| it.kind == FatKind::Wax);
    let names = |fats: Vec<&Fat>| names_once(fats.into_iter().map(|it| &it.name));
    (names(solid), names(waxes))
}

fn is_solid(fat: &Fat) -> bool {
    // Without an iodine value nothing is known; the harmless guess is that it must be melted.
    fat.iodine_value.as_ref().and_then(PublishedRange::middle).is_none_or(|it| it < SOLID_BELOW_IODINE_VALUE)
}

fn names_once<'a>(names: impl IntoIterator<Item = &'a String>) -> Vec<String> {
    let mut once: Vec<String> = Vec::new();
    for name in names {
        if !once.contains(name) {
            once.push(name.clone());
        }
    }
    once
}

fn sentence_start(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// Names as a list in words: `clove oil, honey and cocoa`.
pub(super) fn listed(names: &[String]) -> String {
    in_words(names.iter().map(String::as_str))
}
