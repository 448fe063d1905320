//! Words about TOML, keys and values.
//!
//! Layer 0.

use super::{Finding, choices, length_words};
use crate::show::{Units, as_typed, volume};
use crate::source::Place;
use crate::units::{Mass, QuantityError, Volume};

const NO_QUOTES: &str = "a word that is not a number must be in quotes";

impl Finding {
    /// A file that is no text.
    pub fn not_utf_8(place: Place) -> Finding {
        Finding::error("not-utf-8", place, "this file cannot be read as text: it is not in UTF-8".into())
            .label("the first character that is not")
            .help("open it in your editor and save it in the encoding UTF-8")
    }

    /// A comma before decimals in a number of TOML.
    pub fn decimal_comma(place: Place, meant: &[String]) -> Finding {
        Finding::error("toml-syntax", place, "a number has no comma: decimals come after a point".into())
            .label("a comma in a number")
            .help(format!("write {}", meant.join(" or ")))
    }

    /// Quotes as a word processor makes them.
    pub fn curly_quotes(place: Place) -> Finding {
        Finding::error("toml-syntax", place, "text goes in straight quotes, not in curly ones".into())
            .label("curly quotes")
            .help("write straight quotes: \"...\"")
    }

    /// Text, or a percentage with its sign, behind a key and without quotes.
    pub fn bare_word(place: Place, meant: &str) -> Finding {
        Finding::error("toml-syntax", place, format!("this line is not TOML: {NO_QUOTES}"))
            .label("not understood")
            .help(format!("write  {meant}"))
    }

    /// A colon between key and value.
    pub fn colon_for_equals(place: Place, meant: &str) -> Finding {
        Finding::error("toml-syntax", place, "between a key and its value there is an equals sign, not a colon".into())
            .label("a colon")
            .help(format!("write  {meant}"))
    }

    /// The TOML cannot be read.
    pub fn toml_syntax(place: Place, parser_words: &str) -> Finding {
        let words = parser_words.trim().replace('\n', ", ");
        // What the parser says of a word without quotes is no help to anybody who did not write it.
        let is_bare_word = words.starts_with("invalid float") || words.starts_with("string values must be quoted");
        let words = if is_bare_word { NO_QUOTES.to_owned() } else { words };
        Finding::error("toml-syntax", place, format!("this line is not TOML: {words}"))
            .label("not understood")
            .help("a line is a [heading], or a key, an equals sign and a value; text goes in \"quotes\"")
    }

    /// A single table where there may be several.
    pub fn one_bracket_for_two(place: Place, name: &str) -> Finding {
        Finding::error("wrong-type", place, format!("`{name}` takes a list, not a table"))
            .label("this is a table")
            .help(format!("write [[{name}]], with two brackets, above each of them"))
    }

    /// A key that means nothing here.
    pub fn unknown_key(place: Place, name: &str, near: Option<&str>, known: &[&str]) -> Finding {
        Finding::error("unknown-key", place, format!("there is no key `{name}` here"))
            .label("not a key of this table")
            .nearest(near, format!("the keys are {}", choices(known)))
    }

    /// Keys of the whole file below a heading, and so in its table.
    pub fn key_below_heading(place: Place, names: &[&str], heading: &str) -> Finding {
        let (be, them) = if names.len() == 1 { ("is", "it") } else { ("are", "them") };
        let message = format!("{} {be} below {heading}, where there is no such key", choices(names));
        Finding::error("key-below-heading", place, message)
            .label(format!("belongs above {heading}"))
            .help(format!("move {them} above all headings: a key belongs to the last heading before it"))
    }

    /// A value of another kind than the key takes.
    pub fn wrong_type(place: Place, name: &str, wanted: &str, found: &str) -> Finding {
        Finding::error("wrong-type", place, format!("`{name}` takes {wanted}, not {found}"))
            .label(format!("this is {found}"))
    }

    /// A text without words in it.
    pub fn empty_text(place: Place, name: &str) -> Finding {
        Finding::error("empty-text", place, format!("`{name}` is empty")).label("nothing in it")
    }

    /// A character that is not seen.
    pub fn invisible_character(place: Place, character: char) -> Finding {
        let code = u32::from(character);
        let turns = matches!(code, 0x61c | 0x200e..=0x200f | 0x202a..=0x202e | 0x2066..=0x2069);
        let words = if turns { "reverses the order of the text here" } else { "is here" };
        Finding::error("invisible-character", place, format!("an invisible character, U+{code:04X}, {words}"))
            .label(if turns { "can make 179 g read as 971 g" } else { "invisible" })
            .help("take it out: delete the words around it and type them again")
    }

    /// A key that must be there.
    pub fn missing_key(place: Place, name: &str, example: &str) -> Finding {
        Finding::error("missing-key", place, format!("the key `{name}` is missing"))
            .label("looked for it here")
            .help(format!("add a line such as  {example}"))
    }

    /// A length outside what makes sense; typed in whatever unit, it is told in both.
    pub fn length_out_of_range(place: Place, name: &str, millimetres: f64, (low, high): (f64, f64)) -> Finding {
        let both = |it: f64| [Units::Grams, Units::Ounces].map(|units| length_words(it, units));
        let [[mm, inches], [low_mm, low_inches], [high_mm, high_inches]] = [millimetres, low, high].map(both);
        let limits = format!("{low_mm} to {high_mm} ({low_inches} to {high_inches})");
        Finding::error("out-of-range", place, format!("`{name}` is {mm} ({inches}), outside {limits}"))
            .label(format!("must be from {limits}"))
    }

    /// A volume outside what makes sense.
    pub fn volume_out_of_range(place: Place, name: &str, it: Volume, (low, high): (Volume, Volume)) -> Finding {
        let [it, low, high] = [it, low, high].map(|it| volume(it, Units::Grams));
        Finding::error("out-of-range", place, format!("`{name}` is {it}, outside {low} to {high}"))
            .label(format!("must be from {low} to {high}"))
    }

    /// A number outside what makes sense.
    pub fn out_of_range(place: Place, name: &str, value: f64, low: f64, high: f64) -> Finding {
        let [value, low, high] = [value, low, high].map(as_typed);
        Finding::error("out-of-range", place, format!("`{name}` is {value}, outside {low} to {high}"))
            .label(format!("must be from {low} to {high}"))
    }

    /// A text that should be a mass or a length.
    pub fn not_a_quantity(place: Place, name: &str, wanted: &str, why: &QuantityError) -> Finding {
        Finding::error("not-a-quantity", place, format!("`{name}` cannot be read: {why}"))
            .label("not understood")
            .help(format!("write {wanted}"))
    }

    /// A batch of some grams, to the milligram, where a point may stand for thousands.
    pub fn point_for_thousands(place: Place, name: &str, grams: f64) -> Finding {
        let (read, meant) = (as_typed(grams), as_typed((grams * 1000.0).round()));
        let message = format!("`{name}` is read as {read} g: a point comes before decimals, never between thousands");
        Finding::error("not-a-quantity", place, message)
            .label(format!("{read} g, or {meant} g?"))
            .help(format!("write \"{meant} g\" or \"{read} g\""))
    }

    /// A mass outside what can be weighed on a bench.
    pub fn mass_out_of_range(place: Place, name: &str, grams: f64) -> Finding {
        Finding::error(
            "mass-out-of-range",
            place,
            format!(
                "`{name}` is {} g ({} oz); amounts from a milligram to a tonne can be computed",
                as_typed(grams),
                as_typed(Mass::grams(grams).to_ounces())
            ),
        )
        .label("not an amount for a bench")
    }
}
