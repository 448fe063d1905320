//! Plain data for the templates: every number already a text, every word already chosen.
//!
//! Layer 5. The place to change decimals, units and the words of a block. Rounding here is for showing; the amounts that
//! are weighed were rounded in `batch/weighing.rs`.

use std::collections::BTreeMap;

use serde::Serialize;

use super::figure::{CrossSection, cross_section};
use super::template::plain_markdown;
use super::{Caution, Computed, Units, Value};
use crate::batch::{AlkaliAmount, ScaleUnit, Weighed};
use crate::recipe::{BatchSize, RawRecipe, WaterRule, layer_key};
use crate::tables::{AlkaliKind, MouldShape, Tables};
use crate::units::Mass;

/// Between a number and its unit, so that no line breaks there.
const NO_BREAK: char = '\u{a0}';

/// An amount: in the course's main unit, and in the other one if the course shows both.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Amount {
    /// Main unit.
    pub main: String,
    /// Other unit.
    pub other: Option<String>,
}

impl Amount {
    fn sentence(&self) -> String {
        match &self.other {
            Some(other) => format!("{} ({other})", self.main),
            None => self.main.clone(),
        }
    }
}

/// A line of a card or list: what, how much, and a remark.
#[derive(Clone, Debug, Serialize)]
pub struct Row {
    /// What.
    pub name: String,
    /// A remark in small type.
    pub hint: Option<String>,
    /// How much.
    pub amount: Amount,
}

/// A label and what it says.
#[derive(Clone, Debug, Serialize)]
pub struct Fact {
    /// What is told.
    pub label: String,
    /// What it is.
    pub value: String,
}

/// Things that are weighed out together.
#[derive(Clone, Debug, Serialize)]
pub struct Group {
    /// What they are.
    pub heading: String,
    /// Each of them, in the order of use.
    pub rows: Vec<Row>,
    /// All of them.
    pub total: Option<Row>,
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
    /// Superfat and water.
    pub facts: Vec<Fact>,
    /// The button that takes all ticks away.
    pub clear: &'static str,
}

/// One step of the arithmetic.
#[derive(Clone, Debug, Serialize)]
pub struct Step {
    /// What is done.
    pub title: String,
    /// The calculation.
    pub lines: Vec<String>,
    /// Why, in a sentence.
    pub why: String,
    /// Whether the table of fats belongs to this step.
    pub has_fats: bool,
}

/// A fat in the table of the arithmetic.
#[derive(Clone, Debug, Serialize)]
pub struct WorkedFat {
    /// Name.
    pub name: String,
    /// Mass, exact.
    pub mass: String,
    /// Saponification value.
    pub sap_value: String,
    /// KOH.
    pub koh: String,
}

/// The worked arithmetic.
#[derive(Clone, Debug, Serialize)]
pub struct WorkedView {
    /// What kind of block it is.
    pub kind: &'static str,
    /// The recipe's title.
    pub title: String,
    /// Heads of the table of fats.
    pub heads: [String; 4],
    /// The table of fats.
    pub fats: Vec<WorkedFat>,
    /// The steps.
    pub steps: Vec<Step>,
    /// Where the inputs come from.
    pub sources: Vec<String>,
}

/// A layer in the split table.
#[derive(Clone, Debug, Serialize)]
pub struct LayerRow {
    /// Name.
    pub name: String,
    /// Its share in words.
    pub share: String,
    /// Its part of the fats.
    pub fats: Amount,
    /// Its part of the lye.
    pub solution: Amount,
    /// Both together.
    pub poured: Amount,
}

/// The layer split.
#[derive(Clone, Debug, Serialize)]
pub struct LayersView {
    /// What kind of block it is.
    pub kind: &'static str,
    /// The recipe's title.
    pub title: String,
    /// Heads of the table.
    pub heads: [&'static str; 4],
    /// The layers, in pouring order.
    pub rows: Vec<LayerRow>,
    /// All layers together.
    pub total: LayerRow,
    /// How to read it.
    pub note: &'static str,
    /// The figure, already SVG; empty until it is rendered.
    pub figure: String,
    /// The figure in words, for forms without pictures.
    pub figure_words: String,
    /// The figure as data.
    #[serde(skip)]
    pub cross_section: CrossSection,
}

/// The cautions.
#[derive(Clone, Debug, Serialize)]
pub struct SafetyView {
    /// What kind of block it is.
    pub kind: &'static str,
    /// What it warns of, in a few words.
    pub title: String,
    /// The cautions.
    pub cautions: Vec<Caution>,
    /// What comes before anything said here.
    pub closing: &'static str,
}

/// Takes one reading out of a batch as weighed.
type Pick<'a> = &'a dyn Fn(&Weighed) -> u64;

fn reading(weighed: &Weighed, divisions: u64) -> String {
    let scale = weighed.scale;
    format!("{:.*}{NO_BREAK}{}", scale.decimals(), scale.value(divisions), scale.unit.symbol())
}

fn amount(computed: &Computed, units: Units, pick: impl Fn(&Weighed) -> u64) -> Amount {
    let mut readings = units.shown(computed).into_iter().map(|it| reading(it, pick(it)));
    Amount { main: readings.next().unwrap_or_default(), other: readings.next() }
}

/// A number with at most so many decimals and none that say nothing: 5 and 27.3, not 5.0.
fn short(value: f64, decimals: usize) -> String {
    let scale = 10_f64.powi(i32::try_from(decimals).unwrap_or(0));
    let text = format!("{:.*}", decimals, (value * scale).round() / scale);
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

fn percent(value: f64) -> String {
    format!("{}{NO_BREAK}%", short(value, 1))
}

/// An exact mass for the arithmetic: more decimals the smaller it is, so that about five digits are shown.
fn exact(mass: Mass, unit: ScaleUnit) -> String {
    let value = mass.to_grams() / unit.grams();
    let decimals = match value {
        it if it >= 10_000.0 => 1,
        it if it >= 100.0 => 2,
        it if it >= 1.0 => 3,
        _ => 5,
    };
    let scale = 10_f64.powi(decimals);
    format!("{:.*}{NO_BREAK}{}", decimals as usize, (value * scale).round() / scale, unit.symbol())
}

fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

fn alkali_name(kind: AlkaliKind, tables: &Tables) -> String {
    format!("{} ({})", capitalised(&tables.alkali(kind).name), kind.formula())
}

fn purity_hint(alkali: &AlkaliAmount, is_stated: bool) -> String {
    if is_stated { format!("{} pure", percent(alkali.purity.to_percent())) } else { "counted as pure".to_owned() }
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
        BatchSize::Fats(_) => format!("for {fats} of fats"),
        BatchSize::Mould(mould) => format!("for {fats} of fats, which fill the {}", mould.name),
    }
}

/// The weighing-out card of a recipe.
#[must_use]
pub fn recipe_view(key: String, computed: &Computed, units: Units, tables: &Tables) -> RecipeView {
    let batch = &computed.batch;
    let of = |pick: Pick<'_>| amount(computed, units, pick);
    let row = |name: String, hint: Option<String>, amount: Amount| Row { name, hint, amount };
    let mut lye_rows = vec![row("Water".into(), Some("cold, into the lye vessel".into()), of(&|it| it.water))];
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
    let mut facts = superfat_facts(computed, units);
    let conventions = &batch.water_conventions;
    let fact = |label: &str, value: String| Fact { label: label.into(), value };
    facts.push(fact("Lye concentration", percent(conventions.lye_concentration_percent)));
    facts.push(fact("Water for one part of alkali", format!("{} parts", short(conventions.water_per_lye, 2))));
    facts.push(fact("Water of the fats", percent(conventions.water_of_fats_percent)));
    RecipeView {
        key,
        kind: "Weighing out",
        title: computed.recipe.title.clone(),
        makes: makes(computed, units),
        groups: vec![
            Group {
                heading: "Lye".into(),
                rows: lye_rows,
                total: Some(row("Lye together".into(), None, of(&Weighed::solution))),
            },
            Group {
                heading: "Fats".into(),
                rows: fat_rows,
                total: (batch.fats.len() > 1).then(|| row("Fats together".into(), None, of(&|it| it.total_fats))),
            },
        ],
        everything: row("Everything poured".into(), None, of(&Weighed::poured)),
        facts,
        clear: "Clear the ticks",
    }
}

/// The arithmetic of the lye, step by step, in the course's main unit.
#[must_use]
pub fn worked_view(computed: &Computed, units: Units, tables: &Tables) -> WorkedView {
    let batch = &computed.batch;
    let unit = if units == Units::Ounces { ScaleUnit::Ounces } else { ScaleUnit::Grams };
    let mass = |it: Mass| exact(it, unit);
    let step = |title: &str, lines: Vec<String>, why: &str| Step {
        title: title.into(),
        lines,
        why: why.into(),
        has_fats: false,
    };
    let fats = batch.fats.iter().map(|fat| WorkedFat {
        name: capitalised(&fat.name),
        mass: mass(fat.mass),
        sap_value: short(fat.sap_value.to_mg_koh_per_g(), 2),
        koh: mass(fat.koh),
    });
    let mut steps = vec![
        Step {
            title: "What each fat takes".into(),
            lines: vec!["mass of the fat × saponification value ÷ 1000 = potassium hydroxide (KOH)".into()],
            why: "A saponification value is the milligrams of KOH that one gram of the fat takes up.".into(),
            has_fats: true,
        },
        step(
            "What all of them take",
            vec![format!("the last column added up: {}", mass(batch.koh))],
            "So much KOH would leave neither fat nor alkali over.",
        ),
        step(
            "Leave the superfat",
            vec![format!(
                "{} × (100 − {}) ÷ 100 = {}",
                mass(batch.koh),
                short(batch.superfat_percent, 2),
                mass(batch.koh_after_superfat)
            )],
            "Less alkali than the fats can take: the fat left over is the margin for an error.",
        ),
    ];
    steps.extend(alkali_steps(computed, unit, tables));
    steps.push(water_step(computed, unit));
    steps.extend(units.shown(computed).into_iter().map(|it| scale_step(computed, it)));
    let alkali_sources = tables_cited(computed, tables);
    WorkedView {
        kind: "The lye, worked out",
        title: computed.recipe.title.clone(),
        heads: ["Fat", "Mass", "Saponification value", "KOH"].map(str::to_owned),
        fats: fats.collect(),
        steps,
        sources: alkali_sources,
    }
}

fn alkali_steps(computed: &Computed, unit: ScaleUnit, tables: &Tables) -> Vec<Step> {
    let batch = &computed.batch;
    let mass = |it: Mass| exact(it, unit);
    let molar_mass = |kind| short(tables.alkali(kind).molar_mass.to_grams_per_mole(), 3);
    let mut steps = Vec::new();
    for (alkali, share) in batch.alkalis.iter().zip(&computed.recipe.alkalis) {
        let formula = alkali.kind.formula();
        let koh_part = batch.koh_after_superfat * alkali.mole_fraction;
        let mut lines = Vec::new();
        if batch.alkalis.len() > 1 {
            lines.push(format!(
                "{} × {} ÷ 100 = {} of KOH whose work {formula} does",
                mass(batch.koh_after_superfat),
                short(alkali.mole_fraction * 100.0, 2),
                mass(koh_part)
            ));
        }
        let why = match alkali.kind {
            AlkaliKind::NaOH => {
                lines.push(format!(
                    "{} × {} ÷ {} = {} of pure NaOH",
                    mass(koh_part),
                    molar_mass(AlkaliKind::NaOH),
                    molar_mass(AlkaliKind::KOH),
                    mass(alkali.pure)
                ));
                "Both alkalis do the same work mole for mole, and a mole of NaOH weighs less."
            }
            AlkaliKind::KOH => "The saponification value is already stated as KOH.",
        };
        if share.purity_is_stated {
            lines.push(format!(
                "{} × 100 ÷ {} = {} from the container",
                mass(alkali.pure),
                short(alkali.purity.to_percent(), 2),
                mass(alkali.mass)
            ));
        } else {
            lines.push(format!("counted as pure: {} from the container", mass(alkali.mass)));
        }
        steps.push(Step { title: format!("Turn it into {formula}"), lines, why: why.into(), has_fats: false });
    }
    steps
}

fn water_step(computed: &Computed, unit: ScaleUnit) -> Step {
    let batch = &computed.batch;
    let mass = |it: Mass| exact(it, unit);
    let (line, why) = match computed.recipe.water {
        WaterRule::LyeConcentration(it) => {
            let concentration = short(it.to_percent(), 2);
            (
                format!(
                    "{} × (100 − {concentration}) ÷ {concentration} = {}",
                    mass(batch.total_alkali),
                    mass(batch.water)
                ),
                format!("Of 100 parts of the finished lye, {concentration} are alkali and the rest is water."),
            )
        }
        WaterRule::PerLye(ratio) => (
            format!("{} × {} = {}", mass(batch.total_alkali), short(ratio, 3), mass(batch.water)),
            "So many parts of water to one part of alkali.".to_owned(),
        ),
        WaterRule::OfFats(it) => (
            format!("{} × {} ÷ 100 = {}", mass(batch.total_fats), short(it.to_percent(), 2), mass(batch.water)),
            "Water as a percentage of the fats.".to_owned(),
        ),
    };
    Step { title: "The water it goes into".into(), lines: vec![line], why, has_fats: false }
}

fn scale_step(computed: &Computed, weighed: &Weighed) -> Step {
    let unit = weighed.scale.unit;
    let division = format!("{}{NO_BREAK}{}", short(weighed.scale.division, 6), unit.symbol());
    let mut lines = Vec::new();
    for (alkali, divisions) in computed.batch.alkalis.iter().zip(&weighed.alkalis) {
        let (exact, reading) = (exact(alkali.mass, unit), reading(weighed, *divisions));
        lines.push(format!("{}: {exact}, rounded down, reads {reading}", alkali.kind.formula()));
    }
    lines.push(format!(
        "water: {}, to the nearest, reads {}",
        exact(computed.batch.water, unit),
        reading(weighed, weighed.water)
    ));
    lines.push(format!("superfat of the amounts as printed: {}", short_percent(weighed.superfat_percent)));
    Step {
        title: format!("On a scale that shows {division}"),
        lines,
        why: "Alkali is always rounded down: the superfat may grow by it, and must not shrink.".into(),
        has_fats: false,
    }
}

fn short_percent(value: f64) -> String {
    format!("{}{NO_BREAK}%", short(value, 2))
}

/// Where the saponification values and molar masses of a recipe come from.
fn tables_cited(computed: &Computed, tables: &Tables) -> Vec<String> {
    let mut cited: Vec<String> = computed
        .recipe
        .fats
        .iter()
        .map(|share| {
            let fat = &share.fat;
            let (low, high) = (fat.sap_low.to_mg_koh_per_g(), fat.sap_high.to_mg_koh_per_g());
            let (low, high) = (short(low, 2), short(high, 2));
            let used = short(fat.sap_used.to_mg_koh_per_g(), 2);
            let name = capitalised(&fat.name);
            match &fat.sap_used_source {
                Some(source) => {
                    format!("{name}: {used} by {source}; published {low} to {high}, {}", fat.sap_range_source)
                }
                None => format!("{name}: {used}, the middle of {low} to {high}, {}", fat.sap_range_source),
            }
        })
        .collect();
    cited.push(format!("Molar masses: {}", tables.naoh.molar_mass_source));
    cited
}

/// The layer split of a recipe; `None` when it has no layers.
#[must_use]
pub fn layers_view(computed: &Computed, units: Units) -> Option<LayersView> {
    let recipe = &computed.recipe;
    if recipe.layers.is_empty() {
        return None;
    }
    let of = |pick: Pick<'_>| amount(computed, units, pick);
    let all_parts: f64 = recipe.layers.iter().map(|it| it.parts).sum();
    let rows: Vec<LayerRow> = recipe
        .layers
        .iter()
        .enumerate()
        .map(|(layer_idx, layer)| LayerRow {
            name: layer.name.clone(),
            share: format!("{} of {} parts", short(layer.parts, 3), short(all_parts, 3)),
            fats: of(&|it| it.layers[layer_idx].fats),
            solution: of(&|it| it.layers[layer_idx].solution),
            poured: of(&|it| it.layers[layer_idx].fats + it.layers[layer_idx].solution),
        })
        .collect();
    let total = LayerRow {
        name: "Together".into(),
        share: String::new(),
        fats: of(&|it| it.total_fats),
        solution: of(&Weighed::solution),
        poured: of(&Weighed::poured),
    };
    let cross_section = cross_section(computed);
    Some(LayersView {
        kind: "Layers",
        title: recipe.title.clone(),
        heads: ["Layer, in pouring order", "Fats", "Lye", "Poured"],
        rows,
        total,
        note: "Take the fats from the melted and mixed fats, and the lye from the finished and cooled lye.",
        figure: String::new(),
        figure_words: cross_section.words.clone(),
        cross_section,
    })
}

/// The cautions as a block.
#[must_use]
pub fn safety_view(cautions: Vec<Caution>, title: String) -> SafetyView {
    SafetyView {
        kind: "Cautions",
        title,
        cautions,
        closing: "Before anything said here come the safety data sheets of the products you use, your local rules and \
                  qualified advice. If you give soap away or sell it, local cosmetic law applies.",
    }
}

/// What a mould measures, for the figure.
#[must_use]
pub fn mould_words(computed: &Computed) -> Option<String> {
    let BatchSize::Mould(mould) = &computed.recipe.size else { return None };
    let millimetres = |it: crate::units::Length| short(it.to_millimetres(), 1);
    let across = match mould.shape {
        MouldShape::Box { width, .. } => format!("{} mm wide", millimetres(width)),
        MouldShape::Cylinder { diameter } => format!("{} mm across", millimetres(diameter)),
    };
    Some(format!("{across} and filled {} mm deep", millimetres(mould.fill_height)))
}

/// The values that sentences may name, for one recipe.
#[must_use]
pub fn values_of(computed: &Computed, units: Units) -> BTreeMap<String, Value> {
    let batch = &computed.batch;
    let mut values = amounts_of(computed, &|pick| amount(computed, units, pick).sentence());
    let unit_group = |weighed: &Weighed| Value::Group(amounts_of(computed, &|pick| reading(weighed, pick(weighed))));
    values.insert("grams".into(), unit_group(&computed.grams));
    values.insert("ounces".into(), unit_group(&computed.ounces));
    let conventions = &batch.water_conventions;
    let others = [
        plain_markdown(&computed.recipe.title),
        percent(batch.superfat_percent),
        percent(units.shown(computed)[0].superfat_percent),
        percent(conventions.lye_concentration_percent),
        short(conventions.water_per_lye, 2),
        percent(conventions.water_of_fats_percent),
    ];
    values.extend(OTHER_VALUES.iter().zip(others).map(|(name, text)| ((*name).to_owned(), Value::Text(text))));
    let shares = batch.fats.iter().map(|it| (it.id.clone(), Value::Text(percent(it.fraction * 100.0))));
    values.insert("percent".into(), Value::group(shares));
    values
}

/// The names of the values that sentences may use of a recipe which cannot be computed yet; the texts say nothing.
///
/// Every fat of the table counts as named: one that is misspelt in the recipe would be told again in each sentence.
#[must_use]
pub fn names_of(recipe: &RawRecipe, tables: &Tables) -> BTreeMap<String, Value> {
    let text = || Value::Text(String::new());
    let fat_names = || recipe.fats.iter().map(|it| &it.key.value).chain(tables.fats.keys());
    let fats = || Value::group(fat_names().map(|it| (it.clone(), text())));
    let mut amounts = BTreeMap::from([("fats".to_owned(), fats())]);
    for name in ["lye", "water", "solution"] {
        amounts.insert(name.into(), text());
    }
    amounts.insert("alkali".into(), Value::group(AlkaliKind::ALL.map(|it| (it.formula(), text()))));
    amounts.insert("total".into(), Value::group(["fats", "solution", "batch"].map(|it| (it, text()))));
    let layers = recipe
        .layers
        .iter()
        .filter_map(|it| it.name.as_ref())
        .map(|name| (layer_key(&name.value), Value::group(["fats", "solution", "poured"].map(|it| (it, text())))));
    amounts.insert("layers".into(), Value::group(layers));
    let mut names = amounts.clone();
    names.extend(["grams", "ounces"].map(|it| (it.to_owned(), Value::Group(amounts.clone()))));
    names.insert("percent".into(), fats());
    for name in OTHER_VALUES {
        names.insert(name.into(), text());
    }
    names
}

/// The values that are not amounts.
const OTHER_VALUES: [&str; 6] =
    ["title", "superfat", "superfat_as_weighed", "lye_concentration", "water_per_lye", "water_of_fats"];

/// The amounts that sentences may name, each worded by `word`.
fn amounts_of(computed: &Computed, word: &dyn Fn(Pick<'_>) -> String) -> BTreeMap<String, Value> {
    let batch = &computed.batch;
    let text = |pick: Pick<'_>| Value::Text(word(pick));
    let mut values = BTreeMap::new();
    let fats = batch.fats.iter().enumerate().map(|(idx, fat)| (fat.id.clone(), text(&|it| it.fats[idx])));
    values.insert("fats".into(), Value::group(fats));
    let alkalis =
        batch.alkalis.iter().enumerate().map(|(idx, it)| (it.kind.formula(), text(&|weighed| weighed.alkalis[idx])));
    values.insert("alkali".into(), Value::group(alkalis));
    if batch.alkalis.len() == 1 {
        values.insert("lye".into(), text(&|it| it.alkalis[0]));
    }
    values.insert("water".into(), text(&|it| it.water));
    values.insert("solution".into(), text(&Weighed::solution));
    values.insert(
        "total".into(),
        Value::group([
            ("fats", text(&|it| it.total_fats)),
            ("solution", text(&Weighed::solution)),
            ("batch", text(&Weighed::poured)),
        ]),
    );
    if !batch.layers.is_empty() {
        let layers = batch.layers.iter().enumerate().map(|(idx, layer)| {
            let parts = Value::group([
                ("fats", text(&|it| it.layers[idx].fats)),
                ("solution", text(&|it| it.layers[idx].solution)),
                ("poured", text(&|it| it.layers[idx].fats + it.layers[idx].solution)),
            ]);
            (layer.layer.key.clone(), parts)
        });
        values.insert("layers".into(), Value::group(layers));
    }
    values
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_shown_without_dust() {
        assert_eq!([short(5.0, 1), short(27.25, 1), short(1.25, 1), short(-0.01, 1)], ["5", "27.3", "1.3", "0"]);
        assert_eq!(exact(Mass::grams(128.675), ScaleUnit::Grams), "128.68\u{a0}g");
        assert_eq!(exact(Mass::grams(9.5), ScaleUnit::Grams), "9.500\u{a0}g");
    }
}
