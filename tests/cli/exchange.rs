//! The pages of the last good build: whole at every moment, whoever builds beside us and whenever we are killed.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use tempfile::TempDir;

use crate::{KETTLEBOOK, PLAIN, build, changed, edit, files, kettlebook, small_course, stderr, write};

/// A course of several pages, so that a torn book shows.
fn course_of_pages() -> (TempDir, PathBuf) {
    let (folder, course) = small_course("```kettle recipe\nuse = \"plain\"\n```\n", PLAIN);
    let mut summary = String::from("# Summary\n\n- [Page](page.md)\n");
    for n in 1..6 {
        summary.push_str(&format!("- [Lesson {n}](lesson-{n}.md)\n"));
        write(&course, &format!("src/lesson-{n}.md"), "# Lesson\n\nWords.\n");
    }
    write(&course, "src/SUMMARY.md", &summary);
    (folder, course)
}

/// Starts a build whose every page has `title` in it.
fn start(course: &Path, title: &str) -> Child {
    let mut command = Command::new(KETTLEBOOK);
    command.args(["build", "course"]).current_dir(course.parent().expect("the course is in a folder"));
    command.env("MDBOOK_BOOK__TITLE", title).stdout(Stdio::null()).stderr(Stdio::piped());
    command.spawn().expect("kettlebook runs")
}

/// The title that all pages have, if the book has the same files as `whole` and is from one build.
#[track_caller]
fn title_of(course: &Path, whole: &BTreeMap<String, Vec<u8>>) -> String {
    let book = files(&course.join("book"));
    // The search index has a name made of its content.
    let names = |book: &BTreeMap<String, Vec<u8>>| -> Vec<String> {
        book.keys().filter(|it| !it.starts_with("searchindex") && !it.starts_with("toc")).cloned().collect()
    };
    assert_eq!(names(&book), names(whole));
    let mut titles =
        book.iter().filter(|(name, _)| name.ends_with(".html") && *name != "toc.html").filter_map(|(name, it)| {
            let text = String::from_utf8_lossy(it).into_owned();
            let title =
                text.split_once("<title>").and_then(|(_, rest)| rest.split_once("</title>")).map(|it| it.0.to_owned());
            let title = title.unwrap_or_else(|| panic!("{name} is cut off"));
            // A batch sheet says below that it is ours.
            let end = if name.starts_with("sheets/") { "-->" } else { "</html>" };
            assert!(text.trim_end().ends_with(end), "{name} is cut off");
            // Sheets are titled by their recipes.
            let is_page = !name.starts_with("sheets/");
            is_page.then(|| title.rsplit(" - ").next().unwrap_or_default().to_owned())
        });
    let first = titles.next().expect("a page");
    assert!(titles.all(|it| it == first), "pages of several builds");
    first
}

/// What lies in the course that no author and no whole build put there.
fn left_over(course: &Path) -> Vec<String> {
    let entries = fs::read_dir(course).expect("the folder can be read");
    let names = entries.map(|it| it.expect("the entry can be read").file_name().to_string_lossy().into_owned());
    names.filter(|it| it.starts_with('.')).collect()
}

#[test]
fn builds_at_once_wait_for_one_another_and_the_book_is_of_one_of_them() {
    let (_folder, course) = course_of_pages();
    let whole = build(&course);
    for round in 0..8 {
        for n_builds in [2, 3, 5] {
            let titles: Vec<String> = (0..n_builds).map(|it| format!("build {round} {it} of {n_builds}")).collect();
            let children: Vec<Child> = titles.iter().map(|it| start(&course, it)).collect();
            for child in children {
                let output = child.wait_with_output().expect("it ends");
                assert!(output.status.success(), "{}", stderr(&output));
            }
            let title = title_of(&course, &whole);
            assert!(titles.contains(&title), "{title} is an older book");
            assert_eq!(left_over(&course), Vec::<String>::new());
        }
    }
}

/// Killed after every few milliseconds of its time; `killed_between_two_steps...` in `cli/pages.rs` has each step of the
/// exchange where it takes two.
#[cfg(unix)]
#[test]
fn killed_at_any_time_a_build_leaves_whole_pages_and_the_next_one_works() {
    let (_folder, course) = course_of_pages();
    let whole = build(&course);
    let started = Instant::now();
    assert!(start(&course, "first").wait().expect("it ends").success());
    let usual = started.elapsed();
    let mut before = "first".to_owned();
    let n_steps = 60;
    for step in 0..=n_steps {
        let title = format!("killed at step {step}");
        let mut child = start(&course, &title);
        std::thread::sleep(usual * step / n_steps * 11 / 10 + Duration::from_micros(100));
        child.kill().expect("it can be killed");
        child.wait().expect("it ends");
        let found = title_of(&course, &whole);
        assert!(found == before || found == title, "{found} at step {step}");
        before = found;
        if step % 10 == 0 {
            before = format!("after step {step}");
            assert!(start(&course, &before).wait().expect("it ends").success());
            assert_eq!(title_of(&course, &whole), before);
            assert_eq!(left_over(&course), Vec::<String>::new(), "step {step}");
        }
    }
}

#[cfg(unix)]
#[test]
fn a_book_that_is_a_link_is_followed_and_a_link_to_nowhere_is_told_before_anything_is_made() {
    let (folder, course) = course_of_pages();
    let elsewhere = folder.path().join("elsewhere/site");
    fs::create_dir_all(&elsewhere).expect("the folder can be made");
    std::os::unix::fs::symlink(&elsewhere, course.join("book")).expect("the link can be made");
    build(&course);
    assert!(course.join("book").is_symlink() && elsewhere.join("index.html").is_file());
    build(&course);
    assert!(course.join("book").is_symlink() && elsewhere.join("index.html").is_file());

    fs::remove_dir_all(&elsewhere).expect("the folder can be removed");
    let output = kettlebook(&course, &["build"]);
    assert!(
        !output.status.success() && stderr(&output).contains("course/book is a link that leads nowhere"),
        "{}",
        stderr(&output)
    );
    assert!(course.join("book").is_symlink());
}

#[test]
fn a_folder_for_pages_that_holds_the_course_is_refused_by_both_programs_and_every_file_stays() {
    for (build_dir, lost) in [("src", "`src`"), (".", "the course"), ("..", "the course"), ("recipes", "`recipes`")] {
        let (_folder, course) = course_of_pages();
        write(&course, "theme/kettle.css", "/* older */\n");
        let before = files(course.parent().expect("a folder"));
        edit(&course, "book.toml", "[preprocessor", &format!("[build]\nbuild-dir = \"{build_dir}\"\n[preprocessor"));
        for command in ["build", "check"] {
            let output = kettlebook(&course, &[command, "--format", "concise"]);
            let told = format!("course/book.toml:4:13: error[pages-over-course]: a build would delete {lost}");
            assert!(!output.status.success() && stderr(&output).contains(&told), "{}", stderr(&output));
        }
        let mut after = files(course.parent().expect("a folder"));
        let mut before = before;
        assert!(before.remove("course/book.toml").is_some() && after.remove("course/book.toml").is_some());
        assert_eq!(changed(&before, &after), BTreeSet::new(), "{build_dir}");
    }
}

#[cfg(unix)]
#[test]
fn a_link_to_the_lessons_is_no_folder_for_pages_either() {
    let (_folder, course) = course_of_pages();
    std::os::unix::fs::symlink(course.join("src"), course.join("book")).expect("the link can be made");
    let output = kettlebook(&course, &["build"]);
    assert!(stderr(&output).contains("error[pages-over-course]"), "{}", stderr(&output));
    assert!(course.join("src/SUMMARY.md").is_file());
}

#[test]
fn documents_where_the_pages_should_go_are_not_removed() {
    let (_folder, course) = course_of_pages();
    write(&course, "book/letter.docx", "Dear students");
    let output = kettlebook(&course, &["build"]);
    let told = stderr(&output);
    assert!(!output.status.success() && told.contains("(letter.docx)") && told.contains("build-dir"), "{told}");
    assert_eq!(files(&course.join("book")).len(), 1);

    // Also among pages that a build wrote.
    fs::remove_file(course.join("book/letter.docx")).expect("it can be removed");
    let good = build(&course);
    write(&course, "book/letter.docx", "Dear students");
    assert!(!kettlebook(&course, &["build"]).status.success());
    fs::remove_file(course.join("book/letter.docx")).expect("it can be removed");
    assert_eq!(changed(&good, &files(&course.join("book"))), BTreeSet::new());

    // A lesson and an image that are gone are what a build removes, and so are another form's pages.
    write(&course, "src/SUMMARY.md", "# Summary\n\n- [Page](page.md)\n");
    write(&course, "book/photo.jpg", "of a lesson that is gone");
    assert!(!build(&course).contains_key("lesson-1.html"));
    edit(&course, "book.toml", "[output.html]", "[output.markdown]\n[other]");
    edit(
        &course,
        "book.toml",
        "[other]\nadditional-css = [\"theme/kettle.css\"]\nadditional-js = [\"theme/kettle.js\"]\n",
        "",
    );
    assert!(build(&course).contains_key("page.md"));
    write(&course, "src/SUMMARY.md", "# Summary\n\n- [Page](page.md)\n- [Lesson](lesson-1.md)\n");
    build(&course);
    write(&course, "src/SUMMARY.md", "# Summary\n\n- [Page](page.md)\n");
    assert!(!build(&course).contains_key("lesson-1.md"));
}

/// Another form is made after the HTML pages, by a program that saves a recipe meanwhile: once, or at every try.
#[cfg(unix)]
#[test]
fn a_recipe_that_changes_during_the_build_is_built_again_or_told() {
    for (unless, is_built) in [("[ -e ../../../changed ]", true), ("false", false)] {
        let (_folder, course) = small_course("```kettle recipe\nuse = \"plain\"\n```\n\nWeigh {{ lye }}.\n", PLAIN);
        let before = build(&course);
        let saves = format!(
            "cat > /dev/null\n{unless} && exit\ntouch ../../../changed\ncd {}\ntouch recipes/plain.toml\n\
             sed -i 's/superfat = 5/superfat = 20/' recipes/plain.toml\n",
            course.display()
        );
        write(&course, "saves.sh", &saves);
        let other = format!("[output.later]\ncommand = \"sh {}\"\n[output.html]", course.join("saves.sh").display());
        edit(&course, "book.toml", "[output.html]", &other);
        let output = kettlebook(&course, &["build"]);
        assert_eq!(output.status.success(), is_built, "{}", stderr(&output));
        if is_built {
            // 1000 g * 197.5 / 1000 * 0.80 * 39.99712 / 56.10565 = 112.64 g, rounded down.
            let page = fs::read_to_string(course.join("book/html/page.html")).expect("the page");
            assert!(page.contains("data-kettle-recipe=\"plain\">112\u{a0}g</span>."), "{page}");
        } else {
            assert!(stderr(&output).contains("recipes/plain.toml was changed while"), "{}", stderr(&output));
            assert_eq!(changed(&before, &files(&course.join("book"))), BTreeSet::new());
        }
    }
}

/// What a build writes beside the lessons is no change of the course.
#[cfg(unix)]
#[test]
fn a_course_that_nobody_touches_is_built_once() {
    let (folder, course) = small_course("```kettle recipe\nuse = \"plain\"\n```\n", PLAIN);
    let runs = folder.path().join("runs");
    write(&course, "counts.sh", &format!("cat > /dev/null\necho >> {}\n", runs.display()));
    let other = format!("[output.later]\ncommand = \"sh {}\"\n[output.html]", course.join("counts.sh").display());
    edit(&course, "book.toml", "[output.html]", &other);
    for (n_builds, superfat) in ["superfat = 5", "superfat = 6", "superfat = 7"].into_iter().enumerate() {
        write(&course, "recipes/plain.toml", &PLAIN.replace("superfat = 5", superfat));
        build(&course);
        assert_eq!(fs::read_to_string(&runs).expect("it ran").lines().count(), n_builds + 1);
    }
}
