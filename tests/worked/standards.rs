//! Against standards: each value in its published range, and no second standard against it.

use std::collections::BTreeMap;

use kettlebook::tables::Tables;
use serde::Deserialize;

use crate::data;

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
    assert_eq!(sources.row.len(), 30);
}
