//! A recipe as typed: every value optional, with its place; nothing checked but its type.
//!
//! Layer 2. Types that cannot be told apart yet (a percentage or a mass, one alkali or two) stay [`Node`]s here and are
//! told apart in `validate.rs`.

use std::sync::Arc;

use super::{Rate, RecipeFile};
use crate::finding::Finding;
use crate::reader::{Entry, Node, NodeValue, Reader};
use crate::source::{Located, Place, SourceFile};
use crate::units::{Length, Mass};

/// What a recipe file says.
#[derive(Clone, Debug)]
pub struct RawRecipe {
    /// The file's name without its ending.
    pub id: String,
    /// The start of the file; of a variant the value of `based-on`.
    pub place: Place,
    /// `based-on`
    pub based_on: Option<Located<String>>,
    /// `title`
    pub title: Option<Located<String>>,
    /// `mould`
    pub mould: Option<Located<String>>,
    /// `batch`
    pub batch: Option<Located<Mass>>,
    /// `superfat`
    pub superfat_percent: Option<Located<f64>>,
    /// `alkali`: a name, or a table of shares.
    pub alkali: Option<Node>,
    /// `purity`: percent by alkali.
    pub purity: Vec<Entry>,
    /// `water`: a table with one of three keys.
    pub water: Option<Node>,
    /// `[fats]`: percentages or masses by id.
    pub fats: Vec<Entry>,
    /// `[fats-after]`: rates of fats stirred in after saponification, by id.
    pub late_fats: Vec<Entry>,
    /// `[[additives]]`
    pub additives: Vec<RawAdditive>,
    /// `cut`
    pub cut: Option<Located<Length>>,
    /// `[[layers]]`
    pub layers: Vec<RawLayer>,
    /// Keys that were typed and could not be read: their absence above is no second finding.
    pub refused: Vec<&'static str>,
}

/// What an additive of a recipe file says.
#[derive(Clone, Debug)]
pub struct RawAdditive {
    /// The start of the additive.
    pub place: Place,
    /// `item`
    pub item: Option<Located<String>>,
    /// `rate`
    pub rate: Option<Located<Rate>>,
    /// `strength`
    pub strength_percent: Option<Located<f64>>,
    /// `limit`: the most that its supplier allows in the finished bar, percent.
    pub limit_percent: Option<Located<f64>>,
}

/// What a layer of a recipe file says.
#[derive(Clone, Debug)]
pub struct RawLayer {
    /// The start of the layer.
    pub place: Place,
    /// `name`
    pub name: Option<Located<String>>,
    /// `share`
    pub share: Option<Located<f64>>,
    /// `additives`
    pub additives: Vec<RawAdditive>,
    /// `stays-white`
    pub stays_white: bool,
}

impl RawRecipe {
    /// Reads a recipe file that is based on no other. The findings are about TOML, keys and types only.
    #[must_use]
    pub fn read(id: &str, file: &Arc<SourceFile>) -> (RawRecipe, Vec<Finding>) {
        let RecipeFile { root, mut findings, .. } = RecipeFile::parse(id, file);
        let (recipe, more) = RawRecipe::read_tree(id, &root);
        findings.extend(more);
        (recipe, findings)
    }

    /// Reads a recipe, put together with its base if it has one. The findings are about keys and types only.
    #[must_use]
    pub fn read_tree(id: &str, root: &Node) -> (RawRecipe, Vec<Finding>) {
        let mut findings = Vec::new();
        let mut reader = Reader::new(root, "the recipe");
        let based_on = reader.words("based-on");
        let is_variant = based_on.is_some() || reader.refused().contains(&"based-on");
        let title = reader.words("title");
        // A variant's own title is asked for in `variant.rs`.
        let title = if is_variant { title } else { reader.require("title", title, "title = \"First plain bar\"") };
        let mould = reader.text("mould");
        let batch = reader.mass("batch");
        // Wide open on the low side: how far below zero is worth telling (findings/superfat_below_zero.rs).
        let superfat_percent = reader.number_between("superfat", -100.0, 99.0);
        let alkali = reader.node("alkali").cloned();
        let alkali = reader.require("alkali", alkali, "alkali = \"NaOH\"");
        let purity = reader.table("purity").unwrap_or_default().to_vec();
        let water = reader.node("water").cloned();
        let fats = reader.table("fats").map(<[Entry]>::to_vec);
        let fats_are_missing = fats.is_none();
        let fats = reader.require("fats", fats, "[fats] and below it  olive = 100").unwrap_or_default();
        let late_fats = reader.table("fats-after").unwrap_or_default().to_vec();
        let cut = reader.length("cut");
        let additives = read_additives(reader.list("additives").unwrap_or_default(), &mut findings);
        let layer_nodes = reader.list("layers").unwrap_or_default();
        let mut layers = Vec::new();
        for node in layer_nodes {
            let mut layer = Reader::new(node, "a layer");
            let is_table = matches!(node.value, NodeValue::Table(_));
            let name = layer.words("name");
            let name = if is_table { layer.require("name", name, "name = \"base\"") } else { None };
            let share = layer.number_between("share", 0.001, 1e6);
            let share = if is_table { layer.require("share", share, "share = 1") } else { None };
            let additives = read_additives(layer.list("additives").unwrap_or_default(), &mut findings);
            let stays_white = layer.truth("stays-white").unwrap_or(false);
            layers.push(RawLayer { place: node.place.clone(), name, share, additives, stays_white });
            findings.extend(layer.finish());
        }
        let mut refused = reader.refused();
        // Told already, by `require` or by what was wrong with them.
        refused.extend(fats_are_missing.then_some("fats"));
        findings.extend(reader.finish());
        let recipe = RawRecipe {
            id: id.to_owned(),
            place: root.place.clone(),
            based_on,
            title,
            mould,
            batch,
            superfat_percent,
            alkali,
            purity,
            water,
            fats,
            late_fats,
            additives,
            cut,
            layers,
            refused,
        };
        (recipe, findings)
    }
}

/// The additives of a recipe or of a layer.
fn read_additives(nodes: &[Node], findings: &mut Vec<Finding>) -> Vec<RawAdditive> {
    let mut additives = Vec::new();
    for node in nodes {
        let mut additive = Reader::new(node, "an additive");
        let is_table = matches!(node.value, NodeValue::Table(_));
        let item = additive.words("item");
        let item = if is_table { additive.require("item", item, "item = \"citric-acid\"") } else { None };
        let rate = additive.quantity("rate", Rate::FORMS, Rate::parse);
        let rate = if is_table { additive.require("rate", rate, "rate = \"1 %\"") } else { None };
        let strength_percent = additive.number_between("strength", 0.1, 100.0);
        let limit_percent = additive.number_between("limit", 0.0001, 100.0);
        additives.push(RawAdditive { place: node.place.clone(), item, rate, strength_percent, limit_percent });
        findings.extend(additive.finish());
    }
    additives
}
