//! Lesson pages: what stands in the Markdown, and what is put in its place.
//!
//! Layer 6. Computes no number: words what the ledger has. `block.rs` finds, `view/` makes plain data, `printer.rs` notes
//! the figures that are printed, `template.rs` turns the data into HTML or Markdown.

mod block;
mod blocks;
mod cautions;
mod expression;
mod figure;
mod glossary;
mod links;
mod measured;
mod measured_blocks;
mod no_value;
mod of_what;
mod options;
mod own;
mod paper;
mod plain;
mod practice;
mod practice_choices;
mod practice_spans;
mod practice_words;
mod printer;
mod programme;
mod prose;
mod quantity;
mod read;
mod render;
mod template;
mod values;
mod view;
mod whose;
mod words;

pub use block::{Block, IncludeSite, Item, ValueSite, find};
pub use glossary::{Entry, Glossary};
pub use own::Own;
pub(crate) use own::{NO_OWN, OwnFields, own_fields, own_told, page_marker};
pub use paper::{SHEETS, paper};
pub(crate) use printer::hash_of;
pub(crate) use printer::{Notes, Printer};
pub use printer::{Printed, Shown, without_marks};
pub use programme::Programme;
pub use read::{Included, Lesson, Page};
pub use render::{Rendered, render};
pub(crate) use template::word;
pub use template::{TEMPLATE_NAMES, Templates};
pub(crate) use values::TEXTS;
pub use values::{Name, Names, names_of, unknown_names};
pub(crate) use view::{
    DilutionView, LayersView, RecipeView, Row, SizeWay, WorkedView, dilution_view, layers_view, name_of_lye,
    part_named, recipe_view, weighed_view, worked_view,
};

pub(crate) use words::{mould_inside, own_line, too_coarse_words};

use std::collections::BTreeMap;

use crate::ledger::Ledger;
use crate::tables::Tables;

/// What a page is made for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// mdBook's own pages.
    Html,
    /// Any other renderer.
    Markdown,
}

/// What all pages of a course share.
pub struct Shelf<'a> {
    /// The recipes by id; `None` for one that has errors of its own, which are told elsewhere.
    pub recipes: &'a BTreeMap<String, Option<Ledger>>,
    /// The names that values of a recipe have, errors or not, so that a misspelt one is told in the same run.
    pub names: &'a BTreeMap<String, Names>,
    /// The tables.
    pub tables: &'a Tables,
    /// The recipes that a student set otherwise, by id.
    pub own: &'a BTreeMap<String, Own>,
    /// Whether students may set recipes otherwise.
    pub has_controls: bool,
    /// Whether a student asks, and the pieces of the page are wanted one by one.
    pub own_is_asked: bool,
    /// The templates.
    pub templates: &'a Templates,
    /// The terms of all pages.
    pub glossary: &'a Glossary,
    /// The evenings of the course.
    pub programme: &'a Programme,
}
