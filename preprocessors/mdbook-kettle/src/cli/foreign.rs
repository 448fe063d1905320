//! Files among the pages that no build wrote.
//!
//! A build empties the folder of the pages. That is no harm to what a build wrote, and great harm to whoever set
//! `build-dir` to a folder of documents, or keeps a letter beside the pages.

use std::collections::BTreeSet;
use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::{fs, io};

use walkdir::WalkDir;

/// Tells a folder of pages where mdBook leaves no file of its own that does: all forms but HTML.
const MARK: &str = ".kettlebook";
/// What mdBook leaves beside its HTML pages.
const MARK_OF_MDBOOK: &str = ".nojekyll";
/// Other files that builds write, and those that an operating system leaves in any folder.
const OF_NOBODY: [&str; 8] = [
    MARK,
    MARK_OF_MDBOOK,
    "CNAME",
    "OPEN-SANS-LICENSE.txt",
    "SOURCE-CODE-PRO-LICENSE.txt",
    ".DS_Store",
    "Thumbs.db",
    "desktop.ini",
];
/// What pages consist of. A lesson that was removed, or an image, is still among the old pages.
const ENDINGS_OF_PAGES: [&str; 14] =
    ["html", "css", "js", "json", "svg", "png", "jpg", "jpeg", "gif", "webp", "avif", "ico", "woff", "woff2"];

/// The files in `old` that nobody would expect a build to remove.
///
/// - `fresh`: the pages that will take the place of `old`.
pub(super) fn foreign_files(old: &Path, fresh: &Path) -> io::Result<Vec<PathBuf>> {
    if !old.exists() {
        return Ok(Vec::new());
    }
    let new_files = files(fresh)?;
    let new_endings: BTreeSet<&OsStr> = new_files.iter().filter_map(|it| it.extension()).collect();
    let are_pages = is_marked(old)?;
    let is_expected = |file: &Path| {
        let is_of_pages = || {
            file.extension().is_some_and(|it| new_endings.contains(it) || ENDINGS_OF_PAGES.iter().any(|of| it == *of))
        };
        new_files.contains(file)
            || file.file_name().is_some_and(|it| OF_NOBODY.iter().any(|of| it == *of))
            || are_pages && is_of_pages()
            // Nothing is lost with a file such as `.gitkeep`.
            || fs::symlink_metadata(old.join(file)).is_ok_and(|it| it.is_file() && it.len() == 0)
    };
    Ok(files(old)?.into_iter().filter(|it| !is_expected(it)).collect())
}

/// Makes sure that the next build knows these pages for pages.
pub(super) fn mark(pages: &Path) -> io::Result<()> {
    if is_marked(pages)? { Ok(()) } else { fs::write(pages.join(MARK), "Every build empties this folder.\n") }
}

/// Whether a build wrote the folder: mdBook puts several forms into folders below it.
fn is_marked(folder: &Path) -> io::Result<bool> {
    let has_mark = |folder: &Path| {
        let of_mdbook = fs::read_to_string(folder.join(MARK_OF_MDBOOK)).is_ok_and(|it| it.contains("mdBook"));
        of_mdbook || folder.join(MARK).is_file()
    };
    let mut folders = vec![folder.to_owned()];
    for entry in fs::read_dir(folder)? {
        folders.push(entry?.path());
    }
    Ok(folders.iter().any(|it| has_mark(it)))
}

/// All files below a folder, without following links.
fn files(root: &Path) -> io::Result<BTreeSet<PathBuf>> {
    let mut files = BTreeSet::new();
    for entry in WalkDir::new(root) {
        let entry = entry?;
        if let Ok(below) = entry.path().strip_prefix(root)
            && !entry.file_type().is_dir()
        {
            files.insert(below.to_owned());
        }
    }
    Ok(files)
}
