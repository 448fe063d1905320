//! The look of the whole page: what only a browser can tell of it.

use serde_json::json;

use super::Lesson;

#[test]
fn ways_at_the_end_of_a_page_are_named_by_lesson_and_evening() {
    let mut lesson = Lesson::new();
    // A narrow window and a wide one, where mdBook has other links.
    for width in [500, 1000, 1600] {
        let metrics = json!({ "width": width, "height": 900, "deviceScaleFactor": 1, "mobile": false });
        lesson.browser.call("Emulation.setDeviceMetricsOverride", metrics);
        lesson.open("plain-bar.html");
        let ways = "[...document.querySelectorAll('nav a[rel]')].filter(it => it.checkVisibility()).map(it => it.innerText.split('\\n'))";
        let wanted = json!([["Before this", "What lye does"], ["The third evening: layers", "A first layered bar"]]);
        assert_eq!(lesson.browser.eval(ways), wanted, "{width}");
        // What is read aloud is what is seen, in one line with a space between.
        let name = "(it => [it.textContent.trim(), it.getAttribute('aria-label')])(document.querySelector('.nav-wrapper .next'))";
        assert_eq!(lesson.browser.eval(name), json!(["The third evening: layers A first layered bar", null]));
    }
}

#[test]
fn arrows_still_turn_the_page() {
    let mut lesson = Lesson::new();
    lesson.open("plain-bar.html");
    lesson.browser.press("ArrowRight", 39);
    let is_there = "location.pathname.endsWith('/layered-bar.html')";
    let turned = (0..100).any(|_| lesson.browser.eval(is_there) == true);
    assert!(turned, "{}", lesson.browser.eval("location.pathname"));
}

/// At 320 px, which is also a window of 1280 px at 400 %.
#[test]
fn nothing_scrolls_sideways_at_the_narrowest() {
    let mut lesson = Lesson::new();
    lesson.browser.become_a_phone(320);
    for page in lesson.pages().into_iter().filter(|it| !it.starts_with("sheets/")) {
        lesson.open(&page);
        let overflowing = lesson.browser.eval(
            "[document.documentElement, ...document.querySelectorAll('#mdbook-content, #mdbook-menu-bar, .kettle')]\
             .filter(it => it.scrollWidth > it.clientWidth || it.getBoundingClientRect().right > 320)\
             .map(it => `${it.localName} ${it.className}: ${it.scrollWidth} in ${it.clientWidth}`)",
        );
        assert_eq!(overflowing, json!([]), "{page}");
    }
}
