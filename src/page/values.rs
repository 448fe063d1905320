//! The values that sentences may name, and the evaluation of what stands between braces.
//!
//! Layer 6. The values of a recipe are the figures of its ledger, by their keys, and its title. A plain name is looked up
//! in the ledger, which lets it have hyphens and gives it the nearest name when it is misspelt; anything else is a Tera
//! expression over the same values, which are made for the first of these and kept.

use std::cell::OnceCell;
use std::collections::BTreeMap;

use serde::Serialize;
use tera::{Context, Tera};

use super::template::plain_markdown;
use super::words::amount_words;
use crate::finding::{Finding, nearest};
use crate::ledger::{Figure, Key, Kind, Ledger, Of, Scope, parts_of};
use crate::recipe::{RawAdditive, RawRecipe, layer_key};
use crate::show::Units;
use crate::source::Place;
use crate::tables::{AcidGroup, AlkaliKind, Tables};
use crate::units::ScaleUnit;

/// The value that is no figure.
const TITLE: &str = "title";

/// The groups in which what is weighed stands in one unit.
const UNIT_GROUPS: [(&str, ScaleUnit); 2] = [("grams", ScaleUnit::Grams), ("ounces", ScaleUnit::Ounces)];

/// A value or a group of values.
#[derive(Clone, Debug, Serialize)]
#[serde(untagged)]
pub enum Value {
    /// A text ready to be put into a sentence.
    Text(String),
    /// More values by name.
    Group(BTreeMap<String, Value>),
}

/// The values of one recipe in the units of a course, or in one of them.
pub(crate) struct Values<'a> {
    ledger: &'a Ledger,
    units: Units,
    tree: OnceCell<BTreeMap<String, Value>>,
}

/// What an expression gave.
#[derive(Clone, Debug)]
pub(crate) struct Evaluated<'a> {
    /// As a sentence prints it.
    pub(crate) text: String,
    /// The figure it names, if it is the name of one, and the units it is asked for.
    pub(crate) figure: Option<(&'a Figure, Units)>,
}

impl<'a> Values<'a> {
    /// The values of a recipe; `units` may be fewer than the course shows.
    pub(crate) fn new(ledger: &'a Ledger, units: Units) -> Values<'a> {
        Values { ledger, units, tree: OnceCell::new() }
    }

    /// Evaluates what stands between the braces.
    ///
    /// # Errors
    ///
    /// A finding when there is no such value, when it is a group, or when Tera refuses the expression.
    pub(crate) fn evaluate(&self, expression: &str, place: &Place) -> Result<Evaluated<'a>, Box<Finding>> {
        if let Some(parts) = parts_of(expression) {
            let parts: Vec<&str> = parts.iter().map(String::as_str).collect();
            let in_unit = parts.first().and_then(|first| UNIT_GROUPS.iter().find(|(name, _)| name == first));
            let (units, name) = match in_unit {
                Some((_, unit)) => (Units::only(*unit), &parts[1..]),
                None => (self.units, &parts[..]),
            };
            // An id with hyphens may be written with underscores, as Tera itself would need it.
            let figure = self.named(name).or_else(|| {
                let (last, before) = name.split_last()?;
                let with_hyphens = last.replace('_', "-");
                self.named(&[before, &[with_hyphens.as_str()]].concat())
            });
            if let Some(figure) = figure {
                let text = amount_words(&figure.amount, &self.ledger.scales, units);
                return Ok(Evaluated { text, figure: Some((figure, units)) });
            }
        }
        evaluate(expression, place, self.tree()).map(|text| Evaluated { text, figure: None })
    }

    fn named(&self, parts: &[&str]) -> Option<&'a Figure> {
        self.ledger.figure(&Key::from_parts(parts)?)
    }

    /// All values by name.
    fn tree(&self) -> &BTreeMap<String, Value> {
        self.tree.get_or_init(|| {
            let mut tree = BTreeMap::new();
            let scales = &self.ledger.scales;
            for figure in self.ledger.figures() {
                let text = |units| Value::Text(amount_words(&figure.amount, scales, units));
                for parts in names_of_figure(&figure.key, self.ledger) {
                    for (group, unit) in UNIT_GROUPS {
                        if figure.amount.reading(unit).is_some() {
                            insert(&mut tree, [&[group.to_owned()], &parts[..]].concat(), text(Units::only(unit)));
                        }
                    }
                    insert(&mut tree, parts, text(self.units));
                }
            }
            tree.insert(TITLE.to_owned(), Value::Text(plain_markdown(&self.ledger.recipe.title)));
            tree
        })
    }
}

/// The names of a figure: its key's, and the others that sentences may use.
fn names_of_figure(key: &Key, ledger: &Ledger) -> Vec<Vec<String>> {
    let own = key.parts().into_iter().map(str::to_owned).collect();
    let other = |parts: &[&str]| vec![parts.iter().map(|it| (*it).to_owned()).collect()];
    let others: Vec<Vec<String>> = match (key.kind, &ledger.batch.alkalis[..]) {
        (Kind::Lye, [only, ..]) => other(&["alkali", only.kind.formula()]),
        (Kind::Solution, _) => other(&["total", "solution"]),
        _ => Vec::new(),
    };
    std::iter::once(own).chain(others).collect()
}

fn insert(tree: &mut BTreeMap<String, Value>, parts: Vec<String>, value: Value) {
    let mut parts = parts.into_iter();
    let Some(first) = parts.next() else { return };
    let rest: Vec<String> = parts.collect();
    if rest.is_empty() {
        tree.insert(first, value);
    } else if let Value::Group(members) = tree.entry(first).or_insert_with(|| Value::Group(BTreeMap::new())) {
        insert(members, rest, value);
    }
}

/// The names of the values that sentences may use of a recipe which cannot be computed yet; the texts say nothing.
///
/// Every fat of the table counts as named: one that is misspelt in the recipe would be told again in each sentence.
#[must_use]
pub fn names_of(recipe: &RawRecipe, tables: &Tables) -> BTreeMap<String, Value> {
    let ids = |additives: &[RawAdditive]| -> Vec<String> {
        additives.iter().filter_map(|it| it.item.as_ref()).map(|it| it.value.clone()).collect()
    };
    let of_all: Vec<String> =
        recipe.layers.iter().flat_map(|it| ids(&it.additives)).chain(ids(&recipe.additives)).collect();
    let of_recipe = |of: Of| -> Vec<String> {
        match of {
            Of::One => Vec::new(),
            Of::Fat => recipe.fats.iter().map(|it| &it.key.value).chain(tables.fats.keys()).cloned().collect(),
            Of::LateFat => recipe.late_fats.iter().map(|it| it.key.value.clone()).collect(),
            Of::Additive => of_all.clone(),
            Of::Alkali => AlkaliKind::ALL.map(|it| it.formula().to_owned()).to_vec(),
            Of::FattyAcid => tables.acids.iter().map(|it| it.id.to_string()).collect(),
            Of::AcidGroup => AcidGroup::ALL.map(|it| it.id().to_owned()).to_vec(),
            Of::Scale => UNIT_GROUPS.map(|(name, _)| name.to_owned()).to_vec(),
            Of::Step => (1..=99).map(|it| it.to_string()).collect(),
        }
    };
    let divides_batter = recipe.divide.as_ref().is_some_and(|it| it.value == "batter");
    let mut keys: Vec<Key> = Vec::new();
    let mut add = |kind: Kind, ids: Vec<String>, layer: Option<&str>| {
        let key = |of: Option<String>| Key { kind, of: of.map(Into::into), layer: layer.map(Into::into) };
        match kind.of() {
            Of::One => keys.push(key(None)),
            _ => keys.extend(ids.into_iter().map(|it| key(Some(it)))),
        }
    };
    for kind in Kind::ALL {
        match (kind, kind.scope()) {
            (Kind::SuperfatIfSwapped | Kind::WorstIfSwapped | Kind::LyeIfSwapped, _) if recipe.based_on.is_none() => {}
            (_, Scope::Recipe) => add(*kind, of_recipe(kind.of()), None),
            (Kind::LayerBatter, _) if !divides_batter => {}
            (Kind::LayerFats | Kind::LayerSolution, _) if divides_batter => {}
            (_, Scope::Layer) => {
                for layer in &recipe.layers {
                    let Some(name) = &layer.name else { continue };
                    let shared = matches!(kind, Kind::LayerShared);
                    let ids = ids(if shared { &recipe.additives } else { &layer.additives });
                    add(*kind, ids, Some(&layer_key(&name.value)));
                }
            }
        }
    }
    let mut names = BTreeMap::from([(TITLE.to_owned(), Value::Text(String::new()))]);
    for key in keys {
        let parts: Vec<String> = key.parts().into_iter().map(str::to_owned).collect();
        for (group, _) in UNIT_GROUPS {
            insert(&mut names, [&[group.to_owned()], &parts[..]].concat(), Value::Text(String::new()));
        }
        insert(&mut names, parts, Value::Text(String::new()));
    }
    let total = vec!["total".to_owned(), "solution".to_owned()];
    insert(&mut names, total, Value::Text(String::new()));
    names
}

/// Evaluates an expression over values by name.
///
/// # Errors
///
/// A finding when there is no such value, when it is a group, or when Tera refuses the expression.
pub fn evaluate(expression: &str, place: &Place, values: &BTreeMap<String, Value>) -> Result<String, Box<Finding>> {
    if let Some(path) = parts_of(expression) {
        return look_up(&path, expression, place, values);
    }
    let context = Context::from_serialize(values);
    let result =
        context.and_then(|context| Tera::default().render_str(&format!("{{{{ {expression} }}}}"), &context, false));
    result.map_err(|error| Box::new(Finding::bad_expression(place.clone(), &first_line(&error.to_string()))))
}

/// The text of an expression that is nothing but a text in quotes, as in `{{ "50 g" }}`: a figure that is meant as typed.
#[must_use]
pub(super) fn literal(expression: &str) -> Option<&str> {
    let quote = expression.chars().next().filter(|it| matches!(it, '"' | '\'' | '`'))?;
    let text = expression.strip_prefix(quote)?.strip_suffix(quote)?;
    (!text.contains([quote, '\\'])).then_some(text)
}

fn look_up(
    path: &[String],
    expression: &str,
    place: &Place,
    values: &BTreeMap<String, Value>,
) -> Result<String, Box<Finding>> {
    let mut members = values;
    for (part_idx, part) in path.iter().enumerate() {
        let is_last = part_idx + 1 == path.len();
        // An id with hyphens may be written with underscores, as Tera itself would need it.
        let found = members.get(part).or_else(|| members.get(&part.replace('_', "-")));
        match found {
            Some(Value::Text(text)) if is_last => return Ok(text.clone()),
            Some(Value::Group(group)) if !is_last => members = group,
            Some(Value::Group(group)) => {
                let names: Vec<String> = group.keys().map(|it| format!("{expression}.{it}")).collect();
                let names: Vec<&str> = names.iter().map(String::as_str).collect();
                return Err(Box::new(Finding::group_of_values(place.clone(), expression, &names)));
            }
            _ if part == "lye" && part_idx + 1 == path.len() && is_two_lyes(members) => {
                return Err(Box::new(Finding::two_lyes(place.clone())));
            }
            _ => {
                let names: Vec<&str> = members.keys().map(String::as_str).collect();
                let near = nearest(part, names.iter().copied()).map(|near| {
                    let mut path = path[..part_idx].to_vec();
                    path.push(near.to_owned());
                    path.join(".")
                });
                return Err(Box::new(Finding::unknown_value(place.clone(), expression, near.as_deref(), &names)));
            }
        }
    }
    Err(Box::new(Finding::unknown_value(place.clone(), expression, None, &[])))
}

/// Whether this group of values is of a recipe with two alkalis, which has no `lye`.
fn is_two_lyes(members: &BTreeMap<String, Value>) -> bool {
    matches!(members.get("alkali"), Some(Value::Group(alkalis)) if alkalis.len() > 1)
}

/// The part of Tera's message that is about the expression; the rest draws it again.
pub(super) fn first_line(words: &str) -> String {
    words.lines().next().unwrap_or_default().trim_start_matches("error: ").to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::SourceFile;

    fn try_it(expression: &str) -> Result<String, &'static str> {
        let text = |it: &str| Value::Text(it.to_owned());
        let values = BTreeMap::from([
            ("lye".to_owned(), text("128 g")),
            (
                "fats".to_owned(),
                Value::Group(BTreeMap::from([
                    ("olive".to_owned(), text("600 g")),
                    ("palm-kernel".to_owned(), text("400 g")),
                ])),
            ),
        ]);
        let file = SourceFile::new("a.md", expression);
        let place = Place { file, span: 0..1 };
        evaluate(expression, &place, &values).map_err(|it| it.code)
    }

    #[test]
    fn names_groups_and_expressions() {
        for (expression, result) in [
            ("lye", Ok("128 g")),
            ("fats.olive", Ok("600 g")),
            ("fats.palm-kernel", Ok("400 g")),
            ("fats.palm_kernel", Ok("400 g")),
            ("fats[\"palm-kernel\"]", Ok("400 g")),
            ("lye | upper", Ok("128 G")),
            ("2 + 3", Ok("5")),
            ("fats", Err("group-of-values")),
            ("fats.olvie", Err("unknown-value")),
            ("lie", Err("unknown-value")),
            ("lye.olive", Err("unknown-value")),
            ("lye |", Err("bad-expression")),
            ("lye - lye", Err("bad-expression")),
            ("", Err("bad-expression")),
        ] {
            assert_eq!(try_it(expression), result.map(str::to_owned), "{expression}");
        }
    }
}
