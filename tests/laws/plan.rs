//! Random recipes, kept as whole numbers of small units, so that their text holds exactly what was drawn.

use std::fmt::Write as _;
use std::sync::LazyLock;

use kettlebook::batch::{self, Batch};
use kettlebook::finding::Severity;
use kettlebook::recipe::{Defaults, RawRecipe, Recipe, validate};
use kettlebook::source::SourceFile;
use kettlebook::tables::Tables;
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

/// So many cases, the same in every run, so that a run tells of the change that was made and not of luck. To try others:
/// `PROPTEST_RNG_SEED=7 PROPTEST_CASES=10000 cargo test --test laws`.
pub(crate) fn cases(cases: u32) -> ProptestConfig {
    ProptestConfig { cases, failure_persistence: None, rng_seed: RngSeed::Fixed(20), ..ProptestConfig::default() }
}

/// The mould that recipes without a batch fill: 200 mm by 100 mm by 50 mm, one litre for each cavity.
pub(crate) const MOULD_MILLILITRES: f64 = 1000.0;

/// The fats of the table, by id.
pub(crate) static FAT_IDS: LazyLock<Vec<String>> = LazyLock::new(|| Tables::embedded().fats.into_keys().collect());

/// The acids of the table that every recipe may use, since their strength is stated with them.
pub(crate) const ACIDS: [&str; 4] = ["citric-acid", "citric-acid-monohydrate", "lactic-acid", "vinegar"];

/// The liquids of the table.
pub(crate) const LIQUIDS: [&str; 5] = ["cow-milk", "goat-milk", "coconut-milk", "tea", "beer"];

/// Additives of the table that take up no alkali and can be spooned. The first is dissolved in the water of the lye, so
/// that no layer alone can have it; the second is stirred into the fats.
pub(crate) const EXTRAS: [&str; 5] = ["salt", "turmeric", "kaolin", "titanium-dioxide", "cocoa-powder"];

/// How much to make.
#[derive(Clone, Debug)]
pub(crate) enum Size {
    /// Milligrams of fats.
    Batch(u64),
    /// What fills the mould.
    Mould,
}

/// Which alkali.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Alkali {
    /// NaOH alone.
    Soda,
    /// KOH alone.
    Potash,
    /// Both, with so many hundredths of a percent of NaOH.
    Both(u32),
}

/// A water rule, with the number as typed.
#[derive(Clone, Debug)]
pub(crate) enum Water {
    /// `lye-concentration`
    LyeConcentration(String),
    /// `per-lye`
    PerLye(String),
    /// `of-fats`
    OfFats(String),
}

/// How much of an additive.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Rate {
    /// Thousandths of a percent of the fats.
    OfFats(u32),
    /// Milligrams.
    Fixed(u64),
    /// Thousandths of a percent of the water; liquids only.
    OfWater(u32),
    /// Thousandths of a teaspoon per pound of the fats; extras only.
    Spoons(u32),
}

/// What a container says of its alkali, in hundredths of a percent.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Purity {
    /// A single figure.
    One(u32),
    /// The lowest and the highest.
    Between(u32, u32),
}

impl Purity {
    fn text(self) -> String {
        match self {
            Purity::One(it) => decimal(it, 2),
            Purity::Between(low, high) => format!("{{ low = {}, high = {} }}", decimal(low, 2), decimal(high, 2)),
        }
    }
}

/// A recipe.
#[derive(Clone, Debug)]
pub(crate) struct Plan {
    /// Index of the fat and thousandths of a percent; these add up to 100 000.
    pub fats: Vec<(usize, u32)>,
    /// Whether the fats are typed as masses.
    pub as_masses: bool,
    /// How much to make.
    pub size: Size,
    /// Moulds to fill.
    pub cavities: u64,
    /// Thousandths of a percent.
    pub superfat: u32,
    /// Which alkali.
    pub alkali: Alkali,
    /// How pure NaOH and KOH are, where that is stated.
    pub purity: (Option<Purity>, Option<Purity>),
    /// How the water is found.
    pub water: Water,
    /// Index of the acid, its rate, and its strength in hundredths of a percent.
    pub acids: Vec<(usize, Rate, u32)>,
    /// Index of the liquid and its rate.
    pub liquids: Vec<(usize, Rate)>,
    /// Index of the fat and thousandths of a percent; only where there are no layers.
    pub late_fats: Vec<(usize, u32)>,
    /// Index of the extra and its rate.
    pub extras: Vec<(usize, Rate)>,
    /// Shares in thousandths.
    pub layers: Vec<u32>,
    /// Whether the layers of a mould are typed by thickness.
    pub by_thickness: bool,
    /// Whether the batter is blended once and divided.
    pub divides_batter: bool,
    /// Index of the extra and its rate, for the first layer alone.
    pub layer_extras: Vec<(usize, Rate)>,
}

/// `value` of so many decimals, as typed: 12345 with 3 is `12.345`.
pub(crate) fn decimal(value: impl Into<u128>, decimals: u32) -> String {
    let (value, unit) = (value.into(), 10_u128.pow(decimals));
    if decimals == 0 {
        return value.to_string();
    }
    format!("{}.{:0width$}", value / unit, value % unit, width = decimals as usize)
}

impl Plan {
    /// The same recipe for so many times the fats.
    pub(crate) fn times(&self, factor: u64) -> Plan {
        let scaled = |rate: Rate| match rate {
            Rate::Fixed(milligrams) => Rate::Fixed(milligrams * factor),
            other => other,
        };
        let mut plan = self.clone();
        match &mut plan.size {
            Size::Batch(milligrams) => *milligrams *= factor,
            Size::Mould => plan.cavities *= factor,
        }
        plan.acids.iter_mut().for_each(|(_, rate, _)| *rate = scaled(*rate));
        let others = plan.liquids.iter_mut().chain(&mut plan.extras).chain(&mut plan.layer_extras);
        others.for_each(|(_, rate)| *rate = scaled(*rate));
        plan
    }

    /// The recipe without what is the same whatever the batch.
    pub(crate) fn without_fixed_additives(self) -> Plan {
        let keep = |rate: &Rate| !matches!(rate, Rate::Fixed(_));
        Plan {
            acids: self.acids.iter().filter(|it| keep(&it.1)).copied().collect(),
            liquids: self.liquids.iter().filter(|it| keep(&it.1)).copied().collect(),
            extras: self.extras.iter().filter(|it| keep(&it.1)).copied().collect(),
            layer_extras: self.layer_extras.iter().filter(|it| keep(&it.1)).copied().collect(),
            ..self
        }
    }

    /// Micrometres of each layer, 50 mm together and none below half a millimetre; `None` unless they are typed so.
    pub(crate) fn thicknesses(&self) -> Option<Vec<u32>> {
        if !self.by_thickness || !matches!(self.size, Size::Mould) || self.layers.is_empty() {
            return None;
        }
        let sum: u64 = self.layers.iter().map(|it| u64::from(*it)).sum();
        let spare = 50_000 - 500 * self.layers.len() as u64;
        let mut parts: Vec<u32> = self.layers.iter().map(|it| 500 + (u64::from(*it) * spare / sum) as u32).collect();
        parts[0] += 50_000 - parts.iter().sum::<u32>();
        Some(parts)
    }

    /// The volume to fill.
    pub(crate) fn mould_millilitres(&self) -> f64 {
        MOULD_MILLILITRES * self.cavities as f64
    }

    /// The recipe file.
    pub(crate) fn text(&self) -> String {
        let mut text = "title = \"Planned\"\n".to_owned();
        let mut line = |it: String| text.push_str(&(it + "\n"));
        match self.size {
            _ if self.as_masses => {}
            // Three decimals that end in nothing could be thousands, and are asked about.
            Size::Batch(milligrams) => {
                let grams = decimal(milligrams, 3);
                line(format!("batch = \"{} g\"", grams.trim_end_matches('0').trim_end_matches('.')));
            }
            Size::Mould => line(format!("mould = \"planned-{}\"", self.cavities)),
        }
        line(format!("superfat = {}", decimal(self.superfat, 3)));
        line(match self.alkali {
            Alkali::Soda => "alkali = \"NaOH\"".into(),
            Alkali::Potash => "alkali = \"KOH\"".into(),
            Alkali::Both(naoh) => {
                format!("alkali = {{ NaOH = {}, KOH = {} }}", decimal(naoh, 2), decimal(10_000 - naoh, 2))
            }
        });
        let (uses_naoh, uses_koh) = (!matches!(self.alkali, Alkali::Potash), !matches!(self.alkali, Alkali::Soda));
        let stated = [("NaOH", self.purity.0.filter(|_| uses_naoh)), ("KOH", self.purity.1.filter(|_| uses_koh))];
        let stated: Vec<String> =
            stated.iter().filter_map(|(name, it)| it.map(|it| format!("{name} = {}", it.text()))).collect();
        line(format!("purity = {{ {} }}", stated.join(", ")));
        line(match &self.water {
            Water::LyeConcentration(it) => format!("water = {{ lye-concentration = {it} }}"),
            Water::PerLye(it) => format!("water = {{ per-lye = {it} }}"),
            Water::OfFats(it) => format!("water = {{ of-fats = {it} }}"),
        });
        line(format!("divide = \"{}\"", if self.divides_batter { "batter" } else { "fats-and-lye" }));
        line("[fats]".into());
        for (fat_idx, thousandths) in &self.fats {
            let id = &FAT_IDS[*fat_idx];
            match self.size {
                Size::Batch(milligrams) if self.as_masses => {
                    // Milligrams times thousandths of a percent are 10^-8 g.
                    let mass = u128::from(milligrams) * u128::from(*thousandths);
                    line(format!("{id} = \"{} g\"", decimal(mass, 8)));
                }
                _ => line(format!("{id} = {}", decimal(*thousandths, 3))),
            }
        }
        if self.layers.is_empty() {
            line("[fats-after]".into());
            for (fat_idx, thousandths) in &self.late_fats {
                line(format!("{} = \"{} %\"", FAT_IDS[*fat_idx], decimal(*thousandths, 3)));
            }
        }
        let rate = |rate: &Rate| match rate {
            Rate::OfFats(it) => format!("{} %", decimal(*it, 3)),
            Rate::OfWater(it) => format!("{} % of water", decimal(*it, 3)),
            Rate::Fixed(it) => format!("{} g", decimal(*it, 3)),
            Rate::Spoons(it) => format!("{} tsp/lb", decimal(*it, 3)),
        };
        for (acid_idx, typed, strength) in &self.acids {
            line(format!("[[additives]]\nitem = \"{}\"\nrate = \"{}\"", ACIDS[*acid_idx], rate(typed)));
            line(format!("strength = {}", decimal(*strength, 2)));
        }
        for (liquid_idx, typed) in &self.liquids {
            line(format!("[[additives]]\nitem = \"{}\"\nrate = \"{}\"", LIQUIDS[*liquid_idx], rate(typed)));
        }
        for (extra_idx, typed) in &self.extras {
            line(format!("[[additives]]\nitem = \"{}\"\nrate = \"{}\"", EXTRAS[*extra_idx], rate(typed)));
        }
        for (layer_idx, share) in self.layers.iter().enumerate() {
            let size = match self.thicknesses() {
                Some(_) if layer_idx == 0 => "thickness = \"rest\"".to_owned(),
                Some(it) => format!("thickness = \"{} mm\"", decimal(it[layer_idx], 3)),
                None => format!("share = {}", decimal(*share, 3)),
            };
            line(format!("[[layers]]\nname = \"layer {layer_idx}\"\n{size}"));
            for (extra_idx, typed) in self.layer_extras.iter().filter(|_| layer_idx == 0) {
                line(format!("[[layers.additives]]\nitem = \"{}\"\nrate = \"{}\"", EXTRAS[*extra_idx], rate(typed)));
            }
        }
        text
    }
}

/// The embedded tables with the moulds that plans use.
pub(crate) fn tables() -> &'static Tables {
    static TABLES: LazyLock<Tables> = LazyLock::new(|| {
        let mut moulds = String::new();
        for cavities in [1, 2] {
            let _ = writeln!(
                moulds,
                "[planned-{cavities}]\ninside-length = \"200 mm\"\ninside-width = \"100 mm\"\nfill-height = \"50 mm\"\n\
                 cavities = {cavities}\nsource = \"measured\""
            );
        }
        let (tables, findings) = Tables::load(&[SourceFile::new("tables/moulds.toml", moulds)]);
        assert!(findings.is_empty(), "{findings:#?}");
        tables
    });
    &TABLES
}

/// A recipe from its text, which must have no error.
pub(crate) fn recipe(text: &str) -> Recipe {
    let file = SourceFile::new("recipes/planned.toml", text);
    let (raw, mut findings) = RawRecipe::read("planned", &file);
    let (recipe, more) = validate(&raw, tables(), &Defaults::default());
    findings.extend(more);
    findings.retain(|it| it.severity == Severity::Error);
    assert!(findings.is_empty(), "{text}\n{findings:#?}");
    recipe.expect("nothing is wrong with it")
}

/// A batch from a recipe's text.
pub(crate) fn compute_text(text: &str) -> Batch {
    batch::compute(&recipe(text), tables())
}

/// A batch from a plan, by way of its text.
pub(crate) fn compute(plan: &Plan) -> Batch {
    compute_text(&plan.text())
}

/// Whole numbers that add up to 100 000 in the proportion of the weights, each at least 1.
fn shared_out(weights: &[u32]) -> Vec<u32> {
    let sum: u64 = weights.iter().map(|it| u64::from(*it)).sum();
    let spare = 100_000 - weights.len() as u64;
    let mut parts: Vec<u32> = weights.iter().map(|it| 1 + (u64::from(*it) * spare / sum) as u32).collect();
    parts[0] += 100_000 - parts.iter().sum::<u32>();
    parts
}

fn fats() -> impl Strategy<Value = Vec<(usize, u32)>> {
    prop::collection::btree_map(0..FAT_IDS.len(), prop_oneof![1_u32..100, 1_u32..1_000_000], 1..8).prop_map(|drawn| {
        let weights: Vec<u32> = drawn.values().copied().collect();
        drawn.keys().copied().zip(shared_out(&weights)).collect()
    })
}

/// Milligrams from 1 to a billion, as many small as large; half a billion, so that the double is a tonne at most.
fn milligrams() -> impl Strategy<Value = u64> {
    (0.0..8.698_f64).prop_map(|it| 10_f64.powf(it) as u64)
}

fn water() -> impl Strategy<Value = Water> {
    prop_oneof![
        (100_u32..=9_900).prop_map(|it| Water::LyeConcentration(decimal(it, 2))),
        (2_500_u32..=4_000).prop_map(|it| Water::LyeConcentration(decimal(it, 2))),
        (1_u32..=10_000).prop_map(|it| Water::PerLye(decimal(it, 2))),
        (10_u32..=100_000).prop_map(|it| Water::OfFats(decimal(it, 2))),
    ]
}

fn acids() -> impl Strategy<Value = Vec<(usize, Rate, u32)>> {
    let rate = prop_oneof![
        3 => (1_u32..20_000).prop_map(Rate::OfFats),
        1 => (1_u64..100_000).prop_map(Rate::Fixed),
    ];
    let acid = (0..ACIDS.len(), rate, 10_u32..=10_000);
    prop_oneof![3 => Just(Vec::new()), 1 => prop::collection::vec(acid, 1..4)]
}

fn liquids() -> impl Strategy<Value = Vec<(usize, Rate)>> {
    let rate = prop_oneof![
        2 => (1_u32..=100_000).prop_map(Rate::OfWater),
        1 => (1_u32..20_000).prop_map(Rate::OfFats),
        1 => (1_u64..100_000).prop_map(Rate::Fixed),
    ];
    prop_oneof![3 => Just(Vec::new()), 1 => prop::collection::vec((0..LIQUIDS.len(), rate), 1..3)]
}

fn extras(first: usize) -> impl Strategy<Value = Vec<(usize, Rate)>> {
    let rate = prop_oneof![
        1 => (1_u32..20_000).prop_map(Rate::OfFats),
        1 => (1_u32..5_000).prop_map(Rate::Spoons),
        1 => (1_u64..100_000).prop_map(Rate::Fixed),
    ];
    prop_oneof![3 => Just(Vec::new()), 1 => prop::collection::vec((first..EXTRAS.len(), rate), 1..3)]
}

/// Each index once: a list names nothing twice.
fn once<T: Copy>(drawn: Vec<T>, idx: impl Fn(&T) -> usize) -> Vec<T> {
    let mut seen = Vec::new();
    drawn
        .into_iter()
        .filter(|it| {
            !seen.contains(&idx(it)) && {
                seen.push(idx(it));
                true
            }
        })
        .collect()
}

/// Recipes of any kind that can be computed.
pub(crate) fn plans() -> impl Strategy<Value = Plan> {
    let purity = || {
        let range = (5_000_u32..=10_000, 5_000_u32..=10_000);
        prop::option::of(prop_oneof![
            2 => (5_000_u32..=10_000).prop_map(Purity::One),
            1 => range.prop_map(|(a, b)| Purity::Between(a.min(b), a.max(b))),
        ])
    };
    let alkali = prop_oneof![
        2 => Just(Alkali::Soda),
        1 => Just(Alkali::Potash),
        1 => (1_u32..10_000).prop_map(Alkali::Both),
    ];
    let superfat = prop_oneof![1 => Just(0_u32), 4 => 0_u32..=25_000, 1 => 0_u32..=99_000];
    let late_fats = prop_oneof![
        3 => Just(Vec::new()),
        1 => prop::collection::btree_map(0..FAT_IDS.len(), 1_u32..20_000, 1..3).prop_map(|it| it.into_iter().collect()),
    ];
    let layers = prop_oneof![1 => Just(Vec::new()), 1 => prop::collection::vec(1_u32..1_000_000, 1..6)];
    let layers = (layers, extras(0), extras(1), any::<(bool, bool)>());
    let size = milligrams().prop_map(Size::Batch);
    ((fats(), size, superfat, alkali, (purity(), purity())), (water(), acids(), liquids(), late_fats, layers)).prop_map(
        |(
            (fats, size, superfat, alkali, purity),
            (water, acids, liquids, late_fats, (layers, extras, layer_extras, (by_thickness, divides_batter))),
        )| Plan {
            fats,
            as_masses: false,
            size,
            cavities: 1,
            superfat,
            alkali,
            purity,
            water,
            acids: once(acids, |it| it.0),
            liquids: once(liquids, |it| it.0),
            late_fats,
            extras: once(extras, |it| it.0),
            layers,
            by_thickness,
            divides_batter,
            layer_extras: once(layer_extras, |it| it.0),
        },
    )
}
