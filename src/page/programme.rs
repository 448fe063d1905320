//! The evenings of a course: the parts of its table of contents with their lessons, and what a lesson opens with.
//!
//! Layer 6. Which evening a lesson belongs to is said in the table of contents alone, so that no page can say otherwise.

use super::options::{BlockOptions, Makes};
use super::printer::Printer;
use super::read::Page;
use super::render::Renderer;
use super::view::{Made, OpenerView, made, programme_view};
use crate::source::Place;

/// The evenings of a course.
#[derive(Clone, Debug, Default)]
pub struct Programme {
    evenings: Vec<Evening>,
}

/// An evening with its lessons.
#[derive(Clone, Debug)]
pub(super) struct Evening {
    /// What the table of contents calls it; empty for the lessons outside of any part.
    pub(super) name: String,
    pub(super) lessons: Vec<EveningLesson>,
}

/// A lesson of an evening.
#[derive(Clone, Debug)]
pub(super) struct EveningLesson {
    pub(super) title: String,
    /// The path of its page below the folder of the pages, as mdBook names it.
    pub(super) page_id: String,
    /// The recipe that is made in it.
    pub(super) recipe: Option<String>,
}

impl Programme {
    /// Collects the lessons of a course, given in reading order.
    ///
    /// - `is_listed`: whether a page is for students.
    #[must_use]
    pub fn of(pages: &[Page], is_listed: &dyn Fn(&Page) -> bool) -> Programme {
        let mut evenings: Vec<Evening> = Vec::new();
        for page in pages.iter().filter(|it| is_listed(it)) {
            let lesson = EveningLesson {
                title: page.lesson.title.clone(),
                page_id: page.id(),
                recipe: page.made().map(str::to_owned),
            };
            let part = &page.lesson.part;
            match evenings.last_mut().filter(|it| it.name == *part) {
                Some(evening) => evening.lessons.push(lesson),
                None => evenings.push(Evening { name: part.clone(), lessons: vec![lesson] }),
            }
        }
        Programme { evenings }
    }
}

impl<'a> Renderer<'a> {
    /// Which evening it is, and what is made.
    pub(super) fn opener(&mut self, options: &BlockOptions, makes: Makes, place: &Place) -> Option<String> {
        let evening = self.page.lesson.part.clone();
        if makes == Makes::Nothing || (options.recipe.is_none() && !self.page.has_card()) {
            return self.template("opener", &OpenerView { evening, made: None }, place);
        }
        let ledger = self.recipe(options.recipe.as_ref(), place)?;
        let mut made = made(Printer { ledger, tables: self.shelf.tables, notes: self.notes });
        made.emblem = self.figure("emblem.svg", &made.emblem_data, place);
        let drawn = self.template("opener", &OpenerView { evening, made: Some(made) }, place)?;
        Some(self.noted(&drawn, Some(&ledger.recipe.id), place))
    }

    /// The evenings of the course with their lessons.
    pub(super) fn programme(&mut self, place: &Place) -> Option<String> {
        let (shelf, notes, page_id) = (self.shelf, self.notes, self.page.id());
        let made_by = |recipe: &str| -> Option<Made> {
            let ledger = shelf.recipes.get(recipe)?.as_ref()?;
            let mut made = made(Printer { ledger, tables: shelf.tables, notes });
            made.emblem = self.figure("emblem.svg", &made.emblem_data, place);
            Some(made)
        };
        let view = programme_view(&shelf.programme.evenings, &page_id, made_by);
        let drawn = self.template("programme", &view, place)?;
        Some(self.noted(&drawn, None, place))
    }
}
