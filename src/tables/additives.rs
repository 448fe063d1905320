//! The rows of additives.toml.
//!
//! Layer 1.

use std::sync::Arc;

use super::Limits;
use super::value::{PublishedRange, Row, Source, read_choice, read_choices, read_count, read_ends};
use crate::units::{Density, MolarMass, Percent};

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
    },
    /// Takes the place of water.
    Liquid {
        /// Water in it.
        water: Percent,
        /// Fat in it, and the id of the fat that it counts as.
        fat: Option<(Percent, String)>,
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

/// What a row says that it is.
#[derive(Clone, Copy)]
enum TypedKind {
    Acid,
    Liquid,
    Scent(Scent),
    /// Leaves the lye as it is, whichever of several words was typed for the reader of the table.
    Other,
}

const KINDS: [(&str, TypedKind); 12] = [
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
    ("other", TypedKind::Other),
];

pub(super) fn read_additive(row: &mut Row<'_>, limits: &Limits) -> Option<Additive> {
    let id = row.id;
    let typed_kind = row.last(|file| read_choice(file, "kind", &KINDS));
    let name = row.words("name");
    let molar_mass = row.constant("molar-mass", (30.0, 1000.0), limits.molar_mass_tolerance);
    let acidic_hydrogens = row.last(|file| read_count(file, "acidic-hydrogens", 1.0, 6.0));
    let strength = row.value("strength-percent", (0.1, 100.0));
    let water = row.value("water-percent", (0.1, 100.0));
    let fat_percent = row.value("fat-percent", (0.0, 100.0));
    let fat_id = row.words("fat");
    let bulk_density = read_density(row, "bulk-density", limits.natural_bulk_density);
    let solid_density = read_density(row, "solid-density", limits.natural_additive_density);
    let usual_rate_percent = row.range("usual-rate-percent", (0.0, 100.0));
    let highest_rate_percent = row.value("highest-rate-percent", (0.0, 100.0));
    let dissolves = row.value("dissolves-g-per-100-g", (0.001, 1000.0));
    let goes_into = row.last(|file| read_choice(file, "goes-into", &GoesInto::ALL));
    let effects = row.last(|file| read_choices(file, "does", &Effect::ALL));
    let ([inci], _) = row.inci(["inci"]);
    let note = row.words("note");
    let kind = match (typed_kind, molar_mass, acidic_hydrogens, water) {
        (Some(TypedKind::Acid), Some(molar_mass), Some(acidic_hydrogens), _) => Ok(AdditiveKind::Acid {
            molar_mass: MolarMass::grams_per_mole(molar_mass.number),
            acidic_hydrogens: f64::from(acidic_hydrogens),
            strength: strength.map(|it| Percent::percent(it.number)),
        }),
        (Some(TypedKind::Acid), None, ..) => Err(("molar-mass", "molar-mass = { value = 90.08, source = \"...\" }")),
        (Some(TypedKind::Acid), _, None, _) => Err(("acidic-hydrogens", "acidic-hydrogens = 1")),
        (Some(TypedKind::Liquid), .., Some(water)) => {
            let fat = fat_percent.map(|it| Percent::percent(it.number)).zip(fat_id);
            Ok(AdditiveKind::Liquid { water: Percent::percent(water.number), fat })
        }
        (Some(TypedKind::Liquid), .., None) => {
            Err(("water-percent", "water-percent = { value = 88, source = \"...\" }"))
        }
        (Some(TypedKind::Scent(_) | TypedKind::Other), ..) => Ok(AdditiveKind::Extra),
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
        goes_into: goes_into.unwrap_or_default(),
        effects: effects.unwrap_or_default(),
        inci,
        note,
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
