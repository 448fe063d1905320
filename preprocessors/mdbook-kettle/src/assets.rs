//! The style sheet and the script of the blocks.
//!
//! A preprocessor cannot add files to a book; mdBook takes them from the course's folder. So they are written there
//! before the pages are rendered, and only when they differ, or a watching mdBook would build for ever.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::{fs, io};

use kettlebook::course::{Look, SCRIPT, SHEETS, STYLE_SHEET, TOKENS};

/// Which looks have a piece of a file, and the piece.
type Piece = (&'static [Look], &'static str);

const ALWAYS: &[Look] = &[Look::LessonBook, Look::Plain];
const TOKENS_OF_OURS: &str = include_str!("../../../theme/css/tokens.css");
/// After the tokens. What is for paper comes last, so that it holds there whatever the look.
const STYLE: [Piece; 3] = [
    (ALWAYS, include_str!("../../../theme/css/kettle.css")),
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
            "})();\n"
        ),
    ),
    (&[Look::LessonBook], concat!("(() => {\n\"use strict\";\n", include_str!("../../../theme/js/face.js"), "})();\n")),
];

/// The last line of a batch sheet, by which we know our own.
const MARK_OF_SHEETS: &str = "<!-- Written by Kettlebook at every build: changes made here are lost. -->\n";

/// Why a file could not be written.
type Refusal = (PathBuf, io::Error);

/// Writes what is missing or out of date into the course's folder.
///
/// What the course's own tokens state comes behind all that is ours, so that it holds, and a slip in it spoils nothing else.
/// That file is never written to.
///
/// # Errors
///
/// The path that could not be written, and why.
pub fn write_assets(root: &Path, look: Look) -> Result<(), Refusal> {
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
    write(&root.join(SCRIPT), &of_look(&SCRIPTS))
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
