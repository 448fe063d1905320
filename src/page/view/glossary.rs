//! The terms of the course with their meanings.
//!
//! Layer 6. A meaning is the author's Markdown. Inside a block mdBook reads no Markdown, so that it is made into HTML
//! here, with the links turned towards the page that shows it, and without headings and footnotes.

use mdbook_markdown::pulldown_cmark::{CowStr, Event, Tag, TagEnd, html::push_html};
use mdbook_markdown::{MarkdownOptions, new_cmark_parser};
use serde::Serialize;

use super::super::glossary::Entry;
use super::super::links::{link_to, path_from};

/// The terms of the course.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct GlossaryView {
    pub(crate) terms: Vec<TermView>,
}

/// A term.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct TermView {
    pub(crate) name: String,
    pub(crate) meanings: Vec<MeaningView>,
}

/// What a lesson says that a term means.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct MeaningView {
    pub(crate) html: String,
    pub(crate) markdown: String,
    pub(crate) lesson: String,
    /// Where it is, from the page that shows the glossary.
    pub(crate) page: String,
    pub(crate) anchor: String,
}

/// The terms as a block on the page `page_id`; `meaning` puts the values into what an entry means.
pub(crate) fn glossary_view(
    entries: &[Entry],
    page_id: &str,
    mut meaning: impl FnMut(&Entry, &str) -> String,
) -> GlossaryView {
    let mut terms: Vec<TermView> = Vec::new();
    for entry in entries {
        let whole = entry.meanings.iter().map(|it| meaning(entry, it)).collect::<Vec<_>>().join("\n\n");
        let view = MeaningView {
            html: to_html(&whole, &entry.page_id, page_id),
            markdown: to_list_item(&whole, &entry.page_id, page_id),
            lesson: entry.lesson.clone(),
            page: link_to(page_id, &entry.page_id),
            anchor: anchor(&entry.term),
        };
        match terms.last_mut().filter(|it| it.name.to_lowercase() == entry.term.to_lowercase()) {
            Some(term) => term.meanings.push(view),
            None => terms.push(TermView { name: entry.term.clone(), meanings: vec![view] }),
        }
    }
    GlossaryView { terms }
}

/// The id that mdBook makes of a heading or term.
fn anchor(term: &str) -> String {
    let kept = term.trim().chars().filter(|it| it.is_alphanumeric() || it.is_whitespace() || matches!(it, '_' | '-'));
    kept.map(|it| if it.is_whitespace() { '-' } else { it }).collect::<String>().to_lowercase()
}

/// An address on one page as another has to say it; `None` where it is the same.
fn turned(address: &str, from_id: &str, to_id: &str) -> Option<String> {
    let is_elsewhere = address.starts_with('/') || address.split(['/', '#', '?']).next().unwrap_or("").contains(':');
    if is_elsewhere || from_id == to_id {
        return None;
    }
    let path_end = address.find(['#', '?']).unwrap_or(address.len());
    let (path, rest) = address.split_at(path_end);
    let target = if path.is_empty() { from_id.to_owned() } else { path_from(from_id, path) };
    Some(format!("{}{rest}", link_to(to_id, &target)))
}

/// A footnote stands elsewhere on its page. Given a definition here, its mark is seen as one and can be left out.
fn with_footnotes(markdown: &str) -> String {
    let marks = markdown.split("[^").skip(1).filter_map(|it| it.split_once(']'));
    let definitions: String = marks.map(|(name, _)| format!("\n\n[^{name}]: .")).collect();
    format!("{markdown}{definitions}")
}

fn to_html(markdown: &str, from_id: &str, to_id: &str) -> String {
    let turn = |address: CowStr<'static>| turned(&address, from_id, to_id).map_or(address, CowStr::from);
    let markdown = with_footnotes(markdown);
    let mut in_footnote = false;
    let events = new_cmark_parser(&markdown, &MarkdownOptions::default()).filter_map(|event| {
        if matches!(event, Event::Start(Tag::FootnoteDefinition(_))) {
            in_footnote = true;
        }
        let is_left_out = in_footnote;
        in_footnote &= !matches!(event, Event::End(TagEnd::FootnoteDefinition));
        if is_left_out {
            return None;
        }
        Some(match event.into_static() {
            Event::Start(Tag::Heading { .. }) => Event::Start(Tag::Paragraph),
            Event::End(TagEnd::Heading(_)) => Event::End(TagEnd::Paragraph),
            Event::Start(Tag::Link { link_type, dest_url, title, id }) => {
                Event::Start(Tag::Link { link_type, dest_url: turn(dest_url), title, id })
            }
            Event::Start(Tag::Image { link_type, dest_url, title, id }) => {
                Event::Start(Tag::Image { link_type, dest_url: turn(dest_url), title, id })
            }
            Event::FootnoteReference(_) => return None,
            Event::Html(html) | Event::InlineHtml(html) if html.trim_start().starts_with("<!--") => return None,
            event => event,
        })
    });
    let mut html = String::new();
    push_html(&mut html, events);
    let html = in_one_line(&html.replace('\r', ""));
    // A single paragraph needs no paragraph.
    match html.strip_prefix("<p>").and_then(|it| it.strip_suffix("</p>")) {
        Some(inner) if !inner.contains("<p>") => inner.to_owned(),
        _ => html,
    }
}

/// HTML without line breaks; in code they are written as such.
fn in_one_line(html: &str) -> String {
    let mut line = String::with_capacity(html.len());
    let mut rest = html.trim();
    while let Some((before, code)) = rest.split_once("<pre>") {
        let (code, after) = code.split_once("</pre>").unwrap_or((code, ""));
        line.push_str(&before.replace('\n', " "));
        line.push_str(&format!("<pre>{}</pre>", code.replace('\n', "&#10;")));
        rest = after;
    }
    line.push_str(&rest.replace('\n', " "));
    line.trim().to_owned()
}

/// Markdown whose further lines are indented as those of a list item are.
fn to_list_item(markdown: &str, from_id: &str, to_id: &str) -> String {
    let mut text = markdown.to_owned();
    let whole = with_footnotes(markdown);
    let events = new_cmark_parser(&whole, &MarkdownOptions::default()).into_offset_iter();
    let events: Vec<_> = events.filter(|(_, range)| range.end <= markdown.len()).collect();
    // Back to front, so that what is still to be replaced stays where it is.
    for (event, range) in events.into_iter().rev() {
        if matches!(event, Event::FootnoteReference(_)) {
            text.replace_range(range.clone(), "");
        }
        let Event::Start(Tag::Link { dest_url, .. } | Tag::Image { dest_url, .. }) = event else { continue };
        let typed = format!("]({dest_url}");
        if let Some(turned) = turned(&dest_url, from_id, to_id)
            && let Some(at) = markdown[range.clone()].rfind(&typed)
        {
            let start = range.start + at + 2;
            text.replace_range(start..start + dest_url.len(), &turned);
        }
    }
    text.lines().collect::<Vec<_>>().join("\n  ").replace("\n  \n", "\n\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_meaning_becomes_one_line_of_html_that_links_from_where_it_is_shown() {
        for (markdown, html) in [
            ("The *alkali* & more.", "The <em>alkali</em> &amp; more."),
            ("One\n\nTwo", "<p>One</p> <p>Two</p>"),
            ("# Head\n\nfoot[^1] `[^2]`", "<p>Head</p> <p>foot <code>[^2]</code></p>"),
            (
                "[a](lye.md#b) [c](#d) [e](https://f.g) [h](../i.md)",
                "\
                <a href=\"../one/lye.md#b\">a</a> <a href=\"../one/here.md#d\">c</a> \
                <a href=\"https://f.g\">e</a> <a href=\"../i.md\">h</a>",
            ),
            ("```text\na\nb\n```", "<pre><code class=\"language-text\">a&#10;b&#10;</code></pre>"),
            ("a <!-- b --> c", "a  c"),
            ("a\r\nb\n\n    c\r\n    d\r\n", "<p>a b</p> <pre><code>c&#10;d&#10;</code></pre>"),
        ] {
            assert_eq!(to_html(markdown, "one/here.md", "two/glossary.md"), html);
        }
    }

    #[test]
    fn a_meaning_in_markdown_stays_in_its_list_item() {
        let text = "A [b](lye.md) and[^1] [b](c.md).\n\nMore `[^2]`, [d](#e).";
        assert_eq!(
            to_list_item(text, "one/here.md", "glossary.md"),
            "A [b](one/lye.md) and [b](one/c.md).\n\n  More `[^2]`, [d](one/here.md#e)."
        );
        assert_eq!(to_list_item("See [b](lye.md)", "here.md", "glossary.md"), "See [b](lye.md)");
    }

    #[test]
    fn an_anchor_is_what_mdbook_makes_of_the_term() {
        assert_eq!(anchor("Total fatty matter (TFM)"), "total-fatty-matter-tfm");
    }
}
