//! The files of tables, laid over one another row by row.
//!
//! Layer 1. Which rows a file may have, and what is in them, is read in the file of its table.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::acids::{FATTY_ACIDS, read_acid};
use super::additives::read_additive;
use super::alkalis::read_alkali;
use super::fats::read_fat;
use super::limits::read_limits;
use super::moulds::read_mould;
use super::value::Row;
use super::{AlkaliKind, Tables};
use crate::finding::{Finding, nearest};
use crate::reader::{Node, NodeValue, parse};
use crate::source::{Extract, SourceFile};

/// The embedded tables, as `(file name, text)`.
const EMBEDDED: [(&str, &str); 6] = [
    ("fats.toml", include_str!("fats.toml")),
    ("acids.toml", include_str!("acids.toml")),
    ("alkalis.toml", include_str!("alkalis.toml")),
    ("additives.toml", include_str!("additives.toml")),
    ("moulds.toml", include_str!("moulds.toml")),
    ("limits.toml", include_str!("limits.toml")),
];

pub(super) fn load(course_files: &[Arc<SourceFile>]) -> (Tables, Vec<Finding>) {
    let embedded = EMBEDDED.map(|(name, text)| SourceFile::new(format!("(built in) {name}"), text));
    let names = EMBEDDED.map(|(name, _)| name);
    let of_course = course_files.iter().map(|file| (file.path().rsplit('/').next().unwrap_or_default(), file));
    let mut findings = Vec::new();
    let mut trees: Vec<(&str, Node)> = Vec::new();
    for (name, file) in names.into_iter().zip(&embedded).chain(of_course) {
        let whole = Extract::whole(file);
        if names.contains(&name) {
            let (root, syntax) = parse(&whole);
            findings.extend(syntax);
            trees.push((name, root));
        } else {
            findings.push(Finding::unknown_table(whole.place(0..0), name, nearest(name, names), &names));
        }
    }
    let fats = read_all(rows_of("fats.toml", &trees), &mut findings, |row| read_fat(row).map(Arc::new));
    let mut acids = read_all(rows_of("acids.toml", &trees), &mut findings, |row| read_acid(row).map(Arc::new));
    let mut alkalis = read_all(rows_of("alkalis.toml", &trees), &mut findings, read_alkali);
    let additives = read_all(rows_of("additives.toml", &trees), &mut findings, |row| read_additive(row).map(Arc::new));
    let moulds = read_all(rows_of("moulds.toml", &trees), &mut findings, read_mould);
    let limits = read_limits(rows_of("limits.toml", &trees), &mut findings);
    let acids = FATTY_ACIDS.map(|id| acids.remove(id).expect("the embedded table has every acid")).to_vec();
    let mut alkali = |kind: AlkaliKind| alkalis.remove(kind.formula()).expect("the embedded table has both alkalis");
    let (naoh, koh) = (alkali(AlkaliKind::NaOH), alkali(AlkaliKind::KOH));
    // Rows are read by their ids; an author reads a file from top to bottom.
    findings.sort_by_key(|it| {
        let file_idx = course_files.iter().position(|file| Arc::ptr_eq(file, &it.place.file));
        (file_idx, it.place.span.start)
    });
    (Tables { fats, acids, additives, moulds, naoh, koh, limits }, findings)
}

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

fn read_all<'a, T>(
    rows: BTreeMap<String, Row<'a>>,
    findings: &mut Vec<Finding>,
    read: fn(&mut Row<'a>) -> Option<T>,
) -> BTreeMap<String, T> {
    let mut all = BTreeMap::new();
    for (id, mut row) in rows {
        all.extend(read(&mut row).map(|it| (id, it)));
        findings.extend(row.finish());
    }
    all
}
