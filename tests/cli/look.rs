//! What the style sheet and the script of a course hold, by its setting and by its own tokens.

use std::fs;
use std::path::Path;

use crate::{PLAIN, build, edit, small_course, write};

/// A rule that only the lesson book has, and one of every block.
const OF_THE_BOOK: &str = ".kettle-way-title {";
const OF_A_BLOCK: &str = ".kettle-rows label {";

#[test]
fn a_setting_turns_the_look_off_and_leaves_the_blocks_theirs() {
    let (_folder, course) = small_course("# Page\n", PLAIN);
    let built = || {
        build(&course);
        (written(&course, "theme/kettle.css"), written(&course, "theme/kettle.js"))
    };
    let (style, script) = built();
    assert!(style.contains(OF_THE_BOOK) && style.contains(OF_A_BLOCK));
    edit(&course, "book.toml", "command =", "look = \"plain\"\ncommand =");
    let (plain_style, plain_script) = built();
    assert!(!plain_style.contains(OF_THE_BOOK) && plain_style.contains(OF_A_BLOCK));
    assert!(script.starts_with(&plain_script) && script.len() > plain_script.len());
}

/// A file of the course.
fn written(course: &Path, path: &str) -> String {
    fs::read_to_string(course.join(path)).expect("the file is written")
}

/// The style sheet after a build.
fn style(course: &Path) -> String {
    build(course);
    written(course, "theme/kettle.css")
}

#[test]
fn tokens_of_the_course_come_last_and_are_not_written_to() {
    let (_folder, course) = small_course("# Page\n", PLAIN);
    let tokens = ":root { --kettle-paper: #abc; }\n";
    write(&course, "theme/tokens.css", tokens);
    for _ in 0..2 {
        let style = style(&course);
        assert!(style.ends_with(tokens) && style.matches(tokens).count() == 1);
        assert_eq!(fs::read_to_string(course.join("theme/tokens.css")).expect("it is still there"), tokens);
    }
    fs::remove_file(course.join("theme/tokens.css")).expect("the file can be removed");
    assert!(!style(&course).contains(tokens));
}
