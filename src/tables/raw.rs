//! Table rows as typed, laid over one another, and turned into rows that can be trusted.
//!
//! Layer 1. A row is read from each file on its own, so that every number keeps the source typed beside it; then the
//! course's numbers take the place of the embedded ones.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::additives::{RawAdditive, read_additive, trust_additive};
use super::{
    Alkali, AlkaliKind, DensityModel, Fat, FatKind, FattyAcids, Limits, Mould, MouldShape, PublishedRange, Source,
    Tables,
};
use crate::finding::{Finding, Severity, nearest};
use crate::reader::{Entry, Node, NodeValue, Reader, parse};
use crate::source::{Extract, Located, Place, SourceFile};
use crate::units::{Density, Length, MolarMass, SapValue};

/// A number with the source that stands in the same value.
#[derive(Clone)]
pub(super) struct Sourced {
    pub(super) number: Located<f64>,
    pub(super) source: Source,
}

/// `{ low, high, use, at, source }`, whatever of it was typed.
#[derive(Clone, Default)]
pub(super) struct RawRange {
    pub(super) low: Option<Sourced>,
    pub(super) high: Option<Sourced>,
    pub(super) used: Option<Sourced>,
    basis: Option<String>,
}

impl RawRange {
    pub(super) fn over(self, base: RawRange) -> RawRange {
        RawRange {
            low: self.low.or(base.low),
            high: self.high.or(base.high),
            used: self.used.or(base.used),
            basis: self.basis.or(base.basis),
        }
    }
}

/// A row of fats.toml.
#[derive(Clone, Default)]
struct RawFat {
    place: Option<Place>,
    name: Option<String>,
    kind: Option<FatKind>,
    inci: Option<String>,
    inci_sodium_soap: Option<String>,
    inci_potassium_soap: Option<String>,
    saponification_value: RawRange,
    iodine_value: RawRange,
    density: RawRange,
    fatty_acids: Option<FattyAcids>,
    note: Option<String>,
}

impl RawFat {
    fn over(self, base: RawFat) -> RawFat {
        RawFat {
            place: self.place.or(base.place),
            name: self.name.or(base.name),
            kind: self.kind.or(base.kind),
            inci: self.inci.or(base.inci),
            inci_sodium_soap: self.inci_sodium_soap.or(base.inci_sodium_soap),
            inci_potassium_soap: self.inci_potassium_soap.or(base.inci_potassium_soap),
            saponification_value: self.saponification_value.over(base.saponification_value),
            iodine_value: self.iodine_value.over(base.iodine_value),
            density: self.density.over(base.density),
            fatty_acids: self.fatty_acids.or(base.fatty_acids),
            note: self.note.or(base.note),
        }
    }
}

/// A row of alkalis.toml.
#[derive(Clone, Default)]
struct RawAlkali {
    name: Option<String>,
    molar_mass: Option<Sourced>,
    strongest: Option<Sourced>,
    hazards: Option<Vec<String>>,
    density_model: Option<DensityModel>,
}

/// A row of moulds.toml.
#[derive(Clone, Default)]
struct RawMould {
    place: Option<Place>,
    name: Option<String>,
    length: Option<Length>,
    width: Option<Length>,
    diameter: Option<Length>,
    fill_height: Option<Length>,
    cavities: Option<f64>,
}

/// All rows as typed, by file.
#[derive(Default)]
struct RawTables {
    fats: BTreeMap<String, RawFat>,
    alkalis: BTreeMap<String, RawAlkali>,
    moulds: BTreeMap<String, RawMould>,
    additives: BTreeMap<String, RawAdditive>,
    limits: BTreeMap<String, RawRange>,
}

pub(super) fn load(embedded: &[(&str, &str)], course_files: &[Arc<SourceFile>]) -> (Tables, Vec<Finding>) {
    let mut raw = RawTables::default();
    let mut findings = Vec::new();
    for (name, text) in embedded {
        let file = SourceFile::new(format!("(built in) {name}"), *text);
        raw.read(&file, name, &mut findings);
    }
    let names: Vec<&str> = embedded.iter().map(|(name, _)| *name).collect();
    for file in course_files {
        let name = file.path().rsplit('/').next().unwrap_or_default();
        if names.contains(&name) {
            raw.read(file, name, &mut findings);
        } else {
            let place = Extract::whole(file).place(0..0);
            findings.push(Finding::unknown_table(place, name, nearest(name, names.iter().copied()), &names));
        }
    }
    let tables = raw.trust(&mut findings);
    (tables, findings)
}

impl RawTables {
    fn read(&mut self, file: &Arc<SourceFile>, name: &str, findings: &mut Vec<Finding>) {
        let (root, syntax) = parse(&Extract::whole(file));
        findings.extend(syntax);
        let NodeValue::Table(rows) = &root.value else { return };
        for Entry { key, node } in rows {
            let id = &key.value;
            let mut row = Reader::new(node, id);
            match name {
                "fats.toml" => {
                    let fat = RawFat { place: Some(key.place.clone()), ..read_fat(&mut row, id) };
                    let base = self.fats.remove(id).unwrap_or_default();
                    self.fats.insert(id.clone(), fat.over(base));
                }
                "alkalis.toml" => {
                    let alkali = read_alkali(&mut row, id);
                    if AlkaliKind::ALL.iter().any(|it| it.formula() == id) {
                        let base = self.alkalis.remove(id).unwrap_or_default();
                        self.alkalis.insert(
                            id.clone(),
                            RawAlkali {
                                name: alkali.name.or(base.name),
                                molar_mass: alkali.molar_mass.or(base.molar_mass),
                                strongest: alkali.strongest.or(base.strongest),
                                hazards: alkali.hazards.or(base.hazards),
                                density_model: alkali.density_model.or(base.density_model),
                            },
                        );
                    } else {
                        findings.push(Finding::unknown_alkali(key.place.clone(), id));
                    }
                }
                "additives.toml" => {
                    let mut additive = read_additive(&mut row, id);
                    additive.place = Some(key.place.clone());
                    let base = self.additives.remove(id).unwrap_or_default();
                    self.additives.insert(id.clone(), additive.over(base));
                }
                "moulds.toml" => {
                    let mould = RawMould { place: Some(key.place.clone()), ..read_mould(&mut row, id) };
                    let base = self.moulds.remove(id).unwrap_or_default();
                    self.moulds.insert(
                        id.clone(),
                        RawMould {
                            place: mould.place.or(base.place),
                            name: mould.name.or(base.name),
                            length: mould.length.or(base.length),
                            width: mould.width.or(base.width),
                            diameter: mould.diameter.or(base.diameter),
                            fill_height: mould.fill_height.or(base.fill_height),
                            cavities: mould.cavities.or(base.cavities),
                        },
                    );
                }
                _ => {
                    let range = read_range(&mut row, id, "value", (0.0, 1e6));
                    let base = self.limits.remove(id).unwrap_or_default();
                    self.limits.insert(id.clone(), range.over(base));
                }
            }
            findings.extend(row.finish());
        }
    }

    fn trust(self, findings: &mut Vec<Finding>) -> Tables {
        let fats = self.fats.into_iter().filter_map(|(id, raw)| Some((id.clone(), trust_fat(id, raw, findings)?)));
        let fats = fats.collect();
        let additives = self.additives.into_iter();
        let additives = additives.filter_map(|(id, raw)| Some((id.clone(), trust_additive(id, raw, findings)?)));
        let additives = additives.collect();
        let moulds =
            self.moulds.into_iter().filter_map(|(id, raw)| Some((id.clone(), trust_mould(id, raw, findings)?)));
        let moulds = moulds.collect();
        let alkali = |kind: AlkaliKind| trust_alkali(kind, self.alkalis.get(kind.formula()).cloned());
        let limit = |name: &str| self.limits.get(name).cloned().unwrap_or_default();
        let value = |name: &str| limit(name).used.expect("an embedded limit has a value").number.value;
        let usual = limit("usual-lye-concentration-percent");
        let end = |it: Option<Sourced>| it.expect("the embedded limit has both ends").number.value;
        let positive_density = |name: &str| Density::grams_per_millilitre(value(name).clamp(0.1, 10.0));
        let limits = Limits {
            usual_lye_concentration_percent: (end(usual.low), end(usual.high)),
            purity_tolerance_percent: value("purity-tolerance-percent"),
            strong_lye_concentration_percent: value("strong-lye-concentration-percent"),
            highest_usual_superfat_percent: value("highest-usual-superfat-percent"),
            fat_density: positive_density("fat-density-g-per-ml"),
            water_density: positive_density("water-density-g-per-ml"),
            pouring_temperature_celsius: value("pouring-temperature-celsius"),
        };
        Tables { fats, additives, moulds, naoh: alkali(AlkaliKind::NaOH), koh: alkali(AlkaliKind::KOH), limits }
    }
}

fn read_fat(row: &mut Reader<'_>, id: &str) -> RawFat {
    let kind = row.text("kind").and_then(|kind| match kind.value.as_str() {
        "triglyceride" => Some(FatKind::Triglyceride),
        "wax" => Some(FatKind::Wax),
        "fatty-acid" => Some(FatKind::FattyAcid),
        other => {
            row.findings.push(Finding::unknown_choice(
                kind.place,
                "kind",
                other,
                &["triglyceride", "wax", "fatty-acid"],
            ));
            None
        }
    });
    let inci_place = row.place();
    let raw = RawFat {
        place: None,
        name: row.words("name").map(|it| it.value),
        kind,
        inci: row.words("inci").map(|it| it.value),
        inci_sodium_soap: row.words("inci-sodium-soap").map(|it| it.value),
        inci_potassium_soap: row.words("inci-potassium-soap").map(|it| it.value),
        saponification_value: read_value(row, "saponification-value", id, (1.0, 1000.0)),
        iodine_value: read_value(row, "iodine-value", id, (0.0, 400.0)),
        density: read_value(row, "density", id, (0.5, 1.5)),
        fatty_acids: row.node("fatty-acids").and_then(|node| read_fatty_acids(row, node, id)),
        note: row.words("note").map(|it| it.value),
    };
    let has_inci = raw.inci.is_some() || raw.inci_sodium_soap.is_some() || raw.inci_potassium_soap.is_some();
    if read_source(row, "inci-source").is_none() && has_inci {
        row.findings.push(Finding::value_without_source(inci_place, id, "inci"));
    }
    raw
}

fn read_alkali(row: &mut Reader<'_>, id: &str) -> RawAlkali {
    let name = row.words("name").map(|it| it.value);
    // Kept in the table for the reader of the table; the pages use the name.
    let _ = (row.words("also-called"), row.words("formula"));
    let hazards = row.node("hazards").and_then(|node| {
        let mut hazards = Reader::new(node, "hazards");
        let statements = hazards.list("statements").map(|items| {
            let words = items.iter().filter_map(|it| match &it.value {
                NodeValue::Text(text) => Some(text.clone()),
                other => {
                    row.findings.push(Finding::wrong_type(
                        it.place.clone(),
                        "statements",
                        "text in quotes",
                        other.kind(),
                    ));
                    None
                }
            });
            words.collect()
        });
        let _ = hazards.words("signal");
        if read_source(&mut hazards, "source").is_none() {
            hazards.findings.push(Finding::value_without_source(node.place.clone(), id, "hazards"));
        }
        row.findings.extend(hazards.finish());
        statements
    });
    RawAlkali {
        name,
        molar_mass: read_value(row, "molar-mass", id, (1.0, 1000.0)).used,
        strongest: read_value(row, "strongest-solution-percent", id, (1.0, 99.0)).used,
        hazards,
        density_model: row.node("density-model").and_then(|node| read_density_model(row, node, id)),
    }
}

fn read_density_model(row: &mut Reader<'_>, node: &Node, id: &str) -> Option<DensityModel> {
    let mut model = Reader::new(node, "density-model");
    let mut number = |key: &'static str| {
        let number = model.number(key);
        model.require(key, number, "all of c0 to c4, lowest-celsius, highest-celsius and highest-mass-fraction")
    };
    let coefficients = ["c0", "c1", "c2", "c3", "c4"].map(&mut number);
    let ends = ["lowest-celsius", "highest-celsius", "highest-mass-fraction"].map(&mut number);
    let source = read_source(&mut model, "source");
    if source.is_none() {
        model.findings.push(Finding::value_without_source(node.place.clone(), id, "density-model"));
    }
    row.findings.extend(model.finish());
    let value = |it: &Option<Located<f64>>| it.as_ref().map(|it| it.value);
    let [c0, c1, c2, c3, c4] = coefficients.each_ref().map(value);
    let [lowest, highest, fraction] = ends.each_ref().map(value);
    Some(DensityModel {
        coefficients: [c0?, c1?, c2?, c3?, c4?],
        celsius: (lowest?, highest?),
        highest_mass_fraction: fraction?,
        source: source?,
    })
}

fn read_mould(row: &mut Reader<'_>, id: &str) -> RawMould {
    let place = row.place();
    let mut length = |key: &'static str| {
        let length = row.length(key)?;
        let (low, high) = (1.0, 10_000.0);
        if (low..=high).contains(&length.value.to_millimetres()) {
            return Some(length.value);
        }
        row.findings.push(Finding::out_of_range(length.place, key, length.value.to_millimetres(), low, high));
        None
    };
    let mut raw = RawMould {
        length: length("inside-length"),
        width: length("inside-width"),
        diameter: length("inside-diameter"),
        fill_height: length("fill-height"),
        ..RawMould::default()
    };
    raw.name = row.words("name").map(|it| it.value);
    raw.cavities = row.number_between("cavities", 1.0, 1000.0).and_then(|it| {
        if it.value.fract() == 0.0 {
            return Some(it.value);
        }
        row.findings.push(Finding::wrong_type(it.place, "cavities", "a whole number", "a fraction"));
        None
    });
    if read_source(row, "source").is_none() {
        row.findings.push(Finding::value_without_source(place, id, "the inside dimensions"));
    }
    raw
}

pub(super) fn read_value(row: &mut Reader<'_>, key: &'static str, id: &str, bounds: (f64, f64)) -> RawRange {
    let Some(node) = row.node(key) else { return RawRange::default() };
    let mut value = Reader::new(node, key);
    // One number under `value` and a number to use within a range are the same thing: what is computed with.
    let used_key = if matches!(key, "molar-mass" | "strongest-solution-percent" | "strength-percent" | "water-percent")
    {
        "value"
    } else {
        "use"
    };
    let mut range = read_range(&mut value, id, used_key, bounds);
    if key == "density" {
        range.basis = value.words("at").map(|it| it.value);
    }
    row.findings.extend(value.finish());
    range
}

/// Reads `low`, `high`, the number to use and the `source` that answers for them.
fn read_range(value: &mut Reader<'_>, id: &str, used_key: &'static str, bounds: (f64, f64)) -> RawRange {
    let mut number = |key| value.number_between(key, bounds.0, bounds.1);
    let (low, high, used) = (number("low"), number("high"), number(used_key));
    let source = read_source(value, "source");
    if source.is_none() && (low.is_some() || high.is_some() || used.is_some()) {
        value.findings.push(Finding::value_without_source(value.place(), id, value_name(used_key)));
    }
    if let (Some(low), Some(high)) = (&low, &high)
        && low.value > high.value
    {
        let place = low.place.clone();
        value.findings.push(Finding::range_upside_down(place, id, "the range", low.value, high.value));
        return RawRange::default();
    }
    let sourced = |number: Option<Located<f64>>| {
        Some(Sourced { number: number?, source: source.clone().unwrap_or(Source::FromMemory) })
    };
    RawRange { low: sourced(low), high: sourced(high), used: sourced(used), basis: None }
}

fn value_name(used_key: &str) -> &'static str {
    if used_key == "use" { "a published value" } else { "a value" }
}

pub(super) fn read_source(row: &mut Reader<'_>, key: &'static str) -> Option<Source> {
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
            let confidence = source.text("confidence");
            if let Some(it) = &confidence
                && it.value != "from memory"
            {
                let known = ["from memory"];
                source.findings.push(Finding::unknown_choice(it.place.clone(), "confidence", &it.value, &known));
            }
            row.findings.extend(source.finish());
            Some(Source::Work {
                work: work.map_or_else(String::new, |it| it.value),
                edition,
                place,
                recalled: confidence.is_some(),
            })
        }
        other => {
            row.findings.push(Finding::wrong_type(node.place.clone(), key, "text or a table", other.kind()));
            // Typed, though wrongly: a second finding about a missing source would only confuse.
            Some(Source::FromMemory)
        }
    }
}

/// The acids that a row may name, with the lowest and highest share.
const FATTY_ACIDS: [&str; 18] = [
    "C4-0",
    "C6-0",
    "C8-0",
    "C10-0",
    "C12-0",
    "C14-0",
    "C16-0",
    "C16-1",
    "C18-0",
    "C18-1",
    "C18-2",
    "C18-3",
    "C20-0",
    "C20-1",
    "C22-0",
    "C22-1",
    "C24-0",
    "ricinoleic",
];

fn read_fatty_acids(row: &mut Reader<'_>, node: &Node, id: &str) -> Option<FattyAcids> {
    let mut acids = Reader::new(node, "fatty-acids");
    let source = read_source(&mut acids, "source");
    if source.is_none() {
        acids.findings.push(Finding::value_without_source(node.place.clone(), id, "fatty-acids"));
    }
    let basis = acids.words("basis").map_or_else(String::new, |it| it.value);
    let mut shares = Vec::new();
    for name in FATTY_ACIDS {
        let Some(node) = acids.node(name) else { continue };
        let ends: Vec<f64> = match &node.value {
            NodeValue::List(items) => items
                .iter()
                .filter_map(|it| match it.value {
                    NodeValue::Number(number) if (0.0..=100.0).contains(&number) => Some(number),
                    _ => None,
                })
                .collect(),
            _ => Vec::new(),
        };
        match ends[..] {
            [low, high] if low <= high => shares.push((name.to_owned(), low, high)),
            [low, high] => {
                acids.findings.push(Finding::range_upside_down(node.place.clone(), id, name, low, high));
            }
            _ => {
                let wanted = "two percentages, such as [55.0, 83.0]";
                acids.findings.push(Finding::wrong_type(node.place.clone(), name, wanted, node.value.kind()));
            }
        }
    }
    row.findings.extend(acids.finish());
    Some(FattyAcids { shares, basis, source: source? })
}

fn trust_fat(id: String, raw: RawFat, findings: &mut Vec<Finding>) -> Option<Fat> {
    let place = raw.place?;
    // A row whose value was typed and refused has its finding already.
    let already_refused =
        |findings: &[Finding]| findings.iter().any(|it| it.severity == Severity::Error && it.place.file == place.file);
    let name = match raw.name {
        Some(name) => name,
        None => {
            if !already_refused(findings) {
                findings.push(Finding::missing_key(place, "name", "name = \"olive oil\""));
            }
            return None;
        }
    };
    let sap = raw.saponification_value;
    let ends = match (&sap.low, &sap.high, &sap.used) {
        (Some(low), Some(high), _) => Some((low.clone(), high.clone())),
        (None, None, Some(used)) => Some((used.clone(), used.clone())),
        _ => None,
    };
    let Some((low, high)) = ends else {
        if !already_refused(findings) {
            let example = "saponification-value = { low = 184, high = 196, source = \"...\" }";
            findings.push(Finding::missing_key(place, "saponification-value", example));
        }
        return None;
    };
    let (low_value, high_value) = (low.number.value, high.number.value);
    if low_value > high_value {
        // One end from the course, the other from the embedded row.
        let name = "saponification-value";
        findings.push(Finding::range_upside_down(low.number.place, &id, name, low_value, high_value));
        return None;
    }
    let used = match &sap.used {
        Some(used) => {
            let value = used.number.value;
            if value < low_value || value > high_value {
                let place = used.number.place.clone();
                findings.push(Finding::value_outside_its_range(place, &id, value, low_value, high_value));
            }
            value
        }
        None => f64::midpoint(low_value, high_value),
    };
    let range = |raw: RawRange| {
        let source = raw.low.as_ref().or(raw.high.as_ref())?.source.clone();
        Some(PublishedRange {
            low: raw.low.map(|it| it.number.value),
            high: raw.high.map(|it| it.number.value),
            source,
        })
    };
    let density_basis = raw.density.basis.clone();
    Some(Fat {
        id,
        name,
        kind: raw.kind.unwrap_or(FatKind::Triglyceride),
        inci: raw.inci,
        inci_sodium_soap: raw.inci_sodium_soap,
        inci_potassium_soap: raw.inci_potassium_soap,
        // A value to use that lies outside the published range widens it: the interval must hold what is used.
        sap_low: SapValue::mg_koh_per_g(low_value.min(used)),
        sap_high: SapValue::mg_koh_per_g(high_value.max(used)),
        sap_range_source: low.source,
        sap_used: SapValue::mg_koh_per_g(used),
        sap_used_source: sap.used.map(|it| it.source),
        iodine_value: range(raw.iodine_value),
        relative_density: range(raw.density),
        density_basis,
        fatty_acids: raw.fatty_acids,
        note: raw.note,
    })
}

fn trust_alkali(kind: AlkaliKind, raw: Option<RawAlkali>) -> Alkali {
    let raw = raw.expect("the embedded table has both alkalis");
    let molar_mass = raw.molar_mass.expect("the embedded table has a molar mass");
    let strongest = raw.strongest.expect("the embedded table has a strongest solution");
    Alkali {
        kind,
        name: raw.name.expect("the embedded table has a name"),
        molar_mass: MolarMass::grams_per_mole(molar_mass.number.value),
        molar_mass_source: molar_mass.source,
        strongest_solution_percent: strongest.number.value,
        strongest_solution_source: strongest.source,
        density_model: raw.density_model.expect("the embedded table has a density model"),
        hazard_statements: raw.hazards.unwrap_or_default(),
    }
}

fn trust_mould(id: String, raw: RawMould, findings: &mut Vec<Finding>) -> Option<Mould> {
    let place = raw.place?;
    let shape = match (raw.length, raw.width, raw.diameter) {
        (Some(length), Some(width), None) => Some(MouldShape::Box { length, width }),
        (None, None, Some(diameter)) => Some(MouldShape::Cylinder { diameter }),
        _ => None,
    };
    let (Some(shape), Some(fill_height)) = (shape, raw.fill_height) else {
        findings.push(Finding::mould_shape_unclear(place, &id));
        return None;
    };
    let name = raw.name.unwrap_or_else(|| id.clone());
    // Checked to be a whole number from 1 to 1000 when it was read.
    let cavities = raw.cavities.unwrap_or(1.0) as u32;
    Some(Mould { id, name, shape, fill_height, cavities })
}
