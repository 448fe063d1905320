//! What a page may load, by its own policy: everything that lies in the book, and nothing from anywhere else, whether the
//! book is opened as files or read from a server, in either browser.

use std::fs;
use std::path::Path;

use serde_json::{Value, json};
use tempfile::TempDir;

use super::devtools::Browser;
use super::firefox::Firefox;
use super::refused::serve_folder;
use super::{Lesson, build, built_course, complaints, demo_course, pages_of};

/// Tries to bring in what would tell somebody elsewhere that the page is read, or change it, and gives the directives by
/// which it was refused.
const INTRUDE: &str = "new Promise((resolve) => {\
    const refused = [];\
    document.addEventListener('securitypolicyviolation', (it) => {\
      if (refused.push(`${it.effectiveDirective} ${it.blockedURI}`) === 7) resolve(refused.sort());\
    });\
    const add = (name, values) => document.body.append(Object.assign(document.createElement(name), values));\
    const outside = 'https://example.invalid/';\
    add('script', { src: `${outside}a.js` });\
    add('img', { src: `${outside}b.png` });\
    add('link', { rel: 'stylesheet', href: `${outside}c.css` });\
    add('iframe', { src: `${outside}d.html` });\
    add('video', { src: `${outside}e.mp4` });\
    fetch(`${outside}f`).catch(() => {});\
    const form = Object.assign(document.createElement('form'), { action: `${outside}g` });\
    document.body.append(form);\
    form.submit();\
    setTimeout(() => resolve(refused.sort()), 5000);\
  })";

fn refusals() -> Vec<&'static str> {
    vec!["connect-src", "form-action", "frame-src", "img-src", "media-src", "script-src-elem", "style-src-elem"]
}

/// The directives that refused something outside; browsers differ in how much of an address they tell.
fn refused_by(told: &Value) -> Vec<&str> {
    let told = told.as_array().into_iter().flatten().filter_map(Value::as_str);
    told.filter_map(|it| it.split_once(" https://example.invalid").map(|(directive, _)| directive)).collect()
}

/// Whether everything that a page is made of is there: its styles, our script, the list of contents, pictures, fonts, the
/// search, coloured code, and a calculator in WebAssembly, if there were one.
const IS_WHOLE: &str = "(async () => {\
    await document.fonts.ready;\
    const module = new Uint8Array([0, 97, 115, 109, 1, 0, 0, 0]);\
    return {\
      styles: [...document.styleSheets].length > 5 && [...document.querySelectorAll('link[rel=stylesheet]')].every(it => it.disabled || it.sheet),\
      scripts: document.querySelectorAll('.kettle-print').length === 1,\
      contents: document.querySelectorAll('#mdbook-sidebar a').length > 10,\
      pictures: [...document.images].filter(it => it.complete && !it.naturalWidth).length,\
      fonts: [...document.fonts].some(it => it.status === 'loaded') && [...document.fonts].every(it => it.status !== 'error'),\
      search: await new Promise((resolve) => {\
        const bar = document.querySelector('#mdbook-searchbar');\
        document.querySelector('#mdbook-search-toggle').click();\
        bar.value = 'superfat';\
        bar.dispatchEvent(new KeyboardEvent('keyup', { bubbles: true }));\
        bar.dispatchEvent(new Event('input', { bubbles: true }));\
        const started = Date.now();\
        const look = () => document.querySelectorAll('#mdbook-searchresults a').length ? resolve(true)\
          : Date.now() - started > 15000 ? resolve(false) : setTimeout(look, 20);\
        look();\
      }),\
      wasm: await WebAssembly.instantiate(module).then(() => true, String),\
    };\
  })()";

fn whole() -> Value {
    json!({ "styles": true, "scripts": true, "contents": true, "pictures": 0, "fonts": true, "search": true, "wasm": true })
}

#[test]
fn what_is_not_in_the_book_is_refused_and_what_is_works_from_files_and_from_a_server() {
    let mut lesson = Lesson::new();
    let book = lesson.course.path().join("book");
    let server = format!("http://127.0.0.1:{}", serve_folder(&book));
    for place in [format!("file://{}", book.display()), server.clone()] {
        lesson.browser.go_to(&format!("{place}/plain-bar.html"));
        assert_eq!(lesson.browser.eval(IS_WHOLE), whole(), "{place}");
        let events = lesson.browser.events();
        assert!(complaints(&events).is_empty(), "{place}: {:#?}", complaints(&events));
        assert_eq!(refused_by(&lesson.browser.eval(INTRUDE)), refusals(), "{place}");
        lesson.browser.events();
    }
    // The browser may open a connection before it looks at the policy; of the page nothing is sent over it.
    let asked = lesson.browser.asked();
    assert!(asked.iter().all(|it| it.starts_with("CONNECT example.invalid:443 ")), "{asked:?}");
    // Code is coloured, and the page that a server shows where there is none is whole too.
    lesson.browser.go_to(&format!("{server}/instructor/settings.html"));
    assert_eq!(lesson.browser.eval("document.querySelectorAll('code.hljs').length > 0"), true);
    lesson.browser.go_to(&format!("{server}/404.html"));
    assert_eq!(lesson.browser.eval("document.querySelectorAll('.kettle-print').length"), 1);
    let events = lesson.browser.events();
    assert!(complaints(&events).is_empty(), "{:#?}", complaints(&events));
}

#[test]
fn firefox_has_the_same_under_the_policy() {
    let course = built_course();
    let book = course.path().join("book");
    let mut firefox = Firefox::start();
    for place in [format!("file://{}", book.display()), format!("http://127.0.0.1:{}", serve_folder(&book))] {
        firefox.go_to(&format!("{place}/plain-bar.html"));
        assert_eq!(firefox.eval(IS_WHOLE), whole(), "{place}");
        assert_eq!(firefox.complaints(), [""; 0], "{place}");
    }
    assert_eq!(firefox.asked(), [""; 0], "nothing tried to leave");
}

#[test]
fn the_list_of_contents_stands_in_its_frame_where_no_script_runs() {
    let mut lesson = Lesson::new();
    lesson.browser.call("Emulation.setScriptExecutionDisabled", json!({ "value": true }));
    lesson.open("plain-bar.html");
    lesson.browser.call("Emulation.setScriptExecutionDisabled", json!({ "value": false }));
    let tree = lesson.browser.call("Page.getFrameTree", json!({}));
    let frames: Vec<_> = tree["frameTree"]["childFrames"].as_array().into_iter().flatten().collect();
    assert_eq!(frames.len(), 1, "{tree}");
    assert!(frames[0]["frame"]["url"].as_str().is_some_and(|it| it.ends_with("/toc.html")), "{tree}");
    let events = lesson.browser.events();
    assert!(complaints(&events).is_empty(), "{:#?}", complaints(&events));
}

#[test]
fn every_page_and_sheet_states_its_policy_and_the_button_of_a_sheet_prints_it() {
    let mut lesson = Lesson::new();
    lesson.browser.on_every_page("window.print = () => { window.isPrinted = true; };");
    for page in lesson.pages() {
        let text = fs::read_to_string(lesson.course.path().join("book").join(&page)).expect("the page can be read");
        let head = text.split("</head>").next().unwrap_or_default();
        assert_eq!(
            head.matches("http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'").count(),
            1,
            "{page}"
        );
    }
    lesson.open("sheets/cliff.html");
    lesson.browser.click("document.querySelector('button')");
    assert_eq!(lesson.browser.eval("window.isPrinted"), true);
    // No other script of anybody's would run there.
    let planted = "(() => { const it = document.createElement('script'); it.textContent = 'window.isPlanted = true'; document.body.append(it); })()";
    lesson.browser.eval(planted);
    assert_eq!(lesson.browser.eval("typeof window.isPlanted"), "undefined");
}

#[test]
fn a_head_that_the_instructor_wrote_stays_as_it_is() {
    let own = "<meta name=\"author\" content=\"the quay\">\n";
    let course = demo_course();
    let head = |course: &TempDir| course.path().join("theme/head.hbs");
    fs::create_dir_all(course.path().join("theme")).expect("the folder can be made");
    fs::write(head(&course), own).expect("it can be written");
    build(course.path());
    assert_eq!(fs::read_to_string(head(&course)).expect("it can be read"), own);
    assert!(page_of(course.path()).contains(own.trim()) && !page_of(course.path()).contains("Content-Security-Policy"));
    // Ours, even that of an older edition, is brought up to date.
    fs::remove_file(head(&course)).expect("it can be removed");
    build(course.path());
    let ours = fs::read_to_string(head(&course)).expect("it was written");
    let mark = ours.lines().next_back().expect("a last line");
    fs::write(head(&course), format!("<!-- older -->\n{mark}\n")).expect("it can be written");
    build(course.path());
    assert_eq!(fs::read_to_string(head(&course)).expect("it can be read"), ours);
    assert!(
        page_of(course.path()).contains("Content-Security-Policy")
            && !page_of(course.path()).contains("Kettlebook at every")
    );
}

fn page_of(course: &Path) -> String {
    fs::read_to_string(course.join("book/plain-bar.html")).expect("the page can be read")
}

/// Whoever presses every button there is asks nothing of anybody.
#[test]
fn no_control_asks_for_anything_or_complains() {
    let mut lesson = Lesson::new();
    let mut n_pressed = 0;
    for page in pages_of(&lesson.course.path().join("book")).iter().filter(|it| !it.starts_with("sheets/")) {
        lesson.open(page);
        n_pressed += press_everything(&mut lesson.browser);
        let events = lesson.browser.events();
        assert!(complaints(&events).is_empty(), "{page}: {:#?}", complaints(&events));
        let asked = events.iter().filter_map(|it| it["params"]["request"]["url"].as_str());
        let outside: Vec<_> = asked.filter(|it| !it.starts_with("file://") && !it.starts_with("data:")).collect();
        assert!(outside.is_empty(), "{page}: {outside:?}");
    }
    assert!(n_pressed > 1000, "only {n_pressed} were pressed");
    assert_eq!(lesson.browser.asked(), [""; 0], "nothing tried to leave");
}

fn press_everything(browser: &mut Browser) -> u64 {
    let pressed = browser.eval(
        "(async () => { const controls = [...document.querySelectorAll('button, select, summary, input')];\
           const press = (it) => {\
             const options = it.localName === 'select' ? [...it.options].map((_, at) => at) : [];\
             if (it.localName === 'select') (it.name.startsWith('exchange') ? options.slice(-1) : options).forEach((at) => { it.selectedIndex = at; it.dispatchEvent(new Event('change', { bubbles: true })); });\
             else if (/^(text|search|number)$/.test(it.type)) { it.value = '12.5'; ['input', 'change'].forEach((name) => it.dispatchEvent(new Event(name, { bubbles: true }))); }\
             else it.click();\
           };\
           controls.forEach(press);\
           const openers = new Set([...document.querySelectorAll('.kettle-own-button')].filter((it) => !it.hidden).map((it) => it.dataset.kettleOwnOpen));\
           const forms = () => [...document.querySelectorAll('form[data-kettle-own]')];\
           while (forms().length < openers.size) await new Promise((done) => setTimeout(done, 10));\
           const own = forms().flatMap((it) => [...it.querySelectorAll('select, input, summary')]);\
           own.forEach(press);\
           document.querySelectorAll('form [data-kettle-own-undo]').forEach((it) => it.click());\
           return controls.length + own.length; })()",
    );
    pressed.as_u64().expect("a number")
}
