//! How long a student waits for the calculator of a page, and how much a page carries for it, in a real Chromium.
//!
//! `cargo bench --package mdbook-kettle`. Builds the demo course into a folder of its own, opens its lesson of the most
//! blocks as a file, and prints what it measured: times for reading, never asserted in a test.

// A program that prints.
#![allow(clippy::print_stdout)]

// What the tests of the browser need of these is more.
#[allow(dead_code)]
#[path = "../tests/browser/devtools.rs"]
mod devtools;
#[allow(dead_code)]
#[path = "../tests/browser/refused.rs"]
mod refused;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use devtools::Browser;
use serde_json::Value;
use walkdir::WalkDir;

const LESSON: &str = "plain-bar.html";
/// How many times the fields are opened on a page that has just been loaded.
const N_OPENED: usize = 15;

/// From the click to the fields, and on to the first answer; and then a mould after another: until all of it is put in and
/// laid out, and until the frame with it is on the screen. Milliseconds.
const OPEN_AND_CHANGE: &str = "(async () => {
    const seen = (is) => new Promise((done) => {
        if (is()) return done();
        const watcher = new MutationObserver(() => is() && (watcher.disconnect(), done()));
        watcher.observe(document.body, { childList: true, subtree: true });
    });
    const onScreen = () => new Promise((done) => requestAnimationFrame(() => {
        const { port1, port2 } = new MessageChannel();
        port1.onmessage = done;
        port2.postMessage(null);
    }));
    const started = performance.now();
    document.querySelector('[data-kettle-own-open]').click();
    await seen(() => document.querySelector('form[data-kettle-own]'));
    const opened = performance.now() - started;
    const form = document.querySelector('form[data-kettle-own]');
    const change = (length) => {
        Object.entries({ size: 'box', 'inside-length': `${length} mm`, 'inside-width': '60 mm', 'fill-height': '60 mm' })
            .forEach(([name, value]) => (form.elements[name].value = value));
        form.elements.size.dispatchEvent(new Event('change', { bubbles: true }));
    };
    change(200);
    const answered = performance.now() - started;
    const changes = [];
    for (let count = 1; count <= 20; count += 1) {
        await onScreen();
        const before = performance.now();
        change(200 + 5 * count);
        document.body.getBoundingClientRect();
        const after = performance.now();
        await onScreen();
        changes.push([after - before, performance.now() - before]);
    }
    localStorage.clear();
    return { opened, answered, changes };
})()";

/// Where the time goes: the same steps one by one, with a second calculator.
const STEP_BY_STEP: &str = "(async () => {
    const times = {};
    const timed = async (name, it) => {
        const before = performance.now();
        const value = await it();
        times[name] = performance.now() - before;
        return value;
    };
    const page = document.querySelector('[data-kettle-page]').dataset.kettlePage;
    const recipe = document.querySelector('[data-kettle-own-open]').dataset.kettleOwnOpen;
    const ask = await timed('unpack and compile', () => globalThis.kettle.calculator());
    await timed('read the course and the page', () => ask({ open: { course: globalThis.kettle.course, page: globalThis.kettle.pages[page] } }));
    await timed('the fields', () => ask({ fields: { recipe, fields: {} } }));
    const own = (length) => ({ [recipe]: { size: 'box', 'inside-length': `${length} mm`, 'inside-width': '60 mm', 'fill-height': '60 mm' } });
    for (let count = 0; count < 5; count += 1) ask({ page: { own: own(200 + count) } });
    await timed('a change, without the page', () => ask({ page: { own: own(300) } }));
    return times;
})()";

fn main() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let book = build(folder.path());
    tell_sizes(&book);
    let mut browser = Browser::start();
    let (mut opened, mut answered, mut laid_out, mut on_screen) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    let mut steps: Vec<Value> = Vec::new();
    for _ in 0..N_OPENED {
        browser.open(&book.join(LESSON));
        let times = browser.eval(OPEN_AND_CHANGE);
        opened.push(milliseconds(&times["opened"]));
        answered.push(milliseconds(&times["answered"]));
        for it in times["changes"].as_array().expect("changes") {
            laid_out.push(milliseconds(&it[0]));
            on_screen.push(milliseconds(&it[1]));
        }
        steps.push(browser.eval(STEP_BY_STEP));
    }
    println!("{LESSON}, opened {N_OPENED} times: median (fastest to slowest)");
    tell("from the click to the fields", opened);
    tell("from the click to the first answer", answered);
    tell("another mould, computed and laid out", laid_out);
    tell("another mould, on the screen", on_screen);
    println!("where it goes:");
    for name in steps[0].as_object().expect("times").keys() {
        tell(name, steps.iter().map(|it| milliseconds(&it[name])).collect());
    }
}

fn milliseconds(it: &Value) -> f64 {
    it.as_f64().expect("a time")
}

fn tell(what: &str, mut times: Vec<f64>) {
    times.sort_by(f64::total_cmp);
    let median = times[times.len() / 2];
    println!("  {what:<40} {median:>6.1} ms ({:.1} to {:.1})", times[0], times[times.len() - 1]);
}

/// A copy of the demo course, built; gives its book.
fn build(folder: &Path) -> PathBuf {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../course");
    for part in ["book.toml", "src", "recipes", "tables"] {
        for entry in WalkDir::new(demo.join(part)) {
            let entry = entry.expect("an entry");
            let to = folder.join(entry.path().strip_prefix(&demo).expect("a path in the course"));
            if entry.file_type().is_dir() {
                fs::create_dir_all(to).expect("a folder");
            } else {
                fs::copy(entry.path(), to).expect("a file");
            }
        }
    }
    let built =
        Command::new(env!("CARGO_BIN_EXE_kettlebook")).arg("build").arg(folder).output().expect("kettlebook runs");
    assert!(built.status.success(), "{}", String::from_utf8_lossy(&built.stderr));
    folder.join("book")
}

/// What is loaded at once and what is loaded for the fields alone.
fn tell_sizes(book: &Path) {
    let lesson = fs::read_to_string(book.join(LESSON)).expect("the lesson");
    let named = |kind: &str| -> Vec<PathBuf> {
        let all = WalkDir::new(book).into_iter().filter_map(Result::ok).map(walkdir::DirEntry::into_path);
        let wanted = |it: &PathBuf| {
            let name = it.file_name().unwrap_or_default().to_string_lossy();
            lesson.contains(&*name) && name.contains("kettle") && name.ends_with(kind)
        };
        all.filter(wanted).collect()
    };
    println!("bytes, and bytes by gzip -9");
    println!("  every page, once for the course:");
    named(".css").iter().chain(&named(".js")).for_each(|it| tell_size(book, it));
    let own = lesson.matches(" data-kettle-n=").count() + lesson.matches("<!--kettle ").count();
    let marks: usize = lesson
        .match_indices("<!--kettle ")
        .map(|(it, _)| lesson[it..].find("-->").unwrap_or_default() + 3 + "<!--/kettle-->".len())
        .sum();
    println!(
        "  {LESSON}: {} bytes, of which {marks} are marks around blocks, for {own} blocks and values",
        lesson.len()
    );
    println!("  when the fields are opened:");
    let page = Path::new("pages").join(LESSON).with_extension("js");
    for name in ["calculator.js".as_ref(), "course.js".as_ref(), page.as_path()] {
        tell_size(book, &book.join("kettle").join(name));
    }
}

fn tell_size(book: &Path, file: &Path) {
    let bytes = fs::metadata(file).expect("the file is there").len();
    let packed = Command::new("gzip").arg("-9c").arg(file).output().expect("gzip runs").stdout.len();
    let name = file.strip_prefix(book).unwrap_or(file).display().to_string();
    println!("    {name:<36} {bytes:>9} {packed:>9}");
}
