//! A batch in time: a list, and the data of the figure.
//!
//! Layer 5. The figure's data are in `page/timeline_figure.rs`.

use serde::Serialize;

use super::super::cautions::listed;
use super::super::timeline_figure::{TimelineFigure, timeline_figure};
use super::super::{Computed, Units};
use super::layers::own_extras;
use super::steps::cautions_at;
use super::times::{clock, time_words};
use crate::batch::{Action, BenchStep, LongStep, timeline};
use crate::finding::Step;
use crate::recipe::{Divide, Pouring};
use crate::tables::{GoesInto, Tables};

/// A step in the list.
#[derive(Clone, Debug, Serialize)]
pub struct TimedStep {
    /// When it begins: a clock that starts at nought; empty for the long steps.
    pub at: String,
    /// What is done.
    pub what: String,
    /// How long it takes.
    pub length: String,
    /// Whether that is the recipe's own time.
    pub is_own: bool,
    /// What to say where it must not wait; empty elsewhere.
    pub must_not_wait: String,
    /// What to be careful of.
    pub cautions: Vec<String>,
}

/// A batch in time.
#[derive(Clone, Debug, Serialize)]
pub struct TimelineView {
    /// What kind of block it is.
    pub kind: &'static str,
    /// The recipe's title.
    pub title: String,
    /// How long the bench is needed.
    pub bench_length: String,
    /// Heading of the steps at the bench.
    pub bench_heading: &'static str,
    /// The steps at the bench.
    pub bench: Vec<TimedStep>,
    /// Heading of the long steps.
    pub long_heading: &'static str,
    /// Mould, cut and cure.
    pub long: Vec<TimedStep>,
    /// Where the times are from.
    pub note: &'static str,
    /// The figure, already SVG; empty until it is rendered.
    pub figure: String,
    /// The figure as data.
    #[serde(skip)]
    pub figure_data: TimelineFigure,
}

/// A batch in time.
#[must_use]
pub fn timeline_view(computed: &Computed, units: Units, tables: &Tables) -> TimelineView {
    let timeline = timeline(&computed.recipe, tables);
    let bench: Vec<TimedStep> = timeline
        .bench
        .iter()
        .map(|step| TimedStep {
            at: clock(step.start),
            what: action_words(step.action, computed, units, timeline.mould.is_none()),
            length: time_words(step.length, step.length),
            is_own: !step.is_usual,
            must_not_wait: if step.must_not_wait { "must not wait".into() } else { String::new() },
            cautions: cautions_of(step.action, computed, &timeline.bench),
        })
        .collect();
    let long_step = |step: LongStep, what: &str, caution_step: Step| TimedStep {
        at: String::new(),
        what: what.into(),
        length: time_words(step.shortest, step.longest),
        is_own: !step.is_usual,
        must_not_wait: String::new(),
        cautions: cautions_at(computed, caution_step),
    };
    let mut long = Vec::new();
    long.extend(timeline.mould.map(|it| long_step(it, "In the mould, then unmould and cut, with gloves", Step::Mould)));
    long.extend(timeline.cure.map(|it| long_step(it, "Cure, on a rack in moving air", Step::Cure)));
    if long.is_empty() {
        long.push(TimedStep {
            at: String::new(),
            what: "In closed, labelled jars: this soap is a paste and has no mould and no cure".into(),
            length: String::new(),
            is_own: false,
            must_not_wait: String::new(),
            cautions: [cautions_at(computed, Step::Mould), cautions_at(computed, Step::Cure)].concat(),
        });
    }
    TimelineView {
        kind: "Time",
        title: computed.recipe.title.clone(),
        bench_length: time_words(timeline.bench_length, timeline.bench_length),
        bench_heading: "At the bench",
        bench,
        long_heading: "Afterwards",
        long,
        note: "Times not marked as the recipe's own are common practice, with no source. They plan an evening; what the \
               batter and the soap do decides. What must not wait begins as soon as the step before it ends.",
        figure: String::new(),
        figure_data: timeline_figure(&computed.recipe.title, &timeline),
    }
}

/// Which warnings belong beside a step; those of trace beside the stirring in, or the first blending where nothing is
/// stirred into all of it.
fn cautions_of(action: Action, computed: &Computed, bench: &[BenchStep]) -> Vec<String> {
    let stirs_into_all = bench.iter().any(|it| it.action == Action::StirIn(None));
    match action {
        Action::MixLye => cautions_at(computed, Step::Lye),
        Action::StirIn(None) => cautions_at(computed, Step::Trace),
        Action::Blend(None | Some(0)) if !stirs_into_all => cautions_at(computed, Step::Trace),
        Action::Pour(Some(layer_idx)) => cautions_at(computed, Step::Layer(layer_idx)),
        _ => Vec::new(),
    }
}

/// What is done; `in_jars` where the soap is a paste without a mould.
fn action_words(action: Action, computed: &Computed, units: Units, in_jars: bool) -> String {
    let recipe = &computed.recipe;
    let name = |layer_idx: usize| recipe.layers[layer_idx].name.as_str();
    match action {
        Action::LayOut if in_jars => "Lay everything out, put on goggles and gloves".into(),
        Action::LayOut => "Line the mould, lay everything out, put on goggles and gloves".into(),
        Action::MixLye => {
            let batch = &computed.batch;
            let in_water = batch.extras.iter().filter(|it| it.goes_into == GoesInto::Water).map(|it| it.name.clone());
            let first: Vec<String> = batch.acids.iter().map(|it| it.name.clone()).chain(in_water).collect();
            if first.is_empty() {
                "Mix the lye: the alkali into the water".into()
            } else {
                let first = listed_names(first.into_iter());
                format!("Mix the lye: dissolve {first} in the water, then the alkali in it")
            }
        }
        Action::LyeCools => "Let the lye cool".into(),
        Action::MeltFats => "Meanwhile weigh and melt the fats".into(),
        Action::Blend(None) => "Lye into the fats; blend to an emulsion".into(),
        Action::Blend(Some(it)) => {
            let into_fats: Vec<String> = own_extras(computed, units, it, GoesInto::Fats).collect();
            if into_fats.is_empty() {
                format!("{}: its lye into its fats; blend to an emulsion", name(it))
            } else {
                let first = listed(&into_fats);
                format!("{}: {first} into its fats, then its lye; blend to an emulsion", name(it))
            }
        }
        Action::StirIn(None) => {
            format!(
                "Stir in {}",
                listed_names(
                    computed.batch.extras.iter().filter(|it| it.goes_into == GoesInto::Trace).map(|it| it.name.clone())
                )
            )
        }
        Action::StirIn(Some(layer_idx)) => {
            let of_batch = if recipe.divide == Divide::FatsAndLye { &computed.batch.extras[..] } else { &[] };
            let shared = of_batch.iter().filter(|it| it.goes_into == GoesInto::Trace);
            let shared = shared.map(|it| format!("its part of the {}", it.name));
            let own = own_extras(computed, units, layer_idx, GoesInto::Trace);
            format!("{}: stir in {}", name(layer_idx), listed_names(shared.chain(own)))
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
        Action::StirInFats => {
            format!("Stir in {}", listed_names(computed.batch.late_fats.iter().map(|it| it.name.clone())))
        }
        Action::WashUp => "Cover the soap, label it, clean up".into(),
    }
}

fn listed_names(names: impl Iterator<Item = String>) -> String {
    listed(&names.collect::<Vec<_>>())
}
