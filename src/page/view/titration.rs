//! Free alkali by titration: what was read, what it comes to, and what that means.
//!
//! Layer 6. The numbers are those of `batch/titration.rs`. They are of no ledger, so they are marked without a key.

use serde::Serialize;

use super::super::measured::Sample;
use super::super::printer::{Printer, caution};
use super::Fact;
use crate::batch::{FreeAlkali, Titration, stock_strength_percent};
use crate::show::{self, capitalised};
use crate::tables::AlkaliKind;

/// Free alkali by titration.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct TitrationView {
    pub(crate) title: String,
    /// What was read.
    pub(crate) facts: Vec<Fact>,
    /// How the result comes about, with the numbers in it.
    pub(crate) formula: String,
    /// The result.
    pub(crate) result: String,
    /// What it means.
    pub(crate) verdict: String,
    /// Whether nobody may use it.
    pub(crate) burns: bool,
    /// What to do now.
    pub(crate) next: String,
    pub(crate) cautions: Vec<String>,
}

/// Free alkali by titration.
pub(crate) fn titration_view(
    print: Printer<'_>,
    of: Sample,
    alkali: AlkaliKind,
    read: &Titration,
    found: &FreeAlkali,
) -> TitrationView {
    let ledger = print.ledger;
    let limits = &print.tables.limits;
    let mark = |text: String| print.notes.mark(ledger, None, "titration", &text);
    let formula = alkali.formula();
    let (low, high) = limits.free_alkali_in_bar_percent;
    // A purity is told to a tenth, a trace to a hundredth; an end is never told nearer than it is.
    let decimals = if matches!(of, Sample::Bar | Sample::Paste) { 2 } else { 1 };
    let step = 10_f64.powi(decimals);
    let digits = decimals.unsigned_abs() as usize;
    let rounded_down = (found.least_percent * step + 1e-9).floor() / step;
    let rounded_up = ((found.most_percent * step - 1e-9).ceil() / step).min(100.0);
    let plain = |value: f64| show::fixed(value, digits);
    let percent = |value: f64| mark(show::with_unit(&plain(value), "%"));
    let number = |value: f64, unit: &str| mark(show::with_unit(&show::as_typed(value), unit));
    // An ounce is no round number of grams.
    let sample = (read.sample.to_grams() * 1e4).round() / 1e4;
    let facts = vec![
        Fact::new("Sample", number(sample, "g")),
        Fact::new("Acid used until the colour was gone", number(read.acid.to_millilitres(), "mL")),
        Fact::new("Strength of the acid", number(read.moles_per_litre, "mol/L")),
        Fact::new("Acidic hydrogens in it", mark(show::as_typed(read.acidic_hydrogens))),
    ];
    let worked = format!(
        "{} × {} × {} × {} / (10 × {}) = {}",
        number(read.acid.to_millilitres(), "mL"),
        number(read.moles_per_litre, "mol/L"),
        mark(show::as_typed(read.acidic_hydrogens)),
        mark(show::with_unit(&show::fixed(print.tables.alkali(alkali).molar_mass.to_grams_per_mole(), 2), "g/mol")),
        number(sample, "g"),
        percent(found.percent)
    );
    let result = format!(
        "{} of it is free alkali, given as {formula}; allowing for the burette and the scale, {} to {}.",
        percent(found.percent),
        percent(rounded_down),
        percent(rounded_up)
    );
    let (verdict, burns, next) = match of {
        Sample::Bar | Sample::Paste => {
            let is_bar = of == Sample::Bar;
            let again = if is_bar {
                "Leave the batch for two more weeks and titrate another bar"
            } else {
                "Cook for another half hour and titrate again"
            };
            if found.least_percent > limits.believable_free_alkali_percent {
                (
                    "That is so much that one of the numbers must be a slip, or the batch never saponified.",
                    true,
                    "Check the four numbers and titrate again. Until then nobody uses any of it: label it caustic."
                        .to_owned(),
                )
            } else if found.most_percent <= low {
                (
                    "No more free alkali than strict standards for toilet soap allow.",
                    false,
                    "One sample shows one place in the batch: take a second from another place before anybody relies \
                     on it."
                        .to_owned(),
                )
            } else if found.percent <= low {
                (
                    "This titration cannot tell: the sample is too small, or the acid too strong.",
                    true,
                    "Titrate again with a larger sample, a weaker acid or a finer burette. Until then, nobody washes \
                     with it."
                        .to_owned(),
                )
            } else if found.most_percent <= high {
                (
                    "More than strict standards for toilet soap allow.",
                    true,
                    format!("{again}. Until then, nobody washes with it."),
                )
            } else {
                (
                    "There may be so much free alkali in it that it irritates or burns.",
                    true,
                    format!(
                        "{again}. If there is no less then, set the batch aside, labelled caustic, and let your \
                         instructor judge it{}.",
                        if is_bar {
                            ""
                        } else {
                            "; your instructor may work out how much acid neutralises a small amount"
                        }
                    ),
                )
            }
        }
        Sample::Lye => lye_words(print, alkali, (found.percent, rounded_down, rounded_up)),
        Sample::Solution => solution_words(print, alkali, (rounded_down, rounded_up)),
    };
    let what = match of {
        Sample::Bar => "a bar".to_owned(),
        Sample::Paste => "the paste".to_owned(),
        Sample::Lye => format!("the container of {}", print.tables.alkali(alkali).name),
        Sample::Solution => "a lye solution".to_owned(),
    };
    TitrationView {
        title: format!("{}: {what}", ledger.recipe.title),
        facts,
        formula: format!("V × c × h × M / (10 × m): {worked}"),
        result: capitalised(&result),
        verdict: verdict.to_owned(),
        burns,
        next,
        cautions: cautions(of).iter().map(|it| caution(it)).collect(),
    }
}

/// What the strength of a lye solution means; with the low and the high end as they are told.
fn solution_words(print: Printer<'_>, alkali: AlkaliKind, (low, high): (f64, f64)) -> (&'static str, bool, String) {
    let mark = |text: String| print.notes.mark(print.ledger, None, "titration", &text);
    let percent = |value: f64| mark(show::with_unit(&show::fixed(value, 1), "%"));
    if high < 1.0 {
        return (
            "That is hardly a lye solution, or a number is a slip.",
            true,
            "Check the four numbers and titrate again. Until then nobody uses the jug: label it caustic.".to_owned(),
        );
    }
    if high - low > print.tables.limits.widest_purity_percent {
        return (
            "This titration is not sharp enough.",
            true,
            "That is too wide a range to reckon with: weigh a larger sample, or use a finer balance, and titrate again. Until then \
             nobody takes lye from this jug."
                .to_owned(),
        );
    }
    let recipe = &print.ledger.recipe;
    // A recipe counts a stock by its lye as weighed, impurities and all; a titration finds what is pure of it.
    let counted = match &recipe.alkalis[..] {
        [only] if only.kind == alkali => Some((stock_strength_percent(high, only.purity), only.purity)),
        _ => None,
    };
    let stock = match counted.filter(|(strength, _)| *strength < 100.0) {
        Some((strength, purity)) => format!(
            "In {}, whose {} counts as {} pure, that is  stock = {{ lye-concentration = {} }}  for the high end, {}: then there is \
             never more lye in the pot than was reckoned.",
            recipe.title,
            alkali.formula(),
            mark(show::percent(purity.to_percent())),
            mark(show::fixed(strength, 1)),
            percent(high)
        ),
        None => format!(
            "Whoever reckons with it takes the high end, {}, and counts the lye in it as pure: then there is never more lye in \
             the pot than was reckoned.",
            percent(high)
        ),
    };
    (
        "So strong is the lye solution now, in pure alkali.",
        true,
        format!("Write it on the label, with the date. {stock}"),
    )
}

/// What the purity of a container means; with the low and the high end as they are told.
fn lye_words(
    print: Printer<'_>,
    alkali: AlkaliKind,
    (found, low, high): (f64, f64, f64),
) -> (&'static str, bool, String) {
    let limits = &print.tables.limits;
    let mark = |text: String| print.notes.mark(print.ledger, None, "titration", &text);
    let usual = AlkaliKind::ALL.into_iter().zip(limits.usual_purity_percent).find(|(it, _)| *it == alkali);
    let is_weak = usual.is_some_and(|(_, usual)| found < usual.0);
    let stated = |value: f64| mark(show::fixed(value, 1));
    if found < limits.least_purity_percent {
        return (
            "That is no longer lye for soap, or one of the numbers is a slip.",
            true,
            "Check the four numbers and titrate again. If it is still so low, do not use the container.".to_owned(),
        );
    }
    let verdict = if is_weak {
        "Weaker than when it was sold: it has taken up water and carbon dioxide, or one of the numbers is a slip."
    } else {
        "As strong as it is sold."
    };
    if high - low > limits.widest_purity_percent {
        let next =
            "That is too wide a range for a recipe: weigh a larger sample, or use a finer balance, and titrate again.";
        return ("This titration is not sharp enough.", true, next.to_owned());
    }
    // The middle is what amounts are reckoned with. It is never lower than what was read, or there would be too much lye.
    let low = low.max(2.0 * found.min(high) - high);
    let next = format!(
        "In a recipe that uses this container:  purity = {{ {} = {{ low = {}, high = {} }} }}  Take a second sample from another \
         place first, and do it again with each new container.",
        alkali.formula(),
        stated(low),
        stated(high)
    );
    (verdict, is_weak, next)
}

fn cautions(of: Sample) -> Vec<&'static str> {
    let mut words = Vec::new();
    if matches!(of, Sample::Bar | Sample::Paste) {
        words.push(
            "The alcohol that the sample is dissolved in is flammable, and so is its vapour; the indicator is \
             dissolved in alcohol too. No flame, no hot hob, and open the window. Warm it only in a bath of hot \
             water.",
        );
    } else {
        words.push(
            "Lye is weighed and dissolved here as at any other time: goggles, gloves, the lye into the water and never \
             the other way round. The sample must be dissolved and cold before the first acid goes in.",
        );
    }
    words.push(
        "The acid irritates skin and eyes, and stronger acid than in these lessons burns them: goggles and gloves, and \
         water for 30 minutes on whatever it touches. Never dilute it by pouring water into it, and never put it on \
         skin against lye.",
    );
    words
}
