//! TOML as a tree in which every key and value knows its place, and a reader that takes it key by key.
//!
//! Layer 0. A derive would stop at the first thing it dislikes; this reader goes on, so that an author sees every
//! slip of a file in one run. Used for tables, recipes, settings and the bodies of blocks alike, so that all of them
//! word a slip the same way (`finding/`).

mod slips;

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};
use unicode_normalization::UnicodeNormalization;

use crate::finding::{Finding, nearest};
use crate::source::{Extract, Located, Place, invisible, invisible_by_line};
use crate::units::{Length, Mass, QuantityError};

/// A value of a TOML file.
#[derive(Clone, Debug)]
pub struct Node {
    /// Where the value stands.
    pub place: Place,
    /// What it is.
    pub value: NodeValue,
}

/// The kinds of TOML value that an author's file may hold.
#[derive(Clone, Debug)]
pub enum NodeValue {
    /// A string.
    Text(String),
    /// An integer or a float; finite.
    Number(f64),
    /// `true` or `false`.
    Truth(bool),
    /// An array.
    List(Vec<Node>),
    /// A table, in the order it was typed.
    Table(Vec<Entry>),
    /// A date, an infinity or a number too long to hold: never wanted anywhere.
    Other(&'static str),
}

/// A key of a table and its value.
#[derive(Clone, Debug)]
pub struct Entry {
    /// The key, with its place.
    pub key: Located<String>,
    /// The value.
    pub node: Node,
}

impl NodeValue {
    /// What an instructor would call this kind of value.
    #[must_use]
    pub fn kind(&self) -> &'static str {
        match self {
            NodeValue::Text(_) => "text in quotes",
            NodeValue::Number(_) => "a number",
            NodeValue::Truth(_) => "`true` or `false`",
            NodeValue::List(_) => "a list",
            NodeValue::Table(_) => "a table",
            NodeValue::Other(kind) => kind,
        }
    }
}

/// Parses TOML. Whatever can be read is returned; each syntax error becomes a finding.
#[must_use]
pub fn parse(extract: &Extract) -> (Node, Vec<Finding>) {
    let text = extract.text();
    let (root, errors) = DeTable::parse_recoverable(text);
    let mut findings = Vec::new();
    let mut broken: Vec<Range<usize>> = Vec::new();
    for error in &errors {
        let span = error.span().unwrap_or_default();
        let start = text.floor_char_boundary(span.start);
        let line_start = text[..start].rfind('\n').map_or(0, |it| it + 1);
        // Once the parser has lost its way in a line, what it says of the rest follows from that.
        if broken.iter().any(|it| it.start == line_start) {
            continue;
        }
        let line_end = text[line_start..].find('\n').map_or(text.len(), |it| line_start + it);
        broken.push(line_start..line_end);
        findings.push(match slips::slip_in(extract, line_start..line_end) {
            Some(finding) => finding,
            None => Finding::toml_syntax(extract.place(span), error.message()),
        });
    }
    let tree = Tree { extract, broken };
    let entries = root.get_ref().iter().map(|(key, value)| entry(&tree, key, value)).collect();
    let node = Node { place: extract.place(0..extract.text().len().min(1)), value: NodeValue::Table(entries) };
    // Other control characters are no TOML, which is told already.
    let typed = invisible_by_line(extract).filter(|(_, it)| !it.is_ascii_control());
    findings.extend(typed.map(|(place, it)| Finding::invisible_character(place, it)));
    tell_escaped(&node, &mut findings);
    (node, findings)
}

/// What a tree is made from.
struct Tree<'a> {
    extract: &'a Extract,
    /// The lines that are not TOML. What the parser made of a value in them was not typed.
    broken: Vec<Range<usize>>,
}

/// Tells the invisible characters of texts in which they are written as escapes, such as `\u202E`.
fn tell_escaped(node: &Node, findings: &mut Vec<Finding>) {
    let mut tell = |text: &str, place: &Place| {
        let is_typed = invisible(&place.file.text()[place.span.clone()]).next().is_some();
        if let Some((_, it)) = invisible(text).next().filter(|_| !is_typed) {
            findings.push(Finding::invisible_character(place.clone(), it));
        }
    };
    match &node.value {
        NodeValue::Text(text) => tell(text, &node.place),
        NodeValue::List(items) => items.iter().for_each(|it| tell_escaped(it, findings)),
        NodeValue::Table(entries) => {
            for entry in entries {
                tell(&entry.key.value, &entry.key.place);
            }
            entries.iter().for_each(|it| tell_escaped(&it.node, findings));
        }
        NodeValue::Number(_) | NodeValue::Truth(_) | NodeValue::Other(_) => {}
    }
}

fn entry(tree: &Tree<'_>, key: &Spanned<toml::de::DeString<'_>>, value: &Spanned<DeValue<'_>>) -> Entry {
    let place = tree.extract.place(key.span());
    Entry { key: Located { value: composed(key.get_ref()), place }, node: node(tree, value) }
}

/// A name in which letters with accents are in one piece: some keyboards and file systems make two of them, and nobody sees
/// the difference.
#[must_use]
pub fn composed(name: &str) -> String {
    name.nfc().collect()
}

fn node(tree: &Tree<'_>, spanned: &Spanned<DeValue<'_>>) -> Node {
    let is_broken = tree.broken.iter().any(|it| it.contains(&spanned.span().start));
    let value = match spanned.get_ref() {
        DeValue::Array(items) => NodeValue::List(items.iter().map(|it| node(tree, it)).collect()),
        DeValue::Table(table) => NodeValue::Table(table.iter().map(|(key, it)| entry(tree, key, it)).collect()),
        _ if is_broken => NodeValue::Other("what is not TOML"),
        DeValue::String(text) => NodeValue::Text(text.to_string()),
        DeValue::Integer(integer) => i64::from_str_radix(integer.as_str(), integer.radix())
            .map_or(NodeValue::Other("a number too long to hold"), |it| NodeValue::Number(it as f64)),
        DeValue::Float(float) => match float.as_str().parse::<f64>() {
            Ok(number) if number.is_finite() => NodeValue::Number(number),
            _ => NodeValue::Other("a number without end"),
        },
        DeValue::Boolean(truth) => NodeValue::Truth(*truth),
        DeValue::Datetime(_) => NodeValue::Other("a date"),
    };
    Node { place: tree.extract.place(spanned.span()), value }
}

/// Takes a table key by key and collects what is wrong with it.
pub struct Reader<'a> {
    entries: Vec<&'a Entry>,
    place: Place,
    known: Vec<&'static str>,
    present: Vec<&'static str>,
    refused: Vec<&'static str>,
    /// What is wrong so far.
    pub findings: Vec<Finding>,
}

impl<'a> Reader<'a> {
    /// A reader over a table. Anything else gives a reader that finds nothing, and a finding that says so;
    /// `what` names the thing in the author's words, such as "a layer".
    #[must_use]
    pub fn new(node: &'a Node, what: &str) -> Reader<'a> {
        let (entries, findings) = match &node.value {
            NodeValue::Table(entries) => (entries.iter().collect(), Vec::new()),
            other => (Vec::new(), vec![Finding::wrong_type(node.place.clone(), what, "a table of keys", other.kind())]),
        };
        Reader {
            entries,
            place: node.place.clone(),
            known: Vec::new(),
            present: Vec::new(),
            refused: Vec::new(),
            findings,
        }
    }

    /// Where the table stands.
    #[must_use]
    pub fn place(&self) -> Place {
        self.place.clone()
    }

    /// The raw value under a key.
    pub fn node(&mut self, key: &'static str) -> Option<&'a Node> {
        self.entry(key).map(|it| &it.node)
    }

    /// The key and its raw value.
    pub fn entry(&mut self, key: &'static str) -> Option<&'a Entry> {
        self.known.push(key);
        let entry_idx = self.entries.iter().position(|it| it.key.value == key)?;
        self.present.push(key);
        Some(self.entries.remove(entry_idx))
    }

    /// Where a key stands, if it was typed. It has yet to be taken.
    #[must_use]
    pub fn place_of(&self, key: &str) -> Option<Place> {
        self.entries.iter().find(|it| it.key.value == key).map(|it| it.key.place.clone())
    }

    /// A text.
    pub fn text(&mut self, key: &'static str) -> Option<Located<String>> {
        let node = self.node(key)?;
        match &node.value {
            NodeValue::Text(text) => Some(Located { value: text.clone(), place: node.place.clone() }),
            other => self.refuse(key, node, "text in quotes", other),
        }
    }

    /// A text that says something: neither empty nor only blanks.
    pub fn words(&mut self, key: &'static str) -> Option<Located<String>> {
        let text = self.text(key)?;
        if text.value.trim().is_empty() {
            self.refused.push(key);
            self.findings.push(Finding::empty_text(text.place, key));
            return None;
        }
        Some(text)
    }

    /// The name of something: words in which letters are as names compare them.
    pub fn name(&mut self, key: &'static str) -> Option<Located<String>> {
        self.words(key).map(|it| Located { value: composed(&it.value), place: it.place })
    }

    /// A number.
    pub fn number(&mut self, key: &'static str) -> Option<Located<f64>> {
        let node = self.node(key)?;
        self.number_in(key, node)
    }

    fn number_in(&mut self, key: &'static str, node: &Node) -> Option<Located<f64>> {
        match &node.value {
            NodeValue::Number(number) => Some(Located { value: *number, place: node.place.clone() }),
            other => self.refuse(key, node, "a number", other),
        }
    }

    /// `true` or `false`.
    pub fn truth(&mut self, key: &'static str) -> Option<bool> {
        let node = self.node(key)?;
        match &node.value {
            NodeValue::Truth(truth) => Some(*truth),
            other => self.refuse(key, node, "`true` or `false`", other),
        }
    }

    /// A number that lies between two limits, both allowed.
    pub fn number_between(&mut self, key: &'static str, low: f64, high: f64) -> Option<Located<f64>> {
        let number = self.number(key)?;
        if number.value < low || number.value > high {
            self.refused.push(key);
            self.findings.push(Finding::out_of_range(number.place, key, number.value, low, high));
            return None;
        }
        Some(number)
    }

    /// The mass of a batch with its unit.
    pub fn mass(&mut self, key: &'static str) -> Option<Located<Mass>> {
        let typed = self.entries.iter().find(|it| it.key.value == key).map(|it| &it.node.value);
        let may_be_thousands = matches!(typed, Some(NodeValue::Text(text)) if slips::may_be_thousands(text));
        let mass = self.quantity(key, Mass::FORMS, Mass::parse)?;
        if may_be_thousands {
            self.refused.push(key);
            self.findings.push(Finding::point_for_thousands(mass.place, key, mass.value.to_grams()));
            return None;
        }
        Some(mass)
    }

    /// A length with its unit.
    pub fn length(&mut self, key: &'static str) -> Option<Located<Length>> {
        self.quantity(key, Length::FORMS, Length::parse)
    }

    /// A text that `parse` understands; `wanted` says what it should have been.
    pub fn quantity<T>(
        &mut self,
        key: &'static str,
        wanted: &'static str,
        parse: fn(&str) -> Result<T, QuantityError>,
    ) -> Option<Located<T>> {
        let node = self.node(key)?;
        let NodeValue::Text(text) = &node.value else { return self.refuse(key, node, wanted, &node.value) };
        match parse(text) {
            Ok(value) => Some(Located { value, place: node.place.clone() }),
            Err(error) => {
                self.refused.push(key);
                self.findings.push(Finding::not_a_quantity(node.place.clone(), key, wanted, &error));
                None
            }
        }
    }

    /// The entries of a list.
    pub fn list(&mut self, key: &'static str) -> Option<&'a [Node]> {
        let node = self.node(key)?;
        match &node.value {
            NodeValue::List(items) => Some(items),
            other => self.refuse(key, node, "a list", other),
        }
    }

    /// The tables of a list that is written with two brackets, as `[[layers]]` is.
    pub fn tables(&mut self, key: &'static str) -> Option<&'a [Node]> {
        let node = self.node(key)?;
        if let NodeValue::Table(_) = node.value {
            self.refused.push(key);
            self.findings.push(Finding::one_bracket_for_two(node.place.clone(), key));
            return None;
        }
        match &node.value {
            NodeValue::List(items) => Some(items),
            other => self.refuse(key, node, "a list", other),
        }
    }

    /// The entries of a table whose keys the author chooses.
    pub fn table(&mut self, key: &'static str) -> Option<&'a [Entry]> {
        let node = self.node(key)?;
        match &node.value {
            NodeValue::Table(entries) => Some(entries),
            other => self.refuse(key, node, "a table of keys", other),
        }
    }

    /// Passes the value on; a key that must be there and was not typed at all is a finding. (One typed wrong has its own.)
    pub fn require<T>(&mut self, key: &'static str, value: Option<T>, example: &str) -> Option<T> {
        if value.is_none() && !self.present.contains(&key) {
            self.findings.push(Finding::missing_key(self.place.clone(), key, example));
        }
        value
    }

    /// The keys whose values were typed and could not be read.
    #[must_use]
    pub fn refused(&self) -> Vec<&'static str> {
        self.refused.clone()
    }

    fn refuse<T>(&mut self, key: &'static str, node: &Node, wanted: &str, found: &NodeValue) -> Option<T> {
        self.refused.push(key);
        self.findings.push(Finding::wrong_type(node.place.clone(), key, wanted, found.kind()));
        None
    }

    /// Whether anything is wrong with the table so far, or keys are left that nobody asked for: then a key that seems to
    /// be missing may be one of those.
    #[must_use]
    pub fn is_faulty(&self) -> bool {
        !self.findings.is_empty() || self.has_unknown_keys()
    }

    /// Whether keys are left that nobody asked for.
    #[must_use]
    pub fn has_unknown_keys(&self) -> bool {
        !self.entries.is_empty()
    }

    /// The value under a key that an author chose.
    pub fn chosen(&mut self, key: &str) -> Option<&'a Node> {
        let entry_idx = self.entries.iter().position(|it| it.key.value == key)?;
        Some(&self.entries.remove(entry_idx).node)
    }

    /// The entries that are left, for keys that an author chose out of a table.
    pub fn rest(&mut self) -> Vec<&'a Entry> {
        std::mem::take(&mut self.entries)
    }

    /// Ends the reading: every key that nobody asked for is a finding with the nearest key that exists.
    #[must_use]
    pub fn finish(mut self) -> Vec<Finding> {
        for entry in &self.entries {
            let name = &entry.key.value;
            let near = nearest(name, self.known.iter().copied());
            self.findings.push(Finding::unknown_key(entry.key.place.clone(), name, near, &self.known));
        }
        self.findings
    }
}
