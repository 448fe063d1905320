//! Against textbooks, manuals, papers and courses: what their authors worked, worked again.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use kettlebook::batch::{Batch, alkali_for, koh_for};
use kettlebook::tables::Tables;
use kettlebook::units::{Mass, SapValue};
use serde::Deserialize;

use crate::{Reference, assert_near, batch, data, tables_with};

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
        // Pure triglycerides of short chains are no fats for soap.
        let limits = "[usual-triglyceride-saponification-value]\nhigh = 600\nsource = \"the example\"\n";
        batch(&recipe, &tables_with(&[("fats.toml", &rows), ("alkalis.toml", &alkalis), ("limits.toml", limits)]))
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
