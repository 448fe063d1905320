//! How large the vessels must be.
//!
//! Layer 3. Head room is a limit of the tables: common practice.

use super::timeline::is_cooked;
use super::{Batch, fats_volume, lye_volume, water_lost};
use crate::recipe::Recipe;
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

impl Vessels {
    /// The same in sizes that are sold: the smallest that is large enough, and what is larger than all of them as it is.
    ///
    /// - `sizes`: smallest first; `vessel-sizes-ml` in `limits.toml`.
    ///
    /// # Example
    ///
    /// For 451 mL a jug of 500 mL, for 1829 mL a pot of 2 L.
    #[must_use]
    pub fn as_sold(&self, sizes: &[Volume]) -> Vessels {
        let sold = |least: &Volume| {
            // A hair above a size is that size.
            let is_enough = |it: &&Volume| it.to_millilitres() >= least.to_millilitres() * (1.0 - 1e-9);
            sizes.iter().find(is_enough).copied().unwrap_or(*least)
        };
        Vessels {
            lye: self.lye.as_ref().map(sold),
            pot: sold(&self.pot),
            layers: self.layers.iter().map(sold).collect(),
        }
    }
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
    let each_on_its_own = !batch.layers.is_empty() && !recipe.divide.is_of_batter();
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_vessel_as_sold_holds_what_it_has_to() {
        let sizes = Tables::embedded().limits.vessel_sizes.clone();
        let least = |it: f64| Volume::millilitres(it);
        let of = |lye: f64, pot: f64| Vessels { lye: Some(least(lye)), pot: least(pot), layers: vec![least(250.0)] };
        let sold = of(451.0, 1829.0).as_sold(&sizes);
        assert_eq!(sold, Vessels { lye: Some(least(500.0)), pot: least(2000.0), layers: vec![least(250.0)] });
        assert_eq!(of(250.1, 10_000.5).as_sold(&sizes), of(500.0, 10_000.5).as_sold(&sizes), "none is as large");
        assert_eq!(of(0.0, 1.0).as_sold(&[]), of(0.0, 1.0));
    }
}
