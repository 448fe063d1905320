//! The real mdBook, and the protocol in which it speaks to a preprocessor.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use crate::{
    MDBOOK_KETTLE, PLAIN, build, changed, demo_course, edit, files, repository, small_course, stderr, stdout, write,
};

/// The folder that holds `mdbook`, with the folder of `mdbook-kettle`, as a search path.
fn path_with_mdbook() -> String {
    let tools = repository().join("target/tools/bin");
    let kettle = Path::new(MDBOOK_KETTLE).parent().expect("a folder");
    let given = std::env::var("MDBOOK").ok().map(PathBuf::from);
    let mdbook = given.as_deref().and_then(Path::parent).unwrap_or(&tools);
    let rest = std::env::var("PATH").unwrap_or_default();
    format!("{}:{}:{rest}", kettle.display(), mdbook.display())
}

fn mdbook(course: &Path) -> Output {
    let output = Command::new("mdbook").arg("build").current_dir(course).env("PATH", path_with_mdbook()).output();
    output.expect("mdbook is installed (tests/run does it, or: cargo install mdbook --version ^0.5)")
}

#[test]
fn mdbook_itself_gives_the_same_pages_byte_for_byte() {
    let (_folder, course) = demo_course();
    let output = mdbook(&course);
    assert!(output.status.success(), "{}", stderr(&output));
    let from_outside = files(&course.join("book"));
    let mut differing = changed(&from_outside, &build(&course));
    // The search index is made by a library of whichever mdBook is installed; its words come from the same pages.
    differing.remove("searchindex.js");
    assert_eq!(differing, BTreeSet::new());
    assert!(from_outside.contains_key("theme/kettle.css"));
}

#[test]
fn a_mistake_under_mdbook_itself_leaves_the_last_good_book_too() {
    let (_folder, course) = demo_course();
    assert!(mdbook(&course).status.success());
    let good = files(&course.join("book"));
    edit(&course, "recipes/quay-plain.toml", "superfat = 5", "superfatt = 5");
    let output = mdbook(&course);
    assert!(!output.status.success());
    assert!(stderr(&output).contains("recipes/quay-plain.toml:4:1"), "{}", stderr(&output));
    assert_eq!(changed(&good, &files(&course.join("book"))), BTreeSet::new());
}

/// What mdBook would send for a book of one page.
fn request(course: &Path, mdbook_version: &str) -> String {
    serde_json::json!([
        {
            "root": course, "renderer": "html", "mdbook_version": mdbook_version,
            "config": { "book": { "title": "Small", "src": "src" } }
        },
        { "items": [{ "Chapter": {
            "name": "Page", "content": "Weigh {{ lye }}.\n\n```kettle recipe\nuse = \"plain\"\n```\n", "number": null,
            "sub_items": [], "path": "page.md", "source_path": "page.md", "parent_names": []
        } }] }
    ])
    .to_string()
}

fn mdbook_kettle(request: &str) -> Output {
    assert_cmd::Command::new(MDBOOK_KETTLE).write_stdin(request).output().expect("mdbook-kettle runs")
}

#[test]
fn another_mdbook_of_the_same_protocol_is_served_and_any_other_gets_one_sentence() {
    let (_folder, course) = small_course("", PLAIN);
    for version in ["0.5.0", "0.5.4", "0.5.99"] {
        let output = mdbook_kettle(&request(&course, version));
        assert!(output.status.success(), "{version}: {}", stderr(&output));
        let book: serde_json::Value = serde_json::from_slice(&output.stdout).expect("one JSON book");
        let content = book["items"][0]["Chapter"]["content"].as_str().expect("text");
        // 1000 g * 197.5 / 1000 * 0.95 * 39.99712 / 56.10565 = 133.76 g, rounded down.
        assert!(
            content.contains(
                "Weigh <span data-kettle-n=\"0\" data-kettle=\"lye\" data-kettle-recipe=\"plain\">133\u{a0}g</span>."
            ),
            "{content}"
        );
    }
    for version in ["0.4.52", "0.6.0", "1.0.0"] {
        let output = mdbook_kettle(&request(&course, version));
        assert_eq!((output.status.code(), stdout(&output).as_str()), (Some(1), ""), "{version}");
        let words = stderr(&output);
        assert!(words.starts_with("mdbook-kettle needs mdBook 0.5"), "{words}");
        assert!(words.ends_with(&format!("this is mdBook {version}.\n")) && words.lines().count() == 1, "{words}");
    }
}

#[test]
fn the_question_about_renderers_is_answered_by_the_exit_code_alone() {
    for renderer in ["html", "epub", "test"] {
        let output = Command::new(MDBOOK_KETTLE).args(["supports", renderer]).output().expect("it runs");
        assert!(output.status.success() && output.stdout.is_empty() && output.stderr.is_empty());
    }
}

#[test]
fn after_mdbook_itself_the_first_build_takes_its_pages_for_pages() {
    let (_folder, course) = small_course("# Page\n", PLAIN);
    assert!(mdbook(&course).status.success());
    build(&course);
}

#[test]
fn mdbook_itself_does_not_empty_the_lessons() {
    let (_folder, course) = small_course("# Page\n", PLAIN);
    edit(&course, "book.toml", "[preprocessor", "[build]\nbuild-dir = \"src\"\n[preprocessor");
    assert!(stderr(&mdbook(&course)).contains("error[pages-over-course]"));
    assert!(course.join("src/page.md").is_file());
}

#[test]
fn what_a_recipe_says_is_no_directive_of_mdbook() {
    let recipe = PLAIN.replace("Plain", "Q {{#include ../secret.env}} {{ #include page.md }}");
    let page = "{{ title }}\n\n```kettle recipe\nuse = \"plain\"\n```\n\nTerm\n: Means &#123;{#include ../secret.env}}\n\n\
                ```kettle timeline\n```\n";
    let (_folder, course) = small_course(page, &recipe);
    write(&course, "secret.env", "KEY=published");
    write(&course, "src/words.md", "```kettle glossary\n```\n");
    write(&course, "src/SUMMARY.md", "# Summary\n\n- [Page](page.md)\n- [Words](words.md)\n");
    let output = mdbook(&course);
    assert!(output.status.success(), "{}", stderr(&output));
    for (name, bytes) in files(&course.join("book")) {
        let text = String::from_utf8_lossy(&bytes).into_owned();
        assert!(!text.contains("published"), "{name}");
        if name == "page.html" {
            assert!(text.matches("{{#include ../secret.env}} {{ #include page.md }}").count() > 3, "{text}");
        }
        if name == "words.html" {
            assert!(text.contains("Means {{#include ../secret.env}}"), "{text}");
        }
    }
}
