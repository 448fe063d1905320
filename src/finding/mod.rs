//! What can be wrong with what an author wrote: plain data, one named constructor each, so that all wording is here.
//!
//! Layer 0. One file for each thing an author writes: files and keys, tables, recipes, what was computed, pages, the
//! course. A message is one lowercase phrase in the instructor's words, clear when it is all that is shown; the label
//! says what the marked spot is; the help says what to do next. How findings are printed is up to `report/`.

mod computed;
mod course;
mod doses;
mod files;
mod pages;
mod practice;
mod prose;
mod recipes;
mod tables;
mod times;

use std::fmt;

use crate::show::as_typed;
use crate::source::Place;

/// How bad a finding is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// A page would teach something unsafe or wrong: nothing is built.
    Error,
    /// Look again; the course is built.
    Warning,
    /// Good to know.
    Note,
    /// A warning or a note that the author means, with a reason.
    Acknowledged,
}

impl fmt::Display for Severity {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(match self {
            Severity::Error => "error",
            Severity::Warning => "warning",
            Severity::Note => "note",
            Severity::Acknowledged => "acknowledged",
        })
    }
}

/// The step of the work that a warning concerns.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Step {
    /// Making the lye.
    Lye,
    /// Blending, and stirring in what goes in at trace.
    Trace,
    /// A layer, by its place in pouring order.
    Layer(usize),
    /// While the soap is in the mould.
    Mould,
    /// The cure and after.
    Cure,
}

/// A warning in words for the student, who stands at the bench and cannot change the recipe.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StepCaution {
    /// Beside which step it is shown.
    pub step: Step,
    /// What to do.
    pub words: String,
}

/// One thing found in what an author wrote.
#[must_use]
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// Names the problem, never the cure.
    pub code: &'static str,
    /// How bad it is.
    pub severity: Severity,
    /// One lowercase phrase without a final stop.
    pub message: String,
    /// Where it is.
    pub place: Place,
    /// What the marked spot is.
    pub label: String,
    /// What to do next.
    pub help: Option<String>,
    /// What it means for the student, where it concerns one.
    pub caution: Option<StepCaution>,
}

impl Finding {
    pub(super) fn error(code: &'static str, place: Place, message: String) -> Finding {
        Finding {
            code,
            severity: Severity::Error,
            message: in_one_line(&message),
            place,
            label: String::new(),
            help: None,
            caution: None,
        }
    }

    pub(super) fn warning(code: &'static str, place: Place, message: String) -> Finding {
        Finding { severity: Severity::Warning, ..Finding::error(code, place, message) }
    }

    pub(super) fn note(code: &'static str, place: Place, message: String) -> Finding {
        Finding { severity: Severity::Note, ..Finding::error(code, place, message) }
    }

    pub(super) fn label(self, label: impl Into<String>) -> Finding {
        Finding { label: in_one_line(&label.into()), ..self }
    }

    pub(super) fn help(self, help: impl Into<String>) -> Finding {
        Finding { help: Some(in_one_line(&help.into())), ..self }
    }

    pub(super) fn caution(self, step: Step, words: impl Into<String>) -> Finding {
        Finding { caution: Some(StepCaution { step, words: in_one_line(&words.into()) }), ..self }
    }

    pub(super) fn nearest(self, near: Option<&str>, otherwise: impl Into<String>) -> Finding {
        match near {
            Some(near) => self.help(format!("did you mean `{near}`?")),
            None => self.help(otherwise),
        }
    }
}

impl Finding {
    /// Offers the numbers that a slip explains.
    fn meant(self, numbers: &[f64], otherwise: impl Into<String>) -> Finding {
        let otherwise = otherwise.into();
        match numbers {
            [] => self.help(otherwise),
            numbers => {
                let numbers: Vec<String> = numbers.iter().map(|it| as_typed(*it)).collect();
                self.help(format!("did you mean {}? if not, {otherwise}", numbers.join(" or ")))
            }
        }
    }
}

/// What seems to be missing, or not to belong, when a line before it could not be read.
const ECHOES: [&str; 5] = ["missing-key", "unknown-key", "no-fats", "no-water", "no-batch-size"];

/// Takes away what only echoes a syntax error: what the parser made of a line that is not TOML, the commas it misses on the
/// lines after a brace that was not closed, and what seems to be missing from such a file. A name with an invisible character
/// in it is told once too, and not as one that nobody knows.
#[must_use]
pub fn without_echoes(findings: Vec<Finding>) -> Vec<Finding> {
    let line_of = |it: &Finding| (it.place.file.path().to_owned(), it.place.line_and_column().0);
    let broken_lines: Vec<(String, usize)> =
        findings.iter().filter(|it| it.code == "toml-syntax").map(line_of).collect();
    let invisible: Vec<(String, usize)> =
        findings.iter().filter(|it| it.code == "invisible-character").map(line_of).collect();
    if broken_lines.is_empty() && invisible.is_empty() {
        return findings;
    }
    let is_echo = |it: &Finding| {
        let (path, line_number) = line_of(it);
        if it.code == "toml-syntax" {
            let in_braces = it.message.contains("comma") || it.message.contains("inline table");
            return in_braces && line_number > 1 && broken_lines.contains(&(path, line_number - 1));
        }
        if it.code != "invisible-character" && invisible.iter().any(|(of, line)| *of == path && *line == line_number) {
            return true;
        }
        // A page holds many small TOML texts, of which only one may be broken.
        let in_broken_file = path.ends_with(".toml") && broken_lines.iter().any(|(broken, _)| *broken == path);
        broken_lines.contains(&(path, line_number)) || in_broken_file && ECHOES.contains(&it.code)
    };
    findings.into_iter().filter(|it| !is_echo(it)).collect()
}

/// The name most like what was typed, if any is near enough to be meant.
#[must_use]
pub fn nearest<'a>(typed: &str, names: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let typed = typed.to_lowercase();
    names
        .into_iter()
        .map(|name| (strsim::damerau_levenshtein(&typed, &name.to_lowercase()), name))
        .filter(|(distance, name)| *distance <= (name.chars().count() / 3).max(1))
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, name)| name)
}

/// Whether one name becomes the other by one slip: a letter more, less or another, or two exchanged.
#[must_use]
pub fn is_a_slip_away(a: &str, b: &str) -> bool {
    strsim::damerau_levenshtein(a, b) == 1
}

/// An author's own words may hold line breaks; a message never does.
fn in_one_line(words: &str) -> String {
    words.split(['\n', '\r']).collect::<Vec<_>>().join(" ")
}

/// Names as a finding lists them: `` `olive`, `coconut` ``.
fn choices(names: &[&str]) -> String {
    names.iter().map(|it| format!("`{it}`")).collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::nearest;

    #[test]
    fn only_a_near_name_is_offered() {
        let names = ["olive", "coconut", "palm-kernel"];
        assert_eq!(nearest("olvie", names), Some("olive"));
        assert_eq!(nearest("palm_kernel", names), Some("palm-kernel"));
        assert_eq!(nearest("Coconut", names), Some("coconut"));
        assert_eq!(nearest("shea", names), None);
    }
}
