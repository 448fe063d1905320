//! Recipes on paper: `kettlebook sheet`.

use std::fs;

use crate::{PLAIN, demo_course, edit, kettlebook, small_course, stderr, stdout};

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
        ["<b>133\u{a0}g</b>", "I weighed", "never water onto the lye", "call a poison centre", "Mix the lye solution"]
    {
        assert!(sheet.contains(words), "{words} not in {sheet}");
    }
    assert!(!sheet.contains("http") && !sheet.contains('\u{fdd3}'), "it needs no other file: {sheet}");
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
