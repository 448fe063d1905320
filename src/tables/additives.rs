//! The rows of additives.toml, as typed and as trusted.
//!
//! Layer 1. Part of `raw.rs`, kept apart because its rows differ by kind.

use super::raw::{RawRange, read_source, read_value};
use super::{PublishedRange, Source};
use crate::finding::Finding;
use crate::reader::{NodeValue, Reader};
use crate::source::{Located, Place};
use crate::units::{Density, MolarMass, Percent};

/// What an additive does to the calculation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum AdditiveKind {
    /// Takes up alkali.
    Acid {
        /// Molar mass of the pure acid.
        molar_mass: MolarMass,
        /// Moles of alkali that one mole takes up.
        acidic_hydrogens: f64,
        /// Pure acid in what is weighed out; `None` where only the bottle can tell.
        strength: Option<Percent>,
    },
    /// Takes the place of water.
    Liquid {
        /// Water in it.
        water: Percent,
    },
    /// Leaves the lye as it is: colours, scents, thickens or feeds the lather.
    Extra,
}

/// What an additive is known to do, for cautions and findings.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Effect {
    /// Thickens the batter.
    Thickens,
    /// Takes up water.
    AbsorbsWater,
    /// Brings trace on sooner.
    Quickens,
    /// Turns brown with time.
    Browns,
    /// Makes the soap hotter.
    Heats,
    /// Draws moisture out of the air in the cured bar.
    DrawsMoisture,
    /// A fine powder that flies.
    Dusty,
    /// Its vapour burns.
    Flammable,
    /// Makes the bar harder.
    Hardens,
    /// Makes the bar lather less.
    LathersLess,
}

impl Effect {
    /// All of them with what tables call them.
    pub const ALL: [(&'static str, Effect); 10] = [
        ("thickens", Effect::Thickens),
        ("absorbs-water", Effect::AbsorbsWater),
        ("quickens", Effect::Quickens),
        ("browns", Effect::Browns),
        ("heats", Effect::Heats),
        ("draws-moisture", Effect::DrawsMoisture),
        ("dusty", Effect::Dusty),
        ("flammable", Effect::Flammable),
        ("hardens", Effect::Hardens),
        ("lathers-less", Effect::LathersLess),
    ];
}

/// When an additive goes in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum GoesInto {
    /// Into the water, before the alkali.
    Water,
    /// Into the melted fats.
    Fats,
    /// Into the batter at trace.
    #[default]
    Trace,
}

impl GoesInto {
    /// All of them with what tables call them.
    pub const ALL: [(&'static str, GoesInto); 3] =
        [("water", GoesInto::Water), ("fats", GoesInto::Fats), ("trace", GoesInto::Trace)];
}

/// The two kinds of scents.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scent {
    /// A fragrance oil: what browns in it is vanillin, of which its supplier knows how much there is.
    Fragrance,
    /// An essential oil: it may brown by other things too.
    EssentialOil,
}

/// Something that goes into a soap besides fats, alkali and water.
#[derive(Clone, Debug, PartialEq)]
pub struct Additive {
    /// What recipes call it.
    pub id: String,
    /// What pages call it.
    pub name: String,
    /// What it does to the calculation.
    pub kind: AdditiveKind,
    /// Whether it is a scent, and then whether it is a blend made by a perfumer.
    pub scent: Option<Scent>,
    /// Mass of one mL as a spoon takes it.
    pub bulk_density: Option<Density>,
    /// Mass of one mL without the air between its grains, where it is known: what it adds to the volume of a batch.
    pub solid_density: Option<Density>,
    /// What the trade usually takes, percent of the fats.
    pub usual_rate_percent: Option<PublishedRange>,
    /// The most the trade takes, percent of the fats, and who says so.
    pub highest_rate_percent: Option<(f64, Source)>,
    /// When it goes in.
    pub goes_into: GoesInto,
    /// What it is known to do.
    pub effects: Vec<Effect>,
    /// Name in lists of ingredients.
    pub inci: Option<String>,
    /// What an instructor should know.
    pub note: Option<String>,
}

impl Additive {
    /// Whether its vapour burns: its row says so, or it is a scent, which is mostly of what burns whatever its row says.
    #[must_use]
    pub fn is_scent_or_burns(&self) -> bool {
        self.scent.is_some() || self.effects.contains(&Effect::Flammable)
    }
}

/// The kinds a row may have. All but the first two leave the lye as it is; they are there for the reader of the table.
const KINDS: [&str; 12] = [
    "acid",
    "liquid",
    "clay",
    "botanical",
    "mineral",
    "mica",
    "salt",
    "sugar",
    "milk-powder",
    "fragrance",
    "essential-oil",
    "other",
];

/// A row as typed.
#[derive(Clone, Default)]
pub(super) struct RawAdditive {
    pub(super) place: Option<Place>,
    /// Something typed in it was refused: what is missing then may be that.
    is_faulty: bool,
    name: Option<String>,
    kind: Option<String>,
    molar_mass: RawRange,
    acidic_hydrogens: Option<f64>,
    strength: RawRange,
    water: RawRange,
    bulk_density: RawRange,
    solid_density: RawRange,
    usual_rate: RawRange,
    highest_rate: RawRange,
    goes_into: Option<GoesInto>,
    effects: Option<Vec<Effect>>,
    inci: Option<String>,
    note: Option<String>,
}

impl RawAdditive {
    pub(super) fn over(self, base: RawAdditive) -> RawAdditive {
        RawAdditive {
            place: self.place.or(base.place),
            is_faulty: self.is_faulty || base.is_faulty,
            name: self.name.or(base.name),
            kind: self.kind.or(base.kind),
            molar_mass: self.molar_mass.over(base.molar_mass),
            acidic_hydrogens: self.acidic_hydrogens.or(base.acidic_hydrogens),
            strength: self.strength.over(base.strength),
            water: self.water.over(base.water),
            bulk_density: self.bulk_density.over(base.bulk_density),
            solid_density: self.solid_density.over(base.solid_density),
            usual_rate: self.usual_rate.over(base.usual_rate),
            highest_rate: self.highest_rate.over(base.highest_rate),
            goes_into: self.goes_into.or(base.goes_into),
            effects: self.effects.or(base.effects),
            inci: self.inci.or(base.inci),
            note: self.note.or(base.note),
        }
    }
}

pub(super) fn read_additive(row: &mut Reader<'_>, id: &str) -> RawAdditive {
    let place = row.place();
    let kind = row.text("kind").and_then(|kind| {
        if KINDS.contains(&kind.value.as_str()) {
            return Some(kind.value);
        }
        row.findings.push(Finding::unknown_choice(kind.place, "kind", &kind.value, &KINDS));
        None
    });
    let acidic_hydrogens = row.number_between("acidic-hydrogens", 1.0, 6.0).and_then(|it: Located<f64>| {
        if it.value.fract() == 0.0 {
            return Some(it.value);
        }
        row.findings.push(Finding::wrong_type(it.place, "acidic-hydrogens", "a whole number", "a fraction"));
        None
    });
    let goes_into = row.text("goes-into").and_then(|it| choice(row, it, "goes-into", &GoesInto::ALL));
    let effects = row.list("does").map(|items| {
        let known = items.iter().filter_map(|it| match &it.value {
            NodeValue::Text(text) => {
                let typed = Located { value: text.clone(), place: it.place.clone() };
                choice(row, typed, "does", &Effect::ALL)
            }
            other => {
                row.findings.push(Finding::wrong_type(it.place.clone(), "does", "words in quotes", other.kind()));
                None
            }
        });
        known.collect()
    });
    let mut raw = RawAdditive {
        place: None,
        is_faulty: false,
        name: row.words("name").map(|it| it.value),
        kind,
        molar_mass: read_value(row, "molar-mass", id, (1.0, 1000.0)),
        acidic_hydrogens,
        strength: read_value(row, "strength-percent", id, (0.1, 100.0)),
        water: read_value(row, "water-percent", id, (1.0, 100.0)),
        bulk_density: read_value(row, "bulk-density", id, (0.01, 20.0)),
        solid_density: read_value(row, "solid-density", id, (0.1, 20.0)),
        usual_rate: read_value(row, "usual-rate-percent", id, (0.0, 100.0)),
        highest_rate: read_value(row, "highest-rate-percent", id, (0.0, 100.0)),
        goes_into,
        effects,
        inci: row.words("inci").map(|it| it.value),
        note: row.words("note").map(|it| it.value),
    };
    if read_source(row, "inci-source").is_none() && raw.inci.is_some() {
        row.findings.push(Finding::value_without_source(place, id, "inci"));
    }
    raw.is_faulty = row.is_faulty();
    raw
}

/// One of a few words.
fn choice<T: Copy>(row: &mut Reader<'_>, typed: Located<String>, key: &str, known: &[(&str, T)]) -> Option<T> {
    let found = known.iter().find(|(name, _)| *name == typed.value).map(|(_, it)| *it);
    if found.is_none() {
        let names: Vec<&str> = known.iter().map(|(name, _)| *name).collect();
        row.findings.push(Finding::unknown_choice(typed.place, key, &typed.value, &names));
    }
    found
}

pub(super) fn trust_additive(id: String, raw: RawAdditive, findings: &mut Vec<Finding>) -> Option<Additive> {
    let place = raw.place?;
    let mut missing = |key: &str, example: &str| {
        if !raw.is_faulty {
            findings.push(Finding::missing_key(place.clone(), key, example));
        }
    };
    let used = |range: &RawRange| range.used.as_ref().map(|it| it.number.value);
    let kind = match raw.kind.as_deref() {
        Some("acid") => match (used(&raw.molar_mass), raw.acidic_hydrogens) {
            (Some(molar_mass), Some(acidic_hydrogens)) => AdditiveKind::Acid {
                molar_mass: MolarMass::grams_per_mole(molar_mass),
                acidic_hydrogens,
                strength: used(&raw.strength).map(Percent::percent),
            },
            (None, _) => {
                return missing_row(&mut missing, "molar-mass", "molar-mass = { value = 90.08, source = \"...\" }");
            }
            (_, None) => return missing_row(&mut missing, "acidic-hydrogens", "acidic-hydrogens = 1"),
        },
        Some("liquid") => match used(&raw.water) {
            Some(water) => AdditiveKind::Liquid { water: Percent::percent(water) },
            None => {
                return missing_row(&mut missing, "water-percent", "water-percent = { value = 88, source = \"...\" }");
            }
        },
        Some(_) => AdditiveKind::Extra,
        None => return missing_row(&mut missing, "kind", "kind = \"liquid\""),
    };
    let middle = |it: &RawRange| match (&it.low, &it.high) {
        (Some(low), Some(high)) => Some(f64::midpoint(low.number.value, high.number.value)),
        (low, high) => low.as_ref().or(high.as_ref()).map(|it| it.number.value),
    };
    let bulk_density = used(&raw.bulk_density).or_else(|| middle(&raw.bulk_density));
    let solid_density = used(&raw.solid_density).or_else(|| middle(&raw.solid_density));
    let name = raw.name.unwrap_or_else(|| id.clone());
    Some(Additive {
        id,
        name,
        kind,
        scent: match raw.kind.as_deref() {
            Some("fragrance") => Some(Scent::Fragrance),
            Some("essential-oil") => Some(Scent::EssentialOil),
            _ => None,
        },
        bulk_density: bulk_density.map(Density::grams_per_millilitre),
        solid_density: solid_density.map(Density::grams_per_millilitre),
        usual_rate_percent: raw.usual_rate.published(),
        highest_rate_percent: raw.highest_rate.used.map(|it| (it.number.value, it.source)),
        goes_into: raw.goes_into.unwrap_or_default(),
        effects: raw.effects.unwrap_or_default(),
        inci: raw.inci,
        note: raw.note,
    })
}

fn missing_row(missing: &mut impl FnMut(&str, &str), key: &str, example: &str) -> Option<Additive> {
    missing(key, example);
    None
}
