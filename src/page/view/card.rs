//! The weighing-out card.
//!
//! Layer 5.

use serde::Serialize;

use super::super::{Computed, Units};
use super::additives::additive_notes;
use super::measures::{vessel_words, volume_words};
use super::spoons::spoons;
use super::steps::{cautions_at, cautions_at_layers};
use super::{Amount, Fact, Pick, Row, alkali_name, amount, capitalised, percent, short};
use crate::batch::{AlkaliAmount, ExtraAmount, ScaleUnit, Weighed, lye_volume, vessels};
use crate::finding::Step;
use crate::recipe::{BatchSize, Divide};
use crate::tables::{GoesInto, Tables};
use crate::units::{Mass, Volume};

/// Things that are weighed out together.
#[derive(Clone, Debug, Serialize)]
pub struct Group {
    /// What they are.
    pub heading: String,
    /// Each of them, in the order of use.
    pub rows: Vec<Row>,
    /// All of them.
    pub total: Option<Row>,
    /// What is to be known of them.
    pub notes: Vec<String>,
    /// What to be careful of at this step.
    pub cautions: Vec<String>,
}

/// The weighing-out card.
#[derive(Clone, Debug, Serialize)]
pub struct RecipeView {
    /// Tells cards apart in what the browser remembers.
    pub key: String,
    /// What kind of block it is.
    pub kind: &'static str,
    /// The recipe's title.
    pub title: String,
    /// How much it makes.
    pub makes: String,
    /// What to weigh out, in the order of use.
    pub groups: Vec<Group>,
    /// All of it.
    pub everything: Row,
    /// What to be careful of once it is poured.
    pub cautions: Vec<String>,
    /// Superfat, water and vessels.
    pub facts: Vec<Fact>,
    /// The button that takes all ticks away.
    pub clear: &'static str,
    /// The same button while it can bring them back.
    pub undo: &'static str,
}

/// The superfat by the recipe and, where they differ in the first decimal, by the amounts as printed.
fn superfat_facts(computed: &Computed, units: Units) -> Vec<Fact> {
    let nominal = percent(computed.batch.superfat_percent);
    let mut facts = vec![Fact { label: "Superfat".into(), value: nominal.clone() }];
    for weighed in units.shown(computed) {
        let printed = percent(weighed.superfat_percent);
        if printed != nominal {
            let unit = match weighed.scale.unit {
                ScaleUnit::Grams => "grams",
                ScaleUnit::Ounces => "ounces",
            };
            facts.push(Fact { label: format!("Superfat as weighed in {unit}"), value: printed });
        }
    }
    facts
}

fn makes(computed: &Computed, units: Units) -> String {
    let fats = amount(computed, units, |it| it.total_fats).sentence();
    match &computed.recipe.size {
        BatchSize::Fats(_) => match &computed.recipe.into {
            Some(mould) => format!("for {fats} of fats, poured into the {}", mould.name),
            None => format!("for {fats} of fats"),
        },
        BatchSize::Mould(mould) => format!("for {fats} of fats, which fill the {}", mould.name),
    }
}

/// The weighing-out card of a recipe.
#[must_use]
pub fn recipe_view(key: String, computed: &Computed, units: Units, tables: &Tables) -> RecipeView {
    let batch = &computed.batch;
    let of = |pick: Pick<'_>| amount(computed, units, pick);
    let row = |name: String, hint: Option<String>, amount: Amount| Row { name, hint, amount };
    let mut lye_rows = Vec::new();
    // A recipe whose liquids and acids bring all of the water has none to weigh out.
    if computed.grams.water > 0 || batch.water_in_others == Mass::ZERO {
        lye_rows.push(row("Water".into(), Some("cold, into the lye vessel".into()), of(&|it| it.water)));
    }
    for (liquid_idx, liquid) in batch.liquids.iter().enumerate() {
        let hint = "in place of water, as cold as it can be";
        lye_rows.push(row(capitalised(&liquid.name), Some(hint.into()), of(&|it| it.liquids[liquid_idx])));
    }
    for (acid_idx, acid) in batch.acids.iter().enumerate() {
        let strength = computed.recipe.acids[acid_idx].strength.to_percent();
        let hint = if strength < 100.0 {
            format!("{} acid, into the water before the alkali", percent(strength))
        } else {
            "dissolved in the water before the alkali".to_owned()
        };
        lye_rows.push(row(capitalised(&acid.name), Some(hint), of(&|it| it.acids[acid_idx])));
    }
    let (in_lye, later): (Vec<usize>, Vec<usize>) =
        (0..batch.extras.len()).partition(|it| batch.extras[*it].goes_into == GoesInto::Water);
    lye_rows.extend(in_lye.into_iter().map(|it| extra_row(computed, units, it)));
    for (alkali_idx, alkali) in batch.alkalis.iter().enumerate() {
        let hint = purity_hint(alkali, computed.recipe.alkalis[alkali_idx].purity_is_stated);
        let name = alkali_name(alkali.kind, tables);
        lye_rows.push(row(name, Some(hint), of(&|it| it.alkalis[alkali_idx])));
    }
    let fat_rows = batch
        .fats
        .iter()
        .enumerate()
        .map(|(fat_idx, fat)| {
            row(capitalised(&fat.name), Some(percent(fat.fraction * 100.0)), of(&|it| it.fats[fat_idx]))
        })
        .collect();
    let late_rows: Vec<Row> = batch
        .late_fats
        .iter()
        .enumerate()
        .map(|(fat_idx, fat)| row(capitalised(&fat.name), None, of(&|it| it.late_fats[fat_idx])))
        .collect();
    let extra_rows = extra_rows(computed, units, &later);
    let mut facts = superfat_facts(computed, units);
    if !late_rows.is_empty() {
        let value = percent(batch.free_fat_percent());
        facts.push(Fact { label: "Free fat with what is stirred in later".into(), value });
    }
    let conventions = &batch.water_conventions;
    let fact = |label: &str, value: String| Fact { label: label.into(), value };
    facts.push(fact("Lye concentration", percent(conventions.lye_concentration_percent)));
    facts.push(fact("Water for one part of alkali", format!("{} parts", short(conventions.water_per_lye, 2))));
    facts.push(fact("Water of the fats", percent(conventions.water_of_fats_percent)));
    let celsius = tables.limits.pouring_temperature_celsius;
    if let Some(volume) = lye_volume(batch, celsius, tables) {
        let label = format!("Volume of the lye solution at {} °C", short(celsius, 1));
        let value = format!("about {}", volume_words(volume, units));
        facts.push(Fact { label, value });
    }
    let vessels = vessels(&computed.recipe, batch, tables);
    let at_least = |volume: Volume| format!("at least {}", vessel_words(volume, units));
    facts.extend(vessels.lye.map(|it| fact("Vessel for the lye", at_least(it))));
    let only_fats = !batch.layers.is_empty() && computed.recipe.divide == Divide::FatsAndLye;
    facts.push(fact(if only_fats { "Pot for the fats" } else { "Pot for the batter" }, at_least(vessels.pot)));
    let at_trace = [cautions_at(computed, Step::Trace), cautions_at_layers(computed)].concat();
    let notes = additive_notes(computed, tables);
    // Without additives to stand beside, they stand where the pouring begins.
    let (with_extras, after) = if extra_rows.is_empty() { (Vec::new(), at_trace) } else { (at_trace, Vec::new()) };
    RecipeView {
        key,
        kind: "Weighing out",
        title: computed.recipe.title.clone(),
        makes: makes(computed, units),
        groups: [
            Group {
                heading: "Lye solution".into(),
                rows: lye_rows,
                total: Some(row("Lye solution together".into(), None, of(&Weighed::solution))),
                notes: Vec::new(),
                cautions: cautions_at(computed, Step::Lye),
            },
            Group {
                heading: "Fats".into(),
                rows: fat_rows,
                total: (batch.fats.len() > 1).then(|| row("Fats together".into(), None, of(&|it| it.total_fats))),
                notes: Vec::new(),
                cautions: Vec::new(),
            },
            Group { heading: "Additives".into(), rows: extra_rows, total: None, notes, cautions: with_extras },
            Group {
                heading: "Stirred in when the soap is cooked".into(),
                rows: late_rows,
                total: None,
                notes: Vec::new(),
                cautions: Vec::new(),
            },
        ]
        .into_iter()
        .filter(|it| !it.rows.is_empty())
        .collect(),
        everything: row("Everything poured".into(), None, of(&Weighed::poured)),
        cautions: [after, cautions_at(computed, Step::Mould), cautions_at(computed, Step::Cure)].concat(),
        facts,
        clear: "Clear the ticks",
        undo: "Bring the ticks back",
    }
}

/// An additive of the whole batch.
fn extra_row(computed: &Computed, units: Units, extra_idx: usize) -> Row {
    let extra = &computed.batch.extras[extra_idx];
    Row {
        name: capitalised(&extra.name),
        hint: Some(extra_hint(extra)),
        amount: amount(computed, units, |weighed| weighed.extras[extra_idx]),
    }
}

/// The additives that go in after the lye: those of the batch, then those of each layer.
fn extra_rows(computed: &Computed, units: Units, of_batch: &[usize]) -> Vec<Row> {
    let batch = &computed.batch;
    let mut rows: Vec<Row> = of_batch.iter().map(|it| extra_row(computed, units, *it)).collect();
    for (layer_idx, layer) in batch.layers.iter().enumerate() {
        rows.extend(layer.extras.iter().enumerate().map(|(idx, it)| Row {
            name: capitalised(&it.name),
            hint: Some(format!("for the layer {}: {}", layer.name, extra_hint(it))),
            amount: amount(computed, units, |weighed| weighed.layers[layer_idx].extras[idx]),
        }));
    }
    rows
}

/// The spoon measure of an additive, where its bulk density is known, and when it goes in.
fn extra_hint(extra: &ExtraAmount) -> String {
    let when = match extra.goes_into {
        GoesInto::Water => "into the water before the alkali",
        GoesInto::Fats => "into the melted fats",
        GoesInto::Trace => "at trace",
    };
    match extra.volume.and_then(spoons) {
        Some(spoons) => format!("about {spoons}, {when}"),
        None => when.to_owned(),
    }
}

fn purity_hint(alkali: &AlkaliAmount, is_stated: bool) -> String {
    if is_stated { format!("{} pure", percent(alkali.purity.to_percent())) } else { "counted as pure".to_owned() }
}
