//! An exercise as it is shown: a question, a field to try a number in, and the answer for whoever asks.
//!
//! Layer 6. What is compared stands in the page as it is printed; `theme/js/kettle.js` compares, and says one of the
//! sentences worded here.

use mdbook_markdown::pulldown_cmark::html::push_html;
use mdbook_markdown::{MarkdownOptions, new_cmark_parser};
use serde::Serialize;

use super::super::Form;
use super::super::practice::{Target, Within, WorkedOut};
use crate::ledger::Ledger;
use crate::show::{NO_BREAK, reading, reading_number, short};

/// An exercise.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct PracticeView {
    /// What kind of block it is, with its number where a page has several.
    pub(crate) kind: String,
    pub(crate) title: String,
    /// The question: HTML or Markdown, as the page's form is.
    pub(crate) ask: String,
    pub(crate) targets: Vec<TargetView>,
    pub(crate) keypad: &'static str,
    pub(crate) within: String,
    /// The units in words, for the line to write on.
    pub(crate) units: String,
    pub(crate) answer: String,
    /// The explanation: HTML or Markdown, as the page's form is.
    pub(crate) because: Option<String>,
}

/// A number to meet.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct TargetView {
    pub(crate) expected: String,
    pub(crate) within: String,
    pub(crate) unit: &'static str,
}

/// The answers of a page, for forms in which nothing can be opened.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct AnswersView {
    pub(crate) practices: Vec<PracticeView>,
}

impl AnswersView {
    /// The answers to these exercises, in this order. Explanations of several lines stay in their list item.
    pub(crate) fn new(mut practices: Vec<PracticeView>) -> AnswersView {
        for practice in &mut practices {
            practice.because = practice.because.take().map(|it| it.lines().collect::<Vec<_>>().join("\n  "));
        }
        AnswersView { practices }
    }
}

/// An exercise on a recipe. `number` is its number on a page with several.
pub(crate) fn practice_view(number: Option<usize>, ledger: &Ledger, worked_out: WorkedOut, form: Form) -> PracticeView {
    let WorkedOut { ask, answer, because, targets } = worked_out;
    let in_form = |markdown: String| match form {
        Form::Html => html_of(&markdown),
        Form::Markdown => markdown.trim().to_owned(),
    };
    let withins: Vec<String> = targets.iter().map(within_words).collect();
    let symbols: Vec<&str> = targets.iter().map(|it| it.unit).filter(|it| !it.is_empty()).collect();
    PracticeView {
        kind: number.map_or_else(|| "Practice".to_owned(), |number| format!("Practice {number}")),
        title: ledger.recipe.title.clone(),
        ask: in_form(ask),
        // A keypad for decimals has no minus on some phones.
        keypad: if targets.iter().any(|it| it.text.starts_with('-')) { "text" } else { "decimal" },
        within: format!("Counts as right within {} either way.", withins.join(" or ")),
        units: symbols.join(" or "),
        answer,
        because: because.map(in_form),
        targets: targets.iter().map(target_view).collect(),
    }
}

fn target_view(target: &Target) -> TargetView {
    let within = match target.within {
        Within::Divisions(scale, divisions) => reading_number(scale, divisions),
        Within::Plain(value) => short(value, 2),
    };
    TargetView { expected: target.text.clone(), within, unit: target.unit }
}

fn within_words(target: &Target) -> String {
    match target.within {
        Within::Divisions(scale, divisions) => reading(scale, divisions),
        // Of a percentage a percent could be meant in two ways.
        Within::Plain(value) if target.unit == "%" => {
            let points = short(value, 2);
            let word = if points == "1" { "point" } else { "points" };
            format!("{points}{NO_BREAK}percentage {word}")
        }
        Within::Plain(value) => short(value, 2),
    }
}

/// What the author wrote in Markdown, as HTML with mdBook's own options. Code keeps its lines when all becomes one line.
fn html_of(markdown: &str) -> String {
    let mut html = String::new();
    push_html(&mut html, new_cmark_parser(markdown, &MarkdownOptions::default()));
    let pieces = html.split_inclusive("</pre>").map(|piece| match piece.split_once("<pre") {
        Some((before, code)) => format!("{before}<pre{}", code.trim_end_matches('\n').replace('\n', "&#10;")),
        None => piece.to_owned(),
    });
    pieces.collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn code_in_an_explanation_keeps_its_lines() {
        assert_eq!(
            html_of("a *b*\n\n```\n1\n2\n```\nc\n"),
            "<p>a <em>b</em></p>\n<pre><code>1&#10;2&#10;</code></pre>\n<p>c</p>\n"
        );
    }
}
