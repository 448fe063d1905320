//! What a page says in words: its prose, its links to other pages and the terms it introduces.
//!
//! Layer 5. Reads the document as mdBook will, and included files where they stand, but for those of which only a part
//! is included: such files are code, as a rule. Code, blocks, values and addresses are no prose.

use std::ops::Range;
use std::sync::Arc;

use mdbook_markdown::pulldown_cmark::{CowStr, Event, LinkType, Tag, TagEnd};
use mdbook_markdown::{MarkdownOptions, new_cmark_parser};

use super::block::{Item, find};
use super::options::BlockOptions;
use crate::rules::{PageLink, Prose};
use crate::source::{Extract, Located, Place, SourceFile};

/// Stands in a prose where something was taken out, so that words on both sides of it are no neighbours.
const GAP: &str = "\u{fffc}";

/// Finds a file that a file includes: the including file's path and the path typed there.
pub type Included<'a> = &'a dyn Fn(&str, &str) -> Option<Arc<SourceFile>>;

/// What a page says in words.
#[derive(Clone, Debug, Default)]
pub struct PageProse {
    /// Its prose, front to back.
    pub prose: Vec<Prose>,
    /// The terms it introduces.
    pub definitions: Vec<Definition>,
    /// The recipe of its first `kettle recipe` block, or else of its first block that names one.
    pub recipe: Option<String>,
    /// Whether it shows the glossary.
    pub has_glossary: bool,
    /// The recipe of the first block of any kind that names one.
    first_named: Option<String>,
}

/// A term of a definition list.
#[derive(Clone, Debug)]
pub struct Definition {
    /// The term as typed, without its markup.
    pub term: Located<String>,
    /// What it means, each as Markdown.
    pub meanings: Vec<String>,
}

/// Reads a page: its file, and its path below the folder of the pages.
#[must_use]
pub fn read_prose(file: &Arc<SourceFile>, page_id: &str, included: Included<'_>) -> PageProse {
    let mut page = PageProse::default();
    let mut reader = Reader { page: &mut page, page_id, included, including: vec![file.path().to_owned()] };
    reader.file(file);
    page.recipe = page.recipe.take().or(page.first_named.take());
    page
}

struct Reader<'a> {
    page: &'a mut PageProse,
    page_id: &'a str,
    included: Included<'a>,
    including: Vec<String>,
}

impl Reader<'_> {
    fn file(&mut self, file: &Arc<SourceFile>) {
        let (items, _) = find(file);
        let cuts: Vec<Range<usize>> =
            items.iter().filter(|it| !matches!(it, Item::Block(_))).map(|it| it.range().clone()).collect();
        let mut items = items.iter().peekable();
        let mut walk = Walk { file, cuts: &cuts, current: Extract::at(file, 0), links: Vec::new(), open_link: None };
        // The last term of each definition list that is open.
        let mut lists: Vec<Option<usize>> = Vec::new();
        let mut term: Option<(Range<usize>, String)> = None;
        // Depths of what holds text that is no prose.
        let (mut n_code, mut n_images, mut n_raw_code) = (0_usize, 0_usize, 0_usize);
        for (event, range) in new_cmark_parser(file.text(), &MarkdownOptions::default()).into_offset_iter() {
            if let Event::Start(tag) = &event
                && !is_inline(tag)
            {
                walk.flush(self.page);
            }
            let ends_block =
                matches!(&event, Event::End(tag) if !is_inline_end(*tag)) || matches!(event, Event::Html(_));
            match event {
                Event::Start(Tag::CodeBlock(_) | Tag::MetadataBlock(_)) => n_code += 1,
                Event::End(TagEnd::CodeBlock | TagEnd::MetadataBlock(_)) => n_code -= 1,
                Event::Start(Tag::Image { .. }) => n_images += 1,
                Event::End(TagEnd::Image) => n_images -= 1,
                Event::Start(Tag::Link { link_type, dest_url, .. }) => {
                    let is_address = matches!(link_type, LinkType::Autolink | LinkType::Email);
                    walk.open_link = Some((walk.current.text().len(), is_address, self.page_of(&dest_url)));
                }
                Event::End(TagEnd::Link) => walk.close_link(),
                Event::Start(Tag::DefinitionList) => lists.push(None),
                Event::End(TagEnd::DefinitionList) => drop(lists.pop()),
                Event::Start(Tag::DefinitionListTitle) => term = Some((range.clone(), String::new())),
                Event::End(TagEnd::DefinitionListTitle) => {
                    if let (Some((range, name)), Some(list)) = (term.take(), lists.last_mut()) {
                        *list = Some(self.page.definitions.len());
                        self.page.definitions.push(definition(file, range, &name));
                    }
                }
                Event::End(TagEnd::DefinitionListDefinition) => {
                    if let Some(Some(definition_idx)) = lists.last() {
                        self.page.definitions[*definition_idx].meanings.push(meaning(file.text(), &range));
                    }
                }
                Event::Text(piece) if n_code + n_images == 0 => {
                    if let Some((_, name)) = &mut term {
                        name.push_str(&piece);
                    }
                    if n_raw_code == 0 { walk.text(&piece, &range) } else { walk.gap(range.start) }
                }
                Event::Code(piece) => {
                    if let Some((_, name)) = &mut term {
                        name.push_str(&piece);
                    }
                    walk.gap(range.start);
                }
                Event::SoftBreak | Event::HardBreak => {
                    if let Some((_, name)) = &mut term {
                        name.push(' ');
                    }
                    walk.current.push(" ", range.start);
                }
                Event::InlineMath(_) | Event::DisplayMath(_) => walk.gap(range.start),
                Event::InlineHtml(html) => match raw_code(&html) {
                    Some(true) => n_raw_code += 1,
                    Some(false) => n_raw_code = n_raw_code.saturating_sub(1),
                    None => {}
                },
                _ => {}
            }
            if ends_block {
                walk.flush(self.page);
                while let Some(item) = items.next_if(|it| it.range().start < range.end) {
                    self.item(file, item);
                }
            }
        }
        items.for_each(|it| self.item(file, it));
    }

    /// Takes note of a block, or reads an included file, when what stands before it has been read.
    fn item(&mut self, file: &Arc<SourceFile>, item: &Item) {
        match item {
            Item::Block(block) => {
                let view = block.view.value.as_str();
                self.page.has_glossary |= view == "glossary";
                let recipe = BlockOptions::read(view, &block.body).0.recipe.map(|it| it.value);
                if view == "recipe" && self.page.recipe.is_none() {
                    self.page.recipe.clone_from(&recipe);
                }
                self.page.first_named = self.page.first_named.take().or(recipe);
            }
            Item::Include(include) => self.include(file, &include.path.value, include.is_partial),
            Item::Value(_) => {}
        }
    }

    fn include(&mut self, file: &Arc<SourceFile>, path: &str, is_partial: bool) {
        let Some(included) = (self.included)(file.path(), path).filter(|_| !is_partial) else { return };
        if self.including.iter().any(|it| it == included.path()) {
            return;
        }
        self.including.push(included.path().to_owned());
        self.file(&included);
        self.including.pop();
    }

    /// The page of the book that a link leads to, as its path below the folder of the pages.
    fn page_of(&self, address: &str) -> Option<String> {
        let path = address.split('#').next().unwrap_or_default();
        let is_page = path.ends_with(".md") && !path.contains(':') && !path.starts_with('/');
        is_page.then(|| path_from(self.page_id, path))
    }
}

/// What is read of a file while its prose is put together.
struct Walk<'a> {
    file: &'a Arc<SourceFile>,
    /// What mdBook never shows as it stands: values and includes.
    cuts: &'a [Range<usize>],
    current: Extract,
    links: Vec<PageLink>,
    /// Where it starts in the current prose, whether its words are its address, and the page it leads to.
    open_link: Option<(usize, bool, Option<String>)>,
}

impl Walk<'_> {
    fn text(&mut self, piece: &CowStr<'_>, range: &Range<usize>) {
        if matches!(self.open_link, Some((_, true, _))) {
            return self.gap(range.start);
        }
        // The typed bytes, but for quotation marks and entities, which stand for others.
        let is_typed = self.file.text()[range.clone()] == **piece;
        let mut from = range.start;
        for cut in self.cuts.iter().filter(|it| it.start < range.end && range.start < it.end) {
            if !is_typed {
                return self.gap(range.start);
            }
            if from < cut.start {
                self.current.push(&self.file.text()[from..cut.start], from);
            }
            self.gap(cut.start.max(from));
            from = cut.end.min(range.end);
        }
        match is_typed {
            true if from < range.end => self.current.push(&self.file.text()[from..range.end], from),
            true => {}
            false => self.current.push(piece, range.start),
        }
    }

    fn gap(&mut self, offset: usize) {
        if !self.current.text().ends_with(GAP) {
            self.current.push(GAP, offset);
        }
    }

    fn close_link(&mut self) {
        if let Some((start, _, Some(page))) = self.open_link.take() {
            self.links.push(PageLink { span: start..self.current.text().len(), page });
        }
    }

    fn flush(&mut self, page: &mut PageProse) {
        let text = std::mem::replace(&mut self.current, Extract::at(self.file, 0));
        let links = std::mem::take(&mut self.links);
        if text.text().chars().any(char::is_alphanumeric) {
            page.prose.push(Prose { text, links });
        }
    }
}

fn is_inline(tag: &Tag<'_>) -> bool {
    is_inline_end(tag.to_end())
}

fn is_inline_end(tag: TagEnd) -> bool {
    use TagEnd::{Emphasis, Image, Link, Strikethrough, Strong, Subscript, Superscript};
    matches!(tag, Emphasis | Image | Link | Strikethrough | Strong | Subscript | Superscript)
}

/// Whether a tag typed in HTML begins code, or ends it.
fn raw_code(html: &str) -> Option<bool> {
    let is_end = html.starts_with("</");
    let name = html.trim_start_matches(['<', '/']);
    let name = name.split(|it: char| !it.is_ascii_alphanumeric()).next().unwrap_or_default().to_lowercase();
    matches!(name.as_str(), "code" | "kbd" | "samp" | "script" | "style").then_some(!is_end)
}

fn definition(file: &Arc<SourceFile>, range: Range<usize>, name: &str) -> Definition {
    let typed = &file.text()[range.clone()];
    let start = range.start + (typed.len() - typed.trim_start().len());
    let place = Place { file: Arc::clone(file), span: start..start + typed.trim().len() };
    Definition { term: Located { value: name.trim().to_owned(), place }, meanings: Vec::new() }
}

/// The Markdown of a definition without the colon and the indent that make it one.
fn meaning(text: &str, range: &Range<usize>) -> String {
    let typed = &text[range.clone()];
    let content = typed.trim_start_matches([' ', '\t', '\n', '\r']);
    let content = content.strip_prefix(':').unwrap_or(content).trim_start_matches([' ', '\t']);
    let start = range.end - content.len();
    let line_start = text[..start].rfind('\n').map_or(0, |it| it + 1);
    let indent = text[line_start..start].chars().count();
    let mut lines = content.trim_end().lines();
    let mut meaning = lines.next().unwrap_or_default().to_owned();
    for line in lines {
        let n_taken = line.chars().take(indent).take_while(|it| matches!(it, ' ' | '\t' | '>')).count();
        meaning.push('\n');
        meaning.push_str(&line[n_taken..]);
    }
    meaning
}

/// The path of a page below the folder of the pages, from a link on another page: `../lye.md` on `a/b.md` is `lye.md`.
/// A README has the path that mdBook gives it.
#[must_use]
pub fn path_from(page_id: &str, link: &str) -> String {
    let mut parts: Vec<&str> = page_id.split('/').collect();
    parts.pop();
    for part in link.split('/') {
        match part {
            "" | "." => {}
            ".." => drop(parts.pop()),
            part => parts.push(part),
        }
    }
    as_index(&parts.join("/"))
}

/// The path of a page as mdBook names it: that of a README is `index.md`.
#[must_use]
pub fn as_index(page_id: &str) -> String {
    let (folder, name) = page_id.rsplit_once('/').map_or(("", page_id), |(folder, name)| (folder, name));
    match name.to_lowercase() == "readme.md" {
        true if folder.is_empty() => "index.md".into(),
        true => format!("{folder}/index.md"),
        false => page_id.to_owned(),
    }
}

/// The link from one page to another: from `a/b.md` to `lye.md` it is `../lye.md`.
#[must_use]
pub fn link_to(from_id: &str, to_id: &str) -> String {
    let from: Vec<&str> = from_id.split('/').collect();
    let to: Vec<&str> = to_id.split('/').collect();
    let folders = from[..from.len() - 1].iter().zip(&to[..to.len() - 1]);
    let n_shared = folders.take_while(|(from, to)| from == to).count();
    let mut parts = vec![".."; from.len() - 1 - n_shared];
    parts.extend(&to[n_shared..]);
    parts.join("/")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> PageProse {
        let included = |_: &str, path: &str| {
            let text = match path {
                "card.md" => "```kettle recipe\nuse = \"c\"\n```\n",
                "more.md" => "And more.\n\n{{#include more.md}}\n\nWord\n: Another.\n",
                _ => return None,
            };
            Some(SourceFile::new(path, text))
        };
        read_prose(&SourceFile::new("src/a/page.md", text), "a/page.md", &included)
    }

    fn texts(text: &str) -> Vec<String> {
        read(text).prose.iter().map(|it| it.text.text().replace(GAP, "_")).collect()
    }

    #[test]
    fn prose_is_what_is_read_and_nothing_else() {
        for (text, prose) in [
            ("# One *two*\n\nthree\nfour `five` six\n", vec!["One two", "three four _ six"]),
            ("```kettle recipe\nuse = \"a\"\n```\n\n    indented\n", vec![]),
            ("- one\n  - two\n\n> three\n", vec!["one", "two", "three"]),
            ("| a | b |\n| - | - |\n| `c` | d |\n", vec!["a", "b", "d"]),
            ("Weigh {{ lye }} of it's {{ x }}{{ y }}", vec!["Weigh _ of it’s _"]),
            ("[a lye](lye.md) ![b](c.png) <https://d.e> <!-- f --> <kbd>g</kbd> h", vec!["a lye _ _ h"]),
            ("<!-- a b -->\n\n<p>c d</p>\n\nword\n", vec!["word"]),
            ("one {{#include more.md}} two\n\nthree\n", vec!["one _ two", "And more.", "Word", "Another.", "three"]),
            ("{{#include more.md:part}}\n\n{{#include none.md}}\n", vec![]),
        ] {
            let found = texts(text);
            let in_words = |it: &String| it.split_whitespace().collect::<Vec<_>>().join(" ");
            assert_eq!(found.iter().map(in_words).collect::<Vec<_>>(), prose, "{text}");
        }
    }

    #[test]
    fn definitions_keep_their_markdown_and_lose_their_indent() {
        let page = read(
            "Lye\n: The *alkali*\n  of soap.\n\n  A second paragraph.\n\nOne `two`\n: {{ lye }}\n: Or else.\n\n\
             > Quoted\n> : In a\n>   quote.\n",
        );
        let found: Vec<_> = page.definitions.iter().map(|it| (it.term.value.as_str(), it.meanings.join("|"))).collect();
        assert_eq!(
            found,
            [
                ("Lye", "The *alkali*\nof soap.\n\nA second paragraph.".to_owned()),
                ("One two", "{{ lye }}|Or else.".to_owned()),
                ("Quoted", "In a\nquote.".to_owned()),
            ]
        );
        let places: Vec<_> = page.definitions.iter().map(|it| it.term.place.line_and_column()).collect();
        assert_eq!(places, [(1, 1), (7, 1), (11, 3)]);
    }

    #[test]
    fn the_recipe_is_that_of_the_first_card() {
        let blocks =
            "```kettle worked\nuse = \"a\"\n```\n\n```kettle recipe\nuse = \"b\"\n```\n\n```kettle glossary\n```\n";
        let page = read(blocks);
        assert_eq!((page.recipe.as_deref(), page.has_glossary), (Some("b"), true));
        let page = read(&format!("{{{{#include card.md}}}}\n\n{blocks}"));
        assert_eq!(page.recipe.as_deref(), Some("c"), "an included card comes first");
        let page = read("```kettle worked\nuse = \"a\"\n```\n");
        assert_eq!((page.recipe.as_deref(), page.has_glossary), (Some("a"), false));
    }

    #[test]
    fn paths_between_pages_go_up_and_down() {
        for (from, to, link) in [
            ("a.md", "b.md", "b.md"),
            ("a/b.md", "c.md", "../c.md"),
            ("a/b.md", "a/c.md", "c.md"),
            ("a.md", "b/c.md", "b/c.md"),
            ("a/b/c.md", "a/d/e.md", "../d/e.md"),
        ] {
            assert_eq!(link_to(from, to), link);
            assert_eq!(path_from(from, link), to);
        }
        assert_eq!(path_from("a/b.md", "./README.md"), "a/index.md");
        let page = read("See [the lye](../lye.md#words), [it](https://x.y/z.md) and [this](#here).");
        let links: Vec<_> = page.prose[0].links.iter().map(|it| (it.page.as_str(), it.span.clone())).collect();
        assert_eq!(links, [("lye.md", 4..11)]);
    }
}
