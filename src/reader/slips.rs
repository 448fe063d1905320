//! Slips of people who do not write TOML every day, in a line that the parser could not read.
//!
//! Part of `reader`. The parser says what it would have liked to see; these say what was meant.

use std::ops::Range;

use crate::finding::Finding;
use crate::source::Extract;
use crate::units::{QuantityError, number};

/// What an author may take for a straight quote, or a word processor put in its place.
const CURLY: [char; 12] = ['“', '”', '„', '‟', '‘', '’', '‚', '‛', '«', '»', '‹', '›'];

/// What a line that is no TOML was meant to be, if it is one of the usual slips.
pub(super) fn slip_in(extract: &Extract, line: Range<usize>) -> Option<Finding> {
    let text = &extract.text()[line.clone()];
    let code = code_of(text);
    let place = |span: Range<usize>| extract.place(line.start + span.start..line.start + span.end);
    if let Some(start) = text[..code.end].find(CURLY).filter(|it| !code.is_quoted(*it)) {
        let last = text[start..code.end].char_indices().rfind(|(_, it)| CURLY.contains(it));
        let end = last.map_or(start, |(at, it)| start + at + it.len_utf8());
        return Some(Finding::curly_quotes(place(start..end)));
    }
    if let Some((span, meant)) = decimal_comma(text, &code) {
        return Some(Finding::decimal_comma(place(span), &meant));
    }
    let at = text[..code.end].find([':', '='])?;
    let (key, value) = (text[..at].trim(), text[at + 1..code.end].trim());
    let is_key = |it: char| it.is_alphanumeric() || matches!(it, '-' | '_');
    if key.is_empty() || !key.chars().all(is_key) || value.is_empty() {
        return None;
    }
    let meant = as_value(value);
    if text[at..].starts_with(':') {
        let meant = format!("{key} = {}", meant.as_deref().unwrap_or(value));
        return Some(Finding::colon_for_equals(place(at..at + 1), &meant));
    }
    let start = code.end - text[at + 1..code.end].trim_start().len();
    Some(Finding::bare_word(place(start..start + value.len()), &format!("{key} = {}", meant?)))
}

/// What stands bare behind a key as TOML would have it: text in quotes, a percentage as a number. `None` for what is a value
/// already, or the beginning of one.
fn as_value(bare: &str) -> Option<String> {
    let is_value = bare.starts_with(['"', '\'', '[', '{']) || bare.parse::<f64>().is_ok();
    if is_value || matches!(bare, "true" | "false") || bare.contains('"') {
        return None;
    }
    let percent = bare.strip_suffix('%').map(str::trim_end).filter(|it| it.parse::<f64>().is_ok());
    Some(percent.map_or_else(|| format!("\"{bare}\""), str::to_owned))
}

/// A line without its comment, and what is quoted in it.
struct Code {
    end: usize,
    quoted: Vec<Range<usize>>,
}

impl Code {
    fn is_quoted(&self, at: usize) -> bool {
        self.quoted.iter().any(|it| it.contains(&at))
    }
}

fn code_of(line: &str) -> Code {
    let mut quoted = Vec::new();
    let mut at = 0;
    while let Some(found) = line[at..].find(['"', '\'', '#']) {
        let start = at + found;
        let sign = &line[start..=start];
        if sign == "#" {
            return Code { end: start, quoted };
        }
        let Some(length) = line[start + 1..].find(sign) else {
            // A quote that is not closed, perhaps because what closes it is none.
            break;
        };
        at = start + 1 + length + 1;
        quoted.push(start..at);
    }
    Code { end: line.len(), quoted }
}

/// A number with a comma behind an equals sign, and the numbers that it may be.
fn decimal_comma(line: &str, code: &Code) -> Option<(Range<usize>, Vec<String>)> {
    line[..code.end].match_indices('=').filter(|(at, _)| !code.is_quoted(*at)).find_map(|(at, _)| {
        let value = line[at + 1..code.end].trim_start();
        let start = code.end - value.len();
        let length = value.find(|it: char| !(it.is_ascii_digit() || matches!(it, '.' | ',' | '-' | '+')));
        let typed = value[..length.unwrap_or(value.len())].trim_end_matches(',');
        match number(typed) {
            Err(QuantityError::Comma(_, meant)) => Some((start..start + typed.len(), meant)),
            _ => None,
        }
    })
}

/// Whether the point in a mass of grams may be one between thousands: `1.000 g` for a kilogram. Nobody weighs a batch of a few
/// grams to the milligram, and a zero at the end would say nothing.
pub(super) fn may_be_thousands(text: &str) -> bool {
    let end = text.find(|it: char| !(it.is_ascii_digit() || it == '.')).unwrap_or(text.len());
    let is_grams = matches!(text[end..].trim(), "g" | "gram" | "grams");
    let (whole, decimals) = text[..end].split_once('.').unwrap_or_default();
    is_grams
        && matches!(whole.len(), 1 | 2)
        && !whole.starts_with('0')
        && decimals.len() == 3
        && decimals.ends_with('0')
}
