//! The two programs from outside: real files, real exit codes, the real mdBook.
//!
//! The demo course is the material, always on a copy. The tests that need mdBook itself take it from `MDBOOK`, from
//! `target/tools/bin` or from the path; `tests/run` installs it.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use tempfile::TempDir;

const KETTLEBOOK: &str = env!("CARGO_BIN_EXE_kettlebook");
const MDBOOK_KETTLE: &str = env!("CARGO_BIN_EXE_mdbook-kettle");

fn repository() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// A copy of the demo course in a folder of its own.
fn demo_course() -> (TempDir, PathBuf) {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let course = folder.path().join("course");
    copy(&repository().join("course"), &course);
    (folder, course)
}

/// Copies what an author wrote: no built pages and no generated assets.
fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).expect("the folder can be made");
    for entry in fs::read_dir(from).expect("the folder can be read") {
        let entry = entry.expect("the entry can be read");
        let name = entry.file_name().to_string_lossy().into_owned();
        if name == "book" || name.starts_with('.') || name == "kettle.css" || name == "kettle.js" {
            continue;
        }
        if entry.path().is_dir() {
            copy(&entry.path(), &to.join(&name));
        } else {
            fs::copy(entry.path(), to.join(&name)).expect("the file can be copied");
        }
    }
}

/// A course of one page and one recipe.
fn small_course(page: &str, recipe: &str) -> (TempDir, PathBuf) {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let course = folder.path().join("course");
    write(&course, "src/SUMMARY.md", "# Summary\n\n- [Page](page.md)\n");
    write(&course, "src/page.md", page);
    write(&course, "recipes/plain.toml", recipe);
    write(
        &course,
        "book.toml",
        "[book]\ntitle = \"Small\"\n[preprocessor.kettle]\ncommand = \"mdbook-kettle\"\n[output.html]\n\
         additional-css = [\"theme/kettle.css\"]\nadditional-js = [\"theme/kettle.js\"]\n",
    );
    (folder, course)
}

const PLAIN: &str = "title = \"Plain\"\nbatch = \"1000 g\"\nsuperfat = 5\nalkali = \"NaOH\"\npurity = { NaOH = 100 }\n\
                     water = { lye-concentration = 33 }\n[fats]\nlard = 100\n";

fn write(course: &Path, path: &str, text: &str) {
    let path = course.join(path);
    fs::create_dir_all(path.parent().expect("a parent")).expect("the folder can be made");
    fs::write(path, text).expect("the file can be written");
}

fn edit(course: &Path, path: &str, from: &str, to: &str) {
    let path = course.join(path);
    let text = fs::read_to_string(&path).expect("the file can be read");
    assert!(text.contains(from), "{} no longer has {from:?}", path.display());
    fs::write(path, text.replace(from, to)).expect("the file can be written");
}

/// Runs `kettlebook` in the folder above the course, as an instructor would.
fn kettlebook(course: &Path, arguments: &[&str]) -> Output {
    let folder = course.parent().expect("the course is in a folder");
    Command::new(KETTLEBOOK).args(arguments).current_dir(folder).output().expect("kettlebook runs")
}

fn stdout(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned()
}

fn stderr(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

#[track_caller]
fn build(course: &Path) -> BTreeMap<String, Vec<u8>> {
    let output = kettlebook(course, &["build"]);
    assert!(output.status.success(), "{}", stderr(&output));
    files(&course.join("book"))
}

/// Every file of a folder with its bytes.
fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    fn visit(root: &Path, folder: &Path, files: &mut BTreeMap<String, Vec<u8>>) {
        for entry in fs::read_dir(folder).expect("the folder can be read") {
            let path = entry.expect("the entry can be read").path();
            if path.is_dir() {
                visit(root, &path, files);
            } else {
                let name = path.strip_prefix(root).expect("below the root").to_string_lossy().replace('\\', "/");
                files.insert(name, fs::read(&path).expect("the file can be read"));
            }
        }
    }
    let mut all = BTreeMap::new();
    visit(folder, folder, &mut all);
    all
}

fn changed(before: &BTreeMap<String, Vec<u8>>, after: &BTreeMap<String, Vec<u8>>) -> BTreeSet<String> {
    let names = before.keys().chain(after.keys());
    names.filter(|it| before.get(*it) != after.get(*it)).cloned().collect()
}

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
fn the_demo_course_builds_and_tells_where_the_pages_are() {
    let (_folder, course) = demo_course();
    let output = kettlebook(&course, &["build"]);
    assert!(output.status.success(), "{}", stderr(&output));
    assert_eq!(stdout(&output), "The course is ready: open course/book/index.html in any web browser.\n");
    assert_eq!(stderr(&output), "");
    assert!(course.join("book/index.html").is_file());
    let left_over: Vec<_> = fs::read_dir(&course)
        .expect("the folder can be read")
        .filter_map(|it| Some(it.ok()?.file_name().to_string_lossy().into_owned()))
        .filter(|it| it.starts_with(".book"))
        .collect();
    assert_eq!(left_over, Vec::<String>::new());
}

#[test]
fn no_block_and_no_value_is_left_in_the_demo_course() {
    let (_folder, course) = demo_course();
    for (name, bytes) in build(&course) {
        let is_lesson = name.ends_with(".html") && !name.contains('/') && name != "print.html";
        let text = String::from_utf8_lossy(&bytes);
        assert!(!is_lesson || !(text.contains("{{") || text.contains("language-kettle")), "{name}");
        assert!(!text.contains("NaN") || !name.ends_with(".html"), "{name}");
    }
}

#[test]
fn everything_wrong_is_told_in_one_run_and_the_last_good_book_stays() {
    let (_folder, course) = demo_course();
    let good = build(&course);
    edit(&course, "recipes/quay-plain.toml", "olive = 50", "olvie = 50");
    edit(&course, "recipes/deck-soap.toml", "superfat = 5", "superfat = -5");
    edit(&course, "src/weighing.md", "{{ total.batch }} of batter", "{{ total.bacth }} of batter");
    write(&course, "tables/fats.toml", "[olive]\nsaponification-value = { use = 190 }\n");
    let output = kettlebook(&course, &["build", "--format", "concise"]);
    assert_eq!(output.status.code(), Some(1));
    assert_eq!(stdout(&output), "");
    let told = stderr(&output);
    for line in [
        "course/tables/fats.toml:2:24: error[value-without-source]",
        "course/recipes/deck-soap.toml:4:12: error[superfat-below-zero]",
        "course/recipes/quay-plain.toml:10:1: error[unknown-fat]: no fat named `olvie` in the table of fats; did you \
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
    assert!(stdout(&checked).contains("but what you have acknowledged"), "{}", stdout(&checked));
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
fn one_saponification_value_changes_the_pages_that_depend_on_it_and_no_other_byte() {
    let (_folder, course) = demo_course();
    let before = build(&course);
    let table = fs::read_to_string(course.join("tables/fats.toml")).expect("the table can be read");
    // Tallow is in the card for reading and in two recipes of the chapter on recipes, nowhere else; the table of fats
    // lists it, and the chapter on tables shows the file itself.
    let tallow = "\n[tallow]\nsaponification-value = { use = 201, source = \"certificate\" }\n";
    write(&course, "tables/fats.toml", &format!("{table}{tallow}"));
    let after = build(&course);
    let lessons = ["weighing.html", "fat-table.html", "instructor/recipes.html", "instructor/tables.html"];
    let of_all_lessons = ["print.html", "searchindex.js"];
    assert_eq!(changed(&before, &after), lessons.into_iter().chain(of_all_lessons).map(str::to_owned).collect());

    // Olive oil is in most recipes; the pages without it keep every byte.
    write(&course, "tables/fats.toml", &format!("{}{tallow}", table.replace("188.4", "191.4")));
    let olive = changed(&after, &build(&course));
    for page in ["lye.html", "plain-bar.html", "slow-bar.html", "soft-soap.html", "weighing.html"] {
        assert!(olive.contains(page), "{page} shows olive oil");
    }
    for page in ["index.html", "layered-bar.html", "scents.html", "instructor/settings.html"] {
        assert!(!olive.contains(page), "{page} shows no olive oil");
    }
}

#[test]
fn two_builds_of_the_same_course_give_the_same_bytes() {
    let (_first, one) = demo_course();
    let (_second, other) = demo_course();
    assert_eq!(changed(&build(&one), &build(&other)), BTreeSet::new());
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
            content.contains("Weigh <span data-kettle=\"lye\" data-kettle-recipe=\"plain\">133\u{a0}g</span>."),
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
fn blocks_in_an_included_file_are_computed_and_their_mistakes_have_its_place() {
    let page = "# Page\n\n{{#include parts/card.md}}\n\nWeigh {{ lye }}.\n\n```text\n{{#include parts/card.md}}\n```\n";
    let (_folder, course) = small_course(page, PLAIN);
    write(&course, "src/parts/card.md", "```kettle recipe\nuse = \"plain\"\n```\n");
    let pages = build(&course);
    let text = String::from_utf8_lossy(&pages["page.html"]).into_owned();
    assert!(
        text.contains("data-kettle-card=\"page.md#1\"") && text.contains("data-kettle-recipe=\"plain\">133"),
        "{text}"
    );
    assert!(text.contains("```kettle recipe"), "in a code block the file is shown as it is");

    write(&course, "src/parts/card.md", "\n```kettle recipe\nuse = \"plian\"\n```\n");
    let output = kettlebook(&course, &["check", "--format", "concise"]);
    assert!(stderr(&output).contains("course/src/parts/card.md:3:7: error[unknown-recipe]"), "{}", stderr(&output));
}

#[test]
fn a_course_replaces_a_template_by_a_file_of_the_same_name() {
    let (_folder, course) = small_course("```kettle recipe\nuse = \"plain\"\n```\n", PLAIN);
    write(&course, "theme/templates/recipe.html", "<p class=\"ours\">Our own card of {{ title }}\n</p>\n");
    let pages = build(&course);
    let page = String::from_utf8_lossy(&pages["page.html"]).into_owned();
    assert!(page.contains("<p class=\"ours\">Our own card of Plain </p>"), "{page}");

    write(&course, "theme/templates/recipe.html", "{{ titel }}\n");
    let output = kettlebook(&course, &["build"]);
    let words = stderr(&output);
    assert!(words.contains("course/theme/templates/recipe.html") && words.contains("titel"), "{words}");
}

#[test]
fn another_renderer_gets_tables_and_quotes_instead_of_html() {
    let (_folder, course) = small_course("- Step\n\n  ```kettle recipe\n  use = \"plain\"\n  ```\n", PLAIN);
    edit(&course, "book.toml", "[output.html]", "[output.markdown]\n[output.html]");
    let pages = build(&course);
    let page = String::from_utf8_lossy(&pages["markdown/page.md"]).into_owned();
    assert!(page.contains("  | Sodium hydroxide (NaOH) (100\u{a0}% pure) | 133\u{a0}g |"), "{page}");
    assert!(page.contains("> **Cautions: Plain**") && !page.contains("class=\"kettle"), "{page}");
}

#[test]
fn one_recipe_is_printed_with_its_amounts_and_its_arithmetic() {
    let (_folder, course) = small_course("", PLAIN);
    let output = kettlebook(&course, &["batch", "plain"]);
    let sheet = stdout(&output);
    assert!(output.status.success(), "{}", stderr(&output));
    // 1000 g * 197.5 / 1000 = 197.5 g KOH; * 0.95 * 39.99712 / 56.10565 = 133.76 g NaOH.
    for line in [
        "  Sodium hydroxide (NaOH) (100 % pure)                    133 g\n",
        "   Lard: 1000.00 g × 197.5 ÷ 1000 = 197.50 g\n",
        "   187.63 g × 39.997 ÷ 56.106 = 133.76 g of pure NaOH\n",
        "7. How sure the superfat is\n",
    ] {
        assert!(sheet.contains(line), "{line}\nnot in\n{sheet}");
    }
}

#[test]
fn the_json_of_a_recipe_keeps_to_its_schema_and_holds_the_numbers_of_the_page() {
    let (_folder, course) = demo_course();
    let schema = kettlebook(&course, &["batch", "--schema"]);
    let schema: serde_json::Value = serde_json::from_slice(&schema.stdout).expect("JSON");
    let validator = jsonschema::validator_for(&schema).expect("a schema");
    let pages = build(&course);
    let page = String::from_utf8_lossy(&pages["plain-bar.html"]).into_owned();
    for recipe in ["quay-plain", "tideline", "deck-soap", "winter-olive", "reading-card", "two-lye-puck"] {
        let output = kettlebook(&course, &["batch", recipe, "--json"]);
        let batch: serde_json::Value = serde_json::from_slice(&output.stdout).expect("JSON alone");
        if let Some(error) = validator.iter_errors(&batch).next() {
            panic!("{recipe}: {error}");
        }
        assert_eq!((&batch["version"], &batch["recipe"]), (&1.into(), &recipe.into()));
        if recipe == "quay-plain" {
            for amount in batch["amounts"].as_array().expect("amounts") {
                for printed in amount["printed"].as_array().expect("printed") {
                    let text = printed["text"].as_str().expect("text").replace(' ', "\u{a0}");
                    assert!(page.contains(&text), "{text} is not on the page");
                }
            }
        }
    }
    assert!(
        validator.iter_errors(&serde_json::json!({ "version": 1 })).next().is_some(),
        "the schema asks for something"
    );
}

#[test]
fn a_recipe_can_be_printed_in_another_size_for_another_scale() {
    let (_folder, course) = small_course("", PLAIN);
    let number = |arguments: &[&str], part: &str| {
        let output = kettlebook(&course, &[&["batch", "plain", "--json"], arguments].concat());
        let batch: serde_json::Value = serde_json::from_slice(&output.stdout).expect("JSON alone");
        let amounts = batch["amounts"].as_array().expect("amounts").clone();
        let amount = amounts.iter().find(|it| it["part"] == part).expect("the part is there").clone();
        (
            amount["exact"]["value"].as_f64().expect("a number"),
            amount["printed"][0]["value"].as_f64().expect("a number"),
        )
    };
    assert_eq!(number(&["--batch", "2 kg"], "total-fats"), (2000.0, 2000.0));
    assert_eq!(number(&["--scale", "5 g"], "alkali").1, 130.0);
    let at_ten = number(&["--superfat", "10"], "alkali").0;
    assert!((at_ten / number(&[], "alkali").0 - 0.90 / 0.95).abs() < 1e-12);
    // A small slab of 300 mm by 200 mm by 30 mm holds 1800 mL; fats and lye of this recipe have about 0.72 g of fats a mL.
    let slab = number(&["--mould", "slab-small"], "total-fats").0;
    assert!((1200.0..1400.0).contains(&slab), "{slab}");
}

#[test]
fn a_variant_is_printed_by_its_name_and_by_its_path_and_tells_what_is_wrong_with_its_base() {
    let (_folder, course) = small_course("", PLAIN);
    write(&course, "recipes/soft.toml", "title = \"Softer\"\nbased-on = \"plain\"\nsuperfat = 10\n");
    // 187.63 g of KOH at 5 % superfat are 177.75 g at 10 %; * 39.99712 / 56.10565 = 126.72 g of NaOH.
    for recipe in ["soft", "course/recipes/soft.toml", "./course/recipes/soft.toml"] {
        let output = kettlebook(&course, &["batch", recipe]);
        assert!(output.status.success(), "{}", stderr(&output));
        assert!(stdout(&output).starts_with("Softer\n"), "{}", stdout(&output));
        assert!(stdout(&output).contains("126 g\n"), "{}", stdout(&output));
    }
    // A file outside the course rests on the course's recipes too.
    write(&course, "../try.toml", "title = \"Tried\"\nbased-on = \"soft\"\nbatch = \"100 g\"\n");
    let output = kettlebook(&course, &["batch", "try.toml", "--batch", "2 kg"]);
    assert!(stdout(&output).contains("253 g\n"), "{}{}", stdout(&output), stderr(&output));

    edit(&course, "recipes/plain.toml", "lard", "lrad");
    let output = kettlebook(&course, &["batch", "soft"]);
    assert_eq!((output.status.code(), stdout(&output).as_str()), (Some(1), ""));
    assert!(stderr(&output).contains("error[unknown-fat]"), "{}", stderr(&output));
    assert_eq!(stderr(&output).matches("error[").count(), 1, "{}", stderr(&output));

    write(&course, "recipes/plain.toml", "title = \"Circle\"\nbased-on = \"soft\"\n");
    for recipe in ["soft", "plain", "try.toml"] {
        let output = kettlebook(&course, &["batch", recipe]);
        assert_eq!((output.status.code(), stdout(&output).as_str()), (Some(1), ""), "{recipe}");
        assert_eq!(stderr(&output).matches("error[circular-base]").count(), 1, "{recipe}: {}", stderr(&output));
    }
}

#[test]
fn what_is_wrong_with_a_recipe_or_an_argument_leaves_standard_output_empty() {
    let (_folder, course) = small_course("", PLAIN);
    for (arguments, words) in [
        (&["plian"][..], "no recipe named `plian` in course/recipes; did you mean `plain`?"),
        (&["plain", "--superfat", "-3"], "error[superfat-below-zero]"),
        (&["plain", "--superfat", "nan"], "is not a percentage of the fats"),
        (&["plain", "--batch", "9"], "--batch \"9\" cannot be read: its unit is missing"),
        (&["plain", "--batch", "9 t"], "the unit `t` is not known here"),
        (&["plain", "--mould", "slab-smal"], "did you mean `slab-small`?"),
        (&["plain", "--scale", "0 g"], "is not the smallest step of a scale"),
        (&["plain", "--bogus"], "unexpected argument"),
        (&["missing.toml"], "cannot read missing.toml"),
    ] {
        let output = kettlebook(&course, &[&["batch"], arguments].concat());
        assert_eq!((output.status.code(), stdout(&output).as_str()), (Some(1), ""), "{arguments:?}");
        assert!(stderr(&output).contains(words), "{arguments:?}: {}", stderr(&output));
    }
}

/// Every link of the glossary leads to the term it stands under: from a subfolder, from the page of a README, and on the
/// page for printing. All are relative, so that they work without a server.
#[test]
fn the_links_of_the_glossary_lead_to_the_terms() {
    let (_folder, course) = small_course("# Page\n\nSoda ash\n: A *bloom*; see [below](part/README.md#cure).\n", "");
    fs::remove_file(course.join("recipes/plain.toml")).expect("the recipe can be taken away");
    let summary = "# Summary\n\n- [Page](page.md)\n- [Part](part/README.md)\n  - [Deep](part/deep/er.md)\n\
                   - [Draft]()\n- [Glossary](back/glossary.md)\n";
    write(&course, "src/SUMMARY.md", summary);
    write(&course, "src/part/README.md", "# Part\n\nCure\n: Weeks. [Page](../page.md)\n");
    write(&course, "src/part/deep/er.md", "# Deep\n\n## Gel\n\nGel\n: A state.\n\nGel point\n: Of it.\n");
    write(&course, "src/back/glossary.md", "# Glossary\n\n```kettle glossary\n```\n");
    let pages: BTreeMap<String, String> =
        build(&course).into_iter().map(|(name, bytes)| (name, String::from_utf8_lossy(&bytes).into_owned())).collect();
    let links = |page: &str| -> Vec<String> {
        let block = pages[page].split_once("class=\"kettle kettle-glossary\"").expect("the glossary").1;
        let block = block.split("</dl>").next().unwrap_or_default();
        block.split("href=\"").skip(1).map(|it| it.split('"').next().unwrap_or_default().to_owned()).collect()
    };
    let targets = links("back/glossary.html");
    assert_eq!(
        targets,
        [
            "../page.html",
            "../part/index.html#cure",
            "../part/deep/er.html#gel",
            "../part/deep/er.html#gel-point",
            // A README becomes the index of its folder, also where the author's link names it.
            "../part/index.html#cure",
            "../page.html#soda-ash",
        ]
    );
    for target in &targets {
        let (page, id) = target.trim_start_matches("../").split_once('#').unwrap_or((target, ""));
        let page = pages.get(page.trim_start_matches("../")).unwrap_or_else(|| panic!("{target}: no such page"));
        assert!(id.is_empty() || page.contains(&format!("id=\"{id}\"")), "{target}");
    }
    let in_print = links("print.html");
    assert_eq!(in_print.len(), targets.len());
    for target in &in_print {
        let id = target.strip_prefix('#').unwrap_or_else(|| panic!("{target} leaves the page for printing"));
        assert!(pages["print.html"].contains(&format!("id=\"{id}\"")), "{target}");
    }
}
