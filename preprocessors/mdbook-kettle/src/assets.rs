//! The style sheet and the script of the blocks.
//!
//! A preprocessor cannot add files to a book; mdBook takes them from the course's folder. So they are written there
//! before the pages are rendered, and only when they differ, or a watching mdBook would build for ever.

use std::path::{Path, PathBuf};
use std::{fs, io};

use kettlebook::course::{SCRIPT, STYLE_SHEET};

const ASSETS: [(&str, &str); 2] = [
    (STYLE_SHEET, include_str!("../../../theme/css/kettle.css")),
    (SCRIPT, include_str!("../../../theme/js/kettle.js")),
];

/// Writes what is missing or out of date into the course's folder.
///
/// # Errors
///
/// The path that could not be written, and why.
pub fn write_assets(root: &Path) -> Result<(), (PathBuf, io::Error)> {
    for (path, text) in ASSETS {
        let path = root.join(path);
        if fs::read_to_string(&path).is_ok_and(|it| it == text) {
            continue;
        }
        // What a link leads to is somebody else's file.
        if path.is_symlink() {
            let cause = io::Error::other("it is a link to another file; remove the link, and it is written anew");
            return Err((path, cause));
        }
        let folder = path.parent().unwrap_or(root);
        fs::create_dir_all(folder).and_then(|()| fs::write(&path, text)).map_err(|cause| (path.clone(), cause))?;
    }
    Ok(())
}
