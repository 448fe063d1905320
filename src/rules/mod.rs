//! What a computed recipe says: one file per rule, named after its code.
//!
//! Layer 4. A rule reads numbers and changes none; its words are in `finding/`, its limits in `tables/limits.toml`. To
//! add a rule, write its file, list it in [`ALL`], give it words, and put a case into `tests/cases/`. A rule about the
//! prose of pages is a module of its own here, since `page/` has to hand it the prose.

mod acknowledged;
mod additives_over_layer;
mod amount_below_scale;
mod batch_over_mould;
mod batch_under_mould;
mod browns_a_white_layer;
mod density_beyond_range;
mod heats_in_the_mould;
mod layer_on_set_surface;
mod layer_superfat_below_zero;
mod limit_not_stated;
mod liquids_over_water;
mod mass_out_of_range;
pub mod no_cautions;
mod over_limit;
mod purity_not_stated;
mod quickeners_together;
mod rate_above_highest;
mod solution_too_strong;
mod solution_unusual;
mod superfat_below_zero;
mod superfat_unusual;
mod superfat_worst_case;
pub mod term_before_its_lesson;
pub mod term_introduced_twice;
pub mod typed_quantity;

use std::ops::Range;

use crate::batch::{ExtraAmount, Weighed};
pub use acknowledged::{MAY_BE_MEANT, NEVER_MEANT, acknowledge};

use crate::finding::{Finding, Step};
use crate::ledger::Ledger;
use crate::recipe::Extra;
use crate::source::{Extract, Place};
use crate::tables::{GoesInto, Tables};
use crate::units::Mass;

/// A rule looks at a ledger and at the tables with the limits.
pub type Rule = fn(&Ledger, &Tables, &mut Vec<Finding>);

/// All rules, in the order in which their findings are told.
pub const ALL: [Rule; 21] = [
    superfat_below_zero::check,
    layer_superfat_below_zero::check,
    additives_over_layer::check,
    superfat_unusual::check,
    superfat_worst_case::check,
    solution_too_strong::check,
    solution_unusual::check,
    density_beyond_range::check,
    liquids_over_water::check,
    mass_out_of_range::check,
    batch_over_mould::check,
    batch_under_mould::check,
    amount_below_scale::check,
    rate_above_highest::check,
    over_limit::check,
    limit_not_stated::check,
    browns_a_white_layer::check,
    quickeners_together::check,
    heats_in_the_mould::check,
    layer_on_set_surface::check,
    purity_not_stated::check,
];

/// The additives that leave the lye as it is, of the batch and of all layers: when they go in, as typed, as computed.
fn extras_of(ledger: &Ledger) -> impl Iterator<Item = (Step, &Extra, &ExtraAmount)> {
    let (recipe, batch) = (&ledger.recipe, &ledger.batch);
    let layers = recipe.layers.iter().zip(&batch.layers).enumerate();
    let of_layers = layers.flat_map(|(layer_idx, (layer, amount))| {
        layer.extras.iter().zip(&amount.extras).map(move |(extra, amount)| (Step::Layer(layer_idx), extra, amount))
    });
    let of_batch = recipe.extras.iter().zip(&batch.extras).map(|(extra, amount)| (step_of(extra), extra, amount));
    of_batch.chain(of_layers)
}

/// When an additive of the whole batch goes in.
fn step_of(extra: &Extra) -> Step {
    if extra.additive.goes_into == GoesInto::Water { Step::Lye } else { Step::Trace }
}

/// All of one additive in one place: in the batch, or in a layer, where that of the batch counts as well.
struct Dose<'a> {
    /// When it goes in.
    step: Step,
    /// Where to point at.
    extra: &'a Extra,
    /// Percent of the fats there.
    of_fats_percent: f64,
    /// The same by what the scales show, where that is more.
    printed_percent: f64,
    /// The lowest limit that is stated for any part of it, percent of the finished bar.
    limit_percent: Option<f64>,
}

/// The doses of a recipe: of the batch, then of each layer that has some of its own.
fn doses<'a>(ledger: &'a Ledger) -> Vec<Dose<'a>> {
    let (recipe, batch) = (&ledger.recipe, &ledger.batch);
    let largest = |exact: Mass, readings: &dyn Fn(&Weighed) -> u64| {
        let printed = ledger.shown().map(|it| it.scale.mass(readings(it)) / exact);
        printed.fold(1.0, f64::max)
    };
    let dose = |step: Step, extra: &'a Extra, amount: &ExtraAmount, readings: &dyn Fn(&Weighed) -> u64| Dose {
        step,
        extra,
        of_fats_percent: amount.of_fats_percent,
        printed_percent: amount.of_fats_percent * largest(amount.mass, readings),
        limit_percent: extra.limit_percent,
    };
    let of_batch: Vec<Dose<'a>> = recipe
        .extras
        .iter()
        .zip(&batch.extras)
        .enumerate()
        .map(|(idx, (extra, amount))| dose(step_of(extra), extra, amount, &|it| it.extras[idx]))
        .collect();
    let layers = recipe.layers.iter().zip(&batch.layers).enumerate();
    let of_layers: Vec<Dose<'a>> = layers
        .flat_map(|(layer_idx, (layer, amount))| {
            layer.extras.iter().zip(&amount.extras).enumerate().map(move |(idx, it)| (layer_idx, idx, it))
        })
        .map(|(layer_idx, idx, (extra, amount))| {
            let readings = |it: &Weighed| it.layers[layer_idx].extras[idx];
            let mut dose = dose(Step::Layer(layer_idx), extra, amount, &readings);
            for shared in of_batch.iter().filter(|it| it.extra.additive.id == extra.additive.id) {
                dose.of_fats_percent += shared.of_fats_percent;
                dose.printed_percent += shared.printed_percent;
                let limits = dose.limit_percent.into_iter().chain(shared.limit_percent);
                dose.limit_percent = limits.min_by(f64::total_cmp);
            }
            dose
        })
        .collect();
    of_batch.into_iter().chain(of_layers).collect()
}

/// Runs every rule.
#[must_use]
pub fn check(ledger: &Ledger, tables: &Tables) -> Vec<Finding> {
    let mut findings = Vec::new();
    for rule in ALL {
        rule(ledger, tables, &mut findings);
    }
    findings
}

/// A stretch of prose that Markdown shows as one: a paragraph, a heading, a cell of a table. Code, values and addresses
/// are left out of it.
#[derive(Clone, Debug)]
pub struct Prose {
    /// What is read, which knows where it stands in the file.
    pub text: Extract,
    /// The links to other pages of the book in it.
    pub links: Vec<PageLink>,
}

/// A link in prose to a page of the book.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PageLink {
    /// The words of the link, as a stretch of the prose.
    pub span: Range<usize>,
    /// The page's path below the folder of the pages.
    pub page: String,
}

/// A term that a lesson introduces.
#[derive(Clone, Debug)]
pub struct Term {
    /// The term as typed.
    pub name: String,
    /// The number of its page in reading order.
    pub page: usize,
    /// The path of its page below the folder of the pages.
    pub page_id: String,
    /// The title of its page.
    pub lesson: String,
    /// Where it was typed.
    pub place: Place,
    /// Whether it is a word of everyday language too, so that its use says nothing.
    pub is_ordinary: bool,
    words: Vec<String>,
}

impl Term {
    /// A term with the page that introduces it: number, path and title.
    #[must_use]
    pub fn new(name: &str, page: usize, page_id: &str, lesson: &str, place: Place, is_ordinary: bool) -> Term {
        let words = words_in(name).into_iter().map(|(_, word)| word).collect();
        let (page_id, lesson) = (page_id.to_owned(), lesson.to_owned());
        Term { name: name.to_owned(), page, page_id, lesson, place, is_ordinary, words }
    }

    /// Its words in lower case: terms of the same words are the same term.
    #[must_use]
    pub fn words(&self) -> &[String] {
        &self.words
    }
}

/// The words of a text in lower case, each with its place in it.
#[must_use]
pub fn words_in(text: &str) -> Vec<(Range<usize>, String)> {
    let mut words: Vec<(Range<usize>, String)> = Vec::new();
    for (at, letter) in text.char_indices().filter(|(_, it)| it.is_alphanumeric()) {
        let end = at + letter.len_utf8();
        match words.last_mut() {
            Some((span, word)) if span.end == at => {
                span.end = end;
                word.extend(letter.to_lowercase());
            }
            _ => words.push((at..end, letter.to_lowercase().collect())),
        }
    }
    words
}
