//! How many values of the tables were read somewhere, and how many were not: the table in DEVELOPERS.md.

use std::fs;

use toml::{Table, Value};

/// Each file of `src/tables`, and whether its values are counted key by key.
const TABLES: [(&str, bool); 6] = [
    ("fats.toml", true),
    ("acids.toml", false),
    ("alkalis.toml", false),
    ("additives.toml", false),
    ("limits.toml", false),
    ("moulds.toml", false),
];

/// Values that were read (in the work, in a copy, or as another restates it), from memory, and common practice.
#[derive(Default)]
struct Count {
    read: u32,
    from_memory: u32,
    common_practice: u32,
}

/// Counts every value with a source in a row, or in a value of a row.
fn count(value: &Value, into: &mut Count) {
    let Some(table) = value.as_table() else { return };
    match table.get("source") {
        None => {}
        Some(Value::String(words)) if words == "common practice" => into.common_practice += 1,
        Some(Value::String(words)) if words == "from memory" => into.from_memory += 1,
        Some(source) if source.get("confidence").is_some() => into.from_memory += 1,
        Some(_) => into.read += 1,
    }
    for (key, inner) in table {
        if key != "source" {
            count(inner, into);
        }
    }
}

#[test]
fn the_table_for_developers_counts_the_sources() {
    let developers = fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/DEVELOPERS.md")).expect("DEVELOPERS.md");
    let mut lines = Vec::new();
    let line =
        |what: &str, it: &Count| format!("| {what} | {} | {} | {} |", it.read, it.from_memory, it.common_practice);
    for (name, by_key) in TABLES {
        let path = format!("{}/src/tables/{name}", env!("CARGO_MANIFEST_DIR"));
        let table: Table = fs::read_to_string(&path).expect(&path).parse().expect(&path);
        if by_key {
            for key in ["saponification-value", "iodine-value", "density", "fatty-acids"] {
                let mut found = Count::default();
                table.values().filter_map(|row| row.get(key)).for_each(|value| count(value, &mut found));
                lines.push(line(&format!("`{name}`, `{key}`"), &found));
            }
        } else {
            let mut found = Count::default();
            table.values().for_each(|row| count(row, &mut found));
            lines.push(line(&format!("`{name}`"), &found));
        }
    }
    for line in &lines {
        assert!(developers.contains(line.as_str()), "DEVELOPERS.md needs these lines:\n{}", lines.join("\n"));
    }
}
