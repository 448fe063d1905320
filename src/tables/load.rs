//! The files of tables, laid over one another row by row.
//!
//! Layer 1. Which rows a file may have, and what is in them, is read in the file of its table.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::acids::{FATTY_ACIDS, read_acid};
use super::additives::read_additive;
use super::alkalis::read_alkali;
use super::blends::{mix, read_component};
use super::fats::read_fat;
use super::limits::read_limits;
use super::moulds::read_mould;
use super::value::{BUILT_IN, Row};
use super::{AlkaliKind, Tables};
use crate::finding::{Finding, is_a_slip_away, nearest};
use crate::reader::{Node, NodeValue, parse};
use crate::source::{Extract, SourceFile};

/// The embedded tables, as `(file name, text)`.
const EMBEDDED: [(&str, &str); 7] = [
    ("fats.toml", include_str!("fats.toml")),
    ("acids.toml", include_str!("acids.toml")),
    ("alkalis.toml", include_str!("alkalis.toml")),
    ("additives.toml", include_str!("additives.toml")),
    ("components.toml", include_str!("components.toml")),
    ("moulds.toml", include_str!("moulds.toml")),
    ("limits.toml", include_str!("limits.toml")),
];

/// What the tables are called: their files, without the ending.
#[must_use]
pub fn table_names() -> [&'static str; 7] {
    EMBEDDED.map(|(file, _)| file.strip_suffix(".toml").unwrap_or(file))
}

pub(super) fn load(course_files: &[Arc<SourceFile>]) -> (Tables, Vec<Finding>) {
    let embedded = EMBEDDED.map(|(name, text)| SourceFile::new(format!("{BUILT_IN}{name}"), text));
    let names = EMBEDDED.map(|(name, _)| name);
    let of_course = course_files.iter().map(|file| (file.name_in("tables"), file));
    let mut findings = Vec::new();
    let mut trees: Vec<(&str, Node)> = Vec::new();
    for (name, file) in names.into_iter().zip(&embedded).chain(of_course) {
        let whole = Extract::whole(file);
        if names.contains(&name) {
            let (root, syntax) = parse(&whole);
            findings.extend(syntax);
            trees.push((name, root));
        } else {
            findings.push(Finding::unknown_table(
                whole.place(0..0),
                name,
                like_table(name).or_else(|| nearest(name, names)),
                &names,
            ));
        }
    }
    let mut refused = BTreeSet::new();
    let limits = read_limits(rows_of("limits.toml", &trees), &mut findings);
    let mut read = Reading { trees: &trees, findings: &mut findings, refused: &mut refused };
    let mut by_id = read.all("acids.toml", |row| read_acid(row, &limits).map(Arc::new));
    let mut alkalis = read.all("alkalis.toml", |row| read_alkali(row, &limits));
    let components = read.all("components.toml", read_component);
    let mut blends = Vec::new();
    let mut additives =
        read.all("additives.toml", |row| read_additive(row, &limits, &components, &mut blends).map(Arc::new));
    mix(&mut additives, blends, read.refused, read.findings);
    let moulds = read.all("moulds.toml", read_mould);
    let mut acids = FATTY_ACIDS.map(|id| by_id.remove(id).expect("the embedded table has every acid")).to_vec();
    acids.extend(by_id.into_values());
    let mut alkali = |kind: AlkaliKind| alkalis.remove(kind.formula()).expect("the embedded table has both alkalis");
    let (naoh, koh) = (alkali(AlkaliKind::NaOH), alkali(AlkaliKind::KOH));
    let fats = BTreeMap::new();
    let mut tables = Tables { fats, acids, additives, components, moulds, naoh, koh, limits, refused: BTreeSet::new() };
    // A fat's values are held against its acids, so it is read when everything else is there.
    tables.fats = read.all("fats.toml", |row| read_fat(row, &tables).map(Arc::new));
    tables.refused = refused;
    // Rows are read by their ids; an author reads a file from top to bottom.
    findings.sort_by_key(|it| {
        let file_idx = course_files.iter().position(|file| Arc::ptr_eq(file, &it.place.file));
        (file_idx, it.place.span.start)
    });
    (tables, findings)
}

/// The table that a file was to be: `fats.toml` of `fats.toml.txt`, of `fats.txt` and of `old/fats.toml`.
fn like_table(name: &str) -> Option<&'static str> {
    let name = name.rsplit('/').next().unwrap_or_default().to_lowercase();
    let stem = name.split('.').next().unwrap_or_default();
    EMBEDDED.into_iter().map(|(it, _)| it).find(|it| it.strip_suffix(".toml") == Some(stem))
}

/// The tables whose rows a course adds to under names of its own.
const NAMED_BY_RECIPES: [&str; 2] = ["fats.toml", "additives.toml"];

/// The rows of a table, each in all files that have it.
fn rows_of<'a>(name: &str, trees: &'a [(&str, Node)]) -> BTreeMap<String, Row<'a>> {
    let mut rows: BTreeMap<String, Row<'a>> = BTreeMap::new();
    for (_, root) in trees.iter().filter(|(it, _)| *it == name) {
        let NodeValue::Table(entries) = &root.value else { continue };
        for entry in entries {
            rows.entry(entry.key.value.clone()).or_insert_with(|| Row::new(&entry.key)).lay(entry);
        }
    }
    rows
}

/// Whether an id may have been meant for a built-in one: but for its spelling and a word such as oil it is the same, or a
/// letter of a name that is not too short differs.
pub(super) fn is_like(id: &str, built_in: &str) -> bool {
    let plain: String = id.to_lowercase().chars().map(|it| if it.is_alphanumeric() { it } else { '-' }).collect();
    let words = ["-oil", "-butter", "-fat"].iter().find_map(|it| plain.strip_suffix(it)).unwrap_or(&plain);
    words == built_in || built_in.chars().count() >= 5 && is_a_slip_away(&plain, built_in)
}

/// What reading the rows of tables needs and leaves.
struct Reading<'a, 'b> {
    trees: &'a [(&'a str, Node)],
    findings: &'b mut Vec<Finding>,
    refused: &'b mut BTreeSet<(&'static str, String)>,
}

impl<'a> Reading<'a, '_> {
    fn all<T>(&mut self, table: &'static str, mut read: impl FnMut(&mut Row<'a>) -> Option<T>) -> BTreeMap<String, T> {
        let mut all = BTreeMap::new();
        let rows = rows_of(table, self.trees);
        let built_in: Vec<String> = rows.values().filter(|it| it.is_built_in()).map(|it| it.id.to_owned()).collect();
        for (id, mut row) in rows {
            if !row.is_built_in() && NAMED_BY_RECIPES.contains(&table) {
                row.like = built_in.iter().find(|it| is_like(&id, it)).cloned();
            }
            let value = read(&mut row);
            if let (Some(_), Some(like)) = (&value, &row.like) {
                let finding = Finding::row_like_built_in(row.place.clone(), &id, like);
                row.tell(finding);
            }
            if row.is_refused() {
                self.refused.insert((table, id.clone()));
            }
            all.extend(value.map(|it| (id, it)));
            self.findings.extend(row.finish());
        }
        all
    }
}
