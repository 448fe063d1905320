//! What a course has, by name, and where it is used.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

use toml::Table;

use crate::{PLAIN, demo_course, edit, kettlebook, small_course, stderr, stdout};

/// The first words of the lines of a list.
fn ids(course: &Path, what: &str) -> BTreeSet<String> {
    let output = kettlebook(course, &["list", what]);
    assert!(output.status.success(), "{}", stderr(&output));
    let text = stdout(&output);
    text.lines().map(|it| it.split("  ").next().unwrap_or_default().to_owned()).collect()
}

/// The recipes, or the lessons, that are told to use something.
fn users(course: &Path, what: &str, name: &str, user: &str) -> BTreeSet<String> {
    let output = kettlebook(course, &["list", what, name]);
    assert!(output.status.success(), "{}", stderr(&output));
    let text = stdout(&output);
    text.lines().filter_map(|it| it.trim().strip_prefix(user)).map(|it| it.trim().to_owned()).collect()
}

fn toml_of(path: &Path) -> Table {
    fs::read_to_string(path).expect("the file can be read").parse().expect("TOML")
}

#[test]
fn whatever_a_recipe_names_is_listed_with_the_recipe_and_its_lessons() {
    let (_folder, course) = demo_course();
    let (fats, moulds) = (ids(&course, "fats"), ids(&course, "moulds"));
    let mut named: BTreeMap<(&str, String), BTreeSet<String>> = BTreeMap::new();
    for entry in fs::read_dir(course.join("recipes")).expect("recipes") {
        let path = entry.expect("a recipe").path();
        let (recipe, id) = (toml_of(&path), path.file_stem().expect("a name").to_string_lossy().into_owned());
        if recipe.contains_key("based-on") {
            continue;
        }
        let of_fats = recipe["fats"].as_table().expect("fats").keys().map(|it| ("fats", it.clone()));
        let of_moulds = recipe.get("mould").and_then(|it| it.as_str()).map(|it| ("moulds", it.to_owned()));
        for name in of_fats.chain(of_moulds) {
            named.entry(name).or_default().insert(id.clone());
        }
    }
    assert!(named.len() > 12, "{named:?}");
    for ((what, name), recipes) in &named {
        assert!(if *what == "fats" { &fats } else { &moulds }.contains(name), "{name}");
        let told = users(&course, what, name, "recipe ");
        assert!(told.is_superset(recipes), "{name}: {told:?} and not {recipes:?}");
    }
    for own in toml_of(&course.join("tables/moulds.toml")).keys() {
        assert!(moulds.contains(own), "{own}");
    }
    // A lesson is named as findings name it, and a variant as what uses its base.
    assert!(users(&course, "recipes", "quay-plain", "lesson ").contains("course/src/plain-bar.md"));
    assert_eq!(users(&course, "recipes", "tideline", "recipe "), BTreeSet::from(["tideline-vegan".to_owned()]));
    assert!(users(&course, "fats", "lard", "lesson ").contains("course/src/layered-bar.md"));
    assert!(!users(&course, "fats", "lard", "lesson ").contains("course/src/plain-bar.md"));
}

#[test]
fn a_word_and_a_value_are_listed_with_where_they_stand() {
    let (_folder, course) = demo_course();
    assert_eq!(users(&course, "terms", "Trace", "lesson "), BTreeSet::from(["course/src/plain-bar.md".to_owned()]));
    let values = ids(&course, "values");
    for name in ["title", "lye", "fats.FAT", "layers.LAYER.fats", "superfat_at_worst", "times.mould"] {
        assert!(values.contains(name), "{name}");
    }
    assert!(users(&course, "values", "lye", "lesson ").contains("course/src/lye.md"));
    assert!(stdout(&kettlebook(&course, &["list", "fats", "almond"])).ends_with("  used nowhere\n"));
}

#[test]
fn a_name_that_is_not_there_gets_the_nearest_and_a_course_with_errors_is_listed_all_the_same() {
    let (_folder, course) = small_course("```kettle safety\n```\n\n```kettle recipe\nuse = \"plain\"\n```\n", PLAIN);
    let output = kettlebook(&course, &["list", "fats", "lrad"]);
    assert_eq!((output.status.code(), stdout(&output)), (Some(1), String::new()));
    assert_eq!(stderr(&output), "error: there is no `lrad` in this list; did you mean `lard`?\n");
    edit(&course, "recipes/plain.toml", "lard = 100", "lard = 90");
    let output = kettlebook(&course, &["list", "recipes"]);
    assert_eq!(output.status.code(), Some(0));
    assert!(stdout(&output).starts_with("plain  cannot be computed, see `kettlebook check`"), "{}", stdout(&output));
    assert!(stderr(&output).starts_with("The course has errors"), "{}", stderr(&output));
    let output = kettlebook(&course, &["list", "fats", "--course", "nowhere"]);
    assert!(output.status.code() == Some(1) && stderr(&output).contains("nowhere/book.toml"), "{}", stderr(&output));
}
