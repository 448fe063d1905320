//! A course: its settings, tables, recipes and templates, read and checked.
//!
//! Layer 6. `load.rs` is the one place of the library that opens files; everything else works on texts, so that a
//! course can be made in memory. Pages come from outside, since mdBook knows their order.

mod load;
mod settings;

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

pub use load::{CourseFiles, LoadError, included_file, read_file};
pub use settings::{SCRIPT, STYLE_SHEET, Settings};

use crate::batch::{Scale, Weighed, compute};
use crate::finding::{Finding, Severity, without_echoes};
use crate::findings::{Subject, check};
use crate::page::{Computed, Form, Glossary, Lesson, Page, Rendered, Shelf, Templates, Value, names_of, render};
use crate::recipe::{BatchSize, RawRecipe, validate};
use crate::source::{Extract, Place, SourceFile};
use crate::tables::Tables;

/// A course, ready to render its pages.
pub struct Course {
    settings: Settings,
    tables: Tables,
    recipes: BTreeMap<String, Option<Computed>>,
    names: BTreeMap<String, BTreeMap<String, Value>>,
    recipe_files: BTreeMap<String, Arc<SourceFile>>,
    templates: Templates,
    glossary: Glossary,
}

impl Course {
    /// Reads and computes everything but the pages. The findings come in reading order: settings, tables, recipes,
    /// templates.
    #[must_use]
    pub fn new(files: &CourseFiles) -> (Course, Vec<Finding>) {
        let (settings, mut findings) = Settings::read(&files.book_toml);
        let (tables, table_findings) = Tables::load(&files.tables);
        findings.extend(table_findings);
        let mut recipes = BTreeMap::new();
        let (mut names, mut recipe_files) = (BTreeMap::new(), BTreeMap::new());
        for file in &files.recipes {
            let id = recipe_id(file);
            let (raw, mut recipe_findings) = RawRecipe::read(&id, file);
            let (computed, more) = compute_recipe(&raw, &tables, &settings, &Overrides::default());
            recipe_findings.extend(more);
            recipe_findings.sort_by_key(|it| it.place.span.start);
            // A page must not show a recipe that has an error, not even while the other findings are collected.
            let failed = recipe_findings.iter().any(|it| it.severity == Severity::Error);
            let computed = computed.filter(|_| !failed);
            findings.extend(recipe_findings);
            names.insert(id.clone(), names_of(&raw, &tables));
            recipes.insert(id.clone(), computed);
            recipe_files.insert(id, Arc::clone(file));
        }
        let (templates, template_findings) = Templates::load(&files.templates);
        findings.extend(template_findings);
        let findings = without_echoes(findings);
        let glossary = Glossary::default();
        (Course { settings, tables, recipes, names, recipe_files, templates, glossary }, findings)
    }

    /// Reads the terms of all pages, given in reading order, before any of them is rendered.
    ///
    /// The findings are about the settings; what is found in a page is told when it is rendered.
    pub fn read_glossary(
        &mut self,
        lessons: &[Lesson],
        included: &dyn Fn(&str, &str) -> Option<Arc<SourceFile>>,
    ) -> Vec<Finding> {
        let (glossary, findings) = Glossary::read(lessons, &self.settings.ordinary_words, included);
        self.glossary = glossary;
        findings
    }

    /// Renders a page; see [`crate::page::render`].
    #[must_use]
    pub fn render(&self, page: &Page<'_>) -> Rendered {
        let shelf = Shelf {
            recipes: &self.recipes,
            names: &self.names,
            tables: &self.tables,
            units: self.settings.units,
            templates: &self.templates,
            glossary: &self.glossary,
        };
        render(page, &shelf)
    }

    /// Notes on the recipes that no page uses.
    #[must_use]
    pub fn unused_recipes(&self, used: &BTreeSet<String>) -> Vec<Finding> {
        let unused = self.recipe_files.iter().filter(|(id, _)| !used.contains(*id));
        unused.map(|(id, file)| Finding::unused_recipe(start_of(file), id)).collect()
    }

    /// Errors when book.toml does not load the style sheet and the script that HTML pages need.
    #[must_use]
    pub fn missing_assets(&self, form: Form) -> Vec<Finding> {
        match form {
            Form::Html => self.settings.missing_assets.clone(),
            Form::Markdown => Vec::new(),
        }
    }

    /// The recipes by id; `None` for one with errors.
    #[must_use]
    pub fn recipes(&self) -> &BTreeMap<String, Option<Computed>> {
        &self.recipes
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
    name.strip_suffix(".toml").unwrap_or(name).to_owned()
}

/// What a person wants otherwise, once, than the recipe and the course say.
#[derive(Clone, Debug, Default)]
pub struct Overrides {
    /// Another size.
    pub size: Option<BatchSize>,
    /// Another superfat, percent.
    pub superfat_percent: Option<f64>,
    /// Another scale, for its unit.
    pub scale: Option<Scale>,
}

/// From a recipe as typed to everything computed from it, with all that was found on the way.
///
/// What can be computed is, even if there is an error among the findings: then it must not be shown.
#[must_use]
pub fn compute_recipe(
    raw: &RawRecipe,
    tables: &Tables,
    settings: &Settings,
    overrides: &Overrides,
) -> (Option<Computed>, Vec<Finding>) {
    let (recipe, mut findings) = validate(raw, tables, &settings.defaults);
    let scale = |of_course: Scale| overrides.scale.filter(|it| it.unit == of_course.unit).unwrap_or(of_course);
    let computed = recipe.map(|mut recipe| {
        if let Some(size) = &overrides.size {
            recipe.size = size.clone();
        }
        recipe.superfat_percent = overrides.superfat_percent.unwrap_or(recipe.superfat_percent);
        let batch = compute(&recipe, tables);
        let grams = Weighed::read(&batch, scale(settings.scale_grams));
        let ounces = Weighed::read(&batch, scale(settings.scale_ounces));
        Computed { recipe, batch, grams, ounces }
    });
    if let Some(it) = &computed {
        let weighed = settings.units.shown(it);
        findings.extend(check(&Subject { recipe: &it.recipe, batch: &it.batch, weighed: &weighed, tables }));
    }
    (computed, findings)
}

fn start_of(file: &Arc<SourceFile>) -> Place {
    Extract::whole(file).place(0..1)
}
