//! Exercises: what is typed, what is said of it, where the answers are and where they are not.

use std::collections::BTreeSet;
use std::fs;

use serde_json::json;

use super::devtools::Browser;
use super::{Lesson, entries, tab_to, type_text};

#[test]
fn an_exercise_is_answered_and_opened_by_keyboard_alone() {
    let mut lesson = Lesson::new();
    lesson.open("lye.html");
    let browser = &mut lesson.browser;
    let practice = "document.querySelectorAll('.kettle-practice')[0]";
    let focused = |selector: &str| format!("document.activeElement === {practice}.querySelector('{selector}')");
    let reply = format!("{practice}.querySelector('.kettle-reply').textContent");
    let state = format!("{practice}.querySelector('form').dataset.kettleState");
    let opened = format!("{practice}.querySelector('details').open");
    // What the card of a smaller batch would print, as `kettlebook batch` says it too.
    let expected = browser.eval(&format!("{practice}.querySelector('option').dataset.kettleExpected"));
    let expected: u32 = expected.as_str().and_then(|it| it.parse().ok()).expect("whole grams");
    let retype = |browser: &mut Browser, text: &str| {
        browser.eval("document.activeElement.select()");
        type_text(browser, text);
    };

    tab_to(browser, &focused("input"));
    assert_eq!(browser.eval("getComputedStyle(document.activeElement).outlineStyle"), "solid");
    type_text(browser, &(expected - 5).to_string());
    browser.call("Input.dispatchKeyEvent", json!({ "type": "char", "key": "Enter", "text": "\r" }));
    assert_eq!(browser.eval(&reply), "Not yet: the answer is larger.");
    // An arrow moves in the number and does not turn the page; a new number takes the old reply away.
    browser.press("ArrowLeft", 37);
    type_text(browser, "1");
    assert!(browser.eval("location.pathname").as_str().is_some_and(|it| it.ends_with("/lye.html")));
    assert_eq!(browser.eval(&reply), "");
    // More than what is printed is never right, by however little: there is lye in it.
    for (typed, told) in [
        (format!("{expected},0"), "right"),
        (format!("{expected}.4"), "wrong"),
        (format!("{}", expected + 2), "wrong"),
        (format!("{}", expected - 2), "right"),
        (format!("{}.9", expected - 3), "wrong"),
        (format!("{expected} g"), "right"),
    ] {
        retype(browser, &typed);
        tab_to(browser, &focused("button"));
        browser.press(" ", 32);
        assert_eq!(browser.eval(&state), told, "{typed}: {}", browser.eval(&reply));
        browser.eval(&format!("{practice}.querySelector('input').focus()"));
    }
    // The same in ounces: the number typed with its unit chooses it.
    let ounces = browser.eval(&format!("{practice}.querySelectorAll('option')[1].dataset.kettleExpected"));
    retype(browser, &format!("{} oz", ounces.as_str().expect("ounces").replace('.', ",")));
    tab_to(browser, &focused("button"));
    browser.press(" ", 32);
    assert_eq!(
        (browser.eval(&state), browser.eval(&format!("{practice}.querySelector('select').value"))),
        (json!("right"), json!("oz"))
    );

    assert_eq!(browser.eval(&opened), false);
    tab_to(browser, &focused("summary"));
    browser.press(" ", 32);
    assert_eq!(browser.eval(&opened), true);
    let answer = browser.eval(&format!("{practice}.querySelector('.kettle-result').innerText"));
    assert!(answer.as_str().is_some_and(|it| it.starts_with(&format!("{expected}\u{a0}g"))), "{answer}");
    // The other exercise of the page was not touched.
    assert_eq!(browser.eval("document.querySelectorAll('.kettle-practice details[open]').length"), 1);
    assert_eq!(browser.eval("[...document.querySelectorAll('.kettle-reply')].filter(it => it.textContent).length"), 1);

    let role = browser.call("Runtime.evaluate", json!({ "expression": format!("{practice}.querySelector('input')") }));
    let field =
        browser.call("Accessibility.queryAXTree", json!({ "objectId": role["result"]["objectId"], "role": "textbox" }));
    assert_eq!(field["nodes"][0]["name"]["value"], "Your answer");
    let described = field["nodes"][0]["description"]["value"].as_str().expect("a description").to_owned();
    assert!(described.contains("Your neighbour has only") && described.contains("Counts as right"), "{described}");
    let form = browser.call("Runtime.evaluate", json!({ "expression": format!("{practice}.querySelector('form')") }));
    let status =
        browser.call("Accessibility.queryAXTree", json!({ "objectId": form["result"]["objectId"], "role": "status" }));
    assert_eq!(status["nodes"].as_array().map(Vec::len), Some(1), "what is said is announced: {status}");
}

/// What is said of a text that is typed into the first field of the page, in the first of its units.
fn said_of(lesson: &mut Lesson, typed: &str) -> String {
    lesson.browser.eval(&format!(
        "(() => {{ const form = document.querySelector('.kettle-try'); const input = form.querySelector('input');\
         const select = form.querySelector('select'); if (select) select.selectedIndex = 0; input.value = {}; form.requestSubmit(); return form.dataset.kettleState + ': ' + form.querySelector('.kettle-reply').textContent; }})()",
        json!(typed)
    ))
    .as_str()
    .expect("a reply")
    .to_owned()
}

/// Puts an exercise in place of the first of the page about lye.
pub(crate) fn ask(lesson: &mut Lesson, keys: &str) {
    let path = lesson.course.path().join("src/lye.md");
    let text = fs::read_to_string(&path).expect("the page can be read");
    let start = text.find("```kettle practice").expect("an exercise");
    let end = start + text[start..].find("\n```\n").expect("its end");
    fs::write(&path, format!("{}```kettle practice\n{keys}{}", &text[..start], &text[end..]))
        .expect("it can be written");
    lesson.build();
    lesson.open("lye.html");
}

#[test]
fn amounts_are_read_as_people_write_them_or_refused() {
    let mut lesson = Lesson::new();
    // 1001 g are 35.31 oz, printed as 35.30 oz.
    ask(&mut lesson, "ask = \"?\"\nwith = { batch = \"1001 g\" }\nanswer = \"total.fats\"\ntolerance = \"5 g\"");
    for typed in [
        "1001",
        "1001 g",
        "1001g",
        "1001 grams",
        " 1001\u{a0}g ",
        "1.001 kg",
        "1,0010 kg",
        "1001,0",
        "1\u{202f}001 g",
        "1 001,5",
        "1'001",
        "1001000 mg",
        "35.35 ounces",
        "35,35 oz.",
        "2 lb 3.4 oz",
        "2 pounds, 3 \u{bd} oz",
        "2lb and 3.4oz",
        "1 kg 2 g",
        "2 13/62 lb",
        "2\u{2154} lb",
        "１００１",
    ] {
        let expected = if typed.contains('\u{2154}') { "wrong: " } else { "right: " };
        let said = said_of(&mut lesson, typed);
        assert!(said.starts_with(expected), "{typed:?} is {said}");
    }
    for (typed, words) in [
        ("1,001", "two ways"),
        ("1,001 g", "two ways"),
        ("about 1001", "does not read"),
        ("1001 cups", "does not read"),
        ("10 01", "does not read"),
        ("1001 g 3", "does not read"),
        ("2 lb 3 g", "does not read"),
        ("1.2.3", "does not read"),
        ("1/0 lb", "does not read"),
        ("", "does not read"),
        ("6.4 percent", "another unit"),
    ] {
        let said = said_of(&mut lesson, typed);
        assert!(said.starts_with("unclear: ") && said.contains(words), "{typed:?} is {said}");
    }
    for typed in ["1/2 lb", "85,2", "1.001", "-1001"] {
        let said = said_of(&mut lesson, typed);
        assert_eq!(said, "wrong: Not yet: the answer is larger.", "{typed:?}");
    }
    ask(&mut lesson, "ask = \"?\"\nanswer = \"superfat\"");
    for typed in ["5 percent", "5,0 %", "5 per cent", "5"] {
        let said = said_of(&mut lesson, typed);
        assert!(said.starts_with("right: "), "{typed:?} is {said}");
    }
}

#[test]
fn a_slip_is_told_as_what_it_is() {
    let mut lesson = Lesson::new();
    ask(&mut lesson, "ask = \"?\"\nwith = { batch = \"2 kg\" }\nanswer = \"lye\"");
    let spans = lesson.browser.eval("document.querySelector('.kettle-practice option').dataset.kettleSpans");
    let spans = spans.as_str().expect("spans").to_owned();
    let mut told = BTreeSet::new();
    for span in spans.split("; ") {
        let [verdict, least, most] = span.split(' ').collect::<Vec<_>>()[..] else { panic!("{span}") };
        let middle = f64::midpoint(least.parse().expect("a number"), most.parse().expect("a number"));
        let said = said_of(&mut lesson, &middle.to_string());
        let sentence = lesson
            .browser
            .eval(&format!("document.querySelector('.kettle-try').dataset.kettle{}", capitalised(verdict)));
        assert!(said.ends_with(sentence.as_str().expect("a sentence")), "{span}: {said}");
        told.insert(verdict.to_owned());
    }
    assert!(
        ["right", "over", "superfat", "alkali", "ounces", "unchanged"].iter().all(|it| told.contains(*it)),
        "{spans}"
    );
}

fn capitalised(word: &str) -> String {
    word[..1].to_uppercase() + &word[1..]
}

#[test]
fn answers_and_what_was_said_of_them_survive_a_reload_until_the_exercise_changes() {
    let mut lesson = Lesson::new();
    ask(&mut lesson, "ask = \"?\"\nanswer = \"superfat\"");
    let said = "['input', '.kettle-reply'].map(it => document.querySelector('.kettle-try ' + it))\
                .map(it => it.value || it.textContent)";
    said_of(&mut lesson, "5 %");
    lesson.browser.reload();
    assert_eq!(lesson.browser.eval(said), json!(["5 %", "Yes, that is right."]));
    lesson.open("print.html");
    let right = "[...document.querySelectorAll('[data-kettle-practice]')]\
                 .flatMap(it => it.querySelector('[data-kettle-state=right]') ? [it.dataset.kettlePractice] : [])";
    assert_eq!(lesson.browser.eval(right), json!(["lye.md#1"]));
    // A number that was typed and not asked about comes back without a reply.
    lesson.open("lye.html");
    lesson.browser.eval("document.querySelector('.kettle-try input').focus()");
    type_text(&mut lesson.browser, "7");
    lesson.browser.reload();
    let kept = lesson.browser.eval(said);
    assert!(kept[0].as_str().is_some_and(|it| it.contains('7')) && kept[1] == "", "{kept}");
    ask(&mut lesson, "ask = \"!\"\nanswer = \"superfat\"");
    assert_eq!(lesson.browser.eval(said), json!(["", ""]));
    ask(&mut lesson, "ask = \"?\"\nanswer = \"superfat\"");
    assert_eq!(lesson.browser.eval(said), json!(["", ""]), "it comes back with the old question");
}

/// The search of a book reads what is hidden on its pages too, but no scripts.
#[test]
fn the_search_of_the_book_knows_no_answer_and_an_opened_answer_has_its_links() {
    let mut lesson = Lesson::new();
    ask(
        &mut lesson,
        "ask = \"?\"\nanswer = \"grams.lye\"\nwith = { batch = \"4321 g\" }\n\
         because = \"Zyzzyva: see [the *bench*](bench.md#water), </script> and [here](https://example.org/a.md).\"",
    );
    let index = entries(&lesson.course.path().join("book"))
        .into_iter()
        .filter(|it| it.file_name().is_some_and(|it| it.to_string_lossy().starts_with("searchindex")));
    let index: String = index.map(|it| fs::read_to_string(it).expect("the index can be read")).collect();
    let answer = lesson.browser.eval("document.querySelector('.kettle-result').textContent");
    let answer = answer.as_str().expect("an answer").to_owned();
    assert!(index.contains("neighbour") || index.contains("solution"), "an index");
    assert!(!index.to_lowercase().contains("zyzzyva") && !index.contains(&answer), "{answer}");
    let links = "[...document.querySelectorAll('.kettle-practice .kettle-because')[0].querySelectorAll('a')]\
                 .map(it => it.href.replace(/.*\\/book\\//, ''))";
    assert_eq!(lesson.browser.eval(links), json!(["bench.html#water", "https://example.org/a.md"]));
    assert_eq!(
        lesson.browser.eval("document.querySelectorAll('.kettle-practice .kettle-because em').length > 0"),
        true
    );
}

#[test]
fn an_exercise_on_paper_has_a_line_and_no_answer_and_without_scripts_no_field() {
    let mut lesson = Lesson::new();
    lesson.open("lye.html");
    let browser = &mut lesson.browser;
    let shown = |browser: &mut Browser, selector: &str| {
        browser.eval(&format!("document.querySelector('.kettle-practice {selector}').checkVisibility()"))
    };
    browser.eval("document.querySelector('.kettle-practice details').open = true");
    let key = "document.querySelector('.kettle-key .kettle-result').checkVisibility()";
    let parts = ["form", ".kettle-write", ".kettle-result"];
    assert_eq!(parts.map(|it| shown(browser, it)), [json!(true), json!(false), json!(true)]);
    assert_eq!(browser.eval(key), false);
    browser.call("Emulation.setEmulatedMedia", json!({ "media": "print" }));
    assert_eq!(parts.map(|it| shown(browser, it)), [json!(false), json!(true), json!(false)]);
    // The answers stand behind all questions of the lesson, one for each.
    assert_eq!(browser.eval(key), true);
    let is_last = "(() => { const all = [...document.querySelectorAll('.kettle')]; return [all.at(-1).className,\
                   all.at(-1).querySelectorAll('li > .kettle-result').length - document.querySelectorAll('.kettle-practice').length]; })()";
    assert_eq!(browser.eval(is_last), json!(["kettle kettle-key", 0]));
    browser.call("Emulation.setEmulatedMedia", json!({ "media": "" }));
    browser.call("Emulation.setScriptExecutionDisabled", json!({ "value": true }));
    browser.reload();
    browser.call("Emulation.setScriptExecutionDisabled", json!({ "value": false }));
    assert_eq!(parts.map(|it| shown(browser, it)), [json!(false), json!(false), json!(false)]);
    browser.eval("document.querySelector('.kettle-practice summary').click()");
    assert_eq!(shown(browser, ".kettle-result"), true);
    assert_eq!(browser.eval(key), false);
    browser.call("Emulation.setEmulatedMedia", json!({ "media": "print" }));
    assert_eq!(browser.eval(key), true, "on paper without scripts too");
}
