//! What is known about fats, alkalis, moulds and limits, with the source of every value.
//!
//! Layer 1. The defaults are the TOML files in this folder, embedded; a course's files of the same names are laid over
//! them row by row and key by key. `raw.rs` holds rows as typed, this file rows as trusted. To add a fat or correct a
//! value, change `fats.toml`; to move a limit, `limits.toml`.

mod acids;
mod additives;
mod alkalis;
mod fats;
mod moulds;
mod raw;

pub use additives::{Additive, AdditiveKind, Effect, GoesInto, Scent};

use std::collections::BTreeMap;
use std::fmt;
use std::sync::Arc;

use crate::finding::Finding;
use crate::source::SourceFile;
use crate::units::{Density, Length, MolarMass, Percent, SapValue, TimeSpan, Volume};

/// The embedded tables, as `(file name, text)`.
const EMBEDDED: [(&str, &str); 6] = [
    ("fats.toml", include_str!("fats.toml")),
    ("acids.toml", include_str!("acids.toml")),
    ("alkalis.toml", include_str!("alkalis.toml")),
    ("additives.toml", include_str!("additives.toml")),
    ("moulds.toml", include_str!("moulds.toml")),
    ("limits.toml", include_str!("limits.toml")),
];

/// Who answers for a value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Source {
    /// What the trade does; nobody published it in a form that could be cited.
    CommonPractice,
    /// Recalled, not read, and from no named work.
    FromMemory,
    /// A work that can be looked up.
    Work {
        /// Title or number.
        work: String,
        /// Edition or year, since published values move.
        edition: Option<String>,
        /// Table, section or page.
        place: Option<String>,
        /// The value was recalled from the work, not read in it.
        recalled: bool,
    },
    /// Anything else that an instructor wrote, such as a supplier's certificate.
    Words(String),
}

impl fmt::Display for Source {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Source::CommonPractice => out.write_str("common practice"),
            Source::FromMemory => out.write_str("from memory"),
            Source::Words(words) => out.write_str(words),
            Source::Work { work, edition, place, recalled } => {
                out.write_str(work)?;
                for part in [edition, place].into_iter().flatten() {
                    write!(out, ", {part}")?;
                }
                if *recalled { out.write_str(" (from memory)") } else { Ok(()) }
            }
        }
    }
}

/// A published range; either end may be unknown.
#[derive(Clone, Debug, PartialEq)]
pub struct PublishedRange {
    /// Low end.
    pub low: Option<f64>,
    /// High end.
    pub high: Option<f64>,
    /// Who published it.
    pub source: Source,
}

impl PublishedRange {
    /// The middle of the range; the end that is known where the other is not.
    ///
    /// 75 to 94 is 84.5; at least 56 is 56.
    #[must_use]
    pub fn middle(&self) -> Option<f64> {
        match (self.low, self.high) {
            (Some(low), Some(high)) => Some(f64::midpoint(low, high)),
            (low, high) => low.or(high),
        }
    }
}

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
    pub id: String,
    /// What pages call it.
    pub name: String,
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
    pub id: String,
    /// What pages call it.
    pub name: String,
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

/// One of the two alkalis that make soap.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum AlkaliKind {
    /// Sodium hydroxide, for bars.
    NaOH,
    /// Potassium hydroxide, for soft and liquid soap.
    KOH,
}

impl AlkaliKind {
    /// Both, in the order in which pages show them.
    pub const ALL: [AlkaliKind; 2] = [AlkaliKind::NaOH, AlkaliKind::KOH];

    /// The formula, which is also what recipes call it.
    #[must_use]
    pub fn formula(self) -> &'static str {
        match self {
            AlkaliKind::NaOH => "NaOH",
            AlkaliKind::KOH => "KOH",
        }
    }
}

/// The density of an alkali's solution: coefficients and the range in which they hold.
#[derive(Clone, Debug, PartialEq)]
pub struct DensityModel {
    /// The coefficients c0 to c4 of the formula in `batch/scaling.rs`.
    pub coefficients: [f64; 5],
    /// Lowest and highest temperature, degrees Celsius.
    pub celsius: (f64, f64),
    /// Highest mass fraction of alkali.
    pub highest_mass_fraction: f64,
    /// Who determined them.
    pub source: Source,
}

/// The heat capacity of an alkali's solution: coefficients and the range in which they hold.
#[derive(Clone, Debug, PartialEq)]
pub struct HeatCapacityModel {
    /// The coefficients a1 to a6 of the formula in `batch/heat.rs`.
    pub coefficients: [f64; 6],
    /// Lowest and highest temperature, degrees Celsius.
    pub celsius: (f64, f64),
    /// Highest mass fraction of alkali.
    pub highest_mass_fraction: f64,
    /// Who determined them.
    pub source: Source,
}

/// Values read off a published table, as `(where, value)` with the first rising; at least one pair.
#[derive(Clone, Debug, PartialEq)]
pub struct Rows {
    /// The pairs.
    pub pairs: Vec<(f64, f64)>,
    /// Who published them.
    pub source: Source,
}

/// How the heat of solution depends on the amount of water.
#[derive(Clone, Debug, PartialEq)]
pub struct HeatByDilution {
    /// Moles of water per mole of alkali, and kJ per mole of alkali.
    pub rows: Rows,
    /// The same table's heat in endless water, kJ per mole.
    pub infinite_dilution_kj_per_mol: f64,
}

/// The most that stays dissolved, by temperature.
#[derive(Clone, Debug, PartialEq)]
pub struct Solubility {
    /// Degrees Celsius, and alkali in percent by mass of the solution.
    pub rows: Rows,
    /// The rows, by their temperature, before which the crystals change to another hydrate: the solubility jumps
    /// somewhere between the row before and this one.
    pub other_crystals_from_celsius: Vec<f64>,
}

/// What is known about an alkali.
#[derive(Clone, Debug, PartialEq)]
pub struct Alkali {
    /// Which one.
    pub kind: AlkaliKind,
    /// What pages call it.
    pub name: String,
    /// Molar mass.
    pub molar_mass: MolarMass,
    /// Who determined it.
    pub molar_mass_source: Source,
    /// The strongest solution at 20 °C, percent by mass.
    pub strongest_solution_percent: f64,
    /// Who determined that.
    pub strongest_solution_source: Source,
    /// The density of its solutions.
    pub density_model: DensityModel,
    /// The heat capacity of its solutions.
    pub heat_capacity_model: HeatCapacityModel,
    /// Heat capacity of solutions stronger than the model covers, where known: percent by mass, and J/(g K).
    pub strong_heat_capacity: Option<Rows>,
    /// Heat capacity of the dry alkali at 25 °C, J/(mol K).
    pub solid_heat_capacity: f64,
    /// Who determined it.
    pub solid_heat_capacity_source: Source,
    /// Heat set free on dissolving in endless water at 25 °C, kJ/mol.
    pub heat_of_solution_kj_per_mol: f64,
    /// Who determined it.
    pub heat_of_solution_source: Source,
    /// The same with less water, where known.
    pub heat_by_dilution: Option<HeatByDilution>,
    /// The most that stays dissolved, by temperature.
    pub solubility: Solubility,
    /// GHS hazard statements, such as `H314`.
    pub hazard_statements: Vec<String>,
}

/// The inside of a mould, seen from above.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum MouldShape {
    /// A box.
    Box {
        /// Inside length.
        length: Length,
        /// Inside width.
        width: Length,
    },
    /// A cylinder.
    Cylinder {
        /// Inside diameter.
        diameter: Length,
    },
}

/// A mould.
#[derive(Clone, Debug, PartialEq)]
pub struct Mould {
    /// What recipes call it.
    pub id: String,
    /// What pages call it.
    pub name: String,
    /// Its inside, seen from above.
    pub shape: MouldShape,
    /// How deep the soap is to stand.
    pub fill_height: Length,
    /// How many such moulds are filled from one batch.
    pub cavities: u32,
}

impl Mould {
    /// The volume of soap that fills the mould to its fill height.
    ///
    /// `length * width * height * cavities`, or `pi / 4 * diameter^2 * height * cavities`, in mL (1 mL = 1000 mm³).
    ///
    /// # Example
    ///
    /// 250 mm by 80 mm, filled 60 mm deep, holds 1200 mL.
    #[must_use]
    pub fn volume(&self) -> Volume {
        let area_square_millimetres = match self.shape {
            MouldShape::Box { length, width } => length.to_millimetres() * width.to_millimetres(),
            MouldShape::Cylinder { diameter } => std::f64::consts::FRAC_PI_4 * diameter.to_millimetres().powi(2),
        };
        let cubic_millimetres = area_square_millimetres * self.fill_height.to_millimetres() * f64::from(self.cavities);
        Volume::millilitres(cubic_millimetres / 1000.0)
    }
}

/// The limits and fallbacks of `limits.toml`.
#[derive(Clone, Debug, PartialEq)]
pub struct Limits {
    /// Alkali in the lye that the trade uses, percent by mass: low and high.
    pub usual_lye_concentration_percent: (f64, f64),
    /// Temperature of cold water from the tap.
    pub tap_water_celsius: f64,
    /// How far a purity may lie from a single figure, percentage points.
    pub purity_tolerance_percent: f64,
    /// From here on the lye counts as strong.
    pub strong_lye_concentration_percent: f64,
    /// Above this a superfat is taken for a slip.
    pub highest_usual_superfat_percent: f64,
    /// Density of a fat whose row has none.
    pub fat_density: Density,
    /// Density of water at 20 °C.
    pub water_density: Density,
    /// Temperature of the lye when a mould is filled.
    pub pouring_temperature_celsius: f64,
    /// Water in a cured bar.
    pub cured_moisture: Percent,
    /// Superfat that the trade uses for a bar, percent: low and high.
    pub usual_superfat_percent: (f64, f64),
    /// How full a mould may be against its fill height, percent: low and high.
    pub mould_fill_percent: (f64, f64),
    /// How full a vessel is in which a stick blender works.
    pub vessel_fill: Percent,
    /// How full a vessel is in which something foams or rises.
    pub foaming_vessel_fill: Percent,
    /// How long a layer takes until it is firm but still tacky.
    pub layer_wait: LayerWait,
    /// The same for a layer with clay or another powder that thickens it.
    pub thick_layer_wait: LayerWait,
    /// How long steps take where the recipe does not say, shortest and longest, in the order of [`TIME_KEYS`].
    pub times: [(TimeSpan, TimeSpan); TIME_KEYS.len()],
}

/// How long a layer takes until it carries the next.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LayerWait {
    /// Common practice.
    pub usual: TimeSpan,
    /// From here on the next layer may not bind to it.
    pub longest: TimeSpan,
}

/// The keys of a recipe's `[times]`, in the order of the work. `melt` goes on while the lye cools; `cook` is a step only
/// where a recipe states it.
pub const TIME_KEYS: [&str; 11] =
    ["lay-out", "lye", "lye-cools", "melt", "blend", "additives", "pour", "cook", "wash-up", "mould", "cure"];

/// All tables of a course. Rows are shared: a recipe that takes one holds the table's own.
#[derive(Clone, Debug)]
pub struct Tables {
    /// Fats by id.
    pub fats: BTreeMap<String, Arc<Fat>>,
    /// The fatty acids that fats may name, by the number of carbon atoms.
    pub acids: Vec<Arc<FattyAcid>>,
    /// Additives by id.
    pub additives: BTreeMap<String, Arc<Additive>>,
    /// Moulds by id.
    pub moulds: BTreeMap<String, Mould>,
    /// Sodium hydroxide.
    pub naoh: Alkali,
    /// Potassium hydroxide.
    pub koh: Alkali,
    /// Limits and fallbacks.
    pub limits: Limits,
}

impl Tables {
    /// The embedded tables with a course's own laid over them.
    ///
    /// `course_files` are the files of the course's folder `tables`; a file of another name than the embedded ones is
    /// a finding. Rows with errors are left out, so a recipe that names one is reported too.
    ///
    /// # Panics
    ///
    /// If an embedded table is broken, which a test of this module rules out.
    #[must_use]
    pub fn load(course_files: &[Arc<SourceFile>]) -> (Tables, Vec<Finding>) {
        raw::load(&EMBEDDED, course_files)
    }

    /// The embedded tables alone.
    #[must_use]
    pub fn embedded() -> Tables {
        Tables::load(&[]).0
    }

    /// The row of an alkali.
    #[must_use]
    pub fn alkali(&self, kind: AlkaliKind) -> &Alkali {
        match kind {
            AlkaliKind::NaOH => &self.naoh,
            AlkaliKind::KOH => &self.koh,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_embedded_tables_have_no_findings() {
        let (tables, findings) = Tables::load(&[]);
        assert!(findings.is_empty(), "{findings:#?}");
        assert!(tables.fats.len() >= 30, "{} fats", tables.fats.len());
    }

    #[test]
    fn a_course_changes_one_key_and_keeps_the_rest() {
        let file = SourceFile::new(
            "tables/fats.toml",
            "[olive]\nsaponification-value = { use = 189.5, source = \"certificate\" }\n",
        );
        let (tables, findings) = Tables::load(&[file]);
        assert!(findings.is_empty(), "{findings:#?}");
        let olive = &tables.fats["olive"];
        assert_eq!(olive.sap_used.to_mg_koh_per_g(), 189.5);
        assert_eq!(olive.sap_low.to_mg_koh_per_g(), 184.0);
        assert_eq!(olive.sap_used_source, Some(Source::Words("certificate".into())));
        assert!(olive.sap_range_source.to_string().contains("CXS 33"));
    }

    #[test]
    fn a_value_without_a_source_is_refused() {
        let file = SourceFile::new(
            "tables/fats.toml",
            "[olive]\nsaponification-value = { use = 189.5 }\n[new-fat]\nname = \"new\"\nsaponification-value = { low = 1, high = 2 }\n",
        );
        let (_, findings) = Tables::load(&[file]);
        let codes: Vec<_> = findings.iter().map(|it| it.code).collect();
        assert_eq!(codes, ["value-without-source", "value-without-source"], "{findings:#?}");
    }

    #[test]
    fn the_middle_of_the_range_is_used_unless_the_row_says_otherwise() {
        let tables = Tables::embedded();
        let coconut = &tables.fats["coconut"];
        // CXS 210-1999, Table 2: 248 to 265.
        assert_eq!(coconut.sap_used.to_mg_koh_per_g(), 256.5);
        assert_eq!(coconut.sap_used_source, None);
    }
}
