//! The words of a page: its prose, its links to other pages and the terms it introduces.
//!
//! Layer 6. Takes the events of the page's one reading (`read.rs`). Code, blocks, values and addresses are no prose; the
//! text between HTML tags is.

use std::ops::Range;
use std::sync::Arc;

use mdbook_markdown::pulldown_cmark::{CowStr, Event, LinkType, Tag, TagEnd};

use super::links::path_from;
use crate::prose::{Of, PageLink, Prose};
use crate::source::{Extract, Located, Place, SourceFile};

/// Stands in a prose where something was taken out, so that words on both sides of it are no neighbours.
pub(super) const GAP: &str = "\u{fffc}";

/// The words of a page.
#[derive(Clone, Debug, Default)]
pub(super) struct Words {
    /// Its prose, front to back.
    pub(super) prose: Vec<Prose>,
    /// The text between tags of its blocks of HTML, front to back: it is read by students, and can hold no link in Markdown.
    pub(super) in_html: Vec<Prose>,
    /// The terms it introduces.
    pub(super) definitions: Vec<Definition>,
}

/// A term of a definition list.
#[derive(Clone, Debug)]
pub(super) struct Definition {
    /// The term as typed, without its markup.
    pub(super) term: Located<String>,
    /// What it means, each as Markdown.
    pub(super) meanings: Vec<String>,
}

impl Words {
    /// Leaves nothing that came after these many stretches and terms.
    pub(super) fn cut_back_to(&mut self, [n_prose, n_in_html, n_definitions]: [usize; 3]) {
        self.prose.truncate(n_prose);
        self.in_html.truncate(n_in_html);
        self.definitions.truncate(n_definitions);
    }

    /// How many stretches and terms there are.
    pub(super) fn len(&self) -> [usize; 3] {
        [self.prose.len(), self.in_html.len(), self.definitions.len()]
    }
}

/// Puts the words of one file together, event by event.
pub(super) struct Walk<'a> {
    file: &'a Arc<SourceFile>,
    page_id: &'a str,
    /// What mdBook never shows as it stands: values and includes.
    cuts: &'a [Range<usize>],
    current: Extract,
    links: Vec<PageLink>,
    /// Where it starts in the current prose, whether its words are its address, and the page it leads to.
    open_link: Option<(usize, bool, Option<String>)>,
    /// The last term of each definition list that is open.
    lists: Vec<Option<usize>>,
    /// The term that is open: where it stands and its words so far.
    term: Option<(Range<usize>, String)>,
    /// Depths of what holds text that is no prose.
    n_code: usize,
    n_images: usize,
    n_raw_code: usize,
    /// What is typed in HTML and goes on in the next line.
    raw: Raw,
    is_in_html: bool,
    table: Table,
}

/// Where raw HTML stands at the end of a line.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
enum Raw {
    /// In text, which is read.
    #[default]
    Text,
    /// In a tag.
    Tag,
    /// In a comment.
    Comment,
}

/// The words of a table that say what a cell is about.
#[derive(Default)]
struct Table {
    /// The heads of its columns; empty outside tables.
    heads: Vec<String>,
    /// The cells of the row so far.
    row: Vec<String>,
    is_in_head: bool,
    is_in_cell: bool,
}

impl Table {
    fn take(&mut self, event: &Event<'_>) {
        match event {
            Event::Start(Tag::Table(_)) | Event::End(TagEnd::Table) => *self = Table::default(),
            Event::Start(Tag::TableHead) => self.is_in_head = true,
            Event::End(TagEnd::TableHead) => {
                self.heads = std::mem::take(&mut self.row);
                self.is_in_head = false;
            }
            Event::Start(Tag::TableRow) => self.row.clear(),
            Event::Start(Tag::TableCell) => {
                self.row.push(String::new());
                self.is_in_cell = true;
            }
            Event::End(TagEnd::TableCell) => self.is_in_cell = false,
            _ => {}
        }
    }

    /// What a cell that has been read is about, which is then a cell of the row itself.
    fn beside(&mut self, text: &str) -> String {
        let Some((own, before)) = self.row.split_last_mut().filter(|_| self.is_in_cell) else { return String::new() };
        let head = self.heads.get(before.len()).filter(|_| !self.is_in_head);
        let beside: Vec<&str> = head.map(String::as_str).into_iter().chain(before.iter().map(String::as_str)).collect();
        own.push_str(text);
        beside.join(" ")
    }
}

impl<'a> Walk<'a> {
    /// Before the first event of a file, on the page of that path.
    pub(super) fn new(file: &'a Arc<SourceFile>, page_id: &'a str, cuts: &'a [Range<usize>]) -> Walk<'a> {
        Walk {
            file,
            page_id,
            cuts,
            current: Extract::at(file, 0),
            links: Vec::new(),
            open_link: None,
            lists: Vec::new(),
            term: None,
            n_code: 0,
            n_images: 0,
            n_raw_code: 0,
            raw: Raw::default(),
            is_in_html: false,
            table: Table::default(),
        }
    }

    /// Takes the next event; whether a stretch of prose ends with it, so that what stands in it may come next.
    pub(super) fn take(&mut self, event: &Event<'_>, range: &Range<usize>, words: &mut Words) -> bool {
        if matches!(event, Event::Start(tag) if !is_inline(tag.to_end())) {
            self.flush(words);
        }
        match event {
            Event::Start(Tag::CodeBlock(_) | Tag::MetadataBlock(_)) => self.n_code += 1,
            Event::End(TagEnd::CodeBlock | TagEnd::MetadataBlock(_)) => self.n_code -= 1,
            Event::Start(Tag::Image { .. }) => self.n_images += 1,
            Event::End(TagEnd::Image) => self.n_images -= 1,
            Event::Start(Tag::Link { link_type, dest_url, .. }) => {
                let is_address = matches!(link_type, LinkType::Autolink | LinkType::Email);
                self.open_link = Some((self.current.text().len(), is_address, self.page_of(dest_url)));
            }
            Event::End(TagEnd::Link) => self.close_link(),
            Event::Start(Tag::DefinitionList) => self.lists.push(None),
            Event::End(TagEnd::DefinitionList) => drop(self.lists.pop()),
            Event::Start(Tag::DefinitionListTitle) => self.term = Some((range.clone(), String::new())),
            Event::End(TagEnd::DefinitionListTitle) => {
                if let (Some((range, name)), Some(list)) = (self.term.take(), self.lists.last_mut()) {
                    *list = Some(words.definitions.len());
                    words.definitions.push(definition(self.file, range, &name));
                }
            }
            Event::End(TagEnd::DefinitionListDefinition) => {
                if let Some(Some(definition_idx)) = self.lists.last() {
                    words.definitions[*definition_idx].meanings.push(meaning(self.file.text(), range));
                }
            }
            Event::Text(piece) if self.n_code + self.n_images == 0 => {
                self.add_to_term(piece);
                if self.n_raw_code == 0 { self.text(piece, range) } else { self.gap(range.start) }
            }
            Event::Code(piece) => {
                self.add_to_term(piece);
                self.gap(range.start);
            }
            Event::SoftBreak | Event::HardBreak => {
                self.add_to_term(" ");
                self.current.push(" ", range.start);
            }
            Event::InlineMath(_) | Event::DisplayMath(_) => self.gap(range.start),
            Event::InlineHtml(html) => self.raw_tag(html),
            // What an author left open ends with its block, or the rest of the page would not be read.
            Event::Start(Tag::HtmlBlock) => (self.is_in_html, self.raw, self.n_raw_code) = (true, Raw::Text, 0),
            Event::End(TagEnd::HtmlBlock) => self.n_raw_code = 0,
            Event::Html(_) => self.raw_line(range.clone(), words),
            _ => {}
        }
        let is_end = matches!(event, Event::End(tag) if !is_inline(*tag));
        if is_end {
            self.flush(words);
            self.is_in_html = false;
        }
        self.table.take(event);
        is_end
    }

    fn raw_tag(&mut self, html: &str) {
        match raw_code(html) {
            Some(true) => self.n_raw_code += 1,
            Some(false) => self.n_raw_code = self.n_raw_code.saturating_sub(1),
            None => {}
        }
    }

    /// Reads the text between the tags of a line of HTML. A tag that begins or ends a paragraph ends a stretch of prose.
    fn raw_line(&mut self, line: Range<usize>, words: &mut Words) {
        let typed = &self.file.text()[line.clone()];
        let mut at = 0;
        while at < typed.len() {
            let rest = &typed[at..];
            let until = |end: &str| rest.find(end).map_or(rest.len(), |it| it + end.len());
            let n_taken = match self.raw {
                Raw::Comment => {
                    let n_taken = until("-->");
                    self.raw = if rest[..n_taken].ends_with("-->") { Raw::Text } else { Raw::Comment };
                    n_taken
                }
                Raw::Tag => {
                    let n_taken = until(">");
                    self.raw = if rest[..n_taken].ends_with('>') { Raw::Text } else { Raw::Tag };
                    n_taken
                }
                Raw::Text if rest.starts_with("<!--") => {
                    self.raw = Raw::Comment;
                    "<!--".len()
                }
                Raw::Text if rest.starts_with('<') => {
                    self.raw_tag(rest);
                    let name = rest.trim_start_matches(['<', '/']);
                    let name = name.split(|it: char| !it.is_ascii_alphanumeric()).next().unwrap_or_default();
                    if !IN_A_SENTENCE.contains(&name.to_lowercase().as_str()) {
                        self.flush(words);
                    }
                    self.raw = Raw::Tag;
                    1
                }
                Raw::Text => {
                    let n_taken = rest.find('<').unwrap_or(rest.len());
                    self.raw_text(line.start + at..line.start + at + n_taken);
                    n_taken
                }
            };
            at += n_taken;
        }
    }

    /// Takes text of HTML, in which a space that does not break is spelt out.
    fn raw_text(&mut self, range: Range<usize>) {
        const NO_BREAK: &str = "&nbsp;";
        if self.n_raw_code > 0 {
            return self.gap(range.start);
        }
        let file = Arc::clone(self.file);
        let mut at = range.start;
        for piece in file.text()[range].split_inclusive(NO_BREAK) {
            let text = piece.strip_suffix(NO_BREAK).unwrap_or(piece);
            self.text(&CowStr::Borrowed(text), &(at..at + text.len()));
            if text.len() < piece.len() {
                self.current.push("\u{a0}", at + text.len());
            }
            at += piece.len();
        }
    }

    fn add_to_term(&mut self, piece: &str) {
        if let Some((_, name)) = &mut self.term {
            name.push_str(piece);
        }
    }

    /// The page of the book that a link leads to, as its path below the folder of the pages.
    fn page_of(&self, address: &str) -> Option<String> {
        let path = address.split('#').next().unwrap_or_default();
        let is_page = path.ends_with(".md") && !path.contains(':') && !path.starts_with('/');
        is_page.then(|| path_from(self.page_id, path))
    }

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

    fn flush(&mut self, words: &mut Words) {
        let text = std::mem::replace(&mut self.current, Extract::at(self.file, 0));
        let links = std::mem::take(&mut self.links);
        let mut beside = self.table.beside(text.text());
        if let (true, Some(Some(definition_idx))) = (self.term.is_none(), self.lists.last()) {
            beside.push_str(&words.definitions[*definition_idx].term.value);
        }
        if text.text().chars().any(char::is_alphanumeric) {
            let stretches = if self.is_in_html { &mut words.in_html } else { &mut words.prose };
            stretches.push(Prose { text, links, beside, of: Of::Lesson });
        }
    }
}

/// Elements of HTML that stand within a sentence.
const IN_A_SENTENCE: [&str; 17] = [
    "a", "abbr", "b", "br", "code", "em", "i", "kbd", "mark", "s", "samp", "small", "span", "strong", "sub", "sup", "u",
];

fn is_inline(tag: TagEnd) -> bool {
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
