//! The settings of a course: `[preprocessor.kettle]` in book.toml.
//!
//! Layer 7. Read from the text of book.toml rather than from what mdBook made of it, so that a slip has a place.

use std::sync::Arc;

use crate::finding::Finding;
use crate::reader::{Node, NodeValue, Reader, parse};
use crate::recipe::{Defaults, read_purity, water_rule};
use crate::show::{TemperatureScale, Units};
use crate::source::{Extract, Located, Place, SourceFile};
use crate::tables::{AlkaliKind, Limits};
use crate::units::Scale;

/// Where a course keeps the style sheet of the blocks, as book.toml names it.
pub const STYLE_SHEET: &str = "theme/kettle.css";
/// Where a course keeps the script of the blocks, as book.toml names it.
pub const SCRIPT: &str = "theme/kettle.js";
/// The folder below the folder of lessons that has the batch sheets, a file for each recipe.
pub use crate::page::SHEETS;

/// Where a course keeps the colours and sizes that it states itself; there need be none.
pub const TOKENS: &str = "theme/tokens.css";

/// What the pages around the blocks look like.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Look {
    /// A workshop's lesson book.
    #[default]
    LessonBook,
    /// As mdBook has them; the blocks alone have a look of ours.
    Plain,
}

impl Look {
    /// The names that the setting may have.
    pub const NAMES: [&'static str; 2] = ["lesson-book", "plain"];
}

/// The keys of the section that are mdBook's own.
const KEYS_OF_MDBOOK: [&str; 5] = ["command", "before", "after", "renderers", "optional"];

/// What a course sets.
#[derive(Clone, Debug)]
pub struct Settings {
    /// The units shown.
    pub units: Units,
    /// The scale of temperatures.
    pub temperature: TemperatureScale,
    /// The students' scale in grams.
    pub scale_grams: Scale,
    /// The students' scale in ounces.
    pub scale_ounces: Scale,
    /// What holds where a recipe is silent.
    pub defaults: Defaults,
    /// Terms that are words of everyday language too, so that their use says nothing.
    pub ordinary_words: Vec<Located<String>>,
    /// Pages, and folders of pages, that are left out when the whole course is printed.
    pub left_out_of_print: Vec<Located<String>>,
    /// Whether students may set a recipe otherwise, on its page.
    pub has_student_controls: bool,
    /// What the pages look like.
    pub look: Look,
    /// Where book.toml names the folder of lessons, or would.
    pub src: Place,
    /// Where book.toml says into which folder pages are built, or would say so.
    pub build_dir: Place,
    /// Errors about assets that book.toml does not load; they count for HTML pages only.
    pub missing_assets: Vec<Finding>,
}

impl Default for Settings {
    fn default() -> Settings {
        Settings {
            units: Units::default(),
            temperature: TemperatureScale::default(),
            scale_grams: Scale::GRAMS,
            scale_ounces: Scale::OUNCES,
            defaults: Defaults::default(),
            ordinary_words: Vec::new(),
            left_out_of_print: Vec::new(),
            has_student_controls: true,
            look: Look::default(),
            src: nowhere(),
            build_dir: nowhere(),
            missing_assets: Vec::new(),
        }
    }
}

impl Settings {
    /// Reads book.toml. Only what is ours is looked at; the rest is mdBook's to judge.
    #[must_use]
    pub fn read(book_toml: &Arc<SourceFile>, limits: &Limits) -> (Settings, Vec<Finding>) {
        let (root, mut findings) = parse(&Extract::whole(book_toml));
        let mut settings = Settings::default();
        if let Some(section) = child(&root, "preprocessor").and_then(|it| child(it, "kettle")) {
            settings.read_section(section, limits, &mut findings);
        } else if findings.is_empty() {
            findings.push(Finding::not_switched_on(root.place.clone()));
        }
        let src = child(&root, "book").and_then(|it| child(it, "src"));
        settings.src = src.unwrap_or(&root).place.clone();
        let build_dir = child(&root, "build").and_then(|it| child(it, "build-dir"));
        settings.build_dir = build_dir.unwrap_or(&root).place.clone();
        let html = child(&root, "output").and_then(|it| child(it, "html"));
        for (key, path) in [("additional-css", STYLE_SHEET), ("additional-js", SCRIPT)] {
            let is_loaded = html.and_then(|it| child(it, key)).is_some_and(|it| lists(it, path));
            if !is_loaded {
                let place = html.unwrap_or(&root).place.clone();
                settings.missing_assets.push(Finding::missing_asset(place, key, path));
            }
        }
        (settings, findings)
    }

    fn read_section(&mut self, section: &Node, limits: &Limits, findings: &mut Vec<Finding>) {
        let mut reader = Reader::new(section, "preprocessor.kettle");
        for key in KEYS_OF_MDBOOK {
            let _ = reader.node(key);
        }
        if let Some(name) = reader.text("units") {
            match name.value.as_str() {
                "grams" => self.units = Units::Grams,
                "ounces" => self.units = Units::Ounces,
                "both" => self.units = Units::Both,
                other => findings.push(Finding::unknown_choice(name.place, "units", other, &Units::NAMES)),
            }
        }
        self.temperature = TemperatureScale::with(self.units);
        if let Some(name) = reader.text("temperature") {
            match name.value.as_str() {
                "celsius" => self.temperature = TemperatureScale::Celsius,
                "fahrenheit" => self.temperature = TemperatureScale::Fahrenheit,
                other => {
                    findings.push(Finding::unknown_choice(name.place, "temperature", other, &TemperatureScale::NAMES));
                }
            }
        }
        if let Some(name) = reader.text("look") {
            match name.value.as_str() {
                "lesson-book" => self.look = Look::LessonBook,
                "plain" => self.look = Look::Plain,
                other => findings.push(Finding::unknown_choice(name.place, "look", other, &Look::NAMES)),
            }
        }
        self.defaults.units = self.units;
        if let Some(node) = reader.node("scale") {
            let mut scale = Reader::new(node, "scale");
            let small = scale.node("small");
            let mut small = small.map(|it| Reader::new(it, "small"));
            for (key, of_course) in [("grams", &mut self.scale_grams), ("ounces", &mut self.scale_ounces)] {
                let (finest, coarsest) = of_course.unit.division_limits();
                if let Some(it) = scale.number_between(key, finest, coarsest) {
                    *of_course = Scale::new(of_course.unit, it.value);
                }
                let Some(step) = small.as_mut().and_then(|it| it.number_between(key, finest, coarsest)) else {
                    continue;
                };
                match of_course.with_small(step.value) {
                    Some(with_small) => *of_course = with_small,
                    None => findings.push(Finding::small_scale_unfit(step.place, step.value, of_course.division)),
                }
            }
            findings.extend(small.into_iter().flat_map(Reader::finish));
            findings.extend(scale.finish());
        }
        if let Some(node) = reader.node("defaults") {
            let mut defaults = Reader::new(node, "defaults");
            self.defaults.superfat_percent = defaults.number_between("superfat", 0.0, 99.0).map(|it| it.value);
            if let Some(water) = defaults.node("water") {
                self.defaults.water = water_rule(water, findings);
            }
            for entry in defaults.table("purity").unwrap_or_default() {
                match AlkaliKind::ALL.into_iter().find(|it| it.formula() == entry.key.value) {
                    Some(kind) => {
                        let purity = read_purity(entry, limits, findings);
                        self.defaults.purity.extend(purity.map(|it| (kind, it)));
                    }
                    None => findings.push(Finding::unknown_alkali(entry.key.place.clone(), &entry.key.value)),
                }
            }
            findings.extend(defaults.finish());
        }
        self.has_student_controls = reader.truth("student-controls").unwrap_or(true);
        if let Some(node) = reader.node("ordinary-words") {
            const WANTED: &str = "a list of words in quotes, such as [\"share\", \"point\"]";
            self.ordinary_words = words(node, "ordinary-words", WANTED, findings);
        }
        if let Some(node) = reader.node("leave-out-of-print") {
            const WANTED: &str = "a list of pages or folders in quotes, such as [\"instructor\"]";
            self.left_out_of_print = words(node, "leave-out-of-print", WANTED, findings);
        }
        findings.extend(reader.finish());
    }
}

/// The place of what no file says.
fn nowhere() -> Place {
    Extract::whole(&SourceFile::new("book.toml", "")).place(0..0)
}

/// A list of texts.
fn words(node: &Node, key: &str, wanted: &str, findings: &mut Vec<Finding>) -> Vec<Located<String>> {
    let mut wrong = |node: &Node| {
        findings.push(Finding::wrong_type(node.place.clone(), key, wanted, node.value.kind()));
    };
    let NodeValue::List(items) = &node.value else {
        wrong(node);
        return Vec::new();
    };
    let mut words = Vec::new();
    for item in items {
        match &item.value {
            NodeValue::Text(word) => words.push(Located { value: word.clone(), place: item.place.clone() }),
            _ => wrong(item),
        }
    }
    words
}

fn child<'a>(node: &'a Node, key: &str) -> Option<&'a Node> {
    let NodeValue::Table(entries) = &node.value else { return None };
    entries.iter().find(|it| it.key.value == key).map(|it| &it.node)
}

fn lists(node: &Node, path: &str) -> bool {
    let NodeValue::List(items) = &node.value else { return false };
    items.iter().any(|it| matches!(&it.value, NodeValue::Text(text) if text.trim_start_matches("./") == path))
}
