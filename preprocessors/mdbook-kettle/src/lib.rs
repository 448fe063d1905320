//! The mdBook side of Kettlebook: from mdBook's book to rendered pages and back, and the command line around it.
//!
//! Layer 7, the only code that knows mdBook's types. `mdbook-kettle` is run by mdBook and speaks its protocol
//! ([`protocol`]); `kettlebook` is run by a person and builds the book in process ([`cli`]). Both call [`process`], so
//! they give the same pages.

mod assets;
pub mod cli;
pub mod output;
mod paths;
mod preprocess;
pub mod protocol;

pub use assets::write_assets;
pub use preprocess::{InProcess, Outcome, ProcessError, process};
