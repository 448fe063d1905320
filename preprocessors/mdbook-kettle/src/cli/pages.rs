//! The folder of built pages: one build at a time, replaced whole or not at all.
//!
//! Pages are made in a work folder beside it, so that putting them in place is a rename and not a copy. Where the system
//! can exchange two folders in one step there is no moment without whole pages. Elsewhere the old pages are set aside
//! first, and whoever comes next puts them back if the build was killed between the two steps.

use std::ffi::{OsStr, OsString};
use std::fs::{self, File, OpenOptions, TryLockError};
use std::io;
use std::path::{Path, PathBuf};

use same_file::Handle;
use tempfile::TempDir;

use super::foreign::{foreign_files, mark};
use crate::paths::real;

/// Within a work folder: the new pages until they are exchanged.
const FRESH: &str = "new";
/// Within a work folder: the old pages, where two steps are needed.
const SET_ASIDE: &str = "old";

/// Why pages cannot be put where they belong. In every case the old ones are as they were.
#[derive(Debug, thiserror::Error)]
pub(super) enum PagesError {
    #[error("{} is a link that leads nowhere; remove the link, or make the folder that it names", .0.display())]
    DeadLink(PathBuf),
    #[error("{} is not a folder, and the pages belong there; move that file elsewhere", .0.display())]
    NotAFolder(PathBuf),
    #[error(
        "{} is where another disk or folder is attached, so the pages in it cannot be exchanged in one step; set \
         `build-dir` in book.toml to a folder inside it",
        .0.display()
    )]
    MountPoint(PathBuf),
    #[error("the pages are made beside {} before they take its place, and that is not possible: {cause}", folder.display())]
    Beside { folder: PathBuf, cause: io::Error },
    #[error(
        "the new pages cannot take the place of {}: {cause}; check who owns the folder, or move it elsewhere",
        folder.display()
    )]
    Exchange { folder: PathBuf, cause: io::Error },
    #[error(
        "{} contains what no build wrote ({}), and a build empties it; move that elsewhere, or set `build-dir` in \
         book.toml to another folder; if nothing in it is wanted, remove the folder yourself",
        folder.display(),
        a_few(files)
    )]
    Foreign { folder: PathBuf, files: Vec<PathBuf> },
}

/// The first names of a list, and how many more there are.
fn a_few(files: &[PathBuf]) -> String {
    const N_NAMED: usize = 3;
    let mut names: Vec<String> = files.iter().take(N_NAMED).map(|it| it.display().to_string()).collect();
    if files.len() > N_NAMED {
        names.push(format!("{} more", files.len() - N_NAMED));
    }
    names.join(", ")
}

/// The folder of the pages, for as long as no other build may touch it.
pub(super) struct Pages {
    folder: PathBuf,
    /// None where the file system knows no locks.
    lock: Option<Lock>,
}

impl Pages {
    /// Waits for other builds of the same pages, then clears up after those that were killed.
    ///
    /// - `folder`: where the pages are, or will be. A link is followed: its target is replaced.
    /// - `told_to_wait`: called once when another build is running.
    pub(super) fn open(folder: &Path, told_to_wait: impl FnOnce()) -> Result<Pages, PagesError> {
        if folder.is_symlink() && !folder.exists() {
            return Err(PagesError::DeadLink(folder.to_owned()));
        }
        if folder.exists() && !folder.is_dir() {
            return Err(PagesError::NotAFolder(folder.to_owned()));
        }
        let beside = |cause| PagesError::Beside { folder: folder.to_owned(), cause };
        let pages = Pages { folder: real(folder).map_err(beside)?, lock: None };
        let parent = pages.parent();
        fs::create_dir_all(parent).map_err(beside)?;
        if is_mount_point(&pages.folder, parent) {
            return Err(PagesError::MountPoint(folder.to_owned()));
        }
        let lock = Lock::wait(&parent.join(pages.hidden_name(".lock")), told_to_wait).map_err(beside)?;
        let pages = Pages { lock, ..pages };
        pages.clear_up().map_err(beside)?;
        Ok(pages)
    }

    /// A work folder for one build, gone when it is dropped.
    pub(super) fn work(&self) -> Result<Work, PagesError> {
        let made = tempfile::Builder::new().prefix(&self.hidden_name(".build-")).tempdir_in(self.parent());
        made.map(|folder| Work { folder }).map_err(|cause| PagesError::Beside { folder: self.folder.clone(), cause })
    }

    /// Puts the pages of `work` in place of the old ones.
    pub(super) fn replace(&self, work: Work) -> Result<(), PagesError> {
        let fresh = work.fresh();
        let beside = |cause| PagesError::Beside { folder: self.folder.clone(), cause };
        mark(&fresh).map_err(beside)?;
        let files = foreign_files(&self.folder, &fresh).map_err(beside)?;
        if !files.is_empty() {
            return Err(PagesError::Foreign { folder: self.folder.clone(), files });
        }
        let replaced = if self.folder.exists() {
            match exchange(&fresh, &self.folder) {
                Err(cause) if is_unknown_to_the_system(&cause) => {
                    let aside = work.folder.path().join(SET_ASIDE);
                    replace_in_two_steps(&fresh, &self.folder, &aside, &mut |from, to| fs::rename(from, to))
                }
                result => result,
            }
        } else {
            fs::rename(&fresh, &self.folder)
        };
        // With the work folder go the old pages. If they cannot be removed the next build tries again.
        replaced.map_err(|cause| PagesError::Exchange { folder: self.folder.clone(), cause })
    }

    /// Puts back pages that a killed build had set aside, then removes what killed builds left.
    fn clear_up(&self) -> io::Result<()> {
        if self.lock.is_none() {
            // Without a lock, nobody knows whether the other folders are in use.
            return Ok(());
        }
        let prefix = self.hidden_name(".build-");
        let mut left = Vec::new();
        for entry in fs::read_dir(self.parent())? {
            let entry = entry?;
            let is_ours = entry.file_name().as_encoded_bytes().starts_with(prefix.as_encoded_bytes());
            if is_ours && entry.file_type()?.is_dir() {
                left.push(entry.path());
            }
        }
        if !self.folder.exists()
            && let Some(aside) = left.iter().map(|it| it.join(SET_ASIDE)).find(|it| it.is_dir())
        {
            fs::rename(aside, &self.folder)?;
        }
        for work in left {
            // What cannot be removed is in nobody's way.
            let _ = fs::remove_dir_all(work);
        }
        Ok(())
    }

    fn parent(&self) -> &Path {
        self.folder.parent().unwrap_or(&self.folder)
    }

    /// A name in the same folder that file lists leave out.
    fn hidden_name(&self, ending: &str) -> OsString {
        let mut name = OsString::from(".");
        name.push(self.folder.file_name().unwrap_or(OsStr::new("pages")));
        name.push(ending);
        name
    }
}

/// The folder in which one build makes its pages.
pub(super) struct Work {
    folder: TempDir,
}

impl Work {
    /// Where to make them.
    pub(super) fn fresh(&self) -> PathBuf {
        self.folder.path().join(FRESH)
    }
}

/// A lock file. The system lets go of it however a build ends; the file itself is removed where possible.
struct Lock {
    path: PathBuf,
    _file: File,
}

impl Lock {
    /// `None` where the file system knows no locks.
    fn wait(path: &Path, told_to_wait: impl FnOnce()) -> io::Result<Option<Lock>> {
        let mut told_to_wait = Some(told_to_wait);
        loop {
            let file = OpenOptions::new().create(true).truncate(false).write(true).open(path)?;
            let locked = match file.try_lock() {
                Err(TryLockError::WouldBlock) => {
                    if let Some(tell) = told_to_wait.take() {
                        tell();
                    }
                    file.lock()
                }
                Err(TryLockError::Error(cause)) => Err(cause),
                Ok(()) => Ok(()),
            };
            if locked.is_err() {
                return Ok(None);
            }
            // Whoever had the lock has removed the file since: then the next build locks another one of that name.
            let held = Handle::from_file(file.try_clone()?)?;
            if Handle::from_path(path).is_ok_and(|it| it == held) {
                return Ok(Some(Lock { path: path.to_owned(), _file: file }));
            }
        }
    }
}

impl Drop for Lock {
    fn drop(&mut self) {
        // Still locked. A file that stays is locked by the next build all the same.
        let _ = fs::remove_file(&self.path);
    }
}

/// Exchanges two folders in one step.
#[cfg(any(target_os = "linux", target_os = "android", target_vendor = "apple"))]
fn exchange(fresh: &Path, folder: &Path) -> io::Result<()> {
    use rustix::fs::{CWD, RenameFlags, renameat_with};
    Ok(renameat_with(CWD, fresh, CWD, folder, RenameFlags::EXCHANGE)?)
}

#[cfg(not(any(target_os = "linux", target_os = "android", target_vendor = "apple")))]
fn exchange(_: &Path, _: &Path) -> io::Result<()> {
    Err(io::ErrorKind::Unsupported.into())
}

/// Whether a system, or one of its file systems, cannot exchange folders at all.
fn is_unknown_to_the_system(cause: &io::Error) -> bool {
    matches!(cause.kind(), io::ErrorKind::Unsupported | io::ErrorKind::InvalidInput)
}

/// Sets the old pages aside, puts the new ones in place, and puts the old ones back if that fails.
fn replace_in_two_steps(
    fresh: &Path,
    folder: &Path,
    aside: &Path,
    rename: &mut dyn FnMut(&Path, &Path) -> io::Result<()>,
) -> io::Result<()> {
    rename(folder, aside)?;
    rename(fresh, folder).or_else(|cause| rename(aside, folder).and(Err(cause)))
}

#[cfg(unix)]
fn is_mount_point(folder: &Path, parent: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    let device = |path: &Path| fs::metadata(path).map(|it| it.dev()).ok();
    device(folder).is_some_and(|it| Some(it) != device(parent))
}

#[cfg(not(unix))]
fn is_mount_point(_: &Path, _: &Path) -> bool {
    false
}

#[cfg(test)]
mod tests {
    use super::*;

    fn write_pages(folder: &Path, words: &str) {
        fs::create_dir_all(folder).expect("the folder can be made");
        fs::write(folder.join("index.html"), words).expect("the page can be written");
    }

    fn page(folder: &Path) -> Option<String> {
        fs::read_to_string(folder.join("index.html")).ok()
    }

    fn names(folder: &Path) -> Vec<String> {
        let entries = fs::read_dir(folder).expect("the folder can be read");
        entries.map(|it| it.expect("an entry").file_name().to_string_lossy().into_owned()).collect()
    }

    /// A build in two steps that is killed when it has renamed `n` folders; from then on it does nothing at all.
    #[test]
    fn killed_between_two_steps_the_old_pages_come_back_and_the_next_build_works() {
        for n in 0..=2 {
            let root = tempfile::tempdir().expect("a temporary folder");
            let folder = root.path().join("book");
            write_pages(&folder, "old");
            let pages = Pages::open(&folder, || {}).expect("it opens");
            let work = pages.work().expect("a work folder").folder.keep();
            write_pages(&work.join(FRESH), "new");
            let mut steps = 0;
            let _ = replace_in_two_steps(&work.join(FRESH), &folder, &work.join(SET_ASIDE), &mut |from, to| {
                steps += 1;
                if steps > n { Err(io::ErrorKind::Other.into()) } else { fs::rename(from, to) }
            });
            assert_eq!(folder.exists(), n != 1, "killed after {n}");
            drop(pages);

            let pages = Pages::open(&folder, || {}).expect("it opens");
            assert_eq!(page(&folder).as_deref(), Some(if n == 2 { "new" } else { "old" }), "killed after {n}");
            let work = pages.work().expect("a work folder");
            write_pages(&work.fresh(), "next");
            pages.replace(work).expect("it is replaced");
            drop(pages);
            assert_eq!((page(&folder).as_deref(), names(root.path())), (Some("next"), vec!["book".to_owned()]));
        }
    }

    #[test]
    fn a_step_that_fails_is_taken_back() {
        let root = tempfile::tempdir().expect("a temporary folder");
        let (fresh, folder, aside) = (root.path().join("new"), root.path().join("book"), root.path().join("old"));
        write_pages(&folder, "old");
        // There are no new pages to put in place.
        let result = replace_in_two_steps(&fresh, &folder, &aside, &mut |from, to| fs::rename(from, to));
        assert!(result.is_err() && page(&folder).as_deref() == Some("old") && !aside.exists());
    }

    #[test]
    fn without_old_pages_the_new_ones_come_where_they_belong_also_if_folders_above_are_missing() {
        let root = tempfile::tempdir().expect("a temporary folder");
        let folder = root.path().join("deep/book");
        let pages = Pages::open(&folder, || {}).expect("it opens");
        let work = pages.work().expect("a work folder");
        write_pages(&work.fresh(), "first");
        pages.replace(work).expect("it is replaced");
        assert_eq!(page(&folder).as_deref(), Some("first"));
    }
}
