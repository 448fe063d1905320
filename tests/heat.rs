//! How hot the lye gets and how much alkali dissolves, against figures that other people published, and laws.
//!
//! Heat capacities come from `outside/reference.toml`. The other figures stand here, beside the tests that use them,
//! each with its source; all of them were read, in the copies that are named.

mod heat {
    mod laws;
    mod published;
}

use std::sync::LazyLock;

use kettlebook::batch::{HottestLye, heat_of_solution_joules_per_gram, hottest_lye, strongest_solution_percent_at};
use kettlebook::source::SourceFile;
use kettlebook::tables::{AlkaliKind, Tables};
use kettlebook::units::Mass;

/// Read once: the laws below try hundreds of lyes.
static TABLES: LazyLock<Tables> = LazyLock::new(Tables::embedded);

#[track_caller]
fn near(found: f64, wanted: f64, tolerance: f64, what: &str) {
    assert!((found - wanted).abs() <= tolerance, "{what}: {found}, not {wanted} within {tolerance}");
}

/// A lye of `percent` in all, of which `koh_part` is KOH.
fn lye(percent: f64, koh_part: f64, ice_fraction: f64, start_celsius: f64) -> HottestLye {
    let gram = |grams: f64| Mass::grams(grams);
    let (naoh, koh) = (gram(percent * (1.0 - koh_part)), gram(percent * koh_part));
    hottest_lye(naoh, koh, gram(100.0 - percent), ice_fraction, start_celsius, &TABLES)
}

#[test]
fn a_course_may_use_its_own_figures_and_slips_in_them_are_told() {
    let load = |text: &str| Tables::load(&[SourceFile::new("tables/alkalis.toml", text)]);
    let (tables, findings) = load(
        "[KOH]\nsolubility = { rows = [[20, 50], [30, 54]], source = \"own\" }\n\
         heat-by-dilution = { rows = [[5, 50]], infinite-dilution = 57.6, source = \"own\" }\n\
         solid-heat-capacity = { value = 70, source = \"own\" }\n",
    );
    assert!(findings.is_empty(), "{findings:#?}");
    assert_eq!(strongest_solution_percent_at(AlkaliKind::KOH, 25.0, &tables), Some(52.0));
    assert_eq!(strongest_solution_percent_at(AlkaliKind::KOH, 31.0, &tables), None);
    let five = heat_of_solution_joules_per_gram(AlkaliKind::KOH, 5.0, &tables);
    near(five * 56.10565 / 1000.0, 57.61 - 7.6, 1e-9, "KOH with a table");
    assert_eq!(heat_of_solution_joules_per_gram(AlkaliKind::KOH, 0.0, &tables), five);

    // Below the first row the line of the first two goes on: 40 - (48 - 40) * (4 - 2) / (8 - 4) = 36 at two moles.
    let (tables, findings) =
        load("[KOH]\nheat-by-dilution = { rows = [[4, 40], [8, 48]], infinite-dilution = 57.6, source = \"own\" }\n");
    assert!(findings.is_empty(), "{findings:#?}");
    let two = heat_of_solution_joules_per_gram(AlkaliKind::KOH, 2.0, &tables);
    near(two * 56.10565 / 1000.0, 57.61 - (57.6 - 36.0), 1e-9, "KOH below its table");

    for (text, codes) in [
        ("solubility = { rows = [[20, 50], [20, 54]], source = \"own\" }", vec!["wrong-type"]),
        ("solubility = { rows = [[20, 50], [30]], source = \"own\" }", vec!["wrong-type"]),
        ("solubility = { rows = [[20, 50], \"30\"], source = \"own\" }", vec!["wrong-type"]),
        ("solubility = { rows = [], source = \"own\" }", vec!["wrong-type"]),
        ("solubility = { source = \"own\" }", vec!["missing-key"]),
        ("solubility = { rows = [[20, 150]], source = \"own\" }", vec!["out-of-range"]),
        ("solubility = { rows = [[20, 50]] }", vec!["value-without-source"]),
        ("solubility = { rows = [[20, 50]], other-crystals-from = [\"x\"], source = \"own\" }", vec!["wrong-type"]),
        ("solubility = { rows = [[20, 50]], sorce = \"own\" }", vec!["value-without-source", "unknown-key"]),
        ("heat-by-dilution = { rows = [[5, 50]], source = \"own\" }", vec!["missing-key"]),
        ("strong-heat-capacity = { rows = [[0, 3]], source = \"own\" }", vec!["out-of-range"]),
        ("heat-of-solution = { value = 0, source = \"own\" }", vec!["out-of-range"]),
        ("heat-capacity-model = { a1 = 1, source = \"own\" }", vec!["missing-key"; 8]),
    ] {
        let (tables, findings) = load(&format!("[KOH]\n{text}\n"));
        let found: Vec<_> = findings.iter().map(|it| it.code).collect();
        assert_eq!(found, codes, "{text}: {findings:#?}");
        // The built-in row stands.
        assert_eq!(strongest_solution_percent_at(AlkaliKind::KOH, 20.0, &tables), Some(53.2), "{text}");
    }
}
