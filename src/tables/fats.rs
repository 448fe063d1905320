//! The rows of fats.toml, as typed and as trusted.
//!
//! Layer 1.

use super::acids::FATTY_ACIDS;
use super::raw::{RawRange, read_source, read_value};
use super::{Fat, FatKind, FattyAcids, Source};
use crate::finding::Finding;
use crate::reader::{Node, NodeValue, Reader};
use crate::source::Place;
use crate::units::SapValue;

/// A row of fats.toml.
#[derive(Clone, Default)]
pub(super) struct RawFat {
    pub(super) place: Option<Place>,
    /// Something typed in it was refused: what is missing then may be that.
    is_faulty: bool,
    name: Option<String>,
    kind: Option<FatKind>,
    inci: Option<String>,
    inci_sodium_soap: Option<String>,
    inci_potassium_soap: Option<String>,
    inci_source: Option<Source>,
    saponification_value: RawRange,
    iodine_value: RawRange,
    density: RawRange,
    fatty_acids: Option<FattyAcids>,
    note: Option<String>,
}

impl RawFat {
    pub(super) fn over(self, base: RawFat) -> RawFat {
        RawFat {
            place: self.place.or(base.place),
            is_faulty: self.is_faulty || base.is_faulty,
            name: self.name.or(base.name),
            kind: self.kind.or(base.kind),
            inci: self.inci.or(base.inci),
            inci_sodium_soap: self.inci_sodium_soap.or(base.inci_sodium_soap),
            inci_potassium_soap: self.inci_potassium_soap.or(base.inci_potassium_soap),
            inci_source: self.inci_source.or(base.inci_source),
            saponification_value: self.saponification_value.over(base.saponification_value),
            iodine_value: self.iodine_value.over(base.iodine_value),
            density: self.density.over(base.density),
            fatty_acids: self.fatty_acids.or(base.fatty_acids),
            note: self.note.or(base.note),
        }
    }
}

pub(super) fn read_fat(row: &mut Reader<'_>, id: &str) -> RawFat {
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
    let mut raw = RawFat {
        place: None,
        is_faulty: false,
        name: row.words("name").map(|it| it.value),
        kind,
        inci: row.words("inci").map(|it| it.value),
        inci_sodium_soap: row.words("inci-sodium-soap").map(|it| it.value),
        inci_potassium_soap: row.words("inci-potassium-soap").map(|it| it.value),
        inci_source: None,
        saponification_value: read_value(row, "saponification-value", id, (1.0, 1000.0)),
        iodine_value: read_value(row, "iodine-value", id, (0.0, 400.0)),
        density: read_value(row, "density", id, (0.5, 1.5)),
        fatty_acids: row.node("fatty-acids").and_then(|node| read_fatty_acids(row, node, id)),
        note: row.words("note").map(|it| it.value),
    };
    let has_inci = raw.inci.is_some() || raw.inci_sodium_soap.is_some() || raw.inci_potassium_soap.is_some();
    raw.inci_source = read_source(row, "inci-source");
    if raw.inci_source.is_none() && has_inci {
        row.findings.push(Finding::value_without_source(inci_place, id, "inci"));
    }
    raw.is_faulty = row.is_faulty();
    raw
}

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

pub(super) fn trust_fat(id: String, raw: RawFat, findings: &mut Vec<Finding>) -> Option<Fat> {
    let place = raw.place?;
    let is_faulty = raw.is_faulty;
    let name = match raw.name {
        Some(name) => name,
        None => {
            if !is_faulty {
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
        if !is_faulty {
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
            let place = used.number.place.clone();
            if value < low_value {
                findings.push(Finding::value_below_its_range(place, &id, value, low_value, high_value));
            } else if value > high_value {
                findings.push(Finding::value_above_its_range(place, &id, value, low_value, high_value));
            }
            value
        }
        None => f64::midpoint(low_value, high_value),
    };
    let density_basis = raw.density.basis.clone();
    Some(Fat {
        id,
        name,
        kind: raw.kind.unwrap_or(FatKind::Triglyceride),
        inci: raw.inci,
        inci_sodium_soap: raw.inci_sodium_soap,
        inci_potassium_soap: raw.inci_potassium_soap,
        inci_source: raw.inci_source,
        // A value to use that lies outside the published range widens it: the interval must hold what is used.
        sap_low: SapValue::mg_koh_per_g(low_value.min(used)),
        sap_high: SapValue::mg_koh_per_g(high_value.max(used)),
        sap_range_source: low.source,
        sap_used: SapValue::mg_koh_per_g(used),
        sap_used_source: sap.used.map(|it| it.source),
        iodine_value: raw.iodine_value.published(),
        relative_density: raw.density.published(),
        density_basis,
        fatty_acids: raw.fatty_acids,
        note: raw.note,
    })
}
