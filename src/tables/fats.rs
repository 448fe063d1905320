//! The rows of fats.toml.
//!
//! Layer 1.

use std::sync::Arc;

use super::Tables;
use super::acids::FATTY_ACIDS;
use super::plausible::{PlausibleSap, judge_fatty_acids, meant};
use super::value::{PublishedRange, Row, Source, pair_of, read_choice, require_source};
use crate::finding::Finding;
use crate::reader::Reader;
use crate::source::{Located, Place};
use crate::units::SapValue;

/// What a molecule of a fat gives when it is saponified.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FatKind {
    /// Soap and glycerol.
    Triglyceride,
    /// Soap and a fatty alcohol; no glycerol.
    Wax,
    /// Soap and water; no glycerol.
    FattyAcid,
}

impl FatKind {
    /// All of them with what tables call them.
    pub(super) const ALL: [(&'static str, FatKind); 3] =
        [("triglyceride", FatKind::Triglyceride), ("wax", FatKind::Wax), ("fatty-acid", FatKind::FattyAcid)];
}

/// The fatty acids of a fat, percent by mass of all of them.
#[derive(Clone, Debug, PartialEq)]
pub struct FattyAcids {
    /// Low and high by the acid's short name, such as `C18-1` or `ricinoleic`, in the order of the table.
    pub shares: Vec<(String, f64, f64)>,
    /// What the figures are: a standard's range, a typical profile, a mean of samples.
    pub basis: String,
    /// Who published them.
    pub source: Source,
}

/// A fat that recipes may use.
#[derive(Clone, Debug, PartialEq)]
pub struct Fat {
    /// What recipes call it.
    pub id: Arc<str>,
    /// What pages call it.
    pub name: Arc<str>,
    /// What saponifying it gives.
    pub kind: FatKind,
    /// Name in lists of ingredients.
    pub inci: Option<String>,
    /// Name of its sodium soap in lists of ingredients.
    pub inci_sodium_soap: Option<String>,
    /// Name of its potassium soap in lists of ingredients.
    pub inci_potassium_soap: Option<String>,
    /// Who answers for these names.
    pub inci_source: Option<Source>,
    /// The published range of saponification values, low and high; `None` where the row has a single figure.
    pub sap_published: Option<(SapValue, SapValue)>,
    /// The lowest value that is reckoned with: of the published range, or of what surrounds a single figure.
    pub sap_low: SapValue,
    /// The highest one.
    pub sap_high: SapValue,
    /// Who published the range.
    pub sap_range_source: Source,
    /// The value that recipes use: the middle of the range, unless the row states one.
    pub sap_used: SapValue,
    /// Who answers for the value used, when it is not the middle of the range.
    pub sap_used_source: Option<Source>,
    /// Iodine value, grams of iodine per 100 g.
    pub iodine_value: Option<PublishedRange>,
    /// Relative density, ratio to water.
    pub relative_density: Option<PublishedRange>,
    /// The temperatures of the relative density, in words.
    pub density_basis: Option<String>,
    /// What its fatty acids are.
    pub fatty_acids: Option<FattyAcids>,
    /// How it is at room temperature, where the row says so.
    pub state: Option<FatState>,
    /// What an instructor should know.
    pub note: Option<String>,
}

impl Fat {
    /// Whether it has to be melted before it is weighed in: as its row says, or by its iodine value. Of one that has
    /// neither nothing is known, and the harmless guess is that it must be melted.
    ///
    /// - `below`: the iodine value below which a fat counts as solid, `solid-below-iodine-value` in `limits.toml`.
    #[must_use]
    pub fn is_solid(&self, below: f64) -> bool {
        match self.state {
            Some(state) => state == FatState::Solid,
            None => self.iodine_value.as_ref().and_then(PublishedRange::middle).is_none_or(|it| it < below),
        }
    }
}

/// How a fat is on a cool bench.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FatState {
    /// It has to be melted.
    Solid,
    /// It is poured.
    Liquid,
}

impl FatState {
    /// Both with what tables call them.
    const ALL: [(&'static str, FatState); 2] = [("solid", FatState::Solid), ("liquid", FatState::Liquid)];
}

pub(super) fn read_fat(row: &mut Row<'_>, tables: &Tables) -> Option<Fat> {
    let id = row.id;
    let kind = row.last(|file| read_choice(file, "kind", &FatKind::ALL));
    let name = row.words("name");
    let ([inci, inci_sodium_soap, inci_potassium_soap], inci_source) =
        row.inci(["inci", "inci-sodium-soap", "inci-potassium-soap"]);
    let ([low, high, used], plus_minus) = row.in_parts("saponification-value", |range| {
        let ends = range.ends("saponification-value", ["low", "high", "use"], (1.0, 1000.0));
        (ends, range.last(|file| file.number_between("plus-minus", 0.0, 50.0)))
    });
    let iodine_value = row.range("iodine-value", (0.0, 400.0));
    let (relative_density, density_basis) = row.in_parts("density", |range| {
        (range.published("density", tables.limits.natural_fat_density), range.words("at"))
    });
    let kind = kind.unwrap_or(FatKind::Triglyceride);
    let mut acids_place = None;
    let fatty_acids = row.whole("fatty-acids", |acids| {
        acids_place = Some(acids.place());
        let read = read_fatty_acids(acids, id, tables)?;
        acids.findings.extend(judge_fatty_acids(acids.place(), id, &read, &tables.limits));
        Some(read)
    });
    let state = row.last(|file| read_choice(file, "at-room-temperature", &FatState::ALL));
    let note = row.words("note");
    let Some(name) = name else {
        row.tell_missing("name", "name = \"olive oil\"");
        return None;
    };
    if let (Some(plus_minus), None) = (&plus_minus, &used) {
        row.tell(Finding::missing_key(plus_minus.place.clone(), "use", "use = 190"));
    }
    let published = match (low, high, &used) {
        (Some(low), Some(high), _) => Some((low, high)),
        (None, None, Some(_)) => None,
        _ => {
            let example = "saponification-value = { low = 184, high = 196, source = \"...\" }";
            row.tell_missing("saponification-value", example);
            return None;
        }
    };
    let judged = [published.as_ref().map(|it| &it.0), published.as_ref().map(|it| &it.1)];
    let judged = if published.is_some() { judged } else { [used.as_ref(), None] };
    let plausible = PlausibleSap::of(kind, fatty_acids.as_ref(), tables);
    for value in judged.into_iter().flatten() {
        // A published value is no slip: then what the course says of the acids is.
        let is_typed_here = value.place.file == row.place.file;
        let place = acids_place.as_ref().filter(|_| !is_typed_here).unwrap_or(&value.place);
        if let Some(finding) = plausible.judge(place.clone(), id, value.number) {
            row.tell(finding);
        }
    }
    let ends = published.as_ref().map(|(low, high)| (low.number, high.number));
    let (sap_used, range_source) = match (&used, &published) {
        (Some(used), published) => (used.number, published.as_ref().map_or(&used.source, |it| &it.0.source)),
        (None, Some((low, high))) => (f64::midpoint(low.number, high.number), &low.source),
        (None, None) => return None,
    };
    if let (Some(used), Some(ends)) = (&used, ends)
        && let Some(finding) = outside_its_range(&plausible, used.place.clone(), id, used.number, ends, tables)
    {
        row.tell(finding);
    }
    let (sap_low, sap_high) = match (plus_minus, ends) {
        (Some(plus_minus), _) => (sap_used - plus_minus.value, sap_used + plus_minus.value),
        // A value to use that lies outside the published range widens it: the interval must hold what is used.
        (None, Some((low, high))) => (low.min(sap_used), high.max(sap_used)),
        (None, None) => {
            let off = sap_used * tables.limits.sap_value_tolerance.to_fraction();
            (sap_used - off, sap_used + off)
        }
    };
    let numbers = judged.into_iter().flatten().chain(&used);
    if numbers.into_iter().any(|it| plausible.is_too_high(it.number)) {
        // Told, and what follows from such a value is not.
        return None;
    }
    let sap = SapValue::mg_koh_per_g;
    Some(Fat {
        id: id.into(),
        name: name.into(),
        kind,
        inci,
        inci_sodium_soap,
        inci_potassium_soap,
        inci_source,
        sap_published: ends.map(|(low, high)| (sap(low), sap(high))),
        sap_low: sap(sap_low.max(0.0)),
        sap_high: sap(sap_high),
        sap_range_source: range_source.clone(),
        sap_used: sap(sap_used),
        sap_used_source: used.map(|it| it.source),
        iodine_value,
        relative_density,
        density_basis,
        fatty_acids,
        state,
        note,
    })
}

/// What is to be told of a value to use that lies outside the published range.
fn outside_its_range(
    plausible: &PlausibleSap,
    place: Place,
    id: &str,
    used: f64,
    (low, high): (f64, f64),
    tables: &Tables,
) -> Option<Finding> {
    let meant = meant(used, (low, high));
    let off = tables.limits.sap_value_tolerance.to_fraction();
    let as_koh = plausible.as_koh(used, (low * (1.0 - off), high * (1.0 + off)));
    // What fits both ways is no figure for NaOH.
    if let Some(as_koh) = as_koh.filter(|_| used < low * (1.0 - off)) {
        Some(Finding::value_for_naoh(place, id, used, (low, high), as_koh))
    } else if used < low {
        Some(Finding::value_below_its_range(place, id, used, (low, high), &meant))
    } else if used > high {
        Some(Finding::value_above_its_range(place, id, used, (low, high), &meant))
    } else {
        None
    }
}

impl Fat {
    /// The same fat with the saponification value on a certificate in place of the table's, as sure as a single figure is; with
    /// what is to be told of such a value. `None` where no such fat can have it.
    ///
    /// # Example
    ///
    /// Olive oil by a certificate of 188 mg/g: it is computed with 188, whatever the published range is.
    ///
    /// - `source`: who answers for the value.
    #[must_use]
    pub fn by_certificate(&self, value: &Located<f64>, source: Source, tables: &Tables) -> (Option<Fat>, Vec<Finding>) {
        let plausible = PlausibleSap::of(self.kind, self.fatty_acids.as_ref(), tables);
        let (place, used) = (value.place.clone(), value.value);
        let mut findings: Vec<Finding> = plausible.judge(place.clone(), &self.id, used).into_iter().collect();
        if let (true, Some((low, high))) = (findings.is_empty(), self.sap_published) {
            let ends = (low.to_mg_koh_per_g(), high.to_mg_koh_per_g());
            findings.extend(outside_its_range(&plausible, place, &self.id, used, ends, tables));
        }
        if plausible.is_too_high(used) {
            return (None, findings);
        }
        let off = tables.limits.sap_value_tolerance.to_fraction();
        let [low, used, high] = [1.0 - off, 1.0, 1.0 + off].map(|it| SapValue::mg_koh_per_g(used * it));
        let sap_used_source = Some(source);
        (Some(Fat { sap_low: low, sap_used: used, sap_high: high, sap_used_source, ..self.clone() }), findings)
    }
}

fn read_fatty_acids(acids: &mut Reader<'_>, id: &str, tables: &Tables) -> Option<FattyAcids> {
    let source = require_source(acids, id, "fatty-acids");
    let basis = acids.words("basis").map_or_else(String::new, |it| it.value);
    let mut shares = Vec::new();
    for name in tables.acids.iter().map(|it| &*it.id) {
        // Only names that every course has are offered for a misspelt one.
        let built_in = FATTY_ACIDS.into_iter().find(|it| *it == name);
        let node = if let Some(it) = built_in { acids.node(it) } else { acids.chosen(name) };
        let Some(node) = node else { continue };
        let is_percent = |it: f64| (0.0..=100.0).contains(&it);
        match pair_of(node).filter(|(low, high)| is_percent(*low) && is_percent(*high)) {
            Some((low, high)) if low <= high => shares.push((name.to_owned(), low, high)),
            Some((low, high)) => {
                acids.findings.push(Finding::range_upside_down(node.place.clone(), id, name, low, high));
            }
            None => {
                let wanted = "two percentages, such as [55.0, 83.0]";
                acids.findings.push(Finding::wrong_type(node.place.clone(), name, wanted, node.value.kind()));
            }
        }
    }
    Some(FattyAcids { shares, basis, source: source? })
}
