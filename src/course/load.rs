//! Reads the folder of a course.
//!
//! Layer 7, and the only code of the library that opens files.

use std::fs::File;
use std::io::{self, Read};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::contents::LessonFiles;
use crate::finding::is_a_slip_away;
use crate::source::SourceFile;

/// How many folders deep lessons are looked for; a link may lead in a circle.
const DEEPEST: usize = 32;

/// The texts of a course, but for its pages.
#[derive(Clone, Debug)]
pub struct CourseFiles {
    /// book.toml
    pub book_toml: Arc<SourceFile>,
    /// recipes/*.toml, by name, and what was meant to be one.
    pub recipes: Vec<Arc<SourceFile>>,
    /// tables/*.toml, by name, and what was meant to be one.
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
        let book_toml = read_file(&root.join("book.toml"), shown_path(shown_root, "book.toml"))?;
        let folder = |folder: &str, ending: &str| -> Result<Vec<Arc<SourceFile>>, LoadError> {
            let path = root.join(folder);
            let mut names = Vec::new();
            names_in(&path, ("", 0), ending, &mut names)?;
            names.sort();
            names
                .iter()
                .map(|it| read_file(&path.join(it), shown_path(shown_root, &format!("{folder}/{it}"))))
                .collect()
        };
        let (recipes, tables) = (folder("recipes", ".toml")?, folder("tables", ".toml")?);
        let templates = folder("theme/templates", "")?;
        Ok(CourseFiles { book_toml, recipes, tables, templates })
    }
}

impl LessonFiles {
    /// Reads the folder of lessons; see [`CourseFiles::read`].
    ///
    /// # Errors
    ///
    /// When a file or folder that is there cannot be read.
    pub fn read(src: &Path, shown_src: &str) -> Result<LessonFiles, LoadError> {
        let mut files = LessonFiles::default();
        let mut folders = vec![(src.to_owned(), String::new(), 0)];
        while let Some((folder, below, depth)) = folders.pop() {
            let error = |cause| LoadError { path: folder.clone(), cause };
            let entries = match std::fs::read_dir(&folder) {
                Err(cause) if depth == 0 && cause.kind() == io::ErrorKind::NotFound => return Ok(files),
                entries => entries.map_err(error)?,
            };
            for entry in entries {
                let entry = entry.map_err(error)?;
                let name = entry.file_name().to_string_lossy().into_owned();
                let (path, relative) = (entry.path(), format!("{below}{name}"));
                if path.is_dir() && depth < DEEPEST {
                    folders.push((path, format!("{relative}/"), depth + 1));
                } else if path.is_file() && name.ends_with(".md") {
                    // One that is too long is told where it is a page or is included.
                    match read_file(&path, shown_path(shown_src, &relative)) {
                        Ok(file) => drop(files.lessons.insert(relative, file)),
                        Err(error) if error.cause.kind() == io::ErrorKind::FileTooLarge => {
                            files.others.insert(relative);
                        }
                        Err(error) => return Err(error),
                    }
                } else {
                    files.others.insert(relative);
                }
            }
        }
        Ok(files)
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
    let file = read_file(&root.join(&relative), shown_path(shown_root, &relative)).ok()?;
    if file.not_text().is_none() { Some(file) } else { None }
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
/// When it cannot be read, or is longer than anything that is written by hand.
pub fn read_file(path: &Path, shown: String) -> Result<Arc<SourceFile>, LoadError> {
    let bytes = read_bytes(path).map_err(|cause| LoadError { path: path.to_owned(), cause })?;
    Ok(SourceFile::from_bytes(shown, &bytes))
}

fn read_bytes(path: &Path) -> io::Result<Vec<u8>> {
    // Opening a pipe would wait for whoever writes into it; a folder says by itself what it is.
    let kind = std::fs::metadata(path)?.file_type();
    if !kind.is_file() && !kind.is_dir() {
        return Err(io::Error::new(io::ErrorKind::InvalidInput, "it is not a file but a device or a pipe"));
    }
    let mut bytes = Vec::new();
    // One byte more, so that a file which grows while it is read, or says no length, is seen to be too long.
    File::open(path)?.take(LONGEST_TEXT + 1).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > LONGEST_TEXT {
        return Err(io::Error::new(io::ErrorKind::FileTooLarge, "it is longer than 1 MiB"));
    }
    Ok(bytes)
}

/// Endings under which a recipe or a table is saved by mistake.
const NEARLY_TOML: [&str; 3] = ["", "txt", "rtf"];

/// Whether an entry of a folder was meant to be read there: by its ending, or by one under which it may have been saved,
/// such as that of `fats.toml.txt`, which is told when its name is looked at. What has the very name is read whatever it is,
/// so that a dangling link or a folder is told too.
fn is_meant(path: &Path, name: &str, ending: &str) -> bool {
    if ending.is_empty() {
        return !path.is_dir();
    }
    if name.ends_with(ending) {
        return true;
    }
    let name = name.to_lowercase();
    let (stem, last) = name.rsplit_once('.').unwrap_or((&name, ""));
    // What people keep in a folder besides is no slip.
    let is_nearly = NEARLY_TOML.contains(&last) || is_a_slip_away(last, ending.trim_start_matches('.'));
    path.is_file() && (name.contains(ending) || is_nearly && !matches!(stem, "readme" | "license"))
}

/// The names of the files in a folder that were meant to have this ending. Where there is one, folders in it are looked into
/// as well: nothing in them is read, which is told.
fn names_in(
    path: &Path,
    (below, depth): (&str, usize),
    ending: &str,
    names: &mut Vec<String>,
) -> Result<(), LoadError> {
    let error = |cause| LoadError { path: path.to_owned(), cause };
    let entries = match std::fs::read_dir(path) {
        Ok(entries) => entries,
        Err(cause) if cause.kind() == io::ErrorKind::NotFound => return Ok(()),
        Err(cause) => return Err(error(cause)),
    };
    for entry in entries {
        let entry = entry.map_err(error)?;
        let name = entry.file_name().to_string_lossy().into_owned();
        let (path, relative) = (entry.path(), format!("{below}{name}"));
        // Hidden files and copies are an editor's, not the author's.
        if name.starts_with('.') || ["~", ".bak", ".orig", ".swp"].iter().any(|it| name.ends_with(it)) {
            continue;
        }
        if is_meant(&path, &name, ending) {
            names.push(relative);
        } else if !ending.is_empty() && path.is_dir() && depth < DEEPEST {
            names_in(&path, (&format!("{relative}/"), depth + 1), ending, names)?;
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::CourseFiles;

    #[test]
    fn what_was_meant_to_be_a_recipe_or_a_table_is_read() {
        let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/courses/misnamed_recipe");
        let files = CourseFiles::read(&root, "").expect("the course can be read");
        let recipes: Vec<&str> = files.recipes.iter().map(|it| it.path()).collect();
        let wanted = ["BOLD.TOML", "plain.toml.txt", "second.tml", "second.txt", "sub/second.toml", "third"];
        assert_eq!(recipes, wanted.map(|it| format!("recipes/{it}")));
        let tables: Vec<&str> = files.tables.iter().map(|it| it.path()).collect();
        let wanted = ["LIMITS.TOML", "fat.toml", "fats.toml.txt", "fats.txt", "old/fats.toml"];
        assert_eq!(tables, wanted.map(|it| format!("tables/{it}")));
    }
}
