//! An exercise as it is shown: a question, a field to try a number in, and the answer for whoever asks.
//!
//! Layer 6. What is compared stands in the page as it is printed; `theme/js/kettle.js` compares, and says one of the
//! sentences worded here.

use mdbook_markdown::pulldown_cmark::html::push_html;
use mdbook_markdown::{MarkdownOptions, new_cmark_parser};
use serde::Serialize;

use super::super::Form;
use super::super::practice::{Target, Within, WorkedOut};
use super::super::practice_spans::{Side, Span};
use crate::ledger::Ledger;
use crate::show::{NO_BREAK, plain, reading, short};

/// An exercise.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct PracticeView {
    /// Which exercise it is, so that a browser remembers the answer to it: the lesson and a number.
    pub(crate) key: String,
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
    /// The explanation: Markdown, or HTML as a text in JSON for a script element, where the search of a book finds nothing.
    pub(crate) because: Option<String>,
}

/// A number to meet.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct TargetView {
    pub(crate) expected: String,
    /// What is said of which numbers: `right 95 97; over 97 99`, the first that holds a number counts.
    pub(crate) spans: String,
    pub(crate) unit: &'static str,
}

/// The answers of a page, for paper and for forms in which nothing can be opened.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct AnswersView {
    /// The lesson.
    pub(crate) key: String,
    pub(crate) practices: Vec<PracticeView>,
}

impl AnswersView {
    /// The answers to these exercises, in this order. Explanations of several lines stay in their list item.
    pub(crate) fn new(lesson: &str, mut practices: Vec<PracticeView>) -> AnswersView {
        for practice in &mut practices {
            practice.because = practice.because.take().map(|it| it.lines().collect::<Vec<_>>().join("\n  "));
        }
        AnswersView { key: lesson.to_owned(), practices }
    }
}

/// An exercise on a recipe.
///
/// - `key`: the lesson and the exercise's number in it.
/// - `number`: the same number, on a page with several.
pub(crate) fn practice_view(
    key: String,
    number: Option<usize>,
    ledger: &Ledger,
    worked_out: WorkedOut,
    form: Form,
) -> PracticeView {
    let WorkedOut { ask, answer, because, targets } = worked_out;
    let in_form = |markdown: String| match form {
        Form::Html => html_of(&markdown),
        Form::Markdown => markdown.trim().to_owned(),
    };
    let symbols: Vec<&str> = targets.iter().map(|it| it.unit).filter(|it| !it.is_empty()).collect();
    PracticeView {
        key,
        kind: number.map_or_else(|| "Practice".to_owned(), |number| format!("Practice {number}")),
        title: ledger.recipe.title.clone(),
        ask: in_form(ask),
        // A keypad for decimals has no minus on some phones.
        keypad: if targets.iter().any(|it| it.text.starts_with('-')) { "text" } else { "decimal" },
        within: within_words(&targets),
        units: symbols.join(" or "),
        answer,
        because: because.map(in_form).map(|it| match form {
            Form::Html => in_script(&it),
            Form::Markdown => it,
        }),
        targets: targets.iter().map(target_view).collect(),
    }
}

fn target_view(target: &Target) -> TargetView {
    // Six decimals are enough for a milligram in ounces; what is behind them is dust of binary fractions.
    let number = |it: f64| plain(it, 6).trim_end_matches('0').trim_end_matches('.').to_owned();
    let span = |it: &Span| format!("{} {} {}", it.verdict, number(it.least), number(it.most));
    let spans: Vec<String> = target.spans.iter().map(span).collect();
    TargetView { expected: target.text.clone(), spans: spans.join("; "), unit: target.unit }
}

/// How far off a number may be, and on which side; that is the same in every unit.
fn within_words(targets: &[Target]) -> String {
    let withins: Vec<String> = targets.iter().map(within_of).collect();
    let withins = withins.join(" or ");
    match targets.first().map(|it| it.side) {
        Some(Side::NeverMore) => format!("Counts as right up to {withins} below, never above: too much lye burns."),
        Some(Side::NeverLess) => {
            format!("Counts as right up to {withins} above, never below: too little of it leaves lye over.")
        }
        Some(Side::Either) | None => format!("Counts as right within {withins} either way."),
    }
}

fn within_of(target: &Target) -> String {
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

/// HTML as a text in JSON, without anything that could end the script element around it.
fn in_script(html: &str) -> String {
    serde_json::Value::from(html).to_string().replace('<', "\\u003c")
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
