//! Reads a lesson page once: its blocks and values, the recipe it is about, its words, and the files that it includes.
//!
//! Layer 6. Computes nothing; `render.rs` puts in what was computed.

use std::ops::Range;
use std::sync::Arc;

use mdbook_markdown::{MarkdownOptions, new_cmark_parser};

use super::block::{Block, IncludeSite, Item, ValueSite, find_among};
use super::links::as_index;
use super::options::{BlockOptions, Makes, View};
use super::prose::{Walk, Words};
use super::values::literal;
use crate::finding::Finding;
use crate::ledger::speaks_of_lye;
use crate::source::{Extract, Located, Place, SourceFile, invisible, invisible_by_line};

/// Finds a file that a file includes: the including file's path and the path typed there.
pub type Included<'a> = &'a dyn Fn(&str, &str) -> Option<Arc<SourceFile>>;

/// A page of a course, as the reading order has it.
#[derive(Clone, Debug)]
pub struct Lesson {
    /// Its path below the folder of the pages, which names it in what the browser remembers, wherever the course lies.
    pub id: String,
    /// Its title in the table of contents.
    pub title: String,
    /// The part of the table of contents that it stands in, which is an evening of the course; empty outside of any.
    pub part: String,
    /// Its Markdown.
    pub file: Arc<SourceFile>,
}

/// A lesson page as read.
pub struct Page {
    pub(super) lesson: Lesson,
    pub(super) part: Part,
    pub(super) words: Words,
    /// What is wrong with how it is written.
    pub(super) findings: Vec<Finding>,
}

/// A file of a page with what was found in it.
pub(super) struct Part {
    pub(super) file: Arc<SourceFile>,
    pub(super) items: Vec<PartItem>,
}

pub(super) enum PartItem {
    Block(Block, BlockOptions),
    Value(ValueSite),
    Included(Range<usize>, Part),
}

impl PartItem {
    pub(super) fn range(&self) -> Range<usize> {
        match self {
            PartItem::Block(it, _) => it.range.clone(),
            PartItem::Value(it) => it.range.clone(),
            PartItem::Included(range, _) => range.clone(),
        }
    }
}

impl Page {
    /// Reads a page and the files it includes, as mdBook will.
    #[must_use]
    pub fn read(lesson: Lesson, included: Included<'_>) -> Page {
        let page_id = as_index(&lesson.id);
        let mut reader = Reader {
            page_id: &page_id,
            included,
            including: vec![lesson.file.path().to_owned()],
            reached_by: None,
            length: 0,
            words: Words::default(),
            findings: Vec::new(),
        };
        if let Some((_, it)) = invisible(&lesson.title).next() {
            reader.findings.push(Finding::invisible_character(Extract::whole(&lesson.file).place(0..0), it));
        }
        let part = reader.part(&lesson.file);
        let Reader { words, findings, .. } = reader;
        Page { lesson, part, words, findings }
    }

    /// The path of its file below the folder of the lessons.
    #[must_use]
    pub fn path(&self) -> &str {
        &self.lesson.id
    }

    /// Its file, as its author knows it.
    pub(crate) fn file(&self) -> &Arc<SourceFile> {
        &self.lesson.file
    }

    /// Its path below the folder of the pages, as mdBook names it.
    pub(crate) fn id(&self) -> String {
        as_index(&self.lesson.id)
    }

    /// The recipes that what names none may be of: those of its cards, or else of all its blocks, each once. Where there
    /// are several, nothing that differs between them may go without a name.
    pub(super) fn recipes(&self) -> Vec<&Located<String>> {
        let blocks = self.blocks();
        let named = |is_meant: fn(&View) -> bool| {
            let mut recipes: Vec<&Located<String>> = Vec::new();
            for recipe in blocks.iter().filter(|it| is_meant(&it.view)).filter_map(|it| it.recipe.as_ref()) {
                if recipes.iter().all(|it| it.value != recipe.value) {
                    recipes.push(recipe);
                }
            }
            recipes
        };
        let of_cards = named(|view| matches!(view, View::Recipe));
        if of_cards.is_empty() { named(|_| true) } else { of_cards }
    }

    /// Whether it shows the glossary.
    pub(super) fn has_glossary(&self) -> bool {
        self.blocks().iter().any(|it| matches!(it.view, View::Glossary))
    }

    /// Whether it cannot be put together without every other page.
    #[must_use]
    pub fn needs_all_pages(&self) -> bool {
        self.blocks().iter().any(|it| matches!(it.view, View::Glossary | View::Programme))
    }

    /// Whether it has a card.
    pub(super) fn has_card(&self) -> bool {
        self.blocks().iter().any(|it| matches!(it.view, View::Recipe))
    }

    /// The recipe that its opener says is made, if it has an opener and something is made.
    pub(super) fn made(&self) -> Option<&str> {
        let opener = self.blocks().into_iter().find(|it| matches!(it.view, View::Opener(Makes::Something)))?;
        let recipes = self.recipes();
        let of_page = || recipes.first().filter(|_| self.has_card() && recipes.len() == 1).copied();
        opener.recipe.as_ref().or_else(of_page).map(|it| it.value.as_str())
    }

    /// How many exercises it has.
    pub(super) fn n_practices(&self) -> usize {
        self.blocks().iter().filter(|it| matches!(it.view, View::Practice(_))).count()
    }

    /// Whether it has a card, or values of a recipe.
    pub(super) fn computes_prose(&self) -> bool {
        self.part.any(&|item| match item {
            PartItem::Block(_, options) => matches!(options.view, View::Recipe),
            PartItem::Value(value) => literal(&value.expression.value).is_none(),
            PartItem::Included(..) => false,
        })
    }

    /// Where the outermost element starts that holds the first `kettle safety` block.
    pub(super) fn first_safety(&self) -> Option<usize> {
        self.part.start_of_first(&|item| matches!(item, PartItem::Block(_, it) if matches!(it.view, View::Safety)))
    }

    /// Where the outermost element starts that holds the first lye of the page; on a page without any, the one that
    /// holds the glossary, which may show lye through the values in it.
    pub(super) fn first_with_lye(&self) -> Option<usize> {
        let glossary = |item: &PartItem| matches!(item, PartItem::Block(_, it) if matches!(it.view, View::Glossary));
        self.part.start_of_first(&shows_lye).or_else(|| self.part.start_of_first(&glossary))
    }

    /// What its blocks say, in the order of the page.
    fn blocks(&self) -> Vec<&BlockOptions> {
        let mut blocks = Vec::new();
        self.part.collect_blocks(&mut blocks);
        blocks
    }
}

impl Part {
    fn collect_blocks<'a>(&'a self, blocks: &mut Vec<&'a BlockOptions>) {
        for item in &self.items {
            match item {
                PartItem::Block(_, options) => blocks.push(options),
                PartItem::Included(_, part) => part.collect_blocks(blocks),
                PartItem::Value(_) => {}
            }
        }
    }

    fn any(&self, is_meant: &dyn Fn(&PartItem) -> bool) -> bool {
        self.start_of_first(is_meant).is_some()
    }

    /// Where in this file the outermost element starts that holds the first such item.
    fn start_of_first(&self, is_meant: &dyn Fn(&PartItem) -> bool) -> Option<usize> {
        self.items.iter().find_map(|item| match item {
            PartItem::Block(block, _) => is_meant(item).then_some(block.outermost_start),
            PartItem::Value(value) => is_meant(item).then_some(value.outermost_start),
            PartItem::Included(range, part) => part.any(is_meant).then_some(range.start),
        })
    }
}

/// Whether an item shows amounts of lye, so that cautions belong to its page.
fn shows_lye(item: &PartItem) -> bool {
    match item {
        PartItem::Block(_, options) => options.view.shows_lye(),
        PartItem::Value(value) => value_speaks_of_lye(&value.expression.value),
        PartItem::Included(..) => false,
    }
}

/// Whether a value is of lye; what is meant as typed says nothing of it.
pub(super) fn value_speaks_of_lye(expression: &str) -> bool {
    literal(expression).is_none() && speaks_of_lye(expression)
}

/// The invisible characters around what is computed; those in a block are told where it is read.
fn unseen(file: &Arc<SourceFile>, found: &[Item]) -> Vec<Finding> {
    let is_in_block = |at: usize| found.iter().any(|it| matches!(it, Item::Block(_)) && it.range().contains(&at));
    let whole = Extract::whole(file);
    let typed = invisible_by_line(&whole).filter(|(place, _)| !is_in_block(place.span.start));
    typed.map(|(place, it)| Finding::invisible_character(place, it)).collect()
}

/// How deep mdBook follows files that include files.
const DEEPEST_INCLUDE: usize = 10;

/// How long a page may be with what it includes, in bytes: some five hundred times a usual one.
const LONGEST_PAGE: usize = 1 << 20;

struct Reader<'a> {
    page_id: &'a str,
    included: Included<'a>,
    /// The page, and the files between it and the one that is read.
    including: Vec<String>,
    /// The include of the page itself by which the file that is read is reached.
    reached_by: Option<Located<String>>,
    /// The bytes of the page and of what it includes so far.
    length: usize,
    words: Words,
    findings: Vec<Finding>,
}

impl Reader<'_> {
    fn part(&mut self, file: &Arc<SourceFile>) -> Part {
        self.length += file.text().len();
        if self.length > LONGEST_PAGE {
            let place =
                self.reached_by.as_ref().map_or_else(|| Extract::whole(file).place(0..1), |it| it.place.clone());
            self.tell_once(Finding::includes_too_long(place));
            return Part { file: Arc::clone(file), items: Vec::new() };
        }
        let parser = new_cmark_parser(file.text(), &MarkdownOptions::default());
        let events: Vec<_> = parser.into_offset_iter().collect();
        let (mut found, findings) = find_among(file, &events);
        self.findings.extend(findings);
        if !found.is_empty() {
            self.findings.extend(unseen(file, &found));
            // A name that is not what it seems is told once.
            found.retain(|it| {
                matches!(it, Item::Block(_)) || invisible(&file.text()[it.range().clone()]).next().is_none()
            });
        }
        let in_prose = found.iter().filter(|it| !matches!(it, Item::Block(_)));
        let cuts: Vec<Range<usize>> = in_prose.map(|it| it.range().clone()).collect();
        let mut walk = Walk::new(file, self.page_id, &cuts);
        let mut found = found.into_iter().peekable();
        let mut items = Vec::new();
        for (event, range) in &events {
            // What stands in a stretch of prose comes after it, so that included words come where they are read.
            if walk.take(event, range, &mut self.words) {
                while let Some(item) = found.next_if(|it| it.range().start < range.end) {
                    items.extend(self.item(file, item));
                }
            }
        }
        items.extend(found.filter_map(|it| self.item(file, it)));
        Part { file: Arc::clone(file), items }
    }

    fn tell_once(&mut self, finding: Finding) {
        if !self.findings.contains(&finding) {
            self.findings.push(finding);
        }
    }

    fn item(&mut self, file: &Arc<SourceFile>, item: Item) -> Option<PartItem> {
        match item {
            Item::Block(block) => {
                let (options, findings) = BlockOptions::read(&block.view, &block.body);
                self.findings.extend(findings);
                Some(PartItem::Block(block, options))
            }
            Item::Value(value) => Some(PartItem::Value(value)),
            Item::Include(include) => self.include(file, &include),
        }
    }

    /// An included file, if it holds blocks or values; mdBook puts in the others itself. A file of which only a part is
    /// included is code, as a rule, and has no words.
    fn include(&mut self, file: &Arc<SourceFile>, include: &IncludeSite) -> Option<PartItem> {
        let place = include.path.place.clone();
        // What is too long is told, and need not be read to its end.
        if self.length > LONGEST_PAGE {
            return None;
        }
        let reached_by = self.reached_by.get_or_insert_with(|| include.path.clone()).clone();
        if self.including.len() > DEEPEST_INCLUDE {
            self.tell_once(Finding::include_too_deep(reached_by.place, &reached_by.value, DEEPEST_INCLUDE));
            return None;
        }
        let part = self.read_included(file, include, place);
        if self.including.len() == 1 {
            self.reached_by = None;
        }
        part
    }

    fn read_included(&mut self, file: &Arc<SourceFile>, include: &IncludeSite, place: Place) -> Option<PartItem> {
        let Some(included) = (self.included)(file.path(), &include.path.value) else {
            // mdBook only says so in passing, and shows the line as it was typed.
            self.findings.push(Finding::unknown_included_file(place, &include.path.value));
            return None;
        };
        if include.is_in_code {
            return None;
        }
        if self.including.iter().any(|it| it == included.path()) {
            self.findings.push(Finding::circular_include(place, &include.path.value));
            return None;
        }
        let (n_words, n_findings) = (self.words.len(), self.findings.len());
        self.including.push(included.path().to_owned());
        let part = self.part(&included);
        self.including.pop();
        let is_mdbooks = part.items.is_empty() && self.findings.len() == n_findings;
        if include.is_partial {
            self.words.cut_back_to(n_words);
            self.findings.truncate(n_findings);
            if !is_mdbooks {
                self.findings.push(Finding::part_of_included_file(place, &include.path.value));
            }
            return None;
        }
        (!is_mdbooks).then(|| PartItem::Included(include.range.clone(), part))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Page {
        let included = |_: &str, path: &str| {
            let text = match path {
                "card.md" => "```kettle recipe\nuse = \"c\"\n```\n",
                "more.md" => "And more.\n\n{{#include more.md}}\n\nWord\n: Another.\n",
                _ => return None,
            };
            Some(SourceFile::new(path, text))
        };
        let file = SourceFile::new("src/a/page.md", text);
        Page::read(Lesson { id: "a/page.md".into(), title: "Page".into(), part: String::new(), file }, &included)
    }

    fn texts(text: &str) -> Vec<String> {
        let words = read(text).words;
        words.in_html.iter().chain(&words.prose).map(|it| it.text.text().replace('\u{fffc}', "_")).collect()
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
            (
                "<!-- a b -->\n\n<p>c <b>d</b>&nbsp;e</p><p title=\"x\">\nf\n<code>g</code></p>\n\nword\n",
                vec!["c d e", "f _", "word"],
            ),
            ("<!-- a\nb -->\n<div\nc>d {{ lye }} f <code></div>\n<script>\ng\n</script>\n", vec!["d _ f"]),
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
        let found: Vec<_> =
            page.words.definitions.iter().map(|it| (it.term.value.as_str(), it.meanings.join("|"))).collect();
        assert_eq!(
            found,
            [
                ("Lye", "The *alkali*\nof soap.\n\nA second paragraph.".to_owned()),
                ("One two", "{{ lye }}|Or else.".to_owned()),
                ("Quoted", "In a\nquote.".to_owned()),
            ]
        );
        let places: Vec<_> = page.words.definitions.iter().map(|it| it.term.place.line_and_column()).collect();
        assert_eq!(places, [(1, 1), (7, 1), (11, 3)]);
    }

    #[test]
    fn the_recipe_is_that_of_the_first_card() {
        let blocks =
            "```kettle worked\nuse = \"a\"\n```\n\n```kettle recipe\nuse = \"b\"\n```\n\n```kettle glossary\n```\n";
        let page = read(blocks);
        assert_eq!((page.recipes().first().map(|it| it.value.as_str()), page.has_glossary()), (Some("b"), true));
        let page = read(&format!("{{{{#include card.md}}}}\n\n{blocks}"));
        assert_eq!(page.recipes().first().map(|it| it.value.as_str()), Some("c"), "an included card comes first");
        let page = read("```kettle worked\nuse = \"a\"\n```\n");
        assert_eq!((page.recipes().first().map(|it| it.value.as_str()), page.has_glossary()), (Some("a"), false));
    }

    #[test]
    fn links_lead_to_pages_of_the_book() {
        let page = read("See [the lye](../lye.md#words), [it](https://x.y/z.md) and [this](#here).");
        let links: Vec<_> = page.words.prose[0].links.iter().map(|it| (it.page.as_str(), it.span.clone())).collect();
        assert_eq!(links, [("lye.md", 4..11)]);
    }
}
