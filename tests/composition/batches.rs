//! What a batch comes to, by hand and as laws: glycerol, fatty matter, water, the mass after the cure, the fatty acids.

use kettlebook::batch::{Batch, Comparison, Yields, acids_of, bars, composition, compute, yields};
use kettlebook::recipe::{Defaults, RawRecipe, Recipe, validate};
use kettlebook::source::SourceFile;
use kettlebook::tables::{AcidGroup, Tables};
use kettlebook::units::Percent;
use proptest::prelude::*;

fn recipe(text: &str, tables: &Tables) -> (Recipe, Batch) {
    let file = SourceFile::new("recipes/a.toml", text);
    let (raw, findings) = RawRecipe::read("a", &file);
    assert!(findings.is_empty(), "{findings:#?}");
    let (recipe, findings) = validate(&raw, tables, &Defaults::default());
    let recipe = recipe.unwrap_or_else(|| panic!("{findings:#?}"));
    let batch = compute(&recipe, tables);
    (recipe, batch)
}

fn bar(fats: &str) -> String {
    format!("title = \"A\"\nsuperfat = 5\nalkali = \"NaOH\"\nwater = {{ lye-concentration = 33 }}\n{fats}")
}

fn yields_of(text: &str, moisture: f64, tables: &Tables) -> Yields {
    let (recipe, batch) = recipe(text, tables);
    yields(&recipe, &batch, tables, Percent::percent(moisture))
}

/// Tables with a fat that is pure triolein, and an olive oil whose fatty acids are unknown.
fn tables_with_triolein() -> Tables {
    let row = "[triolein]\nname = \"triolein\"\nkind = \"triglyceride\"\n\
               saponification-value = { low = 190.0953, high = 190.0953, source = \"computed\" }\n\
               iodine-value = { low = 86, high = 86, source = \"computed\" }\n\
               fatty-acids = { basis = \"pure\", C18-1 = [100, 100], source = \"computed\" }\n";
    let (tables, findings) = Tables::load(&[SourceFile::new("tables/fats.toml", row)]);
    assert!(findings.is_empty(), "{findings:#?}");
    tables
}

#[test]
fn a_gram_of_alkali_sets_as_much_glycerol_free_as_the_molar_masses_say() {
    let tables = Tables::embedded();
    // 92.09396 / (3 * 39.99712) = 0.767505 and 92.09396 / (3 * 56.10565) = 0.547146.
    for (alkali, ratio) in [("NaOH", 0.767_505), ("KOH", 0.547_146)] {
        let text = format!(
            "title = \"A\"\nbatch = \"1000 g\"\nsuperfat = 5\nalkali = \"{alkali}\"\n\
             water = {{ lye-concentration = 30 }}\n[fats]\nolive = 60\ncoconut = 40\n"
        );
        let (recipe, batch) = recipe(&text, &tables);
        let glycerol = yields(&recipe, &batch, &tables, Percent::percent(12.0)).glycerol;
        assert!(
            (glycerol / batch.total_alkali - ratio).abs() < 0.000_001,
            "{alkali}: {}",
            glycerol / batch.total_alkali
        );
    }
}

#[test]
fn a_kilogram_of_triolein_comes_to_what_was_worked_by_hand() {
    // KOH 0.95 * 190.0953 = 180.5905 g, 3.218760 mol. Glycerol 3.21876 / 3 * 92.09396 = 98.809 g. Fatty matter
    // 1000 - 3.21876 / 3 * 38.04809 = 959.177 g. NaOH 128.7411 g, water 128.7411 * 67 / 33 = 261.383 g, poured 1390.124 g.
    // Dry 1128.741 g, at 12 % moisture 1282.661 g; fatty matter 74.780 %.
    let it = yields_of(&bar("batch = \"1000 g\"\n[fats]\ntriolein = 100\n"), 12.0, &tables_with_triolein());
    for (found, wanted) in [
        (it.glycerol.to_grams(), 98.809),
        (it.fatty_matter.to_grams(), 959.177),
        (it.water.to_grams(), 261.383),
        (it.poured.to_grams(), 1390.124),
        (it.cured.to_grams(), 1282.661),
        (it.fatty_matter_percent, 74.780),
    ] {
        assert!((found - wanted).abs() < 0.001, "{found} {wanted} in {it:?}");
    }
}

#[test]
fn acids_form_water_liquids_bring_some_and_late_fats_stay_whole() {
    // As above; and 10 g of citric acid, three moles of water for 10 / 192.1238 mol of it: 2.8130 g. Half of the water comes
    // with tea, the rest as water, so all of it is there as before. 30 g of triolein stirred in later stay triolein.
    let tables = tables_with_triolein();
    let text = bar("batch = \"1000 g\"\n[fats]\ntriolein = 100\n[fats-after]\ntriolein = \"3 %\"\n\
                    [[additives]]\nitem = \"citric-acid\"\nrate = \"1 %\"\n\
                    [[additives]]\nitem = \"tea\"\nrate = \"50 % of water\"\n");
    let (recipe, batch) = recipe(&text, &tables);
    let it = yields(&recipe, &batch, &tables, Percent::percent(12.0));
    assert!(batch.plain_water.to_grams() > 100.0 && batch.water_in_others.to_grams() > 100.0, "{batch:?}");
    let formed = it.water.to_grams() - batch.water.to_grams();
    assert!((formed - 3.0 * 10.0 / 192.1238 * 18.015_29).abs() < 0.0005, "{formed}");
    assert!((it.fatty_matter.to_grams() - 989.177).abs() < 0.001, "{it:?}");
}

#[test]
fn the_fatty_matter_is_the_acids_of_the_soap_and_the_fat_that_is_left() {
    // The other way round, from the soap: 95 % of the triolein turns into 3 M(oleic) / M(triolein) of its mass in oleic
    // acid, 847.386 / 885.434; 5 % stays triolein.
    let it = yields_of(&bar("batch = \"1000 g\"\n[fats]\ntriolein = 100\n"), 12.0, &tables_with_triolein());
    let wanted = 950.0 * 847.386_36 / 885.434_46 + 50.0;
    assert!((it.fatty_matter.to_grams() - wanted).abs() < 0.001, "{it:?} {wanted}");
}

#[test]
fn waxes_and_free_acids_set_no_glycerol_free_and_free_acids_form_water() {
    let tables = Tables::embedded();
    let plain = |it: &Yields, batch: &Batch| it.water.to_grams() - batch.water.to_grams();
    let (wax, wax_batch) = recipe(&bar("batch = \"1000 g\"\n[fats]\nbeeswax = 100\n"), &tables);
    let of_wax = yields(&wax, &wax_batch, &tables, Percent::percent(12.0));
    assert_eq!(of_wax.glycerol.to_grams(), 0.0);
    assert!(plain(&of_wax, &wax_batch).abs() < 1e-9);
    // A wax ester takes up one of water for each of alkali: 0.95 * 95.5 / 56.10565 = 1.61704 mol, 29.131 g.
    assert!((of_wax.fatty_matter.to_grams() - 1029.131).abs() < 0.001, "{of_wax:?}");

    let (acid, acid_batch) = recipe(&bar("batch = \"1000 g\"\n[fats]\nstearic-acid = 100\n"), &tables);
    let of_acid = yields(&acid, &acid_batch, &tables, Percent::percent(12.0));
    assert_eq!(of_acid.glycerol.to_grams(), 0.0);
    assert_eq!(of_acid.fatty_matter.to_grams(), 1000.0);
    // 0.95 * 203 / 56.10565 = 3.43727 mol of water.
    assert!((plain(&of_acid, &acid_batch) - 3.437_27 * 18.015_29).abs() < 0.001, "{of_acid:?}");
}

#[test]
fn free_acids_take_their_alkali_before_the_triglycerides() {
    // 500 g of stearic acid take 101.5 g of KOH whole; of 500 g of olive oil with 95.25 g the 5 % of 196.75 g are left over.
    let tables = Tables::embedded();
    let text = bar("batch = \"1000 g\"\n[fats]\nolive = 50\nstearic-acid = 50\n");
    let it = yields_of(&text, 12.0, &tables);
    let koh_for_olive = 0.95 * 196.75 - 101.5;
    assert!((it.glycerol.to_grams() - koh_for_olive * 0.547_15).abs() < 0.001, "{it:?} {koh_for_olive}");
}

#[test]
fn a_bar_that_is_poured_drier_than_the_stated_moisture_loses_nothing() {
    let tables = Tables::embedded();
    let text = bar("batch = \"1000 g\"\n[fats]\nolive = 100\n");
    let mut last = 0.0;
    for moisture in [0.0, 5.0, 12.0, 18.0, 19.0, 40.0, 100.0, 250.0] {
        let it = yields_of(&text, moisture, &tables);
        assert!(it.cured <= it.poured && it.cured.to_grams() >= last, "{moisture}: {it:?}");
        last = it.cured.to_grams();
    }
    assert_eq!(last, yields_of(&text, 0.0, &tables).poured.to_grams());
}

#[test]
fn the_default_moisture_is_a_row_of_the_limits_and_a_course_may_move_it() {
    assert_eq!(Tables::embedded().limits.cured_moisture.to_percent(), 12.0);
    let row = "[cured-moisture-percent]\nvalue = 15\nsource = \"weighed\"\n";
    let (tables, findings) = Tables::load(&[SourceFile::new("tables/limits.toml", row)]);
    assert!(findings.is_empty());
    assert_eq!(tables.limits.cured_moisture.to_percent(), 15.0);
}

#[test]
fn a_course_corrects_an_acid_and_a_new_one_of_which_a_part_is_missing_is_refused() {
    let row =
        "[C18-1]\nmolar-mass = { value = 282.5, source = \"a handbook\" }\n\n[C18-4]\nname = \"stearidonic acid\"\n";
    let (tables, findings) = Tables::load(&[SourceFile::new("tables/acids.toml", row)]);
    let codes: Vec<_> = findings.iter().map(|it| (it.code, it.place.line_and_column().0)).collect();
    assert_eq!(codes, [("missing-key", 4)], "{findings:#?}");
    let oleic = tables.acids.iter().find(|it| &*it.id == "C18-1").expect("it is there");
    assert_eq!((oleic.molar_mass.to_grams_per_mole(), oleic.iodine_factor), (282.5, 0.86));
}

#[test]
fn a_value_below_its_range_neither_widens_the_range_nor_is_confirmed_by_it() {
    let row = "[olive]\nsaponification-value = { use = 135, source = \"a certificate\" }\n";
    let (tables, _) = Tables::load(&[SourceFile::new("tables/fats.toml", row)]);
    let (recipe, _) = recipe(&bar("batch = \"1 kg\"\n[fats]\nolive = 100\n"), &tables);
    let it = composition(&recipe.fats, &tables).sap_values.expect("its acids are known");
    assert_eq!((it.table, it.low, it.high), (135.0, 185.0, 196.0));
    assert!(it.agrees() && !it.is_of_its_range());
}

#[test]
fn a_fat_of_unknown_acids_leaves_the_shares_of_the_others_alone() {
    let tables = Tables::embedded();
    let (with, _) = recipe(&bar("batch = \"1 kg\"\n[fats]\nolive = 30\nlard = 30\nhemp = 40\n"), &tables);
    let (without, _) = recipe(&bar("batch = \"1 kg\"\n[fats]\nolive = 50\nlard = 50\n"), &tables);
    let (with, without) = (composition(&with.fats, &tables), composition(&without.fats, &tables));
    assert!((with.known_fraction - 0.6).abs() < 1e-12 && with.unknown_fats == [2]);
    for (a, b) in with.acids.iter().zip(&without.acids) {
        assert!(a.acid.id == b.acid.id && (a.percent - b.percent).abs() < 1e-9);
    }
    // The iodine value has hemp in it: 0.3 * 84.5 + 0.3 * 57.5 + 0.4 * 158 = 105.8; compared are the others alone, 71.
    assert!((with.iodine_value.expect("all have one") - 105.8).abs() < 1e-9);
    assert!((with.iodine_values.expect("two have both").table - 71.0).abs() < 1e-9);
}

#[test]
fn a_one_ended_iodine_value_counts_with_that_end_and_one_that_is_missing_not_at_all() {
    let tables = Tables::embedded();
    let (blend, _) =
        recipe(&bar("batch = \"1 kg\"\n[fats]\npalm-olein = 50\npalm-stearin = 40\ncarnauba = 10\n"), &tables);
    let it = composition(&blend.fats, &tables);
    // At least 56 and at most 48: (0.5 * 56 + 0.4 * 48) / 0.9.
    assert!((it.iodine_value.expect("two have one") - 47.2 / 0.9).abs() < 1e-9);
    assert_eq!((it.fats_without_iodine_value, it.unknown_fats), (vec![2], vec![2]));
}

#[test]
fn nothing_known_gives_no_numbers_and_no_nonsense() {
    let tables = Tables::embedded();
    let (blend, _) = recipe(&bar("batch = \"1 kg\"\n[fats]\ncarnauba = 100\n"), &tables);
    let it = composition(&blend.fats, &tables);
    assert!(it.acids.is_empty() && it.groups().is_empty() && it.known_fraction == 0.0);
    assert_eq!((it.mean_molar_mass, it.iodine_value, it.iodine_values, it.sap_values), (None, None, None, None));
}

/// What is predicted either lies in the range that the table comes to, ends and all, or it does not.
#[test]
fn a_prediction_agrees_within_the_range_and_at_its_ends_and_nowhere_else() {
    let comparison = |predicted| Comparison { predicted, table: 190.0, low: 184.0, high: 196.0, fraction: 1.0 };
    for (predicted, agrees) in [(183.9, false), (184.0, true), (190.0, true), (196.0, true), (196.1, false)] {
        assert_eq!(comparison(predicted).agrees(), agrees, "{predicted}");
    }
}

/// An acid that a fat is said to lack is no acid of it.
#[test]
fn an_acid_of_no_percent_is_not_listed() {
    let file = SourceFile::new(
        "tables/fats.toml",
        "[bare]\nname = \"bare\"\nkind = \"triglyceride\"\nsaponification-value = { low = 190, high = 192, source = \"own\" }\n\
         fatty-acids = { source = \"own\", basis = \"range\", C12-0 = [0, 0], C18-1 = [80, 90] }\n",
    );
    let (tables, findings) = Tables::load(&[file]);
    assert!(findings.is_empty(), "{findings:#?}");
    let acids = acids_of(tables.fats["bare"].fatty_acids.as_ref().expect("it has one"), &tables);
    assert_eq!(acids.iter().map(|it| (&*it.acid.id, it.percent)).collect::<Vec<_>>(), [("C18-1", 100.0)]);
}

/// Recipes of one to five different fats in any proportion.
fn any_fats() -> impl Strategy<Value = Vec<(String, f64)>> {
    let ids: Vec<String> = Tables::embedded().fats.into_keys().collect();
    prop::sample::subsequence(ids, 1..=5).prop_flat_map(|ids| {
        let n_fats = ids.len();
        prop::collection::vec(1.0_f64..1000.0, n_fats)
            .prop_map(move |grams| ids.clone().into_iter().zip(grams).collect())
    })
}

fn by_mass(fats: &[(String, f64)], factor: f64) -> String {
    let lines: Vec<String> = fats.iter().map(|(id, grams)| format!("{id} = \"{} g\"", grams * factor)).collect();
    bar(&format!("[fats]\n{}\n", lines.join("\n")))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn shares_add_up_to_a_hundred_groups_to_their_shares_and_doubling_changes_none(fats in any_fats()) {
        let tables = Tables::embedded();
        let (once, batch) = recipe(&by_mass(&fats, 1.0), &tables);
        let (twice, double_batch) = recipe(&by_mass(&fats, 2.0), &tables);
        let it = composition(&once.fats, &tables);
        let doubled = composition(&twice.fats, &tables);
        let sum: f64 = it.acids.iter().map(|it| it.percent).sum();
        prop_assert!(it.acids.is_empty() == (it.known_fraction == 0.0));
        prop_assert!(it.acids.is_empty() || (sum - 100.0).abs() < 1e-9, "{}", sum);
        let groups = it.groups();
        prop_assert!((groups.iter().map(|it| it.percent).sum::<f64>() - sum).abs() < 1e-9);
        for group in AcidGroup::ALL {
            let of_acids: f64 = it.acids.iter().filter(|it| it.acid.group == group).map(|it| it.percent).sum();
            let of_group: f64 = groups.iter().filter(|it| it.group == group).map(|it| it.percent).sum();
            prop_assert!((of_acids - of_group).abs() < 1e-12);
        }
        prop_assert_eq!(it.acids.len(), doubled.acids.len());
        for (a, b) in it.acids.iter().zip(&doubled.acids) {
            prop_assert!((a.percent - b.percent).abs() < 1e-9);
        }
        for comparison in [it.sap_values, it.iodine_values].into_iter().flatten() {
            prop_assert!(comparison.low <= comparison.table && comparison.table <= comparison.high);
            prop_assert!(comparison.predicted.is_finite());
        }

        let moisture = Percent::percent(12.0);
        let (a, b) = (yields(&once, &batch, &tables, moisture), yields(&twice, &double_batch, &tables, moisture));
        for (a, b) in [(a.glycerol, b.glycerol), (a.cured, b.cured), (a.fatty_matter, b.fatty_matter), (a.water, b.water)] {
            prop_assert!((a.to_grams() * 2.0 - b.to_grams()).abs() < 1e-6 * b.to_grams().max(1.0));
        }
        // Nothing is made of nothing: glycerol, fatty matter and water come from what was poured and the water that
        // hydrolysis takes up, which weighs less than the alkali that is left out here.
        prop_assert!(a.glycerol + a.fatty_matter + a.water < a.poured);
        prop_assert!(a.cured <= a.poured && (0.0..100.0).contains(&a.fatty_matter_percent), "{:?}", a);
    }
}

#[test]
fn a_batch_poured_into_a_mould_gives_the_bars_of_that_mould() {
    let tables = Tables::embedded();
    let of = |size: &str| {
        let (recipe, _) = recipe(&bar(&format!("{size}cut = \"25 mm\"\n[fats]\nolive = 100\n")), &tables);
        bars(&recipe)
    };
    // 230 mm by 25 mm.
    let poured = of("batch = \"720 g\"\ninto = \"loaf-1kg\"\n").expect("the mould is known");
    assert_eq!(poured.count, 9);
    assert_eq!(Some(poured), of("mould = \"loaf-1kg\"\n"));
    assert_eq!(of("batch = \"720 g\"\n"), None);
}
