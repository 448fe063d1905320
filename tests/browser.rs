//! The built course in a real browser, opened as files, the way a student opens it from a memory stick.
//!
//! The demo course is the material, built anew from a copy by each test. `browser/devtools.rs` drives Chromium,
//! `browser/firefox.rs` Firefox. What a page contains is tested elsewhere without a browser; here is what only a browser
//! can tell, and what checkers of other people find.

#[path = "browser/axe.rs"]
mod axe;
#[path = "browser/bench.rs"]
mod bench;
#[path = "browser/bench_seen.rs"]
mod bench_seen;
#[path = "browser/choices.rs"]
mod choices;
#[path = "browser/devtools.rs"]
mod devtools;
#[path = "browser/displays.rs"]
mod displays;
#[path = "browser/face.rs"]
mod face;
#[path = "browser/firefox.rs"]
mod firefox;
#[path = "browser/hostile.rs"]
mod hostile;
#[path = "browser/html.rs"]
mod html;
#[path = "browser/in_firefox.rs"]
mod in_firefox;
#[path = "browser/own.rs"]
mod own;
#[path = "browser/paper.rs"]
mod paper;
#[path = "browser/policy.rs"]
mod policy;
#[path = "browser/practice.rs"]
mod practice;
#[path = "browser/refused.rs"]
mod refused;
#[path = "browser/stock.rs"]
mod stock;

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::OnceLock;

use devtools::Browser;
use serde_json::{Value, json};
use tempfile::TempDir;

const THEMES: [&str; 5] = ["light", "rust", "coal", "navy", "ayu"];

/// A copy of the demo course, and a browser.
struct Lesson {
    browser: Browser,
    course: TempDir,
}

impl Lesson {
    fn new() -> Lesson {
        let course = built_course();
        Lesson { browser: Browser::start(), course }
    }

    fn build(&self) {
        build(self.course.path());
    }

    /// Changes one place in a file of the course; the pages change with the next build.
    fn edit(&self, path: &str, from: &str, to: &str) {
        let path = self.course.path().join(path);
        let text = fs::read_to_string(&path).expect("the file can be read");
        assert_eq!(text.matches(from).count(), 1, "{} has {from:?} once", path.display());
        fs::write(&path, text.replace(from, to)).expect("the file can be written");
    }

    fn open(&mut self, page: &str) {
        self.browser.open(&self.course.path().join("book").join(page));
    }

    fn pages(&self) -> Vec<String> {
        pages_of(&self.course.path().join("book"))
    }

    /// The ticked rows of a card, by number.
    fn ticked(&mut self, card_idx: usize) -> Value {
        self.browser.eval(&format!(
            "[...document.querySelectorAll('.kettle-recipe')[{card_idx}].querySelectorAll('input')]\
             .flatMap((box, index) => box.checked ? [index] : [])"
        ))
    }

    /// Clicks on the amount of a row, which is not the box and yet part of the target.
    fn click_amount(&mut self, card_idx: usize, row_idx: usize) {
        let rows = format!("document.querySelectorAll('.kettle-recipe')[{card_idx}].querySelectorAll('label')");
        self.browser.click(&format!("{rows}[{row_idx}].querySelector('.kettle-amount')"));
    }
}

/// The demo course with its pages, which are built once for all tests.
fn built_course() -> TempDir {
    static BUILT: OnceLock<PathBuf> = OnceLock::new();
    let built = BUILT.get_or_init(|| {
        // Nothing drops it, so its place is one for all runs.
        let built = Path::new(env!("CARGO_TARGET_TMPDIR")).join("built-course");
        let _ = fs::remove_dir_all(&built);
        let course = demo_course();
        build(course.path());
        copy(course.path(), &built);
        built
    });
    let course = tempfile::tempdir().expect("a temporary folder");
    copy(built, course.path());
    course
}

/// A copy of the demo course as its author wrote it.
fn demo_course() -> TempDir {
    let course = tempfile::tempdir().expect("a temporary folder");
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../course");
    for part in ["book.toml", "src", "recipes", "tables"] {
        copy(&demo.join(part), &course.path().join(part));
    }
    course
}

fn build(course: &Path) {
    let output = Command::new(env!("CARGO_BIN_EXE_kettlebook")).arg("build").arg(course).output();
    let output = output.expect("kettlebook runs");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
}

/// Every page of a book, with the print page; not the list of contents, which is shown inside a page, nor the page that only
/// a web server shows, at any address and so with paths from the root.
fn pages_of(book: &Path) -> Vec<String> {
    let mut pages = Vec::new();
    let mut folders = vec![book.to_owned()];
    while let Some(folder) = folders.pop() {
        for path in entries(&folder) {
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|it| it == "html")
                && !path.ends_with("toc.html")
                && !path.ends_with("404.html")
            {
                pages.push(path.strip_prefix(book).expect("a path in the book").display().to_string());
            }
        }
    }
    assert!(pages.iter().any(|it| it == "print.html") && pages.len() > 10, "{pages:?}");
    pages.sort();
    pages
}

/// Shows what a reader may unfold: what is folded, and on each card the fields of a student, with a batch set in them.
fn unfold(browser: &mut Browser) {
    browser.eval(
        "(async () => {
            const openers = [...document.querySelectorAll('.kettle-own-button')].filter((it) => !it.hidden);
            openers.forEach((it) => it.click());
            const recipes = new Set(openers.map((it) => it.dataset.kettleOwnOpen));
            const forms = () => [...document.querySelectorAll('form[data-kettle-own]')];
            while (forms().length < recipes.size) await new Promise((done) => setTimeout(done, 10));
            forms().forEach((it) => {
                Object.entries({ size: 'bars', bars: '7', bar: '110 g', step: '0.5 g' }).forEach(([name, value]) => { it.elements[name].value = value; });
                it.elements.size.dispatchEvent(new Event('change', { bubbles: true }));
            });
            document.querySelectorAll('details').forEach((it) => { it.open = true; });
        })()",
    );
}

/// Presses the tab key until an expression is true.
fn tab_to(browser: &mut Browser, is_there: &str) {
    let presses = (0..400).find(|_| {
        browser.press("Tab", 9);
        browser.eval(is_there) == true
    });
    assert!(presses.is_some(), "the tab key never makes this true: {is_there}");
}

/// Types a text where the focus is, letter by letter.
fn type_text(browser: &mut Browser, text: &str) {
    for it in text.chars() {
        // The codes of keys are those of letters and digits only; a point would be the delete key.
        browser.press(&it.to_string(), it.to_digit(10).map_or(0, |_| u32::from(it)));
    }
}

fn entries(folder: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(folder).expect("the folder can be read");
    entries.map(|it| it.expect("the entry can be read").path()).collect()
}

fn copy(from: &Path, to: &Path) {
    if from.is_dir() {
        fs::create_dir_all(to).expect("the folder can be made");
        for path in entries(from) {
            copy(&path, &to.join(path.file_name().expect("a name")));
        }
    } else {
        fs::copy(from, to).expect("the file can be copied");
    }
}

/// What the browser complained of: errors on the console, exceptions, files that did not load.
fn complaints(events: &[Value]) -> Vec<&Value> {
    let is_complaint = |it: &&Value| match it["method"].as_str() {
        Some("Runtime.exceptionThrown" | "Network.loadingFailed") => true,
        Some("Runtime.consoleAPICalled") => it["params"]["type"] == "error",
        Some("Log.entryAdded") => it["params"]["entry"]["level"] == "error",
        _ => false,
    };
    events.iter().filter(is_complaint).collect()
}

#[test]
fn ticks_survive_a_reload_and_are_the_same_on_the_print_page() {
    let mut lesson = Lesson::new();
    lesson.open("plain-bar.html");
    lesson.click_amount(0, 0);
    lesson.click_amount(0, 2);
    assert_eq!(lesson.ticked(0), json!([0, 2]));
    lesson.browser.reload();
    assert_eq!(lesson.ticked(0), json!([0, 2]));
    lesson.open("print.html");
    let cards = "[...document.querySelectorAll('.kettle-recipe')].flatMap((card, index) => \
                 card.querySelector(':checked') ? [[card.dataset.kettleCard, index]] : [])";
    let ticked_cards = lesson.browser.eval(cards);
    assert_eq!(ticked_cards.as_array().map(Vec::len), Some(1), "{ticked_cards}");
    assert_eq!(ticked_cards[0][0], "plain-bar.md#1");
    let card_idx = ticked_cards[0][1].as_u64().expect("a number") as usize;
    assert_eq!(lesson.ticked(card_idx), json!([0, 2]));
}

#[test]
fn steps_stay_ticked_and_lead_up_to_their_card() {
    let mut lesson = Lesson::new();
    lesson.open("layered-bar.html");
    for block in ["kettle-layers", "kettle-timeline"] {
        lesson.browser.click(&format!("document.querySelectorAll('.{block} .kettle-tick')[1]"));
        lesson.browser.click(&format!("document.querySelector('.{block} [data-kettle-to=recipe]')"));
        assert_eq!(lesson.browser.eval("document.activeElement.classList.contains('kettle-recipe')"), true, "{block}");
    }
    lesson.browser.reload();
    let ticked = "[...document.querySelectorAll('.kettle')].flatMap(block => \
                  [...block.querySelectorAll('input')].flatMap((box, index) => box.checked ? [[block.classList[1], index]] : []))";
    assert_eq!(lesson.browser.eval(ticked), json!([["kettle-layers", 1], ["kettle-timeline", 1]]));
}

#[test]
fn ticks_of_older_amounts_are_dropped_for_good() {
    let mut lesson = Lesson::new();
    lesson.open("plain-bar.html");
    lesson.click_amount(0, 0);
    lesson.open("layered-bar.html");
    lesson.click_amount(0, 1);
    lesson.edit("recipes/quay-plain.toml", "superfat = 5", "superfat = 7");
    lesson.build();
    lesson.browser.reload();
    assert_eq!(lesson.ticked(0), json!([1]), "a card whose amounts stayed keeps its ticks");
    lesson.open("plain-bar.html");
    assert_eq!(lesson.ticked(0), json!([]));
    lesson.edit("recipes/quay-plain.toml", "superfat = 7", "superfat = 5");
    lesson.build();
    lesson.browser.reload();
    assert_eq!(lesson.ticked(0), json!([]), "they come back with the old amounts");
}

#[test]
fn the_button_clears_its_own_card_and_brings_the_ticks_back() {
    let mut lesson = Lesson::new();
    lesson.edit("src/lye.md", "```kettle worked", "```kettle recipe\nuse = \"quay-plain\"\n```\n\n```kettle worked");
    lesson.build();
    lesson.open("lye.html");
    lesson.click_amount(0, 1);
    lesson.click_amount(1, 0);
    lesson.click_amount(1, 3);
    let button = "document.querySelectorAll('.kettle-clear')[1]";
    lesson.browser.click(button);
    assert_eq!((lesson.ticked(0), lesson.ticked(1)), (json!([1]), json!([])));
    lesson.browser.click(button);
    assert_eq!((lesson.ticked(0), lesson.ticked(1)), (json!([1]), json!([0, 3])));
    lesson.browser.click(button);
    lesson.browser.reload();
    assert_eq!((lesson.ticked(0), lesson.ticked(1)), (json!([1]), json!([])));
}

#[test]
fn a_browser_that_refuses_to_remember_still_ticks_and_has_no_errors() {
    let mut lesson = Lesson::new();
    lesson.browser.on_every_page(
        "Object.defineProperty(window, 'localStorage', { get() { throw new DOMException('no', 'SecurityError'); } });",
    );
    lesson.open("plain-bar.html");
    lesson.click_amount(0, 0);
    assert_eq!(lesson.ticked(0), json!([0]));
    lesson.browser.click("document.querySelector('.kettle-clear')");
    assert_eq!(lesson.ticked(0), json!([]));
    let events = lesson.browser.events();
    let ours: Vec<_> = complaints(&events).into_iter().filter(|it| it.to_string().contains("kettle")).collect();
    assert!(ours.is_empty(), "{ours:#?}");
}

#[test]
fn no_page_asks_for_anything_but_files_or_complains() {
    let mut lesson = Lesson::new();
    for page in lesson.pages() {
        lesson.open(&page);
        let events = lesson.browser.events();
        let urls: Vec<_> =
            events.iter().filter_map(|it| it["params"]["request"]["url"].as_str()).map(str::to_owned).collect();
        // A batch sheet holds all that it needs.
        let is_sheet = page.starts_with("sheets/");
        assert!(is_sheet || urls.iter().any(|it| it.ends_with("theme/kettle.js")), "{page} asked only for {urls:?}");
        // mdBook draws an icon from a data: URL, for which nothing is fetched.
        let is_inside = |it: &String| it.starts_with("file://") || it.starts_with("data:");
        assert!(urls.iter().all(is_inside), "{page}: {urls:#?}");
        assert!(complaints(&events).is_empty(), "{page}: {:#?}", complaints(&events));
    }
    assert_eq!(lesson.browser.asked(), [""; 0], "nothing tried to leave");
}

#[test]
fn ids_are_unique_and_none_is_ours() {
    let mut lesson = Lesson::new();
    let mut n_blocks = 0;
    for page in lesson.pages() {
        lesson.open(&page);
        let ids = lesson.browser.eval("[...document.querySelectorAll('[id]')].map(it => it.id)");
        let ids: Vec<String> = serde_json::from_value(ids).expect("a list of ids");
        let mut seen = BTreeSet::new();
        let repeated: Vec<_> = ids.iter().filter(|it| !seen.insert(*it)).collect();
        assert!(repeated.is_empty(), "{page}: {repeated:?}");
        assert_eq!(lesson.browser.eval("document.querySelectorAll('.kettle[id], .kettle [id]').length"), 0, "{page}");
        n_blocks += lesson.browser.eval("document.querySelectorAll('.kettle').length").as_u64().unwrap_or(0);
    }
    assert!(n_blocks > 20, "only {n_blocks} blocks were looked at");
}

#[test]
fn a_box_is_reached_and_ticked_by_keyboard_and_says_what_and_how_much() {
    let mut lesson = Lesson::new();
    lesson.open("layered-bar.html");
    let is_focused = "document.activeElement === document.querySelectorAll('.kettle-recipe input')[2]";
    let presses = (0..300).find(|_| {
        lesson.browser.press("Tab", 9);
        lesson.browser.eval(is_focused) == true
    });
    assert!(presses.is_some(), "the third box cannot be reached with the tab key");
    lesson.browser.press(" ", 32);
    assert_eq!(lesson.ticked(0), json!([2]));
    let outline = lesson.browser.eval("getComputedStyle(document.activeElement).outlineStyle");
    assert_eq!(outline, "solid", "the box that has the focus does not show it");

    let focused =
        lesson.browser.call("Runtime.evaluate", json!({ "expression": "document.activeElement" }))["result"].clone();
    let nodes = lesson
        .browser
        .call("Accessibility.queryAXTree", json!({ "objectId": focused["objectId"], "role": "checkbox" }));
    let name = nodes["nodes"][0]["name"]["value"].as_str().expect("a name").to_owned();
    // The first fat of the layered bar: 42 % of the fats that its mould takes.
    let amount = lesson.browser.eval("document.activeElement.closest('label').querySelector('b').textContent");
    let amount = amount.as_str().expect("an amount");
    assert!(amount.ends_with("\u{a0}g") && name.starts_with("Lard") && name.contains(amount), "{name:?}, {amount:?}");
}

#[test]
fn texts_and_boxes_stand_out_in_every_theme() {
    let mut lesson = Lesson::new();
    for page in ["layered-bar.html", "soft-soap.html", "lye.html", "swirls.html"] {
        lesson.open(page);
        // A ticked row and the list of sources look different from the others.
        lesson.click_amount(0, 1);
        lesson.browser.eval("document.querySelectorAll('.kettle-sources').forEach((it) => { it.open = true; })");
        for theme in THEMES {
            lesson.browser.eval(&format!(
                "document.documentElement.classList.remove(...{}); document.documentElement.classList.add('{theme}')",
                json!(THEMES)
            ));
            let found = lesson.browser.eval(include_str!("browser/contrast.js"));
            assert_eq!(found["low"], json!([]), "{page} in {theme}");
            assert!(found["measured"].as_u64() > Some(100), "{page} in {theme}: {}", found["measured"]);
        }
    }
}

/// On either paper a batch sheet is one page, or two where there are layers or the soap is cooked; nobody at the bench turns
/// more than one over.
#[test]
fn a_batch_sheet_is_one_page_or_two() {
    let mut lesson = Lesson::new();
    let sheets = lesson.course.path().join("sheets");
    let mut sheet = Command::new(env!("CARGO_BIN_EXE_kettlebook"));
    let output = sheet.args(["sheet", "--course"]).arg(lesson.course.path()).arg("--to").arg(&sheets).output();
    assert!(output.expect("kettlebook runs").status.success());
    for (recipe, n_pages) in [
        ("quay-plain", 1),
        ("winter-olive", 1),
        ("headland-milk", 1),
        ("tea-bar", 2),
        ("cliff", 2),
        ("quay-stock", 1),
        ("boathouse-bar", 1),
        ("marigold-bar", 1),
        ("pilot-bar", 2),
        ("slack-water", 2),
        ("wake", 2),
        ("galley-liquid", 2),
    ] {
        lesson.browser.open(&sheets.join(format!("{recipe}.html")));
        for (width, height) in [(8.27, 11.69), (8.5, 11.0)] {
            let paper = json!({ "paperWidth": width, "paperHeight": height, "preferCSSPageSize": false });
            let printed = lesson.browser.call("Page.printToPDF", paper);
            let data = printed["data"].as_str().expect("the PDF in base64");
            // Each page is one object of this kind.
            let n_printed = n_pages_of(&from_base64(data));
            assert!((1..=n_pages).contains(&n_printed), "{recipe}: {n_printed} pages of {width} by {height} inches");
        }
    }
}

fn n_pages_of(pdf: &[u8]) -> usize {
    let text = String::from_utf8_lossy(pdf);
    text.match_indices("/Type /Page").filter(|(at, it)| !text[at + it.len()..].starts_with('s')).count()
}

fn from_base64(text: &str) -> Vec<u8> {
    const LETTERS: &[u8] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let digits = text.bytes().filter_map(|it| LETTERS.iter().position(|letter| *letter == it));
    let (mut bytes, mut bits, mut n_bits) = (Vec::new(), 0_usize, 0);
    for digit in digits {
        (bits, n_bits) = (bits << 6 | digit, n_bits + 6);
        if n_bits >= 8 {
            n_bits -= 8;
            bytes.push((bits >> n_bits & 0xff) as u8);
            bits &= (1 << n_bits) - 1;
        }
    }
    bytes
}
