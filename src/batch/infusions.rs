//! Oil to start with where a plant is steeped in a fat of the recipe and strained off.
//!
//! Layer 3.

use super::FatAmount;
use crate::recipe::Infusion;
use crate::tables::Limits;
use crate::units::Mass;

/// A plant steeped in a fat, as computed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct InfusionAmount {
    /// The fat, by its place in the recipe.
    pub fat_idx: usize,
    /// The dry plant.
    pub plant: Mass,
    /// The oil that it is steeped in.
    pub oil: Mass,
    /// What comes of it when it is strained: where the plant keeps most, and least.
    pub strained: (Mass, Mass),
}

/// Oil to start with, so that what is strained off is enough even where the plant keeps most.
///
/// `oil = needed * (1 + spare) / (1 - kept / r)`, `plant = oil / r`, `strained = oil - kept * plant`
///
/// - `needed`: the fat of the recipe.
/// - `oil_per_plant`: r, parts of oil to one of dry plant by mass; more than the plant keeps, or nothing would be strained off.
/// - `kept`: the least and the most that a plant keeps, of its own dry mass.
/// - `spare_percent`: what stays in the cloth and in the jar, and what settles.
///
/// # Example
///
/// 340 g are needed and one part of petals is steeped in ten of oil: 340 * 1.05 / (1 - 0.15) = 420 g of oil and 42 g of petals.
/// They keep 42 to 63 g, so 357 to 378 g are strained off.
///
/// # Source
///
/// Arithmetic; how much a plant keeps and the spare are common practice, no source (`oil-kept-by-plant` and
/// `infusion-spare-percent` in `limits.toml`).
#[must_use]
pub fn infusion_of(needed: Mass, oil_per_plant: f64, kept: (f64, f64), spare_percent: f64) -> [Mass; 4] {
    let (least, most) = kept;
    let oil = needed * ((1.0 + spare_percent / 100.0) / (1.0 - most / oil_per_plant));
    let strained = |kept: f64| oil * (1.0 - kept / oil_per_plant);
    [oil, oil * (1.0 / oil_per_plant), strained(most), strained(least)]
}

/// The infusions of a recipe.
pub(super) fn infusions(typed: &[Infusion], fats: &[FatAmount], limits: &Limits) -> Vec<InfusionAmount> {
    let amount = |it: &Infusion| {
        let (kept, spare) = (limits.oil_kept_by_plant, limits.infusion_spare_percent);
        let [oil, plant, least, most] = infusion_of(fats[it.fat_idx].mass, it.oil_per_plant, kept, spare);
        InfusionAmount { fat_idx: it.fat_idx, plant, oil, strained: (least, most) }
    };
    typed.iter().map(amount).collect()
}
