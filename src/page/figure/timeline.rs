//! The steps of a batch as bars along a line of time, to scale.
//!
//! Layer 6. Data in, strings out; `theme/templates/timeline.svg` draws it. The numbers of the bars are those of the list
//! under the figure, which says everything that the figure shows.

use std::fmt::Write as _;

use serde::Serialize;

use super::decimal;

use crate::batch::Timeline;
use crate::units::MINUTES_PER_DAY;

/// Left edge of the bars, after the numbers.
const LEFT: f64 = 26.0;
/// Width of the longest time.
const WIDTH: f64 = 300.0;
/// Height of a bar.
const BAR: f64 = 12.0;
/// Height of a line.
const LINE: f64 = 18.0;
/// Room for the numbers of a scale.
const SCALE: f64 = 24.0;
/// Most marks on a scale.
const MOST_MARKS: f64 = 6.0;

/// A bar.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(crate) struct Bar {
    /// The number of its step; empty for a bar that continues one.
    pub(crate) number: String,
    pub(crate) x: String,
    pub(crate) y: String,
    pub(crate) middle: String,
    pub(crate) width: String,
    /// Strokes of the pattern of what must not wait; empty elsewhere.
    pub(crate) strokes: String,
    pub(crate) is_open: bool,
}

/// A mark on a scale.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(crate) struct Mark {
    pub(crate) x: String,
    pub(crate) label: String,
    pub(crate) ys: [String; 2],
    pub(crate) label_y: String,
}

/// The figure.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(crate) struct TimelineFigure {
    pub(crate) title: String,
    pub(crate) words: String,
    pub(crate) width: String,
    pub(crate) height: String,
    pub(crate) number_x: String,
    pub(crate) bar_height: String,
    pub(crate) bars: Vec<Bar>,
    pub(crate) marks: Vec<Mark>,
}

/// Draws a timeline: minutes at the bench above, mould and cure in days or weeks below, each to its own scale.
pub(crate) fn timeline_figure(title: &str, timeline: &Timeline) -> TimelineFigure {
    let mut bars = Vec::new();
    let mut marks = Vec::new();
    let bench_minutes = timeline.bench_length.to_minutes();
    let top = SCALE;
    let bench_bottom = top + timeline.bench.len() as f64 * LINE;
    let place = |minutes: f64, whole: f64| LEFT + if whole > 0.0 { minutes / whole * WIDTH } else { 0.0 };
    push_marks(&mut marks, bench_minutes, &[(1.0, "min"), (60.0, "h")], top, bench_bottom);
    for (step_idx, step) in timeline.bench.iter().enumerate() {
        let (start, length) = (step.start.to_minutes(), step.length.to_minutes());
        let (left, right) = (place(start, bench_minutes), place(start + length, bench_minutes));
        let y = top + step_idx as f64 * LINE + (LINE - BAR) / 2.0;
        let strokes = if step.must_not_wait { hatching(left, right, y) } else { String::new() };
        bars.push(bar((step_idx + 1).to_string(), left, right, y, strokes, false));
    }
    let mut bottom = bench_bottom + 6.0;
    let long: Vec<_> = timeline.mould.into_iter().chain(timeline.cure).collect();
    if !long.is_empty() {
        let whole: f64 = long.iter().map(|it| it.longest.to_minutes()).sum();
        let top = bench_bottom + 2.0 * SCALE;
        bottom = top + long.len() as f64 * LINE + 6.0;
        push_marks(
            &mut marks,
            whole,
            &[(MINUTES_PER_DAY, "days"), (7.0 * MINUTES_PER_DAY, "weeks")],
            top,
            bottom - 6.0,
        );
        let mut start = 0.0;
        for (step_idx, step) in long.iter().enumerate() {
            let (shortest, longest) = (step.shortest.to_minutes(), step.longest.to_minutes());
            let y = top + step_idx as f64 * LINE + (LINE - BAR) / 2.0;
            let number = (timeline.bench.len() + step_idx + 1).to_string();
            let (left, middle, right) =
                (place(start, whole), place(start + shortest, whole), place(start + longest, whole));
            bars.push(bar(number, left, middle, y, String::new(), false));
            if longest > shortest {
                bars.push(bar(String::new(), middle, right, y, String::new(), true));
            }
            start += longest;
        }
    }
    TimelineFigure {
        title: format!("Timeline of {title}"),
        words: "Bars along a line of time, numbered as in the list that follows. Hatched bars must not wait; an open bar is \
                time that may or may not be needed."
            .into(),
        width: decimal(LEFT + WIDTH + 24.0),
        height: decimal(bottom),
        number_x: decimal(LEFT - 6.0),
        bar_height: decimal(BAR),
        bars,
        marks,
    }
}

fn bar(number: String, left: f64, right: f64, y: f64, strokes: String, is_open: bool) -> Bar {
    Bar {
        number,
        x: decimal(left),
        y: decimal(y),
        middle: decimal(y + BAR / 2.0),
        width: decimal(right - left),
        strokes,
        is_open,
    }
}

/// Marks a scale above its bars with round numbers of a unit, the first in which there are few enough.
fn push_marks(marks: &mut Vec<Mark>, whole: f64, units: &[(f64, &str)], top: f64, bottom: f64) {
    const STEPS: [f64; 11] = [1.0, 2.0, 5.0, 10.0, 15.0, 30.0, 60.0, 120.0, 300.0, 600.0, 3000.0];
    let candidates = units.iter().flat_map(|(unit, name)| STEPS.iter().map(move |step| (*unit, *name, *step)));
    // An hour is told as an hour, and not as sixty minutes.
    let told = |(unit, _, step): &(f64, &str, f64)| units.len() < 2 || unit * step < units[1].0 || *unit == units[1].0;
    let fits = |(unit, _, step): &(f64, &str, f64)| whole / (unit * step) <= MOST_MARKS;
    let Some((unit, name, step)) = candidates.filter(told).find(fits) else { return };
    let n_marks = (whole / (unit * step)).floor() as u32;
    for mark_idx in 0..=n_marks {
        let value = f64::from(mark_idx) * step;
        let x = LEFT + if whole > 0.0 { value * unit / whole * WIDTH } else { 0.0 };
        let label = if mark_idx == n_marks { format!("{value:.0} {name}") } else { format!("{value:.0}") };
        let ys = [decimal(top - 4.0), decimal(bottom)];
        marks.push(Mark { x: decimal(x), label, ys, label_y: decimal(top - 12.0) });
    }
}

/// Slanted strokes across a bar.
fn hatching(left: f64, right: f64, y: f64) -> String {
    let mut path = String::new();
    let mut x = left + 2.0;
    while x < right {
        let reach = BAR.min(right - x);
        // Writing to a string cannot fail.
        let _ = write!(path, "M{x:.1} {:.1}l{reach:.1} -{reach:.1}", y + BAR);
        x += 4.0;
    }
    path
}
