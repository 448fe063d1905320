//! `kettlebook try`: what a change would do to every lesson, before it is written into a file.

use std::path::PathBuf;
use std::process::ExitCode;

use kettlebook::course::{CourseFiles, Differences, State};
use kettlebook::finding::{Finding, Severity};
use kettlebook::sheet::differences_text;

use super::build::{look_at_files, looked_at};
use super::{Format, course_or_default, print_findings, shown_root};
use crate::output::{say_error, show};
use crate::preprocess::Outcome;

#[derive(clap::Args)]
pub(super) struct TryArguments {
    /// What to try, such as "fats.olive.use=189", "moulds.loaf-1kg.inside-length=24 cm", "recipes.first-bar.superfat=6",
    /// "limits.usual-superfat-percent.high=7" or "settings.units=grams"; several are tried together
    #[arg(required = true)]
    tried: Vec<String>,
    /// The folder with the course's book.toml; the folder `course` if it has one, or else this folder
    #[arg(long)]
    course: Option<PathBuf>,
}

/// The exit code when lessons print something else.
const DIFFERENT: u8 = 3;
/// The exit code when sheets of before leave lye over, or may, or cannot be told from those of after.
const UNSAFE: u8 = 4;

/// Prints what would differ; nothing on standard output when the course cannot be built, as it is or as it is tried.
pub(super) fn attempt(arguments: &TryArguments) -> ExitCode {
    match differences_of(arguments) {
        Ok(differences) if differences.is_empty() => code(show("Nothing would be printed otherwise.\n"), 0),
        Ok(differences) => {
            code(show(&differences_text(&differences)), if differences.is_safe() { DIFFERENT } else { UNSAFE })
        }
        Err(words) => {
            if !words.is_empty() {
                say_error(words);
            }
            ExitCode::FAILURE
        }
    }
}

fn code(went_well: bool, code: u8) -> ExitCode {
    if went_well { ExitCode::from(code) } else { ExitCode::FAILURE }
}

fn differences_of(arguments: &TryArguments) -> Result<Differences, String> {
    let course = course_or_default(arguments.course.as_deref());
    let before = looked_at(&course)?;
    if before.failed() {
        return Err(format!("the course has errors as it is; kettlebook check {} tells them", course.display()));
    }
    let mut files = CourseFiles::read(&course, &shown_root(&course)).map_err(|it| it.to_string())?;
    for tried in &arguments.tried {
        files = files.with_tried(tried)?;
    }
    let after = look_at_files(&course, &files).map_err(|it| format!("{it:#}"))?;
    // What the change brings: what the course has without it is known.
    let is_new = |it: &&Finding| !before.findings.iter().any(|old| (old.code, &old.message) == (it.code, &it.message));
    let counts = |it: &&Finding| matches!(it.severity, Severity::Error | Severity::Warning);
    let new: Vec<Finding> = after.findings.iter().filter(is_new).filter(counts).cloned().collect();
    let _ = print_findings(&new, Format::Full);
    if after.failed() {
        return Err("the course could not be built like that; nothing was changed".to_owned());
    }
    Ok(Differences::between(state_of(&before), state_of(&after)))
}

fn state_of(outcome: &Outcome) -> State<'_> {
    State { course: &outcome.course, pages: &outcome.pages }
}
