//! The markup of the built pages as the W3C's checker (vnu) sees it: nothing in a batch sheet, and in a page of the course
//! nothing that it does not find in the stock mdBook page of the same lesson.
//!
//! `tests/run` installs the checker and a Java that runs it.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::Command;

use kettlebook::course::OwnPage;
use serde_json::{Value, json};
use tempfile::TempDir;

use super::axe::tool;
use super::built_course;
use super::own::assigned;
use super::stock::stock_course;

/// How often each message is told of each page, with one place where it is. What the pages of two books have in common has
/// the same name.
type Messages = BTreeMap<(String, String), (usize, String)>;

fn messages(books: &[&TempDir]) -> Vec<Messages> {
    let folders: Vec<_> = books.iter().map(|it| it.path().join("book")).collect();
    let output = Command::new("java")
        .arg("-jar")
        .arg(tool("VNU", "vnu-jar/build/dist/vnu.jar"))
        .args(["--format", "json", "--skip-non-html", "--exit-zero-always"])
        .args(&folders)
        .output()
        .expect("java runs (tests/run installs it: default-jre-headless)");
    let told: Value = serde_json::from_slice(&output.stderr)
        .unwrap_or_else(|cause| panic!("{cause}: {}", String::from_utf8_lossy(&output.stderr)));
    let told = told["messages"].as_array().expect("a list of messages");
    let of = |book: &Path| {
        let mut messages = Messages::new();
        for it in told {
            let text = |key: &str| it[key].as_str().unwrap_or_default();
            let Some((_, page)) = text("url").split_once(&format!("{}/", book.display())) else { continue };
            // It counts no file beside a page as the page's own; browsers do, and `policy.rs` asks them.
            if text("message").starts_with("Resource violates Content Security Policy (meta tag): ") {
                continue;
            }
            let place = format!("line {}: {}", it["lastLine"], text("extract"));
            let kind = format!("{}: {}", text("type"), text("message"));
            messages.entry((page.to_owned(), kind)).or_insert((0, place)).0 += 1;
        }
        messages
    };
    folders.iter().map(|it| of(it)).collect()
}

#[test]
fn the_checker_of_html_finds_nothing_in_sheets_and_nothing_new_in_lessons() {
    let ours = built_course();
    let stock = stock_course();
    let [found, theirs] = <[Messages; 2]>::try_from(messages(&[&ours, &stock])).expect("two books");
    // A check that finds nothing at all has not looked: mdBook has slips of its own on every page.
    assert!(theirs.len() > 10, "{theirs:#?}");
    let n_of_theirs = |page_and_kind| theirs.get(page_and_kind).map_or(0, |(n, _)| *n);
    let new: Vec<_> = found.iter().filter(|(page_and_kind, (n, _))| *n > n_of_theirs(*page_and_kind)).collect();
    assert!(new.is_empty(), "{new:#?}");
}

/// What is put into a page when a student sets something: the fields, the line, the blocks and what is told, each page of it
/// written as a file of its own.
#[test]
fn the_checker_of_html_finds_nothing_in_what_is_put_into_a_page() {
    let (ours, made) = (built_course(), tempfile::tempdir().expect("a temporary folder"));
    let kettle = ours.path().join("book/kettle");
    let mut n_pieces = 0;
    for (page, recipe) in [("plain-bar", "quay-plain"), ("layered-bar", "tideline"), ("salt-bar", "breakwater-salt")] {
        let open = json!({ "course": assigned(&kettle.join("course.js")), "page": assigned(&kettle.join(format!("pages/{page}.js"))) });
        for fields in [
            json!({ "size": "box", "inside-length": "20 cm", "inside-width": "6 cm", "fill-height": "6 cm", "step": "5 g" }),
            json!({ "superfat": "0.5", "exchange.coconut": "babassu" }),
            json!({ "weighed.lye": "500 g", "certificate.coconut": "250" }),
        ] {
            let mut library = OwnPage::default();
            assert_eq!(library.ask(&json!({ "open": open }).to_string()), "{}");
            let mut ask =
                |question: Value| -> Value { serde_json::from_str(&library.ask(&question.to_string())).expect("JSON") };
            let form = ask(json!({ "fields": { "recipe": recipe, "fields": fields } }));
            let answer = ask(json!({ "page": { "own": { recipe: fields } } }));
            let pieces: Vec<&str> =
                answer["pieces"].as_array().into_iter().flatten().filter_map(|it| it[1].as_str()).collect();
            n_pieces += pieces.len();
            let told = answer["told"][recipe]["html"].as_str().expect("what is told");
            let html = format!(
                "<!DOCTYPE html><html lang=\"en\"><head><title>Own</title></head><body><h1>Own</h1><main>{}\n<div>{told}</div>\n{}</main></body></html>",
                form["html"].as_str().expect("the fields"),
                pieces.join("\n")
            );
            fs::create_dir_all(made.path().join("book")).expect("the folder can be made");
            fs::write(made.path().join(format!("book/{page}-{n_pieces}.html")), html).expect("the page can be written");
        }
    }
    assert!(n_pieces > 100, "{n_pieces}");
    let [found] = <[Messages; 1]>::try_from(messages(&[&made])).expect("one book");
    assert!(found.is_empty(), "{found:#?}");
}
