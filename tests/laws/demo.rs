//! The demo course with bytes of its files spliced, deleted, doubled and swapped: it is read, computed and rendered to the
//! end, and everything that is told about it has a place.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::{Arc, LazyLock};

use kettlebook::course::{CourseFiles, included_file, read_file};
use kettlebook::page::Lesson;
use kettlebook::source::SourceFile;
use proptest::prelude::*;
use proptest::sample::Index;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;

use super::plan::cases;
use super::texts::try_course;

/// The demo course: what its folder holds, and every page.
struct Demo {
    files: CourseFiles,
    pages: Vec<Arc<SourceFile>>,
}

static DEMO: LazyLock<Demo> = LazyLock::new(|| {
    let files = CourseFiles::read(&root(), "course").expect("the demo course can be read");
    let mut paths = Vec::new();
    collect(&root().join("src"), &mut paths);
    paths.sort();
    let page = |path: &PathBuf| {
        let below = path.strip_prefix(root()).expect("below the root").to_string_lossy().replace('\\', "/");
        read_file(path, format!("course/{below}")).expect("a page can be read")
    };
    Demo { files, pages: paths.iter().map(page).collect() }
});

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("course")
}

fn collect(folder: &Path, paths: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).expect("the folder can be read") {
        let path = entry.expect("the entry can be read").path();
        if path.is_dir() {
            collect(&path, paths);
        } else if path.extension().is_some_and(|it| it == "md") && !path.ends_with("SUMMARY.md") {
            paths.push(path);
        }
    }
}

impl Demo {
    /// Every file, in one order: settings, recipes, tables, pages.
    fn all(&self) -> Vec<&Arc<SourceFile>> {
        let files = &self.files;
        [&files.book_toml].into_iter().chain(&files.recipes).chain(&files.tables).chain(&self.pages).collect()
    }

    /// Tries the course with another text in place of one file, on the page that it is, or else on `page`.
    #[track_caller]
    fn try_with(&self, changed: &Arc<SourceFile>, page: &Arc<SourceFile>) {
        let current = |it: &Arc<SourceFile>| Arc::clone(if it.path() == changed.path() { changed } else { it });
        let files = CourseFiles {
            book_toml: current(&self.files.book_toml),
            recipes: self.files.recipes.iter().map(current).collect(),
            tables: self.files.tables.iter().map(current).collect(),
            templates: Vec::new(),
        };
        let pages: Vec<Arc<SourceFile>> = self.pages.iter().map(current).collect();
        let page = pages.iter().find(|it| it.path() == changed.path()).unwrap_or(page);
        let lesson = |it: &Arc<SourceFile>| {
            let id = it.path().trim_start_matches("course/src/").to_owned();
            Lesson { title: id.clone(), part: String::new(), id, file: Arc::clone(it) }
        };
        let lessons: Vec<Lesson> = pages.iter().map(lesson).collect();
        try_course(&files, &lessons, page, &|including, path| included_file(&root(), "course", including, path));
    }
}

/// A change to the bytes of a file.
#[derive(Clone, Debug)]
enum Change {
    /// Bytes of another file put in.
    Splice {
        at: Index,
        from: Index,
        start: Index,
        length: usize,
    },
    Delete {
        at: Index,
        length: usize,
    },
    Double {
        at: Index,
        length: usize,
    },
    Swap {
        one: Index,
        other: Index,
    },
    Byte {
        at: Index,
        byte: u8,
    },
}

fn changes() -> impl Strategy<Value = Vec<Change>> {
    let length = || prop_oneof![1..4_usize, 1..200_usize];
    let change = prop_oneof![
        (any::<Index>(), any::<Index>(), any::<Index>(), length())
            .prop_map(|(at, from, start, length)| Change::Splice { at, from, start, length }),
        (any::<Index>(), length()).prop_map(|(at, length)| Change::Delete { at, length }),
        (any::<Index>(), length()).prop_map(|(at, length)| Change::Double { at, length }),
        (any::<Index>(), any::<Index>()).prop_map(|(one, other)| Change::Swap { one, other }),
        (any::<Index>(), any::<u8>()).prop_map(|(at, byte)| Change::Byte { at, byte }),
    ];
    prop::collection::vec(change, 1..4)
}

/// The text with the changes made to it; bytes that are no text any more become what a reader makes of them.
fn changed(text: &str, changes: &[Change], others: &[&Arc<SourceFile>]) -> String {
    let mut bytes = text.as_bytes().to_vec();
    for change in changes {
        // There is always a place: the end.
        let place = |it: &Index| it.index(bytes.len() + 1);
        let stretch = |at: &Index, length: usize| place(at)..(place(at) + length).min(bytes.len());
        match change {
            Change::Splice { at, from, start, length } => {
                let other = from.get(others).text().as_bytes();
                let start = start.index(other.len() + 1);
                let piece = &other[start..(start + length).min(other.len())];
                let at = place(at);
                bytes.splice(at..at, piece.iter().copied());
            }
            Change::Delete { at, length } => drop(bytes.drain(stretch(at, *length))),
            Change::Double { at, length } => {
                let stretch = stretch(at, *length);
                let (end, piece) = (stretch.end, bytes[stretch].to_vec());
                bytes.splice(end..end, piece);
            }
            Change::Swap { one, other } if !bytes.is_empty() => {
                let (one, other) = (one.index(bytes.len()), other.index(bytes.len()));
                bytes.swap(one, other);
            }
            Change::Byte { at, byte } if !bytes.is_empty() => {
                let at = at.index(bytes.len());
                bytes[at] = *byte;
            }
            Change::Swap { .. } | Change::Byte { .. } => {}
        }
    }
    String::from_utf8_lossy(&bytes).into_owned()
}

proptest! {
    #![proptest_config(cases(40))]

    #[test]
    fn the_demo_course_with_any_bytes_in_disorder_is_read_to_the_end(
        which in any::<Index>(), page in any::<Index>(), changes in changes(),
    ) {
        let all = DEMO.all();
        let file = which.get(&all);
        let text = changed(file.text(), &changes, &all);
        DEMO.try_with(&SourceFile::new(file.path(), text), page.get(&DEMO.pages));
    }

    #[test]
    fn any_bytes_may_be_a_file_of_the_demo_course(
        which in any::<Index>(), page in any::<Index>(), bytes in prop::collection::vec(any::<u8>(), 0..200),
    ) {
        let path = which.get(&DEMO.all()).path().to_owned();
        DEMO.try_with(&SourceFile::new(path, String::from_utf8_lossy(&bytes)), page.get(&DEMO.pages));
    }
}

/// A disorder that leaves nearly every text as it was would try nothing.
#[test]
fn most_changes_change_the_text() {
    let all = DEMO.all();
    let mut runner = TestRunner::deterministic();
    let differs = |_: &usize| {
        let changes = changes().new_tree(&mut runner).expect("changes can be drawn").current();
        changed(all[0].text(), &changes, &all) != all[0].text()
    };
    let n_different = (0..200).filter(differs).count();
    assert!(n_different > 180, "{n_different} of 200");
}
