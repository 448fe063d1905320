//! Computes the recipes of a course, each variant after the recipe it is based on, and decides what is told of it.
//!
//! Layer 7. How a variant is put together with its base is in `recipe/variant.rs`. What is wrong in the base is told
//! once, at the base; what only the two together make wrong is told in the variant's file: at the key that is at fault
//! if the variant typed it, or else at its `based-on`.

use std::collections::BTreeMap;

use super::{Settings, compute_recipe};
use crate::finding::{Finding, Severity, nearest};
use crate::ledger::Ledger;
use crate::reader::Node;
use crate::recipe::{Changes, RawRecipe, Recipe, RecipeFile, validate, with_base};
use crate::source::Place;
use crate::tables::Tables;

/// What came of a recipe file.
pub(super) struct Outcome {
    /// The recipe as typed, put together with its base.
    pub(super) raw: RawRecipe,
    /// Everything computed from it; `None` when it or its base has an error.
    pub(super) computed: Option<Ledger>,
    /// The recipe, for what is told of its variants.
    recipe: Option<Recipe>,
    /// What is told of it, in the order of the file.
    pub(super) told: Vec<Finding>,
    /// The recipe it is based on, if there is one of that name.
    pub(super) base: Option<String>,
    /// Whether all that it says is known: every recipe that it rests on was found.
    pub(super) is_whole: bool,
    /// The tree that variants of it take over.
    root: Node,
    /// Everything found in the whole, what its base told already among it.
    all: Vec<Finding>,
    failed: bool,
}

/// The recipe that another one is based on.
enum Base<'a> {
    /// It stands on its own.
    None,
    /// There is none to be had; what there is to tell of that.
    Missing(Option<Finding>),
    /// This one.
    Is(&'a Outcome),
}

/// Computes all recipes.
pub(super) fn outcomes(
    files: &BTreeMap<String, RecipeFile>,
    tables: &Tables,
    settings: &Settings,
) -> BTreeMap<String, Outcome> {
    let mut done: BTreeMap<String, Outcome> = BTreeMap::new();
    for start in files.values() {
        if done.contains_key(&start.id) {
            continue;
        }
        // The bases that are not computed yet, nearest first: a loop, since a chain may be as long as the course.
        let mut line = vec![start];
        let mut end = None;
        while let Some(name) = &line[line.len() - 1].based_on {
            let Some(base) = files.get(&name.value).filter(|it| !done.contains_key(&it.id)) else { break };
            if let Some(from) = line.iter().position(|it| it.id == base.id) {
                let circle: Vec<&str> = line[from..].iter().map(|it| it.id.as_str()).collect();
                end = Some(Finding::circular_base(name.place.clone(), &circle));
                break;
            }
            line.push(base);
        }
        for file in line.into_iter().rev() {
            let base = end.take().map_or_else(|| base_of(file, files, &done), |it| Base::Missing(Some(it)));
            let outcome = outcome(file, &base, tables, settings, &Changes::default());
            done.insert(file.id.clone(), outcome);
        }
    }
    done
}

/// Computes a recipe once more, or one from elsewhere, over bases that are computed.
pub(super) fn outcome_of(
    file: &RecipeFile,
    files: &BTreeMap<String, RecipeFile>,
    done: &BTreeMap<String, Outcome>,
    (tables, settings): (&Tables, &Settings),
    changes: &Changes,
) -> Outcome {
    outcome(file, &base_of(file, files, done), tables, settings, changes)
}

fn base_of<'a>(
    file: &RecipeFile,
    files: &BTreeMap<String, RecipeFile>,
    done: &'a BTreeMap<String, Outcome>,
) -> Base<'a> {
    let Some(name) = &file.based_on else {
        return if file.is_variant { Base::Missing(None) } else { Base::None };
    };
    done.get(&name.value).map_or_else(
        || {
            let others = files.keys().map(String::as_str).filter(|it| *it != file.id);
            let near = nearest(&name.value, others);
            Base::Missing(Some(Finding::unknown_base(name.place.clone(), &name.value, near)))
        },
        Base::Is,
    )
}

fn outcome(file: &RecipeFile, base: &Base<'_>, tables: &Tables, settings: &Settings, changes: &Changes) -> Outcome {
    let root = match base {
        Base::Is(base) => with_base(&file.root, &base.root),
        _ => file.root.clone(),
    };
    let (raw, mut all) = RawRecipe::read_tree(&file.id, &root);
    let base_failed = match base {
        Base::None => false,
        Base::Missing(_) => true,
        // One that rests on a row with a mistake has none of its own, and cannot be computed all the same.
        Base::Is(base) => base.failed || base.recipe.is_none(),
    };
    let base_recipe = match base {
        Base::Is(base) => base.recipe.as_ref(),
        Base::None | Base::Missing(_) => None,
    };
    let mut computed = None;
    if base_failed {
        // Names and values that the variant typed are looked at all the same.
        all.extend(validate(&raw, tables, &settings.defaults).1);
    } else {
        let (whole, findings) = compute_recipe(&raw, tables, settings, changes, base_recipe);
        computed = whole;
        all.extend(findings);
    }
    let mut told = file.findings.clone();
    if let Base::Missing(finding) = base {
        told.extend(finding.clone());
    }
    for finding in &all {
        let finding = match base {
            Base::None => Some(finding.clone()),
            _ if was_typed_here(finding, file) => Some(finding.clone()),
            Base::Is(base) if !base_failed && !is_told_by(base, finding, file.place()) => {
                let name = file.based_on.as_ref().map_or("", |it| it.value.as_str());
                Some(finding.clone().in_variant(file.place().clone(), name))
            }
            _ => None,
        };
        told.extend(finding.filter(|it| !told.contains(it)));
    }
    told.sort_by_key(|it| it.place.span.start);
    // A page must not show a recipe that has an error, not even while the other findings are collected.
    let failed = base_failed || told.iter().any(|it| it.severity == Severity::Error);
    let computed: Option<Ledger> = computed.filter(|_| !failed);
    Outcome {
        raw,
        recipe: computed.as_ref().map(|it| it.recipe.clone()),
        computed,
        told,
        base: match base {
            Base::Is(base) => Some(base.raw.id.clone()),
            _ => None,
        },
        is_whole: match base {
            Base::None => true,
            Base::Missing(_) => false,
            Base::Is(base) => base.is_whole,
        },
        root,
        all,
        failed,
    }
}

/// Whether a finding points at something that this file typed, its `based-on` apart.
fn was_typed_here(finding: &Finding, file: &RecipeFile) -> bool {
    finding.place.file.path() == file.file.path() && finding.place != *file.place()
}

/// Whether the base has the very same finding. What points at no key does so at each file's own head.
fn is_told_by(base: &Outcome, finding: &Finding, head: &Place) -> bool {
    let place = if finding.place == *head { &base.raw.place } else { &finding.place };
    base.all.iter().any(|it| it.code == finding.code && it.message == finding.message && it.place == *place)
}
