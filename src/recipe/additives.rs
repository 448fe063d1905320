//! The additives of a recipe that change its arithmetic: acids, liquids in place of water, fats stirred in later.
//!
//! Layer 2. Part of the check in `validate.rs`.

use std::sync::Arc;

use super::raw::RawAdditive;
use super::validate::Check;
use super::{AcidShare, Extra, LateFat, LiquidShare, Rate, RawRecipe};
use crate::finding::{Finding, nearest};
use crate::reader::NodeValue;
use crate::source::{Located, Place};
use crate::tables::{Additive, AdditiveKind, Effect, GoesInto};
use crate::units::{Mass, Percent};

/// The additives of a recipe by what they do, with the places of their rates.
#[derive(Default)]
pub(super) struct Additives {
    pub(super) acids: Vec<AcidShare>,
    pub(super) acid_places: Vec<Place>,
    pub(super) liquids: Vec<LiquidShare>,
    pub(super) liquid_places: Vec<Place>,
    pub(super) extras: Vec<Extra>,
}

impl Check<'_> {
    pub(super) fn additives(&mut self, raw: &RawRecipe) -> Additives {
        let mut additives = Additives::default();
        self.refuse_twice(&raw.additives);
        for typed in &raw.additives {
            let Some((additive, item, rate)) = self.additive(typed) else { continue };
            let place = rate.place.clone();
            match additive.kind {
                AdditiveKind::Acid { molar_mass, acidic_hydrogens, strength } => {
                    if matches!(rate.value, Rate::OfWater(_)) {
                        self.findings.push(Finding::acid_of_water(place.clone(), &item.value));
                    }
                    let stated = typed.strength_percent.as_ref().map(|it| Percent::percent(it.value));
                    let Some(strength) = stated.or(strength) else {
                        self.findings.push(Finding::strength_not_stated(item.place.clone(), &item.value));
                        continue;
                    };
                    let (id, name, rate) = (additive.id.clone(), additive.name.clone(), rate.value);
                    additives.acids.push(AcidShare { id, name, molar_mass, acidic_hydrogens, strength, rate });
                    additives.acid_places.push(place);
                }
                // Stirred into cooked soap, it is no part of the lye.
                AdditiveKind::Liquid { .. } if additive.goes_into == GoesInto::Cooked => {
                    self.refuse_strength(typed, &item.value);
                    additives.extras.extend(self.extra(additive, typed, rate));
                }
                AdditiveKind::Liquid { water, ref fat } => {
                    self.refuse_strength(typed, &item.value);
                    if matches!(rate.value, Rate::OfWater(_)) && additive.effects.contains(&Effect::Solvent) {
                        self.findings.push(Finding::acid_of_water(place.clone(), &item.value));
                    }
                    let (id, name, effects) = (additive.id.clone(), additive.name.clone(), additive.effects.clone());
                    let fat = fat.as_ref().and_then(|(percent, id)| {
                        let row = self.tables.fats.get(id);
                        if row.is_none() && !self.tables.is_refused("fats.toml", id) {
                            let near = nearest(id, self.tables.fats.keys().map(String::as_str));
                            self.findings.push(Finding::unknown_fat(item.place.clone(), id, near));
                        }
                        Some((*percent, row?.clone()))
                    });
                    additives.liquids.push(LiquidShare { id, name, water, fat, rate: rate.value, effects });
                    additives.liquid_places.push(place);
                }
                AdditiveKind::Extra => {
                    self.refuse_strength(typed, &item.value);
                    additives.extras.extend(self.extra(additive, typed, rate));
                }
            }
        }
        if let (Some(late), false) =
            (additives.extras.iter().find(|it| it.additive.goes_into == GoesInto::Cooked), raw.layers.is_empty())
        {
            self.findings.push(Finding::after_with_layers(late.place.clone(), &late.additive.name));
        }
        additives
    }

    /// The additives of a layer: only what leaves the lye as it is, since the lye is made for the whole batch.
    pub(super) fn layer_extras(&mut self, layer: &[RawAdditive]) -> Vec<Extra> {
        let mut extras = Vec::new();
        self.refuse_twice(layer);
        for typed in layer {
            let Some((additive, item, rate)) = self.additive(typed) else { continue };
            self.refuse_strength(typed, &item.value);
            if additive.goes_into == GoesInto::Cooked {
                self.findings.push(Finding::after_with_layers(rate.place.clone(), &item.value));
            } else if additive.kind == AdditiveKind::Extra && additive.goes_into != GoesInto::Water {
                extras.extend(self.extra(additive, typed, rate));
            } else {
                self.findings.push(Finding::changes_the_lye(item.place.clone(), &item.value));
            }
        }
        extras
    }

    /// The row, the item and the rate of what was typed.
    fn additive<'a>(
        &mut self,
        typed: &'a RawAdditive,
    ) -> Option<(Arc<Additive>, &'a Located<String>, &'a Located<Rate>)> {
        let (item, rate) = (typed.item.as_ref()?, typed.rate.as_ref()?);
        let Some(additive) = self.tables.additives.get(&item.value) else {
            if self.tables.is_refused("additives.toml", &item.value) {
                self.is_incomplete = true;
                return None;
            }
            let near = nearest(&item.value, self.tables.additives.keys().map(String::as_str));
            self.findings.push(Finding::unknown_additive(item.place.clone(), &item.value, near));
            return None;
        };
        match rate.value {
            Rate::Fixed(mass) => {
                let _ = self.bench_mass("rate", &rate.place, mass);
            }
            Rate::SpoonsOfFats(_) | Rate::FixedSpoons(_)
                if additive.kind != AdditiveKind::Extra || additive.bulk_density.is_none() =>
            {
                self.findings.push(Finding::no_bulk_density(rate.place.clone(), &item.value));
                return None;
            }
            Rate::FixedSpoons(volume) => {
                let mass =
                    additive.bulk_density.map(|it| Mass::grams(volume.to_millilitres() * it.to_grams_per_millilitre()));
                let _ = mass.and_then(|it| self.bench_mass("rate", &rate.place, it));
            }
            _ => {}
        }
        let mut additive = Arc::clone(additive);
        if let Some(typed) = &typed.goes_into {
            match GoesInto::ALL.into_iter().find(|(name, _)| *name == typed.value) {
                Some((_, goes_into))
                    if additive.kind == AdditiveKind::Extra
                        || goes_into == GoesInto::Cooked && matches!(additive.kind, AdditiveKind::Liquid { .. }) =>
                {
                    Arc::make_mut(&mut additive).goes_into = goes_into;
                }
                Some(_) => self.findings.push(Finding::goes_into_of_liquid(typed.place.clone(), &item.value)),
                None => {
                    let known = GoesInto::ALL.map(|(name, _)| name);
                    let place = typed.place.clone();
                    self.findings.push(Finding::unknown_choice(place, "goes-into", &typed.value, &known));
                }
            }
        }
        Some((additive, item, rate))
    }

    fn extra(&mut self, additive: Arc<Additive>, typed: &RawAdditive, rate: &Located<Rate>) -> Option<Extra> {
        let place = rate.place.clone();
        if matches!(rate.value, Rate::OfWater(_)) {
            self.findings.push(Finding::acid_of_water(place, &additive.id));
            return None;
        }
        let limit_percent = typed.limit_percent.as_ref().map(|it| it.value);
        if let (Some(vanillin), None) = (&typed.vanillin_percent, additive.scent) {
            self.findings.push(Finding::vanillin_of_no_scent(vanillin.place.clone(), &additive.id));
        }
        let vanillin_percent = typed.vanillin_percent.as_ref().map(|it| it.value);
        Some(Extra { additive, rate: rate.value, limit_percent, vanillin_percent, place })
    }

    /// The same thing twice in one list: a sentence could not say which of the two it means.
    fn refuse_twice(&mut self, additives: &[RawAdditive]) {
        let mut seen: Vec<&str> = Vec::new();
        for item in additives.iter().filter_map(|it| it.item.as_ref()) {
            if seen.contains(&item.value.as_str()) {
                self.findings.push(Finding::additive_twice(item.place.clone(), &item.value));
            }
            seen.push(&item.value);
        }
    }

    fn refuse_strength(&mut self, typed: &RawAdditive, name: &str) {
        if let Some(strength) = &typed.strength_percent {
            self.findings.push(Finding::strength_of_liquid(strength.place.clone(), name));
        }
    }

    pub(super) fn late_fats(&mut self, raw: &RawRecipe) -> Vec<LateFat> {
        let mut late_fats = Vec::new();
        for entry in &raw.late_fats {
            let id = &entry.key.value;
            let fat = self.tables.fats.get(id);
            if fat.is_none() && self.tables.is_refused("fats.toml", id) {
                self.is_incomplete = true;
            } else if fat.is_none() {
                let near = nearest(id, self.tables.fats.keys().map(String::as_str));
                self.findings.push(Finding::unknown_fat(entry.key.place.clone(), id, near));
            }
            let place = entry.node.place.clone();
            let wanted = "a rate such as \"3 %\" (of the fats) or \"20 g\"";
            let rate = match &entry.node.value {
                NodeValue::Text(text) => match Rate::parse(text) {
                    Ok(Rate::OfWater(_)) => {
                        self.findings.push(Finding::acid_of_water(place, id));
                        None
                    }
                    Ok(Rate::SpoonsOfFats(_) | Rate::FixedSpoons(_)) => {
                        self.findings.push(Finding::no_bulk_density(place, id));
                        None
                    }
                    Ok(Rate::Fixed(mass)) => self.bench_mass(id, &place, mass).map(Rate::Fixed),
                    Ok(rate) => Some(rate),
                    Err(error) => {
                        self.findings.push(Finding::not_a_quantity(place, id, wanted, &error));
                        None
                    }
                },
                other => {
                    self.findings.push(Finding::wrong_type(place, id, wanted, other.kind()));
                    None
                }
            };
            late_fats.extend(fat.zip(rate).map(|(fat, rate)| LateFat { fat: fat.clone(), rate }));
        }
        if let (Some(first), false) = (raw.late_fats.first(), raw.layers.is_empty()) {
            self.findings.push(Finding::late_fats_with_layers(first.key.place.clone()));
        }
        late_fats
    }
}
