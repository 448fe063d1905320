//! Words about how long the steps of a recipe take.
//!
//! Layer 0.

use super::{Finding, Step};
use crate::show::{NO_BREAK, time};
use crate::source::Place;
use crate::units::TimeSpan;

impl Finding {
    /// A step so short that what comes next burns.
    pub fn time_too_short(place: Place, key: &str, stated: TimeSpan, least: TimeSpan) -> Finding {
        let message = format!("{}; it needs at least {} (limits.toml)", after(key, stated), words(least));
        Finding::error("time-too-short", place, message)
            .label("still raw and caustic")
            .help("state how long it really takes, or remove the line for the usual time")
    }

    /// A step shorter than anybody takes for it without a reason.
    pub fn time_unusually_short(place: Place, key: &str, stated: TimeSpan, least: TimeSpan) -> Finding {
        let message = format!("{}; at least {} is usual (limits.toml)", after(key, stated), words(least));
        let (step, caution) = match key {
            "lye-cools" => (
                Step::Lye,
                "The lye solution is still very hot when it goes into the fats: it may spit and rise. Pour it slowly, \
                 into a vessel with plenty of room to spare.",
            ),
            "cook" => (
                Step::Cure,
                "This soap is cooked for a short time and may contain free lye: use none before it is tested.",
            ),
            "mould" => {
                (Step::Mould, "This soap comes out of the mould early and is still caustic: touch it only with gloves.")
            }
            _ => (
                Step::Cure,
                "This soap is cured for a short time: it is softer and harsher than a bar that was cured for weeks.",
            ),
        };
        Finding::warning("time-unusually-short", place, message)
            .label("a short time")
            .help("state how long it really takes, or acknowledge it with the reason why it is enough in this lesson")
            .caution(step, caution)
    }

    /// A paste that is neither cooked nor left alone before it is filled into jars.
    pub fn paste_without_time(place: Place) -> Finding {
        let message =
            "this paste is neither cooked nor left to itself before it is filled into jars; state a time for it".into();
        Finding::warning("paste-without-time", place, message)
            .label("raw and caustic in the jar")
            .help("add times = { cook = \"3 h\" } for one that is cooked, or times = { cure = \"4 weeks\" } for one that is not")
            .caution(
                Step::Mould,
                "This paste is raw when it goes into the jars, and as caustic as its lye solution: keep it closed and out of \
                 reach, and use none before it is tested.",
            )
    }

    /// A layer on which the next one sinks in.
    ///
    /// - `waited`: of one at light trace, how long it waits and how long it should.
    pub fn trace_too_thin(
        place: Place,
        layer: &str,
        next: &str,
        waited: Option<(TimeSpan, TimeSpan)>,
        step: Step,
    ) -> Finding {
        let (message, help) = match waited {
            Some((time, usual)) => (
                format!(
                    "`{layer}` is at light trace when it is poured and waits {}, and has to carry `{next}`; from light \
                     trace, {} is usual",
                    words(time),
                    words(usual)
                ),
                "blend it to  trace = \"medium\", or wait longer",
            ),
            None => (
                format!("`{layer}` is an emulsion when it is poured, and has to carry `{next}`"),
                "blend it to  trace = \"medium\", or remove the line, which does the same",
            ),
        };
        Finding::warning("trace-too-thin", place, message)
            .label("too thin to carry the next layer")
            .help(help)
            .caution(
                step,
                "This layer may still be too thin for the next one when its time is over: let a drop of batter fall onto it \
                 from a spoon, and wait until it lies on top.",
            )
    }

    /// Batter that is too thick to pour when its turn comes.
    ///
    /// - `part`: what a layer is called in this recipe. - `is_layer`: whether it could be blended on its own.
    pub fn batter_sets_in_the_jug(
        place: Place,
        part: &str,
        is_layer: bool,
        waited: TimeSpan,
        fluid: TimeSpan,
        step: Step,
    ) -> Finding {
        let message = format!(
            "the last {part} is poured {} after the batter was blended, and batter stays pourable for {} (limits.toml)",
            words(waited),
            words(fluid)
        );
        Finding::warning("batter-sets-in-the-jug", place, message)
            .label("sets in its jug meanwhile")
            .help(if is_layer {
                "shorten the waits, blend it to an emulsion and no further, or blend each layer on its own:  divide = \"fats-and-lye\""
            } else {
                "blend it to an emulsion and no further, or leave out what speeds up trace"
            })
            .caution(
                step,
                "This part of the batter may have set in its jug: stir it now and then while it waits, and lay it on with a \
                 spoon if it no longer pours.",
            )
    }
}

/// What happens after a step of this length.
fn after(key: &str, stated: TimeSpan) -> String {
    let stated = words(stated);
    match key {
        "lye-cools" => format!("the lye solution cools for {stated} and is very hot when it meets the fats"),
        "cook" => format!("cooked for {stated} the soap may be raw"),
        "mould" => format!("after {stated} in the mould the soap is still raw"),
        _ => format!("the bars are used after a cure of {stated}"),
    }
}

fn words(it: TimeSpan) -> String {
    time(it, it).replace(NO_BREAK, " ")
}
