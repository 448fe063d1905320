//! Shreds of finished soap melted down again: the water that they take, the pot, and the part of a batch that they are.
//!
//! Layer 3.

use super::vessels::vessel_for;
use super::{Batch, Yields};
use crate::tables::Tables;
use crate::units::{Mass, Percent, Volume};

/// What melting shreds takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rebatch {
    /// The least and the most water that is usual.
    pub water: (Mass, Mass),
    /// The water that the shreds have lost since they were poured, where it is known how far they have dried.
    pub lost: Option<Mass>,
    /// The least volume of the pot.
    pub pot: Volume,
    /// The part of the batch that is in the shreds: the largest that it may be.
    pub of_batch: f64,
}

/// What melting shreds of a batch takes.
///
/// - Water: `rebatch-water-percent` of the shreds.
/// - `dried_percent`: what they have lost of the mass that they were poured with. Then `shreds d / (1 - d)` has dried out of them,
///   and the part of the batch is `shreds / (1 - d) / poured`. Where it is not known they may be dry to the bone, which makes them
///   the largest part of the batch: `shreds / (cured (1 - moisture))`. A missing fat reckoned by it is then rather too much.
/// - Pot: shreds and the most water, at 1 g/mL, in a pot that is as full as one in which soap rises.
///
/// Cannot fail.
///
/// # Example
///
/// 600 g of shreds: 60 to 180 g of water at 10 to 30 %, and at 30 % full a pot of 780 / 0.3 = 2600 mL. If they have lost 10 %, 67 g
/// have dried out of 667 g.
///
/// # Source
///
/// Common practice; the density is our choice: soap with water in it lies a little above 1 g/mL.
#[must_use]
pub fn rebatch(batch: &Batch, yields: &Yields, shreds: Mass, dried_percent: Option<f64>, tables: &Tables) -> Rebatch {
    let limits = &tables.limits;
    let (low, high) = limits.rebatch_water_percent;
    let water = (shreds * (low / 100.0), shreds * (high / 100.0));
    let kept = dried_percent.map(|it| 1.0 - Percent::percent(it).to_fraction());
    let solids = yields.cured * (1.0 - yields.moisture.to_fraction());
    let of_batch = match kept {
        Some(kept) => shreds.to_grams() / kept / batch.poured().to_grams(),
        None => shreds / solids,
    };
    Rebatch {
        water,
        lost: kept.map(|kept| shreds * ((1.0 - kept) / kept)),
        pot: vessel_for(Volume::millilitres((shreds + water.1).to_grams()), limits.foaming_vessel_fill),
        of_batch,
    }
}
