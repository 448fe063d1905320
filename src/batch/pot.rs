//! What the pot takes from a soap that is cooked: water, as steam.
//!
//! Layer 3. Nothing but water leaves. What goes in after the cooking keeps its water.

use super::Batch;
use crate::recipe::Recipe;
use crate::tables::AdditiveKind;
use crate::units::Mass;

/// The water that leaves the pot while the soap is cooked.
///
/// `water * lost / 100`, of all the water that the alkali goes into, liquids and acids counted by the water in them.
///
/// # Example
///
/// 300 g of water, of which 8 % are lost: 24 g.
///
/// # Source
///
/// Arithmetic; how much a pot loses is what its owner weighed. A lid, the width of the pot and the time decide over it.
#[must_use]
pub fn water_lost(recipe: &Recipe, batch: &Batch) -> Mass {
    recipe.pot.as_ref().map_or(Mass::ZERO, |it| batch.water * it.water_lost.to_fraction())
}

/// Everything that was put into the pot, less the water that left it: what comes into the mould, or is a paste.
///
/// # Example
///
/// 1400 g put in, and 24 g of steam: 1376 g.
///
/// # Source
///
/// Conservation of mass.
#[must_use]
pub fn after_cooking(recipe: &Recipe, batch: &Batch) -> Mass {
    batch.poured() - water_lost(recipe, batch)
}

/// The water in liquids that are stirred in after the cooking: none of it is lost, and the lye never saw it.
///
/// # Example
///
/// 30 g of a yoghurt that is 88 % water: 26.4 g.
///
/// # Source
///
/// Arithmetic; `water-percent` of the liquid's row.
#[must_use]
pub(super) fn late_water(recipe: &Recipe, batch: &Batch) -> Mass {
    let late = recipe.extras.iter().zip(&batch.extras);
    let water = late.filter_map(|(extra, amount)| match extra.additive.kind {
        AdditiveKind::Liquid { water, .. } => Some(amount.mass * water.to_fraction()),
        AdditiveKind::Acid { .. } | AdditiveKind::Extra => None,
    });
    water.sum()
}
