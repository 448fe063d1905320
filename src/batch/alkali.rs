//! How much alkali a set of fats takes.
//!
//! Layer 3. Whether a result is too much is not decided here; that is a finding (`rules/`). To change how purity is
//! applied, see `compute` in `mod.rs`.

use crate::units::{Mass, SapValue};

/// Mass of pure KOH that exactly saponifies `fat_mass` of one fat.
///
/// `fat_mass * SV / 1000`
///
/// - `fat_mass`: as weighed, with no superfat taken off.
/// - `sap_value`: mg KOH per g of fat, above 0.
///
/// Cannot fail: both are finite and not negative by construction.
///
/// # Example
///
/// 1000 g of a fat with SV 190 take 190 g of KOH.
///
/// ```
/// use kettlebook::{batch::koh_for, units::{Mass, SapValue}};
/// let koh = koh_for(Mass::grams(1000.0), SapValue::mg_koh_per_g(190.0));
/// assert!((koh.to_grams() - 190.0).abs() < 1e-9);
/// ```
///
/// # Source
///
/// Definition of the saponification value: ISO 3657.
#[must_use]
pub fn koh_for(fat_mass: Mass, sap_value: SapValue) -> Mass {
    fat_mass * (sap_value.to_mg_koh_per_g() / 1000.0)
}

/// Mass of another pure alkali that does the work of `koh`.
///
/// `koh * M(alkali) / M(KOH)`
///
/// - `grams_per_gram_koh`: M(alkali) / M(KOH); 1 for KOH itself, 0.71289 for NaOH.
///
/// Cannot fail.
///
/// # Example
///
/// 190 g of KOH do the work of 190 * 39.99712 / 56.10565 = 135.45 g of NaOH.
///
/// ```
/// use kettlebook::{batch::alkali_for, units::Mass};
/// let naoh = alkali_for(Mass::grams(190.0), 39.99712 / 56.10565);
/// assert!((naoh.to_grams() - 135.45).abs() < 0.005);
/// ```
///
/// # Source
///
/// One mole of either saponifies one mole of ester. Molar masses: `tables/alkalis.toml`.
#[must_use]
pub fn alkali_for(koh: Mass, grams_per_gram_koh: f64) -> Mass {
    koh * grams_per_gram_koh
}

/// The superfat that given amounts lead to, as a fraction; below zero when there is more alkali than the fats can take.
///
/// `1 - (koh_present - koh_for_acids) / koh_for_everything`
///
/// - `koh_present`: the alkali present, as the mass of pure KOH that does the same work.
/// - `koh_for_acids`: the part of it that acids take up first.
/// - `koh_for_everything`: KOH that would saponify all fats; above 0, since every recipe has a fat.
///
/// Cannot fail.
///
/// # Example
///
/// 189.3 g, of which 8.8 g go to an acid, where 190 g would saponify everything: 1 - 180.5 / 190 = 0.05.
///
/// ```
/// use kettlebook::{batch::superfat_fraction_of, units::Mass};
/// let superfat = superfat_fraction_of(Mass::grams(189.3), Mass::grams(8.8), Mass::grams(190.0));
/// assert!((superfat - 0.05).abs() < 1e-12);
/// ```
///
/// # Source
///
/// The trade's definition of superfat by discount of the alkali: common practice.
#[must_use]
pub fn superfat_fraction_of(koh_present: Mass, koh_for_acids: Mass, koh_for_everything: Mass) -> f64 {
    1.0 - (koh_present.to_grams() - koh_for_acids.to_grams()) / koh_for_everything.to_grams()
}
