//! What would come of swapping the fats of a recipe and leaving its lye as it was.
//!
//! Layer 3. This is the mistake that a variant tempts to; nobody is meant to make it. Whether the result is a danger is
//! not decided here; the words for it are in `page/view/compare.rs`.

use super::{Batch, Scale, Weighed, alkali_for, compute_for, superfat_fraction_of, superfat_uncertainty};
use crate::recipe::Recipe;
use crate::tables::Tables;
use crate::units::Mass;

/// What would come of swapping the fats and leaving the lye as it was.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Swap {
    /// The superfat that the other fats would have, percent; below zero when there is more alkali than they can take.
    pub superfat_percent: f64,
    /// The same with everything at its worst on the worst of the scales, percent.
    pub worst_percent: f64,
    /// The base's alkali less what its acids take up, as pure KOH.
    pub koh_left: Mass,
    /// KOH that would saponify all of the base's fats.
    pub koh_for_base: Mass,
    /// KOH that would saponify all of the variant's fats.
    pub koh_for_variant: Mass,
}

impl Swap {
    /// How much more alkali the variant's fats take than the base's, gram for gram, percent; below zero when it is less.
    #[must_use]
    pub fn more_lye_percent(&self) -> f64 {
        (self.koh_for_variant / self.koh_for_base - 1.0) * 100.0
    }
}

/// The fats of `variant` with the lye of `base`, both for the same mass of fats.
///
/// `s = 1 - (K - A) / N`, with K the base's exact alkali as pure KOH, `K = sum of pure_j / r_j` (r the mass of the alkali
/// that does the work of one gram of KOH), A what the base's acids take up of it, and `N = sum of m_i * SV_i / 1000` over
/// the variant's fats. Only the fats are swapped: alkali, acids and water are the base's.
///
/// - `total_fats`: the mass of fats of both; above 0.
/// - `scales`: what the worst case reads its amounts off, as [`superfat_uncertainty`] does: the base's alkali, purest
///   and rounded as it is printed, on the variant's fats at the low ends of their ranges. Without a scale the worst
///   case is the superfat itself.
///
/// Below zero exactly when `K - A > N`; the base's own superfat when the fats are the same. Cannot fail.
///
/// # Example
///
/// 1000 g of a fat with SV 200 at 5 % superfat get the work of 190 g of KOH. 1000 g of a fat with SV 180 take 180 g at
/// most: 1 - 190 / 180 = -5.56 %. Of a fat with SV 190, 1 - 190 / 190 = 0 %: the whole cushion is gone.
///
/// # Source
///
/// The trade's definition of superfat by discount of the alkali, as in [`superfat_fraction_of`].
#[must_use]
pub fn swap_fats(base: &Recipe, variant: &Recipe, total_fats: Mass, scales: &[Scale], tables: &Tables) -> Swap {
    let of_base = compute_for(base, tables, total_fats);
    let of_variant = compute_for(variant, tables, total_fats);
    let koh_present: Mass = of_base.alkalis.iter().map(|it| alkali_for(it.pure, 1.0 / it.grams_per_gram_koh)).sum();
    let superfat = superfat_fraction_of(koh_present, of_base.koh_for_acids, of_variant.koh) * 100.0;
    let koh_left = koh_present - of_base.koh_for_acids;
    let koh_for_base = of_base.koh;
    // The batch that nobody is meant to make: what is weighed for it is the base's, but for the fats.
    let recipe = Recipe { fats: variant.fats.clone(), ..base.clone() };
    let batch = Batch { fats: of_variant.fats, koh: of_variant.koh, superfat_percent: superfat, ..of_base };
    let worst = |scale: &Scale| superfat_uncertainty(&recipe, &batch, &Weighed::read(&batch, *scale)).worst_percent;
    Swap {
        superfat_percent: superfat,
        worst_percent: scales.iter().map(worst).fold(superfat, f64::min),
        koh_left,
        koh_for_base,
        koh_for_variant: batch.koh,
    }
}
