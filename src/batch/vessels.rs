//! How large the vessels must be.
//!
//! Layer 3. Head room is a limit of the tables: common practice.

use super::timeline::is_cooked;
use super::{Batch, fats_volume, lye_volume, water_lost};
use crate::recipe::{Divide, Recipe};
use crate::tables::Tables;
use crate::units::{Percent, Volume};

/// The least volumes of the vessels of a batch.
#[derive(Clone, Debug, PartialEq)]
pub struct Vessels {
    /// In which the lye is mixed; `None` where its density is not known.
    pub lye: Option<Volume>,
    /// In which the fats are melted and, unless each layer is blended on its own, the batter is blended.
    pub pot: Volume,
    /// One for each layer, in pouring order.
    pub layers: Vec<Volume>,
}

/// The least volume of a vessel for a given volume of batter.
///
/// `volume / fill`
///
/// - `fill`: how full the vessel is in the end.
///
/// # Example
///
/// 600 mL in a jug that is filled to 60 %: 1000 mL.
///
/// ```
/// use kettlebook::{batch::vessel_for, units::{Percent, Volume}};
/// let jug = vessel_for(Volume::millilitres(600.0), Percent::percent(60.0));
/// assert!((jug.to_millilitres() - 1000.0).abs() < 1e-9);
/// ```
///
/// # Source
///
/// Arithmetic; how full is common practice (`vessel-fill-percent` in `limits.toml`).
#[must_use]
pub fn vessel_for(volume: Volume, fill: Percent) -> Volume {
    Volume::millilitres(volume.to_millilitres() / fill.to_fraction())
}

/// The vessels of a batch.
///
/// The lye and the blended batter need head room; a pot in which fats are only melted needs it as well, since it is
/// carried. Lye on liquids other than water may foam, and soap that is cooked rises: these need more.
///
/// # Example
///
/// 1000 g of olive oil take 1097 mL; at 60 % a pot of 1829 mL for the fats alone.
///
/// # Source
///
/// As [`vessel_for`]; volumes as in [`fats_volume`] and [`lye_volume`].
#[must_use]
pub fn vessels(recipe: &Recipe, batch: &Batch, tables: &Tables) -> Vessels {
    let limits = &tables.limits;
    let fill = limits.vessel_fill;
    let lye_fill = if recipe.liquids.is_empty() { fill } else { limits.foaming_vessel_fill };
    let pot_fill = if is_cooked(recipe) { limits.foaming_vessel_fill } else { fill };
    let each_on_its_own = !batch.layers.is_empty() && recipe.divide == Divide::FatsAndLye;
    let in_pot = if each_on_its_own {
        fats_volume(recipe, batch, tables)
    } else {
        // The water that leaves the pot has been in it.
        let lost = water_lost(recipe, batch).to_grams() / limits.water_density.to_grams_per_millilitre();
        Volume::millilitres(batch.volume.to_millilitres() + lost)
    };
    Vessels {
        lye: lye_volume(batch, limits.pouring_temperature_celsius, tables).map(|it| vessel_for(it, lye_fill)),
        pot: vessel_for(in_pot, pot_fill),
        layers: batch.layers.iter().map(|it| vessel_for(it.volume, fill)).collect(),
    }
}
