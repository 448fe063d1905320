//! Words about what happens to a soap after the blending: in the pot, diluted, titrated.
//!
//! Layer 0.

use super::{Finding, Step, mass_words};
use crate::show::{Units, as_typed, fixed};
use crate::source::Place;

impl Finding {
    /// A liquid that is stronger than the paste that it is made from.
    pub fn dilution_stronger_than_paste(place: Place, wanted_percent: f64, most_percent: f64) -> Finding {
        Finding::error(
            "dilution-stronger-than-paste",
            place,
            format!(
                "the liquid is to be {} % soap, but the paste itself is no more than {} %",
                as_typed(wanted_percent),
                fixed(most_percent, 1)
            ),
        )
        .label("no room for water")
        .help("ask for a weaker liquid, or make the paste with less water")
    }

    /// A liquid soap weaker or stronger than is usual.
    pub fn dilution_unusual(place: Place, percent: f64, (low, high): (f64, f64)) -> Finding {
        let message = format!(
            "the liquid is to be {} % soap; {} to {} % is usual (limits.toml)",
            as_typed(percent),
            as_typed(low),
            as_typed(high)
        );
        Finding::warning("dilution-unusual", place, message).label("outside common practice").help(
            "`soap` counts soap without any water, in percent of the finished liquid; a strong liquid sets to a jelly, \
             a weak one is thin",
        )
    }

    /// A liquid soap that is mostly soda soap.
    pub fn dilution_sets_to_jelly(place: Place, percent: f64, most_percent: f64) -> Finding {
        let message = format!(
            "NaOH does {} % of the saponification; above {} % a diluted soap sets to a jelly (limits.toml)",
            as_typed(percent),
            as_typed(most_percent)
        );
        Finding::warning("dilution-sets-to-jelly", place, message)
            .label("soda soap does not stay liquid")
            .help("make the paste with KOH, or remove [dilute]")
    }

    /// A liquid soap that nothing keeps.
    pub fn dilution_without_preservative(place: Place) -> Finding {
        Finding::warning(
            "dilution-without-preservative",
            place,
            "the liquid is mostly water and has no preservative; its alkalinity alone will not keep it".into(),
        )
        .label("will not keep")
        .help(
            "add  preservative = 1  with the percentage from your supplier's document, or acknowledge that it will \
               be used up at once",
        )
        .caution(
            Step::Cure,
            "Nothing keeps this liquid from spoiling: dilute only what will be used up within a week, keep it cool, \
             and pour it away when it smells, clouds or changes colour.",
        )
    }

    /// More or less preservative than is usual.
    pub fn preservative_unusual(place: Place, percent: f64, (low, high): (f64, f64)) -> Finding {
        let message = format!(
            "{} % preservative is outside the usual {} to {} % (limits.toml)",
            as_typed(percent),
            as_typed(low),
            as_typed(high)
        );
        Finding::warning("preservative-unusual", place, message)
            .label("of the finished liquid")
            .help(
                "check the supplier's document: too little does not preserve, too much harms skin, and not every \
                   preservative works in soap",
            )
            .caution(
                Step::Cure,
                "The amount of preservative in this recipe is unusual. Use it only if the supplier's document for your \
                 own preservative says the same.",
            )
    }

    /// A block about a dilution of a recipe that has none.
    pub fn no_dilution(place: Place, recipe: &str) -> Finding {
        Finding::error("no-dilution", place, format!("the recipe `{recipe}` has no dilution"))
            .label("diluted to what?")
            .help("add  [dilute]  and below it  soap = 25  to the recipe, or remove this block")
    }

    /// A paste that cannot weigh so much or so little.
    pub fn paste_mass_impossible(place: Place, grams: f64, (least, most): (f64, f64), units: Units) -> Finding {
        let [grams, least, most] = [grams, least, most].map(|it| mass_words(it, units));
        let message = format!(
            "a paste of {grams} cannot be the whole of this batch: without any water it would be {least}, and {most} \
             went in"
        );
        Finding::error("paste-mass-impossible", place, message)
            .label("part of the batch, or another one?")
            .help("weigh all of it in the pot, and subtract the mass of the empty pot")
    }

    /// An acid to neutralise with, without anything to neutralise, or the other way round.
    pub fn neutralise_what(place: Place, missing: &str, example: &str) -> Finding {
        Finding::error("neutralise-what", place, format!("to neutralise a paste, `{missing}` has to be stated too"))
            .label("one without the other")
            .help(format!("add  {example}"))
    }

    /// More free alkali than acid can put right.
    pub fn free_alkali_too_high(place: Place, percent: f64, most_percent: f64) -> Finding {
        let message = format!(
            "{} % free alkali in a paste is more than {} %, too much to put right with acid",
            as_typed(percent),
            as_typed(most_percent)
        );
        Finding::error("free-alkali-too-high", place, message).label("cook on, or a slip?").help(
            "cook it longer and titrate again; so much means a batch that never saponified, lye weighed twice, \
                   or a slip of the decimal point",
        )
    }

    /// More alkali in a sample than there is sample.
    pub fn titration_over_all(place: Place, percent: f64, sample_grams: f64, units: Units) -> Finding {
        let message = format!(
            "that much acid would mean {} % alkali in a sample of {}",
            fixed(percent, 1),
            mass_words(sample_grams, units)
        );
        Finding::error("titration-over-all", place, message)
            .label("more than the whole sample")
            .help("check the sample, the millilitres, the strength of the acid in mol/L and its acidic hydrogens")
    }
}
