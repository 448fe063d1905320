//! Figures of what scents are mixed of: blends as a whole, and components that several oils have.
//!
//! Layer 4. Part of the list that `figures.rs` begins. The oils of a blend are listed there, each on its own.

use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::Arc;

use super::figures::List;
use super::{Amount, Key, Kind, Ledger, Part};
use crate::batch::{ExtraAmount, Weighed, percent_of_cured};
use crate::finding::Step;
use crate::recipe::Extra;
use crate::source::Place;
use crate::tables::{Additive, AdditiveKind, GoesInto, Tables, vanillin_percent_of};
use crate::units::Mass;

/// A blend in the batch or in a layer.
#[derive(Clone, Debug)]
pub struct BlendAmount<'a> {
    /// Its row.
    pub blend: &'a Arc<Additive>,
    /// Of which layer; `None` where it goes into the whole batch.
    pub layer_idx: Option<usize>,
    /// Its oils, by their places among the additives there.
    pub oils: Range<usize>,
    /// All of it.
    pub mass: Mass,
    /// Percent of the fats that it goes with.
    pub of_fats_percent: f64,
    /// Where its rate stands.
    pub place: &'a Place,
}

/// A component of the scents where there is most of it.
#[derive(Clone, Debug, PartialEq)]
pub struct ComponentDose {
    /// Its id.
    pub id: String,
    /// Percent of the cured soap, as weighed out where that is more than by the rates; all scents together, in the layer
    /// that has most of it, what goes into the whole batch counted in.
    pub percent: f64,
    /// Beside which step it is told: of that layer, or of the batch.
    pub step: Step,
    /// The names of the scents that bring it there.
    pub names: Vec<Arc<str>>,
    /// Where the rate of the scent stands that brings most of it.
    pub place: Place,
}

/// The blends among some additives.
fn blends_of<'a>(
    extras: &'a [Extra],
    amounts: &'a [ExtraAmount],
    layer_idx: Option<usize>,
) -> impl Iterator<Item = BlendAmount<'a>> {
    let mut start = 0;
    amounts.chunk_by(|a, b| a.blend.is_some() && a.blend == b.blend).filter_map(move |oils| {
        let range = start..start + oils.len();
        start = range.end;
        let first = &extras[range.start];
        Some(BlendAmount {
            blend: first.blend.as_ref()?,
            layer_idx,
            oils: range,
            mass: oils.iter().map(|it| it.mass).sum(),
            of_fats_percent: oils.iter().map(|it| it.of_fats_percent).sum(),
            place: &first.place,
        })
    })
}

impl Ledger {
    /// The blends, those of the whole batch first.
    #[must_use]
    pub fn blends(&self) -> Vec<BlendAmount<'_>> {
        let layers = self.recipe.layers.iter().zip(&self.batch.layers).enumerate();
        let of_layers = layers.flat_map(|(idx, (typed, amount))| blends_of(&typed.extras, &amount.extras, Some(idx)));
        blends_of(&self.recipe.extras, &self.batch.extras, None).chain(of_layers).collect()
    }

    /// How many times as much as its exact mass a scale shows of something, on the scale that shows most; 1 at least.
    #[must_use]
    pub fn printed_factor(&self, exact: Mass, readings: &dyn Fn(&Weighed) -> u64) -> f64 {
        self.shown().map(|it| it.scale.mass(readings(it)) / exact).fold(1.0, f64::max)
    }

    /// The same of an additive of the whole batch in a layer: each layer gets its part by weight, and may read more than is
    /// due to it. Of a blend the whole counts, which is in one jar.
    ///
    /// # Example
    ///
    /// 3.9 g for three layers of equal size read 4 g, and the first layer gets 2 g in place of 1.3 g: 1.54.
    #[must_use]
    pub fn shared_factor(&self, layer_idx: usize, extra_idx: usize) -> f64 {
        let (extra, layer) = (&self.batch.extras[extra_idx], &self.batch.layers[layer_idx]);
        let of_whole = |it: &Weighed| it.scale.mass(it.extras[extra_idx]) / extra.mass;
        let is_given_by_weight = extra.goes_into == GoesInto::Trace && !self.batch.batter_is_divided;
        let is_in_the_jar = |other: &ExtraAmount| extra.blend.is_some() && other.blend == extra.blend;
        let jar: Vec<usize> =
            self.batch.extras.iter().enumerate().filter(|(_, it)| is_in_the_jar(it)).map(|(idx, _)| idx).collect();
        let jar = if jar.is_empty() { vec![extra_idx] } else { jar };
        let over_due = |it: &Weighed| {
            let sum = |readings: &[u64]| jar.iter().map(|idx| readings[*idx]).sum::<u64>() as f64;
            let due = sum(&it.extras) * layer.fraction;
            if is_given_by_weight && due > 0.0 { sum(&it.layers[layer_idx].shared_extras) / due } else { 1.0 }
        };
        // Not below what the batch has, nor above it by a hair.
        let over_due = |it: &Weighed| Some(over_due(it)).filter(|it| *it > 1.0 + 1e-9).unwrap_or(1.0);
        self.shown().map(|it| of_whole(it) * over_due(it)).fold(1.0, f64::max)
    }

    /// How much of an additive there is in the cured soap where there is most of it, percent by the rates: in the batch, or in a
    /// layer with what goes into the whole batch.
    pub(super) fn most_of_cured_percent(&self, id: &str) -> f64 {
        let batch = &self.batch;
        let of_fats = |extras: &[ExtraAmount]| -> f64 {
            extras.iter().filter(|it| *it.id == *id).map(|it| it.of_fats_percent).sum()
        };
        let shared = of_fats(&batch.extras);
        let of_layers = batch.layers.iter().enumerate().map(|(layer_idx, layer)| {
            percent_of_cured(&self.yields, batch, Some(layer_idx), shared + of_fats(&layer.extras))
        });
        of_layers.fold(percent_of_cured(&self.yields, batch, None, shared), f64::max)
    }

    /// The components of all scents, each where there is most of it: `sum of scent_i * component_i`, percent of the cured
    /// soap, in a layer with what goes into the whole batch.
    ///
    /// A scent of which nobody wrote down what is in it counts as nothing; a rule tells of it.
    ///
    /// # Example
    ///
    /// 1 % of an oil with 30 % of a component and 0.5 % of one with 10 %, of the cured soap: 0.35 %.
    #[must_use]
    pub fn components(&self) -> Vec<ComponentDose> {
        let (recipe, batch) = (&self.recipe, &self.batch);
        let shared: Vec<(&Extra, f64)> = recipe
            .extras
            .iter()
            .zip(&batch.extras)
            .enumerate()
            .map(|(idx, (extra, it))| (extra, it.of_fats_percent * self.printed_factor(it.mass, &|it| it.extras[idx])))
            .collect();
        let mut places = vec![(Step::Trace, shared)];
        for (layer_idx, (layer, amount)) in recipe.layers.iter().zip(&batch.layers).enumerate() {
            let own = layer.extras.iter().zip(&amount.extras).enumerate().map(|(idx, (extra, it))| {
                let readings = |it: &Weighed| it.layers[layer_idx].extras[idx];
                (extra, it.of_fats_percent * self.printed_factor(it.mass, &readings))
            });
            let parts = recipe
                .extras
                .iter()
                .zip(&batch.extras)
                .enumerate()
                .map(|(idx, (extra, it))| (extra, it.of_fats_percent * self.shared_factor(layer_idx, idx)));
            places.push((Step::Layer(layer_idx), parts.chain(own).collect()));
        }
        let mut most: BTreeMap<&str, ComponentDose> = BTreeMap::new();
        for (step, scents) in &places {
            for (id, dose) in components_in(scents, *step) {
                let layer_idx = if let Step::Layer(layer_idx) = step { Some(*layer_idx) } else { None };
                let percent = percent_of_cured(&self.yields, batch, layer_idx, dose.percent);
                if most.get(id).is_none_or(|it| it.percent < percent) {
                    most.insert(id, ComponentDose { percent, ..dose });
                }
            }
        }
        most.into_values().collect()
    }
}

/// The components in one place, in percent of its fats.
fn components_in<'a>(scents: &[(&'a Extra, f64)], step: Step) -> BTreeMap<&'a str, ComponentDose> {
    let mut found: BTreeMap<&str, (ComponentDose, f64)> = BTreeMap::new();
    for (extra, of_fats_percent) in scents {
        for (id, percent) in extra.additive.facts.components.iter().flat_map(|(known, _)| known) {
            let brought = of_fats_percent * percent / 100.0;
            let (dose, largest) = found.entry(id).or_insert_with(|| {
                let place = extra.place.clone();
                (ComponentDose { id: id.clone(), percent: 0.0, step, names: Vec::new(), place }, 0.0)
            });
            dose.percent += brought;
            if !dose.names.contains(&extra.additive.name) {
                dose.names.push(Arc::clone(&extra.additive.name));
            }
            if brought > *largest {
                (*largest, dose.place) = (brought, extra.place.clone());
            }
        }
    }
    found.into_iter().map(|(id, (dose, _))| (id, dose)).collect()
}

impl List<'_> {
    /// Blends as a whole, which nobody weighs out as such, and the components of all scents.
    pub(super) fn blends(&mut self, tables: &Tables) {
        let ledger = self.ledger;
        let mut highest: BTreeMap<Arc<str>, (f64, &Arc<Additive>, &Place)> = BTreeMap::new();
        for it in ledger.blends() {
            let (id, name) = (it.blend.id.clone(), Some(&it.blend.name));
            let known = highest.entry(id.clone()).or_insert((it.of_fats_percent, it.blend, it.place));
            known.0 = known.0.max(it.of_fats_percent);
            let sum = |readings: &[u64]| readings[it.oils.clone()].iter().sum::<u64>();
            let Some(layer_idx) = it.layer_idx else {
                let amount = self.weighed(it.mass, |weighed| sum(&weighed.extras));
                self.add(Key::each(Kind::Additive, id.clone()), Part::Whole, name, amount, None, it.place);
                for (layer_idx, layer) in ledger.batch.layers.iter().enumerate() {
                    let key = Key::each(Kind::LayerShared, id.clone()).in_layer(layer.key.clone());
                    let of_oil = Key::each(Kind::LayerShared, ledger.batch.extras[it.oils.start].id.clone());
                    if self.has(&of_oil.in_layer(layer.key.clone())) {
                        let reading = |weighed: &Weighed| sum(&weighed.layers[layer_idx].shared_extras);
                        let amount = self.weighed(it.mass * layer.fraction, reading);
                        self.add(key, Part::Layer(layer_idx), name, amount, None, it.place);
                    }
                }
                continue;
            };
            let layer = &ledger.batch.layers[layer_idx].key;
            let amount = self.weighed(it.mass, |weighed| sum(&weighed.layers[layer_idx].extras));
            for (kind, amount) in [(Kind::LayerAdditive, amount), (Kind::LayerRate, Amount::Share(it.of_fats_percent))]
            {
                let key = Key::each(kind, id.clone()).in_layer(layer.clone());
                self.add(key, Part::Layer(layer_idx), name, amount, None, it.place);
            }
        }
        for (id, (percent, blend, place)) in highest {
            let parts = if let AdditiveKind::Blend(parts) = &blend.kind { &parts[..] } else { &[] };
            for (kind, percent) in [(Kind::Rate, Some(percent)), (Kind::Vanillin, vanillin_percent_of(parts))] {
                if let Some(percent) = percent {
                    let key = Key::each(kind, id.clone());
                    self.add(key, Part::Whole, Some(&blend.name), Amount::Share(percent), None, place);
                }
            }
        }
        for dose in ledger.components() {
            let limit = tables.components.get(&dose.id).and_then(|it| it.limit_percent.as_ref());
            let percents = [(Kind::Component, Some(dose.percent)), (Kind::ComponentLimit, limit.map(|it| it.0))];
            for (kind, percent) in percents.into_iter().filter_map(|(kind, it)| Some((kind, it?))) {
                let key = Key::each(kind, &*dose.id);
                self.add(key, Part::Whole, None, Amount::SmallShare(percent), None, &dose.place);
            }
        }
    }
}
