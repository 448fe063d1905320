//! Numbers against somebody else's: reference packages, textbooks and manuals, second standards, common practice.
//!
//! The figures and their sources are data: `tests/outside` (its README says where they come from) and `tests/worked`.
//! Every tolerance is stated beside the figure or here, with its reason.

mod worked {
    mod by_hand;
    mod common_practice;
    mod examples;
    mod packages;
    mod sources;
    mod standards;
    mod stock;
}

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use std::sync::Arc;

use kettlebook::batch::{Batch, compute};
use kettlebook::recipe::{Defaults, RawRecipe, validate};
use kettlebook::source::SourceFile;
use kettlebook::tables::Tables;
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
