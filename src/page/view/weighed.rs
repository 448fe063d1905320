//! A batch as it was really weighed: what differs from the card, what superfat it has, and what puts it right.
//!
//! Layer 6. The numbers are those of `batch/as_weighed.rs`. They are of no ledger, so they are marked without a key.

use serde::Serialize;

use super::super::printer::{Printer, caution};
use crate::batch::{Remedy, Verdict, WeighedPart, as_weighed, is_cooked};
use crate::finding::nearest;
use crate::ledger::{Key, Kind, Ledger};
use crate::show::{self, Units, capitalised, listed};
use crate::units::{Mass, Scale, ScaleUnit};

/// What was weighed beside what the card says.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct WeighedRow {
    pub(crate) name: String,
    pub(crate) card: String,
    pub(crate) weighed: String,
}

/// A batch as it was really weighed.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct WeighedView {
    pub(crate) title: String,
    pub(crate) rows: Vec<WeighedRow>,
    /// The superfat that it has, with its worst and best.
    pub(crate) superfat: String,
    /// What that means.
    pub(crate) verdict: String,
    /// Whether lye is, or may be, left over.
    pub(crate) burns: bool,
    /// Whether it is cooked, and can be put right until it is in its jars.
    pub(crate) is_cooked: bool,
    /// What to do while the batter is in the pot and has not thickened; empty where there is nothing to put right.
    pub(crate) remedies: Vec<String>,
    /// What to do when it has; empty where nothing is wrong.
    pub(crate) too_late: String,
}

/// The part of a recipe that somebody calls by a name: `lye`, an alkali's formula, or the id of a fat or of an acid.
pub(crate) fn part_named(ledger: &Ledger, name: &str) -> Result<WeighedPart, Option<String>> {
    let batch = &ledger.batch;
    let alkalis = batch.alkalis.iter().enumerate().map(|(idx, it)| (it.kind.formula(), WeighedPart::Alkali(idx)));
    // Of a recipe with a stock nobody weighs lye.
    let alkalis = alkalis.filter(|_| batch.stock.is_none());
    let lye = match (&batch.stock, &batch.alkalis[..]) {
        (Some(_), _) => Some(("stock", WeighedPart::Stock)),
        (None, [_]) => Some(("lye", WeighedPart::Alkali(0))),
        (None, _) => None,
    };
    let fats = batch.fats.iter().enumerate().map(|(idx, it)| (&*it.id, WeighedPart::Fat(idx)));
    let acids = batch.acids.iter().enumerate().map(|(idx, it)| (&*it.id, WeighedPart::Acid(idx)));
    let names: Vec<(&str, WeighedPart)> = lye.into_iter().chain(alkalis).chain(fats).chain(acids).collect();
    let found = names.iter().find(|(it, _)| *it == name).map(|(_, part)| *part);
    found.ok_or_else(|| nearest(name, names.iter().map(|(it, _)| *it)).map(str::to_owned))
}

/// What the lye of a recipe is called where it says what was weighed.
pub(crate) fn name_of_lye(ledger: &Ledger) -> &'static str {
    match (&ledger.batch.stock, &ledger.batch.alkalis[..]) {
        (Some(_), _) => "stock",
        (None, [_] | []) => "lye",
        (None, [first, ..]) => first.kind.formula(),
    }
}

/// A batch as it was really weighed.
///
/// - `unit`: of the scale that was used, if it is not the main one.
pub(crate) fn weighed_view(print: Printer<'_>, found: &[(WeighedPart, Mass)], unit: Option<ScaleUnit>) -> WeighedView {
    let ledger = print.ledger;
    let recipe = &ledger.recipe;
    // One scale was used. What it takes is told for the other one too, never less of a fat and never more of lye.
    let unit = unit.unwrap_or(print.units().main());
    let believable = print.tables.limits.believable_misweighing_percent;
    let main = as_weighed(recipe, &ledger.batch, ledger.weighed(unit), found, believable);
    let units = if print.units().scales().contains(&unit) { print.units() } else { Units::only(unit) };
    let mark = |text: String| print.notes.mark(ledger, None, "weighed", &text);
    let amount = |reading: u64, on_other: fn(Scale, Mass) -> u64| {
        let mass = main.weighed.scale.mass(reading);
        let texts = units.scales().iter().map(|unit| {
            let scale = ledger.scales.of(*unit);
            let is_main = scale == main.weighed.scale;
            show::weighed(scale, if is_main { reading } else { on_other(scale, mass) }, mass)
        });
        mark(in_both_units(&texts.collect::<Vec<_>>()))
    };
    let rows = found.iter().map(|(part, _)| WeighedRow {
        name: capitalised(&name_of(*part, print)),
        card: print.words(&key_of(*part, ledger)),
        weighed: match part {
            WeighedPart::Fat(idx) => amount(main.weighed.fats[*idx], Scale::below),
            WeighedPart::Alkali(idx) => amount(main.weighed.alkalis[*idx], Scale::above),
            WeighedPart::Acid(idx) => amount(main.weighed.acids[*idx], Scale::below),
            WeighedPart::Stock => amount(main.weighed.stock.map_or(0, |it| it.stock), Scale::above),
        },
    });
    let rows = rows.collect();
    let percent = |value: f64| mark(show::superfat(value));
    let superfat = if main.weighed.total_fats > 0 {
        format!(
            "It has a superfat of {}; at the worst {}, at the best {}.",
            percent(main.certainty.superfat_percent),
            percent(main.certainty.worst_percent),
            percent(main.certainty.best_percent)
        )
    } else {
        "There is no fat in it.".to_owned()
    };
    let verdict = match main.verdict {
        Verdict::NotBelieved => "That is so far from the card that the number itself may be the slip.",
        Verdict::Safe => "No lye is left over in it, even at the worst.",
        Verdict::Doubtful => "At the worst there is more lye in it than its fats can take.",
        Verdict::LyeLeft => "There is more lye in it than its fats can take: as it is, it burns skin.",
    };
    let stated = print.words_of(Kind::Superfat);
    let is_cooked = is_cooked(recipe);
    let mut remedies = match &main.remedy {
        Remedy::Nothing => Vec::new(),
        Remedy::MoreFat(readings) => {
            let fats = readings.iter().enumerate().map(|(idx, reading)| {
                format!("{} of {}", amount(*reading, Scale::above), name_of(WeighedPart::Fat(idx), print))
            });
            let fats: Vec<String> = fats.collect();
            vec![format!("To bring the superfat back to {stated}, add one of these, melted: {}.", joined_by_or(&fats))]
        }
        Remedy::MoreStock(stock, water) => vec![format!(
            "To bring the superfat back to {stated}, add more lye solution: {} of the stock in {} of cold water, as \
             warm as the first when it goes in. More superfat burns nobody, so you may also leave it as it is.",
            amount(*stock, Scale::below),
            amount(*water, Scale::nearest)
        )],
        Remedy::MoreLye(readings, water) => {
            let alkalis = readings.iter().enumerate().map(|(idx, reading)| {
                format!("{} of {}", amount(*reading, Scale::below), name_of(WeighedPart::Alkali(idx), print))
            });
            let alkalis: Vec<String> = alkalis.collect();
            vec![format!(
                "To bring the superfat back to {stated}, add more lye solution: {} in {} of cold water, as warm as the \
                 first when it goes in. More superfat burns nobody, so you may also leave it as it is.",
                listed(alkalis.iter().map(String::as_str)),
                amount(*water, Scale::nearest)
            )]
        }
    };
    if !remedies.is_empty() && !recipe.layers.is_empty() && !recipe.divide.is_of_batter() {
        remedies.push(
            "Add it before anything is divided. The amounts on the card then no longer hold for the layers: divide all \
             the fats and all the lye solution there are by the shares of the layers."
                .to_owned(),
        );
    }
    if matches!(main.remedy, Remedy::MoreFat(_)) && recipe.mould().is_some() {
        remedies.push(
            "The batch is then larger than the card says: have a pot and a mould ready for the \
                   extra."
                .to_owned(),
        );
    }
    let too_late = match main.verdict {
        Verdict::Safe => String::new(),
        Verdict::NotBelieved => caution(
            "Look at the number again, weigh what is left, or the pot. As long as nobody can show what was weighed, nothing is \
             added and nobody uses the batch: label it caustic and let your instructor judge it.",
        ),
        Verdict::Doubtful | Verdict::LyeLeft if is_cooked => caution(
            "Once it is in its jars, nothing can be mixed in evenly any more. From then on, nobody uses or washes with \
             it: label it caustic, with what was weighed, and let your instructor judge it.",
        ),
        Verdict::Doubtful | Verdict::LyeLeft => caution(
            "Once the batter has thickened, is divided or is in the mould, nothing can be mixed in evenly any more. \
             From then on, nobody uses or washes with it: label it caustic, with what was weighed, and let your \
             instructor judge it. Melting it down again makes it safe only together with the fat that is missing.",
        ),
    };
    WeighedView {
        title: recipe.title.clone(),
        rows,
        superfat,
        verdict: verdict.to_owned(),
        burns: main.verdict != Verdict::Safe,
        is_cooked,
        remedies,
        too_late,
    }
}

fn in_both_units(texts: &[String]) -> String {
    match texts {
        [main, other] => format!("{main} ({other})"),
        texts => texts.join(" "),
    }
}

pub(super) fn joined_by_or(names: &[String]) -> String {
    match names {
        [first @ .., last] if !first.is_empty() => format!("{}, or {last}", first.join(", ")),
        names => names.join(""),
    }
}

fn key_of(part: WeighedPart, ledger: &Ledger) -> Key {
    match part {
        WeighedPart::Fat(idx) => Key::each(Kind::Fat, ledger.batch.fats[idx].id.clone()),
        WeighedPart::Alkali(idx) => ledger.alkali_key(idx),
        WeighedPart::Acid(idx) => Key::each(Kind::Additive, ledger.batch.acids[idx].id.clone()),
        WeighedPart::Stock => Key::one(Kind::Stock),
    }
}

fn name_of(part: WeighedPart, print: Printer<'_>) -> String {
    let batch = &print.ledger.batch;
    match part {
        WeighedPart::Fat(idx) => batch.fats[idx].name.to_string(),
        WeighedPart::Alkali(idx) => {
            let kind = batch.alkalis[idx].kind;
            format!("{} ({})", print.tables.alkali(kind).name, kind.formula())
        }
        WeighedPart::Acid(idx) => batch.acids[idx].name.to_string(),
        WeighedPart::Stock => "stock lye solution".to_owned(),
    }
}
