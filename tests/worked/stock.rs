//! Lye solution made beforehand, salt beside lye, citrate made in place, and shreds: by hand and against published figures.

use kettlebook::batch::{
    Jug, OffCard, Scale, ScaleUnit, Weighed, compute, dissolves_in_lye, rebatch, superfat_uncertainty, yields,
};
use kettlebook::recipe::{Defaults, RawRecipe, Recipe, validate};
use kettlebook::source::SourceFile;
use kettlebook::tables::Tables;
use kettlebook::units::{Mass, Percent};

fn recipe(keys: &str, tables: &Tables) -> Recipe {
    let text = format!("title = \"t\"\nbatch = \"1 kg\"\nsuperfat = 5\n{keys}\n[fats]\nlard = 100\n");
    let (raw, _) = RawRecipe::read("t", &SourceFile::new("t.toml", text));
    let (recipe, findings) = validate(&raw, tables, &Defaults::default());
    recipe.unwrap_or_else(|| panic!("{findings:#?}"))
}

/// Near within what is stated beside it.
#[track_caller]
fn near(found: f64, wanted: f64, within: f64) {
    assert!((found - wanted).abs() <= within, "{found}, not {wanted}");
}

/// By hand. 1000 g of lard (saponification value 197.5 by the table) at 5 % superfat take 197.5 * 0.95 * 39.99712 / 56.10565 =
/// 133.76 g of NaOH; 33 % leaves 133.76 * 67 / 33 = 271.57 g of water. On a scale of 1 g: 133 g and 272 g. A stock of 48 %:
/// 133 / 0.48 = 277.08, 277 g, in which there are 132.96 g of lye; further water 133 + 272 - 277 = 128 g.
/// Superfat of that: 1 - 132.96 * 56.10565 / 39.99712 / 197.5 = 5.566 %. The stock may be half a point stronger, and its reading half
/// a gram more: 277.5 * 0.485 = 134.5875 g, for 999.5 g of fat at the low end of its range.
#[test]
fn a_stock_by_hand() {
    let tables = Tables::embedded();
    let recipe =
        recipe("alkali = \"NaOH\"\nwater = { lye-concentration = 33 }\nstock = { lye-concentration = 48 }", &tables);
    let batch = compute(&recipe, &tables);
    let stock = batch.stock.expect("it has one");
    let sap = recipe.fats[0].fat.sap_used.to_mg_koh_per_g();
    near(sap, 197.5, 1e-9);
    near(stock.mass.to_grams(), 133.757 / 0.48, 0.005);
    near(stock.further_water.to_grams(), 271.567 - 133.757 * 52.0 / 48.0, 0.005);
    let weighed = Weighed::read(&batch, Scale::GRAMS);
    let read = weighed.stock.expect("it has one");
    assert_eq!((weighed.alkalis[0], weighed.water, read.stock, read.further_water), (133, 272, 277, 128));
    near(weighed.superfat_percent, 5.566, 0.001);
    let low = recipe.fats[0].fat.sap_low.to_mg_koh_per_g();
    let worst = 1.0 - 277.5 * 0.485 * 56.10565 / 39.99712 / (999.5 * low / 1000.0);
    near(superfat_uncertainty(&recipe, &batch, &weighed).worst_percent, worst * 100.0, 0.001);
    // Six batches and a tenth: 277 * 6 * 1.1 * 0.48 = 877.5, 878 g of lye; 878 * 52 / 48 = 951.2, 952 g of water; together 1830 g,
    // enough for 1828.2 g, and 47.98 % strong.
    let jug = Jug::of(&weighed, 6, Percent::percent(10.0)).expect("it has one");
    assert_eq!((jug.needed, jug.lye, jug.water, jug.whole()), (1662, 878, 952, 1830));
}

/// On a scale of 5 g what is lost by rounding twice is still lost on the safe side: 130 g of lye are 270 g of stock of 48 %
/// (270.83), with 129.6 g of lye in them.
#[test]
fn a_stock_on_a_coarse_scale() {
    let tables = Tables::embedded();
    let recipe =
        recipe("alkali = \"NaOH\"\nwater = { lye-concentration = 33 }\nstock = { lye-concentration = 48 }", &tables);
    let scale = Scale::new(ScaleUnit::Grams, 5.0);
    let weighed = Weighed::read(&compute(&recipe, &tables), scale);
    let read = weighed.stock.expect("it has one");
    assert_eq!(
        [weighed.alkalis[0], weighed.water, read.stock, read.further_water].map(|it| it * 5),
        [130, 270, 270, 130]
    );
    near(read.lye(scale).to_grams(), 129.6, 1e-9);
}

/// Trisodium citrate has 258.07 g/mol and its dihydrate 294.10 (data sheets; from standard atomic weights Na3C6H5O7: 3 * 22.98977 +
/// 6 * 12.0107 + 5 * 1.00794 + 7 * 15.9994 = 258.069), citric acid 192.12, its monohydrate 210.14; tripotassium citrate 306.39.
/// So 10 g of the acid make 10 * 258.07 / 192.12 = 13.43 g, or 15.31 g as it is sold, and of the monohydrate 12.28 g and 14.00 g.
#[test]
fn citrate_made_in_place() {
    let tables = Tables::embedded();
    let salt = |alkali: &str, acid: &str| {
        let keys = format!(
            "alkali = {alkali}\nwater = {{ lye-concentration = 33 }}\nadditives = [{{ item = \"{acid}\", rate = \"10 g\" }}]"
        );
        let it = compute(&recipe(&keys, &tables), &tables).acids[0].clone();
        (it.salt.expect("it is known").to_grams(), it.salt_as_sold.map(Mass::to_grams))
    };
    let (citrate, sold) = salt("\"NaOH\"", "citric-acid");
    near(citrate, 10.0 * 258.07 / 192.124, 0.001);
    near(sold.expect("it is sold with water"), 10.0 * 294.10 / 192.124, 0.001);
    let (citrate, sold) = salt("\"NaOH\"", "citric-acid-monohydrate");
    near(citrate, 10.0 * 258.07 / 210.139, 0.001);
    near(sold.expect("it is sold with water"), 10.0 * 294.10 / 210.139, 0.001);
    let (citrate, sold) = salt("\"KOH\"", "citric-acid");
    near(citrate, 10.0 * 306.39 / 192.124, 0.002);
    assert_eq!(sold, None);
    // Half of each by moles: the mean of both.
    let (both, _) = salt("{ NaOH = 50, KOH = 50 }", "citric-acid");
    near(both, 10.0 * (258.07 + 306.39) / 2.0 / 192.124, 0.002);
    // And the other way round: the salt that 10 g of acid make is in 15.31 g of the table's own sodium citrate, which takes up no alkali.
    let without = compute(&recipe("alkali = \"NaOH\"\nwater = { lye-concentration = 33 }", &tables), &tables);
    let keys = "alkali = \"NaOH\"\nwater = { lye-concentration = 33 }\nadditives = [{ item = \"sodium-citrate\", rate = \"15.31 g\" }]";
    let with = compute(&recipe(keys, &tables), &tables);
    assert_eq!(with.total_alkali, without.total_alkali);
    near(with.extras[0].mass.to_grams() * 258.07 / 294.10, 13.43, 0.01);
}

/// ACS Omega 5 (2020) 4875-4889, Table 8, at 363.15 K: liquid no. 15 with 30.11 % NaOH and 4.6 % NaCl in 63.64 % water holds
/// 4.6 / 63.64 = 7.2 g for 100 g of water, at 30.11 / 93.75 = 32.1 % of NaOH in NaOH and water; no. 14 at 27.0 % 10.7 g.
#[test]
fn salt_beside_lye_against_the_published_table() {
    let tables = Tables::embedded();
    let salt = &tables.additives["salt"];
    let rows = salt.dissolves_in_lye.as_ref().expect("the row has it");
    near(dissolves_in_lye(rows, 30.11 / 93.75 * 100.0).expect("rows"), 4.6 / 63.64 * 100.0, 0.1);
    near(dissolves_in_lye(rows, 24.67 / 91.28 * 100.0).expect("rows"), 7.14 / 66.61 * 100.0, 0.1);
    near(dissolves_in_lye(rows, 29.55).expect("rows"), (10.7 + 7.2) / 2.0, 0.01);
    near(dissolves_in_lye(rows, 80.0).expect("rows"), 9.3, 1e-9);
    // A brine by a share of the water: 25 g for 100 g.
    let keys =
        "alkali = \"NaOH\"\nwater = { per-lye = 2 }\nadditives = [{ item = \"salt\", rate = \"25 % of water\" }]";
    let batch = compute(&recipe(keys, &tables), &tables);
    near(batch.extras[0].mass.to_grams(), batch.water.to_grams() / 4.0, 1e-9);
    near(batch.extras[0].of_fats_percent, batch.water.to_grams() / 40.0, 1e-9);
}

/// By hand: 600 g of shreds that have lost 10 % were 666.7 g, so 66.7 g have dried out of them; water 10 to 30 %; at 30 % full a
/// pot of 780 / 0.3 = 2600 mL.
#[test]
fn shreds_by_hand() {
    let tables = Tables::embedded();
    let recipe = recipe("alkali = \"NaOH\"\nwater = { lye-concentration = 33 }", &tables);
    let batch = compute(&recipe, &tables);
    let yields = yields(&recipe, &batch, &tables, tables.limits.cured_moisture);
    let it = rebatch(&yields, OffCard::default(), Mass::grams(600.0), Some(10.0), &tables);
    near(it.water.0.to_grams(), 60.0, 1e-9);
    near(it.water.1.to_grams(), 180.0, 1e-9);
    near(it.lost.expect("it is known").to_grams(), 66.667, 0.001);
    near(it.pot.to_millilitres(), 2600.0, 0.001);
    near(it.of_batch, 666.667 / batch.poured().to_grams(), 1e-6);
    // Where nobody knows, they are taken as dry to the bone: a larger part of the batch than any drying makes them.
    let unknown = rebatch(&yields, OffCard::default(), Mass::grams(600.0), None, &tables);
    assert!(unknown.of_batch > it.of_batch && unknown.lost.is_none());
    near(unknown.of_batch, 600.0 / (yields.cured.to_grams() * 0.88), 1e-6);
}
