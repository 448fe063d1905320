//! What fatty acids a blend of fats is made of, and what follows from them.
//!
//! Layer 3. A published range says what may be sold under a name; its middle stands for a fat of which nothing else is
//! known. So the composition is a check on the table and a help in comparing recipes; no alkali is computed from it.
//! Which acids go together, their molar masses and iodine factors are rows of `tables/acids.toml`; the
//! molar masses of glycerol and water, of `tables/limits.toml`.
//!
//! Symbols: SV, saponification value (mg KOH per g fat); IV, iodine value (g iodine per 100 g); M, molar mass (g/mol).

use std::sync::Arc;

use crate::recipe::FatShare;
use crate::tables::{AcidGroup, Fat, FatKind, Tables, sap_value_from_acids};
pub use crate::tables::{FattyAcidShare, acids_of, mean_molar_mass, named_percent, sap_value_of};
use crate::units::{MolarMass, SapValue};

/// Acids that are taken together, and their share of all fatty acids.
#[derive(Clone, Debug, PartialEq)]
pub struct GroupShare {
    /// Which ones.
    pub group: AcidGroup,
    /// Percent by mass.
    pub percent: f64,
}

/// One quantity from two sources: the fatty acids of fats, and what the table publishes for the same fats.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Comparison {
    /// From the fatty acids.
    pub predicted: f64,
    /// What the table's own values come to: the values used, or the middles.
    pub table: f64,
    /// Low end that the table's ranges come to.
    pub low: f64,
    /// High end.
    pub high: f64,
    /// Mass of the fats that could be compared, as a fraction of all fats.
    pub fraction: f64,
}

impl Comparison {
    /// Whether the prediction lies within what the table's ranges come to.
    #[must_use]
    pub fn agrees(&self) -> bool {
        (self.low..=self.high).contains(&self.predicted)
    }

    /// Whether the table's own value lies within its ranges, as one laid over them need not.
    #[must_use]
    pub fn is_of_its_range(&self) -> bool {
        // A mean of values is off by a hair.
        let hair = self.table.abs() * 1e-9;
        (self.low - hair..=self.high + hair).contains(&self.table)
    }

    /// How much higher the prediction is than the table's value, percent of that; below zero when it is lower.
    #[must_use]
    pub fn difference_percent(&self) -> f64 {
        (self.predicted - self.table) / self.table * 100.0
    }
}

/// The composition of a blend of fats.
#[derive(Clone, Debug, PartialEq)]
pub struct Composition {
    /// The acids that are present, in the order of the table. They add up to 100; none where no fat's acids are known.
    pub acids: Vec<FattyAcidShare>,
    /// Mass of the fats whose acids are known, as a fraction of all fats.
    pub known_fraction: f64,
    /// The fats whose acids are not known, by their place in the recipe; among them are all waxes.
    pub unknown_fats: Vec<usize>,
    /// Mean molar mass of the acids.
    pub mean_molar_mass: Option<MolarMass>,
    /// Iodine value by the table, over the fats that have one.
    pub iodine_value: Option<f64>,
    /// The fats that have no iodine value, by their place in the recipe.
    pub fats_without_iodine_value: Vec<usize>,
    /// The iodine value predicted and published, for the fats that have both.
    pub iodine_values: Option<Comparison>,
    /// The saponification value predicted and used, for the fats whose acids are known; mg KOH per g.
    pub sap_values: Option<Comparison>,
}

impl Composition {
    /// The shares of the groups, in the order in which pages show them; groups that are absent are left out.
    ///
    /// They add up to 100, since every acid is in one group.
    #[must_use]
    pub fn groups(&self) -> Vec<GroupShare> {
        let share = |group| self.acids.iter().filter(|it| it.acid.group == group).map(|it| it.percent).sum();
        let groups = AcidGroup::ALL.into_iter().map(|group| GroupShare { group, percent: share(group) });
        groups.filter(|it| it.percent > 0.0).collect()
    }
}

/// The composition of a blend.
///
/// Each fat's acids are the middles of their published ranges, scaled so that they add up to 100 ([`acids_of`]). The
/// blend's are the mean of these, weighted by the mass of the fats whose acids are known. Iodine values are the middles
/// of the published ranges (the known end where there is only one), weighted by mass; saponification values are those
/// that recipes use.
///
/// - `fats`: their fractions are above 0; a recipe's add up to 1.
/// - A wax counts as a fat whose acids are not known: half of it is fatty alcohol, and no shares of "all fatty acids" tell
///   how much of it is acid.
///
/// Cannot fail.
///
/// # Example
///
/// A fat with palmitic acid alone and one with oleic acid alone, 1 : 3, are 25 % palmitic and 75 % oleic. With a third,
/// unknown fat to half of the whole, the shares stay and the known fraction is 0.5.
///
/// Of cocoa butter the table knows 26 % palmitic, 34 % stearic, 33 % oleic and 3 % linoleic acid, together 96 %. Scaled,
/// oleic acid is 33 / 0.96 = 34.375 %:
///
/// ```
/// use kettlebook::{batch::composition, recipe::FatShare, tables::Tables};
/// let tables = Tables::embedded();
/// let cocoa_butter = FatShare { fat: tables.fats["cocoa-butter"].clone(), fraction: 1.0 };
/// let composition = composition(&[cocoa_butter], &tables);
/// let oleic = composition.acids.iter().find(|it| &*it.acid.id == "C18-1").expect("it has oleic acid");
/// assert!((oleic.percent - 34.375).abs() < 1e-9);
/// ```
///
/// # Source
///
/// Weighting by mass: arithmetic; a triglyceride's mass is to 95-96 % acid whatever the acids, so that the mass of the
/// fats stands for the mass of the acids.
#[must_use]
pub fn composition(fats: &[FatShare], tables: &Tables) -> Composition {
    let acids_by_fat: Vec<Vec<FattyAcidShare>> = fats.iter().map(|it| known_acids(&it.fat, tables)).collect();
    let is_known = |fat_idx: &usize| !acids_by_fat[*fat_idx].is_empty();
    let (known, unknown_fats): (Vec<usize>, Vec<usize>) = (0..fats.len()).partition(is_known);
    let fraction_of = |fat_idxs: &[usize]| fat_idxs.iter().map(|it| fats[*it].fraction).sum::<f64>();
    let known_fraction = fraction_of(&known);
    let acids = tables.acids.iter().map(|acid| {
        let of_fat = |fat_idx: &usize| {
            let shares = acids_by_fat[*fat_idx].iter().filter(|it| Arc::ptr_eq(&it.acid, acid));
            shares.map(|it| it.percent).sum::<f64>() * fats[*fat_idx].fraction
        };
        let percent = known.iter().map(of_fat).sum::<f64>() / known_fraction;
        FattyAcidShare { acid: acid.clone(), percent }
    });
    let acids: Vec<FattyAcidShare> = acids.filter(|it| it.percent > 0.0).collect();

    let iodine_values: Vec<Option<IodineValue>> = fats.iter().map(|it| published_iodine_value(&it.fat)).collect();
    let (with, without): (Vec<usize>, Vec<usize>) = (0..fats.len()).partition(|it| iodine_values[*it].is_some());
    let blend = |fat_idxs: &[usize], value: &dyn Fn(usize) -> f64| {
        fat_idxs.iter().map(|it| fats[*it].fraction * value(*it)).sum::<f64>() / fraction_of(fat_idxs)
    };
    let iodine = |pick: fn(IodineValue) -> f64| {
        let iodine_values = &iodine_values;
        move |fat_idx: usize| iodine_values[fat_idx].map_or(0.0, pick)
    };
    let comparable: Vec<usize> = with.iter().copied().filter(is_known).collect();
    let sap = |value: SapValue| value.to_mg_koh_per_g();
    // What was published, not widened by what is used: a slip must not agree with itself.
    let published = |fat: &Fat| fat.sap_published.unwrap_or((fat.sap_low, fat.sap_high));
    Composition {
        mean_molar_mass: mean_molar_mass(&acids),
        known_fraction,
        unknown_fats,
        iodine_value: (!with.is_empty()).then(|| blend(&with, &iodine(|it| it.middle))),
        iodine_values: (!comparable.is_empty()).then(|| Comparison {
            predicted: blend(&comparable, &|it| iodine_value_from_acids(fats[it].fat.kind, &acids_by_fat[it], tables)),
            table: blend(&comparable, &iodine(|it| it.middle)),
            low: blend(&comparable, &iodine(|it| it.low)),
            high: blend(&comparable, &iodine(|it| it.high)),
            fraction: fraction_of(&comparable),
        }),
        sap_values: (!known.is_empty()).then(|| Comparison {
            predicted: blend(&known, &|it| {
                sap_value_from_acids(fats[it].fat.kind, &acids_by_fat[it], tables).map_or(0.0, sap)
            }),
            table: blend(&known, &|it| sap(fats[it].fat.sap_used)),
            low: blend(&known, &|it| sap(published(&fats[it].fat).0)),
            high: blend(&known, &|it| sap(published(&fats[it].fat).1)),
            fraction: known_fraction,
        }),
        fats_without_iodine_value: without,
        acids,
    }
}

/// A published iodine value; an end that is not known is the one that is.
#[derive(Clone, Copy)]
struct IodineValue {
    low: f64,
    middle: f64,
    high: f64,
}

fn published_iodine_value(fat: &Fat) -> Option<IodineValue> {
    let range = fat.iodine_value.as_ref()?;
    let middle = range.middle()?;
    Some(IodineValue { low: range.low.unwrap_or(middle), middle, high: range.high.unwrap_or(middle) })
}

fn known_acids(fat: &Fat, tables: &Tables) -> Vec<FattyAcidShare> {
    match (&fat.fatty_acids, fat.kind) {
        (Some(acids), FatKind::Triglyceride | FatKind::FattyAcid) => acids_of(acids, tables),
        _ => Vec::new(),
    }
}

/// The iodine value of a fat made of these acids.
///
/// - triglyceride: `sum of percent * factor`, the factors of `tables/acids.toml`
/// - free acids: the same times `(3 M + 38.048) / (3 M)`, M each acid's own molar mass: the glycerol is missing
/// - wax: as free acids, which is too high; nothing here asks for it
///
/// # Example
///
/// Pure oleic acid: 86.0 as triolein, 86.0 * 885.434 / 847.386 = 89.86 free.
///
/// ```
/// use kettlebook::{batch::{FattyAcidShare, iodine_value_from_acids}, tables::{FatKind, Tables}};
/// let tables = Tables::embedded();
/// let acid = tables.acids.iter().find(|it| &*it.id == "C18-1").expect("it is in the table").clone();
/// let oleic = [FattyAcidShare { acid, percent: 100.0 }];
/// assert!((iodine_value_from_acids(FatKind::Triglyceride, &oleic, &tables) - 86.0).abs() < 1e-9);
/// assert!((iodine_value_from_acids(FatKind::FattyAcid, &oleic, &tables) - 89.86).abs() < 0.005);
/// ```
///
/// # Source
///
/// AOCS Recommended Practice Cd 1c-85 (the basis of ISO 3961:2018, Annex B). Its own factor for free oleic acid is 0.8986.
#[must_use]
pub fn iodine_value_from_acids(kind: FatKind, acids: &[FattyAcidShare], tables: &Tables) -> f64 {
    let glycerol_residue = tables.limits.glycerol_residue_grams_per_mole();
    let of_acid = |it: &FattyAcidShare| {
        let three_acids = 3.0 * it.acid.molar_mass.to_grams_per_mole();
        let without_glycerol = match kind {
            FatKind::Triglyceride => 1.0,
            FatKind::FattyAcid | FatKind::Wax => (three_acids + glycerol_residue) / three_acids,
        };
        it.percent * it.acid.iodine_factor * without_glycerol
    };
    acids.iter().map(of_acid).sum()
}
