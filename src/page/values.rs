//! The values that sentences may name, and the evaluation of what stands between braces.
//!
//! Layer 6. The values of a recipe are the figures of its ledger, by their keys, and its title. A name is looked up in the
//! ledger, which lets it have hyphens and gives it the nearest name when it is misspelt; what is computed with values is read
//! in `expression.rs` and computed in `quantity.rs`.

use std::cell::OnceCell;
use std::collections::BTreeMap;
use std::sync::Arc;

use super::expression::Expression;
use super::no_value::{is_among, no_value};
use super::plain::plain_markdown;
use super::quantity::Quantity;
use super::words::amount_words;
use crate::finding::Finding;
use crate::ledger::{Amount, Figure, Key, Kind, Ledger, Of, Scales, Scope};
use crate::recipe::{RawAdditive, RawRecipe, layer_key};
use crate::show::Units;
use crate::source::Place;
use crate::tables::{AcidGroup, AdditiveKind, AlkaliKind, Tables};
use crate::units::ScaleUnit;

/// The values that are texts and no figures.
pub(crate) const TEXTS: [&[&str]; 2] = [&["title"], &["mould", "name"]];

/// The groups in which what is weighed stands in one unit.
const UNIT_GROUPS: [(&str, ScaleUnit); 2] = [("grams", ScaleUnit::Grams), ("ounces", ScaleUnit::Ounces)];

/// The names of values, in groups.
pub type Names = BTreeMap<String, Name>;

/// The name of a value, or of a group of values.
#[derive(Clone, Debug)]
pub enum Name {
    /// Of a value.
    Value,
    /// Of a group.
    Group(Names),
}

/// The values of one recipe in the units of a course, or in one of them.
pub(crate) struct Values<'a> {
    ledger: &'a Ledger,
    units: Units,
    names: OnceCell<Names>,
}

/// What a name stands for.
pub(super) enum Found<'a> {
    /// A figure, and the units it is asked for.
    Figure(&'a Figure, Units),
    /// A text.
    Text(String),
}

/// Finds what a name stands for: as typed, and in parts.
pub(super) type Find<'f, 'a> = &'f dyn Fn(&str, &[String]) -> Result<Found<'a>, Box<Finding>>;

/// Gives the quantity of a name.
type QuantityOf<'f> = &'f mut dyn FnMut(&str, &[String]) -> Result<Quantity, Box<Finding>>;

/// What an expression gave.
#[derive(Clone, Debug)]
pub(crate) struct Evaluated<'a> {
    /// As a sentence prints it.
    pub(crate) text: String,
    /// What it comes to; `None` for a text.
    pub(crate) amount: Option<Amount>,
    /// The units it is asked for.
    pub(crate) units: Units,
    /// Whether it is an amount with lye in it.
    pub(crate) holds_lye: bool,
    /// Whether it is an amount of what takes lye up.
    pub(crate) takes_lye_up: bool,
    /// Whether it is weighed on the finer scale, if there is one.
    pub(crate) is_small: bool,
    /// The name of the figure, if it is one.
    pub(crate) key: Option<&'a Key>,
}

impl<'a> Values<'a> {
    /// The values of a recipe; `units` may be fewer than the course shows.
    pub(crate) fn new(ledger: &'a Ledger, units: Units) -> Values<'a> {
        Values { ledger, units, names: OnceCell::new() }
    }

    /// Evaluates what stands between the braces.
    ///
    /// # Errors
    ///
    /// A finding when there is no such value, when it is a group, or when it has no meaning.
    pub(crate) fn evaluate(&self, expression: &str, place: &Place) -> Result<Evaluated<'a>, Box<Finding>> {
        let read = read(expression, place)?;
        evaluate(&read, place, &self.ledger.scales, self.units, &|typed, parts| self.find(typed, parts, place))
    }

    /// What a name stands for.
    ///
    /// # Errors
    ///
    /// A finding when it stands for nothing or for a group.
    pub(super) fn find(&self, typed: &str, parts: &[String], place: &Place) -> Result<Found<'a>, Box<Finding>> {
        let names: Vec<&str> = parts.iter().map(String::as_str).collect();
        let in_unit = names.first().and_then(|first| UNIT_GROUPS.iter().find(|(name, _)| name == first));
        let (units, name) = match in_unit {
            Some((_, unit)) => (Units::only(*unit), &names[1..]),
            None => (self.units, &names[..]),
        };
        let figure = self.named(name);
        match figure {
            Some(figure) if in_unit.is_none() || figure.amount.reading(units.main()).is_some() => {
                Ok(Found::Figure(figure, units))
            }
            _ => match self.text(&names) {
                Some(text) => Ok(Found::Text(plain_markdown(text))),
                None => Err(no_value(parts, typed, place, self.names())),
            },
        }
    }

    fn text(&self, parts: &[&str]) -> Option<&'a str> {
        let recipe = &self.ledger.recipe;
        match parts {
            ["title"] => Some(&recipe.title),
            ["mould", "name"] => recipe.mould().map(|it| &*it.name),
            _ => None,
        }
    }

    fn named(&self, parts: &[&str]) -> Option<&'a Figure> {
        let key = Key::from_parts(parts)?;
        // A name with hyphens may be written with underscores.
        let hyphened = |it: &Option<Arc<str>>| it.as_ref().map(|it| Arc::from(it.replace('_', "-")));
        let other = || Key { kind: key.kind, of: hyphened(&key.of), layer: hyphened(&key.layer) };
        self.ledger.figure(&key).or_else(|| self.ledger.figure(&other()))
    }

    /// All names.
    fn names(&self) -> &Names {
        self.names.get_or_init(|| {
            let mut names = Names::new();
            for text in TEXTS.into_iter().filter(|it| self.text(it).is_some()) {
                insert(&mut names, text.iter().map(|it| (*it).to_owned()).collect());
            }
            for figure in self.ledger.figures() {
                for parts in names_of_figure(&figure.key, self.ledger) {
                    for (group, unit) in UNIT_GROUPS {
                        if figure.amount.reading(unit).is_some() {
                            insert(&mut names, [&[group.to_owned()], &parts[..]].concat());
                        }
                    }
                    insert(&mut names, parts);
                }
            }
            names
        })
    }
}

/// Reads an expression.
///
/// # Errors
///
/// A finding when it is none.
pub(super) fn read(expression: &str, place: &Place) -> Result<Expression, Box<Finding>> {
    Expression::read(expression).map_err(|words| Box::new(Finding::bad_expression(place.clone(), &words)))
}

/// Evaluates an expression whose names are found by `find`.
///
/// # Errors
///
/// A finding when a name stands for nothing, or when the arithmetic has no meaning.
pub(super) fn evaluate<'a>(
    expression: &Expression,
    place: &Place,
    scales: &Scales,
    units: Units,
    find: Find<'_, 'a>,
) -> Result<Evaluated<'a>, Box<Finding>> {
    if let Expression::Name(typed, parts) = expression {
        return Ok(match find(typed, parts)? {
            Found::Text(text) => Evaluated {
                text,
                amount: None,
                units,
                holds_lye: false,
                takes_lye_up: false,
                is_small: false,
                key: None,
            },
            Found::Figure(figure, units) => {
                let text = amount_words(&figure.amount, scales, units);
                evaluated(text, figure.amount, units, Quantity::of(figure), Some(&figure.key))
            }
        });
    }
    let mut asked_in = Vec::new();
    let refuse = |words: String| Box::new(Finding::bad_expression(place.clone(), &words));
    let quantity = computed(expression, scales, &mut |typed, parts| match find(typed, parts)? {
        Found::Text(_) => Err(refuse(format!("`{typed}` is a text"))),
        Found::Figure(figure, units) => {
            asked_in.push(units);
            Ok(Quantity::of(figure))
        }
    })
    .map_err(|refused| match refused {
        Refused::Name(finding) => finding,
        Refused::Sum(words) => refuse(words),
    })?;
    let amount = quantity.amount(scales).map_err(refuse)?;
    // What is computed of amounts in one unit alone is in that unit.
    let of_one_unit = asked_in.first().filter(|first| asked_in.iter().all(|it| it == *first));
    let units = of_one_unit.copied().unwrap_or(units);
    let text = amount_words(&amount, scales, units);
    Ok(evaluated(text, amount, units, quantity, None))
}

fn evaluated(text: String, amount: Amount, units: Units, quantity: Quantity, key: Option<&Key>) -> Evaluated<'_> {
    Evaluated {
        text,
        amount: Some(amount),
        units,
        holds_lye: quantity.holds_lye(),
        takes_lye_up: quantity.takes_lye_up(),
        is_small: quantity.is_small() && amount.mass().is_some(),
        key,
    }
}

/// Why an expression gives nothing.
enum Refused {
    Name(Box<Finding>),
    Sum(String),
}

fn computed(expression: &Expression, scales: &Scales, quantity_of: QuantityOf<'_>) -> Result<Quantity, Refused> {
    match expression {
        Expression::Name(typed, parts) => quantity_of(typed, parts).map_err(Refused::Name),
        Expression::Typed(_, amount) => Ok(Quantity::typed(amount)),
        Expression::Of(left, operator, right) => {
            let left = computed(left, scales, quantity_of)?;
            let right = computed(right, scales, quantity_of)?;
            left.with(*operator, right, scales).map_err(Refused::Sum)
        }
    }
}

/// The names of a figure: its key's, and the others that sentences may use.
fn names_of_figure(key: &Key, ledger: &Ledger) -> Vec<Vec<String>> {
    let own: Vec<String> = key.parts().into_iter().map(str::to_owned).collect();
    let other = |parts: &[&str]| vec![parts.iter().map(|it| (*it).to_owned()).collect()];
    let others: Vec<Vec<String>> = match (key.kind, &ledger.batch.alkalis[..]) {
        (Kind::Lye, [only, ..]) => other(&["alkali", only.kind.formula()]),
        (Kind::Solution, _) => other(&["total", "solution"]),
        _ => Vec::new(),
    };
    let as_portion = key.layer.is_some().then(|| as_portion(&own));
    std::iter::once(own).chain(others).chain(as_portion).collect()
}

/// The name of a layer's figure with `portions` for `layers`.
fn as_portion(parts: &[String]) -> Vec<String> {
    std::iter::once("portions".to_owned()).chain(parts.iter().skip(1).cloned()).collect()
}

fn insert(names: &mut Names, parts: Vec<String>) {
    let mut parts = parts.into_iter();
    let Some(first) = parts.next() else { return };
    let rest: Vec<String> = parts.collect();
    if rest.is_empty() {
        names.insert(first, Name::Value);
    } else if let Name::Group(members) = names.entry(first).or_insert_with(|| Name::Group(Names::new())) {
        insert(members, rest);
    }
}

/// The oils of a blend, which sentences name too.
fn oils_of(id: &str, tables: &Tables) -> Vec<String> {
    match tables.additives.get(id).map(|it| &it.kind) {
        Some(AdditiveKind::Blend(parts)) => parts.iter().map(|it| it.oil.id.to_string()).collect(),
        _ => Vec::new(),
    }
}

/// The names of the values that sentences may use of a recipe which cannot be computed yet.
///
/// Every fat of the table counts as named: one that is misspelt in the recipe would be told again in each sentence.
#[must_use]
pub fn names_of(recipe: &RawRecipe, tables: &Tables) -> Names {
    let ids = |additives: &[RawAdditive]| -> Vec<String> {
        let named = additives.iter().filter_map(|it| Some((&it.item.as_ref()?.value, &it.dispersed_in)));
        let ids = named.flat_map(|(item, dispersed_in)| {
            let liquid = dispersed_in.as_ref().map(|it| format!("{}-for-{item}", it.item.value));
            oils_of(item, tables).into_iter().chain([item.clone()]).chain(liquid)
        });
        ids.collect()
    };
    let of_all: Vec<String> =
        recipe.layers.iter().flat_map(|it| ids(&it.additives)).chain(ids(&recipe.additives)).collect();
    let of_recipe = |of: Of| -> Vec<String> {
        match of {
            Of::One => Vec::new(),
            Of::Fat => recipe.fats.iter().map(|it| &it.key.value).chain(tables.fats.keys()).cloned().collect(),
            Of::LateFat => recipe.late_fats.iter().map(|it| it.key.value.clone()).collect(),
            Of::Additive => of_all.clone(),
            Of::Component => tables.components.keys().cloned().collect(),
            Of::Alkali => AlkaliKind::ALL.map(|it| it.formula().to_owned()).to_vec(),
            Of::FattyAcid => tables.acids.iter().map(|it| it.id.to_string()).collect(),
            Of::AcidGroup => AcidGroup::ALL.map(|it| it.id().to_owned()).to_vec(),
            Of::Scale => UNIT_GROUPS.map(|(name, _)| name.to_owned()).to_vec(),
            Of::Step => (1..=99).map(|it| it.to_string()).collect(),
        }
    };
    let divides_batter = recipe.divides_batter();
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
    let mut names = Names::new();
    for text in TEXTS {
        insert(&mut names, text.iter().map(|it| (*it).to_owned()).collect());
    }
    for key in keys {
        let own: Vec<String> = key.parts().into_iter().map(str::to_owned).collect();
        let portion = key.layer.is_some().then(|| as_portion(&own));
        for parts in [Some(own), portion].into_iter().flatten() {
            for (group, _) in UNIT_GROUPS {
                insert(&mut names, [&[group.to_owned()], &parts[..]].concat());
            }
            insert(&mut names, parts);
        }
    }
    insert(&mut names, vec!["total".to_owned(), "solution".to_owned()]);
    names
}

/// The text of an expression that is nothing but a text in quotes, as in `{{ "50 g" }}`: a figure that is meant as typed.
#[must_use]
pub(super) fn literal(expression: &str) -> Option<&str> {
    let quote = expression.chars().next().filter(|it| matches!(it, '"' | '\'' | '`'))?;
    let text = expression.strip_prefix(quote)?.strip_suffix(quote)?;
    (!text.contains([quote, '\\'])).then_some(text)
}

/// Tells the names in an expression that stand for nothing.
#[must_use]
pub fn unknown_names(expression: &str, place: &Place, names: &Names) -> Option<Finding> {
    let read = Expression::read(expression).ok()?;
    read.names().into_iter().find_map(|(typed, parts)| unknown_name(typed, parts, place, names)).map(|it| *it)
}

/// Tells a name that stands for nothing.
pub(super) fn unknown_name(typed: &str, parts: &[String], place: &Place, names: &Names) -> Option<Box<Finding>> {
    let finding = (!is_among(parts, names)).then(|| no_value(parts, typed, place, names));
    finding.filter(|it| matches!(it.code, "unknown-value" | "minus-without-spaces"))
}

/// The part of Tera's message that is about a template; the rest draws it again.
pub(super) fn first_line(words: &str) -> String {
    words.lines().next().unwrap_or_default().trim_start_matches("error: ").to_owned()
}
