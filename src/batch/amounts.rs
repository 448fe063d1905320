//! How much of everything there is in a batch, exactly.
//!
//! Layer 3.

use std::sync::Arc;

use super::{InfusionAmount, StockAmount, WaterConventions};
use crate::tables::{AlkaliKind, GoesInto};
use crate::units::{Density, Length, Mass, Percent, SapValue, Volume};

/// A fat as computed.
#[derive(Clone, Debug, PartialEq)]
pub struct FatAmount {
    /// What recipes call it.
    pub id: Arc<str>,
    /// What pages call it.
    pub name: Arc<str>,
    /// Share of all fats, as a fraction.
    pub fraction: f64,
    /// How much of it.
    pub mass: Mass,
    /// The saponification value used.
    pub sap_value: SapValue,
    /// Pure KOH that saponifies all of it.
    pub koh: Mass,
}

/// An alkali as computed.
#[derive(Clone, Debug, PartialEq)]
pub struct AlkaliAmount {
    /// Which one.
    pub kind: AlkaliKind,
    /// Share of the saponification, by moles.
    pub mole_fraction: f64,
    /// Grams of this alkali that do the work of one gram of KOH: M(alkali) / M(KOH).
    pub grams_per_gram_koh: f64,
    /// Pure alkali that is needed.
    pub pure: Mass,
    /// Purity of what is weighed out.
    pub purity: Percent,
    /// What is weighed out: pure / purity.
    pub mass: Mass,
}

/// An acid as computed.
#[derive(Clone, Debug, PartialEq)]
pub struct AcidAmount {
    /// What recipes call it.
    pub id: Arc<str>,
    /// What pages call it.
    pub name: Arc<str>,
    /// What is weighed out.
    pub mass: Mass,
    /// Pure acid in it.
    pub pure: Mass,
    /// The salt that it becomes with the recipe's alkali, without water of crystallisation; `None` where the table does not say.
    pub salt: Option<Mass>,
    /// The same as it is sold, with its water of crystallisation, where that is so.
    pub salt_as_sold: Option<Mass>,
    /// Pure KOH that one gram of what is weighed out takes up.
    pub koh_per_gram: f64,
    /// Pure KOH that all of it takes up.
    pub koh: Mass,
}

/// A liquid in place of water as computed.
#[derive(Clone, Debug, PartialEq)]
pub struct LiquidAmount {
    /// What recipes call it.
    pub id: Arc<str>,
    /// What pages call it.
    pub name: Arc<str>,
    /// What is weighed out.
    pub mass: Mass,
    /// Water in it.
    pub water: Mass,
    /// Fat in it, for which no alkali is reckoned.
    pub fat: Mass,
    /// KOH that would saponify that fat.
    pub koh_for_fat: Mass,
    /// KOH that the acid in it takes up; none is reckoned for it.
    pub koh_for_acid: Mass,
    /// Sugar in it.
    pub sugar: Mass,
}

/// A fat stirred in after saponification, as computed.
#[derive(Clone, Debug, PartialEq)]
pub struct LateFatAmount {
    /// What recipes call it.
    pub id: Arc<str>,
    /// What pages call it.
    pub name: Arc<str>,
    /// How much of it.
    pub mass: Mass,
}

/// An additive that leaves the lye as it is, as computed.
#[derive(Clone, Debug, PartialEq)]
pub struct ExtraAmount {
    /// What recipes call it.
    pub id: Arc<str>,
    /// What pages call it.
    pub name: Arc<str>,
    /// How much of it.
    pub mass: Mass,
    /// The same as a spoon takes it, where its bulk density is known.
    pub volume: Option<Volume>,
    /// Mass of one mL of its grains, where it is known.
    pub solid_density: Option<Density>,
    /// Its share of the fats it goes with, percent.
    pub of_fats_percent: f64,
    /// When it goes in.
    pub goes_into: GoesInto,
    /// The id of the blend that it comes with; the oils of a blend follow one another.
    pub blend: Option<Arc<str>>,
    /// KOH that would saponify it, of an oil in which something is dispersed: none is reckoned for it.
    pub koh_for_fat: Mass,
    /// Fat in it: all of such an oil.
    pub fat: Mass,
    /// Water in it, of what is dispersed in water.
    pub water: Mass,
}

/// A layer as computed.
#[derive(Clone, Debug, PartialEq)]
pub struct LayerAmount {
    /// What pages call it.
    pub name: Arc<str>,
    /// What values in sentences call it.
    pub key: Arc<str>,
    /// Share of the batter: of fats, lye and what goes into the whole batch.
    pub fraction: f64,
    /// Its volume, with what goes into it alone.
    pub volume: Volume,
    /// Its share of the volume, and so of the height in a mould with straight sides.
    pub height_fraction: f64,
    /// How thick it lies in the mould of the recipe.
    pub thickness: Option<Length>,
    /// Whether its own additives are thicker than it is typed, so that there is no room for batter.
    pub has_no_room: bool,
    /// Its part of the fats, and of what is stirred into them.
    pub fats: Mass,
    /// Its part of the lye.
    pub solution: Mass,
    /// Its part of the additives of the whole batch that go in at trace.
    pub shared_extras: Mass,
    /// What goes into it alone.
    pub extras: Vec<ExtraAmount>,
}

impl LayerAmount {
    /// Its part of the batter: fats, lye and additives of the whole batch.
    #[must_use]
    pub fn batter(&self) -> Mass {
        self.fats + self.solution + self.shared_extras
    }

    /// Everything that is poured for it.
    #[must_use]
    pub fn poured(&self) -> Mass {
        self.batter() + self.extras.iter().map(|it| it.mass).sum()
    }
}

/// The superfat with more fat in it than was reckoned with, percent.
///
/// `1 - (1 - s) * N / (N + N_more)`, with s the superfat without it and N the KOH that would saponify each.
///
/// # Example
///
/// 5 % of what 190 g of KOH saponify, and milk fat for another 10 g: 1 - 0.95 * 190 / 200 = 9.75 %.
///
/// ```
/// use kettlebook::{batch::superfat_with, units::Mass};
/// assert!((superfat_with(5.0, Mass::grams(190.0), Mass::grams(10.0)) - 9.75).abs() < 1e-9);
/// ```
///
/// # Source
///
/// Definition of superfat.
#[must_use]
pub fn superfat_with(superfat_percent: f64, koh: Mass, koh_for_more: Mass) -> f64 {
    100.0 - (100.0 - superfat_percent) * (koh / (koh + koh_for_more))
}

/// A recipe, computed exactly.
#[derive(Clone, Debug, PartialEq)]
pub struct Batch {
    /// The fats, in the order of the recipe.
    pub fats: Vec<FatAmount>,
    /// All fats.
    pub total_fats: Mass,
    /// Pure KOH that would saponify everything.
    pub koh: Mass,
    /// Superfat of the recipe, percent.
    pub superfat_percent: f64,
    /// Pure KOH that is left after the superfat is taken off.
    pub koh_after_superfat: Mass,
    /// The acids.
    pub acids: Vec<AcidAmount>,
    /// Pure KOH that the acids take up, which is added to what the fats take.
    pub koh_for_acids: Mass,
    /// The alkalis to weigh out.
    pub alkalis: Vec<AlkaliAmount>,
    /// All alkali to weigh out.
    pub total_alkali: Mass,
    /// All the water that the alkali goes into, wherever it comes from.
    pub water: Mass,
    /// The liquids that bring part of it.
    pub liquids: Vec<LiquidAmount>,
    /// What is left to be weighed out as water; nothing when liquids and acids bring more than all of it.
    pub plain_water: Mass,
    /// Water that liquids and acids bring.
    pub water_in_others: Mass,
    /// What is taken of lye solution made beforehand, in place of lye and part of the water.
    pub stock: Option<StockAmount>,
    /// The water in all three conventions.
    pub water_conventions: WaterConventions,
    /// Pure alkali in the lye, percent by mass: what dissolves and what heats.
    pub pure_concentration_percent: f64,
    /// Everything that goes into the lye: alkali, water, liquids, acids, and additives dissolved in its water.
    pub solution: Mass,
    /// Additives of the whole batch that leave the lye as it is.
    pub extras: Vec<ExtraAmount>,
    /// Plants steeped in its fats.
    pub infusions: Vec<InfusionAmount>,
    /// Fats stirred in after saponification.
    pub late_fats: Vec<LateFatAmount>,
    /// The layers, in pouring order.
    pub layers: Vec<LayerAmount>,
    /// Whether the batter is blended once and then divided.
    pub batter_is_divided: bool,
    /// Everything that is poured, by volume, at the pouring temperature.
    pub volume: Volume,
    /// Whether the density of the lye is within the known range, so that `volume` can be trusted.
    pub volume_is_known: bool,
    /// How deep it lies in the mould of the recipe.
    pub filled_height: Option<Length>,
    /// Whether the lye is so strong that its density, and with it the size of a mould's batch, is a guess: then the
    /// batch was computed with the density of the strongest lye that is known.
    pub density_beyond_range: bool,
}

impl Batch {
    /// Everything that is poured.
    #[must_use]
    pub fn poured(&self) -> Mass {
        self.total_fats + self.solution + self.total_late_fats() + self.total_extras() - self.extras_in_lye()
    }

    /// Additives that leave the lye as it is, of the batch and of all layers.
    #[must_use]
    pub fn total_extras(&self) -> Mass {
        self.all_extras().map(|it| it.mass).sum()
    }

    /// Additives dissolved in the water of the lye, such as salt; part of `solution`.
    #[must_use]
    pub fn extras_in_lye(&self) -> Mass {
        self.extras.iter().filter(|it| it.goes_into == GoesInto::Water).map(|it| it.mass).sum()
    }

    /// Fats stirred in after saponification, all together.
    #[must_use]
    pub fn total_late_fats(&self) -> Mass {
        self.late_fats.iter().map(|it| it.mass).sum()
    }

    /// The superfat when the fat and the acid in the liquids, and the oil in which anything is dispersed, are counted too,
    /// percent: no alkali was reckoned for them.
    ///
    /// [`superfat_with`] the KOH that would go into all of that.
    #[must_use]
    pub fn superfat_with_liquids_percent(&self) -> f64 {
        let of_liquids = self.liquids.iter().map(|it| it.koh_for_fat + it.koh_for_acid);
        let beside: Mass = of_liquids.chain(self.all_extras().map(|it| it.koh_for_fat)).sum();
        superfat_with(self.superfat_percent, self.koh, beside)
    }

    /// Whether there is such fat or acid.
    #[must_use]
    pub fn has_fat_beside(&self) -> bool {
        self.liquids.iter().any(|it| it.fat > Mass::ZERO || it.koh_for_acid > Mass::ZERO)
            || self.all_extras().any(|it| it.fat > Mass::ZERO)
    }

    /// The superfat of a layer of the divided batter when the oil in which its additives, and those of the whole batch,
    /// are dispersed is counted too, percent.
    ///
    /// - `of_batter_percent`: the superfat of the batter without it.
    #[must_use]
    pub fn layer_superfat_with_percent(&self, layer_idx: usize, of_batter_percent: f64) -> f64 {
        let layer = &self.layers[layer_idx];
        let of_batch: Mass = self.extras.iter().map(|it| it.koh_for_fat).sum();
        let own: Mass = layer.extras.iter().map(|it| it.koh_for_fat).sum();
        superfat_with(of_batter_percent, self.koh * layer.fraction, of_batch * layer.fraction + own)
    }

    /// The additives of the batch and of all layers.
    pub fn all_extras(&self) -> impl Iterator<Item = &ExtraAmount> {
        self.extras.iter().chain(self.layers.iter().flat_map(|it| &it.extras))
    }

    /// Fat that is free in the end, percent of all fats: the superfat, and what is stirred in later.
    ///
    /// `(superfat * fats + later) / (fats + later)`. 5 % of 1000 g and 30 g stirred in later: 80 / 1030 = 7.77 %.
    #[must_use]
    pub fn free_fat_percent(&self) -> f64 {
        let later = self.total_late_fats().to_grams();
        let fats = self.total_fats.to_grams();
        (self.superfat_percent * fats + 100.0 * later) / (fats + later)
    }
}
