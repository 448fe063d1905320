//! The same arithmetic a second time, in exact fractions.
//!
//! Shares nothing with the library but the text of its tables, read here with another parser, and goes from the decimals
//! as typed, so that no binary fraction comes in. Chemistry in this order: moles of ester by each fat, less the superfat,
//! plus the acids, times the molar mass of each alkali. What a scale shows of it is in `exact_readings.rs`.

use std::collections::BTreeMap;

use num_bigint::BigInt;
use num_rational::BigRational;
use num_traits::{ToPrimitive as _, Zero as _};
use proptest::prelude::*;

use super::plan::{
    ACIDS, Alkali, EXTRAS, FAT_IDS, LIQUIDS, Plan, Purity, Rate, Size, Water, cases, compute, decimal, plans,
};

/// A decimal as typed, as a fraction: `12.5` is 25/2.
pub(super) fn exact(text: &str) -> BigRational {
    let (digits, exponent) = text.split_once(['e', 'E']).unwrap_or((text, "0"));
    let (whole, part) = digits.split_once('.').unwrap_or((digits, ""));
    let number: BigInt = format!("{whole}{part}").parse().expect(text);
    let exponent: i32 = exponent.parse::<i32>().expect(text) - i32::try_from(part.len()).expect(text);
    let power = BigRational::from_integer(10.into()).pow(exponent);
    BigRational::from_integer(number) * power
}

pub(super) fn whole(number: u64) -> BigRational {
    BigRational::from_integer(number.into())
}

/// A number of a table. Rust prints a binary fraction with the fewest digits that tell it from its neighbours, which are
/// the digits that were typed.
fn number(value: &toml::Value) -> BigRational {
    match value {
        toml::Value::Integer(it) => exact(&it.to_string()),
        toml::Value::Float(it) => exact(&it.to_string()),
        other => panic!("{other:?} is no number"),
    }
}

/// The middle of a range, or the single figure.
fn middle(range: &toml::Value) -> BigRational {
    range.get("value").map_or_else(|| (number(&range["low"]) + number(&range["high"])) / whole(2), number)
}

/// What a saponification value may be, and what it is taken for; or the same of a purity, as a part of one.
#[derive(Clone)]
pub(super) struct Between {
    pub(super) low: BigRational,
    pub(super) used: BigRational,
    pub(super) high: BigRational,
}

impl Between {
    /// So far to either side of one figure.
    pub(super) fn around(used: BigRational, off: &BigRational) -> Between {
        Between { low: &used - off, high: &used + off, used }
    }
}

/// What the calculation takes from the tables.
#[derive(Clone)]
pub(super) struct Data {
    /// Saponification values by fat.
    pub(super) sap: BTreeMap<String, Between>,
    pub(super) naoh: BigRational,
    pub(super) koh: BigRational,
    /// Molar mass and acidic hydrogens by acid.
    acids: BTreeMap<String, (BigRational, BigRational)>,
    /// Percent of water by liquid.
    liquids: BTreeMap<String, BigRational>,
    /// Grams of a millilitre by additive, and what it goes into.
    extras: BTreeMap<String, (BigRational, String)>,
    /// How far a purity may be from a single figure, percentage points.
    purity_tolerance: BigRational,
    /// How far a saponification value may be from a single figure, percent of it.
    pub(super) sap_tolerance: BigRational,
}

impl Data {
    pub(super) fn read() -> Data {
        let table = |text: &str| -> toml::Table { text.parse().expect("an embedded table") };
        let fats = table(include_str!("../../src/tables/fats.toml"));
        let alkalis = table(include_str!("../../src/tables/alkalis.toml"));
        let additives = table(include_str!("../../src/tables/additives.toml"));
        let limits = table(include_str!("../../src/tables/limits.toml"));
        let sap = fats.iter().map(|(id, row)| {
            let range = &row["saponification-value"];
            let used = range.get("use").map_or_else(|| middle(range), number);
            (id.clone(), Between { low: number(&range["low"]), used, high: number(&range["high"]) })
        });
        let molar_mass = |row: &toml::Value| number(&row["molar-mass"]["value"]);
        let rows = |ids: &[&str]| -> Vec<(String, toml::Value)> {
            ids.iter().map(|id| ((*id).to_owned(), additives[*id].clone())).collect()
        };
        let goes_into = |row: &toml::Value| row["goes-into"].as_str().expect("a word").to_owned();
        Data {
            sap: sap.collect(),
            naoh: molar_mass(&alkalis["NaOH"]),
            koh: molar_mass(&alkalis["KOH"]),
            acids: rows(&ACIDS)
                .into_iter()
                .map(|(id, row)| (id, (molar_mass(&row), number(&row["acidic-hydrogens"]))))
                .collect(),
            liquids: rows(&LIQUIDS).into_iter().map(|(id, row)| (id, number(&row["water-percent"]["value"]))).collect(),
            extras: rows(&EXTRAS)
                .into_iter()
                .map(|(id, row)| (id, (middle(&row["bulk-density"]), goes_into(&row))))
                .collect(),
            purity_tolerance: number(&limits["purity-tolerance-percent"]["value"]),
            sap_tolerance: number(&limits["saponification-value-tolerance-percent"]["value"]),
        }
    }

    /// A purity as a part of one: a single figure is good to its tolerance and nothing is purer than pure; what is not
    /// stated is pure.
    pub(super) fn purity(&self, stated: Option<Purity>) -> Between {
        let part = |hundredths: u32| percent(decimal(hundredths, 2));
        match stated {
            None => Between::around(whole(1), &whole(0)),
            Some(Purity::One(it)) => {
                let around = Between::around(part(it), &(&self.purity_tolerance / whole(100)));
                Between { low: around.low.max(whole(0)), high: around.high.min(whole(1)), used: around.used }
            }
            Some(Purity::Between(low, high)) => {
                Between { low: part(low), used: (part(low) + part(high)) / whole(2), high: part(high) }
            }
        }
    }
}

fn percent(text: String) -> BigRational {
    exact(&text) / whole(100)
}

/// An amount that takes up no alkali: its grams, and what it goes into.
pub(super) struct ExactExtra {
    pub(super) grams: BigRational,
    pub(super) goes_into: String,
}

/// A layer: its part of the whole, its grams, and what goes into it alone.
pub(super) struct ExactLayer {
    pub(super) share: BigRational,
    fats: BigRational,
    solution: BigRational,
    pub(super) extras: Vec<ExactExtra>,
}

/// What comes out, in grams.
pub(super) struct Exact {
    /// Grams of NaOH and KOH; nothing of what the recipe does not use.
    pub(super) alkalis: [BigRational; 2],
    water: BigRational,
    water_in_others: BigRational,
    pub(super) plain_water: BigRational,
    solution: BigRational,
    pub(super) total_fats: BigRational,
    pub(super) fats: Vec<BigRational>,
    pub(super) late_fats: Vec<BigRational>,
    /// Grams of each acid, and the moles of alkali that one gram of it as it is takes up.
    pub(super) acids: Vec<(BigRational, BigRational)>,
    pub(super) liquids: Vec<BigRational>,
    pub(super) extras: Vec<ExactExtra>,
    pub(super) layers: Vec<ExactLayer>,
}

/// The grams that a rate means. `water` is pure water, of which a liquid of `water_part` is to bring its share.
fn grams_of(
    rate: Rate,
    fats: &BigRational,
    water: Option<(&BigRational, &BigRational)>,
    bulk: Option<&BigRational>,
) -> BigRational {
    match rate {
        Rate::OfFats(it) => fats * percent(decimal(it, 3)),
        Rate::Fixed(it) => exact(&decimal(it, 3)),
        Rate::OfWater(it) => {
            let (water, water_part) = water.expect("only a liquid goes by the water");
            water * percent(decimal(it, 3)) / water_part
        }
        Rate::Spoons(it) => {
            // A US teaspoon is a sixth of a fluid ounce, 128 of which are a gallon of 231 cubic inches.
            let millilitres = exact(&decimal(it, 3)) * exact("231") * exact("2.54").pow(3) / whole(128 * 6);
            millilitres * bulk.expect("only a powder goes by the spoon") * fats / exact("453.59237")
        }
    }
}

pub(super) fn calculate(plan: &Plan, data: &Data) -> Exact {
    let hundred = whole(100);
    let Size::Batch(milligrams) = plan.size else { panic!("a mould's batch is no plain fraction") };
    let total_fats = exact(&decimal(milligrams, 3));
    let fats: Vec<BigRational> =
        plan.fats.iter().map(|(_, thousandths)| &total_fats * percent(decimal(*thousandths, 3))).collect();
    // Moles of ester: a saponification value is milligrams of KOH for a gram.
    let mut moles = whole(0);
    for (grams, (fat_idx, _)) in fats.iter().zip(&plan.fats) {
        moles += grams * &data.sap[&FAT_IDS[*fat_idx]].used / whole(1000) / &data.koh;
    }
    moles *= whole(1) - percent(decimal(plan.superfat, 3));
    let (mut others, mut water_in_others) = (whole(0), whole(0));
    let mut acids = Vec::new();
    for (acid_idx, rate, strength) in &plan.acids {
        let grams = grams_of(*rate, &total_fats, None, None);
        let (molar_mass, hydrogens) = &data.acids[ACIDS[*acid_idx]];
        let strength = percent(decimal(*strength, 2));
        let moles_per_gram = &strength / molar_mass * hydrogens;
        moles += &grams * &moles_per_gram;
        water_in_others += &grams * (whole(1) - strength);
        others += &grams;
        acids.push((grams, moles_per_gram));
    }
    let naoh_part = match plan.alkali {
        Alkali::Soda => whole(1),
        Alkali::Potash => whole(0),
        Alkali::Both(hundredths) => percent(decimal(hundredths, 2)),
    };
    let naoh = &moles * &naoh_part * &data.naoh / data.purity(plan.purity.0).used;
    let koh = &moles * (whole(1) - naoh_part) * &data.koh / data.purity(plan.purity.1).used;
    let alkali = &naoh + &koh;
    let water = match &plan.water {
        Water::LyeConcentration(it) => &alkali * (&hundred - exact(it)) / exact(it),
        Water::PerLye(it) => &alkali * exact(it),
        Water::OfFats(it) => &total_fats * exact(it) / &hundred,
    };
    let mut liquids = Vec::new();
    for (liquid_idx, rate) in &plan.liquids {
        let water_part = &data.liquids[LIQUIDS[*liquid_idx]] / &hundred;
        let grams = grams_of(*rate, &total_fats, Some((&water, &water_part)), None);
        water_in_others += &grams * water_part;
        others += &grams;
        liquids.push(grams);
    }
    let extras_of = |extras: &[(usize, Rate)], fats: &BigRational| -> Vec<ExactExtra> {
        let extra = |(extra_idx, rate): &(usize, Rate)| {
            let (bulk, goes_into) = &data.extras[EXTRAS[*extra_idx]];
            ExactExtra { grams: grams_of(*rate, fats, None, Some(bulk)), goes_into: goes_into.clone() }
        };
        extras.iter().map(extra).collect()
    };
    let extras = extras_of(&plan.extras, &total_fats);
    let extras_in = |place: &str| -> BigRational {
        extras.iter().filter(|it| it.goes_into == place).map(|it| it.grams.clone()).sum()
    };
    let plain_water = (&water - &water_in_others).max(whole(0));
    let solution = &alkali + &plain_water + others + extras_in("water");
    let all_fats = &total_fats + extras_in("fats");
    let parts: u64 = plan.layers.iter().map(|it| u64::from(*it)).sum();
    let layer = |(layer_idx, part): (usize, &u32)| {
        let share = whole(u64::from(*part)) / whole(parts);
        let typed = if layer_idx == 0 { &plan.layer_extras[..] } else { &[] };
        // A layer of a batter that is divided has no fats of its own to stir anything into.
        let placed =
            |it: ExactExtra| if plan.divides_batter { ExactExtra { goes_into: "trace".into(), ..it } } else { it };
        ExactLayer {
            fats: &all_fats * &share,
            solution: &solution * &share,
            extras: extras_of(typed, &(&total_fats * &share)).into_iter().map(placed).collect(),
            share,
        }
    };
    let layers = plan.layers.iter().enumerate().map(layer).collect();
    let late_fats = if plan.layers.is_empty() { &plan.late_fats[..] } else { &[] };
    let late_fats = late_fats.iter().map(|(_, it)| &total_fats * percent(decimal(*it, 3))).collect();
    Exact {
        alkalis: [naoh, koh],
        water,
        water_in_others,
        plain_water,
        solution,
        total_fats,
        fats,
        late_fats,
        acids,
        liquids,
        extras,
        layers,
    }
}

/// Whether the library's number is the exact one to 1e-12 of it; or of `size`, where a difference was taken.
fn agrees(found: f64, wanted: &BigRational, size: &BigRational) -> bool {
    let found = BigRational::from_float(found).expect("a finite number");
    let zero = whole(0);
    let off = if found > *wanted { &found - wanted } else { wanted - &found };
    off <= wanted.max(size).max(&zero) * BigRational::new(1.into(), 1_000_000_000_000_u64.into())
}

proptest! {
    #![proptest_config(cases(3000))]

    #[test]
    fn the_library_agrees_with_exact_fractions(plan in plans()) {
        std::thread_local! { static DATA: Data = Data::read(); }
        let batch = compute(&plan);
        let wanted = DATA.with(|it| calculate(&plan, it));
        let zero = BigRational::zero();
        let alkali = |name: &str| batch.alkalis.iter().find(|it| it.kind.formula() == name).map(|it| it.mass.to_grams());
        for (name, wanted) in ["NaOH", "KOH"].iter().zip(&wanted.alkalis) {
            let found = alkali(name).unwrap_or(0.0);
            prop_assert!(agrees(found, wanted, &zero), "{found} g of {name}, not {:?}", wanted.to_f64());
        }
        prop_assert!(agrees(batch.water.to_grams(), &wanted.water, &zero));
        prop_assert!(agrees(batch.water_in_others.to_grams(), &wanted.water_in_others, &wanted.solution));
        prop_assert!(agrees(batch.solution.to_grams(), &wanted.solution, &wanted.water));
        for (found, wanted) in batch.fats.iter().zip(&wanted.fats) {
            prop_assert!(agrees(found.mass.to_grams(), wanted, &zero));
        }
        prop_assert_eq!(batch.extras.len(), wanted.extras.len());
        for (found, wanted) in batch.extras.iter().zip(&wanted.extras) {
            prop_assert!(agrees(found.mass.to_grams(), &wanted.grams, &zero));
        }
        prop_assert_eq!(batch.layers.len(), wanted.layers.len());
        for (found, it) in batch.layers.iter().zip(&wanted.layers) {
            prop_assert!(agrees(found.fats.to_grams(), &it.fats, &zero));
            prop_assert!(agrees(found.solution.to_grams(), &it.solution, &wanted.water));
        }
    }
}

#[test]
fn decimals_are_read_exactly() {
    assert_eq!(exact("12.5"), BigRational::new(25.into(), 2.into()));
    assert_eq!(exact("0.001"), BigRational::new(1.into(), 1000.into()));
    assert_eq!(exact("2e3"), whole(2000));
}
