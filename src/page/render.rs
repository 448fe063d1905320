//! Puts the computed blocks and values into a lesson page.
//!
//! Layer 6. The text is rebuilt once, front to back, from the author's own bytes and what replaces the found items. A
//! page is rendered as a whole, so that everything wrong with it is told at once.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::block::ValueSite;
use super::of_what::of_another;
use super::plain::without_directives;
use super::printer::{Notes, Printed};
use super::read::{Page, Part, PartItem};
use super::values::{Values, literal};
use super::view::PracticeView;
use super::words::amount_words;
use super::{Form, Shelf};
use crate::finding::{Finding, hides_a_block, without_echoes, without_echoes_of_blocks};
use crate::ledger::Ledger;
use crate::prose::{quantities, unit_behind};
use crate::rules::{no_cautions, typed_quantity};
use crate::source::{Located, Place, SourceFile};

/// A rendered page.
pub struct Rendered {
    /// The Markdown with everything put in.
    pub text: String,
    /// What is wrong with the page.
    pub findings: Vec<Finding>,
    /// The recipes it shows; all of them if one of its blocks could not be read.
    pub recipes: BTreeSet<String>,
    /// The figures that it prints, in the order of the page.
    pub printed: Vec<Printed>,
    /// In HTML, its blocks and values by their numbers; of values, only where a student asks.
    pub pieces: Vec<String>,
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
        page_recipes: page.recipes(),
        findings,
        recipes: BTreeSet::new(),
        n_cards: 0,
        numbers_practice: page.n_practices() > 1,
        practices: Vec::new(),
        lye_shown_for: Vec::new(),
        notes: &notes,
        printed: Vec::new(),
        pieces: Vec::new(),
        values: BTreeMap::new(),
    };
    // What the cautions say, wherever they stand, depends on every recipe of the page.
    renderer.lye_shown_for = renderer.lye_of(&page.part);
    let mut text = renderer.part(&page.part);
    if let Some(offset) = page.first_with_lye()
        && !renderer.lye_shown_for.is_empty()
        && let Some(finding) = no_cautions::check(&line_at(file, offset), page.first_safety())
    {
        renderer.findings.push(finding);
        let block = renderer.automatic_safety(offset);
        let block = renderer.piece(block);
        let at = text.offset_of(offset);
        text.text.insert_str(at, &format!("{block}\n\n"));
    }
    renderer.answers_at_the_end(&mut text.text);
    renderer.findings.extend_from_slice(shelf.glossary.findings_of(file.path()));
    let is_elsewhere = |place: &Place| (place.file.path() != file.path(), place.span.start);
    renderer.findings.sort_by_key(|it| is_elsewhere(&it.place));
    let Renderer { findings, mut recipes, mut printed, pieces, .. } = renderer;
    printed.sort_by_key(|it| is_elsewhere(&it.place));
    // A block that could not be read may be of any recipe.
    if hides_a_block(&findings) {
        recipes.extend(shelf.recipes.keys().cloned());
    }
    let findings = without_echoes_of_blocks(without_echoes(findings));
    Rendered { text: text.text, findings, recipes, printed, pieces }
}

/// The line that starts at an offset, without its end.
fn line_at(file: &Arc<SourceFile>, offset: usize) -> Place {
    let line = file.text()[offset..].lines().next().unwrap_or_default();
    Place { file: Arc::clone(file), span: offset..offset + line.trim_end().len() }
}

/// The figures typed by hand into a page. Where it has a card, or values, any mass in its prose should be one.
fn typed_quantities(page: &Page, shelf: &Shelf<'_>) -> Vec<Finding> {
    let ledgers = page.recipes().into_iter().filter_map(|it| shelf.recipe(&it.value)?.as_ref());
    let ledgers: Vec<_> = ledgers.collect();
    let words = &page.words;
    let prose = words.prose.iter().chain(&words.in_html);
    typed_quantity::check(prose, &ledgers, page.computes_prose(), amount_words)
}

/// A unit that is typed behind a value, though the value has one of its kind.
fn unit_after(value: &ValueSite, printed: &str) -> Option<Finding> {
    let file = &value.expression.place.file;
    let (dimension, end) = unit_behind(file.text(), value.range.end)?;
    let quantities = quantities(printed);
    quantities.last().filter(|it| it.span.end == printed.len() && it.dimension == dimension)?;
    let behind = &file.text()[value.range.end..end];
    let unit = behind.trim_start();
    let place = Place { file: Arc::clone(file), span: end - unit.len()..end };
    Some(Finding::unit_after_value(place, unit, printed))
}

/// What a page becomes, block by block; the blocks are in `blocks.rs`.
pub(super) struct Renderer<'a> {
    pub(super) page: &'a Page,
    pub(super) form: Form,
    pub(super) shelf: &'a Shelf<'a>,
    /// The recipes that what names none may be of.
    pub(super) page_recipes: Vec<&'a Located<String>>,
    pub(super) findings: Vec<Finding>,
    pub(super) recipes: BTreeSet<String>,
    pub(super) n_cards: usize,
    /// Whether there are several exercises, which then have numbers.
    pub(super) numbers_practice: bool,
    /// The exercises so far.
    pub(super) practices: Vec<PracticeView>,
    /// The recipes whose lye the page shows, in the order of the page.
    pub(super) lye_shown_for: Vec<&'a Ledger>,
    pub(super) notes: &'a Notes,
    printed: Vec<Printed>,
    pub(super) pieces: Vec<String>,
    /// The values of the recipes that sentences have named so far.
    pub(super) values: BTreeMap<String, Values<'a>>,
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
                    let drawn = self.block(options, &block.view.place);
                    self.piece_or_none(drawn).map(|it| self.placed(&it, &block.prefix))
                }
                PartItem::Value(value) => {
                    let shown = self.value(value).or_else(|| self.own_missing().filter(|_| value.is_in_text));
                    let shown = shown.map(|it| without_directives(&it));
                    if value.is_in_text { self.piece_or_none(shown) } else { shown }
                }
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

    /// A text without the marks of figures, which are noted.
    pub(super) fn noted(&mut self, text: &str, recipe: Option<&str>, place: &Place) -> String {
        let (text, printed) = self.notes.taken_out(text, self.form, recipe, place);
        self.printed.extend(printed);
        text
    }

    fn value(&mut self, value: &ValueSite) -> Option<String> {
        let place = &value.expression.place;
        // What is typed needs no recipe, and says nothing of one.
        if let Some(text) = literal(&value.expression.value) {
            self.findings.extend(unit_after(value, text));
            return Some(text.to_owned());
        }
        if self.page_recipes.is_empty() && !self.names_its_recipes(&value.expression) {
            self.findings.push(Finding::no_recipe_on_page(place.clone()));
            return None;
        }
        let of_page: Vec<&'a str> = self.page_recipes.iter().map(|it| it.value.as_str()).collect();
        match self.evaluated(&value.expression, &of_page) {
            Ok(None) => None,
            Ok(Some(text)) => {
                let plain = self.notes.taken_out(&text, Form::Markdown, None, place).0;
                self.findings.extend(unit_after(value, &plain));
                let form = if value.is_in_text { self.form } else { Form::Markdown };
                let (text, printed) = self.notes.taken_out(&text, form, None, place);
                for it in &printed {
                    let ledger = self.shelf.recipe(&it.recipe).and_then(Option::as_ref);
                    let (Some(key), Some(ledger)) = (&it.key, ledger) else { continue };
                    self.findings.extend(of_another(value, key, ledger, self.shelf.tables));
                }
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
