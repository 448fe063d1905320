//! A lesson page for a student who made the batch another one: what replaces its blocks and values then.
//!
//! Layer 6. What a student may set, and what comes of it, is worked out above; here it is shown. Every block and every value of
//! an HTML page has a number, in the order in which they are put together, by which the page in the browser finds it again.

use std::collections::{BTreeMap, BTreeSet};

use mdbook_markdown::{MarkdownOptions, new_cmark_parser, pulldown_cmark};
use serde::Serialize;

use super::options::BlockOptions;
use super::printer::{Notes, Printer, in_attribute, without_marks};
use super::render::Renderer;
use super::template::{Templates, one_line, word};
use super::view::{ToldView, acids_that_differ, own_view, part_named, weighed_view};
use super::{Form, Shelf};
use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::source::Place;
use crate::tables::Tables;
use crate::units::Mass;

/// A recipe as a student set it.
#[derive(Debug)]
pub struct Own {
    /// Everything that it comes to; `None` where what was set is refused.
    pub ledger: Option<Ledger>,
    /// What was changed against the lesson, in one line.
    pub line: String,
}

/// What the line above a block says, or the words in place of one.
#[derive(Serialize)]
struct LineView<'a> {
    recipe: &'a str,
    title: &'a str,
    line: &'a str,
}

impl<'a> Shelf<'a> {
    /// The recipe of a name, as a student set it or else as it is in the course; `None` where there is none of the name.
    pub(super) fn recipe(&self, id: &str) -> Option<&'a Option<Ledger>> {
        self.own.get(id).map(|it| &it.ledger).or_else(|| self.recipes.get(id))
    }

    /// The recipe whose cautions are shown: what a student set, or the course's own where that is refused, since the batch in
    /// front of them may have lye in it all the same.
    pub(super) fn cautioned(&self, id: &str) -> Option<&'a Ledger> {
        let own = self.own.get(id).and_then(|it| it.ledger.as_ref());
        own.or_else(|| self.recipes.get(id)?.as_ref())
    }
}

impl Renderer<'_> {
    /// A block or a value with its number, by which it is found in the page.
    pub(super) fn piece(&mut self, html: String) -> String {
        if self.form == Form::Markdown {
            return html;
        }
        let number = self.pieces.len();
        let marked = match (html.strip_prefix("<!--kettle-->"), html.strip_prefix("<span ")) {
            (Some(block), _) => {
                let marked = format!("<!--kettle {number}-->{block}<!--/kettle-->");
                self.pieces.push(block.to_owned());
                return marked;
            }
            (None, Some(rest)) => format!("<span data-kettle-n=\"{number}\" {rest}"),
            (None, None) => return html,
        };
        // What mdBook makes of a page's Markdown is made of a value alone.
        self.pieces.push(if self.shelf.own_is_asked { inline(&marked) } else { String::new() });
        marked
    }

    /// The same of what may come to nothing with what a student set: it keeps its number, and the others theirs.
    pub(super) fn piece_or_none(&mut self, html: Option<String>) -> Option<String> {
        if html.is_none() && self.form == Form::Html {
            self.pieces.push(String::new());
        }
        html.map(|it| self.piece(it))
    }

    /// The id of the recipe of a block, if a student set it otherwise.
    fn own_of(&self, options: &BlockOptions) -> Option<(&str, &Own)> {
        let named = options.recipe.as_ref().or(match &self.page_recipes[..] {
            [only] => Some(only),
            _ => None,
        })?;
        self.shelf.own.get_key_value(&named.value).map(|(id, own)| (id.as_str(), own))
    }

    /// The line above a block of a recipe that a student set otherwise.
    fn own_line(&self, recipe: &str, place: &Place) -> String {
        let Some((id, own)) = self.shelf.own.get_key_value(recipe).filter(|(_, it)| it.ledger.is_some()) else {
            return String::new();
        };
        let view = LineView { recipe: id, title: self.title_of(id), line: &own.line };
        self.shelf.templates.render("own-line.html", &view, place).map(|it| it.trim().to_owned()).unwrap_or_default()
    }

    /// A block below what was changed in its recipes.
    pub(super) fn below_own_line(&self, block: String, recipes: &[&Ledger], place: &Place) -> String {
        if self.shelf.own.is_empty() || block.is_empty() {
            return block;
        }
        let lines: String = recipes.iter().map(|it| self.own_line(&it.recipe.id, place)).collect();
        format!("<!--kettle-->{lines}{}", block.trim_start_matches("<!--kettle-->"))
    }

    /// What stands in place of a block whose recipe a student set so that it is refused: no number of the lesson.
    pub(super) fn own_refused(&self, options: &BlockOptions, place: &Place) -> Option<String> {
        let (id, own) = self.own_of(options).filter(|(_, own)| own.ledger.is_none())?;
        let view = LineView { recipe: id, title: self.title_of(id), line: &own.line };
        let drawn = self.shelf.templates.render("own-refused.html", &view, place);
        drawn.map(|it| one_line(&it)).ok()
    }

    /// What stands in place of a value that a student's recipe does not have, or that is refused.
    pub(super) fn own_missing(&self) -> Option<String> {
        let is_own = self.form == Form::Html && !self.shelf.own.is_empty();
        is_own
            .then(|| format!("<span data-kettle=\"\" class=\"kettle-own-none\">{}</span>", word("own-refused", "none")))
    }

    fn title_of(&self, id: &str) -> &str {
        let ledger = self.shelf.recipes.get(id).and_then(Option::as_ref);
        ledger.map_or("", |it| &it.recipe.title)
    }
}

/// A value as it stands in a sentence, made HTML as mdBook does.
fn inline(text: &str) -> String {
    let mut html = String::new();
    pulldown_cmark::html::push_html(&mut html, new_cmark_parser(text, &MarkdownOptions::default()));
    let html = html.trim_end();
    html.strip_prefix("<p>").and_then(|it| it.strip_suffix("</p>")).unwrap_or(html).to_owned()
}

/// What tells the script which page it is on, and the recipes that the page shows.
pub(crate) fn page_marker(page: &str, recipes: &BTreeSet<String>) -> String {
    let recipes = serde_json::to_string(recipes).unwrap_or_default();
    let [page, recipes] = [page, &recipes].map(in_attribute);
    format!("\n\n<!--kettle--><div hidden data-kettle-page=\"{page}\" data-kettle-recipes=\"{recipes}\"></div>\n")
}

/// What the fields of a recipe are drawn from.
pub(crate) struct OwnFields<'a> {
    /// The recipe of the lesson.
    pub(crate) lesson: &'a Ledger,
    /// What a student made of it, where that can be computed.
    pub(crate) own: Option<&'a Ledger>,
    /// The superfats that may be typed, percent.
    pub(crate) allowed: (f64, f64),
    /// What is in the fields, by name.
    pub(crate) typed: &'a BTreeMap<String, String>,
    pub(crate) tables: &'a Tables,
    pub(crate) templates: &'a Templates,
}

/// The fields of a recipe, as HTML.
///
/// # Errors
///
/// A finding at a template of the course that cannot be used.
pub(crate) fn own_fields(it: &OwnFields<'_>) -> Result<String, Box<Finding>> {
    let notes = Notes::default();
    let print = |ledger| Printer { ledger, tables: it.tables, notes: &notes };
    let view = own_view(print(it.lesson), it.own.map(print), it.typed, it.allowed);
    it.templates.render("own.html", &view, &it.lesson.recipe.places.recipe).map(|it| without_marks(&it))
}

/// What is told below the fields, as HTML.
///
/// - `line`: what was changed, or why it is refused.
/// - `told`: what else is to be known.
/// - `weighed`: what was really weighed, by the names that recipes give it.
///
/// # Errors
///
/// A finding at a template of the course that cannot be used.
pub(crate) fn own_told(
    it: &OwnFields<'_>,
    line: &str,
    told: Vec<String>,
    weighed: &[(String, Mass)],
) -> Result<String, Box<Finding>> {
    let notes = Notes::default();
    let print = |ledger| Printer { ledger, tables: it.tables, notes: &notes };
    let place = &it.lesson.recipe.places.recipe;
    let mut view = ToldView { line: line.to_owned(), is_refused: it.own.is_none(), notes: told, ..ToldView::default() };
    if let Some(own) = it.own {
        let is_same =
            own.recipe.fats.iter().all(|it_is| it.lesson.recipe.fats.iter().any(|was| was.fat.id == it_is.fat.id));
        if !is_same {
            view.acids = acids_that_differ(print(it.lesson), print(own));
        }
        let found: Vec<_> =
            weighed.iter().filter_map(|(name, mass)| Some((part_named(own, name).ok()?, *mass))).collect();
        if !found.is_empty() {
            view.weighed = it.templates.render("weighed.html", &weighed_view(print(own), &found, None), place)?;
        }
    }
    it.templates.render("own-told.html", &view, place).map(|it| without_marks(&it))
}

/// No recipe that a student set.
pub(crate) static NO_OWN: BTreeMap<String, Own> = BTreeMap::new();
