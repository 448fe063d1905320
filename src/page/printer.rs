//! Puts figures into text, and notes which ones a page prints.
//!
//! Layer 6. A figure in a block is marked where it stands, and the marks are taken out when the block is done: in HTML
//! each becomes an element that names the figure, in other forms nothing is left of it. So whatever a template does with
//! a text, and whoever wrote the template, the page knows what it printed. The marks are characters that no text has.

use std::cell::RefCell;
use std::collections::BTreeSet;

use serde::Serialize;

use super::Form;
use super::words::amount_words;
use crate::ledger::{Amount, Figure, Key, Kind, Ledger};
use crate::show::{self, Units};
use crate::source::Place;
use crate::tables::Tables;
use crate::units::{Mass, ScaleUnit};

/// Before the number of a note, after it, and after the text. Unicode keeps these for use inside programs.
const MARKS: [char; 3] = ['\u{fdd0}', '\u{fdd1}', '\u{fdd2}'];

/// Before each caution that a template is given, so that one which it leaves out is missed.
const CAUTION: char = '\u{fdd3}';

/// The first of the sixteen characters that tell one caution from another; they follow its mark.
const FIRST_TAG: u32 = 0xfdd4;

/// How many of them follow.
const TAG_LENGTH: u32 = 4;

/// Whether a character is one of our marks.
pub(super) fn is_mark(it: char) -> bool {
    marks_a_caution(it) || MARKS.contains(&it)
}

/// A caution as a template is given it.
pub(crate) fn caution(words: &str) -> String {
    // Folded: what two cautions of one block share is a matter of one in sixty thousand.
    let hash = hash_of(words);
    let folded = (hash >> 16) ^ hash;
    let digit = |idx: u32| char::from_u32(FIRST_TAG + (folded >> (4 * idx)) % 16);
    let tag: String = (0..TAG_LENGTH).filter_map(digit).collect();
    format!("{CAUTION}{tag}{words}")
}

/// FNV-1a, 32 bits: the same for the same text, in every build and on every machine.
pub(crate) fn hash_of(text: &str) -> u32 {
    text.bytes().fold(0x811c_9dc5, |hash, it| (hash ^ u32::from(it)).wrapping_mul(0x0100_0193))
}

/// The cautions in a text, as what tells them apart.
pub(super) fn cautions_in(text: &str) -> BTreeSet<String> {
    text.split(CAUTION).skip(1).map(|it| it.chars().take(TAG_LENGTH as usize).collect()).collect()
}

/// Whether a character marks a caution, or tells it from another.
fn marks_a_caution(it: char) -> bool {
    it == CAUTION || (FIRST_TAG..FIRST_TAG + 16).contains(&u32::from(it))
}

/// A figure that a page printed.
#[derive(Clone, Debug, PartialEq)]
pub struct Printed {
    /// The recipe it is of.
    pub recipe: String,
    /// Whether it is of that recipe in another size or with other changes, as in an exercise.
    pub is_changed: bool,
    /// Its key; `None` where an expression made something of several, or of none.
    pub key: Option<Key>,
    /// The expression of a sentence, or the key's name.
    pub expression: String,
    /// As printed.
    pub text: String,
    /// The block or value that printed it.
    pub place: Place,
}

/// What is noted while a page is put together.
#[derive(Debug, Default)]
pub(crate) struct Notes(RefCell<Vec<Note>>);

#[derive(Clone, Debug)]
struct Note {
    recipe: String,
    is_changed: bool,
    key: Option<Key>,
    expression: String,
}

impl Notes {
    /// Marks a text as what an expression gave.
    pub(crate) fn mark(&self, ledger: &Ledger, key: Option<&Key>, expression: &str, text: &str) -> String {
        let (recipe, expression) = (ledger.recipe.id.clone(), expression.to_owned());
        self.marked(Note { recipe, is_changed: ledger.is_changed, key: key.cloned(), expression }, text)
    }

    fn marked(&self, note: Note, text: &str) -> String {
        let mut notes = self.0.borrow_mut();
        let number = notes.len();
        notes.push(note);
        let [before, middle, after] = MARKS;
        format!("{before}{number}{middle}{text}{after}")
    }

    /// Takes the marks out of a text that is done, and gives what was printed.
    ///
    /// - `recipe`: the recipe of the block; a figure of another one names it.
    pub(crate) fn taken_out(
        &self,
        text: &str,
        form: Form,
        recipe: Option<&str>,
        place: &Place,
    ) -> (String, Vec<Printed>) {
        let [before, middle, after] = MARKS;
        let notes = self.0.borrow();
        let (mut clean, mut printed) = (String::with_capacity(text.len()), Vec::new());
        let mut pieces = text.split(before);
        clean.push_str(pieces.next().unwrap_or_default());
        let mut surroundings = Surroundings::default();
        surroundings.pass(&clean);
        for piece in pieces {
            let (number, rest) = piece.split_once(middle).unwrap_or(("", piece));
            let (shown, rest) = rest.split_once(after).unwrap_or(("", rest));
            match number.parse::<usize>().ok().and_then(|it| notes.get(it)) {
                Some(note) => {
                    let named = form == Form::Html && surroundings.can_hold_an_element();
                    clean.push_str(&if named { element(note, shown, recipe) } else { shown.to_owned() });
                    printed.push(Printed {
                        recipe: note.recipe.clone(),
                        is_changed: note.is_changed,
                        key: note.key.clone(),
                        expression: note.expression.clone(),
                        text: shown.to_owned(),
                        place: place.clone(),
                    });
                }
                None => clean.push_str(shown),
            }
            surroundings.pass(rest);
            clean.push_str(rest);
        }
        let is_mark = |it: char| it == middle || it == after || marks_a_caution(it);
        (clean.replace(is_mark, ""), printed)
    }
}

/// The element around a figure.
fn element(note: &Note, shown: &str, recipe: Option<&str>) -> String {
    let mut attributes = format!("data-kettle=\"{}\"", in_attribute(&note.expression));
    if recipe != Some(&*note.recipe) {
        attributes.push_str(&format!(" data-kettle-recipe=\"{}\"", in_attribute(&note.recipe)));
    }
    if note.is_changed {
        attributes.push_str(" data-kettle-changed");
    }
    format!("<span {attributes}>{shown}</span>")
}

/// A text in quotes of an HTML tag that stands in a table of Markdown.
pub(super) fn in_attribute(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for it in text.chars() {
        match it {
            '&' => escaped.push_str("&amp;"),
            '"' => escaped.push_str("&quot;"),
            '<' => escaped.push_str("&lt;"),
            '>' => escaped.push_str("&gt;"),
            '|' => escaped.push_str("&#124;"),
            '{' => escaped.push_str("&#123;"),
            '`' => escaped.push_str("&#96;"),
            it => escaped.push(it),
        }
    }
    escaped
}

/// Where in HTML a text stands.
#[derive(Default)]
struct Surroundings {
    in_tag: bool,
    /// Inside a drawing, a choice or a script, which hold text and no elements.
    n_textual: usize,
}

impl Surroundings {
    fn pass(&mut self, html: &str) {
        const TEXTUAL: [&str; 4] = ["svg", "option", "title", "script"];
        for (at, it) in html.char_indices().filter(|(_, it)| matches!(it, '<' | '>')) {
            self.in_tag = it == '<';
            let tag = &html[at + 1..];
            let is = |tag: &str| TEXTUAL.iter().any(|it| tag.strip_prefix(it).is_some_and(|it| !it.starts_with('-')));
            if it == '<' && is(tag) {
                self.n_textual += 1;
            } else if it == '<' && tag.strip_prefix('/').is_some_and(is) {
                self.n_textual = self.n_textual.saturating_sub(1);
            }
        }
    }

    fn can_hold_an_element(&self) -> bool {
        !self.in_tag && self.n_textual == 0
    }
}

/// A text without marks, for where nothing is noted.
#[must_use]
pub fn without_marks(text: &str) -> String {
    let mut clean = String::with_capacity(text.len());
    let mut is_number = false;
    for it in text.chars() {
        match MARKS.iter().position(|mark| *mark == it) {
            Some(0) => is_number = true,
            Some(_) => is_number = false,
            None if is_number || marks_a_caution(it) => {}
            None => clean.push(it),
        }
    }
    clean
}

/// An amount: in the course's main unit, and in the other one if the course shows both.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Shown {
    /// Main unit.
    pub main: String,
    /// Other unit.
    pub other: Option<String>,
}

impl Shown {
    /// What has one form in every unit.
    pub(crate) fn plain(text: impl Into<String>) -> Shown {
        Shown { main: text.into(), other: None }
    }
}

/// Puts the figures of one recipe into text.
#[derive(Clone, Copy)]
pub(crate) struct Printer<'a> {
    pub(crate) ledger: &'a Ledger,
    pub(crate) tables: &'a Tables,
    pub(crate) notes: &'a Notes,
}

impl<'a> Printer<'a> {
    /// The units of the course.
    pub(crate) fn units(&self) -> Units {
        self.ledger.scales.units
    }

    /// The figure of a name.
    pub(crate) fn figure(&self, key: &Key) -> Option<&'a Figure> {
        self.ledger.figure(key)
    }

    /// A text marked as that figure.
    pub(crate) fn mark(&self, key: &Key, text: impl AsRef<str>) -> String {
        debug_assert!(self.figure(key).is_some(), "no figure {key}");
        self.notes.mark(self.ledger, Some(key), &key.to_string(), text.as_ref())
    }

    /// A text marked as the one figure of a kind.
    pub(crate) fn one(&self, kind: Kind, text: impl AsRef<str>) -> String {
        self.mark(&Key::one(kind), text)
    }

    /// A text marked as the figure of a kind for one thing.
    pub(crate) fn each(&self, kind: Kind, of: &str, text: impl AsRef<str>) -> String {
        self.mark(&Key::each(kind, of), text)
    }

    /// The figure in words, as a sentence says it.
    pub(crate) fn words(&self, key: &Key) -> String {
        let words = self.figure(key).map(|it| amount_words(&it.amount, &self.ledger.scales, self.units()));
        self.mark(key, words.unwrap_or_default())
    }

    /// The one figure of a kind in words.
    pub(crate) fn words_of(&self, kind: Kind) -> String {
        self.words(&Key::one(kind))
    }

    /// What is weighed, in each unit of the course; an additive that is too little for the scale in ounces, in grams alone.
    pub(crate) fn amount(&self, key: &Key) -> Shown {
        let amount = self.figure(key).map(|it| &it.amount);
        let exact = amount.and_then(Amount::mass).unwrap_or_default();
        let reading = |unit: ScaleUnit| {
            let divisions = amount.and_then(|it| it.reading(unit)).unwrap_or_default();
            self.mark(key, show::weighed(self.ledger.scales.of(unit), divisions, exact))
        };
        if self.is_too_little_for_ounces(key, exact) {
            return Shown { main: reading(ScaleUnit::Grams), other: None };
        }
        let mut readings = self.units().scales().iter().map(|unit| reading(*unit));
        Shown { main: readings.next().unwrap_or_default(), other: readings.next() }
    }

    /// Whether an amount is shown in ounces beside grams.
    pub(crate) fn is_told_in_ounces(&self, key: &Key) -> bool {
        let exact = self.figure(key).and_then(|it| it.amount.mass()).unwrap_or_default();
        !self.is_too_little_for_ounces(key, exact)
    }

    /// Whether half a step of the scale in ounces is more of an additive than ten percent, and less by the scale in grams.
    fn is_too_little_for_ounces(&self, key: &Key, exact: Mass) -> bool {
        let is_additive = matches!(key.kind, Kind::Additive | Kind::LayerAdditive | Kind::LayerShared);
        let half_step = |unit: ScaleUnit| {
            let scale = self.ledger.scales.of(unit).small();
            scale.division * unit.grams() / 2.0
        };
        let (grams, ounces) = (half_step(ScaleUnit::Grams), half_step(ScaleUnit::Ounces));
        let has_grams = self.units().scales().contains(&ScaleUnit::Grams);
        has_grams && is_additive && exact > Mass::ZERO && ounces > 0.1 * exact.to_grams() && grams < ounces
    }

    /// A volume in spoons, if there is such a figure and a kitchen would measure it so.
    pub(crate) fn spoons(&self, key: &Key) -> Option<String> {
        match self.figure(key)?.amount {
            Amount::Volume(volume) => Some(self.mark(key, show::spoons(volume)?)),
            _ => None,
        }
    }

    /// An exact mass for the arithmetic, in the main unit.
    pub(crate) fn exact(&self, key: &Key) -> String {
        let mass = self.figure(key).and_then(|it| it.amount.mass()).unwrap_or_default();
        self.mark(key, show::exact(mass, self.units().main()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::SourceFile;

    #[test]
    fn a_mark_becomes_an_element_where_one_may_stand_and_nothing_elsewhere() {
        let notes = Notes::default();
        let key = Key::each(Kind::Fat, "olive");
        let mark = |recipe: &str, is_changed| {
            let (key, expression) = (Some(key.clone()), key.to_string());
            notes.marked(Note { recipe: recipe.to_owned(), is_changed, key, expression }, "600 g")
        };
        let own = || mark("a", false);
        let html = format!("<p title=\"{}\">{}<svg><text>{}</text></svg> {}", own(), own(), own(), mark("b", true));
        let place = Place { file: SourceFile::new("a.md", ""), span: 0..0 };
        let (clean, printed) = notes.taken_out(&html, Form::Html, Some("a"), &place);
        assert_eq!(
            clean,
            "<p title=\"600 g\"><span data-kettle=\"fats.olive\">600 g</span><svg><text>600 g</text></svg> \
             <span data-kettle=\"fats.olive\" data-kettle-recipe=\"b\" data-kettle-changed>600 g</span>"
        );
        assert_eq!(printed.iter().map(|it| it.recipe.as_str()).collect::<Vec<_>>(), ["a", "a", "a", "b"]);
        let (plain, printed) = notes.taken_out(&html, Form::Markdown, Some("a"), &place);
        assert_eq!((plain.as_str(), printed.len()), (&*without_marks(&html), 4));
        // An author's text with marks in it breaks nothing.
        let odd = "\u{fdd0}\u{fdd0}99\u{fdd1}x\u{fdd2}\u{fdd2} y";
        assert_eq!(notes.taken_out(odd, Form::Html, None, &place).0, "x y");
    }
}
