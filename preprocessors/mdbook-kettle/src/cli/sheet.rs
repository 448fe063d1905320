//! `kettlebook sheet`: recipes on paper, a file for each.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use kettlebook::course::{Course, CourseFiles};
use kettlebook::finding::{Finding, Severity, nearest};
use kettlebook::ledger::Ledger;

use super::{Format, course_or_default, print_findings};

#[derive(clap::Args)]
pub(super) struct SheetArguments {
    /// The recipe, by the name of its file; all recipes of the course where none is named
    recipe: Option<String>,
    /// The folder with the course's book.toml; the folder `course` if it has one, or else this folder
    #[arg(long)]
    course: Option<PathBuf>,
    /// The folder for the sheets
    #[arg(long, default_value = "sheets")]
    to: PathBuf,
}

/// Writes the sheets; none when anything is wrong with the course.
pub(super) fn sheet(arguments: &SheetArguments) -> ExitCode {
    super::printed(write(arguments))
}

/// What was written, or what is wrong in a sentence; an empty one when findings were printed instead.
fn write(arguments: &SheetArguments) -> Result<String, String> {
    let folder = course_or_default(arguments.course.as_deref());
    let files = CourseFiles::read(&folder, &super::shown_root(&folder)).map_err(|it| it.to_string())?;
    let (course, findings) = Course::new(&files);
    let errors: Vec<Finding> = findings.into_iter().filter(|it| it.severity == Severity::Error).collect();
    if !errors.is_empty() {
        let _ = print_findings(&errors, Format::Full);
        return Err(String::new());
    }
    let mut sheets: Vec<(PathBuf, String)> = Vec::new();
    for (id, ledger) in wanted(arguments.recipe.as_deref(), &course)? {
        let text = course.paper(ledger).map_err(|finding| {
            let _ = print_findings(&[*finding], Format::Full);
            String::new()
        })?;
        sheets.push((arguments.to.join(format!("{id}.html")), text));
    }
    let cannot = |path: &Path, cause: std::io::Error| format!("cannot write {}: {cause}", path.display());
    fs::create_dir_all(&arguments.to).map_err(|it| cannot(&arguments.to, it))?;
    for (path, text) in &sheets {
        fs::write(path, text).map_err(|it| cannot(path, it))?;
    }
    let n_sheets = sheets.len();
    let (sheets, them) = if n_sheets == 1 { ("sheet is", "it") } else { ("sheets are", "them") };
    let to = arguments.to.display();
    Ok(format!("{n_sheets} {sheets} in {to}: open {them} in a web browser and print {them} from there.\n"))
}

fn wanted<'a>(name: Option<&str>, course: &'a Course) -> Result<Vec<(&'a str, &'a Ledger)>, String> {
    let all = course.recipes().iter().filter_map(|(id, it)| Some((id.as_str(), it.as_ref()?)));
    let Some(name) = name else { return Ok(all.collect()) };
    let found: Vec<_> = all.filter(|(id, _)| *id == name).collect();
    if found.is_empty() {
        let near = nearest(name, course.recipes().keys().map(String::as_str));
        let near = near.map(|it| format!("; did you mean `{it}`?")).unwrap_or_default();
        return Err(format!("no recipe named `{name}` in this course{near}"));
    }
    Ok(found)
}
