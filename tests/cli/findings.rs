//! What is wrong with a course, as the programs tell it.

use std::collections::BTreeSet;
use std::fs;
use std::process::Command;

use crate::{
    KETTLEBOOK, PLAIN, build, changed, demo_course, edit, files, kettlebook, small_course, stderr, stdout, write,
};

#[test]
fn everything_wrong_is_told_in_one_run_and_the_last_good_book_stays() {
    let (_folder, course) = demo_course();
    let good = build(&course);
    edit(&course, "recipes/quay-plain.toml", "olive = 50", "olvie = 50");
    edit(&course, "recipes/deck-soap.toml", "superfat = 3", "superfat = -3");
    edit(&course, "src/weighing.md", "{{ total.batch }} of batter", "{{ total.bacth }} of batter");
    write(&course, "tables/fats.toml", "[olive]\nsaponification-value = { use = 190 }\n");
    let output = kettlebook(&course, &["build", "--format", "concise"]);
    assert_eq!(output.status.code(), Some(1));
    assert_eq!(stdout(&output), "");
    let told = stderr(&output);
    for line in [
        "course/tables/fats.toml:2:24: error[value-without-source]",
        "course/recipes/deck-soap.toml:4:12: error[superfat-below-zero]",
        "course/recipes/quay-plain.toml:12:1: error[unknown-fat]: no fat named `olvie` in the table of fats; did you \
         mean `olive`?",
        "error[unknown-value]: there is no value `total.bacth` in this page's recipe; did you mean `total.batch`?",
        "Kettlebook found 4 errors.",
        "Nothing was built; the last good pages are as they were.",
    ] {
        assert!(told.contains(line), "{line}\nis not in\n{told}");
    }
    assert_eq!(changed(&good, &files(&course.join("book"))), BTreeSet::new());
}

#[test]
fn settings_that_are_no_toml_are_told_in_our_words() {
    let (_folder, course) = demo_course();
    let settings = fs::read_to_string(course.join("book.toml")).expect("book.toml can be read");
    write(&course, "book.toml", &format!("{settings}\n[preprocessor.other]\nnumber = 0,5\n"));
    for command in ["check", "build"] {
        let output = kettlebook(&course, &[command, "--format", "concise"]);
        assert_eq!(output.status.code(), Some(1));
        let told = stderr(&output);
        assert!(told.contains("error[toml-syntax]: a number has no comma") && told.contains("write 0.5"), "{told}");
        assert!(!told.contains("TOML parse error"), "{told}");
    }
}

#[test]
fn a_full_report_shows_the_line_and_the_next_step() {
    let (_folder, course) = small_course("```kettle recip\nuse = \"plain\"\n```\n", PLAIN);
    let output = kettlebook(&course, &["check"]);
    assert_eq!((output.status.code(), stdout(&output).as_str()), (Some(1), ""));
    let expected = "\
error[unknown-view]: there is no view named `recip`
 --> course/src/page.md:1:11
  |
1 | ```kettle recip
  |           ^^^^^ which view?
  |
  = help: did you mean `recipe`?
";
    assert!(stderr(&output).contains(expected), "{}", stderr(&output));
    assert!(!course.join("theme").exists(), "check writes nothing");
}

/// The chapter on mistakes shows a report; it is the report of these mistakes.
#[test]
fn the_sample_report_in_the_chapter_on_mistakes_is_a_real_one() {
    let (_folder, course) = demo_course();
    edit(&course, "recipes/quay-plain.toml", "olive = 50", "olive = 51");
    edit(&course, "src/plain-bar.md", "{{ percent.olive }}", "{{ percent.oliv }}");
    edit(&course, "src/slow-bar.md", "```kettle recipe", "```kettle recipes");
    let output = kettlebook(&course, &["build"]);
    let chapter = fs::read_to_string(course.join("src/instructor/mistakes.md")).expect("the chapter can be read");
    assert!(chapter.contains(stderr(&output).trim_end()), "the chapter should show:\n{}", stderr(&output));
}

#[test]
fn what_an_author_means_is_listed_by_check_and_nowhere_else_but_students_still_read_it() {
    let recipe = format!(
        "{PLAIN}[[additives]]\nitem = \"honey\"\nrate = \"1 %\"\n[[acknowledged]]\nfinding = \"heats-in-the-mould\"\n\
         because = \"the mould stays uncovered\"\n"
    );
    let (_folder, course) = small_course("```kettle safety\n```\n\n```kettle recipe\nuse = \"plain\"\n```\n", &recipe);
    let checked = kettlebook(&course, &["check", "course"]);
    let told = stderr(&checked);
    assert!(checked.status.success(), "{told}");
    assert!(
        told.contains("acknowledged[heats-in-the-mould]") && told.contains("because the mould stays uncovered"),
        "{told}"
    );
    assert!(stdout(&checked).contains("except what you have acknowledged"), "{}", stdout(&checked));
    let built = kettlebook(&course, &["build", "course"]);
    assert!(built.status.success() && !stderr(&built).contains("heats-in-the-mould"), "{}", stderr(&built));
    let page = fs::read_to_string(course.join("book/page.html")).expect("the page can be read");
    assert!(page.contains("With honey this soap heats up in the mould"), "{page}");
}

#[test]
fn json_has_standard_output_to_itself() {
    let (_folder, course) = small_course("```kettle recipe\nuse = \"plian\"\n```\n", PLAIN);
    let output = kettlebook(&course, &["build", "--format", "json"]);
    assert_eq!(output.status.code(), Some(1));
    let report: serde_json::Value = serde_json::from_slice(&output.stdout).expect("JSON alone");
    assert_eq!(report["version"], 1);
    let finding = &report["findings"][0];
    assert_eq!((&finding["code"], &finding["line"]), (&"unknown-recipe".into(), &2.into()));
    assert_eq!(finding["help"], "did you mean `plain`?");
}

#[test]
fn a_folder_without_a_course_gives_one_clear_sentence() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let output = Command::new(KETTLEBOOK).arg("build").current_dir(folder.path()).output().expect("it runs");
    assert_eq!(output.status.code(), Some(1));
    assert!(stderr(&output).starts_with("error: there is no "), "{}", stderr(&output));
}

#[test]
fn mistakes_in_the_list_of_lessons_and_files_that_are_no_text_are_told_with_all_others() {
    let (_folder, course) = demo_course();
    let good = build(&course);
    let mut list = fs::read_to_string(course.join("src/SUMMARY.md")).expect("the list can be read");
    list.push_str("\n[Gone](gone.md)\n\n[Again](lye.md)\n\n[Latin](latin.md)\n");
    write(&course, "src/SUMMARY.md", &list);
    fs::write(course.join("src/latin.md"), b"# Caf\xe9\n").expect("it can be written");
    let recipe = fs::read(course.join("recipes/deck-soap.toml")).expect("it can be read");
    fs::write(course.join("recipes/deck-soap.toml"), [b"# Caf\xe9\n", recipe.as_slice()].concat())
        .expect("it can be written");
    edit(&course, "recipes/quay-plain.toml", "olive = 50", "olvie = 50");
    for command in ["build", "check"] {
        let output = kettlebook(&course, &[command, "--format", "concise"]);
        let told = stderr(&output);
        for line in [
            "error[missing-chapter]: there is no lesson `gone.md`",
            "error[chapter-twice]: the lesson `lye.md` is listed twice",
            "course/src/latin.md:1:6: error[not-utf-8]",
            "course/recipes/deck-soap.toml:1:6: error[not-utf-8]",
            "error[unknown-fat]: no fat named `olvie`",
            "Kettlebook found 5 errors.",
        ] {
            assert!(told.contains(line), "{line}\nis not in\n{told}");
        }
        assert_eq!(output.status.code(), Some(1));
    }
    fs::remove_file(course.join("src/SUMMARY.md")).expect("it can be removed");
    let output = kettlebook(&course, &["check", "--format", "concise"]);
    assert!(stderr(&output).contains("course/book.toml:5:7: error[no-summary]"), "{}", stderr(&output));
    assert_eq!(changed(&good, &files(&course.join("book"))), BTreeSet::new());
}

/// A pipe would be waited for, and a device read without end.
#[cfg(unix)]
#[test]
fn what_is_no_file_or_far_too_long_is_refused_and_not_read() {
    let (_folder, course) =
        small_course("{{#include pipe}}\n\n{{#include /dev/zero}}\n\n{{#include long.md}}\n", PLAIN);
    let made = Command::new("mkfifo").arg(course.join("src/pipe")).status().expect("mkfifo runs");
    assert!(made.success());
    write(&course, "src/long.md", &"soap ".repeat(300_000));
    let output = kettlebook(&course, &["check"]);
    let told = stderr(&output);
    assert_eq!((output.status.code(), told.matches("unknown-included-file").count()), (Some(1), 3), "{told}");
    write(&course, "src/page.md", &"soap ".repeat(300_000));
    let told = stderr(&kettlebook(&course, &["check"]));
    assert!(told.contains("includes-too-long"), "{}", &told[..told.len().min(2000)]);
    write(&course, "recipes/long.toml", &"# soap\n".repeat(300_000));
    let told = stderr(&kettlebook(&course, &["check"]));
    assert!(told.contains("long.toml: it is longer than 1 MiB"), "{told}");
}
