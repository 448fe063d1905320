//! Against reference packages: molar masses, acids, densities, units.

use kettlebook::batch::lye_density;
use kettlebook::tables::{AdditiveKind, Tables};
use kettlebook::units::{Length, Mass, Volume};

use crate::{Reference, assert_near, batch, tables_with};

#[test]
fn molar_masses_and_their_ratio_are_those_of_molmass() {
    let reference = Reference::read();
    let tables = Tables::embedded();
    // The table has five decimals.
    for (alkali, formula) in [(&tables.naoh, "NaOH"), (&tables.koh, "KOH")] {
        assert_near(formula, alkali.molar_mass.to_grams_per_mole(), reference.molar_mass(formula), 0.000_005);
    }
    // Two values of five decimals each: 0.000005 / 40 and 0.000005 / 56 of the ratio, 1.6e-7 together.
    let ratio = tables.naoh.molar_mass.to_grams_per_mole() / tables.koh.molar_mass.to_grams_per_mole();
    assert_near("NaOH per KOH", ratio, reference.ratio["naoh-per-koh"], 1.6e-7);
}

#[test]
fn acids_take_up_what_their_molar_masses_say() {
    let reference = Reference::read();
    let tables = Tables::embedded();
    for (id, name, formula) in [
        ("citric-acid", "citric acid, anhydrous", "C6H8O7"),
        ("citric-acid-monohydrate", "citric acid monohydrate", "C6H10O8"),
        ("lactic-acid", "lactic acid", "C3H6O3"),
        ("vinegar", "acetic acid", "C2H4O2"),
    ] {
        let AdditiveKind::Acid { molar_mass, .. } = tables.additives[id].kind else { panic!("{id} is no acid") };
        assert_near(id, molar_mass.to_grams_per_mole(), reference.molar_mass(formula), 0.000_005);
        let wanted = reference.acid.iter().find(|it| it.name == name).expect(name);
        let with_acid = |alkali: &str| {
            let recipe = format!(
                "batch = \"1 kg\"\nalkali = \"{alkali}\"\n[fats]\nolive = 100\n\
                 [[additives]]\nitem = \"{id}\"\nrate = \"10 g\"\nstrength = 100\n"
            );
            batch(&recipe, &tables)
        };
        let without =
            |alkali: &str| batch(&format!("batch = \"1 kg\"\nalkali = \"{alkali}\"\n[fats]\nolive = 100\n"), &tables);
        for (alkali, per_gram) in [("NaOH", wanted.naoh_g_per_g), ("KOH", wanted.koh_g_per_g)] {
            let more = with_acid(alkali).total_alkali.to_grams() - without(alkali).total_alkali.to_grams();
            // Molar masses of five decimals, the smallest 40: 1.3e-7 of it each.
            assert_near(&format!("{alkali} for 10 g of {name}"), more, 10.0 * per_gram, 3e-7 * 10.0 * per_gram);
        }
    }
    // Carbon dioxide is in the reference and in no recipe.
    assert_eq!(reference.acid.len(), 5);
}

#[test]
fn densities_of_lye_are_those_of_thermo() {
    let reference = Reference::read();
    let tables = Tables::embedded();
    let mut n_compared = 0;
    for row in &reference.lye_density {
        let fraction = row.percent / 100.0;
        let (naoh, koh) = if row.solute == "NaOH" { (fraction, 0.0) } else { (0.0, fraction) };
        let (density, in_range) = lye_density(naoh, koh, row.celsius, &tables);
        assert_eq!(in_range, !row.extrapolated, "{} {} % {} C", row.solute, row.percent, row.celsius);
        // The same formula with the same coefficients, printed with ten digits: the last of them.
        let wanted = row.kg_per_m3 / 1000.0;
        let what = format!("{} {} % at {} C", row.solute, row.percent, row.celsius);
        assert_near(&what, density.to_grams_per_millilitre(), wanted, 2e-9);
        n_compared += 1;
    }
    for row in &reference.water {
        let (density, in_range) = lye_density(0.0, 0.0, row.celsius, &tables);
        assert!(in_range, "water at {} C", row.celsius);
        assert_near(
            &format!("water at {} C", row.celsius),
            density.to_grams_per_millilitre(),
            row.kg_per_m3 / 1e3,
            2e-9,
        );
        n_compared += 1;
    }
    assert_eq!(n_compared, 2 * 5 * 11 + 19);
}

/// Percent of NaOH by mass and g/mL at 20 °C: The Engineering ToolBox, Densities of Aqueous Solutions of Inorganic Sodium
/// Salts, read in a stored copy. The last row is a maker's: dow.com, Physical Properties, 1.52 after the International
/// Critical Tables.
const NAOH_OF_A_HANDBOOK: [(f64, f64); 7] =
    [(1.0, 1.0095), (5.0, 1.0538), (10.0, 1.1089), (20.0, 1.2192), (30.0, 1.3277), (40.0, 1.4299), (50.0, 1.52)];

#[test]
fn densities_of_lye_are_close_to_those_of_a_handbook_that_has_no_part_in_the_model() {
    let tables = Tables::embedded();
    for (percent, wanted) in NAOH_OF_A_HANDBOOK {
        let (density, in_range) = lye_density(percent / 100.0, 0.0, 20.0, &tables);
        assert!(in_range, "{percent} %");
        // The model reads low as the lye grows stronger, 0.27 % at 40 %: less than a millilitre in the lye of a kilogram of fats.
        assert_near(&format!("{percent} %"), density.to_grams_per_millilitre(), wanted, 0.003 * wanted);
    }
}

#[test]
fn the_density_of_a_mixed_lye_lies_between_those_of_its_alkalis() {
    // No package was found that computes it; this is what any law of mixing must give, at the same total concentration.
    let tables = Tables::embedded();
    for percent in [10.0, 20.0, 33.0, 45.0] {
        let w = percent / 100.0;
        let density = |naoh: f64, koh: f64| lye_density(naoh, koh, 38.0, &tables).0.to_grams_per_millilitre();
        let (naoh, koh, mixed) = (density(w, 0.0), density(0.0, w), density(w * 0.6, w * 0.4));
        assert!(naoh.min(koh) < mixed && mixed < naoh.max(koh), "{percent} %: {naoh} {koh} {mixed}");
    }
}

#[test]
fn the_density_of_water_in_the_limits_is_that_of_the_reference() {
    let reference = Reference::read();
    let wanted = reference.water.iter().find(|it| it.celsius == 20.0).expect("20 C").kg_per_m3 / 1000.0;
    // The limits have five decimals, from another formula (IAPWS-IF97 at one atmosphere).
    assert_near("water at 20 C", Tables::embedded().limits.water_density.to_grams_per_millilitre(), wanted, 1e-5);
}

#[test]
fn units_have_the_sizes_that_pint_gives_them() {
    let reference = Reference::read();
    let size = |name: &str| reference.unit.iter().find(|it| it.name == name).expect(name).size;
    let mass = |text: &str| Mass::parse(text).expect(text).to_grams();
    // Exact by definition: not even the last binary digit may differ.
    assert_eq!(mass("1 oz"), size("ounce"));
    assert_eq!(mass("1 lb"), size("pound"));
    assert_eq!(Mass::ounces(1.0).to_grams(), size("ounce"));
    assert_eq!(Length::parse("1 in").expect("an inch").to_millimetres(), size("inch"));
    assert_eq!(Volume::parse("1 tsp").expect("a teaspoon").to_millilitres(), size("US teaspoon"));
    assert_eq!(Volume::parse("1 tbsp").expect("a tablespoon").to_millilitres(), size("US tablespoon"));
    assert_near("ounces in a pound", Mass::grams(size("pound")).to_ounces(), 16.0, 1e-14);
    let inch =
        "[inch]\ninside-length = \"1 in\"\ninside-width = \"1 in\"\nfill-height = \"1 in\"\nsource = \"measured\"\n";
    let tables = tables_with(&[("moulds.toml", inch)]);
    assert_near("a cubic inch", tables.moulds["inch"].volume().to_millilitres(), size("cubic inch"), 1e-13);
}
