//! A batch in time: a list, and the data of the figure.
//!
//! Layer 6. The figure's data are in `page/figure/timeline.rs`.

use serde::Serialize;

use super::super::figure::{TimelineFigure, timeline_figure};
use super::super::printer::Printer;
use super::super::words::{cautions_at, own_extras};
use crate::batch::{Action, BenchStep, LongStep};
use crate::finding::Step;
use crate::ledger::{Figure, Key, Kind, Moment, Part};
use crate::recipe::Pouring;
use crate::show::{self, listed};

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
}

/// A batch in time.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct TimelineView {
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
pub(crate) fn timeline_view(print: Printer<'_>) -> TimelineView {
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
    };
    let bench = timeline.bench.iter().enumerate().map(|(step_idx, it)| {
        let number = (step_idx + 1).to_string();
        let words = |kind: Kind| print.words(&Key::each(kind, number.as_str()));
        TimedStep {
            at: words(Kind::StepStart),
            must_not_wait: if it.must_not_wait { "must not wait".into() } else { String::new() },
            cautions: cautions_of(it.action, print, &timeline.bench),
            ..step(action_words(it.action, print, in_jars), words(Kind::StepLength), it.is_usual)
        }
    });
    let bench: Vec<TimedStep> = bench.collect();
    let long_step = |it: LongStep, kind: Kind, what: &str, at: Step| TimedStep {
        cautions: cautions_at(ledger, at),
        ..step(what.into(), print.words_of(kind), it.is_usual)
    };
    let mut long = Vec::new();
    let in_mould = "In the mould, then unmould and cut, with gloves";
    long.extend(timeline.mould.map(|it| long_step(it, Kind::MouldTime, in_mould, Step::Mould)));
    let cure = "Cure, on a rack in moving air";
    long.extend(timeline.cure.map(|it| long_step(it, Kind::CureTime, cure, Step::Cure)));
    if long.is_empty() {
        let what =
            "In closed jars labelled *caustic* until the paste has had its time: it has no mould and no cure".into();
        let cautions = [cautions_at(ledger, Step::Mould), cautions_at(ledger, Step::Cure)].concat();
        long.push(TimedStep { cautions, ..step(what, String::new(), true) });
    }
    TimelineView {
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
        _ => Vec::new(),
    }
}

/// The names of what goes into the whole batch, as the ledger lists it.
fn names(print: Printer<'_>, is_wanted: impl Fn(&Figure) -> bool) -> String {
    let figures = print.ledger.weighed_out().filter(|it| is_wanted(it));
    listed(figures.filter_map(|it| it.name.as_deref()))
}

/// What is done; `in_jars` where the soap is a paste without a mould.
fn action_words(action: Action, print: Printer<'_>, in_jars: bool) -> String {
    let recipe = &print.ledger.recipe;
    let name = |layer_idx: usize| &*recipe.layers[layer_idx].name;
    match action {
        Action::LayOut if in_jars => "Lay everything out, put on goggles and gloves".into(),
        Action::LayOut => "Line the mould, lay everything out, put on goggles and gloves".into(),
        Action::MixLye => {
            let in_water = |it: &Figure| it.goes_into == Some(Moment::Lye);
            match names(print, |it| in_water(it) && matches!(it.part, Part::Acid(_) | Part::Extra(_))) {
                first if first.is_empty() => "Mix the lye solution: the lye into the water".into(),
                first => format!("Mix the lye solution: dissolve {first} in the water, then the lye in it"),
            }
        }
        Action::LyeCools => "Let the lye solution cool".into(),
        Action::MeltFats => "Meanwhile weigh and melt the fats".into(),
        Action::Blend(None) => "Lye solution into the fats; blend to an emulsion".into(),
        Action::Blend(Some(it)) => {
            let into_fats: Vec<String> = own_extras(print, it, Moment::Fats).collect();
            if into_fats.is_empty() {
                format!("{}: its lye solution into its fats; blend to an emulsion", name(it))
            } else {
                let first = listed(into_fats.iter().map(String::as_str));
                format!("{}: {first} into its fats, then its lye solution; blend to an emulsion", name(it))
            }
        }
        Action::Divide => "Divide the batter among the jugs, all of it, before any of it thickens".into(),
        Action::StirIn(None) => {
            let at_trace = |it: &Figure| it.goes_into == Some(Moment::Trace) && matches!(it.part, Part::Extra(_));
            format!("Stir in {}", names(print, at_trace))
        }
        Action::StirIn(Some(layer_idx)) => {
            let of_layer = |it: Part| matches!(it, Part::LayerShared(its_layer, _) if its_layer == layer_idx);
            let shared = print.ledger.figures().iter().filter(|it| of_layer(it.part));
            let shared = shared.map(|it| format!("its part of {}", show::the(it.name.as_deref().unwrap_or_default())));
            let all: Vec<String> = shared.chain(own_extras(print, layer_idx, Moment::Trace)).collect();
            format!("{}: stir in {}", name(layer_idx), listed(all.iter().map(String::as_str)))
        }
        Action::Pour(None) if in_jars => "Fill it into jars".into(),
        Action::Pour(None) => "Pour into the mould".into(),
        Action::Pour(Some(it)) => match recipe.layers[it].pouring {
            Pouring::Pour => format!("{}: pour", name(it)),
            Pouring::Spoon => format!("{}: lay on with a spoon", name(it)),
        },
        Action::Wait(it) => format!("{}: wait until it is firm but still tacky", name(it)),
        Action::Spritz(it) => format!("{}: mist with rubbing alcohol, away from any flame", name(it)),
        Action::Cook => "Cook, covered, stirring now and then".into(),
        Action::StirInFats => format!("Stir in {}", names(print, |it| it.goes_into == Some(Moment::Cooked))),
        Action::WashUp => "Cover the soap, label it, clean up".into(),
    }
}
