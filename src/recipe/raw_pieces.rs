//! What a recipe file says of cutting, of embeds, and of what additives are dispersed in.
//!
//! Layer 2. Part of `raw.rs`.

use super::{Cutting, SUPERFAT_LIMITS_PERCENT};
use crate::finding::Finding;
use crate::reader::{Node, NodeValue, Reader};
use crate::source::{Located, Place};
use crate::units::{Length, Temperature, Volume};

/// What a recipe file says of the liquid in which an additive is dispersed.
#[derive(Clone, Debug)]
pub struct RawDispersal {
    /// `item`
    pub item: Located<String>,
    /// `times`: how many times the mass of the additive.
    pub times: f64,
}

/// What a recipe file says of pieces that are set into the batter.
#[derive(Clone, Debug)]
pub struct RawEmbed {
    /// The start of them.
    pub place: Place,
    /// `name`
    pub name: Located<String>,
    /// `volume`, or `mass` over `density`: of one of them.
    pub volume: Volume,
    /// `count`: how many.
    pub count: f64,
}

/// How warm fats and lye solution are when they are brought together, lowest and highest; `None` is common practice.
#[derive(Clone, Copy, Debug, Default)]
pub struct WhenPoured {
    /// `fats`
    pub fats: Option<(Temperature, Temperature)>,
    /// `lye-solution`
    pub lye_solution: Option<(Temperature, Temperature)>,
}

/// `[temperatures]`
pub(super) fn read_temperatures(node: &Node, findings: &mut Vec<Finding>) -> WhenPoured {
    let mut reader = Reader::new(node, "temperatures");
    let mut read = |key| Some(reader.quantity(key, Temperature::RANGE_FORMS, Temperature::parse_range)?.value);
    let when_poured = WhenPoured { fats: read("fats"), lye_solution: read("lye-solution") };
    findings.extend(reader.finish());
    when_poured
}

/// How many times its own mass an additive is dispersed in: less does not wet a powder, more is a drink and not a paste.
const DISPERSED_IN_TIMES: (f64, f64) = (0.5, 20.0);

/// What a wire or a saw takes, and what anybody trims off, in millimetres.
const KERF_MILLIMETRES: (f64, f64) = (0.0, 10.0);
const ENDS_MILLIMETRES: (f64, f64) = (0.0, 100.0);

/// `cut`: a thickness, or a table of what is cut in each direction and what is lost.
pub(super) fn read_cut(node: &Node, findings: &mut Vec<Finding>) -> Option<Located<Cutting>> {
    let nothing = Length::default();
    if let NodeValue::Text(text) = &node.value {
        return match Length::parse(text) {
            Ok(along) => {
                let cutting = Cutting { along, across: None, kerf: nothing, ends: nothing };
                Some(Located { value: cutting, place: node.place.clone() })
            }
            Err(error) => {
                findings.push(Finding::not_a_quantity(node.place.clone(), "cut", Length::FORMS, &error));
                None
            }
        };
    }
    if !matches!(node.value, NodeValue::Table(_)) {
        let wanted = "a thickness such as \"25 mm\", or { along = \"90 mm\", across = \"60 mm\" }";
        findings.push(Finding::wrong_type(node.place.clone(), "cut", wanted, node.value.kind()));
        return None;
    }
    let mut reader = Reader::new(node, "cut");
    let along = reader.length("along");
    let along = reader.require("along", along, "along = \"25 mm\"");
    let across = reader.length("across");
    let mut lost = |key: &'static str, limits: (f64, f64)| {
        let typed = reader.length(key)?;
        let millimetres = typed.value.to_millimetres();
        if (limits.0..=limits.1).contains(&millimetres) {
            return Some(typed.value);
        }
        findings.push(Finding::length_out_of_range(typed.place, key, millimetres, limits));
        None
    };
    let kerf = lost("kerf", KERF_MILLIMETRES).unwrap_or_default();
    let ends = lost("ends", ENDS_MILLIMETRES).unwrap_or_default();
    findings.extend(reader.finish());
    let cutting = Cutting { along: along?.value, across: across.map(|it| it.value), kerf, ends };
    Some(Located { value: cutting, place: node.place.clone() })
}

/// How many embeds there may be, and the density of one, g/mL: a soap sinks in water or nearly does.
const EMBEDS: (f64, f64) = (1.0, 10_000.0);
const EMBED_DENSITY: (f64, f64) = (0.3, 3.0);

/// A crumb. What takes no room at all is a slip, and the mould would run over.
const LEAST_EMBED_MILLILITRES: f64 = 0.01;

/// `[[embeds]]`: a name, how many, and the volume of one, or its mass and density.
pub(super) fn read_embeds(nodes: &[Node], findings: &mut Vec<Finding>) -> Vec<RawEmbed> {
    let mut embeds = Vec::new();
    for node in nodes {
        let mut reader = Reader::new(node, "an embed");
        let is_table = matches!(node.value, NodeValue::Table(_));
        let name = reader.name("name");
        let name = if is_table { reader.require("name", name, "name = \"stars\"") } else { None };
        let count = reader.number_between("count", EMBEDS.0, EMBEDS.1).map_or(1.0, |it| it.value);
        let volume = reader.quantity("volume", "a volume such as \"120 ml\"", Volume::parse);
        let mass = reader.mass("mass");
        let density = reader.number_between("density", EMBED_DENSITY.0, EMBED_DENSITY.1);
        let size_place = volume.as_ref().map(|it| &it.place).or(mass.as_ref().map(|it| &it.place)).cloned();
        let volume = match (volume, mass, density) {
            (Some(volume), None, None) => Some(volume.value),
            (None, Some(mass), Some(density)) => Some(Volume::millilitres(mass.value.to_grams() / density.value)),
            (Some(_), Some(other), _) => {
                findings.push(Finding::embed_size(other.place));
                None
            }
            (Some(_), None, Some(other)) => {
                findings.push(Finding::embed_size(other.place));
                None
            }
            (None, ..) => {
                if is_table && reader.refused().is_empty() {
                    findings.push(Finding::embed_size(node.place.clone()));
                }
                None
            }
        };
        let takes_room = volume.filter(|it| it.to_millilitres() >= LEAST_EMBED_MILLILITRES);
        if let (Some(place), Some(_), None) = (size_place, volume, takes_room) {
            findings.push(Finding::embed_of_nothing(place));
        }
        let volume = takes_room;
        let place = node.place.clone();
        embeds.extend(name.zip(volume).map(|(name, volume)| RawEmbed { place, name, volume, count }));
        findings.extend(reader.finish());
    }
    embeds
}

/// `in`: a liquid, and how many times the mass of what is dispersed in it.
pub(super) fn read_dispersal(node: &Node, findings: &mut Vec<Finding>) -> Option<RawDispersal> {
    let mut dispersal = Reader::new(node, "in");
    let is_table = matches!(node.value, NodeValue::Table(_));
    let (item, (low, high)) = (dispersal.name("item"), DISPERSED_IN_TIMES);
    let times = dispersal.number_between("times", low, high);
    let read = if is_table {
        let item = dispersal.require("item", item, "item = \"sunflower\"");
        let times = dispersal.require("times", times, "times = 3");
        item.zip(times).map(|(item, times)| RawDispersal { item, times: times.value })
    } else {
        None
    };
    findings.extend(dispersal.finish());
    read
}

/// `superfat-range`: the lowest and the highest superfat, percent.
pub(super) fn read_range(node: &Node, findings: &mut Vec<Finding>) -> Option<Located<(f64, f64)>> {
    let mut range = Reader::new(node, "superfat-range");
    let mut end = |key: &'static str| {
        let end = range.number_between(key, 0.0, SUPERFAT_LIMITS_PERCENT.1);
        range.require(key, end, "superfat-range = { low = 5, high = 8 }")
    };
    let (low, high) = (end("low"), end("high"));
    findings.extend(range.finish());
    let value = (low?.value, high?.value);
    if value.0 > value.1 {
        findings.push(Finding::range_upside_down(node.place.clone(), "the recipe", "superfat-range", value.0, value.1));
        return None;
    }
    Some(Located { value, place: node.place.clone() })
}
