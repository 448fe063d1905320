//! Puts the computed blocks and values into a lesson page.
//!
//! Layer 6. The text is rebuilt once, front to back, from the author's own bytes and what replaces the found items. A
//! page is rendered as a whole, so that everything wrong with it is told at once.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::block::{Block, Item, ValueSite, find};
use super::cautions::cautions;
use super::glossary::Entry;
use super::options::{BlockOptions, Only};
use super::part::{
    Part, PartItem, computes_prose, first_glossary, first_with_lye, n_practices, page_recipe, read_part, shows_lye,
};
use super::printer::{Notes, Printed, Printer};
use super::prose::{as_index, read_prose};
use super::template::one_line;
use super::values::{Values, evaluate, literal};
use super::view::{
    AnswersView, PracticeView, compare_view, fats_view, glossary_view, layers_view, practice_view, profile_view,
    recipe_view, safety_view, timeline_view, worked_view, yield_view,
};
use super::{Form, Shelf};
use crate::finding::{Finding, nearest, without_echoes};
use crate::ledger::{Ledger, speaks_of_lye};
use crate::rules::{no_cautions, typed_quantity};
use crate::source::{Located, Place, SourceFile};

/// The views a block may name.
const VIEWS: [&str; 11] =
    ["recipe", "worked", "layers", "timeline", "safety", "profile", "yield", "fats", "compare", "practice", "glossary"];

/// A lesson page to render.
pub struct Page<'a> {
    /// The page's Markdown.
    pub file: &'a Arc<SourceFile>,
    /// Names the page in what the browser remembers; the same wherever the course lies.
    pub id: &'a str,
    /// What it is made for.
    pub form: Form,
    /// Finds a file that a file includes: the including file's path and the path typed there.
    pub included: &'a dyn Fn(&str, &str) -> Option<Arc<SourceFile>>,
}

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
pub fn render(page: &Page<'_>, shelf: &Shelf<'_>) -> Rendered {
    let mut findings = Vec::new();
    let part = read_part(page, page.file, &mut vec![page.file.path().to_owned()], &mut findings);
    let page_recipe = page_recipe(&part);
    findings.extend(typed_quantities(page, shelf, &part, page_recipe.as_ref()));
    let mut renderer = Renderer {
        page,
        shelf,
        page_recipe,
        findings,
        recipes: BTreeSet::new(),
        n_cards: 0,
        numbers_practice: n_practices(&part) > 1,
        practices: Vec::new(),
        lye_shown_for: Vec::new(),
        has_safety: false,
        notes: Notes::default(),
        printed: Vec::new(),
        values: BTreeMap::new(),
    };
    // Text and cautions are put together last: what the cautions say depends on every recipe of the page.
    let first_lye = first_with_lye(&part).or_else(|| first_glossary(&part));
    let mut text = renderer.part(&part);
    if let Some(offset) = first_lye
        && !renderer.lye_shown_for.is_empty()
        && let Some(finding) = no_cautions::check(line_at(page.file, offset), renderer.has_safety)
    {
        renderer.findings.push(finding);
        let block = renderer.automatic_safety(&part, offset);
        let at = text.offset_of(offset);
        text.text.insert_str(at, &format!("{block}\n\n"));
    }
    renderer.answers_at_the_end(&part, &mut text.text);
    renderer.findings.extend_from_slice(shelf.glossary.findings_of(page.file.path()));
    renderer.findings.sort_by_key(|it| (it.place.file.path() != page.file.path(), it.place.span.start));
    let Renderer { findings, recipes, mut printed, .. } = renderer;
    printed.sort_by_key(|it| (it.place.file.path() != page.file.path(), it.place.span.start));
    Rendered { text: text.text, findings: without_echoes(findings), recipes, printed }
}

/// The line that starts at an offset, without its end.
fn line_at(file: &Arc<SourceFile>, offset: usize) -> Place {
    let line = file.text()[offset..].lines().next().unwrap_or_default();
    Place { file: Arc::clone(file), span: offset..offset + line.trim_end().len() }
}

/// The amounts typed by hand into a page that has a recipe: one on a card, or in a value.
fn typed_quantities(page: &Page<'_>, shelf: &Shelf<'_>, part: &Part, recipe: Option<&Located<String>>) -> Vec<Finding> {
    if !computes_prose(part) {
        return Vec::new();
    }
    let prose = read_prose(page.file, &as_index(page.id), page.included).prose;
    let ledger = recipe.and_then(|it| shelf.recipes.get(&it.value)?.as_ref());
    typed_quantity::check(&prose, ledger)
}

/// The ids of the fats of a recipe, those stirred in later among them.
fn fats_used(ledger: &Ledger) -> impl Iterator<Item = &str> {
    let recipe = &ledger.recipe;
    recipe.fats.iter().map(|it| &it.fat).chain(recipe.late_fats.iter().map(|it| &it.fat)).map(|it| it.id.as_str())
}

struct Renderer<'a> {
    page: &'a Page<'a>,
    shelf: &'a Shelf<'a>,
    page_recipe: Option<Located<String>>,
    findings: Vec<Finding>,
    recipes: BTreeSet<String>,
    n_cards: usize,
    /// Whether there are several exercises, which then have numbers.
    numbers_practice: bool,
    /// The exercises so far.
    practices: Vec<PracticeView>,
    /// The recipes whose lye the page shows, in the order of the page.
    lye_shown_for: Vec<&'a Ledger>,
    has_safety: bool,
    notes: Notes,
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
                PartItem::Block(block, options) => self.block(block, options).map(|it| self.placed(&it, &block.prefix)),
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
        match self.page.form {
            Form::Html => rendered.to_owned(),
            Form::Markdown => rendered.lines().collect::<Vec<_>>().join(&format!("\n{prefix}")),
        }
    }

    /// The recipe a block or value speaks of; `None`, with a finding, when there is none.
    fn recipe(&mut self, named: Option<&Located<String>>, place: &Place) -> Option<&'a Ledger> {
        let Some(name) = named.or(self.page_recipe.as_ref()).cloned() else {
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

    /// The recipe that a variant is based on; where the variant could be computed, so could its base.
    fn base_of(&self, ledger: &Ledger) -> Option<&'a Ledger> {
        ledger.recipe.based_on.as_ref().and_then(|it| self.shelf.recipes.get(it)?.as_ref())
    }

    /// Tells a misspelt value of a recipe that cannot be computed for errors of its own.
    fn check_name(&mut self, value: &ValueSite) {
        let names = self.page_recipe.as_ref().and_then(|it| self.shelf.names.get(&it.value));
        if let Some(names) = names
            && let Err(finding) = evaluate(&value.expression.value, &value.expression.place, names)
            && finding.code == "unknown-value"
        {
            self.findings.push(*finding);
        }
    }

    fn block(&mut self, block: &Block, options: &BlockOptions) -> Option<String> {
        let view = block.view.value.as_str();
        if !VIEWS.contains(&view) {
            let near = nearest(view, VIEWS);
            self.findings.push(Finding::unknown_view(block.view.place.clone(), view, near, &VIEWS));
            return None;
        }
        self.has_safety |= view == "safety";
        let place = &block.view.place;
        if view == "fats" {
            return self.fats(options, place);
        }
        if view == "glossary" {
            return self.glossary(place);
        }
        let Some(ledger) = self.recipe(options.recipe.as_ref(), place) else {
            self.check_names_of_exercise(options);
            return None;
        };
        if shows_lye(view, options) {
            self.lye_shown_for.push(ledger);
        }
        let rendered = self.view(view, options, ledger, place);
        let recipe = &ledger.recipe.id;
        rendered
            .map_err(|finding| self.findings.push(*finding))
            .ok()
            .flatten()
            .map(|it| self.noted(&it, Some(recipe), place))
    }

    /// A text without the marks of figures, which are noted.
    fn noted(&mut self, text: &str, recipe: Option<&str>, place: &Place) -> String {
        let (text, printed) = self.notes.taken_out(text, self.page.form, recipe, place);
        self.printed.extend(printed);
        text
    }

    /// Draws a figure; what is wrong with its template is told.
    fn figure(&mut self, template: &str, data: &impl serde::Serialize, place: &Place) -> String {
        let drawn = self.shelf.templates.render(template, data, place);
        drawn.map_err(|finding| self.findings.push(*finding)).unwrap_or_default()
    }

    /// A block about one recipe; nothing where the recipe has nothing to show, which is told.
    fn view(
        &mut self,
        view: &str,
        options: &BlockOptions,
        ledger: &'a Ledger,
        place: &Place,
    ) -> Result<Option<String>, Box<Finding>> {
        let tables = self.shelf.tables;
        // The notes are taken out of the renderer while it is used otherwise.
        let notes = std::mem::take(&mut self.notes);
        let print = Printer { ledger, tables, notes: &notes };
        let rendered = match view {
            "recipe" => {
                self.n_cards += 1;
                let key = format!("{}#{}", self.page.id, self.n_cards);
                self.template("recipe", &recipe_view(key, print), place).map(Some)
            }
            "worked" => self.template("worked", &worked_view(print), place).map(Some),
            "layers" => match layers_view(print) {
                Some(mut view) => {
                    view.figure = self.figure("cross-section.svg", &view.cross_section, place);
                    self.template("layers", &view, place).map(Some)
                }
                None => Err(Box::new(Finding::no_layers(place.clone(), &ledger.recipe.id))),
            },
            "timeline" => {
                let mut view = timeline_view(print);
                view.figure = self.figure("timeline.svg", &view.figure_data, place);
                self.template("timeline", &view, place).map(Some)
            }
            "practice" => self.practice(options, print, place),
            "compare" => match self.base_of(ledger) {
                Some(base) => {
                    let resized = base.for_fats(ledger.batch.total_fats, tables);
                    let of = |ledger| Printer { ledger, ..print };
                    self.template("compare", &compare_view(of(base), of(&resized), print), place).map(Some)
                }
                None => Err(Box::new(Finding::not_a_variant(place.clone(), &ledger.recipe.id))),
            },
            "yield" => self.template("yield", &yield_view(print), place).map(Some),
            "profile" => {
                let mut view = profile_view(print);
                if !view.figure_data.bars.is_empty() {
                    view.figure = self.figure("profile.svg", &view.figure_data, place);
                }
                self.template("profile", &view, place).map(Some)
            }
            _ => self.safety(&[ledger], &notes, place).map(Some),
        };
        self.notes = notes;
        rendered
    }

    /// The table of fats: all of them, those of the course's recipes, or those that the block names.
    fn fats(&mut self, options: &BlockOptions, place: &Place) -> Option<String> {
        let Shelf { tables, recipes, .. } = *self.shelf;
        let mut fats = Vec::new();
        let title = match &options.only {
            None => {
                fats.extend(tables.fats.values());
                "All fats, by name"
            }
            Some(Only::Used) => {
                let used: BTreeSet<&str> = recipes.values().flatten().flat_map(fats_used).collect();
                fats.extend(tables.fats.values().filter(|it| used.contains(it.id.as_str())));
                "The fats of this course, by name"
            }
            Some(Only::Named(names)) => {
                for name in names {
                    match tables.fats.get(&name.value) {
                        Some(fat) => fats.push(fat),
                        None => self.findings.push(Finding::unknown_fat(
                            name.place.clone(),
                            &name.value,
                            nearest(&name.value, tables.fats.keys().map(String::as_str)),
                        )),
                    }
                }
                "Fats chosen for this page"
            }
        };
        if !matches!(options.only, Some(Only::Named(_))) {
            fats.sort_by_key(|it| it.name.to_lowercase());
        }
        self.template("fats", &fats_view(title, &fats), place).map_err(|finding| self.findings.push(*finding)).ok()
    }

    fn practice(
        &mut self,
        options: &BlockOptions,
        print: Printer<'_>,
        place: &Place,
    ) -> Result<Option<String>, Box<Finding>> {
        let Some(exercise) = &options.exercise else { return Ok(None) };
        let (worked_out, findings) = exercise.work_out(print.ledger, self.shelf, print.notes);
        self.findings.extend(findings);
        let Some(worked_out) = worked_out else { return Ok(None) };
        let number = self.numbers_practice.then_some(self.practices.len() + 1);
        let view = practice_view(number, print.ledger, worked_out, self.page.form);
        let rendered = self.template("practice", &view, place);
        self.practices.push(view);
        rendered.map(Some)
    }

    /// Tells misspelt values of an exercise whose recipe cannot be computed for errors of its own.
    fn check_names_of_exercise(&mut self, options: &BlockOptions) {
        let recipe = options.recipe.as_ref().or(self.page_recipe.as_ref());
        if let Some(exercise) = &options.exercise
            && let Some(names) = recipe.and_then(|it| self.shelf.names.get(&it.value))
        {
            self.findings.extend(exercise.unknown_values(names));
        }
    }

    /// Without a browser nothing can be opened: the answers stand at the end of the page, away from the questions.
    fn answers_at_the_end(&mut self, part: &Part, text: &mut String) {
        if self.page.form == Form::Html || self.practices.is_empty() {
            return;
        }
        let end = part.file.text().len();
        let place = Place { file: Arc::clone(&part.file), span: end..end };
        let answers = AnswersView::new(std::mem::take(&mut self.practices));
        match self.template("practice-answers", &answers, &place) {
            Ok(answers) => {
                let answers = self.noted(&answers, None, &place);
                *text = format!("{}\n\n{answers}", text.trim_end_matches(['\n', '\r']));
            }
            Err(finding) => self.findings.push(*finding),
        }
    }

    /// The terms of the course.
    fn glossary(&mut self, place: &Place) -> Option<String> {
        let glossary = self.shelf.glossary;
        let page_id = as_index(self.page.id);
        let view = glossary_view(glossary.entries(), &page_id, |entry, meaning| self.meaning(entry, meaning));
        let rendered = self.template("glossary", &view, place).map_err(|finding| self.findings.push(*finding)).ok()?;
        Some(self.noted(&rendered, None, place))
    }

    /// What an entry of the glossary means, with the values of its own page. What cannot be computed is told there, and
    /// blocks and included files stay where they are.
    fn meaning(&mut self, entry: &Entry, meaning: &str) -> String {
        let file = SourceFile::new("", meaning);
        let (items, _) = find(&file);
        let ledger = entry.recipe.as_ref().and_then(|it| self.shelf.recipes.get(it)?.as_ref());
        let (mut worded, mut from) = (String::with_capacity(meaning.len()), 0);
        for item in items {
            let range = item.range().clone();
            worded.push_str(&meaning[from..range.start]);
            from = range.end;
            let Item::Value(value) = item else { continue };
            if let Some(text) = literal(&value.expression.value) {
                worded.push_str(text);
            } else if let Some(ledger) = ledger
                && let Ok(text) = self.evaluated(&value, ledger)
            {
                worded.push_str(&text);
            }
        }
        worded.push_str(&meaning[from..]);
        worded
    }

    /// What a value gives, marked as what it is of.
    fn evaluated(&mut self, value: &ValueSite, ledger: &'a Ledger) -> Result<String, Box<Finding>> {
        let expression = &value.expression;
        if speaks_of_lye(&expression.value) {
            self.lye_shown_for.push(ledger);
        }
        let id = &ledger.recipe.id;
        let values = self.values.entry(id.clone()).or_insert_with(|| Values::new(ledger, self.shelf.units));
        let it = values.evaluate(&expression.value, &expression.place)?;
        Ok(self.notes.mark(id, it.figure.map(|(figure, _)| &figure.key), &expression.value, &it.text))
    }

    fn safety(&self, recipes: &[&Ledger], notes: &Notes, place: &Place) -> Result<String, Box<Finding>> {
        let mut titles: Vec<&str> = Vec::new();
        for recipe in recipes {
            if !titles.contains(&recipe.recipe.title.as_str()) {
                titles.push(&recipe.recipe.title);
            }
        }
        let view = safety_view(cautions(recipes, self.shelf.tables, notes), titles.join(", "));
        self.template("safety", &view, place)
    }

    /// The cautions of a page whose author wrote no `safety` block.
    fn automatic_safety(&mut self, part: &Part, offset: usize) -> String {
        let place = Place { file: Arc::clone(&part.file), span: offset..offset };
        let recipes = self.lye_shown_for.clone();
        let notes = std::mem::take(&mut self.notes);
        let block = self.safety(&recipes, &notes, &place);
        self.notes = notes;
        let block = block.map_err(|finding| self.findings.push(*finding)).unwrap_or_default();
        self.noted(&block, None, &place)
    }

    fn template(&self, view: &str, data: &impl serde::Serialize, place: &Place) -> Result<String, Box<Finding>> {
        let templates = self.shelf.templates;
        match self.page.form {
            Form::Html => templates.render(&format!("{view}.html"), data, place).map(|it| one_line(&it)),
            Form::Markdown => templates
                .render(&format!("{view}.md"), data, place)
                .map(|it| format!("<!--kettle-->\n\n{}\n", it.trim())),
        }
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
                let form = if value.is_in_text { self.page.form } else { Form::Markdown };
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
