//! What differs between two states of a course, as plain text.
//!
//! Layer 7.

use std::fmt::Write as _;

use crate::batch::Verdict;
use crate::course::{Differences, FigureDifference, OldSheet};
use crate::show;

/// Lesson by lesson what is printed otherwise, and then what sheets of before come to.
#[must_use]
pub fn differences_text(differences: &Differences) -> String {
    let mut text = String::new();
    for lesson in &differences.lessons {
        let _ = writeln!(text, "{}", lesson.path);
        let names: Vec<String> = lesson.figures.iter().map(|it| format!("{}: {}", it.recipe, it.name)).collect();
        let width = names.iter().map(|it| it.chars().count()).max().unwrap_or_default();
        if lesson.figures.is_empty() {
            text.push_str("  other words, or other values of tables\n");
        }
        for (it, name) in lesson.figures.iter().zip(names) {
            let _ = writeln!(text, "  {name:width$}  {}", change(it));
        }
        text.push('\n');
    }
    if !differences.sheets.is_empty() {
        text.push_str("Whoever still follows a sheet that was printed before has:\n");
    }
    for it in &differences.sheets {
        let _ = writeln!(text, "  {}: {}", it.recipe, old_sheet(it));
    }
    show::visible(&text).replace('\u{a0}', " ")
}

fn change(it: &FigureDifference) -> String {
    let text = |it: &Option<String>| it.clone().unwrap_or_else(|| "nothing".to_owned());
    // What is less than half a step of the figure that is shown is none.
    let percent = it.change_percent.filter(|it| it.abs() >= 0.05).map(|it| {
        let sign = if it < 0.0 { "" } else { "+" };
        format!("  ({sign}{})", show::percent_to(it, 1))
    });
    format!("{} -> {}{}", text(&it.was), text(&it.is), percent.unwrap_or_default())
}

fn old_sheet(it: &OldSheet) -> String {
    let Some(found) = &it.found else {
        return "other things to weigh than now; throw the old sheet away".to_owned();
    };
    let [superfat, worst] = [found.certainty.superfat_percent, found.certainty.worst_percent].map(show::superfat);
    let verdict = match found.verdict {
        Verdict::Safe => "safe",
        Verdict::Doubtful if it.is_safe() => "as doubtful as it was when you acknowledged it",
        Verdict::Doubtful => "at the worst, lye is left over: throw the old sheet away",
        Verdict::LyeLeft | Verdict::NotBelieved => "LYE IS LEFT OVER, it burns skin: throw the old sheet away",
    };
    format!("superfat {superfat}, at the worst {worst}: {verdict}")
}
