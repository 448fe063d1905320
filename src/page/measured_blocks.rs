//! The blocks about what was measured of a soap: a paste that is diluted, and a sample that is titrated.
//!
//! Layer 6. Part of `blocks.rs`.

use super::measured::{Diluted, Neutralise, Titrated};
use super::printer::Printer;
use super::render::Renderer;
use super::view::{AcidDose, dilution_view, titration_view};
use crate::batch::{Titration, acid_for, dilution, free_alkali};
use crate::finding::Finding;
use crate::show::division;
use crate::source::Place;
use crate::tables::{AdditiveKind, AlkaliKind, FatKind};
use crate::units::{Mass, Percent};

impl<'a> Renderer<'a> {
    /// A paste made into a liquid: by its recipe, or as it was weighed.
    pub(super) fn diluted(&mut self, diluted: &Diluted, print: Printer<'a>, place: &Place) -> Option<String> {
        let Printer { ledger, tables, .. } = print;
        let Some(own) = &ledger.dilution else {
            return self.refuse(Finding::no_dilution(place.clone(), &ledger.recipe.id));
        };
        let weighed = match &diluted.paste {
            None => None,
            Some(paste) => {
                let (recipe, batch) = (&ledger.recipe, &ledger.batch);
                let (least, most) = (batch.poured() - batch.water, batch.poured());
                // A scale that is off by a division is no other batch.
                if paste.value < least || paste.value > most * 1.01 {
                    let grams = [paste.value, least, most].map(Mass::to_grams);
                    let (place, units) = (paste.place.clone(), ledger.scales.units);
                    let finding = Finding::paste_mass_impossible(place, grams[0], (grams[1], grams[2]), units);
                    return self.refuse(finding);
                }
                dilution(recipe, batch, tables, Some(paste.value))
            }
        };
        if let Some(it) = weighed.filter(|it| it.is_too_weak) {
            let most = it.soap_in_paste_percent();
            let wanted = ledger.recipe.dilute.as_ref().map_or(0.0, |it| it.soap.to_percent());
            return self.refuse(Finding::dilution_stronger_than_paste(place.clone(), wanted, most));
        }
        let acid = match &diluted.neutralise {
            None => None,
            Some(neutralise) => {
                let it = weighed.as_ref().unwrap_or(own);
                let acid = self.acid(neutralise, it.paste, print)?;
                let solution = acid.solution(tables.limits.neutralising_acid);
                if solution > it.water {
                    let grams = [solution, it.water].map(Mass::to_grams);
                    let (place, units) = (neutralise.acid.place.clone(), ledger.scales.units);
                    return self.refuse(Finding::acid_over_water(place, &acid.name, grams, units));
                }
                Some(acid)
            }
        };
        self.template("dilution", &dilution_view(print, weighed, acid.as_ref()), place)
    }

    /// The acid for a free alkali: an acid of the table by its hydrogens, a free fatty acid by its saponification value.
    fn acid(&mut self, neutralise: &Neutralise, paste: Mass, print: Printer<'a>) -> Option<AcidDose> {
        let Printer { ledger, tables, .. } = print;
        let (id, stated) = (&neutralise.acid, neutralise.strength_percent.as_ref());
        let free = &neutralise.free_koh_percent;
        let most = tables.limits.believable_free_alkali_percent;
        if free.value > most {
            self.findings.push(Finding::free_alkali_too_high(free.place.clone(), free.value, most));
            return None;
        }
        let additive = tables.additives.get(&id.value);
        let fat = tables.fats.get(&id.value).filter(|it| it.kind == FatKind::FattyAcid);
        let (name, koh_per_gram, strength) = match (additive, fat) {
            (Some(additive), _) if matches!(additive.kind, AdditiveKind::Acid { .. }) => {
                let AdditiveKind::Acid { molar_mass, acidic_hydrogens, strength, .. } = additive.kind else {
                    return None;
                };
                let Some(strength) = stated.map(|it| Percent::percent(it.value)).or(strength) else {
                    self.findings.push(Finding::strength_not_stated(id.place.clone(), &id.value));
                    return None;
                };
                let koh = tables.alkali(AlkaliKind::KOH).molar_mass.to_grams_per_mole();
                let pure = acidic_hydrogens * koh / molar_mass.to_grams_per_mole();
                (additive.name.to_string(), pure * strength.to_fraction(), Some(strength))
            }
            (_, Some(_)) if stated.is_some() => {
                let place = stated.map_or(&id.place, |it| &it.place).clone();
                self.findings.push(Finding::strength_of_liquid(place, &id.value));
                return None;
            }
            (_, Some(fat)) => (fat.name.to_string(), fat.sap_used.to_mg_koh_per_g() / 1000.0, None),
            _ => {
                let acids = tables.additives.values().filter(|it| matches!(it.kind, AdditiveKind::Acid { .. }));
                let fats = tables.fats.values().filter(|it| it.kind == FatKind::FattyAcid);
                let known: Vec<&str> = acids.map(|it| &*it.id).chain(fats.map(|it| &*it.id)).collect();
                self.findings.push(Finding::unknown_choice(id.place.clone(), "neutralise-with", &id.value, &known));
                return None;
            }
        };
        let mass = acid_for(paste, Percent::percent(free.value), koh_per_gram);
        let scales = ledger.scales.units.scales().iter().map(|unit| ledger.scales.of(*unit).for_small(mass));
        if let Some(scale) = scales.into_iter().find(|it| it.below(mass) == 0) {
            let division = division(scale).replace('\u{a0}', " ");
            self.findings.push(Finding::amount_below_scale(id.place.clone(), &name, &division));
            return None;
        }
        Some(AcidDose { name, free_koh_percent: free.value, mass, strength })
    }

    /// Free alkali by titration.
    pub(super) fn titrated(&mut self, titrated: &Titrated, print: Printer<'a>, place: &Place) -> Option<String> {
        let Printer { ledger, tables, .. } = print;
        let alkali = match (titrated.alkali, &ledger.recipe.alkalis[..]) {
            (Some(alkali), _) => alkali,
            (None, [only]) => only.kind,
            // Of two it would be told as one of them, and a container of the other would seem to be something else.
            _ => return self.refuse(Finding::missing_key(place.clone(), "alkali", "alkali = \"NaOH\"")),
        };
        let most = tables.limits.largest_titrated_sample;
        if titrated.sample.value > most {
            let grams = [titrated.sample.value, most].map(Mass::to_grams);
            let place = titrated.sample.place.clone();
            return self.refuse(Finding::sample_too_large(place, grams, ledger.scales.units));
        }
        let read = Titration {
            sample: titrated.sample.value,
            acid: titrated.acid.value,
            moles_per_litre: titrated.moles_per_litre,
            acidic_hydrogens: titrated.acidic_hydrogens,
        };
        let scale = ledger.scales.of(ledger.scales.units.main()).for_small(read.sample);
        let found = free_alkali(&read, tables.alkali(alkali).molar_mass, tables.limits.burette_division, scale);
        if found.least_percent > 100.0 {
            let (grams, units) = (read.sample.to_grams(), ledger.scales.units);
            return self.refuse(Finding::titration_over_all(titrated.place(), found.percent, grams, units));
        }
        self.template("titration", &titration_view(print, titrated.of, alkali, &read, &found), place)
    }
}
