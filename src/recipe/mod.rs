//! A recipe that can be trusted: built only by validating what was typed.
//!
//! Layer 2. `raw.rs` holds a recipe as typed, with the place of every value; `validate.rs` turns it into a [`Recipe`]
//! and findings. To add a key, add it to `raw.rs`, check it in `validate.rs` and describe it in the course's chapter on
//! recipes.

mod raw;
mod validate;

use std::collections::BTreeMap;

pub use raw::RawRecipe;
pub use validate::validate;
pub(crate) use validate::{layer_key, purity_percent, water_rule};

use crate::source::Place;
use crate::tables::{AlkaliKind, Fat, Mould};
use crate::units::{Mass, Percent};

/// What a course assumes where a recipe is silent.
#[derive(Clone, Debug, Default)]
pub struct Defaults {
    /// Superfat, percent.
    pub superfat_percent: Option<f64>,
    /// How the water is found.
    pub water: Option<WaterRule>,
    /// Purity by alkali.
    pub purity: BTreeMap<AlkaliKind, Percent>,
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

/// A fat and its share of all fats.
#[derive(Clone, Debug)]
pub struct FatShare {
    /// The row of the table.
    pub fat: Fat,
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
    /// Pure alkali in what is weighed out.
    pub purity: Percent,
    /// Whether somebody stated the purity; otherwise it counts as pure.
    pub purity_is_stated: bool,
}

/// How much to make.
#[derive(Clone, Debug)]
pub enum BatchSize {
    /// The mass of all fats.
    Fats(Mass),
    /// What fills a mould.
    Mould(Mould),
}

/// A layer, in pouring order.
#[derive(Clone, Debug, PartialEq)]
pub struct Layer {
    /// What pages call it.
    pub name: String,
    /// What values in sentences call it: the name in lower case with hyphens.
    pub key: String,
    /// Share of the batch; all shares add up to one.
    pub fraction: f64,
    /// The share as typed, in parts.
    pub parts: f64,
}

/// Where the parts of a recipe stand, for findings about what was computed from them.
#[derive(Clone, Debug)]
pub struct Places {
    /// The whole file (its first character).
    pub recipe: Place,
    /// The superfat, or the recipe where a default applies.
    pub superfat: Place,
    /// The water, or the recipe where a default applies.
    pub water: Place,
    /// The alkali.
    pub alkali: Place,
    /// The batch or mould, or the fats where they are masses.
    pub size: Place,
    /// Each fat, in order.
    pub fats: Vec<Place>,
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
    /// One alkali or two.
    pub alkalis: Vec<AlkaliShare>,
    /// How the water is found.
    pub water: WaterRule,
    /// The layers, in pouring order; empty when the batch is poured at once.
    pub layers: Vec<Layer>,
    /// Where the parts stand.
    pub places: Places,
}
