//! Exercises that are answered by choosing: what the keyboard does, what is said, what is remembered, and what paper has.

use std::fs;

use serde_json::{Value, json};

use super::devtools::Browser;
use super::practice::ask;
use super::{Lesson, entries, tab_to};

/// The first exercise of the page.
const PRACTICE: &str = "document.querySelector('.kettle-practice')";

const QUESTION: &str = "ask = '''\nIt is *told* first.\n\nWhich of them?'''\n\
     [[choices]]\nsay = 'The first'\nwhy = 'Qoph: see [the bench](bench.md#water).'\n\
     [[choices]]\nsay = 'The second, {{ total.fats }}'\nright = true\nwhy = 'Zayin, {{ lye }}.'\n\
     [[choices]]\nsay = 'The third'\nwhy = 'Lamedh.'";

/// The letter that is chosen, the state, and what is said.
fn shown(browser: &mut Browser) -> [Value; 3] {
    let of = |browser: &mut Browser, what: &str| browser.eval(&format!("{PRACTICE}.{what}"));
    [
        of(browser, "querySelector('input:checked')?.value ?? ''"),
        of(browser, "querySelector('form').dataset.kettleState"),
        of(browser, "querySelector('.kettle-reply').innerText.replace(/\\s+/g, ' ').trim()"),
    ]
}

fn check(browser: &mut Browser) {
    tab_to(browser, &format!("document.activeElement === {PRACTICE}.querySelector('.kettle-check')"));
    browser.press(" ", 32);
}

#[test]
fn a_choice_is_made_by_keyboard_alone_and_judged_only_when_asked_about() {
    let mut lesson = Lesson::new();
    ask(&mut lesson, QUESTION);
    let browser = &mut lesson.browser;
    // Without a choice nothing is wrong yet.
    check(browser);
    assert_eq!(shown(browser), [json!(""), json!("unclear"), json!("Choose one of them first.")]);

    browser.eval("document.activeElement.blur()");
    tab_to(browser, &format!("{PRACTICE}.querySelector('fieldset').contains(document.activeElement)"));
    assert_eq!(browser.eval("getComputedStyle(document.activeElement).outlineStyle"), "solid");
    browser.press(" ", 32);
    assert_eq!(shown(browser), [json!("a"), json!(""), json!("")]);
    check(browser);
    assert_eq!(shown(browser), [json!("a"), json!("wrong"), json!("a: No, not this one. Qoph: see the bench.")]);
    let link = browser.eval(&format!("{PRACTICE}.querySelector('.kettle-reply a').href"));
    assert!(link.as_str().is_some_and(|it| it.ends_with("/bench.html#water")), "{link}");

    // Arrows choose, and neither turn the page nor give away what they pass; what was said of another choice goes.
    browser.eval(&format!("{PRACTICE}.querySelector('input:checked').focus()"));
    browser.press("ArrowDown", 40);
    browser.press("ArrowRight", 39);
    assert_eq!(shown(browser), [json!("c"), json!(""), json!("")]);
    browser.press("ArrowUp", 38);
    assert!(browser.eval("location.pathname").as_str().is_some_and(|it| it.ends_with("/lye.html")));
    check(browser);
    let [letter, state, said] = shown(browser);
    assert_eq!((letter, state), (json!("b"), json!("right")));
    assert!(said.as_str().is_some_and(|it| it.starts_with("b: Yes, that is right. Zayin, ")), "{said}");
    // Right and wrong differ in more than a colour.
    assert_eq!(
        browser.eval(&format!("getComputedStyle({PRACTICE}.querySelector('.kettle-reply')).borderInlineStartStyle")),
        "double"
    );
    // A touch anywhere in the row chooses it.
    browser.click(&format!("{PRACTICE}.querySelectorAll('.kettle-choice')[2].querySelector('span')"));
    assert_eq!(shown(browser), [json!("c"), json!(""), json!("")]);

    let form = browser.call("Runtime.evaluate", json!({ "expression": format!("{PRACTICE}.querySelector('form')") }));
    let nodes = |browser: &mut Browser, role: &str| {
        let query = json!({ "objectId": form["result"]["objectId"], "role": role });
        browser.call("Accessibility.queryAXTree", query)["nodes"].clone()
    };
    assert_eq!(nodes(browser, "group")[0]["name"]["value"], "Which of them?", "the question names the group");
    assert_eq!(nodes(browser, "status").as_array().map(Vec::len), Some(1), "what is said is announced");
    let radios = nodes(browser, "radio");
    assert_eq!(radios.as_array().map(Vec::len), Some(3));
    assert_eq!(radios[2]["name"]["value"], "c The third");
}

#[test]
fn a_choice_and_what_was_said_of_it_survive_a_reload_until_the_exercise_changes() {
    let mut lesson = Lesson::new();
    ask(&mut lesson, QUESTION);
    let choose = format!("{PRACTICE}.querySelectorAll('input')[2].click()");
    lesson.browser.eval(&choose);
    lesson.browser.reload();
    assert_eq!(shown(&mut lesson.browser), [json!("c"), json!(""), json!("")], "chosen and not asked about");
    check(&mut lesson.browser);
    lesson.browser.reload();
    assert_eq!(shown(&mut lesson.browser), [json!("c"), json!("wrong"), json!("c: No, not this one. Lamedh.")]);
    lesson.open("print.html");
    let wrong = "[...document.querySelectorAll('[data-kettle-practice]')]\
                 .flatMap(it => it.querySelector('[data-kettle-state=wrong]') ? [it.dataset.kettlePractice] : [])";
    assert_eq!(lesson.browser.eval(wrong), json!(["lye.md#1"]));
    ask(&mut lesson, &QUESTION.replace("The third", "Another"));
    assert_eq!(shown(&mut lesson.browser), [json!(""), json!(""), json!("")]);
    ask(&mut lesson, QUESTION);
    assert_eq!(shown(&mut lesson.browser), [json!(""), json!(""), json!("")], "it comes back with the old question");
}

#[test]
fn the_reasons_are_not_in_the_search_and_the_choices_are_there_on_paper_and_without_scripts() {
    let mut lesson = Lesson::new();
    ask(&mut lesson, QUESTION);
    let index = entries(&lesson.course.path().join("book"))
        .into_iter()
        .filter(|it| it.file_name().is_some_and(|it| it.to_string_lossy().starts_with("searchindex")));
    let index: String = index.map(|it| fs::read_to_string(it).expect("the index can be read")).collect();
    let index = index.to_lowercase();
    assert!(["qoph", "zayin", "lamedh"].iter().all(|it| !index.contains(it)), "a reason is in the search");

    let browser = &mut lesson.browser;
    let visible = |browser: &mut Browser, selector: &str| {
        browser.eval(&format!("document.querySelector('{selector}')?.checkVisibility() ?? false"))
    };
    browser.eval(&format!("{PRACTICE}.querySelectorAll('input')[1].click()"));
    check(browser);
    browser.eval(&format!("{PRACTICE}.querySelector('details').open = true"));
    let parts = [
        ".kettle-choice label",
        ".kettle-check",
        ".kettle-choose .kettle-reply",
        ".kettle-told",
        ".kettle-practice .kettle-result",
        ".kettle-key .kettle-result",
    ];
    let are = |browser: &mut Browser| parts.map(|it| visible(browser, it) == true);
    assert_eq!(are(browser), [true, true, true, false, true, false]);
    browser.call("Emulation.setEmulatedMedia", json!({ "media": "print" }));
    assert_eq!(are(browser), [true, false, false, false, false, true]);
    let tick = format!("getComputedStyle({PRACTICE}.querySelector('input:checked'), '::before').content");
    assert_eq!(browser.eval(&tick), "none", "a printed sheet starts afresh");
    let of_key = "document.querySelector('.kettle-key li').innerText.replace(/\\s+/g, ' ')";
    let key = browser.eval(of_key);
    assert!(
        key.as_str().is_some_and(|it| it.contains("b The second") && it.contains("Not c: Lamedh.")),
        "the key has the letter and every reason: {key}"
    );

    browser.call("Emulation.setEmulatedMedia", json!({ "media": "" }));
    browser.call("Emulation.setScriptExecutionDisabled", json!({ "value": true }));
    browser.reload();
    browser.call("Emulation.setScriptExecutionDisabled", json!({ "value": false }));
    browser.eval(&format!("{PRACTICE}.querySelector('summary').click()"));
    assert_eq!(are(browser), [true, false, true, false, true, false]);
    assert_eq!(browser.eval(&format!("{PRACTICE}.querySelector('.kettle-result').textContent")), "b");
}
