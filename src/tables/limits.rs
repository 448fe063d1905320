//! The rows of limits.toml: one number each, or two.
//!
//! Layer 1.

use std::collections::BTreeMap;

use super::value::{Row, read_value, require_source};
use super::{AlkaliKind, FatKind};
use crate::finding::{Finding, nearest};
use crate::reader::NodeValue;
use crate::units::{Density, Length, MILLILITRES_PER_TEASPOON, Mass, MolarMass, Percent, TimeSpan, Volume};

/// A US fluid ounce is six teaspoons (NIST SP 811, Appendix B.8).
const MILLILITRES_PER_FLUID_OUNCE: f64 = 6.0 * MILLILITRES_PER_TEASPOON;

/// The limits, fallbacks and constants of `limits.toml`.
#[derive(Clone, Debug, PartialEq)]
pub struct Limits {
    /// Alkali in the lye that the trade uses, percent by mass: low and high.
    pub usual_lye_concentration_percent: (f64, f64),
    /// Temperature of cold water from the tap.
    pub tap_water_celsius: f64,
    /// How far a purity may lie from a single figure, percentage points.
    pub purity_tolerance_percent: f64,
    /// The most lye solution that is made beforehand in one vessel.
    pub largest_stock_jug: Mass,
    /// Water for shreds of finished soap that are melted down again, percent of the shreds.
    pub rebatch_water_percent: (f64, f64),
    /// How far the strength of lye solution made beforehand may be off, in percentage points.
    pub stock_tolerance_percent: f64,
    /// From here on the lye counts as strong.
    pub strong_lye_concentration_percent: f64,
    /// How far what was weighed may lie from the card, percent, before the number itself is taken for the slip.
    pub believable_misweighing_percent: f64,
    /// Above this a superfat is taken for a slip.
    pub highest_usual_superfat_percent: f64,
    /// Density of a fat whose row has none.
    pub fat_density: Density,
    /// Density of water at 20 °C.
    pub water_density: Density,
    /// Temperature of the lye when a mould is filled.
    pub pouring_temperature_celsius: f64,
    /// Water in a cured bar.
    pub cured_moisture: Percent,
    /// Superfat that the trade uses for a bar, percent: low and high.
    pub usual_superfat_percent: (f64, f64),
    /// How full a mould may be against its fill height, percent: low and high.
    pub mould_fill_percent: (f64, f64),
    /// How thick bars are cut.
    pub usual_cut_millimetres: (f64, f64),
    /// The most oil in which additives are dispersed, percent of the fats that it goes with.
    pub most_dispersing_oil_percent: f64,
    /// The same of water and glycerol.
    pub most_dispersing_water_percent: f64,
    /// The sides of a bar that is cut from a slab in both directions, in millimetres.
    pub usual_bar_side_millimetres: (f64, f64),
    /// How full a vessel is in which a stick blender works.
    pub vessel_fill: Percent,
    /// How full a vessel is in which something foams or rises.
    pub foaming_vessel_fill: Percent,
    /// The sizes in which vessels are sold, smallest first, for courses in grams.
    pub vessel_sizes: Vec<Volume>,
    /// The same for courses in ounces alone.
    pub vessel_sizes_in_ounces: Vec<Volume>,
    /// How far the lining of a mould stands up above the soap.
    pub lining_above_soap: Length,
    /// How warm the fats are when the lye is poured to them, degrees Celsius: low and high.
    pub fats_when_poured_celsius: (f64, f64),
    /// How warm the lye is then.
    pub lye_when_poured_celsius: (f64, f64),
    /// How much oil a dry plant keeps, times its own mass: least and most.
    pub oil_kept_by_plant: (f64, f64),
    /// How much more strained oil is made than a recipe needs, percent.
    pub infusion_spare_percent: f64,
    /// How long a layer takes until it is firm but still tacky.
    pub layer_wait: LayerWait,
    /// The same for a layer with much clay or another powder that thickens it.
    pub thick_layer_wait: LayerWait,
    /// By how much each step of trace short of medium lengthens the wait of a plain layer.
    pub trace_wait: LayerWait,
    /// How much longer each step of trace beyond light takes to blend, shortest and longest.
    pub trace_blend: (TimeSpan, TimeSpan),
    /// Up to how much of what thickens a layer it waits as a plain one, and from how much on as a thick one, percent of its fats.
    pub layer_thickening_percent: (f64, f64),
    /// How long a blended batter can be poured.
    pub batter_fluid: TimeSpan,
    /// The same with something in it that brings trace on sooner.
    pub quick_batter_fluid: TimeSpan,
    /// The least times of steps that a recipe may state: dangerous below the first, unusual below the second; in the order of
    /// [`LEAST_TIME_KEYS`].
    pub least_times: [(TimeSpan, TimeSpan); LEAST_TIME_KEYS.len()],
    /// The least purity of an alkali that is not taken for a slip.
    pub least_purity_percent: f64,
    /// Below this iodine value a fat counts as solid, g iodine per 100 g.
    pub solid_below_iodine_value: f64,
    /// A fat whose row names less of its fatty acids than this is told of.
    pub least_named_acids_percent: f64,
    /// Below this share nothing is said about a group of fatty acids.
    pub least_told_acids_percent: f64,
    /// Molar mass of glycerol.
    pub glycerol_molar_mass: MolarMass,
    /// Molar mass of water.
    pub water_molar_mass: MolarMass,
    /// Heat that melts a gram of ice at 0 °C.
    pub ice_melting_joules_per_gram: f64,
    /// Where water boils.
    pub water_boiling_celsius: f64,
    /// How far a molar mass may lie from the embedded one, of that.
    pub molar_mass_tolerance: Percent,
    /// The same of a heat.
    pub heat_tolerance: Percent,
    /// Molar masses of fatty acids that there are, g/mol.
    pub natural_acid_molar_mass: (f64, f64),
    /// Relative densities of fats that there are.
    pub natural_fat_density: (f64, f64),
    /// Densities of what goes into a soap besides, without the air between its grains, g/mL.
    pub natural_additive_density: (f64, f64),
    /// The same as a spoon takes it.
    pub natural_bulk_density: (f64, f64),
    /// Saponification values of fats whose acids nobody states, in the order of `FatKind::ALL`.
    pub usual_sap_values: [(f64, f64); FatKind::ALL.len()],
    /// How far a saponification value may lie below and above what the fat's own acids come to, percent of that.
    pub sap_value_off_acids_percent: [f64; 2],
    /// How far the value of a fat may lie from a single figure, of that figure.
    pub sap_value_tolerance: Percent,
    /// What the middles of a fat's acids may add up to, percent.
    pub fatty_acid_sum_percent: (f64, f64),
    /// Purities of alkalis as they are sold, percent, in the order of [`AlkaliKind::ALL`].
    pub usual_purity_percent: [(f64, f64); AlkaliKind::ALL.len()],
    /// Soap without water in a liquid soap, percent.
    pub usual_soap_in_liquid_percent: (f64, f64),
    /// Preservative in a finished liquid, percent.
    pub usual_preservative_percent: (f64, f64),
    /// The most sodium hydroxide in the alkali of a soap that is to stay liquid, percent of the saponification.
    pub most_sodium_in_liquid_percent: f64,
    /// The strength in which an acid is stirred into a paste with free alkali in it.
    pub neutralising_acid: Percent,
    /// The most that is titrated at once.
    pub largest_titrated_sample: Mass,
    /// The smallest division of a burette.
    pub burette_division: Volume,
    /// Free caustic alkali in a bar, percent: mild up to the first, set aside above the second.
    pub free_alkali_in_bar_percent: (f64, f64),
    /// How far the ends of a titrated purity may lie apart, percentage points.
    pub widest_purity_percent: f64,
    /// More free alkali in a bar than this, percent, is taken for a slip.
    pub believable_free_alkali_percent: f64,
    /// How long steps take where the recipe does not say, shortest and longest, in the order of [`TIME_KEYS`].
    pub times: [(TimeSpan, TimeSpan); TIME_KEYS.len()],
}

impl Limits {
    /// What a triglyceride weighs more than its three fatty acids, g/mol: glycerol less three of water, 38.048.
    #[must_use]
    pub fn glycerol_residue_grams_per_mole(&self) -> f64 {
        self.glycerol_molar_mass.to_grams_per_mole() - 3.0 * self.water_molar_mass.to_grams_per_mole()
    }
}

/// How long a layer takes until it carries the next.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LayerWait {
    /// Common practice.
    pub usual: TimeSpan,
    /// From here on the next layer may not bind to it.
    pub longest: TimeSpan,
}

/// The keys of a recipe's `[times]`, in the order of the work. `melt` and `slurry` go on while the lye cools; `cook` is a step only
/// where a recipe states it.
pub const TIME_KEYS: [&str; 13] = [
    "lay-out",
    "lye",
    "lye-cools",
    "melt",
    "slurry",
    "blend",
    "divide",
    "additives",
    "pour",
    "cook",
    "wash-up",
    "mould",
    "cure",
];

/// The keys of a recipe's `[times]` that are judged by how short they are.
pub const LEAST_TIME_KEYS: [&str; 4] = ["lye-cools", "cook", "mould", "cure"];

/// The rows of limits.toml, taken one by one.
struct LimitRows<'a> {
    rows: BTreeMap<String, Row<'a>>,
    known: Vec<String>,
    findings: Vec<Finding>,
}

impl<'a> LimitRows<'a> {
    /// # Panics
    ///
    /// If the embedded file lacks the row, or what `read` takes from it.
    fn take<T>(&mut self, id: &str, read: impl FnOnce(&mut Row<'a>) -> Option<T>) -> T {
        self.known.push(id.to_owned());
        let mut row = self.rows.remove(id).expect("the embedded table has every limit");
        let limit = read(&mut row);
        self.findings.extend(row.finish());
        limit.expect("an embedded limit is whole")
    }

    fn value(&mut self, id: &str, low: f64, high: f64) -> f64 {
        self.take(id, |row| row.last(|file| read_value(file, id, (low, high)))).number
    }

    fn percent(&mut self, id: &str, low: f64, high: f64) -> Percent {
        Percent::percent(self.value(id, low, high))
    }

    fn density(&mut self, id: &str, low: f64, high: f64) -> Density {
        Density::grams_per_millilitre(self.value(id, low, high))
    }

    fn molar_mass(&mut self, id: &str, low: f64, high: f64) -> MolarMass {
        MolarMass::grams_per_mole(self.value(id, low, high))
    }

    fn ends(&mut self, id: &str) -> (f64, f64) {
        self.take(id, |row| {
            let [low, high] = row.ends("the range", ["low", "high"], (0.0, 1e6));
            Some((low?.number, high?.number))
        })
    }

    /// Volumes, smallest first.
    fn sizes(&mut self, id: &str, unit_millilitres: f64) -> Vec<Volume> {
        self.take(id, |row| {
            row.last(|file| {
                let sizes = file.list("sizes")?;
                let _ = require_source(file, id, "sizes");
                let mut volumes = Vec::new();
                for size in sizes {
                    match size.value {
                        NodeValue::Number(it) if (1.0..=1e6).contains(&it) => volumes.push(it * unit_millilitres),
                        _ => {
                            let wanted = "numbers from 1 to 1 000 000";
                            file.findings.push(Finding::wrong_type(
                                size.place.clone(),
                                "sizes",
                                wanted,
                                size.value.kind(),
                            ));
                        }
                    }
                }
                volumes.sort_by(f64::total_cmp);
                Some(volumes.into_iter().map(Volume::millilitres).collect())
            })
        })
    }

    fn times(&mut self, id: &str) -> (TimeSpan, TimeSpan) {
        let (shortest, longest) = self.ends(id);
        (TimeSpan::minutes(shortest), TimeSpan::minutes(longest))
    }

    fn wait(&mut self, id: &str) -> LayerWait {
        let (usual, longest) = self.times(id);
        LayerWait { usual, longest }
    }

    /// Rows that nobody asked for.
    fn finish(mut self) -> Vec<Finding> {
        let known: Vec<&str> = self.known.iter().map(String::as_str).collect();
        for (id, row) in self.rows {
            let near = nearest(&id, known.iter().copied());
            self.findings.push(Finding::unknown_key(row.place, &id, near, &known));
        }
        self.findings
    }
}

pub(super) fn read_limits(rows: BTreeMap<String, Row<'_>>, findings: &mut Vec<Finding>) -> Limits {
    let mut rows = LimitRows { rows, known: Vec::new(), findings: Vec::new() };
    let limits = Limits {
        usual_lye_concentration_percent: rows.ends("usual-lye-concentration-percent"),
        tap_water_celsius: rows.value("tap-water-celsius", 0.0, 100.0),
        purity_tolerance_percent: rows.value("purity-tolerance-percent", 0.0, 100.0),
        stock_tolerance_percent: rows.value("stock-tolerance-percent", 0.0, 10.0),
        largest_stock_jug: Mass::grams(rows.value("largest-stock-jug-g", 100.0, 50_000.0)),
        rebatch_water_percent: rows.ends("rebatch-water-percent"),
        strong_lye_concentration_percent: rows.value("strong-lye-concentration-percent", 0.0, 100.0),
        believable_misweighing_percent: rows.value("believable-misweighing-percent", 0.1, 100.0),
        highest_usual_superfat_percent: rows.value("highest-usual-superfat-percent", 0.0, 100.0),
        fat_density: rows.density("fat-density-g-per-ml", 0.8, 1.0),
        water_density: rows.density("water-density-g-per-ml", 0.95, 1.0),
        pouring_temperature_celsius: rows.value("pouring-temperature-celsius", 0.0, 100.0),
        cured_moisture: rows.percent("cured-moisture-percent", 0.0, 90.0),
        usual_superfat_percent: rows.ends("usual-superfat-percent"),
        mould_fill_percent: rows.ends("mould-fill-percent"),
        usual_cut_millimetres: rows.ends("usual-cut-mm"),
        most_dispersing_oil_percent: rows.value("most-dispersing-oil-percent", 0.0, 100.0),
        most_dispersing_water_percent: rows.value("most-dispersing-water-percent", 0.0, 100.0),
        usual_bar_side_millimetres: rows.ends("usual-bar-side-mm"),
        vessel_fill: rows.percent("vessel-fill-percent", 1.0, 100.0),
        foaming_vessel_fill: rows.percent("foaming-vessel-fill-percent", 1.0, 100.0),
        vessel_sizes: rows.sizes("vessel-sizes-ml", 1.0),
        vessel_sizes_in_ounces: rows.sizes("vessel-sizes-fl-oz", MILLILITRES_PER_FLUID_OUNCE),
        lining_above_soap: Length::millimetres(rows.value("lining-above-soap-mm", 0.0, 200.0)),
        fats_when_poured_celsius: rows.ends("fats-when-poured-celsius"),
        lye_when_poured_celsius: rows.ends("lye-when-poured-celsius"),
        oil_kept_by_plant: rows.ends("oil-kept-by-plant"),
        infusion_spare_percent: rows.value("infusion-spare-percent", 0.0, 100.0),
        layer_wait: rows.wait("layer-wait-minutes"),
        thick_layer_wait: rows.wait("thick-layer-wait-minutes"),
        trace_wait: rows.wait("trace-wait-minutes"),
        trace_blend: rows.times("trace-blend-minutes"),
        layer_thickening_percent: rows.ends("layer-thickening-percent"),
        batter_fluid: TimeSpan::minutes(rows.value("batter-fluid-minutes", 1.0, 1440.0)),
        quick_batter_fluid: TimeSpan::minutes(rows.value("quick-batter-fluid-minutes", 1.0, 1440.0)),
        least_times: LEAST_TIME_KEYS.map(|key| rows.times(&format!("least-{key}-minutes"))),
        least_purity_percent: rows.value("least-purity-percent", 1.0, 100.0),
        solid_below_iodine_value: rows.value("solid-below-iodine-value", 0.0, 400.0),
        least_named_acids_percent: rows.value("least-named-acids-percent", 0.0, 100.0),
        least_told_acids_percent: rows.value("least-told-acids-percent", 0.0, 100.0),
        // Known so well that anything else is a slip; and glycerol less three of water has to leave something.
        glycerol_molar_mass: rows.molar_mass("glycerol-molar-mass-g-per-mol", 92.0, 92.2),
        water_molar_mass: rows.molar_mass("water-molar-mass-g-per-mol", 18.0, 18.1),
        ice_melting_joules_per_gram: rows.value("ice-melting-heat-j-per-g", 300.0, 350.0),
        water_boiling_celsius: rows.value("water-boiling-celsius", 60.0, 100.0),
        molar_mass_tolerance: rows.percent("molar-mass-tolerance-percent", 0.0, 5.0),
        heat_tolerance: rows.percent("heat-tolerance-percent", 0.0, 50.0),
        natural_acid_molar_mass: rows.ends("natural-acid-molar-mass-g-per-mol"),
        natural_fat_density: rows.ends("natural-fat-density"),
        natural_additive_density: rows.ends("natural-additive-density-g-per-ml"),
        natural_bulk_density: rows.ends("natural-bulk-density-g-per-ml"),
        usual_sap_values: FatKind::ALL.map(|(name, _)| rows.ends(&format!("usual-{name}-saponification-value"))),
        sap_value_off_acids_percent: [("below", 100.0), ("above", 50.0)]
            .map(|(end, most)| rows.value(&format!("saponification-value-{end}-acids-percent"), 0.0, most)),
        sap_value_tolerance: rows.percent("saponification-value-tolerance-percent", 0.0, 20.0),
        fatty_acid_sum_percent: rows.ends("fatty-acid-sum-percent"),
        usual_purity_percent: AlkaliKind::ALL.map(|it| rows.ends(&format!("usual-{}-purity-percent", it.formula()))),
        usual_soap_in_liquid_percent: rows.ends("usual-soap-in-liquid-percent"),
        usual_preservative_percent: rows.ends("usual-preservative-percent"),
        most_sodium_in_liquid_percent: rows.value("most-sodium-in-liquid-percent", 0.0, 100.0),
        neutralising_acid: rows.percent("neutralising-acid-percent", 1.0, 50.0),
        largest_titrated_sample: Mass::grams(rows.value("largest-titrated-sample-g", 1.0, 1000.0)),
        burette_division: Volume::millilitres(rows.value("burette-division-ml", 0.001, 5.0)),
        free_alkali_in_bar_percent: rows.ends("free-alkali-in-bar-percent"),
        widest_purity_percent: rows.value("widest-purity-percent", 0.1, 50.0),
        believable_free_alkali_percent: rows.value("believable-free-alkali-percent", 0.1, 100.0),
        times: TIME_KEYS.map(|key| rows.times(&format!("{key}-minutes"))),
    };
    findings.extend(rows.finish());
    limits
}
