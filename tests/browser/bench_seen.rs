//! The list of steps as it is seen: in place, in large type, in colours of the reader's own, on paper, without scripts.

use serde_json::json;

use super::bench::*;
use super::devtools::Browser;

/// Where everything in the block is, on the page.
const PLACES: &str = "JSON.stringify([...document.querySelectorAll('.kettle-timeline :is(li, .kettle-timer, .kettle-timer > *, .kettle-foot)')]\
     .map(it => { const box = it.getBoundingClientRect(); return [box.x, box.y + scrollY, it.localName === 'span' ? 0 : box.width, it.localName === 'span' ? 0 : box.height]; }))";

#[test]
fn nothing_moves_under_a_wet_thumb_and_every_target_is_large() {
    let mut lesson = at_the_bench("layered-bar.html");
    for (width, scale, is_large) in [(320, 1.0, false), (320, 1.0, true), (900, 1.0, false), (900, 2.0, true)] {
        let browser = &mut lesson.browser;
        set_clock(browser, START);
        // A phone of 320 px; a window of 900 px whose page is magnified has room for half as many.
        browser.become_a_phone((f64::from(width) / scale) as u32);
        browser.eval("localStorage.clear()");
        browser.reload();
        let arm = format!("{BLOCK}.querySelector('.kettle-arm button')");
        if is_large {
            browser.eval(&format!("{arm}.scrollIntoView()"));
            let top = browser.eval(&format!("{arm}.getBoundingClientRect().top"));
            browser.click(&arm);
            let moved = browser.eval(&format!("(() => {{ {arm}.scrollIntoView({{ block: 'center' }}); const top = {arm}.getBoundingClientRect().top; {arm}.click(); {arm}.click(); return {arm}.getBoundingClientRect().top - top; }})()"));
            assert!(moved.as_f64().is_some_and(|it| it.abs() < 1.0), "{width}: the switch moved by {moved} ({top})");
        }
        let before = browser.eval(PLACES);
        let names = ["lye-cools", "layer-1", "mould", "cure"];
        let same = |browser: &mut Browser, what: &str| {
            assert_eq!(browser.eval(PLACES), before, "{width} by {scale}, large {is_large}: {what}");
        };
        for name in names {
            browser.eval(&format!("{}.click()", go(name)));
        }
        same(browser, "started");
        for name in names {
            browser.eval(&format!("{}.click()", go(name)));
        }
        same(browser, "stopped");
        for name in names {
            browser.eval(&format!("{}.click()", go(name)));
        }
        set_clock(browser, START + 45 * DAY / 2);
        same(browser, "some are over");
        set_clock(browser, START + 400 * DAY);
        same(browser, "all are over");
        assert_eq!(browser.eval("document.querySelectorAll('[data-kettle-state=calls]').length"), 4);
        let overflowing = browser.eval(
            "[document.documentElement, ...document.querySelectorAll('#mdbook-content, .kettle, .kettle-timer, .kettle-timer > *, .kettle-calls')]\
             .filter(it => it.scrollWidth > it.clientWidth + 1 && getComputedStyle(it).display !== 'inline' && it.clientWidth || it.getBoundingClientRect().right > innerWidth + 1)\
             .map(it => `${it.localName} ${it.className}: ${it.scrollWidth} in ${it.clientWidth}`)",
        );
        assert_eq!(overflowing, json!([]), "{width} by {scale}, large {is_large}");
        let small = browser.eval(
            "[...document.querySelectorAll('.kettle-timeline :is(button, label)')].filter(it => it.checkVisibility())\
             .map(it => [it.textContent, it.getBoundingClientRect()]).filter(([, box]) => box.width < 44 || box.height < 44)\
             .map(([text, box]) => `${text}: ${box.width} by ${box.height}`)",
        );
        assert_eq!(small, json!([]), "{width} by {scale}, large {is_large}");
        // The next step is another, and the list stays as it is.
        browser.eval(&format!("{BLOCK}.querySelectorAll('input')[0].click()"));
        same(browser, "ticked");
    }
}

#[test]
fn large_type_is_kept_for_the_course_and_marks_the_step_that_comes_next() {
    let mut lesson = at_the_bench("layered-bar.html");
    let size = "parseFloat(getComputedStyle(document.querySelector('.kettle-times .kettle-what')).fontSize)";
    let small = lesson.browser.eval(size).as_f64().expect("a size");
    assert_eq!(lesson.browser.eval("document.querySelectorAll('[aria-current=step]').length"), 0);
    lesson.browser.click(&format!("{BLOCK}.querySelector('.kettle-arm button')"));
    lesson.browser.click(&format!("{BLOCK}.querySelectorAll('.kettle-tick')[0]"));
    lesson.open("plain-bar.html");
    lesson.open("layered-bar.html");
    let browser = &mut lesson.browser;
    let large = browser.eval(size).as_f64().expect("a size");
    assert!(large >= 1.6 * small, "{large} after {small}");
    assert_eq!(browser.eval(&format!("{BLOCK}.querySelector('.kettle-arm button').ariaPressed")), "true");
    let current = "[...document.querySelectorAll('.kettle-times > li')].flatMap((it, index) => it.ariaCurrent === 'step' ? [index] : [])";
    // Set when all who listen to a tick have been asked.
    assert_eq!(browser.eval(current), json!([1]));
    // The screen is awake for the list, and while one waits at the bench without it.
    assert_eq!(browser.eval("[asked.locks, asked.freed]"), json!([1, 0]));
    browser.click(&format!("{BLOCK}.querySelector('.kettle-arm button')"));
    assert_eq!(browser.eval("[asked.locks, asked.freed]"), json!([1, 1]));
    assert_eq!(browser.eval(current), json!([]));
    browser.click(&go("layer-1"));
    assert_eq!(browser.eval("[asked.locks, asked.freed]"), json!([2, 1]));
    set_clock(browser, START + 4 * HOUR);
    assert_eq!(browser.eval("asked.freed"), 2, "not for hours after the last touch");
}

#[test]
fn an_end_is_seen_in_forced_colours_from_right_to_left_and_without_motion_and_never_on_paper() {
    let mut lesson = at_the_bench("plain-bar.html");
    let browser = &mut lesson.browser;
    let features = |forced: &str, motion: &str| {
        json!({ "media": "", "features": [
            { "name": "forced-colors", "value": forced }, { "name": "prefers-reduced-motion", "value": motion }
        ] })
    };
    browser.click(&go("lye-cools"));
    set_clock(browser, START + 2 * HOUR);
    let look = format!(
        "(it => [it.outlineStyle, it.outlineWidth, it.animationName])(getComputedStyle({}))",
        timer("lye-cools")
    );
    browser.call("Emulation.setEmulatedMedia", features("none", "no-preference"));
    assert_eq!(browser.eval(&look), json!(["double", "4px", "kettle-beat"]));
    browser.call("Emulation.setEmulatedMedia", features("none", "reduce"));
    assert_eq!(browser.eval(&look), json!(["double", "4px", "none"]));
    browser.call("Emulation.setEmulatedMedia", features("active", "no-preference"));
    assert_eq!(browser.eval(&look), json!(["double", "4px", "none"]));
    assert_eq!(
        browser.eval("getComputedStyle(document.querySelector('.kettle-calls')).borderBlockStartStyle"),
        "double"
    );

    browser.call("Emulation.setEmulatedMedia", json!({ "media": "", "features": [] }));
    browser.become_a_phone(320);
    browser.eval(&format!("document.documentElement.dir = 'rtl'; {BLOCK}.querySelector('.kettle-arm button').click()"));
    let [first, second] = [go("lye-cools"), more("lye-cools")].map(|it| format!("{it}.getBoundingClientRect().x"));
    assert_eq!(browser.eval(&format!("{first} > {second}")), true, "the first button is to the right");
    let outside = browser.eval(&format!(
        "[...{BLOCK}.querySelectorAll('*')].filter(it => it.checkVisibility() && !it.closest('svg, .kettle-aloud'))\
         .filter(it => {{ const box = it.getBoundingClientRect(); return box.width && (box.left < -1 || box.right > 321); }})\
         .map(it => it.className)"
    ));
    assert_eq!(outside, json!([]));
    let bar = "(it => [it.borderInlineStartWidth, it.borderRightWidth])(getComputedStyle(document.querySelector('[aria-current=step]')))";
    let bar = browser.eval(bar);
    assert_eq!(bar[0], bar[1], "the mark of the step that comes next is to the right: {bar}");

    browser.call("Emulation.setEmulatedMedia", json!({ "media": "print" }));
    let seen = format!(
        "[...{BLOCK}.querySelectorAll('.kettle-timer, .kettle-arm, .kettle-calls')].filter(it => it.checkVisibility()).length"
    );
    assert_eq!(browser.eval(&seen), 0);
    let size = "parseFloat(getComputedStyle(document.querySelector('.kettle-times')).fontSize)";
    assert!(browser.eval(size).as_f64().is_some_and(|it| it < 16.0), "paper has its own size");
}

#[test]
fn without_scripts_there_are_steps_and_boxes_and_no_buttons() {
    let mut lesson = at_the_bench("plain-bar.html");
    lesson.browser.call("Emulation.setScriptExecutionDisabled", json!({ "value": true }));
    lesson.browser.reload();
    lesson.browser.call("Emulation.setScriptExecutionDisabled", json!({ "value": false }));
    let seen = format!(
        "['.kettle-timer', '.kettle-arm', 'button', 'input'].map(name => [...{BLOCK}.querySelectorAll(name)].filter(it => it.checkVisibility()).length > 0)"
    );
    assert_eq!(lesson.browser.eval(&seen), json!([false, false, false, true]));
    let boxes = format!(
        "[...{BLOCK}.querySelectorAll('.kettle-times > li')].every(it => it.querySelectorAll('input').length === 1)"
    );
    assert_eq!(lesson.browser.eval(&boxes), true, "mould and cure have boxes too");
}
