//! The rows of acids.toml, as typed and as trusted.
//!
//! Layer 1. Part of `raw.rs`, kept apart because it is one table's own subject.

use super::raw::{RawRange, Sourced, read_value};
use super::{AcidGroup, FattyAcid};
use crate::finding::Finding;
use crate::reader::Reader;
use crate::units::MolarMass;

/// The acids there are, by the number of carbon atoms; pages show them in this order.
pub(super) const FATTY_ACIDS: [&str; 18] = [
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
    "ricinoleic",
    "C20-0",
    "C20-1",
    "C22-0",
    "C22-1",
    "C24-0",
];

/// A row as typed.
#[derive(Clone, Default)]
pub(super) struct RawAcid {
    name: Option<String>,
    short: Option<String>,
    group: Option<AcidGroup>,
    molar_mass: RawRange,
    iodine_factor: RawRange,
}

impl RawAcid {
    pub(super) fn over(self, base: RawAcid) -> RawAcid {
        RawAcid {
            name: self.name.or(base.name),
            short: self.short.or(base.short),
            group: self.group.or(base.group),
            molar_mass: self.molar_mass.over(base.molar_mass),
            iodine_factor: self.iodine_factor.over(base.iodine_factor),
        }
    }
}

pub(super) fn read_acid(row: &mut Reader<'_>, id: &str) -> RawAcid {
    let group = row.text("group").and_then(|typed| {
        let group = AcidGroup::ALL.into_iter().find(|it| it.id() == typed.value);
        if group.is_none() {
            let known = AcidGroup::ALL.map(AcidGroup::id);
            row.findings.push(Finding::unknown_choice(typed.place, "group", &typed.value, &known));
        }
        group
    });
    RawAcid {
        name: row.words("name").map(|it| it.value),
        short: row.words("short").map(|it| it.value),
        group,
        molar_mass: read_value(row, "molar-mass", id, (1.0, 1000.0)),
        iodine_factor: read_value(row, "iodine-factor", id, (0.0, 10.0)),
    }
}

pub(super) fn trust_acid(id: &str, raw: RawAcid) -> FattyAcid {
    let used = |range: &RawRange| -> Option<Sourced> { range.used.clone() };
    let molar_mass = used(&raw.molar_mass).expect("the embedded table has a molar mass");
    let iodine_factor = used(&raw.iodine_factor);
    FattyAcid {
        id: id.to_owned(),
        name: raw.name.expect("the embedded table has a name"),
        short: raw.short.expect("the embedded table has a short name"),
        group: raw.group.expect("the embedded table has a group"),
        molar_mass: MolarMass::grams_per_mole(molar_mass.number.value),
        molar_mass_source: molar_mass.source,
        iodine_factor: iodine_factor.as_ref().map_or(0.0, |it| it.number.value),
        iodine_factor_source: iodine_factor.map(|it| it.source),
    }
}
