//! How often a figure typed by hand is found, and how often something is taken for one that is none: measured on the pages
//! of the demo course, with its figures typed in as authors type them, and with sentences that are right.

// The rates are what these tests are for; `--nocapture` shows them.
#![allow(clippy::print_stdout)]

use std::collections::BTreeMap;
use std::fs;
use std::ops::Range;
use std::path::{Path, PathBuf};

use kettlebook::course::{Course, CourseFiles, included_file};
use kettlebook::page::{Form, Lesson, Page};
use kettlebook::source::SourceFile;

/// The least part of typed figures that must be found, percent.
const CAUGHT: f64 = 95.0;

/// The highest part of right sentences that may be taken for typed figures, percent.
const FALSE_ALARMS: f64 = 2.0;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("course")
}

fn demo_course() -> Course {
    Course::new(&CourseFiles::read(&root(), "").expect("the demo course can be read")).0
}

/// The lessons of the demo course: names and texts.
fn lessons() -> Vec<(String, String)> {
    let entries = fs::read_dir(root().join("src")).expect("the folder can be read");
    let mut paths: Vec<PathBuf> = entries.map(|it| it.expect("an entry").path()).collect();
    paths.retain(|it| it.extension().is_some_and(|it| it == "md") && !it.ends_with("SUMMARY.md"));
    paths.sort();
    let name = |it: &PathBuf| it.file_name().expect("a name").to_string_lossy().into_owned();
    paths.iter().map(|it| (name(it), fs::read_to_string(it).expect("the page can be read"))).collect()
}

fn read(name: &str, text: &str) -> Page {
    let file = SourceFile::new(format!("src/{name}"), text);
    let included = |including: &str, path: &str| included_file(&root(), "", including, path);
    Page::read(Lesson { id: name.to_owned(), title: name.to_owned(), part: String::new(), file }, &included)
}

/// What is found to be typed on a page: where, and what should stand there.
fn typed_on(course: &Course, name: &str, text: &str) -> Vec<(Range<usize>, String)> {
    let findings = course.render(&read(name, text), Form::Html).findings;
    let typed = findings.into_iter().filter(|it| it.code == "typed-quantity");
    typed.map(|it| (it.place.span, it.help.unwrap_or_default())).collect()
}

/// A figure typed into a page: where, and what.
struct Planted {
    span: Range<usize>,
    typed: String,
    line: String,
}

/// A page with the values in its sentences typed as somebody would; figures without a unit stay values.
fn with_values_typed(course: &Course, name: &str, text: &str, variant: usize) -> (String, Vec<Planted>) {
    let page = read(name, text);
    let file_path = format!("src/{name}");
    let mut printed: BTreeMap<usize, (usize, String)> = BTreeMap::new();
    for it in course.render(&page, Form::Html).printed {
        let span = it.place.span.clone();
        // Only values in sentences: those of blocks stand at the name of the block.
        let open = text[..span.start].trim_end();
        let close = text[span.end..].trim_start();
        if it.place.file.path() == file_path && open.ends_with("{{") && close.starts_with("}}") {
            let end = text.len() - close.len() + 2;
            printed.insert(open.len() - 2, (end, it.text.clone()));
        }
    }
    let (mut typed_text, mut planted, mut from) = (String::new(), Vec::new(), 0);
    for (at, (start, (end, shown))) in printed.into_iter().enumerate() {
        let is_bars = text[end..].starts_with(" bars");
        if start < from || !shown.contains('\u{a0}') && !is_bars {
            continue;
        }
        typed_text.push_str(&text[from..start]);
        let typed = as_typed(&shown, variant + at);
        planted.push(Planted {
            span: typed_text.len()..typed_text.len() + typed.len(),
            typed: typed.clone(),
            line: String::new(),
        });
        typed_text.push_str(&typed);
        from = end;
    }
    typed_text.push_str(&text[from..]);
    for it in &mut planted {
        let start = typed_text[..it.span.start].rfind('\n').map_or(0, |it| it + 1);
        it.line = typed_text[start..].lines().next().unwrap_or_default().to_owned();
    }
    (typed_text, planted)
}

/// A printed figure as authors type it.
fn as_typed(shown: &str, variant: usize) -> String {
    let plain = shown.replace('\u{a0}', " ");
    let plain = plain.split(" (").next().unwrap_or_default().to_owned();
    match variant % 5 {
        0 => plain,
        1 => plain.replace(" g", "g").replace(" %", "%").replace(" mL", "ml").replace(" oz", "oz"),
        2 => shown.split("\u{a0}(").next().unwrap_or_default().split(" (").next().unwrap_or_default().to_owned(),
        3 => plain
            .replace(" g", " grams")
            .replace(" %", " percent")
            .replace(" mL", " millilitres")
            .replace(" mm", " millimetres"),
        _ => plain.replace('.', ",").replace(" g", " grammes").replace(" %", " per cent"),
    }
}

/// Sentences with figures of each kind.
const SENTENCES: [&str; 26] = [
    "Step 2 takes {{ step_lengths.2 }}.",
    "Of the fats {{ percent.coconut }} are coconut oil.",
    "The superfat of this bar is {{ superfat }}.",
    "The lye is {{ lye_concentration }} strong.",
    "The lye in the jug takes up {{ lye_volume }}.",
    "Take a jug of {{ vessels.lye }} for the lye.",
    "The pot must hold {{ vessels.pot }}.",
    "Without ice the lye gets as hot as {{ hottest_lye }}.",
    "With ice for half of the water it gets to {{ hottest_lye_with_ice }}.",
    "Pour at {{ pouring_temperature }}.",
    "Water from the tap has {{ tap_water_temperature }} here.",
    "The loaf stays in the mould for {{ times.mould }}.",
    "Let the bars cure for {{ times.cure }}.",
    "The whole evening takes {{ times.bench }}.",
    "It makes {{ bars }} bars.",
    "Cut slices {{ cut }} thick.",
    "The mould is {{ mould.across }} wide.",
    "It is filled {{ mould.filled }} deep.",
    "A cured bar weighs {{ bar.cured }}.",
    "When it is cured, the batch weighs {{ cured }}.",
    "Of the cured bar {{ moisture }} is water.",
    "Glycerol is {{ glycerol }} of it.",
    "Its fatty matter is {{ fatty_matter }}.",
    "Weigh {{ lye }} of lye into {{ water }} of water.",
    "The superfat may be {{ superfat_at_worst }} at worst.",
    "The whole batch is {{ total.batch }}, with {{ total.fats }} of fats.",
];

/// What was planted, and what of it was not found.
fn missed(course: &Course, name: &str, text: &str, planted: Vec<Planted>, places: &mut Vec<String>) -> usize {
    let found = typed_on(course, name, text);
    let n_planted = planted.len();
    for it in planted {
        if !found.iter().any(|(span, _)| span.start < it.span.end && it.span.start < span.end) {
            places.push(format!("{name}: {:?} in: {}", it.typed, it.line));
        }
    }
    n_planted
}

/// Types what the cards of the demo course measure by spoons, which no value prints; gives how many.
fn spoons(course: &Course, missed_at: &mut Vec<String>) -> usize {
    let mut n_planted = 0;
    for (name, text) in lessons() {
        let printed = course.render(&read(&name, &text), Form::Html).printed;
        for it in printed.iter().filter(|it| it.text.ends_with("tsp") || it.text.ends_with("tbsp")) {
            let additive = it.expression.rsplit('.').next().unwrap_or_default().replace('-', " ");
            let shown = it.text.replace('\u{a0}', " ");
            let line = format!("Stir in {shown} of {additive}.");
            let start = text.len() + "\n\nStir in ".len();
            let planted = Planted { span: start..start + shown.len(), typed: shown, line: line.clone() };
            n_planted += missed(course, &name, &format!("{text}\n\n{line}\n"), vec![planted], missed_at);
        }
    }
    n_planted
}

#[test]
fn figures_of_the_calculator_are_found_when_they_are_typed() {
    let course = demo_course();
    let (mut n_planted, mut missed_at) = (0, Vec::new());
    for (page_idx, (name, text)) in lessons().into_iter().enumerate() {
        let (typed, planted) = with_values_typed(&course, &name, &text, page_idx);
        n_planted += missed(&course, &name, &typed, planted, &mut missed_at);
        // The same with sentences of every kind, behind the page. Values that this recipe has not are left out.
        for (sentence_idx, sentence) in SENTENCES.iter().enumerate() {
            let with = format!("{text}\n\n{sentence}\n");
            let errors = course.render(&read(&name, &with), Form::Html).findings;
            if errors.iter().any(|it| it.place.span.start >= text.len()) {
                continue;
            }
            let (_, before) = with_values_typed(&course, &name, &text, page_idx + sentence_idx);
            let (typed, planted) = with_values_typed(&course, &name, &with, page_idx + sentence_idx);
            let own: Vec<Planted> = planted.into_iter().skip(before.len()).collect();
            n_planted += missed(&course, &name, &typed, own, &mut missed_at);
        }
    }
    let caught_spoons = spoons(&course, &mut missed_at);
    assert!(caught_spoons >= 5, "{caught_spoons} spoons are too few");
    n_planted += caught_spoons;
    let caught = 100.0 * (n_planted - missed_at.len()) as f64 / n_planted as f64;
    println!("{n_planted} figures typed, {} missed: {caught:.1} % caught\n{}", missed_at.len(), missed_at.join("\n"));
    assert!(n_planted >= 200, "{n_planted} figures are too few");
    assert!(caught > CAUGHT, "{caught:.1} % of typed figures are found:\n{}", missed_at.join("\n"));
}

#[test]
fn sentences_that_are_right_raise_no_alarm() {
    let course = demo_course();
    let sentences = include_str!("typed/right.txt");
    let sentences: Vec<&str> = sentences.lines().filter(|it| !it.is_empty() && !it.starts_with('#')).collect();
    assert!(sentences.len() >= 100, "{} sentences are too few", sentences.len());
    let (mut n_looked_at, mut alarms) = (0, Vec::new());
    for (name, text) in lessons() {
        if !text.contains("```kettle recipe") {
            continue;
        }
        // Each by itself, as paragraphs behind the page.
        let with = format!("{text}\n\n{}\n", sentences.join("\n\n"));
        n_looked_at += sentences.len();
        for (span, _) in typed_on(&course, &name, &with) {
            if span.start < text.len() {
                continue;
            }
            let line_start = with[..span.start].rfind('\n').map_or(0, |it| it + 1);
            alarms.push(format!(
                "{name}: {} in: {}",
                &with[span],
                with[line_start..].lines().next().unwrap_or_default()
            ));
        }
    }
    let rate = 100.0 * alarms.len() as f64 / n_looked_at as f64;
    println!("{n_looked_at} sentences, {} alarms: {rate:.2} %\n{}", alarms.len(), alarms.join("\n"));
    assert!(n_looked_at > 1000, "{n_looked_at} sentences are too few");
    assert!(rate < FALSE_ALARMS, "{rate:.2} % of right sentences raise an alarm:\n{}", alarms.join("\n"));
}

#[test]
fn the_demo_course_as_it_is_raises_no_alarm() {
    let course = demo_course();
    let mut alarms = Vec::new();
    for (name, text) in lessons() {
        alarms.extend(
            typed_on(&course, &name, &text).into_iter().map(|(it, help)| format!("{name}: {}: {help}", &text[it])),
        );
    }
    assert!(alarms.is_empty(), "{} alarms:\n{}", alarms.len(), alarms.join("\n"));
}
