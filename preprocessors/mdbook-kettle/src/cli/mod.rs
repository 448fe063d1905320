//! The command line of `kettlebook`: arguments, files, exit codes.

mod attempt;
mod batch;
mod build;
mod foreign;
mod list;
mod pages;
mod sheet;
mod state;

use std::io::stderr;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::{Parser, Subcommand, ValueEnum};
use kettlebook::finding::Finding;
use kettlebook::report::{concise, full, github, json, sarif, summary};

use crate::output::{is_styled, say, say_error, show};

/// Builds soapmaking courses whose every quantity is computed from the recipes.
#[derive(Parser)]
#[command(name = "kettlebook", version)]
pub struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Build the pages of a course
    ///
    /// Computes every recipe block and value, and writes the pages with mdBook. If anything in the course is wrong,
    /// all of it is reported at once, nothing is written, and the last good pages stay as they were.
    Build(CourseArguments),
    /// Look for mistakes in a course without building it
    ///
    /// Exit codes: 0 when nothing was found that forbids a build; 1 when there is an error, or the course cannot be read;
    /// 2 when there is no error, but something that --deny names.
    Check(CheckArguments),
    /// Print one recipe: what to weigh out, the arithmetic, and how sure it is
    Batch(batch::BatchArguments),
    /// List what a course has and recipes may name, and where it is used
    List(list::ListArguments),
    /// Show what a change would do to every lesson, before it is made
    ///
    /// Exit codes: 0 when nothing would be printed otherwise; 3 when something would; 4 when a student who follows a sheet of
    /// before would have lye left over, at least at the worst, or when that cannot be told; 1 when there are errors.
    Try(attempt::TryArguments),
    /// Write the batch sheet of one recipe or of all: a page to weigh by, to tick and to write on
    Sheet(sheet::SheetArguments),
}

/// Which course, and how to report what was found.
#[derive(clap::Args)]
struct CourseArguments {
    /// The folder with the course's book.toml; the folder `course` if it has one, or else this folder
    course: Option<PathBuf>,
    /// How to report what was found
    #[arg(long, value_enum, default_value_t = Format::Full)]
    format: Format,
}

#[derive(clap::Args)]
struct CheckArguments {
    #[command(flatten)]
    course: CourseArguments,
    /// What else makes the exit code a failure: 2, where there is no error
    #[arg(long, value_enum)]
    deny: Option<Deny>,
}

/// What a check may be asked to refuse beside errors. What the author acknowledges with a reason never counts.
#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Deny {
    /// Warnings
    Warnings,
    /// Warnings and notes
    Notes,
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// With the lines it is about
    Full,
    /// One line each, for editors
    Concise,
    /// As JSON, for programs
    Json,
    /// As lines by which a job on GitHub marks the places
    Github,
    /// As SARIF 2.1.0, for code hosts and editors
    Sarif,
}

impl Format {
    /// Whether a program reads it, on standard output, where nothing else may stand.
    fn is_for_programs(self) -> bool {
        match self {
            Format::Full | Format::Concise => false,
            Format::Json | Format::Github | Format::Sarif => true,
        }
    }
}

/// The exit code when there is no error, but something that was to be denied.
const DENIED: u8 = 2;

/// Runs a command: 0 when all is well, 1 when the course has an error or cannot be read.
#[must_use]
pub fn run(arguments: Arguments) -> ExitCode {
    tracing_subscriber::fmt()
        .with_max_level(tracing_subscriber::filter::LevelFilter::WARN)
        .with_writer(stderr)
        .without_time()
        .with_target(false)
        // Its own complaint about a closed stream would go there too, and panic.
        .log_internal_errors(false)
        .init();
    match arguments.command {
        Command::Build(it) => build::build(&course_or_default(it.course.as_deref()), it.format),
        Command::Check(it) => build::check(&course_or_default(it.course.course.as_deref()), it.course.format, it.deny),
        Command::Batch(it) => batch::batch(&it),
        Command::List(it) => list::list(&it),
        Command::Try(it) => attempt::attempt(&it),
        Command::Sheet(it) => sheet::sheet(&it),
    }
}

/// Prints what a command gives, or what is wrong in a sentence; an empty one when findings were printed instead.
fn printed(text: Result<String, String>) -> ExitCode {
    match text {
        Ok(text) if show(&text) => ExitCode::SUCCESS,
        Ok(_) => ExitCode::FAILURE,
        Err(words) => {
            if !words.is_empty() {
                say_error(words);
            }
            ExitCode::FAILURE
        }
    }
}

/// The folder of the course that is meant.
fn course_or_default(course: Option<&Path>) -> PathBuf {
    match course {
        Some(folder) => folder.to_owned(),
        None if Path::new("course/book.toml").is_file() => PathBuf::from("course"),
        None => PathBuf::from("."),
    }
}

/// The course's folder as its author knows it, without what says nothing.
fn shown_root(course: &Path) -> String {
    let shown = course.to_string_lossy().replace('\\', "/");
    let shown = shown.trim_end_matches('/').trim_start_matches("./");
    if shown == "." { String::new() } else { shown.to_owned() }
}

/// Prints findings: what a program reads to standard output; everything else to standard error. Whether it could be written.
#[must_use]
fn print_findings(findings: &[Finding], format: Format) -> bool {
    let for_programs = match format {
        Format::Full => {
            say(&full(findings, is_styled()));
            None
        }
        Format::Concise => {
            say(&concise(findings));
            None
        }
        Format::Json => Some(json(findings)),
        Format::Github => Some(Ok(github(findings))),
        Format::Sarif => Some(sarif(findings, env!("CARGO_PKG_VERSION"))),
    };
    match for_programs {
        Some(Ok(text)) => return show(&text),
        Some(Err(error)) => {
            say_error(format!("what was found cannot be written as JSON: {error}"));
            return false;
        }
        None => {}
    }
    if let Some(summary) = summary(findings) {
        say(&format!("Kettlebook found {summary}.\n"));
    }
    true
}
