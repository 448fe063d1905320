//! A row as the files state it, and the values in it, each with its source.
//!
//! Layer 1. What a course's file says takes the place of what the embedded one says. Each file's row is read on its own,
//! though, so that a number keeps the source typed beside it, and whatever is wrong is told in the file where it was typed.

use std::fmt;

use crate::finding::{Finding, Severity};
use crate::reader::{Entry, Node, NodeValue, Reader};
use crate::source::{Located, Place};
use crate::units::Percent;

/// What the paths of the embedded files start with.
pub(super) const BUILT_IN: &str = "(built in) ";

/// Who answers for a value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Source {
    /// What the trade does; nobody published it in a form that could be cited.
    CommonPractice,
    /// Recalled, not read, and from no named work.
    FromMemory,
    /// A work that can be looked up.
    Work {
        /// Title or number.
        work: String,
        /// Edition or year, since published values move.
        edition: Option<String>,
        /// Table, section or page.
        place: Option<String>,
        /// The value was recalled from the work, not read in it.
        recalled: bool,
    },
    /// Anything else that an instructor wrote, such as a supplier's certificate.
    Words(String),
}

impl fmt::Display for Source {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Source::CommonPractice => out.write_str("common practice"),
            Source::FromMemory => out.write_str("from memory"),
            Source::Words(words) => out.write_str(words),
            Source::Work { work, edition, place, recalled } => {
                out.write_str(work)?;
                for part in [edition, place].into_iter().flatten() {
                    write!(out, ", {part}")?;
                }
                if *recalled { out.write_str(" (from memory)") } else { Ok(()) }
            }
        }
    }
}

/// A published range; either end may be unknown.
#[derive(Clone, Debug, PartialEq)]
pub struct PublishedRange {
    /// Low end.
    pub low: Option<f64>,
    /// High end.
    pub high: Option<f64>,
    /// Who published it.
    pub source: Source,
}

impl PublishedRange {
    /// The middle of the range; the end that is known where the other is not.
    ///
    /// 75 to 94 is 84.5; at least 56 is 56.
    #[must_use]
    pub fn middle(&self) -> Option<f64> {
        match (self.low, self.high) {
            (Some(low), Some(high)) => Some(f64::midpoint(low, high)),
            (low, high) => low.or(high),
        }
    }

    /// The range of these ends, where there is one.
    pub(super) fn between([low, high]: [Option<Sourced>; 2]) -> Option<PublishedRange> {
        let source = low.as_ref().or(high.as_ref())?.source.clone();
        Some(PublishedRange { low: low.map(|it| it.number), high: high.map(|it| it.number), source })
    }
}

/// A number, where it was typed, and who answers for it.
#[derive(Clone)]
pub(super) struct Sourced {
    pub(super) number: f64,
    pub(super) place: Place,
    pub(super) source: Source,
}

/// A row, or a value of one, in each file that states it; the embedded file comes first.
pub(super) struct Row<'a> {
    pub(super) id: &'a str,
    /// Where the last file names it.
    pub(super) place: Place,
    /// Of a row that a course adds: the embedded one whose id is so near that it may have been meant.
    pub(super) like: Option<String>,
    files: Vec<Reader<'a>>,
    /// What is wrong with the whole.
    findings: Vec<Finding>,
}

impl<'a> Row<'a> {
    /// A row that no file states yet.
    pub(super) fn new(key: &'a Located<String>) -> Row<'a> {
        Row { id: &key.value, place: key.place.clone(), like: None, files: Vec::new(), findings: Vec::new() }
    }

    /// Lays the row of the next file over this one.
    pub(super) fn lay(&mut self, entry: &'a Entry) {
        self.place = entry.key.place.clone();
        self.files.push(Reader::new(&entry.node, self.id));
    }

    /// Adds a finding about the row as a whole.
    pub(super) fn tell(&mut self, finding: Finding) {
        self.findings.push(finding);
    }

    /// Tells of a key that no file states, unless something typed was refused: what is missing then may be that. To be
    /// called when all keys have been read.
    pub(super) fn tell_missing(&mut self, key: &str, example: &str) {
        if !self.is_faulty() {
            let place = self.place.clone();
            self.tell(match &self.like {
                Some(like) => Finding::missing_key_like_built_in(place, key, self.id, like),
                None => Finding::missing_key(place, key, example),
            });
        }
    }

    /// Whether the embedded file has it.
    pub(super) fn is_built_in(&self) -> bool {
        self.files.first().is_some_and(|it| it.place().file.path().starts_with(BUILT_IN))
    }

    /// Whether anything in it is an error.
    pub(super) fn is_refused(&self) -> bool {
        let mut findings = self.files.iter().flat_map(|it| &it.findings).chain(&self.findings);
        findings.any(|it| it.severity == Severity::Error) || self.files.iter().any(Reader::has_unknown_keys)
    }

    /// Whether something typed in one of the files was refused, or nobody asked for it.
    pub(super) fn is_faulty(&self) -> bool {
        !self.findings.is_empty() || self.files.iter().any(Reader::is_faulty)
    }

    /// Ends the reading: everything that is wrong with the row.
    pub(super) fn finish(self) -> Vec<Finding> {
        self.files.into_iter().flat_map(Reader::finish).chain(self.findings).collect()
    }

    /// Reads each file's row on its own and takes what the last of them says.
    pub(super) fn last<T>(&mut self, mut read: impl FnMut(&mut Reader<'a>) -> Option<T>) -> Option<T> {
        self.files.iter_mut().fold(None, |base, file| read(file).or(base))
    }

    pub(super) fn words(&mut self, key: &'static str) -> Option<String> {
        self.last(|file| file.words(key)).map(|it| it.value)
    }

    /// Names in lists of ingredients and their source, which has to stand in the file that states a name.
    pub(super) fn inci<const N: usize>(&mut self, keys: [&'static str; N]) -> ([Option<String>; N], Option<Source>) {
        let (id, mut all_names) = (self.id, [const { None }; N]);
        let source = self.last(|file| {
            let names = keys.map(|key| file.words(key).map(|it| it.value));
            let source = read_source(file, "inci-source");
            if source.is_none() && names.iter().any(Option::is_some) {
                file.findings.push(Finding::value_without_source(file.place(), id, "inci"));
            }
            all_names = over(names, all_names.clone());
            source
        });
        (all_names, source)
    }

    /// Reads a value that is replaced as a whole: the last file's.
    pub(super) fn whole<T>(
        &mut self,
        key: &'static str,
        mut read: impl FnMut(&mut Reader<'a>) -> Option<T>,
    ) -> Option<T> {
        self.last(|file| {
            let mut value = Reader::new(file.node(key)?, key);
            let read = read(&mut value);
            file.findings.extend(value.finish());
            read
        })
    }

    /// Reads a value whose parts are laid over one another, as those of a range are.
    pub(super) fn in_parts<T>(&mut self, key: &'static str, read: impl FnOnce(&mut Row<'a>) -> T) -> T {
        let nodes = self.files.iter_mut().filter_map(|file| file.node(key));
        let files = nodes.map(|it| Reader::new(it, key)).collect();
        let mut value = Row { id: self.id, place: self.place.clone(), like: None, files, findings: Vec::new() };
        let read = read(&mut value);
        self.findings.extend(value.finish());
        read
    }

    /// `key = { value, source }`
    pub(super) fn value(&mut self, key: &'static str, bounds: (f64, f64)) -> Option<Sourced> {
        let id = self.id;
        self.whole(key, |value| read_value(value, id, bounds))
    }

    /// `key = { value, source }` of what nature fixes: within `bounds`, and laid over the embedded value only next to it.
    pub(super) fn constant(&mut self, key: &'static str, bounds: (f64, f64), tolerance: Percent) -> Option<Sourced> {
        let id = self.id;
        let mut known: Option<Sourced> = None;
        for file in &mut self.files {
            let Some(node) = file.node(key) else { continue };
            let mut value = Reader::new(node, key);
            let typed = read_value(&mut value, id, bounds);
            let place = typed.as_ref().map_or(node.place.clone(), |it| it.place.clone());
            match (typed, &known) {
                (Some(typed), Some(base))
                    if (typed.number - base.number).abs() > base.number.abs() * tolerance.to_fraction() =>
                {
                    let (typed, base, limit) = (typed.number, base.number, tolerance.to_percent());
                    value.findings.push(Finding::constant_off(place, id, key, typed, base, limit));
                }
                (Some(typed), _) => known = Some(typed),
                (None, _) => {}
            }
            file.findings.extend(value.finish());
        }
        known
    }

    /// `key = { low, high, source }`
    pub(super) fn range(&mut self, key: &'static str, bounds: (f64, f64)) -> Option<PublishedRange> {
        self.in_parts(key, |range| range.published(key, bounds))
    }

    /// The range of which the ends stand right here.
    pub(super) fn published(&mut self, name: &str, bounds: (f64, f64)) -> Option<PublishedRange> {
        PublishedRange::between(self.ends(name, ["low", "high"], bounds))
    }

    /// The ends of a range that stand right here, laid over one another; see [`read_ends`].
    pub(super) fn ends<const N: usize>(
        &mut self,
        name: &str,
        keys: [&'static str; N],
        bounds: (f64, f64),
    ) -> [Option<Sourced>; N] {
        let id = self.id;
        let nothing = [const { None }; N];
        self.files.iter_mut().fold(nothing, |below, file| read_ends(file, id, name, keys, bounds, below))
    }
}

/// Reads the ends of a range, and whatever stands with them under one source, over what the files before this one say;
/// `keys` begin with the low and the high end.
///
/// Ends that come to lie upside down are told at the one that brings it about, and are not taken: those below stand.
pub(super) fn read_ends<const N: usize>(
    range: &mut Reader<'_>,
    id: &str,
    name: &str,
    keys: [&'static str; N],
    bounds: (f64, f64),
    below: [Option<Sourced>; N],
) -> [Option<Sourced>; N] {
    let typed = read_numbers(range, id, "a published value", keys, bounds);
    let ends = over(typed.clone(), below.clone());
    match &ends[..] {
        [Some(low), Some(high), ..] if low.number > high.number => {
            let place = typed[0].as_ref().unwrap_or(high).place.clone();
            range.findings.push(Finding::range_upside_down(place, id, name, low.number, high.number));
            below
        }
        _ => ends,
    }
}

/// What is stated, and where nothing is, what lies below.
fn over<T, const N: usize>(stated: [Option<T>; N], below: [Option<T>; N]) -> [Option<T>; N] {
    let mut below = below.into_iter();
    stated.map(|it| {
        let below = below.next().flatten();
        it.or(below)
    })
}

/// `{ value, source }`
pub(super) fn read_value(value: &mut Reader<'_>, id: &str, bounds: (f64, f64)) -> Option<Sourced> {
    let [number] = read_numbers(value, id, "a value", ["value"], bounds);
    number
}

/// Reads numbers and the `source` that answers for them.
fn read_numbers<const N: usize>(
    value: &mut Reader<'_>,
    id: &str,
    name: &str,
    keys: [&'static str; N],
    (low, high): (f64, f64),
) -> [Option<Sourced>; N] {
    let numbers = keys.map(|key| value.number_between(key, low, high));
    let source = read_source(value, "source");
    if source.is_none() && numbers.iter().any(Option::is_some) {
        value.findings.push(Finding::value_without_source(value.place(), id, name));
    }
    let source = source.unwrap_or(Source::FromMemory);
    numbers.map(|it| it.map(|it| Sourced { number: it.value, place: it.place, source: source.clone() }))
}

/// Reads the `source` that a value must have.
pub(super) fn require_source(value: &mut Reader<'_>, id: &str, name: &str) -> Option<Source> {
    let source = read_source(value, "source");
    if source.is_none() {
        value.findings.push(Finding::value_without_source(value.place(), id, name));
    }
    source
}

fn read_source(row: &mut Reader<'_>, key: &'static str) -> Option<Source> {
    let node = row.node(key)?;
    match &node.value {
        NodeValue::Text(text) if text.trim().is_empty() => None,
        NodeValue::Text(text) => Some(match text.as_str() {
            "common practice" => Source::CommonPractice,
            "from memory" => Source::FromMemory,
            words => Source::Words(words.to_owned()),
        }),
        NodeValue::Table(_) => {
            let mut source = Reader::new(node, key);
            let work = source.words("work");
            let work = source.require("work", work, "work = \"the title or number of the work\"");
            let edition = source.words("edition").map(|it| it.value);
            let place = source.words("where").map(|it| it.value);
            let recalled = read_choice(&mut source, "confidence", &[("from memory", true)]).unwrap_or(false);
            row.findings.extend(source.finish());
            Some(Source::Work { work: work.map_or_else(String::new, |it| it.value), edition, place, recalled })
        }
        other => {
            row.findings.push(Finding::wrong_type(node.place.clone(), key, "text or a table", other.kind()));
            // Typed, though wrongly: a second finding about a missing source would only confuse.
            Some(Source::FromMemory)
        }
    }
}

/// One of a few words, and what it stands for.
pub(super) fn read_choice<T: Copy>(row: &mut Reader<'_>, key: &'static str, known: &[(&str, T)]) -> Option<T> {
    let typed = row.text(key)?;
    let chosen = choose(&typed.value, known);
    if chosen.is_none() {
        row.findings.push(not_a_choice(typed.place, key, &typed.value, known));
    }
    chosen
}

/// A list of some of a few words; those that are none of them are left out.
pub(super) fn read_choices<T: Copy>(row: &mut Reader<'_>, key: &'static str, known: &[(&str, T)]) -> Option<Vec<T>> {
    let mut chosen = Vec::new();
    for item in row.list(key)? {
        match &item.value {
            NodeValue::Text(text) => match choose(text, known) {
                Some(it) => chosen.push(it),
                None => row.findings.push(not_a_choice(item.place.clone(), key, text, known)),
            },
            other => row.findings.push(Finding::wrong_type(item.place.clone(), key, "words in quotes", other.kind())),
        }
    }
    Some(chosen)
}

fn choose<T: Copy>(typed: &str, known: &[(&str, T)]) -> Option<T> {
    known.iter().find(|(name, _)| *name == typed).map(|(_, it)| *it)
}

fn not_a_choice<T>(place: Place, key: &str, typed: &str, known: &[(&str, T)]) -> Finding {
    let names: Vec<&str> = known.iter().map(|(name, _)| *name).collect();
    Finding::unknown_choice(place, key, typed, &names)
}

/// `[number, number]`
pub(super) fn pair_of(node: &Node) -> Option<(f64, f64)> {
    let NodeValue::List(items) = &node.value else { return None };
    match items[..] {
        [Node { value: NodeValue::Number(first), .. }, Node { value: NodeValue::Number(second), .. }] => {
            Some((first, second))
        }
        _ => None,
    }
}

/// A whole number.
pub(super) fn read_count(row: &mut Reader<'_>, key: &'static str, low: f64, high: f64) -> Option<u32> {
    let number = row.number_between(key, low, high)?;
    if number.value.fract() == 0.0 {
        // Within the bounds, which are far below the largest count.
        return Some(number.value as u32);
    }
    row.findings.push(Finding::wrong_type(number.place, key, "a whole number", "a fraction"));
    None
}
