//! The figures of what happens to a soap after the blending: in the pot, and when it is diluted.
//!
//! Layer 4. Part of the list that `figures.rs` begins. Nothing of it is on the card: it is weighed on another day.

use super::figures::List;
use super::{Amount, Kind, Ledger};
use crate::batch::{after_cooking, water_lost};
use crate::units::{Mass, Scale};

impl List<'_> {
    pub(super) fn pot(&mut self) {
        let Ledger { recipe, batch, .. } = self.ledger;
        let Some(pot) = &recipe.pot else { return };
        for (kind, amount) in [
            (Kind::PotLoss, Amount::Mass(water_lost(recipe, batch))),
            (Kind::PotLossPercent, Amount::Share(pot.water_lost.to_percent())),
            (Kind::PotAfter, Amount::Mass(after_cooking(recipe, batch))),
        ] {
            self.whole(kind, amount, &pot.place);
        }
    }

    /// Paste, water and preservative as the scale shows them, and the liquid as their sum.
    pub(super) fn dilution(&mut self) {
        let Ledger { recipe, dilution, scales, .. } = self.ledger;
        let (Some(dilute), Some(dilution)) = (&recipe.dilute, dilution) else { return };
        let weighed = |exact: Mass, read: &dyn Fn(Scale) -> u64| Amount::Weighed {
            exact,
            grams: read(scales.grams),
            ounces: read(scales.ounces),
        };
        let (paste, water, preservative) = (dilution.paste, dilution.water, dilution.preservative);
        // Never more of a preservative than is stated: its supplier may allow no more.
        let of_preservative = |scale: Scale| scale.for_small(preservative).below(preservative);
        let together = |scale: Scale| scale.nearest(paste) + scale.nearest(water) + of_preservative(scale);
        for (kind, amount) in [
            (Kind::DilutionPaste, Some(weighed(paste, &|it| it.nearest(paste)))),
            (Kind::DilutionWater, Some(weighed(water, &|it| it.nearest(water)))),
            (Kind::DilutionPreservative, dilute.preservative.map(|_| weighed(preservative, &of_preservative))),
            (Kind::DilutionLiquid, Some(weighed(paste + water + preservative, &together))),
            (Kind::DilutionSoap, Some(Amount::Mass(dilution.soap))),
            (Kind::DilutionSoapPercent, Some(Amount::Share(dilute.soap.to_percent()))),
            (Kind::DilutionPreservativePercent, dilute.preservative.map(|it| Amount::Share(it.to_percent()))),
            (Kind::DilutionSoapInPaste, Some(Amount::Share(dilution.soap_in_paste_percent()))),
            (Kind::DilutionWaterPerPaste, Some(Amount::Ratio(dilution.water_per_paste()))),
            (Kind::DilutionVolume, dilution.volume.map(Amount::Volume)),
        ] {
            if let Some(amount) = amount {
                let is_preservative = matches!(kind, Kind::DilutionPreservative | Kind::DilutionPreservativePercent);
                self.whole(kind, amount, if is_preservative { &dilute.preservative_place } else { &dilute.place });
            }
        }
    }
}
