//! What is wrong with a name that stands for no value, and what may be meant by it.
//!
//! Layer 6.

use super::values::{Name, Names};
use crate::finding::{Finding, nearest};
use crate::ledger::{Key, Kind, Scope, name_of};
use crate::source::Place;

/// Whether a name stands for a value.
pub(super) fn is_among(parts: &[String], names: &Names) -> bool {
    let Some((first, rest)) = parts.split_first() else { return false };
    match member(first, names) {
        Some(Name::Value) => rest.is_empty(),
        Some(Name::Group(group)) => is_among(rest, group),
        None => false,
    }
}

/// A member of a group. A name with hyphens may be written with underscores.
fn member<'a>(name: &str, names: &'a Names) -> Option<&'a Name> {
    names.get(name).or_else(|| names.get(&name.replace('_', "-")))
}

/// A name with one part more, in the form in which it reads back.
fn with_part(parts: &[String], more: &str) -> String {
    let parts: Vec<&str> = parts.iter().map(String::as_str).chain([more]).collect();
    name_of(&parts)
}

/// What is wrong with a name that stands for no value.
pub(super) fn no_value(parts: &[String], typed: &str, place: &Place, names: &Names) -> Box<Finding> {
    let mut members = names;
    for (part_idx, part) in parts.iter().enumerate() {
        let is_last = part_idx + 1 == parts.len();
        match member(part, members) {
            Some(Name::Group(group)) if !is_last => members = group,
            Some(Name::Group(group)) => {
                let names: Vec<String> = group.keys().map(|it| with_part(parts, it)).collect();
                let names: Vec<&str> = names.iter().map(String::as_str).collect();
                return Box::new(Finding::group_of_values(place.clone(), typed, &names));
            }
            _ if part == "lye" && is_last && is_two_lyes(members) => {
                return Box::new(Finding::two_lyes(place.clone()));
            }
            _ if is_a_difference(part, members, names) => {
                return Box::new(Finding::minus_without_spaces(place.clone(), typed));
            }
            _ if is_of_other_recipes(parts, part_idx) => {
                return Box::new(Finding::value_of_other_recipes(place.clone(), typed));
            }
            _ => {
                let mut meant = if part_idx == 0 { in_groups(parts, names) } else { Vec::new() };
                if meant.is_empty() {
                    let near = nearest(part, members.keys().map(String::as_str));
                    meant.extend(near.map(|near| with_part(&parts[..part_idx], near)));
                }
                let known: Vec<&str> = match part_idx {
                    0 => USUAL.into_iter().filter(|it| is_among(&parts_of(it), names)).collect(),
                    _ => members.keys().take(USUAL.len()).map(String::as_str).collect(),
                };
                let n_others = if part_idx == 0 { 0 } else { members.len() - known.len() };
                return Box::new(Finding::unknown_value(place.clone(), typed, &meant, &known, n_others));
            }
        }
    }
    Box::new(Finding::unknown_value(place.clone(), typed, &[], &[], 0))
}

/// The values that sentences are usually about.
const USUAL: [&str; 12] = [
    "lye",
    "alkali.NaOH",
    "alkali.KOH",
    "water",
    "solution",
    "total.fats",
    "total.batch",
    "superfat",
    "lye_concentration",
    "bars",
    "times.cure",
    "title",
];

fn parts_of(name: &str) -> Vec<String> {
    name.split('.').map(str::to_owned).collect()
}

/// Whether this is what recipes have, with the part at `part_idx` the first that this one lacks.
fn is_of_other_recipes(parts: &[String], part_idx: usize) -> bool {
    let parts: Vec<&str> = parts.iter().map(String::as_str).collect();
    let of_one = Key::from_parts(&parts).is_some_and(|it| part_idx == 0 || it.of.is_none() && it.layer.is_none());
    let is_group = |it: &Kind| it.scope() == Scope::Recipe && it.name().split('.').eq(parts.iter().copied());
    of_one || part_idx == 0 && (matches!(parts[..], ["layers" | "portions"]) || Kind::ALL.iter().any(is_group))
}

/// The values that are of this name within a group: `fats.olive` for `olive`. Those that are weighed come first.
fn in_groups(parts: &[String], names: &Names) -> Vec<String> {
    let Some((first, rest)) = parts.split_first() else { return Vec::new() };
    let weighed = ["fats", "alkali", "fats_after", "additives", "layers"];
    let groups = weighed.into_iter().filter_map(|it| names.get_key_value(it));
    let named = groups.filter_map(|(group, members)| {
        let Name::Group(members) = members else { return None };
        let member = members.keys().find(|it| it.replace('_', "-").eq_ignore_ascii_case(&first.replace('_', "-")))?;
        let parts = [&[group.clone(), member.clone()], rest].concat();
        let name: Vec<&str> = parts.iter().map(String::as_str).collect();
        is_among(&parts, names).then(|| name_of(&name))
    });
    named.collect()
}

/// Whether a name is those of two values with a hyphen between them.
fn is_a_difference(name: &str, members: &Names, names: &Names) -> bool {
    name.match_indices('-').any(|(at, _)| {
        let second = &name[at + 1..];
        let is_second = member(second, names).is_some() || second.parse::<f64>().is_ok();
        is_second && member(&name[..at], members).is_some()
    })
}

/// Whether this group of values is of a recipe with two alkalis, which has no `lye`.
fn is_two_lyes(members: &Names) -> bool {
    matches!(members.get("alkali"), Some(Name::Group(alkalis)) if alkalis.len() > 1)
}
