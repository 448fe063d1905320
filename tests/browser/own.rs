//! What a student sets on a card, in the real page: every number that is shown is the library's for the same recipe and
//! changes, nothing is asked of any network, and what is set is remembered, undone and refused.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use kettlebook::course::{Course, CourseFiles, Fields, OwnPage};
use kettlebook::ledger::{Key, parts_of};
use kettlebook::show;
use kettlebook::units::ScaleUnit;
use scraper::{Html, Selector};
use serde_json::{Value, json};

use super::{Lesson, complaints};

/// How many settings are tried in all.
const N_SETTINGS: usize = 1100;

/// What the reader is told when the calculator that is committed is not the library's.
const MAKE_IT_ANEW: &str = "theme/js/calculator.js is not made from this library: run theme/calculator/build";

/// Sets fields as a student does, one setting after another, and gives what the page shows after each: the figures that are
/// named, and the answers that exercises expect.
pub(crate) const TRY: &str = "((recipe, settings) => settings.map((fields) => {
    const form = [...document.querySelectorAll('form[data-kettle-own]')].find((it) => it.dataset.kettleOwn === recipe);
    [...form.elements].filter((it) => it.name).forEach((it) => { it.value = fields[it.name] || ''; });
    form.elements.size.dispatchEvent(new Event('change', { bubbles: true }));
    const shown = [...document.querySelectorAll('main [data-kettle]')].filter((it) => !it.closest('[data-kettle-practice]'));
    const expected = [...document.querySelectorAll('main [data-kettle-expected]')];
    const opener = [...document.querySelectorAll('.kettle-own-button')].find((it) => it.dataset.kettleOwnOpen === recipe);
    const card = opener ? [...opener.closest('.kettle').querySelectorAll('[data-kettle]')] : [];
    return [
        shown.map((it) => [it.dataset.kettle, it.textContent]),
        expected.map((it) => ['expected', it.dataset.kettleExpected]),
        card.map((it) => ['card', it.dataset.kettle, it.textContent]),
    ].flat();
}))";

/// Numbers that look random and are the same in every run (an LCG with the constants of Knuth's MMIX).
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) % n as u64) as usize
    }

    fn pick<'a>(&mut self, of: &[&'a str]) -> &'a str {
        of[self.below(of.len())]
    }

    /// A setting of a recipe, of every kind that there is; one in some is refused.
    fn setting(&mut self, course: &Course, recipe: &str) -> Fields {
        let mut set = Fields::new();
        let mut put = |name: &str, it: String| drop(set.insert(name.to_owned(), it));
        let recipe = &course.recipes()[recipe].as_ref().expect("the recipe").recipe;
        let fats: Vec<&str> = recipe.fats.iter().map(|it| &*it.fat.id).collect();
        let moulds: Vec<&str> = course.tables().moulds.keys().map(String::as_str).collect();
        let all_fats: Vec<&str> = course.tables().fats.keys().map(String::as_str).collect();
        match self.below(8) {
            0 => {
                put("size", "mould".into());
                put("mould", self.pick(&moulds).into());
            }
            1 => {
                put("size", "box".into());
                put("inside-length", format!("{} mm", 80 + self.below(300)));
                put("inside-width", format!("{} in", 2 + self.below(4)));
                put("fill-height", format!("{} mm", 40 + self.below(50)));
            }
            2 => {
                put("size", "round".into());
                put("inside-diameter", format!("{} mm", 50 + self.below(60)));
                put("fill-height", format!("{} mm", 40 + self.below(200)));
                put("cavities", (1 + self.below(6)).to_string());
            }
            3 => {
                put("size", "holds".into());
                put("holds", format!("{} ml", 200 + self.below(3000)));
                put("fill-height", "60 mm".into());
            }
            4 => {
                put("size", "fats".into());
                put("batch", format!("{} {}", 10 + self.below(90), self.pick(&["oz", "g", "lb"])));
            }
            5 => {
                put("size", "have".into());
                put("have-of", format!("fats.{}", self.pick(&fats)));
                put("have", format!("{} g", 100 + self.below(900)));
            }
            6 => {
                put("size", "bars".into());
                put("bars", (3 + self.below(30)).to_string());
                put("bar", format!("{} g", 80 + self.below(60)));
            }
            _ => {}
        }
        put("units", self.pick(&["", "grams", "ounces"]).into());
        if self.below(3) == 0 {
            put("step", self.pick(&["0.1 g", "0.5 g", "2 g", "5 g", "0.05 oz", "0.1 oz"]).into());
        }
        if self.below(3) == 0 {
            put("superfat", format!("{}", recipe.superfat_percent + self.below(9) as f64 * 0.5 - 0.5));
        }
        if self.below(4) == 0 {
            put(&format!("purity.{}", recipe.alkalis[0].kind.formula()), (88 + self.below(13)).to_string());
        }
        if self.below(3) == 0 {
            let share = &recipe.fats[self.below(recipe.fats.len())];
            let value = share.fat.sap_used.to_mg_koh_per_g() * (0.97 + 0.01 * self.below(7) as f64);
            put(&format!("certificate.{}", share.fat.id), format!("{value:.1}"));
        }
        if self.below(5) == 0 {
            put(&format!("exchange.{}", self.pick(&fats)), self.pick(&all_fats).into());
        }
        set.retain(|_, it| !it.is_empty());
        set
    }
}

/// What a script of ours assigns, as JSON.
pub(crate) fn assigned(path: &Path) -> Value {
    let script = fs::read_to_string(path).expect("the script");
    let (_, json) = script
        .split_once(" = {")
        .filter(|_| script.contains("pages["))
        .unwrap_or_else(|| script.split_once(".course = {").expect("what is assigned"));
    let json = json.rsplit_once("};").expect("its end").0;
    serde_json::from_str(&format!("{{{json}}}")).expect("JSON")
}

/// The figures and expected answers in the pieces of a page.
fn shown_in(pieces: &[String]) -> Vec<(String, String)> {
    let selector = |it: &str| Selector::parse(it).expect("a selector");
    let (figures, answers) = (selector("[data-kettle]"), selector("[data-kettle-expected]"));
    let mut shown = Vec::new();
    for piece in pieces {
        let html = Html::parse_fragment(piece);
        let in_practice = |it: &scraper::ElementRef<'_>| {
            it.ancestors().filter_map(scraper::ElementRef::wrap).any(|it| it.attr("data-kettle-practice").is_some())
        };
        for it in html.select(&figures).filter(|it| !in_practice(it)) {
            shown.push((it.attr("data-kettle").unwrap_or_default().to_owned(), it.text().collect()));
        }
        for it in html.select(&answers) {
            shown.push(("expected".to_owned(), it.attr("data-kettle-expected").unwrap_or_default().to_owned()));
        }
    }
    shown
}

/// Opens the fields of a recipe's card, and waits for the calculator.
pub(crate) fn open_fields(lesson: &mut Lesson, recipe: &str) {
    let button = format!(
        "[...document.querySelectorAll('.kettle-own-button')].find(it => it.dataset.kettleOwnOpen === '{recipe}')"
    );
    lesson.browser.click(&button);
    wait_for(
        lesson,
        &format!(
            "[...document.querySelectorAll('form[data-kettle-own]')].some(it => it.dataset.kettleOwn === '{recipe}')"
        ),
    );
}

pub(crate) fn wait_for(lesson: &mut Lesson, condition: &str) {
    let came = (0..2000).any(|_| {
        std::thread::sleep(std::time::Duration::from_millis(10));
        lesson.browser.eval(condition) == true
    });
    let seen =
        if came { Value::Null } else { lesson.browser.eval("[location.href, document.body.innerText.slice(0, 300)]") };
    assert!(came, "this never becomes true: {condition}\n{seen}\n{MAKE_IT_ANEW}");
}

/// The page of each recipe's card.
fn pages_of_cards(lesson: &mut Lesson) -> BTreeMap<String, String> {
    let mut pages = BTreeMap::new();
    for page in lesson.pages().into_iter().filter(|it| it != "print.html" && !it.starts_with("sheets/")) {
        lesson.open(&page);
        let recipes = "[...document.querySelectorAll('.kettle-own-button')].map(it => it.dataset.kettleOwnOpen)";
        for recipe in lesson.browser.eval(recipes).as_array().expect("a list") {
            pages.entry(recipe.as_str().expect("an id").to_owned()).or_insert_with(|| page.clone());
        }
    }
    pages
}

#[test]
fn every_number_of_a_page_is_the_librarys_whatever_is_set() {
    let mut lesson = Lesson::new();
    let files = CourseFiles::read(lesson.course.path(), "").expect("the course");
    let (course, _) = Course::new(&files);
    let pages = pages_of_cards(&mut lesson);
    assert!(pages.len() > 15, "{pages:?}");
    let each = N_SETTINGS.div_ceil(pages.len());
    let mut dice = Dice(12);
    let (mut n_tried, mut n_numbers, mut n_refused, mut n_weighed) = (0, 0, 0, 0);
    let kettle = lesson.course.path().join("book/kettle");
    let texts = assigned(&kettle.join("course.js"));
    for (recipe, page) in &pages {
        lesson.open(page);
        open_fields(&mut lesson, recipe);
        let mut library = OwnPage::default();
        let page = assigned(&kettle.join("pages").join(page.replace(".html", ".js")));
        let opened = library.ask(&json!({ "open": { "course": texts, "page": page } }).to_string());
        assert_eq!(opened, "{}", "{MAKE_IT_ANEW}");
        let settings: Vec<Fields> = (0..each).map(|_| dice.setting(&course, recipe)).collect();
        let shown = lesson.browser.eval(&format!("{TRY}({}, {})", json!(recipe), json!(settings)));
        for (fields, shown) in settings.iter().zip(shown.as_array().expect("a list")) {
            let shown: Vec<Vec<String>> = serde_json::from_value(shown.clone()).expect("names and texts");
            let (on_card, shown): (Vec<_>, Vec<_>) = shown.into_iter().partition(|it| it.len() == 3);
            let mut shown: Vec<(String, String)> = shown.into_iter().map(|it| (it[0].clone(), it[1].clone())).collect();
            let _ = library.ask(&json!({ "page": { "own": { recipe: fields } } }).to_string());
            let mut wanted = shown_in(library.pieces());
            shown.sort();
            wanted.sort();
            let other: Vec<_> = shown.iter().filter(|it| !wanted.contains(it)).collect();
            let missing: Vec<_> = wanted.iter().filter(|it| !shown.contains(it)).collect();
            assert!(shown == wanted, "{recipe} {fields:?}: {other:?} in place of {missing:?}\n{MAKE_IT_ANEW}");
            // And what is weighed is what the ledger reads.
            let own = course.own(recipe, fields).expect("the recipe").own.ledger;
            n_refused += usize::from(own.is_none());
            for (name, text) in on_card.iter().map(|it| (&it[1], &it[2])) {
                let Some(ledger) = &own else { continue };
                let Some(key) =
                    parts_of(name).and_then(|it| Key::from_parts(&it.iter().map(String::as_str).collect::<Vec<_>>()))
                else {
                    continue;
                };
                let Some(figure) = ledger.figure(&key).filter(|it| it.amount.reading(ScaleUnit::Grams).is_some())
                else {
                    continue;
                };
                let read = |unit: ScaleUnit| {
                    let (scale, exact) = (ledger.scales.of(unit), figure.amount.mass().unwrap_or_default());
                    show::weighed(scale, figure.amount.reading(unit).unwrap_or_default(), exact)
                };
                let (grams, ounces) = (read(ScaleUnit::Grams), read(ScaleUnit::Ounces));
                let is_amount = text.ends_with("\u{a0}g") || text.ends_with("\u{a0}oz") || text.ends_with("oz)");
                let fits = [grams.clone(), ounces.clone(), format!("{grams} ({ounces})")].contains(text);
                let is_exact = text.contains('.') && !fits;
                n_weighed += usize::from(fits);
                assert!(
                    !is_amount || fits || is_exact || !ledger.is_changed,
                    "{recipe} {fields:?}: {name} is {text}, read {grams}"
                );
            }
            n_numbers += shown.len();
            n_tried += 1;
        }
        assert!(complaints(&lesson.browser.events()).is_empty());
        lesson.browser.eval("localStorage.clear()");
    }
    assert!(n_tried >= 1000 && n_numbers > 50_000 && n_weighed > 5000, "{n_tried} {n_numbers} {n_weighed}");
    assert!(n_refused * 2 < n_tried, "{n_refused} of {n_tried} were refused");
}

#[test]
fn what_is_set_is_remembered_goes_along_and_comes_back_undone() {
    let mut lesson = Lesson::new();
    let amount = "document.querySelector('.kettle-recipe [data-kettle=lye]').textContent";
    lesson.open("plain-bar.html");
    let of_lesson = lesson.browser.eval(amount);
    let _ = lesson.browser.events();
    open_fields(&mut lesson, "quay-plain");
    lesson.browser.eval(&format!("{TRY}('quay-plain', [{{ size: 'fats', batch: '400 g' }}])"));
    let own = lesson.browser.eval(amount);
    assert_ne!(own, of_lesson);
    let line = "document.querySelector('.kettle-own-line span').textContent";
    assert!(lesson.browser.eval(line).as_str().is_some_and(|it| it.starts_with("For 400\u{a0}g of fats, ")));
    // Another lesson of the recipe, and the same one after a reload.
    for page in ["lye.html", "plain-bar.html"] {
        lesson.open(page);
        wait_for(&mut lesson, "Boolean(document.querySelector('.kettle-own-line'))");
    }
    assert_eq!(lesson.browser.eval(amount), own);
    // The sheet is told by its address.
    lesson.browser.click("document.querySelector('a.kettle-sheet')");
    wait_for(&mut lesson, "Boolean(document.querySelector('.own-line')) && !document.body.hidden");
    let on_sheet = lesson.browser.eval("document.body.textContent.includes('For 400\u{a0}g of fats')");
    assert_eq!(on_sheet, true);
    lesson.open("plain-bar.html");
    wait_for(&mut lesson, "Boolean(document.querySelector('.kettle-own-line'))");
    lesson.browser.click("document.querySelector('[data-kettle-own-undo]')");
    wait_for(&mut lesson, "!document.querySelector('.kettle-own-line')");
    assert_eq!(lesson.browser.eval(amount), of_lesson);
    assert_eq!(lesson.browser.eval("Object.keys(localStorage).filter(it => it.startsWith('kettle-own')).length"), 0);
    let events = lesson.browser.events();
    let urls = events.iter().filter_map(|it| it["params"]["request"]["url"].as_str());
    let outside: Vec<&str> = urls.filter(|it| !it.starts_with("file://") && !it.starts_with("data:")).collect();
    assert!(outside.is_empty() && complaints(&events).is_empty(), "{outside:?} {:#?}", complaints(&events));
}

#[test]
fn what_is_refused_shows_no_amount_of_the_lesson() {
    let mut lesson = Lesson::new();
    lesson.open("plain-bar.html");
    let cautions = lesson.browser.eval("document.querySelector('.kettle-safety').textContent.replace(/\\s+/g, '')");
    open_fields(&mut lesson, "quay-plain");
    lesson.browser.eval(&format!("{TRY}('quay-plain', [{{ superfat: '2' }}])"));
    // Cautions stay, with the temperatures that they warn of.
    let left = "[...document.querySelectorAll('main [data-kettle]')].filter(it => !it.closest('.kettle-safety')).filter(it => /\\d/.test(it.textContent))\
                .map(it => `${it.dataset.kettle}: ${it.closest('.kettle, p').textContent.slice(0, 90)}`)";
    assert_eq!(lesson.browser.eval(left), json!([]));
    let said = lesson.browser.eval("document.querySelector('[data-kettle-said=superfat]').textContent");
    assert_eq!(said, "superfat is 2, outside 5 to 8.");
    assert_eq!(
        lesson.browser.eval("document.querySelector('.kettle-safety').textContent.replace(/\\s+/g, '')"),
        cautions
    );
    assert_eq!(lesson.browser.eval("document.querySelector('[name=superfat]').getAttribute('aria-invalid')"), "true");
}

#[test]
fn a_page_that_nobody_changes_loads_nothing_more() {
    let mut lesson = Lesson::new();
    for page in ["plain-bar.html", "index.html"] {
        lesson.open(page);
        let loaded = "[...document.scripts].filter(it => it.src.includes('/kettle/')).length";
        assert_eq!(lesson.browser.eval(loaded), 0, "{page}");
    }
    // Where there is no WebAssembly, nothing is said of it.
    lesson.browser.on_every_page("delete window.WebAssembly;");
    lesson.open("plain-bar.html");
    assert_eq!(
        lesson.browser.eval("[...document.querySelectorAll('.kettle-own-button')].every(it => it.hidden)"),
        true
    );
    // And a course may have it switched off.
    lesson.edit("book.toml", "units = \"both\"", "units = \"both\"\nstudent-controls = false");
    lesson.build();
    lesson.open("plain-bar.html");
    let ours = "document.querySelectorAll('[data-kettle-page], .kettle-own-button').length";
    assert_eq!(lesson.browser.eval(ours), 0);
    assert!(!lesson.course.path().join("book/kettle").exists());
}
