//! Shreds of finished soap melted down again: the water, the pot, and what to do where lye may be left over in them.
//!
//! Layer 6. The numbers are those of `batch/rebatch.rs` and `batch/as_weighed.rs`. They are of no ledger, so they are marked
//! without a key.

use serde::Serialize;

use super::super::cautions::{Caution, rebatch_cautions};
use super::super::printer::{Printer, Shown};
use super::weighed::{joined_by_or, weighed_view};
use super::{Fact, Row};
use crate::batch::{AsWeighed, OffCard, Rebatch, Remedy, Verdict, WeighedPart, as_weighed, rebatch};
use crate::show;
use crate::source::Located;
use crate::units::{Mass, Scale};

/// What is melted.
#[derive(Clone, Debug)]
pub(crate) struct RebatchOptions {
    /// The shreds.
    pub(crate) shreds: Located<Mass>,
    /// What they have lost of the mass that they were poured with, percent, where somebody knows it.
    pub(crate) dried_percent: Option<Located<f64>>,
}

/// Shreds melted down again.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct RebatchView {
    pub(crate) title: String,
    pub(crate) rows: Vec<Row>,
    pub(crate) facts: Vec<Fact>,
    /// The superfat that the soap has, where it is told what was weighed for it, and what that means.
    pub(crate) verdict: String,
    /// Whether lye is, or may be, left over.
    pub(crate) burns: bool,
    /// The fat to add; empty where none is missing, or nobody knows.
    pub(crate) remedy: String,
    pub(crate) cautions: Vec<Caution>,
}

/// What the shreds are, by what was really weighed for their soap.
pub(crate) fn shreds_of(print: Printer<'_>, options: &RebatchOptions, found: &[(WeighedPart, Mass)]) -> Rebatch {
    let ledger = print.ledger;
    let off = OffCard::of(&ledger.batch, ledger.weighed(print.units().main()), &as_it_was(print, found).weighed);
    let dried = options.dried_percent.as_ref().map(|it| it.value);
    rebatch(&ledger.yields, off, options.shreds.value, dried, print.tables)
}

fn as_it_was(print: Printer<'_>, found: &[(WeighedPart, Mass)]) -> AsWeighed {
    let ledger = print.ledger;
    let believable = print.tables.limits.believable_misweighing_percent;
    as_weighed(&ledger.recipe, &ledger.batch, ledger.weighed(print.units().main()), found, believable)
}

/// Shreds of a recipe's soap melted down again.
///
/// - `found`: what was really weighed for it, where that was not as on the card.
pub(crate) fn rebatch_view(print: Printer<'_>, options: &RebatchOptions, found: &[(WeighedPart, Mass)]) -> RebatchView {
    let ledger = print.ledger;
    let mark = |text: String| print.notes.mark(ledger, None, "rebatch", &text);
    let it = shreds_of(print, options, found);
    let shown = |mass: Mass, read: fn(Scale, Mass) -> u64| {
        let mut texts = print.units().scales().iter().map(|unit| {
            let scale = ledger.scales.of(*unit);
            mark(show::weighed(scale, read(scale, mass), mass))
        });
        Shown { main: texts.next().unwrap_or_default(), other: texts.next() }
    };
    let in_words = |mass: Mass, read: fn(Scale, Mass) -> u64| {
        let it = shown(mass, read);
        it.other.map_or(it.main.clone(), |other| format!("{} ({other})", it.main))
    };
    let row = |name: &str, hint: &str, mass: Mass| Row {
        name: name.to_owned(),
        hint: Some(hint.to_owned()),
        amount: shown(mass, Scale::nearest),
    };
    let mut rows = vec![
        row("Shreds", "grated fine, all of one soap", options.shreds.value),
        row("Water to begin with", "over the shreds; then wait until it has soaked in", it.water.0),
        row("At most, in all", "in spoonfuls, only while dry lumps are left", it.water.1),
    ];
    let mut facts = vec![Fact::new("Pot", format!("at least {}", mark(show::vessel(it.pot, print.units()))))];
    facts.extend(
        it.lost.map(|it| Fact::new("Water dried out of them since they were poured", in_words(it, Scale::nearest))),
    );
    let (mut verdict, mut remedy, mut burns) = (String::new(), String::new(), false);
    if !found.is_empty() {
        let weighed = weighed_view(print, found, None);
        verdict = format!("{} {}", weighed.superfat, weighed.verdict);
        burns = weighed.burns;
        let main = as_it_was(print, found);
        if let (Remedy::MoreFat(readings), Verdict::Doubtful | Verdict::LyeLeft) = (&main.remedy, main.verdict) {
            let fats = readings.iter().zip(&ledger.batch.fats).map(|(reading, fat)| {
                let mass = main.weighed.scale.mass(*reading) * it.of_batch;
                format!("{} of {}", in_words(mass, Scale::above), fat.name)
            });
            let fats: Vec<String> = fats.collect();
            remedy = format!(
                "The missing fat is known. Melt one of these and stir it into the molten shreds until no streak is \
                 left: {}.",
                joined_by_or(&fats)
            );
        }
    }
    if burns && remedy.is_empty() {
        // What is not to be melted needs no water and no pot.
        rows.clear();
        facts.clear();
    }
    let cautions = rebatch_cautions(burns, !remedy.is_empty());
    RebatchView { title: ledger.recipe.title.clone(), rows, facts, verdict, burns, remedy, cautions }
}
