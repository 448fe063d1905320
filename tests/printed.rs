//! What the pages of the demo course print against the ledgers of its recipes: no number with a unit comes from anywhere
//! else, and none is another one than the ledger's.

mod printed {
    mod words;
}

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use kettlebook::course::{Course, CourseFiles, included_file};
use kettlebook::ledger::{Amount, Kind, Scales};
use kettlebook::page::{Form, Lesson, Page, Printed};
use kettlebook::source::SourceFile;
use kettlebook::units::{MILLILITRES_PER_TEASPOON, MINUTES_PER_DAY, Mass};
use scraper::{ElementRef, Html};

/// The units of all that a block may print.
const UNITS: [&str; 25] = [
    "g", "kg", "mg", "oz", "lb", "%", "mm", "cm", "in", "mL", "L", "fl oz", "tsp", "tbsp", "°C", "°F", "min", "h",
    "day", "days", "week", "weeks", "g/mol", "points", "bars",
];

struct Rendered {
    page: String,
    html: String,
    printed: Vec<Printed>,
}

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("course")
}

/// The demo course and its pages as HTML.
fn demo_course() -> (Course, Vec<Rendered>) {
    let files = CourseFiles::read(&root(), "").expect("the demo course can be read");
    let (mut course, _) = Course::new(&files);
    let mut paths = Vec::new();
    collect(&root().join("src"), &mut paths);
    paths.sort();
    let lesson = |path: &PathBuf| {
        let id = path.strip_prefix(root().join("src")).expect("below src").to_string_lossy().replace('\\', "/");
        let file = SourceFile::new(format!("src/{id}"), fs::read_to_string(path).expect("the page can be read"));
        Lesson { title: id.clone(), part: String::new(), id, file }
    };
    let included = |including: &str, path: &str| included_file(&root(), "", including, path);
    let (pages, _) = course.read_pages(paths.iter().map(lesson).collect(), &included);
    let rendered = paths.iter().zip(&pages).map(|(path, page)| render(&course, path, page)).collect();
    (course, rendered)
}

fn render(course: &Course, path: &Path, page: &Page) -> Rendered {
    let rendered = course.render(page, Form::Html);
    Rendered { page: path.display().to_string(), html: rendered.text, printed: rendered.printed }
}

fn collect(folder: &Path, paths: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).expect("the folder can be read") {
        let path = entry.expect("the entry can be read").path();
        if path.is_dir() {
            collect(&path, paths);
        } else if path.extension().is_some_and(|it| it == "md") && !path.ends_with("SUMMARY.md") {
            paths.push(path);
        }
    }
}

/// The numbers with a unit in a text, each with some words around it.
fn numbers_with_unit(text: &str) -> Vec<String> {
    let text = text.replace('\u{a0}', " ");
    let mut found = Vec::new();
    let mut from = 0;
    while let Some(start) = text[from..].find(|it: char| it.is_ascii_digit()).map(|it| from + it) {
        let end = start
            + text[start..].find(|it: char| !(it.is_ascii_digit() || ".,".contains(it))).unwrap_or(text.len() - start);
        from = end;
        let rest = text[end..].trim_start();
        let has_unit = UNITS.iter().any(|unit| {
            rest.strip_prefix(unit).is_some_and(|it| !it.starts_with(|it: char| it.is_alphanumeric() || it == '/'))
        });
        if has_unit {
            found.push(around(&text, start, end));
        }
    }
    found
}

fn around(text: &str, start: usize, end: usize) -> String {
    let before = text[..start].char_indices().rev().nth(40).map_or(0, |(at, _)| at);
    let after = text[end..].char_indices().nth(30).map_or(text.len(), |(at, _)| end + at);
    text[before..after].to_owned()
}

/// The text of an element without what is marked as a figure, and without drawings, which are marked elsewhere.
fn unmarked_text(element: ElementRef<'_>, text: &mut String) {
    for child in element.children() {
        if let Some(it) = child.value().as_text() {
            text.push_str(it);
        } else if let Some(it) = ElementRef::wrap(child) {
            let is_figure = it.attr("data-kettle").is_some() || matches!(it.value().name(), "svg" | "option");
            text.push_str(if is_figure { " _ " } else { " " });
            if !is_figure {
                unmarked_text(it, text);
            }
        }
    }
}

/// What a block prints that is in no ledger, with the reason: by the class of the block, or by words around the number.
const OF_NO_RECIPE: [(&str, &str, &str); 8] = [
    ("kettle-practice", "", "the author's words, and how far off an answer may be"),
    (
        "kettle-key",
        "",
        "the answers of exercises, in scripts that hold no elements; what they print is noted all the same",
    ),
    ("kettle-glossary", "", "the author's words"),
    ("kettle-recipe", "60 % solution", "the name of an additive, as it is sold"),
    ("kettle-timeline", "60 % solution", "the same"),
    ("kettle-gather", "60 % solution", "the same"),
    ("kettle-fats", "", "the table of fats, with what its sources say"),
    ("kettle-profile", "in grams, that 100 g of the fats take up", "what an iodine value is"),
];

#[test]
fn every_number_with_a_unit_that_a_block_prints_is_in_a_ledger() {
    let (_, pages) = demo_course();
    let (mut wrong, mut n_blocks) = (Vec::new(), 0);
    let mut used = BTreeSet::new();
    for page in &pages {
        for (class, block) in blocks(page) {
            n_blocks += 1;
            let mut text = String::new();
            unmarked_text(Html::parse_fragment(&block).root_element(), &mut text);
            for number in numbers_with_unit(&text) {
                let reason = OF_NO_RECIPE.iter().position(|(of, words, _)| *of == class && number.contains(words));
                match reason {
                    Some(reason) => drop(used.insert(reason)),
                    None => wrong.push(format!("{}, {class}: {number}", page.page)),
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    assert!(n_blocks > 100, "{n_blocks} blocks");
    let idle: Vec<_> = OF_NO_RECIPE.iter().enumerate().filter(|(idx, _)| !used.contains(idx)).collect();
    assert!(idle.is_empty(), "no longer needed: {idle:?}");
}

/// The blocks of a page with the class that tells what they are.
fn blocks(page: &Rendered) -> Vec<(String, String)> {
    let found = page.html.lines().filter_map(|line| {
        let (_, block) = line.split_once("<!--kettle")?.1.split_once("-->")?;
        let (_, class) = block.split_once("class=\"kettle ")?;
        Some((class[..class.find(['"', ' '])?].to_owned(), block.to_owned()))
    });
    found.collect()
}

/// What stands in a drawing, but for the marks of a scale, which are round numbers.
const DRAWN: &str = "svg text:not(.kettle-mark-label), svg title, svg desc";

/// The numbers of a drawing are marked while it is drawn, though it can hold no elements.
#[test]
fn every_number_with_a_unit_in_a_drawing_is_in_a_ledger() {
    let (_, pages) = demo_course();
    let mut n_numbers = 0;
    for page in &pages {
        let printed: Vec<String> = page.printed.iter().map(|it| it.text.replace('\u{a0}', " ")).collect();
        for (_, block) in blocks(page) {
            let html = Html::parse_fragment(&block);
            let texts = scraper::Selector::parse(DRAWN).expect("a selector");
            for text in html.select(&texts) {
                let mut text = text.text().collect::<String>().replace('\u{a0}', " ");
                // Longest first, so that 5 % is not taken out of 15 %.
                let mut marked: Vec<&String> = printed.iter().filter(|it| text.contains(it.as_str())).collect();
                marked.sort_by_key(|it| std::cmp::Reverse(it.len()));
                n_numbers += marked.len();
                for it in marked {
                    text = text.replace(it.as_str(), "_");
                }
                assert_eq!(numbers_with_unit(&text), Vec::<String>::new(), "{}: {text}", page.page);
            }
        }
    }
    assert!(n_numbers > 20, "{n_numbers} numbers");
}

#[test]
fn every_figure_printed_is_the_ledgers() {
    let (course, pages) = demo_course();
    let (mut wrong, mut n_compared) = (Vec::new(), 0);
    for page in &pages {
        // What an exercise changes is another batch, and is compared by the tests of exercises.
        for printed in page.printed.iter().filter(|it| !it.is_changed) {
            let Some(key) = &printed.key else { continue };
            let ledger = course.recipes()[&printed.recipe].as_ref().expect("what is printed was computed");
            let amount = ledger.figure(key).expect("what is printed is in the ledger").amount;
            let values = values_of(&amount, &ledger.scales);
            let numbers = numbers(&printed.text);
            n_compared += numbers.len();
            let is_one = |(number, step): &(f64, f64)| {
                values
                    .iter()
                    .any(|value| (number - value).abs() <= 0.5001 * step + rounding_of(key.kind, &amount, *value))
            };
            if !numbers.iter().all(is_one) {
                wrong.push(format!(
                    "{}: {key} of {} is {values:?}, printed {}",
                    page.page, printed.recipe, printed.text
                ));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    assert!(n_compared > 1000, "{n_compared} numbers");
}

/// The numbers in a text, each with the step of its last digit. A clock's hours count as sixty minutes.
fn numbers(text: &str) -> Vec<(f64, f64)> {
    if let Some((hours, minutes)) = text.split_once(':') {
        return vec![(60.0 * hours.parse::<f64>().expect("hours") + minutes.parse::<f64>().expect("minutes"), 1.0)];
    }
    if let Some((hours, minutes)) = text.split_once("\u{a0}h ") {
        let (hours, minutes) = (numbers(hours)[0], numbers(minutes)[0]);
        return vec![(60.0 * hours.0 + minutes.0, 1.0)];
    }
    if let Some((tablespoons, teaspoons)) = text.split_once("\u{a0}tbsp and ") {
        return vec![(3.0 * numbers(tablespoons)[0].0 + numbers(teaspoons)[0].0, 0.0)];
    }
    let mut found = Vec::new();
    let text = text.replace('\u{2212}', "-");
    for word in text.split(|it: char| !(it.is_ascii_digit() || ".-/".contains(it))) {
        if let Some((Ok(part), Ok(whole))) = word.split_once('/').map(|(a, b)| (a.parse::<f64>(), b.parse::<f64>())) {
            // Of 1 1/2 the whole number came before.
            let before = found.pop().map_or(0.0, |(number, _)| number);
            found.push((before + part / whole, 0.0));
            continue;
        }
        let Ok(number) = word.parse::<f64>() else { continue };
        let decimals = word.split_once('.').map_or(0, |(_, decimals)| decimals.len() as i32);
        found.push((number, 10_f64.powi(-decimals)));
    }
    found
}

/// What an amount is as a number, in every unit in which it may be printed.
fn values_of(amount: &Amount, scales: &Scales) -> Vec<f64> {
    let masses = |it: Mass| vec![it.to_grams(), it.to_ounces(), it.to_grams() / 1000.0];
    let volumes = |millilitres: f64| {
        let spoons = millilitres / MILLILITRES_PER_TEASPOON;
        vec![millilitres, millilitres / 1000.0, spoons, spoons / 3.0, spoons / 6.0]
    };
    match amount {
        Amount::Weighed { exact, grams, ounces } => {
            let mut values = masses(*exact);
            values.extend([scales.grams.value(*grams), scales.ounces.value(*ounces)]);
            values
        }
        Amount::Mass(exact) => masses(*exact),
        Amount::SmallShare(percent) => vec![*percent],
        Amount::Share(percent) | Amount::Celsius(percent) | Amount::IodineValue(percent) | Amount::Ratio(percent) => {
            vec![*percent, 32.0 + 1.8 * percent, percent.abs()]
        }
        Amount::CelsiusAtMost(celsius) => {
            [*celsius, 32.0 + 1.8 * celsius].map(|degrees| (degrees / 5.0).ceil() * 5.0).to_vec()
        }
        Amount::ShareByScale { grams, ounces } => vec![*grams, *ounces],
        Amount::Length(it) => vec![it.to_millimetres(), it.to_millimetres() / 10.0, it.to_millimetres() / 25.4],
        Amount::Volume(it) | Amount::Vessel(it) => volumes(it.to_millilitres()),
        Amount::Time(low, high) => {
            let units = [1.0, 60.0, MINUTES_PER_DAY, 7.0 * MINUTES_PER_DAY];
            [low, high].iter().flat_map(|it| units.map(|unit| it.to_minutes() / unit)).collect()
        }
        Amount::Clock(it) => vec![it.to_minutes()],
        Amount::Count(it) => vec![f64::from(*it)],
        Amount::SapValue(it) => vec![it.to_mg_koh_per_g(), it.to_mg_koh_per_g() / 1000.0],
        Amount::MolarMass(it) => vec![it.to_grams_per_mole()],
        Amount::Step(scale) => masses(scale.mass(scale.one_division())),
    }
}

/// How much further off than half of its last digit what is printed may be.
fn rounding_of(kind: Kind, amount: &Amount, value: f64) -> f64 {
    match (kind, amount) {
        // Up to the next five degrees.
        (Kind::HottestLye | Kind::HottestIcedLye, _) => 5.0,
        // Parts that add up to what is printed.
        (Kind::FattyAcid | Kind::AcidGroup, _) => 0.1,
        // A twentieth of an ounce.
        (_, Amount::Mass(_)) => 0.025,
        // Up to what shops sell.
        (_, Amount::Vessel(held)) => value * 100.0 / held.to_millilitres(),
        // What spoons can show.
        (_, Amount::Volume(_)) => 0.2 * value,
        _ => 0.0,
    }
}

/// What is below zero has the sign of print and not that of a keyboard, in every block that can show it.
#[test]
fn what_is_below_zero_has_a_minus_sign() {
    let recipe = "title = \"Lean\"\nbatch = \"1000 g\"\nsuperfat = 1\nalkali = \"NaOH\"\npurity = { NaOH = 99 }\n\
                  water = { lye-concentration = 33 }\n[fats]\nolive = 100\n";
    let files = CourseFiles {
        book_toml: SourceFile::new("book.toml", "[preprocessor.kettle]\n"),
        recipes: vec![SourceFile::new("recipes/lean.toml", recipe)],
        tables: Vec::new(),
        templates: Vec::new(),
    };
    let (course, _) = Course::new(&files);
    for form in [Form::Html, Form::Markdown] {
        let text = "```kettle recipe\nuse = \"lean\"\n```\n\n```kettle worked\n```\n";
        let lesson = Lesson {
            id: "page.md".into(),
            title: "Page".into(),
            part: String::new(),
            file: SourceFile::new("page.md", text),
        };
        let printed = course.render(&Page::read(lesson, &|_, _| None), form).printed;
        let worst: Vec<_> = printed.iter().filter(|it| it.expression == "superfat_at_worst").collect();
        assert!(!worst.is_empty() && worst.iter().all(|it| it.text.starts_with('\u{2212}')), "{worst:?}");
        assert!(!printed.iter().any(|it| it.text.starts_with('-')), "{printed:?}");
    }
}
