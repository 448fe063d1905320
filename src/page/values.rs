//! The values that sentences may name, and the evaluation of what stands between braces.
//!
//! Layer 5. A plain name with dots is looked up here, which lets it have hyphens and gives it the nearest name when it
//! is misspelt; anything else is a Tera expression over the same values.

use std::collections::BTreeMap;

use serde::Serialize;
use tera::{Context, Tera};

use crate::finding::{Finding, nearest};
use crate::source::Place;

/// A value or a group of values.
#[derive(Clone, Debug, Serialize)]
#[serde(untagged)]
pub enum Value {
    /// A text ready to be put into a sentence.
    Text(String),
    /// More values by name.
    Group(BTreeMap<String, Value>),
}

impl Value {
    /// A group made of pairs.
    pub fn group<K: Into<String>>(members: impl IntoIterator<Item = (K, Value)>) -> Value {
        Value::Group(members.into_iter().map(|(name, value)| (name.into(), value)).collect())
    }
}

impl Value {
    /// All texts in it, with the names that sentences give them.
    pub fn texts(&self, name: &str, texts: &mut Vec<(String, String)>) {
        match self {
            Value::Text(text) => texts.push((name.to_owned(), text.clone())),
            Value::Group(members) => members.iter().for_each(|(part, it)| it.texts(&format!("{name}.{part}"), texts)),
        }
    }
}

/// Evaluates what stands between the braces.
///
/// # Errors
///
/// A finding when there is no such value, when it is a group, or when Tera refuses the expression.
pub fn evaluate(expression: &str, place: &Place, values: &BTreeMap<String, Value>) -> Result<String, Box<Finding>> {
    if let Some(path) = plain_path(expression) {
        return look_up(&path, expression, place, values);
    }
    let context = Context::from_serialize(values);
    let result =
        context.and_then(|context| Tera::default().render_str(&format!("{{{{ {expression} }}}}"), &context, false));
    result.map_err(|error| Box::new(Finding::bad_expression(place.clone(), &first_line(&error.to_string()))))
}

/// The text of an expression that is nothing but a text in quotes, as in `{{ "50 g" }}`: a figure that is meant as typed.
#[must_use]
pub fn literal(expression: &str) -> Option<&str> {
    let quote = expression.chars().next().filter(|it| matches!(it, '"' | '\'' | '`'))?;
    let text = expression.strip_prefix(quote)?.strip_suffix(quote)?;
    (!text.contains([quote, '\\'])).then_some(text)
}

/// The parts of a name such as `fats.palm-kernel` or `layers["white clay"].fats`; `None` for any other expression.
fn plain_path(expression: &str) -> Option<Vec<String>> {
    let mut parts = Vec::new();
    let mut rest = expression;
    loop {
        let name_end = rest.find(|it: char| !(it.is_alphanumeric() || matches!(it, '_' | '-'))).unwrap_or(rest.len());
        let name = &rest[..name_end];
        // A hyphen at an end is a minus sign that lost its number.
        if name.is_empty() || name.starts_with('-') || name.ends_with('-') || name.parse::<f64>().is_ok() {
            return None;
        }
        parts.push(name.to_owned());
        rest = &rest[name_end..];
        while let Some(after) = rest.strip_prefix("[\"") {
            let (key, after) = after.split_once("\"]")?;
            parts.push(key.to_owned());
            rest = after;
        }
        if rest.is_empty() {
            return Some(parts);
        }
        rest = rest.strip_prefix('.')?;
    }
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
            ("fats".to_owned(), Value::group([("olive", text("600 g")), ("palm-kernel", text("400 g"))])),
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
