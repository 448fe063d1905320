//! Plants that are steeped in a fat of the recipe: `[[infusions]]` as typed and checked.
//!
//! Layer 2. Part of `raw.rs` and `validate.rs`. What is strained off is the fat that the recipe has already; neither fats nor
//! lye change.

use std::sync::Arc;

use super::RawRecipe;
use super::validate::Check;
use crate::finding::{Finding, nearest};
use crate::reader::{Node, NodeValue, Reader};
use crate::source::{Located, Place};

/// What an infusion of a recipe file says.
#[derive(Clone, Debug)]
pub struct RawInfusion {
    /// `fat`: the id of one of the recipe's fats.
    pub fat: Option<Located<String>>,
    /// `plant`: what pages call it.
    pub plant: Option<Located<String>>,
    /// `oil-per-plant`: parts of oil to one of dry plant, by mass.
    pub oil_per_plant: Option<Located<f64>>,
}

/// A plant steeped in a fat.
#[derive(Clone, Debug)]
pub struct Infusion {
    /// The fat, by its place in the recipe.
    pub fat_idx: usize,
    /// What pages call the plant.
    pub plant: Arc<str>,
    /// Parts of oil to one of dry plant, by mass.
    pub oil_per_plant: f64,
    /// Where the parts stand.
    pub place: Place,
}

/// `[[infusions]]`
pub(super) fn read_infusions(nodes: &[Node], findings: &mut Vec<Finding>) -> Vec<RawInfusion> {
    let mut infusions = Vec::new();
    for node in nodes {
        let mut reader = Reader::new(node, "an infusion");
        let is_table = matches!(node.value, NodeValue::Table(_));
        let fat = reader.name("fat");
        let plant = reader.words("plant");
        let oil_per_plant = reader.number_between("oil-per-plant", 1.0, 1000.0);
        if is_table {
            let fat = reader.require("fat", fat, "fat = \"olive\"");
            let plant = reader.require("plant", plant, "plant = \"dried marigold petals\"");
            let oil_per_plant = reader.require("oil-per-plant", oil_per_plant, "oil-per-plant = 10");
            infusions.push(RawInfusion { fat, plant, oil_per_plant });
        }
        findings.extend(reader.finish());
    }
    infusions
}

impl Check<'_> {
    /// The infusions, each of another fat of the recipe.
    pub(super) fn infusions(&mut self, raw: &RawRecipe) -> Vec<Infusion> {
        let mut infusions: Vec<Infusion> = Vec::new();
        let most_kept = self.tables.limits.oil_kept_by_plant.1;
        for it in &raw.infusions {
            let (Some(fat), Some(plant), Some(oil_per_plant)) = (&it.fat, &it.plant, &it.oil_per_plant) else {
                continue;
            };
            let ids = || raw.fats.iter().map(|it| it.key.value.as_str());
            let Some(fat_idx) = ids().position(|it| it == fat.value) else {
                // Fats that could not be read may have it.
                if !raw.fats.is_empty() {
                    let near = nearest(&fat.value, ids());
                    self.findings.push(Finding::infusion_of_no_fat(fat.place.clone(), &fat.value, near));
                }
                continue;
            };
            if infusions.iter().any(|it| it.fat_idx == fat_idx) {
                self.findings.push(Finding::infused_twice(fat.place.clone(), &fat.value));
            }
            // From here on the plant keeps half of the oil or more.
            if oil_per_plant.value < 2.0 * most_kept {
                let (parts, place) = (oil_per_plant.value, oil_per_plant.place.clone());
                self.findings.push(Finding::infusion_too_dry(place, &plant.value, parts, most_kept));
            }
            let (plant, place) = (Arc::from(plant.value.as_str()), oil_per_plant.place.clone());
            infusions.push(Infusion { fat_idx, plant, oil_per_plant: oil_per_plant.value, place });
        }
        infusions
    }
}
