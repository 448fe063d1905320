//! The style sheet and the script of the blocks, and what every page says in its head.
//!
//! A preprocessor cannot add files to a book; mdBook takes them from the course's folder. So they are written there
//! before the pages are rendered, and only when they differ, or a watching mdBook would build for ever.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Component, Path, PathBuf};
use std::{fs, io};

use kettlebook::course::{CourseTexts, Look, PageTexts, SCRIPT, SHEETS, STYLE_SHEET, TOKENS};

/// Which looks have a piece of a file, and the piece.
type Piece = (&'static [Look], &'static str);

const ALWAYS: &[Look] = &[Look::LessonBook, Look::Plain];
const TOKENS_OF_OURS: &str = include_str!("../../../theme/css/tokens.css");
/// After the tokens. What is for paper comes last, so that it holds there whatever the look.
const STYLE: [Piece; 5] = [
    (ALWAYS, include_str!("../../../theme/css/kettle.css")),
    (ALWAYS, include_str!("../../../theme/css/bench.css")),
    (ALWAYS, include_str!("../../../theme/css/own.css")),
    (&[Look::LessonBook], include_str!("../../../theme/css/face.css")),
    (ALWAYS, include_str!("../../../theme/css/print.css")),
];
/// What is in one piece works on the same page with the same few functions; none leaves a name on it.
const SCRIPTS: [Piece; 2] = [
    (
        ALWAYS,
        concat!(
            "(() => {\n\"use strict\";\n",
            include_str!("../../../theme/js/kettle.js"),
            include_str!("../../../theme/js/practice.js"),
            include_str!("../../../theme/js/bell.js"),
            include_str!("../../../theme/js/bench.js"),
            include_str!("../../../theme/js/own.js"),
            "})();\n"
        ),
    ),
    (&[Look::LessonBook], concat!("(() => {\n\"use strict\";\n", include_str!("../../../theme/js/face.js"), "})();\n")),
];

/// The last line of a batch sheet, by which we know our own.
const MARK_OF_SHEETS: &str = "<!-- Written by Kettlebook at every build: changes made here are lost. -->\n";

/// The same of what the calculator in the pages needs.
const MARK_OF_SCRIPTS: &str = "/* Written by Kettlebook at every build: changes made here are lost. */\n";

/// The folder below the folder of lessons that has the calculator of the pages, and the texts that it computes from.
pub(crate) const CALCULATOR: &str = "kettle";

/// What of it is the same in every course.
const OF_CALCULATOR: [(&str, &str); 2] = [
    ("calculator.js", include_str!("../../../theme/js/calculator.js")),
    ("sheet.js", include_str!("../../../theme/js/sheet.js")),
];

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
/// What the course's own tokens state comes behind all that is ours, so that it holds, and a slip in it spoils nothing else.
/// That file is never written to.
///
/// # Errors
///
/// The path that could not be written, and why. A head of pages that the instructor wrote is not touched.
pub fn write_assets(root: &Path, theme: &Path, look: Look) -> Result<(), Refusal> {
    let of_look = |pieces: &[Piece]| -> String {
        pieces.iter().filter(|(looks, _)| looks.contains(&look)).map(|(_, text)| *text).collect()
    };
    let path = root.join(TOKENS);
    let own = match fs::read_to_string(&path) {
        Err(cause) if cause.kind() != io::ErrorKind::NotFound => return Err((path, cause)),
        own => own.unwrap_or_default(),
    };
    let style = format!("{TOKENS_OF_OURS}{}{own}", of_look(&STYLE));
    write(&root.join(STYLE_SHEET), &style)?;
    write(&root.join(SCRIPT), &of_look(&SCRIPTS))?;
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
    let files = sheets.iter().map(|(id, text)| (format!("{id}.html"), text.as_str())).collect();
    write_folder(&src.join(SHEETS), &files, MARK_OF_SHEETS)
}

/// Writes the calculator of the pages, and what each page is computed from, into the folder of lessons.
///
/// - `pages`: those that have something computed, by id; none where the course has no controls for students.
///
/// # Errors
///
/// As [`write_sheets`].
pub(crate) fn write_calculator(
    src: &Path,
    course: &CourseTexts,
    pages: &BTreeMap<String, PageTexts>,
) -> Result<(), Refusal> {
    let folder = src.join(CALCULATOR);
    let json = |it: serde_json::Result<String>| it.map_err(|cause| (folder.clone(), io::Error::from(cause)));
    let start = "(globalThis.kettle = globalThis.kettle || { pages: {} })";
    let mut texts = BTreeMap::new();
    if !pages.is_empty() {
        texts.insert("course.js".to_owned(), format!("{start}.course = {};", json(serde_json::to_string(course))?));
        for (id, page) in pages {
            let (key, page) = (json(serde_json::to_string(id))?, json(serde_json::to_string(page))?);
            let name = id.strip_suffix(".md").unwrap_or(id);
            texts.insert(format!("pages/{name}.js"), format!("{start}.pages[{key}] = {page};"));
        }
    }
    let mut files: BTreeMap<String, &str> = texts.iter().map(|(name, text)| (name.clone(), text.as_str())).collect();
    if !pages.is_empty() {
        files.extend(OF_CALCULATOR.map(|(name, text)| (name.to_owned(), text)));
    }
    write_folder(&folder, &files, MARK_OF_SCRIPTS)
}

/// Writes a folder of ours into the folder of lessons, and takes away what we wrote there before and is gone.
///
/// - `files`: by path below the folder.
/// - `mark`: the last line, by which we know our own.
fn write_folder(folder: &Path, files: &BTreeMap<String, &str>, mark: &str) -> Result<(), Refusal> {
    let is_ours = |path: &Path| fs::read_to_string(path).is_ok_and(|it| it.ends_with(mark));
    let paths: BTreeSet<PathBuf> = files.keys().map(|it| folder.join(it)).collect();
    for path in files_below(folder).into_iter().filter(|it| !paths.contains(it) && is_ours(it)) {
        fs::remove_file(&path).map_err(|cause| (path.clone(), cause))?;
        // A folder that is empty now goes too, as far up as ours; one that is not stays, which is no error.
        path.ancestors().skip(1).take_while(|it| it.starts_with(folder)).all(|it| fs::remove_dir(it).is_ok());
    }
    for (name, text) in files {
        let path = folder.join(name);
        if path.exists() && !is_ours(&path) {
            let cause = io::Error::other("there is a file of this name that Kettlebook did not write; rename it");
            return Err((path, cause));
        }
        write(&path, &format!("{}\n{mark}", text.trim_end()))?;
    }
    Ok(())
}

/// The files in a folder and in those below it; a link to a folder is not followed.
fn files_below(folder: &Path) -> Vec<PathBuf> {
    let entries = walkdir::WalkDir::new(folder).into_iter().flatten();
    entries.filter(|it| !it.file_type().is_dir()).map(walkdir::DirEntry::into_path).collect()
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
