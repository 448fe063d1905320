//! The terms of a course: read from all its pages before any is rendered, shown by the view `glossary`.
//!
//! Layer 6. A page that shows the glossary introduces no term and uses none.

use std::collections::{BTreeMap, BTreeSet};

use super::links::link_to;
use super::prose::Definition;
use super::read::Page;
use crate::finding::{Finding, nearest};
use crate::prose::{Term, words_in};
use crate::rules::term_before_its_lesson::Terms;
use crate::rules::term_introduced_twice;
use crate::source::Located;

/// All terms of a course, and what was found on the way.
#[derive(Clone, Debug, Default)]
pub struct Glossary {
    entries: Vec<Entry>,
    /// What is told when a page is rendered, by the path of its file.
    findings: BTreeMap<String, Vec<Finding>>,
}

/// A term with what one page says that it means.
#[derive(Clone, Debug)]
pub struct Entry {
    /// The term as typed.
    pub term: String,
    /// What it means, each as Markdown in which values still stand.
    pub meanings: Vec<String>,
    /// The path of its page below the folder of the pages, as mdBook names it.
    pub page_id: String,
    /// The title of its page.
    pub lesson: String,
    /// The recipes of its page that its values may be of.
    pub recipes: Vec<String>,
}

impl Glossary {
    /// Collects the terms of all pages of a course, given in reading order.
    ///
    /// - `ordinary`: the terms that are words of everyday language too.
    ///
    /// The findings are about `ordinary`; those about a page come when it is rendered.
    #[must_use]
    pub fn of(pages: &[Page], ordinary: &[Located<String>]) -> (Glossary, Vec<Finding>) {
        let lower = |name: &str| words_in(name).into_iter().map(|(_, word)| word).collect::<Vec<_>>();
        let ordinary_words: BTreeSet<Vec<String>> = ordinary.iter().map(|it| lower(&it.value)).collect();
        let mut glossary = Glossary::default();
        let (mut terms, mut glossary_ids) = (Vec::new(), BTreeSet::new());
        for (page_idx, page) in pages.iter().enumerate() {
            let page_id = page.id();
            if page.has_glossary() {
                glossary_ids.insert(page_id);
                continue;
            }
            for Definition { term, meanings } in &page.words.definitions {
                let is_ordinary = ordinary_words.contains(&lower(&term.value));
                let (place, lesson) = (term.place.clone(), &page.lesson.title);
                terms.push(Term::new(&term.value, page_idx, &page_id, lesson, place, is_ordinary));
                glossary.entries.push(Entry {
                    term: term.value.clone(),
                    meanings: meanings.clone(),
                    page_id: page_id.clone(),
                    lesson: lesson.clone(),
                    recipes: page.recipes().into_iter().map(|it| it.value.clone()).collect(),
                });
            }
        }
        let mut tell = |page: usize, findings: Vec<Finding>| {
            if !findings.is_empty() {
                let path = pages[page].lesson.file.path().to_owned();
                glossary.findings.entry(path).or_default().extend(findings);
            }
        };
        for (page_idx, finding) in term_introduced_twice::check(&terms) {
            tell(page_idx, vec![finding]);
        }
        let finder = Terms::new(&terms, &glossary_ids);
        for (page_idx, page) in pages.iter().enumerate().filter(|(_, it)| !glossary_ids.contains(&it.id())) {
            let page_id = page.id();
            tell(page_idx, finder.check(page_idx, &page.words.prose, &|it| link_to(&page_id, it)));
        }
        // A stable sort, so that a term's meanings stay in reading order.
        glossary.entries.sort_by_cached_key(|it| alphabetical(&it.term));
        let is_term = |word: &str| terms.iter().any(|it| it.words() == lower(word));
        let unknown = ordinary.iter().filter(|it| !is_term(&it.value)).map(|it| {
            let near = nearest(&it.value, terms.iter().map(|it| it.name.as_str()));
            Finding::unknown_term(it.place.clone(), &it.value, near)
        });
        let unknown = unknown.collect();
        (glossary, unknown)
    }

    /// The terms by the alphabet; one that several pages introduce is there several times.
    #[must_use]
    pub fn entries(&self) -> &[Entry] {
        &self.entries
    }

    /// What was found about the terms of a page, given by the path of its file.
    pub fn findings_of(&self, path: &str) -> &[Finding] {
        self.findings.get(path).map_or(&[], Vec::as_slice)
    }
}

/// What a term is sorted by: small letters, without the accents that many languages write on Latin ones.
fn alphabetical(term: &str) -> (String, String) {
    let lower = term.to_lowercase();
    let mut plain = String::with_capacity(lower.len());
    for it in lower.chars() {
        plain.push_str(match it {
            'à' | 'á' | 'â' | 'ã' | 'ä' | 'å' => "a",
            'ç' => "c",
            'è' | 'é' | 'ê' | 'ë' => "e",
            'ì' | 'í' | 'î' | 'ï' => "i",
            'ñ' => "n",
            'ò' | 'ó' | 'ô' | 'õ' | 'ö' | 'ø' => "o",
            'ù' | 'ú' | 'û' | 'ü' => "u",
            'ý' | 'ÿ' => "y",
            'æ' => "ae",
            'œ' => "oe",
            'ß' => "ss",
            other => {
                plain.push(other);
                continue;
            }
        });
    }
    (plain, lower)
}

#[cfg(test)]
mod tests {
    use super::alphabetical;

    #[test]
    fn accents_and_large_letters_do_not_change_the_order() {
        let mut terms = ["Zinc", "Émulsion", "eau", "Œil", "oil", "Emulsion"];
        terms.sort_by_key(|it| alphabetical(it));
        assert_eq!(terms, ["eau", "Emulsion", "Émulsion", "Œil", "oil", "Zinc"]);
    }
}
