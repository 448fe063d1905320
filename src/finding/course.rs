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

    /// A file in the folder of recipes that is nearly called like one.
    pub fn misnamed_recipe(place: Place, name: &str) -> Finding {
        Finding::error("misnamed-recipe", place, format!("`{name}` is in the folder recipes and would not be read"))
            .label("this file")
            .help("let its name end in  .toml  in small letters; or move it out of the folder")
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
}
