//! # What it finds
//!
//! A fat, an alkali, the water, or an additive that no spoon can measure, in so small an amount that the scale would
//! show nothing.
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
//! Follows from the scale stated in book.toml, and the finer one for small amounts beside it.

use crate::finding::Finding;
use crate::ledger::{Figure, Key, Kind, Ledger, Part};
use crate::show::division;
use crate::tables::Tables;
use crate::units::Mass;

pub(super) fn check(ledger: &Ledger, _: &Tables, findings: &mut Vec<Finding>) {
    for weighed in ledger.shown() {
        let scale = weighed.scale;
        for figure in ledger.figures().iter().filter(|it| it.amount.reading(scale.unit) == Some(0)) {
            let Some(name) = name_if_wanted(ledger, figure) else { continue };
            if !has_spoons(ledger, figure) {
                let division = division(scale).replace('\u{a0}', " ");
                findings.push(Finding::amount_below_scale(figure.place.clone(), &name, &division));
            }
        }
    }
}

/// Whether a spoon can measure it too, so that it need not show on the scale.
pub(super) fn has_spoons(ledger: &Ledger, figure: &Figure) -> bool {
    let is_there = |kind: Kind| ledger.figure(&Key { kind, ..figure.key.clone() }).is_some();
    match figure.part {
        Part::Extra(_) => is_there(Kind::Spoons),
        Part::LayerExtra(..) => is_there(Kind::LayerSpoons),
        _ => false,
    }
}

/// What must not read nothing is called; `None` for what may.
fn name_if_wanted(ledger: &Ledger, figure: &Figure) -> Option<String> {
    let own = || figure.name.as_deref().map(str::to_owned);
    match (figure.part, figure.key.kind) {
        // No water at all is right where liquids and acids bring it.
        (Part::Water, _) => (ledger.batch.water_in_others == Mass::ZERO).then(|| "water".to_owned()),
        (Part::Stock, _) => Some("stock".to_owned()),
        // The stock may bring all of the water.
        (Part::FurtherWater, _) => None,
        (Part::Alkali(idx), _) => Some(ledger.batch.alkalis[idx].kind.formula().to_owned()),
        // A layer whose fats or lye cannot be weighed; one without room for batter has a finding of its own.
        (Part::Layer(layer_idx), _) if ledger.batch.layers[layer_idx].has_no_room => None,
        (Part::Layer(_), Kind::LayerFats) => Some(format!("fats of the layer {}", own()?)),
        (Part::Layer(_), Kind::LayerSolution) => Some(format!("lye solution of the layer {}", own()?)),
        (Part::Layer(_), Kind::LayerBatter) => Some(format!("batter of the layer {}", own()?)),
        (Part::Whole, Kind::DilutionPreservative) => Some("preservative".to_owned()),
        (Part::Layer(_) | Part::Whole | Part::LayerShared(..), _) => None,
        (
            Part::InfusionOil(_)
            | Part::InfusionPlant(_)
            | Part::Fat(_)
            | Part::LateFat(_)
            | Part::Acid(_)
            | Part::Liquid(_)
            | Part::Extra(_)
            | Part::LayerExtra(..),
            _,
        ) => own(),
    }
}
