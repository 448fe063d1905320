//! Words about the prose of pages: the terms they use, the quantities they type.
//!
//! Layer 0.

use super::Finding;
use crate::source::Place;

impl Finding {
    /// A term that an earlier page has introduced.
    pub fn term_introduced_twice(place: Place, term: &str, first_lesson: &str) -> Finding {
        Finding::note("term-introduced-twice", place, format!("`{term}` is already introduced in \"{first_lesson}\""))
            .label("a second time")
            .help("keep one of the two, or give what is meant here its own name")
    }

    /// A term used on a page that comes before the one that introduces it.
    pub fn term_before_its_lesson(place: Place, term: &str, lesson: &str, link: &str) -> Finding {
        Finding::note("term-before-its-lesson", place, format!("`{term}` is used before \"{lesson}\" introduces it"))
            .label("not introduced yet")
            .help(format!(
                "introduce it earlier, say it in other words, or make it a link to the lesson, ({link}); \
                 a word of everyday language belongs under `ordinary-words` in book.toml"
            ))
    }

    /// A page that shows lye and whose author wrote no cautions, or wrote them after it.
    pub fn no_cautions(place: Place, come_later: bool) -> Finding {
        let has = if come_later { "before its" } else { "and has no" };
        Finding::note("no-cautions", place, format!("this page shows lye {has} `kettle safety` block"))
            .label("the cautions will be put before this")
            .help("write a `kettle safety` block where the cautions should be read; they are on the page either way")
    }

    /// An amount typed by hand on a page with a recipe; `meant` is the value that it should be, and how it is printed.
    pub fn typed_quantity(place: Place, typed: &str, meant: Option<(&str, &str)>) -> Finding {
        let of_its_own = format!("{{{{ \"{typed}\" }}}} if it is a figure of its own");
        Finding::warning("typed-quantity", place, format!("`{typed}` is typed by hand, and will not follow the recipe"))
            .label("not computed")
            .help(match meant {
                Some((value, printed)) => {
                    format!("write {{{{ {value} }}}}, which is {printed} here; or {of_its_own}")
                }
                None => format!("write {of_its_own}, or the value of the recipe that it should be"),
            })
    }

    /// An ordinary word that is no term of the course.
    pub fn unknown_term(place: Place, word: &str, near: Option<&str>) -> Finding {
        Finding::warning("unknown-term", place, format!("no lesson introduces a term `{word}`"))
            .label("not a term")
            .nearest(near, "take it out of `ordinary-words`, or spell it as the definition list does")
    }
}
