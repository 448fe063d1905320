//! Everything that a recipe comes to, computed once, and every figure of it by name.
//!
//! Layer 4. A ledger is the one list that cards, sheets, sentences, exercises, rules and programs read; none of them
//! enumerates by itself what is weighed. No formula and no wording is here: the numbers come from `batch/`, the words
//! are given by `page/`. To add a figure, give it a row in `kind.rs` and put it into a list: `figures.rs` has
//! what is weighed and how it came about, `outcome.rs` what comes of it.

mod after;
mod amount;
mod blends;
mod figures;
mod key;
mod kind;
mod outcome;

pub use amount::Amount;
pub use blends::{BlendAmount, ComponentDose};
pub use key::{Key, NoSuchKey, RECIPES, name_at_start, name_of, parts_of, speaks_of_lye};
pub use kind::{Kind, Of, Scope};

use std::sync::Arc;

use crate::batch::{
    Bars, Batch, Composition, Dilution, ExtraAmount, Input, SuperfatUncertainty, Swap, Timeline, Vessels, Weighed,
    Yields, bars, coarsest_scale, composition, compute, compute_for, crystallises_below_celsius, dilution,
    hottest_lye_of, hottest_stock, lye_volume, stock_crystallises_below_celsius, superfat_uncertainty, swap_fats,
    timeline, vessels, wait_after, yields,
};
use crate::finding::StepCaution;
use crate::recipe::{Changes, Extra, Recipe};
use crate::show::{TemperatureScale, Units};
use crate::source::Place;
use crate::tables::{LayerWait, Tables};
use crate::units::{Mass, Scale, ScaleUnit, TimeSpan, Volume};

/// What of a recipe a figure is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// The recipe as a whole.
    Whole,
    /// Its water.
    Water,
    /// Lye solution made beforehand.
    Stock,
    /// The water beside it.
    FurtherWater,
    /// A liquid in place of water, by its place in the recipe.
    Liquid(usize),
    /// An acid.
    Acid(usize),
    /// An additive of the whole batch that leaves the lye as it is.
    Extra(usize),
    /// An alkali.
    Alkali(usize),
    /// A fat.
    Fat(usize),
    /// A fat stirred in after saponification.
    LateFat(usize),
    /// The oil that a plant is steeped in.
    InfusionOil(usize),
    /// The plant that is steeped in it.
    InfusionPlant(usize),
    /// A layer, in pouring order.
    Layer(usize),
    /// An additive of a layer: the layer, and the additive in it.
    LayerExtra(usize, usize),
    /// A layer's part of an additive of the whole batch.
    LayerShared(usize, usize),
}

/// When something that is weighed goes in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Moment {
    /// Into a jar, the day before or earlier.
    Before,
    /// Into the vessel of the lye.
    Lye,
    /// Into the pot of the fats.
    Fats,
    /// At trace, into the batter or the jug of a layer.
    Trace,
    /// When the soap is cooked.
    Cooked,
}

/// One figure of a recipe.
#[derive(Clone, Debug)]
pub struct Figure {
    /// Its name.
    pub key: Key,
    /// What of the recipe it is about.
    pub part: Part,
    /// What the author's files call that; `None` where no file names it.
    pub name: Option<Arc<str>>,
    /// What it comes to.
    pub amount: Amount,
    /// When it goes in; `None` for what is not weighed out, or is a sum.
    pub goes_into: Option<Moment>,
    /// Where it was typed, or what it follows from.
    pub place: Place,
}

impl Figure {
    /// Whether it is an amount of lye, or of something that has lye in it.
    #[must_use]
    pub fn holds_lye(&self) -> bool {
        self.key.holds_lye()
    }
}

/// What students weigh on, which of the two they see, and what they read temperatures on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scales {
    /// The scale in grams.
    pub grams: Scale,
    /// The scale in ounces.
    pub ounces: Scale,
    /// Which of them a course shows.
    pub units: Units,
    /// The thermometers.
    pub temperature: TemperatureScale,
}

impl Default for Scales {
    fn default() -> Scales {
        let units = Units::default();
        Scales { grams: Scale::GRAMS, ounces: Scale::OUNCES, units, temperature: TemperatureScale::with(units) }
    }
}

impl Scales {
    /// The scales and units that somebody wants in place of these.
    #[must_use]
    pub fn with(self, changes: &Changes) -> Scales {
        Scales {
            grams: changes.scale(self.grams),
            ounces: changes.scale(self.ounces),
            units: changes.units.unwrap_or(self.units),
            ..self
        }
    }

    /// The scale of a unit.
    #[must_use]
    pub fn of(&self, unit: ScaleUnit) -> Scale {
        match unit {
            ScaleUnit::Grams => self.grams,
            ScaleUnit::Ounces => self.ounces,
        }
    }
}

/// How long a layer waits for the next.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wait {
    /// How long.
    pub time: TimeSpan,
    /// What is usual, and from when on the next layer may not bind.
    pub limits: LayerWait,
    /// Whether it is common practice and not the recipe's.
    pub is_usual: bool,
}

/// How hot a stock can get, and how cold it may.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StockFacts {
    /// The hottest that it can get while it is made, degrees Celsius, and with half of the water as ice; `None` where the
    /// tables do not reach so far.
    pub hottest_celsius: [Option<f64>; 2],
    /// Below how many degrees Celsius alkali may settle out of it; `None` where it does not in a room.
    pub crystals_below_celsius: Option<f64>,
}

/// A recipe with everything that was computed from it.
#[derive(Clone, Debug)]
pub struct Ledger {
    /// The recipe.
    pub recipe: Recipe,
    /// Its exact amounts.
    pub batch: Batch,
    /// What it is weighed on.
    pub scales: Scales,
    /// The amounts as the scale in grams shows them.
    pub grams: Weighed,
    /// The amounts as the scale in ounces shows them.
    pub ounces: Weighed,
    /// How sure the superfat is, by the scale in grams.
    pub certainty_in_grams: SuperfatUncertainty,
    /// The same by the scale in ounces.
    pub certainty_in_ounces: SuperfatUncertainty,
    /// The coarsest scale in grams, and in ounces, that keeps the worst case from falling below zero.
    pub coarsest_scales: [Option<Scale>; 2],
    /// How large the vessels must be, in sizes that are sold.
    pub vessels: Vessels,
    /// The volume of the lye when it is poured; `None` where its density is not known.
    pub lye_volume: Option<Volume>,
    /// The hottest that the lye can get from tap water, degrees Celsius, and with half of the water as ice; `None` where the
    /// tables do not reach so far.
    pub hottest_celsius: [Option<f64>; 2],
    /// Below how many degrees Celsius alkali may settle out of the lye; `None` where it does not in a room.
    pub crystals_below_celsius: Option<f64>,
    /// What is to be known of the lye solution made beforehand, where there is one.
    pub stock: Option<StockFacts>,
    /// The batch in time.
    pub timeline: Timeline,
    /// How long each layer but the last waits for the next.
    pub waits: Vec<Wait>,
    /// Its fatty acids.
    pub composition: Composition,
    /// What it comes to.
    pub yields: Yields,
    /// Its bars.
    pub bars: Option<Bars>,
    /// The liquid that it is diluted to, where its recipe states one.
    pub dilution: Option<Dilution>,
    /// Of a variant: what would come of swapping the fats and leaving the lye of its base.
    pub swap: Option<Swap>,
    /// Whether it is of another size, superfat or scale than its course says.
    pub is_changed: bool,
    /// Whether it belongs to an exercise that sets the superfat to nothing, to ask at which amounts no fat is left over.
    pub leaves_nothing_on_paper: bool,
    /// The warnings about it, in words for the student.
    pub cautions: Vec<StepCaution>,
    figures: Vec<Figure>,
}

impl Ledger {
    /// Computes a recipe and lists its figures. The cautions are added when the rules have looked at it.
    ///
    /// - `base`: of a variant, the recipe that it is based on.
    #[must_use]
    pub fn of(recipe: Recipe, tables: &Tables, scales: Scales, base: Option<&Recipe>) -> Ledger {
        let batch = compute(&recipe, tables);
        Ledger::with(recipe, batch, tables, scales, base)
    }

    /// The same recipe for another mass of fats, on the same scales.
    #[must_use]
    pub fn for_fats(&self, total_fats: Mass, tables: &Tables) -> Ledger {
        let batch = compute_for(&self.recipe, tables, total_fats);
        let resized = Ledger::with(self.recipe.clone(), batch, tables, self.scales, None);
        Ledger { is_changed: true, cautions: self.cautions.clone(), ..resized }
    }

    fn with(recipe: Recipe, batch: Batch, tables: &Tables, scales: Scales, base: Option<&Recipe>) -> Ledger {
        let limits = &tables.limits;
        let (grams, ounces) = (Weighed::read(&batch, scales.grams), Weighed::read(&batch, scales.ounces));
        // Portions that are swirled wait for nothing.
        let n_waiting = if recipe.divide.swirl().is_some() { 0 } else { recipe.layers.len() };
        let waits = (1..n_waiting).map(|next_idx| {
            let (time, limits, is_usual) = wait_after(&recipe, &batch, next_idx - 1, tables);
            Wait { time, limits, is_usual }
        });
        let waits = waits.collect();
        let shown: Vec<Scale> = scales.units.scales().iter().map(|it| scales.of(*it)).collect();
        let swap = base.map(|base| swap_fats(base, &recipe, batch.total_fats, &shown, tables));
        let mut ledger = Ledger {
            certainty_in_grams: superfat_uncertainty(&recipe, &batch, &grams),
            certainty_in_ounces: superfat_uncertainty(&recipe, &batch, &ounces),
            coarsest_scales: [&grams, &ounces].map(|it| coarsest_scale(&recipe, &batch, it)),
            vessels: vessels(&recipe, &batch, tables).as_sold(match scales.units {
                Units::Ounces => &limits.vessel_sizes_in_ounces,
                Units::Grams | Units::Both => &limits.vessel_sizes,
            }),
            lye_volume: lye_volume(&batch, limits.pouring_temperature_celsius, tables),
            hottest_celsius: [0.0, 0.5].map(|it| hottest_lye_of(&batch, it, tables)),
            crystals_below_celsius: crystallises_below_celsius(&batch, tables),
            stock: batch.stock.zip(batch.alkalis.first()).map(|(it, alkali)| StockFacts {
                hottest_celsius: hottest_stock(&it, alkali.kind, tables),
                crystals_below_celsius: stock_crystallises_below_celsius(&it, alkali.kind, tables),
            }),
            timeline: timeline(&recipe, &batch, tables),
            waits,
            composition: composition(&recipe.fats, tables),
            yields: yields(&recipe, &batch, tables, limits.cured_moisture),
            bars: bars(&recipe),
            dilution: dilution(&recipe, &batch, tables, None),
            swap,
            is_changed: false,
            leaves_nothing_on_paper: false,
            cautions: Vec::new(),
            figures: Vec::new(),
            recipe,
            batch,
            scales,
            grams,
            ounces,
        };
        ledger.figures = figures::of(&ledger, tables);
        ledger
    }

    /// Whether the worst case of the superfat, and that of each layer with lye of its own, is not below zero on any scale shown.
    #[must_use]
    pub fn is_safe_by_scale(&self) -> bool {
        let is_safe = |unit: &ScaleUnit| match unit {
            ScaleUnit::Grams => self.coarsest_scales[0].is_some(),
            ScaleUnit::Ounces => self.coarsest_scales[1].is_some(),
        };
        self.scales.units.scales().iter().all(is_safe)
    }

    /// Each additive that leaves the lye as it is once, with what is typed of it, where its share of the fats is highest.
    #[must_use]
    pub fn highest_doses(&self) -> Vec<(&Extra, &ExtraAmount)> {
        figures::highest_doses(self)
    }

    /// Every figure, what is weighed first and in the order of use.
    #[must_use]
    pub fn figures(&self) -> &[Figure] {
        &self.figures
    }

    /// What is weighed out, in the order of use: for the lye, the fats, at trace for the batch and for each layer, and when
    /// the soap is cooked.
    pub fn weighed_out(&self) -> impl Iterator<Item = &Figure> {
        self.figures.iter().filter(|it| it.goes_into.is_some())
    }

    /// The figure of a name; `alkali.NaOH` is also the `lye` of a recipe with no other.
    #[must_use]
    pub fn figure(&self, key: &Key) -> Option<&Figure> {
        if let (Kind::Alkali, [only], Some(of)) = (key.kind, &self.batch.alkalis[..], &key.of) {
            return (only.kind.formula() == &**of).then(|| self.figure(&Key::one(Kind::Lye)))?;
        }
        self.figures.iter().find(|it| it.key == *key)
    }

    /// The name of an alkali's figure.
    #[must_use]
    pub fn alkali_key(&self, alkali_idx: usize) -> Key {
        match &self.batch.alkalis[..] {
            [_] => Key::one(Kind::Lye),
            several => Key::each(Kind::Alkali, several[alkali_idx].kind.formula()),
        }
    }

    /// The name of the figure that says how far an input moves the superfat.
    #[must_use]
    pub fn input_key(&self, input: Input) -> Key {
        let batch = &self.batch;
        let (kind, of) = match input {
            Input::SaponificationValue(fat_idx) => (Kind::SuperfatBySapValue, batch.fats[fat_idx].id.clone()),
            Input::Purity(alkali) => (Kind::SuperfatByPurity, alkali.formula().into()),
            Input::FatReading(fat_idx) => (Kind::SuperfatByFat, batch.fats[fat_idx].id.clone()),
            Input::AlkaliReading(alkali) => (Kind::SuperfatByAlkali, alkali.formula().into()),
            Input::StockStrength(alkali) => (Kind::SuperfatByStock, alkali.formula().into()),
            Input::AcidReading(acid_idx) => (Kind::SuperfatByAcid, batch.acids[acid_idx].id.clone()),
        };
        Key::each(kind, of)
    }

    /// The amounts as a scale shows them.
    #[must_use]
    pub fn weighed(&self, unit: ScaleUnit) -> &Weighed {
        match unit {
            ScaleUnit::Grams => &self.grams,
            ScaleUnit::Ounces => &self.ounces,
        }
    }

    /// The worst case of a layer's superfat by the scale of a unit, percent.
    #[must_use]
    pub fn layer_worst_percent(&self, layer_idx: usize, unit: ScaleUnit) -> Option<f64> {
        self.weighed(unit).layer_worst_percent(layer_idx, self.certainty(unit).worst_percent)
    }

    /// The amounts that students see, the main scale first.
    pub fn shown(&self) -> impl Iterator<Item = &Weighed> {
        self.scales.units.scales().iter().map(|it| self.weighed(*it))
    }

    /// How sure the superfat is by the scale of a unit.
    #[must_use]
    pub fn certainty(&self, unit: ScaleUnit) -> &SuperfatUncertainty {
        match unit {
            ScaleUnit::Grams => &self.certainty_in_grams,
            ScaleUnit::Ounces => &self.certainty_in_ounces,
        }
    }
}
