//! The two streams of a program, either of which may be closed or full.

use std::fmt::Display;
use std::io::{self, IsTerminal, Write, stderr, stdout};

use kettlebook::show::visible;

/// Tells the person at the terminal. If even that cannot be written there is nobody to tell.
pub fn say(words: &str) {
    let _ = stderr().lock().write_all(words.as_bytes());
}

/// Tells in one line why there is nothing else to tell.
pub(crate) fn say_error(why: impl Display) {
    say(&visible(&format!("error: {why}\n")));
}

/// Whether words for the person may have colours.
#[must_use]
pub fn is_styled() -> bool {
    stderr().is_terminal() && std::env::var_os("NO_COLOR").is_none()
}

/// Writes what a program was asked for to standard output.
///
/// # Errors
///
/// Why it could not be written whole.
pub fn print(text: &str) -> io::Result<()> {
    let mut out = stdout().lock();
    out.write_all(text.as_bytes()).and_then(|()| out.flush())
}

/// Writes to standard output for a person, who may stop reading when they have seen enough. Whether all went well; if not,
/// it was told.
#[must_use]
pub(crate) fn show(text: &str) -> bool {
    match print(text) {
        Err(cause) if cause.kind() != io::ErrorKind::BrokenPipe => {
            say_error(format!("standard output cannot be written to: {cause}"));
            false
        }
        _ => true,
    }
}
