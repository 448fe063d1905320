//! The two programs from outside: real files, real exit codes, the real mdBook.
//!
//! The demo course is the material, always on a copy. The tests that need mdBook itself take it from `MDBOOK`, from
//! `target/tools/bin` or from the path; `tests/run` installs it.

mod cli {
    mod attempt;
    mod batch;
    mod exchange;
    mod findings;
    mod for_programs;
    mod list;
    mod look;
    mod mdbook;
    mod pages;
    mod sheet;
    mod streams;
}

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
        if name == "book" || name.starts_with('.') || ["head.hbs", "kettle.css", "kettle.js"].contains(&&*name) {
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

#[test]
fn a_program_says_its_own_name_with_its_version() {
    let output = Command::new(KETTLEBOOK).arg("--version").output().expect("kettlebook runs");
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    assert_eq!(said, concat!("kettlebook ", env!("CARGO_PKG_VERSION"), "\n"));
}
