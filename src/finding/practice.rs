//! Words about exercises.
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
            format!("the answer comes out as `{text}`, which is not a single amount of the recipe"),
        )
        .label("nothing to compare with")
        .help("an answer is the name of an amount or a sum with such names: answer = \"lye\"  or  answer = \"lye / 2\"")
    }

    /// A tolerance by mass for an answer that is none.
    pub fn tolerance_of_another_kind(place: Place, answer: &str) -> Finding {
        Finding::error(
            "tolerance-of-another-kind",
            place,
            format!("the tolerance is a mass, but the answer `{answer}` is not"),
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
            .label("about a recipe that nobody may make")
            .help("choose another batch, mould or superfat for this exercise")
    }

    /// Keys of an exercise with a number in one with choices.
    pub fn choices_beside_a_number(place: Place, choices: &str, key: &str) -> Finding {
        Finding::error(
            "choices-beside-a-number",
            place,
            format!("`{key}` belongs to an exercise with a number, but this one has `{choices}`"),
        )
        .label("one of the two")
        .help(
            "ask for a number in a block of its own; among the choices, `right = true` marks the right one, and each \
               `why` gives the reason",
        )
    }

    /// Nothing to choose from, or more than one can keep in mind.
    pub fn number_of_choices(place: Place, count: usize, fewest: usize, most: usize) -> Finding {
        let choices = if count == 1 { "choice" } else { "choices" };
        Finding::error(
            "number-of-choices",
            place,
            format!("this exercise has {count} {choices}; there must be {fewest} to {most}"),
        )
        .label(if count < fewest { "nothing to choose from" } else { "too many to compare" })
        .help("each choice is  { say = \"...\", why = \"...\" }  in the list `choices`, and one of them has  right = true")
    }

    /// Choices of which none is right.
    pub fn no_right_choice(place: Place) -> Finding {
        Finding::error("no-right-choice", place, "none of these choices is the right one".to_owned())
            .label("nobody could answer this")
            .help("write  right = true  into the choice that is right")
    }

    /// Choices of which more than one is right.
    pub fn several_right_choices(place: Place) -> Finding {
        Finding::error("several-right-choices", place, "a second choice is marked as right".to_owned())
            .label("right as well")
            .help("exactly one is right: reword the others until they are not, or ask two questions")
    }

    /// A choice that needs more room than there is beside its button.
    pub fn choice_not_one_paragraph(place: Place) -> Finding {
        Finding::error("choice-not-one-paragraph", place, "a choice is one plain paragraph".to_owned())
            .label("a list, a heading or several paragraphs")
            .help("say it in a sentence or two; reasons and lists belong in its `why`")
    }

    /// Two choices that read the same, as two values may come out equal.
    pub fn choice_said_twice(place: Place, words: &str) -> Finding {
        Finding::error("choice-said-twice", place, format!("two choices read the same: `{words}`"))
            .label("cannot be told apart")
            .help("values in it may come out equal: look at both as they are printed")
    }
}
