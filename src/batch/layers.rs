//! How a batch divides into layers.
//!
//! Layer 3. Exact parts; the parts as a scale shows them, which must add up to the printed total, are in `weighing.rs`.

use super::scaling::extras_volume;
use super::{Batch, ExtraAmount, LayerAmount, extra_amount};
use crate::recipe::{Layer, LayerSize, Recipe};
use crate::tables::{GoesInto, Tables};
use crate::units::{Mass, Volume};

/// Divides a mass by fractions that add up to one.
///
/// `whole * fraction`, one for each. No fractions give no parts. Cannot fail.
///
/// # Example
///
/// 900 g by 2/3 and 1/3 are 600 g and 300 g.
///
/// ```
/// use kettlebook::{batch::split, units::Mass};
/// let parts = split(Mass::grams(900.0), &[2.0 / 3.0, 1.0 / 3.0]);
/// assert!((parts[0].to_grams() - 600.0).abs() < 1e-9 && (parts[1].to_grams() - 300.0).abs() < 1e-9);
/// ```
///
/// # Source
///
/// Arithmetic.
#[must_use]
pub fn split(whole: Mass, fractions: &[f64]) -> Vec<Mass> {
    fractions.iter().map(|fraction| whole * *fraction).collect()
}

/// How often the shares of layers by thickness are set right; each round divides the miss by the share of additives in a
/// layer, so that a few reach the last digit.
const ROUNDS: usize = 40;

/// The layers of a batch whose batter, without what goes into layers alone, has the volume `base`.
///
/// By parts, each layer gets its share of the batter. By thickness, each gets so much batter that with its own additives
/// it fills its share of the height: `fraction_i` in proportion to `share_i * volume - extras_i`, found in rounds, since both
/// the volume and a layer's additives depend on the fractions.
pub(super) fn layers_of(recipe: &Recipe, batch: &Batch, base: Volume, tables: &Tables) -> Vec<LayerAmount> {
    let base = base.to_millilitres();
    let shares: Vec<f64> = recipe.layers.iter().map(|it| it.fraction).collect();
    let extras_of = |fractions: &[f64]| -> Vec<Vec<ExtraAmount>> {
        let layers = recipe.layers.iter().zip(fractions);
        let extras = |fats: Mass, layer: &Layer| {
            layer.extras.iter().map(|it| extra_amount(it, fats, Mass::ZERO)).collect::<Vec<_>>()
        };
        layers.map(|(layer, fraction)| extras(batch.total_fats * *fraction, layer)).collect()
    };
    let mut fractions = shares.clone();
    let mut has_no_room = vec![false; shares.len()];
    let by_thickness = recipe.layers.iter().any(|it| matches!(it.size, LayerSize::Thickness(_)));
    for _ in 0..if by_thickness { ROUNDS } else { 0 } {
        let volumes: Vec<f64> = extras_of(&fractions).iter().map(|it| extras_volume(it, tables)).collect();
        let volume = base + volumes.iter().sum::<f64>();
        // What each layer leaves for batter, in mL. One without room still gets a trace, so that every number stays one; a
        // finding refuses it.
        let room: Vec<f64> = shares.iter().zip(&volumes).map(|(share, extras)| share * volume - extras).collect();
        has_no_room = room.iter().map(|it| *it <= 0.0).collect();
        let wanted: Vec<f64> = room.into_iter().map(|it| it.max(1e-9 * base)).collect();
        let sum: f64 = wanted.iter().sum();
        fractions = wanted.iter().map(|it| it / sum).collect();
    }
    let extras = extras_of(&fractions);
    let volumes: Vec<f64> =
        fractions.iter().zip(&extras).map(|(fraction, it)| fraction * base + extras_volume(it, tables)).collect();
    let volume: f64 = volumes.iter().sum();
    let extras_in = |goes_into: GoesInto| -> Mass {
        batch.extras.iter().filter(|it| it.goes_into == goes_into).map(|it| it.mass).sum()
    };
    let (shared_extras, in_fats) = (extras_in(GoesInto::Trace), extras_in(GoesInto::Fats));
    let (fats, solutions) = (split(batch.total_fats + in_fats, &fractions), split(batch.solution, &fractions));
    recipe
        .layers
        .iter()
        .zip(fractions.iter().zip(volumes.iter().zip(has_no_room)))
        .zip(extras)
        .zip(fats.into_iter().zip(solutions))
        .map(|(((layer, (fraction, (layer_volume, has_no_room))), extras), (fats, solution))| LayerAmount {
            name: layer.name.clone(),
            key: layer.key.clone(),
            fraction: *fraction,
            volume: Volume::millilitres(*layer_volume),
            height_fraction: layer_volume / volume,
            thickness: None,
            has_no_room,
            fats,
            solution,
            shared_extras: shared_extras * *fraction,
            extras,
        })
        .collect()
}
