//! What was really weighed: the superfat it has, and what puts it right while that can be done.
//!
//! Layer 3. Somebody read the scale and it was not what the card says. Nothing else of the batch is known to differ. When it
//! can still be put right, and what else to do, is said by `page/view/weighed.rs`.

use super::{Batch, StockReading, SuperfatUncertainty, Weighed, superfat_uncertainty};
use crate::recipe::Recipe;
use crate::units::{Mass, SapValue};

/// What of a recipe was weighed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WeighedPart {
    /// A fat, by its place in the recipe.
    Fat(usize),
    /// An alkali, by its place in the recipe.
    Alkali(usize),
    /// An acid, by its place in the recipe.
    Acid(usize),
    /// The stock that the lye is in.
    Stock,
}

/// How far the superfat can be trusted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// A number is so far from the card that it is more likely a slip itself.
    NotBelieved,
    /// No lye is left over, even at the worst.
    Safe,
    /// At the worst lye is left over.
    Doubtful,
    /// Lye is left over.
    LyeLeft,
}

/// What brings the superfat back to the recipe's.
#[derive(Clone, Debug, PartialEq)]
pub enum Remedy {
    /// Nothing: it has what the card gives.
    Nothing,
    /// More of one of the fats, each by itself, in readings.
    MoreFat(Vec<u64>),
    /// More lye solution: the alkalis and the water for it, in readings.
    MoreLye(Vec<u64>, u64),
    /// More lye solution of a recipe with a stock: the stock and the further water, in readings.
    MoreStock(u64, u64),
}

/// A batch as it was really weighed on one scale.
#[derive(Clone, Debug, PartialEq)]
pub struct AsWeighed {
    /// Its readings.
    pub weighed: Weighed,
    /// Its superfat.
    pub certainty: SuperfatUncertainty,
    /// What that means.
    pub verdict: Verdict,
    /// What puts it right.
    pub remedy: Remedy,
}

/// The batch with some of its amounts as they were really weighed, the others as printed.
///
/// With K what the alkali leaves for the fats and N what would saponify all of them, both as KOH, and s the recipe's superfat:
/// where `1 - K / N` is below s, `(K / (1 - s) - N) / SV_i * 1000` more of fat i brings it back, rounded up; where it is above
/// what the card's own amounts give, `(N (1 - s) - K) r_j / p_j` more of each alkali by its part of the moles, rounded down, in
/// its part of the water; but no lye where the card's own worst case is below zero.
///
/// - `printed`: the batch as the card prints it, on the scale that was used.
/// - `found`: what was weighed in place of it. What lies between two steps of the scale is taken as the unlucky one: the
///   higher of lye, the lower of fats and acids.
/// - `believable_percent`: how far from the card that may be, but for a fat or an acid of which there is too little: one is
///   easily skipped. Beyond it nothing is put right by it.
///
/// Lye is left over where it is in the batch, or in a layer that gets lye solution of its own by the card. Cannot fail.
///
/// # Example
///
/// 1000 g of one fat with SV 190, 5 % superfat, pure NaOH: the card says 128 g. Weighed were 140 g, the work of 196.38 g of
/// KOH, and 1 - 196.38 / 190 = -3.4 %. 196.38 / 0.95 = 206.72 g is what the fats must take: (206.72 - 190) / 0.19 = 88 g more.
#[must_use]
pub fn as_weighed(
    recipe: &Recipe,
    batch: &Batch,
    printed: &Weighed,
    found: &[(WeighedPart, Mass)],
    believable_percent: f64,
) -> AsWeighed {
    let scale = printed.scale;
    let mut weighed = printed.clone();
    let mut is_believed = true;
    for (part, mass) in found {
        let (reading, now) = match part {
            WeighedPart::Alkali(idx) => (&mut weighed.alkalis[*idx], scale.above(*mass)),
            WeighedPart::Fat(idx) => (&mut weighed.fats[*idx], scale.below(*mass)),
            WeighedPart::Acid(idx) => (&mut weighed.acids[*idx], scale.below(*mass)),
            WeighedPart::Stock => match &mut weighed.stock {
                Some(it) => (&mut it.stock, scale.above(*mass)),
                None => continue,
            },
        };
        let percent_off = (now as f64 / (*reading).max(1) as f64 - 1.0) * 100.0;
        let is_lye = matches!(part, WeighedPart::Alkali(_) | WeighedPart::Stock);
        let is_skipped = !is_lye && percent_off < 0.0;
        is_believed &= is_skipped || percent_off.abs() <= believable_percent;
        *reading = now;
    }
    weighed.total_fats = weighed.fats.iter().sum();
    weighed.superfat_percent = weighed.superfat_percent_of(batch);
    let certainty = superfat_uncertainty(recipe, batch, &weighed);
    let has_fats = weighed.total_fats > 0;
    let of_layers = |percent: f64, of: fn(&Weighed, usize, f64) -> Option<f64>| {
        let layers = (0..weighed.layers.len()).filter_map(|it| of(&weighed, it, percent));
        layers.fold(percent, f64::min)
    };
    let lowest = of_layers(certainty.superfat_percent, |it, layer_idx, _| it.layer_superfat_percent(layer_idx));
    let worst = of_layers(certainty.worst_percent, Weighed::layer_worst_percent);
    let verdict = if !is_believed {
        Verdict::NotBelieved
    } else if !has_fats || lowest < 0.0 {
        Verdict::LyeLeft
    } else if worst < 0.0 {
        Verdict::Doubtful
    } else {
        Verdict::Safe
    };
    let remedy = if is_believed { remedy(recipe, batch, printed, &weighed) } else { Remedy::Nothing };
    AsWeighed { weighed, certainty, verdict, remedy }
}

fn remedy(recipe: &Recipe, batch: &Batch, printed: &Weighed, weighed: &Weighed) -> Remedy {
    let scale = weighed.scale;
    let kept = 1.0 - recipe.superfat_percent / 100.0;
    let (for_fats, left) = weighed.koh_for_fats_and_left(batch);
    let missing_for_fats = left / kept - for_fats.to_grams();
    // Fats that were rounded down may leave the card itself a hair below the recipe: that is no slip.
    if missing_for_fats > 1e-9 && weighed.superfat_percent < printed.superfat_percent - 1e-9 {
        let more = |sap: SapValue| scale.above(Mass::grams(missing_for_fats / sap.to_mg_koh_per_g() * 1000.0));
        return Remedy::MoreFat(batch.fats.iter().map(|it| more(it.sap_value)).collect());
    }
    // Nobody is sent for more lye where the card itself may leave some over at the worst.
    let of_card = superfat_uncertainty(recipe, batch, printed).worst_percent;
    if weighed.superfat_percent <= printed.superfat_percent || of_card < 0.0 {
        return Remedy::Nothing;
    }
    let koh = Mass::grams((for_fats.to_grams() * kept - left).max(0.0));
    let alkalis = batch.alkalis.iter();
    let masses: Vec<Mass> = alkalis
        .map(|it| Mass::grams(koh.to_grams() * it.mole_fraction * it.grams_per_gram_koh / it.purity.to_fraction()))
        .collect();
    let readings: Vec<u64> = masses.iter().map(|it| scale.below(*it)).collect();
    if readings.iter().all(|it| *it == 0) {
        return Remedy::Nothing;
    }
    let all: Mass = readings.iter().map(|it| scale.mass(*it)).sum();
    let water = scale.nearest(batch.water * (all / batch.total_alkali));
    if let Some(stock) = &batch.stock {
        let it = StockReading::of(stock.strength, readings.iter().sum(), water, scale);
        return if it.stock == 0 { Remedy::Nothing } else { Remedy::MoreStock(it.stock, it.further_water) };
    }
    Remedy::MoreLye(readings, water)
}
