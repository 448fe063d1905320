//! The weighing-out card.
//!
//! Layer 6. Its rows are what the ledger lists as weighed out, in the ledger's order; here each gets its words.

use serde::Serialize;

use super::super::printer::Printer;
use super::super::words::{
    additive_notes, cautions_at, cautions_at_layers, fats_when_poured, infusion_notes, is_dispersing, lye_when_poured,
    trace_and_test,
};
use super::{Fact, Row, alkali_name};
use crate::batch::first_stop;
use crate::finding::Step;
use crate::ledger::{BlendAmount, Figure, Key, Kind, Moment, Part};
use crate::recipe::{BatchSize, First};
use crate::show::{self, capitalised, listed};
use crate::tables::{Effect, GoesInto, MouldShape};
use crate::units::{Mass, ScaleUnit};

/// Things that are weighed out together.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct Group {
    pub(crate) heading: &'static str,
    pub(crate) rows: Vec<Row>,
    pub(crate) total: Option<Row>,
    pub(crate) notes: Vec<String>,
    pub(crate) cautions: Vec<String>,
}

/// The weighing-out card.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct RecipeView {
    /// Tells cards apart in what the browser remembers.
    pub(crate) key: String,
    pub(crate) title: String,
    pub(crate) makes: String,
    /// Where the batch sheet is; empty where there is none to lead to.
    pub(crate) sheet: String,
    /// The recipe's id, where students may set it otherwise.
    pub(crate) own: Option<String>,
    /// What stands on the bench before the first line is weighed.
    pub(crate) lay_out: Vec<Fact>,
    pub(crate) groups: Vec<Group>,
    pub(crate) everything: Row,
    /// How lye and fats come together.
    pub(crate) bring_together: Vec<String>,
    pub(crate) cautions: Vec<String>,
    pub(crate) facts: Vec<Fact>,
}

/// The weighing-out card of a recipe.
pub(crate) fn recipe_view(key: String, print: Printer<'_>) -> RecipeView {
    let ledger = print.ledger;
    let rows = |is_wanted: &dyn Fn(&Figure) -> bool| -> Vec<Row> {
        let figures = ledger.weighed_out().filter(|it| is_wanted(it) && is_needed(it, print));
        figures.map(|it| row(it, print)).collect()
    };
    let total = |name: &str, kind: Kind| Row { name: name.into(), hint: None, amount: print.amount(&Key::one(kind)) };
    let is_extra = |it: &Figure| {
        let is_later = matches!(it.goes_into, Some(Moment::Lye | Moment::Cooked));
        matches!(it.part, Part::Extra(_) | Part::LayerExtra(..)) && !is_later
    };
    let is_of_a_blend = |it: &Figure| match it.part {
        Part::Extra(idx) => ledger.recipe.extras[idx].blend.is_some(),
        Part::LayerExtra(layer_idx, idx) => ledger.recipe.layers[layer_idx].extras[idx].blend.is_some(),
        _ => false,
    };
    let fat_rows = rows(&|it| matches!(it.part, Part::Fat(_)));
    let has_fats = fat_rows.len() > 1;
    let at_trace = [cautions_at(ledger, Step::Trace), cautions_at_layers(ledger)].concat();
    let group = |heading, rows, total| Group { heading, rows, total, notes: Vec::new(), cautions: Vec::new() };
    let lye_rows = rows(&|it| it.goes_into == Some(Moment::Lye));
    let blends = ledger.blends();
    let of_blends = blends.iter().map(|it| {
        let oils = rows(&|figure| match (figure.part, it.layer_idx) {
            (Part::Extra(idx), None) => is_extra(figure) && it.oils.contains(&idx),
            (Part::LayerExtra(its_layer, idx), Some(layer_idx)) => its_layer == layer_idx && it.oils.contains(&idx),
            _ => false,
        });
        group("Scent blend", oils, Some(blend_total(it, print)))
    });
    let mut of_extras: Vec<Group> = of_blends.filter(|it| !it.rows.is_empty()).collect();
    let extra_rows = rows(&|it| is_extra(it) && !is_of_a_blend(it));
    if !extra_rows.is_empty() {
        of_extras.push(group("Additives", extra_rows, None));
    }
    // Without additives to stand beside, cautions stand where the pouring begins.
    let after = match of_extras.last_mut() {
        Some(last) => {
            (last.notes, last.cautions) = (additive_notes(print), at_trace);
            Vec::new()
        }
        None => at_trace,
    };
    let steeped = rows(&|it| it.goes_into == Some(Moment::Before));
    let mut before = vec![
        Group { notes: infusion_notes(print), ..group("Steeped before the evening", steeped, None) },
        Group {
            cautions: cautions_at(ledger, Step::Lye),
            ..group("Lye solution", lye_rows, Some(total("Lye solution together", Kind::Solution)))
        },
        group("Fats", fat_rows, has_fats.then(|| total("Fats together", Kind::TotalFats))),
    ];
    if ledger.recipe.first == First::Fats {
        // After what is steeped the day before.
        before.swap(1, 2);
    }
    let cooked = group("Stirred in when the soap is cooked", rows(&|it| it.goes_into == Some(Moment::Cooked)), None);
    let groups = before.into_iter().chain(of_extras).chain([cooked]);
    RecipeView {
        key,
        title: ledger.recipe.title.clone(),
        makes: makes(print),
        sheet: String::new(),
        own: None,
        lay_out: lay_out(print),
        groups: groups.filter(|it| !it.rows.is_empty()).collect(),
        everything: total("Everything poured", Kind::TotalBatch),
        bring_together: bring_together(print),
        cautions: [after, cautions_at(ledger, Step::Mould), cautions_at(ledger, Step::Cure)].concat(),
        facts: facts(print),
    }
}

/// A recipe whose liquids and acids bring all of the water has none to weigh out.
fn is_needed(figure: &Figure, print: Printer<'_>) -> bool {
    let brings_nothing = print.ledger.batch.water_in_others == Mass::ZERO;
    if figure.part == Part::FurtherWater {
        return figure.amount.reading(ScaleUnit::Grams) > Some(0);
    }
    figure.part != Part::Water || brings_nothing || figure.amount.reading(ScaleUnit::Grams) > Some(0)
}

/// All of a blend, and where it goes.
fn blend_total(it: &BlendAmount<'_>, print: Printer<'_>) -> Row {
    let name = capitalised(&it.blend.name);
    let id = it.blend.id.clone();
    let moment = print.ledger.batch.extras.get(it.oils.start).filter(|_| it.layer_idx.is_none()).map(|it| it.goes_into);
    let when = if moment == Some(GoesInto::Fats) { "into the melted fats" } else { "at trace" };
    let (name, key) = match it.layer_idx.map(|layer_idx| &print.ledger.batch.layers[layer_idx]) {
        Some(layer) => {
            let key = Key::each(Kind::LayerAdditive, id).in_layer(layer.key.clone());
            (format!("{name} together, for the {} {}", print.ledger.recipe.divide.part_name(), layer.name), key)
        }
        None => (format!("{name} together, {when}"), Key::each(Kind::Additive, id)),
    };
    Row { name, hint: None, amount: print.amount(&key) }
}

/// What a card calls lye solution that was made beforehand.
pub(crate) const STOCK_NAME: &str = "Stock lye solution";

fn row(figure: &Figure, print: Printer<'_>) -> Row {
    let name = match figure.part {
        Part::InfusionOil(_) => format!("{} to start with", name_of(figure, print)),
        _ => name_of(figure, print),
    };
    Row { name, hint: hint(figure, print), amount: print.amount(&figure.key) }
}

/// What something that is weighed is called.
pub(super) fn name_of(figure: &Figure, print: Printer<'_>) -> String {
    match figure.part {
        Part::Water => "Water".to_owned(),
        Part::FurtherWater => "Further water".to_owned(),
        Part::Stock => STOCK_NAME.to_owned(),
        Part::Alkali(idx) => alkali_name(print.ledger.batch.alkalis[idx].kind, print.tables),
        _ => capitalised(figure.name.as_deref().unwrap_or_default()),
    }
}

/// What is said of an oil of a blend.
const INTO_JAR: &str = "into one jar with the others";

/// What is said of a liquid for dispersing.
const DISPERSING: &str = "stir the powder into it beforehand";

/// What is said of something beside its amount.
fn hint(figure: &Figure, print: Printer<'_>) -> Option<String> {
    let (recipe, batch) = (&print.ledger.recipe, &print.ledger.batch);
    Some(match figure.part {
        Part::Stock => stock_hint(print),
        Part::FurtherWater | Part::Water => "cold, into the vessel for the lye solution".into(),
        Part::Liquid(idx) if recipe.liquids[idx].effects.contains(&Effect::Solvent) => {
            "not counted as water; goes in when the lye solution is clear".into()
        }
        Part::Liquid(_) => "instead of water, as cold as possible".into(),
        Part::Acid(idx) if recipe.acids[idx].strength.to_percent() < 100.0 => {
            let strength = print.words(&Key::each(Kind::Strength, batch.acids[idx].id.clone()));
            format!("{strength} acid, into the water before the lye")
        }
        Part::Acid(_) => "dissolved in the water before the lye".into(),
        Part::Alkali(idx) if recipe.alkalis[idx].purity_is_stated => {
            let purity = print.words(&Key::each(Kind::Purity, batch.alkalis[idx].kind.formula()));
            format!("{purity} pure, into the water a little at a time")
        }
        Part::Alkali(_) => "taken as pure, into the water a little at a time".into(),
        Part::Fat(idx) => {
            let share = print.words(&Key::each(Kind::FatPercent, batch.fats[idx].id.clone()));
            let is_steeped = recipe.infusions.iter().any(|it| it.fat_idx == idx);
            let steeped = if is_steeped { ", strained" } else { "" };
            format!("{share}{steeped}, {}", into_the_pot(idx, print))
        }
        Part::Extra(idx) if recipe.extras[idx].blend.is_some() && figure.goes_into != Some(Moment::Lye) => {
            INTO_JAR.into()
        }
        Part::LayerExtra(layer_idx, idx) if recipe.layers[layer_idx].extras[idx].blend.is_some() => INTO_JAR.into(),
        Part::Extra(idx) if is_dispersing(&recipe.extras[idx]) => DISPERSING.into(),
        Part::LayerExtra(layer_idx, idx) if is_dispersing(&recipe.layers[layer_idx].extras[idx]) => {
            format!("for the {} {}: {DISPERSING}", recipe.divide.part_name(), batch.layers[layer_idx].name)
        }
        Part::Extra(idx) => {
            let key = Key::each(Kind::Spoons, batch.extras[idx].id.clone());
            with_spoons(&key, figure.goes_into, print)
        }
        Part::LayerExtra(layer_idx, idx) => {
            let layer = &batch.layers[layer_idx];
            let key = Key::each(Kind::LayerSpoons, layer.extras[idx].id.clone()).in_layer(layer.key.clone());
            format!(
                "for the {} {}: {}",
                recipe.divide.part_name(),
                layer.name,
                with_spoons(&key, figure.goes_into, print)
            )
        }
        Part::InfusionPlant(_) => "completely dry, in a clean dry jar".into(),
        Part::InfusionOil(_) => {
            "poured over it; none of this goes into the pot before it has been strained and weighed again".into()
        }
        Part::LateFat(_) | Part::Layer(_) | Part::LayerShared(..) | Part::Whole => return None,
    })
}

/// What is done with a fat: the solid ones are melted first, and the liquid ones cool them.
fn into_the_pot(fat_idx: usize, print: Printer<'_>) -> &'static str {
    let below = print.tables.limits.solid_below_iodine_value;
    let fats = &print.ledger.recipe.fats;
    if fats[fat_idx].fat.is_solid(below) {
        "into the pot, melted gently"
    } else if fats.iter().any(|it| it.fat.is_solid(below)) {
        "into the melted fats"
    } else {
        "into the pot"
    }
}

/// How strong the stock is, what it stands for, and how it is poured.
fn stock_hint(print: Printer<'_>) -> String {
    let strength = print.words_of(Kind::StockConcentration);
    let lye = print.words(&print.ledger.alkali_key(0));
    let kind = print.ledger.batch.alkalis[0].kind;
    let alkali = print.tables.alkali(kind);
    let is_diluted = print
        .ledger
        .weighed_out()
        .any(|it| matches!(it.part, Part::Liquid(_)) || it.part == Part::FurtherWater && is_needed(it, print));
    let how = if is_diluted { "slowly into the water" } else { "as it is" };
    format!("{strength} lye, instead of {lye} of dry {} ({}): {how}", alkali.name, kind.formula())
}

/// The spoon measure of an additive, where its bulk density is known, and when it goes in.
fn with_spoons(key: &Key, goes_into: Option<Moment>, print: Printer<'_>) -> String {
    let when = match goes_into {
        Some(Moment::Lye) => "into the water before the lye",
        Some(Moment::Fats) => "into the melted fats",
        Some(Moment::Cooked) => "into the cooked soap",
        _ => "at trace",
    };
    match print.spoons(key) {
        Some(spoons) => format!("about {spoons}, {when}"),
        None => when.to_owned(),
    }
}

/// What stands on the bench before the first line is weighed: vessels, the mould, scales.
fn lay_out(print: Printer<'_>) -> Vec<Fact> {
    let ledger = print.ledger;
    let words = |kind: Kind| print.words_of(kind);
    let mut facts = Vec::new();
    let mut fact = |label: &str, value: String| facts.push(Fact::new(label, value));
    if ledger.vessels.lye.is_some() {
        fact("Vessel for the lye solution", format!("at least {}", words(Kind::LyeVessel)));
    }
    let only_fats = !ledger.batch.layers.is_empty() && !ledger.recipe.divide.is_of_batter();
    let pot = if only_fats { "Pot for the fats" } else { "Pot for the batter" };
    fact(pot, format!("at least {}", words(Kind::Pot)));
    if let Some(mould) = ledger.recipe.mould() {
        let (across, height) = (|| words(Kind::MouldAcross), words(Kind::MouldFillHeight));
        let inside = match mould.shape {
            MouldShape::Box { .. } => format!("{} by {}, {height} deep", words(Kind::MouldLength), across()),
            MouldShape::Cylinder { .. } => format!("{} across, {height} deep", across()),
            MouldShape::Other { holds } => format!("{}, {height} deep", show::volume(holds, print.units())),
        };
        let several = format!("Each of the {} cavities inside", mould.cavities);
        fact(if mould.cavities > 1 { &several } else { "Mould inside" }, inside);
        // Single hollows are of what soap lets go of.
        if mould.cavities == 1 && matches!(mould.shape, MouldShape::Box { .. }) {
            fact("Its lining", format!("at least {} high", words(Kind::MouldLining)));
        }
    }
    facts.extend(layer_marks(print));
    facts.extend(scales(print));
    facts
}

/// How high each layer but the last ends, to be marked on the lining.
fn layer_marks(print: Printer<'_>) -> Option<Fact> {
    let (_, below) = print.ledger.recipe.layers.split_last()?;
    let marks = below.iter().map(|layer| {
        let key = Key::one(Kind::LayerTop).in_layer(layer.key.clone());
        print.figure(&key).map(|_| format!("{} {}", layer.name, print.words(&key)))
    });
    let marks: Option<Vec<String>> = marks.collect();
    let marks = marks.filter(|it| !it.is_empty())?;
    Some(Fact::new("Marks on it, from the bottom", marks.join(", ")))
}

/// How lye and fats come together: how warm, how they are blended, and until when.
fn bring_together(print: Printer<'_>) -> Vec<String> {
    let recipe = &print.ledger.recipe;
    // Of layers that are blended on their own each has its trace, which stands beside it.
    let each_on_its_own = !recipe.layers.is_empty() && !recipe.divide.is_of_batter();
    let until = if each_on_its_own {
        "Each layer is blended on its own.".to_owned()
    } else {
        format!("Stop at {}.", trace_and_test(first_stop(recipe, None)))
    };
    let is_usual = recipe.when_poured.fats.is_none() || recipe.when_poured.lye_solution.is_none();
    let source = if is_usual { " (common practice; the lesson may say otherwise)" } else { "" };
    let (fats, lye) = (fats_when_poured(print), lye_when_poured(print));
    vec![
        format!("Pour the lye solution into the fats when the fats are {fats} and the lye solution is {lye}{source}."),
        format!("Blend in bursts of a few seconds, and stir with the blender switched off in between. {until}"),
    ]
}

/// What scale the card is made for, and how coarse another may be.
fn scales(print: Printer<'_>) -> Vec<Fact> {
    let of_each = |kind: Kind| -> Vec<String> {
        let units = print.units().scales().iter().map(|unit| match unit {
            ScaleUnit::Grams => "grams",
            ScaleUnit::Ounces => "ounces",
        });
        let keys = units.map(|it| Key::each(kind, it)).filter(|it| print.figure(it).is_some());
        keys.map(|it| print.words(&it)).collect()
    };
    let mut facts = vec![Fact::new("Made for a scale with steps of", of_each(Kind::ScaleStep).join(" or "))];
    let small = of_each(Kind::SmallScaleStep);
    let mut weighed = print.ledger.weighed_out();
    let uses_it = weighed.any(|it| {
        matches!(it.part, Part::Extra(_) | Part::LayerExtra(..))
            && matches!(it.goes_into, Some(Moment::Trace | Moment::Cooked))
    });
    if uses_it && !small.is_empty() {
        facts.push(Fact::new("Small additives on one with steps of", small.join(" or ")));
    }
    let coarsest = of_each(Kind::CoarsestScale);
    if !coarsest.is_empty() {
        facts.push(Fact::new("Coarsest steps that leave no lye over", coarsest.join(" or ")));
    }
    facts
}

/// The superfat and the worst that it may be on each scale, and the water.
fn facts(print: Printer<'_>) -> Vec<Fact> {
    let ledger = print.ledger;
    let (batch, units) = (&ledger.batch, print.units());
    let mut facts = vec![Fact::new("Superfat", print.words_of(Kind::Superfat))];
    let worst = ledger.shown().map(|it| (it.scale.unit, show::superfat(ledger.certainty(it.scale.unit).worst_percent)));
    let worst: Vec<(ScaleUnit, String)> = worst.collect();
    let is_one = worst.windows(2).all(|it| it[0].1 == it[1].1);
    for (unit, percent) in worst.iter().take(if is_one { 1 } else { worst.len() }) {
        let label = match unit {
            _ if is_one => "At the very worst",
            ScaleUnit::Grams => "At the very worst, in grams",
            ScaleUnit::Ounces => "At the very worst, in ounces",
        };
        facts.push(Fact::new(label, print.one(Kind::SuperfatWorst, percent)));
    }
    let mut fact = |label: &str, value: String| facts.push(Fact::new(label, value));
    if print.figure(&Key::one(Kind::SuperfatWithLiquids)).is_some() {
        let dispersing = batch.all_extras().any(|it| it.fat > Mass::ZERO).then_some("what disperses additives");
        let beside = batch.liquids.iter().filter(|it| it.fat > Mass::ZERO || it.koh_for_acid > Mass::ZERO);
        let has_acid = batch.liquids.iter().any(|it| it.koh_for_acid > Mass::ZERO);
        let what = if has_acid { "fat and acid" } else { "fat" };
        let liquids = listed(beside.map(|it| &*it.name).chain(dispersing));
        fact(&format!("Superfat with the {what} in {liquids}"), print.words_of(Kind::SuperfatWithLiquids));
    }
    for it in batch.liquids.iter().filter(|it| it.sugar > Mass::ZERO) {
        let sugar = print.words(&Key::each(Kind::SugarFrom, it.id.clone()));
        fact(&format!("Sugar in {}", it.name), format!("about {sugar}"));
    }
    if !batch.late_fats.is_empty() {
        fact("Free fat with what is stirred in later", print.words_of(Kind::FreeFat));
    }
    fact("Lye concentration", print.words_of(Kind::LyeConcentration));
    fact("Water for one part of lye", format!("{} parts", print.words_of(Kind::WaterPerLye)));
    fact("Water as a share of the fats", print.words_of(Kind::WaterOfFats));
    if let Some(volume) = ledger.lye_volume {
        let temperature = print.words_of(Kind::PouringTemperature);
        let volume = print.one(Kind::LyeVolume, show::volume(volume, units));
        fact(&format!("Volume of the lye solution at {temperature}"), format!("about {volume}"));
    }
    if !ledger.recipe.embeds.is_empty() {
        let names = listed(ledger.recipe.embeds.iter().map(|it| &*it.name));
        fact(&format!("Room that {names} take in the mould"), print.words_of(Kind::EmbedsVolume));
    }
    facts
}

pub(super) fn makes(print: Printer<'_>) -> String {
    let recipe = &print.ledger.recipe;
    let fats = print.words_of(Kind::TotalFats);
    match &recipe.size {
        BatchSize::Fats(_) => match &recipe.into {
            Some(mould) => format!("for {fats} of fats, poured into {}", show::the(&mould.name)),
            None => format!("for {fats} of fats"),
        },
        BatchSize::Mould(mould) => format!("for {fats} of fats, which fill {}", show::the(&mould.name)),
    }
}
