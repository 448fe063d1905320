//! # What it finds
//!
//! A term that is introduced with a definition list more than once, by two pages or by one. It is reported at each place
//! but the first, in reading order.
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

use crate::finding::Finding;
use crate::prose::Term;

/// Looks at all terms of a course in reading order; each finding comes with the number of its page.
#[must_use]
pub fn check(terms: &[Term]) -> Vec<(usize, Finding)> {
    let mut findings = Vec::new();
    let mut seen: BTreeMap<&[String], &Term> = BTreeMap::new();
    for term in terms {
        if let Some(first) = seen.get(term.words()) {
            let finding = Finding::term_introduced_twice(term.place.clone(), &term.name, &first.lesson);
            findings.push((term.page, finding));
        } else {
            seen.insert(term.words(), term);
        }
    }
    findings
}
