//! The main path through the course in Firefox, opened as files: what is asked of Chromium in detail, asked here in short.

use std::thread;
use std::time::Duration;

use kettlebook::course::{Course, CourseFiles};
use kettlebook::ledger::Key;
use kettlebook::show;
use kettlebook::units::ScaleUnit;
use serde_json::{Value, json};
use tempfile::TempDir;

use super::firefox::Firefox;
use super::{built_course, pages_of};

/// The demo course, and a Firefox that reads it.
struct Reading {
    firefox: Firefox,
    course: TempDir,
}

impl Reading {
    fn new() -> Reading {
        let course = built_course();
        Reading { firefox: Firefox::start(), course }
    }

    fn open(&mut self, page: &str) {
        self.firefox.open(&self.course.path().join("book").join(page));
    }

    /// The ticked rows of the card at a place in the page.
    fn ticked(&mut self, card: &str) -> Value {
        self.firefox.eval(&format!(
            "[...document.querySelectorAll('.kettle-recipe')].filter(it => it.dataset.kettleCard === '{card}')\
             .flatMap(it => [...it.querySelectorAll('input')].flatMap((box, at) => box.checked ? [at] : []))"
        ))
    }

    #[track_caller]
    fn assert_content(&mut self) {
        assert_eq!(self.firefox.complaints(), [""; 0]);
        assert_eq!(self.firefox.asked(), [""; 0], "nothing tried to leave");
    }
}

const CARD: &str = "plain-bar.md#1";

#[test]
fn in_firefox_ticks_units_and_answers_are_kept_from_page_to_page() {
    let mut reading = Reading::new();
    reading.open("plain-bar.html");
    reading.firefox.click(".kettle-recipe .kettle-rows .kettle-amount");
    assert_eq!(reading.ticked(CARD), json!([0]));
    reading.firefox.reload();
    assert_eq!(reading.ticked(CARD), json!([0]), "after a reload");

    let shown =
        "[...document.querySelectorAll('.kettle-recipe [data-kettle-unit=g]')].every(it => it.checkVisibility())";
    assert_eq!(reading.firefox.eval(shown), true);
    reading.firefox.click(".kettle-units");
    reading.firefox.type_text(".kettle-units", "Ounces");
    assert_eq!(reading.firefox.eval(shown), false, "grams are gone");

    reading.open("lye.html");
    assert_eq!(reading.firefox.eval("document.documentElement.dataset.kettleUnits"), "oz", "on another page");
    let answer = reading.firefox.eval("document.querySelectorAll('.kettle-try option')[1].dataset.kettleExpected");
    let answer = answer.as_str().expect("an answer in ounces").to_owned();
    reading.firefox.type_text(".kettle-try input", &format!("{answer} oz"));
    reading.firefox.click(".kettle-try button");
    let state = "document.querySelector('.kettle-try').dataset.kettleState";
    assert_eq!(reading.firefox.eval(state), "right");
    reading.firefox.reload();
    assert_eq!(reading.firefox.eval(state), "right", "after a reload");
    assert_eq!(
        reading.firefox.eval("document.querySelector('.kettle-try input').value"),
        json!(format!("{answer} oz"))
    );
    reading.firefox.click(".kettle-practice summary");
    assert_eq!(reading.firefox.eval("document.querySelector('.kettle-practice details').open"), true);

    reading.open("print.html");
    assert_eq!(reading.ticked(CARD), json!([0]), "on the page of the whole course");
    reading.assert_content();
}

#[test]
fn in_firefox_a_box_is_ticked_by_keyboard_and_a_card_leads_to_its_sheet() {
    let mut reading = Reading::new();
    reading.open("plain-bar.html");
    let presses = (0..400).find(|_| {
        reading.firefox.press('\u{e004}');
        reading.firefox.eval("document.activeElement === document.querySelector('.kettle-recipe input')") == true
    });
    assert!(presses.is_some(), "the first box is never reached with the tab key");
    assert_eq!(reading.firefox.eval("getComputedStyle(document.activeElement).outlineStyle"), "solid");
    reading.firefox.press(' ');
    assert_eq!(reading.ticked(CARD), json!([0]));

    reading.firefox.click(".kettle-recipe a[href*='sheets/']");
    assert!(reading.firefox.eval("location.pathname").as_str().is_some_and(|it| it.contains("/sheets/")));
    reading.firefox.eval("window.print = () => { window.n_printed = (window.n_printed || 0) + 1; }");
    reading.firefox.click("button");
    assert_eq!(reading.firefox.eval("window.n_printed"), 1, "the button prints the sheet");
    reading.assert_content();
}

#[test]
fn in_firefox_no_page_asks_for_anything_complains_or_scrolls_sideways() {
    let mut reading = Reading::new();
    reading.firefox.call("WebDriver:SetWindowRect", json!({ "width": 500, "height": 800 }));
    for page in pages_of(&reading.course.path().join("book")) {
        reading.open(&page);
        assert_eq!(reading.firefox.complaints(), [""; 0], "{page}");
        let is_sheet = page.starts_with("sheets/");
        let wide = "[...document.querySelectorAll('#mdbook-content, .kettle')].filter(it => it.scrollWidth > it.clientWidth)\
                    .map(it => `${it.className}: ${it.scrollWidth} in ${it.clientWidth}`)";
        assert_eq!(reading.firefox.eval(wide), json!([]), "{page}");
        let loaded = reading.firefox.eval("document.querySelectorAll('.kettle-print').length");
        assert_eq!(loaded, i32::from(!is_sheet), "{page}: whether our script ran");
    }
    assert_eq!(reading.firefox.asked(), [""; 0], "nothing tried to leave");
}

/// The first amount of lye in Firefox is what it is in Chromium and in the library: a page has one calculator.
#[test]
fn in_firefox_a_student_sets_a_batch_sees_it_again_and_goes_back() {
    let mut reading = Reading::new();
    let amount = "(it => it && it.textContent)(document.querySelector('.kettle-recipe [data-kettle=lye]'))";
    let line = "(it => it && it.textContent)(document.querySelector('.kettle-own-line span'))";
    reading.open("plain-bar.html");
    let of_lesson = reading.firefox.eval(amount);
    reading.firefox.click(".kettle-own-button");
    wait_for(&mut reading.firefox, "document.querySelector('form[data-kettle-own]') !== null");
    reading.firefox.eval("(it => { it.value = 'fats'; it.dispatchEvent(new Event('change', { bubbles: true })); })(document.querySelector('[name=size]'))");
    reading.firefox.type_text("[name=batch]", "400 g\u{e004}");
    wait_for(&mut reading.firefox, "document.querySelector('.kettle-own-line') !== null");
    let files = CourseFiles::read(reading.course.path(), "").expect("the course");
    let (course, _) = Course::new(&files);
    let fields = [("size", "fats"), ("batch", "400 g")].map(|(name, it)| (name.to_owned(), it.to_owned()));
    let own = course.own("quay-plain", &fields.into()).and_then(|it| it.own.ledger).expect("amounts");
    let lye = &own.figure(&Key::from_parts(&["lye"]).expect("a key")).expect("the lye").amount;
    let (grams, exact) = (ScaleUnit::Grams, lye.mass().expect("a mass"));
    let wanted = show::weighed(own.scales.of(grams), lye.reading(grams).expect("a reading"), exact);
    let shown = reading.firefox.eval(amount);
    assert!(shown.as_str().is_some_and(|it| it.starts_with(&wanted)), "{shown} and not {wanted}");
    // What cannot be is refused beside its field, and no amount is left standing.
    reading.firefox.type_text("[name=superfat]", "2\u{e004}");
    wait_for(&mut reading.firefox, "document.querySelector('.kettle-own-refused') !== null");
    assert_eq!(reading.firefox.eval(amount), Value::Null);
    reading.firefox.eval("(it => { it.value = ''; it.dispatchEvent(new Event('change', { bubbles: true })); })(document.querySelector('[name=superfat]'))");
    wait_for(&mut reading.firefox, "document.querySelector('.kettle-own-line') !== null");
    reading.firefox.reload();
    wait_for(&mut reading.firefox, "document.querySelector('.kettle-own-line') !== null");
    assert_eq!(reading.firefox.eval(amount), shown, "remembered");
    reading.open("lye.html");
    wait_for(&mut reading.firefox, "document.querySelector('.kettle-own-line') !== null");
    reading.open("plain-bar.html");
    wait_for(&mut reading.firefox, "document.querySelector('.kettle-own-line') !== null");
    assert!(reading.firefox.eval(line).as_str().is_some_and(|it| it.starts_with("For 400\u{a0}g of fats")));
    reading.firefox.click("[data-kettle-own-undo]");
    wait_for(&mut reading.firefox, "document.querySelector('.kettle-own-line') === null");
    assert_eq!(reading.firefox.eval(amount), of_lesson);
    reading.assert_content();
}

fn wait_for(firefox: &mut Firefox, condition: &str) {
    let came = (0..1000).any(|_| {
        thread::sleep(Duration::from_millis(20));
        firefox.eval(condition) == true
    });
    assert!(came, "this never becomes true: {condition}");
}
