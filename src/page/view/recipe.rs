//! The weighing-out card.
//!
//! Layer 6. Its rows are what the ledger lists as weighed out, in the ledger's order; here each gets its words.

use serde::Serialize;

use super::super::printer::Printer;
use super::super::words::{additive_notes, cautions_at, cautions_at_layers};
use super::{Fact, Row, alkali_name};
use crate::finding::Step;
use crate::ledger::{Figure, Key, Kind, Moment, Part};
use crate::recipe::{BatchSize, Divide};
use crate::show::{self, capitalised, listed};
use crate::tables::{Effect, MouldShape};
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
    pub(crate) groups: Vec<Group>,
    pub(crate) everything: Row,
    pub(crate) cautions: Vec<String>,
    pub(crate) facts: Vec<Fact>,
}

/// The weighing-out card of a recipe.
pub(crate) fn recipe_view(key: String, print: Printer<'_>) -> RecipeView {
    let ledger = print.ledger;
    let rows = |is_wanted: fn(&Figure) -> bool| -> Vec<Row> {
        let figures = ledger.weighed_out().filter(|it| is_wanted(it) && is_needed(it, print));
        figures.map(|it| row(it, print)).collect()
    };
    let total = |name: &str, kind: Kind| Row { name: name.into(), hint: None, amount: print.amount(&Key::one(kind)) };
    let extra_rows = rows(|it| {
        matches!(it.part, Part::Extra(_) | Part::LayerExtra(..))
            && !matches!(it.goes_into, Some(Moment::Lye | Moment::Cooked))
    });
    let fat_rows = rows(|it| matches!(it.part, Part::Fat(_)));
    let has_fats = fat_rows.len() > 1;
    let at_trace = [cautions_at(ledger, Step::Trace), cautions_at_layers(ledger)].concat();
    // Without additives to stand beside, they stand where the pouring begins.
    let (with_extras, after) = if extra_rows.is_empty() { (Vec::new(), at_trace) } else { (at_trace, Vec::new()) };
    let group = |heading, rows, total| Group { heading, rows, total, notes: Vec::new(), cautions: Vec::new() };
    let lye_rows = rows(|it| it.goes_into == Some(Moment::Lye));
    let groups = [
        Group {
            cautions: cautions_at(ledger, Step::Lye),
            ..group("Lye solution", lye_rows, Some(total("Lye solution together", Kind::Solution)))
        },
        group("Fats", fat_rows, has_fats.then(|| total("Fats together", Kind::TotalFats))),
        Group { notes: additive_notes(print), cautions: with_extras, ..group("Additives", extra_rows, None) },
        group("Stirred in when the soap is cooked", rows(|it| it.goes_into == Some(Moment::Cooked)), None),
    ];
    RecipeView {
        key,
        title: ledger.recipe.title.clone(),
        makes: makes(print),
        groups: groups.into_iter().filter(|it| !it.rows.is_empty()).collect(),
        everything: total("Everything poured", Kind::TotalBatch),
        cautions: [after, cautions_at(ledger, Step::Mould), cautions_at(ledger, Step::Cure)].concat(),
        facts: facts(print),
    }
}

/// A recipe whose liquids and acids bring all of the water has none to weigh out.
fn is_needed(figure: &Figure, print: Printer<'_>) -> bool {
    let brings_nothing = print.ledger.batch.water_in_others == Mass::ZERO;
    figure.part != Part::Water || brings_nothing || figure.amount.reading(ScaleUnit::Grams) > Some(0)
}

fn row(figure: &Figure, print: Printer<'_>) -> Row {
    let name = match figure.part {
        Part::Water => "Water".to_owned(),
        Part::Alkali(idx) => alkali_name(print.ledger.batch.alkalis[idx].kind, print.tables),
        _ => capitalised(figure.name.as_deref().unwrap_or_default()),
    };
    Row { name, hint: hint(figure, print), amount: print.amount(&figure.key) }
}

/// What is said of something beside its amount.
fn hint(figure: &Figure, print: Printer<'_>) -> Option<String> {
    let (recipe, batch) = (&print.ledger.recipe, &print.ledger.batch);
    Some(match figure.part {
        Part::Water => "cold, into the vessel for the lye solution".into(),
        Part::Liquid(idx) if recipe.liquids[idx].effects.contains(&Effect::Solvent) => {
            "no water is counted in it; in when the lye solution is clear".into()
        }
        Part::Liquid(_) => "in place of water, as cold as it can be".into(),
        Part::Acid(idx) if recipe.acids[idx].strength.to_percent() < 100.0 => {
            let strength = print.words(&Key::each(Kind::Strength, batch.acids[idx].id.clone()));
            format!("{strength} acid, into the water before the lye")
        }
        Part::Acid(_) => "dissolved in the water before the lye".into(),
        Part::Alkali(idx) if recipe.alkalis[idx].purity_is_stated => {
            let purity = print.words(&Key::each(Kind::Purity, batch.alkalis[idx].kind.formula()));
            format!("{purity} pure, into the water a little at a time")
        }
        Part::Alkali(_) => "counted as pure, into the water a little at a time".into(),
        Part::Fat(idx) => print.words(&Key::each(Kind::FatPercent, batch.fats[idx].id.clone())),
        Part::Extra(idx) => {
            let key = Key::each(Kind::Spoons, batch.extras[idx].id.clone());
            with_spoons(&key, figure.goes_into, print)
        }
        Part::LayerExtra(layer_idx, idx) => {
            let layer = &batch.layers[layer_idx];
            let key = Key::each(Kind::LayerSpoons, layer.extras[idx].id.clone()).in_layer(layer.key.clone());
            format!("for the layer {}: {}", layer.name, with_spoons(&key, figure.goes_into, print))
        }
        Part::LateFat(_) | Part::Layer(_) | Part::LayerShared(..) | Part::Whole => return None,
    })
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

/// The superfat and the worst that it may be on each scale; water, vessels, mould and scales.
fn facts(print: Printer<'_>) -> Vec<Fact> {
    let ledger = print.ledger;
    let (batch, units) = (&ledger.batch, print.units());
    let worst = ledger.shown().map(|it| {
        let percent = ledger.certainty(it.scale.unit).worst_percent;
        print.one(Kind::SuperfatWorst, show::superfat(percent))
    });
    let worst: Vec<String> = worst.collect();
    let mut facts = vec![
        Fact::new("Superfat", print.words_of(Kind::Superfat)),
        Fact::new("Superfat at the very worst", worst.join(" or ")),
    ];
    let mut fact = |label: &str, value: String| facts.push(Fact::new(label, value));
    if print.figure(&Key::one(Kind::SuperfatWithLiquids)).is_some() {
        let liquids = listed(batch.liquids.iter().filter(|it| it.fat > Mass::ZERO).map(|it| &*it.name));
        fact(&format!("Superfat with the fat in {liquids}"), print.words_of(Kind::SuperfatWithLiquids));
    }
    if !batch.late_fats.is_empty() {
        fact("Free fat with what is stirred in later", print.words_of(Kind::FreeFat));
    }
    fact("Lye concentration", print.words_of(Kind::LyeConcentration));
    fact("Water for one part of lye", format!("{} parts", print.words_of(Kind::WaterPerLye)));
    fact("Water of the fats", print.words_of(Kind::WaterOfFats));
    if let Some(volume) = ledger.lye_volume {
        let temperature = print.words_of(Kind::PouringTemperature);
        let volume = print.one(Kind::LyeVolume, show::volume(volume, units));
        fact(&format!("Volume of the lye solution at {temperature}"), format!("about {volume}"));
    }
    if ledger.vessels.lye.is_some() {
        fact("Vessel for the lye solution", format!("at least {}", print.words_of(Kind::LyeVessel)));
    }
    if let Some(mould) = ledger.recipe.mould() {
        let words = |kind: Kind| print.words_of(kind);
        let (across, height) = (words(Kind::MouldAcross), words(Kind::MouldFillHeight));
        let inside = match mould.shape {
            MouldShape::Box { .. } => format!("{} by {across}, {height} deep", words(Kind::MouldLength)),
            MouldShape::Cylinder { .. } => format!("{across} across, {height} deep"),
        };
        let several = format!("Each of the {} hollows inside", mould.cavities);
        fact(if mould.cavities > 1 { &several } else { "Mould inside" }, inside);
    }
    let only_fats = !batch.layers.is_empty() && ledger.recipe.divide == Divide::FatsAndLye;
    let pot = if only_fats { "Pot for the fats" } else { "Pot for the batter" };
    fact(pot, format!("at least {}", print.words_of(Kind::Pot)));
    facts.extend(scales(print));
    facts
}

fn makes(print: Printer<'_>) -> String {
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
