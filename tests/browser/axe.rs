//! Accessibility as axe-core sees it: nothing is found in anything of ours, and nothing elsewhere that it does not find in
//! stock mdBook pages of the same lessons.
//!
//! The rules are all of axe's, best practices and the size of targets among them. A page in another theme differs in its
//! colours only, so there the rules about colours are asked again. `tests/run` installs axe-core.

use std::collections::{BTreeMap, BTreeSet};
use std::env;
use std::fs;
use std::path::{Path, PathBuf};
use std::thread;

use serde_json::json;

use super::devtools::Browser;
use super::stock::stock_course;
use super::{Lesson, THEMES, built_course, pages_of, unfold};

/// Everything that we put into a page.
const OURS: &str = "[class^=kettle], [class*=\" kettle\"], [data-kettle]";
const COLOURS: &str = "{ runOnly: ['color-contrast', 'link-in-text-block'] }";
const ALL_RULES: &str = "{ rules: { 'target-size': { enabled: true } } }";
const WITHOUT_COLOURS: &str = "{ rules: { 'target-size': { enabled: true }, 'color-contrast': { enabled: false } } }";

/// A file of a tool that `tests/run` puts below `target/tools`, or that a variable of the environment names.
pub(crate) fn tool(variable: &str, path: &str) -> PathBuf {
    let ours = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../target/tools/node_modules").join(path);
    let tool = env::var_os(variable).map_or(ours, PathBuf::from);
    assert!(tool.is_file(), "{} is missing: tests/run installs it, or name one in {variable}", tool.display());
    tool
}

/// What axe finds in the page as it is shown: the rule, whether the element is ours, and which it is.
fn findings(browser: &mut Browser, options: &str) -> Vec<(String, bool, String)> {
    let found = browser.eval(&format!(
        "axe.run(document, {{ resultTypes: ['violations'], elementRef: true, ...{options} }}).then(({{ violations }}) =>\
         violations.flatMap(({{ id, nodes }}) => nodes.map(({{ element, target, failureSummary }}) =>\
         [id, Boolean(element && element.closest('{OURS}')), `${{target}}: ${{failureSummary}}`])))"
    ));
    serde_json::from_value(found).expect("a list of findings")
}

fn axe() -> String {
    fs::read_to_string(tool("AXE", "axe-core/axe.min.js")).expect("axe-core can be read")
}

fn put_on(browser: &mut Browser, theme: &str) {
    browser.eval(&format!(
        "document.documentElement.classList.remove(...{}); document.documentElement.classList.add('{theme}')",
        json!(THEMES)
    ));
}

/// Pages with the kinds of Markdown that there are: lists, tables, code, links, alerts, drawings, terms.
const STOCK: [&str; 8] = [
    "cure.html",
    "fat-table.html",
    "glossary.html",
    "index.html",
    "instructor/settings.html",
    "instructor/tables.html",
    "plain-bar.html",
    "print.html",
];

/// All that is found on pages of a book, by rule.
fn of_book(book: &Path, pages: &[String]) -> BTreeMap<String, BTreeSet<String>> {
    let mut browser = Browser::start();
    browser.on_every_page(&axe());
    let mut found: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for page in pages {
        browser.open(&book.join(page));
        unfold(&mut browser);
        let is_sheet = page.starts_with("sheets/");
        let looks: &[_] = match page.as_str() {
            // Every colour on it is on its lesson's page too.
            "print.html" => &[("light", WITHOUT_COLOURS)],
            _ if is_sheet => &[("light", ALL_RULES)],
            _ => &[("light", ALL_RULES), ("coal", COLOURS)],
        };
        for (theme, options) in looks {
            put_on(&mut browser, theme);
            for (rule, is_ours, what) in findings(&mut browser, options) {
                let whose = if is_ours || is_sheet { "ours" } else { "mdBook's" };
                found.entry(format!("{whose}: {rule}")).or_default().insert(format!("{page} in {theme}: {what}"));
            }
        }
    }
    found
}

#[test]
fn axe_finds_nothing_of_ours_and_nothing_that_stock_pages_have_not() {
    let (ours, stock) = (built_course(), stock_course());
    let book = ours.path().join("book");
    let pages = pages_of(&book);
    let (some, others) = pages.split_at(pages.len() / 2);
    let (found, theirs) = thread::scope(|scope| {
        let theirs = scope.spawn(|| of_book(&stock.path().join("book"), &STOCK.map(str::to_owned)));
        let second = scope.spawn(|| of_book(&book, others));
        let mut found = of_book(&book, some);
        for (rule, what) in second.join().expect("the second half can be looked at") {
            found.entry(rule).or_default().extend(what);
        }
        (found, theirs.join().expect("the stock pages can be looked at"))
    });
    // Blocks are not in stock pages, so nothing there counts as ours.
    let new = found.iter().filter(|(rule, _)| !theirs.contains_key(*rule));
    let new: Vec<_> = new.map(|(rule, what)| (rule, what.len(), what.iter().take(3).collect::<Vec<_>>())).collect();
    assert!(new.is_empty(), "{new:#?}");
    assert!(theirs.keys().all(|it| it.starts_with("mdBook's")), "{theirs:#?}");
    // A check that finds nothing at all has not looked.
    assert!(theirs.len() > 2, "{theirs:#?}");
}

#[test]
fn axe_sees_enough_contrast_in_every_theme() {
    let mut lesson = Lesson::new();
    lesson.browser.on_every_page(&axe());
    for page in ["layered-bar.html", "lye.html", "fats-compared.html", "glossary.html"] {
        lesson.open(page);
        for theme in THEMES {
            put_on(&mut lesson.browser, theme);
            let found = findings(&mut lesson.browser, COLOURS);
            let ours: Vec<_> = found.iter().filter(|(_, is_ours, _)| *is_ours).collect();
            assert!(ours.is_empty(), "{page} in {theme}: {ours:#?}");
        }
    }
}
