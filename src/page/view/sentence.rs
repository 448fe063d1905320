//! The values that sentences may name.
//!
//! Layer 5. How an expression over them is evaluated is in `page/values.rs`.

use std::collections::BTreeMap;

use super::super::template::plain_markdown;
use super::super::{Computed, Units, Value};
use super::compare::SUPERFAT_IF_SWAPPED;
use super::{Pick, amount, percent, reading, short};
use crate::batch::Weighed;
use crate::recipe::{RawAdditive, RawRecipe, layer_key};
use crate::tables::{AlkaliKind, Tables};

/// The values that sentences may name, for one recipe.
#[must_use]
pub fn values_of(computed: &Computed, units: Units) -> BTreeMap<String, Value> {
    let batch = &computed.batch;
    let mut values = amounts_of(computed, &|pick| amount(computed, units, pick).sentence());
    let unit_group = |weighed: &Weighed| Value::Group(amounts_of(computed, &|pick| reading(weighed, pick(weighed))));
    values.insert("grams".into(), unit_group(&computed.grams));
    values.insert("ounces".into(), unit_group(&computed.ounces));
    let conventions = &batch.water_conventions;
    let others = [
        plain_markdown(&computed.recipe.title),
        percent(batch.superfat_percent),
        percent(units.shown(computed)[0].superfat_percent),
        percent(conventions.lye_concentration_percent),
        short(conventions.water_per_lye, 2),
        percent(conventions.water_of_fats_percent),
    ];
    values.extend(OTHER_VALUES.iter().zip(others).map(|(name, text)| ((*name).to_owned(), Value::Text(text))));
    let shares = batch.fats.iter().map(|it| (it.id.clone(), Value::Text(percent(it.fraction * 100.0))));
    values.insert("percent".into(), Value::group(shares));
    values
}

/// The names of the values that sentences may use of a recipe which cannot be computed yet; the texts say nothing.
///
/// Every fat of the table counts as named: one that is misspelt in the recipe would be told again in each sentence.
#[must_use]
pub fn names_of(recipe: &RawRecipe, tables: &Tables) -> BTreeMap<String, Value> {
    let text = || Value::Text(String::new());
    let fat_names = || recipe.fats.iter().map(|it| &it.key.value).chain(tables.fats.keys());
    let fats = || Value::group(fat_names().map(|it| (it.clone(), text())));
    let mut amounts = BTreeMap::from([("fats".to_owned(), fats())]);
    for name in ["lye", "water", "solution"] {
        amounts.insert(name.into(), text());
    }
    amounts.insert("alkali".into(), Value::group(AlkaliKind::ALL.map(|it| (it.formula(), text()))));
    amounts.insert("total".into(), Value::group(["fats", "solution", "batch"].map(|it| (it, text()))));
    let ids = |additives: &[RawAdditive]| {
        let ids = additives.iter().filter_map(|it| it.item.as_ref()).map(|it| (it.value.clone(), text()));
        Value::group(ids)
    };
    let layers = recipe.layers.iter().filter_map(|layer| {
        let divides_batter = recipe.divide.as_ref().is_some_and(|it| it.value == "batter");
        let names: &[&str] = if divides_batter { &["batter", "poured"] } else { &["fats", "solution", "poured"] };
        let parts = names.iter().map(|it| (*it, text()));
        let parts = parts.chain([("additives", ids(&layer.additives))]);
        Some((layer_key(&layer.name.as_ref()?.value), Value::group(parts)))
    });
    amounts.insert("layers".into(), Value::group(layers));
    amounts.insert("additives".into(), ids(&recipe.additives));
    let late_fats = recipe.late_fats.iter().map(|it| (it.key.value.clone(), text()));
    amounts.insert("fats_after".into(), Value::group(late_fats));
    let mut names = amounts.clone();
    names.extend(["grams", "ounces"].map(|it| (it.to_owned(), Value::Group(amounts.clone()))));
    names.insert("percent".into(), fats());
    for name in OTHER_VALUES {
        names.insert(name.into(), text());
    }
    if recipe.based_on.is_some() {
        names.insert(SUPERFAT_IF_SWAPPED.into(), text());
    }
    names
}

/// The values that are not amounts.
const OTHER_VALUES: [&str; 6] =
    ["title", "superfat", "superfat_as_weighed", "lye_concentration", "water_per_lye", "water_of_fats"];

/// The amounts that sentences may name, each worded by `word`.
fn amounts_of(computed: &Computed, word: &dyn Fn(Pick<'_>) -> String) -> BTreeMap<String, Value> {
    let batch = &computed.batch;
    let text = |pick: Pick<'_>| Value::Text(word(pick));
    let mut values = BTreeMap::new();
    let fats = batch.fats.iter().enumerate().map(|(idx, fat)| (fat.id.clone(), text(&|it| it.fats[idx])));
    values.insert("fats".into(), Value::group(fats));
    let alkalis =
        batch.alkalis.iter().enumerate().map(|(idx, it)| (it.kind.formula(), text(&|weighed| weighed.alkalis[idx])));
    values.insert("alkali".into(), Value::group(alkalis));
    if batch.alkalis.len() == 1 {
        values.insert("lye".into(), text(&|it| it.alkalis[0]));
    }
    values.insert("water".into(), text(&|it| it.water));
    let acids = batch.acids.iter().enumerate().map(|(idx, it)| (it.id.clone(), text(&|weighed| weighed.acids[idx])));
    let liquids =
        batch.liquids.iter().enumerate().map(|(idx, it)| (it.id.clone(), text(&|weighed| weighed.liquids[idx])));
    let extras = batch.extras.iter().enumerate().map(|(idx, it)| (it.id.clone(), text(&|weighed| weighed.extras[idx])));
    let additives: Vec<_> = acids.chain(liquids).chain(extras).collect();
    if !additives.is_empty() {
        values.insert("additives".into(), Value::group(additives));
    }
    if !batch.late_fats.is_empty() {
        let late_fats = batch.late_fats.iter().enumerate();
        let late_fats = late_fats.map(|(idx, it)| (it.id.clone(), text(&|weighed| weighed.late_fats[idx])));
        values.insert("fats_after".into(), Value::group(late_fats));
    }
    values.insert("solution".into(), text(&Weighed::solution));
    values.insert(
        "total".into(),
        Value::group([
            ("fats", text(&|it| it.total_fats)),
            ("solution", text(&Weighed::solution)),
            ("batch", text(&Weighed::poured)),
        ]),
    );
    if !batch.layers.is_empty() {
        let layers = batch.layers.iter().enumerate().map(|(idx, layer)| {
            let extras = layer.extras.iter().enumerate();
            let extras = extras.map(|(extra_idx, it)| (it.id.clone(), text(&|it| it.layers[idx].extras[extra_idx])));
            let mut parts = vec![("poured", text(&|it| it.layers[idx].poured())), ("additives", Value::group(extras))];
            // What is not weighed has no amount to name: its parts would not add up to what is.
            if batch.batter_is_divided {
                parts.push(("batter", text(&|it| it.layers[idx].batter.unwrap_or_default())));
            } else {
                parts.push(("fats", text(&|it| it.layers[idx].fats)));
                parts.push(("solution", text(&|it| it.layers[idx].solution)));
            }
            (layer.key.clone(), Value::group(parts))
        });
        values.insert("layers".into(), Value::group(layers));
    }
    values
}
