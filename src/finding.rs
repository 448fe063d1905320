//! What can be wrong with what an author wrote: plain data, one named constructor each, so that all wording is here.
//!
//! Layer 0. A message is one lowercase phrase in the instructor's words, clear when it is all that is shown; the label
//! says what the marked spot is; the help says what to do next. How findings are printed is up to `report/`.

use std::fmt;

use crate::source::Place;
use crate::units::QuantityError;

/// How bad a finding is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// A page would teach something unsafe or wrong: nothing is built.
    Error,
    /// Look again; the course is built.
    Warning,
    /// Good to know.
    Note,
}

impl fmt::Display for Severity {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(match self {
            Severity::Error => "error",
            Severity::Warning => "warning",
            Severity::Note => "note",
        })
    }
}

/// One thing found in what an author wrote.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// Names the problem, never the cure.
    pub code: &'static str,
    /// How bad it is.
    pub severity: Severity,
    /// One lowercase phrase without a final stop.
    pub message: String,
    /// Where it is.
    pub place: Place,
    /// What the marked spot is.
    pub label: String,
    /// What to do next.
    pub help: Option<String>,
}

impl Finding {
    fn error(code: &'static str, place: Place, message: String) -> Finding {
        Finding {
            code,
            severity: Severity::Error,
            message: in_one_line(&message),
            place,
            label: String::new(),
            help: None,
        }
    }

    fn warning(code: &'static str, place: Place, message: String) -> Finding {
        Finding { severity: Severity::Warning, ..Finding::error(code, place, message) }
    }

    fn note(code: &'static str, place: Place, message: String) -> Finding {
        Finding { severity: Severity::Note, ..Finding::error(code, place, message) }
    }

    fn label(self, label: impl Into<String>) -> Finding {
        Finding { label: in_one_line(&label.into()), ..self }
    }

    fn help(self, help: impl Into<String>) -> Finding {
        Finding { help: Some(in_one_line(&help.into())), ..self }
    }

    fn nearest(self, near: Option<&str>, otherwise: impl Into<String>) -> Finding {
        match near {
            Some(near) => self.help(format!("did you mean `{near}`?")),
            None => self.help(otherwise),
        }
    }
}

/// The files: TOML, keys and values.
impl Finding {
    /// The TOML cannot be read.
    #[must_use]
    pub fn toml_syntax(place: Place, parser_words: &str) -> Finding {
        Finding::error(
            "toml-syntax",
            place,
            format!("this line is not TOML: {}", parser_words.trim().replace('\n', ", ")),
        )
        .label("not understood")
        .help("a line is a [heading], or a key, an equals sign and a value; text stands in \"quotes\"")
    }

    /// A key that means nothing here.
    #[must_use]
    pub fn unknown_key(place: Place, name: &str, near: Option<&str>, known: &[&str]) -> Finding {
        Finding::error("unknown-key", place, format!("there is no key `{name}` here"))
            .label("not a key of this table")
            .nearest(near, format!("the keys are {}", listed(known)))
    }

    /// A value of another kind than the key takes.
    #[must_use]
    pub fn wrong_type(place: Place, name: &str, wanted: &str, found: &str) -> Finding {
        Finding::error("wrong-type", place, format!("`{name}` takes {wanted}, not {found}"))
            .label(format!("this is {found}"))
    }

    /// A text without words in it.
    #[must_use]
    pub fn empty_text(place: Place, name: &str) -> Finding {
        Finding::error("empty-text", place, format!("`{name}` is empty")).label("nothing in it")
    }

    /// A key that must be there.
    #[must_use]
    pub fn missing_key(place: Place, name: &str, example: &str) -> Finding {
        Finding::error("missing-key", place, format!("the key `{name}` is missing"))
            .label("looked for it here")
            .help(format!("add a line such as  {example}"))
    }

    /// A number outside what makes sense.
    #[must_use]
    pub fn out_of_range(place: Place, name: &str, value: f64, low: f64, high: f64) -> Finding {
        Finding::error("out-of-range", place, format!("`{name}` is {value}, outside {low} to {high}"))
            .label(format!("must be from {low} to {high}"))
    }

    /// A text that should be a mass or a length.
    #[must_use]
    pub fn not_a_quantity(place: Place, name: &str, wanted: &str, why: &QuantityError) -> Finding {
        Finding::error("not-a-quantity", place, format!("`{name}` cannot be read: {why}"))
            .label("not understood")
            .help(format!("write {wanted}"))
    }

    /// A mass outside what can be weighed on a bench.
    #[must_use]
    pub fn mass_out_of_range(place: Place, name: &str, grams: f64) -> Finding {
        Finding::error(
            "mass-out-of-range",
            place,
            format!("`{name}` is {} g; amounts from a milligram to a tonne can be computed", tidy(grams)),
        )
        .label("not an amount for a bench")
    }
}

/// The tables.
impl Finding {
    /// A value nobody answers for.
    #[must_use]
    pub fn value_without_source(place: Place, row: &str, value: &str) -> Finding {
        Finding::error("value-without-source", place, format!("`{value}` of `{row}` has no source"))
            .label("says nothing of where it comes from")
            .help("add  source = { work = \"...\", edition = \"...\", where = \"...\" }  or  source = \"supplier's certificate of ...\"")
    }

    /// A range whose low end lies above its high end.
    #[must_use]
    pub fn range_upside_down(place: Place, row: &str, value: &str, low: f64, high: f64) -> Finding {
        Finding::error("range-upside-down", place, format!("`{value}` of `{row}` runs from {low} down to {high}"))
            .label("low is above high")
            .help("exchange `low` and `high`")
    }

    /// A value to use that lies outside the published range.
    #[must_use]
    pub fn value_outside_its_range(place: Place, row: &str, used: f64, low: f64, high: f64) -> Finding {
        Finding::warning(
            "value-outside-its-range",
            place,
            format!("`{row}` uses a saponification value of {used}, outside its published range of {low} to {high}"),
        )
        .label("outside the range")
        .help("check the unit: mg KOH per g of fat, never NaOH; give `low` and `high` too if the supplier states them")
    }

    /// A file in the folder of tables that is not a table.
    #[must_use]
    pub fn unknown_table(place: Place, name: &str, near: Option<&str>, known: &[&str]) -> Finding {
        Finding::error("unknown-table", place, format!("`{name}` is not the name of a table"))
            .label("this file")
            .nearest(near, format!("the tables are {}", listed(known)))
    }

    /// A mould with the dimensions of two shapes, or of none.
    #[must_use]
    pub fn mould_shape_unclear(place: Place, row: &str) -> Finding {
        Finding::error("mould-shape-unclear", place, format!("the mould `{row}` is neither a box nor a cylinder"))
            .label("its shape cannot be told")
            .help("give `inside-length` and `inside-width`, or `inside-diameter` alone; and `fill-height`")
    }
}

/// The recipes.
impl Finding {
    /// A fat that the table lacks.
    #[must_use]
    pub fn unknown_fat(place: Place, name: &str, near: Option<&str>) -> Finding {
        Finding::error("unknown-fat", place, format!("no fat named `{name}` in the table of fats"))
            .label("not in the table")
            .nearest(near, "add a row for it to tables/fats.toml of the course, with its source")
    }

    /// An additive that the table lacks.
    #[must_use]
    pub fn unknown_additive(place: Place, name: &str, near: Option<&str>) -> Finding {
        Finding::error("unknown-additive", place, format!("no additive named `{name}` in the table of additives"))
            .label("not in the table")
            .nearest(near, "add a row for it to tables/additives.toml of the course, with its source")
    }

    /// A spoon of something whose bulk density nobody stated.
    #[must_use]
    pub fn no_bulk_density(place: Place, name: &str) -> Finding {
        Finding::error("no-bulk-density", place, format!("a spoon of `{name}` has no known mass"))
            .label("a measure by volume")
            .help(
                "give its rate as a share of the fats (\"1 %\") or as a mass, or add `bulk-density` to its row in \
                   tables/additives.toml",
            )
    }

    /// An acid or a liquid in one layer.
    #[must_use]
    pub fn changes_the_lye(place: Place, name: &str) -> Finding {
        Finding::error("changes-the-lye", place, format!("`{name}` changes the lye, which is made for the whole batch"))
            .label("in one layer only")
            .help("move it to the [[additives]] of the recipe")
    }

    /// An acid whose strength only the bottle can tell.
    #[must_use]
    pub fn strength_not_stated(place: Place, name: &str) -> Finding {
        Finding::error("strength-not-stated", place, format!("the strength of `{name}` is not stated"))
            .label("how strong?")
            .help("read the bottle and add  strength = 5  (percent of pure acid by mass)")
    }

    /// A strength where there is no acid.
    #[must_use]
    pub fn strength_of_liquid(place: Place, name: &str) -> Finding {
        Finding::error("strength-of-liquid", place, format!("`{name}` is not an acid and has no strength"))
            .label("nothing to be strong")
            .help("take this key away")
    }

    /// A share of the water for something that is no liquid.
    #[must_use]
    pub fn acid_of_water(place: Place, name: &str) -> Finding {
        Finding::error("rate-of-water", place, format!("`{name}` does not take the place of water"))
            .label("a share of the water")
            .help("give its rate as a share of the fats (\"1 %\") or as a mass (\"15 g\")")
    }

    /// Fats stirred into soap that was poured in layers.
    #[must_use]
    pub fn late_fats_with_layers(place: Place) -> Finding {
        Finding::error(
            "late-fats-with-layers",
            place,
            "fats stirred in after saponification do not go with layers".into(),
        )
        .label("stirred into what?")
        .help("only soap that was cooked can take fats afterwards; take [fats-after] or [[layers]] away")
    }

    /// An alkali that is neither NaOH nor KOH.
    #[must_use]
    pub fn unknown_alkali(place: Place, name: &str) -> Finding {
        Finding::error("unknown-alkali", place, format!("no alkali named `{name}`"))
            .label("not an alkali for soap")
            .help("write \"NaOH\", \"KOH\", or both by moles, as in { NaOH = 60, KOH = 40 }")
    }

    /// A mould that the table lacks.
    #[must_use]
    pub fn unknown_mould(place: Place, name: &str, near: Option<&str>) -> Finding {
        Finding::error("unknown-mould", place, format!("no mould named `{name}` in the table of moulds"))
            .label("not in the table")
            .nearest(near, "add a row for it to tables/moulds.toml of the course")
    }

    /// A recipe without a fat.
    #[must_use]
    pub fn no_fats(place: Place) -> Finding {
        Finding::error("no-fats", place, "the recipe has no fats".into())
            .label("nothing to saponify")
            .help("name at least one under [fats], such as  olive = 100")
    }

    /// Percentages and masses in one list.
    #[must_use]
    pub fn mixed_fat_forms(place: Place) -> Finding {
        Finding::error("mixed-fat-forms", place, "some fats are percentages and some are masses".into())
            .label("not in the form of the first one")
            .help("write every fat as a percentage (60) or every fat as a mass (\"540 g\")")
    }

    /// Percentages that are not a whole.
    #[must_use]
    pub fn fats_do_not_sum(place: Place, sum_percent: f64) -> Finding {
        let gap = tidy(100.0 - sum_percent);
        let what = if gap > 0.0 { format!("{gap} missing") } else { format!("{} too many", -gap) };
        Finding::error("fats-do-not-sum", place, format!("the fats add up to {} %, not 100 %", tidy(sum_percent)))
            .label(what)
            .help("change one of the percentages; nothing is guessed for you")
    }

    /// No batch size.
    #[must_use]
    pub fn no_batch_size(place: Place) -> Finding {
        Finding::error("no-batch-size", place, "the recipe does not say how much to make".into())
            .label("neither `batch` nor `mould`")
            .help("add  batch = \"900 g\"  (the mass of all fats) or  mould = \"...\"  above [fats]")
    }

    /// Two batch sizes.
    #[must_use]
    pub fn two_batch_sizes(place: Place, first: &str, second: &str) -> Finding {
        Finding::error("two-batch-sizes", place, format!("the recipe gives its size twice, by {first} and by {second}"))
            .label("the second one")
            .help("keep the one you mean")
    }

    /// No water.
    #[must_use]
    pub fn no_water(place: Place) -> Finding {
        Finding::error("no-water", place, "the recipe does not say how much water the lye goes into".into())
            .label("no `water` here, and no default in book.toml")
            .help("add  water = { lye-concentration = 33 }  or { per-lye = 2.0 }  or { of-fats = 38 }")
    }

    /// Two water conventions.
    #[must_use]
    pub fn two_water_conventions(place: Place, first: &str, second: &str) -> Finding {
        Finding::error(
            "two-water-conventions",
            place,
            format!("the water is given twice, as `{first}` and as `{second}`"),
        )
        .label("the second one")
        .help("keep one; the pages show the other two, computed")
    }

    /// Shares of two alkalis that are not a whole.
    #[must_use]
    pub fn alkalis_do_not_sum(place: Place, sum_percent: f64) -> Finding {
        Finding::error("alkalis-do-not-sum", place, format!("the alkalis add up to {} %, not 100 %", tidy(sum_percent)))
            .label("percent of the saponification, by moles")
            .help("change one of the two")
    }

    /// A purity of an alkali that the recipe does not use.
    #[must_use]
    pub fn purity_of_absent_alkali(place: Place, alkali: &str) -> Finding {
        Finding::error(
            "purity-of-absent-alkali",
            place,
            format!("the recipe states a purity of {alkali} and uses none"),
        )
        .label("not in `alkali`")
        .help("name it under `alkali`, or take the purity away")
    }

    /// The same layer name twice.
    #[must_use]
    pub fn layer_named_twice(place: Place, name: &str) -> Finding {
        Finding::error("layer-named-twice", place, format!("two layers have the name `{name}`"))
            .label("the second one")
            .help("give every layer its own name, so that a page can speak of it")
    }
}

/// What the computed batch says.
impl Finding {
    /// More alkali than the fats can take.
    #[must_use]
    pub fn superfat_below_zero(place: Place, superfat_percent: f64) -> Finding {
        Finding::error(
            "superfat-below-zero",
            place,
            format!("superfat is {} %: there is more alkali than the fats can take", tidy(superfat_percent)),
        )
        .label("below zero")
        .help("such a bar burns skin; common practice for a bar is 5 % (from 3 to 8 %)")
    }

    /// More alkali than the fats can take, by rounding alone.
    #[must_use]
    pub fn printed_superfat_below_zero(place: Place, superfat_percent: f64) -> Finding {
        Finding::error(
            "superfat-below-zero",
            place,
            format!(
                "weighed as printed, the superfat would be {} %: the batch is too small for the scale",
                one_decimal(superfat_percent)
            ),
        )
        .label("below zero once the amounts are rounded")
        .help("make a larger batch, or state the finer scale you use in book.toml")
    }

    /// A superfat nobody means.
    #[must_use]
    pub fn superfat_unusual(place: Place, superfat_percent: f64, highest_percent: f64) -> Finding {
        Finding::warning(
            "superfat-unusual",
            place,
            format!("superfat is {} %, above the {} % of limits.toml", tidy(superfat_percent), tidy(highest_percent)),
        )
        .label("that much fat stays unsaponified")
        .help("leave it if you mean it; the bar may stay soft and turn rancid early")
    }

    /// Fats that may turn out to take less alkali than there is.
    #[must_use]
    pub fn superfat_worst_case_below_zero(place: Place, worst_percent: f64, what: &str) -> Finding {
        Finding::warning(
            "superfat-worst-case-below-zero",
            place,
            format!("with everything at its worst, the superfat could be {} %", one_decimal(worst_percent)),
        )
        .label("too little margin")
        .help(format!("raise the superfat, or narrow down what matters most: {what}"))
    }

    /// More liquid than there is water to replace.
    #[must_use]
    pub fn liquids_over_water(place: Place, liquid_grams: f64, water_grams: f64) -> Finding {
        Finding::error(
            "liquids-over-water",
            place,
            format!(
                "the liquids bring {} g of water, and the recipe has {} g",
                one_decimal(liquid_grams),
                one_decimal(water_grams)
            ),
        )
        .label("more than all of the water")
        .help("lower the rate of the liquid, or give the lye more water")
    }

    /// A solution that cannot exist.
    #[must_use]
    pub fn solution_too_strong(place: Place, alkali: &str, percent: f64, strongest_percent: f64) -> Finding {
        Finding::error(
            "solution-too-strong",
            place,
            format!(
                "the lye would be {} % alkali, but no more than {} % of {alkali} dissolves at 20 °C",
                one_decimal(percent),
                tidy(strongest_percent)
            ),
        )
        .label("too little water")
        .help("give more water; common practice is a lye concentration of 25 to 40 %")
    }

    /// A solution weaker or stronger than the trade uses.
    #[must_use]
    pub fn solution_unusual(place: Place, percent: f64, low: f64, high: f64) -> Finding {
        Finding::warning(
            "solution-unusual",
            place,
            format!(
                "the lye is {} % alkali; common practice is {} to {} % (limits.toml)",
                one_decimal(percent),
                tidy(low),
                tidy(high)
            ),
        )
        .label("outside common practice")
        .help("check which of the three water conventions you mean")
    }

    /// A purity that the container states and the recipe does not.
    #[must_use]
    pub fn purity_not_stated(place: Place, alkali: &str) -> Finding {
        Finding::note("purity-not-stated", place, format!("{alkali} counts as pure, since no purity is stated"))
            .label("as pure")
            .help(
                "read the container and add  purity = { ... }  to the recipe or to the defaults in book.toml; \
               counting it as pure errs towards more superfat",
            )
    }

    /// A mould filled with a lye of unknown density.
    #[must_use]
    pub fn density_beyond_range(place: Place, percent: f64) -> Finding {
        Finding::error(
            "density-beyond-range",
            place,
            format!(
                "a lye of {} % is beyond the known densities, so the mould cannot be filled by it",
                one_decimal(percent)
            ),
        )
        .label("the batch would be a guess")
        .help("give more water, or say  batch = \"...\"  in place of the mould")
    }

    /// More of an additive than the trade takes.
    #[must_use]
    pub fn rate_above_highest(place: Place, name: &str, percent: f64, highest: f64, source: &str) -> Finding {
        Finding::warning(
            "rate-above-highest",
            place,
            format!(
                "{name} is {} % of the fats; the most is {} % ({source})",
                one_decimal(percent),
                one_decimal(highest)
            ),
        )
        .label("more than the most")
        .help("lower the rate; two thirds of the most is a safe try")
    }

    /// More of an additive in the bar than its supplier allows.
    #[must_use]
    pub fn over_limit(place: Place, name: &str, percent: f64, limit: f64) -> Finding {
        Finding::error(
            "over-limit",
            place,
            format!("{name} would be {} % of the cured bar; its limit is {} %", two_decimals(percent), tidy(limit)),
        )
        .label("over the supplier's limit")
        .help("lower the rate; the limit is what the supplier's document states for soap that is rinsed off")
    }

    /// A scent whose limit nobody stated.
    #[must_use]
    pub fn limit_not_stated(place: Place, name: &str) -> Finding {
        Finding::note("limit-not-stated", place, format!("no limit is stated for {name}"))
            .label("how much is allowed?")
            .help(
                "read the supplier's document for soap that is rinsed off, and add  limit = ...  (percent of the bar)",
            )
    }

    /// Something that browns in a layer that should not.
    #[must_use]
    pub fn browns_a_white_layer(place: Place, name: &str, layer: &str) -> Finding {
        Finding::warning("browns-a-white-layer", place, format!("{name} turns brown, and `{layer}` is to stay white"))
            .label("browns with time")
            .help("leave it out of this layer, or take `stays-white` away")
    }

    /// Several things that quicken the batter.
    #[must_use]
    pub fn quickeners_together(place: Place, names: &str) -> Finding {
        Finding::warning(
            "quickeners-together",
            place,
            format!("{names} each bring trace on sooner, and are used together"),
        )
        .label("one of them")
        .help("leave one out, or teach this with cool fats and everything laid out beforehand")
    }

    /// An amount that the scale cannot show.
    #[must_use]
    pub fn amount_below_scale(place: Place, what: &str, division: &str) -> Finding {
        Finding::error(
            "amount-below-scale",
            place,
            format!("the {what} is less than one division of the scale ({division})"),
        )
        .label("cannot be weighed")
        .help("make a larger batch, or state the finer scale you use in book.toml")
    }
}

/// The lesson pages.
impl Finding {
    /// A fence that nearly says `kettle`.
    #[must_use]
    pub fn misspelt_block(place: Place, word: &str) -> Finding {
        Finding::error("misspelt-block", place, format!("`{word}` is not a block; blocks start with the word `kettle`"))
            .label("would be shown as code")
            .help("write `kettle`, a space and the name of a view, such as ```kettle recipe")
    }

    /// A block without a view, or with an unknown one.
    #[must_use]
    pub fn unknown_view(place: Place, name: &str, near: Option<&str>, known: &[&str]) -> Finding {
        let message =
            if name.is_empty() { "the block names no view".into() } else { format!("there is no view named `{name}`") };
        Finding::error("unknown-view", place, message)
            .label("which view?")
            .nearest(near, format!("the views are {}", listed(known)))
    }

    /// A block that never ends.
    #[must_use]
    pub fn unclosed_block(place: Place) -> Finding {
        Finding::error("unclosed-block", place, "this block is never closed".into())
            .label("opened here")
            .help("end it with a line of three backticks")
    }

    /// A block in a place where Markdown takes it for text.
    #[must_use]
    pub fn block_in_html(place: Place) -> Finding {
        Finding::error("block-in-html", place, "a block right under an HTML tag is not read as a block".into())
            .label("would be shown as text")
            .help("leave an empty line between the tag and the block")
    }

    /// A block that Markdown takes for an indented code block.
    #[must_use]
    pub fn indented_block(place: Place) -> Finding {
        Finding::error("indented-block", place, "a block indented by four or more spaces is shown as code".into())
            .label("indented too far")
            .help("take the spaces away; to show a block as an example, put a longer fence (````) around it")
    }

    /// A recipe that is not there.
    #[must_use]
    pub fn unknown_recipe(place: Place, name: &str, near: Option<&str>) -> Finding {
        Finding::error("unknown-recipe", place, format!("no recipe named `{name}` in the folder recipes"))
            .label("no such file")
            .nearest(near, format!("write the recipe into recipes/{name}.toml"))
    }

    /// A block that has no recipe to speak of.
    #[must_use]
    pub fn no_recipe_on_page(place: Place) -> Finding {
        Finding::error("no-recipe-on-page", place, "no recipe is chosen on this page".into())
            .label("which recipe?")
            .help("add  use = \"the name of a file in recipes, without .toml\"  to the first `kettle recipe` block")
    }

    /// Layers asked of a recipe that has none.
    #[must_use]
    pub fn no_layers(place: Place, recipe: &str) -> Finding {
        Finding::error("no-layers", place, format!("the recipe `{recipe}` has no layers"))
            .label("nothing to divide")
            .help("add [[layers]] with a name and a share to the recipe, or take this block away")
    }

    /// A value in a sentence that does not exist.
    #[must_use]
    pub fn unknown_value(place: Place, name: &str, near: Option<&str>, known: &[&str]) -> Finding {
        Finding::error("unknown-value", place, format!("there is no value `{name}` in this page's recipe"))
            .label("not a value")
            .nearest(near, format!("there are {}", listed(known)))
    }

    /// A value that is a group of values.
    #[must_use]
    pub fn group_of_values(place: Place, name: &str, members: &[&str]) -> Finding {
        Finding::error("group-of-values", place, format!("`{name}` is a group of values, not one value"))
            .label("which of them?")
            .help(format!("choose one: {}", listed(members)))
    }

    /// `lye` of a recipe with two alkalis.
    #[must_use]
    pub fn two_lyes(place: Place) -> Finding {
        Finding::error("two-lyes", place, "this recipe has two alkalis, which are weighed apart".into())
            .label("which of the two?")
            .help("write {{ alkali.NaOH }} or {{ alkali.KOH }}")
    }

    /// An expression that Tera refuses.
    #[must_use]
    pub fn bad_expression(place: Place, tera_words: &str) -> Finding {
        Finding::error("bad-expression", place, format!("this expression cannot be computed: {}", tera_words.trim()))
            .label("not understood")
            .help("put a backslash before the braces if you want them shown as they are")
    }

    /// Braces that never close.
    #[must_use]
    pub fn unclosed_value(place: Place) -> Finding {
        Finding::error("unclosed-value", place, "the braces of this value are not closed on the same line".into())
            .label("opened here")
            .help("close them with }}, or put a backslash before them if you want them shown as they are")
    }

    /// Blocks in an included file.
    #[must_use]
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
    #[must_use]
    pub fn circular_include(place: Place, path: &str) -> Finding {
        Finding::error("circular-include", place, format!("`{path}` includes itself, directly or through another file"))
            .label("includes itself")
    }

    /// A recipe that no page shows.
    #[must_use]
    pub fn unused_recipe(place: Place, name: &str) -> Finding {
        Finding::note("unused-recipe", place, format!("no page uses the recipe `{name}`")).label("not used")
    }
}

/// The course's settings and templates.
impl Finding {
    /// A word that is not one of a few.
    #[must_use]
    pub fn unknown_choice(place: Place, key: &str, name: &str, known: &[&str]) -> Finding {
        Finding::error("unknown-choice", place, format!("`{key}` cannot be `{name}`"))
            .label("not a choice")
            .help(format!("choose {}", listed(known)))
    }

    /// A book that does not run Kettlebook.
    #[must_use]
    pub fn not_switched_on(place: Place) -> Finding {
        Finding::error("not-switched-on", place, "book.toml does not switch Kettlebook on".into())
            .label("looked for it here")
            .help("add the section [preprocessor.kettle] with the line  command = \"mdbook-kettle\"")
    }

    /// A style sheet or script that the pages need and book.toml does not name.
    #[must_use]
    pub fn missing_asset(place: Place, key: &str, path: &str) -> Finding {
        Finding::error("missing-asset", place, format!("book.toml does not load `{path}`, which the blocks need"))
            .label("looked for it here")
            .help(format!("add  {key} = [\"{path}\"]  under [output.html]"))
    }

    /// A template that Tera refuses.
    #[must_use]
    pub fn bad_template(place: Place, tera_words: &str) -> Finding {
        Finding::error("bad-template", place, format!("the template cannot be used: {}", tera_words.trim()))
            .label("in this file")
            .help("mend it, or remove the file to use the built-in template")
    }

    /// A template of a name that nothing uses.
    #[must_use]
    pub fn unknown_template(place: Place, name: &str, near: Option<&str>, known: &[&str]) -> Finding {
        Finding::error("unknown-template", place, format!("there is no template named `{name}` to replace"))
            .label("this file")
            .nearest(near, format!("the templates are {}", listed(known)))
    }
}

/// The name most like what was typed, if any is near enough to be meant.
#[must_use]
pub fn nearest<'a>(typed: &str, names: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let typed = typed.to_lowercase();
    names
        .into_iter()
        .map(|name| (strsim::damerau_levenshtein(&typed, &name.to_lowercase()), name))
        .filter(|(distance, name)| *distance <= (name.chars().count() / 3).max(1))
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, name)| name)
}

/// An author's own words may hold line breaks; a message never does.
fn in_one_line(words: &str) -> String {
    words.split(['\n', '\r']).collect::<Vec<_>>().join(" ")
}

fn listed(names: &[&str]) -> String {
    names.iter().map(|it| format!("`{it}`")).collect::<Vec<_>>().join(", ")
}

/// A number without the dust that binary fractions leave behind: 98.99999999999999 is 99.
fn tidy(value: f64) -> f64 {
    let rounded = (value * 1e6).round() / 1e6;
    // What is smaller than the dust, or too large to have any, stays as it is.
    if rounded == 0.0 || !rounded.is_finite() { value } else { rounded }
}

/// Two decimals, half away from zero.
fn two_decimals(value: f64) -> String {
    format!("{:.2}", (value * 100.0).round() / 100.0)
}

/// One decimal, half away from zero.
fn one_decimal(value: f64) -> String {
    format!("{:.1}", (value * 10.0).round() / 10.0)
}

#[cfg(test)]
mod tests {
    use super::nearest;

    #[test]
    fn only_a_near_name_is_offered() {
        let names = ["olive", "coconut", "palm-kernel"];
        assert_eq!(nearest("olvie", names), Some("olive"));
        assert_eq!(nearest("palm_kernel", names), Some("palm-kernel"));
        assert_eq!(nearest("Coconut", names), Some("coconut"));
        assert_eq!(nearest("shea", names), None);
    }
}
