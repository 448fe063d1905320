//! The list of steps at the bench: timers that count on, what they say and to whom, large type, and nothing that moves.
//!
//! The browser's clock is set by hand, so nothing here waits for time to pass or measures it.

use serde_json::{Value, json};

use super::devtools::Browser;
use super::{Lesson, tab_to};

/// A Tuesday, six in the evening in the Azores.
pub(crate) const START: u64 = 1_778_004_000_000;
pub(crate) const MINUTE: u64 = 60_000;
pub(crate) const HOUR: u64 = 60 * MINUTE;
pub(crate) const DAY: u64 = 24 * HOUR;

pub(crate) const BLOCK: &str = "document.querySelector('.kettle-timeline')";

/// Stands in for what would be heard and felt, and for the lock of the screen; counts what is asked of them.
pub(crate) const SENSES: &str = "
    window.asked = { tones: 0, closed: 0, beats: 0, locks: 0, freed: 0 };
    const nothing = () => {};
    const value = { value: 0, setValueAtTime: nothing, linearRampToValueAtTime: nothing };
    window.AudioContext = class {
        constructor() { this.state = 'running'; this.currentTime = 0; }
        resume() { return Promise.resolve(); }
        close() { window.asked.closed += 1; return Promise.resolve(); }
        createGain() { return { gain: value, connect: nothing }; }
        createOscillator() {
            return { frequency: { value: 0 }, connect: (it) => it, start: () => (window.asked.tones += 1), stop: nothing };
        }
    };
    Object.defineProperty(navigator, 'vibrate', { value: () => (window.asked.beats += 1) });
    const lock = () => ({ addEventListener: nothing, release: () => { window.asked.freed += 1; return Promise.resolve(); } });
    Object.defineProperty(navigator, 'wakeLock', { value: { request: () => { window.asked.locks += 1; return Promise.resolve(lock()); } } });
";

/// A lesson at the time of [`START`].
pub(crate) fn at_the_bench(page: &str) -> Lesson {
    let mut lesson = Lesson::new();
    lesson.browser.call("Emulation.setTimezoneOverride", json!({ "timezoneId": "Atlantic/Azores" }));
    lesson.browser.call("Emulation.setLocaleOverride", json!({ "locale": "en-GB" }));
    lesson.browser.on_every_page(SENSES);
    set_clock(&mut lesson.browser, START);
    lesson.open(page);
    lesson
}

/// Sets the clock of this page and of those that are opened from now on, and lets the page look at it.
pub(crate) fn set_clock(browser: &mut Browser, time: u64) {
    let clock = format!("Date.now = () => {time};");
    browser.on_every_page(&clock);
    browser.eval(&format!("{clock} document.dispatchEvent(new Event('visibilitychange'))"));
}

pub(crate) fn timer(step: &str) -> String {
    format!("{BLOCK}.querySelector('[data-kettle-timer={step}]')")
}

pub(crate) fn go(step: &str) -> String {
    format!("{}.querySelector('.kettle-timer-go')", timer(step))
}

pub(crate) fn more(step: &str) -> String {
    format!("{}.querySelector('.kettle-timer-more')", timer(step))
}

/// The state of a timer, what is left, and what it says of it.
pub(crate) fn shown(browser: &mut Browser, step: &str) -> [String; 3] {
    let texts = browser.eval(&format!(
        "[{0}.dataset.kettleState, ...['left', 'when'].map(it => {0}.querySelector('.kettle-timer-' + it).textContent)]",
        timer(step)
    ));
    serde_json::from_value(texts).expect("three texts")
}

/// What assistive technology is told; what is told on opening a page is waited for.
pub(crate) fn told(browser: &mut Browser) -> String {
    let said = "document.querySelector('.kettle-aloud').textContent";
    let is_said = format!(
        "new Promise(done => {{ const look = (n) => ({said} || !n) ? done({said}) : setTimeout(look, 50, n - 1); look(100); }})"
    );
    let parameters = json!({ "expression": is_said, "returnByValue": true, "awaitPromise": true });
    browser.call("Runtime.evaluate", parameters)["result"]["value"].as_str().expect("a text").to_owned()
}

pub(crate) fn bar(browser: &mut Browser) -> Value {
    browser
        .eval("(it => it.checkVisibility() ? it.firstChild.textContent : '')(document.querySelector('.kettle-calls'))")
}

#[test]
fn a_timer_counts_on_over_a_reload_and_calls_eye_ear_and_assistive_technology() {
    let mut lesson = at_the_bench("plain-bar.html");
    let browser = &mut lesson.browser;
    assert_eq!(shown(browser, "lye-cools"), ["", "1:00:00", ""]);
    let title = browser.eval("document.title");
    browser.click(&go("lye-cools"));
    assert_eq!(shown(browser, "lye-cools"), ["runs", "1:00:00", "Ends: 19:00"]);
    set_clock(browser, START + 20 * MINUTE + 500);
    assert_eq!(shown(browser, "lye-cools"), ["runs", "40:00", "Ends: 19:00"]);
    browser.reload();
    assert_eq!(shown(browser, "lye-cools"), ["runs", "40:00", "Ends: 19:00"]);
    assert_eq!(bar(browser), "");
    // Heard again only after a touch, which may be any.
    browser.click(&format!("{BLOCK}.querySelector('.kettle-heading')"));
    // Nobody looks at the page when the time is over, and it has to tell all the same.
    browser.eval("Object.defineProperty(document, 'hidden', { value: true, configurable: true })");
    set_clock(browser, START + HOUR);
    let words =
        "The lye solution cools. The time was over: 19:00. Measure the lye solution and the fats before you go on.";
    assert_eq!(shown(browser, "lye-cools"), ["calls", "0:00", "The time was over: 19:00"]);
    assert_eq!((told(browser), bar(browser)), (words.to_owned(), json!(words)));
    assert_eq!(browser.eval("[asked.tones, asked.beats]"), json!([9, 1]));
    let calling = browser.eval("document.title");
    assert_eq!(calling, format!("Time is over – {}", title.as_str().expect("a title")));
    // Called once.
    set_clock(browser, START + HOUR + MINUTE);
    assert_eq!(browser.eval("[asked.tones, asked.beats]"), json!([9, 1]));
    let region = browser.call("Runtime.evaluate", json!({ "expression": BLOCK }))["result"].clone();
    let query = json!({ "objectId": region["objectId"], "role": "status" });
    let nodes = browser.call("Accessibility.queryAXTree", query)["nodes"].clone();
    assert_eq!(nodes.as_array().map(Vec::len), Some(1), "one region is announced");

    browser.click(&go("lye-cools"));
    assert_eq!(shown(browser, "lye-cools"), ["", "1:00:00", ""]);
    assert_eq!(
        (bar(browser), browser.eval("document.title"), browser.eval("asked.closed")),
        (json!(""), title, json!(1))
    );
    assert_eq!(browser.eval("Object.keys(localStorage).filter(it => it.startsWith('kettle-timers'))"), json!([]));
}

#[test]
fn what_ended_while_the_page_was_closed_is_told_on_opening_with_its_time() {
    let mut lesson = at_the_bench("plain-bar.html");
    lesson.browser.click(&go("lye-cools"));
    lesson.browser.click(&go("mould"));
    lesson.open("lye.html");
    set_clock(&mut lesson.browser, START + 9 * HOUR);
    lesson.open("plain-bar.html");
    let browser = &mut lesson.browser;
    let said = told(browser);
    assert!(said.starts_with("The lye solution cools. The time was over: Tue"), "{said}");
    assert!(said.contains("May 5") && said.contains("19:00"), "the day too, since it was yesterday: {said}");
    assert_eq!(browser.eval("asked.tones"), 0, "no page may sound before it is touched");
    // A call that nobody answered is there on the print page as well, and a day later no more.
    lesson.open("print.html");
    let calls = "[...document.querySelectorAll('[data-kettle-state=calls]')].map(it => it.dataset.kettleTimer)";
    assert_eq!(lesson.browser.eval(calls), json!(["lye-cools"]));
    set_clock(&mut lesson.browser, START + 26 * HOUR);
    lesson.open("plain-bar.html");
    assert_eq!(shown(&mut lesson.browser, "lye-cools")[0], "");
}

#[test]
fn mould_and_cure_are_told_in_days_with_the_date_and_from_when_to_look() {
    let mut lesson = at_the_bench("plain-bar.html");
    let browser = &mut lesson.browser;
    browser.click(&go("cure"));
    let lengths =
        browser.eval(&format!("[{0}.dataset.kettleSoonest, {0}.dataset.kettleSeconds].map(Number)", timer("cure")));
    let lengths: [u64; 2] = serde_json::from_value(lengths).expect("two numbers");
    assert!(lengths[0] < lengths[1], "the cure of this lesson has a shortest and a longest time: {lengths:?}");
    let [state, left, when] = shown(browser, "cure");
    assert_eq!((state, left), ("runs".into(), format!("{} days", lengths[0] * 1000 / DAY)));
    assert!(when.starts_with("From Tue") && when.contains(", at the latest Tue") && when.contains("18:00"), "{when}");
    set_clock(browser, START + lengths[0] * 1000);
    let [state, left, when] = shown(browser, "cure");
    assert_eq!(state, "calls");
    assert_eq!(left, format!("{} days", (lengths[1] - lengths[0]) * 1000 / DAY));
    assert!(when.starts_with("The shortest time was over: 18:00. At the latest: Tue"), "{when}");
    assert!(told(browser).starts_with("Cure. The shortest time was over"));
    assert_eq!(browser.eval("[asked.tones, asked.locks]"), json!([0, 0]), "nobody stands beside a cure");
    // Seen is not stopped.
    browser.click(&go("cure"));
    assert_eq!((shown(browser, "cure")[0].as_str(), bar(browser)), ("runs", json!("")));
    set_clock(browser, START + lengths[1] * 1000);
    assert_eq!(shown(browser, "cure")[..2], ["calls", "0:00"]);
}

#[test]
fn a_touch_on_the_wrong_button_is_taken_back_and_a_minute_is_added() {
    let mut lesson = at_the_bench("plain-bar.html");
    let browser = &mut lesson.browser;
    browser.click(&go("lye-cools"));
    browser.click(&more("lye-cools"));
    assert_eq!(shown(browser, "lye-cools"), ["runs", "1:01:00", "Ends: 19:01"]);
    set_clock(browser, START + 10 * MINUTE);
    browser.click(&go("lye-cools"));
    assert_eq!(shown(browser, "lye-cools"), ["stopped", "1:00:00", "Stopped. It would have ended: 19:01"]);
    browser.click(&go("lye-cools"));
    assert_eq!(shown(browser, "lye-cools"), ["runs", "51:00", "Ends: 19:01"]);
    browser.click(&go("lye-cools"));
    browser.click(&more("lye-cools"));
    assert_eq!(shown(browser, "lye-cools"), ["runs", "1:00:00", "Ends: 19:10"], "begun anew");
    // A minute more after the end is a minute from now.
    set_clock(browser, START + 2 * HOUR);
    browser.click(&more("lye-cools"));
    assert_eq!(shown(browser, "lye-cools"), ["runs", "1:00", "Ends: 20:01"]);
    // Done before its time: it is quiet, and comes back with the box.
    let tick = format!("{}.closest('li').querySelector('input')", timer("lye-cools"));
    browser.click(&tick);
    assert_eq!(shown(browser, "lye-cools")[0], "ticked");
    browser.click(&tick);
    assert_eq!(shown(browser, "lye-cools"), ["runs", "1:00", "Ends: 20:01"]);
    browser.click(&tick);
    set_clock(browser, START + 3 * HOUR);
    assert_eq!((bar(browser), browser.eval("asked.tones")), (json!(""), json!(9)), "only the first end was called");
}

/// The scripts once more, with the function for blocks that are put into the page anew in reach.
const AGAIN: &str = concat!(
    "(() => {",
    include_str!("../../theme/js/kettle.js"),
    include_str!("../../theme/js/bell.js"),
    include_str!("../../theme/js/bench.js"),
    "window.arrangeBench = arrangeBench; })()"
);

/// Puts the same block in place of the one that is there, with a change to it.
fn put_in_anew(browser: &mut Browser, change: &str) {
    browser.eval(&format!(
        "(() => {{ const block = {BLOCK}.cloneNode(true); {change}; {BLOCK}.replaceWith(block); arrangeBench(block); }})()"
    ));
}

#[test]
fn a_block_that_is_put_in_anew_finds_its_timers_again() {
    let mut lesson = at_the_bench("layered-bar.html");
    let browser = &mut lesson.browser;
    browser.eval(AGAIN);
    put_in_anew(browser, "");
    browser.click(&go("lye-cools"));
    browser.click(&go("layer-1"));
    browser.click(&go("layer-2"));
    browser.click(&go("layer-2"));
    set_clock(browser, START + 5 * MINUTE);
    put_in_anew(browser, "block.querySelector('[data-kettle-timer=lye-cools]').dataset.kettleSeconds = '600'");
    assert_eq!(shown(browser, "lye-cools"), ["runs", "55:00", "Ends: 19:00"], "its end stays");
    assert_eq!(shown(browser, "layer-2")[0], "stopped");
    let counts = format!(
        "['.kettle-calls', '.kettle-aloud', '.kettle-timer-go'].map(it => {BLOCK}.querySelectorAll(it).length)"
    );
    assert_eq!(browser.eval(&counts), json!([1, 1, 5]), "nothing is there twice");
    put_in_anew(browser, "block.querySelector('[data-kettle-timer=layer-1]').closest('li').remove()");
    let kept = "Object.entries(localStorage).filter(([it]) => it.startsWith('kettle-timers')).map(it => Object.keys(JSON.parse(it[1])))";
    assert_eq!(browser.eval(kept), json!([["lye-cools"]]), "a step that is gone takes its timer along");
    set_clock(browser, START + HOUR);
    assert_eq!(shown(browser, "lye-cools")[0], "calls");
    assert_eq!(browser.eval("document.querySelectorAll('[data-kettle-state=calls]').length"), 1);
}

#[test]
fn a_timer_that_runs_keeps_its_end_when_its_length_changes() {
    let mut lesson = at_the_bench("plain-bar.html");
    lesson.browser.click(&go("lye-cools"));
    // The recipe says another time now.
    lesson.edit("recipes/quay-plain.toml", "[times]", "[times]\nlye-cools = \"40 min\"");
    lesson.build();
    set_clock(&mut lesson.browser, START + 30 * MINUTE);
    lesson.browser.reload();
    assert_eq!(shown(&mut lesson.browser, "lye-cools"), ["runs", "30:00", "Ends: 19:00"]);
    assert_eq!(lesson.browser.eval(&format!("{}.dataset.kettleSeconds", timer("lye-cools"))), "2400");
    let kept = "Object.entries(localStorage).filter(([it]) => it.startsWith('kettle-timers')).map(it => Object.keys(JSON.parse(it[1])))";
    assert_eq!(lesson.browser.eval(kept), json!([["lye-cools"]]));
}

#[test]
fn what_is_kept_wrongly_is_dropped_and_what_is_right_beside_it_stays() {
    let mut lesson = at_the_bench("plain-bar.html");
    let key = "Object.keys(localStorage).find(it => it.startsWith('kettle-timers'))";
    lesson.browser.click(&go("mould"));
    let good = lesson.browser.eval(&format!("JSON.parse(localStorage.getItem({key})).mould"));
    let times = |began: u64, ends: u64| json!({ "began": began, "soonest": ends, "ends": ends, "told": 0, "seen": 0 });
    let key = lesson.browser.eval(key);
    for (what, wrong) in [
        ("text", json!("soon")),
        ("nothing", Value::Null),
        ("no end", json!({ "began": START })),
        ("words for numbers", json!({ "began": START, "soonest": "x", "ends": "y", "told": 0, "seen": 0 })),
        ("from tomorrow", times(START + DAY, START + DAY + HOUR)),
        ("an end before it began", times(START - HOUR, START - 2 * HOUR)),
        ("years", times(START, START + 2000 * DAY)),
        ("the other day", times(START - 3 * DAY, START - 2 * DAY)),
    ] {
        let kept = json!({ "mould": good, "lye-cools": wrong, "gone": times(START, START + HOUR) });
        lesson.browser.eval(&format!("localStorage.setItem({key}, JSON.stringify({kept}))"));
        lesson.browser.reload();
        assert_eq!(shown(&mut lesson.browser, "lye-cools")[0], "", "{what}");
        assert_eq!(shown(&mut lesson.browser, "mould")[0], "runs", "{what}");
        let left = lesson.browser.eval(&format!("Object.keys(JSON.parse(localStorage.getItem({key})))"));
        assert_eq!(left, json!(["mould"]), "{what}");
    }
    for text in ["{", "[]", "7", "\"x\"", "null", "[[1]]"] {
        lesson.browser.eval(&format!("localStorage.setItem({key}, {})", json!(text)));
        lesson.browser.reload();
        assert_eq!(shown(&mut lesson.browser, "mould")[0], "", "{text}");
        lesson.browser.click(&go("mould"));
        assert_eq!(shown(&mut lesson.browser, "mould")[0], "runs", "{text}");
    }
}

#[test]
fn a_browser_that_keeps_nothing_still_counts() {
    let mut lesson = at_the_bench("plain-bar.html");
    lesson.browser.on_every_page(
        "Object.defineProperty(window, 'localStorage', { get() { throw new DOMException('no', 'SecurityError'); } });",
    );
    lesson.browser.reload();
    let browser = &mut lesson.browser;
    browser.click(&go("lye-cools"));
    browser.click(&more("lye-cools"));
    set_clock(browser, START + 61 * MINUTE);
    assert_eq!(shown(browser, "lye-cools")[0], "calls");
    browser.click(&format!("{BLOCK}.querySelector('.kettle-arm button')"));
    assert_eq!(browser.eval(&format!("{BLOCK}.classList.contains('kettle-large')")), true);
}

#[test]
fn another_tab_sees_the_same_timer() {
    let mut lesson = at_the_bench("plain-bar.html");
    let browser = &mut lesson.browser;
    browser.click(&go("lye-cools"));
    // As if stopped in another tab, of which this one is told by an event.
    browser.eval(
        "(key => { localStorage.removeItem(key); window.dispatchEvent(new StorageEvent('storage', { key })); })\
         (Object.keys(localStorage).find(it => it.startsWith('kettle-timers')))",
    );
    assert_eq!(shown(browser, "lye-cools")[0], "");
}

#[test]
fn everything_is_done_by_keyboard_and_the_focus_stays_where_it_is() {
    let mut lesson = at_the_bench("layered-bar.html");
    let browser = &mut lesson.browser;
    let is_at = |element: &str| format!("document.activeElement === {element}");
    tab_to(browser, &is_at(&format!("{BLOCK}.querySelector('.kettle-arm button')")));
    browser.press("Enter", 13);
    browser.press(" ", 32);
    tab_to(browser, &is_at(&go("lye-cools")));
    assert_eq!(browser.eval("getComputedStyle(document.activeElement).outlineStyle"), "solid");
    browser.press(" ", 32);
    assert_eq!(shown(browser, "lye-cools")[0], "runs");
    assert_eq!(browser.eval(&is_at(&go("lye-cools"))), true);
    browser.press("Tab", 9);
    assert_eq!(browser.eval(&is_at(&more("lye-cools"))), true, "in the order of the page");
    browser.press(" ", 32);
    set_clock(browser, START + 2 * HOUR);
    assert_eq!(browser.eval(&is_at(&more("lye-cools"))), true, "an end takes no focus");
    // The bar leads to what calls.
    browser.eval("document.activeElement.blur()");
    tab_to(browser, &is_at("document.querySelector('.kettle-calls button')"));
    browser.press(" ", 32);
    assert_eq!(browser.eval(&is_at(&go("lye-cools"))), true);
    let focused = browser.call("Runtime.evaluate", json!({ "expression": timer("lye-cools") }))["result"].clone();
    let query = json!({ "objectId": focused["objectId"], "role": "group" });
    let nodes = browser.call("Accessibility.queryAXTree", query)["nodes"].clone();
    assert_eq!(nodes[0]["name"]["value"], "Timer: The lye solution cools");
    browser.press(" ", 32);
    assert_eq!((shown(browser, "lye-cools")[0].as_str(), bar(browser)), ("", json!("")));
}
