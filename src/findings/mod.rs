//! What a computed recipe says: one file per rule, named after its code.
//!
//! Layer 4. A rule reads numbers and changes none; its words are in `finding/`, its limits in `tables/limits.toml`. To
//! add a rule, write its file, list it in [`ALL`], give it words, and put a case into `tests/cases/`. A rule about the
//! prose of pages is a module of its own here, since `page/` has to hand it the prose.

mod acknowledged;
mod amount_below_scale;
mod batch_over_mould;
mod batch_under_mould;
mod browns_a_white_layer;
mod density_beyond_range;
mod heats_in_the_mould;
mod layer_on_set_surface;
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

use crate::batch::{Batch, ExtraAmount, Weighed};
pub use acknowledged::{MAY_BE_MEANT, NEVER_MEANT, acknowledge};

use crate::finding::{Finding, Step};
use crate::recipe::{Extra, Recipe};
use crate::source::{Extract, Place};
use crate::tables::Tables;

/// What a rule may look at.
pub struct Subject<'a> {
    /// The recipe.
    pub recipe: &'a Recipe,
    /// The recipe computed.
    pub batch: &'a Batch,
    /// The amounts as each scale that the course uses shows them.
    pub weighed: &'a [&'a Weighed],
    /// The tables with the limits.
    pub tables: &'a Tables,
}

/// A rule.
pub type Rule = fn(&Subject<'_>, &mut Vec<Finding>);

/// All rules, in the order in which their findings are told.
pub const ALL: [Rule; 19] = [
    superfat_below_zero::check,
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
fn extras_of<'a>(subject: &'a Subject<'_>) -> impl Iterator<Item = (Step, &'a Extra, &'a ExtraAmount)> {
    let (recipe, batch) = (subject.recipe, subject.batch);
    let layers = recipe.layers.iter().zip(&batch.layers).enumerate();
    let of_layers = layers.flat_map(|(layer_idx, (layer, amount))| {
        layer.extras.iter().zip(&amount.extras).map(move |(extra, amount)| (Step::Layer(layer_idx), extra, amount))
    });
    let of_batch = recipe.extras.iter().zip(&batch.extras).map(|(extra, amount)| (Step::Trace, extra, amount));
    of_batch.chain(of_layers)
}

/// Names as a list in words, each once: `clove oil, honey and cocoa`.
fn in_words<'a>(names: impl IntoIterator<Item = &'a str>) -> String {
    let mut once: Vec<&str> = Vec::new();
    for name in names {
        if !once.contains(&name) {
            once.push(name);
        }
    }
    match &once[..] {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// Runs every rule.
#[must_use]
pub fn check(subject: &Subject<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for rule in ALL {
        rule(subject, &mut findings);
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
