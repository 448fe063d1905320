//! # What it finds
//!
//! A term in the prose of a page that comes before the page which introduces it. It is reported once for each term and
//! page, at its first use. Whole words count, in upper or lower case, singular or plural; a longer term hides the
//! shorter ones in it. Files that a page includes as a whole count as part of it. Not counted are code, blocks,
//! addresses, the words of a link to another page of the book, a term that the page links to the lesson or to the
//! glossary, and what `ordinary-words` in book.toml lists.
//!
//! # Why it matters
//!
//! A student who meets a word of the trade too early guesses at it, and may guess wrong.
//!
//! # Example
//!
//! "Stir until trace" on a page before the one whose definition list has `Trace`
//!
//! # Source
//!
//! Common practice.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

use crate::finding::Finding;
use crate::prose::{Prose, Term, words_in};

/// The terms of a course, made for finding them in prose.
pub struct Terms<'a> {
    terms: &'a [Term],
    /// Where the terms of a first word are in `terms`; of those of the same name only the first.
    by_first_word: BTreeMap<&'a str, Vec<usize>>,
    /// The pages that show the glossary, which may be linked to as well.
    glossaries: &'a BTreeSet<String>,
}

/// A term found in a text.
struct Use {
    term_idx: usize,
    start: usize,
    end: usize,
}

impl<'a> Terms<'a> {
    /// The terms in reading order, and the ids of the pages that show the glossary.
    #[must_use]
    pub fn new(terms: &'a [Term], glossaries: &'a BTreeSet<String>) -> Terms<'a> {
        let mut by_first_word: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
        for (term_idx, term) in terms.iter().enumerate() {
            let Some(first) = term.words().first() else { continue };
            let same_start = by_first_word.entry(first).or_default();
            if same_start.iter().all(|it| terms[*it].words() != term.words()) {
                same_start.push(term_idx);
            }
        }
        Terms { terms, by_first_word, glossaries }
    }

    /// The terms in a text, front to back; of those that start at one word the longest.
    fn uses(&self, text: &str) -> Vec<Use> {
        let words = words_in(text);
        let mut uses = Vec::new();
        let mut word_idx = 0;
        while word_idx < words.len() {
            let rest = &words[word_idx..];
            let firsts = singulars(&rest[0].1);
            let candidates = firsts.iter().flatten().filter_map(|it| self.by_first_word.get(&**it)).flatten();
            let found = candidates
                .filter(|it| matches(self.terms[**it].words(), rest, text))
                .max_by_key(|it| self.terms[**it].words().len());
            let Some(term_idx) = found else {
                word_idx += 1;
                continue;
            };
            let n_words = self.terms[*term_idx].words().len();
            uses.push(Use { term_idx: *term_idx, start: rest[0].0.start, end: rest[n_words - 1].0.end });
            word_idx += n_words;
        }
        uses
    }

    /// Looks at a page: its number in reading order and its prose.
    ///
    /// - `link`: what a link on this page has to say to lead to the page of a path.
    #[must_use]
    pub fn check(&self, page: usize, prose: &[Prose], link: &dyn Fn(&str) -> String) -> Vec<Finding> {
        let mut first_uses: BTreeMap<usize, (usize, usize, usize)> = BTreeMap::new();
        let mut linked = BTreeSet::new();
        for (prose_idx, it) in prose.iter().enumerate() {
            for found in self.uses(it.text.text()) {
                let term = &self.terms[found.term_idx];
                let link = it.links.iter().find(|it| it.span.start <= found.start && found.end <= it.span.end);
                match link {
                    Some(link) if link.page == term.page_id || self.glossaries.contains(&link.page) => {
                        linked.insert(found.term_idx);
                    }
                    // The name of another page, more likely than not.
                    Some(_) => {}
                    None if page < term.page && !term.is_ordinary => {
                        first_uses.entry(found.term_idx).or_insert((prose_idx, found.start, found.end));
                    }
                    None => {}
                }
            }
        }
        let mut uses: Vec<_> = first_uses.into_iter().filter(|(term_idx, _)| !linked.contains(term_idx)).collect();
        uses.sort_by_key(|(_, it)| *it);
        let finding = |(term_idx, (prose_idx, start, end)): (usize, (usize, usize, usize))| {
            let term = &self.terms[term_idx];
            let place = prose[prose_idx].text.place(start..end);
            Finding::term_before_its_lesson(place, &term.name, &term.lesson, &link(&term.page_id))
        };
        uses.into_iter().map(finding).collect()
    }
}

/// Whether a text goes on with the words of a term, the last of which may be in the plural.
fn matches(term: &[String], words: &[(std::ops::Range<usize>, String)], text: &str) -> bool {
    let Some((last, others)) = term.split_last() else { return false };
    if words.len() < term.len() {
        return false;
    }
    let are_neighbours = words[..term.len()].windows(2).all(|pair| {
        let between = &text[pair[0].0.end..pair[1].0.start];
        between.chars().all(char::is_whitespace) || between == "-"
    });
    let start = words[0].0.start;
    let end = words[term.len() - 1].0.end;
    // "Gel-like" speaks of something else, and so does "de-gel".
    let goes_on = text[end..].strip_prefix('-').is_some_and(|it| it.starts_with(char::is_alphanumeric));
    let is_whole = !text[..start].ends_with('-') && !goes_on;
    let others_match = others.iter().zip(words).all(|(term, (_, word))| term == word);
    are_neighbours
        && is_whole
        && others_match
        && singulars(&words[term.len() - 1].1).iter().flatten().any(|it| **it == **last)
}

/// What a word may be the plural of, itself among them.
fn singulars(word: &str) -> [Option<Cow<'_, str>>; 4] {
    [
        Some(word.into()),
        word.strip_suffix('s').map(Cow::from),
        word.strip_suffix("es").map(Cow::from),
        word.strip_suffix("ies").map(|stem| format!("{stem}y").into()),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::{Extract, SourceFile};

    /// What is found on page 0 of a course that introduces these terms on page 1.
    fn found(names: &[&str], text: &str) -> Vec<String> {
        let file = SourceFile::new("a.md", text);
        let place = Extract::whole(&file).place(0..1);
        let term = |name: &&str| Term::new(name, 1, "lesson.md", "Lesson", place.clone(), false);
        let terms: Vec<Term> = names.iter().map(term).collect();
        let prose = [Prose::plain(Extract::whole(&file))];
        let findings = Terms::new(&terms, &BTreeSet::new()).check(0, &prose, &str::to_owned);
        findings.iter().map(|it| it.place.file.text()[it.place.span.clone()].to_owned()).collect()
    }

    #[test]
    fn whole_words_are_found_in_any_case_and_in_the_plural() {
        for (terms, text, uses) in [
            (vec!["Trace"], "At TRACE, pour.", vec!["TRACE"]),
            (vec!["Trace"], "Traces of it; retrace; traced; trace-like", vec!["Traces"]),
            (vec!["Soda ash"], "no soda\nashes, no soda, ash", vec!["soda\nashes"]),
            (vec!["Slurry"], "two slurries", vec!["slurries"]),
            (vec!["Gel"], "the gel's rim", vec!["gel"]),
            (vec!["Half-width"], "a half-width, a half width", vec!["half-width"]),
            (vec!["Séance"], "two séances", vec!["séances"]),
            (vec!["Lye"], "nothing of the kind", vec![]),
        ] {
            assert_eq!(found(&terms, text), uses, "{text}");
        }
    }

    #[test]
    fn the_longest_term_is_meant_and_each_is_told_once() {
        let terms = ["Solution", "Lye solution", "Lye"];
        assert_eq!(found(&terms, "Lye solutions burn."), ["Lye solutions"]);
        assert_eq!(found(&terms, "Lye solution; a solution, a solution, lye."), ["Lye solution", "solution", "lye"]);
    }
}
