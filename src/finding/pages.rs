//! Words about lesson pages.
//!
//! Layer 0.

use super::{Finding, choices};
use crate::source::Place;

impl Finding {
    /// A fence that nearly says `kettle`.
    pub fn misspelt_block(place: Place, word: &str) -> Finding {
        Finding::error("misspelt-block", place, format!("`{word}` is not a block; blocks start with the word `kettle`"))
            .label("would be shown as code")
            .help("write `kettle`, a space and the name of a view, such as ```kettle recipe")
    }

    /// A block without a view, or with an unknown one.
    pub fn unknown_view(place: Place, name: &str, near: Option<&str>, known: &[&str]) -> Finding {
        let message =
            if name.is_empty() { "the block names no view".into() } else { format!("there is no view named `{name}`") };
        Finding::error("unknown-view", place, message)
            .label("which view?")
            .nearest(near, format!("the views are {}", choices(known)))
    }

    /// A block that never ends.
    pub fn unclosed_block(place: Place) -> Finding {
        Finding::error("unclosed-block", place, "this block is never closed".into())
            .label("opened here")
            .help("end it with a line of three backticks")
    }

    /// A block in a place where Markdown takes it for text.
    pub fn block_in_html(place: Place) -> Finding {
        Finding::error("block-in-html", place, "a block right under an HTML tag is not read as a block".into())
            .label("would be shown as text")
            .help("leave an empty line between the tag and the block")
    }

    /// A block that Markdown takes for an indented code block.
    pub fn indented_block(place: Place) -> Finding {
        Finding::error("indented-block", place, "a block indented by four or more spaces is shown as code".into())
            .label("indented too far")
            .help("remove the spaces; to show a block as an example, put a longer fence (````) around it")
    }

    /// A recipe that is not there.
    pub fn unknown_recipe(place: Place, name: &str, near: Option<&str>) -> Finding {
        Finding::error("unknown-recipe", place, format!("no recipe named `{name}` in the folder recipes"))
            .label("no such file")
            .nearest_recipe(name, near, format!("write the recipe into recipes/{name}.toml"))
    }

    /// A template of the course that leaves out cautions.
    pub fn template_loses_cautions(place: Place, n_lost: usize, n_given: usize) -> Finding {
        let message = format!("this template leaves out {n_lost} of the {n_given} cautions that it is given");
        Finding::error("template-loses-cautions", place, message)
            .label("cautions are lost here")
            .help("print each of them, as the built-in template does, or remove the file to use that one")
    }

    /// A block that has no recipe to speak of.
    pub fn no_recipe_on_page(place: Place) -> Finding {
        Finding::error("no-recipe-on-page", place, "no recipe is chosen on this page".into())
            .label("which recipe?")
            .help("add  use = \"the name of a file in recipes, without .toml\"  to the first `kettle recipe` block")
    }

    /// A value on a page with cards of several recipes that does not say of which it is; each recipe with what it would be.
    pub fn ambiguous_value(
        place: Place,
        expression: &str,
        values: &[(&str, Option<String>)],
        named: &[String],
    ) -> Finding {
        let words = values.iter().map(|(recipe, value)| match value {
            Some(value) => format!("{value} in `{recipe}`"),
            None => format!("nothing in `{recipe}`"),
        });
        // A recipe that has nothing of the name is no help.
        let with_value = values.iter().zip(named).filter(|((_, value), _)| value.is_some());
        let names: Vec<String> = with_value.map(|(_, it)| format!("{{{{ {it} }}}}")).collect();
        let words = words.collect::<Vec<_>>().join(", and ");
        Finding::error("ambiguous-value", place, format!("`{expression}` is {words}"))
            .label("of which of the recipes on this page?")
            .help(format!("name the recipe: write {}", names.join(" or ")))
    }

    /// A block on a page with cards of several recipes that does not say which one it is about.
    pub fn ambiguous_block(place: Place, recipes: &[&str]) -> Finding {
        // Not each of them need have what the block shows, so none is offered.
        Finding::error("ambiguous-block", place, format!("this page has cards of {}", choices(recipes)))
            .label("about which of them?")
            .help("add  use = \"...\"  to this block, with the name of the recipe that it is about")
    }

    /// Something weighed that stands there already, maybe by another name.
    pub fn weighed_twice(place: Place, name: &str) -> Finding {
        Finding::error("weighed-twice", place, format!("`{name}` was weighed already, further up"))
            .label("the same once more")
            .help("keep one of the two; what was weighed in several goes is one sum")
    }

    /// Something weighed that the recipe has no use for.
    pub fn unknown_weighed(place: Place, name: &str, recipe: &str, near: Option<&str>, name_of_lye: &str) -> Finding {
        Finding::error("unknown-weighed", place, format!("the recipe `{recipe}` has nothing named `{name}` to weigh"))
            .label("what was weighed?")
            .nearest(near, format!("write  {name_of_lye} , or the id of a fat or of an acid as the recipe has it"))
    }

    /// Layers asked of a recipe that has none.
    pub fn no_layers(place: Place, recipe: &str) -> Finding {
        Finding::error("no-layers", place, format!("the recipe `{recipe}` has no layers"))
            .label("nothing to divide")
            .help("add [[layers]] with a name and a share to the recipe, or remove this block")
    }

    /// A comparison asked of a recipe that is based on no other.
    pub fn not_a_variant(place: Place, recipe: &str) -> Finding {
        Finding::error("not-a-variant", place, format!("the recipe `{recipe}` is based on no other"))
            .label("nothing to set it beside")
            .help("name a recipe with `based-on` by  use = \"...\", or remove this block")
    }

    /// A value in a sentence that does not exist.
    pub fn unknown_value(place: Place, name: &str, meant: &[String], known: &[&str], n_others: usize) -> Finding {
        // What it may be, or else those that are known and so many others.
        let meant: Vec<String> = meant.iter().map(|it| format!("`{it}`")).collect();
        let others = match n_others {
            0 => "; the guide for instructors has more, in \"Figures in a sentence\"".to_owned(),
            n_others => format!(" and {n_others} others"),
        };
        Finding::error("unknown-value", place, format!("there is no value `{name}` in this page's recipe"))
            .label("not a value")
            .help(match &meant[..] {
                [] => format!("there are {}{others}", choices(known)),
                meant => format!("did you mean {}?", meant.join(" or ")),
            })
    }

    /// A value that recipes can have, and this one has not.
    pub fn value_of_other_recipes(place: Place, name: &str) -> Finding {
        let first = name.split(['.', '[']).next().unwrap_or_default();
        let (lacks, help) = match first {
            "bars" | "bar" => {
                ("no bars", "bars come of  cut = \"25 mm\"  with `mould` or `into`, or of a mould with `cavities`")
            }
            "cut" | "cut_left" => ("no bars to cut", "they come of  cut = \"25 mm\"  with `mould` or `into`"),
            "mould" => ("no such measure of a mould", "name a mould with `mould` or `into`"),
            "layers" | "solution_left" => ("no layers", "they come of [[layers]]"),
            "portions" => ("no portions", "they come of  swirl = \"in-the-pot\"  and [[portions]]"),
            "fats_after" => ("no fats stirred in after the cook", "they come of [fats-after]"),
            "additives" | "rates" | "spoons" | "of_cured" | "vanillin" => {
                ("no such additives", "they come of [[additives]]")
            }
            "koh_for_acid" | "koh_for_acids" | "strength" => ("no acid in it", "acids come of [[additives]]"),
            "water_from" | "water_in_others" | "fat_from" => {
                ("no liquid in the place of water", "liquids come of [[additives]]")
            }
            "purity" | "purity_from" | "purity_to" => ("no stated purity", "state it with  purity = { NaOH = 98 }"),
            "small_scale" => {
                ("no finer scale", "state one in book.toml:  scale = { grams = 1, small = { grams = 0.1 } }")
            }
            it if it.contains("if_swapped") => ("no other that it is based on", "a variant names one with `based-on`"),
            _ => ("nothing to compute it from", "remove it, or name another recipe"),
        };
        Finding::error("unknown-value", place, format!("there is no value `{name}`: this page's recipe has {lacks}"))
            .label("not a value of this recipe")
            .help(help)
    }

    /// A value that is a group of values.
    pub fn group_of_values(place: Place, name: &str, members: &[&str]) -> Finding {
        Finding::error("group-of-values", place, format!("`{name}` is a group of values, not one value"))
            .label("which of them?")
            .help(format!("choose one: {}", choices(members)))
    }

    /// `lye` of a recipe with two alkalis.
    pub fn two_lyes(place: Place) -> Finding {
        Finding::error("two-lyes", place, "this recipe has two alkalis, which are weighed apart".into())
            .label("which of the two?")
            .help("write {{ alkali.NaOH }} or {{ alkali.KOH }}")
    }

    /// An expression that has no meaning.
    pub fn bad_expression(place: Place, why: &str) -> Finding {
        Finding::error("bad-expression", place, format!("this cannot be computed: {why}")).label("not understood").help(
            "write the name of a value, or names and numbers with +, -, *, / and brackets, such as {{ lye / 2 }} or \
                 {{ water - 50 g }}; after a backslash the braces are shown as they are",
        )
    }

    /// A minus without spaces, which is a hyphen.
    pub fn minus_without_spaces(place: Place, name: &str) -> Finding {
        Finding::error(
            "minus-without-spaces",
            place,
            format!("`{name}` is read as one name, and there is no such value"),
        )
        .label("a name may have hyphens in it")
        .help("put spaces around a minus: {{ water - solution_left }}")
    }

    /// Braces that never close.
    pub fn unclosed_value(place: Place) -> Finding {
        Finding::error("unclosed-value", place, "the braces of this value are not closed on the same line".into())
            .label("opened here")
            .help("close them with }}, or put a backslash before them if you want them shown as they are")
    }

    /// The name of a value between single braces.
    pub fn single_braces(place: Place, name: &str) -> Finding {
        Finding::error("single-braces", place, format!("`{name}` is between single braces, and is shown as it is"))
            .label("not computed")
            .help(format!("write {{{{ {name} }}}}, or put a backslash before the brace if you want it shown"))
    }

    /// A unit typed behind a value that has one.
    pub fn unit_after_value(place: Place, unit: &str, printed: &str) -> Finding {
        let message = format!("`{unit}` is typed after a value that already has its unit: it reads `{printed} {unit}`");
        Finding::warning("unit-after-value", place, message)
            .label("a second unit")
            .help("remove the unit; {{ grams.lye }} and {{ ounces.lye }} give one unit alone")
    }

    /// A value of one thing that a sentence calls another.
    pub fn value_of_another_thing(place: Place, expression: &str, own: &str, said: &str) -> Finding {
        let message = format!("`{expression}` is an amount of {own}, and the sentence says that it is of {said}");
        Finding::warning("value-of-another-thing", place, message)
            .label("of what?")
            .help("name the value of what you mean, or say what it is of")
    }

    /// Blocks in an included file.
    pub fn part_of_included_file(place: Place, path: &str) -> Finding {
        Finding::error(
            "part-of-included-file",
            place,
            format!("only a part of `{path}` is included, and that file has blocks or values in it"),
        )
        .label("a part of a file")
        .help("include the whole file, or move the part into a file of its own")
    }

    /// A file that includes itself.
    pub fn circular_include(place: Place, path: &str) -> Finding {
        Finding::error("circular-include", place, format!("`{path}` includes itself, directly or through another file"))
            .label("includes itself")
    }

    /// A file to include that is not there, or is no file to include.
    pub fn unknown_included_file(place: Place, path: &str) -> Finding {
        Finding::error("unknown-included-file", place, format!("there is no text file `{path}` to include"))
            .label("no such file")
            .help(
                "check its spelling: the path starts from the folder of this page, and leads to a file of at most 1 \
                 MiB in the course or beside it",
            )
    }

    /// Files that include files, and those others.
    pub fn include_too_deep(place: Place, path: &str, most: usize) -> Finding {
        let message = format!("`{path}` includes a file that includes another and so on, more than {most} deep");
        Finding::error("include-too-deep", place, message)
            .label("too deep")
            .help("include the files that are wanted from the page itself")
    }

    /// A page that is far too long with what it includes.
    pub fn includes_too_long(place: Place) -> Finding {
        let message = "with what it includes this page is longer than 1 MiB, a book of its own".into();
        Finding::error("includes-too-long", place, message).label("too long from here on").help(
            "check whether a file is included many times over, or is not a text for a lesson; if not, divide the page",
        )
    }

    /// A recipe that no page shows.
    pub fn unused_recipe(place: Place, name: &str) -> Finding {
        Finding::note("unused-recipe", place, format!("no page uses the recipe `{name}`")).label("not used")
    }
}
