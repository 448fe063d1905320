//! What the body of a block says.
//!
//! Layer 5.

use super::practice::Exercise;
use crate::finding::Finding;
use crate::reader::{NodeValue, Reader, parse};
use crate::source::{Extract, Located};

/// The keys of a block's body.
#[derive(Clone, Debug, Default)]
pub struct BlockOptions {
    /// `use`: the recipe.
    pub recipe: Option<Located<String>>,
    /// `only` of the view `fats`: which of them.
    pub only: Option<Only>,
    /// What the view `practice` asks.
    pub exercise: Option<Box<Exercise>>,
}

/// Which fats the view `fats` shows.
#[derive(Clone, Debug)]
pub enum Only {
    /// Those of the course's recipes.
    Used,
    /// These, in this order.
    Named(Vec<Located<String>>),
}

impl BlockOptions {
    /// Reads a body. Which keys there are depends on the view.
    #[must_use]
    pub fn read(view: &str, body: &Extract) -> (BlockOptions, Vec<Finding>) {
        let (root, mut findings) = parse(body);
        let mut reader = Reader::new(&root, "the block");
        let mut options = BlockOptions::default();
        if view == "fats" {
            options.only = read_only(&mut reader);
        } else if view != "glossary" {
            options.recipe = reader.words("use");
        }
        if view == "practice" {
            options.exercise = Some(Box::new(Exercise::read(&mut reader, findings.is_empty())));
        }
        findings.extend(reader.finish());
        (options, findings)
    }
}

/// `only = "used"`, or a list of fats.
fn read_only(reader: &mut Reader<'_>) -> Option<Only> {
    const USED: &str = "used";
    let node = reader.node("only")?;
    match &node.value {
        NodeValue::Text(text) if text == USED => Some(Only::Used),
        NodeValue::Text(text) => {
            reader.findings.push(Finding::unknown_choice(
                node.place.clone(),
                "only",
                text,
                &[USED, "[\"olive\", \"coconut\"]"],
            ));
            None
        }
        NodeValue::List(items) if items.is_empty() => {
            reader.findings.push(Finding::empty_text(node.place.clone(), "only"));
            None
        }
        NodeValue::List(items) => {
            let mut names = Vec::new();
            for item in items {
                match &item.value {
                    NodeValue::Text(name) => names.push(Located { value: name.clone(), place: item.place.clone() }),
                    other => {
                        let wanted = "the ids of fats in quotes";
                        reader.findings.push(Finding::wrong_type(item.place.clone(), "only", wanted, other.kind()));
                    }
                }
            }
            Some(Only::Named(names))
        }
        other => {
            let wanted = "\"used\" or a list of fats, such as [\"olive\", \"coconut\"]";
            reader.findings.push(Finding::wrong_type(node.place.clone(), "only", wanted, other.kind()));
            None
        }
    }
}
