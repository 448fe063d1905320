//! Texts that mean something to a browser, wherever an instructor, a student or an older page may have written them: they stay
//! texts. Whatever gets out leaves a mark on the page.

use std::fs;

use serde_json::{Value, json};

use super::own::{TRY, open_fields, wait_for};
use super::{Lesson, complaints};

/// Ends of everything, a script, a picture that runs one, and a mark that turns the direction.
const HOSTILE: &str = "</script><script>document.documentElement.dataset.escaped=1</script>--><img src=x onerror=document.documentElement.dataset.escaped=2> & ' \u{200f} {{ x }}";

#[track_caller]
fn assert_nothing_got_out(lesson: &mut Lesson, where_it_was: &str) {
    let got_out = "[document.documentElement.dataset.escaped, document.querySelectorAll('img[src=x]').length]";
    assert_eq!(lesson.browser.eval(got_out), json!([null, 0]), "{where_it_was}");
    let events = lesson.browser.events();
    assert!(complaints(&events).is_empty(), "{where_it_was}: {:#?}", complaints(&events));
}

#[test]
fn texts_of_a_course_stay_texts_when_a_student_sets_something() {
    let mut lesson = Lesson::new();
    // What turns the direction is refused in a course; a student may type it.
    let typed = json!(HOSTILE.replace('\u{200f}', "")).to_string();
    lesson.edit("recipes/quay-plain.toml", "title = \"Quay plain bar\"", &format!("title = {typed}"));
    lesson.edit("book.toml", "title = \"Soap by the Quay\"", &format!("title = {typed}"));
    let add = |path: &str, text: String| {
        let path = lesson.course.path().join(path);
        let kept = fs::read_to_string(&path).expect("the file can be read");
        fs::write(&path, kept + &text).expect("the file can be written");
    };
    add(
        "tables/moulds.toml",
        format!(
            "\n[hostile]\nname = {typed}\ninside-length = \"20 cm\"\ninside-width = \"6 cm\"\nfill-height = \"6 cm\"\nsource = {typed}\n"
        ),
    );
    add(
        "tables/fats.toml",
        format!(
            "\n[hostile]\nname = {typed}\nkind = \"triglyceride\"\nnote = {typed}\n\
             saponification-value = {{ low = 187, high = 195, source = {typed} }}\n\
             iodine-value = {{ low = 92, high = 103, source = {typed} }}\n"
        ),
    );
    add(
        "tables/additives.toml",
        format!("\n[hostile]\nname = {typed}\nkind = \"clay\"\ngoes-into = \"trace\"\nnote = {typed}\n"),
    );
    add("recipes/quay-plain.toml", "\n[[additives]]\nitem = \"hostile\"\nrate = \"1 %\"\n".to_owned());
    // In the title of a chapter mdBook reads Markdown; a bracket would end it.
    let title = HOSTILE.replace(['\u{200f}', '[', ']'], "");
    lesson.edit("src/SUMMARY.md", "[A first plain bar]", &format!("[{title}]"));
    lesson.build();
    lesson.open("plain-bar.html");
    assert_nothing_got_out(&mut lesson, "the page");
    assert!(
        lesson.browser.eval("document.querySelector('.kettle-recipe').textContent.split('onerror').length > 2") == true
    );
    open_fields(&mut lesson, "quay-plain");
    assert_nothing_got_out(&mut lesson, "the fields");
    for fields in [
        json!({ "size": "mould", "mould": "hostile", "exchange.coconut": "hostile" }),
        json!({ "size": "have", "have-of": "fats.hostile", "have": "300 g", "exchange.olive": "hostile" }),
        json!({ "superfat": HOSTILE, "step": HOSTILE, "certificate.olive": HOSTILE, "purity.NaOH": HOSTILE }),
        json!({ "size": "box", "inside-length": HOSTILE, "inside-width": HOSTILE, "fill-height": HOSTILE }),
        json!({ "weighed.lye": HOSTILE, "weighed.olive": "500 g" }),
    ] {
        lesson.browser.eval(&format!("{TRY}('quay-plain', [{fields}])"));
        assert_nothing_got_out(&mut lesson, &fields.to_string());
    }
    // What was refused is not remembered, nor taken from the address of a sheet.
    lesson.open("plain-bar.html");
    wait_for(&mut lesson, "Boolean(document.querySelector('.kettle-own-notice'))");
    assert_nothing_got_out(&mut lesson, "after a reload");
    let told = json!({ "superfat": HOSTILE, "size": HOSTILE }).to_string();
    lesson.browser.eval(&format!(
        "location.href = document.querySelector('a.kettle-sheet').href + '#' + encodeURIComponent({})",
        json!(told)
    ));
    wait_for(&mut lesson, "location.pathname.includes('/sheets/') && document.body && !document.body.hidden");
    assert_nothing_got_out(&mut lesson, "the sheet");
}

#[test]
fn whatever_a_browser_remembers_the_page_shows_right_numbers() {
    let mut lesson = Lesson::new();
    let amount = "document.querySelector('.kettle-recipe [data-kettle=lye]').textContent";
    lesson.open("plain-bar.html");
    let of_lesson = lesson.browser.eval(amount);
    open_fields(&mut lesson, "quay-plain");
    lesson.browser.eval(&format!("{TRY}('quay-plain', [{{ size: 'fats', batch: '400 g' }}])"));
    let key = lesson.browser.eval("Object.keys(localStorage).find(it => it.startsWith('kettle-own'))");
    let of_own = lesson.browser.eval(amount);
    let kept = |recipes: Value, version: Value| json!({ "version": version, "recipes": recipes }).to_string();
    let good = json!({ "size": "fats", "batch": "400 g" });
    let cases: Vec<(String, &Value)> = vec![
        (kept(json!({ "quay-plain": good }), json!(1)), &of_own),
        (kept(json!({ "quay-plain": good, "gone": good }), json!(1)), &of_own),
        (kept(json!({ "quay-plain": good }), json!(2)), &of_lesson),
        (kept(json!({ "quay-plain": good }), json!("1")), &of_lesson),
        (kept(json!({ "quay-plain": { "size": 7, "batch": ["400 g"] } }), json!(1)), &of_lesson),
        (kept(json!([{ "quay-plain": good }]), json!(1)), &of_lesson),
        (kept(json!({ "__proto__": good, "constructor": good }), json!(1)), &of_lesson),
        (kept(json!({ "quay-plain": { "no-such-field": HOSTILE } }), json!(1)), &of_lesson),
        (kept(json!({ "quay-plain": { "size": "mould", "mould": "gone" } }), json!(1)), &of_lesson),
        ("{\"version\":1,\"recipes\":{\"quay-plain\":{\"superfat\":\"\\ud800\"}}}".into(), &of_lesson),
        ("{\"version\":1,\"recipes\":{\"quay-plain\":".into(), &of_lesson),
        (HOSTILE.into(), &of_lesson),
        ("null".into(), &of_lesson),
        ("[".repeat(10_000), &of_lesson),
    ];
    for (kept, wanted) in cases {
        let start = kept.chars().take(100).collect::<String>();
        lesson.browser.eval(&format!("localStorage.setItem({key}, {})", json!(kept)));
        lesson.open("plain-bar.html");
        // It has been read when the calculator has put away what it does not know, or shows what it does.
        let is_read = format!(
            "document.querySelectorAll('.kettle-own-line, .kettle-own-refused, .kettle-own-notice').length > 0 || localStorage.getItem({key}) !== {}",
            json!(kept)
        );
        // What is of other recipes is left to their pages.
        if !kept.contains("__proto__") {
            wait_for(&mut lesson, &is_read);
        }
        // A number that is shown is one of the two, and never a third.
        let shown = lesson
            .browser
            .eval("(it => it && it.textContent)(document.querySelector('.kettle-recipe [data-kettle=lye]'))");
        assert!(shown == *wanted || (shown.is_null() && *wanted == of_lesson), "{start}: {shown} and not {wanted}");
        assert_nothing_got_out(&mut lesson, &start);
    }
}
