//! A recipe as typed: every value optional, with its place; nothing checked but its type.
//!
//! Layer 2. Types that cannot be told apart yet (a percentage or a mass, one alkali or two) stay [`Node`]s here and are
//! told apart in `validate.rs`.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::after::{Dilute, Pot, read_dilute, read_pot};
use super::arrangement::part_name;
use super::infusions::{RawInfusion, read_infusions};
use super::raw_pieces::{RawDispersal, RawEmbed, read_cut, read_dispersal, read_embeds, read_range, read_temperatures};
use super::{Cutting, Rate, RecipeFile, SUPERFAT_LIMITS_PERCENT, WhenPoured};
use crate::finding::Finding;
use crate::reader::{Entry, Node, NodeValue, Reader};
use crate::source::{Located, Place, SourceFile};
use crate::tables::TIME_KEYS;
use crate::units::{Colour, Length, Mass, TimeSpan};

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
    /// `into`: the mould that `batch` is poured into.
    pub into: Option<Located<String>>,
    /// `superfat`
    pub superfat_percent: Option<Located<f64>>,
    /// `superfat-range`: the lowest and the highest that students may choose.
    pub superfat_range: Option<Located<(f64, f64)>>,
    /// `alkali`: a name, or a table of shares.
    pub alkali: Option<Node>,
    /// `purity`: percent by alkali.
    pub purity: Vec<Entry>,
    /// `water`: a table with one of three keys.
    pub water: Option<Node>,
    /// `stock`: a table with the strength of lye solution made beforehand.
    pub stock: Option<Node>,
    /// `[fats]`: percentages or masses by id.
    pub fats: Vec<Entry>,
    /// `[fats-after]`: rates of fats stirred in after saponification, by id.
    pub late_fats: Vec<Entry>,
    /// `[[additives]]`
    pub additives: Vec<RawAdditive>,
    /// `[[infusions]]`
    pub infusions: Vec<RawInfusion>,
    /// `[pot]`: what the pot takes from a soap that is cooked.
    pub pot: Option<Pot>,
    /// `[dilute]`: the liquid that a paste is made into.
    pub dilute: Option<Dilute>,
    /// `cut`
    pub cut: Option<Located<Cutting>>,
    /// `divide`: what is divided into layers.
    pub divide: Option<Located<String>>,
    /// `trace`: how far the batter is blended.
    pub trace: Option<Located<String>>,
    /// `first`: what is made ready first.
    pub first: Option<Located<String>>,
    /// `[times]`: how long each step takes, by its key.
    pub times: BTreeMap<&'static str, Located<(TimeSpan, TimeSpan)>>,
    /// `[temperatures]`
    pub when_poured: WhenPoured,
    /// `[[acknowledged]]`
    pub acknowledged: Vec<RawAcknowledgement>,
    /// `[[layers]]`, or else `[[portions]]`
    pub layers: Vec<RawLayer>,
    /// Where `[[portions]]` begin.
    pub portions: Option<Place>,
    /// Where `[[layers]]` begin.
    pub layers_place: Option<Place>,
    /// `[[embeds]]`
    pub embeds: Vec<RawEmbed>,
    /// `swirl`: how portions come together.
    pub swirl: Option<Located<String>>,
    /// Keys that were typed and could not be read: their absence above is no second finding.
    pub refused: Vec<&'static str>,
}

/// A warning that is meant.
#[derive(Clone, Debug)]
pub struct RawAcknowledgement {
    /// `finding`: its code.
    pub finding: Located<String>,
    /// `because`: the reason.
    pub because: Located<String>,
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
    /// `vanillin`: how much of it is in a scent, percent.
    pub vanillin_percent: Option<Located<f64>>,
    /// `goes-into`: when it goes in, where that is not as in the table.
    pub goes_into: Option<Located<String>>,
    /// `in`: what it is dispersed in.
    pub dispersed_in: Option<RawDispersal>,
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
    /// `thickness`; `None` inside is the rest of the mould.
    pub thickness: Option<Located<Option<Length>>>,
    /// `wait`: until it is firm but still tacky.
    pub wait: Option<Located<TimeSpan>>,
    /// `how`: poured or spooned.
    pub how: Option<Located<String>>,
    /// `trace`: how far it is blended.
    pub trace: Option<Located<String>>,
    /// `spritz`: misted with rubbing alcohol before the next layer.
    pub spritz: bool,
    /// `additives`
    pub additives: Vec<RawAdditive>,
    /// `stays-white`
    pub stays_white: bool,
    /// `colour`
    pub colour: Option<Colour>,
}

impl RawRecipe {
    /// Whether the batter is blended once and then divided.
    #[must_use]
    pub fn divides_batter(&self) -> bool {
        self.portions.is_some() || self.divide.as_ref().is_some_and(|it| it.value == "batter")
    }

    /// What the parts of its batch are called.
    pub(super) fn part_name(&self) -> &'static str {
        part_name(self.portions.is_some())
    }

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
        let based_on = reader.name("based-on");
        let is_variant = based_on.is_some() || reader.refused().contains(&"based-on");
        let title = reader.words("title");
        // A variant's own title is asked for in `variant.rs`.
        let title = if is_variant { title } else { reader.require("title", title, "title = \"First plain bar\"") };
        let mould = reader.name("mould");
        let batch = reader.mass("batch");
        let into = reader.name("into");
        let (low, high) = SUPERFAT_LIMITS_PERCENT;
        let superfat_percent = reader.number_between("superfat", low, high);
        let superfat_range = reader.node("superfat-range").and_then(|it| read_range(it, &mut findings));
        let alkali = reader.node("alkali").cloned();
        let alkali = reader.require("alkali", alkali, "alkali = \"NaOH\"");
        let purity = reader.table("purity").unwrap_or_default().to_vec();
        let water = reader.node("water").cloned();
        let stock = reader.node("stock").cloned();
        let fats = reader.table("fats").map(<[Entry]>::to_vec);
        let fats_are_missing = fats.is_none();
        let fats = reader.require("fats", fats, "[fats] and below it  olive = 100").unwrap_or_default();
        let late_fats = reader.table("fats-after").unwrap_or_default().to_vec();
        let cut = reader.node("cut").and_then(|it| read_cut(it, &mut findings));
        let pot = reader.node("pot").and_then(|it| read_pot(it, &mut findings));
        let dilute = reader.node("dilute").and_then(|it| read_dilute(it, &mut findings));
        let additives = read_additives(reader.tables("additives").unwrap_or_default(), &mut findings);
        let infusions = read_infusions(reader.tables("infusions").unwrap_or_default(), &mut findings);
        let divide = reader.text("divide");
        let trace = reader.text("trace");
        let first = reader.text("first");
        let times = reader.node("times").map(|it| read_times(it, &mut findings)).unwrap_or_default();
        let when_poured =
            reader.node("temperatures").map(|it| read_temperatures(it, &mut findings)).unwrap_or_default();
        let acknowledged = read_acknowledged(reader.tables("acknowledged").unwrap_or_default(), &mut findings);
        let embeds = read_embeds(reader.tables("embeds").unwrap_or_default(), &mut findings);
        let swirl = reader.text("swirl");
        let layer_nodes = reader.tables("layers").unwrap_or_default();
        let portion_nodes = reader.tables("portions").unwrap_or_default();
        let mut layers = read_layers(layer_nodes, Lies::InTheMould, &mut findings);
        layers.extend(read_layers(portion_nodes, Lies::Anywhere, &mut findings));
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
            into,
            superfat_percent,
            superfat_range,
            alkali,
            purity,
            water,
            stock,
            fats,
            late_fats,
            additives,
            infusions,
            pot,
            dilute,
            cut,
            divide,
            trace,
            first,
            times,
            when_poured,
            acknowledged,
            layers,
            portions: portion_nodes.first().map(|it| it.place.clone()),
            layers_place: layer_nodes.first().map(|it| it.place.clone()),
            embeds,
            swirl,
            refused,
        };
        (recipe, findings)
    }
}

/// `[times]`: known keys only, each a time or a range of times.
fn read_times(node: &Node, findings: &mut Vec<Finding>) -> BTreeMap<&'static str, Located<(TimeSpan, TimeSpan)>> {
    let mut reader = Reader::new(node, "times");
    let forms = TimeSpan::RANGE_FORMS;
    let times = TIME_KEYS.into_iter();
    let times = times.filter_map(|key| Some((key, reader.quantity(key, forms, TimeSpan::parse_range)?))).collect();
    findings.extend(reader.finish());
    times
}

/// `[[acknowledged]]`: a code and a reason each.
fn read_acknowledged(nodes: &[Node], findings: &mut Vec<Finding>) -> Vec<RawAcknowledgement> {
    let mut acknowledged = Vec::new();
    for node in nodes {
        let mut reader = Reader::new(node, "an acknowledgement");
        let is_table = matches!(node.value, NodeValue::Table(_));
        let finding = reader.words("finding");
        let because = reader.words("because");
        if is_table {
            let finding = reader.require("finding", finding, "finding = \"superfat-unusual\"");
            let because = reader.require("because", because, "because = \"the lesson is about this\"");
            if let (Some(finding), Some(because)) = (finding, because) {
                acknowledged.push(RawAcknowledgement { finding, because });
            }
        }
        findings.extend(reader.finish());
    }
    acknowledged
}

/// Whether a part of a batch lies on another one in the mould.
#[derive(Clone, Copy, PartialEq)]
enum Lies {
    /// A layer, which has a thickness, waits and is poured or spooned.
    InTheMould,
    /// A portion that is swirled.
    Anywhere,
}

/// The layers, in pouring order, or the portions.
fn read_layers(nodes: &[Node], lies: Lies, findings: &mut Vec<Finding>) -> Vec<RawLayer> {
    let mut layers = Vec::new();
    let is_layer = lies == Lies::InTheMould;
    for node in nodes {
        let mut layer = Reader::new(node, if is_layer { "a layer" } else { "a portion" });
        let is_table = matches!(node.value, NodeValue::Table(_));
        let name = layer.name("name");
        let name = if is_table { layer.require("name", name, "name = \"base\"") } else { None };
        let read_thickness = |layer: &mut Reader<'_>| {
            layer.quantity("thickness", "\"rest\" or a length such as \"15 mm\"", |text| match text {
                "rest" => Ok(None),
                text => Length::parse(text).map(Some),
            })
        };
        let thickness = if is_layer { read_thickness(&mut layer) } else { None };
        let share = layer.number_between("share", 0.001, 1e6);
        let has_size = thickness.is_some() || layer.refused().contains(&"thickness");
        let share = if is_table && !has_size { layer.require("share", share, "share = 1") } else { share };
        let wait = if is_layer { layer.quantity("wait", TimeSpan::FORMS, TimeSpan::parse) } else { None };
        let how = if is_layer { layer.text("how") } else { None };
        let trace = if is_layer { layer.text("trace") } else { None };
        let spritz = is_layer && layer.truth("spritz").unwrap_or(false);
        let additives = read_additives(layer.tables("additives").unwrap_or_default(), findings);
        let stays_white = layer.truth("stays-white").unwrap_or(false);
        let colour = layer.quantity("colour", Colour::FORMS, Colour::parse).map(|it| it.value);
        let place = node.place.clone();
        layers.push(RawLayer {
            place,
            name,
            share,
            thickness,
            wait,
            how,
            trace,
            spritz,
            additives,
            stays_white,
            colour,
        });
        findings.extend(layer.finish());
    }
    layers
}

/// The additives of a recipe or of a layer.
fn read_additives(nodes: &[Node], findings: &mut Vec<Finding>) -> Vec<RawAdditive> {
    let mut additives = Vec::new();
    for node in nodes {
        let mut additive = Reader::new(node, "an additive");
        let is_table = matches!(node.value, NodeValue::Table(_));
        let item = additive.name("item");
        let item = if is_table { additive.require("item", item, "item = \"citric-acid\"") } else { None };
        let rate = additive.quantity("rate", Rate::FORMS, Rate::parse);
        let rate = if is_table { additive.require("rate", rate, "rate = \"1 %\"") } else { None };
        let strength_percent = additive.number_between("strength", 0.1, 100.0);
        let limit_percent = additive.number_between("limit", 0.0001, 100.0);
        let vanillin_percent = additive.number_between("vanillin", 0.0, 100.0);
        let goes_into = additive.text("goes-into");
        let dispersed_in = additive.node("in").and_then(|it| read_dispersal(it, findings));
        let place = node.place.clone();
        additives.push(RawAdditive {
            place,
            item,
            rate,
            strength_percent,
            limit_percent,
            vanillin_percent,
            goes_into,
            dispersed_in,
        });
        findings.extend(additive.finish());
    }
    additives
}
