//! What is in scents: the oils of a blend, and the components that a supplier's document names.
//!
//! Layer 1. The columns `parts`, `supplier-limit-percent`, `vanillin-percent` and `components` of additives.toml, and the rows
//! of components.toml. A blend is nothing but its oils: a recipe that takes one gets each of them, so that whatever is judged of
//! an oil is judged by its own share.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::additives::{Additive, AdditiveKind};
use super::value::{Row, Source, require_source};
use crate::finding::{Finding, nearest};
use crate::reader::{Entry, NodeValue, Reader};
use crate::source::Located;

/// An oil of a blend.
#[derive(Clone, Debug, PartialEq)]
pub struct BlendPart {
    /// Its row in the table of additives.
    pub oil: Arc<Additive>,
    /// Its share of the blend; all shares add up to one.
    pub fraction: f64,
}

/// The oils of a blend as typed, each with its parts.
pub(super) type TypedParts = Vec<(Located<String>, f64)>;

/// The id of a blend, and its oils as typed.
pub(super) type TypedBlend = (String, TypedParts);

/// What is known of a scent from its supplier's document.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ScentFacts {
    /// The most that the supplier allows in soap that is rinsed off, percent of the finished soap.
    pub limit_percent: Option<(f64, Source)>,
    /// Vanillin in it, percent.
    pub vanillin_percent: Option<(f64, Source)>,
    /// The components that the document names, by id, each with the most of it in the oil, percent; `None` where nobody
    /// wrote down what the document says.
    pub components: Option<(BTreeMap<String, f64>, Source)>,
}

/// A substance in scents whose amount in the soap is limited.
#[derive(Clone, Debug, PartialEq)]
pub struct Component {
    /// What the rows of scents call it.
    pub id: String,
    /// What pages call it.
    pub name: String,
    /// The most of it in the finished soap, all scents together, percent, and who says so; `None` where nothing limits it.
    pub limit_percent: Option<(f64, Source)>,
}

/// Vanillin in a blend: of each oil its share, `sum of fraction_i * vanillin_i`; `None` where an oil's is not known.
///
/// # Example
///
/// Three parts with 12 % and one part without any: 0.75 * 12 = 9 %.
#[must_use]
pub fn vanillin_percent_of(parts: &[BlendPart]) -> Option<f64> {
    let of_each = parts.iter().map(|it| Some(it.fraction * it.oil.facts.vanillin_percent.as_ref()?.0));
    of_each.sum()
}

pub(super) fn read_component(row: &mut Row<'_>) -> Option<Component> {
    let name = row.words("name");
    let limit = row.value("limit-percent", (0.000_001, 100.0));
    let limit_percent = limit.map(|it| (it.number, it.source));
    Some(Component { id: row.id.to_owned(), name: name.unwrap_or_else(|| row.id.to_owned()), limit_percent })
}

/// The columns of a scent that its supplier's document fills.
pub(super) fn read_facts(row: &mut Row<'_>, components: &BTreeMap<String, Component>) -> ScentFacts {
    let id = row.id;
    let limit = row.value("supplier-limit-percent", (0.0001, 100.0));
    let vanillin = row.value("vanillin-percent", (0.0, 100.0));
    let known = row.whole("components", |reader| {
        let source = require_source(reader, id, "components");
        let mut percents = BTreeMap::new();
        for name in components.keys() {
            let Some(node) = reader.chosen(name) else { continue };
            percents.extend(number(reader, name, &node.value, &node.place, (0.0, 100.0)).map(|it| (name.clone(), it)));
        }
        for entry in reader.rest() {
            let near = nearest(&entry.key.value, components.keys().map(String::as_str));
            reader.findings.push(Finding::unknown_component(entry.key.place.clone(), &entry.key.value, near));
        }
        Some((percents, source?))
    });
    ScentFacts {
        limit_percent: limit.map(|it| (it.number, it.source)),
        vanillin_percent: vanillin.map(|it| (it.number, it.source)),
        components: known,
    }
}

/// The oils of a blend as typed, with their parts.
pub(super) fn read_parts(row: &mut Row<'_>) -> Option<TypedParts> {
    row.last(|file| {
        let mut parts = Vec::new();
        for Entry { key, node } in file.table("parts")? {
            parts.extend(number(file, &key.value, &node.value, &node.place, (0.001, 1e6)).map(|it| (key.clone(), it)));
        }
        Some(parts)
    })
}

fn number(
    reader: &mut Reader<'_>,
    key: &str,
    value: &NodeValue,
    place: &crate::source::Place,
    (low, high): (f64, f64),
) -> Option<f64> {
    match *value {
        NodeValue::Number(number) if (low..=high).contains(&number) => return Some(number),
        NodeValue::Number(number) => {
            reader.findings.push(Finding::out_of_range(place.clone(), key, number, low, high));
        }
        _ => reader.findings.push(Finding::wrong_type(place.clone(), key, "a number", value.kind())),
    }
    None
}

/// Puts the rows of the oils into the blends, now that all rows are read. A blend one of whose oils is not known is refused.
pub(super) fn mix(
    additives: &mut BTreeMap<String, Arc<Additive>>,
    typed: Vec<TypedBlend>,
    refused: &mut BTreeSet<(&'static str, String)>,
    findings: &mut Vec<Finding>,
) {
    const TABLE: &str = "additives.toml";
    let rows = additives.clone();
    let blends: BTreeSet<&str> = typed.iter().map(|(id, _)| id.as_str()).collect();
    for (id, parts) in &typed {
        let sum: f64 = parts.iter().map(|(_, part)| part).sum();
        let mut oils = Vec::new();
        for (name, part) in parts {
            let near = || nearest(&name.value, rows.values().filter(|it| it.scent.is_some()).map(|it| &*it.id));
            match rows.get(&name.value) {
                _ if blends.contains(name.value.as_str()) => {
                    findings.push(Finding::blend_of_blends(name.place.clone(), &name.value));
                }
                _ if refused.contains(&(TABLE, name.value.clone())) => {}
                Some(oil) if oil.scent.is_some() => {
                    oils.push(BlendPart { oil: Arc::clone(oil), fraction: part / sum });
                }
                Some(_) => findings.push(Finding::no_scent_in_blend(name.place.clone(), &name.value)),
                None => findings.push(Finding::unknown_additive(name.place.clone(), &name.value, near())),
            }
        }
        let is_whole = oils.len() == parts.len();
        match additives.get_mut(id) {
            Some(blend) if is_whole => Arc::make_mut(blend).kind = AdditiveKind::Blend(oils),
            _ => {
                additives.remove(id);
                refused.insert((TABLE, id.clone()));
            }
        }
    }
}
