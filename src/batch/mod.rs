//! A recipe computed: how much of everything, exactly.
//!
//! Layer 3. Numbers in, numbers out; pure, total and without wording: whatever could be refused was refused while the
//! recipe was validated. Nothing is rounded but in `weighing.rs`, which turns exact amounts into what a scale shows.
//!
//! Symbols: SV, saponification value (mg KOH per g fat); M, molar mass (g/mol).

mod alkali;
mod bars;
mod composition;
mod heat;
mod layers;
mod scaling;
mod solubility;
mod swap;
mod timeline;
mod uncertainty;
mod vessels;
mod water;
mod weighing;
mod yields;

use std::sync::Arc;

pub use crate::units::{Scale, ScaleUnit};
pub use alkali::{alkali_for, koh_for, superfat_fraction_of};
pub use bars::{Bars, bars};
pub use composition::{
    Comparison, Composition, FattyAcidShare, GroupShare, acids_of, composition, iodine_value_from_acids,
    mean_molar_mass, named_percent, sap_value_of,
};
pub use heat::{HottestLye, heat_of_solution_joules_per_gram, hottest_lye, hottest_lye_of, lye_heat_capacity};
pub use layers::split;
pub use scaling::{fats_for_mould, fats_volume, lye_density, lye_volume};
pub use solubility::{crystallises_below_celsius, strongest_solution_percent_at};
pub use swap::{Swap, swap_fats};
pub use timeline::{Action, BenchStep, LongStep, Timeline, timeline, wait_after};
pub use uncertainty::{Contribution, Input, SuperfatUncertainty, superfat_uncertainty};
pub use vessels::{Vessels, vessel_for, vessels};
pub use water::{WaterConventions, water_for};
pub use weighing::{Weighed, WeighedLayer};
pub use yields::{Cut, Yields, cured_mass, cut, glycerol_from, percent_of_cured, yields};

use self::layers::layers_of;
use self::scaling::{batch_for_mould, batch_volume, extras_volume};
use crate::recipe::{BatchSize, Divide, Extra, Rate, Recipe};
use crate::tables::{AlkaliKind, GoesInto, Mould, Tables};
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
    /// The water in all three conventions.
    pub water_conventions: WaterConventions,
    /// Pure alkali in the lye, percent by mass: what dissolves and what heats.
    pub pure_concentration_percent: f64,
    /// Everything that goes into the lye: alkali, water, liquids, acids, and additives dissolved in its water.
    pub solution: Mass,
    /// Additives of the whole batch that leave the lye as it is.
    pub extras: Vec<ExtraAmount>,
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
        self.extras.iter().chain(self.layers.iter().flat_map(|it| &it.extras)).map(|it| it.mass).sum()
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

/// Computes a recipe.
///
/// A recipe sized by a mould is computed for trial masses of fats until its volume is the mould's: see
/// [`fats_for_mould`].
///
/// # Example
///
/// 1000 g of a fat with SV 190, superfat 5 %, NaOH, lye concentration 33 %: KOH 190.00 g, after superfat 180.50 g, NaOH
/// 180.50 * 39.99712 / 56.10565 = 128.68 g, water 128.68 * 67 / 33 = 261.25 g.
///
/// With 10 g of anhydrous citric acid: it takes up 10 * 3 * 56.10565 / 192.1238 = 8.761 g of KOH, so NaOH is
/// (180.50 + 8.761) * 0.71289 = 134.92 g.
///
/// # Source
///
/// Definition of SV: ISO 3657. Molar masses: `tables/alkalis.toml`, `tables/additives.toml`.
#[must_use]
pub fn compute(recipe: &Recipe, tables: &Tables) -> Batch {
    match &recipe.size {
        BatchSize::Fats(total_fats) => compute_for(recipe, tables, *total_fats),
        BatchSize::Mould(mould) => {
            let batch = batch_for_mould(recipe, mould, tables);
            Batch { density_beyond_range: !batch.volume_is_known, ..batch }
        }
    }
}

/// Computes a recipe for a given mass of fats, whatever its size says.
#[must_use]
pub fn compute_for(recipe: &Recipe, tables: &Tables, total_fats: Mass) -> Batch {
    let molar_mass = |kind| tables.alkali(kind).molar_mass.to_grams_per_mole();
    let fats: Vec<FatAmount> = recipe
        .fats
        .iter()
        .map(|share| {
            let mass = total_fats * share.fraction;
            FatAmount {
                id: share.fat.id.clone(),
                name: share.fat.name.clone(),
                fraction: share.fraction,
                mass,
                sap_value: share.fat.sap_used,
                koh: koh_for(mass, share.fat.sap_used),
            }
        })
        .collect();
    let koh: Mass = fats.iter().map(|it| it.koh).sum();
    let koh_after_superfat = koh * (1.0 - recipe.superfat_percent / 100.0);
    let acids: Vec<AcidAmount> = recipe
        .acids
        .iter()
        .map(|share| {
            let mass = mass_of(share.rate, total_fats, None);
            let koh_per_pure_gram =
                share.acidic_hydrogens * molar_mass(AlkaliKind::KOH) / share.molar_mass.to_grams_per_mole();
            let koh_per_gram = koh_per_pure_gram * share.strength.to_fraction();
            AcidAmount {
                id: share.id.clone(),
                name: share.name.clone(),
                mass,
                pure: mass * share.strength.to_fraction(),
                koh_per_gram,
                koh: mass * koh_per_gram,
            }
        })
        .collect();
    let koh_for_acids: Mass = acids.iter().map(|it| it.koh).sum();
    let alkalis: Vec<AlkaliAmount> = recipe
        .alkalis
        .iter()
        .map(|share| {
            let grams_per_gram_koh = molar_mass(share.kind) / molar_mass(AlkaliKind::KOH);
            let koh_part = (koh_after_superfat + koh_for_acids) * share.mole_fraction;
            let pure = alkali_for(koh_part, grams_per_gram_koh);
            AlkaliAmount {
                kind: share.kind,
                mole_fraction: share.mole_fraction,
                grams_per_gram_koh,
                pure,
                purity: share.purity,
                mass: pure / share.purity.to_fraction(),
            }
        })
        .collect();
    let total_alkali: Mass = alkalis.iter().map(|it| it.mass).sum();
    let water = water_for(recipe.water, total_alkali, total_fats);
    let liquids: Vec<LiquidAmount> = recipe
        .liquids
        .iter()
        .map(|share| {
            let mass = match share.rate {
                Rate::OfWater(fraction) => water * (fraction / share.water.to_fraction()),
                rate => mass_of(rate, total_fats, None),
            };
            LiquidAmount {
                id: share.id.clone(),
                name: share.name.clone(),
                mass,
                water: mass * share.water.to_fraction(),
            }
        })
        .collect();
    let water_in_others: Mass = liquids.iter().map(|it| it.water).chain(acids.iter().map(|it| it.mass - it.pure)).sum();
    let plain_water = water - water_in_others;
    let others: Mass = liquids.iter().map(|it| it.mass).chain(acids.iter().map(|it| it.mass)).sum();
    let extras: Vec<ExtraAmount> = recipe.extras.iter().map(|it| extra_amount(it, total_fats)).collect();
    let in_lye: Mass = extras.iter().filter(|it| it.goes_into == GoesInto::Water).map(|it| it.mass).sum();
    let solution = total_alkali + plain_water + others + in_lye;
    let pure: Mass = alkalis.iter().map(|it| it.pure).sum();
    let late_fats = recipe
        .late_fats
        .iter()
        .map(|share| LateFatAmount {
            id: share.fat.id.clone(),
            name: share.fat.name.clone(),
            mass: mass_of(share.rate, total_fats, None),
        })
        .collect();
    let mut batch = Batch {
        fats,
        total_fats,
        koh,
        superfat_percent: recipe.superfat_percent,
        koh_after_superfat,
        acids,
        koh_for_acids,
        alkalis,
        total_alkali,
        water,
        liquids,
        plain_water,
        water_in_others,
        water_conventions: WaterConventions::of(total_alkali, water, total_fats),
        pure_concentration_percent: pure / (total_alkali + water) * 100.0,
        solution,
        extras,
        late_fats,
        layers: Vec::new(),
        batter_is_divided: recipe.divide == Divide::Batter,
        volume: Volume::default(),
        volume_is_known: true,
        filled_height: None,
        density_beyond_range: false,
    };
    let (base, volume_is_known) = batch_volume(recipe, &batch, tables);
    batch.volume_is_known = volume_is_known;
    batch.layers = layers_of(recipe, &batch, base, tables);
    let of_layers: f64 = batch.layers.iter().map(|it| extras_volume(&it.extras, tables)).sum();
    batch.volume = Volume::millilitres(base.to_millilitres() + of_layers);
    let per_filled = |mould: &Mould| batch.volume.to_millilitres() / mould.volume().to_millilitres();
    batch.filled_height =
        recipe.mould().map(|it| Length::millimetres(it.fill_height.to_millimetres() * per_filled(it)));
    for layer in &mut batch.layers {
        layer.thickness =
            batch.filled_height.map(|it| Length::millimetres(it.to_millimetres() * layer.height_fraction));
    }
    batch
}

fn extra_amount(extra: &Extra, fats: Mass) -> ExtraAmount {
    let additive = &extra.additive;
    let mass = mass_of(extra.rate, fats, additive.bulk_density);
    let volume = additive.bulk_density.map(|it| Volume::millilitres(mass.to_grams() / it.to_grams_per_millilitre()));
    ExtraAmount {
        id: additive.id.clone(),
        name: additive.name.clone(),
        mass,
        volume,
        solid_density: additive.solid_density,
        of_fats_percent: mass / fats * 100.0,
        goes_into: additive.goes_into,
    }
}

/// The mass that a rate asks for. A share of the water is not known here, and a spoon of unknown bulk density says
/// nothing: both count as nothing, since they were refused.
fn mass_of(rate: Rate, fats: Mass, bulk_density: Option<Density>) -> Mass {
    let of_spoons = |millilitres: f64| {
        bulk_density.map_or(Mass::ZERO, |it| Mass::grams(millilitres * it.to_grams_per_millilitre()))
    };
    match rate {
        Rate::OfFats(fraction) => fats * fraction,
        Rate::Fixed(mass) => mass,
        Rate::SpoonsOfFats(millilitres_per_gram) => of_spoons(millilitres_per_gram * fats.to_grams()),
        Rate::FixedSpoons(volume) => of_spoons(volume.to_millilitres()),
        Rate::OfWater(_) => Mass::ZERO,
    }
}
