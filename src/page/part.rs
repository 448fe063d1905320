//! What stands in a page, read before anything is put in its place: its blocks and values, and those of the files that it
//! includes.
//!
//! Layer 5. Computes nothing; `render.rs` puts in what was computed.

use std::ops::Range;
use std::sync::Arc;

use super::Page;
use super::block::{Block, IncludeSite, Item, ValueSite, find};
use super::options::BlockOptions;
use super::values::literal;
use crate::finding::Finding;
use crate::ledger::speaks_of_lye;
use crate::source::{Located, SourceFile};

/// Whether a page has a card, or values of a recipe.
pub(super) fn computes_prose(part: &Part) -> bool {
    part.items.iter().any(|item| match item {
        PartItem::Block(block, _) => block.view.value == "recipe",
        PartItem::Value(value) => literal(&value.expression.value).is_none(),
        PartItem::Included(_, part) => computes_prose(part),
    })
}

/// A file of a page with what was found in it.
pub(super) struct Part {
    pub(super) file: Arc<SourceFile>,
    pub(super) items: Vec<PartItem>,
}

pub(super) enum PartItem {
    Block(Block, BlockOptions),
    Value(ValueSite),
    Included(Range<usize>, Part),
}

impl PartItem {
    pub(super) fn range(&self) -> Range<usize> {
        match self {
            PartItem::Block(it, _) => it.range.clone(),
            PartItem::Value(it) => it.range.clone(),
            PartItem::Included(range, _) => range.clone(),
        }
    }
}

/// Reads a file and, where they hold blocks or values, the files it includes; mdBook puts in the others itself.
pub(super) fn read_part(
    page: &Page<'_>,
    file: &Arc<SourceFile>,
    including: &mut Vec<String>,
    findings: &mut Vec<Finding>,
) -> Part {
    let (found, found_findings) = find(file);
    findings.extend(found_findings);
    let mut items = Vec::new();
    for item in found {
        match item {
            Item::Block(block) => {
                let (options, block_findings) = BlockOptions::read(&block.view.value, &block.body);
                findings.extend(block_findings);
                items.push(PartItem::Block(block, options));
            }
            Item::Value(value) => items.push(PartItem::Value(value)),
            Item::Include(include) => {
                items.extend(read_include(page, file, &include, including, findings));
            }
        }
    }
    Part { file: Arc::clone(file), items }
}

fn read_include(
    page: &Page<'_>,
    file: &Arc<SourceFile>,
    include: &IncludeSite,
    including: &mut Vec<String>,
    findings: &mut Vec<Finding>,
) -> Option<PartItem> {
    // A file that is not there is mdBook's to report.
    let included = (page.included)(file.path(), &include.path.value)?;
    let place = include.path.place.clone();
    if including.iter().any(|it| it == included.path()) {
        findings.push(Finding::circular_include(place, &include.path.value));
        return None;
    }
    including.push(included.path().to_owned());
    let mut inner_findings = Vec::new();
    let part = read_part(page, &included, including, &mut inner_findings);
    including.pop();
    if part.items.is_empty() && inner_findings.is_empty() {
        return None;
    }
    if include.is_partial {
        findings.push(Finding::part_of_included_file(place, &include.path.value));
        return None;
    }
    findings.extend(inner_findings);
    Some(PartItem::Included(include.range.clone(), part))
}

/// The recipe of the page: of its first `kettle recipe` block, or else of its first block that names one.
pub(super) fn page_recipe(part: &Part) -> Option<Located<String>> {
    let mut blocks = Vec::new();
    collect_blocks(part, &mut blocks);
    let named = |only_cards: bool| {
        blocks
            .iter()
            .filter(|(block, _)| !only_cards || block.view.value == "recipe")
            .find_map(|(_, options)| options.recipe.clone())
    };
    named(true).or_else(|| named(false))
}

fn collect_blocks<'a>(part: &'a Part, blocks: &mut Vec<(&'a Block, &'a BlockOptions)>) {
    for item in &part.items {
        match item {
            PartItem::Block(block, options) => blocks.push((block, options)),
            PartItem::Included(_, part) => collect_blocks(part, blocks),
            PartItem::Value(_) => {}
        }
    }
}

pub(super) fn n_practices(part: &Part) -> usize {
    let mut blocks = Vec::new();
    collect_blocks(part, &mut blocks);
    blocks.iter().filter(|(_, options)| options.exercise.is_some()).count()
}

/// Where the outermost element starts that holds the first lye of the page.
pub(super) fn first_with_lye(part: &Part) -> Option<usize> {
    part.items.iter().find_map(|item| match item {
        PartItem::Block(block, options) => shows_lye(&block.view.value, options).then_some(block.outermost_start),
        PartItem::Value(value) => value_speaks_of_lye(&value.expression.value).then_some(value.outermost_start),
        PartItem::Included(range, part) => first_with_lye(part).map(|_| range.start),
    })
}

/// Where the outermost element starts that holds the glossary, which may show lye through the values in it.
pub(super) fn first_glossary(part: &Part) -> Option<usize> {
    part.items.iter().find_map(|item| match item {
        PartItem::Block(block, _) => (block.view.value == "glossary").then_some(block.outermost_start),
        PartItem::Value(_) => None,
        PartItem::Included(range, part) => first_glossary(part).map(|_| range.start),
    })
}

/// Whether a value is of lye; what is meant as typed says nothing of it.
fn value_speaks_of_lye(expression: &str) -> bool {
    literal(expression).is_none() && speaks_of_lye(expression)
}

/// Whether a block shows amounts of lye, so that cautions belong to its page. Most views always do or never; an exercise
/// does when one of its values is of lye.
pub(super) fn shows_lye(view: &str, options: &BlockOptions) -> bool {
    match &options.exercise {
        Some(exercise) => exercise.expressions().any(|it| value_speaks_of_lye(&it.value)),
        None => !matches!(view, "safety" | "profile" | "yield" | "fats" | "glossary"),
    }
}
