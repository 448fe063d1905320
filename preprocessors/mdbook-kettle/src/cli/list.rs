//! `kettlebook list`: what a course has, by name, and where it is used.

use std::path::PathBuf;
use std::process::ExitCode;

use clap::ValueEnum;
use kettlebook::course::{Listed, Listing};
use kettlebook::finding::nearest;
use kettlebook::show::visible;

use super::build::looked_at;
use super::course_or_default;
use crate::output::say;

#[derive(clap::Args)]
pub(super) struct ListArguments {
    /// What to list
    #[arg(value_enum)]
    what: What,
    /// Only this one, with the recipes and the lessons that use it
    name: Option<String>,
    /// The folder with the course's book.toml; the folder `course` if it has one, or else this folder
    #[arg(long)]
    course: Option<PathBuf>,
}

#[derive(Clone, Copy, ValueEnum)]
enum What {
    /// Fats, with the saponification value that is used and its range
    Fats,
    /// Moulds, with what they measure
    Moulds,
    /// Additives, acids and liquids among them
    Additives,
    /// The recipes of the course
    Recipes,
    /// The words that its lessons explain
    Terms,
    /// The values that sentences may name
    Values,
}

impl From<What> for Listing {
    fn from(what: What) -> Listing {
        match what {
            What::Fats => Listing::Fats,
            What::Moulds => Listing::Moulds,
            What::Additives => Listing::Additives,
            What::Recipes => Listing::Recipes,
            What::Terms => Listing::Terms,
            What::Values => Listing::Values,
        }
    }
}

/// Prints a list, one line each, or one thing with all that uses it.
pub(super) fn list(arguments: &ListArguments) -> ExitCode {
    super::printed(text_of(arguments))
}

fn text_of(arguments: &ListArguments) -> Result<String, String> {
    let course = course_or_default(arguments.course.as_deref());
    let outcome = looked_at(&course)?;
    let listed = outcome.course.listed(arguments.what.into(), &outcome.pages);
    let text = match &arguments.name {
        None => lines(&listed),
        Some(name) => {
            let found: Vec<&Listed> = listed.iter().filter(|it| it.id == *name).collect();
            if found.is_empty() {
                let near = nearest(name, listed.iter().map(|it| it.id.as_str()));
                let near = near.map(|it| format!("; did you mean `{it}`?")).unwrap_or_default();
                return Err(format!("there is no `{name}` in this list{near}"));
            }
            found.into_iter().map(in_full).collect()
        }
    };
    if outcome.failed() {
        say("The course has errors (kettlebook check), so what uses a thing may be more or less than this.\n");
    }
    Ok(visible(&text))
}

/// One line each: its name, what it is, how many lessons use it.
fn lines(listed: &[Listed]) -> String {
    let width = |of: &dyn Fn(&Listed) -> &str| listed.iter().map(|it| of(it).chars().count()).max().unwrap_or_default();
    let (id_width, about_width) = (width(&|it| &it.id), width(&|it| &it.about));
    let mut text = String::new();
    for it in listed {
        let line = format!("{:id_width$}  {:about_width$}  {}", it.id, it.about, counted(it));
        text.push_str(line.trim_end());
        text.push('\n');
    }
    text
}

fn counted(it: &Listed) -> String {
    let some = |n: usize, word: &str| match n {
        0 => None,
        1 => Some(format!("1 {word}")),
        n => Some(format!("{n} {word}s")),
    };
    let counted = [some(it.recipes.len(), "recipe"), some(it.lessons.len(), "lesson")];
    counted.into_iter().flatten().collect::<Vec<_>>().join(", ")
}

fn in_full(it: &Listed) -> String {
    let mut text = format!("{}: {}\n", it.id, it.about);
    for (what, used_by) in [("recipe", &it.recipes), ("lesson", &it.lessons)] {
        for name in used_by {
            text.push_str(&format!("  {what} {name}\n"));
        }
    }
    if it.recipes.is_empty() && it.lessons.is_empty() {
        text.push_str("  used nowhere\n");
    }
    text
}
