//! What a lesson says in words, as the rules about words take it: stretches of prose, links between pages, terms.
//!
//! Layer 0. How it is read out of Markdown is in `page/prose.rs`.

mod quantities;

pub use quantities::{Quantity, quantities, unit_behind};

use std::ops::Range;

use crate::source::{Extract, Place};
pub use crate::units::Dimension;

/// A stretch of prose that Markdown shows as one: a paragraph, a heading, a cell of a table. Code, values and addresses
/// are left out of it.
#[derive(Clone, Debug)]
pub struct Prose {
    /// What is read, which knows where it stands in the file.
    pub text: Extract,
    /// The links to other pages of the book in it.
    pub links: Vec<PageLink>,
    /// Words that say what it is about and stand elsewhere: the head of its column, what stands before it in its row, the
    /// term that it defines.
    pub beside: String,
    /// What it belongs to.
    pub of: Of,
}

impl Prose {
    /// A stretch of a lesson without links, and with nothing beside it.
    #[must_use]
    pub fn plain(text: Extract) -> Prose {
        Prose { text, links: Vec::new(), beside: String::new(), of: Of::Lesson }
    }
}

/// What a stretch of prose belongs to.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Of {
    /// The lesson.
    #[default]
    Lesson,
    /// An exercise about the recipe of the page, whose figures may be of its own.
    Exercise,
    /// An exercise about another batch of it, whose size, superfat and mould are given in its words.
    OtherBatch,
}

/// A link in prose to a page of the book.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PageLink {
    /// The words of the link, as a stretch of the prose.
    pub span: Range<usize>,
    /// The page's path below the folder of the pages.
    pub page: String,
}

/// A term that a lesson introduces.
#[derive(Clone, Debug)]
pub struct Term {
    /// The term as typed.
    pub name: String,
    /// The number of its page in reading order.
    pub page: usize,
    /// The path of its page below the folder of the pages.
    pub page_id: String,
    /// The title of its page.
    pub lesson: String,
    /// Where it was typed.
    pub place: Place,
    /// Whether it is a word of everyday language too, so that its use says nothing.
    pub is_ordinary: bool,
    words: Vec<String>,
}

impl Term {
    /// A term with the page that introduces it: number, path and title.
    #[must_use]
    pub fn new(name: &str, page: usize, page_id: &str, lesson: &str, place: Place, is_ordinary: bool) -> Term {
        let words = words_in(name).into_iter().map(|(_, word)| word).collect();
        let (page_id, lesson) = (page_id.to_owned(), lesson.to_owned());
        Term { name: name.to_owned(), page, page_id, lesson, place, is_ordinary, words }
    }

    /// Its words in lower case: terms of the same words are the same term.
    #[must_use]
    pub fn words(&self) -> &[String] {
        &self.words
    }
}

/// The words of a text in lower case, each with its place in it.
#[must_use]
pub fn words_in(text: &str) -> Vec<(Range<usize>, String)> {
    let mut words: Vec<(Range<usize>, String)> = Vec::new();
    for (at, letter) in text.char_indices().filter(|(_, it)| it.is_alphanumeric()) {
        let end = at + letter.len_utf8();
        match words.last_mut() {
            Some((span, word)) if span.end == at => {
                span.end = end;
                word.extend(letter.to_lowercase());
            }
            _ => words.push((at..end, letter.to_lowercase().collect())),
        }
    }
    words
}
