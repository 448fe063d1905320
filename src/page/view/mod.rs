//! Plain data for the templates: every number already a text, every word already chosen.
//!
//! Layer 5. The place to change decimals, units and the words of a block. Rounding here is for showing; the amounts that
//! are weighed were rounded in `batch/weighing.rs`.

mod additives;
mod card;
mod compare;
mod fats;
mod glossary;
mod layers;
mod measures;
mod outcome;
mod practice;
mod profile;
mod safety;
mod sentence;
mod spoons;
mod steps;
mod timeline;
mod times;
mod worked;

use serde::Serialize;

pub use card::{RecipeView, recipe_view};
pub use compare::{compare_values, compare_view};
pub use fats::fats_view;
pub use glossary::glossary_view;
pub use layers::{LayersView, layers_view, mould_words};
pub use measures::length_words;
pub use outcome::outcome_view;
pub use practice::{AnswersView, PracticeView, practice_view};
pub use profile::profile_view;
pub use safety::safety_view;
pub use sentence::{names_of, values_of};
pub use timeline::timeline_view;
pub use worked::{WorkedView, worked_view};

use super::{Computed, Units};
use crate::batch::{Scale, ScaleUnit, Weighed};
use crate::tables::{AlkaliKind, Tables};
use crate::units::Mass;

/// Between a number and its unit, so that no line breaks there.
const NO_BREAK: char = '\u{a0}';

/// An amount: in the course's main unit, and in the other one if the course shows both.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Amount {
    /// Main unit.
    pub main: String,
    /// Other unit.
    pub other: Option<String>,
}

impl Amount {
    fn sentence(&self) -> String {
        match &self.other {
            Some(other) => format!("{} ({other})", self.main),
            None => self.main.clone(),
        }
    }
}

/// A line of a card or list: what, how much, and a remark.
#[derive(Clone, Debug, Serialize)]
pub struct Row {
    /// What.
    pub name: String,
    /// A remark in small type.
    pub hint: Option<String>,
    /// How much.
    pub amount: Amount,
}

/// A label and what it says.
#[derive(Clone, Debug, Serialize)]
pub struct Fact {
    /// What is told.
    pub label: String,
    /// What it is.
    pub value: String,
}

/// Takes one reading out of a batch as weighed.
type Pick<'a> = &'a dyn Fn(&Weighed) -> u64;

fn reading(weighed: &Weighed, divisions: u64) -> String {
    reading_of(weighed.scale, divisions)
}

fn reading_of(scale: Scale, divisions: u64) -> String {
    format!("{:.*}{NO_BREAK}{}", scale.decimals(), scale.value(divisions), scale.unit.symbol())
}

fn amount(computed: &Computed, units: Units, pick: impl Fn(&Weighed) -> u64) -> Amount {
    let mut readings = units.shown(computed).into_iter().map(|it| reading(it, pick(it)));
    Amount { main: readings.next().unwrap_or_default(), other: readings.next() }
}

/// A number with at most so many decimals and none that say nothing: 5 and 27.3, not 5.0.
fn short(value: f64, decimals: usize) -> String {
    let scale = 10_f64.powi(i32::try_from(decimals).unwrap_or(0));
    let text = format!("{:.*}", decimals, (value * scale).round() / scale);
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

fn percent(value: f64) -> String {
    format!("{}{NO_BREAK}%", short(value, 1))
}

/// An exact mass for the arithmetic: more decimals the smaller it is, so that about five digits are shown.
fn exact(mass: Mass, unit: ScaleUnit) -> String {
    let value = mass.to_grams() / unit.grams();
    let decimals = match value {
        it if it >= 10_000.0 => 1,
        it if it >= 100.0 => 2,
        it if it >= 1.0 => 3,
        _ => 5,
    };
    let scale = 10_f64.powi(decimals);
    format!("{:.*}{NO_BREAK}{}", decimals as usize, (value * scale).round() / scale, unit.symbol())
}

fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

fn alkali_name(kind: AlkaliKind, tables: &Tables) -> String {
    format!("{} ({})", capitalised(&tables.alkali(kind).name), kind.formula())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_shown_without_dust() {
        assert_eq!([short(5.0, 1), short(27.25, 1), short(1.25, 1), short(-0.01, 1)], ["5", "27.3", "1.3", "0"]);
        assert_eq!(exact(Mass::grams(128.675), ScaleUnit::Grams), "128.68\u{a0}g");
        assert_eq!(exact(Mass::grams(9.5), ScaleUnit::Grams), "9.500\u{a0}g");
    }
}
