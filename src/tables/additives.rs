//! The rows of additives.toml.
//!
//! Layer 1.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::Limits;
use super::alkalis::{Rows, read_rows};
use super::blends::{BlendPart, Component, ScentFacts, TypedBlend, read_facts, read_parts};
use super::value::{PublishedRange, Row, Source, read_choice, read_choices, read_count, read_ends, require_source};
use crate::finding::Finding;
use crate::units::{Colour, Density, MolarMass, Percent};

/// How far what is in a liquid may come to more than all of it: each figure is rounded, and from another sample.
const WHOLE_TOLERANCE_PERCENT: f64 = 1.0;

/// What an additive does to the calculation.
#[derive(Clone, Debug, PartialEq)]
pub enum AdditiveKind {
    /// Takes up alkali.
    Acid {
        /// Molar mass of the pure acid.
        molar_mass: MolarMass,
        /// Moles of alkali that one mole takes up.
        acidic_hydrogens: f64,
        /// Pure acid in what is weighed out; `None` where only the bottle can tell.
        strength: Option<Percent>,
        /// What it becomes with lye, where the table knows.
        salt: Option<AcidSalt>,
    },
    /// Takes the place of water.
    Liquid {
        /// Water in it.
        water: Percent,
        /// Fat in it, and the id of the fat that it counts as.
        fat: Option<(Percent, String)>,
        /// Acid in it, and the id of the acid that it counts as.
        acid: Option<(Percent, String)>,
        /// Sugar in it.
        sugar: Option<Percent>,
    },
    /// Leaves the lye as it is: colours, scents, thickens or feeds the lather.
    Extra,
    /// Several scents in fixed parts, which go in together.
    Blend(Vec<BlendPart>),
}

/// What an acid becomes with lye.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AcidSalt {
    /// What its salts are called, without the metal: citrate.
    pub name: Arc<str>,
    /// Moles of water of crystallisation in one mole of the acid as it is weighed.
    pub water_in_acid: u32,
    /// The same in one mole of its sodium salt as it is sold; `None` where that is sold without, or not at all.
    pub water_in_salt: Option<u32>,
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
    /// Stays as it is in hot lye, and brings no water: a liquid that is taken beside it.
    Solvent,
}

impl Effect {
    /// All of them with what tables call them.
    pub const ALL: [(&'static str, Effect); 11] = [
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
        ("solvent", Effect::Solvent),
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
    /// Into the soap when it is cooked.
    Cooked,
}

impl GoesInto {
    /// All of them with what tables call them.
    pub const ALL: [(&'static str, GoesInto); 4] = [
        ("water", GoesInto::Water),
        ("fats", GoesInto::Fats),
        ("trace", GoesInto::Trace),
        ("cooked", GoesInto::Cooked),
    ];
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
    pub id: Arc<str>,
    /// What pages call it.
    pub name: Arc<str>,
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
    /// How much of it dissolves in water at 20 °C, g per 100 g of water, and who says so.
    pub dissolves: Option<(f64, Source)>,
    /// What it makes of plain soap at its usual rate, about, and who says so.
    pub colour: Option<(Colour, Source)>,
    /// How much of it stays dissolved once sodium hydroxide is in the water: percent of pure NaOH in NaOH and water, and g per
    /// 100 g of water.
    pub dissolves_in_lye: Option<Rows>,
    /// When it goes in.
    pub goes_into: GoesInto,
    /// What it is known to do.
    pub effects: Vec<Effect>,
    /// What its supplier's document says of a scent.
    pub facts: ScentFacts,
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

/// What a row says that it is.
#[derive(Clone, Copy)]
enum TypedKind {
    Acid,
    Liquid,
    Scent(Scent),
    Blend,
    /// Leaves the lye as it is, whichever of several words was typed for the reader of the table.
    Other,
}

const KINDS: [(&str, TypedKind); 13] = [
    ("acid", TypedKind::Acid),
    ("liquid", TypedKind::Liquid),
    ("clay", TypedKind::Other),
    ("botanical", TypedKind::Other),
    ("mineral", TypedKind::Other),
    ("mica", TypedKind::Other),
    ("salt", TypedKind::Other),
    ("sugar", TypedKind::Other),
    ("milk-powder", TypedKind::Other),
    ("fragrance", TypedKind::Scent(Scent::Fragrance)),
    ("essential-oil", TypedKind::Scent(Scent::EssentialOil)),
    ("blend", TypedKind::Blend),
    ("other", TypedKind::Other),
];

/// Reads a row; the oils of a blend are put in when all rows are read, and noted in `blends`.
pub(super) fn read_additive(
    row: &mut Row<'_>,
    limits: &Limits,
    components: &BTreeMap<String, Component>,
    blends: &mut Vec<TypedBlend>,
) -> Option<Additive> {
    let id = row.id;
    let typed_kind = row.last(|file| read_choice(file, "kind", &KINDS));
    let name = row.words("name");
    let molar_mass = row.constant("molar-mass", (30.0, 1000.0), limits.molar_mass_tolerance);
    let acidic_hydrogens = row.last(|file| read_count(file, "acidic-hydrogens", 1.0, 6.0));
    let strength = row.value("strength-percent", (0.1, 100.0));
    let salt = row.words("salt");
    let water_in_acid = row.last(|file| read_count(file, "crystal-water", 0.0, 12.0));
    let water_in_salt = row.last(|file| read_count(file, "salt-crystal-water", 1.0, 12.0));
    let water = row.value("water-percent", (0.1, 100.0));
    let fat_percent = row.value("fat-percent", (0.0, 100.0));
    let fat_id = row.words("fat");
    let acid_percent = row.value("acid-percent", (0.0, 20.0));
    let acid_id = row.words("acid");
    let sugar_percent = row.value("sugar-percent", (0.0, 100.0));
    // A slip in one of them would promise a superfat that the milk does not bring.
    let mut rest = 100.0 - water.as_ref().map_or(0.0, |it| it.number);
    for (key, part) in
        [("fat-percent", &fat_percent), ("sugar-percent", &sugar_percent), ("acid-percent", &acid_percent)]
    {
        let Some(part) = part else { continue };
        if part.number > rest + WHOLE_TOLERANCE_PERCENT {
            row.tell(Finding::out_of_range(part.place.clone(), key, part.number, 0.0, (rest * 100.0).round() / 100.0));
        }
        rest = (rest - part.number).max(0.0);
    }
    let bulk_density = read_density(row, "bulk-density", limits.natural_bulk_density);
    let solid_density = read_density(row, "solid-density", limits.natural_additive_density);
    let usual_rate_percent = row.range("usual-rate-percent", (0.0, 100.0));
    let highest_rate_percent = row.value("highest-rate-percent", (0.0, 100.0));
    let dissolves = row.value("dissolves-g-per-100-g", (0.001, 1000.0));
    let colour = read_colour(row);
    let dissolves_in_lye =
        row.whole("dissolves-in-lye", |table| read_rows(table, id, "dissolves-in-lye", [(0.0, 60.0), (0.001, 1000.0)]));
    let goes_into = row.last(|file| read_choice(file, "goes-into", &GoesInto::ALL));
    let effects = row.last(|file| read_choices(file, "does", &Effect::ALL));
    let facts =
        if let Some(TypedKind::Scent(_)) = typed_kind { read_facts(row, components) } else { ScentFacts::default() };
    let parts = if let Some(TypedKind::Blend) = typed_kind { read_parts(row) } else { None };
    let ([inci], _) = row.inci(["inci"]);
    let note = row.words("note");
    let kind = match (typed_kind, molar_mass, acidic_hydrogens, water) {
        (Some(TypedKind::Acid), Some(molar_mass), Some(acidic_hydrogens), _) => Ok(AdditiveKind::Acid {
            molar_mass: MolarMass::grams_per_mole(molar_mass.number),
            acidic_hydrogens: f64::from(acidic_hydrogens),
            strength: strength.map(|it| Percent::percent(it.number)),
            salt: salt.map(|name| AcidSalt {
                name: name.into(),
                water_in_acid: water_in_acid.unwrap_or(0),
                water_in_salt,
            }),
        }),
        (Some(TypedKind::Acid), None, ..) => Err(("molar-mass", "molar-mass = { value = 90.08, source = \"...\" }")),
        (Some(TypedKind::Acid), _, None, _) => Err(("acidic-hydrogens", "acidic-hydrogens = 1")),
        (Some(TypedKind::Liquid), .., Some(water)) => {
            let fat = fat_percent.map(|it| Percent::percent(it.number)).zip(fat_id);
            let acid = acid_percent.map(|it| Percent::percent(it.number)).zip(acid_id);
            let sugar = sugar_percent.map(|it| Percent::percent(it.number));
            Ok(AdditiveKind::Liquid { water: Percent::percent(water.number), fat, acid, sugar })
        }
        (Some(TypedKind::Liquid), .., None) => {
            Err(("water-percent", "water-percent = { value = 88, source = \"...\" }"))
        }
        (Some(TypedKind::Scent(_) | TypedKind::Other), ..) => Ok(AdditiveKind::Extra),
        (Some(TypedKind::Blend), ..) => match parts.filter(|it| it.len() > 1) {
            Some(parts) => {
                blends.push((id.to_owned(), parts));
                Ok(AdditiveKind::Blend(Vec::new()))
            }
            None => Err(("parts", "parts = { lavender-oil = 3, peppermint-oil = 1 }")),
        },
        (None, ..) => Err(("kind", "kind = \"liquid\"")),
    };
    let kind = kind.map_err(|(key, example)| row.tell_missing(key, example)).ok()?;
    Some(Additive {
        id: id.into(),
        name: name.map_or_else(|| id.into(), Arc::from),
        kind,
        scent: if let Some(TypedKind::Scent(scent)) = typed_kind { Some(scent) } else { None },
        bulk_density,
        solid_density,
        usual_rate_percent,
        highest_rate_percent: highest_rate_percent.map(|it| (it.number, it.source)),
        dissolves: dissolves.map(|it| (it.number, it.source)),
        colour,
        dissolves_in_lye,
        goes_into: goes_into.unwrap_or_default(),
        effects: effects.unwrap_or_default(),
        facts,
        inci,
        note,
    })
}

/// `colour = { value, source }`
fn read_colour(row: &mut Row<'_>) -> Option<(Colour, Source)> {
    let id = row.id;
    row.whole("colour", |colour| {
        let value = colour.quantity("value", Colour::FORMS, Colour::parse);
        let value = colour.require("value", value, "value = \"#7d9a73\"");
        value.map(|it| it.value).zip(require_source(colour, id, "colour"))
    })
}

/// `{ value, source }`, or `{ low, high, source }` of which the middle is taken.
fn read_density(row: &mut Row<'_>, key: &'static str, bounds: (f64, f64)) -> Option<Density> {
    let id = row.id;
    row.whole(key, |density| {
        let nothing = [const { None }; 3];
        let [low, high, value] = read_ends(density, id, key, ["low", "high", "value"], bounds, nothing);
        let middle = PublishedRange::between([low, high]).and_then(|it| it.middle());
        value.map(|it| it.number).or(middle).map(Density::grams_per_millilitre)
    })
}
