//! What happens to the soap after the blending: water that it loses in the pot, and the water that it is diluted with.
//!
//! Layer 2. `[pot]` and `[dilute]` of a recipe file. Neither names a row of a table, so that what is read here is what is
//! trusted.

use super::RawRecipe;
use super::validate::Check;
use crate::finding::Finding;
use crate::reader::{Node, Reader};
use crate::source::{Located, Place};
use crate::units::{Density, Percent};

/// `[pot]`: what the pot takes from a soap that is cooked.
#[derive(Clone, Debug)]
pub struct Pot {
    /// `water-lost`: of all the water that the alkali goes into, how much leaves as steam.
    pub water_lost: Percent,
    /// Where that stands.
    pub place: Place,
}

/// `[dilute]`: the liquid that a paste is made into.
#[derive(Clone, Debug)]
pub struct Dilute {
    /// `soap`: soap without any water, percent of the finished liquid.
    pub soap: Percent,
    /// `preservative`: percent of the finished liquid.
    pub preservative: Option<Percent>,
    /// `density`: of the finished liquid, g/mL, as somebody weighed it.
    pub density: Option<Density>,
    /// Where `soap` stands.
    pub place: Place,
    /// Where `preservative` stands, or else `soap`.
    pub preservative_place: Place,
}

/// `[pot]`, unless something is wrong with it.
pub(super) fn read_pot(node: &Node, findings: &mut Vec<Finding>) -> Option<Pot> {
    let mut reader = Reader::new(node, "the pot");
    // With nine tenths of its water gone no soap could be stirred.
    let lost = reader.number_between("water-lost", 0.0, 90.0);
    let lost = reader.require("water-lost", lost, "water-lost = 8");
    findings.extend(reader.finish());
    lost.map(|Located { value, place }| Pot { water_lost: Percent::percent(value), place })
}

/// `[dilute]`, unless something is wrong with it.
pub(super) fn read_dilute(node: &Node, findings: &mut Vec<Finding>) -> Option<Dilute> {
    let mut reader = Reader::new(node, "the dilution");
    let soap = reader.number_between("soap", 0.5, 95.0);
    let soap = reader.require("soap", soap, "soap = 25");
    let preservative = reader.number_between("preservative", 0.01, 10.0);
    // Water with much soap, glycerol or salt in it; a liquid that is further from water was not weighed right.
    let density = reader.number_between("density", 0.95, 1.2);
    findings.extend(reader.finish());
    let Located { value: soap, place } = soap?;
    Some(Dilute {
        soap: Percent::percent(soap),
        preservative_place: preservative.as_ref().map_or_else(|| place.clone(), |it| it.place.clone()),
        preservative: preservative.map(|it| Percent::percent(it.value)),
        density: density.map(|it| Density::grams_per_millilitre(it.value)),
        place,
    })
}

impl Check<'_> {
    /// Soap that is divided into layers goes into its mould as it was blended.
    pub(super) fn nothing_after_with_layers(&mut self, raw: &RawRecipe) {
        if raw.layers.is_empty() {
            return;
        }
        let pot = raw.pot.as_ref().map(|it| (&it.place, "[pot]"));
        let dilute = raw.dilute.as_ref().map(|it| (&it.place, "[dilute]"));
        for (place, heading) in pot.into_iter().chain(dilute) {
            self.findings.push(Finding::after_with_layers(place.clone(), heading, raw.part_name()));
        }
    }
}
