//! # What it finds
//!
//! A fat, an alkali, an additive or the water that the scale would show as nothing.
//!
//! # Why it matters
//!
//! The page would tell the student to weigh out 0 g of it.
//!
//! # Example
//!
//! `batch = "30 g"` with `castor = 1`, on a scale that shows whole grams
//!
//! # Source
//!
//! Follows from the scale stated in book.toml.

use super::{Subject, extras_of};
use crate::finding::Finding;
use crate::units::Mass;

pub(super) fn check(subject: &Subject<'_>, findings: &mut Vec<Finding>) {
    let places = &subject.recipe.places;
    for weighed in subject.weighed {
        let scale = weighed.scale;
        let division = format!("{:.*} {}", scale.decimals(), scale.division, scale.unit.symbol());
        let fats = weighed.fats.iter().zip(&subject.batch.fats).zip(&places.fats);
        for ((reading, fat), place) in fats {
            if *reading == 0 {
                findings.push(Finding::amount_below_scale(place.clone(), &fat.name, &division));
            }
        }
        for (reading, alkali) in weighed.alkalis.iter().zip(&subject.batch.alkalis) {
            if *reading == 0 {
                let place = places.alkali.clone();
                findings.push(Finding::amount_below_scale(place, alkali.kind.formula(), &division));
            }
        }
        let acids = subject.batch.acids.iter().map(|it| it.name.as_str()).zip(&places.acids).zip(&weighed.acids);
        let liquids =
            subject.batch.liquids.iter().map(|it| it.name.as_str()).zip(&places.liquids).zip(&weighed.liquids);
        let late_fats =
            subject.batch.late_fats.iter().map(|it| it.name.as_str()).zip(&places.late_fats).zip(&weighed.late_fats);
        for ((name, place), reading) in acids.chain(liquids).chain(late_fats) {
            if *reading == 0 {
                findings.push(Finding::amount_below_scale(place.clone(), name, &division));
            }
        }
        // What a spoon can measure need not show on the scale.
        let of_layers = weighed.layers.iter().flat_map(|it| &it.extras);
        for ((_, extra, amount), reading) in extras_of(subject).zip(weighed.extras.iter().chain(of_layers)) {
            if *reading == 0 && amount.volume.is_none() {
                findings.push(Finding::amount_below_scale(extra.place.clone(), &amount.name, &division));
            }
        }
        // A layer whose fats or lye cannot be weighed; one without room for batter has a finding of its own.
        for (layer_idx, layer) in subject.recipe.layers.iter().enumerate() {
            let weighed = &weighed.layers[layer_idx];
            let (place, name) = (&layer.size_place, &layer.name);
            let parts = match weighed.batter {
                Some(batter) => vec![("batter", batter)],
                None => vec![("fats", weighed.fats), ("lye solution", weighed.solution)],
            };
            for (part, reading) in parts {
                if reading == 0 && !subject.batch.layers[layer_idx].has_no_room {
                    let what = format!("{part} of the layer {name}");
                    findings.push(Finding::amount_below_scale(place.clone(), &what, &division));
                }
            }
        }
        // No water at all is right where liquids and acids bring it.
        if weighed.water == 0 && subject.batch.water_in_others == Mass::ZERO {
            findings.push(Finding::amount_below_scale(places.water.clone(), "water", &division));
        }
    }
}
