//! Shreds of finished soap melted down again: the water that they take, the pot, and the part of a batch that they are.
//!
//! Layer 3.

use super::vessels::vessel_for;
use super::{Batch, Weighed, Yields};
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
    /// What was poured of the batch.
    pub poured: Mass,
    /// What the shreds weighed when they were poured, at least.
    pub poured_of_shreds: Mass,
    /// The most that the soap can have lost, percent of what was poured: then it has no water left.
    pub driest_percent: f64,
    /// The part of the batch that is in the shreds: the largest that it may be, and never more than all of it.
    pub of_batch: f64,
}

/// How far a batch as it was weighed is off its card, in grams: below zero where there is less of it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct OffCard {
    /// All of it.
    pub poured_grams: f64,
    /// Without what is water in it.
    pub solids_grams: f64,
}

impl OffCard {
    /// - `card`: the readings of the card.
    /// - `now`: those of the batch as it was weighed, on the same scale.
    ///
    /// # Example
    ///
    /// 100 g less of a fat are 100 g less of both; 20 g more of a stock of 50 % are 20 g more, of which 10 g dry away.
    #[must_use]
    pub fn of(batch: &Batch, card: &Weighed, now: &Weighed) -> OffCard {
        let grams = |reading: u64| now.scale.mass(reading).to_grams();
        let fats = grams(now.total_fats) - card.scale.mass(card.total_fats).to_grams();
        let more = |card: &[u64], now: &[u64]| {
            let pairs = card.iter().zip(now).map(|(card, now)| grams(*now) - grams(*card));
            pairs.collect::<Vec<f64>>()
        };
        let lye: f64 = more(&card.alkalis, &now.alkalis).iter().sum();
        let acids = more(&card.acids, &now.acids).into_iter().zip(&batch.acids);
        let acids = acids.map(|(off, it)| (off, if it.mass > Mass::ZERO { off * (it.pure / it.mass) } else { off }));
        let (acids, pure_acids) = acids.fold((0.0, 0.0), |sum, it| (sum.0 + it.0, sum.1 + it.1));
        let (stock, of_stock) = card.stock.zip(now.stock).map_or((0.0, 0.0), |(card, now)| {
            let off = grams(now.stock) - grams(card.stock);
            (off, off * now.strength)
        });
        OffCard { poured_grams: fats + lye + acids + stock, solids_grams: fats + lye + pure_acids + of_stock }
    }
}

/// What melting shreds of a batch takes.
///
/// - Water: `rebatch-water-percent` of the shreds.
/// - `off`: how far the batch was off its card when it was weighed.
/// - `dried_percent`: what they have lost of the mass that they were poured with, below 100. Then `shreds d / (1 - d)` has dried
///   out of them, and the part of the batch is `shreds / (1 - d) / poured`. Where it is not known they may be dry to the bone,
///   which makes them the largest part of the batch: `shreds / (cured (1 - moisture))`. A missing fat reckoned by it is then
///   rather too much.
/// - What was poured of a cooked soap is what came out of the pot, without the steam.
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
pub fn rebatch(yields: &Yields, off: OffCard, shreds: Mass, dried_percent: Option<f64>, tables: &Tables) -> Rebatch {
    let limits = &tables.limits;
    let (low, high) = limits.rebatch_water_percent;
    let water = (shreds * (low / 100.0), shreds * (high / 100.0));
    let kept = dried_percent.map(|it| 1.0 - Percent::percent(it).to_fraction());
    let on_card = yields.cured.to_grams() * (1.0 - yields.moisture.to_fraction());
    let solids = (on_card + off.solids_grams).max(f64::MIN_POSITIVE);
    let poured = (yields.poured.to_grams() + off.poured_grams).max(solids);
    let poured_of_shreds = shreds.to_grams() / kept.unwrap_or(1.0);
    let of_batch = if kept.is_some() { poured_of_shreds / poured } else { shreds.to_grams() / solids };
    Rebatch {
        water,
        lost: kept.map(|kept| shreds * ((1.0 - kept) / kept)),
        pot: vessel_for(Volume::millilitres((shreds + water.1).to_grams()), limits.foaming_vessel_fill),
        poured: Mass::grams(poured),
        poured_of_shreds: Mass::grams(poured_of_shreds),
        driest_percent: (1.0 - solids / poured) * 100.0,
        of_batch: of_batch.min(1.0),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::batch::{WeighedPart, as_weighed, compute, yields};
    use crate::recipe::{Defaults, RawRecipe, Recipe, validate};
    use crate::source::SourceFile;
    use crate::units::Scale;

    fn computed(lines: &str) -> (Recipe, Batch, Yields, Tables) {
        let text = format!(
            "title = \"Bar\"\nbatch = \"1 kg\"\nsuperfat = 5\nalkali = \"NaOH\"\nwater = {{ of-fats = 30 }}\n{lines}[fats]\n\
             olive = 60\ncoconut = 40\n"
        );
        let tables = Tables::embedded();
        let (raw, mut findings) = RawRecipe::read("bar", &SourceFile::new("recipes/bar.toml", text));
        let (recipe, more) = validate(&raw, &tables, &Defaults::default());
        findings.extend(more);
        let recipe = recipe.unwrap_or_else(|| panic!("{findings:#?}"));
        let batch = compute(&recipe, &tables);
        let yields = yields(&recipe, &batch, &tables, Percent::percent(12.0));
        (recipe, batch, yields, tables)
    }

    /// By hand: 300 g of water in what is poured, less 60 g of steam where it is cooked.
    #[test]
    fn a_cooked_soap_was_poured_without_its_steam() {
        let (_, batch, plain, tables) = computed("");
        let (_, _, cooked, _) = computed("pot = { water-lost = 20 }\n");
        let all = batch.poured().to_grams();
        let of =
            |yields: &Yields| rebatch(yields, OffCard::default(), Mass::grams(600.0), Some(10.0), &tables).of_batch;
        assert!((of(&plain) - 600.0 / 0.9 / all).abs() < 1e-9);
        assert!((of(&cooked) - 600.0 / 0.9 / (all - 60.0)).abs() < 1e-9);
        let driest = rebatch(&plain, OffCard::default(), Mass::grams(600.0), None, &tables).driest_percent;
        assert!((driest - 300.0 / all * 100.0).abs() < 1e-9, "{driest}");
    }

    /// By hand: 100 g of olive oil were left out, so that 600 g are a larger part of what there was.
    #[test]
    fn shreds_are_a_part_of_the_batch_as_it_was_weighed() {
        let (recipe, batch, yields, tables) = computed("");
        let card = Weighed::read(&batch, Scale::GRAMS);
        let now = as_weighed(&recipe, &batch, &card, &[(WeighedPart::Fat(0), Mass::grams(500.0))], 30.0);
        let off = OffCard::of(&batch, &card, &now.weighed);
        assert!((off.poured_grams + 100.0).abs() < 1e-9 && (off.solids_grams + 100.0).abs() < 1e-9, "{off:?}");
        let it = rebatch(&yields, off, Mass::grams(600.0), Some(0.0), &tables);
        let all = batch.poured().to_grams();
        assert!((it.of_batch - 600.0 / (all - 100.0)).abs() < 1e-9, "{it:?}");
        let dry = rebatch(&yields, off, Mass::grams(600.0), None, &tables);
        assert!((dry.of_batch - 600.0 / (all - 300.0 - 100.0)).abs() < 1e-9, "{dry:?}");
        // All of it and more is all of it.
        assert_eq!(rebatch(&yields, off, Mass::grams(5000.0), None, &tables).of_batch, 1.0);
    }
}
