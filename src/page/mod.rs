//! Lesson pages: what stands in the Markdown, and what is put in its place.
//!
//! Layer 5. Computes no number; rounds nothing but for showing; words what it is given. `block.rs` finds, `view.rs` and
//! its neighbours make plain data, `template.rs` turns that into HTML or Markdown.

mod block;
mod cautions;
mod figure;
mod glossary;
mod options;
mod part;
mod practice;
mod profile_figure;
mod prose;
mod render;
mod template;
mod timeline_figure;
mod values;
mod view;

pub use block::{Block, IncludeSite, Item, ValueSite, find};
pub use cautions::{Caution, cautions};
pub use glossary::{Entry, Glossary, Lesson};
pub use render::{Page, Rendered, render};
pub use template::{TEMPLATE_NAMES, Templates};
pub use values::{Value, evaluate};
pub use view::{LayersView, RecipeView, Row, WorkedView, layers_view, names_of, recipe_view, values_of, worked_view};

use std::collections::BTreeMap;

use crate::batch::{Batch, Scale, Weighed, compute};
use crate::finding::StepCaution;
use crate::recipe::Recipe;
use crate::tables::Tables;

/// A recipe with everything that was computed from it.
#[derive(Clone, Debug)]
pub struct Computed {
    /// The recipe.
    pub recipe: Recipe,
    /// Its exact amounts.
    pub batch: Batch,
    /// The amounts as the scale in grams shows them.
    pub grams: Weighed,
    /// The amounts as the scale in ounces shows them.
    pub ounces: Weighed,
    /// The warnings about it, in words for the student.
    pub cautions: Vec<StepCaution>,
}

impl Computed {
    /// Computes a recipe and reads it off both scales. The cautions come from what the rules then find.
    #[must_use]
    pub fn of(recipe: Recipe, tables: &Tables, grams: Scale, ounces: Scale) -> Computed {
        let batch = compute(&recipe, tables);
        let (grams, ounces) = (Weighed::read(&batch, grams), Weighed::read(&batch, ounces));
        Computed { recipe, batch, grams, ounces, cautions: Vec::new() }
    }
}

/// The units in which a course shows amounts.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Units {
    /// Grams alone.
    #[default]
    Grams,
    /// Ounces alone.
    Ounces,
    /// Grams, with ounces beside them.
    Both,
}

impl Units {
    /// What book.toml calls them.
    pub const NAMES: [&'static str; 3] = ["grams", "ounces", "both"];

    /// The amounts that students of this course see, the main unit first.
    #[must_use]
    pub fn shown(self, computed: &Computed) -> Vec<&Weighed> {
        match self {
            Units::Grams => vec![&computed.grams],
            Units::Ounces => vec![&computed.ounces],
            Units::Both => vec![&computed.grams, &computed.ounces],
        }
    }
}

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
    pub recipes: &'a BTreeMap<String, Option<Computed>>,
    /// The names that values of a recipe have, errors or not, so that a misspelt one is told in the same run.
    pub names: &'a BTreeMap<String, BTreeMap<String, Value>>,
    /// The tables.
    pub tables: &'a Tables,
    /// The units shown.
    pub units: Units,
    /// The templates.
    pub templates: &'a Templates,
    /// The terms of all pages.
    pub glossary: &'a Glossary,
}
