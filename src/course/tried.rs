//! A course with some of its values tried otherwise, before anybody writes them into a file.
//!
//! Layer 7. A value of a table is laid over the others as a file of its own; one of a recipe or a setting takes the place of
//! what is typed. Everything that may be wrong with it is found when the course is read, as always.

use std::sync::Arc;

use super::{CourseFiles, recipe_id};
use crate::finding::nearest;
use crate::ledger::parts_of;
use crate::reader::{NodeValue, parse};
use crate::source::{Extract, SourceFile};
use crate::tables::{Tables, table_names};

/// Where a value may be tried, beside the tables.
const RECIPES: &str = "recipes";
const SETTINGS: &str = "settings";

/// The group of a fat's row that is meant where only one of its ends is named: `fats.olive.use`.
const VALUE_OF_FATS: &str = "saponification-value";
const ENDS: [&str; 3] = ["use", "low", "high"];

/// The source of whatever is tried.
const SOURCE: &str = "source = \"tried, and written nowhere\"";

impl CourseFiles {
    /// The same files with a value tried otherwise: `fats.olive.use=189`, `recipes.first-bar.superfat=6`,
    /// `moulds.loaf-1kg.inside-length=24 cm`, `settings.units=grams`.
    ///
    /// # Errors
    ///
    /// In words for the author, when it names nothing that can be tried.
    pub fn with_tried(mut self, tried: &str) -> Result<CourseFiles, String> {
        let refused = |why: String| format!("\"{tried}\" cannot be tried: {why}");
        let (name, value) = tried.split_once('=').ok_or_else(|| refused("write it as  NAME=VALUE".to_owned()))?;
        let parts = parts_of(name.trim()).filter(|it| it.len() > 1);
        let parts = parts.ok_or_else(|| refused("the name has to say where, as in  fats.olive.use=189".to_owned()))?;
        let value = literal(value.trim());
        let keys: Vec<&str> = parts[1..].iter().map(String::as_str).collect();
        match (parts[0].as_str(), keys.as_slice()) {
            (RECIPES, [id, keys @ ..]) if !keys.is_empty() => {
                let Some(file) = self.recipes.iter_mut().find(|it| recipe_id(it) == *id) else {
                    let ids: Vec<String> = self.recipes.iter().map(|it| recipe_id(it)).collect();
                    let near = nearest(id, ids.iter().map(String::as_str));
                    let near = near.map(|it| format!("; did you mean `{it}`?")).unwrap_or_default();
                    return Err(refused(format!("there is no recipe named `{id}`{near}")));
                };
                *file = changed(file, keys, &value).map_err(refused)?;
            }
            (SETTINGS, keys) => {
                let keys = [&["preprocessor", "kettle"], keys].concat();
                self.book_toml = changed(&self.book_toml, &keys, &value).map_err(refused)?;
            }
            (table, [row, keys @ ..]) if table_names().contains(&table) && !keys.is_empty() => {
                let keys = match keys {
                    [end] if table == "fats" && ENDS.contains(end) => vec![VALUE_OF_FATS, end],
                    keys => keys.to_vec(),
                };
                self.tables.push(overlaid(&self.tables, table, row, &keys, &value));
            }
            (first, _) => {
                let places = table_names().into_iter().chain([RECIPES, SETTINGS]);
                let near = nearest(first, places.clone());
                let near = near.map_or_else(
                    || format!("a name begins with one of {}", places.collect::<Vec<_>>().join(", ")),
                    |it| format!("did you mean `{it}`?"),
                );
                return Err(refused(format!("`{first}` is no place of values, or too little of a name; {near}")));
            }
        }
        Ok(self)
    }
}

/// A value as TOML: as typed where that is TOML, and a text in quotes otherwise, which a shell takes away.
fn literal(typed: &str) -> String {
    let file = SourceFile::new("value", format!("it = {typed}\n"));
    let is_toml = !typed.contains('\n') && parse(&Extract::whole(&file)).1.is_empty();
    // What JSON escapes in a text, TOML escapes alike.
    if is_toml { typed.to_owned() } else { serde_json::Value::from(typed).to_string() }
}

/// A key as TOML.
fn quoted(key: &str) -> String {
    serde_json::Value::from(key).to_string()
}

/// A file that lays one value over a row, with a source where the row's reader asks for one.
fn overlaid(tables: &[Arc<SourceFile>], table: &str, row: &str, keys: &[&str], value: &str) -> Arc<SourceFile> {
    let innermost = |source: &str| match keys {
        [key] => format!("{} = {value}\n{source}\n", quoted(key)),
        [groups @ .., key] => {
            let source = if source.is_empty() { String::new() } else { format!(", {source}") };
            let inner = format!("{{ {} = {value}{source} }}", quoted(key));
            let nested = groups.iter().rev().fold(inner, |inner, group| format!("{{ {} = {inner} }}", quoted(group)));
            // The outermost group is a key of the row, and needs no braces.
            format!("{}\n", &nested[2..nested.len() - 2])
        }
        [] => String::new(),
    };
    let file = |source: &str| {
        SourceFile::new(format!("tables/{table}.toml"), format!("[{}]\n{}", quoted(row), innermost(source)))
    };
    // Where a value has its source is a matter of the table: the way in which nothing is found is the way.
    let n_found = |it: &Arc<SourceFile>| {
        let files: Vec<_> = tables.iter().chain([it]).cloned().collect();
        Tables::load(&files).1.iter().filter(|finding| Arc::ptr_eq(&finding.place.file, it)).count()
    };
    let ways = [file(SOURCE), file("")];
    let [with, without] = &ways;
    if n_found(without) < n_found(with) { Arc::clone(without) } else { Arc::clone(with) }
}

/// A file in which the value of a key is another; a key that is not there is added where that can be done in one place.
fn changed(file: &Arc<SourceFile>, keys: &[&str], value: &str) -> Result<Arc<SourceFile>, String> {
    let (mut node, _) = parse(&Extract::whole(file));
    let mut text = file.text().to_owned();
    for (depth, key) in keys.iter().enumerate() {
        let NodeValue::Table(entries) = &node.value else {
            return Err(format!("`{}` has no keys of its own", keys[..depth].join(".")));
        };
        if let Some(entry) = entries.iter().find(|it| it.key.value == *key) {
            node = entry.node.clone();
            continue;
        }
        let is_last = depth + 1 == keys.len();
        let line = format!("{} = {value}", quoted(key));
        // Above everything else a key belongs to no heading; in a table it goes before the others.
        let (at, added) = match entries.first() {
            _ if is_last && depth == 0 => (0, format!("{line}\n")),
            Some(first) if is_last => {
                let is_inline = file.text()[node.place.span.clone()].starts_with('{');
                (first.key.place.span.start, if is_inline { format!("{line}, ") } else { format!("{line}\n") })
            }
            _ => return Err(format!("there is no `{}` in {}", keys[..=depth].join("."), file.path())),
        };
        text.insert_str(at, &added);
        return Ok(SourceFile::new(file.path(), text));
    }
    let typed = &file.text()[node.place.span.clone()];
    let is_below_headings = match &node.value {
        NodeValue::Table(_) => !typed.starts_with('{'),
        NodeValue::List(_) => typed.starts_with("[["),
        _ => false,
    };
    if is_below_headings {
        return Err(format!("`{}` is a heading; name one of the keys below it", keys.join(".")));
    }
    text.replace_range(node.place.span, value);
    Ok(SourceFile::new(file.path(), text))
}
