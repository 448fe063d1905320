//! The style sheet and the script of the blocks, and what every page says in its head.
//!
//! A preprocessor cannot add files to a book; mdBook takes them from the course's folder. So they are written there
//! before the pages are rendered, and only when they differ, or a watching mdBook would build for ever.

use std::collections::BTreeMap;
use std::path::{Component, Path, PathBuf};
use std::{fs, io};

use kettlebook::course::{SCRIPT, SHEETS, STYLE_SHEET};

const ASSETS: [(&str, &str); 2] = [
    (STYLE_SHEET, concat!(include_str!("../../../theme/css/kettle.css"), include_str!("../../../theme/css/print.css"))),
    // Both work on the same page with the same few functions, and leave no name on it.
    (
        SCRIPT,
        concat!(
            "(() => {\n\"use strict\";\n",
            include_str!("../../../theme/js/kettle.js"),
            include_str!("../../../theme/js/practice.js"),
            "})();\n"
        ),
    ),
];

/// The last line of a batch sheet, by which we know our own.
const MARK_OF_SHEETS: &str = "<!-- Written by Kettlebook at every build: changes made here are lost. -->\n";

/// What mdBook puts into the head of each page: the policy by which a browser refuses whatever is not in the book. Its last
/// line is the mark of ours, and a comment that reaches no page.
const HEAD: &str = include_str!("../../../theme/head.hbs");
const HEAD_FILE: &str = "head.hbs";

/// Why a file could not be written.
type Refusal = (PathBuf, io::Error);

/// Writes what is missing or out of date into the course's folder.
///
/// - `theme`: the folder of mdBook's theme as book.toml names it, below the course's. Where it is elsewhere, courses may
///   share it, and nothing is written there.
///
/// # Errors
///
/// The path that could not be written, and why. A head of pages that the instructor wrote is not touched.
pub fn write_assets(root: &Path, theme: &Path) -> Result<(), Refusal> {
    ASSETS.into_iter().try_for_each(|(path, text)| write(&root.join(path), text))?;
    let head = root.join(theme).join(HEAD_FILE);
    let is_below = theme.components().all(|it| matches!(it, Component::Normal(_) | Component::CurDir));
    let is_free = !head.is_symlink() && (!head.exists() || is_our_head(&head));
    if is_below && is_free { write(&head, HEAD) } else { Ok(()) }
}

/// Whether a file is a head of pages that a build wrote, of this edition of Kettlebook or another.
pub(crate) fn is_our_head(path: &Path) -> bool {
    let mark = HEAD.lines().next_back().unwrap_or(HEAD);
    path.ends_with(HEAD_FILE) && fs::read_to_string(path).is_ok_and(|it| it.trim_end().ends_with(mark))
}

/// Writes the batch sheets into the folder of lessons, from which mdBook copies them, and takes away those of recipes that
/// are gone.
///
/// - `src`: the folder of lessons.
/// - `sheets`: by the name of the recipe.
///
/// # Errors
///
/// The path that could not be written, and why. A file of the same name that no build wrote is not touched.
pub(crate) fn write_sheets(src: &Path, sheets: &BTreeMap<String, String>) -> Result<(), Refusal> {
    let folder = src.join(SHEETS);
    let is_ours = |path: &Path| fs::read_to_string(path).is_ok_and(|it| it.ends_with(MARK_OF_SHEETS));
    let entries = fs::read_dir(&folder).into_iter().flatten().flatten().map(|it| it.path());
    let gone = entries.filter(|it| {
        let id = it.file_name().and_then(|it| it.to_str()).and_then(|it| it.strip_suffix(".html"));
        id.is_some_and(|id| !sheets.contains_key(id)) && is_ours(it)
    });
    for path in gone.collect::<Vec<_>>() {
        fs::remove_file(&path).map_err(|cause| (path.clone(), cause))?;
    }
    for (id, text) in sheets {
        let path = folder.join(format!("{id}.html"));
        if path.exists() && !is_ours(&path) {
            let cause = io::Error::other("there is a file of this name that Kettlebook did not write; rename it");
            return Err((path, cause));
        }
        write(&path, &format!("{}\n{MARK_OF_SHEETS}", text.trim_end()))?;
    }
    Ok(())
}

/// Writes a file, unless it is what it should be: a watching mdBook would build for ever.
fn write(path: &Path, text: &str) -> Result<(), Refusal> {
    if fs::read_to_string(path).is_ok_and(|it| it == text) {
        return Ok(());
    }
    // What a link leads to is somebody else's file.
    if path.is_symlink() {
        let cause = io::Error::other("it is a link to another file; remove the link, and the file is written again");
        return Err((path.to_owned(), cause));
    }
    let folder = path.parent().unwrap_or(path);
    fs::create_dir_all(folder).and_then(|()| fs::write(path, text)).map_err(|cause| (path.to_owned(), cause))
}
