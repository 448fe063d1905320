//! A recipe that can be trusted: built only by validating what was typed.
//!
//! Layer 2. `raw.rs` holds a recipe as typed, with the place of every value; `validate.rs` turns it into a [`Recipe`]
//! and findings. To add a key, add it to `raw.rs`, check it in `validate.rs` and describe it in the course's chapter on
//! recipes. `variant.rs` puts a recipe together with the one it is based on, before either file sees it.

mod additives;
mod after;
mod alkalis;
mod arrangement;
mod changes;
mod infusions;
mod layers;
mod misplaced;
mod rate;
mod raw;
mod raw_pieces;
mod validate;
mod variant;

use std::collections::BTreeMap;
use std::sync::Arc;

pub use after::{Dilute, Pot};
pub(crate) use alkalis::read_purity;
pub use arrangement::{Cutting, Divide, Embed, First, Swirl, Trace};
pub use changes::{Changes, ChangesRead, SUPERFAT_LIMITS_PERCENT, Target};
pub use infusions::{Infusion, RawInfusion};
pub(crate) use layers::layer_key;
pub use rate::Rate;
pub use raw::{RawAcknowledgement, RawAdditive, RawLayer, RawRecipe};
pub use raw_pieces::{RawDispersal, RawEmbed, WhenPoured};
pub(crate) use validate::water_rule;
pub use validate::{MASS_LIMITS_GRAMS, validate};
pub use variant::{RecipeFile, with_base};

use crate::finding::Finding;
use crate::show::Units;
use crate::source::Place;
use crate::tables::{AcidSalt, Additive, AlkaliKind, Effect, Fat, Mould, Scent};
use crate::units::{Colour, Length, Mass, MolarMass, Percent, TimeSpan, Volume};

/// What a course assumes where a recipe is silent.
#[derive(Clone, Debug, Default)]
pub struct Defaults {
    /// Superfat, percent.
    pub superfat_percent: Option<f64>,
    /// How the water is found.
    pub water: Option<WaterRule>,
    /// Purity by alkali.
    pub purity: BTreeMap<AlkaliKind, Purity>,
    /// The units in which messages show amounts.
    pub units: Units,
}

/// How pure an alkali is said to be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Purity {
    /// What is computed with: the figure stated, or the middle of the range.
    pub used: Percent,
    /// Lowest and highest, where a range is stated.
    pub range: Option<(Percent, Percent)>,
}

impl Purity {
    /// Lowest and highest purity that must be reckoned with.
    ///
    /// - `tolerance_percent`: how far it may lie from a single figure, in percentage points.
    ///
    /// # Example
    ///
    /// 98 % with a tolerance of one point: 97 to 99 %; 99.5 %: 98.5 to 100 %.
    #[must_use]
    pub fn reckoned_with(self, tolerance_percent: f64) -> (Percent, Percent) {
        let used = self.used.to_percent();
        let around = || {
            let [low, high] = [used - tolerance_percent, used + tolerance_percent].map(|it| it.clamp(0.0, 100.0));
            (Percent::percent(low), Percent::percent(high))
        };
        self.range.unwrap_or_else(around)
    }
}

/// How the mass of water follows from the rest; three conventions of the trade for the same thing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum WaterRule {
    /// Alkali in the finished lye, percent by mass: water = alkali * (100 - c) / c.
    LyeConcentration(Percent),
    /// Mass of water per mass of alkali: water = alkali * ratio.
    PerLye(f64),
    /// Water in percent of the fats: water = fats * p / 100.
    OfFats(Percent),
}

/// Lye solution made beforehand, from which a recipe takes its lye.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stock {
    /// Lye in it, as weighed out of its container, percent by mass.
    pub strength: Percent,
    /// Lowest and highest strength that must be reckoned with.
    pub strength_range: (Percent, Percent),
}

/// A fat and its share of all fats.
#[derive(Clone, Debug)]
pub struct FatShare {
    /// The row of the table.
    pub fat: Arc<Fat>,
    /// Share of all fats by mass; all shares add up to one.
    pub fraction: f64,
}

/// An alkali, its part of the work and how pure it is.
#[derive(Clone, Debug)]
pub struct AlkaliShare {
    /// Which one.
    pub kind: AlkaliKind,
    /// Share of the saponification, by moles; all shares add up to one.
    pub mole_fraction: f64,
    /// Pure alkali in what is weighed out; the middle where a range is stated.
    pub purity: Percent,
    /// Lowest and highest purity that must be reckoned with.
    pub purity_range: (Percent, Percent),
    /// Whether somebody stated the purity; otherwise it counts as pure.
    pub purity_is_stated: bool,
}

/// An acid and how much of it.
#[derive(Clone, Debug)]
pub struct AcidShare {
    /// What recipes call it.
    pub id: Arc<str>,
    /// What pages call it.
    pub name: Arc<str>,
    /// Molar mass of the pure acid.
    pub molar_mass: MolarMass,
    /// Moles of alkali that one mole takes up.
    pub acidic_hydrogens: f64,
    /// Pure acid in what is weighed out; the rest is water.
    pub strength: Percent,
    /// What it becomes with lye, where the table knows.
    pub salt: Option<AcidSalt>,
    /// How much of it.
    pub rate: Rate,
}

/// A liquid in place of water and how much of it.
#[derive(Clone, Debug)]
pub struct LiquidShare {
    /// What recipes call it.
    pub id: Arc<str>,
    /// What pages call it.
    pub name: Arc<str>,
    /// Water in it.
    pub water: Percent,
    /// Fat in it, and the fat that it counts as.
    pub fat: Option<(Percent, Arc<Fat>)>,
    /// Acid in it, its molar mass and its acidic hydrogens.
    pub acid: Option<(Percent, MolarMass, f64)>,
    /// Sugar in it.
    pub sugar: Option<Percent>,
    /// How much of it.
    pub rate: Rate,
    /// What else it does.
    pub effects: Vec<Effect>,
}

/// An additive that leaves the lye as it is, and how much of it.
#[derive(Clone, Debug)]
pub struct Extra {
    /// The row of the table.
    pub additive: Arc<Additive>,
    /// How much of it, of the fats of the batch or of the layer.
    pub rate: Rate,
    /// The most that its supplier allows in the finished bar, percent.
    pub limit_percent: Option<f64>,
    /// Vanillin in it, percent, where the recipe or its row states it.
    pub vanillin_percent: Option<f64>,
    /// The blend that it comes with.
    pub blend: Option<Arc<Additive>>,
    /// Where its rate stands.
    pub place: Place,
    /// Whether it is dispersed in the liquid that follows it in the list.
    pub is_dispersed: bool,
    /// Of a liquid in which another additive of the same list is dispersed: which liquid, and what it disperses.
    pub disperses: Option<Disperses>,
}

/// A liquid in which an additive is dispersed; it goes in with the additive before it in the list.
#[derive(Clone, Debug)]
pub struct Disperses {
    /// What pages call the liquid alone.
    pub liquid_name: Arc<str>,
    /// What it counts as.
    pub liquid: DispersingLiquid,
}

/// What a dispersing liquid counts as.
#[derive(Clone, Debug)]
pub enum DispersingLiquid {
    /// Fat for which no lye is made.
    Fat(Arc<Fat>),
    /// Water beyond that of the lye.
    Water,
    /// Neither.
    Glycerol,
}

impl Extra {
    /// Whether it turns brown with time: by its row, or by its vanillin. A fragrance oil without any does not.
    #[must_use]
    pub fn browns(&self) -> bool {
        match self.vanillin_percent {
            Some(vanillin) if vanillin > 0.0 => true,
            Some(_) if self.additive.scent == Some(Scent::Fragrance) => false,
            _ => self.additive.effects.contains(&Effect::Browns),
        }
    }
}

/// A fat stirred in after saponification.
#[derive(Clone, Debug)]
pub struct LateFat {
    /// The row of the table.
    pub fat: Arc<Fat>,
    /// How much of it, of the fats that are saponified.
    pub rate: Rate,
}

/// How much to make.
#[derive(Clone, Debug)]
pub enum BatchSize {
    /// The mass of all fats.
    Fats(Mass),
    /// What fills a mould.
    Mould(Mould),
}

/// How large a layer is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LayerSize {
    /// So many parts of the batter.
    Parts(f64),
    /// So thick in the mould, what goes into it alone counted in.
    Thickness(Length),
}

/// How a layer gets into the mould.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Pouring {
    /// Poured.
    #[default]
    Pour,
    /// Laid on with a spoon, because it is thick or the layer below is soft.
    Spoon,
}

/// A layer, in pouring order, or a portion of a batter that is swirled.
#[derive(Clone, Debug)]
pub struct Layer {
    /// What pages call it.
    pub name: Arc<str>,
    /// What values in sentences call it: the name in lower case with hyphens.
    pub key: Arc<str>,
    /// Share of the whole, by its parts or by its thickness; all shares add up to one.
    pub fraction: f64,
    /// How large it is, as typed; the rest of a mould worked out.
    pub size: LayerSize,
    /// Whether it takes the rest of the mould.
    pub is_rest: bool,
    /// How long it takes until it is firm but still tacky, where the recipe says so.
    pub wait: Option<TimeSpan>,
    /// How it gets into the mould.
    pub pouring: Pouring,
    /// How far it is blended, where the recipe says so.
    pub trace: Option<Trace>,
    /// Whether it is misted with rubbing alcohol: before the next layer, or as the last.
    pub spritz: bool,
    /// Where its `wait` stands, or else its name.
    pub wait_place: Place,
    /// Where its `trace` stands, or else its name.
    pub trace_place: Place,
    /// Where its share or thickness stands.
    pub size_place: Place,
    /// What goes into this layer alone.
    pub extras: Vec<Extra>,
    /// Whether it is meant to stay white.
    pub stays_white: bool,
    /// Its colour in the figure, where what is in it does not tell.
    pub colour: Option<Colour>,
}

/// Where the parts of a recipe stand, for findings about what was computed from them.
#[derive(Clone, Debug)]
pub struct Places {
    /// How thick bars are cut.
    pub cut: Place,
    /// The whole file (its first character).
    pub recipe: Place,
    /// The superfat, or the recipe where a default applies.
    pub superfat: Place,
    /// The water, or the recipe where a default applies.
    pub water: Place,
    /// The alkali.
    pub alkali: Place,
    /// The stock, or the recipe where it has none.
    pub stock: Place,
    /// The purities that the recipe states itself.
    pub purity: BTreeMap<AlkaliKind, Place>,
    /// The batch or mould, or the fats where they are masses.
    pub size: Place,
    /// The mould that the batch is poured into, or the size.
    pub into: Place,
    /// Each fat, in order.
    pub fats: Vec<Place>,
    /// Each acid, in order.
    pub acids: Vec<Place>,
    /// Each liquid, in order.
    pub liquids: Vec<Place>,
    /// Each fat stirred in later, in order.
    pub late_fats: Vec<Place>,
    /// The times that are stated, by their keys.
    pub times: BTreeMap<&'static str, Place>,
    /// How the layers are divided or the portions swirled, or the recipe where that is not stated.
    pub divide: Place,
    /// The trace of the whole recipe, or the recipe where that is not stated.
    pub trace: Place,
}

/// A recipe that can be computed.
#[derive(Clone, Debug)]
pub struct Recipe {
    /// The file's name without its ending.
    pub id: String,
    /// What pages call it.
    pub title: String,
    /// The fats, in the order typed.
    pub fats: Vec<FatShare>,
    /// How much to make.
    pub size: BatchSize,
    /// Fat left unsaponified, percent. Below zero is a finding, not a refusal, so that it can be shown how far below.
    pub superfat_percent: f64,
    /// The lowest and the highest superfat that students may choose, percent, where the recipe says so.
    pub superfat_range: Option<(f64, f64)>,
    /// One alkali or two.
    pub alkalis: Vec<AlkaliShare>,
    /// How the water is found.
    pub water: WaterRule,
    /// The lye solution made beforehand that its lye is taken from, if it is.
    pub stock: Option<Stock>,
    /// Acids, which take up alkali.
    pub acids: Vec<AcidShare>,
    /// Liquids in place of water.
    pub liquids: Vec<LiquidShare>,
    /// Additives of the whole batch that leave the lye as it is.
    pub extras: Vec<Extra>,
    /// Plants that fats are steeped with and strained off.
    pub infusions: Vec<Infusion>,
    /// Fats stirred in after saponification; no alkali is reckoned for them.
    pub late_fats: Vec<LateFat>,
    /// What the pot takes from it while it is cooked.
    pub pot: Option<Pot>,
    /// The liquid that it is made into.
    pub dilute: Option<Dilute>,
    /// How bars are cut from the mould's soap.
    pub cut: Option<Cutting>,
    /// The mould that a batch of a given mass is poured into.
    pub into: Option<Mould>,
    /// Pieces that take up room in the mould.
    pub embeds: Vec<Embed>,
    /// The layers, in pouring order, or the portions that are swirled; empty when the batch is poured at once.
    pub layers: Vec<Layer>,
    /// What is divided into the layers.
    pub divide: Divide,
    /// How far the batter is blended, where the recipe says so: all of it, or each layer that states no trace of its own.
    pub trace: Option<Trace>,
    /// What is made ready first.
    pub first: First,
    /// How long steps take, where the recipe says so, by the keys of [`crate::tables::TIME_KEYS`].
    pub times: BTreeMap<&'static str, (TimeSpan, TimeSpan)>,
    /// `[temperatures]`
    pub when_poured: WhenPoured,
    /// The recipe that this one is a variant of.
    pub based_on: Option<String>,
    /// The units in which messages show its amounts.
    pub units: Units,
    /// Where the parts stand.
    pub places: Places,
}

impl Recipe {
    /// Gives the recipe another size. In another mould layers by thickness stay as thick as typed, and the rest is worked
    /// out anew; for a mass they keep their proportions.
    ///
    /// # Errors
    ///
    /// When the layers do not come to the fill height of the mould, or embeds leave no room in it.
    pub fn resize(&mut self, size: BatchSize) -> Result<(), Box<Finding>> {
        if let BatchSize::Mould(mould) = &size {
            // What is made for one mould is not poured into another.
            self.into = None;
            arrangement::embeds_fit(&self.embeds, mould)?;
            layers::refill(&mut self.layers, mould.fill_height, self.units)?;
        }
        self.size = size;
        Ok(())
    }

    /// How much room embeds take in the mould.
    #[must_use]
    pub fn embeds_volume(&self) -> Volume {
        Volume::millilitres(self.embeds.iter().map(|it| it.volume.to_millilitres()).sum())
    }

    /// The mould that is filled or poured into.
    #[must_use]
    pub fn mould(&self) -> Option<&Mould> {
        match &self.size {
            BatchSize::Mould(mould) => Some(mould),
            BatchSize::Fats(_) => self.into.as_ref(),
        }
    }
}
