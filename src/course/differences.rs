//! What differs between two states of a course: lesson by lesson, figure by figure, and what it means for sheets that are
//! out there.
//!
//! Layer 7. Figures are those that pages printed, held against each other by the recipe and by what they are called there.

use std::collections::BTreeMap;

use super::{Course, PageUses};
use crate::batch::{AsWeighed, Verdict, as_weighed};
use crate::ledger::Ledger;
use crate::page::Printed;
use crate::units::ScaleUnit;

/// A course and what its pages print.
#[derive(Clone, Copy)]
pub struct State<'a> {
    /// The course.
    pub course: &'a Course,
    /// Its pages, in reading order.
    pub pages: &'a [PageUses],
}

/// Everything that differs.
#[derive(Clone, Debug, PartialEq)]
pub struct Differences {
    /// The lessons in which something is printed otherwise, in reading order.
    pub lessons: Vec<LessonDifferences>,
    /// What a student has who follows a sheet of before with the fats of after, for each recipe of these lessons.
    pub sheets: Vec<OldSheet>,
}

/// What differs in a lesson.
#[derive(Clone, Debug, PartialEq)]
pub struct LessonDifferences {
    /// Its file, as its author knows it.
    pub path: String,
    /// What it prints otherwise, in the order of the page; nothing where only its words, or values of tables, are others.
    pub figures: Vec<FigureDifference>,
}

/// A figure that is printed otherwise.
#[derive(Clone, Debug, PartialEq)]
pub struct FigureDifference {
    /// Its recipe.
    pub recipe: String,
    /// What it is called: the key's name, or the expression of a sentence.
    pub name: String,
    /// As it was printed; `None` where it was not.
    pub was: Option<String>,
    /// As it is printed; `None` where it is not any more.
    pub is: Option<String>,
    /// By how much a mass changes, percent.
    pub change_percent: Option<f64>,
}

/// What comes of a sheet that was printed before.
#[derive(Clone, Debug, PartialEq)]
pub struct OldSheet {
    /// Its recipe.
    pub recipe: String,
    /// The batch as that sheet has it weighed; `None` where the recipe has other things in it now, or is gone.
    pub found: Option<AsWeighed>,
    /// What was thought of it when it was printed.
    pub verdict_before: Verdict,
}

impl OldSheet {
    /// Whether no lye is left over, even at the worst, or no more than the instructor meant when it was printed; where it cannot
    /// be told, it is not.
    #[must_use]
    pub fn is_safe(&self) -> bool {
        let is_safe =
            |verdict| verdict == Verdict::Safe || (verdict == Verdict::Doubtful && verdict == self.verdict_before);
        self.found.as_ref().is_some_and(|it| is_safe(it.verdict))
    }
}

impl Differences {
    /// Holds a state against an earlier one.
    #[must_use]
    pub fn between(before: State<'_>, after: State<'_>) -> Differences {
        let paths: Vec<&str> = {
            let gone = before.pages.iter().filter(|it| after.pages.iter().all(|page| page.path != it.path));
            after.pages.iter().chain(gone).map(|it| it.path.as_str()).collect()
        };
        let page = |state: State<'_>, path: &str| -> Vec<Printed> {
            state.pages.iter().find(|it| it.path == path).map(|it| it.printed.clone()).unwrap_or_default()
        };
        let mark =
            |state: State<'_>, path: &str| state.pages.iter().find(|it| it.path == path).map(|it| it.mark.clone());
        let lessons: Vec<LessonDifferences> = paths
            .into_iter()
            .filter(|path| mark(before, path) != mark(after, path))
            .map(|path| LessonDifferences {
                path: path.to_owned(),
                figures: figures((before.course, &page(before, path)), (after.course, &page(after, path))),
            })
            .collect();
        let mut recipes: Vec<&str> = lessons.iter().flat_map(|it| &it.figures).map(|it| it.recipe.as_str()).collect();
        recipes.sort_unstable();
        recipes.dedup();
        let sheets = recipes.into_iter().filter_map(|id| old_sheet(id, before.course, after.course)).collect();
        Differences { lessons, sheets }
    }

    /// Whether nothing differs.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.lessons.is_empty()
    }

    /// Whether no sheet of before leaves lye over.
    #[must_use]
    pub fn is_safe(&self) -> bool {
        self.sheets.iter().all(OldSheet::is_safe)
    }
}

/// The figures of a page that are printed otherwise; one that stands on it several times is told once.
fn figures((before, were): (&Course, &[Printed]), (after, are): (&Course, &[Printed])) -> Vec<FigureDifference> {
    type Names<'a> = (&'a str, bool, &'a str);
    fn name_of(it: &Printed) -> Names<'_> {
        (&it.recipe, it.is_changed, &it.expression)
    }
    let mut texts: BTreeMap<Names<'_>, [Vec<&str>; 2]> = BTreeMap::new();
    for (idx, all) in [were, are].into_iter().enumerate() {
        for it in all {
            texts.entry(name_of(it)).or_default()[idx].push(&it.text);
        }
    }
    let mut told: Vec<FigureDifference> = Vec::new();
    for it in are.iter().chain(were) {
        let Some([were, are]) = texts.remove(&name_of(it)) else { continue };
        for idx in 0..were.len().max(are.len()) {
            let [was, is] = [&were, &are].map(|texts| texts.get(idx).map(|it| (*it).to_owned()));
            let difference = FigureDifference {
                recipe: it.recipe.clone(),
                name: it.expression.clone(),
                change_percent: change_percent(it, before, after),
                was,
                is,
            };
            if difference.was != difference.is && !told.contains(&difference) {
                told.push(difference);
            }
        }
    }
    told
}

/// By how much the exact mass of a figure changes, `(after / before - 1) * 100`; of an exercise's own batch it is not known.
fn change_percent(it: &Printed, before: &Course, after: &Course) -> Option<f64> {
    let key = it.key.as_ref().filter(|_| !it.is_changed)?;
    let [before, after] = [before, after].map(|course| ledger_of(course, &it.recipe)?.figure(key)?.amount.mass());
    let (before, after) = (before?, after?);
    (before.to_grams() > 0.0).then(|| (after / before - 1.0) * 100.0)
}

fn ledger_of<'a>(course: &'a Course, id: &str) -> Option<&'a Ledger> {
    course.recipes().get(id).and_then(Option::as_ref)
}

/// The sheet of a recipe as it was, weighed out for the recipe as it is: on the one of two scales that does worse.
fn old_sheet(id: &str, before: &Course, after: &Course) -> Option<OldSheet> {
    let was = ledger_of(before, id)?;
    let units = was.scales.units.scales();
    let worst = |it: &AsWeighed| it.certainty.worst_percent;
    let on_the_worse = |is: &Ledger| {
        let found: Option<Vec<AsWeighed>> = units.iter().map(|unit| weighed_by(was, is, *unit)).collect();
        found?.into_iter().min_by(|a, b| worst(a).total_cmp(&worst(b)))
    };
    let verdict_before = on_the_worse(was)?.verdict;
    Some(OldSheet { recipe: id.to_owned(), found: ledger_of(after, id).and_then(on_the_worse), verdict_before })
}

/// `None` where the two have other things to weigh, or in another order.
fn weighed_by(was: &Ledger, is: &Ledger, unit: ScaleUnit) -> Option<AsWeighed> {
    let things = |ledger: &Ledger| -> Vec<String> {
        let batch = &ledger.batch;
        let stock = batch.stock.iter().map(|_| "stock".to_owned());
        let fats = batch.fats.iter().map(|it| it.id.to_string());
        let acids = batch.acids.iter().map(|it| it.id.to_string());
        let alkalis = batch.alkalis.iter().map(|it| it.kind.formula().to_owned());
        let layers = ledger.recipe.layers.iter().map(|it| it.key.to_string());
        fats.chain(acids).chain(alkalis).chain(stock).chain(layers).collect()
    };
    // None of it is a slip of somebody at the scale, however far from today's card it is.
    let found = || as_weighed(&is.recipe, &is.batch, was.weighed(unit), &[], f64::INFINITY);
    (things(was) == things(is)).then(found)
}
