//! Words about exercises with a computed answer.
//!
//! Layer 0.

use super::Finding;
use crate::source::Place;

impl Finding {
    /// An answer that nobody can type as a number.
    pub fn answer_not_a_number(place: Place, text: &str) -> Finding {
        Finding::error(
            "answer-not-a-number",
            place,
            format!("the answer comes out as `{text}`, which is not one amount of the recipe"),
        )
        .label("nothing to compare with")
        .help("an answer is the name of an amount or a sum with such names: answer = \"lye\"  or  answer = \"lye / 2\"")
    }

    /// A tolerance by mass for an answer that is none.
    pub fn tolerance_of_another_kind(place: Place, answer: &str) -> Finding {
        Finding::error(
            "tolerance-of-another-kind",
            place,
            format!("the tolerance is a mass, and the answer `{answer}` is none"),
        )
        .label("cannot be compared")
        .help("write it in percent of the answer, such as  tolerance = \"1 %\", or leave it out")
    }

    /// A tolerance that lets nearly any number pass.
    pub fn tolerance_too_wide(place: Place, answer: &str) -> Finding {
        Finding::error("tolerance-too-wide", place, format!("the tolerance is as large as the answer, `{answer}`"))
            .label("any guess would be right")
            .help("look at its unit, or leave it out: then one step of the scale is allowed")
    }

    /// Changes that leave a recipe with an error.
    pub fn changed_recipe_fails(place: Place, why: &Finding) -> Finding {
        Finding::error("changed-recipe-fails", place, format!("with these changes the recipe fails: {}", why.message))
            .label("asked of a recipe that nobody may make")
            .help("choose another batch, mould or superfat for this exercise")
    }
}
