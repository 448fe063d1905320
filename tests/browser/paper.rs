//! What a reader chooses for the screen and for paper: the unit of amounts, one page or the whole course, and what is folded.

use serde_json::{Value, json};

use super::devtools::Browser;
use super::{Lesson, tab_to, type_text};

const SELECT: &str = "document.querySelector('.kettle-units')";

/// Chooses a unit, as a hand does.
fn choose(browser: &mut Browser, unit: &str) {
    browser.eval(&format!("{SELECT}.value = '{unit}'; {SELECT}.dispatchEvent(new Event('change'))"));
}

/// The amounts in a part of the page as they are seen, each once.
fn amounts(browser: &mut Browser, part: &str) -> Vec<String> {
    let texts = browser.eval(&format!(
        "[...document.querySelectorAll('{part} [data-kettle]')].filter(it => it.checkVisibility()).map(it => it.innerText.trim()).filter(it => / (g|oz)\\)?$/.test(it.replace(/\\u00a0/g, ' ')))"
    ));
    serde_json::from_value(texts).expect("a list of texts")
}

fn all_end(texts: &[String], unit: &str) -> bool {
    assert!(!texts.is_empty());
    texts.iter().all(|it| it.ends_with(&format!("\u{a0}{unit}")))
}

fn print_media(browser: &mut Browser, media: &str) {
    browser.call("Emulation.setEmulatedMedia", json!({ "media": media }));
}

#[test]
fn one_unit_is_left_away_on_every_page_and_on_paper_until_both_are_asked_for() {
    let mut lesson = Lesson::new();
    lesson.open("plain-bar.html");
    let with_both = amounts(&mut lesson.browser, ".kettle-rows");
    assert!(with_both.iter().any(|it| it.ends_with("\u{a0}g")) && with_both.iter().any(|it| it.ends_with("\u{a0}oz")));
    for (unit, other) in [("g", "oz"), ("oz", "g")] {
        choose(&mut lesson.browser, unit);
        // Remembered on this page, on another and on the page of the whole course.
        for page in ["plain-bar.html", "layered-bar.html", "print.html"] {
            lesson.open(page);
            assert_eq!(lesson.browser.eval(&format!("{SELECT}.value")), unit, "{page}");
            for media in ["", "print"] {
                print_media(&mut lesson.browser, media);
                assert!(all_end(&amounts(&mut lesson.browser, ".kettle-rows"), unit), "{page} in {unit}, {media}");
                let sentences = amounts(&mut lesson.browser, "main > ol");
                assert!(all_end(&sentences, unit), "{page} in {unit}, {media}: {sentences:?}");
                let is_on_screen = media.is_empty();
                assert_eq!(lesson.browser.eval(&format!("{SELECT}.checkVisibility()")), is_on_screen);
            }
            print_media(&mut lesson.browser, "");
            let left = amounts(&mut lesson.browser, ".kettle-rows");
            assert!(!left.iter().any(|it| it.ends_with(&format!("\u{a0}{other}"))));
        }
        lesson.open("plain-bar.html");
    }
    choose(&mut lesson.browser, "both");
    lesson.browser.reload();
    assert_eq!(amounts(&mut lesson.browser, ".kettle-rows"), with_both);
}

#[test]
fn the_unit_is_chosen_by_keyboard_and_arrows_turn_no_page() {
    let mut lesson = Lesson::new();
    lesson.open("plain-bar.html");
    let browser = &mut lesson.browser;
    tab_to(browser, &format!("document.activeElement === {SELECT}"));
    let focused = browser.call("Runtime.evaluate", json!({ "expression": SELECT }))["result"].clone();
    let query = json!({ "objectId": focused["objectId"], "role": "combobox" });
    let nodes = browser.call("Accessibility.queryAXTree", query);
    assert_eq!(nodes["nodes"][0]["name"]["value"], "Units of amounts");
    // A letter chooses by its first word, as in every list.
    type_text(browser, "O");
    assert_eq!(browser.eval(&format!("{SELECT}.value")), "oz");
    assert_eq!(browser.eval("document.documentElement.dataset.kettleUnits"), "oz");
    browser.press("ArrowRight", 39);
    browser.press("ArrowLeft", 37);
    assert!(browser.eval("location.pathname").as_str().is_some_and(|it| it.ends_with("/plain-bar.html")));
}

#[test]
fn another_unit_drops_neither_ticks_nor_answers() {
    let mut lesson = Lesson::new();
    lesson.open("plain-bar.html");
    lesson.click_amount(0, 1);
    let state = "[...document.querySelectorAll('.kettle-practice')].map(it => { \
                 const form = it.querySelector('form'); const field = form.querySelector('input[type=text]'); \
                 return [field ? field.value : form.querySelector(':checked')?.value ?? '', \
                         form.querySelector('select')?.value ?? '', form.dataset.kettleState ?? '', \
                         form.querySelector('.kettle-reply').textContent]; })";
    // Every exercise answered and asked about, with a number in grams or the first choice.
    lesson.browser.eval(
        "document.querySelectorAll('.kettle-practice form').forEach((form) => { \
         const field = form.querySelector('input[type=text]'); \
         if (field) { field.value = '1'; field.dispatchEvent(new Event('input', { bubbles: true })); } \
         else form.querySelector('input').click(); \
         form.requestSubmit(); })",
    );
    let answered = lesson.browser.eval(state);
    let is_answered = |it: &Value| ["wrong", "right"].iter().any(|state| it[2] == *state) && it[0] != "";
    let exercises = answered.as_array().expect("a list");
    assert!(exercises.iter().any(|it| it[1] == "g") && exercises.iter().any(|it| it[0] == "a"), "{answered}");
    assert!(exercises.iter().all(is_answered), "{answered}");
    for unit in ["g", "oz", "both"] {
        choose(&mut lesson.browser, unit);
        assert_eq!(lesson.browser.eval(state), answered, "at once, in {unit}");
        lesson.browser.reload();
        assert_eq!(lesson.browser.eval(state), answered, "after a reload, in {unit}");
        assert_eq!(lesson.ticked(0), json!([1]), "{unit}");
    }
}

#[test]
fn a_field_without_an_answer_asks_for_the_unit_that_is_read() {
    let mut lesson = Lesson::new();
    lesson.open("plain-bar.html");
    let unit_of = "document.querySelector('.kettle-practice select').value";
    assert_eq!(lesson.browser.eval(unit_of), "g");
    choose(&mut lesson.browser, "oz");
    assert_eq!(lesson.browser.eval(unit_of), "oz");
    lesson.browser.reload();
    assert_eq!(lesson.browser.eval(unit_of), "oz");
    // The answers follow: opened in the block, and at the end of the page.
    lesson.browser.eval("document.querySelector('.kettle-practice details').open = true");
    let answer = lesson.browser.eval("document.querySelector('.kettle-practice .kettle-result').innerText");
    assert!(answer.as_str().is_some_and(|it| it.ends_with("\u{a0}oz") && !it.contains("\u{a0}g")), "{answer}");
}

#[test]
fn a_button_prints_the_page_and_stands_on_no_paper() {
    let mut lesson = Lesson::new();
    lesson.open("plain-bar.html");
    let browser = &mut lesson.browser;
    browser.eval("window.nPrinted = 0; window.print = () => { window.nPrinted += 1; }");
    let button = "document.querySelector('.kettle-print')";
    assert_eq!(browser.eval(&format!("{button}.textContent")), "Print this page");
    browser.click(button);
    assert_eq!(browser.eval("window.nPrinted"), 1);
    browser.eval("document.activeElement.blur()");
    tab_to(browser, &format!("document.activeElement === {button}"));
    browser.press(" ", 32);
    assert_eq!(browser.eval("window.nPrinted"), 2);
    assert!(browser.eval("location.pathname").as_str().is_some_and(|it| it.ends_with("/plain-bar.html")));
    // mdBook's own printer says what it does, now that there are two.
    assert_eq!(browser.eval("document.querySelector('#print-button').closest('a').title"), "Print the whole course");
    print_media(browser, "print");
    assert_eq!(browser.eval(&format!("{button}.checkVisibility()")), false);
}

#[test]
fn the_whole_course_is_printed_without_what_the_instructor_keeps() {
    let mut lesson = Lesson::new();
    lesson.open("print.html");
    let browser = &mut lesson.browser;
    let seen = |browser: &mut Browser, heading: &str| {
        browser.eval(&format!(
            "[...document.querySelectorAll('main h1')].find(it => it.textContent.trim() === '{heading}').checkVisibility()"
        ))
    };
    let listed = |browser: &mut Browser| -> Vec<String> {
        let texts = browser.eval("[...document.querySelectorAll('.kettle-contents li')].map(it => it.textContent)");
        serde_json::from_value(texts).expect("a list of texts")
    };
    for media in ["", "print"] {
        print_media(browser, media);
        assert_eq!(seen(browser, "A first plain bar"), true, "{media}");
        assert_eq!(seen(browser, "Recipe files"), false, "{media}");
        let in_contents = listed(browser);
        assert!(in_contents.iter().any(|it| it == "A first plain bar"), "{in_contents:?}");
        assert!(!in_contents.iter().any(|it| it == "Recipe files"), "{in_contents:?}");
    }
    // Nothing of a chapter that is left out is left: no text of it that is seen, but its headings are there.
    let left = "[...document.querySelectorAll('.kettle-left-out-now')].filter(it => it.checkVisibility()).length";
    assert_eq!(browser.eval(left), 0);
    assert!(browser.eval("document.querySelectorAll('.kettle-left-out-now').length").as_u64() > Some(100));
    // Each line of the contents leads to a heading of this page that is seen.
    let lost = "[...document.querySelectorAll('.kettle-contents a')].filter(it => \
                !document.getElementById(decodeURIComponent(it.hash.slice(1)))?.checkVisibility()).map(it => it.textContent)";
    assert_eq!(browser.eval(lost), json!([]));
    print_media(browser, "");
    browser.click("document.querySelector('.kettle-contents input')");
    assert_eq!(seen(browser, "Recipe files"), true);
    assert!(listed(browser).iter().any(|it| it == "Recipe files"));
    print_media(browser, "print");
    assert_eq!(browser.eval("document.querySelector('.kettle-contents input').checkVisibility()"), false);
}

#[test]
fn what_is_folded_in_a_lesson_is_open_on_paper_and_a_card_has_lines_to_write_on() {
    let mut lesson = Lesson::new();
    lesson.open("layered-bar.html");
    let browser = &mut lesson.browser;
    let folded = "[...document.querySelectorAll('main details')].find(it => !it.closest('.kettle')).querySelector('p').checkVisibility()";
    let lines = "document.querySelector('.kettle-recipe .kettle-record').checkVisibility()";
    assert_eq!((browser.eval(folded), browser.eval(lines)), (json!(false), json!(false)));
    print_media(browser, "print");
    assert_eq!((browser.eval(folded), browser.eval(lines)), (json!(true), json!(true)));
    let texts = "document.querySelector('.kettle-recipe .kettle-record').innerText";
    let texts = browser.eval(texts);
    assert!(["Date", "Batch number", "Lots"].iter().all(|it| texts.as_str().is_some_and(|text| text.contains(it))));
    // A browser that knows no rule for it is told by the script, which folds it again.
    print_media(browser, "");
    browser.eval("window.dispatchEvent(new Event('beforeprint'))");
    assert_eq!(browser.eval(folded), true);
    assert_eq!(browser.eval("document.querySelectorAll('.kettle details[open]').length"), 0);
    browser.eval("window.dispatchEvent(new Event('afterprint'))");
    assert_eq!(browser.eval(folded), false);
}

/// Whatever is not to be cut in two has to fit on one sheet of either paper, within margins of a centimetre.
#[test]
fn no_box_is_longer_than_a_sheet() {
    let mut lesson = Lesson::new();
    let pages: Vec<_> = lesson.pages().into_iter().filter(|it| !it.contains('/') && *it != "print.html").collect();
    print_media(&mut lesson.browser, "print");
    let mut n_boxes = 0;
    for (paper, width, height) in [("A4", 718, 1047), ("US Letter", 740, 980)] {
        let metrics = json!({ "width": width, "height": height, "deviceScaleFactor": 1, "mobile": false });
        lesson.browser.call("Emulation.setDeviceMetricsOverride", metrics);
        for page in &pages {
            lesson.open(page);
            let boxes = lesson.browser.eval(
                "[...document.querySelectorAll('.kettle, .content tr, .content figure, .content img')]\
                 .filter(it => getComputedStyle(it).breakInside === 'avoid' || it.localName === 'img')\
                 .map(it => [it.className || it.localName, Math.ceil(it.getBoundingClientRect().height)])",
            );
            let boxes: Vec<(String, u64)> = serde_json::from_value(boxes).expect("names and heights");
            n_boxes += boxes.len();
            let too_long: Vec<_> = boxes.iter().filter(|(_, box_height)| *box_height > height).collect();
            assert!(too_long.is_empty(), "{page} on {paper}: {too_long:?}");
        }
    }
    assert!(n_boxes > 400, "only {n_boxes} boxes were looked at");
}
