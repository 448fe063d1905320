//! What follows from the fatty acids that a row of fats.toml names.
//!
//! Layer 1, since a saponification value is held against it when the row is read. How a blend of fats is made up is in
//! `batch/composition.rs`.
//!
//! Symbols: M, molar mass (g/mol).

use std::sync::Arc;

use super::{FatKind, FattyAcid, FattyAcids, Tables};
use crate::units::{MolarMass, SapValue};

/// A fatty acid and its share of all fatty acids.
#[derive(Clone, Debug, PartialEq)]
pub struct FattyAcidShare {
    /// The row of the table.
    pub acid: Arc<FattyAcid>,
    /// Percent by mass.
    pub percent: f64,
}

/// The middles of a fat's ranges, percent by mass of all fatty acids, as published: not scaled.
///
/// `sum of (low + high) / 2`. Where it is far from 100 the row names only part of the acids, or wide ranges.
///
/// # Example
///
/// Mango butter's row names 7.09, 45.635 and 35.525 %: 88.25 %, the rest is unnamed.
///
/// ```
/// use kettlebook::{batch::named_percent, tables::Tables};
/// let tables = Tables::embedded();
/// let acids = tables.fats["mango-butter"].fatty_acids.as_ref().expect("it has some");
/// assert!((named_percent(acids) - 88.25).abs() < 1e-9);
/// ```
#[must_use]
pub fn named_percent(acids: &FattyAcids) -> f64 {
    acids.shares.iter().map(|(_, low, high)| f64::midpoint(*low, *high)).sum()
}

/// The acids of one fat: the middles of their ranges, scaled so that they add up to 100.
///
/// `(low + high) / 2 * 100 / sum of all`. Acids that are absent are left out; a row with nothing but zeros has no acids.
///
/// # Example
///
/// Sal fat: 4, 47, 44, 0.5 and 2.8 % add up to 98.3; stearic acid is 47 * 100 / 98.3 = 47.81 %.
///
/// ```
/// use kettlebook::{batch::acids_of, tables::Tables};
/// let tables = Tables::embedded();
/// let acids = acids_of(tables.fats["sal"].fatty_acids.as_ref().expect("it has some"), &tables);
/// assert_eq!(&*acids[1].acid.name, "stearic acid");
/// assert!((acids[1].percent - 47.81).abs() < 0.005);
/// ```
#[must_use]
pub fn acids_of(acids: &FattyAcids, tables: &Tables) -> Vec<FattyAcidShare> {
    let sum = named_percent(acids);
    // Both are in the order of the table.
    let mut shares = acids.shares.iter().peekable();
    let share = |acid: &Arc<FattyAcid>| {
        let (_, low, high) = shares.next_if(|(id, ..)| **id == *acid.id)?;
        let percent = f64::midpoint(*low, *high) * 100.0 / sum;
        (percent > 0.0).then(|| FattyAcidShare { acid: acid.clone(), percent })
    };
    tables.acids.iter().filter_map(share).collect()
}

/// The mean molar mass of fatty acids.
///
/// `sum of w / sum of (w / M)`: shares by mass turned into moles. `None` without acids. Cannot fail.
///
/// # Example
///
/// Half palmitic acid (256.42 g/mol), half stearic acid (284.48 g/mol): 2 / (1 / 256.42 + 1 / 284.48) = 269.72 g/mol,
/// less than the 270.45 of the plain mean.
///
/// ```
/// use kettlebook::{batch::{FattyAcidShare, mean_molar_mass}, tables::Tables};
/// let acid = |id: &str| Tables::embedded().acids.into_iter().find(|it| &*it.id == id).expect("it is in the table");
/// let half = |id: &str| FattyAcidShare { acid: acid(id), percent: 50.0 };
/// let mean = mean_molar_mass(&[half("C16-0"), half("C18-0")]).expect("there are acids");
/// assert!((mean.to_grams_per_mole() - 269.72).abs() < 0.005);
/// ```
///
/// # Source
///
/// Definition of a mean by moles.
#[must_use]
pub fn mean_molar_mass(acids: &[FattyAcidShare]) -> Option<MolarMass> {
    let mass: f64 = acids.iter().map(|it| it.percent).sum();
    let moles: f64 = acids.iter().map(|it| it.percent / it.acid.molar_mass.to_grams_per_mole()).sum();
    (moles > 0.0).then(|| MolarMass::grams_per_mole(mass / moles))
}

/// The saponification value of a fat made of acids of this mean molar mass.
///
/// - triglyceride: `3 * 1000 M(KOH) / (3 M + 38.048)`, glycerol less three of water
/// - free acids: `1000 M(KOH) / M`, which is also their acid value
/// - wax: `None`, since nothing is known of its alcohols
///
/// Natural fats hold some unsaponifiable matter, which lowers the value, and some free acid, which raises it.
///
/// # Example
///
/// Oleic acid, 282.46212 g/mol: as triolein 3 * 56105.65 / 885.434 = 190.10, free 56105.65 / 282.462 = 198.63.
///
/// ```
/// use kettlebook::{batch::sap_value_of, tables::{FatKind, Tables}, units::MolarMass};
/// let (oleic, tables) = (MolarMass::grams_per_mole(282.46212), Tables::embedded());
/// let value = |kind| sap_value_of(kind, oleic, &tables).map(|it| (it.to_mg_koh_per_g() * 100.0).round() / 100.0);
/// assert_eq!(value(FatKind::Triglyceride), Some(190.10));
/// assert_eq!(value(FatKind::FattyAcid), Some(198.63));
/// assert_eq!(value(FatKind::Wax), None);
/// ```
///
/// # Source
///
/// Stoichiometry; the method by composition is AOCS Cd 3a-94 (named, not read).
#[must_use]
pub fn sap_value_of(kind: FatKind, mean_acid: MolarMass, tables: &Tables) -> Option<SapValue> {
    let (m, koh) = (mean_acid.to_grams_per_mole(), tables.koh.molar_mass.to_grams_per_mole());
    let grams_per_mole_of_alkali = match kind {
        FatKind::Triglyceride => m + tables.limits.glycerol_residue_grams_per_mole() / 3.0,
        FatKind::FattyAcid => m,
        FatKind::Wax => return None,
    };
    Some(SapValue::mg_koh_per_g(1000.0 * koh / grams_per_mole_of_alkali))
}

/// The same of a fat made of these acids; `None` without acids too.
#[must_use]
pub fn sap_value_from_acids(kind: FatKind, acids: &[FattyAcidShare], tables: &Tables) -> Option<SapValue> {
    sap_value_of(kind, mean_molar_mass(acids)?, tables)
}
