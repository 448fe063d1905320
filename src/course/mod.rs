//! A course: its settings, tables, recipes and templates, read and checked.
//!
//! Layer 7. `load.rs` is the one place of the library that opens files; everything else works on texts, so that a
//! course can be made in memory. Pages come from outside, since mdBook knows their order.

mod contents;
mod differences;
mod list;
mod load;
mod own;
mod own_page;
mod pages_folder;
mod settings;
mod sized;
mod tried;
mod variants;

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::sync::Arc;

pub use contents::{Contents, LessonFiles, SUMMARY};
pub use differences::{Differences, FigureDifference, LessonDifferences, OldSheet, State};
pub use list::{Listed, Listing, PageUses};
pub use load::{CourseFiles, LoadError, included_file, read_file};
pub use own::{Fields, OwnRecipe, Said};
pub use own_page::{CourseTexts, IncludedText, LessonText, OwnPage, PageTexts, included_by, mark_of_page};
pub use settings::{Look, SCRIPT, SHEETS, STYLE_SHEET, Settings, TOKENS};

use crate::finding::{Finding, nearest, without_echoes};
use crate::ledger::{Ledger, Scales};
use crate::page::{
    Form, Glossary, Included, Lesson, NO_OWN, Names, Own, Page, Programme, Rendered, Shelf, Templates, names_of,
    page_marker, paper, render,
};
use crate::reader::composed;
use crate::recipe::{Changes, RawRecipe, Recipe, RecipeFile, validate};
use crate::rules::{acknowledge, check};
use crate::source::{Extract, Place, SourceFile};
use crate::tables::Tables;
use sized::sized;
use variants::{Outcome, outcome_of, outcomes};

/// A course, ready to render its pages.
pub struct Course {
    settings: Settings,
    tables: Tables,
    recipes: BTreeMap<String, Option<Ledger>>,
    names: BTreeMap<String, Names>,
    recipe_files: BTreeMap<String, RecipeFile>,
    outcomes: BTreeMap<String, Outcome>,
    templates: Templates,
    glossary: Glossary,
    programme: Programme,
}

impl Course {
    /// Reads and computes everything but the pages. The findings come in reading order: settings, tables, recipes,
    /// templates.
    #[must_use]
    pub fn new(files: &CourseFiles) -> (Course, Vec<Finding>) {
        let (tables, table_findings) = Tables::load(&files.tables);
        let (settings, mut findings) = Settings::read(&files.book_toml, &tables.limits);
        findings.extend(table_findings);
        let (recipe_like, misnamed): (Vec<_>, Vec<_>) =
            files.recipes.iter().partition(|it| it.path().ends_with(".toml") && !it.name_in("recipes").contains('/'));
        findings.extend(misnamed.into_iter().map(|it| Finding::misnamed_recipe(start_of(it), it.name_in("recipes"))));
        let parsed = recipe_like.iter().map(|it| RecipeFile::parse(&recipe_id(it), it));
        let recipe_files: BTreeMap<String, RecipeFile> = parsed.map(|it| (it.id.clone(), it)).collect();
        let mut outcomes = outcomes(&recipe_files, &tables, &settings);
        let mut titles: BTreeMap<&str, &str> = BTreeMap::new();
        let mut same_titles = Vec::new();
        for (id, title) in outcomes.iter().filter_map(|(id, it)| Some((id, it.raw.title.as_ref()?))) {
            match titles.get(title.value.as_str()) {
                // A variant without a title of its own is told of that.
                Some(other) if recipe_files[id].file.path() == title.place.file.path() => {
                    same_titles.push(Finding::same_title(title.place.clone(), &title.value, other));
                }
                Some(_) => {}
                None => drop(titles.insert(&title.value, id)),
            }
        }
        findings.append(&mut same_titles);
        let (mut names, mut recipes) = (BTreeMap::new(), BTreeMap::new());
        for file in recipe_like {
            let id = recipe_id(file);
            let Some(outcome) = outcomes.get_mut(&id) else { continue };
            findings.extend(outcome.told.iter().cloned());
            if outcome.is_whole {
                names.insert(id.clone(), names_of(&outcome.raw, &tables));
            }
            recipes.insert(id, outcome.computed.take());
        }
        let (templates, template_findings) = Templates::load(&files.templates);
        findings.extend(template_findings);
        // Of a file that is no text nothing else can be said.
        let is_text = |it: &Finding| it.place.file.not_text().is_none();
        let all = [&files.book_toml].into_iter().chain(&files.tables).chain(&files.recipes).chain(&files.templates);
        let not_text = all.filter_map(|it| it.not_text()).map(Finding::not_utf_8);
        let findings = not_text.chain(without_echoes(findings).into_iter().filter(is_text)).collect();
        let (glossary, programme) = (Glossary::default(), Programme::default());
        (Course { settings, tables, recipes, names, recipe_files, outcomes, templates, glossary, programme }, findings)
    }

    /// Reads the pages, given in reading order, and the terms of all of them, before any is rendered.
    ///
    /// The findings are about the settings; what is found in a page is told when it is rendered.
    pub fn read_pages(&mut self, lessons: Vec<Lesson>, included: Included<'_>) -> (Vec<Page>, Vec<Finding>) {
        let pages: Vec<Page> = lessons.into_iter().map(|it| Page::read(it, included)).collect();
        let (glossary, mut findings) = Glossary::of(&pages, &self.settings.ordinary_words);
        self.glossary = glossary;
        let is_listed =
            |page: &Page| !self.settings.left_out_of_print.iter().any(|it| is_page_in(page.path(), &it.value));
        self.programme = Programme::of(&pages, &is_listed);
        for it in &self.settings.left_out_of_print {
            if !pages.iter().any(|page| is_page_in(page.path(), &it.value)) {
                let near = nearest(&it.value, pages.iter().map(Page::path));
                findings.push(Finding::nothing_to_leave_out(it.place.clone(), &it.value, near));
            }
        }
        (pages, findings)
    }

    /// Renders a page; see [`crate::page::render`].
    #[must_use]
    pub fn render(&self, page: &Page, form: Form) -> Rendered {
        self.render_with(page, form, &NO_OWN, false)
    }

    /// The same for a student who set some recipes otherwise.
    ///
    /// - `own_is_asked`: whether its pieces are wanted one by one.
    fn render_with(&self, page: &Page, form: Form, own: &BTreeMap<String, Own>, own_is_asked: bool) -> Rendered {
        let shelf = Shelf {
            recipes: &self.recipes,
            names: &self.names,
            tables: &self.tables,
            own,
            has_controls: self.settings.has_student_controls,
            own_is_asked,
            templates: &self.templates,
            glossary: &self.glossary,
            programme: &self.programme,
        };
        let mut rendered = render(page, form, &shelf);
        if self.settings.has_student_controls && !rendered.pieces.is_empty() && !rendered.recipes.is_empty() {
            rendered.text.push_str(&page_marker(page.path(), &rendered.recipes));
        }
        let is_left_out = || self.settings.left_out_of_print.iter().any(|it| is_page_in(page.path(), &it.value));
        if form == Form::Html && is_left_out() {
            // The script finds the page by it among all others.
            rendered.text.insert_str(0, "<!--kettle--><div class=\"kettle-left-out\"></div>\n\n");
        }
        rendered
    }

    /// The batch sheet of a recipe; see [`crate::page::paper`].
    ///
    /// # Errors
    ///
    /// A finding at a template of the course that cannot be used, or loses cautions.
    pub fn paper(&self, ledger: &Ledger) -> Result<String, Box<Finding>> {
        paper(ledger, &self.tables, &self.templates, None, false)
    }

    /// The same among the pages of a course, where it may be made anew for what a student set.
    ///
    /// # Errors
    ///
    /// As [`Course::paper`].
    pub fn paper_in_book(&self, ledger: &Ledger) -> Result<String, Box<Finding>> {
        paper(ledger, &self.tables, &self.templates, None, self.settings.has_student_controls)
    }

    /// The batch sheet of a recipe as a student set it, which says in a line what was changed.
    fn paper_of_own(&self, ledger: &Ledger, line: &str) -> Result<String, Box<Finding>> {
        paper(ledger, &self.tables, &self.templates, Some(line), false)
    }

    /// Computes a recipe file with this course's tables, settings and bases; it need not lie in the course.
    ///
    /// The findings are those of the file, after those of the recipes that it rests on.
    #[must_use]
    pub fn compute(&self, id: &str, file: &Arc<SourceFile>, changes: &Changes) -> (Option<Ledger>, Vec<Finding>) {
        self.compute_file(&RecipeFile::parse(id, file), changes)
    }

    fn compute_file(&self, file: &RecipeFile, changes: &Changes) -> (Option<Ledger>, Vec<Finding>) {
        let whole = (&self.tables, &self.settings);
        let outcome = outcome_of(file, &self.recipe_files, &self.outcomes, whole, changes);
        let bases = self.bases_of(outcome.base.as_deref());
        let of_bases = bases.into_iter().rev().filter_map(|it| self.outcomes.get(it));
        let mut findings: Vec<Finding> = of_bases.flat_map(|it| it.told.iter().cloned()).collect();
        // Where recipes are based on each other in a circle, the file is among its own bases.
        let own: Vec<Finding> = outcome.told.into_iter().filter(|it| !findings.contains(it)).collect();
        findings.extend(own);
        (outcome.computed, findings)
    }

    /// A recipe and those that it rests on, nearest first.
    fn bases_of<'a>(&'a self, first: Option<&'a str>) -> Vec<&'a str> {
        let mut bases = Vec::new();
        let mut next = first;
        while let Some(id) = next.filter(|it| !bases.contains(it)) {
            bases.push(id);
            next = self.outcomes.get(id).and_then(|it| it.base.as_deref());
        }
        bases
    }

    /// Notes on the recipes that no page uses, neither by themselves nor by a variant that rests on them.
    #[must_use]
    pub fn unused_recipes(&self, used: &BTreeSet<String>) -> Vec<Finding> {
        let used: BTreeSet<&str> = used.iter().flat_map(|it| self.bases_of(Some(it))).collect();
        let unused =
            self.recipe_files.iter().filter(|(id, it)| !used.contains(id.as_str()) && it.file.not_text().is_none());
        unused.map(|(id, it)| Finding::unused_recipe(start_of(&it.file), id)).collect()
    }

    /// Errors when book.toml does not load the style sheet and the script that HTML pages need.
    #[must_use]
    pub fn missing_assets(&self, form: Form) -> Vec<Finding> {
        match form {
            Form::Html => self.settings.missing_assets.clone(),
            Form::Markdown => Vec::new(),
        }
    }

    /// Where book.toml names the folder of lessons, or would.
    #[must_use]
    pub fn place_of_src(&self) -> &Place {
        &self.settings.src
    }

    /// An error when the pages would be built over the course itself, or among its lessons.
    ///
    /// The folders as they really are, with links followed: of the course, of its lessons, of the pages.
    #[must_use]
    pub fn misplaced_pages(&self, root: &Path, src: &Path, pages: &Path) -> Option<Finding> {
        pages_folder::misplaced(self.settings.build_dir.clone(), root, src, pages)
    }

    /// The recipes by id; `None` for one with errors.
    #[must_use]
    pub fn recipes(&self) -> &BTreeMap<String, Option<Ledger>> {
        &self.recipes
    }

    /// Whether a file is one of the course's recipes; everything else belongs to the course itself.
    #[must_use]
    pub fn is_recipe(&self, file: &SourceFile) -> bool {
        self.recipe_files.values().any(|it| it.file.path() == file.path())
    }

    /// The settings.
    #[must_use]
    pub fn settings(&self) -> &Settings {
        &self.settings
    }

    /// The tables.
    #[must_use]
    pub fn tables(&self) -> &Tables {
        &self.tables
    }
}

/// A recipe's id: its file's name without the ending.
fn recipe_id(file: &SourceFile) -> String {
    let name = file.path().rsplit('/').next().unwrap_or_default();
    composed(name.strip_suffix(".toml").unwrap_or(name))
}

/// From a recipe as typed to everything computed from it, with all that was found on the way.
///
/// What can be computed is, even if there is an error among the findings: then it must not be shown.
///
/// - `base`: of a variant, the recipe that it is based on.
#[must_use]
pub fn compute_recipe(
    raw: &RawRecipe,
    tables: &Tables,
    settings: &Settings,
    changes: &Changes,
    base: Option<&Recipe>,
) -> (Option<Ledger>, Vec<Finding>) {
    let (recipe, mut findings) = validate(raw, tables, &settings.defaults);
    let of_course = Scales {
        grams: settings.scale_grams,
        ounces: settings.scale_ounces,
        units: settings.units,
        temperature: settings.temperature,
    };
    let scales = of_course.with(changes);
    let changed = |recipe: Recipe| sized(changes.applied(recipe)?, changes, of_course, tables);
    let recipe = recipe.and_then(|recipe| changed(recipe).map_err(|finding| findings.push(*finding)).ok());
    let ledger = recipe.map(|recipe| {
        let mut ledger = Ledger::of(recipe, tables, scales, base);
        ledger.is_changed = !changes.are_none();
        findings.extend(check(&ledger, tables));
        // What a warning says to the student stays true when the instructor means it.
        ledger.cautions = findings.iter().filter_map(|it| it.caution.clone()).collect();
        ledger
    });
    let was_computed = ledger.is_some();
    (ledger, acknowledge(findings, &raw.acknowledged, was_computed))
}

/// Whether a page is the one of this name, or in the folder of this name.
fn is_page_in(path: &str, name: &str) -> bool {
    let rest = path.strip_prefix(name.trim_end_matches('/'));
    rest.is_some_and(|it| it.is_empty() || it.starts_with('/'))
}

fn start_of(file: &Arc<SourceFile>) -> Place {
    Extract::whole(file).place(0..1)
}
