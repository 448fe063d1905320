//! The list of all figures of a recipe; what comes of it is in `outcome.rs`.
//!
//! Layer 4. The one place that enumerates what is weighed, in the order of use, and everything else that is computed.

use std::sync::Arc;

use super::{Amount, Figure, Key, Kind, Ledger, Moment, Part, Scales};
use crate::batch::{ExtraAmount, Weighed};
use crate::recipe::{Extra, LayerSize};
use crate::source::Place;
use crate::tables::{GoesInto, Tables};
use crate::units::{Length, Mass};

/// All figures of a ledger whose numbers are there.
pub(super) fn of(ledger: &Ledger, tables: &Tables) -> Vec<Figure> {
    let mut list = List { ledger, figures: Vec::with_capacity(128) };
    list.infusions();
    list.lye_vessel();
    list.fats_and_additives(tables);
    list.totals();
    list.layers();
    list.blends(tables);
    list.arithmetic(tables);
    list.superfats();
    list.measures(tables);
    list.when_poured(tables);
    list.times();
    list.outcome();
    list.pot();
    list.dilution();
    list.acids();
    list.figures
}

pub(super) struct List<'a> {
    pub(super) ledger: &'a Ledger,
    figures: Vec<Figure>,
}

/// When an additive of the batch or of a layer goes in.
fn moment_of(goes_into: GoesInto) -> Moment {
    match goes_into {
        GoesInto::Water => Moment::Lye,
        GoesInto::Fats => Moment::Fats,
        GoesInto::Trace => Moment::Trace,
        GoesInto::Cooked => Moment::Cooked,
    }
}

impl List<'_> {
    pub(super) fn add(
        &mut self,
        key: Key,
        part: Part,
        name: Option<&Arc<str>>,
        amount: Amount,
        goes_into: Option<Moment>,
        place: &Place,
    ) {
        let (name, place) = (name.cloned(), place.clone());
        self.figures.push(Figure { key, part, name, amount, goes_into, place });
    }

    /// Whether the list has such a figure yet.
    pub(super) fn has(&self, key: &Key) -> bool {
        self.figures.iter().any(|it| it.key == *key)
    }

    /// A figure of the whole recipe that is not weighed out.
    pub(super) fn whole(&mut self, kind: Kind, amount: Amount, place: &Place) {
        self.add(Key::one(kind), Part::Whole, None, amount, None, place);
    }

    pub(super) fn weighed(&self, exact: Mass, reading: impl Fn(&Weighed) -> u64) -> Amount {
        Amount::Weighed { exact, grams: reading(&self.ledger.grams), ounces: reading(&self.ledger.ounces) }
    }

    /// What is steeped before the evening.
    fn infusions(&mut self) {
        let Ledger { recipe, batch, .. } = self.ledger;
        for (idx, (it, typed)) in batch.infusions.iter().zip(&recipe.infusions).enumerate() {
            let fat = &batch.fats[it.fat_idx];
            let key = |kind| Key::each(kind, fat.id.clone());
            let plant = self.weighed(it.plant, |weighed| weighed.infusions[idx][1]);
            let oil = self.weighed(it.oil, |weighed| weighed.infusions[idx][0]);
            let (before, place) = (Some(Moment::Before), &typed.place);
            self.add(key(Kind::InfusionPlant), Part::InfusionPlant(idx), Some(&typed.plant), plant, before, place);
            self.add(key(Kind::InfusionOil), Part::InfusionOil(idx), Some(&fat.name), oil, before, place);
            let (least, most) = it.strained;
            for (kind, mass) in [(Kind::StrainedFrom, least), (Kind::StrainedTo, most)] {
                self.add(key(kind), Part::Whole, Some(&fat.name), Amount::Mass(mass), None, place);
            }
        }
    }

    /// Everything that goes into the lye, in the order in which it does.
    fn lye_vessel(&mut self) {
        let Ledger { recipe, batch, .. } = self.ledger;
        let into = Some(Moment::Lye);
        let water = self.weighed(batch.plain_water, |it| it.water);
        // With a stock nobody weighs lye and water, and both at once would be twice the lye.
        let dry = if batch.stock.is_some() { None } else { into };
        self.add(Key::one(Kind::Water), Part::Water, None, water, dry, &recipe.places.water);
        if let Some(stock) = &batch.stock {
            let water = self.weighed(stock.further_water, |it| it.stock.map_or(0, |it| it.further_water));
            self.add(Key::one(Kind::FurtherWater), Part::FurtherWater, None, water, into, &recipe.places.stock);
        }
        for (idx, it) in batch.liquids.iter().enumerate() {
            let amount = self.weighed(it.mass, |weighed| weighed.liquids[idx]);
            let key = Key::each(Kind::Additive, it.id.clone());
            self.add(key, Part::Liquid(idx), Some(&it.name), amount, into, &recipe.places.liquids[idx]);
        }
        for (idx, it) in batch.acids.iter().enumerate() {
            let amount = self.weighed(it.mass, |weighed| weighed.acids[idx]);
            let key = Key::each(Kind::Additive, it.id.clone());
            self.add(key, Part::Acid(idx), Some(&it.name), amount, into, &recipe.places.acids[idx]);
        }
        self.extras(|it| it == GoesInto::Water);
        for (idx, it) in batch.alkalis.iter().enumerate() {
            let amount = self.weighed(it.mass, |weighed| weighed.alkalis[idx]);
            let key = self.ledger.alkali_key(idx);
            self.add(key, Part::Alkali(idx), None, amount, dry, &recipe.places.alkali);
        }
        if let Some(stock) = &batch.stock {
            let amount = self.weighed(stock.mass, |it| it.stock.map_or(0, |it| it.stock));
            self.add(Key::one(Kind::Stock), Part::Stock, None, amount, into, &recipe.places.stock);
        }
    }

    /// The additives of the whole batch that leave the lye as it is and go in at these moments.
    fn extras(&mut self, is_wanted: impl Fn(GoesInto) -> bool) {
        let Ledger { recipe, batch, .. } = self.ledger;
        for (idx, (it, typed)) in batch.extras.iter().zip(&recipe.extras).enumerate() {
            if is_wanted(it.goes_into) {
                let amount = self.weighed(it.mass, |weighed| weighed.extras[idx]);
                let key = Key::each(Kind::Additive, it.id.clone());
                let into = Some(moment_of(it.goes_into));
                self.add(key, Part::Extra(idx), Some(&it.name), amount, into, &typed.place);
            }
        }
    }

    fn fats_and_additives(&mut self, tables: &Tables) {
        let Ledger { recipe, batch, .. } = self.ledger;
        // What has to be melted first goes into the pot first; the liquid ones then cool it.
        let is_solid = |idx: &usize| recipe.fats[*idx].fat.is_solid(tables.limits.solid_below_iodine_value);
        let (solid, liquid): (Vec<usize>, Vec<usize>) = (0..batch.fats.len()).partition(is_solid);
        for idx in solid.into_iter().chain(liquid) {
            let it = &batch.fats[idx];
            let amount = self.weighed(it.mass, |weighed| weighed.fats[idx]);
            let key = Key::each(Kind::Fat, it.id.clone());
            self.add(key, Part::Fat(idx), Some(&it.name), amount, Some(Moment::Fats), &recipe.places.fats[idx]);
        }
        self.extras(|it| !matches!(it, GoesInto::Water | GoesInto::Cooked));
        for (layer_idx, (layer, typed)) in batch.layers.iter().zip(&recipe.layers).enumerate() {
            for (idx, (it, typed)) in layer.extras.iter().zip(&typed.extras).enumerate() {
                let amount = self.weighed(it.mass, |weighed| weighed.layers[layer_idx].extras[idx]);
                let key = Key::each(Kind::LayerAdditive, it.id.clone()).in_layer(layer.key.clone());
                let (part, into) = (Part::LayerExtra(layer_idx, idx), Some(moment_of(it.goes_into)));
                self.add(key, part, Some(&it.name), amount, into, &typed.place);
            }
        }
        for (idx, it) in batch.late_fats.iter().enumerate() {
            let amount = self.weighed(it.mass, |weighed| weighed.late_fats[idx]);
            let key = Key::each(Kind::LateFat, it.id.clone());
            let place = &recipe.places.late_fats[idx];
            self.add(key, Part::LateFat(idx), Some(&it.name), amount, Some(Moment::Cooked), place);
        }
        self.extras(|it| it == GoesInto::Cooked);
    }

    fn totals(&mut self) {
        let Ledger { recipe, batch, .. } = self.ledger;
        let size = &recipe.places.size;
        let in_fats = |it: &ExtraAmount| if it.goes_into == GoesInto::Fats { it.mass } else { Mass::ZERO };
        let fats_divided = batch.total_fats + batch.extras.iter().map(in_fats).sum();
        for (kind, amount) in [
            (Kind::TotalFats, self.weighed(batch.total_fats, |it| it.total_fats)),
            (Kind::Solution, self.weighed(batch.solution, Weighed::solution)),
            (Kind::TotalBatch, self.weighed(batch.poured(), Weighed::poured)),
        ] {
            self.whole(kind, amount, size);
        }
        if batch.layers.is_empty() {
            return;
        }
        if batch.batter_is_divided {
            let exact = batch.layers.iter().map(|it| it.batter()).sum();
            let batter = self.weighed(exact, |it| it.layers.iter().filter_map(|it| it.batter).sum());
            self.whole(Kind::TotalBatter, batter, size);
        } else {
            let amount = self.weighed(fats_divided, |it| it.total_fats + it.extras_in_fats);
            self.whole(Kind::TotalFatsDivided, amount, size);
            let left = batch.layers.iter().fold(batch.solution, |left, it| left - it.solution);
            let amount = self.weighed(left, Weighed::solution_left);
            self.whole(Kind::SolutionLeft, amount, size);
        }
    }

    fn layers(&mut self) {
        let Ledger { recipe, batch, vessels, .. } = self.ledger;
        let main = self.ledger.scales.units.main();
        let mut top = Some(Length::millimetres(0.0));
        for (layer_idx, (layer, typed)) in batch.layers.iter().zip(&recipe.layers).enumerate() {
            let (part, place) = (Part::Layer(layer_idx), &typed.size_place);
            let mut own: Vec<(Kind, Amount)> = Vec::new();
            if batch.batter_is_divided {
                let reading = |it: &Weighed| it.layers[layer_idx].batter.unwrap_or_default();
                own.push((Kind::LayerBatter, self.weighed(layer.batter(), reading)));
            } else {
                // What is not weighed has no amount to name: its parts would not add up to what is.
                own.push((Kind::LayerFats, self.weighed(layer.fats, |it| it.layers[layer_idx].fats)));
                own.push((Kind::LayerSolution, self.weighed(layer.solution, |it| it.layers[layer_idx].solution)));
            }
            own.push((Kind::LayerPoured, self.weighed(layer.poured(), |it| it.layers[layer_idx].poured())));
            own.push((Kind::LayerVessel, Amount::Vessel(vessels.layers[layer_idx])));
            own.push((Kind::LayerVolume, Amount::Volume(layer.volume)));
            if recipe.divide.swirl().is_none() {
                own.push((Kind::LayerHeight, Amount::Share(layer.height_fraction * 100.0)));
            }
            own.push((Kind::LayerPercent, Amount::Share(layer.fraction * 100.0)));
            own.extend(layer.thickness.map(|it| (Kind::LayerThickness, Amount::Length(it))));
            top = top.zip(layer.thickness).map(|(below, it)| below + it);
            own.extend(top.map(|it| (Kind::LayerTop, Amount::Length(it))));
            own.push(match typed.size {
                LayerSize::Parts(parts) => (Kind::LayerSize, Amount::Ratio(parts)),
                LayerSize::Thickness(thickness) => (Kind::LayerSize, Amount::Length(thickness)),
            });
            let wait = self.ledger.waits.get(layer_idx);
            own.extend(wait.map(|it| (Kind::LayerWait, Amount::Time(it.time, it.time))));
            let weighed = self.ledger.weighed(main);
            let (superfat, worst) = if batch.batter_is_divided {
                // The same batter everywhere; the oil that disperses a colour makes it milder, and is not relied on.
                let with_oil = batch.layer_superfat_with_percent(layer_idx, weighed.superfat_percent);
                (Some(with_oil), Some(self.ledger.certainty(main).worst_percent))
            } else {
                (weighed.layer_superfat_percent(layer_idx), self.ledger.layer_worst_percent(layer_idx, main))
            };
            own.extend(superfat.map(|it| (Kind::LayerSuperfat, Amount::Share(it))));
            own.extend(worst.map(|it| (Kind::LayerWorst, Amount::Share(it))));
            for (kind, amount) in own {
                self.add(Key::one(kind).in_layer(layer.key.clone()), part, Some(&layer.name), amount, None, place);
            }
            for (idx, it) in batch.extras.iter().enumerate() {
                if it.goes_into == GoesInto::Trace && !recipe.divide.is_of_batter() {
                    let exact = it.mass * layer.fraction;
                    let amount = self.weighed(exact, |weighed| weighed.layers[layer_idx].shared_extras[idx]);
                    let key = Key::each(Kind::LayerShared, it.id.clone()).in_layer(layer.key.clone());
                    let part = Part::LayerShared(layer_idx, idx);
                    self.add(key, part, Some(&it.name), amount, None, &recipe.extras[idx].place);
                }
            }
            for (idx, (it, typed)) in layer.extras.iter().zip(&typed.extras).enumerate() {
                let part = Part::LayerExtra(layer_idx, idx);
                let key = |kind| Key::each(kind, it.id.clone()).in_layer(layer.key.clone());
                let rate = Amount::Share(it.of_fats_percent);
                self.add(key(Kind::LayerRate), part, Some(&it.name), rate, None, &typed.place);
                if let Some(volume) = it.volume.filter(|_| typed.additive.scent.is_none()) {
                    let spoons = Amount::Volume(volume);
                    self.add(key(Kind::LayerSpoons), part, Some(&it.name), spoons, None, &typed.place);
                }
            }
        }
        self.rates();
    }

    /// What each additive is dosed at, where it is dosed highest, and what is usual.
    fn rates(&mut self) {
        let Ledger { recipe, batch, .. } = self.ledger;
        for (extra, dose) in highest_doses(self.ledger) {
            let id = &extra.additive.id;
            let usual = extra.additive.usual_rate_percent.as_ref();
            let highest = extra.additive.highest_rate_percent.as_ref();
            let of_cured = self.ledger.most_of_cured_percent(id);
            let all = recipe.extras.iter().chain(recipe.layers.iter().flat_map(|it| &it.extras));
            let limits = all.filter(|it| it.additive.id == *id).filter_map(|it| it.limit_percent);
            let limit_percent = limits.min_by(f64::total_cmp);
            for (kind, percent) in [
                (Kind::Rate, Some(dose.of_fats_percent)),
                (Kind::UsualRateFrom, usual.and_then(|it| it.low)),
                (Kind::UsualRateTo, usual.and_then(|it| it.high)),
                (Kind::HighestRate, highest.map(|(highest, _)| *highest)),
                (Kind::OfCured, limit_percent.map(|_| of_cured)),
                (Kind::SupplierLimit, limit_percent),
                (Kind::Vanillin, extra.vanillin_percent),
            ] {
                if let Some(percent) = percent {
                    let (key, name) = (Key::each(kind, Arc::clone(id)), Some(&dose.name));
                    self.add(key, Part::Whole, name, Amount::Share(percent), None, &extra.place);
                }
            }
        }
        for (idx, (it, typed)) in batch.extras.iter().zip(&recipe.extras).enumerate() {
            // A scent has a limit, which no spoon measures.
            if let Some(volume) = it.volume.filter(|_| typed.additive.scent.is_none()) {
                let key = Key::each(Kind::Spoons, it.id.clone());
                self.add(key, Part::Extra(idx), Some(&it.name), Amount::Volume(volume), None, &typed.place);
            }
        }
    }

    /// The steps from the fats to the alkali and the water.
    fn arithmetic(&mut self, tables: &Tables) {
        let Ledger { recipe, batch, .. } = self.ledger;
        let places = &recipe.places;
        for (idx, it) in batch.fats.iter().enumerate() {
            for (kind, amount) in [
                (Kind::FatPercent, Amount::Share(it.fraction * 100.0)),
                (Kind::SapValue, Amount::SapValue(it.sap_value)),
                (Kind::Koh, Amount::Mass(it.koh)),
            ] {
                let key = Key::each(kind, it.id.clone());
                self.add(key, Part::Fat(idx), Some(&it.name), amount, None, &places.fats[idx]);
            }
        }
        let koh_in_all = batch.koh_after_superfat + batch.koh_for_acids;
        for (kind, mass) in [
            (Kind::KohForFats, batch.koh),
            (Kind::KohAfterSuperfat, batch.koh_after_superfat),
            (Kind::KohForAcids, batch.koh_for_acids),
            (Kind::KohInAll, koh_in_all),
            (Kind::TotalAlkali, batch.total_alkali),
            (Kind::WaterInAll, batch.water),
            (Kind::WaterInOthers, batch.water_in_others),
        ] {
            self.whole(kind, Amount::Mass(mass), &places.alkali);
        }
        for (idx, (it, share)) in batch.acids.iter().zip(&recipe.acids).enumerate() {
            for (kind, amount) in [
                (Kind::KohForAcid, Amount::Mass(it.koh)),
                (Kind::Strength, Amount::Share(share.strength.to_percent())),
                (Kind::WaterFrom, Amount::Mass(it.mass - it.pure)),
            ] {
                let key = Key::each(kind, it.id.clone());
                self.add(key, Part::Acid(idx), Some(&it.name), amount, None, &places.acids[idx]);
            }
            for (kind, amount) in [
                (Kind::SaltFrom, it.salt.map(Amount::Mass)),
                (Kind::SaltOfFats, it.salt.map(|salt| Amount::Share(salt / batch.total_fats * 100.0))),
                (Kind::SaltAsSold, it.salt_as_sold.map(Amount::Mass)),
            ] {
                if let Some(amount) = amount {
                    let key = Key::each(kind, it.id.clone());
                    self.add(key, Part::Acid(idx), Some(&it.name), amount, None, &places.acids[idx]);
                }
            }
        }
        for (idx, it) in batch.liquids.iter().enumerate() {
            let brought =
                [(Kind::WaterFrom, it.water), (Kind::FatFrom, it.fat), (Kind::SugarFrom, it.sugar)].into_iter();
            for (kind, mass) in brought.filter(|(kind, mass)| *kind == Kind::WaterFrom || *mass > Mass::ZERO) {
                let key = Key::each(kind, it.id.clone());
                self.add(key, Part::Liquid(idx), Some(&it.name), Amount::Mass(mass), None, &places.liquids[idx]);
            }
        }
        for (idx, (it, share)) in batch.alkalis.iter().zip(&recipe.alkalis).enumerate() {
            for (kind, amount) in [
                (Kind::AlkaliPercent, Amount::Share(it.mole_fraction * 100.0)),
                (Kind::KohPart, Amount::Mass(koh_in_all * it.mole_fraction)),
                (Kind::PureAlkali, Amount::Mass(it.pure)),
                (Kind::Purity, Amount::Share(it.purity.to_percent())),
                (Kind::PurityFrom, Amount::Share(share.purity_range.0.to_percent())),
                (Kind::PurityTo, Amount::Share(share.purity_range.1.to_percent())),
            ] {
                self.add(Key::each(kind, it.kind.formula()), Part::Alkali(idx), None, amount, None, &places.alkali);
            }
        }
        if let (Some(amount), Some(stock)) = (&batch.stock, &recipe.stock) {
            let (low, high) = stock.strength_range;
            for (kind, amount) in [
                (Kind::StockConcentration, Amount::Share(stock.strength.to_percent())),
                (Kind::StockConcentrationFrom, Amount::Share(low.to_percent())),
                (Kind::StockConcentrationTo, Amount::Share(high.to_percent())),
                (Kind::WaterInStock, Amount::Mass(amount.water)),
            ] {
                self.whole(kind, amount, &places.stock);
            }
        }
        let conventions = &batch.water_conventions;
        for (kind, amount) in [
            (Kind::LyeConcentration, Amount::Share(conventions.lye_concentration_percent)),
            (Kind::PureConcentration, Amount::Share(batch.pure_concentration_percent)),
            (Kind::WaterPerLye, Amount::Ratio(conventions.water_per_lye)),
            (Kind::WaterOfFats, Amount::Share(conventions.water_of_fats_percent)),
            (Kind::TapWater, Amount::Celsius(tables.limits.tap_water_celsius)),
            (Kind::PouringTemperature, Amount::Celsius(tables.limits.pouring_temperature_celsius)),
        ] {
            self.whole(kind, amount, &places.water);
        }
        let Scales { grams, ounces, .. } = self.ledger.scales;
        for ((name, scale), coarsest) in
            [("grams", grams), ("ounces", ounces)].into_iter().zip(self.ledger.coarsest_scales)
        {
            for (kind, scale) in [
                (Kind::ScaleStep, Some(scale)),
                (Kind::SmallScaleStep, (scale.steps > 1).then(|| scale.small())),
                (Kind::CoarsestScale, coarsest),
            ] {
                if let Some(scale) = scale {
                    self.add(Key::each(kind, name), Part::Whole, None, Amount::Step(scale), None, &places.recipe);
                }
            }
        }
    }
}

/// Each additive that leaves the lye as it is once, where its share of the fats is highest.
pub(super) fn highest_doses(ledger: &Ledger) -> Vec<(&Extra, &ExtraAmount)> {
    let (recipe, batch) = (&ledger.recipe, &ledger.batch);
    let of_layers = recipe.layers.iter().zip(&batch.layers);
    let of_layers = of_layers.flat_map(|(layer, amount)| layer.extras.iter().zip(&amount.extras));
    let mut once: Vec<(&Extra, &ExtraAmount)> = Vec::new();
    for (extra, amount) in recipe.extras.iter().zip(&batch.extras).chain(of_layers) {
        match once.iter_mut().find(|(it, _)| it.additive.id == extra.additive.id) {
            Some(known) if known.1.of_fats_percent >= amount.of_fats_percent => {}
            Some(known) => *known = (extra, amount),
            None => once.push((extra, amount)),
        }
    }
    once
}
