//! mdBook's book in, the book with computed pages out.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};

use kettlebook::course::{
    Contents, Course, CourseFiles, CourseTexts, LessonFiles, LessonText, LoadError, PageTexts, PageUses, included_by,
    included_file, mark_of_page,
};
use kettlebook::finding::{Finding, Severity};
use kettlebook::page::{Form, Lesson};
use kettlebook::source::SourceFile;
use mdbook_preprocessor::book::{Book, BookItem, Chapter};
use mdbook_preprocessor::errors::{Error, Result};
use mdbook_preprocessor::{Preprocessor, PreprocessorContext};

use crate::assets::{write_assets, write_calculator, write_sheets};
use crate::paths::real;

/// What came of a book.
pub struct Outcome {
    /// Everything found in the course, in reading order.
    pub findings: Vec<Finding>,
    /// The course.
    pub course: Course,
    /// What its pages use, in reading order.
    pub pages: Vec<PageUses>,
}

impl Outcome {
    /// Whether there is an error among the findings: then the pages must not be used.
    #[must_use]
    pub fn failed(&self) -> bool {
        self.findings.iter().any(|it| it.severity == Severity::Error)
    }
}

/// The findings without those that the author means: `kettlebook check` lists them, and a build is silent about them.
#[must_use]
pub(crate) fn told_when_building(findings: Vec<Finding>) -> Vec<Finding> {
    findings.into_iter().filter(|it| it.severity != Severity::Acknowledged).collect()
}

/// What kept a course from being looked at.
#[derive(Debug, thiserror::Error)]
pub enum ProcessError {
    /// A file of the course cannot be read.
    #[error(transparent)]
    Load(#[from] LoadError),
    /// The style sheet, the script, the head of pages or a batch sheet cannot be written into the course.
    #[error("cannot write {}: {cause}", path.display())]
    Write {
        /// Which file.
        path: PathBuf,
        /// Why.
        cause: std::io::Error,
    },
}

/// Renders all chapters of a book in place.
///
/// - `shown_root`: the course's folder as its author knows it, for findings; may be empty.
/// - `pages`: the folder of the pages as book.toml names it; a build of ours has mdBook write elsewhere.
/// - `write`: whether the style sheet, the script and the head of pages may be brought up to date.
///
/// # Errors
///
/// When a file cannot be read or written. What is wrong *in* the files is in the outcome.
pub fn process(
    book: &mut Book,
    context: &PreprocessorContext,
    shown_root: &str,
    pages: &Path,
    write: bool,
) -> std::result::Result<Outcome, ProcessError> {
    let files = CourseFiles::read(&context.root, shown_root)?;
    process_files(&files, book, context, shown_root, pages, write)
}

/// The same with other settings, tables, recipes and templates than those in the folder.
///
/// # Errors
///
/// As [`process`].
pub(crate) fn process_files(
    files: &CourseFiles,
    book: &mut Book,
    context: &PreprocessorContext,
    shown_root: &str,
    pages: &Path,
    write: bool,
) -> std::result::Result<Outcome, ProcessError> {
    let (mut course, mut findings) = Course::new(files);
    let really = |below: &Path| real(&context.root.join(below));
    if let (Ok(root), Ok(src), Ok(pages)) = (really(Path::new("")), really(&context.config.book.src), really(pages)) {
        findings.extend(course.misplaced_pages(&root, &src, &pages));
    }
    let form = if context.renderer == "html" { Form::Html } else { Form::Markdown };
    findings.extend(course.missing_assets(form));
    let src = context.config.book.src.to_string_lossy().replace('\\', "/");
    let shown_src = if shown_root.is_empty() { src } else { format!("{shown_root}/{src}") };
    let lesson_files = LessonFiles::read(&context.root.join(&context.config.book.src), &shown_src)?;
    let contents = Contents::of(&lesson_files, course.place_of_src());
    findings.extend(contents.errors.iter().cloned().chain(contents.loose_ends(&lesson_files)));
    // The glossary and whatever is about the order of pages need all of them before the first is rendered.
    let mut lessons = Vec::new();
    let mut part = String::new();
    for item in &mut book.items {
        if let BookItem::PartTitle(title) = item {
            part.clone_from(title);
        }
        let items = std::slice::from_mut(item);
        for_each_lesson(items, &mut |chapter| lessons.extend(lesson(chapter, &part, &shown_src)));
    }
    let all_included = RefCell::new(Vec::new());
    let included = |including: &str, path: &str| {
        let file = included_file(&context.root, shown_root, including, path)?;
        all_included.borrow_mut().push((including.to_owned(), path.to_owned(), Arc::clone(&file)));
        Some(file)
    };
    let texts: Vec<LessonText> = lessons.iter().map(|it| LessonText::of(it, shown_root)).collect();
    let (pages, of_settings) = course.read_pages(lessons, &included);
    findings.extend(of_settings);
    let mut used = BTreeSet::new();
    let (mut own_pages, mut uses) = (BTreeMap::new(), Vec::new());
    let mut rendered = pages.iter().zip(&texts).map(|(it, text)| (it, text, course.render(it, form)));
    for_each_lesson(&mut book.items, &mut |chapter| {
        let Some((page, text, rendered)) = rendered.next() else { return };
        if course.settings().has_student_controls && !rendered.pieces.is_empty() {
            let lessons = if page.needs_all_pages() { texts.clone() } else { vec![text.clone()] };
            let included = included_by(text.path(), &all_included.borrow(), shown_root);
            let (id, mark) = (page.path().to_owned(), mark_of_page(&rendered.text));
            own_pages.insert(id.clone(), PageTexts { id, lessons, included, mark });
        }
        uses.push(PageUses::of(page, &rendered));
        chapter.content = rendered.text;
        // A template or an included file is at fault on every page that has it, and told once.
        for it in rendered.findings {
            if !findings.contains(&it) {
                findings.push(it);
            }
        }
        used.extend(rendered.recipes);
    });
    drop(rendered);
    // A page that cannot be read may be the one that uses a recipe.
    if contents.errors.is_empty() {
        findings.extend(course.unused_recipes(&used));
    }
    // Cards lead to them.
    let mut sheets = BTreeMap::new();
    for (id, ledger) in course.recipes().iter().filter(|(id, _)| used.contains(*id)) {
        match ledger.as_ref().map(|it| course.paper_in_book(it)) {
            Some(Ok(text)) => drop(sheets.insert(id.clone(), text)),
            Some(Err(finding)) if !findings.contains(&finding) => findings.push(*finding),
            Some(Err(_)) | None => {}
        }
    }
    let outcome = Outcome { findings, course, pages: uses };
    // A build that fails writes nothing.
    if write && form == Form::Html && !outcome.failed() {
        let src = context.root.join(&context.config.book.src);
        let theme = context.config.get::<PathBuf>("output.html.theme").ok().flatten();
        write_assets(&context.root, theme.as_deref().unwrap_or(Path::new("theme")), outcome.course.settings().look)
            .and_then(|()| write_sheets(&src, &sheets))
            .and_then(|()| write_calculator(&src, &CourseTexts::of(files, shown_root), &own_pages))
            .map_err(|(path, cause)| ProcessError::Write { path, cause })?;
    }
    Ok(outcome)
}

/// Visits the chapters that have a file, in reading order: each before its children.
fn for_each_lesson(items: &mut [BookItem], visit: &mut dyn FnMut(&mut Chapter)) {
    for item in items {
        let BookItem::Chapter(chapter) = item else { continue };
        if path_of(chapter).is_some() {
            visit(chapter);
        }
        for_each_lesson(&mut chapter.sub_items, visit);
    }
}

/// Where a chapter's file is; `None` for one that is only announced.
fn path_of(chapter: &Chapter) -> Option<&PathBuf> {
    chapter.source_path.as_ref().or(chapter.path.as_ref())
}

fn lesson(chapter: &Chapter, part: &str, shown_src: &str) -> Option<Lesson> {
    let id = path_of(chapter)?.to_string_lossy().replace('\\', "/");
    let file = SourceFile::new(format!("{shown_src}/{id}"), chapter.content.as_str());
    // Chapters without a number stand before the first part or after the last.
    let part = if chapter.number.is_some() { part.to_owned() } else { String::new() };
    Some(Lesson { id, title: chapter.name.clone(), part, file })
}

/// The preprocessor for a build in this process: leaves the findings where the caller can print them.
pub struct InProcess {
    /// The course's folder as its author knows it.
    pub shown_root: String,
    /// The folder of the pages as book.toml names it.
    pub pages: PathBuf,
    /// The findings of the first renderer that ran; another one would only tell them again.
    pub findings: Arc<Mutex<Option<Vec<Finding>>>>,
}

impl Preprocessor for InProcess {
    fn name(&self) -> &str {
        "kettle"
    }

    fn run(&self, context: &PreprocessorContext, mut book: Book) -> Result<Book> {
        let outcome = process(&mut book, context, &self.shown_root, &self.pages, true)?;
        let failed = outcome.failed();
        let mut findings = self.findings.lock().map_err(|_| Error::msg("a thread of the build panicked"))?;
        findings.get_or_insert(outcome.findings);
        if failed {
            return Err(Error::msg("the course has errors"));
        }
        Ok(book)
    }
}
