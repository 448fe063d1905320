//! Where a path really leads.

use std::io;
use std::path::{Component, Path, PathBuf};

/// The path without links and dots. What is not there yet is taken as it is written.
///
/// # Errors
///
/// When the folders that are there cannot be looked at.
pub(crate) fn real(path: &Path) -> io::Result<PathBuf> {
    let path = std::path::absolute(path)?;
    let mut parts: Vec<Component<'_>> = path.components().collect();
    let mut missing = Vec::new();
    loop {
        let there: PathBuf = parts.iter().collect();
        match there.canonicalize() {
            Ok(mut real) => {
                for part in missing.into_iter().rev() {
                    match part {
                        Component::ParentDir => {
                            real.pop();
                        }
                        part => real.push(part),
                    }
                }
                return Ok(real);
            }
            Err(cause) if cause.kind() == io::ErrorKind::NotFound && parts.len() > 1 => missing.extend(parts.pop()),
            Err(cause) => return Err(cause),
        }
    }
}
