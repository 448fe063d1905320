//! The calculator of a page that a student has open: texts in, what is put into the page out.
//!
//! Layer 7. It is given what a build was given, puts the page together in the same way, and answers questions in JSON. So
//! nothing is computed, rounded, worded or drawn for the student that a build does not do too.

use std::collections::BTreeMap;
use std::sync::Arc;

use serde::{Deserialize, Serialize};

use super::{Course, CourseFiles, Fields, OwnRecipe, Said};
use crate::page::{Form, Lesson, Own, OwnFields, Page, Rendered, hash_of, own_fields, own_told, word};
use crate::source::SourceFile;

/// A file: its path, and its text.
type FileText = (String, String);

/// The texts of a course, as a page carries them.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct CourseTexts {
    book_toml: FileText,
    recipes: Vec<FileText>,
    tables: Vec<FileText>,
    templates: Vec<FileText>,
}

impl CourseTexts {
    /// The texts of these files, whose paths are told without `shown_root`: a page is the same wherever its course was built.
    #[must_use]
    pub fn of(files: &CourseFiles, shown_root: &str) -> CourseTexts {
        let text = |it: &Arc<SourceFile>| (below(it.path(), shown_root), it.text().to_owned());
        let texts = |of: &[Arc<SourceFile>]| of.iter().map(text).collect();
        CourseTexts {
            book_toml: text(&files.book_toml),
            recipes: texts(&files.recipes),
            tables: texts(&files.tables),
            templates: texts(&files.templates),
        }
    }

    fn files(self) -> CourseFiles {
        let file = |(path, text): FileText| SourceFile::new(path, text);
        let files = |of: Vec<FileText>| of.into_iter().map(file).collect();
        CourseFiles {
            book_toml: file(self.book_toml),
            recipes: files(self.recipes),
            tables: files(self.tables),
            templates: files(self.templates),
        }
    }
}

/// A lesson as a page carries it.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct LessonText {
    id: String,
    title: String,
    part: String,
    file: FileText,
}

impl LessonText {
    /// The text of a lesson; see [`CourseTexts::of`].
    #[must_use]
    pub fn of(lesson: &Lesson, shown_root: &str) -> LessonText {
        let file = (below(lesson.file.path(), shown_root), lesson.file.text().to_owned());
        LessonText { id: lesson.id.clone(), title: lesson.title.clone(), part: lesson.part.clone(), file }
    }

    /// The path of its file.
    #[must_use]
    pub fn path(&self) -> &str {
        &self.file.0
    }

    fn lesson(self) -> Lesson {
        let (path, text) = self.file;
        Lesson { id: self.id, title: self.title, part: self.part, file: SourceFile::new(path, text) }
    }
}

/// A file that a page includes: the including file's path, the path typed there, and the file.
pub type IncludedText = (String, String, FileText);

/// What a page needs of the files that it includes, and that those include.
///
/// - `path`: of the page's own file.
/// - `all`: what was included anywhere in the course: the including file's path, the path typed there, and the file.
#[must_use]
pub fn included_by(path: &str, all: &[(String, String, Arc<SourceFile>)], shown_root: &str) -> Vec<IncludedText> {
    let mut found: Vec<IncludedText> = Vec::new();
    let mut including = vec![path.to_owned()];
    while let Some(path) = including.pop() {
        for (by, typed, file) in all.iter().filter(|it| below(&it.0, shown_root) == path) {
            let (by, included) = (below(by, shown_root), below(file.path(), shown_root));
            if !found.iter().any(|it| it.0 == by && it.1 == *typed) {
                found.push((by, typed.clone(), (included.clone(), file.text().to_owned())));
                including.push(included);
            }
        }
    }
    found
}

/// A path without the folder of the course in front.
fn below(path: &str, shown_root: &str) -> String {
    let rest = path.strip_prefix(shown_root).and_then(|it| it.strip_prefix('/'));
    rest.filter(|_| !shown_root.is_empty()).unwrap_or(path).to_owned()
}

/// What a page carries of itself.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct PageTexts {
    /// The page's id.
    pub id: String,
    /// It, and every other page that it needs to be put together: all of them if it shows the glossary.
    pub lessons: Vec<LessonText>,
    /// The files that these include.
    pub included: Vec<IncludedText>,
    /// What the build made of it, as [`mark_of_page`] tells it from anything else.
    pub mark: String,
}

/// What tells a page as it was built from another one.
#[must_use]
pub fn mark_of_page(text: &str) -> String {
    format!("{:08x}", hash_of(text))
}

/// What a page asks.
#[derive(Debug, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Question {
    /// To be ready for a page; `page` is none for a batch sheet, which stands alone.
    Open { course: Box<CourseTexts>, page: Option<Box<PageTexts>> },
    /// The fields of a recipe.
    Fields { recipe: String, fields: Fields },
    /// What changes in the page, for what is set in all recipes.
    Page { own: BTreeMap<String, Fields> },
    /// What of that which a browser remembers still means something.
    Remembered { kept: String },
    /// The batch sheet of a recipe.
    Sheet { recipe: String, fields: Fields },
}

/// What it is told.
#[derive(Debug, Default, Serialize)]
struct Answer {
    /// Why there is no answer.
    #[serde(skip_serializing_if = "Option::is_none")]
    refused: Option<&'static str>,
    /// HTML: fields, or a sheet.
    #[serde(skip_serializing_if = "Option::is_none")]
    html: Option<String>,
    /// The blocks and values that are others than before, by number.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pieces: Vec<(usize, String)>,
    /// What is told beside the fields, by recipe.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    told: BTreeMap<String, Told>,
    /// What was remembered and still holds.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    own: BTreeMap<String, Fields>,
    /// What was remembered and holds no more, in words.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    gone: Vec<String>,
}

/// What a browser remembers.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Remembered {
    version: u32,
    recipes: BTreeMap<String, Fields>,
}

/// The version of what is remembered: another one is not read.
const VERSION: u32 = 1;

#[derive(Debug, Serialize)]
struct Told {
    said: Vec<Said>,
    html: String,
}

/// The name of the words that say why there is no answer: the page was built from other texts, or by another version.
const ANOTHER: &str = "another";
/// What was asked cannot be read, or there is nothing of that name.
const UNKNOWN: &str = "unknown";
/// A batch sheet cannot be made with what is set.
const NO_SHEET: &str = "no_sheet";

/// The calculator of one page.
#[derive(Default)]
pub struct OwnPage {
    course: Option<Course>,
    page: Option<Page>,
    /// The pieces as they stand in the page.
    shown: Vec<String>,
}

impl OwnPage {
    /// Answers a question; both are JSON, written for `theme/js/own.js`. What cannot be answered is told in the answer.
    #[must_use]
    pub fn ask(&mut self, question: &str) -> String {
        let answer = serde_json::from_str(question).map_err(|_| UNKNOWN).and_then(|it| self.answer(it));
        let refused = |name| Answer { refused: Some(word("own-told", name)), ..Answer::default() };
        serde_json::to_string(&answer.unwrap_or_else(refused)).unwrap_or_default()
    }

    /// The blocks and values of the page as they stand in it now, by number.
    #[must_use]
    pub fn pieces(&self) -> &[String] {
        &self.shown
    }

    fn answer(&mut self, question: Question) -> Result<Answer, &'static str> {
        match question {
            Question::Open { course, page } => self.open(*course, page.map(|it| *it)),
            Question::Fields { recipe, fields } => {
                let course = self.course.as_ref().ok_or(UNKNOWN)?;
                let set = course.own(&recipe, &fields).ok_or(UNKNOWN)?;
                let html = course.fields(&recipe, &fields, &set, own_fields).ok_or(UNKNOWN)?;
                Ok(Answer { html: Some(html), ..Answer::default() })
            }
            Question::Page { own } => self.changed(&own),
            Question::Sheet { recipe, fields } => {
                let course = self.course.as_ref().ok_or(UNKNOWN)?;
                let set = course.own(&recipe, &fields).ok_or(UNKNOWN)?;
                let ledger = set.own.ledger.as_ref().ok_or(NO_SHEET)?;
                let html = course.paper_of_own(ledger, &set.own.line).map_err(|_| UNKNOWN)?;
                Ok(Answer { html: Some(html), ..Answer::default() })
            }
            Question::Remembered { kept } => self.remembered(&kept),
        }
    }

    fn open(&mut self, course: CourseTexts, page: Option<PageTexts>) -> Result<Answer, &'static str> {
        let (mut course, _) = Course::new(&course.files());
        if let Some(texts) = page {
            let included = |including: &str, path: &str| {
                let found = texts.included.iter().find(|it| it.0 == including && it.1 == path)?;
                Some(SourceFile::new(found.2.0.clone(), found.2.1.clone()))
            };
            let lessons = texts.lessons.iter().cloned().map(LessonText::lesson).collect();
            let (pages, _) = course.read_pages(lessons, &included);
            let page = pages.into_iter().find(|it| it.path() == texts.id).ok_or(UNKNOWN)?;
            let rendered = course.render_for_student(&page, &BTreeMap::new());
            if mark_of_page(&rendered.text) != texts.mark {
                return Err(ANOTHER);
            }
            self.shown = rendered.pieces;
            self.page = Some(page);
        }
        self.course = Some(course);
        Ok(Answer::default())
    }

    /// What is refused today was set for an older course: it is put away, and told.
    fn remembered(&self, kept: &str) -> Result<Answer, &'static str> {
        let course = self.course.as_ref().ok_or(UNKNOWN)?;
        let mut answer = Answer::default();
        let read = serde_json::from_str::<Remembered>(kept).ok().filter(|it| it.version == VERSION);
        let Some(Remembered { recipes, .. }) = read else {
            answer.gone.push(word("own-told", "unreadable").to_owned());
            return Ok(answer);
        };
        for (id, fields) in recipes {
            let put_away = match course.own(&id, &fields) {
                None => Some(format!("{} {id}.", word("own-told", "no_recipe"))),
                Some(set) if set.own.ledger.is_none() => {
                    let title = course.recipes.get(&id).and_then(Option::as_ref).map_or("", |it| &it.recipe.title);
                    Some(format!("{} {title}: {}", word("own-told", "put_away"), set.own.line))
                }
                Some(_) => None,
            };
            match put_away {
                Some(words) => answer.gone.push(words),
                None => drop(answer.own.insert(id, fields)),
            }
        }
        Ok(answer)
    }

    fn changed(&mut self, own: &BTreeMap<String, Fields>) -> Result<Answer, &'static str> {
        let (Some(course), Some(page)) = (&self.course, &self.page) else { return Err(UNKNOWN) };
        let mut answer = Answer::default();
        let mut recipes: BTreeMap<String, Own> = BTreeMap::new();
        for (id, fields) in own {
            let set = course.own(id, fields).ok_or(UNKNOWN)?;
            let html = course.told(id, fields, &set).ok_or(UNKNOWN)?;
            let OwnRecipe { own, said, changes, .. } = set;
            answer.told.insert(id.clone(), Told { said, html });
            // What was weighed is told beside the fields and changes no amount of the page.
            if own.ledger.is_none() || !changes.are_none() {
                recipes.insert(id.clone(), own);
            }
        }
        let pieces = course.render_for_student(page, &recipes).pieces;
        let differ = pieces.iter().enumerate().filter(|(idx, it)| self.shown.get(*idx) != Some(it));
        answer.pieces = differ.map(|(idx, it)| (idx, it.clone())).collect();
        self.shown = pieces;
        Ok(answer)
    }
}

impl Course {
    /// The page as HTML for a student who set some recipes otherwise.
    fn render_for_student(&self, page: &Page, own: &BTreeMap<String, Own>) -> Rendered {
        self.render_with(page, Form::Html, own, true)
    }

    fn fields<T>(
        &self,
        id: &str,
        typed: &Fields,
        set: &OwnRecipe,
        draw: impl FnOnce(&OwnFields<'_>) -> Result<String, T>,
    ) -> Option<String> {
        let lesson = self.recipes.get(id)?.as_ref()?;
        let (own, allowed) = (set.own.ledger.as_ref(), self.superfats_allowed(lesson));
        let (tables, templates) = (&self.tables, &self.templates);
        draw(&OwnFields { lesson, own, allowed, typed, tables, templates }).ok()
    }

    fn told(&self, id: &str, typed: &Fields, set: &OwnRecipe) -> Option<String> {
        let is_general = |it: &&Said| it.field.is_empty() && !it.is_refusal;
        let told: Vec<String> = set.said.iter().filter(is_general).map(|it| it.words.clone()).collect();
        let is_changed = set.own.ledger.is_none() || !set.changes.are_none();
        let line = if is_changed { set.own.line.as_str() } else { "" };
        self.fields(id, typed, set, |it| own_told(it, line, told, &set.weighed))
    }
}
