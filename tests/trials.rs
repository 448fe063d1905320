//! The slips that authors make, planted one by one into a copy of the demo course: each must be told, at its line.
//!
//! The demo course has nothing wrong, so whatever is told comes of the slip. A new slip is a row of `tests/trials.toml`,
//! which says what the columns are.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::{Arc, LazyLock};

use kettlebook::course::{Course, CourseFiles, included_file};
use kettlebook::finding::{Finding, Severity};
use kettlebook::page::{Form, Lesson, Page, Rendered};
use kettlebook::source::SourceFile;
use scraper::{Html, Selector};
use serde::Deserialize;

/// One slip.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Trial {
    slip: String,
    file: String,
    old: String,
    new: String,
    renamed: Option<String>,
    finding: String,
    at: String,
    r#in: Option<String>,
    #[serde(default)]
    also: Vec<String>,
}

/// The files of the demo course by their paths, and those templates that a trial changes.
type Texts = BTreeMap<String, String>;

static DEMO: LazyLock<Texts> = LazyLock::new(|| {
    let mut texts = Texts::from([("book.toml".to_owned(), read(&root().join("book.toml")))]);
    for folder in ["recipes", "tables", "src"] {
        collect(&root().join(folder), &mut texts);
    }
    texts
});

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("course")
}

fn read(path: &Path) -> String {
    fs::read_to_string(path).unwrap_or_else(|it| panic!("{}: {it}", path.display()))
}

fn collect(folder: &Path, texts: &mut Texts) {
    for entry in fs::read_dir(folder).expect("the folder can be read") {
        let path = entry.expect("the entry can be read").path();
        if path.is_dir() {
            collect(&path, texts);
        } else {
            let below = path.strip_prefix(root()).expect("below the root").to_string_lossy().replace('\\', "/");
            texts.insert(below, read(&path));
        }
    }
}

/// Everything that is told about a course; of its pages only those that `shows` wants, since each takes its time.
fn findings_of(texts: &Texts, shows: &dyn Fn(&str) -> bool) -> (Vec<Finding>, Vec<Rendered>) {
    let below = |folder: &str| -> Vec<Arc<SourceFile>> {
        let here = texts.iter().filter(|(path, _)| path.starts_with(folder));
        here.map(|(path, text)| SourceFile::new(path.as_str(), text.as_str())).collect()
    };
    let files = CourseFiles {
        book_toml: SourceFile::new("book.toml", texts["book.toml"].as_str()),
        recipes: below("recipes/"),
        tables: below("tables/"),
        templates: below("theme/templates/"),
    };
    let (mut course, mut findings) = Course::new(&files);
    let lesson = |file: Arc<SourceFile>| {
        let id = file.path().trim_start_matches("src/").to_owned();
        Lesson { title: id.clone(), part: String::new(), id, file }
    };
    // In reading order, since terms have one.
    let links = texts["src/SUMMARY.md"].split("](").skip(1).filter_map(|it| it.split_once(')')).map(|(link, _)| link);
    let lessons: Vec<Lesson> =
        links.map(|it| lesson(SourceFile::new(format!("src/{it}"), texts[&format!("src/{it}")].as_str()))).collect();
    let shown: Vec<bool> = lessons.iter().map(|it| shows(it.file.path())).collect();
    let included = |including: &str, path: &str| included_file(&root(), "", including, path);
    let (pages, of_pages): (Vec<Page>, _) = course.read_pages(lessons, &included);
    findings.extend(of_pages);
    let shown = pages.iter().zip(shown).filter(|(_, is_shown)| *is_shown);
    let mut rendered: Vec<Rendered> = shown.map(|(page, _)| course.render(page, Form::Html)).collect();
    findings.extend(rendered.iter_mut().flat_map(|it| std::mem::take(&mut it.findings)));
    // What the course's author means is no slip.
    findings.retain(|it| it.severity != Severity::Acknowledged);
    (findings, rendered)
}

/// The course with a slip in it.
fn planted(trial: &Trial) -> Texts {
    let mut texts = DEMO.clone();
    if trial.file.starts_with("theme/") {
        let built_in = Path::new(env!("CARGO_MANIFEST_DIR")).join(&trial.file);
        texts.insert(trial.file.clone(), read(&built_in));
    }
    let text = texts.remove(&trial.file).unwrap_or_else(|| panic!("{}: no such file", trial.file));
    assert_eq!(text.matches(&trial.old).count(), 1, "{}: {} must stand there once", trial.slip, trial.old);
    let path = trial.renamed.as_ref().unwrap_or(&trial.file);
    texts.insert(path.clone(), text.replace(&trial.old, &trial.new));
    texts
}

/// What is wrong with what was told.
fn differences(trial: &Trial) -> Vec<String> {
    let texts = planted(trial);
    let path = trial.r#in.as_ref().or(trial.renamed.as_ref()).unwrap_or(&trial.file);
    // A template may matter on any page, a recipe on those that show it: the findings about it come with the course.
    let (findings, _) = findings_of(&texts, &|it| it == trial.file || trial.file.starts_with("theme/"));
    let name = |it: &Finding| format!("{}[{}]", it.severity, it.code);
    let stands_there = |it: &Finding| {
        let line = it.place.line_and_column().0;
        let text = it.place.file.text().lines().nth(line - 1).unwrap_or_default();
        it.place.file.path() == path && text.contains(&trial.at)
    };
    let mut others: Vec<&Finding> = findings.iter().collect();
    let mut differences = Vec::new();
    match others.iter().position(|it| name(it) == trial.finding && stands_there(it)) {
        Some(found_idx) => drop(others.remove(found_idx)),
        None => differences.push(format!("{}: not found: {} at {}", trial.slip, trial.finding, trial.at)),
    }
    others.retain(|it| !trial.also.contains(&name(it)));
    differences.extend(others.into_iter().map(|it| format!("{}: also found: {}", trial.slip, told(it))));
    differences
}

fn told(it: &Finding) -> String {
    let (line, column) = it.place.line_and_column();
    format!("{}:{line}:{column}: {}[{}] {}", it.place.file.path(), it.severity, it.code, it.message)
}

fn trials() -> Vec<Trial> {
    let text = read(&Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/trials.toml"));
    let mut table: BTreeMap<String, Vec<Trial>> = toml::from_str(&text).unwrap_or_else(|it| panic!("{it}"));
    table.remove("trial").expect("trials")
}

#[test]
fn every_slip_is_told_at_its_line() {
    let differences: Vec<String> = trials().iter().flat_map(differences).collect();
    assert!(differences.is_empty(), "\n{}", differences.join("\n"));
}

#[test]
fn without_a_slip_nothing_is_told() {
    let (findings, _) = findings_of(&DEMO, &|_| true);
    let told: Vec<String> = findings.iter().map(told).collect();
    assert!(told.is_empty(), "{told:#?}");
}

/// The box of cautions first of all holds what is special to the recipes of its page, whatever its author wrote into it.
#[test]
fn a_box_of_cautions_for_another_recipe_leaves_out_none_of_its_pages() {
    let page = "src/soft-soap.md";
    let cautions = |texts: &Texts| -> BTreeSet<String> {
        let (findings, rendered) = findings_of(texts, &|it| it == page);
        assert!(findings.is_empty(), "{:?}", findings.iter().map(told).collect::<Vec<_>>());
        let html = Html::parse_fragment(&rendered[0].text);
        let heads = Selector::parse(".kettle-safety li strong").expect("a selector");
        let all = Selector::parse(".kettle-safety").expect("a selector");
        assert!(html.select(&all).any(|it| it.text().any(|it| it.contains("KOH"))), "{page} is about potash");
        html.select(&heads).map(|it| it.text().collect()).collect()
    };
    let right = cautions(&DEMO);
    let mut texts = DEMO.clone();
    let text = texts.get_mut(page).expect("the page is there");
    let wrong = text.replace("```kettle safety\n```", "```kettle safety\nuse = \"quay-plain\"\n```");
    assert_ne!(*text, wrong);
    *text = wrong;
    let missing: Vec<String> = right.difference(&cautions(&texts)).cloned().collect();
    assert!(right.contains("Cooking.") && missing.is_empty(), "{missing:#?} of {right:#?}");
}

/// Where the author put the cautions behind the lye they stand before it too.
#[test]
fn cautions_at_the_foot_stand_before_the_lye_all_the_same() {
    let trials = trials();
    let trial = trials.iter().find(|it| it.finding == "note[no-cautions]").expect("the trial is there");
    let (_, rendered) = findings_of(&planted(trial), &|it| it == trial.file);
    let at = |class: &str| rendered[0].text.find(&format!("class=\"kettle {class}")).expect(class);
    assert!(at("kettle-safety") < at("kettle-recipe"));
}
