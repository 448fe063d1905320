//! An exercise as it is shown: a question, a field to try a number in or several answers to choose from, and the answer for
//! whoever asks.
//!
//! Layer 6. What is compared stands in the page as it is printed; `theme/js/practice.js` compares, and says one of the
//! sentences worded here, or the reason that the author gave for a choice.

use mdbook_markdown::pulldown_cmark::html::push_html;
use mdbook_markdown::{MarkdownOptions, new_cmark_parser};
use serde::Serialize;

use super::super::Form;
use super::super::practice::{Outcome, Target, Within, WorkedOut};
use super::super::practice_choices::{FilledChoice, LETTERS};
use super::super::practice_spans::{Side, Span};
use crate::ledger::Ledger;
use crate::show::{NO_BREAK, plain, reading, short};

/// What goes with an exercise that sets the superfat to nothing.
const ONLY_ON_PAPER: &str = " This is for paper only: without a superfat the least slip leaves lye in the soap.";

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
    /// The number, or the letter of the right choice.
    pub(crate) answer: String,
    /// The explanation: Markdown, or HTML as a text in JSON for a script element, where the search of a book finds nothing.
    pub(crate) because: Option<String>,
    /// What there is to do.
    #[serde(flatten)]
    pub(crate) task: TaskView,
}

/// What a student is to do.
#[derive(Clone, Debug, Serialize)]
#[serde(untagged)]
pub(crate) enum TaskView {
    /// Type a number.
    Number {
        targets: Vec<TargetView>,
        keypad: &'static str,
        within: String,
        /// The units in words, for the line to write on.
        units: String,
    },
    /// Choose one of several.
    Choice {
        /// What is told before it is asked; the question is then its last paragraph.
        told: String,
        choices: Vec<ChoiceView>,
    },
}

impl TaskView {
    /// The template that shows it, without its ending.
    pub(crate) fn template(&self) -> &'static str {
        match self {
            TaskView::Number { .. } => "practice",
            TaskView::Choice { .. } => "practice-choices",
        }
    }
}

/// One of several answers.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct ChoiceView {
    pub(crate) letter: char,
    /// What it says, without a paragraph around it.
    pub(crate) say: String,
    /// Why it is right or wrong, as `because` is.
    pub(crate) why: String,
    pub(crate) is_right: bool,
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
    let WorkedOut { ask, outcome, leaves_nothing } = worked_out;
    let (ask, answer, because, task) = match outcome {
        Outcome::Number { answer, because, targets } => {
            (in_form(&ask, form), answer, because.map(|it| sealed(&it, form)), number_view(&targets, leaves_nothing))
        }
        Outcome::Choice(choices) => {
            let (told, ask) = told_and_asked(&ask, form);
            let (answer, because) = right_and_why(&choices);
            (ask, answer, Some(sealed(&because, form)), choice_view(told, choices, form))
        }
    };
    PracticeView {
        key,
        kind: number.map_or_else(|| "Practice".to_owned(), |number| format!("Practice {number}")),
        title: ledger.recipe.title.clone(),
        ask,
        answer,
        because,
        task,
    }
}

fn number_view(targets: &[Target], leaves_nothing: bool) -> TaskView {
    let symbols: Vec<&str> = targets.iter().map(|it| it.unit).filter(|it| !it.is_empty()).collect();
    TaskView::Number {
        // A keypad for decimals has no minus on some phones.
        keypad: if targets.iter().any(|it| it.text.starts_with('-')) { "text" } else { "decimal" },
        within: within_words(targets) + if leaves_nothing { ONLY_ON_PAPER } else { "" },
        units: symbols.join(" or "),
        targets: targets.iter().map(target_view).collect(),
    }
}

fn choice_view(told: String, choices: Vec<FilledChoice>, form: Form) -> TaskView {
    let view = |(letter, it): (char, FilledChoice)| ChoiceView {
        letter,
        say: match form {
            Form::Html => without_paragraph(&html_of(&it.say)).to_owned(),
            // A line of a list.
            Form::Markdown => it.say.split_whitespace().collect::<Vec<_>>().join(" "),
        },
        why: sealed(&it.why, form),
        is_right: it.is_right,
    };
    TaskView::Choice { told, choices: LETTERS.into_iter().zip(choices).map(view).collect() }
}

/// What is told before the question, and the question itself. A group of buttons is named by a line without blocks in it,
/// which is the last paragraph; if the last block is none, all of it is told.
fn told_and_asked(ask: &str, form: Form) -> (String, String) {
    let ask = in_form(ask, form);
    if form == Form::Markdown {
        return (String::new(), ask);
    }
    let html = ask.trim_end();
    match html.strip_suffix("</p>").and_then(|it| it.rsplit_once("<p>")) {
        Some((told, asked)) if !asked.contains("</p>") => (told.to_owned(), asked.to_owned()),
        _ => (html.to_owned(), String::new()),
    }
}

/// The letter of the right choice, and why it is the right one and none of the others is, as Markdown.
fn right_and_why(choices: &[FilledChoice]) -> (String, String) {
    let (mut answer, mut because, mut others) = (String::new(), String::new(), String::new());
    for (letter, choice) in LETTERS.into_iter().zip(choices) {
        let why = choice.why.trim();
        if choice.is_right {
            answer = letter.to_string();
            because = format!("{}\n\n{why}", choice.say.trim());
        } else {
            others.push_str(&format!("\n\n*Not {letter}:* {why}"));
        }
    }
    (answer, because + &others)
}

fn in_form(markdown: &str, form: Form) -> String {
    match form {
        Form::Html => html_of(markdown),
        Form::Markdown => markdown.trim().to_owned(),
    }
}

/// What the search of a book must not find.
fn sealed(markdown: &str, form: Form) -> String {
    match form {
        Form::Html => in_script(&html_of(markdown)),
        Form::Markdown => markdown.trim().to_owned(),
    }
}

fn without_paragraph(html: &str) -> &str {
    let html = html.trim();
    html.strip_prefix("<p>").and_then(|it| it.strip_suffix("</p>")).unwrap_or(html)
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
    fn what_is_asked_is_the_last_paragraph_of_a_question() {
        for (ask, told, asked) in [
            ("One?", "", "One?"),
            ("It stands.\n\nIs *it* one?", "<p>It stands.</p>\n", "Is <em>it</em> one?"),
            ("Which?\n\n- one", "<p>Which?</p>\n<ul>\n<li>one</li>\n</ul>", ""),
        ] {
            assert_eq!(told_and_asked(ask, Form::Html), (told.to_owned(), asked.to_owned()), "{ask}");
        }
    }

    #[test]
    fn code_in_an_explanation_keeps_its_lines() {
        assert_eq!(
            html_of("a *b*\n\n```\n1\n2\n```\nc\n"),
            "<p>a <em>b</em></p>\n<pre><code>1&#10;2&#10;</code></pre>\n<p>c</p>\n"
        );
    }
}
