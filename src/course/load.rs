//! Reads the folder of a course.
//!
//! Layer 7, and the only code of the library that opens files.

use std::fs::File;
use std::io::{self, Read};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::source::SourceFile;

/// The texts of a course, but for its pages.
#[derive(Debug)]
pub struct CourseFiles {
    /// book.toml
    pub book_toml: Arc<SourceFile>,
    /// recipes/*.toml, by name, and what is nearly called so.
    pub recipes: Vec<Arc<SourceFile>>,
    /// tables/*.toml, by name, and what is nearly called so.
    pub tables: Vec<Arc<SourceFile>>,
    /// theme/templates/*, by name.
    pub templates: Vec<Arc<SourceFile>>,
}

/// A file or folder of the course that cannot be read.
#[derive(Debug, thiserror::Error)]
#[error("cannot read {}: {cause}", path.display())]
pub struct LoadError {
    /// Which one.
    pub path: PathBuf,
    /// Why.
    pub cause: io::Error,
}

impl CourseFiles {
    /// Reads the folder `root`. Files are named in findings by `shown_root`, the folder as the author knows it.
    ///
    /// # Errors
    ///
    /// When book.toml, or a file that is there, cannot be read. A folder that is not there holds nothing.
    pub fn read(root: &Path, shown_root: &str) -> Result<CourseFiles, LoadError> {
        Ok(CourseFiles {
            book_toml: read_file(&root.join("book.toml"), shown_path(shown_root, "book.toml"))?,
            recipes: read_folder(root, "recipes", ".toml", shown_root)?,
            tables: read_folder(root, "tables", ".toml", shown_root)?,
            templates: read_folder(root, "theme/templates", "", shown_root)?,
        })
    }
}

/// Reads a file that a page includes: `path` as typed, relative to the including file's folder.
///
/// `including` is the including file as shown in findings, below `shown_root`. `None` when there is no such file, or it
/// is no text, or lies neither in the course nor beside its folder.
#[must_use]
pub fn included_file(root: &Path, shown_root: &str, including: &str, path: &str) -> Option<Arc<SourceFile>> {
    let prefix = shown_path(shown_root, "");
    let folder = including.strip_prefix(&prefix)?.rsplit_once('/').map_or("", |(folder, _)| folder);
    // Dots are taken out, so that a file has one name however it is reached.
    let mut parts: Vec<&str> = Vec::new();
    for part in folder.split('/').chain(path.split('/')) {
        match part {
            "" | "." => {}
            ".." if parts.last().is_some_and(|it| *it != "..") => {
                parts.pop();
            }
            part => parts.push(part),
        }
    }
    if Path::new(path).is_absolute() || parts.iter().filter(|it| **it == "..").count() > 1 {
        return None;
    }
    let relative = parts.join("/");
    read_file(&root.join(&relative), shown_path(shown_root, &relative)).ok()
}

fn shown_path(shown_root: &str, relative: &str) -> String {
    if shown_root.is_empty() { relative.to_owned() } else { format!("{shown_root}/{relative}") }
}

/// How long a text of a course may be, in bytes.
const LONGEST_TEXT: u64 = 1 << 20;

/// Reads one file, to be named `shown` in findings.
///
/// # Errors
///
/// When it cannot be read, is no text, or is longer than anything that is written by hand.
pub fn read_file(path: &Path, shown: String) -> Result<Arc<SourceFile>, LoadError> {
    let text = read_text(path).map_err(|cause| LoadError { path: path.to_owned(), cause })?;
    // An editor may start a file with a byte order mark, which TOML and Markdown do not want.
    Ok(SourceFile::new(shown, text.strip_prefix('\u{feff}').unwrap_or(&text)))
}

fn read_text(path: &Path) -> io::Result<String> {
    // Opening a pipe would wait for whoever writes into it; a folder says by itself what it is.
    let kind = std::fs::metadata(path)?.file_type();
    if !kind.is_file() && !kind.is_dir() {
        return Err(io::Error::new(io::ErrorKind::InvalidInput, "it is no file but a device or a pipe"));
    }
    let mut text = String::new();
    // One byte more, so that a file which grows while it is read, or says no length, is seen to be too long.
    File::open(path)?.take(LONGEST_TEXT + 1).read_to_string(&mut text)?;
    if text.len() as u64 > LONGEST_TEXT {
        return Err(io::Error::new(io::ErrorKind::FileTooLarge, "it is longer than 1 MiB"));
    }
    Ok(text)
}

/// Whether an entry of a folder was meant to be read there: by its ending, or by one that nearly is it, such as that of
/// `fats.toml.txt`, which is told when its name is looked at. What has the very name is read whatever it is, so that a
/// dangling link or a folder is told too.
fn is_meant(path: &Path, name: &str, ending: &str) -> bool {
    // Hidden files and copies are an editor's, not the author's.
    if name.starts_with('.') || ["~", ".bak", ".orig", ".swp"].iter().any(|it| name.ends_with(it)) {
        return false;
    }
    if ending.is_empty() {
        return !path.is_dir();
    }
    name.ends_with(ending) || path.is_file() && name.to_lowercase().contains(ending)
}

fn read_folder(root: &Path, folder: &str, ending: &str, shown_root: &str) -> Result<Vec<Arc<SourceFile>>, LoadError> {
    let path = root.join(folder);
    let error = |cause| LoadError { path: path.clone(), cause };
    let entries = match std::fs::read_dir(&path) {
        Ok(entries) => entries,
        Err(cause) if cause.kind() == io::ErrorKind::NotFound => return Ok(Vec::new()),
        Err(cause) => return Err(error(cause)),
    };
    let mut names = Vec::new();
    for entry in entries {
        let entry = entry.map_err(error)?;
        let name = entry.file_name().to_string_lossy().into_owned();
        if is_meant(&entry.path(), &name, ending) {
            names.push(name);
        }
    }
    names.sort();
    names.iter().map(|it| read_file(&path.join(it), shown_path(shown_root, &format!("{folder}/{it}")))).collect()
}
