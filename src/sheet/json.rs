//! Everything computed from one recipe, for programs.
//!
//! Layer 7. The form is part of what we promise: it has a version, and a JSON Schema made from these same types
//! (`kettlebook batch --schema`). Keys may be added within a version; a key that changes its meaning raises it.

use serde::Serialize;

use super::json_layers::{Layer, layers};
use crate::batch::{Input, Weighed, water_lost};
use crate::ledger::{Key, Kind, Ledger, Part as Of};
use crate::recipe::BatchSize;
use crate::show::reading_number;
use crate::units::{Mass, MolarMass, ScaleUnit, TimeSpan, Volume};

/// The version of the form.
const VERSION: u32 = 1;

/// Everything computed from one recipe.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[cfg_attr(feature = "schema", schemars(title = "Kettlebook batch"))]
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
    /// The paste made into a liquid: `paste`, `water`, `preservative` and `liquid`; empty where the recipe makes none.
    dilution: Vec<Amount>,
    /// What goes into each layer, in pouring order; empty when there are no layers.
    layers: Vec<Layer>,
    /// Superfat and water.
    shares: Vec<Share>,
    /// How sure the superfat is, for each scale.
    certainty: Vec<Certainty>,
    /// What comes of the batch; of a soap that is cooked also the water that it loses, of one that is diluted the soap in it, of
    /// each acid the salt that it becomes.
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
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct Quantity {
    /// What it is.
    name: String,
    /// Its value, not rounded; null where the tables do not reach so far.
    value: Option<f64>,
    /// Its unit.
    unit: &'static str,
}

/// A value with its unit.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct Exact {
    /// The value, not rounded.
    pub(super) value: f64,
    /// Its unit: `g`, `%` or `1` for a plain ratio.
    pub(super) unit: &'static str,
}

/// An amount as a scale shows it.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct Printed {
    /// The reading.
    value: f64,
    /// Unit of the scale: `g` or `oz`.
    unit: &'static str,
    /// The reading as the pages print it.
    text: String,
}

/// Something that is weighed.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct Amount {
    /// `water`, `liquid`, `acid`, `alkali`, with lye solution made beforehand `stock` and `further-water` in place of `alkali` and
    /// `water`, `fat`, `extra`, `layer-extra`, `late-fat`, `total-solution`, `total-fats` or
    /// `total-batch`; of a recipe with layers blended one by one also `solution-left`, the lye solution that stays in the jug;
    /// of one whose batter is divided `total-batter`. In
    /// `dilution` always `dilution`.
    part: &'static str,
    /// Name in recipes; for totals the same as `part`.
    id: String,
    /// The name of the layer in sentences, of what goes into one layer alone.
    layer: Option<String>,
    /// Exact, in grams.
    exact: Exact,
    /// On each scale of the course.
    printed: Vec<Printed>,
}

/// A share or ratio.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct Share {
    /// `superfat`, `free-fat`, `lye-concentration`, `water-per-lye` or `water-of-fats`.
    name: &'static str,
    /// Exact.
    exact: Exact,
}

/// How sure the superfat is on one scale, in percent.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
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
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct Contributor {
    /// Such as `saponification-value olive` or `reading NaOH`.
    input: String,
    /// How far the superfat moves when the input goes to the end of its range, percentage points.
    half_width: f64,
    /// Part of the variance, percent.
    share: f64,
}

/// The JSON of one recipe; ends with a line break.
///
/// # Errors
///
/// When it cannot be written as JSON: then there is no text at all, not half of one.
pub fn batch_json(ledger: &Ledger) -> Result<String, serde_json::Error> {
    pretty(&report(ledger))
}

/// The JSON Schema of [`batch_json`]; ends with a line break.
///
/// # Errors
///
/// As [`batch_json`].
#[cfg(feature = "schema")]
pub fn batch_schema() -> Result<String, serde_json::Error> {
    pretty(&schemars::schema_for!(BatchReport))
}

pub(crate) fn pretty(value: &impl Serialize) -> Result<String, serde_json::Error> {
    let mut text = serde_json::to_string_pretty(value)?;
    text.push('\n');
    Ok(text)
}

fn report(ledger: &Ledger) -> BatchReport {
    let composition = &ledger.composition;
    let batch = &ledger.batch;
    let amounts = ledger.weighed_out().filter_map(|figure| {
        let (part, id) = part_and_id(figure.part, ledger)?;
        let layer = figure.key.layer.as_ref().map(ToString::to_string);
        Some(Amount { layer, ..amount(ledger, &figure.key, part, id)? })
    });
    let totals = [
        (Kind::Solution, "total-solution"),
        (Kind::SolutionLeft, "solution-left"),
        (Kind::TotalFats, "total-fats"),
        (Kind::TotalBatter, "total-batter"),
        (Kind::TotalBatch, "total-batch"),
    ];
    let totals = totals.into_iter().filter_map(|(kind, name)| amount(ledger, &Key::one(kind), name, name));
    let amounts = amounts.chain(totals).collect();
    let dilution = [
        (Kind::DilutionPaste, "paste"),
        (Kind::DilutionWater, "water"),
        (Kind::DilutionPreservative, "preservative"),
        (Kind::DilutionLiquid, "liquid"),
    ];
    let dilution = dilution.into_iter().filter_map(|(kind, name)| amount(ledger, &Key::one(kind), "dilution", name));
    let dilution = dilution.collect();
    let conventions = &batch.water_conventions;
    let share = |name, value, unit| Share { name, exact: Exact { value, unit } };
    BatchReport {
        version: VERSION,
        recipe: ledger.recipe.id.clone(),
        title: ledger.recipe.title.clone(),
        vessels: vessel_quantities(ledger),
        times: times(ledger),
        cautions: ledger.cautions.iter().map(|it| it.words.clone()).collect(),
        mould: match &ledger.recipe.size {
            BatchSize::Mould(mould) => Some(mould.id.clone()),
            BatchSize::Fats(_) => None,
        },
        layers: layers(ledger),
        amounts,
        dilution,
        shares: vec![
            share("superfat", batch.superfat_percent, "%"),
            share("free-fat", batch.free_fat_percent(), "%"),
            share("lye-concentration", conventions.lye_concentration_percent, "%"),
            share("water-per-lye", conventions.water_per_lye, "1"),
            share("water-of-fats", conventions.water_of_fats_percent, "%"),
        ],
        certainty: [ScaleUnit::Grams, ScaleUnit::Ounces].map(|it| certainty(ledger, it)).into(),
        outcome: outcome(ledger),
        lye: lye(ledger),
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

/// What an amount is of, and its name in recipes.
fn part_and_id(part: Of, ledger: &Ledger) -> Option<(&'static str, &str)> {
    let batch = &ledger.batch;
    Some(match part {
        Of::Water => ("water", "water"),
        Of::Stock => ("stock", "stock"),
        Of::FurtherWater => ("further-water", "further-water"),
        Of::Liquid(idx) => ("liquid", &batch.liquids[idx].id),
        Of::Acid(idx) => ("acid", &batch.acids[idx].id),
        Of::Alkali(idx) => ("alkali", batch.alkalis[idx].kind.formula()),
        Of::Fat(idx) => ("fat", &batch.fats[idx].id),
        Of::Extra(idx) => ("extra", &batch.extras[idx].id),
        Of::LateFat(idx) => ("late-fat", &batch.late_fats[idx].id),
        Of::InfusionOil(idx) => ("infusion-oil", &batch.fats[batch.infusions[idx].fat_idx].id),
        Of::InfusionPlant(idx) => ("infusion-plant", &batch.fats[batch.infusions[idx].fat_idx].id),
        Of::LayerExtra(layer_idx, idx) => ("layer-extra", &batch.layers[layer_idx].extras[idx].id),
        Of::Whole | Of::Layer(_) | Of::LayerShared(..) => return None,
    })
}

fn amount(ledger: &Ledger, key: &Key, part: &'static str, id: &str) -> Option<Amount> {
    let amount = ledger.figure(key)?.amount;
    let scales = [&ledger.grams, &ledger.ounces];
    let reading = |it: &Weighed| amount.reading(it.scale.unit).unwrap_or_default();
    let (exact, printed) = (grams(amount.mass()?), printed(&scales, &reading));
    Some(Amount { part, id: id.to_owned(), layer: None, exact, printed })
}

fn vessel_quantities(ledger: &Ledger) -> Vec<Quantity> {
    let vessels = &ledger.vessels;
    vec![
        quantity("lye", vessels.lye.map(Volume::to_millilitres), "mL"),
        quantity("pot", Some(vessels.pot.to_millilitres()), "mL"),
    ]
}

fn times(ledger: &Ledger) -> Vec<Quantity> {
    let it = &ledger.timeline;
    let minutes = |name, time: Option<TimeSpan>| quantity(name, time.map(TimeSpan::to_minutes), "min");
    vec![
        minutes("bench", Some(it.bench_length)),
        minutes("mould-shortest", it.mould.map(|it| it.shortest)),
        minutes("mould-longest", it.mould.map(|it| it.longest)),
        minutes("cure-shortest", it.cure.map(|it| it.shortest)),
        minutes("cure-longest", it.cure.map(|it| it.longest)),
    ]
}

pub(super) fn quantity(name: &str, value: Option<f64>, unit: &'static str) -> Quantity {
    Quantity { name: name.to_owned(), value, unit }
}

fn outcome(ledger: &Ledger) -> Vec<Quantity> {
    let it = &ledger.yields;
    let (recipe, batch) = (&ledger.recipe, &ledger.batch);
    let of_pot =
        recipe.pot.iter().map(|_| quantity("water-lost-in-the-pot", Some(water_lost(recipe, batch).to_grams()), "g"));
    let of_dilution = ledger.dilution.zip(recipe.dilute.as_ref()).map(|(it, dilute)| {
        [
            quantity("soap-without-water", Some(it.soap.to_grams()), "g"),
            quantity("soap-in-paste", Some(it.soap_in_paste_percent()), "%"),
            quantity("soap-in-liquid", Some(dilute.soap.to_percent()), "%"),
            quantity("volume-of-liquid", it.volume.map(Volume::to_millilitres), "mL"),
        ]
    });
    let salts = batch
        .acids
        .iter()
        .filter_map(|it| Some(quantity(&format!("salt-from {}", it.id), Some(it.salt?.to_grams()), "g")));
    let own = vec![
        quantity("poured", Some(it.poured.to_grams()), "g"),
        quantity("cured", Some(it.cured.to_grams()), "g"),
        quantity("moisture-when-cured", Some(it.moisture.to_percent()), "%"),
        quantity("glycerol", Some(it.glycerol.to_grams()), "g"),
        quantity("total-fatty-matter-when-cured", Some(it.fatty_matter_percent), "%"),
    ];
    own.into_iter().chain(of_pot).chain(of_dilution.into_iter().flatten()).chain(salts).collect()
}

fn lye(ledger: &Ledger) -> Vec<Quantity> {
    let stock = ledger.stock.zip(ledger.batch.stock);
    let of_stock = stock.map(|(facts, it)| {
        [
            quantity("stock-lye-concentration", Some(it.strength.to_percent()), "%"),
            quantity("stock-pure-alkali", Some(it.pure_percent), "%"),
            quantity("stock-hottest-from-tap-water", facts.hottest_celsius[0], "°C"),
            quantity("stock-crystallises-below", facts.crystals_below_celsius, "°C"),
        ]
    });
    let own = vec![
        quantity("pure-alkali", Some(ledger.batch.pure_concentration_percent), "%"),
        quantity("volume-when-poured", ledger.lye_volume.map(Volume::to_millilitres), "mL"),
        quantity("hottest-from-tap-water", ledger.hottest_celsius[0], "°C"),
    ];
    own.into_iter().chain(of_stock.into_iter().flatten()).collect()
}

pub(super) fn grams(mass: Mass) -> Exact {
    Exact { value: mass.to_grams(), unit: "g" }
}

pub(super) fn printed(scales: &[&Weighed; 2], pick: &dyn Fn(&Weighed) -> u64) -> Vec<Printed> {
    let printed = scales.iter().map(|weighed| {
        let scale = weighed.scale;
        let number = reading_number(scale, pick(weighed));
        Printed {
            // The number that is printed, not its binary neighbour: 8.65 and not 8.650000000000002.
            value: number.parse().unwrap_or_default(),
            unit: scale.unit.symbol(),
            text: format!("{number} {}", scale.unit.symbol()),
        }
    });
    printed.collect()
}

fn certainty(ledger: &Ledger, unit: ScaleUnit) -> Certainty {
    let (it, weighed) = (ledger.certainty(unit), ledger.weighed(unit));
    let batch = &ledger.batch;
    let contributions = it.contributions.iter().map(|it| Contributor {
        input: match it.input {
            Input::SaponificationValue(idx) => format!("saponification-value {}", batch.fats[idx].id),
            Input::Purity(kind) => format!("purity {}", kind.formula()),
            Input::FatReading(idx) => format!("reading {}", batch.fats[idx].id),
            Input::AlkaliReading(kind) => format!("reading {}", kind.formula()),
            Input::StockStrength(kind) => format!("strength of the stock of {}", kind.formula()),
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

#[cfg(test)]
mod tests {
    use super::pretty;
    use serde::ser::{Error as _, Serialize, Serializer};

    struct Refuses;

    impl Serialize for Refuses {
        fn serialize<S: Serializer>(&self, _: S) -> Result<S::Ok, S::Error> {
            Err(S::Error::custom("it cannot be written"))
        }
    }

    #[test]
    fn what_cannot_be_written_is_an_error_and_no_empty_text() {
        assert!(pretty(&Refuses).is_err());
    }
}
