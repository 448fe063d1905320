//! The markup of the built pages as the W3C's checker (vnu) sees it: nothing in a batch sheet, and in a page of the course
//! nothing that it does not find in the stock mdBook page of the same lesson.
//!
//! `tests/run` installs the checker and a Java that runs it.

use std::collections::BTreeMap;
use std::path::Path;
use std::process::Command;

use serde_json::Value;
use tempfile::TempDir;

use super::axe::tool;
use super::stock::stock_course;
use super::{build, demo_course};

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
    let ours = demo_course();
    build(ours.path());
    let stock = stock_course();
    let [found, theirs] = <[Messages; 2]>::try_from(messages(&[&ours, &stock])).expect("two books");
    // A check that finds nothing at all has not looked: mdBook has slips of its own on every page.
    assert!(theirs.len() > 10, "{theirs:#?}");
    let n_of_theirs = |page_and_kind| theirs.get(page_and_kind).map_or(0, |(n, _)| *n);
    let new: Vec<_> = found.iter().filter(|(page_and_kind, (n, _))| *n > n_of_theirs(*page_and_kind)).collect();
    assert!(new.is_empty(), "{new:#?}");
}
