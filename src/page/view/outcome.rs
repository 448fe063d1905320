//! What comes of a batch: bars, cured mass, glycerol, fatty matter.
//!
//! Layer 5.

use serde::Serialize;

use super::super::{Computed, Units};
use super::measures::length_words;
use super::{Fact, NO_BREAK, amount, percent};
use crate::batch::{Scale, ScaleUnit, Weighed, cut, yields};
use crate::recipe::BatchSize;
use crate::tables::{MouldShape, Tables};
use crate::units::Mass;

/// What comes of a batch.
#[derive(Clone, Debug, Serialize)]
pub struct OutcomeView {
    /// What kind of block it is.
    pub kind: &'static str,
    /// The recipe's title.
    pub title: String,
    /// What comes of it.
    pub facts: Vec<Fact>,
    /// How far to trust it.
    pub note: &'static str,
}

/// What comes of a batch when it has dried to the moisture of `limits.toml`.
#[must_use]
pub fn outcome_view(computed: &Computed, units: Units, tables: &Tables) -> OutcomeView {
    let it = yields(&computed.recipe, &computed.batch, tables, tables.limits.cured_moisture);
    let fact = |label: &str, value: String| Fact { label: label.into(), value };
    let about = |mass: Mass| about(computed, units, mass);
    let mut facts = vec![fact("Poured", amount(computed, units, Weighed::poured).sentence())];
    let bars = bars(computed, units);
    if let Some(bars) = &bars {
        facts.push(fact("Bars", bars.words.clone()));
        facts.push(fact("Each bar as poured", format!("about {}", about(it.poured * bars.share))));
    }
    facts.push(fact(
        &format!("Cured, at {} moisture", percent(it.moisture.to_percent())),
        format!("about {}", about(it.cured)),
    ));
    if let Some(bars) = &bars {
        facts.push(fact("Each bar cured", format!("about {}", about(it.cured * bars.share))));
    }
    facts.push(fact("Glycerol that stays in it", format!("about {}", about(it.glycerol))));
    facts.push(fact("Total fatty matter when cured", percent(it.fatty_matter_percent)));
    OutcomeView {
        kind: "What comes of it",
        title: computed.recipe.title.clone(),
        facts,
        note: "Computed, not weighed: how far bars dry depends on the room and the weeks, and the moisture is common practice. \
               Total fatty matter is meant as ISO 685 \
               defines it: the fatty acids bound as soap, and all fat that is not saponified.",
    }
}

struct Bars {
    words: String,
    /// Part of the batch in one whole bar.
    share: f64,
}

/// The bars of a mould: cut from its length where the recipe says how thick, or one from each hollow.
fn bars(computed: &Computed, units: Units) -> Option<Bars> {
    let BatchSize::Mould(mould) = &computed.recipe.size else { return None };
    let hollows = f64::from(mould.cavities);
    match (mould.shape, computed.recipe.cut) {
        (MouldShape::Box { length, .. }, Some(thickness)) => {
            let cut = cut(length, thickness);
            let left = length_words(cut.left, units);
            let rest = if left.starts_with("0\u{a0}") { String::new() } else { format!(", and {left} left over") };
            let thick = length_words(thickness, units);
            Some(Bars {
                words: format!("{} of {thick}{rest}", f64::from(cut.bars) * hollows),
                share: thickness.to_millimetres() / length.to_millimetres() / hollows,
            })
        }
        (_, None) if mould.cavities > 1 => {
            Some(Bars { words: format!("{hollows}, one from each hollow"), share: 1.0 / hollows })
        }
        _ => None,
    }
}

/// A mass that nobody weighs out, to the gram or a twentieth of an ounce whatever the students' scales show.
fn about(computed: &Computed, units: Units, mass: Mass) -> String {
    let scales = units.shown(computed).into_iter().map(|it| match it.scale.unit {
        ScaleUnit::Grams => Scale::GRAMS,
        ScaleUnit::Ounces => Scale::OUNCES,
    });
    let mut texts = scales.map(|scale| {
        let value = scale.value(scale.nearest(mass));
        format!("{value:.*}{NO_BREAK}{}", scale.decimals(), scale.unit.symbol())
    });
    let main = texts.next().unwrap_or_default();
    texts.next().map_or(main.clone(), |other| format!("{main} ({other})"))
}
