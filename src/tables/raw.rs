//! Table rows as typed, laid over one another, and turned into rows that can be trusted.
//!
//! Layer 1. A row is read from each file on its own, so that every number keeps the source typed beside it; then the
//! course's numbers take the place of the embedded ones.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::acids::{FATTY_ACIDS, RawAcid, read_acid, trust_acid};
use super::additives::{RawAdditive, read_additive, trust_additive};
use super::alkalis::{RawAlkali, read_alkali, trust_alkali};
use super::fats::{RawFat, read_fat, trust_fat};
use super::moulds::{RawMould, read_mould, trust_mould};
use super::{AlkaliKind, LayerWait, Limits, PublishedRange, Source, TIME_KEYS, Tables};
use crate::finding::{Finding, nearest};
use crate::reader::{Entry, NodeValue, Reader, parse};
use crate::source::{Extract, Located, SourceFile};
use crate::units::{Density, Percent, TimeSpan};

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
    pub(super) basis: Option<String>,
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

    /// As a published range, where there is one.
    pub(super) fn published(self) -> Option<PublishedRange> {
        let source = self.low.as_ref().or(self.high.as_ref())?.source.clone();
        Some(PublishedRange {
            low: self.low.map(|it| it.number.value),
            high: self.high.map(|it| it.number.value),
            source,
        })
    }
}

/// All rows as typed, by file.
#[derive(Default)]
struct RawTables {
    fats: BTreeMap<String, RawFat>,
    acids: BTreeMap<String, RawAcid>,
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
                    let mut fat = read_fat(&mut row, id);
                    fat.place = Some(key.place.clone());
                    let base = self.fats.remove(id).unwrap_or_default();
                    self.fats.insert(id.clone(), fat.over(base));
                }
                "acids.toml" => {
                    let acid = read_acid(&mut row, id);
                    if FATTY_ACIDS.contains(&id.as_str()) {
                        let base = self.acids.remove(id).unwrap_or_default();
                        self.acids.insert(id.clone(), acid.over(base));
                    } else {
                        let near = nearest(id, FATTY_ACIDS);
                        findings.push(Finding::unknown_key(key.place.clone(), id, near, &FATTY_ACIDS));
                    }
                }
                "alkalis.toml" => {
                    let alkali = read_alkali(&mut row, id);
                    if AlkaliKind::ALL.iter().any(|it| it.formula() == id) {
                        let base = self.alkalis.remove(id).unwrap_or_default();
                        self.alkalis.insert(id.clone(), alkali.over(base));
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
                    let mut mould = read_mould(&mut row, id);
                    mould.place = Some(key.place.clone());
                    let base = self.moulds.remove(id).unwrap_or_default();
                    self.moulds.insert(id.clone(), mould.over(base));
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
        let fats =
            self.fats.into_iter().filter_map(|(id, raw)| Some((id.clone(), Arc::new(trust_fat(id, raw, findings)?))));
        let fats = fats.collect();
        let acid = |id: &str| Arc::new(trust_acid(id, self.acids.get(id).cloned().unwrap_or_default()));
        let acids = FATTY_ACIDS.map(acid).to_vec();
        let additives = self.additives.into_iter();
        let additives =
            additives.filter_map(|(id, raw)| Some((id.clone(), Arc::new(trust_additive(id, raw, findings)?))));
        let additives = additives.collect();
        let moulds =
            self.moulds.into_iter().filter_map(|(id, raw)| Some((id.clone(), trust_mould(id, raw, findings)?)));
        let moulds = moulds.collect();
        let alkali = |kind: AlkaliKind| trust_alkali(kind, self.alkalis.get(kind.formula()).cloned());
        let limit = |name: &str| self.limits.get(name).cloned().unwrap_or_default();
        let value = |name: &str| limit(name).used.expect("an embedded limit has a value").number.value;
        let end = |it: Option<Sourced>| it.expect("the embedded limit has both ends").number.value;
        let ends = |name: &str| {
            let range = limit(name);
            (end(range.low), end(range.high))
        };
        let wait = |name: &str| {
            let (usual, longest) = ends(name);
            LayerWait { usual: TimeSpan::minutes(usual), longest: TimeSpan::minutes(longest) }
        };
        let positive_density = |name: &str| Density::grams_per_millilitre(value(name).clamp(0.1, 10.0));
        let limits = Limits {
            usual_lye_concentration_percent: ends("usual-lye-concentration-percent"),
            tap_water_celsius: value("tap-water-celsius").clamp(0.0, 100.0),
            purity_tolerance_percent: value("purity-tolerance-percent"),
            strong_lye_concentration_percent: value("strong-lye-concentration-percent"),
            highest_usual_superfat_percent: value("highest-usual-superfat-percent"),
            fat_density: positive_density("fat-density-g-per-ml"),
            water_density: positive_density("water-density-g-per-ml"),
            pouring_temperature_celsius: value("pouring-temperature-celsius"),
            cured_moisture: Percent::percent(value("cured-moisture-percent").clamp(0.0, 90.0)),
            usual_superfat_percent: ends("usual-superfat-percent"),
            mould_fill_percent: ends("mould-fill-percent"),
            vessel_fill: Percent::percent(value("vessel-fill-percent").clamp(1.0, 100.0)),
            foaming_vessel_fill: Percent::percent(value("foaming-vessel-fill-percent").clamp(1.0, 100.0)),
            layer_wait: wait("layer-wait-minutes"),
            thick_layer_wait: wait("thick-layer-wait-minutes"),
            times: TIME_KEYS.map(|key| {
                let (shortest, longest) = ends(&format!("{key}-minutes"));
                (TimeSpan::minutes(shortest), TimeSpan::minutes(longest))
            }),
        };
        Tables { fats, acids, additives, moulds, naoh: alkali(AlkaliKind::NaOH), koh: alkali(AlkaliKind::KOH), limits }
    }
}

pub(super) fn read_value(row: &mut Reader<'_>, key: &'static str, id: &str, bounds: (f64, f64)) -> RawRange {
    let Some(node) = row.node(key) else { return RawRange::default() };
    let mut value = Reader::new(node, key);
    // One number under `value` and a number to use within a range are the same thing: what is computed with.
    let used_key = if matches!(
        key,
        "molar-mass"
            | "iodine-factor"
            | "strongest-solution-percent"
            | "solid-heat-capacity"
            | "heat-of-solution"
            | "strength-percent"
            | "water-percent"
            | "highest-rate-percent"
            | "bulk-density"
            | "solid-density"
    ) {
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
