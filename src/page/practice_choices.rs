//! The answers that a student chooses from, each with the reason why it is right or wrong.
//!
//! Layer 6. What is asked here is judged and not computed; the values in the texts are computed as everywhere.

use mdbook_markdown::pulldown_cmark::{Event, Tag, TagEnd};
use mdbook_markdown::{MarkdownOptions, new_cmark_parser};

use super::practice_words::WordsWithValues;
use super::printer::{Notes, without_marks};
use super::values::Values;
use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::reader::{Node, NodeValue, Reader};
use crate::source::{Located, Place};

/// The key of a block that holds them.
pub(super) const CHOICES: &str = "choices";

/// What the choices are called, in their order: so many can be told apart and kept in mind.
pub(crate) const LETTERS: [char; 6] = ['a', 'b', 'c', 'd', 'e', 'f'];

/// Of one there is nothing to choose.
const FEWEST: usize = 2;

/// The answers to choose from.
#[derive(Clone, Debug)]
pub(super) struct Choices(Vec<Choice>);

#[derive(Clone, Debug)]
struct Choice {
    say: WordsWithValues,
    why: WordsWithValues,
    is_right: bool,
    /// Where its words stand.
    place: Place,
}

/// A choice with its values put in.
#[derive(Clone, Debug)]
pub(crate) struct FilledChoice {
    /// What is chosen: one paragraph of Markdown.
    pub(crate) say: String,
    /// Why it is right or wrong, Markdown.
    pub(crate) why: String,
    /// Whether it is the right one.
    pub(crate) is_right: bool,
}

impl Choices {
    /// Reads the list under `choices`, in either way of writing lists of tables; `None` if there is no such key.
    pub(super) fn read(reader: &mut Reader<'_>) -> Option<Choices> {
        let entry = reader.entry(CHOICES)?;
        let key = &entry.key.place;
        let nodes = match &entry.node.value {
            NodeValue::List(nodes) => &nodes[..],
            NodeValue::Table(_) => {
                reader.findings.push(Finding::one_bracket_for_two(entry.node.place.clone(), CHOICES));
                return Some(Choices(Vec::new()));
            }
            other => {
                let wanted = "a list of choices";
                reader.findings.push(Finding::wrong_type(entry.node.place.clone(), CHOICES, wanted, other.kind()));
                return Some(Choices(Vec::new()));
            }
        };
        let mut findings = Vec::new();
        let choices: Vec<Choice> = nodes.iter().filter_map(|it| Choice::read(it, &mut findings)).collect();
        if !(FEWEST..=LETTERS.len()).contains(&nodes.len()) {
            findings.push(Finding::number_of_choices(key.clone(), nodes.len(), FEWEST, LETTERS.len()));
        } else if findings.is_empty() {
            // A choice that could not be read may be the right one.
            let mut right = choices.iter().filter(|it| it.is_right);
            match (right.next(), right.next()) {
                (None, _) => findings.push(Finding::no_right_choice(key.clone())),
                (Some(_), Some(second)) => findings.push(Finding::several_right_choices(second.place.clone())),
                (Some(_), None) => {}
            }
        }
        reader.findings.extend(findings);
        Some(Choices(choices))
    }

    /// Everything in them that is evaluated.
    pub(super) fn expressions(&self) -> impl Iterator<Item = &Located<String>> {
        self.words().flat_map(WordsWithValues::expressions)
    }

    /// Their texts.
    pub(super) fn words(&self) -> impl Iterator<Item = &WordsWithValues> {
        self.0.iter().flat_map(|it| [&it.say, &it.why])
    }

    /// The choices with their values; `None`, with findings, if one cannot be shown.
    pub(super) fn fill(
        &self,
        values: &Values<'_>,
        ledger: &Ledger,
        notes: &Notes,
        findings: &mut Vec<Finding>,
    ) -> Option<Vec<FilledChoice>> {
        let mut filled: Vec<Option<FilledChoice>> = Vec::new();
        let mut said: Vec<String> = Vec::new();
        for choice in &self.0 {
            let say = choice.say.fill(values, ledger, notes, findings);
            let why = choice.why.fill(values, ledger, notes, findings);
            if let Some(say) = &say {
                let words = without_marks(say).split_whitespace().collect::<Vec<_>>().join(" ");
                if said.contains(&words) {
                    findings.push(Finding::choice_said_twice(choice.place.clone(), &words));
                }
                said.push(words);
            }
            filled.push(say.zip(why).map(|(say, why)| FilledChoice { say, why, is_right: choice.is_right }));
        }
        filled.into_iter().collect()
    }
}

impl Choice {
    fn read(node: &Node, findings: &mut Vec<Finding>) -> Option<Choice> {
        let NodeValue::Table(_) = node.value else {
            let wanted = "`{ say = \"...\", why = \"...\" }`";
            findings.push(Finding::wrong_type(node.place.clone(), "a choice", wanted, node.value.kind()));
            return None;
        };
        let mut reader = Reader::new(node, "a choice");
        let say = reader.words("say");
        let why = reader.words("why");
        let is_right = reader.truth("right").unwrap_or(false);
        let say = reader.require("say", say, "say = \"Wait until it is clear.\"");
        let why = reader.require("why", why, "why = \"What has not dissolved is not spread either.\"");
        findings.extend(reader.finish());
        let (say, why) = (say?, why?);
        let place = say.place.clone();
        if !is_one_paragraph(&say.value) {
            findings.push(Finding::choice_not_one_paragraph(place));
            return None;
        }
        let mut words = |typed| WordsWithValues::read(typed, findings);
        Some(Choice { say: words(say), why: words(why), is_right, place })
    }
}

/// Whether Markdown is a paragraph and nothing else, as it has to be beside a button.
fn is_one_paragraph(markdown: &str) -> bool {
    let mut depth = 0;
    let mut n_blocks = 0;
    for event in new_cmark_parser(markdown, &MarkdownOptions::default()) {
        match event {
            Event::Start(Tag::Paragraph) if depth == 0 => {
                depth += 1;
                n_blocks += 1;
            }
            Event::End(TagEnd::Paragraph) => depth -= 1,
            // Whatever stands outside of it is a block of its own.
            _ if depth == 0 => return false,
            _ => {}
        }
    }
    n_blocks == 1
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_choice_is_one_paragraph() {
        for markdown in ["Wait.", "*Wait* until\nit is `clear` at {{ lye }}"] {
            assert!(is_one_paragraph(markdown), "{markdown}");
        }
        for markdown in ["Wait.\n\nThen go on.", "- Wait.", "# Wait", "```\nwait\n```", "<div>Wait</div>", "---"] {
            assert!(!is_one_paragraph(markdown), "{markdown}");
        }
    }
}
