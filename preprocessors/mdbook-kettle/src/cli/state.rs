//! What the files of a course were when a build began, to see whether it is what they were when it ended.
//!
//! Lessons, recipes and included files are read at different moments, by mdBook and by us. A page whose table is from one
//! version of a recipe and whose listing is from another would be wrong and look right.

use std::collections::BTreeMap;
use std::fs;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::path::{Path, PathBuf};
use std::time::SystemTime;

use kettlebook::course::{SCRIPT, SHEETS, STYLE_SHEET};
use walkdir::{DirEntry, WalkDir};

use crate::assets::{CALCULATOR, is_our_head};

/// When each file was written, and a number made of its content: times are too coarse for a quick hand.
#[derive(PartialEq, Eq)]
pub(super) struct State(BTreeMap<PathBuf, (Option<SystemTime>, u64)>);

impl State {
    /// Of everything in the course that pages are made of. Files of other folders that a lesson includes are not seen.
    pub(super) fn of(course: &Path, src: &Path) -> State {
        let folders = [src, Path::new("recipes"), Path::new("tables"), Path::new("theme"), Path::new("book.toml")];
        let walks = folders.into_iter().flat_map(|it| WalkDir::new(course.join(it)).follow_links(true));
        // The blocks' style sheet and script, the head of pages, the batch sheets and what the calculator of the pages needs
        // are written by the build itself.
        let src = course.join(src);
        let own = [course.join(STYLE_SHEET), course.join(SCRIPT), src.join(SHEETS), src.join(CALCULATOR)];
        let is_own = |path: &PathBuf| own.iter().any(|it| path.starts_with(it)) || is_our_head(path);
        let files = walks.flatten().filter(|it| it.file_type().is_file() && !is_of_an_editor(it));
        State(files.map(DirEntry::into_path).filter(|it| !is_own(it)).map(|it| (it.clone(), look(&it))).collect())
    }

    /// A file that is another now, or is there in one of the two only.
    pub(super) fn changed(&self, later: &State) -> Option<PathBuf> {
        let files = self.0.keys().chain(later.0.keys());
        files.into_iter().find(|it| self.0.get(*it) != later.0.get(*it)).cloned()
    }
}

fn look(file: &Path) -> (Option<SystemTime>, u64) {
    let written = fs::metadata(file).and_then(|it| it.modified()).ok();
    let mut hasher = DefaultHasher::new();
    fs::read(file).unwrap_or_default().hash(&mut hasher);
    (written, hasher.finish())
}

/// What an editor keeps beside a file while it is open.
fn is_of_an_editor(file: &DirEntry) -> bool {
    let name = file.file_name().to_string_lossy();
    name.starts_with('.') || name.starts_with('#') || name.ends_with('~')
}
