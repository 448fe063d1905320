//! What a change would do to every lesson, before it is made.

use std::path::Path;

use crate::{PLAIN, build, changed, demo_course, edit, files, kettlebook, small_course, stderr, stdout};

const PAGE: &str = "```kettle safety\n```\n\n```kettle recipe\nuse = \"plain\"\n```\n\nWeigh {{ lye }} of lye.\n";

/// Several are asked for in one text, with a semicolon between them.
fn tried(course: &Path, tried: &str) -> (Option<i32>, String, String) {
    let arguments: Vec<&str> = ["try"].into_iter().chain(tried.split("; ")).collect();
    let output = kettlebook(course, &arguments);
    (output.status.code(), stdout(&output), stderr(&output))
}

#[test]
fn what_is_tried_is_what_is_printed_once_it_is_written() {
    let (_folder, course) = small_course(PAGE, PLAIN);
    build(&course);
    let before = files(&course);
    let (code, text, errors) = tried(&course, "recipes.plain.superfat=8");
    assert_eq!((code, errors.as_str()), (Some(3), ""));
    assert_eq!(changed(&before, &files(&course)).len(), 0, "nothing is written");
    // 1000 g * 197.5 / 1000 * 0.95 * 39.99712 / 56.10565 = 133.76 g, and with 0.92 it is 129.53 g; both are rounded down.
    assert!(text.starts_with("course/src/page.md\n"), "{text}");
    let line = text.lines().find(|it| it.trim_start().starts_with("plain: lye ")).expect("the lye");
    assert!(line.contains("133 g -> 129 g") && line.ends_with("(\u{2212}3.2 %)"), "{line}");
    // 133 g of NaOH do the work of 186.57 g of KOH, and 1 - 186.57 / 197.5 is 5.5 %: the old sheet is as it was.
    assert!(text.contains("  plain: superfat 5.5 %, at the worst ") && text.ends_with(": safe\n"), "{text}");
    edit(&course, "recipes/plain.toml", "superfat = 5", "superfat = 8");
    let page = String::from_utf8_lossy(&build(&course)["page.html"]).into_owned();
    assert!(page.contains(">129\u{a0}g") && !page.contains(">133\u{a0}g"));
    assert_eq!(tried(&course, "recipes.plain.superfat=8").1, "Nothing would be printed otherwise.\n");
}

#[test]
fn a_sheet_of_before_that_leaves_lye_over_is_told() {
    let (_folder, course) = small_course(PAGE, PLAIN);
    // 1 - 186.57 / 192 = 2.8 %, and the fat may have 192 at the least; 1 - 186.57 / 185 = -0.8 %.
    let (code, text, _) = tried(&course, "fats.lard.use=192");
    assert!(
        code == Some(3) && text.contains("  plain: superfat 2.8 %, ") && text.ends_with("safe\n"),
        "{code:?} {text}"
    );
    let (code, text, errors) = tried(
        &course,
        "fats.lard.saponification-value={ use = 185, low = 184, high = 186, source = \"a laboratory\" }",
    );
    assert_eq!(code, Some(4), "{errors}");
    assert!(
        text.contains("  plain: superfat \u{2212}0.8 %, at the worst \u{2212}") && text.contains("LYE IS LEFT OVER"),
        "{text}"
    );
    // A card of before that has other fats to weigh is no card of today's at all.
    let (code, text, _) = tried(&course, "recipes.plain.fats.lard=60; recipes.plain.fats.tallow=40");
    assert!(
        code == Some(4) && text.ends_with("plain: other things to weigh than now; throw the old sheet away\n"),
        "{text}"
    );
}

#[test]
fn another_mould_leaves_sheets_of_before_as_safe_as_they_were() {
    let (_folder, course) = demo_course();
    let (code, text, _) = tried(&course, "moulds.loaf-bench.fill-height=55 mm");
    assert_eq!(code, Some(3), "{text}");
    let sheets = text.rsplit("has:\n").next().expect("sheets");
    // Layered ones too, by their own layers.
    assert!(sheets.lines().count() > 8 && sheets.contains("  tideline: ") && !sheets.contains("LYE"), "{sheets}");
    for lesson in ["course/src/plain-bar.md", "course/src/layered-bar.md"] {
        assert!(text.contains(&format!("{lesson}\n")), "{lesson}");
    }
    assert!(!text.contains("course/src/soft-soap.md\n"), "the paste goes into jars");
    // A fat that no recipe has is in the table of fats all the same.
    let (code, text, _) = tried(&course, "fats.palm.use=201");
    assert_eq!(
        (code, text.as_str()),
        (Some(3), "course/src/fat-table.md\n  other words, or other values of tables\n\n")
    );
}

#[test]
fn what_cannot_be_tried_is_said_with_what_can() {
    let (_folder, course) = small_course(PAGE, PLAIN);
    for (asked, words) in [
        ("fat.lard.use=190", "did you mean `fats`?"),
        ("fats.lard", "write it as  NAME=VALUE"),
        ("lye=120 g", "the name has to say where"),
        ("recipes.plian.superfat=6", "there is no recipe named `plian`; did you mean `plain`?"),
        ("recipes.plain.pot.water-lost=6", "there is no `pot` in course/recipes/plain.toml"),
        ("recipes.plain.fats=50", "`fats` is a heading; name one of the keys below it"),
        ("recipes.plain.title.short=Bar", "`title` has no keys of its own"),
    ] {
        let (code, text, errors) = tried(&course, asked);
        assert!(code == Some(1) && text.is_empty() && errors.contains(words), "{asked}: {errors}");
    }
    // What the course would be refused for is told as for a file, and nothing else.
    let (code, text, errors) = tried(&course, "recipes.plain.superfat=-3");
    assert!(code == Some(1) && text.is_empty() && errors.contains("error[superfat-below-zero]"), "{errors}");
    assert!(errors.ends_with("error: the course could not be built like that; nothing was changed\n"), "{errors}");
    // A value that a shell took the quotes from is a text.
    let (code, text, errors) = tried(&course, "recipes.plain.batch=2 kg");
    assert!(code == Some(3) && text.contains("-> 2000 g"), "{errors} {text}");
}
