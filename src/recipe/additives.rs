//! The additives of a recipe that change its arithmetic: acids, liquids in place of water, fats stirred in later.
//!
//! Layer 2. Part of the check in `validate.rs`.

use super::validate::Check;
use super::{AcidShare, LateFat, LiquidShare, Rate, RawRecipe};
use crate::finding::{Finding, nearest};
use crate::reader::NodeValue;
use crate::source::Place;
use crate::tables::AdditiveKind;

/// The additives of a recipe by what they do, with the places of their rates.
#[derive(Default)]
pub(super) struct Additives {
    pub(super) acids: Vec<AcidShare>,
    pub(super) acid_places: Vec<Place>,
    pub(super) liquids: Vec<LiquidShare>,
    pub(super) liquid_places: Vec<Place>,
}

impl Check<'_> {
    pub(super) fn additives(&mut self, raw: &RawRecipe) -> Additives {
        let mut additives = Additives::default();
        for typed in &raw.additives {
            let (Some(item), Some(rate)) = (&typed.item, &typed.rate) else { continue };
            let Some(additive) = self.tables.additives.get(&item.value) else {
                let near = nearest(&item.value, self.tables.additives.keys().map(String::as_str));
                self.findings.push(Finding::unknown_additive(item.place.clone(), &item.value, near));
                continue;
            };
            if let Rate::Fixed(mass) = rate.value {
                let _ = self.bench_mass("rate", &rate.place, mass);
            }
            let (id, name) = (additive.id.clone(), additive.name.clone());
            match additive.kind {
                AdditiveKind::Acid { molar_mass, acidic_hydrogens, strength } => {
                    if matches!(rate.value, Rate::OfWater(_)) {
                        self.findings.push(Finding::acid_of_water(rate.place.clone(), &item.value));
                    }
                    let stated = typed.strength_percent.as_ref().map(|it| crate::units::Percent::percent(it.value));
                    let Some(strength) = stated.or(strength) else {
                        self.findings.push(Finding::strength_not_stated(item.place.clone(), &item.value));
                        continue;
                    };
                    let rate_typed = rate.value;
                    additives.acids.push(AcidShare {
                        id,
                        name,
                        molar_mass,
                        acidic_hydrogens,
                        strength,
                        rate: rate_typed,
                    });
                    additives.acid_places.push(rate.place.clone());
                }
                AdditiveKind::Liquid { water } => {
                    if let Some(strength) = &typed.strength_percent {
                        self.findings.push(Finding::strength_of_liquid(strength.place.clone(), &item.value));
                    }
                    additives.liquids.push(LiquidShare { id, name, water, rate: rate.value });
                    additives.liquid_places.push(rate.place.clone());
                }
            }
        }
        additives
    }

    pub(super) fn late_fats(&mut self, raw: &RawRecipe) -> Vec<LateFat> {
        let mut late_fats = Vec::new();
        for entry in &raw.late_fats {
            let id = &entry.key.value;
            let fat = self.tables.fats.get(id);
            if fat.is_none() {
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
