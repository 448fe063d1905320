//! The same lessons as mdBook makes pages of them by itself: what a checker finds there is mdBook's, whatever it is.
//!
//! Blocks are left out and values stay as they were typed, so that nothing of ours is in these pages.

use std::fs;
use std::path::Path;

use mdbook_driver::MDBook;
use tempfile::TempDir;

use super::{demo_course, entries};

/// The demo course without Kettlebook, built by the mdBook that `kettlebook` is built with.
pub(crate) fn stock_course() -> TempDir {
    let course = demo_course();
    let book_toml = course.path().join("book.toml");
    let settings = fs::read_to_string(&book_toml).expect("book.toml can be read");
    let is_ours = |line: &&str| line.contains("theme/kettle.");
    let sections = settings.split("\n[").filter(|it| !it.starts_with("preprocessor.kettle]"));
    let stock =
        sections.collect::<Vec<_>>().join("\n[").lines().filter(|it| !is_ours(it)).collect::<Vec<_>>().join("\n");
    assert!(!stock.contains("kettle"), "{stock}");
    fs::write(&book_toml, stock).expect("book.toml can be written");
    without_blocks(&course.path().join("src"));
    MDBook::load(course.path()).and_then(|it| it.build()).expect("mdBook builds it");
    course
}

fn without_blocks(folder: &Path) {
    for path in entries(folder) {
        if path.is_dir() {
            without_blocks(&path);
        } else if path.extension().is_some_and(|it| it == "md") {
            let text = fs::read_to_string(&path).expect("the lesson can be read");
            // Inside a longer fence a block is only shown.
            let (mut kept, mut fence) = (String::new(), None);
            for line in text.lines() {
                let marks = line.trim_start().chars().take_while(|it| *it == '`').count();
                let words = line.trim_start()[marks..].trim();
                let is_kept = match fence {
                    None if marks >= 3 => {
                        fence = Some((marks, words.starts_with("kettle")));
                        !words.starts_with("kettle")
                    }
                    Some((opening, is_block)) => {
                        if marks >= opening && words.is_empty() {
                            fence = None;
                        }
                        !is_block
                    }
                    None => true,
                };
                if is_kept {
                    kept += line;
                    kept.push('\n');
                }
            }
            fs::write(&path, kept).expect("the lesson can be written");
        }
    }
}
