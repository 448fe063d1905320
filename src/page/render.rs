//! Puts the computed blocks and values into a lesson page.
//!
//! Layer 6. The text is rebuilt once, front to back, from the author's own bytes and what replaces the found items. A
//! page is rendered as a whole, so that everything wrong with it is told at once.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::block::ValueSite;
use super::printer::{Notes, Printed};
use super::read::{Page, Part, PartItem};
use super::values::{Values, evaluate, literal};
use super::view::PracticeView;
use super::{Form, Shelf};
use crate::finding::{Finding, nearest, without_echoes};
use crate::ledger::{Ledger, speaks_of_lye};
use crate::rules::{no_cautions, typed_quantity};
use crate::source::{Located, Place, SourceFile};

/// A rendered page.
pub struct Rendered {
    /// The Markdown with everything put in.
    pub text: String,
    /// What is wrong with the page.
    pub findings: Vec<Finding>,
    /// The recipes it shows.
    pub recipes: BTreeSet<String>,
    /// The figures that it prints, in the order of the page.
    pub printed: Vec<Printed>,
}

/// Renders a page. A page without blocks and values comes out byte for byte as it went in.
#[must_use]
pub fn render(page: &Page, form: Form, shelf: &Shelf<'_>) -> Rendered {
    let file = &page.lesson.file;
    let mut findings = page.findings.clone();
    findings.extend(typed_quantities(page, shelf));
    let notes = Notes::default();
    let mut renderer = Renderer {
        page,
        form,
        shelf,
        page_recipe: page.recipe(),
        findings,
        recipes: BTreeSet::new(),
        n_cards: 0,
        numbers_practice: page.n_practices() > 1,
        practices: Vec::new(),
        lye_shown_for: Vec::new(),
        has_safety: false,
        notes: &notes,
        printed: Vec::new(),
        values: BTreeMap::new(),
    };
    // Text and cautions are put together last: what the cautions say depends on every recipe of the page.
    let mut text = renderer.part(&page.part);
    if let Some(offset) = page.first_with_lye()
        && !renderer.lye_shown_for.is_empty()
        && let Some(finding) = no_cautions::check(line_at(file, offset), renderer.has_safety)
    {
        renderer.findings.push(finding);
        let block = renderer.automatic_safety(offset);
        let at = text.offset_of(offset);
        text.text.insert_str(at, &format!("{block}\n\n"));
    }
    renderer.answers_at_the_end(&mut text.text);
    renderer.findings.extend_from_slice(shelf.glossary.findings_of(file.path()));
    let is_elsewhere = |place: &Place| (place.file.path() != file.path(), place.span.start);
    renderer.findings.sort_by_key(|it| is_elsewhere(&it.place));
    let Renderer { findings, recipes, mut printed, .. } = renderer;
    printed.sort_by_key(|it| is_elsewhere(&it.place));
    Rendered { text: text.text, findings: without_echoes(findings), recipes, printed }
}

/// The line that starts at an offset, without its end.
fn line_at(file: &Arc<SourceFile>, offset: usize) -> Place {
    let line = file.text()[offset..].lines().next().unwrap_or_default();
    Place { file: Arc::clone(file), span: offset..offset + line.trim_end().len() }
}

/// The amounts typed by hand into a page that has a recipe: one on a card, or in a value.
fn typed_quantities(page: &Page, shelf: &Shelf<'_>) -> Vec<Finding> {
    if !page.computes_prose() {
        return Vec::new();
    }
    let ledger = page.recipe().and_then(|it| shelf.recipes.get(&it.value)?.as_ref());
    typed_quantity::check(&page.words.prose, ledger)
}

/// What a page becomes, block by block; the blocks are in `blocks.rs`.
pub(super) struct Renderer<'a> {
    pub(super) page: &'a Page,
    pub(super) form: Form,
    pub(super) shelf: &'a Shelf<'a>,
    pub(super) page_recipe: Option<&'a Located<String>>,
    pub(super) findings: Vec<Finding>,
    recipes: BTreeSet<String>,
    pub(super) n_cards: usize,
    /// Whether there are several exercises, which then have numbers.
    pub(super) numbers_practice: bool,
    /// The exercises so far.
    pub(super) practices: Vec<PracticeView>,
    /// The recipes whose lye the page shows, in the order of the page.
    pub(super) lye_shown_for: Vec<&'a Ledger>,
    pub(super) has_safety: bool,
    pub(super) notes: &'a Notes,
    printed: Vec<Printed>,
    /// The values of the recipes that sentences have named so far.
    values: BTreeMap<String, Values<'a>>,
}

/// A text put together from pieces of a file, which still knows where an offset of the file went.
struct Rebuilt {
    text: String,
    /// Offsets in the file and in the text, in order.
    starts: Vec<(usize, usize)>,
}

impl Rebuilt {
    fn offset_of(&self, offset: usize) -> usize {
        let after = self.starts.partition_point(|(start, _)| *start <= offset);
        let (start, at) = self.starts[after.saturating_sub(1)];
        at + offset.saturating_sub(start)
    }
}

impl<'a> Renderer<'a> {
    fn part(&mut self, part: &Part) -> Rebuilt {
        let source = part.file.text();
        let mut rebuilt = Rebuilt { text: String::with_capacity(source.len()), starts: Vec::new() };
        let mut from = 0;
        for item in &part.items {
            let range = item.range();
            rebuilt.starts.push((from, rebuilt.text.len()));
            rebuilt.text.push_str(&source[from..range.start]);
            rebuilt.starts.push((range.start, rebuilt.text.len()));
            let replacement = match item {
                PartItem::Block(block, options) => {
                    self.block(options, &block.view.place).map(|it| self.placed(&it, &block.prefix))
                }
                PartItem::Value(value) => self.value(value),
                PartItem::Included(_, part) => Some(self.part(part).text),
            };
            rebuilt.text.push_str(&replacement.unwrap_or_default());
            from = range.end;
        }
        rebuilt.starts.push((from, rebuilt.text.len()));
        rebuilt.text.push_str(&source[from..]);
        rebuilt
    }

    /// What replaces a block stays inside the list item or quote that held it.
    fn placed(&self, rendered: &str, prefix: &str) -> String {
        match self.form {
            Form::Html => rendered.to_owned(),
            Form::Markdown => rendered.lines().collect::<Vec<_>>().join(&format!("\n{prefix}")),
        }
    }

    /// The recipe a block or value speaks of; `None`, with a finding, when there is none.
    pub(super) fn recipe(&mut self, named: Option<&Located<String>>, place: &Place) -> Option<&'a Ledger> {
        let Some(name) = named.or(self.page_recipe).cloned() else {
            self.findings.push(Finding::no_recipe_on_page(place.clone()));
            return None;
        };
        let recipes = self.shelf.recipes;
        let Some(recipe) = recipes.get(&name.value) else {
            // The page's recipe is reported once, at the block that names it.
            let finding = Finding::unknown_recipe(
                name.place,
                &name.value,
                nearest(&name.value, recipes.keys().map(String::as_str)),
            );
            if !self.findings.contains(&finding) {
                self.findings.push(finding);
            }
            return None;
        };
        self.recipes.insert(name.value);
        recipe.as_ref()
    }

    /// Tells a misspelt value of a recipe that cannot be computed for errors of its own.
    fn check_name(&mut self, value: &ValueSite) {
        let names = self.page_recipe.and_then(|it| self.shelf.names.get(&it.value));
        if let Some(names) = names
            && let Err(finding) = evaluate(&value.expression.value, &value.expression.place, names)
            && finding.code == "unknown-value"
        {
            self.findings.push(*finding);
        }
    }

    /// A text without the marks of figures, which are noted.
    pub(super) fn noted(&mut self, text: &str, recipe: Option<&str>, place: &Place) -> String {
        let (text, printed) = self.notes.taken_out(text, self.form, recipe, place);
        self.printed.extend(printed);
        text
    }

    /// What a value gives, marked as what it is of.
    pub(super) fn evaluated(&mut self, value: &ValueSite, ledger: &'a Ledger) -> Result<String, Box<Finding>> {
        let expression = &value.expression;
        if speaks_of_lye(&expression.value) {
            self.lye_shown_for.push(ledger);
        }
        let id = &ledger.recipe.id;
        let values = self.values.entry(id.clone()).or_insert_with(|| Values::new(ledger, self.shelf.units));
        let it = values.evaluate(&expression.value, &expression.place)?;
        Ok(self.notes.mark(ledger, it.figure.map(|(figure, _)| &figure.key), &expression.value, &it.text))
    }

    fn value(&mut self, value: &ValueSite) -> Option<String> {
        let place = &value.expression.place;
        // What is typed needs no recipe, and says nothing of one.
        if let Some(text) = literal(&value.expression.value) {
            return Some(text.to_owned());
        }
        let Some(ledger) = self.recipe(None, place) else {
            self.check_name(value);
            return None;
        };
        match self.evaluated(value, ledger) {
            Ok(text) => {
                let form = if value.is_in_text { self.form } else { Form::Markdown };
                let (text, printed) = self.notes.taken_out(&text, form, None, place);
                self.printed.extend(printed);
                Some(text)
            }
            Err(finding) => {
                self.findings.push(*finding);
                None
            }
        }
    }
}
