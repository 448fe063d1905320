//! The timers of steps that wait.
//!
//! Layer 6. How long and what for is said here; the clock is the browser's, and `theme/js/bench.js` looks at it.

use serde::Serialize;

use crate::batch::{Action, BenchStep, LongStep};
use crate::recipe::Recipe;
use crate::show;
use crate::units::{MINUTES_PER_DAY, TimeSpan};

/// A timer beside its step.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct TimerView {
    /// Tells it from the other timers of its block, and stays whatever the amounts become.
    pub(crate) step: String,
    /// What waits, where the step does not stand beside it. Without figures, since it goes into an attribute.
    pub(crate) name: String,
    /// What to do at its end: no clock knows whether it is time.
    pub(crate) then: String,
    /// When somebody may look for the first time; as long as the whole of it where one time is stated.
    pub(crate) soonest_seconds: u64,
    pub(crate) seconds: u64,
    /// By how much it is lengthened at a touch.
    pub(crate) more_seconds: u64,
    pub(crate) more: String,
    /// Whether somebody stands beside it, so that it is heard and the screen stays awake.
    pub(crate) is_at_bench: bool,
}

impl TimerView {
    /// That of a step at the bench, if it waits.
    pub(crate) fn at_bench(it: &BenchStep, recipe: &Recipe) -> Option<TimerView> {
        let (step, name, then) = match it.action {
            Action::LyeCools => (
                "lye-cools".to_owned(),
                "The lye solution cools".to_owned(),
                "Measure the lye solution and the fats before you go on.",
            ),
            Action::Wait(layer_idx) => (
                format!("layer-{}", layer_idx + 1),
                format!("{}: it sets", recipe.layers[layer_idx].name),
                "Try it with a spoon: batter dropped on it has to lie on top.",
            ),
            Action::Cook => (
                "cook".to_owned(),
                "It cooks".to_owned(),
                "Test it before you go on: that the time is over does not say that the lye is used up.",
            ),
            _ => return None,
        };
        let then = then.to_owned();
        Some(timer((step, name, then), (it.length, it.length), true))
    }

    /// That of the mould.
    pub(crate) fn of_mould(it: LongStep) -> TimerView {
        let words = ("mould", "In the mould", "See whether it is firm and lets go of the mould, with gloves on.");
        of_long_step(words, it)
    }

    /// That of the cure.
    pub(crate) fn of_cure(it: LongStep) -> TimerView {
        of_long_step(("cure", "Cure", "Weigh a bar: it is ready when it hardly loses anything from week to week."), it)
    }
}

fn of_long_step((step, name, then): (&str, &str, &str), it: LongStep) -> TimerView {
    timer((step.into(), name.into(), then.into()), (it.shortest, it.longest), false)
}

fn timer(words: (String, String, String), (soonest, longest): (TimeSpan, TimeSpan), is_at_bench: bool) -> TimerView {
    let (step, name, then) = words;
    let more = match longest.to_minutes() {
        _ if is_at_bench => 1.0,
        it if it < MINUTES_PER_DAY => 60.0,
        _ => MINUTES_PER_DAY,
    };
    let more = TimeSpan::minutes(more);
    TimerView {
        step,
        name,
        then,
        soonest_seconds: seconds(soonest),
        seconds: seconds(longest),
        more_seconds: seconds(more),
        more: show::time(more, more),
        is_at_bench,
    }
}

fn seconds(it: TimeSpan) -> u64 {
    (it.to_minutes() * 60.0).round() as u64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_minute_more_at_the_bench_an_hour_in_a_short_mould_and_a_day_in_a_cure() {
        let minutes = TimeSpan::minutes;
        let long = |shortest: f64, longest: f64| LongStep {
            shortest: minutes(shortest),
            longest: minutes(longest),
            is_usual: false,
        };
        let mould = TimerView::of_mould(long(360.0, 480.0));
        assert_eq!((mould.soonest_seconds, mould.seconds, mould.more_seconds), (21_600, 28_800, 3_600));
        let cure = TimerView::of_cure(long(40_320.0, 60_480.0));
        assert_eq!((cure.soonest_seconds, cure.seconds, cure.more.as_str()), (2_419_200, 3_628_800, "24\u{a0}h"));
        let words = ("step".to_owned(), String::new(), String::new());
        // Two minutes and a half, by hand.
        let bench = timer(words, (minutes(2.5), minutes(2.5)), true);
        assert_eq!((bench.soonest_seconds, bench.seconds, bench.more.as_str()), (150, 150, "1\u{a0}min"));
        assert!(bench.is_at_bench && !cure.is_at_bench);
    }
}
