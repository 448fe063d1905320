//! `kettlebook batch`: one recipe's sheet, in the terminal or as JSON.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use kettlebook::course::{Course, CourseFiles, read_file};
use kettlebook::finding::{Finding, Severity, nearest, without_echoes};
use kettlebook::recipe::{BatchSize, Changes, MASS_LIMITS_GRAMS, SUPERFAT_LIMITS_PERCENT};
use kettlebook::sheet::{batch_json, batch_schema, sheet, weighed_sheet};
use kettlebook::units::{Mass, Scale, ScaleUnit};

use super::{Format, course_or_default, print_findings};

#[derive(clap::Args)]
pub(super) struct BatchArguments {
    /// The recipe: its name in the course's folder `recipes`, or a path to a file
    #[arg(required_unless_present = "schema")]
    recipe: Option<String>,
    /// The folder with the course's book.toml; the folder `course` if it has one, or else this folder
    #[arg(long)]
    course: Option<PathBuf>,
    /// Everything with its unit, exact and as printed, as JSON
    #[arg(long)]
    json: bool,
    /// The JSON Schema of what --json prints
    #[arg(long)]
    schema: bool,
    /// Fill this mould of the table instead
    #[arg(long, conflicts_with = "batch")]
    mould: Option<String>,
    /// Use this mass of fats instead, such as "900 g" or "2 lb"
    #[arg(long)]
    batch: Option<String>,
    /// Leave this percentage of the fats unsaponified instead
    #[arg(long, allow_negative_numbers = true, value_parser = kettlebook::units::number)]
    superfat: Option<f64>,
    /// What was really weighed instead of what the card says, such as "lye=131 g,olive=640 g": the superfat it has, and what
    /// puts it right
    #[arg(long, value_delimiter = ',', conflicts_with_all = ["json", "schema"])]
    weighed: Vec<String>,
    /// Use a scale with this smallest step instead, such as "5 g" or "0.1 oz"
    #[arg(long)]
    scale: Option<String>,
}

/// Prints one recipe; nothing on standard output when anything is wrong with it.
pub(super) fn batch(arguments: &BatchArguments) -> ExitCode {
    let text = if arguments.schema { batch_schema().map_err(|it| it.to_string()) } else { text_of(arguments) };
    super::printed(text)
}

/// What to print, or what is wrong in a sentence; an empty one when findings were printed instead.
fn text_of(arguments: &BatchArguments) -> Result<String, String> {
    let folder = course_or_default(arguments.course.as_deref());
    let shown = super::shown_root(&folder);
    let files = CourseFiles::read(&folder, &shown).map_err(|it| it.to_string())?;
    let (course, course_findings) = Course::new(&files);
    let name = arguments.recipe.as_deref().unwrap_or_default();
    let path = Path::new(name);
    let file = if path.extension().is_some_and(|it| it == "toml") {
        read_file(path, name.to_owned()).map_err(|it| it.to_string())?
    } else {
        let of_course = files
            .recipes
            .iter()
            .find(|it| it.path().ends_with(&format!("/{name}.toml")) || it.path() == format!("{name}.toml"));
        let of_course =
            of_course.or_else(|| files.recipes.iter().find(|it| it.path() == format!("recipes/{name}.toml")));
        match of_course {
            Some(file) => file.clone(),
            None => {
                let near = nearest(name, course.recipes().keys().map(String::as_str));
                let near = near.map(|it| format!("; did you mean `{it}`?")).unwrap_or_default();
                return Err(format!("no recipe named `{name}` in {}{near}", folder.join("recipes").display()));
            }
        }
    };
    let changes = changes(arguments, &course)?;
    let weighed = arguments.weighed.iter().map(|it| weighed(it)).collect::<Result<Vec<_>, _>>()?;
    let id = path.file_stem().map_or_else(String::new, |it| it.to_string_lossy().into_owned());
    let (computed, findings) = course.compute(&id, &file, &changes);
    // Of the course only what the recipe rests on matters here: settings, tables and its base, not other recipes.
    let base = course_findings.into_iter().filter(|it| !course.is_recipe(&it.place.file));
    let findings: Vec<Finding> = base
        .chain(without_echoes(findings))
        .filter(|it| matches!(it.severity, Severity::Error | Severity::Warning))
        .collect();
    // In full, which goes to standard error.
    let _ = print_findings(&findings, Format::Full);
    let failed = findings.iter().any(|it| it.severity == Severity::Error);
    match computed {
        Some(computed) if !failed && arguments.json => {
            batch_json(&computed).map_err(|it| format!("the numbers cannot be written as JSON: {it}"))
        }
        Some(computed) if !failed && !weighed.is_empty() => {
            let unit = changes.scale.map(|it| it.unit);
            weighed_sheet(&computed, course.tables(), &weighed, unit).map_err(|it| format!("--weighed: {it}"))
        }
        Some(computed) if !failed => Ok(sheet(&computed, course.tables())),
        _ => Err(String::new()),
    }
}

fn changes(arguments: &BatchArguments, course: &Course) -> Result<Changes, String> {
    let size = match (&arguments.batch, &arguments.mould) {
        (Some(batch), _) => {
            let mass = Mass::parse(batch)
                .map_err(|it| format!("--batch \"{batch}\" cannot be read: {it}; write {}", Mass::FORMS))?;
            let (low, high) = MASS_LIMITS_GRAMS;
            if !(low..=high).contains(&mass.to_grams()) {
                return Err(format!("--batch \"{batch}\" is not between a milligram and a tonne"));
            }
            Some(BatchSize::Fats(mass))
        }
        (None, Some(mould)) => {
            let moulds = &course.tables().moulds;
            let Some(found) = moulds.get(mould) else {
                let near = nearest(mould, moulds.keys().map(String::as_str));
                let near = near.map(|it| format!("; did you mean `{it}`?")).unwrap_or_default();
                return Err(format!("no mould named `{mould}` in the table of moulds{near}"));
            };
            Some(BatchSize::Mould(found.clone()))
        }
        (None, None) => None,
    };
    if let Some(superfat) = arguments.superfat
        && !(SUPERFAT_LIMITS_PERCENT.0..=SUPERFAT_LIMITS_PERCENT.1).contains(&superfat)
    {
        return Err(format!("--superfat {superfat} is not a percentage of the fats"));
    }
    let scale = arguments.scale.as_deref().map(scale).transpose()?;
    Ok(Changes { size, superfat_percent: arguments.superfat, scale, ..Changes::default() })
}

/// `lye=131 g`: what was weighed, and how much of it.
fn weighed(text: &str) -> Result<(String, Mass), String> {
    let refused =
        |why: String| format!("--weighed \"{text}\" cannot be read: {why}; write  lye=\"131 g\"  or the like");
    let (name, mass) = text.split_once('=').ok_or_else(|| refused("there is no = in it".to_owned()))?;
    let mass = Mass::parse(mass).map_err(|it| refused(it.to_string()))?;
    if mass.to_grams() > MASS_LIMITS_GRAMS.1 {
        return Err(refused("that is more than a tonne".to_owned()));
    }
    Ok((name.trim().to_owned(), mass))
}

fn scale(text: &str) -> Result<Scale, String> {
    let mass =
        Mass::parse(text).map_err(|it| format!("--scale \"{text}\" cannot be read: {it}; write {}", Mass::FORMS));
    let step = mass.and_then(|_| Scale::step_typed(text, ScaleUnit::Grams).map_err(|it| it.to_string()));
    let (unit, division) = step?;
    let (finest, coarsest) = unit.division_limits();
    if !(finest..=coarsest).contains(&division) {
        let symbol = unit.symbol();
        return Err(format!(
            "--scale \"{text}\" is not the smallest step of a scale, which lies between {finest} and {coarsest} {symbol}"
        ));
    }
    Ok(Scale::new(unit, division))
}
