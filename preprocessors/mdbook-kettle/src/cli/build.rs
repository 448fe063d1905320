//! `kettlebook build` and `kettlebook check`.

use std::ffi::OsString;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::{Arc, Mutex};

use kettlebook::finding::{Finding, Severity};
use kettlebook::reader::parse;
use kettlebook::source::{Extract, SourceFile};
use mdbook_driver::MDBook;
use mdbook_driver::config::Config;
use mdbook_driver::errors::{Error, Result};
use mdbook_preprocessor::PreprocessorContext;

use super::{Format, print_findings, shown_root};
use crate::preprocess::{InProcess, process, told_when_building};

type Findings = Arc<Mutex<Option<Vec<Finding>>>>;

/// Builds a course beside its last good pages and exchanges the two when all went well.
pub(super) fn build(course: &Path, format: Format) -> ExitCode {
    let slips = slips_of_settings(course);
    let is_readable = slips.is_none();
    let findings = Findings::new(Mutex::new(slips));
    let result = if is_readable { build_pages(course, &findings) } else { Err(Error::msg("book.toml cannot be read")) };
    let findings = taken(&findings);
    let findings = told_when_building(findings);
    print_findings(&findings, format);
    match result {
        Ok(pages) => {
            let words = format!("The course is ready: open {} in any web browser.", pages.display());
            // JSON on standard output must stay alone there.
            if format == Format::Json {
                eprintln!("{words}")
            } else {
                println!("{words}")
            }
            ExitCode::SUCCESS
        }
        Err(error) => {
            if !has_errors(&findings) {
                eprintln!("error: {error:#}");
            }
            eprintln!("Nothing was built; the last good pages are as they were.");
            ExitCode::FAILURE
        }
    }
}

/// Looks for mistakes and writes nothing.
pub(super) fn check(course: &Path, format: Format) -> ExitCode {
    if let Some(findings) = slips_of_settings(course) {
        print_findings(&findings, format);
        return ExitCode::FAILURE;
    }
    let result = load(course).and_then(|mut book| {
        let outputs = book.config.outputs::<toml::Value>()?;
        // A course without any output section is built as HTML pages.
        let renderer = if outputs.is_empty() || outputs.contains_key("html") { "html" } else { "markdown" };
        let context = PreprocessorContext::new(book.root.clone(), book.config.clone(), renderer.to_owned());
        Ok(process(&mut book.book, &context, &shown_root(course), false)?)
    });
    match result {
        Ok(outcome) => {
            print_findings(&outcome.findings, format);
            if format == Format::Full && outcome.findings.is_empty() {
                println!("Nothing to find fault with.");
            } else if format == Format::Full && outcome.findings.iter().all(|it| it.severity == Severity::Acknowledged)
            {
                println!("Nothing to find fault with but what you have acknowledged.");
            }
            if outcome.failed() { ExitCode::FAILURE } else { ExitCode::SUCCESS }
        }
        Err(error) => {
            eprintln!("error: {error:#}");
            ExitCode::FAILURE
        }
    }
}

fn taken(findings: &Findings) -> Vec<Finding> {
    findings.lock().ok().and_then(|mut it| it.take()).unwrap_or_default()
}

fn has_errors(findings: &[Finding]) -> bool {
    findings.iter().any(|it| it.severity == Severity::Error)
}

/// What keeps book.toml from being read, in our words: mdBook would stop at it with those of its parser.
fn slips_of_settings(course: &Path) -> Option<Vec<Finding>> {
    let text = fs::read_to_string(course.join("book.toml")).ok()?;
    let root = shown_root(course);
    let path = if root.is_empty() { "book.toml".to_owned() } else { format!("{root}/book.toml") };
    let (_, findings) = parse(&Extract::whole(&SourceFile::new(path, text)));
    Some(findings).filter(|it| !it.is_empty())
}

fn load(course: &Path) -> Result<MDBook> {
    let book_toml = course.join("book.toml");
    if !book_toml.is_file() {
        return Err(Error::msg(format!(
            "there is no {}; name the folder of a course, as in `kettlebook build my-course`",
            book_toml.display()
        )));
    }
    let mut config = Config::from_disk(&book_toml)?;
    config.update_from_env()?;
    // A chapter that is missing is a mistake to tell, not a file to make.
    config.build.create_missing = false;
    MDBook::load_with_config(course, config)
}

/// Builds into a folder beside the pages, then puts it in their place. Gives the page to open.
fn build_pages(course: &Path, findings: &Findings) -> Result<PathBuf> {
    let mut book = load(course)?;
    book.with_preprocessor(InProcess { shown_root: shown_root(course), findings: Arc::clone(findings) });
    let pages = book.config.build.build_dir.clone();
    let (fresh, old) = (beside(&pages, ".new"), beside(&pages, ".old"));
    let (pages_folder, fresh_folder, old_folder) = (course.join(&pages), course.join(&fresh), course.join(&old));
    book.config.build.build_dir = fresh;
    remove(&fresh_folder)?;
    remove(&old_folder)?;
    if let Err(error) = book.build() {
        remove(&fresh_folder)?;
        return Err(error);
    }
    if pages_folder.exists() {
        fs::rename(&pages_folder, &old_folder)?;
    }
    fs::rename(&fresh_folder, &pages_folder)?;
    remove(&old_folder)?;
    book.config.build.build_dir = pages;
    let html = book.build_dir_for("html");
    let page = html.join("index.html");
    let page = if page.is_file() { page } else { html };
    // "./book" says no more than "book".
    Ok(page.strip_prefix(".").map(Path::to_owned).unwrap_or(page))
}

/// A hidden name in the same folder, so that the exchange is a rename and not a copy.
fn beside(pages: &Path, ending: &str) -> PathBuf {
    let mut name = OsString::from(".");
    name.push(pages.file_name().unwrap_or_default());
    name.push(ending);
    pages.with_file_name(name)
}

fn remove(folder: &Path) -> Result<()> {
    if folder.exists() {
        fs::remove_dir_all(folder)?;
    }
    Ok(())
}
