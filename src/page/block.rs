//! Finds blocks, values in sentences and includes in a lesson's Markdown.
//!
//! Layer 6. Reads the document as mdBook will (same parser, same options) and gives byte ranges to replace; it never
//! writes Markdown back from events, which would change the author's text. Code is left alone.

use std::ops::Range;
use std::sync::Arc;

use mdbook_markdown::pulldown_cmark::{CodeBlockKind, Event, Tag, TagEnd};
use mdbook_markdown::{MarkdownOptions, new_cmark_parser};

use crate::finding::Finding;
use crate::ledger::{Key, RECIPES, parts_of};
use crate::source::{Extract, Located, Place, SourceFile};

/// The word that every block starts with.
const WORD: &str = "kettle";

/// Something in a lesson that is computed.
#[derive(Clone, Debug)]
pub enum Item {
    /// A fenced block.
    Block(Block),
    /// A value in a sentence.
    Value(ValueSite),
    /// A file that mdBook will put in here.
    Include(IncludeSite),
}

impl Item {
    /// The bytes to replace.
    #[must_use]
    pub fn range(&self) -> &Range<usize> {
        match self {
            Item::Block(it) => &it.range,
            Item::Value(it) => &it.range,
            Item::Include(it) => &it.range,
        }
    }

    /// Where the paragraph, list or other outermost element starts that holds it.
    #[must_use]
    pub fn outermost_start(&self) -> usize {
        match self {
            Item::Block(it) => it.outermost_start,
            Item::Value(it) => it.outermost_start,
            Item::Include(it) => it.range.start,
        }
    }
}

/// A fenced block that starts with `kettle`.
#[derive(Clone, Debug)]
pub struct Block {
    /// The bytes to replace, from the fence to the closing fence.
    pub range: Range<usize>,
    /// What every further line must start with to stay in the same list item or quote.
    pub prefix: String,
    /// Where the outermost element starts that holds the block.
    pub outermost_start: usize,
    /// The rest of the info string: the view's name, or nothing.
    pub view: Located<String>,
    /// The body, TOML.
    pub body: Extract,
}

/// `{{ ... }}` in a sentence.
#[derive(Clone, Debug)]
pub struct ValueSite {
    /// The bytes to replace, braces included.
    pub range: Range<usize>,
    /// Where the outermost element starts that holds it.
    pub outermost_start: usize,
    /// What stands between the braces, trimmed.
    pub expression: Located<String>,
    /// Whether it stands in running text, where an element may be put around it: not in a tag, an address or the words for
    /// an image.
    pub is_in_text: bool,
}

/// `{{#include ...}}`.
#[derive(Clone, Debug)]
pub struct IncludeSite {
    /// The bytes to replace, braces included.
    pub range: Range<usize>,
    /// The path, relative to the including file.
    pub path: Located<String>,
    /// Only some lines or an anchor of the file.
    pub is_partial: bool,
    /// In code, where nothing of it is looked at.
    pub is_in_code: bool,
}

/// Finds everything that is computed, in reading order, and whatever looks like a block and is none.
#[must_use]
pub fn find(file: &Arc<SourceFile>) -> (Vec<Item>, Vec<Finding>) {
    let events: Vec<_> = new_cmark_parser(file.text(), &MarkdownOptions::default()).into_offset_iter().collect();
    find_among(file, &events)
}

/// The same in a document that is parsed already.
pub(super) fn find_among(file: &Arc<SourceFile>, events: &[(Event<'_>, Range<usize>)]) -> (Vec<Item>, Vec<Finding>) {
    let mut finder = Finder {
        file,
        items: Vec::new(),
        findings: Vec::new(),
        code: Vec::new(),
        outermost: Vec::new(),
        texts: Vec::new(),
    };
    finder.walk(events);
    finder.scan_braces();
    finder.scan_single_braces();
    finder.items.sort_by_key(|it| it.range().start);
    finder.findings.sort_by_key(|it| it.place.span.start);
    (finder.items, finder.findings)
}

struct Finder<'a> {
    file: &'a Arc<SourceFile>,
    items: Vec<Item>,
    findings: Vec<Finding>,
    /// Ranges in which braces mean nothing.
    code: Vec<Range<usize>>,
    /// Ranges of the outermost elements.
    outermost: Vec<Range<usize>>,
    /// Ranges of running text.
    texts: Vec<Range<usize>>,
}

/// A fenced block while its body is collected.
struct Open {
    range: Range<usize>,
    info: String,
    body: Extract,
    fenced: bool,
}

impl Finder<'_> {
    fn place(&self, span: Range<usize>) -> Place {
        Place { file: Arc::clone(self.file), span }
    }

    fn walk(&mut self, events: &[(Event<'_>, Range<usize>)]) {
        let text = self.file.text();
        let mut depth = 0_usize;
        let mut n_images = 0_usize;
        let mut open: Option<Open> = None;
        for (event, range) in events {
            let range = range.clone();
            if depth == 0 && !matches!(event, Event::End(_)) {
                self.outermost.push(range.clone());
            }
            match event {
                Event::Start(tag) => {
                    depth += 1;
                    n_images += usize::from(matches!(tag, Tag::Image { .. }));
                    if let Tag::CodeBlock(kind) = tag {
                        let (info, fenced) = match kind {
                            CodeBlockKind::Fenced(info) => (info.to_string(), true),
                            CodeBlockKind::Indented => (String::new(), false),
                        };
                        self.code.push(range.clone());
                        let body_start = text[range.clone()].find('\n').map_or(range.end, |it| range.start + it + 1);
                        open = Some(Open { range, info, body: Extract::at(self.file, body_start), fenced });
                    }
                }
                Event::End(tag) => {
                    depth -= 1;
                    n_images -= usize::from(*tag == TagEnd::Image);
                    if *tag == TagEnd::CodeBlock
                        && let Some(block) = open.take()
                    {
                        self.close(block);
                    }
                }
                Event::Text(piece) => {
                    if let Some(block) = &mut open {
                        block.body.push(piece, range.start);
                    } else if n_images == 0 {
                        self.texts.push(range);
                    }
                }
                Event::Code(_) | Event::InlineMath(_) | Event::DisplayMath(_) => self.code.push(range),
                Event::Html(html) => self.html(html, range),
                _ => {}
            }
        }
    }

    fn html(&mut self, html: &str, range: Range<usize>) {
        let start = html.trim_start().to_lowercase();
        if ["<script", "<style", "<pre", "<code"].iter().any(|it| start.starts_with(it)) {
            self.code.push(range.clone());
        }
        let mut offset = range.start;
        for line in self.file.text()[range].split_inclusive('\n') {
            if starts_a_block(line) {
                let indent = line.len() - line.trim_start().len();
                self.findings.push(Finding::block_in_html(
                    self.place(offset + indent..offset + line.trim_end().len().max(indent)),
                ));
            }
            offset += line.len();
        }
    }

    fn close(&mut self, block: Open) {
        let text = self.file.text();
        let whole = &text[block.range.clone()];
        let first_line = whole.lines().next().unwrap_or_default();
        let first_line_place = self.place(block.range.start..block.range.start + first_line.len());
        if !block.fenced {
            if starts_a_block(block.body.text()) {
                self.findings.push(Finding::indented_block(first_line_place));
            }
            return;
        }
        let mut words = block.info.split_whitespace();
        let word = words.next().unwrap_or_default();
        if word != WORD {
            let lower = word.to_lowercase();
            if lower.starts_with(WORD) || strsim::damerau_levenshtein(&lower, WORD) == 1 {
                self.findings.push(Finding::misspelt_block(first_line_place, word));
            }
            return;
        }
        if !is_closed(whole) {
            self.findings.push(Finding::unclosed_block(first_line_place));
            return;
        }
        let name = words.collect::<Vec<_>>().join(" ");
        let view_place = match first_line.rfind(name.as_str()) {
            Some(at) if !name.is_empty() => self.place(block.range.start + at..block.range.start + at + name.len()),
            _ => first_line_place,
        };
        let line_start = text[..block.range.start].rfind('\n').map_or(0, |it| it + 1);
        // The line's start holds list markers and quote signs; further lines need the quote signs and the indent.
        let prefix = text[line_start..block.range.start]
            .chars()
            .map(|it| if matches!(it, '>' | '\t') { it } else { ' ' })
            .collect();
        let end = block.range.start + whole.trim_end().len();
        self.items.push(Item::Block(Block {
            range: block.range.start..end,
            prefix,
            outermost_start: self.outermost_start(block.range.start),
            view: Located { value: name, place: view_place },
            body: block.body,
        }));
    }

    fn outermost_start(&self, offset: usize) -> usize {
        let holder = self.outermost.iter().rev().find(|it| it.start <= offset);
        holder.map_or(offset, |it| it.start)
    }

    fn scan_braces(&mut self) {
        let text = self.file.text();
        let mut from = 0;
        while let Some(found) = text[from..].find("{{") {
            let start = from + found;
            from = start + 2;
            let in_code = self.code.iter().any(|it| it.contains(&start));
            let backslashes = text[..start].chars().rev().take_while(|it| *it == '\\').count();
            // mdBook puts files into code as well, but for blocks, which are gone by then.
            let is_include = text[from..].starts_with("#include")
                && !self.items.iter().any(|it| matches!(it, Item::Block(_)) && it.range().contains(&start));
            if in_code && !is_include || backslashes % 2 == 1 {
                continue;
            }
            let line_end = text[start..].find('\n').map_or(text.len(), |it| start + it);
            let inside = text[start..line_end].find("}}").map(|it| start + 2..start + it);
            if text[from..].starts_with('#') {
                self.include(start, inside, in_code);
                continue;
            }
            let Some(inside) = inside else {
                self.findings.push(Finding::unclosed_value(self.place(start..start + 2)));
                continue;
            };
            from = inside.end + 2;
            let typed = &text[inside.clone()];
            let trimmed_start = inside.start + (typed.len() - typed.trim_start().len());
            let expression = typed.trim().to_owned();
            let place = self.place(trimmed_start..trimmed_start + expression.len());
            self.items.push(Item::Value(ValueSite {
                range: start..inside.end + 2,
                outermost_start: self.outermost_start(start),
                expression: Located { value: expression, place },
                is_in_text: self.texts.iter().any(|it| it.contains(&start)),
            }));
        }
    }

    /// Names of values between single braces, which a page would show as they stand.
    fn scan_single_braces(&mut self) {
        let text = self.file.text();
        let mut found = Vec::new();
        for range in &self.texts {
            for (at, _) in text[range.clone()].match_indices('{') {
                let start = range.start + at;
                let is_one = !text[..start].ends_with(['{', '\\']) && !text[start + 1..].starts_with('{');
                // No name is longer than its line.
                let inside = text[start + 1..].lines().next().unwrap_or_default().split_once('}');
                let Some((name, _)) = inside.filter(|(it, _)| is_one && names_a_value(it.trim())) else { continue };
                found.push(Finding::single_braces(self.place(start..start + name.len() + 2), name.trim()));
            }
        }
        self.findings.extend(found);
    }

    fn include(&mut self, start: usize, inside: Option<Range<usize>>, is_in_code: bool) {
        let Some(inside) = inside else { return };
        let Some(argument) = self.file.text()[inside.clone()].strip_prefix("#include") else { return };
        let argument = argument.trim();
        let path = argument.split(':').next().unwrap_or_default();
        self.items.push(Item::Include(IncludeSite {
            range: start..inside.end + 2,
            path: Located { value: path.to_owned(), place: self.place(start..inside.end + 2) },
            is_partial: argument.contains(':'),
            is_in_code,
        }));
    }
}

/// Whether an expression is the name of a figure, with the name of a recipe or of a unit before it or without.
fn names_a_value(expression: &str) -> bool {
    let Some(parts) = parts_of(expression) else { return false };
    let parts: Vec<&str> = parts.iter().map(String::as_str).collect();
    let of_recipe = if let [RECIPES, _, rest @ ..] = &parts[..] { rest } else { &parts[1..] };
    Key::from_parts(&parts).is_some() || Key::from_parts(of_recipe).is_some()
}

/// Whether a line opens a fence for a block.
fn starts_a_block(line: &str) -> bool {
    let line = line.trim_start();
    let after = line.trim_start_matches('`');
    let after = if after.len() == line.len() { line.trim_start_matches('~') } else { after };
    line.len() - after.len() >= 3 && after.trim_start().starts_with(WORD)
}

/// Whether a fenced block ends with a fence; one that does not runs to the end of the page.
fn is_closed(whole: &str) -> bool {
    let fence = whole.chars().next().unwrap_or('`');
    let opened_with = whole.chars().take_while(|it| *it == fence).count();
    let mut lines = whole.trim_end().lines();
    let has_more_lines = lines.next().is_some();
    let last = lines.next_back().unwrap_or_default();
    let last = last.trim_start_matches(|it: char| it.is_whitespace() || it == '>').trim_end();
    has_more_lines && last.chars().count() >= opened_with && last.chars().all(|it| it == fence)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn blocks(text: &str) -> (Vec<(String, String)>, Vec<&'static str>) {
        let (items, findings) = find(&SourceFile::new("a.md", text));
        let blocks = items
            .into_iter()
            .filter_map(|it| match it {
                Item::Block(block) => Some((block.view.value, block.body.text().to_owned())),
                _ => None,
            })
            .collect();
        (blocks, findings.iter().map(|it| it.code).collect())
    }

    #[test]
    fn blocks_are_found_wherever_markdown_has_fences() {
        for text in [
            "```kettle recipe\nuse = \"a\"\n```\n",
            "text\n```kettle recipe\nuse = \"a\"\n```\ntext",
            "~~~ kettle recipe\nuse = \"a\"\n~~~\n",
            "- one\n\n  ```kettle recipe\n  use = \"a\"\n  ```\n- two\n",
            "- ```kettle recipe\n  use = \"a\"\n  ```\n",
            "> ```kettle recipe\n> use = \"a\"\n> ```\n",
            "<details>\n\n```kettle recipe\nuse = \"a\"\n```\n\n</details>\n",
            "1. > ```kettle recipe\n   > use = \"a\"\n   > ```\n",
        ] {
            assert_eq!(blocks(text), (vec![("recipe".into(), "use = \"a\"\n".into())], vec![]), "{text}");
        }
        let crlf = blocks("```kettle recipe\r\nuse = \"a\"\r\n```\r\n");
        assert_eq!((crlf.0.len(), crlf.1.len()), (1, 0));
    }

    #[test]
    fn what_only_looks_like_a_block_is_left_alone_or_refused_by_name() {
        for (text, codes) in [
            ("````\n```kettle recipe\n```\n````\n", vec![]),
            ("`{{ lye }}` and `` ```kettle `` \n", vec![]),
            ("```rust\nlet x = 1;\n```\n", vec![]),
            ("    ```kettle recipe\n    ```\n", vec!["indented-block"]),
            ("<details>\n```kettle recipe\n```\n</details>\n", vec!["block-in-html"]),
            ("```kettle recipe\nuse = \"a\"\n", vec!["unclosed-block"]),
            ("```ketle recipe\n```\n", vec!["misspelt-block"]),
            ("```kettle-recipe\n```\n", vec!["misspelt-block"]),
            ("```Kettle recipe\n```\n", vec!["misspelt-block"]),
        ] {
            assert_eq!(blocks(text), (vec![], codes), "{text}");
        }
    }

    #[test]
    fn a_body_in_a_quote_knows_its_place_in_the_file() {
        let file = SourceFile::new("a.md", "> text\n>\n> ```kettle recipe\n> use = \"a\"\n> ```\n");
        let (items, _) = find(&file);
        let Item::Block(block) = &items[0] else { panic!("{items:?}") };
        assert_eq!(block.body.place(6..9).line_and_column(), (4, 9));
        assert_eq!(block.prefix, "> ");
    }

    #[test]
    fn values_are_found_outside_code_and_after_no_backslash() {
        let text = "A {{ lye }}, `{{ a }}`, \\{{ b }}, {{#include c.md}} {{ layers[\"d\"].fats }}\n\n    {{ e }}\n";
        let (items, findings) = find(&SourceFile::new("a.md", text));
        let values: Vec<_> = items
            .iter()
            .filter_map(|it| match it {
                Item::Value(value) => Some(value.expression.value.as_str()),
                _ => None,
            })
            .collect();
        assert_eq!(values, ["lye", "layers[\"d\"].fats"]);
        assert!(findings.is_empty());
        let (_, findings) = find(&SourceFile::new("a.md", "A {{ lye\n}}\n"));
        assert_eq!(findings[0].code, "unclosed-value");
    }
}
