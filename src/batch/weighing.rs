//! Exact amounts as a scale shows them.
//!
//! Layer 3, and the only place that rounds an amount. Readings are whole numbers of scale divisions, so that parts add
//! up to totals exactly; grams and ounces are each rounded from the exact value, never from each other. The superfat
//! that the readings lead to is computed back from them, because it is what the student's bar will have.

use super::{Batch, ExtraAmount, StockReading, alkali_for, koh_for};
use crate::tables::GoesInto;
use crate::units::{HAIR, Mass, OfTwo, Scale};

/// A layer as weighed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WeighedLayer {
    /// Its part of the fats, and of what is stirred into them.
    pub fats: u64,
    /// Its part of the lye, rounded down to what its fats are due.
    pub solution: u64,
    /// Its part of each additive of the whole batch, in the order of the batch; nothing of what is in the lye or the fats.
    pub shared_extras: Vec<u64>,
    /// Its part of the blended batter (fats, lye and additives of the whole batch), where that is what is divided; then
    /// it is weighed, and the three above only say what is in it.
    pub batter: Option<u64>,
    /// What goes into it alone, in the order of the recipe.
    pub extras: Vec<u64>,
}

impl WeighedLayer {
    /// Everything that is poured for it, as printed.
    #[must_use]
    pub fn poured(&self) -> u64 {
        let batter = self.batter.unwrap_or(self.fats + self.solution + self.shared_extras.iter().sum::<u64>());
        batter + self.extras.iter().sum::<u64>()
    }
}

/// A batch as one scale shows it; every amount is a number of divisions.
#[derive(Clone, Debug, PartialEq)]
pub struct Weighed {
    /// The scale.
    pub scale: Scale,
    /// The fats, in the order of the recipe; they add up to `total_fats`.
    pub fats: Vec<u64>,
    /// All fats.
    pub total_fats: u64,
    /// The alkalis, in the order of the batch, each rounded down. Of a recipe with a stock nobody weighs them: see `stock`.
    pub alkalis: Vec<u64>,
    /// The water that is weighed out as water; with a stock all of it, what the stock brings included.
    pub water: u64,
    /// What is weighed in place of lye and water where there is a stock; both add up to them.
    pub stock: Option<StockReading>,
    /// The liquids, in the order of the batch.
    pub liquids: Vec<u64>,
    /// The acids, in the order of the batch.
    pub acids: Vec<u64>,
    /// The additives of the whole batch that take up no alkali, in the order of the batch.
    pub extras: Vec<u64>,
    /// Those of them that are dissolved in the water of the lye, all together.
    pub extras_in_lye: u64,
    /// Those of them that are stirred into the melted fats, all together.
    pub extras_in_fats: u64,
    /// The oil to start with and the plant of each infusion, in the order of the batch: the oil up, and the plant down, so
    /// that enough can be strained off.
    pub infusions: Vec<[u64; 2]>,
    /// The fats stirred in after saponification, in the order of the batch.
    pub late_fats: Vec<u64>,
    /// The layers, in pouring order; each column adds up to its total, that of the lye with what stays in the jug.
    pub layers: Vec<WeighedLayer>,
    /// The superfat that these amounts lead to, percent.
    pub superfat_percent: f64,
}

impl Weighed {
    /// Reads a batch off a scale.
    ///
    /// Fats: the total to the nearest division, the parts by largest remainder. Alkali: down. Water, liquids, acids, late
    /// fats: nearest. Little of what goes in at trace: to the nearest step of the finer scale, if there is one. Layers: the printed totals by largest remainder, but for the lye: a layer gets the whole divisions of
    /// what its printed fats are due, so that rounding never gives it more, and the rest stays in the jug. Superfat: from
    /// the printed amounts.
    ///
    /// # Example
    ///
    /// One fat of 1000 g with SV 190, superfat 5 %, NaOH: exact alkali 128.68 g, on a scale of 1 g 128 g, superfat
    /// 1 - 128 / 135.45 = 5.50 %.
    #[must_use]
    pub fn read(batch: &Batch, scale: Scale) -> Weighed {
        let total_fats = scale.nearest(batch.total_fats);
        let fat_weights: Vec<f64> = batch.fats.iter().map(|it| it.fraction).collect();
        let fats = scale.apportion(total_fats, &fat_weights);
        let alkalis: Vec<u64> = batch.alkalis.iter().map(|it| scale.below(it.mass)).collect();
        let water = scale.nearest(batch.plain_water);
        let stock = batch.stock.zip(alkalis.first());
        let stock = stock.map(|(it, lye)| StockReading::of(it.strength, *lye, water, scale));
        let liquids: Vec<u64> = batch.liquids.iter().map(|it| scale.nearest(it.mass)).collect();
        let acids: Vec<u64> = batch.acids.iter().map(|it| scale.nearest(it.mass)).collect();
        let late_fats = batch.late_fats.iter().map(|it| scale.nearest(it.mass)).collect();
        let infusions = batch.infusions.iter();
        let infusions = infusions.map(|it| [scale.above(it.oil), scale.for_small(it.plant).below(it.plant)]).collect();
        let extras = read_extras(scale, &batch.extras);
        let layer_weights: Vec<f64> = batch.layers.iter().map(|it| it.fraction).collect();
        let extras_in = |goes_into: GoesInto| {
            let there = extras.iter().zip(&batch.extras).filter(|(_, it)| it.goes_into == goes_into);
            there.map(|(reading, _)| reading).sum::<u64>()
        };
        let (extras_in_lye, extras_in_fats) = (extras_in(GoesInto::Water), extras_in(GoesInto::Fats));
        let solution = [&alkalis, &liquids, &acids].into_iter().flatten().sum::<u64>() + water + extras_in_lye;
        // Additive by additive, so that each can be weighed out for each layer; what is in the lye or the fats is there.
        let shared = shared_out(&extras, &batch.extras, &layer_weights);
        let batter = total_fats + solution + extras.iter().sum::<u64>() - extras_in_lye;
        // What is less than a division of the batter cannot be divided.
        let batter = scale.apportion(batter, &layer_weights);
        let all_fats = total_fats + extras_in_fats;
        // In the wider type, since a tonne on the finest scale has more divisions than can be multiplied.
        let due = |fats: u64| {
            let exact = u128::from(solution) * u128::from(fats);
            let divisions = exact.checked_div(u128::from(all_fats) * u128::from(scale.steps)).unwrap_or(0);
            divisions as u64 * scale.one_division()
        };
        let layers = scale
            .apportion(all_fats, &layer_weights)
            .into_iter()
            .zip(batter.into_iter().zip(&batch.layers))
            .enumerate()
            .map(|(layer_idx, (fats, (batter, layer)))| WeighedLayer {
                fats,
                solution: due(fats),
                shared_extras: shared.iter().map(|it| it[layer_idx]).collect(),
                batter: batch.batter_is_divided.then_some(batter),
                extras: read_extras(scale, &layer.extras),
            })
            .collect();
        let weighed = Weighed {
            scale,
            fats,
            total_fats,
            alkalis,
            water,
            stock,
            liquids,
            acids,
            extras,
            extras_in_lye,
            extras_in_fats,
            infusions,
            late_fats,
            layers,
            superfat_percent: 0.0,
        };
        Weighed { superfat_percent: weighed.superfat_percent_of(batch), ..weighed }
    }

    /// KOH that would saponify all fats as read, and what the alkali as read leaves for them when the acids have theirs.
    pub(super) fn koh_for_fats_and_left(&self, batch: &Batch) -> (Mass, f64) {
        let scale = self.scale;
        let fats = self.fats.iter().zip(&batch.fats);
        let for_fats = fats.map(|(reading, fat)| koh_for(scale.mass(*reading), fat.sap_value)).sum();
        let alkalis = self.lye_masses().into_iter().zip(&batch.alkalis);
        let present: Mass =
            alkalis.map(|(mass, it)| alkali_for(mass * it.purity.to_fraction(), 1.0 / it.grams_per_gram_koh)).sum();
        let acids = self.acids.iter().zip(&batch.acids);
        let for_acids: Mass = acids.map(|(reading, it)| scale.mass(*reading) * it.koh_per_gram).sum();
        (for_fats, present.to_grams() - for_acids.to_grams())
    }

    /// The lye that the readings bring, alkali by alkali: as weighed, or what is in the stock as weighed.
    #[must_use]
    pub fn lye_masses(&self) -> Vec<Mass> {
        match &self.stock {
            Some(stock) => vec![stock.lye(self.scale)],
            None => self.alkalis.iter().map(|it| self.scale.mass(*it)).collect(),
        }
    }

    /// The superfat that the readings of fats, alkali and acids lead to.
    pub(super) fn superfat_percent_of(&self, batch: &Batch) -> f64 {
        let (for_fats, left) = self.koh_for_fats_and_left(batch);
        // Fats that all read nothing have a finding of their own (amount-below-scale); keep the number finite till then.
        if for_fats > Mass::ZERO { (1.0 - left / for_fats.to_grams()) * 100.0 } else { batch.superfat_percent }
    }

    /// Everything that goes into the lye, as printed.
    #[must_use]
    pub fn solution(&self) -> u64 {
        let weighed = [&self.alkalis, &self.liquids, &self.acids].into_iter().flatten().sum::<u64>();
        weighed + self.water + self.extras_in_lye
    }

    /// Lye that no layer gets, since each layer's part is rounded down; nothing where there are no layers, or the batter is
    /// divided.
    #[must_use]
    pub fn solution_left(&self) -> u64 {
        if self.layers.iter().any(|it| it.batter.is_some()) || self.layers.is_empty() {
            return 0;
        }
        self.solution() - self.layers.iter().map(|it| it.solution).sum::<u64>()
    }

    /// The superfat that a layer's own printed amounts lead to, percent; `None` where the batter is divided, which is the
    /// same in every layer, and where the layer reads nothing.
    ///
    /// `1 - (1 - s) * (solution_i / solution) * (fats / fats_i)`, s the superfat of all printed amounts: thin layers on a
    /// coarse scale get less lye than their fats are due.
    ///
    /// # Example
    ///
    /// s = 5 %, 8 g of 800 g of fats are due 3.6 g of 360 g of lye and get 3 g: 1 - 0.95 * 3 / 360 * 800 / 8 = 20.8 %.
    #[must_use]
    pub fn layer_superfat_percent(&self, layer_idx: usize) -> Option<f64> {
        self.layer_percent(layer_idx, self.superfat_percent, 0.0)
    }

    /// The worst case of a layer's superfat, percent: that of the batch, and both readings of the layer off by half a
    /// division the unlucky way. `None` as for [`Weighed::layer_superfat_percent`].
    ///
    /// `1 - (1 - s) * ((solution_i + d / 2) / solution) * (fats / (fats_i - d / 2))`, s the batch's worst case.
    ///
    /// # Example
    ///
    /// s = 1 %, 80 g of 800 g of fats and 36 g of 360 g of lye on a scale of 1 g: 1 - 0.99 * 36.5 / 360 * 800 / 79.5 =
    /// -1.0 %.
    #[must_use]
    pub fn layer_worst_percent(&self, layer_idx: usize, worst_percent: f64) -> Option<f64> {
        self.layer_percent(layer_idx, worst_percent, 0.5 * f64::from(self.scale.steps))
    }

    fn layer_percent(&self, layer_idx: usize, of_batch_percent: f64, steps_off: f64) -> Option<f64> {
        let layer = &self.layers[layer_idx];
        let (fats, solution) = (self.total_fats + self.extras_in_fats, self.solution());
        if layer.batter.is_some() || layer.fats == 0 || self.total_fats == 0 || solution == 0 {
            return None;
        }
        let lye_share = (layer.solution as f64 + steps_off) / solution as f64;
        let fat_share = (layer.fats as f64 - steps_off) / fats as f64;
        Some(100.0 - (100.0 - of_batch_percent) * lye_share / fat_share)
    }

    /// These amounts on a coarser scale of the same unit, by somebody who weighs what is printed as nearly as that scale can,
    /// and of two readings as near takes the unlucky one: the higher of lye, the lower of fats and acids.
    #[must_use]
    pub fn on_coarser(&self, scale: Scale) -> Weighed {
        let reread = |reading: &u64, of_two| scale.rereads(self.scale.value(*reading), of_two);
        let all = |readings: &[u64], of_two| readings.iter().map(|it| reread(it, of_two)).collect::<Vec<u64>>();
        let fats = all(&self.fats, OfTwo::Lower);
        let stock = self.stock.map(|it| StockReading {
            stock: reread(&it.stock, OfTwo::Higher),
            further_water: reread(&it.further_water, OfTwo::Lower),
            ..it
        });
        let layers = self.layers.iter().map(|it| WeighedLayer {
            fats: reread(&it.fats, OfTwo::Lower),
            solution: reread(&it.solution, OfTwo::Higher),
            ..it.clone()
        });
        Weighed {
            scale,
            total_fats: fats.iter().sum(),
            fats,
            alkalis: all(&self.alkalis, OfTwo::Higher),
            acids: all(&self.acids, OfTwo::Lower),
            water: reread(&self.water, OfTwo::Lower),
            stock,
            liquids: all(&self.liquids, OfTwo::Lower),
            extras: all(&self.extras, OfTwo::Lower),
            extras_in_lye: reread(&self.extras_in_lye, OfTwo::Lower),
            extras_in_fats: reread(&self.extras_in_fats, OfTwo::Lower),
            infusions: self.infusions.clone(),
            late_fats: all(&self.late_fats, OfTwo::Lower),
            layers: layers.collect(),
            superfat_percent: self.superfat_percent,
        }
    }

    /// Everything that is poured, as printed.
    #[must_use]
    pub fn poured(&self) -> u64 {
        let of_layers = self.layers.iter().flat_map(|it| &it.extras);
        let others = self.late_fats.iter().chain(&self.extras).chain(of_layers).sum::<u64>();
        self.total_fats + self.solution() + others - self.extras_in_lye
    }
}

/// What goes in at trace is weighed in a cup of its own, on the finer scale where it is little. Of a blend the whole is read,
/// and its oils, which are weighed into one cup, are parts that add up to it.
fn read_extras(scale: Scale, extras: &[ExtraAmount]) -> Vec<u64> {
    let together = |a: &ExtraAmount, b: &ExtraAmount| a.blend.is_some() && a.blend == b.blend;
    let cups = extras.chunk_by(together).map(|cup| {
        let masses: Vec<f64> = cup.iter().map(|it| it.mass.to_grams()).collect();
        let whole: Mass = cup.iter().map(|it| it.mass).sum();
        let is_small = cup.iter().any(|it| matches!(it.goes_into, GoesInto::Trace | GoesInto::Cooked));
        let scale = if is_small { scale.for_small(whole) } else { scale };
        match &masses[..] {
            [_] => vec![scale.nearest(whole)],
            _ => scale.apportion(scale.nearest(whole), &masses),
        }
    });
    cups.flatten().collect()
}

/// What goes in at trace, additive by additive, shared out among the layers; the parts add up to its reading.
///
/// The oils of a blend come out of one jar: the divisions that are left over of each go to the layers that have the least of
/// the whole blend yet, or one layer would get those of all its oils.
fn shared_out(readings: &[u64], extras: &[ExtraAmount], weights: &[f64]) -> Vec<Vec<u64>> {
    let whole: f64 = weights.iter().sum();
    let mut missing = vec![0.0; weights.len()];
    let mut blend = None;
    let shares = readings.iter().zip(extras).map(|(reading, extra)| {
        if extra.blend.is_none() || extra.blend != blend {
            missing.fill(0.0);
        }
        blend.clone_from(&extra.blend);
        let reading = if extra.goes_into == GoesInto::Trace { *reading } else { 0 };
        let due: Vec<f64> = weights.iter().map(|it| reading as f64 * it / whole).collect();
        let mut parts: Vec<u64> = due.iter().map(|it| (it + HAIR).floor() as u64).collect();
        for (missing, (due, part)) in missing.iter_mut().zip(due.iter().zip(&parts)) {
            *missing += due - *part as f64;
        }
        let left = reading.saturating_sub(parts.iter().sum());
        let mut by_missing: Vec<usize> = (0..parts.len()).collect();
        by_missing.sort_by(|&a, &b| missing[b].total_cmp(&missing[a]).then(a.cmp(&b)));
        for idx in by_missing.into_iter().take(left as usize) {
            parts[idx] += 1;
            missing[idx] -= 1.0;
        }
        parts
    });
    shares.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{ScaleUnit, apportion};

    /// The largest batch on the finest scale: ten thousand million divisions of fats, and nearly as many of lye.
    #[test]
    fn layers_of_the_largest_batch_get_their_lye_on_the_finest_scale() {
        use crate::recipe::{Defaults, RawRecipe, validate};
        use crate::source::SourceFile;
        use crate::tables::Tables;
        let text = "title = \"Most\"\nbatch = \"1000 kg\"\nsuperfat = 5\nalkali = \"NaOH\"\nwater = { of-fats = 200 }\n\
                    [fats]\nlard = 100\n[[layers]]\nname = \"a\"\nshare = 3\n[[layers]]\nname = \"b\"\nshare = 1\n";
        let tables = Tables::embedded();
        let (raw, _) = RawRecipe::read("most", &SourceFile::new("recipes/most.toml", text));
        let (recipe, _) = validate(&raw, &tables, &Defaults::default());
        let batch = super::super::compute(&recipe.expect("the recipe is right"), &tables);
        let scale = Scale::new(ScaleUnit::Grams, 0.0001);
        let weighed = Weighed::read(&batch, scale);
        let lye = weighed.solution() as f64;
        assert!(
            (weighed.layers[0].solution as f64 - 0.75 * lye).abs() <= 1.0,
            "{} of {lye}",
            weighed.layers[0].solution
        );
        assert!(weighed.solution_left() < 2, "{}", weighed.solution_left());
    }

    /// Three oils of a blend, 4, 1 and 1 divisions, for three equal layers: each layer gets two divisions of the blend. Oil by oil
    /// the first would get 2, 1 and 1, twice its due. On their own they are three cups, and each is shared out by itself.
    #[test]
    fn no_layer_gets_what_is_left_over_of_every_oil_of_a_blend() {
        let extra = |blend: Option<&str>| ExtraAmount {
            id: "oil".into(),
            name: "oil".into(),
            mass: Mass::grams(1.0),
            volume: None,
            solid_density: None,
            of_fats_percent: 1.0,
            goes_into: GoesInto::Trace,
            blend: blend.map(Into::into),
            koh_for_fat: Mass::ZERO,
            fat: Mass::ZERO,
            water: Mass::ZERO,
        };
        let readings = [4, 1, 1];
        let of_blend = shared_out(&readings, &[extra(Some("b")), extra(Some("b")), extra(Some("b"))], &[1.0; 3]);
        assert_eq!(of_blend, [[2, 1, 1], [0, 1, 0], [0, 0, 1]]);
        let on_their_own = shared_out(&readings, &[extra(None), extra(None), extra(None)], &[1.0; 3]);
        assert_eq!(on_their_own, [[2, 1, 1], [1, 0, 0], [1, 0, 0]]);
    }

    #[test]
    fn ounces_are_rounded_from_the_exact_mass() {
        // 128.68 g are 4.5390 oz; a reading made from 128 g would be 4.50 as well, one made from 130 g would not.
        assert_eq!(Scale::OUNCES.below(Mass::grams(128.68)), 90);
    }

    #[test]
    fn the_largest_remainders_get_what_is_left() {
        assert_eq!(apportion(10, &[1.0, 1.0, 1.0]), [4, 3, 3]);
        assert_eq!(apportion(7, &[0.5, 0.3, 0.2]), [4, 2, 1]);
        assert_eq!(apportion(0, &[0.5, 0.5]), [0, 0]);
        assert_eq!(apportion(5, &[]), Vec::<u64>::new());
    }
}
