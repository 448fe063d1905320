//! Pages built: the demo course whole, and what a small course makes of included files, templates, forms and terms.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;

use crate::{PLAIN, build, changed, demo_course, edit, kettlebook, small_course, stderr, stdout, write};

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
fn one_saponification_value_changes_the_pages_that_depend_on_it_and_no_other_byte() {
    let (_folder, course) = demo_course();
    let before = build(&course);
    let table = fs::read_to_string(course.join("tables/fats.toml")).expect("the table can be read");
    // Tallow is in the card for reading and in two recipes of the chapter on recipes, nowhere else; the table of fats
    // lists it, and the chapter on tables shows the file itself.
    let tallow = "\n[tallow]\nsaponification-value = { use = 201, source = \"certificate\" }\n";
    write(&course, "tables/fats.toml", &format!("{table}{tallow}"));
    let after = build(&course);
    // The calculator of the pages is given the tables, and told what each of these pages says.
    let of_calculator = ["course.js", "pages/fat-table.js", "pages/instructor/recipes.js", "pages/weighing.js"];
    let of_calculator = of_calculator.map(|it| format!("kettle/{it}"));
    let lessons = ["weighing.html", "fat-table.html", "instructor/recipes.html", "instructor/tables.html"];
    let of_all_lessons = ["print.html", "searchindex.js"];
    let sheets = ["sheets/reading-card.html", "sheets/tea-bar.html", "sheets/two-lye-puck.html"];
    let expected = lessons.into_iter().chain(of_all_lessons).chain(sheets);
    assert_eq!(changed(&before, &after), expected.map(str::to_owned).chain(of_calculator).collect());

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
    write(&course, "src/SUMMARY.md", "# Summary\n\n- [Page](page.md)\n- [Next](next.md)\n");
    write(&course, "src/next.md", &"```kettle recipe\nuse = \"plain\"\n```\n\n".repeat(2));
    let output = kettlebook(&course, &["build"]);
    let words = stderr(&output);
    assert_eq!(words.matches("error[bad-template]").count(), 1, "at each card of each page: {words}");
    assert!(words.contains("course/theme/templates/recipe.html") && words.contains("titel"), "{words}");
}

#[test]
fn another_renderer_gets_tables_and_quotes_instead_of_html() {
    let (_folder, course) = small_course("- Step\n\n  ```kettle recipe\n  use = \"plain\"\n  ```\n", PLAIN);
    edit(&course, "book.toml", "[output.html]", "[output.markdown]\n[output.html]");
    let pages = build(&course);
    let page = String::from_utf8_lossy(&pages["markdown/page.md"]).into_owned();
    assert!(
        page.contains(
            "  | Sodium hydroxide (NaOH) (100\u{a0}% pure, into the water a little at a time) | 133\u{a0}g |"
        ),
        "{page}"
    );
    assert!(page.contains("> **Cautions: Plain**") && !page.contains("class=\"kettle"), "{page}");
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
