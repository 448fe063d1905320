//! `kettlebook list`: what a course has, by name, and where it is used.

use std::path::PathBuf;
use std::process::ExitCode;

use clap::builder::{PossibleValue, PossibleValuesParser, TypedValueParser};
use kettlebook::course::{Listed, Listing};
use kettlebook::finding::nearest;
use kettlebook::show::visible;

use super::build::looked_at;
use super::course_or_default;
use crate::output::say;

#[derive(clap::Args)]
pub(super) struct ListArguments {
    /// What to list
    #[arg(value_parser = listing())]
    what: Listing,
    /// Only this one, with the recipes and the lessons that use it
    name: Option<String>,
    /// The folder with the course's book.toml; the folder `course` if it has one, or else this folder
    #[arg(long)]
    course: Option<PathBuf>,
}

/// Takes the name of a list.
fn listing() -> impl TypedValueParser<Value = Listing> {
    let named = |it: Listing| PossibleValue::new(it.name_and_about().0).help(it.name_and_about().1);
    let all = PossibleValuesParser::new(Listing::ALL.map(named));
    all.try_map(|name| Listing::ALL.into_iter().find(|it| it.name_and_about().0 == name).ok_or("no list has this name"))
}

/// Prints a list, one line each, or one thing with all that uses it.
pub(super) fn list(arguments: &ListArguments) -> ExitCode {
    super::printed(text_of(arguments))
}

fn text_of(arguments: &ListArguments) -> Result<String, String> {
    let course = course_or_default(arguments.course.as_deref());
    let outcome = looked_at(&course)?;
    let listed = outcome.course.listed(arguments.what, &outcome.pages);
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
