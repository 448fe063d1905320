//! One recipe's sheet: for a terminal, and as JSON for programs.
//!
//! Layer 8. Both are projections of the ledger; the terminal's words are those of the pages.

mod json;
mod json_layers;
mod terminal;

pub use json::batch_json;
#[cfg(feature = "schema")]
pub use json::batch_schema;
pub use terminal::{sheet, weighed_sheet};
