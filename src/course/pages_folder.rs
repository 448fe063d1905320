//! Where the built pages may lie: every build empties their folder.
//!
//! Layer 7. Compares paths and opens nothing.

use std::path::{Component, Path, PathBuf};

use crate::finding::Finding;
use crate::source::Place;

/// What is wrong with the folder of the pages, `None` if nothing is.
///
/// - `place`: of `build-dir` in book.toml.
/// - `root`, `src`, `pages`: of the course, of its lessons, and of the pages; links must have been followed.
pub(super) fn misplaced(place: Place, root: &Path, src: &Path, pages: &Path) -> Option<Finding> {
    let [root, src, pages] = [root, src, pages].map(without_dots);
    let of_author = [root.clone(), src.clone(), root.join("recipes"), root.join("tables"), root.join("theme")];
    let shown = |path: &Path| {
        let below = path.strip_prefix(&root).ok().filter(|it| !it.as_os_str().is_empty());
        below.map_or_else(|| "the course".to_owned(), |it| format!("`{}`", it.to_string_lossy().replace('\\', "/")))
    };
    if let Some(lost) = of_author.iter().find(|it| it.starts_with(&pages)) {
        return Some(Finding::pages_over_course(place, &shown(lost)));
    }
    pages.starts_with(&src).then(|| Finding::pages_among_lessons(place, &shown(&src)))
}

fn without_dots(path: &Path) -> PathBuf {
    let mut clean = PathBuf::new();
    for part in path.components() {
        match part {
            Component::CurDir => {}
            Component::ParentDir => {
                clean.pop();
            }
            part => clean.push(part),
        }
    }
    clean
}
