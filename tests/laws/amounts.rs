//! Exact amounts: what is proportional, what adds up, what fills a mould, what says the same in other words.

use kettlebook::batch::{Batch, Scale, ScaleUnit, Weighed, lye_density};
use kettlebook::course::{Settings, compute_recipe};
use kettlebook::recipe::{Changes, RawRecipe};
use kettlebook::source::SourceFile;
use kettlebook::tables::{FatKind, Tables};
use kettlebook::units::{Length, Mass};
use proptest::prelude::*;

use super::plan::{Alkali, Plan, Size, Water, cases, compute, compute_text, plans, tables};
use crate::equal;

/// Every mass of a batch, in grams.
fn amounts(batch: &Batch) -> Vec<f64> {
    let mut masses = vec![
        batch.total_fats,
        batch.koh,
        batch.koh_after_superfat,
        batch.koh_for_acids,
        batch.total_alkali,
        batch.water,
        batch.plain_water,
        batch.water_in_others,
        batch.solution,
        batch.poured(),
    ];
    masses.extend(batch.fats.iter().flat_map(|it| [it.mass, it.koh]));
    masses.extend(batch.alkalis.iter().flat_map(|it| [it.pure, it.mass]));
    masses.extend(batch.acids.iter().flat_map(|it| [it.mass, it.pure, it.koh]));
    masses.extend(batch.liquids.iter().flat_map(|it| [it.mass, it.water]));
    masses.extend(batch.late_fats.iter().map(|it| it.mass));
    masses.extend(batch.layers.iter().flat_map(|it| [it.fats, it.solution]));
    masses.extend(batch.extras.iter().chain(batch.layers.iter().flat_map(|it| &it.extras)).map(|it| it.mass));
    masses.into_iter().map(Mass::to_grams).collect()
}

/// Every share of a batch, in percent or parts.
fn shares(batch: &Batch) -> Vec<f64> {
    let conventions = &batch.water_conventions;
    let mut shares = vec![
        batch.superfat_percent,
        batch.free_fat_percent(),
        batch.pure_concentration_percent,
        conventions.lye_concentration_percent,
        conventions.water_per_lye,
        conventions.water_of_fats_percent,
    ];
    shares.extend(batch.fats.iter().map(|it| it.fraction));
    shares.extend(batch.alkalis.iter().flat_map(|it| [it.mole_fraction, it.purity.to_percent()]));
    shares
}

/// All additives that leave the lye as it is, of the batch and of its layers, in grams.
fn all_extras(batch: &Batch) -> f64 {
    batch.extras.iter().chain(batch.layers.iter().flat_map(|it| &it.extras)).map(|it| it.mass.to_grams()).sum()
}

/// The additives that are dissolved in the water of the lye, in grams.
fn extras_in_lye(batch: &Batch) -> f64 {
    batch.extras.iter().filter(|it| *it.id == *"salt").map(|it| it.mass.to_grams()).sum()
}

proptest! {
    #![proptest_config(cases(400))]

    /// Everything is proportional to the mass of fats, fixed additives to nothing: doubled with it, all is doubled.
    #[test]
    fn doubling_the_batch_doubles_every_amount_and_no_share(plan in plans()) {
        let once = compute(&plan);
        let twice = compute(&plan.times(2));
        let whole = once.poured().to_grams();
        for (a, b) in amounts(&once).into_iter().zip(amounts(&twice)) {
            prop_assert!(equal(2.0 * a, b, whole), "{a} doubled is {b}");
        }
        for (a, b) in shares(&once).into_iter().zip(shares(&twice)) {
            prop_assert!(equal(a, b, 1.0), "{a} became {b}");
        }
    }

    /// A mould of two cavities takes twice the batch of one, unless something in it is fixed.
    #[test]
    fn two_moulds_take_twice_the_batch(plan in plans()) {
        let plan = Plan { size: Size::Mould, ..plan.without_fixed_additives() };
        let (once, twice) = (compute(&plan), compute(&plan.times(2)));
        for (a, b) in amounts(&once).into_iter().zip(amounts(&twice)) {
            // The secant method that finds the mass stops at 1e-9 or better.
            prop_assert!((2.0 * a - b).abs() <= 1e-8 * b.max(1e-3), "{a} doubled is {b}");
        }
    }

    /// What a mould's batch takes up is the mould: fats and late fats by their densities, lye by its own, the rest as
    /// heavy as water.
    #[test]
    fn the_batch_for_a_mould_has_the_volume_of_the_mould(plan in plans()) {
        let plan = Plan { size: Size::Mould, ..plan.without_fixed_additives() };
        let batch = compute(&plan);
        let tables = tables();
        let water = tables.limits.water_density.to_grams_per_millilitre();
        let density = |id: &str| {
            let range = tables.fats[id].relative_density.as_ref();
            match range.map(|it| (it.low, it.high)) {
                Some((Some(low), Some(high))) => (low + high) / 2.0 * water,
                Some((one, other)) => one.or(other).expect("a range has an end") * water,
                None => tables.limits.fat_density.to_grams_per_millilitre(),
            }
        };
        let fats: f64 = batch.fats.iter().map(|it| it.mass.to_grams() / density(&it.id)).sum();
        let late: f64 = batch.late_fats.iter().map(|it| it.mass.to_grams() / density(&it.id)).sum();
        let lye = batch.total_alkali.to_grams() + batch.water.to_grams();
        let fraction = |name: &str| {
            batch.alkalis.iter().filter(|it| it.kind.formula() == name).map(|it| it.pure.to_grams()).sum::<f64>() / lye
        };
        let celsius = tables.limits.pouring_temperature_celsius;
        let (lye_density, in_range) = lye_density(fraction("NaOH"), fraction("KOH"), celsius, tables);
        let rest: f64 = batch.acids.iter().map(|it| it.pure.to_grams()).sum::<f64>()
            + batch.liquids.iter().map(|it| it.mass.to_grams() - it.water.to_grams()).sum::<f64>()
            + all_extras(&batch) - extras_in_lye(&batch);
        // CRC Handbook: 2.17 g/mL for the grains of salt.
        let salt = extras_in_lye(&batch) / 2.17;
        let volume = fats + late + lye / lye_density.to_grams_per_millilitre() + rest / water + salt;
        let wanted = plan.mould_millilitres();
        prop_assert!((volume - wanted).abs() <= 1e-7 * wanted, "{volume} mL in a mould of {wanted} mL");
        prop_assert_eq!(batch.density_beyond_range, !in_range);
    }

    /// The exact parts are a whole: fats, layers, what goes into the lye, what is poured.
    #[test]
    fn exact_parts_add_up_to_exact_totals(plan in plans()) {
        let batch = compute(&plan);
        let sum = |masses: Vec<Mass>| masses.into_iter().map(Mass::to_grams).sum::<f64>();
        let total = |mass: Mass| mass.to_grams();
        let whole = total(batch.poured());
        let fats = sum(batch.fats.iter().map(|it| it.mass).collect());
        prop_assert!(equal(fats, total(batch.total_fats), 0.0));
        prop_assert!(equal(sum(batch.fats.iter().map(|it| it.koh).collect()), total(batch.koh), 0.0));
        let alkali = sum(batch.alkalis.iter().map(|it| it.mass).collect());
        let acids = sum(batch.acids.iter().map(|it| it.mass).collect());
        let liquids = sum(batch.liquids.iter().map(|it| it.mass).collect());
        let late = sum(batch.late_fats.iter().map(|it| it.mass).collect());
        prop_assert!(equal(alkali, total(batch.total_alkali), 0.0));
        prop_assert!(equal(sum(batch.acids.iter().map(|it| it.koh).collect()), total(batch.koh_for_acids), 0.0));
        let salt = extras_in_lye(&batch);
        prop_assert!(equal(alkali + acids + liquids + total(batch.plain_water) + salt, total(batch.solution), whole));
        prop_assert!(equal(fats + total(batch.solution) + late + all_extras(&batch) - salt, whole, whole));
        prop_assert!(equal(late, total(batch.total_late_fats()), 0.0));
        // All the water of the lye, unless liquids and acids bring more than all of it.
        let brought: f64 = batch.liquids.iter().map(|it| total(it.water)).sum::<f64>()
            + batch.acids.iter().map(|it| total(it.mass) - total(it.pure)).sum::<f64>();
        prop_assert!(equal(brought, total(batch.water_in_others), whole));
        prop_assert!(equal(total(batch.plain_water), (total(batch.water) - brought).max(0.0), whole));
        if !batch.layers.is_empty() {
            let turmeric: f64 = batch.extras.iter().filter(|it| *it.id == *"turmeric").map(|it| total(it.mass)).sum();
            let fats_of_layers = sum(batch.layers.iter().map(|it| it.fats).collect());
            prop_assert!(equal(fats_of_layers, total(batch.total_fats) + turmeric, 0.0));
            let poured = sum(batch.layers.iter().map(|it| it.poured()).collect());
            prop_assert!(equal(poured + late, whole, whole));
            prop_assert!(equal(sum(batch.layers.iter().map(|it| it.solution).collect()), total(batch.solution), 0.0));
        }
        let superfat = batch.superfat_percent / 100.0;
        let free = (superfat * fats + late) / (fats + late) * 100.0;
        prop_assert!((batch.free_fat_percent() - free).abs() < 1e-9);
    }

    /// Layers by thickness are as thick as typed, whatever goes into each alone; by parts they are as thick as their volume
    /// says; together they reach the fill height.
    #[test]
    fn thicknesses_reach_the_fill_height(plan in plans()) {
        let plan = Plan { size: Size::Mould, ..plan.without_fixed_additives() };
        let batch = compute(&plan);
        let thick = |it: Option<Length>| it.unwrap_or_default().to_millimetres();
        prop_assert!((thick(batch.filled_height) - 50.0).abs() < 1e-5, "filled {:?}", batch.filled_height);
        if plan.layers.is_empty() {
            return Ok(());
        }
        let sum: f64 = batch.layers.iter().map(|it| thick(it.thickness)).sum();
        prop_assert!((sum - thick(batch.filled_height)).abs() < 1e-9);
        let fractions: f64 = batch.layers.iter().map(|it| it.fraction).sum();
        prop_assert!((fractions - 1.0).abs() < 1e-12);
        match plan.thicknesses() {
            Some(typed) => {
                // A layer with more clay than room for batter cannot be as thin as typed; nobody pours such a one.
                if batch.layers.iter().all(|it| it.fraction > 1e-6) {
                    for (it, typed) in batch.layers.iter().zip(typed) {
                        let (is, wanted) = (thick(it.thickness), f64::from(typed) / 1000.0);
                        prop_assert!((is - wanted).abs() < 1e-5, "{is} mm for {wanted} mm");
                    }
                }
            }
            None => {
                let all: u32 = plan.layers.iter().sum();
                for (it, share) in batch.layers.iter().zip(&plan.layers) {
                    prop_assert!((it.fraction - f64::from(*share) / f64::from(all)).abs() < 1e-12);
                }
            }
        }
    }

    /// Whichever convention says how much water there is, the other two say the same.
    #[test]
    fn the_three_water_conventions_say_the_same(plan in plans()) {
        let batch = compute(&plan);
        let it = batch.water_conventions;
        // Percentages that the recipe format does not take are none that anybody types.
        prop_assume!((1.0..=99.0).contains(&it.lye_concentration_percent));
        prop_assume!((0.01..=100.0).contains(&it.water_per_lye));
        prop_assume!((0.1..=1000.0).contains(&it.water_of_fats_percent));
        for water in [
            Water::LyeConcentration(format!("{}", it.lye_concentration_percent)),
            Water::PerLye(format!("{}", it.water_per_lye)),
            Water::OfFats(format!("{}", it.water_of_fats_percent)),
        ] {
            let again = compute(&Plan { water: water.clone(), ..plan.clone() });
            let (a, b) = (batch.water.to_grams(), again.water.to_grams());
            // (100 - c) / c is worst where c is near 100: there its rounding grows by 100 / (100 - c).
            let tolerance = 1e-13 * 100.0 / (100.0 - it.lye_concentration_percent);
            prop_assert!((a - b).abs() <= tolerance * a, "{a} and {b} by {water:?}");
        }
    }

    /// Percentages of a batch and the masses that they come to are the same recipe.
    #[test]
    fn percentages_and_masses_of_one_recipe_agree(plan in plans()) {
        // A thousandth of a percent must be a milligram at least, and the whole a tonne at most.
        let Size::Batch(milligrams) = plan.size else { return Ok(()) };
        let plan = Plan { size: Size::Batch(100_000 + milligrams % 999_000_000), ..plan };
        let (by_percent, by_mass) = (compute(&plan), compute(&Plan { as_masses: true, ..plan.clone() }));
        let whole = by_percent.poured().to_grams();
        for (a, b) in amounts(&by_percent).into_iter().zip(amounts(&by_mass)) {
            prop_assert!(equal(a, b, whole), "{a} and {b}");
        }
        for (a, b) in shares(&by_percent).into_iter().zip(shares(&by_mass)) {
            prop_assert!(equal(a, b, 1.0), "{a} and {b}");
        }
    }

    /// The work is done by moles: as many of NaOH, of KOH or of both in any proportion.
    #[test]
    fn any_mixture_of_alkalis_has_the_same_moles(plan in plans(), naoh_hundredths in 1_u32..10_000) {
        let tables = tables();
        let moles = |batch: &Batch| -> f64 {
            batch.alkalis.iter().map(|it| {
                it.pure.to_grams() / tables.alkali(it.kind).molar_mass.to_grams_per_mole()
            }).sum()
        };
        let with = |alkali: Alkali| compute(&Plan { alkali, ..plan.clone() });
        let mixed = with(Alkali::Both(naoh_hundredths));
        let (naoh, koh) = (moles(&with(Alkali::Soda)), moles(&with(Alkali::Potash)));
        prop_assert!(equal(naoh, koh, 0.0), "{naoh} mol of NaOH, {koh} mol of KOH");
        prop_assert!(equal(naoh, moles(&mixed), 0.0));
        // 100 g of KOH and 71.29 g of NaOH.
        let ratio = with(Alkali::Soda).alkalis[0].pure / with(Alkali::Potash).alkalis[0].pure;
        prop_assert!((ratio - 0.712_889).abs() < 1e-6);
        let part = mixed.alkalis[0].pure.to_grams() / tables.naoh.molar_mass.to_grams_per_mole() / naoh;
        prop_assert!((part - f64::from(naoh_hundredths) / 10_000.0).abs() < 1e-12);
    }
}

/// A lye typed as strong as one can be dissolves, whatever binary dust the batch brings.
#[test]
fn a_lye_at_saturation_is_not_too_strong() {
    let settings = Settings::default();
    for (alkali, strongest) in
        [("NaOH", tables().naoh.strongest_solution_percent), ("KOH", tables().koh.strongest_solution_percent)]
    {
        for grams in 100..600 {
            let text = format!(
                "title = \"t\"\nbatch = \"{grams} g\"\nsuperfat = 5\nalkali = \"{alkali}\"\n\
                 purity = {{ {alkali} = 100 }}\nwater = {{ lye-concentration = {strongest} }}\n[fats]\nsoybean = 100\n"
            );
            let (raw, _) = RawRecipe::read("t", &SourceFile::new("recipes/t.toml", text));
            let (_, findings) = compute_recipe(&raw, tables(), &settings, &Changes::default(), None);
            let told = findings.iter().find(|it| it.code == "solution-too-strong");
            assert!(told.is_none(), "{grams} g with {strongest} % {alkali}: {told:?}");
        }
    }
}

/// Percentages that miss 100 by a hair are taken as parts of their own sum: the batch is the batch all the same.
#[test]
fn shares_a_hair_off_are_made_whole() {
    let batch = |alkali: &str, olive: &str| {
        compute_text(&format!(
            "title = \"t\"\nbatch = \"1000 g\"\nsuperfat = 5\nalkali = {alkali}\nwater = {{ per-lye = 2 }}\n\
             [fats]\nsoybean = 60.002\nolive = {olive}\n"
        ))
    };
    let off = batch("{ NaOH = 60.002, KOH = 40.002 }", "40.002");
    let fats: f64 = off.fats.iter().map(|it| it.mass.to_grams()).sum();
    assert!(equal(fats, 1000.0, 0.0), "{fats}");
    let moles = |batch: &Batch| -> f64 {
        let molar_mass = |kind| tables().alkali(kind).molar_mass.to_grams_per_mole();
        batch.alkalis.iter().map(|it| it.pure.to_grams() / molar_mass(it.kind)).sum()
    };
    let alone = batch("\"NaOH\"", "40.002");
    assert!(equal(moles(&off), moles(&alone), 0.0), "{} and {}", moles(&off), moles(&alone));
}

/// The ends of what a recipe may be: a milligram and a tonne, on the finest scale and the coarsest.
#[test]
fn a_milligram_and_a_tonne_are_computed_alike() {
    let recipe = |grams: &str| {
        let text = format!(
            "title = \"t\"\nbatch = \"{grams}\"\nsuperfat = 5\nalkali = \"NaOH\"\nwater = {{ per-lye = 2 }}\n[fats]\nolive = 100\n"
        );
        compute_text(&text)
    };
    let (small, large) = (recipe("1 mg"), recipe("1000 kg"));
    for (a, b) in amounts(&small).into_iter().zip(amounts(&large)) {
        assert!(equal(1e9 * a, b, 0.0), "{a} and {b}");
    }
    let finest = Scale::new(ScaleUnit::Grams, 0.0001);
    assert_eq!(Weighed::read(&small, finest).fats, [10]);
    assert_eq!(Weighed::read(&large, finest).fats, [10_000_000_000]);
}

/// Every row of the table is computed; waxes and free acids take up alkali by the same formula.
#[test]
fn every_fat_of_the_table_can_be_a_recipe() {
    for (id, fat) in &tables().fats {
        let text = format!(
            "title = \"t\"\nbatch = \"1 kg\"\nsuperfat = 0\nalkali = \"KOH\"\nwater = {{ of-fats = 38 }}\n[fats]\n{id} = 100\n"
        );
        let batch = compute_text(&text);
        assert!((batch.alkalis[0].mass.to_grams() - fat.sap_used.to_mg_koh_per_g()).abs() < 1e-9, "{id}");
        assert!(matches!(fat.kind, FatKind::Triglyceride | FatKind::Wax | FatKind::FattyAcid));
    }
    assert_eq!(tables().fats.len(), Tables::embedded().fats.len());
}
