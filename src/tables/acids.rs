//! The rows of acids.toml.
//!
//! Layer 1.

use std::sync::Arc;

use super::Limits;
use super::value::{Row, Source, read_choice};
use crate::units::MolarMass;

/// The acids of the embedded table, by the number of carbon atoms; pages show them in this order, and those that a course
/// adds after them.
pub(super) const FATTY_ACIDS: [&str; 26] = [
    "C4-0",
    "C6-0",
    "C8-0",
    "C10-0",
    "C12-0",
    "C14-0",
    "C14-1",
    "C15-0",
    "C16-0",
    "C16-1",
    "C17-0",
    "C17-1",
    "C18-0",
    "C18-1",
    "C18-2",
    "C18-3",
    "ricinoleic",
    "C20-0",
    "C20-1",
    "C20-2",
    "C22-0",
    "C22-1",
    "C22-2",
    "C24-0",
    "C24-1",
    "C26-0",
];

/// Fatty acids that pages take together, because their soaps behave alike.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum AcidGroup {
    /// Saturated, four to ten carbon atoms.
    Short,
    /// Saturated, twelve and fourteen carbon atoms.
    LauricMyristic,
    /// Saturated, sixteen and eighteen carbon atoms.
    PalmiticStearic,
    /// One double bond, whatever the length.
    Oleic,
    /// Two and three double bonds.
    LinoleicLinolenic,
    /// One double bond and a hydroxyl group.
    Ricinoleic,
    /// Saturated, twenty carbon atoms and more.
    LongSaturated,
}

impl AcidGroup {
    /// All groups, in the order in which pages show them.
    pub const ALL: [AcidGroup; 7] = [
        AcidGroup::Short,
        AcidGroup::LauricMyristic,
        AcidGroup::PalmiticStearic,
        AcidGroup::Oleic,
        AcidGroup::LinoleicLinolenic,
        AcidGroup::Ricinoleic,
        AcidGroup::LongSaturated,
    ];

    /// What acids.toml calls it.
    #[must_use]
    pub fn id(self) -> &'static str {
        match self {
            AcidGroup::Short => "short",
            AcidGroup::LauricMyristic => "lauric-myristic",
            AcidGroup::PalmiticStearic => "palmitic-stearic",
            AcidGroup::Oleic => "oleic",
            AcidGroup::LinoleicLinolenic => "linoleic-linolenic",
            AcidGroup::Ricinoleic => "ricinoleic",
            AcidGroup::LongSaturated => "long-saturated",
        }
    }
}

/// What is known about a fatty acid.
#[derive(Clone, Debug, PartialEq)]
pub struct FattyAcid {
    /// What the table of fats calls it, such as `C18-1`.
    pub id: Arc<str>,
    /// What pages call it.
    pub name: Arc<str>,
    /// Carbon atoms and double bonds, such as `C18:1`.
    pub short: String,
    /// The acids it is taken with.
    pub group: AcidGroup,
    /// Molar mass of the free acid.
    pub molar_mass: MolarMass,
    /// Who determined it.
    pub molar_mass_source: Source,
    /// What one percent of it adds to the iodine value of a triglyceride; 0 where there is no double bond.
    pub iodine_factor: f64,
    /// Who determined that, where there is a double bond.
    pub iodine_factor_source: Option<Source>,
}

pub(super) fn read_acid(row: &mut Row<'_>, limits: &Limits) -> Option<FattyAcid> {
    let id = row.id;
    let groups = AcidGroup::ALL.map(|it| (it.id(), it));
    let (name, short) = (row.words("name"), row.words("short"));
    let group = row.last(|file| read_choice(file, "group", &groups));
    let molar_mass = row.constant("molar-mass", limits.natural_acid_molar_mass, limits.molar_mass_tolerance);
    let iodine_factor = row.value("iodine-factor", (0.0, 6.0));
    let missing = [
        (name.is_none(), "name", "name = \"margaric acid\""),
        (short.is_none(), "short", "short = \"C17:0\""),
        (group.is_none(), "group", "group = \"palmitic-stearic\""),
        (molar_mass.is_none(), "molar-mass", "molar-mass = { value = 270.45, source = \"...\" }"),
    ];
    for (_, key, example) in missing.into_iter().filter(|(is_missing, ..)| *is_missing) {
        row.tell_missing(key, example);
    }
    let molar_mass = molar_mass?;
    Some(FattyAcid {
        id: id.into(),
        name: name?.into(),
        short: short?,
        group: group?,
        molar_mass: MolarMass::grams_per_mole(molar_mass.number),
        molar_mass_source: molar_mass.source,
        iodine_factor: iodine_factor.as_ref().map_or(0.0, |it| it.number),
        iodine_factor_source: iodine_factor.map(|it| it.source),
    })
}
