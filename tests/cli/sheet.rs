//! Recipes on paper: `kettlebook sheet`.

use std::fs;

use crate::{PLAIN, build, demo_course, edit, kettlebook, small_course, stderr, stdout, write};

#[test]
fn a_sheet_holds_what_the_card_and_the_cautions_say_and_a_mark_of_it() {
    let (folder, course) = small_course("", PLAIN);
    let sheets = folder.path().join("sheets");
    let written = |name: &str| {
        let output = kettlebook(&course, &["sheet", "plain", "--to", &sheets.display().to_string()]);
        assert!(output.status.success(), "{name}: {}", stderr(&output));
        fs::read_to_string(sheets.join("plain.html")).expect("the sheet can be read")
    };
    let mark_of = |sheet: &str| {
        let (_, rest) = sheet.split_once("Sheet <b>").expect("a mark");
        rest.split_once("</b>").expect("the mark ends").0.to_owned()
    };
    let sheet = written("first");
    for words in
        ["<b>133\u{a0}g</b>", "I weighed", "never pour water onto lye", "call a poison centre", "Mix the lye solution"]
    {
        assert!(sheet.contains(words), "{words} not in {sheet}");
    }
    assert!(
        !sheet.contains("http:") && !sheet.contains("https:") && !sheet.contains("src=") && !sheet.contains('\u{fdd3}'),
        "it needs no other file: {sheet}"
    );
    assert_eq!(mark_of(&written("again")), mark_of(&sheet), "the same says the same");
    edit(&course, "recipes/plain.toml", "superfat = 5", "superfat = 6");
    assert_ne!(mark_of(&written("another")), mark_of(&sheet));
}

#[test]
fn all_recipes_of_a_course_have_a_sheet_and_a_wrong_name_is_told() {
    let (folder, course) = demo_course();
    let sheets = folder.path().join("sheets").display().to_string();
    let output = kettlebook(&course, &["sheet", "--to", &sheets]);
    let n_recipes = fs::read_dir(course.join("recipes")).expect("the recipes").count();
    assert!(stdout(&output).starts_with(&format!("{n_recipes} sheets")), "{}", stdout(&output));
    assert_eq!(fs::read_dir(&sheets).expect("the sheets").count(), n_recipes);
    let output = kettlebook(&course, &["sheet", "quay-plane", "--to", &sheets]);
    assert!(!output.status.success() && stderr(&output).contains("did you mean `quay-plain`?"), "{}", stderr(&output));
}

#[test]
fn a_card_leads_to_its_sheet_and_sheets_of_recipes_that_are_gone_go_too() {
    let (_folder, course) = small_course("```kettle recipe\nuse = \"plain\"\n```\n", PLAIN);
    let pages = build(&course);
    let page = String::from_utf8_lossy(&pages["page.html"]).into_owned();
    assert!(page.contains("href=\"sheets/plain.html\""), "{page}");
    assert!(String::from_utf8_lossy(&pages["sheets/plain.html"]).contains("I weighed"));

    // A file of the author's own stays, whatever it is called, and is never written over.
    write(&course, "src/sheets/mine.html", "<p>Mine</p>\n");
    fs::rename(course.join("recipes/plain.toml"), course.join("recipes/other.toml")).expect("the recipe is renamed");
    edit(&course, "src/page.md", "plain", "other");
    let pages = build(&course);
    assert!(pages.contains_key("sheets/other.html") && !pages.contains_key("sheets/plain.html"));
    assert_eq!(pages["sheets/mine.html"], b"<p>Mine</p>\n");
    write(&course, "src/sheets/other.html", "<p>Mine too</p>\n");
    let output = kettlebook(&course, &["build"]);
    assert!(!output.status.success() && stderr(&output).contains("did not write"), "{}", stderr(&output));
    assert_eq!(fs::read_to_string(course.join("src/sheets/other.html")).expect("the file"), "<p>Mine too</p>\n");
}

#[test]
fn pages_left_out_of_the_print_of_the_course_are_marked_and_no_others() {
    let (_folder, course) = small_course("# Page\n", PLAIN);
    edit(&course, "book.toml", "[preprocessor.kettle]", "[preprocessor.kettle]\nleave-out-of-print = [\"teacher\"]");
    write(&course, "src/SUMMARY.md", "# Summary\n\n- [Page](page.md)\n- [Plan](teacher/plan.md)\n");
    write(&course, "src/teacher/plan.md", "# Plan\n");
    let pages = build(&course);
    let marks = |page: &str| String::from_utf8_lossy(&pages[page]).matches("class=\"kettle-left-out\"").count();
    assert_eq!([marks("page.html"), marks("teacher/plan.html"), marks("print.html")], [0, 1, 1]);
}
