//! A batch in time: a list, and the data of the figure.
//!
//! Layer 6. The figure's data are in `page/figure/timeline.rs`.

use std::sync::Arc;

use serde::Serialize;

use super::super::figure::{TimelineFigure, timeline_figure};
use super::super::printer::Printer;
use super::super::words::{
    all_of, amount_of, blending_on, cautions_at, cautions_at_layers, fats_when_poured, in_cups, in_its_liquid,
    is_dispersing, lye_when_poured, misting, own_extras, slurry_words, swirl_steps, trace_and_test, until_it_carries,
};
use super::timer::TimerView;
use crate::batch::{Action, BenchStep, LongStep, divides_batter, first_stop, stop_at};
use crate::finding::Step;
use crate::ledger::{Figure, Key, Kind, Moment, Part};
use crate::recipe::{First, Pouring};
use crate::show;
use crate::tables::{Mould, MouldShape};

/// A step in the list.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct TimedStep {
    /// When it begins: a clock that starts at nought; empty for the long steps.
    pub(crate) at: String,
    pub(crate) what: String,
    pub(crate) length: String,
    pub(crate) is_own: bool,
    /// What to say where it must not wait; empty elsewhere.
    pub(crate) must_not_wait: String,
    pub(crate) cautions: Vec<String>,
    /// Where it waits.
    pub(crate) timer: Option<TimerView>,
}

/// A batch in time.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct TimelineView {
    /// Tells the steps of one block from those of another, for the boxes that stay ticked.
    pub(crate) key: String,
    pub(crate) title: String,
    pub(crate) bench_length: String,
    pub(crate) bench: Vec<TimedStep>,
    pub(crate) long: Vec<TimedStep>,
    /// The figure, already SVG; empty until it is rendered.
    pub(crate) figure: String,
    /// The figure as data.
    #[serde(skip)]
    pub(crate) figure_data: TimelineFigure,
}

/// A batch in time.
pub(crate) fn timeline_view(key: String, print: Printer<'_>) -> TimelineView {
    let ledger = print.ledger;
    let timeline = &ledger.timeline;
    let in_jars = timeline.mould.is_none();
    let step = |what: String, length: String, is_usual: bool| TimedStep {
        at: String::new(),
        what,
        length,
        is_own: !is_usual,
        must_not_wait: String::new(),
        cautions: Vec::new(),
        timer: None,
    };
    let bench = timeline.bench.iter().enumerate().map(|(step_idx, it)| {
        let number = (step_idx + 1).to_string();
        let words = |kind: Kind| print.words(&Key::each(kind, number.as_str()));
        TimedStep {
            at: words(Kind::StepStart),
            must_not_wait: if it.must_not_wait { "must not wait".into() } else { String::new() },
            cautions: cautions_of(it.action, print, &timeline.bench),
            timer: TimerView::at_bench(it, &ledger.recipe),
            ..step(action_words(it.action, print, in_jars), words(Kind::StepLength), it.is_usual)
        }
    });
    let bench: Vec<TimedStep> = bench.collect();
    let long_step = |it: LongStep, kind: Kind, what: &str, at: Step, timer: TimerView| TimedStep {
        cautions: cautions_at(ledger, at),
        timer: Some(timer),
        ..step(what.into(), print.words_of(kind), it.is_usual)
    };
    let mut long = Vec::new();
    let in_mould = "In the mould, then unmould and cut, with gloves";
    long.extend(
        timeline.mould.map(|it| long_step(it, Kind::MouldTime, in_mould, Step::Mould, TimerView::of_mould(it))),
    );
    let cure = "Cure, on a rack in moving air";
    long.extend(timeline.cure.map(|it| long_step(it, Kind::CureTime, cure, Step::Cure, TimerView::of_cure(it))));
    if long.is_empty() {
        let what =
            "In closed jars labelled “caustic” until the paste has had its time: it needs no mould and no cure".into();
        let cautions = [cautions_at(ledger, Step::Mould), cautions_at(ledger, Step::Cure)].concat();
        long.push(TimedStep { cautions, ..step(what, String::new(), true) });
    }
    TimelineView {
        key,
        title: ledger.recipe.title.clone(),
        bench_length: print.words_of(Kind::BenchTime),
        bench,
        long,
        figure: String::new(),
        figure_data: timeline_figure(&ledger.recipe.title, timeline),
    }
}

/// Which warnings belong beside a step; those of trace beside the stirring in, or the first blending where nothing is
/// stirred into all of it.
fn cautions_of(action: Action, print: Printer<'_>, bench: &[BenchStep]) -> Vec<String> {
    let stirs_into_all = bench.iter().any(|it| it.action == Action::StirIn(None));
    match action {
        Action::MixLye => cautions_at(print.ledger, Step::Lye),
        Action::StirIn(None) => cautions_at(print.ledger, Step::Trace),
        Action::Blend(None | Some(0)) if !stirs_into_all => cautions_at(print.ledger, Step::Trace),
        Action::Pour(Some(layer_idx)) => cautions_at(print.ledger, Step::Layer(layer_idx)),
        Action::Swirl(_) => cautions_at_layers(print.ledger),
        _ => Vec::new(),
    }
}

/// The lye solution being made, with everything that goes into its vessel.
fn mixing_words(print: Printer<'_>) -> String {
    let in_vessel = |is_wanted: fn(&Figure) -> bool| {
        let figures = print.ledger.weighed_out().filter(|it| it.goes_into == Some(Moment::Lye));
        figures.filter(move |it| is_wanted(it))
    };
    let n_alkalis = print.ledger.recipe.alkalis.len();
    let lye = in_vessel(|it| matches!(it.part, Part::Alkali(_))).map(|it| match it.part {
        Part::Alkali(idx) if n_alkalis > 1 => {
            format!("{} of {}", print.words(&it.key), print.ledger.recipe.alkalis[idx].kind.formula())
        }
        _ => format!("{} of lye", print.words(&it.key)),
    });
    let lye = all_of(lye);
    let is_there = |it: &Figure| it.part != Part::Water || it.amount.reading(print.units().main()) > Some(0);
    let water = in_vessel(|it| matches!(it.part, Part::Water | Part::Liquid(_))).filter(|it| is_there(it));
    let water = all_of(water.map(|it| match it.part {
        Part::Water => format!("{} of water", print.words(&it.key)),
        _ => amount_of(print, it),
    }));
    let dissolved =
        all_of(in_vessel(|it| matches!(it.part, Part::Acid(_) | Part::Extra(_))).map(|it| amount_of(print, it)));
    if print.ledger.batch.stock.is_some() {
        let is_water = |it: &&Figure| matches!(it.part, Part::FurtherWater | Part::Liquid(_)) && is_there(it);
        let water = print.ledger.weighed_out().filter(is_water).map(|it| match it.part {
            Part::FurtherWater => format!("{} of water", print.words(&it.key)),
            _ => amount_of(print, it),
        });
        let (water, stock) = (all_of(water), print.words_of(Kind::Stock));
        return match (water.is_empty(), dissolved.is_empty()) {
            (true, _) => format!("Weigh the lye solution: {stock} of the stock"),
            (false, true) => format!("Mix the lye solution: {stock} of the stock slowly into {water}"),
            (false, false) => {
                format!(
                    "Mix the lye solution: dissolve {dissolved} in {water}, then {stock} of the stock slowly into it"
                )
            }
        };
    }
    if water.is_empty() {
        // An acid that is watery brings all the water.
        return format!("Mix the lye solution: {lye} into {dissolved}, a little at a time");
    }
    if dissolved.is_empty() {
        return format!("Mix the lye solution: {lye} into {water}, a little at a time");
    }
    format!("Mix the lye solution: dissolve {dissolved} in {water}, then {lye}, a little at a time")
}

/// The fats being made ready: all that is melted, and what is stirred into them.
fn melting_words(print: Printer<'_>) -> String {
    let fats = print.words_of(Kind::TotalFats);
    let into_fats = print.ledger.weighed_out().filter(|it| it.goes_into == Some(Moment::Fats));
    let into_fats = all_of(into_fats.filter(|it| matches!(it.part, Part::Extra(_))).map(|it| amount_of(print, it)));
    let then = if into_fats.is_empty() { String::new() } else { format!("; stir {into_fats} into them") };
    match print.ledger.recipe.first {
        First::Lye => format!("Meanwhile weigh and melt the fats, {fats}{then}"),
        First::Fats => format!("Weigh and melt the fats, {fats}{then}, and cover them"),
    }
}

/// Lye solution and fats coming together: all of them, or a layer's.
fn blending_words(print: Printer<'_>, layer_idx: Option<usize>) -> String {
    let to = trace_and_test(first_stop(&print.ledger.recipe, layer_idx));
    let Some(layer_idx) = layer_idx else {
        return format!("All of the lye solution, {}, into the fats; blend to {to}", print.words_of(Kind::Solution));
    };
    let layer = &print.ledger.recipe.layers[layer_idx];
    let solution = print.words(&Key::one(Kind::LayerSolution).in_layer(layer.key.clone()));
    let into_fats: Vec<String> = own_extras(print, layer_idx, Moment::Fats).collect();
    if into_fats.is_empty() {
        return format!("{}: {solution} of lye solution into its fats; blend to {to}", layer.name);
    }
    let first = all_of(into_fats);
    format!("{}: {first} into its fats, then {solution} of lye solution; blend to {to}", layer.name)
}

/// Dividing among the jugs, each with its name and its amount.
fn dividing_words(print: Printer<'_>) -> String {
    let recipe = &print.ledger.recipe;
    let jugs = |kind: Kind| {
        let amount = |key: Arc<str>| print.words(&Key::one(kind).in_layer(key));
        all_of(recipe.layers.iter().map(|it| format!("{} for {}", amount(it.key.clone()), it.name)))
    };
    if divides_batter(recipe) {
        let jugs = jugs(Kind::LayerBatter);
        return format!("Divide the batter among the jugs ({jugs}), all of it, before any of it thickens");
    }
    let jugs = jugs(Kind::LayerFats);
    format!(
        "Divide the melted fats among the jugs ({jugs}), and keep them warm; weigh the lye solution for each when its turn comes"
    )
}

/// Laying out, with a mould that is lined only where paper goes into it.
fn laying_out_words(print: Printer<'_>, in_jars: bool) -> &'static str {
    let is_lined = |it: &Mould| it.cavities == 1 && matches!(it.shape, MouldShape::Box { .. });
    match print.ledger.recipe.mould() {
        _ if in_jars => "Lay everything out, and put on goggles and gloves",
        Some(mould) if is_lined(mould) => "Line the mould, lay everything out, and put on goggles and gloves",
        Some(_) | None => "Lay everything out, the mould too; put on goggles and gloves",
    }
}

/// What is done; `in_jars` where the soap is a paste without a mould.
fn action_words(action: Action, print: Printer<'_>, in_jars: bool) -> String {
    let recipe = &print.ledger.recipe;
    let name = |layer_idx: usize| &*recipe.layers[layer_idx].name;
    let (lye, fats) = (lye_when_poured(print), fats_when_poured(print));
    match action {
        Action::LayOut => laying_out_words(print, in_jars).into(),
        Action::MixLye => mixing_words(print),
        Action::LyeCools => match recipe.first {
            First::Lye => format!("Let the lye solution cool, until it is {lye} and the fats are {fats}"),
            First::Fats => format!("Wait until the lye solution is {lye} and the fats are {fats}"),
        },
        Action::MeltFats => melting_words(print),
        Action::Divide => dividing_words(print),
        Action::Slurry => slurry_words(print),
        Action::Blend(layer_idx) => blending_words(print, layer_idx),
        Action::StirIn(None) => {
            let at_trace = |it: &&Figure| match it.part {
                Part::Extra(idx) => it.goes_into == Some(Moment::Trace) && !is_dispersing(&recipe.extras[idx]),
                _ => false,
            };
            let figures = in_cups(print, print.ledger.weighed_out().filter(at_trace));
            let amount = |it: &Figure| {
                let dispersed = in_its_liquid(print, it, "dispersed beforehand in");
                if dispersed.is_empty() {
                    amount_of(print, it)
                } else {
                    format!("{},{dispersed}", amount_of(print, it))
                }
            };
            format!("Stir in {}", all_of(figures.into_iter().map(amount)))
        }
        Action::StirIn(Some(layer_idx)) => {
            let of_layer = |it: Part| matches!(it, Part::LayerShared(its_layer, _) if its_layer == layer_idx);
            let shared = in_cups(print, print.ledger.figures().iter().filter(|it| of_layer(it.part)));
            let shared = shared.into_iter().map(|it| {
                let name = show::the(it.name.as_deref().unwrap_or_default());
                format!("{} as its part of {name}", print.words(&it.key))
            });
            let all = all_of(shared.chain(own_extras(print, layer_idx, Moment::Trace)));
            format!("{}: stir in {all}", name(layer_idx))
        }
        Action::BlendOn(layer_idx) => {
            let on = blending_on(print, stop_at(recipe, layer_idx));
            match layer_idx {
                None => format!("If it is not there yet, {on}"),
                Some(it) => format!("{}: if it is not there yet, {on}", name(it)),
            }
        }
        Action::Pour(None) if in_jars => "Fill it into jars".into(),
        Action::Pour(None) => "Pour into the mould".into(),
        Action::Pour(Some(it)) => match recipe.layers[it].pouring {
            Pouring::Pour => format!("{}: pour", name(it)),
            Pouring::Spoon => format!("{}: lay on with a spoon", name(it)),
        },
        Action::Swirl(it) => format!("{}: bring the portions together in the mould", swirl_steps(it).0),
        Action::Wait(it) => format!("{}: wait {}", name(it), until_it_carries()),
        Action::Spritz(it) => format!("{}: {}", name(it), misting()),
        Action::Cook => "Cook, covered, stirring now and then".into(),
        Action::StirInFats => {
            let late = print.ledger.weighed_out().filter(|it| it.goes_into == Some(Moment::Cooked));
            format!("Stir in {}", all_of(late.map(|it| amount_of(print, it))))
        }
        Action::WashUp if in_jars => "Label the jars, and clean up".into(),
        Action::WashUp => "Cover the soap, label it, and clean up".into(),
    }
}
