//! Makes text of what somebody typed: whatever it holds, the page shows it and takes it for nothing else.
//!
//! Layer 6. What would be markup is written as an entity, which Markdown, raw HTML, the quotes of an attribute and a figure
//! all read as that character and as nothing more. Words in letters from the right are kept to themselves, or a browser
//! would count the number beside them to the same run and exchange their places.

use super::printer::is_mark;

/// Text in which HTML and figures see no markup.
#[must_use]
pub(super) fn plain_html(text: &str) -> String {
    address(&isolated(text))
}

/// An address in quotes of HTML or between the angles of Markdown, where nothing may be added.
#[must_use]
pub(super) fn address(text: &str) -> String {
    escaped(text, |_, it, _| matches!(it, '&' | '<' | '>' | '"' | '\'' | '{'))
}

/// Text in which Markdown sees no markup, nor HTML where a value stands in a tag.
#[must_use]
pub(super) fn plain_markdown(text: &str) -> String {
    const MARKUP: &str = "&<>\"'{}\\`*_~[]|#$^";
    let in_one_line = text.replace("\r\n", " ").replace(['\n', '\r', '\t'], " ");
    escaped(&isolated(&in_one_line), |before, it, after| match it {
        // What a list, a definition or a line under a heading begins with; of dashes and dots several become others.
        '-' | '+' | '=' | ':' if before.is_empty() => true,
        '.' | ')' if after.starts_with(' ') && before.bytes().all(|it| it.is_ascii_digit()) => true,
        '-' | '.' => before.ends_with(it) || after.starts_with(it),
        _ => MARKUP.contains(it),
    })
}

/// A text in which each run of letters from the right stands between Unicode's marks of an isolate. Numbers are left out,
/// so that they stay where they are read from the left.
fn isolated(text: &str) -> String {
    const ISOLATE: char = '\u{2067}';
    const END: char = '\u{2069}';
    let mut isolated = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(start) = rest.find(is_from_the_right) {
        let run = &rest[start..];
        let run_end = run.find(|it: char| it.is_alphanumeric() && !is_from_the_right(it) || is_mark(it));
        let end = run[..run_end.unwrap_or(run.len())].trim_end_matches(|it| !is_from_the_right(it)).len();
        isolated.push_str(&rest[..start]);
        isolated.push(ISOLATE);
        isolated.push_str(&run[..end]);
        isolated.push(END);
        rest = &run[end..];
    }
    isolated + rest
}

/// Whether a letter is of a script that is written from the right: Hebrew, Arabic and their like.
fn is_from_the_right(letter: char) -> bool {
    matches!(letter, '\u{590}'..='\u{8ff}' | '\u{fb1d}'..='\u{fdcf}' | '\u{fdf0}'..='\u{fdff}' | '\u{fe70}'..='\u{fefc}'
        | '\u{10800}'..='\u{10fff}' | '\u{1e800}'..='\u{1efff}')
}

/// - `is_markup`: whether a character may not stand for itself, given what stands before and after it.
fn escaped(text: &str, is_markup: impl Fn(&str, char, &str) -> bool) -> String {
    let mut plain = String::with_capacity(text.len());
    for (at, it) in text.char_indices() {
        if is_markup(&text[..at], it, &text[at + it.len_utf8()..]) {
            plain.push_str(&match it {
                '&' => "&amp;".to_owned(),
                '<' => "&lt;".to_owned(),
                '>' => "&gt;".to_owned(),
                '"' => "&quot;".to_owned(),
                it => format!("&#{};", u32::from(it)),
            });
        } else {
            plain.push(it);
        }
    }
    plain
}

/// A text without what mdBook, which comes after us, would take for a directive and put another file in its place.
#[must_use]
pub(super) fn without_directives(text: &str) -> String {
    let mut clean = String::with_capacity(text.len());
    for (at, it) in text.char_indices() {
        let is_directive = text[at..].strip_prefix("{{").is_some_and(|it| it.trim_start().starts_with('#'));
        if is_directive {
            clean.push_str("&#123;");
        } else {
            clean.push(it);
        }
    }
    clean
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_from_the_right_are_kept_from_the_numbers_beside_them() {
        for (text, plain) in [
            ("שמן זית (179 g)", "\u{2067}שמן זית\u{2069} (179 g)"),
            ("for the layer שמן: 1/2 tsp", "for the layer \u{2067}שמן\u{2069}: 1/2 tsp"),
            ("زيت 5, زيت a", "\u{2067}زيت\u{2069} 5, \u{2067}زيت\u{2069} a"),
            ("œil 5", "œil 5"),
        ] {
            assert_eq!(plain_html(text), plain);
            assert_eq!(plain_markdown(text), plain);
            assert_eq!(address(text), text);
        }
        assert_eq!(plain_html("שמן\u{fdd0}1\u{fdd1}7 g\u{fdd2}"), "\u{2067}שמן\u{2069}\u{fdd0}1\u{fdd1}7 g\u{fdd2}");
    }

    #[test]
    fn what_mdbook_would_execute_is_no_longer_there() {
        assert_eq!(without_directives("{{{#a}} {{ #b}} {{c}}"), "{&#123;{#a}} &#123;{ #b}} {{c}}");
    }
}
