//! Everything computed from one recipe, for programs.
//!
//! Layer 6. The form is part of what we promise: it has a version, and a JSON Schema made from these same types
//! (`kettlebook batch --schema`). Keys may be added within a version; a key that changes its meaning raises it.

use schemars::{JsonSchema, Schema, schema_for};
use serde::Serialize;

use crate::batch::{
    Input, Weighed, composition, hottest_lye, lye_volume, superfat_uncertainty, timeline, vessels, wait_after, yields,
};
use crate::page::Computed;
use crate::recipe::BatchSize;
use crate::tables::{AlkaliKind, Tables};
use crate::units::{Length, Mass, MolarMass, TimeSpan, Volume};

/// The version of the form.
const VERSION: u32 = 1;

/// Everything computed from one recipe.
#[derive(Serialize, JsonSchema)]
#[schemars(title = "Kettlebook batch")]
struct BatchReport {
    /// Version of this form.
    version: u32,
    /// The recipe's name, which is its file's name without the ending.
    recipe: String,
    /// The recipe's title.
    title: String,
    /// The mould that sets the size, if one does.
    mould: Option<String>,
    /// What is weighed out, in the order of use, and the totals.
    amounts: Vec<Amount>,
    /// What goes into each layer, in pouring order; empty when there are no layers.
    layers: Vec<Layer>,
    /// Superfat and water.
    shares: Vec<Share>,
    /// How sure the superfat is, for each scale.
    certainty: Vec<Certainty>,
    /// What comes of the batch.
    outcome: Vec<Quantity>,
    /// The lye: strength of the pure alkali, volume, and the hottest it can get.
    lye: Vec<Quantity>,
    /// Percent of all fatty acids by the acid's name, of the fats whose acids are known.
    fatty_acids: Vec<Quantity>,
    /// Figures of the blend of fats.
    blend: Vec<Quantity>,
    /// The least volumes of the vessel for the lye and of the pot, by how full a stick blender lets them be.
    vessels: Vec<Quantity>,
    /// The bench, the mould and the cure, in minutes.
    times: Vec<Quantity>,
    /// What the recipe's warnings say to the student.
    cautions: Vec<String>,
}

/// A named value with its unit.
#[derive(Serialize, JsonSchema)]
struct Quantity {
    /// What it is.
    name: String,
    /// Its value, not rounded; null where the tables do not reach so far.
    value: Option<f64>,
    /// Its unit.
    unit: &'static str,
}

/// A value with its unit.
#[derive(Serialize, JsonSchema)]
struct Exact {
    /// The value, not rounded.
    value: f64,
    /// Its unit: `g`, `%` or `1` for a plain ratio.
    unit: &'static str,
}

/// An amount as a scale shows it.
#[derive(Serialize, JsonSchema)]
struct Printed {
    /// The reading.
    value: f64,
    /// Unit of the scale: `g` or `oz`.
    unit: &'static str,
    /// The reading as the pages print it.
    text: String,
}

/// Something that is weighed.
#[derive(Serialize, JsonSchema)]
struct Amount {
    /// `water`, `liquid`, `acid`, `alkali`, `fat`, `extra`, `late-fat`, `total-solution`, `total-fats` or `total-batch`.
    part: &'static str,
    /// Name in recipes; for totals the same as `part`.
    id: String,
    /// Exact, in grams.
    exact: Exact,
    /// On each scale of the course.
    printed: Vec<Printed>,
}

/// A layer.
#[derive(Serialize, JsonSchema)]
struct Layer {
    /// Name.
    name: String,
    /// Share of the batter.
    share: Exact,
    /// How thick it lies in the mould, where there is one; volume; least volume of its vessel; how long it takes until it
    /// is firm but still tacky.
    measures: Vec<Quantity>,
    /// Its part of the blended batter, where that is what is divided; then fats and solution only say what is in it.
    batter: Option<Part>,
    /// Everything that is poured.
    poured: Part,
    /// Fats.
    fats: Part,
    /// Lye.
    solution: Part,
    /// What goes into it alone.
    extras: Vec<LayerExtra>,
}

/// An additive of one layer.
#[derive(Serialize, JsonSchema)]
struct LayerExtra {
    /// Name in recipes.
    id: String,
    /// How much.
    amount: Part,
}

/// A part of a layer.
#[derive(Serialize, JsonSchema)]
struct Part {
    /// Exact, in grams.
    exact: Exact,
    /// On each scale of the course.
    printed: Vec<Printed>,
}

/// A share or ratio.
#[derive(Serialize, JsonSchema)]
struct Share {
    /// `superfat`, `free-fat`, `lye-concentration`, `water-per-lye` or `water-of-fats`.
    name: &'static str,
    /// Exact.
    exact: Exact,
}

/// How sure the superfat is on one scale, in percent.
#[derive(Serialize, JsonSchema)]
struct Certainty {
    /// Unit of the scale.
    unit: &'static str,
    /// Smallest step of the scale, in that unit.
    division: f64,
    /// Superfat of the printed amounts.
    superfat: f64,
    /// Standard uncertainty, percentage points.
    standard_uncertainty: f64,
    /// Low end of the likely interval.
    likely_low: f64,
    /// High end of the likely interval.
    likely_high: f64,
    /// Everything at its worst at once.
    worst: f64,
    /// What matters, most first.
    contributions: Vec<Contributor>,
}

/// One input of the superfat.
#[derive(Serialize, JsonSchema)]
struct Contributor {
    /// Such as `saponification-value olive` or `reading NaOH`.
    input: String,
    /// How far the superfat moves when the input goes to the end of its range, percentage points.
    half_width: f64,
    /// Part of the variance, percent.
    share: f64,
}

/// The JSON of one recipe; ends with a line break.
#[must_use]
pub fn batch_json(computed: &Computed, tables: &Tables) -> String {
    pretty(&report(computed, tables))
}

/// The JSON Schema of [`batch_json`]; ends with a line break.
#[must_use]
pub fn batch_schema() -> String {
    let schema: Schema = schema_for!(BatchReport);
    pretty(&schema)
}

fn pretty(value: &impl Serialize) -> String {
    let mut text = serde_json::to_string_pretty(value).unwrap_or_default();
    text.push('\n');
    text
}

fn report(computed: &Computed, tables: &Tables) -> BatchReport {
    let composition = composition(&computed.recipe.fats, tables);
    let (batch, scales) = (&computed.batch, [&computed.grams, &computed.ounces]);
    let mut amounts = Vec::new();
    let mut add = |part, id: &str, mass, pick: &dyn Fn(&Weighed) -> u64| {
        amounts.push(Amount { part, id: id.to_owned(), exact: grams(mass), printed: printed(&scales, pick) });
    };
    add("water", "water", batch.plain_water, &|it| it.water);
    for (idx, it) in batch.liquids.iter().enumerate() {
        add("liquid", &it.id, it.mass, &|weighed| weighed.liquids[idx]);
    }
    for (idx, it) in batch.acids.iter().enumerate() {
        add("acid", &it.id, it.mass, &|weighed| weighed.acids[idx]);
    }
    for (idx, it) in batch.alkalis.iter().enumerate() {
        add("alkali", it.kind.formula(), it.mass, &|weighed| weighed.alkalis[idx]);
    }
    for (idx, it) in batch.fats.iter().enumerate() {
        add("fat", &it.id, it.mass, &|weighed| weighed.fats[idx]);
    }
    for (idx, it) in batch.extras.iter().enumerate() {
        add("extra", &it.id, it.mass, &|weighed| weighed.extras[idx]);
    }
    for (idx, it) in batch.late_fats.iter().enumerate() {
        add("late-fat", &it.id, it.mass, &|weighed| weighed.late_fats[idx]);
    }
    add("total-solution", "total-solution", batch.solution, &Weighed::solution);
    add("total-fats", "total-fats", batch.total_fats, &|it| it.total_fats);
    add("total-batch", "total-batch", batch.poured(), &Weighed::poured);
    let layers = batch.layers.iter().enumerate().map(|(idx, it)| Layer {
        name: it.name.clone(),
        share: Exact { value: it.fraction * 100.0, unit: "%" },
        measures: layer_measures(computed, idx, tables),
        batter: batch.batter_is_divided.then(|| Part {
            exact: grams(it.batter()),
            printed: printed(&scales, &|weighed| weighed.layers[idx].batter.unwrap_or_default()),
        }),
        poured: Part { exact: grams(it.poured()), printed: printed(&scales, &|weighed| weighed.layers[idx].poured()) },
        fats: Part { exact: grams(it.fats), printed: printed(&scales, &|weighed| weighed.layers[idx].fats) },
        solution: Part {
            exact: grams(it.solution),
            printed: printed(&scales, &|weighed| weighed.layers[idx].solution),
        },
        extras: it
            .extras
            .iter()
            .enumerate()
            .map(|(extra_idx, it)| LayerExtra {
                id: it.id.clone(),
                amount: Part {
                    exact: grams(it.mass),
                    printed: printed(&scales, &|weighed| weighed.layers[idx].extras[extra_idx]),
                },
            })
            .collect(),
    });
    let conventions = &batch.water_conventions;
    let share = |name, value, unit| Share { name, exact: Exact { value, unit } };
    BatchReport {
        version: VERSION,
        recipe: computed.recipe.id.clone(),
        title: computed.recipe.title.clone(),
        vessels: vessel_quantities(computed, tables),
        times: times(computed, tables),
        cautions: computed.cautions.iter().map(|it| it.words.clone()).collect(),
        mould: match &computed.recipe.size {
            BatchSize::Mould(mould) => Some(mould.id.clone()),
            BatchSize::Fats(_) => None,
        },
        layers: layers.collect(),
        amounts,
        shares: vec![
            share("superfat", batch.superfat_percent, "%"),
            share("free-fat", batch.free_fat_percent(), "%"),
            share("lye-concentration", conventions.lye_concentration_percent, "%"),
            share("water-per-lye", conventions.water_per_lye, "1"),
            share("water-of-fats", conventions.water_of_fats_percent, "%"),
        ],
        certainty: scales.iter().map(|it| certainty(computed, it)).collect(),
        outcome: outcome(computed, tables),
        lye: lye(computed, tables),
        fatty_acids: composition.acids.iter().map(|it| quantity(&it.acid.id, Some(it.percent), "%")).collect(),
        blend: vec![
            quantity("fats-with-known-acids", Some(composition.known_fraction * 100.0), "%"),
            quantity("iodine-value", composition.iodine_value, "g/100 g"),
            quantity(
                "mean-molar-mass-of-acids",
                composition.mean_molar_mass.map(MolarMass::to_grams_per_mole),
                "g/mol",
            ),
            quantity("saponification-value-predicted", composition.sap_values.map(|it| it.predicted), "mg/g"),
            quantity("saponification-value-used", composition.sap_values.map(|it| it.table), "mg/g"),
        ],
    }
}

fn layer_measures(computed: &Computed, layer_idx: usize, tables: &Tables) -> Vec<Quantity> {
    let (recipe, batch) = (&computed.recipe, &computed.batch);
    let layer = &batch.layers[layer_idx];
    let is_last = layer_idx + 1 == batch.layers.len();
    let wait = (!is_last).then(|| wait_after(recipe, layer_idx, tables).0.to_minutes());
    vec![
        quantity("thickness", layer.thickness.map(Length::to_millimetres), "mm"),
        quantity("volume", Some(layer.volume.to_millilitres()), "mL"),
        quantity("vessel", Some(vessels(recipe, batch, tables).layers[layer_idx].to_millilitres()), "mL"),
        quantity("wait", wait, "min"),
    ]
}

fn vessel_quantities(computed: &Computed, tables: &Tables) -> Vec<Quantity> {
    let vessels = vessels(&computed.recipe, &computed.batch, tables);
    vec![
        quantity("lye", vessels.lye.map(Volume::to_millilitres), "mL"),
        quantity("pot", Some(vessels.pot.to_millilitres()), "mL"),
    ]
}

fn times(computed: &Computed, tables: &Tables) -> Vec<Quantity> {
    let it = timeline(&computed.recipe, tables);
    let minutes = |name, time: Option<TimeSpan>| quantity(name, time.map(TimeSpan::to_minutes), "min");
    vec![
        minutes("bench", Some(it.bench_length)),
        minutes("mould-shortest", it.mould.map(|it| it.shortest)),
        minutes("mould-longest", it.mould.map(|it| it.longest)),
        minutes("cure-shortest", it.cure.map(|it| it.shortest)),
        minutes("cure-longest", it.cure.map(|it| it.longest)),
    ]
}

fn quantity(name: &str, value: Option<f64>, unit: &'static str) -> Quantity {
    Quantity { name: name.to_owned(), value, unit }
}

fn outcome(computed: &Computed, tables: &Tables) -> Vec<Quantity> {
    let it = yields(&computed.recipe, &computed.batch, tables, tables.limits.cured_moisture);
    vec![
        quantity("poured", Some(it.poured.to_grams()), "g"),
        quantity("cured", Some(it.cured.to_grams()), "g"),
        quantity("moisture-when-cured", Some(it.moisture.to_percent()), "%"),
        quantity("glycerol", Some(it.glycerol.to_grams()), "g"),
        quantity("total-fatty-matter-when-cured", Some(it.fatty_matter_percent), "%"),
    ]
}

fn lye(computed: &Computed, tables: &Tables) -> Vec<Quantity> {
    let (batch, limits) = (&computed.batch, &tables.limits);
    let pure = |kind| batch.alkalis.iter().filter(|it| it.kind == kind).map(|it| it.pure).sum::<Mass>();
    let hottest =
        hottest_lye(pure(AlkaliKind::NaOH), pure(AlkaliKind::KOH), batch.water, 0.0, limits.tap_water_celsius, tables);
    let volume = lye_volume(batch, limits.pouring_temperature_celsius, tables);
    vec![
        quantity("pure-alkali", Some(batch.pure_concentration_percent), "%"),
        quantity("volume-when-poured", volume.map(|it| it.to_millilitres()), "mL"),
        quantity("hottest-from-tap-water", hottest.in_range.then_some(hottest.celsius), "°C"),
    ]
}

fn grams(mass: Mass) -> Exact {
    Exact { value: mass.to_grams(), unit: "g" }
}

fn printed(scales: &[&Weighed; 2], pick: &dyn Fn(&Weighed) -> u64) -> Vec<Printed> {
    let printed = scales.iter().map(|weighed| {
        let scale = weighed.scale;
        let number = format!("{:.*}", scale.decimals(), scale.value(pick(weighed)));
        Printed {
            // The number that is printed, not its binary neighbour: 8.65 and not 8.650000000000002.
            value: number.parse().unwrap_or_default(),
            unit: scale.unit.symbol(),
            text: format!("{number} {}", scale.unit.symbol()),
        }
    });
    printed.collect()
}

fn certainty(computed: &Computed, weighed: &Weighed) -> Certainty {
    let it = superfat_uncertainty(&computed.recipe, &computed.batch, weighed);
    let batch = &computed.batch;
    let contributions = it.contributions.iter().map(|it| Contributor {
        input: match it.input {
            Input::SaponificationValue(idx) => format!("saponification-value {}", batch.fats[idx].id),
            Input::Purity(kind) => format!("purity {}", kind.formula()),
            Input::FatReading(idx) => format!("reading {}", batch.fats[idx].id),
            Input::AlkaliReading(kind) => format!("reading {}", kind.formula()),
            Input::AcidReading(idx) => format!("reading {}", batch.acids[idx].id),
        },
        half_width: it.half_width_percent,
        share: it.share_percent,
    });
    Certainty {
        unit: weighed.scale.unit.symbol(),
        division: weighed.scale.division,
        superfat: it.superfat_percent,
        standard_uncertainty: it.standard_percent,
        likely_low: it.likely_percent.0,
        likely_high: it.likely_percent.1,
        worst: it.worst_percent,
        contributions: contributions.collect(),
    }
}
