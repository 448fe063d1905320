//! The cautions that a recipe calls for, computed from what is in it.
//!
//! Layer 6. The wording of every caution is here and nowhere else. What is special to the recipes of a page comes first; what
//! holds every time is short, and the same wherever the lye is. *Lye* is the dry solid and *lye solution* the liquid, here and
//! on every page. Sources: GHS hazard statements of the alkalis (`tables/alkalis.toml`); the rest is the
//! trade's common practice, and no source for it is claimed, nor for how long to rinse (strong alkali is rinsed longer than
//! acid) and for the fumes of sugars (data sheets of sodium hydroxide, from memory).

mod kept;

use std::sync::Arc;

use serde::Serialize;

pub(crate) use self::kept::{rebatch_cautions, stock_cautions};
use super::printer::{Notes, caution};
use crate::batch::is_cooked;
use crate::ledger::{Key, Kind, Ledger};
use crate::recipe::LiquidShare;
use crate::show::{self, capitalised, listed};
use crate::tables::{AlkaliKind, Effect, Fat, FatKind, GoesInto, Tables};

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
        "{} {verbs} some metals ({}). Wear goggles that close at the sides, gloves that withstand alkali, long sleeves \
         and closed shoes, until everything is washed up.",
        capitalised(&names.join(" and ")),
        hazards.join(", ")
    );
    vec![
        said("Before you open the lye", before),
        said(
            "The room",
            "No children, no animals, nobody without goggles. Keep the window open, the bench clear, and running water \
             within reach.",
        ),
        said(
            "The lye solution",
            "Always add the lye to the water, a little at a time; never pour water onto lye, which boils and spits. \
             Use heatproof plastic or stainless steel with room to spare: aluminium dissolves in it and gives off a \
             flammable gas, and glass may crack. Do not breathe the fumes or lean over the vessel.",
        ),
        said(
            "The batter",
            format!(
                "It burns like the lye solution. Gloves and goggles stay on while you blend, pour and wash up, and whenever \
                 you touch {}. Pull the plug of the blender before anything touches its blade.",
                still_caustic(recipes)
            ),
        ),
        said(
            // Whoever searches the book for first aid finds it by its name.
            "First aid, if it touches you",
            "Brush dry lye off first and take off soaked clothes; then rinse at once with plenty of running water for \
             30 to 60 minutes, eyes too, lids held open and contact lenses out. Put nothing acidic on skin. If it was \
             swallowed, rinse the mouth, do not induce vomiting, and call a poison centre. Get medical help for eyes, \
             for anything swallowed, and for any burn.",
        ),
        said(
            "Keeping it",
            "Keep lye dry, closed, labelled and locked away. Label whatever holds lye solution, and never put it into \
             anything that people drink from.",
        ),
    ]
}

/// What burns after the evening; a paste is in no mould.
fn still_caustic(recipes: &[&Ledger]) -> &'static str {
    let n_pastes = recipes.iter().filter(|it| it.timeline.mould.is_none()).count();
    if n_pastes == 0 {
        "the soap in the mould"
    } else if n_pastes == recipes.len() {
        "the paste before it has had its time"
    } else {
        "the soap in the mould, or a paste before it has had its time"
    }
}

/// What these recipes call for, the most dangerous first.
fn own(recipes: &[&Ledger], tables: &Tables, notes: &Notes) -> Vec<Caution> {
    let mut cautions = vec![said("Heat", heat(recipes, tables, notes))];
    let mut say = |when: &'static str, what: String| cautions.push(said(when, what));
    let stock = recipes.iter().filter_map(|it| Some((it, it.batch.stock.as_ref()?)));
    if let Some((ledger, it)) = stock.max_by(|a, b| a.1.strength.to_percent().total_cmp(&b.1.strength.to_percent())) {
        let key = Key::one(Kind::StockConcentration);
        let strength = show::with_unit(&show::short(it.strength.to_percent(), 1), "%");
        let strength = notes.mark(ledger, Some(&key), &key.to_string(), &strength);
        say(
            "The stock",
            format!(
                "The lye solution made beforehand is {strength} lye: it burns faster and deeper than that of a batch, \
                 clings to skin and is as hard to see as water. Pour it slowly into the water, never water into it; it \
                 heats up again. Take only clear liquid, nothing from a jug in which crystals have formed, and never \
                 what lies cloudy at the bottom. Close the jug at once."
            ),
        );
    }
    let is_solvent = |it: &&LiquidShare| it.effects.contains(&Effect::Solvent);
    let liquids = recipes.iter().flat_map(|it| &it.recipe.liquids).filter(|it| !is_solvent(it));
    let liquids = listed(liquids.map(|it| &*it.name));
    if !liquids.is_empty() {
        say(
            "In place of water",
            format!(
                "Whatever is in {liquids} besides water heats up and discolours with the lye, and may foam. Its fumes \
                 may contain ammonia and, from sugars such as milk's, carbon monoxide, which has no smell: open the \
                 window. Have it ice-cold or frozen, with no fizz left in it, use a larger vessel, and add the lye \
                 more slowly."
            ),
        );
    }
    let acids = listed(recipes.iter().flat_map(|it| &it.batch.acids).map(|it| &*it.name));
    if !acids.is_empty() {
        say(
            "Acids",
            format!(
                "{} must be dissolved in the water, or in the liquid used instead, before the lye is added. Acid that \
                 meets strong lye solution boils and spits.",
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
                "The water dissolves the lye, not {solvents}: that goes in when the lye solution is clear, a little at \
                 a time, and it gets hot once more. It can get much hotter than boiling water, it sticks to skin, and \
                 its vapour is flammable: no open flame, keep a thermometer in it, and never leave it alone."
            ),
        );
    }
    if recipes.iter().any(|it| is_cooked(&it.recipe)) {
        say(
            "Cooking",
            "Soap rises while it cooks and can climb out of the pot: fill no more than half of it, stay with it, and \
             stir it down. Its steam scalds, so lift the lid away from you; hot paste sticks to skin and goes on \
             burning."
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
                "With {heating} the soap heats up in the mould, where it may crack, rise or run over: do not wrap it, \
                 stand the mould on a tray, and check it during the first hours."
            ),
        );
    }
    if recipes.iter().any(|it| it.recipe.layers.iter().any(|it| it.spritz)) {
        say(
            "Rubbing alcohol",
            "The mist that goes onto a layer is flammable, and so is its vapour: no flame, no hot hob and no spark in \
             the room, and keep the window open."
                .into(),
        );
    }
    // Whatever its row says of it, a scent is mostly of what burns.
    let flammable = listed(extras().filter(|it| it.additive.is_scent_or_burns()).map(|it| &*it.additive.name));
    if !flammable.is_empty() {
        say(
            "Scents and flames",
            format!(
                "The vapour of {flammable} is flammable: no flame, no hot hob and no spark near it, and close the \
                 bottle at once. Undiluted, it irritates skin; wear the gloves."
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
    let steeped = recipes.iter().flat_map(|it| &it.recipe.infusions).map(|it| &*it.plant);
    let steeped = listed(steeped);
    if !steeped.is_empty() {
        say(
            "Plants in oil",
            format!(
                "Steep {steeped} only when completely dry, in a dry jar: any water in the plant spoils the oil, and \
                 germs grow in it unseen. Keep it warm and never hot, in a water bath, and stay with it: hot oil \
                 scalds, and oil left on a hob can catch fire. Throw away oil that smells sour or rancid, bubbles or \
                 has gone mouldy. Some people are allergic to plants of the daisy family and to others: ask, and put \
                 the plant on the label. Oily cloths can heat up by themselves and burn: wash them at once, or dry \
                 them flat outdoors."
            ),
        );
    }
    if recipes.iter().any(|it| it.recipe.dilute.is_some()) {
        say(
            "Diluting the paste",
            "Dilute only a paste that has passed its test for lye: water makes it milder but does not remove lye. \
             Steam and hot paste scald. Spilt soap is very slippery, and liquid soap stings in the eyes: rinse them. \
             Never put it into a bottle that people drink from."
                .into(),
        );
    }
    if recipes.iter().any(|it| it.recipe.dilute.as_ref().is_some_and(|it| it.preservative.is_some())) {
        say(
            "The preservative",
            "Undiluted, it can burn or cause an allergy: read its safety data sheet first, and wear gloves and \
             goggles. Not every preservative works in soap: use one whose supplier says that it works in something so \
             alkaline, weigh it, and use no more than the supplier and local law allow."
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
    // Where lye solution is made beforehand, that is the one which is mixed.
    let percent = |it: &Ledger| {
        let stock = it.batch.stock.map(|it| it.strength.to_percent());
        stock.unwrap_or(it.batch.water_conventions.lye_concentration_percent)
    };
    let strongest = recipes.iter().max_by(|a, b| percent(a).total_cmp(&percent(b)));
    let strong = strongest.filter(|it| percent(it) >= tables.limits.strong_lye_concentration_percent);
    let mut words = if let Some(strong) = strong {
        let kind = if strong.stock.is_some() { Kind::StockConcentration } else { Kind::LyeConcentration };
        let strongest = mark(strong, kind, show::with_unit(&show::fixed(percent(strong), 0), "%"));
        let which = if strong.stock.is_some() { "The stock" } else { "This lye solution" };
        format!(
            "{which} is strong: {strongest} of it is lye. It heats up within seconds and can come near boiling. Start \
             with ice-cold water, add the lye in smaller amounts than usual, and stand the vessel in a basin of cold \
             water."
        )
    } else {
        "The lye solution gets very hot by itself within a minute. Start with cold water, and let it cool where nobody \
         can knock it over."
            .to_owned()
    };
    let bounds = |it: &Ledger| it.stock.map_or(it.hottest_celsius, |it| it.hottest_celsius);
    let hottest = |kinds: [Kind; 2], of: usize| {
        let all = recipes.iter().filter_map(|it| Some((*it, bounds(it)[of]?)));
        let (ledger, celsius) = all.max_by(|a, b| a.1.total_cmp(&b.1))?;
        let kind = kinds[usize::from(ledger.stock.is_some())];
        Some(mark(ledger, kind, show::temperature_at_most(celsius, ledger.scales.temperature)))
    };
    let plain = hottest([Kind::HottestLye, Kind::HottestStock], 0);
    let iced = hottest([Kind::HottestIcedLye, Kind::HottestIcedStock], 1);
    if let (Some(first), Some(plain), Some(iced)) = (recipes.first(), plain, iced) {
        let start =
            mark(first, Kind::TapWater, show::temperature(tables.limits.tap_water_celsius, first.scales.temperature));
        words.push_str(&format!(
            " From water at {start}, all at once and without cooling, it could reach {plain}; with half of the \
             water as ice, {iced}."
        ));
        // The tables end before the strongest solutions.
        if recipes.iter().any(|it| bounds(it)[0].is_none()) {
            words.push_str(" A lye solution stronger than these figures cover could get hotter still.");
        }
        let hottest = recipes.iter().filter_map(|it| bounds(it)[0]).fold(0.0, f64::max);
        if hottest >= tables.limits.water_boiling_celsius {
            words.push_str(" So it may boil and spit before it gets there.");
        }
    }
    let of_stock =
        recipes.iter().find_map(|it| Some((it, Kind::StockCrystalsBelow, it.stock?.crystals_below_celsius?)));
    let of_lye = || recipes.iter().find_map(|it| Some((it, Kind::CrystalsBelow, it.crystals_below_celsius?)));
    if let Some((ledger, kind, celsius)) = of_stock.or_else(of_lye) {
        let coldest = mark(ledger, kind, show::temperature(celsius, ledger.scales.temperature));
        words.push_str(&format!(
            " Do not let it get colder than {coldest}: lye would settle out as crystals, and the liquid above them \
             would be too weak."
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
    let (waxes, solid): (Vec<_>, Vec<_>) =
        fats.filter(|it| it.is_solid(solid_below_iodine_value)).partition(|it| it.kind == FatKind::Wax);
    let names = |fats: Vec<&Arc<Fat>>| listed(fats.into_iter().map(|it| &*it.name));
    (names(solid), names(waxes))
}
