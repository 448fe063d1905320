//! The additives of a recipe that change its arithmetic: acids, liquids in place of water, fats stirred in later.
//!
//! Layer 2. Part of the check in `validate.rs`.

use std::sync::Arc;

use super::raw::RawAdditive;
use super::raw_pieces::RawDispersal;
use super::validate::Check;
use super::{AcidShare, Disperses, DispersingLiquid, Extra, LateFat, LiquidShare, Rate, RawRecipe};
use crate::finding::{Finding, nearest};
use crate::reader::NodeValue;
use crate::show::the;
use crate::source::{Located, Place};
use crate::tables::{Additive, AdditiveKind, BlendPart, Effect, GoesInto, ScentFacts};
use crate::units::{Mass, MolarMass, Percent};

/// The row of additives.toml that things are dispersed in.
const GLYCEROL: &str = "glycerol";

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
                AdditiveKind::Acid { molar_mass, acidic_hydrogens, strength, ref salt } => {
                    if matches!(rate.value, Rate::OfWater(_)) {
                        self.findings.push(Finding::acid_of_water(place.clone(), &item.value));
                    }
                    let stated = typed.strength_percent.as_ref().map(|it| Percent::percent(it.value));
                    let Some(strength) = stated.or(strength) else {
                        self.findings.push(Finding::strength_not_stated(item.place.clone(), &item.value));
                        continue;
                    };
                    let (id, name, rate) = (additive.id.clone(), additive.name.clone(), rate.value);
                    let salt = salt.clone();
                    additives.acids.push(AcidShare { id, name, molar_mass, acidic_hydrogens, strength, salt, rate });
                    additives.acid_places.push(place);
                }
                // Stirred into cooked soap, it is no part of the lye.
                AdditiveKind::Liquid { .. } if additive.goes_into == GoesInto::Cooked => {
                    self.refuse_strength(typed, &item.value);
                    additives.extras.extend(self.extras(additive, typed, rate));
                }
                AdditiveKind::Liquid { water, ref fat, ref acid, sugar } => {
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
                    let acid = acid.as_ref().and_then(|(percent, id)| self.acid_in(*percent, id, &item.place));
                    let rate = rate.value;
                    additives.liquids.push(LiquidShare { id, name, water, fat, acid, sugar, rate, effects });
                    additives.liquid_places.push(place);
                }
                AdditiveKind::Extra | AdditiveKind::Blend(_) => {
                    self.refuse_strength(typed, &item.value);
                    additives.extras.extend(self.extras(additive, typed, rate));
                }
            }
        }
        self.refuse_oils_twice(&additives.extras);
        if let (Some(late), false) =
            (additives.extras.iter().find(|it| it.additive.goes_into == GoesInto::Cooked), raw.layers.is_empty())
        {
            self.findings.push(Finding::after_with_layers(late.place.clone(), &late.additive.name, raw.part_name()));
        }
        additives
    }

    /// The additives of a layer: only what leaves the lye as it is, since the lye is made for the whole batch.
    ///
    /// - `part`: what a layer is called in this recipe.
    pub(super) fn layer_extras(&mut self, layer: &[RawAdditive], part: &str) -> Vec<Extra> {
        let mut extras = Vec::new();
        self.refuse_twice(layer);
        for typed in layer {
            let Some((additive, item, rate)) = self.additive(typed) else { continue };
            self.refuse_strength(typed, &item.value);
            let leaves_the_lye = matches!(additive.kind, AdditiveKind::Extra | AdditiveKind::Blend(_));
            if additive.goes_into == GoesInto::Cooked {
                self.findings.push(Finding::after_with_layers(rate.place.clone(), &item.value, part));
            } else if leaves_the_lye && additive.goes_into != GoesInto::Water {
                extras.extend(self.extras(additive, typed, rate));
            } else {
                self.findings.push(Finding::changes_the_lye(item.place.clone(), &item.value));
            }
        }
        self.refuse_oils_twice(&extras);
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
        if let (Some(dispersal), AdditiveKind::Acid { .. } | AdditiveKind::Liquid { .. }) =
            (&typed.dispersed_in, &additive.kind)
        {
            self.findings.push(Finding::dispersed_for_the_lye(dispersal.item.place.clone(), &item.value));
        }
        let mut additive = Arc::clone(additive);
        if let Some(typed) = &typed.goes_into {
            match GoesInto::ALL.into_iter().find(|(name, _)| *name == typed.value) {
                Some((_, goes_into))
                    if matches!(additive.kind, AdditiveKind::Extra | AdditiveKind::Blend(_))
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

    /// An additive that leaves the lye as it is, and after it what it is dispersed in; of a blend each of its oils, by its
    /// share.
    fn extras(&mut self, additive: Arc<Additive>, typed: &RawAdditive, rate: &Located<Rate>) -> Vec<Extra> {
        let place = rate.place.clone();
        // What is dissolved in the water may go by it: a brine.
        if matches!(rate.value, Rate::OfWater(_)) && additive.goes_into != GoesInto::Water {
            self.findings.push(Finding::acid_of_water(place, &additive.id));
            return Vec::new();
        }
        let AdditiveKind::Blend(parts) = &additive.kind else {
            return self.extra(additive, typed, rate);
        };
        if let Some(typed) = &typed.dispersed_in {
            self.findings.push(Finding::fact_of_blend(typed.item.place.clone(), "in", &additive.id));
        }
        for (key, stated) in [("limit", &typed.limit_percent), ("vanillin", &typed.vanillin_percent)] {
            if let Some(stated) = stated {
                self.findings.push(Finding::fact_of_blend(stated.place.clone(), key, &additive.id));
            }
        }
        let of_part = |part: &BlendPart| {
            // They go in together.
            let mut oil = Arc::clone(&part.oil);
            Arc::make_mut(&mut oil).goes_into = additive.goes_into;
            Extra {
                rate: rate.value.part(part.fraction),
                limit_percent: oil.facts.limit_percent.as_ref().map(|it| it.0),
                vanillin_percent: oil.facts.vanillin_percent.as_ref().map(|it| it.0),
                blend: Some(Arc::clone(&additive)),
                is_dispersed: false,
                disperses: None,
                place: place.clone(),
                additive: oil,
            }
        };
        parts.iter().map(of_part).collect()
    }

    fn extra(&mut self, additive: Arc<Additive>, typed: &RawAdditive, rate: &Located<Rate>) -> Vec<Extra> {
        let facts = &additive.facts;
        let stated = typed.limit_percent.as_ref().map(|it| it.value);
        let limits = stated.into_iter().chain(facts.limit_percent.as_ref().map(|it| it.0));
        let limit_percent = limits.min_by(f64::total_cmp);
        if let (Some(vanillin), None) = (&typed.vanillin_percent, additive.scent) {
            self.findings.push(Finding::vanillin_of_no_scent(vanillin.place.clone(), &additive.id));
        }
        let stated = typed.vanillin_percent.as_ref().map(|it| it.value);
        let vanillin_percent = stated.or(facts.vanillin_percent.as_ref().map(|it| it.0));
        let liquid = typed.dispersed_in.as_ref().and_then(|it| self.dispersing_liquid(it, &additive, rate));
        let (is_dispersed, place) = (liquid.is_some(), rate.place.clone());
        let extra = Extra {
            additive,
            rate: rate.value,
            limit_percent,
            vanillin_percent,
            blend: None,
            place,
            is_dispersed,
            disperses: None,
        };
        std::iter::once(extra).chain(liquid).collect()
    }

    /// The same oil in two blends of one list, or in one and on its own: a sentence could not say which of the two it means.
    fn refuse_oils_twice(&mut self, extras: &[Extra]) {
        for (idx, extra) in extras.iter().enumerate() {
            let before = extras[..idx].iter().find(|it| it.additive.id == extra.additive.id);
            if before.is_some_and(|it| it.blend.is_some() || extra.blend.is_some()) {
                self.findings.push(Finding::oil_twice(extra.place.clone(), &extra.additive.id));
            }
        }
    }

    /// The liquid that an additive is dispersed in, as an additive of its own: so many times its mass.
    fn dispersing_liquid(&mut self, typed: &RawDispersal, additive: &Additive, rate: &Located<Rate>) -> Option<Extra> {
        let (id, place) = (typed.item.value.as_str(), &typed.item.place);
        if additive.goes_into == GoesInto::Water {
            self.findings.push(Finding::dispersed_for_the_lye(place.clone(), &additive.id));
            return None;
        }
        let (liquid_name, liquid, solid_density) = match (id, self.tables.fats.get(id)) {
            ("water", _) => (Arc::from("water"), DispersingLiquid::Water, None),
            (_, Some(fat)) => (fat.name.clone(), DispersingLiquid::Fat(fat.clone()), self.tables.density_of(fat)),
            (GLYCEROL, _) => {
                let row = self.tables.additives.get(GLYCEROL)?;
                (row.name.clone(), DispersingLiquid::Glycerol, row.solid_density)
            }
            _ => {
                let known = self.tables.fats.keys().map(String::as_str).chain(["water", GLYCEROL]);
                self.findings.push(Finding::unknown_dispersing_liquid(place.clone(), id, nearest(id, known)));
                return None;
            }
        };
        let grams_per_millilitre = additive.bulk_density.map_or(0.0, |it| it.to_grams_per_millilitre());
        // A spoon measures the powder and not what it is dispersed in.
        let rate = match rate.value {
            Rate::OfFats(fraction) => Rate::OfFats(fraction * typed.times),
            Rate::Fixed(mass) => Rate::Fixed(mass * typed.times),
            Rate::SpoonsOfFats(millilitres) => Rate::OfFats(millilitres * grams_per_millilitre * typed.times),
            Rate::FixedSpoons(volume) => {
                Rate::Fixed(Mass::grams(volume.to_millilitres() * grams_per_millilitre * typed.times))
            }
            Rate::OfWater(_) => return None,
        };
        // As in "sunflower oil, high oleic".
        let comma = if liquid_name.contains(',') { "," } else { "" };
        let row = Additive {
            id: format!("{id}-for-{}", additive.id).into(),
            name: format!("{liquid_name}{comma} to disperse {}", the(&additive.name)).into(),
            kind: AdditiveKind::Extra,
            scent: None,
            bulk_density: None,
            solid_density,
            usual_rate_percent: None,
            highest_rate_percent: None,
            dissolves: None,
            dissolves_in_lye: None,
            colour: None,
            facts: ScentFacts::default(),
            goes_into: additive.goes_into,
            effects: Vec::new(),
            inci: None,
            note: None,
        };
        let disperses = Some(Disperses { liquid_name, liquid });
        let (limit_percent, vanillin_percent) = (None, None);
        let additive = Arc::new(row);
        Some(Extra {
            additive,
            rate,
            limit_percent,
            vanillin_percent,
            blend: None,
            place: place.clone(),
            is_dispersed: false,
            disperses,
        })
    }

    /// The acid that a liquid's row names.
    fn acid_in(&mut self, percent: Percent, id: &str, place: &Place) -> Option<(Percent, MolarMass, f64)> {
        match self.tables.additives.get(id).map(|it| &it.kind) {
            Some(&AdditiveKind::Acid { molar_mass, acidic_hydrogens, .. }) => {
                Some((percent, molar_mass, acidic_hydrogens))
            }
            _ => {
                if !self.tables.is_refused("additives.toml", id) {
                    let acids =
                        self.tables.additives.values().filter(|it| matches!(it.kind, AdditiveKind::Acid { .. }));
                    self.findings.push(Finding::unknown_additive(
                        place.clone(),
                        id,
                        nearest(id, acids.map(|it| &*it.id)),
                    ));
                }
                None
            }
        }
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
            self.findings.push(Finding::late_fats_with_layers(first.key.place.clone(), raw.part_name()));
        }
        late_fats
    }
}
