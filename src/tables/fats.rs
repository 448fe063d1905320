//! The rows of fats.toml.
//!
//! Layer 1.

use std::sync::Arc;

use super::acids::FATTY_ACIDS;
use super::value::{PublishedRange, Row, Source, pair_of, read_choice, require_source};
use crate::finding::Finding;
use crate::reader::Reader;
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
    const ALL: [(&'static str, FatKind); 3] =
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
    /// Low end of the published range of saponification values.
    pub sap_low: SapValue,
    /// High end of the published range.
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
    /// What an instructor should know.
    pub note: Option<String>,
}

pub(super) fn read_fat(row: &mut Row<'_>) -> Option<Fat> {
    let id = row.id;
    let kind = row.last(|file| read_choice(file, "kind", &FatKind::ALL));
    let name = row.words("name");
    let ([inci, inci_sodium_soap, inci_potassium_soap], inci_source) =
        row.inci(["inci", "inci-sodium-soap", "inci-potassium-soap"]);
    let [low, high, used] = row.in_parts("saponification-value", |range| {
        range.ends("saponification-value", ["low", "high", "use"], (1.0, 1000.0))
    });
    let iodine_value = row.range("iodine-value", (0.0, 400.0));
    let (relative_density, density_basis) =
        row.in_parts("density", |range| (range.published("density", (0.5, 1.5)), range.words("at")));
    let fatty_acids = row.whole("fatty-acids", |acids| read_fatty_acids(acids, id));
    let note = row.words("note");
    let Some(name) = name else {
        row.tell_missing("name", "name = \"olive oil\"");
        return None;
    };
    let (low, high) = match (low, high, &used) {
        (Some(low), Some(high), _) => (low, high),
        (None, None, Some(used)) => (used.clone(), used.clone()),
        _ => {
            let example = "saponification-value = { low = 184, high = 196, source = \"...\" }";
            row.tell_missing("saponification-value", example);
            return None;
        }
    };
    let (sap_low, sap_high) = (low.number, high.number);
    let sap_used = used.as_ref().map_or_else(|| f64::midpoint(sap_low, sap_high), |it| it.number);
    if let Some(used) = &used {
        let place = used.place.clone();
        if sap_used < sap_low {
            row.tell(Finding::value_below_its_range(place, id, sap_used, sap_low, sap_high));
        } else if sap_used > sap_high {
            row.tell(Finding::value_above_its_range(place, id, sap_used, sap_low, sap_high));
        }
    }
    Some(Fat {
        id: id.into(),
        name: name.into(),
        kind: kind.unwrap_or(FatKind::Triglyceride),
        inci,
        inci_sodium_soap,
        inci_potassium_soap,
        inci_source,
        // A value to use that lies outside the published range widens it: the interval must hold what is used.
        sap_low: SapValue::mg_koh_per_g(sap_low.min(sap_used)),
        sap_high: SapValue::mg_koh_per_g(sap_high.max(sap_used)),
        sap_range_source: low.source,
        sap_used: SapValue::mg_koh_per_g(sap_used),
        sap_used_source: used.map(|it| it.source),
        iodine_value,
        relative_density,
        density_basis,
        fatty_acids,
        note,
    })
}

fn read_fatty_acids(acids: &mut Reader<'_>, id: &str) -> Option<FattyAcids> {
    let source = require_source(acids, id, "fatty-acids");
    let basis = acids.words("basis").map_or_else(String::new, |it| it.value);
    let mut shares = Vec::new();
    for name in FATTY_ACIDS {
        let Some(node) = acids.node(name) else { continue };
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
