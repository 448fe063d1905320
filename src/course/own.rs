//! What a student sets on the page of a lesson: read as typed, checked, and computed.
//!
//! Layer 7. Everything that is typed is looked at by what reads recipes and tables, so that it is refused for the same reasons
//! and in the same words; here stands only which field is what. The fields are those of `theme/templates/own.html`.

use std::collections::BTreeMap;
use std::sync::Arc;

use serde::Serialize;

use super::Course;
use super::sized::{sized, smallest_batch};
use crate::finding::{Finding, Severity, nearest};
use crate::ledger::Ledger;
use crate::page::{Own, SizeWay, own_line, too_coarse_words};
use crate::reader::{Entry, Node, NodeValue, Reader};
use crate::recipe::{BatchSize, Changes, MASS_LIMITS_GRAMS, Purity, Target, read_purity};
use crate::show::{Units, capitalised};
use crate::source::{Extract, Located, Place, SourceFile};
use crate::tables::{Source, Tables, own_mould};
use crate::units::{Mass, QuantityError, Scale, ScaleUnit, number};

/// What a student typed and chose, by the name of the field.
pub type Fields = BTreeMap<String, String>;

/// The longest text of a field that is looked at; whoever types more has pasted something else.
const LONGEST_FIELD: usize = 60;

/// What a mould of a student's own is called.
const OWN_MOULD: &str = "mould that you measured";

/// Who answers for a saponification value that a student typed.
const CERTIFICATE: &str = "the certificate of your supplier";

/// Where a finding about what was set is shown.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Said {
    /// The field; empty where it is about all of them.
    pub field: String,
    /// How bad it is.
    pub is_refusal: bool,
    /// What is wrong, or to be known.
    pub words: String,
}

/// What came of a student's settings for one recipe.
#[derive(Debug)]
pub struct OwnRecipe {
    /// For pages.
    pub own: Own,
    /// What is to be said beside the fields.
    pub said: Vec<Said>,
    /// What was really weighed, by the names that recipes give it.
    pub weighed: Vec<(String, Mass)>,
    /// What was changed.
    pub changes: Changes,
}

/// The fields as a table of values with places, and what is wrong with them.
struct Typed {
    root: Node,
    fields: Vec<(String, Place)>,
    findings: Vec<Finding>,
}

impl Typed {
    /// A text of lines, each the name of a field and what is in it; empty fields are none.
    fn of(fields: &Fields) -> Typed {
        let is_typed = |it: &(&String, &String)| !it.1.trim().is_empty();
        let kept: Vec<(&str, String)> = fields.iter().filter(is_typed).map(|(name, it)| (&**name, short(it))).collect();
        let text: String = kept.iter().map(|(name, it)| format!("{name} = {it}\n")).collect();
        let file = SourceFile::new(OWN_FILE, text);
        let whole = Extract::whole(&file);
        let (mut entries, mut places, mut at) = (Vec::new(), Vec::new(), 0);
        for (name, value) in kept {
            let start = at + name.len() + 3;
            let (key, place) = (whole.place(at..at + name.len()), whole.place(start..start + value.len()));
            at = start + value.len() + 1;
            places.push((name.to_owned(), place.clone()));
            let node = Node { place, value: NodeValue::Text(value) };
            entries.push(Entry { key: Located { value: name.to_owned(), place: key }, node });
        }
        let root = Node { place: whole.place(0..0), value: NodeValue::Table(entries) };
        Typed { root, fields: places, findings: Vec::new() }
    }

    fn node(&self, name: &str) -> Option<&Node> {
        let NodeValue::Table(entries) = &self.root.value else { return None };
        entries.iter().find(|it| it.key.value == name).map(|it| &it.node)
    }

    fn text(&self, name: &str) -> Option<Located<String>> {
        let node = self.node(name)?;
        let NodeValue::Text(text) = &node.value else { return None };
        Some(Located { value: text.clone(), place: node.place.clone() })
    }

    /// A text that `parse` understands.
    fn quantity<T>(
        &mut self,
        name: &str,
        (called, wanted): (&str, &str),
        parse: fn(&str) -> Result<T, QuantityError>,
    ) -> Option<Located<T>> {
        let text = self.text(name)?;
        match parse(&text.value) {
            Ok(value) => Some(Located { value, place: text.place }),
            Err(error) => {
                self.findings.push(Finding::not_a_quantity(text.place, called, wanted, &error));
                None
            }
        }
    }

    fn mass(&mut self, name: &str, called: &str) -> Option<Located<Mass>> {
        let mass = self.quantity(name, (called, Mass::FORMS), Mass::parse)?;
        let (low, high) = MASS_LIMITS_GRAMS;
        if (low..=high).contains(&mass.value.to_grams()) {
            return Some(mass);
        }
        self.findings.push(Finding::mass_out_of_range(mass.place, called, mass.value.to_grams()));
        None
    }

    fn number_between(&mut self, name: &str, called: &str, (low, high): (f64, f64)) -> Option<Located<f64>> {
        let it = self.quantity(name, (called, "a number"), number)?;
        if (low..=high).contains(&it.value) {
            return Some(it);
        }
        self.findings.push(Finding::out_of_range(it.place, called, it.value, low, high));
        None
    }

    /// The fields that begin with a word and a point, by what follows.
    fn each(&self, prefix: &str) -> Vec<(String, Located<String>)> {
        let names = self.fields.iter().filter_map(|(name, _)| name.strip_prefix(prefix)?.strip_prefix('.'));
        names.filter_map(|it| Some((it.to_owned(), self.text(&format!("{prefix}.{it}"))?))).collect()
    }

    /// The field that a place lies in.
    fn field_at(&self, place: &Place) -> Option<&str> {
        let is_here = |it: &Place| it.span.start <= place.span.start && place.span.end <= it.span.end;
        let of_fields = place.file.path() == OWN_FILE;
        self.fields.iter().find(|(_, it)| of_fields && is_here(it)).map(|(name, _)| name.as_str())
    }
}

/// What the text of all fields is called; no file of a course is.
const OWN_FILE: &str = "(what you set)";

/// A field's text, as a line of its own.
fn short(text: &str) -> String {
    text.trim().chars().filter(|it| !it.is_control()).take(LONGEST_FIELD).collect()
}

impl Course {
    /// A recipe of this course as a student set it. `None` where there is no such recipe.
    #[must_use]
    pub fn own(&self, id: &str, fields: &Fields) -> Option<OwnRecipe> {
        let lesson = self.recipes.get(id)?.as_ref()?;
        let file = self.recipe_files.get(id)?;
        let mut typed = Typed::of(fields);
        let changes = self.changes_of(&mut typed, lesson);
        let weighed = typed.each("weighed").into_iter().filter_map(|(name, _)| {
            let mass = typed.mass(&format!("weighed.{name}"), "what was weighed")?;
            Some((name, mass.value))
        });
        let weighed = weighed.collect();
        let mut findings = std::mem::take(&mut typed.findings);
        let is_refused = |findings: &[Finding]| findings.iter().any(|it| it.severity == Severity::Error);
        let mut ledger = None;
        if !is_refused(&findings) {
            let (computed, of_recipe) = self.compute_file(file, &changes);
            // What the lesson's own recipe says already is on its card.
            let known = &self.outcomes[id].told;
            let is_new = |it: &Finding| !known.iter().any(|known| known.code == it.code && known.message == it.message);
            let is_told = |it: &Finding| matches!(it.severity, Severity::Error | Severity::Warning);
            findings.extend(of_recipe.into_iter().filter(|it| is_told(it) && is_new(it)));
            ledger = computed;
        }
        let mut said: Vec<Said> = Vec::new();
        for finding in &findings {
            let field = typed.field_at(&finding.place).unwrap_or_default().to_owned();
            let is_refusal = finding.severity == Severity::Error;
            let caution = finding.caution.as_ref().filter(|_| !is_refusal);
            let words = caution.map_or_else(|| sentence(&finding.message), |it| it.words.clone());
            // The marks are for instructors, whose files have such names.
            let words = words.replace('`', "");
            said.push(Said { field, is_refusal, words });
        }
        if let Some(words) = too_coarse(lesson, &changes, &self.tables) {
            said.push(Said { field: "step".into(), is_refusal: false, words });
        }
        if is_refused(&findings) {
            ledger = None;
        }
        let line = match &ledger {
            Some(own) => own_line(lesson, own, &changes),
            None => said.iter().filter(|it| it.is_refusal).map(|it| it.words.as_str()).collect::<Vec<_>>().join(" "),
        };
        Some(OwnRecipe { own: Own { ledger, line }, said, weighed, changes })
    }
}

impl Course {
    /// The superfats that a student may choose, percent: as the recipe says, or else none below its own.
    pub(super) fn superfats_allowed(&self, lesson: &Ledger) -> (f64, f64) {
        let own = lesson.recipe.superfat_percent;
        let most = self.tables.limits.highest_usual_superfat_percent;
        lesson.recipe.superfat_range.unwrap_or((own, own.max(most)))
    }

    /// What the fields change. What cannot be read changes nothing, and is told.
    fn changes_of(&self, typed: &mut Typed, lesson: &Ledger) -> Changes {
        let limits = &self.tables.limits;
        let allowed = self.superfats_allowed(lesson);
        let mut changes = Changes {
            superfat_percent: typed.number_between("superfat", "superfat", allowed).map(|it| it.value),
            ..Changes::default()
        };
        self.size_of(typed, &mut changes);
        scale_of(typed, lesson, &mut changes);
        for (formula, _) in typed.each("purity") {
            let kind = lesson.recipe.alkalis.iter().map(|it| it.kind).find(|it| it.formula() == formula);
            let (Some(kind), name) = (kind, format!("purity.{formula}")) else { continue };
            let Some(percent) = typed.quantity(&name, (&format!("purity of {formula}"), "a percentage"), number) else {
                continue;
            };
            let key = Located { value: formula, place: percent.place.clone() };
            let entry = Entry { key, node: Node { place: percent.place, value: NodeValue::Number(percent.value) } };
            if let Some(purity) = read_purity(&entry, limits, &mut typed.findings) {
                let range = Some(purity.reckoned_with(limits.purity_tolerance_percent));
                changes.purity.insert(kind, Purity { range, ..purity });
            }
        }
        for share in &lesson.recipe.fats {
            let id = &*share.fat.id;
            let mut fat = Arc::clone(&share.fat);
            if let Some(other) = typed.text(&format!("exchange.{id}")) {
                match self.tables.fats.get(&other.value) {
                    Some(it) => fat = Arc::clone(it),
                    None => {
                        let near = nearest(&other.value, self.tables.fats.keys().map(String::as_str));
                        typed.findings.push(Finding::unknown_fat(other.place, &other.value, near));
                    }
                }
            }
            let called = format!("saponification value of {}", fat.name);
            let wanted = "a number, mg KOH per g, such as 190";
            if let Some(value) = typed.quantity(&format!("certificate.{id}"), (&called, wanted), number) {
                let source = Source::Words(CERTIFICATE.to_owned());
                let (by_certificate, findings) = fat.by_certificate(&value, source, &self.tables);
                typed.findings.extend(findings);
                fat = by_certificate.map_or(fat, Arc::new);
                changes.certificates.insert(Arc::clone(&share.fat.id));
            }
            if *fat != *share.fat {
                changes.fats.insert(id.to_owned(), fat);
            }
        }
        changes
    }

    /// The size, by the way that was chosen; what was typed for another way is left alone.
    fn size_of(&self, typed: &mut Typed, changes: &mut Changes) {
        let Some(way) = typed.text("size") else { return };
        let Some(way) = SizeWay::ALL.into_iter().find(|(name, _)| *name == way.value).map(|(_, way)| way) else {
            return;
        };
        match way {
            SizeWay::Mould => {
                let Some(name) = typed.text("mould") else { return };
                match self.tables.moulds.get(&name.value) {
                    Some(mould) => changes.size = Some(BatchSize::Mould(mould.clone())),
                    None => {
                        let near = nearest(&name.value, self.tables.moulds.keys().map(String::as_str));
                        typed.findings.push(Finding::unknown_mould(name.place, &name.value, near));
                    }
                }
            }
            SizeWay::Box => own_mould_of(typed, &["inside-length", "inside-width"], changes),
            SizeWay::Round => own_mould_of(typed, &["inside-diameter"], changes),
            SizeWay::Holds => own_mould_of(typed, &["holds"], changes),
            SizeWay::Fats => {
                changes.size = typed.mass("batch", "the mass of fats").map(|it| BatchSize::Fats(it.value));
            }
            SizeWay::AtHand => {
                let (Some(name), Some(mass)) = (typed.text("have-of"), typed.mass("have", "what you have")) else {
                    return;
                };
                let place = mass.place;
                let target = Target::AtHand { name: name.value, mass: mass.value };
                changes.target = Some(Located { value: target, place });
            }
            SizeWay::Bars => {
                let count = typed.number_between("bars", "bars", BARS);
                let (Some(count), Some(mass)) = (count, typed.mass("bar", "the mass of a bar")) else { return };
                let target = Target::Bars { count: count.value.round() as u32, mass: mass.value };
                changes.target = Some(Located { value: target, place: count.place });
            }
        }
    }
}

/// How many bars somebody may want at once.
const BARS: (f64, f64) = (1.0, 10_000.0);

/// The units and the scale. Whoever says what step their scale has weighs on that scale alone, and sees no other unit.
fn scale_of(typed: &mut Typed, lesson: &Ledger, changes: &mut Changes) {
    let chosen = typed.text("units").and_then(|it| match it.value.as_str() {
        "grams" => Some(ScaleUnit::Grams),
        "ounces" => Some(ScaleUnit::Ounces),
        _ => None,
    });
    changes.units = chosen.map(Units::only);
    let Some(step) = typed.text("step") else { return };
    let unit = chosen.unwrap_or(lesson.scales.units.main());
    match Scale::step_typed(&step.value, unit) {
        Ok((unit, division)) => {
            let (finest, coarsest) = unit.division_limits();
            if (finest..=coarsest).contains(&division) {
                changes.units = Some(Units::only(unit));
                changes.scale = Some(Scale::new(unit, division));
            } else {
                let called = format!("the step of your scale, {}", unit.symbol());
                typed.findings.push(Finding::out_of_range(step.place, &called, division, finest, coarsest));
            }
        }
        Err(error) => {
            let wanted = "the smallest step of a scale, such as \"5 g\"";
            typed.findings.push(Finding::not_a_quantity(step.place, "the step of your scale", wanted, &error));
        }
    }
}

/// What to say where the worst case of the superfat is below zero for the scale alone: from which batch on it is not.
fn too_coarse(lesson: &Ledger, changes: &Changes, tables: &Tables) -> Option<String> {
    let recipe = changes.applied(lesson.recipe.clone()).ok()?;
    let (recipe, scales) = (sized(recipe, changes, lesson.scales, tables).ok()?, lesson.scales.with(changes));
    let own = Ledger::of(recipe, tables, scales, None);
    if own.is_safe_by_scale() {
        return None;
    }
    Some(too_coarse_words(&own, smallest_batch(&own, tables)?))
}

/// A phrase as a sentence.
fn sentence(phrase: &str) -> String {
    format!("{}.", capitalised(phrase).trim_end_matches('.'))
}

/// The mould that a student measured.
fn own_mould_of(typed: &mut Typed, measures: &[&str], changes: &mut Changes) {
    // Until something is typed there is nothing to refuse.
    if measures.iter().all(|it| typed.node(it).is_none()) {
        return;
    }
    let mut entries = Vec::new();
    for name in measures.iter().chain(&["fill-height", "cavities"]) {
        let NodeValue::Table(all) = &typed.root.value else { continue };
        let Some(mut entry) = all.iter().find(|it| it.key.value == **name).cloned() else { continue };
        if *name == "cavities" {
            let Some(it) = typed.quantity("cavities", ("cavities", "a whole number"), number) else { continue };
            entry.node.value = NodeValue::Number(it.value);
        }
        entries.push(entry);
    }
    let place = entries.first().map_or_else(|| typed.root.place.clone(), |it| it.node.place.clone());
    let table = Node { place, value: NodeValue::Table(entries) };
    let mut reader = Reader::new(&table, OWN_MOULD);
    let mould = own_mould(&mut reader, OWN_MOULD);
    typed.findings.append(&mut reader.findings);
    changes.size = mould.map(BatchSize::Mould);
}
