//! A recipe computed: how much of everything, exactly.
//!
//! Layer 3. Numbers in, numbers out; pure, total and without wording: whatever could be refused was refused while the
//! recipe was validated. Nothing is rounded but in `weighing.rs`, which turns exact amounts into what a scale shows.
//!
//! Symbols: SV, saponification value (mg KOH per g fat); M, molar mass (g/mol).

mod alkali;
mod amounts;
mod as_weighed;
mod bars;
mod composition;
mod dilution;
mod heat;
mod infusions;
mod layers;
mod pot;
mod rebatch;
mod scaling;
mod solubility;
mod stock;
mod swap;
mod timeline;
mod titration;
mod trace;
mod uncertainty;
mod vessels;
mod water;
mod weighing;
mod yields;

pub use crate::units::{Scale, ScaleUnit};
pub use alkali::{alkali_for, koh_for, superfat_fraction_of};
pub use amounts::{
    AcidAmount, AlkaliAmount, Batch, ExtraAmount, FatAmount, LateFatAmount, LayerAmount, LiquidAmount, superfat_with,
};
pub use as_weighed::{AsWeighed, Remedy, Verdict, WeighedPart, as_weighed};
pub use bars::{Bars, bars};
pub use composition::{
    Comparison, Composition, FattyAcidShare, GroupShare, acids_of, composition, iodine_value_from_acids,
    mean_molar_mass, named_percent, sap_value_of,
};
pub use dilution::{Dilution, acid_for, anhydrous_soap, dilution};
pub use heat::{HottestLye, heat_of_solution_joules_per_gram, hottest_lye, hottest_lye_of, lye_heat_capacity};
pub use infusions::{InfusionAmount, infusion_of};
pub use layers::split;
pub use pot::{after_cooking, water_lost};
pub use rebatch::{OffCard, Rebatch, rebatch};
pub use scaling::{fats_for_mould, fats_volume, lye_density, lye_volume};
pub use solubility::{crystallises_below_celsius, dissolves_in_lye, strongest_solution_percent_at};
pub use stock::{Jug, StockAmount, StockReading, hottest_stock, stock_crystallises_below_celsius, stock_vessel};
pub use swap::{Swap, swap_fats};
pub use timeline::{Action, BenchStep, LongStep, Timeline, is_cooked, timeline};
pub use titration::{FreeAlkali, Titration, free_alkali, stock_strength_percent};
pub use trace::{
    batter_fluid, divides_batter, first_stop, is_dispersed_beforehand, is_wetted, sets_by_its_powder, stirs_in,
    stop_at, wait_after, wets_powders,
};
pub use uncertainty::{Contribution, Input, SuperfatUncertainty, coarsest_scale, superfat_uncertainty};
pub use vessels::{Vessels, vessel_for, vessels};
pub use water::{WaterConventions, water_for};
pub use weighing::{Weighed, WeighedLayer};
pub use yields::{Cut, Yields, cured_mass, cut, glycerol_from, percent_of_cured, yields};

use self::layers::layers_of;
use self::scaling::{batch_for_mould, batch_volume, extras_volume};
use crate::recipe::{AcidShare, BatchSize, DispersingLiquid, Extra, Rate, Recipe};
use crate::tables::{AcidSalt, AlkaliKind, GoesInto, Mould, Tables};
use crate::units::{Density, Length, Mass, Volume};

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
            let pure = mass * share.strength.to_fraction();
            let salts = share.salt.as_ref().map(|it| salt_of(share, it, pure, recipe, tables));
            AcidAmount {
                id: share.id.clone(),
                name: share.name.clone(),
                mass,
                pure,
                salt: salts.map(|(salt, _)| salt),
                salt_as_sold: salts.and_then(|(_, sold)| sold),
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
            let fat = share.fat.as_ref().map_or(Mass::ZERO, |(percent, _)| mass * percent.to_fraction());
            LiquidAmount {
                id: share.id.clone(),
                name: share.name.clone(),
                mass,
                water: mass * share.water.to_fraction(),
                fat,
                koh_for_fat: share.fat.as_ref().map_or(Mass::ZERO, |(_, row)| koh_for(fat, row.sap_used)),
                koh_for_acid: share.acid.map_or(Mass::ZERO, |(percent, acid, acidic_hydrogens)| {
                    let koh_per_gram = acidic_hydrogens * molar_mass(AlkaliKind::KOH) / acid.to_grams_per_mole();
                    mass * (percent.to_fraction() * koh_per_gram)
                }),
                sugar: share.sugar.map_or(Mass::ZERO, |it| mass * it.to_fraction()),
            }
        })
        .collect();
    let water_in_others: Mass = liquids.iter().map(|it| it.water).chain(acids.iter().map(|it| it.mass - it.pure)).sum();
    let plain_water = water - water_in_others;
    let others: Mass = liquids.iter().map(|it| it.mass).chain(acids.iter().map(|it| it.mass)).sum();
    let extras: Vec<ExtraAmount> = recipe.extras.iter().map(|it| extra_amount(it, total_fats, water)).collect();
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
    let infusions = infusions::infusions(&recipe.infusions, &fats, &tables.limits);
    let stock = match (&recipe.stock, &alkalis[..]) {
        (Some(stock), [only]) => Some(StockAmount::of(stock, only, plain_water)),
        _ => None,
    };
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
        stock,
        water_conventions: WaterConventions::of(total_alkali, water, total_fats),
        pure_concentration_percent: pure / (total_alkali + water) * 100.0,
        solution,
        extras,
        infusions,
        late_fats,
        layers: Vec::new(),
        batter_is_divided: recipe.divide.is_of_batter(),
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
    let in_mould = batch.volume.to_millilitres() + recipe.embeds_volume().to_millilitres();
    let per_filled = |mould: &Mould| in_mould / mould.volume().to_millilitres();
    batch.filled_height =
        recipe.mould().map(|it| Length::millimetres(it.fill_height.to_millimetres() * per_filled(it)));
    // Portions that are swirled lie nowhere in particular.
    let lying = if recipe.divide.swirl().is_some() { &mut [][..] } else { &mut batch.layers[..] };
    for layer in lying {
        layer.thickness =
            batch.filled_height.map(|it| Length::millimetres(it.to_millimetres() * layer.height_fraction));
    }
    batch
}

/// The salt that an acid becomes with the alkali that is added for it, and the same as it is sold.
///
/// `pure / M`, M the acid's molar mass as weighed, times that of the salt: `M - w M(H2O) + h (M(alkali) - M(H2O))`, with w the
/// water of crystallisation of the acid and h its acidic hydrogens. Of two alkalis each makes its part, by moles.
///
/// # Example
///
/// 10 g of anhydrous citric acid and NaOH: 192.124 + 3 (39.997 - 18.015) = 258.07 g/mol, 13.43 g of trisodium citrate; with two of
/// water 294.10 g/mol, 15.31 g.
///
/// # Source
///
/// Stoichiometry. Molar masses: `tables/additives.toml`, `tables/alkalis.toml`, `tables/limits.toml`.
fn salt_of(share: &AcidShare, salt: &AcidSalt, pure: Mass, recipe: &Recipe, tables: &Tables) -> (Mass, Option<Mass>) {
    let water = tables.limits.water_molar_mass.to_grams_per_mole();
    let alkalis = recipe.alkalis.iter();
    let alkali: f64 = alkalis.map(|it| it.mole_fraction * tables.alkali(it.kind).molar_mass.to_grams_per_mole()).sum();
    let acid = share.molar_mass.to_grams_per_mole();
    let of_salt = acid - f64::from(salt.water_in_acid) * water + share.acidic_hydrogens * (alkali - water);
    let is_sodium = recipe.alkalis.iter().all(|it| it.kind == AlkaliKind::NaOH);
    let sold = salt.water_in_salt.filter(|_| is_sodium);
    (pure * (of_salt / acid), sold.map(|it| pure * ((of_salt + f64::from(it) * water) / acid)))
}

/// - `water`: all of it, for what is dissolved in it by a share of it.
fn extra_amount(extra: &Extra, fats: Mass, water: Mass) -> ExtraAmount {
    let additive = &extra.additive;
    let mass = match extra.rate {
        Rate::OfWater(fraction) => water * fraction,
        rate => mass_of(rate, fats, additive.bulk_density),
    };
    let volume = additive.bulk_density.map(|it| Volume::millilitres(mass.to_grams() / it.to_grams_per_millilitre()));
    let (koh_for_fat, fat, water) = match extra.disperses.as_ref().map(|it| &it.liquid) {
        Some(DispersingLiquid::Fat(row)) => (koh_for(mass, row.sap_used), mass, Mass::ZERO),
        Some(DispersingLiquid::Water) => (Mass::ZERO, Mass::ZERO, mass),
        Some(DispersingLiquid::Glycerol) | None => (Mass::ZERO, Mass::ZERO, Mass::ZERO),
    };
    ExtraAmount {
        id: additive.id.clone(),
        name: additive.name.clone(),
        mass,
        volume,
        solid_density: additive.solid_density,
        of_fats_percent: mass / fats * 100.0,
        goes_into: additive.goes_into,
        blend: extra.blend.as_ref().map(|it| it.id.clone()),
        koh_for_fat,
        fat,
        water,
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
