//! A recipe that states only what differs from another one.
//!
//! Layer 2. Recipe files are put together as trees, before anything in them is read (`raw.rs`) or checked
//! (`validate.rs`): a new key of recipes is inherited without a line here, and every value keeps the place where it was
//! typed. Which findings of the whole belong to the variant is decided where recipes are computed (`course/variants.rs`).

use std::sync::Arc;

use super::misplaced::move_up;
use crate::finding::Finding;
use crate::reader::{Entry, Node, NodeValue, composed, parse};
use crate::source::{Extract, Located, Place, SourceFile};
use crate::units::Mass;

/// The key that names the base.
const BASED_ON: &str = "based-on";

/// What a variant may be without that its base has, by saying that it has none.
const MAY_HAVE_NONE: [&str; 3] = ["stock", "pot", "dilute"];

/// How it says so.
const NONE: &str = "none";

/// What a variant never takes from its base.
const NEVER_INHERITED: [&str; 2] = [BASED_ON, "title"];

/// A recipe file, parsed and not read yet.
#[derive(Clone, Debug)]
pub struct RecipeFile {
    /// The file's name without its ending.
    pub id: String,
    /// The file.
    pub file: Arc<SourceFile>,
    /// What it says. Its place is the start of the file, or the value of `based-on`: where a finding points to that is
    /// about nothing the file typed.
    pub root: Node,
    /// The recipe it is based on, if `based-on` could be read.
    pub based_on: Option<Located<String>>,
    /// Whether it has a `based-on` at all.
    pub is_variant: bool,
    /// What is wrong with the TOML, and with it as a variant.
    pub findings: Vec<Finding>,
}

impl RecipeFile {
    /// Parses a recipe file.
    #[must_use]
    pub fn parse(id: &str, file: &Arc<SourceFile>) -> RecipeFile {
        let (mut root, mut findings) = parse(&Extract::whole(file));
        findings.extend(move_up(&mut root));
        let typed = entries(&root).iter().find(|it| it.key.value == BASED_ON).map(|it| it.node.clone());
        if let Some(node) = &typed {
            root.place = node.place.clone();
            let states = |key: &str| entries(&root).iter().any(|it| it.key.value == key);
            if !states("title") {
                findings.push(Finding::variant_without_title(node.place.clone()));
            }
            // A line that could not be read may be what it states.
            if findings.is_empty() && entries(&root).iter().all(|it| NEVER_INHERITED.contains(&it.key.value.as_str())) {
                findings.push(Finding::variant_changes_nothing(node.place.clone()));
            }
        }
        let based_on = typed.as_ref().and_then(|node| match &node.value {
            NodeValue::Text(name) => Some(Located { value: composed(name), place: node.place.clone() }),
            other => {
                findings.push(Finding::wrong_type(node.place.clone(), BASED_ON, "text in quotes", other.kind()));
                None
            }
        });
        RecipeFile { id: id.to_owned(), file: Arc::clone(file), root, based_on, is_variant: typed.is_some(), findings }
    }

    /// Where a finding points to that is about nothing the file typed.
    #[must_use]
    pub fn place(&self) -> &Place {
        &self.root.place
    }
}

/// A variant put together with its base: each key that the variant states takes the place of the base's key whole.
///
/// The title is never the base's. A recipe has one size: `batch` in the variant drops the base's `mould`, `mould` drops
/// its `batch` and `into`, and where the base gives its fats as masses either of them leaves these as shares. Fats given
/// as masses in the variant drop the base's `batch` and `mould`. A recipe is divided in one way as well: `portions` drop the
/// base's `layers` and `divide`, and `layers` its `portions` and `swirl`. Of a stock, a pot and a dilution a variant may have
/// `"none"`: then it is as if neither file stated one.
///
/// # Example
///
/// A base of 300 g of olive oil and 100 g of coconut oil, and a variant that says `batch = "1 kg"`: 75 % and 25 % of a
/// kilogram.
#[must_use]
pub fn with_base(variant: &Node, base: &Node) -> Node {
    let typed = entries(variant);
    let states = |key: &str| typed.iter().any(|it| it.key.value == key);
    let gives_masses = typed.iter().any(|it| it.key.value == "fats" && are_masses(&it.node));
    let is_dropped = |key: &str| match key {
        "mould" => states("batch") || gives_masses,
        "batch" => states("mould") || gives_masses,
        "into" => states("mould"),
        // A batch is divided in one way.
        "layers" | "divide" => states("portions"),
        "portions" | "swirl" => states("layers"),
        key => NEVER_INHERITED.contains(&key),
    };
    let has_own_size = states("batch") || states("mould");
    let inherited = entries(base).iter().filter(|it| !states(&it.key.value) && !is_dropped(&it.key.value));
    let inherited = inherited.map(|it| {
        let as_shares = if has_own_size && it.key.value == "fats" { shares_of(&it.node) } else { None };
        Entry { key: it.key.clone(), node: as_shares.unwrap_or_else(|| it.node.clone()) }
    });
    let has_none = |it: &&Entry| {
        MAY_HAVE_NONE.contains(&it.key.value.as_str()) && matches!(&it.node.value, NodeValue::Text(it) if it == NONE)
    };
    let all = typed.iter().filter(|it| !has_none(it)).cloned().chain(inherited).collect();
    Node { place: variant.place.clone(), value: NodeValue::Table(all) }
}

/// The entries of a table.
pub(super) fn entries(node: &Node) -> &[Entry] {
    match &node.value {
        NodeValue::Table(entries) => entries,
        _ => &[],
    }
}

/// Whether the fats are given as masses: texts, where shares are numbers.
fn are_masses(fats: &Node) -> bool {
    entries(fats).iter().any(|it| matches!(it.node.value, NodeValue::Text(_)))
}

/// Fats given as masses, as percentages of their sum; `None` where they are none, or one of them cannot be read, which
/// is told at the base.
fn shares_of(fats: &Node) -> Option<Node> {
    let grams = |entry: &Entry| match &entry.node.value {
        NodeValue::Text(text) => Mass::parse(text).ok().map(Mass::to_grams),
        _ => None,
    };
    let masses = entries(fats).iter().map(grams).collect::<Option<Vec<f64>>>()?;
    let total: f64 = masses.iter().sum();
    if !(total.is_finite() && total > 0.0) {
        return None;
    }
    let share = |(entry, grams): (&Entry, f64)| Entry {
        key: entry.key.clone(),
        node: Node { place: entry.node.place.clone(), value: NodeValue::Number(grams / total * 100.0) },
    };
    let shares = entries(fats).iter().zip(masses).map(share).collect();
    Some(Node { place: fats.place.clone(), value: NodeValue::Table(shares) })
}
