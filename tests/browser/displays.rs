//! What readers set up for themselves: narrow windows, large print, a direction of writing, colours of their own, no motion,
//! a keyboard or a finger instead of a mouse.

use serde_json::{Value, json};

use super::{Lesson, unfold};

/// What is wider than its place. mdBook lets the text of a page scroll in a box of its own, so the document alone would hide
/// it.
const TOO_WIDE: &str = "[document.documentElement, ...document.querySelectorAll('#mdbook-content, .kettle, .kettle-contents')]\
    .filter(it => it.scrollWidth > it.clientWidth || it.getBoundingClientRect().right > innerWidth + .5\
      || it.getBoundingClientRect().left < -.5)\
    .map(it => `${it.localName} ${it.className}: ${it.scrollWidth} in ${it.clientWidth}`)";

/// Rows whose box or circle does not stand where a line begins.
const MIXED_UP: &str = "[...document.querySelectorAll('.kettle-rows label, .kettle-tick, .kettle-choice label')]\
    .filter(it => it.checkVisibility()).filter(it => {\
      const [row, box] = [it, it.querySelector('input')].map(it => it.getBoundingClientRect());\
      return (box.left + box.right > row.left + row.right) !== (document.dir === 'rtl');\
    }).map(it => it.textContent)";

/// What a finger or the keyboard works. A box's label is part of its target.
const CONTROLS: &str = "[...document.querySelectorAll(':is(.kettle, .kettle-contents) :is(button, select, summary, input, .kettle-sheet), \
    .kettle-print, .kettle-units')].map(it => /^(checkbox|radio)$/.test(it.type) ? it.closest('label') || it : it)\
    .filter(it => it.checkVisibility())";

#[test]
fn no_page_scrolls_sideways_at_320_points_or_magnified_twice_in_either_direction() {
    let mut lesson = Lesson::new();
    for direction in ["ltr", "rtl"] {
        if direction == "rtl" {
            lesson.edit("book.toml", "language = \"en\"", "language = \"en\"\ntext-direction = \"rtl\"");
            lesson.build();
        }
        let mut found = Vec::new();
        // A batch sheet has one direction, that of its paper.
        for page in lesson.pages().iter().filter(|it| direction == "ltr" || !it.starts_with("sheets/")) {
            lesson.browser.become_a_phone(320);
            lesson.open(page);
            assert!(page.starts_with("sheets/") || lesson.browser.eval("document.dir") == direction, "{page}");
            unfold(&mut lesson.browser);
            found.push((page.clone(), "320 points", lesson.browser.eval(TOO_WIDE)));
            found.push((page.clone(), "boxes that do not come first", lesson.browser.eval(MIXED_UP)));
            lesson.browser.zoom(1280, 1024, 2);
            found.push((page.clone(), "magnified", lesson.browser.eval(TOO_WIDE)));
        }
        found.retain(|(_, _, what)| *what != json!([]));
        assert!(found.is_empty(), "{direction}: {found:#?}");
    }
}

#[test]
fn a_finger_meets_every_control_on_44_points() {
    let mut lesson = Lesson::new();
    let mut n_met = 0;
    for page in lesson.pages().iter().filter(|it| !it.starts_with("sheets/")) {
        for width in [320, 1280] {
            // Opened anew, since mdBook's list of contents stays open where a window becomes narrow.
            lesson.browser.become_a_phone(width);
            lesson.open(page);
            unfold(&mut lesson.browser);
            let small = lesson.browser.eval(&format!(
                "{CONTROLS}.map(it => [it, it.getBoundingClientRect()]).filter(([, box]) => Math.min(box.width, box.height) < 43.9)\
                 .map(([it, box]) => `${{it.localName}} ${{it.className}} in ${{it.closest('[class^=kettle]').className}} \
                 ${{it.textContent}}: ${{box.width}} by ${{box.height}}`)"
            ));
            assert_eq!(small, json!([]), "{page} at {width}");
            n_met += lesson.browser.eval(&format!("{CONTROLS}.length")).as_u64().unwrap_or_default();
        }
    }
    assert!(n_met > 1000, "only {n_met} were measured");
}

#[test]
fn the_tab_key_meets_every_control_in_the_order_of_the_page_and_shows_where_it_is() {
    let mut lesson = Lesson::new();
    for page in ["layered-bar.html", "lye.html", "swirls.html"] {
        lesson.open(page);
        unfold(&mut lesson.browser);
        // From the start of the page, wherever the focus was put.
        lesson.browser.eval(
            "(it => { it.tabIndex = -1; it.focus(); it.removeAttribute('tabindex'); it.blur(); })(document.body)",
        );
        // Of a group of choices the keyboard meets one.
        lesson.browser.eval(
            "window.awaited = [...document.querySelectorAll('.kettle-print, .kettle-units, \
             .kettle :is(button, select, summary, input, a[href])')]\
             .filter((it, at, all) => it.checkVisibility({ visibilityProperty: true }) && !(it.type === 'radio' && all.slice(0, at).some(other => other.name === it.name)));\
             window.met = []; window.hidden = []; document.addEventListener('focusin', ({ target }) => {\
               if (!target.closest('.kettle, .kettle-print, .kettle-units')) return;\
               window.met.push(target);\
               if (getComputedStyle(target).outlineStyle === 'none') window.hidden.push(target.outerHTML);\
             })",
        );
        let n_awaited = lesson.browser.eval("window.awaited.length").as_u64().expect("a number");
        assert!(n_awaited > 10, "{page}: {n_awaited}");
        // mdBook's own links come before, and end the page.
        for _ in 0..n_awaited + 200 {
            lesson.browser.press("Tab", 9);
        }
        let missed = "window.awaited.map((it, at) => it === window.met[at] ? '' : `${at}: ${it.outerHTML.slice(0, 200)}`).filter(Boolean).slice(0, 1)";
        assert_eq!(lesson.browser.eval(missed), json!([]), "{page}");
        assert_eq!(lesson.browser.eval("window.hidden.slice(0, 3)"), json!([]), "{page}: focus that is not seen");
    }
}

#[test]
fn who_asks_for_no_motion_gets_none_from_us() {
    let mut lesson = Lesson::new();
    lesson.browser.prefer(&[("prefers-reduced-motion", "reduce")]);
    for page in ["layered-bar.html", "lye.html", "print.html"] {
        lesson.open(page);
        assert_eq!(lesson.browser.eval("matchMedia('(prefers-reduced-motion: reduce)').matches"), true);
        let moving = lesson.browser.eval(
            "[...document.querySelectorAll('[class^=kettle], [class*=\" kettle\"], .kettle *')].filter(it => ['', '::before', '::after'].some(part => {\
               const style = getComputedStyle(it, part || null);\
               return style.animationName !== 'none' || !/^0s(, 0s)*$/.test(style.transitionDuration) || style.scrollBehavior === 'smooth'; }))\
             .map(it => it.outerHTML.slice(0, 120))",
        );
        assert_eq!(moving, json!([]), "{page}");
    }
    // A way through the page is a jump.
    lesson.open("layered-bar.html");
    lesson.browser.eval(
        "(() => { const scroll = Element.prototype.scrollIntoView; window.scrolls = [];\
         Element.prototype.scrollIntoView = function (how) { window.scrolls.push(how && how.behavior); scroll.call(this, how); }; })()",
    );
    lesson.browser.eval("document.querySelector('.kettle-timeline [data-kettle-to=recipe]').click()");
    let scrolls: Vec<Value> = lesson.browser.eval("window.scrolls").as_array().expect("a list").clone();
    assert!(!scrolls.is_empty() && scrolls.iter().all(|it| it != "smooth"), "{scrolls:?}");
}

#[test]
fn colours_of_the_readers_own_leave_texts_edges_ticks_and_choices_to_be_seen() {
    let mut lesson = Lesson::new();
    for scheme in ["light", "dark"] {
        lesson.browser.prefer(&[("forced-colors", "active"), ("prefers-color-scheme", scheme)]);
        for page in ["layered-bar.html", "lye.html", "swirls.html"] {
            lesson.open(page);
            unfold(&mut lesson.browser);
            assert_eq!(lesson.browser.eval("matchMedia('(forced-colors: active)').matches"), true);
            lesson.browser.eval(
                "document.querySelectorAll('.kettle input[type=checkbox], .kettle input[value=b]').forEach((it) => { it.checked = true; })",
            );
            let found = lesson.browser.eval(include_str!("contrast.js"));
            assert_eq!(found["low"], json!([]), "{page} in {scheme}");
            // What is ticked or chosen is drawn in a colour that is not that of the box.
            let unseen = lesson.browser.eval(
                "[...document.querySelectorAll('.kettle input:checked')].filter(it => it.checkVisibility()).filter(it => {\
                   const [mark, box] = [getComputedStyle(it, '::before'), getComputedStyle(it)];\
                   const inks = [mark.backgroundColor, ...['Top', 'Right', 'Bottom', 'Left'].filter(side => mark[`border${side}Style`] !== 'none' && mark[`border${side}Width`] !== '0px').map(side => mark[`border${side}Color`])];\
                   const isDrawn = inks.some(it => it !== box.backgroundColor && it !== 'rgba(0, 0, 0, 0)');\
                   return box.appearance === 'none' && !(isDrawn || /\\S/.test(mark.content.replace(/^(\"|none|normal)*$/g, '')));\
                 }).map(it => `${it.type} ${it.closest('.kettle').className}`)",
            );
            assert_eq!(unseen, json!([]), "{page} in {scheme}");
        }
    }
}
