//! Numbers against somebody else's: reference packages, textbooks and manuals, second standards, common practice.
//!
//! The figures and their sources are data: `tests/outside` (its README says where they come from) and `tests/worked`.
//! Every tolerance is stated beside the figure or here, with its reason.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use std::sync::Arc;

use kettlebook::batch::{Batch, Scale, ScaleUnit, alkali_for, compute, koh_for, lye_density, swap_fats};
use kettlebook::recipe::{Defaults, RawRecipe, Recipe, validate};
use kettlebook::source::SourceFile;
use kettlebook::tables::{AdditiveKind, Tables};
use kettlebook::units::{Length, Mass, SapValue, Volume};
use serde::Deserialize;
use serde::de::DeserializeOwned;

/// Reads a data file.
fn data<T: DeserializeOwned>(path: &str) -> T {
    let text = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(path)).expect(path);
    toml::from_str(&text).unwrap_or_else(|it| panic!("{path}: {it}"))
}

/// `tests/outside/reference.toml`, as far as it is about what this library computes.
#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
struct Reference {
    molar_mass: Vec<NamedMolarMass>,
    fatty_acid: Vec<FattyAcid>,
    acid: Vec<Acid>,
    unit: Vec<UnitSize>,
    water: Vec<Water>,
    lye_density: Vec<LyeDensity>,
    ratio: BTreeMap<String, f64>,
}

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
struct NamedMolarMass {
    name: String,
    formula: String,
    g_per_mol: f64,
}

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
struct FattyAcid {
    name: String,
    g_per_mol: f64,
    triglyceride: String,
    triglyceride_g_per_mol: f64,
    sv_mg_koh_per_g: f64,
}

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
struct Acid {
    name: String,
    naoh_g_per_g: f64,
    koh_g_per_g: f64,
}

#[derive(Deserialize)]
struct UnitSize {
    name: String,
    size: f64,
}

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
struct Water {
    celsius: f64,
    kg_per_m3: f64,
}

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
struct LyeDensity {
    solute: String,
    celsius: f64,
    percent: f64,
    kg_per_m3: f64,
    extrapolated: bool,
}

impl Reference {
    fn read() -> Reference {
        data("tests/outside/reference.toml")
    }

    fn molar_mass(&self, formula: &str) -> f64 {
        self.molar_mass.iter().find(|it| it.formula == formula).expect(formula).g_per_mol
    }

    fn fatty_acid(&self, name: &str) -> &FattyAcid {
        self.fatty_acid.iter().find(|it| it.name == name).expect(name)
    }

    fn triglyceride(&self, formula: &str) -> &FattyAcid {
        self.fatty_acid.iter().find(|it| it.triglyceride == formula).expect(formula)
    }
}

#[track_caller]
fn assert_near(what: &str, found: f64, wanted: f64, tolerance: f64) {
    // A tolerance of half a printed unit is reached exactly by a figure that ends in 5; a hair more for binary fractions.
    let tolerance = tolerance + 1e-9 * wanted.abs();
    assert!((found - wanted).abs() <= tolerance, "{what}: {found}, not {wanted} to {tolerance}");
}

/// The embedded tables with files laid over them, as `(name, text)`; nothing may be wrong with these.
fn tables_with(files: &[(&str, &str)]) -> Tables {
    let files: Vec<Arc<SourceFile>> =
        files.iter().map(|(name, text)| SourceFile::new(format!("tables/{name}"), *text)).collect();
    let (tables, findings) = Tables::load(&files);
    assert!(findings.is_empty(), "{findings:#?}");
    tables
}

/// Computes a recipe given as TOML, with 5 % superfat and pure NaOH at 33 % unless it says otherwise.
fn batch(recipe: &str, tables: &Tables) -> Batch {
    let mut text = "title = \"worked\"\n".to_owned();
    for (key, usual) in [("superfat", "5"), ("alkali", "\"NaOH\""), ("water", "{ lye-concentration = 33 }")] {
        if !recipe.lines().any(|it| it.starts_with(key)) {
            let _ = writeln!(text, "{key} = {usual}");
        }
    }
    text.push_str(recipe);
    let file = SourceFile::new("recipes/worked.toml", text);
    let (raw, findings) = RawRecipe::read("worked", &file);
    assert!(findings.is_empty(), "{findings:#?}");
    let (recipe, findings) = validate(&raw, tables, &Defaults::default());
    assert!(findings.is_empty(), "{findings:#?}");
    compute(&recipe.expect("nothing is wrong with it"), tables)
}

// ---- Reference packages ----

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

// ---- Textbooks, manuals, papers, courses ----

/// `tests/outside/worked_examples.toml`.
#[derive(Deserialize)]
struct Examples {
    example: Vec<Example>,
}

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
struct Example {
    id: String,
    kind: String,
    class: String,
    inputs: BTreeMap<String, toml::Value>,
    #[serde(default)]
    molar_masses: BTreeMap<String, f64>,
    result: BTreeMap<String, f64>,
    tolerance: f64,
    tolerance_modern: f64,
    source: Source,
}

#[derive(Deserialize)]
struct Source {
    work: String,
}

/// Molar masses to work an example with: the source's own, or today's.
struct MolarMasses<'a> {
    example: &'a Example,
    reference: &'a Reference,
    tables: Tables,
    modern: bool,
}

impl Example {
    fn input(&self, name: &str) -> f64 {
        let value = self.inputs.get(name).unwrap_or_else(|| panic!("{}: no input {name}", self.id));
        value.as_float().or(value.as_integer().map(|it| it as f64)).unwrap_or_else(|| panic!("{}: {name}", self.id))
    }

    fn text(&self, name: &str) -> &str {
        self.inputs.get(name).and_then(toml::Value::as_str).unwrap_or_else(|| panic!("{}: no input {name}", self.id))
    }

    /// A table of numbers among the inputs.
    fn shares(&self, name: &str) -> Vec<(String, f64)> {
        let table = self.inputs.get(name).and_then(toml::Value::as_table);
        let table = table.unwrap_or_else(|| panic!("{}: no input {name}", self.id));
        table.iter().map(|(key, value)| (key.clone(), value.as_float().expect("a number"))).collect()
    }

    fn molar_masses<'a>(&'a self, reference: &'a Reference, modern: bool) -> MolarMasses<'a> {
        let mut alkalis = String::new();
        if !modern {
            for (name, id) in [("naoh", "NaOH"), ("koh", "KOH")] {
                if let Some(value) = self.molar_masses.get(name) {
                    let _ = writeln!(alkalis, "[{id}]\nmolar-mass = {{ value = {value}, source = \"the example\" }}");
                }
            }
        }
        MolarMasses { example: self, reference, tables: tables_with(&[("alkalis.toml", &alkalis)]), modern }
    }
}

impl MolarMasses<'_> {
    fn koh(&self) -> f64 {
        self.tables.koh.molar_mass.to_grams_per_mole()
    }

    fn grams_of_naoh_per_gram_of_koh(&self) -> f64 {
        self.tables.naoh.molar_mass.to_grams_per_mole() / self.koh()
    }

    /// The source's own figure under `name`, or today's.
    fn own_or(&self, name: &str, modern: f64) -> f64 {
        if self.modern {
            return modern;
        }
        *self.example.molar_masses.get(name).unwrap_or_else(|| panic!("{}: no molar mass of {name}", self.example.id))
    }

    /// The triglyceride that the inputs name.
    fn triglyceride(&self) -> f64 {
        self.own_or(
            "triglyceride",
            self.reference.triglyceride(self.example.text("triglyceride")).triglyceride_g_per_mol,
        )
    }

    /// The fatty acid that the inputs name.
    fn fatty_acid(&self) -> f64 {
        self.own_or("fatty-acid", self.reference.fatty_acid(self.example.text("fatty-acid")).g_per_mol)
    }

    /// Sodium stearate: the acid, with sodium hydroxide, without water.
    fn sodium_stearate(&self) -> f64 {
        let modern = self.reference.fatty_acid("C18:0").g_per_mol + self.reference.molar_mass("NaOH")
            - self.reference.molar_mass("H2O");
        self.own_or("sodium-stearate", modern)
    }

    /// The saponification value of a pure triglyceride, by its molar mass.
    fn sap_of_triglyceride(&self, grams_per_mole: f64) -> SapValue {
        SapValue::mg_koh_per_g(3000.0 * self.koh() / grams_per_mole)
    }

    /// Moles of alkali that a fat takes, by way of the mass of NaOH.
    fn moles_of_naoh(&self, fat: Mass, sap: SapValue) -> f64 {
        let naoh = alkali_for(koh_for(fat, sap), self.grams_of_naoh_per_gram_of_koh());
        naoh.to_grams() / (self.koh() * self.grams_of_naoh_per_gram_of_koh())
    }

    /// A recipe of pure fats by percent, each with its saponification value, computed whole.
    fn batch_of(&self, grams: f64, fats: &[(f64, SapValue)]) -> Batch {
        let mut rows = String::new();
        let mut recipe = format!("batch = \"{grams} g\"\nsuperfat = 0\n[fats]\n");
        for (fat_idx, (percent, sap)) in fats.iter().enumerate() {
            let _ = writeln!(recipe, "fat-{fat_idx} = {percent}");
            let _ = writeln!(
                rows,
                "[fat-{fat_idx}]\nname = \"fat\"\nsaponification-value = {{ use = {}, source = \"the example\" }}",
                sap.to_mg_koh_per_g()
            );
        }
        let mut alkalis = String::new();
        for alkali in [&self.tables.naoh, &self.tables.koh] {
            let _ = writeln!(
                alkalis,
                "[{}]\nmolar-mass = {{ value = {}, source = \"the example\" }}",
                alkali.kind.formula(),
                alkali.molar_mass.to_grams_per_mole()
            );
        }
        batch(&recipe, &tables_with(&[("fats.toml", &rows), ("alkalis.toml", &alkalis)]))
    }
}

/// What the library makes of an example's inputs, under the names of its results; nothing for what it does not compute.
fn worked(example: &Example, molar: &MolarMasses<'_>) -> Vec<(&'static str, f64)> {
    let sap_of = SapValue::mg_koh_per_g;
    // ISO 3657's definition, the inputs in mL, mol/L and g: mg of KOH per g of fat.
    let titrated = || {
        let millimoles = (example.input("blank-ml") - example.input("sample-ml")) * example.input("acid-normality");
        (sap_of(molar.koh() * millimoles / example.input("sample-g")), Mass::grams(example.input("sample-g")))
    };
    match example.kind.as_str() {
        "saponification-value-by-titration" => {
            let (sap, sample) = titrated();
            let koh_mg = koh_for(sample, sap).to_grams() * 1000.0;
            vec![("saponification-value-mg-koh-per-g", koh_mg / sample.to_grams()), ("koh-mg", koh_mg)]
        }
        // The mass of fat that one mole of KOH saponifies, by way of the KOH that 1 g takes.
        "saponification-equivalent-by-titration" => {
            let (sap, _) = titrated();
            vec![("grams-per-equivalent", molar.koh() / koh_for(Mass::grams(1.0), sap).to_grams())]
        }
        "saponification-value-of-triglyceride" => {
            let sap = molar.sap_of_triglyceride(molar.triglyceride());
            let batch = molar.batch_of(1000.0, &[(100.0, sap)]);
            vec![("saponification-value-mg-koh-per-g", batch.koh.to_grams())]
        }
        "saponification-equivalent-of-triglyceride" => {
            let sap = molar.sap_of_triglyceride(molar.triglyceride());
            vec![("grams-per-equivalent", molar.koh() / koh_for(Mass::grams(1.0), sap).to_grams())]
        }
        "saponification-value-of-mixture-by-moles" => {
            let parts: Vec<(f64, f64)> = example
                .shares("mole-fractions")
                .into_iter()
                .map(|(formula, moles)| {
                    let modern = molar.reference.triglyceride(&formula).triglyceride_g_per_mol;
                    (moles, molar.own_or(&formula, modern))
                })
                .collect();
            let mean: f64 = parts.iter().map(|(moles, grams_per_mole)| moles * grams_per_mole).sum();
            let fats: Vec<_> = parts
                .iter()
                .map(|(moles, grams_per_mole)| {
                    (100.0 * moles * grams_per_mole / mean, molar.sap_of_triglyceride(*grams_per_mole))
                })
                .collect();
            let koh = molar.batch_of(1000.0, &fats).koh.to_grams();
            vec![("saponification-value-mg-koh-per-g", koh), ("mean-g-per-mol", 3000.0 * molar.koh() / koh)]
        }
        // A fat with free acid in it: two fats, the acid by its acid value.
        "saponification-value-with-free-acid" => {
            let acid_sap = sap_of(1000.0 * molar.koh() / molar.fatty_acid());
            let acid_percent = 100.0 * example.input("acid-value-mg-koh-per-g") / acid_sap.to_mg_koh_per_g();
            let fats =
                [(acid_percent, acid_sap), (100.0 - acid_percent, molar.sap_of_triglyceride(molar.triglyceride()))];
            vec![("saponification-value-mg-koh-per-g", molar.batch_of(1000.0, &fats).koh.to_grams())]
        }
        "alkali-for-fatty-acid" => {
            let sap = sap_of(1000.0 * molar.koh() / molar.fatty_acid());
            let moles = molar.moles_of_naoh(Mass::grams(example.input("sample-g")), sap);
            vec![("alkali-ml", 1000.0 * moles / example.input("alkali-normality"))]
        }
        "acid-value-of-fatty-acid" => {
            let sap = sap_of(1000.0 * molar.koh() / molar.fatty_acid());
            vec![("koh-mg", koh_for(Mass::grams(example.input("sample-g")), sap).to_grams() * 1000.0)]
        }
        // Three of NaOH give three of salt: the NaOH for 1 kg of tristearin says how much salt it gives.
        "fat-for-sodium-salt" => {
            let tristearin = molar.own_or("triglyceride", molar.reference.fatty_acid("C18:0").triglyceride_g_per_mol);
            let moles = molar.moles_of_naoh(Mass::grams(1000.0), molar.sap_of_triglyceride(tristearin));
            let salt_kg = example.input("product-kg") * example.input("sodium-salt-percent") / 100.0;
            let tristearin_kg = salt_kg / (moles * molar.sodium_stearate() / 1000.0);
            vec![("fat-kg", tristearin_kg / example.input("tristearin-percent-of-fat") * 100.0)]
        }
        "sodium-salt-from-fat" => {
            let tristearin = molar.own_or("triglyceride", molar.reference.fatty_acid("C18:0").triglyceride_g_per_mol);
            let grams = example.input("fat-tonne") * 1e6 * example.input("tristearin-percent-of-fat") / 100.0;
            let moles = molar.moles_of_naoh(Mass::grams(grams), molar.sap_of_triglyceride(tristearin));
            let salt_tonne = moles * molar.sodium_stearate() / 1e6;
            let product = salt_tonne / example.input("sodium-salt-percent-of-product") * 100.0;
            vec![("sodium-salt-tonne", salt_tonne), ("product-tonne", product)]
        }
        "naoh-for-triglycerides" => {
            let fats: Vec<_> = example
                .shares("percent")
                .into_iter()
                .map(|(acid, percent)| {
                    let modern = molar.reference.fatty_acid(&acid).triglyceride_g_per_mol;
                    (percent, molar.sap_of_triglyceride(molar.own_or(&acid, modern)))
                })
                .collect();
            vec![("naoh-g", molar.batch_of(example.input("fat-g"), &fats).total_alkali.to_grams())]
        }
        "naoh-from-value-in-koh" => {
            let value = sap_of(example.input("acid-value-mg-koh-per-g"));
            let koh = koh_for(Mass::grams(example.input("fat-g")), value);
            vec![("naoh-g", alkali_for(koh, molar.grams_of_naoh_per_gram_of_koh()).to_grams())]
        }
        // Glycerol is not computed by this library yet; the examples wait for it.
        "glycerol-from-naoh" | "glycerol-with-free-acid" => Vec::new(),
        other => panic!("{}: nobody knows how to work a {other}", example.id),
    }
}

#[test]
fn the_library_gets_what_the_authors_of_worked_examples_got() {
    let reference = Reference::read();
    let examples: Examples = data("tests/outside/worked_examples.toml");
    let mut n_compared = 0;
    for example in &examples.example {
        for modern in [false, true] {
            let found = worked(example, &example.molar_masses(&reference, modern));
            let tolerance = if modern { example.tolerance_modern } else { example.tolerance };
            for (name, printed) in &example.result {
                let Some((_, found)) = found.iter().find(|(it, _)| it == name) else {
                    assert!(found.is_empty(), "{}: {name} was not worked", example.id);
                    continue;
                };
                let whose = if modern { "today's molar masses" } else { "the source's molar masses" };
                let what = format!("{} of {} ({}), with {whose}", name, example.id, example.source.work);
                // The tolerance is stated for the first result; a mass of the same sample may be a larger number.
                let scale = if name == "koh-mg" && modern { example.input("sample-g").max(1.0) } else { 1.0 };
                assert_near(&what, *found, *printed, tolerance * scale);
                n_compared += 1;
            }
        }
    }
    assert_eq!(n_compared, 48, "results compared; an example lost must be missed");
}

#[test]
fn solved_exercises_stand_in_only_where_no_textbook_gives_that_kind() {
    let examples: Examples = data("tests/outside/worked_examples.toml");
    for example in examples.example.iter().filter(|it| it.class == "solved exercise") {
        let better = examples.example.iter().find(|it| it.kind == example.kind && it.class != "solved exercise");
        assert!(better.is_none(), "{}: {} gives that kind", example.id, better.expect("checked").id);
    }
}

/// `sv-mg-koh-per-g` of the reference is a quotient of molar masses; the library gets there through `koh_for`.
#[test]
fn three_moles_of_potash_saponify_a_mole_of_any_triglyceride() {
    let reference = Reference::read();
    let koh = reference.molar_mass("KOH");
    for it in &reference.fatty_acid {
        let taken = koh_for(Mass::grams(it.triglyceride_g_per_mol), SapValue::mg_koh_per_g(it.sv_mg_koh_per_g));
        // Ten printed digits.
        assert_near(&it.triglyceride, taken.to_grams(), 3.0 * koh, 1e-7);
    }
    assert_eq!(reference.molar_mass.iter().filter(|it| it.name.contains("hydroxide")).count(), 2);
}

// ---- Standards ----

/// A range as typed; either end may be open.
#[derive(Clone, Copy, Deserialize)]
struct Range {
    low: Option<f64>,
    high: Option<f64>,
}

impl Range {
    fn overlaps(self, other: Range) -> bool {
        let (low, high) = (f64::NEG_INFINITY, f64::INFINITY);
        self.low.unwrap_or(low) <= other.high.unwrap_or(high) && other.low.unwrap_or(low) <= self.high.unwrap_or(high)
    }
}

/// A row of `src/tables/fats.toml`, read without the library.
#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
struct FatRow {
    saponification_value: Range,
    iodine_value: Option<Range>,
}

/// `tests/outside/second_source.toml`.
#[derive(Deserialize)]
struct SecondSources {
    row: Vec<SecondSource>,
}

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
struct SecondSource {
    fat: String,
    called: String,
    saponification_value: Range,
    iodine_value: Option<Range>,
    source: String,
}

#[test]
fn the_saponification_value_used_lies_in_the_published_range() {
    let rows: BTreeMap<String, FatRow> = data("src/tables/fats.toml");
    let tables = Tables::embedded();
    assert_eq!(rows.keys().collect::<Vec<_>>(), tables.fats.keys().collect::<Vec<_>>());
    for (id, row) in &rows {
        let (low, high) = (row.saponification_value.low.expect(id), row.saponification_value.high.expect(id));
        let fat = &tables.fats[id];
        let used = fat.sap_used.to_mg_koh_per_g();
        assert!(low <= used && used <= high, "{id}: {used} is outside {low} to {high}");
        assert_eq!((fat.sap_low.to_mg_koh_per_g(), fat.sap_high.to_mg_koh_per_g()), (low, high), "{id}");
        // Stearic acid from palm kernel would be 219, pure jojoba 90: nothing that makes soap lies outside this.
        assert!((40.0..=270.0).contains(&used), "{id}: {used} mg KOH per g; is it a figure for NaOH?");
    }
}

#[test]
fn a_second_source_never_contradicts_the_table() {
    let rows: BTreeMap<String, FatRow> = data("src/tables/fats.toml");
    let sources: SecondSources = data("tests/outside/second_source.toml");
    let tables = Tables::embedded();
    // Fats of which a second source says something else, with the reason; none at present.
    let exceptions: [(&str, &str); 0] = [];
    for row in &sources.row {
        let ours = rows.get(&row.fat).unwrap_or_else(|| panic!("no fat {}", row.fat));
        let overlap = ours.saponification_value.overlaps(row.saponification_value)
            && ours.iodine_value.zip(row.iodine_value).is_none_or(|(ours, theirs)| ours.overlaps(theirs));
        let is_exception = exceptions.iter().any(|(fat, _)| *fat == row.fat);
        assert_ne!(overlap, is_exception, "{} ({}), by {}", row.fat, row.called, row.source);
        // What recipes reckon with is a value that the second source would accept as well.
        let used = tables.fats[&row.fat].sap_used.to_mg_koh_per_g();
        let used = Range { low: Some(used), high: Some(used) };
        let accepted = row.saponification_value.overlaps(used);
        assert_ne!(accepted, is_exception, "{} reckons with a value refused by {}", row.fat, row.source);
    }
    assert_eq!(sources.row.len(), 17);
}

// ---- Common practice, no source ----

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
struct CommonPractice {
    mould_rule: MouldRule,
}

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
struct MouldRule {
    ounces_of_fats_per_cubic_inch: f64,
    tolerance_percent: f64,
    lye_concentrations: Vec<f64>,
    superfats: Vec<f64>,
    moulds: Vec<[f64; 3]>,
    mixture: Vec<Mixture>,
}

#[derive(Deserialize)]
struct Mixture {
    name: String,
    fats: BTreeMap<String, f64>,
}

#[test]
fn the_batch_for_a_mould_is_near_the_rule_of_thumb() {
    let CommonPractice { mould_rule: rule } = data("tests/worked/common_practice.toml");
    let mut n_compared = 0;
    for mould @ [length, width, height] in &rule.moulds {
        let table = format!(
            "[tried]\ninside-length = \"{length} in\"\ninside-width = \"{width} in\"\nfill-height = \"{height} in\"\n\
             source = \"common practice\"\n"
        );
        let tables = tables_with(&[("moulds.toml", &table)]);
        let wanted = rule.ounces_of_fats_per_cubic_inch * mould.iter().product::<f64>();
        for mixture in &rule.mixture {
            let fats: String = mixture.fats.iter().map(|(id, percent)| format!("{id} = {percent}\n")).collect();
            for (concentration, superfat) in
                rule.lye_concentrations.iter().flat_map(|it| rule.superfats.iter().map(move |superfat| (it, superfat)))
            {
                let recipe = format!(
                    "mould = \"tried\"\nsuperfat = {superfat}\nwater = {{ lye-concentration = {concentration} }}\n\
                     [fats]\n{fats}"
                );
                let found = batch(&recipe, &tables).total_fats.to_ounces();
                let what = format!("{} in {length} x {width} x {height} in, lye {concentration} %", mixture.name);
                assert_near(&what, found, wanted, wanted * rule.tolerance_percent / 100.0);
                n_compared += 1;
            }
        }
    }
    assert_eq!(n_compared, 2 * 5 * 6 * 3);
}

/// By hand: 1000 g of lard (SV 197.5) at 5 % superfat get the work of 197.5 * 0.95 = 187.625 g of KOH. With the swap, 700 g
/// of lard and 300 g of shea (SV 177.5) take 138.25 + 53.25 = 191.5 g: 1 - 187.625 / 191.5 = 2.0235 %. Shea alone takes
/// 177.5 g: 1 - 187.625 / 177.5 = -5.7042 %. The citric acid of the base takes up what was added for it and changes nothing.
///
/// The worst case of shea alone, on an endless fine scale: all of it at SV 160, and the alkali as pure as it can be, 100 %
/// for the 99 % that was reckoned with: 1 - 187.625 / 0.99 / 160 = -18.450 %. With the acid's 8.7609 g of KOH, which purer
/// alkali exceeds too: 1 - (196.3859 / 0.99 - 8.7609) / 160 = -18.505 %.
#[test]
fn fats_swapped_under_the_same_lye_by_hand() {
    let recipe = |rest: &str| {
        let text = format!(
            "title = \"t\"\nbatch = \"1 kg\"\nsuperfat = 5\nalkali = \"NaOH\"\npurity = {{ NaOH = 99 }}\n\
             water = {{ per-lye = 2 }}\n{rest}"
        );
        let (raw, findings) = RawRecipe::read("worked", &SourceFile::new("worked.toml", text));
        assert!(findings.is_empty(), "{findings:#?}");
        validate(&raw, &Tables::embedded(), &Defaults::default()).0.expect("a recipe that can be computed")
    };
    let lard = recipe("[fats]\nlard = 100\n");
    let with_acid = recipe("[fats]\nlard = 100\n[[additives]]\nitem = \"citric-acid\"\nrate = \"1 %\"\n");
    let scale = Scale { unit: ScaleUnit::Grams, division: 1e-6 };
    let swap =
        |base: &Recipe, variant: &Recipe| swap_fats(base, variant, Mass::grams(1000.0), &[scale], &Tables::embedded());
    let (half, shea) = (recipe("[fats]\nlard = 70\nshea = 30\n"), recipe("[fats]\nshea = 100\n"));
    assert_near("with some shea", swap(&lard, &half).superfat_percent, 2.0235, 0.00005);
    assert_near("with shea alone", swap(&lard, &shea).superfat_percent, -5.7042, 0.00005);
    assert_near("at its worst", swap(&lard, &shea).worst_percent, -18.450, 0.0005);
    assert_near("with an acid in the base", swap(&with_acid, &shea).superfat_percent, -5.7042, 0.00005);
    assert_near("with an acid, at its worst", swap(&with_acid, &shea).worst_percent, -18.505, 0.0005);
}
