//! The same arithmetic a second time, in exact fractions.
//!
//! Shares nothing with the library but the text of its tables, read here with another parser, and goes from the decimals
//! as typed, so that no binary fraction comes in. Chemistry in this order: moles of ester by each fat, less the superfat,
//! plus the acids, times the molar mass of each alkali.

use std::collections::BTreeMap;

use num_bigint::BigInt;
use num_rational::BigRational;
use num_traits::ToPrimitive as _;
use proptest::prelude::*;

use super::plan::{ACIDS, Alkali, EXTRAS, FAT_IDS, LIQUIDS, Plan, Rate, Size, Water, cases, compute, decimal, plans};

/// A decimal as typed, as a fraction: `12.5` is 25/2.
fn exact(text: &str) -> BigRational {
    let (digits, exponent) = text.split_once(['e', 'E']).unwrap_or((text, "0"));
    let (whole, part) = digits.split_once('.').unwrap_or((digits, ""));
    let number: BigInt = format!("{whole}{part}").parse().expect(text);
    let exponent: i32 = exponent.parse::<i32>().expect(text) - i32::try_from(part.len()).expect(text);
    let power = BigRational::from_integer(10.into()).pow(exponent);
    BigRational::from_integer(number) * power
}

fn whole(number: u32) -> BigRational {
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

/// What the calculation takes from the tables.
struct Data {
    /// Saponification values by fat.
    sap: BTreeMap<String, BigRational>,
    naoh: BigRational,
    koh: BigRational,
    /// Molar mass and acidic hydrogens by acid.
    acids: BTreeMap<String, (BigRational, BigRational)>,
    /// Percent of water by liquid.
    liquids: BTreeMap<String, BigRational>,
}

impl Data {
    fn read() -> Data {
        let table = |text: &str| -> toml::Table { text.parse().expect("an embedded table") };
        let fats = table(include_str!("../../src/tables/fats.toml"));
        let alkalis = table(include_str!("../../src/tables/alkalis.toml"));
        let additives = table(include_str!("../../src/tables/additives.toml"));
        let sap = fats.iter().map(|(id, row)| {
            let range = &row["saponification-value"];
            let used = range.get("use").map(number);
            (id.clone(), used.unwrap_or_else(|| (number(&range["low"]) + number(&range["high"])) / whole(2)))
        });
        let molar_mass = |row: &toml::Value| number(&row["molar-mass"]["value"]);
        let row = |id: &&str| additives[*id].clone();
        Data {
            sap: sap.collect(),
            naoh: molar_mass(&alkalis["NaOH"]),
            koh: molar_mass(&alkalis["KOH"]),
            acids: ACIDS
                .iter()
                .map(|id| ((*id).to_owned(), (molar_mass(&row(id)), number(&row(id)["acidic-hydrogens"]))))
                .collect(),
            liquids: LIQUIDS.iter().map(|id| ((*id).to_owned(), number(&row(id)["water-percent"]["value"]))).collect(),
        }
    }
}

/// What comes out, in grams.
struct Exact {
    naoh: BigRational,
    koh: BigRational,
    water: BigRational,
    water_in_others: BigRational,
    solution: BigRational,
    fats: Vec<BigRational>,
    layers: Vec<(BigRational, BigRational)>,
}

fn calculate(plan: &Plan, data: &Data) -> Exact {
    let hundred = whole(100);
    let percent = |text: String| exact(&text) / whole(100);
    let Size::Batch(milligrams) = plan.size else { panic!("a mould's batch is no plain fraction") };
    let total_fats = exact(&decimal(milligrams, 3));
    let fats: Vec<BigRational> =
        plan.fats.iter().map(|(_, thousandths)| &total_fats * percent(decimal(*thousandths, 3))).collect();
    // Moles of ester: a saponification value is milligrams of KOH for a gram.
    let mut moles = whole(0);
    for (grams, (fat_idx, _)) in fats.iter().zip(&plan.fats) {
        moles += grams * &data.sap[&FAT_IDS[*fat_idx]] / whole(1000) / &data.koh;
    }
    moles *= whole(1) - percent(decimal(plan.superfat, 3));
    let mut others = whole(0);
    let mut water_in_others = whole(0);
    for (acid_idx, rate, strength) in &plan.acids {
        let grams = match rate {
            Rate::OfFats(it) => &total_fats * percent(decimal(*it, 3)),
            Rate::Fixed(it) => exact(&decimal(*it, 3)),
            Rate::OfWater(_) | Rate::Spoons(_) => panic!("no rate of an acid"),
        };
        let pure = &grams * percent(decimal(*strength, 2));
        let (molar_mass, hydrogens) = &data.acids[ACIDS[*acid_idx]];
        moles += &pure / molar_mass * hydrogens;
        water_in_others += &grams - pure;
        others += grams;
    }
    let naoh_part = match plan.alkali {
        Alkali::Soda => whole(1),
        Alkali::Potash => whole(0),
        Alkali::Both(hundredths) => percent(decimal(hundredths, 2)),
    };
    let purity = |it: Option<u32>| it.map_or(whole(1), |it| percent(decimal(it, 2)));
    let naoh = &moles * &naoh_part * &data.naoh / purity(plan.purity.0);
    let koh = &moles * (whole(1) - naoh_part) * &data.koh / purity(plan.purity.1);
    let alkali = &naoh + &koh;
    let water = match &plan.water {
        Water::LyeConcentration(it) => &alkali * (&hundred - exact(it)) / exact(it),
        Water::PerLye(it) => &alkali * exact(it),
        Water::OfFats(it) => &total_fats * exact(it) / &hundred,
    };
    for (liquid_idx, rate) in &plan.liquids {
        let water_percent = &data.liquids[LIQUIDS[*liquid_idx]];
        let grams = match rate {
            Rate::OfFats(it) => &total_fats * percent(decimal(*it, 3)),
            Rate::Fixed(it) => exact(&decimal(*it, 3)),
            Rate::OfWater(it) => &water * percent(decimal(*it, 3)) * &hundred / water_percent,
            Rate::Spoons(_) => panic!("no rate of a liquid"),
        };
        water_in_others += &grams * water_percent / &hundred;
        others += grams;
    }
    let plain_water = (&water - &water_in_others).max(whole(0));
    let solution = &alkali + &plain_water + others;
    let parts: u32 = plan.layers.iter().sum();
    let layers = plan
        .layers
        .iter()
        .map(|it| {
            let share = whole(*it) / whole(parts);
            (&total_fats * &share, &solution * share)
        })
        .collect();
    Exact { naoh, koh, water, water_in_others, solution, fats, layers }
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
        // What is in the water or the fats takes no part in the arithmetic that is repeated here.
        let kept = |extra_idx: usize| !["salt", "turmeric"].contains(&EXTRAS[extra_idx]);
        let extras = plan.extras.iter().filter(|(extra_idx, _)| kept(*extra_idx)).copied().collect();
        let plan = Plan { extras, ..plan };
        let batch = compute(&plan);
        let wanted = DATA.with(|it| calculate(&plan, it));
        let zero = whole(0);
        let alkali = |name: &str| batch.alkalis.iter().find(|it| it.kind.formula() == name).map(|it| it.mass.to_grams());
        for (name, wanted) in [("NaOH", &wanted.naoh), ("KOH", &wanted.koh)] {
            let found = alkali(name).unwrap_or(0.0);
            prop_assert!(agrees(found, wanted, &zero), "{found} g of {name}, not {:?}", wanted.to_f64());
        }
        prop_assert!(agrees(batch.water.to_grams(), &wanted.water, &zero));
        prop_assert!(agrees(batch.water_in_others.to_grams(), &wanted.water_in_others, &wanted.solution));
        prop_assert!(agrees(batch.solution.to_grams(), &wanted.solution, &wanted.water));
        for (found, wanted) in batch.fats.iter().zip(&wanted.fats) {
            prop_assert!(agrees(found.mass.to_grams(), wanted, &zero));
        }
        for (found, (fats, solution)) in batch.layers.iter().zip(&wanted.layers) {
            prop_assert!(agrees(found.fats.to_grams(), fats, &zero));
            prop_assert!(agrees(found.solution.to_grams(), solution, &wanted.water));
        }
    }
}

#[test]
fn decimals_are_read_exactly() {
    assert_eq!(exact("12.5"), BigRational::new(25.into(), 2.into()));
    assert_eq!(exact("0.001"), BigRational::new(1.into(), 1000.into()));
    assert_eq!(exact("2e3"), whole(2000));
}
