//! Makes text of what somebody typed: whatever it holds, the page shows it and takes it for nothing else.
//!
//! Layer 6. What would be markup is written as an entity, which Markdown, raw HTML, the quotes of an attribute and a figure
//! all read as that character and as nothing more.

/// Text in which HTML and figures see no markup.
#[must_use]
pub(super) fn plain_html(text: &str) -> String {
    escaped(text, |_, it, _| matches!(it, '&' | '<' | '>' | '"' | '\'' | '{'))
}

/// Text in which Markdown sees no markup, nor HTML where a value stands in a tag.
#[must_use]
pub(super) fn plain_markdown(text: &str) -> String {
    const MARKUP: &str = "&<>\"'{}\\`*_~[]|#$^";
    let in_one_line = text.replace("\r\n", " ").replace(['\n', '\r', '\t'], " ");
    escaped(&in_one_line, |before, it, after| match it {
        // What a list, a definition or a line under a heading begins with; of dashes and dots several become others.
        '-' | '+' | '=' | ':' if before.is_empty() => true,
        '.' | ')' if after.starts_with(' ') && before.bytes().all(|it| it.is_ascii_digit()) => true,
        '-' | '.' => before.ends_with(it) || after.starts_with(it),
        _ => MARKUP.contains(it),
    })
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
