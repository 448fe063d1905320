//! # What it finds
//!
//! A fat, an alkali or the water that the scale would show as nothing.
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

use super::Subject;
use crate::finding::Finding;

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
        if weighed.water == 0 {
            findings.push(Finding::amount_below_scale(places.water.clone(), "water", &division));
        }
    }
}
