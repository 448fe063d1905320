//! A recipe computed: how much of everything, exactly.
//!
//! Layer 3. Numbers in, numbers out; pure, total and without wording: whatever could be refused was refused while the
//! recipe was validated. Nothing is rounded but in `weighing.rs`, which turns exact amounts into what a scale shows.
//!
//! Symbols: SV, saponification value (mg KOH per g fat); M, molar mass (g/mol).

mod alkali;
mod layers;
mod scaling;
mod water;
mod weighing;

pub use alkali::{alkali_for, koh_for, superfat_fraction_of};
pub use layers::split;
pub use scaling::{fats_for_mould, lye_density};
pub use water::{WaterConventions, water_for};
pub use weighing::{Scale, ScaleUnit, Weighed, WeighedLayer, apportion};

use crate::recipe::{BatchSize, Layer, Recipe};
use crate::tables::{AlkaliKind, Tables};
use crate::units::{Mass, Percent, SapValue};

/// A fat as computed.
#[derive(Clone, Debug, PartialEq)]
pub struct FatAmount {
    /// What recipes call it.
    pub id: String,
    /// What pages call it.
    pub name: String,
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

/// A layer as computed.
#[derive(Clone, Debug, PartialEq)]
pub struct LayerAmount {
    /// The layer of the recipe.
    pub layer: Layer,
    /// Its part of the fats.
    pub fats: Mass,
    /// Its part of the lye.
    pub solution: Mass,
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
    /// The alkalis to weigh out.
    pub alkalis: Vec<AlkaliAmount>,
    /// All alkali to weigh out.
    pub total_alkali: Mass,
    /// The water.
    pub water: Mass,
    /// The water in all three conventions.
    pub water_conventions: WaterConventions,
    /// Pure alkali in the lye, percent by mass: what dissolves and what heats.
    pub pure_concentration_percent: f64,
    /// Alkali and water together.
    pub solution: Mass,
    /// The layers, in pouring order.
    pub layers: Vec<LayerAmount>,
    /// Whether the lye is so strong that its density, and with it the size of a mould's batch, is a guess: then the
    /// batch was computed with the density of the strongest lye that is known.
    pub density_beyond_range: bool,
}

impl Batch {
    /// Everything that is poured.
    #[must_use]
    pub fn poured(&self) -> Mass {
        self.total_fats + self.solution
    }
}

/// Computes a recipe.
///
/// Everything is proportional to the mass of fats, so a recipe sized by a mould is first computed for 1 g of fats; that
/// gives the volume per gram, and the volume of the mould gives the grams.
///
/// # Example
///
/// 1000 g of a fat with SV 190, superfat 5 %, NaOH, lye concentration 33 %: KOH 190.00 g, after superfat 180.50 g, NaOH
/// 180.50 * 39.99712 / 56.10565 = 128.68 g, water 128.68 * 67 / 33 = 261.25 g.
///
/// # Source
///
/// Definition of SV: ISO 3657. Molar masses: `tables/alkalis.toml`.
#[must_use]
pub fn compute(recipe: &Recipe, tables: &Tables) -> Batch {
    match &recipe.size {
        BatchSize::Fats(total_fats) => compute_for(recipe, tables, *total_fats),
        BatchSize::Mould(mould) => {
            let one_gram = compute_for(recipe, tables, Mass::grams(1.0));
            let (total_fats, in_range) = fats_for_mould(recipe, &one_gram, mould, tables);
            let batch = compute_for(recipe, tables, total_fats);
            Batch { density_beyond_range: !in_range, ..batch }
        }
    }
}

fn compute_for(recipe: &Recipe, tables: &Tables, total_fats: Mass) -> Batch {
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
    let alkalis: Vec<AlkaliAmount> = recipe
        .alkalis
        .iter()
        .map(|share| {
            let molar_mass = |kind| tables.alkali(kind).molar_mass.to_grams_per_mole();
            let grams_per_gram_koh = molar_mass(share.kind) / molar_mass(AlkaliKind::KOH);
            let pure = alkali_for(koh_after_superfat * share.mole_fraction, grams_per_gram_koh);
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
    let solution = total_alkali + water;
    let pure: Mass = alkalis.iter().map(|it| it.pure).sum();
    let fractions: Vec<f64> = recipe.layers.iter().map(|it| it.fraction).collect();
    let (layer_fats, layer_solutions) = (split(total_fats, &fractions), split(solution, &fractions));
    let layers = recipe
        .layers
        .iter()
        .zip(layer_fats.into_iter().zip(layer_solutions))
        .map(|(layer, (fats, solution))| LayerAmount { layer: layer.clone(), fats, solution })
        .collect();
    Batch {
        fats,
        total_fats,
        koh,
        superfat_percent: recipe.superfat_percent,
        koh_after_superfat,
        alkalis,
        total_alkali,
        water,
        water_conventions: WaterConventions::of(total_alkali, water, total_fats),
        pure_concentration_percent: pure / solution * 100.0,
        solution,
        layers,
        density_beyond_range: false,
    }
}
