//! What an exercise says in the author's words, with values in it.
//!
//! Layer 6.

use std::ops::Range;
use std::sync::Arc;

use super::block::{Item, find};
use super::practice::keep;
use super::printer::Notes;
use super::values::Values;
use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::source::{Located, Place, SourceFile};

/// A text with values in it.
#[derive(Clone, Debug)]
pub(super) struct WordsWithValues {
    markdown: String,
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
        let text = SourceFile::new(typed.place.file.path(), typed.value.as_str());
        let (items, found) = find(&text);
        for finding in found {
            let is_of_braces = typed.value[finding.place.span.clone()].starts_with("{{");
            let until = finding.place.span.end;
            let place = if is_of_braces { place_of_braces(&typed, until) } else { typed.place.clone() };
            findings.push(Finding { place, ..finding });
        }
        let site = |item: Item| match item {
            Item::Value(value) => {
                let place = place_of_braces(&typed, value.expression.place.span.start);
                Some(Site { range: value.range, expression: Located { value: value.expression.value, place } })
            }
            Item::Block(_) | Item::Include(_) => None,
        };
        let sites = items.into_iter().filter_map(site).collect();
        WordsWithValues { markdown: typed.value, sites }
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

/// Where the last braces before an offset of a text in quotes stand in the file, or what stands in them. The file has
/// escapes and line prefixes that the text has not; so the braces are counted, which look the same in both.
fn place_of_braces(typed: &Located<String>, until: usize) -> Place {
    let Place { file, span: whole } = &typed.place;
    let raw = &file.text()[whole.clone()];
    let n_braces = typed.value[..until].matches("{{").count();
    let Some((brace, _)) = n_braces.checked_sub(1).and_then(|it| raw.match_indices("{{").nth(it)) else {
        return typed.place.clone();
    };
    let start = whole.start + brace;
    let inside = raw[brace + 2..].split_once("}}").map_or("", |(inside, _)| inside);
    let trimmed = inside.trim();
    let span = if trimmed.is_empty() || trimmed.contains('\n') {
        start..start + 2
    } else {
        let from = start + 2 + (inside.len() - inside.trim_start().len());
        from..from + trimmed.len()
    };
    Place { file: Arc::clone(file), span }
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
    }
}
