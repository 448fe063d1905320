//! What an exercise says in the author's words, with values in it.
//!
//! Layer 6.

use std::ops::Range;

use super::block::{Item, find};
use super::practice::keep;
use super::printer::Notes;
use super::prose::GAP;
use super::values::Values;
use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::prose::Prose;
use crate::source::{Extract, Located, Place, SourceFile};

/// A text with values in it.
#[derive(Clone, Debug)]
pub(super) struct WordsWithValues {
    markdown: String,
    /// What it says in words.
    prose: Prose,
    sites: Vec<Site>,
}

/// A value in a text.
#[derive(Clone, Debug)]
struct Site {
    /// The bytes of the text to replace.
    range: Range<usize>,
    expression: Located<String>,
}

impl WordsWithValues {
    /// The expressions in it.
    pub(super) fn expressions(&self) -> impl Iterator<Item = &Located<String>> {
        self.sites.iter().map(|it| &it.expression)
    }

    /// Finds the values in a text as in a page: not in code, not after a backslash.
    pub(super) fn read(typed: Located<String>, findings: &mut Vec<Finding>) -> WordsWithValues {
        let in_file = aligned(&typed);
        let text = SourceFile::new(typed.place.file.path(), typed.value.as_str());
        let (items, found) = find(&text);
        for finding in found {
            let is_of_braces = typed.value[finding.place.span.clone()].starts_with('{');
            let place = if is_of_braces { in_file.place(finding.place.span.clone()) } else { typed.place.clone() };
            findings.push(Finding { place, ..finding });
        }
        let site = |item: Item| match item {
            Item::Value(value) => {
                let place = in_file.place(value.expression.place.span.clone());
                Some(Site { range: value.range, expression: Located { value: value.expression.value, place } })
            }
            Item::Block(_) | Item::Include(_) => None,
        };
        let sites: Vec<Site> = items.into_iter().filter_map(site).collect();
        let prose = prose_of(&in_file, &sites);
        WordsWithValues { markdown: typed.value, prose, sites }
    }

    /// What it says in words.
    pub(super) fn prose(&self) -> &Prose {
        &self.prose
    }

    /// The text with the values put in; `None` if one of them cannot be.
    pub(super) fn fill(
        &self,
        values: &Values<'_>,
        ledger: &Ledger,
        notes: &Notes,
        findings: &mut Vec<Finding>,
    ) -> Option<String> {
        let mut filled = String::with_capacity(self.markdown.len());
        let mut from = 0;
        let mut is_whole = true;
        for Site { range, expression } in &self.sites {
            filled.push_str(&self.markdown[from..range.start]);
            match keep(values.evaluate(&expression.value, &expression.place), findings) {
                Some(it) => {
                    filled.push_str(&notes.mark(ledger, it.key, &expression.value, &it.text));
                }
                None => is_whole = false,
            }
            from = range.end;
        }
        filled.push_str(&self.markdown[from..]);
        is_whole.then_some(filled)
    }
}

/// A text in quotes as an extract of its file, which has quotes, escapes and line prefixes that the text has not.
fn aligned(typed: &Located<String>) -> Extract {
    let Place { file, span } = &typed.place;
    let raw = &file.text()[span.clone()];
    let mut extract = Extract::at(file, span.start);
    let mut at = raw.len() - raw.trim_start_matches(['"', '\'', '\n', '\r']).len();
    for (letter_idx, letter) in typed.value.char_indices() {
        let rest = raw.get(at..).unwrap_or_default();
        let n_escaped = match rest.as_bytes() {
            // Between single quotes it is no escape.
            [b'\\', next, ..] if letter == '\\' && *next != b'\\' => 0,
            [b'\\', b'\n' | b'\r', ..] => 0,
            [b'\\', b'u', ..] => 6,
            [b'\\', b'U', ..] => 10,
            [b'\\', _, ..] => 2,
            _ => 0,
        };
        if n_escaped == 0 {
            at = rest.find(letter).map_or(raw.len(), |it| at + it);
        }
        extract.push(&typed.value[letter_idx..letter_idx + letter.len_utf8()], span.start + at);
        at = (at + n_escaped.max(letter.len_utf8())).min(raw.len());
    }
    extract
}

/// The words of a text: without the values in it and what stands between backticks.
fn prose_of(in_file: &Extract, sites: &[Site]) -> Prose {
    let typed = in_file.text();
    let mut cuts: Vec<Range<usize>> = sites.iter().map(|it| it.range.clone()).collect();
    let ticks: Vec<usize> = typed.match_indices('`').map(|(at, _)| at).collect();
    cuts.extend(ticks.chunks_exact(2).map(|it| it[0]..it[1] + 1));
    cuts.sort_by_key(|it| it.start);
    let mut text = Extract::at(&in_file.place(0..0).file, 0);
    let mut from = 0;
    for cut in cuts {
        text.extend(in_file, from..cut.start.max(from));
        text.push(GAP, in_file.place(cut.start..cut.start).span.start);
        from = from.max(cut.end);
    }
    text.extend(in_file, from..typed.len());
    Prose::plain(text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_in_quotes_has_its_place_in_the_file_whatever_was_escaped_before_it() {
        let page = "> ask = \"\\u00e9 `{{ a }}` {{ b }} and {{ c }}\"";
        let file = SourceFile::new("a.md", page);
        let place = Place { file, span: 8..page.len() };
        let typed = Located { value: "é `{{ a }}` {{ b }} and {{ c }}".to_owned(), place };
        let words = WordsWithValues::read(typed, &mut Vec::new());
        let found: Vec<_> = words.sites.iter().map(|it| &page[it.expression.place.span.clone()]).collect();
        assert_eq!(found, ["b", "c"]);
        assert_eq!(words.prose().text.text(), "é \u{fffc} \u{fffc} and \u{fffc}");
    }

    #[test]
    fn every_letter_of_a_text_in_quotes_has_its_place_in_the_file() {
        for (raw, value, word) in [
            ("\"a \\\"word\\\" b\"", "a \"word\" b", "word"),
            ("'a \\u word'", "a \\u word", "word"),
            ("\"\"\"\n> a\n> word\"\"\"", "a\nword", "word"),
            ("\"\"\"a \\\n   word\"\"\"", "a word", "word"),
            ("\"\\t\\U000000e9 word\"", "\té word", "word"),
        ] {
            let file = SourceFile::new("a.md", raw);
            let typed = Located { value: value.to_owned(), place: Place { file, span: 0..raw.len() } };
            let at = value.find(word).expect("the word is there");
            assert_eq!(&raw[aligned(&typed).place(at..at + word.len()).span], word, "{raw}");
        }
    }
}
