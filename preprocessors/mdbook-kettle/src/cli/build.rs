//! `kettlebook build` and `kettlebook check`.

use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::{Arc, Mutex};

use kettlebook::course::{Contents, CourseFiles, LessonFiles, Settings, read_file};
use kettlebook::finding::{Finding, Severity};
use kettlebook::reader::parse;
use kettlebook::show::visible;
use kettlebook::source::Extract;
use mdbook_driver::MDBook;
use mdbook_driver::config::Config;
use mdbook_driver::errors::{Error, Result};
use mdbook_preprocessor::PreprocessorContext;
use mdbook_summary::{Link, Summary, SummaryItem};

use super::pages::{Pages, Work};
use super::state::State;
use super::{DENIED, Deny, Format, print_findings, shown_root};
use crate::output::{say, say_error, show};
use crate::preprocess::{InProcess, Outcome, process_files, told_when_building};

/// How often a build is tried while files are being written.
const N_TRIES: usize = 3;

type Findings = Arc<Mutex<Option<Vec<Finding>>>>;

/// Builds a course beside its last good pages and exchanges the two when all went well.
pub(super) fn build(course: &Path, format: Format) -> ExitCode {
    let slips = slips_of_settings(course);
    let is_readable = slips.is_none();
    let findings = Findings::new(Mutex::new(slips));
    let result = if is_readable { build_pages(course, &findings) } else { Err(Error::msg("book.toml cannot be read")) };
    let findings = told_when_building(taken(&findings));
    let mut went_well = print_findings(&findings, format);
    match result {
        Ok(pages) => {
            let words = visible(&format!("The course is ready: open {} in any web browser.\n", pages.display()));
            if format.is_for_programs() {
                say(&words);
            } else {
                went_well &= show(&words);
            }
            exit_code(went_well)
        }
        Err(error) => {
            if !has_errors(&findings) {
                say_error(format!("{error:#}"));
            }
            say("Nothing was built; the last good pages are as they were.\n");
            ExitCode::FAILURE
        }
    }
}

/// Looks for mistakes and writes nothing.
pub(super) fn check(course: &Path, format: Format, deny: Option<Deny>) -> ExitCode {
    if let Some(findings) = slips_of_settings(course) {
        let _ = print_findings(&findings, format);
        return ExitCode::FAILURE;
    }
    let result = look_at(course);
    match result {
        Ok(outcome) => {
            let mut went_well = print_findings(&outcome.findings, format);
            if format == Format::Full && outcome.findings.is_empty() {
                went_well &= show("No mistakes found.\n");
            } else if format == Format::Full && outcome.findings.iter().all(|it| it.severity == Severity::Acknowledged)
            {
                went_well &= show("No mistakes found, except what you have acknowledged.\n");
            }
            let is_denied = |it: &Finding| match it.severity {
                Severity::Error | Severity::Acknowledged => false,
                Severity::Warning => deny.is_some(),
                Severity::Note => deny == Some(Deny::Notes),
            };
            if went_well && !outcome.failed() && outcome.findings.iter().any(is_denied) {
                return ExitCode::from(DENIED);
            }
            exit_code(went_well && !outcome.failed())
        }
        Err(error) => {
            say_error(format!("{error:#}"));
            ExitCode::FAILURE
        }
    }
}

/// A course with everything that is found in it, where its settings can be read at all; or why not, in a sentence.
pub(super) fn looked_at(course: &Path) -> std::result::Result<Outcome, String> {
    if let Some(findings) = slips_of_settings(course) {
        let _ = print_findings(&findings, Format::Full);
        return Err(String::new());
    }
    look_at(course).map_err(|it| format!("{it:#}"))
}

fn look_at(course: &Path) -> Result<Outcome> {
    look_at_files(course, &CourseFiles::read(course, &shown_root(course))?)
}

/// Looks at the lessons of a course with what these files have.
pub(super) fn look_at_files(course: &Path, files: &CourseFiles) -> Result<Outcome> {
    let mut book = load(course, config(course)?)?;
    let outputs = book.config.outputs::<toml::Value>()?;
    // A course without any output section is built as HTML pages.
    let renderer = if outputs.is_empty() || outputs.contains_key("html") { "html" } else { "markdown" };
    let context = PreprocessorContext::new(book.root.clone(), book.config.clone(), renderer.to_owned());
    let pages = &context.config.build.build_dir;
    Ok(process_files(files, &mut book.book, &context, &shown_root(course), pages, false)?)
}

fn exit_code(went_well: bool) -> ExitCode {
    if went_well { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

fn taken(findings: &Findings) -> Vec<Finding> {
    findings.lock().ok().and_then(|mut it| it.take()).unwrap_or_default()
}

fn has_errors(findings: &[Finding]) -> bool {
    findings.iter().any(|it| it.severity == Severity::Error)
}

/// What keeps book.toml from being read, in our words: mdBook would stop at it with those of its parser.
fn slips_of_settings(course: &Path) -> Option<Vec<Finding>> {
    let root = shown_root(course);
    let path = if root.is_empty() { "book.toml".to_owned() } else { format!("{root}/book.toml") };
    let file = read_file(&course.join("book.toml"), path).ok()?;
    let (_, findings) = parse(&Extract::whole(&file));
    Some(findings).filter(|it| !it.is_empty())
}

fn config(course: &Path) -> Result<Config> {
    let book_toml = course.join("book.toml");
    if !book_toml.is_file() {
        return Err(Error::msg(format!(
            "there is no {}; name the folder of a course, as in `kettlebook build my-course`",
            book_toml.display()
        )));
    }
    let mut config = Config::from_disk(&book_toml)?;
    update_from_environment(&mut config)?;
    // A chapter that is missing is a mistake to tell, not a file to make.
    config.build.create_missing = false;
    Ok(config)
}

/// What mdBook's own `update_from_env` does, which panics over any variable of the environment that is not UTF-8.
fn update_from_environment(config: &mut Config) -> Result<()> {
    const SECTIONS: [&str; 5] = ["book", "build", "rust", "output", "preprocessor"];
    for (name, value) in std::env::vars_os() {
        let Some(key) = name.to_str().and_then(|it| it.strip_prefix("MDBOOK_")) else { continue };
        let key = key.to_lowercase().replace("__", ".").replace('_', "-");
        // Others, such as MDBOOK_VERSION, are for scripts.
        if !SECTIONS.contains(&key.split('.').next().unwrap_or_default()) {
            continue;
        }
        let Some(value) = value.to_str() else {
            return Err(Error::msg(format!("the environment variable {} is not UTF-8", name.display())));
        };
        let value = serde_json::from_str(value).unwrap_or_else(|_| serde_json::Value::String(value.to_owned()));
        config.set(key, value)?;
    }
    Ok(())
}

/// mdBook stops at the first chapter that it cannot read. So that everything else is looked at as well, it gets a list of
/// those that it can; the others are found again when the course is looked at, and nothing is built.
fn load(course: &Path, config: Config) -> Result<MDBook> {
    let files = LessonFiles::read(&course.join(&config.book.src), "")?;
    let contents = Contents::of(&files, &Settings::default().src);
    if contents.errors.is_empty() {
        return MDBook::load_with_config(course, config);
    }
    let mut summary = Summary::default();
    let links = contents.chapters.into_iter().map(|(title, path)| SummaryItem::Link(Link::new(title, path)));
    summary.numbered_chapters = links.collect();
    MDBook::load_with_config_and_summary(course, config, summary)
}

/// Builds into a folder beside the pages, then puts it in their place. Gives the page to open.
fn build_pages(course: &Path, findings: &Findings) -> Result<PathBuf> {
    let build_dir = config(course)?.build.build_dir;
    let pages = Pages::open(&course.join(&build_dir), || {
        say("Another build of the same pages is running; this one starts when it has ended.\n");
    })?;
    // Only now is anything of the course read: what was written while another build ran counts.
    let (mut book, work) = build_of_one_state(course, &build_dir, &pages, findings)?;
    pages.replace(work)?;
    book.config.build.build_dir = build_dir;
    let html = book.build_dir_for("html");
    let page = html.join("index.html");
    let page = if page.is_file() { page } else { html };
    // "./book" says no more than "book".
    Ok(page.strip_prefix(".").map(Path::to_owned).unwrap_or(page))
}

/// Builds again when somebody wrote to the course meanwhile, so that all pages are of one state of its files.
fn build_of_one_state(course: &Path, build_dir: &Path, pages: &Pages, findings: &Findings) -> Result<(MDBook, Work)> {
    let mut n_left = N_TRIES;
    loop {
        let config = config(course)?;
        let src = config.book.src.clone();
        let before = State::of(course, &src);
        if let Ok(mut it) = findings.lock() {
            *it = None;
        }
        let work = pages.work()?;
        let built = load(course, config).and_then(|mut book| {
            if book.config.build.build_dir != build_dir {
                return Err(Error::msg("book.toml names another folder for the pages than a moment ago; build again"));
            }
            book.with_preprocessor(InProcess {
                shown_root: shown_root(course),
                pages: build_dir.to_owned(),
                findings: Arc::clone(findings),
            });
            book.config.build.build_dir = work.fresh();
            book.build().map(|()| book)
        });
        let Some(changed) = before.changed(&State::of(course, &src)) else { return Ok((built?, work)) };
        n_left -= 1;
        if n_left == 0 {
            if let Ok(mut it) = findings.lock() {
                *it = None;
            }
            return Err(Error::msg(format!(
                "{} was changed while the course was built; build again when everything is saved",
                changed.display()
            )));
        }
    }
}
