//! mdBook's book in, the book with computed pages out.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};

use kettlebook::course::{Course, CourseFiles, LoadError, included_file};
use kettlebook::finding::{Finding, Severity};
use kettlebook::page::{Form, Lesson, Page};
use kettlebook::source::SourceFile;
use mdbook_preprocessor::book::{Book, BookItem, Chapter};
use mdbook_preprocessor::errors::{Error, Result};
use mdbook_preprocessor::{Preprocessor, PreprocessorContext};

use crate::assets::write_assets;

/// What came of a book.
pub struct Outcome {
    /// Everything found in the course, in reading order.
    pub findings: Vec<Finding>,
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
pub fn told_when_building(findings: Vec<Finding>) -> Vec<Finding> {
    findings.into_iter().filter(|it| it.severity != Severity::Acknowledged).collect()
}

/// What kept a course from being looked at.
#[derive(Debug, thiserror::Error)]
pub enum ProcessError {
    /// A file of the course cannot be read.
    #[error(transparent)]
    Load(#[from] LoadError),
    /// The style sheet or the script cannot be written into the course.
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
/// - `write`: whether the style sheet and the script may be brought up to date.
///
/// # Errors
///
/// When a file cannot be read or written. What is wrong *in* the files is in the outcome.
pub fn process(
    book: &mut Book,
    context: &PreprocessorContext,
    shown_root: &str,
    write: bool,
) -> std::result::Result<Outcome, ProcessError> {
    let files = CourseFiles::read(&context.root, shown_root)?;
    let (mut course, mut findings) = Course::new(&files);
    let form = if context.renderer == "html" { Form::Html } else { Form::Markdown };
    findings.extend(course.missing_assets(form));
    let src = context.config.book.src.to_string_lossy().replace('\\', "/");
    let shown_src = if shown_root.is_empty() { src } else { format!("{shown_root}/{src}") };
    // The glossary and whatever is about the order of pages need all of them before the first is rendered.
    let mut lessons = Vec::new();
    collect_lessons(&book.items, &shown_src, &mut lessons);
    let included = |including: &str, path: &str| included_file(&context.root, shown_root, including, path);
    findings.extend(course.read_glossary(&lessons, &included));
    let mut pass = Pass {
        course: &course,
        root: &context.root,
        shown_root,
        shown_src: &shown_src,
        form,
        findings,
        used: BTreeSet::new(),
    };
    pass.items(&mut book.items);
    let Pass { mut findings, used, .. } = pass;
    findings.extend(course.unused_recipes(&used));
    if write && form == Form::Html {
        write_assets(&context.root).map_err(|(path, cause)| ProcessError::Write { path, cause })?;
    }
    Ok(Outcome { findings })
}

/// The chapters in reading order: each before its children.
fn collect_lessons(items: &[BookItem], shown_src: &str, lessons: &mut Vec<Lesson>) {
    for item in items {
        let BookItem::Chapter(chapter) = item else { continue };
        if let Some((id, file)) = source_of(chapter, shown_src) {
            lessons.push(Lesson { id, title: chapter.name.clone(), file });
        }
        collect_lessons(&chapter.sub_items, shown_src, lessons);
    }
}

/// A chapter's path below the folder of the pages, and its file; `None` for one that is only announced.
fn source_of(chapter: &Chapter, shown_src: &str) -> Option<(String, Arc<SourceFile>)> {
    let path = chapter.source_path.as_ref().or(chapter.path.as_ref())?;
    let id = path.to_string_lossy().replace('\\', "/");
    let file = SourceFile::new(format!("{shown_src}/{id}"), chapter.content.as_str());
    Some((id, file))
}

struct Pass<'a> {
    course: &'a Course,
    root: &'a Path,
    shown_root: &'a str,
    shown_src: &'a str,
    form: Form,
    findings: Vec<Finding>,
    used: BTreeSet<String>,
}

impl Pass<'_> {
    /// Visits a chapter before its children, which is reading order.
    fn items(&mut self, items: &mut [BookItem]) {
        for item in items {
            if let BookItem::Chapter(chapter) = item {
                self.chapter(chapter);
                self.items(&mut chapter.sub_items);
            }
        }
    }

    fn chapter(&mut self, chapter: &mut Chapter) {
        let Some((id, file)) = source_of(chapter, self.shown_src) else { return };
        let included = |including: &str, path: &str| included_file(self.root, self.shown_root, including, path);
        let rendered = self.course.render(&Page { file: &file, id: &id, form: self.form, included: &included });
        chapter.content = rendered.text;
        self.findings.extend(rendered.findings);
        self.used.extend(rendered.recipes);
    }
}

/// The preprocessor for a build in this process: leaves the findings where the caller can print them.
pub struct InProcess {
    /// The course's folder as its author knows it.
    pub shown_root: String,
    /// The findings of the first renderer that ran; another one would only tell them again.
    pub findings: Arc<Mutex<Option<Vec<Finding>>>>,
}

impl Preprocessor for InProcess {
    fn name(&self) -> &str {
        "kettle"
    }

    fn run(&self, context: &PreprocessorContext, mut book: Book) -> Result<Book> {
        let outcome = process(&mut book, context, &self.shown_root, true)?;
        let failed = outcome.failed();
        let mut findings = self.findings.lock().map_err(|_| Error::msg("a thread of the build panicked"))?;
        findings.get_or_insert(outcome.findings);
        if failed {
            return Err(Error::msg("the course has errors"));
        }
        Ok(book)
    }
}
