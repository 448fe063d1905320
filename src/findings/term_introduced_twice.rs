//! # What it finds
//!
//! A term that two pages introduce with a definition list. It is told at the second, in reading order.
//!
//! # Why it matters
//!
//! Two definitions of one word drift apart when only one of them is corrected, and the glossary shows both.
//!
//! # Example
//!
//! `Superfat` in a definition list of the second lesson and in one of the fifth
//!
//! # Source
//!
//! Common practice.

use std::collections::BTreeMap;

use super::Term;
use crate::finding::Finding;

/// Looks at all terms of a course in reading order; each finding comes with the number of its page.
#[must_use]
pub fn check(terms: &[Term]) -> Vec<(usize, Finding)> {
    let mut findings = Vec::new();
    // The first of each name, and the last page on which it was seen.
    let mut seen: BTreeMap<&[String], (&Term, usize)> = BTreeMap::new();
    for term in terms {
        let (first, last_page) = seen.entry(term.words()).or_insert((term, term.page));
        if *last_page != term.page {
            let finding = Finding::term_introduced_twice(term.place.clone(), &term.name, &first.lesson);
            findings.push((term.page, finding));
            *last_page = term.page;
        }
    }
    findings
}
