//! Words about the course: its settings and templates.
//!
//! Layer 0.

use super::{Finding, choices};
use crate::show::as_typed;
use crate::source::Place;

impl Finding {
    /// A word that is not one of a few.
    pub fn unknown_choice(place: Place, key: &str, name: &str, known: &[&str]) -> Finding {
        Finding::error("unknown-choice", place, format!("`{key}` cannot be `{name}`"))
            .label("not a choice")
            .help(format!("choose {}", choices(known)))
    }

    /// A finer scale that does not go with the other.
    pub fn small_scale_unfit(place: Place, step: f64, division: f64) -> Finding {
        let (step, division) = (as_typed(step), as_typed(division));
        Finding::error(
            "small-scale-unfit",
            place,
            format!("no whole number of steps of {step} makes one of {division}"),
        )
        .label("the scale for small amounts")
        .help(format!("state a step that goes into {division} twice, five times, ten times or the like"))
    }

    /// A file in the folder of recipes that is nearly called like one, or lies in a folder below.
    pub fn misnamed_recipe(place: Place, name: &str) -> Finding {
        Finding::error("misnamed-recipe", place, format!("`{name}` is in the folder recipes but will not be read"))
            .label("this file")
            .help(if name.contains('/') {
                "move it into the folder recipes itself, or out of it"
            } else {
                "make its name end in  .toml  in lower case, or move it out of the folder"
            })
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
            .help("correct it, or remove the file to use the built-in template")
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
            format!("a build would delete {lost}: it empties the folder for the pages"),
        )
        .label("the folder for the pages")
        .help("set `build-dir` to a folder for the pages alone, such as \"book\"")
    }

    /// Pages among the lessons, which mdBook would take for files of the course.
    pub fn pages_among_lessons(place: Place, lessons: &str) -> Finding {
        let message = format!("the pages would go into {lessons}: every build would copy the one before into itself");
        Finding::error("pages-among-lessons", place, message)
            .label("the folder for the pages")
            .help("set `build-dir` to a folder outside the lessons, such as \"book\"")
    }

    /// No list of the lessons.
    pub fn no_summary(place: Place, name: &str) -> Finding {
        Finding::error("no-summary", place, format!("there is no {name} in the folder of lessons"))
            .label("the folder of lessons is named here; if not, it is `src`")
            .help(format!("make a file {name} there, with a line  - [Title](lesson.md)  for each lesson"))
    }

    /// A line among the lessons that names none.
    pub fn chapter_without_link(place: Place) -> Finding {
        Finding::error("chapter-without-link", place, "this line of the contents is not a link to a lesson".into())
            .label("a link was expected here")
            .help("write  - [Title](lesson.md)  or, if the file's name has spaces in it,  - [Title](<my lesson.md>)")
    }

    /// A lesson that is listed and not there.
    pub fn missing_chapter(place: Place, path: &str, near: Option<&str>) -> Finding {
        Finding::error("missing-chapter", place, format!("there is no lesson `{path}`"))
            .label("no such file in the folder of lessons")
            .nearest(near, "make the file, or write  [Title]()  for a lesson that is only announced")
    }

    /// A lesson that is listed a second time.
    pub fn chapter_twice(place: Place, path: &str) -> Finding {
        Finding::error("chapter-twice", place, format!("the lesson `{path}` is listed twice"))
            .label("already listed")
            .help("keep one of the two; a lesson can link to another as often as you like")
    }

    /// A Markdown file that is no lesson.
    pub fn unlisted_lesson(place: Place, path: &str) -> Finding {
        Finding::note("unlisted-lesson", place, format!("`{path}` is not in the book: SUMMARY.md does not list it"))
            .label("this file")
            .help("list it in SUMMARY.md, or move it out of the folder of lessons")
    }

    /// A link to a page that is not in the book.
    pub fn dead_link(place: Place, target: &str, is_unlisted: bool) -> Finding {
        Finding::warning("dead-link", place, format!("this link leads to `{target}`, which is not in the book"))
            .label("leads nowhere")
            .help(if is_unlisted {
                "list that lesson in SUMMARY.md"
            } else {
                "check the spelling, and the folder that the path starts from"
            })
    }

    /// An image that is not there.
    pub fn missing_image(place: Place, target: &str) -> Finding {
        Finding::warning("missing-image", place, format!("there is no image `{target}` in the folder of lessons"))
            .label("shows nothing")
            .help("check the spelling, and the folder that the path starts from")
    }

    /// What is to be left out of the print of the whole course is no page of it.
    pub fn nothing_to_leave_out(place: Place, name: &str, near: Option<&str>) -> Finding {
        Finding::warning(
            "nothing-to-leave-out",
            place,
            format!("no page of the course is `{name}`, or in a folder of that name"),
        )
        .label("no such page")
        .nearest(near, "write it as in SUMMARY.md, or give only its folder")
    }
}
