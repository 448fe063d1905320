//! What can be wrong with what an author wrote: plain data, one named constructor each, so that all wording is here.
//!
//! Layer 0. One file for each thing an author writes: files and keys, tables, recipes, what was computed, pages, the
//! course. A message is one lowercase phrase in the instructor's words, clear when it is all that is shown; the label
//! says what the marked spot is; the help says what to do next. How findings are printed is up to `report/`.

mod after;
mod computed;
mod course;
mod doses;
mod files;
mod pages;
mod practice;
mod prose;
mod recipes;
mod stock;
mod tables;
mod times;

use std::fmt;

use crate::show::{NO_BREAK, Units, as_typed, fixed, length};
use crate::source::Place;
use crate::units::{Length, Mass, ScaleUnit};

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

    /// The same for a recipe, which is named without the ending of its file.
    pub(super) fn nearest_recipe(self, typed: &str, near: Option<&str>, otherwise: impl Into<String>) -> Finding {
        match typed.strip_suffix(".toml") {
            Some(name) => self.help(format!("leave out .toml: `{name}`")),
            None => self.nearest(near, otherwise),
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
    // A page holds many small TOML texts, each of which is looked at by itself.
    without_echoes_in(findings, |path| path.ends_with(".toml"))
}

/// The same for what was found in one small text of a page, of which a line may be broken.
#[must_use]
pub fn without_echoes_of_a_line(findings: Vec<Finding>) -> Vec<Finding> {
    without_echoes_in(findings, |_| true)
}

fn without_echoes_in(findings: Vec<Finding>, is_one_text: impl Fn(&str) -> bool) -> Vec<Finding> {
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
            let in_braces =
                it.message.contains("comma") && it.message.contains("not TOML") || it.message.contains("inline table");
            return in_braces && line_number > 1 && broken_lines.contains(&(path, line_number - 1));
        }
        if it.code != "invisible-character" && invisible.iter().any(|(of, line)| *of == path && *line == line_number) {
            return true;
        }
        let in_broken_text = is_one_text(&path) && broken_lines.iter().any(|(broken, _)| *broken == path);
        broken_lines.contains(&(path, line_number)) || in_broken_text && ECHOES.contains(&it.code)
    };
    findings.into_iter().filter(|it| !is_echo(it)).collect()
}

/// What keeps a block from being read: nobody knows what it was to show, nor of which recipe.
const UNREAD_BLOCKS: [&str; 13] = [
    "misspelt-block",
    "unknown-view",
    "unclosed-block",
    "block-in-html",
    "indented-block",
    "part-of-included-file",
    "unknown-included-file",
    "circular-include",
    "toml-syntax",
    "unknown-key",
    "wrong-type",
    "empty-text",
    "unknown-recipe",
];

/// What a page seems to lack when one of its blocks could not be read.
const ECHOES_OF_BLOCKS: [&str; 2] = ["no-recipe-on-page", "no-cautions"];

/// Whether a block of a page could not be read, by what was found in the page.
#[must_use]
pub fn hides_a_block(findings: &[Finding]) -> bool {
    findings.iter().any(|it| UNREAD_BLOCKS.contains(&it.code))
}

/// Takes away what a page only seems to lack since one of its blocks could not be read.
#[must_use]
pub fn without_echoes_of_blocks(findings: Vec<Finding>) -> Vec<Finding> {
    if !hides_a_block(&findings) {
        return findings;
    }
    findings.into_iter().filter(|it| !ECHOES_OF_BLOCKS.contains(&it.code)).collect()
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

/// A mass as messages tell it: to a tenth of a gram, or a hundredth of an ounce.
fn mass_words(grams: f64, units: Units) -> String {
    match units.main() {
        ScaleUnit::Grams => format!("{} g", fixed(grams, 1)),
        ScaleUnit::Ounces => format!("{} oz", fixed(Mass::grams(grams).to_ounces(), 2)),
    }
}

/// A length as messages tell it.
fn length_words(millimetres: f64, units: Units) -> String {
    length(Length::millimetres(millimetres), units).replace(NO_BREAK, " ")
}

/// Names as a finding lists them: `` `olive`, `coconut` ``.
fn choices(names: &[&str]) -> String {
    names.iter().map(|it| format!("`{it}`")).collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::{Finding, nearest};
    use crate::source::{Extract, SourceFile};

    #[test]
    fn a_recipe_that_has_nothing_of_the_name_is_not_offered() {
        let place = Extract::whole(&SourceFile::new("page.md", "{{ lye }}")).place(3..6);
        let values = [("one", Some("128 g".to_owned())), ("two", None)];
        let named = ["one.lye".to_owned(), "two.lye".to_owned()];
        let help = Finding::ambiguous_value(place, "lye", &values, &named).help;
        assert_eq!(help.as_deref(), Some("name the recipe: write {{ one.lye }}"));
    }

    #[test]
    fn only_a_near_name_is_offered() {
        let names = ["olive", "coconut", "palm-kernel"];
        assert_eq!(nearest("olvie", names), Some("olive"));
        assert_eq!(nearest("palm_kernel", names), Some("palm-kernel"));
        assert_eq!(nearest("Coconut", names), Some("coconut"));
        assert_eq!(nearest("shea", names), None);
    }
}
