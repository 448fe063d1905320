//! Words about the course: its settings and templates.
//!
//! Layer 0.

use super::{Finding, choices};
use crate::source::Place;

impl Finding {
    /// A word that is not one of a few.
    pub fn unknown_choice(place: Place, key: &str, name: &str, known: &[&str]) -> Finding {
        Finding::error("unknown-choice", place, format!("`{key}` cannot be `{name}`"))
            .label("not a choice")
            .help(format!("choose {}", choices(known)))
    }

    /// A book that does not run Kettlebook.
    pub fn not_switched_on(place: Place) -> Finding {
        Finding::error("not-switched-on", place, "book.toml does not switch Kettlebook on".into())
            .label("looked for it here")
            .help("add the section [preprocessor.kettle] with the line  command = \"mdbook-kettle\"")
    }

    /// A style sheet or script that the pages need and book.toml does not name.
    pub fn missing_asset(place: Place, key: &str, path: &str) -> Finding {
        Finding::error("missing-asset", place, format!("book.toml does not load `{path}`, which the blocks need"))
            .label("looked for it here")
            .help(format!("add  {key} = [\"{path}\"]  under [output.html]"))
    }

    /// A template that Tera refuses.
    pub fn bad_template(place: Place, tera_words: &str) -> Finding {
        Finding::error("bad-template", place, format!("the template cannot be used: {}", tera_words.trim()))
            .label("refused here")
            .help("mend it, or remove the file to use the built-in template")
    }

    /// A template of a name that nothing uses.
    pub fn unknown_template(place: Place, name: &str, near: Option<&str>, known: &[&str]) -> Finding {
        Finding::error("unknown-template", place, format!("there is no template named `{name}` to replace"))
            .label("this file")
            .nearest(near, format!("the templates are {}", choices(known)))
    }

    /// Pages where the author's own files are, which a build would delete.
    pub fn pages_over_course(place: Place, lost: &str) -> Finding {
        Finding::error(
            "pages-over-course",
            place,
            format!("a build would delete {lost}: it empties the folder of the pages"),
        )
        .label("the folder of the pages")
        .help("set `build-dir` to a folder for the pages alone, such as \"book\"")
    }

    /// Pages among the lessons, which mdBook would take for files of the course.
    pub fn pages_among_lessons(place: Place, lessons: &str) -> Finding {
        let message = format!("the pages would lie in {lessons}: every build would copy the last one into itself");
        Finding::error("pages-among-lessons", place, message)
            .label("the folder of the pages")
            .help("set `build-dir` to a folder outside the lessons, such as \"book\"")
    }
}
