//! What the body of a block says.
//!
//! Layer 5.

use crate::finding::Finding;
use crate::reader::{Reader, parse};
use crate::source::{Extract, Located};

/// The keys of a block's body.
#[derive(Clone, Debug, Default)]
pub struct BlockOptions {
    /// `use`: the recipe.
    pub recipe: Option<Located<String>>,
}

impl BlockOptions {
    /// Reads a body.
    #[must_use]
    pub fn read(body: &Extract) -> (BlockOptions, Vec<Finding>) {
        let (root, mut findings) = parse(body);
        let mut reader = Reader::new(&root, "the block");
        let recipe = reader.words("use");
        findings.extend(reader.finish());
        (BlockOptions { recipe }, findings)
    }
}
