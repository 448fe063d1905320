//! The figures of what comes of a recipe: how sure it is, how hot and how large, how long it takes, and what it gives.
//!
//! Layer 4. Part of the list that `figures.rs` begins.

use std::sync::Arc;

use super::figures::List;
use super::{Amount, Key, Kind, Ledger, Part};
use crate::tables::Tables;
use crate::units::{Length, Temperature};

impl List<'_> {
    pub(super) fn superfats(&mut self) {
        let Ledger { batch, certainty_in_grams, certainty_in_ounces, swap, .. } = self.ledger;
        let place = &self.ledger.recipe.places.superfat;
        let (by_grams, by_ounces) = (certainty_in_grams, certainty_in_ounces);
        let by_scale = |grams, ounces| Amount::ShareByScale { grams, ounces };
        let printed = by_scale(self.ledger.grams.superfat_percent, self.ledger.ounces.superfat_percent);
        for (kind, amount) in [
            (Kind::Superfat, Amount::Share(batch.superfat_percent)),
            (Kind::SuperfatAsWeighed, printed),
            (Kind::SuperfatLikelyFrom, by_scale(by_grams.likely_percent.0, by_ounces.likely_percent.0)),
            (Kind::SuperfatLikelyTo, by_scale(by_grams.likely_percent.1, by_ounces.likely_percent.1)),
            (Kind::SuperfatWorst, by_scale(by_grams.worst_percent, by_ounces.worst_percent)),
            (Kind::FreeFat, Amount::Share(batch.free_fat_percent())),
        ] {
            self.whole(kind, amount, place);
        }
        if batch.has_fat_beside() {
            self.whole(Kind::SuperfatWithLiquids, Amount::Share(batch.superfat_with_liquids_percent()), place);
        }
        for it in &by_grams.contributions {
            let in_ounces = by_ounces.contributions.iter().find(|other| other.input == it.input);
            let ounces = in_ounces.map_or(0.0, |it| it.half_width_percent);
            let (key, part) = (self.ledger.input_key(it.input), Part::Whole);
            self.add(key, part, None, by_scale(it.half_width_percent, ounces), None, place);
        }
        if let Some(swap) = swap {
            for (kind, percent) in [
                (Kind::SuperfatIfSwapped, swap.superfat_percent),
                (Kind::WorstIfSwapped, swap.worst_percent),
                (Kind::LyeIfSwapped, swap.more_lye_percent()),
            ] {
                self.whole(kind, Amount::Share(percent), place);
            }
        }
    }

    /// Temperatures, volumes and lengths.
    pub(super) fn measures(&mut self, tables: &Tables) {
        let Ledger { recipe, batch, vessels, hottest_celsius: [plain, iced], lye_volume, .. } = self.ledger;
        let water = &recipe.places.water;
        let stock = self.ledger.stock.as_ref();
        let [hottest, iced_stock] = stock.map_or([None; 2], |it| it.hottest_celsius);
        for (kind, amount) in [
            (Kind::HottestLye, plain.map(Amount::CelsiusAtMost)),
            (Kind::HottestIcedLye, iced.map(Amount::CelsiusAtMost)),
            (Kind::HottestStock, hottest.map(Amount::CelsiusAtMost)),
            (Kind::HottestIcedStock, iced_stock.map(Amount::CelsiusAtMost)),
            (Kind::StockCrystalsBelow, stock.and_then(|it| it.crystals_below_celsius).map(Amount::Celsius)),
            (Kind::CrystalsBelow, self.ledger.crystals_below_celsius.map(Amount::Celsius)),
            (Kind::LyeVolume, lye_volume.map(Amount::Volume)),
            (Kind::LyeVessel, vessels.lye.map(Amount::Vessel)),
            (Kind::Pot, Some(Amount::Vessel(vessels.pot))),
        ] {
            if let Some(amount) = amount {
                self.whole(kind, amount, water);
            }
        }
        if let Some(mould) = recipe.mould() {
            for (kind, amount) in [
                (Kind::MouldAcross, mould.shape.across().map(Amount::Length)),
                (Kind::MouldLength, mould.shape.length().map(Amount::Length)),
                (Kind::MouldFillHeight, Some(Amount::Length(mould.fill_height))),
                (Kind::MouldLining, Some(Amount::Length(mould.fill_height + tables.limits.lining_above_soap))),
                (Kind::MouldCavities, Some(Amount::Count(mould.cavities))),
                (Kind::EmbedsVolume, (!recipe.embeds.is_empty()).then(|| Amount::Volume(recipe.embeds_volume()))),
                (Kind::MouldFilled, batch.filled_height.map(Amount::Length)),
            ] {
                if let Some(amount) = amount {
                    self.whole(kind, amount, &recipe.places.into);
                }
            }
        }
    }

    /// How warm fats and lye are when they are brought together.
    pub(super) fn when_poured(&mut self, tables: &Tables) {
        let (limits, place) = (&tables.limits, &self.ledger.recipe.places.water);
        let stated = self.ledger.recipe.when_poured;
        let celsius = |(low, high): (Temperature, Temperature)| (low.to_celsius(), high.to_celsius());
        let fats = stated.fats.map_or(limits.fats_when_poured_celsius, celsius);
        let (low, high) = stated.lye_solution.map_or(limits.lye_when_poured_celsius, celsius);
        // Lye that settles out as crystals is not poured with them.
        let low = self.ledger.crystals_below_celsius.map_or(low, |it| low.max(it.ceil()));
        for (kind, celsius) in [
            (Kind::FatsWhenPouredFrom, fats.0),
            (Kind::FatsWhenPouredTo, fats.1),
            (Kind::LyeWhenPouredFrom, low),
            (Kind::LyeWhenPouredTo, high.max(low)),
        ] {
            self.whole(kind, Amount::Celsius(celsius), place);
        }
    }

    pub(super) fn times(&mut self) {
        let Ledger { recipe, timeline, .. } = self.ledger;
        let place = &recipe.places.recipe;
        let bench = timeline.bench_length;
        self.whole(Kind::BenchTime, Amount::Time(bench, bench), place);
        for (kind, step) in [(Kind::MouldTime, timeline.mould), (Kind::CureTime, timeline.cure)] {
            if let Some(step) = step {
                self.whole(kind, Amount::Time(step.shortest, step.longest), place);
            }
        }
        for (step_idx, step) in timeline.bench.iter().enumerate() {
            let number: Arc<str> = Arc::from((step_idx + 1).to_string());
            let start = Key::each(Kind::StepStart, Arc::clone(&number));
            self.add(start, Part::Whole, None, Amount::Clock(step.start), None, place);
            let length = Key::each(Kind::StepLength, number);
            self.add(length, Part::Whole, None, Amount::Time(step.length, step.length), None, place);
        }
    }

    pub(super) fn outcome(&mut self) {
        let Ledger { recipe, yields, bars, .. } = self.ledger;
        let place = &recipe.places.size;
        for (kind, amount) in [
            (Kind::Cured, Amount::Mass(yields.cured)),
            (Kind::Moisture, Amount::Share(yields.moisture.to_percent())),
            (Kind::Glycerol, Amount::Mass(yields.glycerol)),
            (Kind::FattyMatter, Amount::Share(yields.fatty_matter_percent)),
        ] {
            self.whole(kind, amount, place);
        }
        if let Some(cut) = recipe.cut {
            let lost = |it: Length| (it > Length::default()).then_some(it);
            for (kind, length) in [
                (Kind::Cut, Some(cut.along)),
                (Kind::CutAcross, cut.across),
                (Kind::CutKerf, lost(cut.kerf)),
                (Kind::CutEnds, lost(cut.ends)),
            ] {
                if let Some(length) = length {
                    self.whole(kind, Amount::Length(length), place);
                }
            }
        }
        if let Some(bars) = bars {
            self.whole(Kind::Bars, Amount::Count(bars.count), place);
            if let Some((along, across)) = bars.cut {
                self.whole(Kind::CutLeft, Amount::Length(along.left), place);
                if let Some(across) = across {
                    self.whole(Kind::CutLeftAcross, Amount::Length(across.left), place);
                }
                self.whole(Kind::Trimmings, Amount::Mass(yields.poured * bars.trimmings_share()), place);
            }
            self.whole(Kind::BarPoured, Amount::Mass(yields.poured * bars.share), place);
            self.whole(Kind::BarCured, Amount::Mass(yields.cured * bars.share), place);
        }
    }

    pub(super) fn acids(&mut self) {
        let Ledger { recipe, composition, .. } = self.ledger;
        let place = &recipe.places.recipe;
        for it in &composition.acids {
            let key = Key::each(Kind::FattyAcid, it.acid.id.clone());
            self.add(key, Part::Whole, Some(&it.acid.name), Amount::Share(it.percent), None, place);
        }
        for it in composition.groups() {
            let key = Key::each(Kind::AcidGroup, it.group.id());
            self.add(key, Part::Whole, None, Amount::Share(it.percent), None, place);
        }
        let sap = |value: f64| Amount::SapValue(crate::units::SapValue::mg_koh_per_g(value.max(0.0)));
        let (iodine, saps) = (composition.iodine_values, composition.sap_values);
        for (kind, amount) in [
            (Kind::KnownAcids, Some(Amount::Share(composition.known_fraction * 100.0))),
            (Kind::IodineValue, composition.iodine_value.map(Amount::IodineValue)),
            (Kind::IodineCompared, iodine.map(|it| Amount::Share(it.fraction * 100.0))),
            (Kind::IodineByTable, iodine.map(|it| Amount::IodineValue(it.table))),
            (Kind::IodineByAcids, iodine.map(|it| Amount::IodineValue(it.predicted))),
            (Kind::MeanMolarMass, composition.mean_molar_mass.map(Amount::MolarMass)),
            (Kind::SapUsed, saps.map(|it| sap(it.table))),
            (Kind::SapByAcids, saps.map(|it| sap(it.predicted))),
            (Kind::SapFrom, saps.map(|it| sap(it.low))),
            (Kind::SapTo, saps.map(|it| sap(it.high))),
            (Kind::SapDifference, saps.map(|it| Amount::Share(it.difference_percent()))),
        ] {
            if let Some(amount) = amount {
                self.whole(kind, amount, place);
            }
        }
        for (idx, share) in recipe.fats.iter().enumerate() {
            let (fat, place) = (&share.fat, &recipe.places.fats[idx]);
            let of_one_end = fat.iodine_value.as_ref().filter(|it| it.low.is_none() || it.high.is_none());
            let iodine = of_one_end.and_then(|it| it.middle()).map(Amount::IodineValue);
            let named = fat.fatty_acids.as_ref().map(|it| Amount::Share(crate::batch::named_percent(it)));
            for (kind, amount) in [(Kind::IodineOfFat, iodine), (Kind::NamedAcids, named)] {
                if let Some(amount) = amount {
                    self.add(Key::each(kind, fat.id.clone()), Part::Fat(idx), Some(&fat.name), amount, None, place);
                }
            }
        }
    }
}
