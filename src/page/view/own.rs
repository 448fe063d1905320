//! What a student may set for a recipe: the fields, with what is in them; and what is told of what they set.
//!
//! Layer 6. The names of the fields are those that `course/own.rs` reads.

use std::collections::BTreeMap;

use serde::Serialize;

use super::super::printer::{Printer, without_marks};
use super::super::template::word;
use super::profile::acid_shares;
use super::recipe::name_of;
use super::{alkali_name, name_of_lye};
use crate::ledger::{Figure, Kind, Part};
use crate::recipe::AlkaliShare;
use crate::show::{as_typed, capitalised, division};

/// The ways in which a student may say how large the batch is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum SizeWay {
    /// A mould of the course.
    Mould,
    /// A box that they measured.
    Box,
    /// A round mould that they measured.
    Round,
    /// A mould of which they know what it holds.
    Holds,
    /// A mass of fats.
    Fats,
    /// All that they have of something.
    AtHand,
    /// So many bars.
    Bars,
}

impl SizeWay {
    /// All of them, with what the field says, by which its words are found too.
    pub(crate) const ALL: [(&'static str, SizeWay); 7] = [
        ("mould", SizeWay::Mould),
        ("box", SizeWay::Box),
        ("round", SizeWay::Round),
        ("holds", SizeWay::Holds),
        ("fats", SizeWay::Fats),
        ("have", SizeWay::AtHand),
        ("bars", SizeWay::Bars),
    ];
}

/// Something that can be chosen.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct Choice {
    value: String,
    label: String,
    is_chosen: bool,
}

/// A field to type into.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct Field {
    name: String,
    label: String,
    typed: String,
    /// What the lesson has, or what may be typed.
    hint: String,
}

/// A fat of the recipe, and what may be said of it.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct OwnFat {
    certificate: Field,
    exchange: Field,
    others: Vec<Choice>,
}

/// The fields of a recipe.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct OwnView {
    recipe: String,
    title: String,
    ways: Vec<Choice>,
    moulds: Vec<Choice>,
    at_hand: Vec<Choice>,
    units: Vec<Choice>,
    /// What is in the fields, by name.
    typed: BTreeMap<String, String>,
    step_hint: String,
    superfat: Field,
    purities: Vec<Field>,
    fats: Vec<OwnFat>,
    weighed: Vec<Field>,
}

/// What is told below the fields of a recipe.
#[derive(Clone, Debug, Default, Serialize)]
pub(crate) struct ToldView {
    /// What was changed.
    pub(crate) line: String,
    /// Whether it is refused.
    pub(crate) is_refused: bool,
    /// What is refused, or to be known, and belongs to no field.
    pub(crate) notes: Vec<String>,
    /// Of exchanged fats: a group of fatty acids, its share in the lesson, and here.
    pub(crate) acids: Vec<[String; 3]>,
    /// The block about what was really weighed, as HTML.
    pub(crate) weighed: String,
}

/// The fields of a recipe, with what a student typed.
///
/// - `print`: of the lesson's recipe.
/// - `own`: of what the student made of it, where that can be computed.
/// - `allowed`: the superfats that may be typed.
pub(crate) fn own_view(
    print: Printer<'_>,
    own: Option<Printer<'_>>,
    typed: &BTreeMap<String, String>,
    allowed: (f64, f64),
) -> OwnView {
    let ledger = print.ledger;
    let is = |field: &str, value: &str| typed.get(field).is_some_and(|it| it == value);
    let in_field = |name: &str| typed.get(name).cloned().unwrap_or_default();
    let choice = |field: &str, value: &str, label: String| Choice {
        value: value.to_owned(),
        label,
        is_chosen: is(field, value),
    };
    let field = |name: String, label: String, hint: String| Field { typed: in_field(&name), name, label, hint };
    let ways = SizeWay::ALL.into_iter().map(|(name, _)| choice("size", name, word("own", name).to_owned()));
    let moulds = print.tables.moulds.values().map(|it| choice("mould", &it.id, it.name.clone()));
    let grows = |it: &&Figure| {
        let is_one = matches!(it.key.kind, Kind::Fat | Kind::Lye | Kind::Alkali | Kind::Stock | Kind::Additive);
        is_one && it.key.layer.is_none()
    };
    let at_hand = ledger.weighed_out().filter(grows);
    let at_hand = at_hand.map(|it| choice("have-of", &it.key.to_string(), name_of(it, print)));
    let units = ["grams", "ounces"].map(|it| choice("units", it, word("own", it).to_owned()));
    let percent = |it: f64| format!("{} %", as_typed(it));
    let (low, high) = allowed;
    let purity = |it: &AlkaliShare| {
        let formula = it.kind.formula();
        let label = alkali_name(it.kind, print.tables);
        field(format!("purity.{formula}"), label, percent(it.purity.to_percent()))
    };
    let mut all_fats: Vec<_> = print.tables.fats.values().collect();
    all_fats.sort_by_key(|it| it.name.to_lowercase());
    let fats = ledger.recipe.fats.iter().map(|share| {
        let (id, name) = (&*share.fat.id, capitalised(&share.fat.name));
        let exchange = format!("exchange.{id}");
        let others = all_fats.iter().filter(|it| it.id != share.fat.id);
        OwnFat {
            others: others.map(|it| choice(&exchange, &it.id, capitalised(&it.name))).collect(),
            certificate: field(
                format!("certificate.{id}"),
                name.clone(),
                as_typed((share.fat.sap_used.to_mg_koh_per_g() * 10.0).round() / 10.0),
            ),
            exchange: field(exchange, name, String::new()),
        }
    });
    let weighed_of = own.unwrap_or(print);
    let weighed = weighed_of.ledger.weighed_out().filter_map(|figure| {
        let batch = &weighed_of.ledger.batch;
        let name = match figure.part {
            Part::Stock => name_of_lye(weighed_of.ledger).to_owned(),
            Part::Alkali(_) if batch.stock.is_some() => return None,
            Part::Alkali(idx) if batch.alkalis.len() > 1 => batch.alkalis[idx].kind.formula().to_owned(),
            Part::Alkali(_) => name_of_lye(weighed_of.ledger).to_owned(),
            Part::Fat(idx) => batch.fats[idx].id.to_string(),
            Part::Acid(idx) => batch.acids[idx].id.to_string(),
            _ => return None,
        };
        let card = without_marks(&weighed_of.amount(&figure.key).main);
        Some(field(format!("weighed.{name}"), name_of(figure, weighed_of), card))
    });
    OwnView {
        recipe: ledger.recipe.id.clone(),
        title: ledger.recipe.title.clone(),
        ways: ways.collect(),
        moulds: moulds.collect(),
        at_hand: at_hand.collect(),
        units: units.into(),
        step_hint: division(ledger.scales.of(ledger.scales.units.main())),
        superfat: field(
            "superfat".to_owned(),
            percent(ledger.recipe.superfat_percent),
            format!("{} to {}", percent(low), percent(high)),
        ),
        purities: ledger.recipe.alkalis.iter().map(purity).collect(),
        fats: fats.collect(),
        weighed: weighed.collect(),
        typed: typed.clone(),
    }
}

/// Of exchanged fats, the groups of fatty acids whose shares differ: in the lesson and here.
pub(crate) fn acids_that_differ(lesson: Printer<'_>, own: Printer<'_>) -> Vec<[String; 3]> {
    let (was, is) = (acid_shares(lesson), acid_shares(own));
    let mut names: Vec<&'static str> = was.iter().map(|it| it.0).collect();
    names.extend(is.iter().map(|it| it.0).filter(|it| !was.iter().any(|(name, _)| name == it)));
    let share = |of: &[(&'static str, String)], name: &str| {
        of.iter().find(|it| it.0 == name).map_or_else(|| "0 %".to_owned(), |it| it.1.clone())
    };
    let rows = names.into_iter().map(|name| [name.to_owned(), share(&was, name), share(&is, name)]);
    rows.filter(|[_, was, is]| was != is).collect()
}
