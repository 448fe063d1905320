//! The rows of alkalis.toml, as typed and as trusted.
//!
//! Layer 1.

use super::raw::{Sourced, read_source, read_value};
use super::{Alkali, AlkaliKind, DensityModel, HeatByDilution, HeatCapacityModel, Rows, Solubility};
use crate::finding::Finding;
use crate::reader::{Node, NodeValue, Reader};
use crate::source::Located;
use crate::units::MolarMass;

/// A row of alkalis.toml.
#[derive(Clone, Default)]
pub(super) struct RawAlkali {
    name: Option<String>,
    molar_mass: Option<Sourced>,
    strongest: Option<Sourced>,
    hazards: Option<Vec<String>>,
    density_model: Option<DensityModel>,
    heat_capacity_model: Option<HeatCapacityModel>,
    strong_heat_capacity: Option<Rows>,
    solid_heat_capacity: Option<Sourced>,
    heat_of_solution: Option<Sourced>,
    heat_by_dilution: Option<HeatByDilution>,
    solubility: Option<Solubility>,
}

impl RawAlkali {
    pub(super) fn over(self, base: RawAlkali) -> RawAlkali {
        RawAlkali {
            name: self.name.or(base.name),
            molar_mass: self.molar_mass.or(base.molar_mass),
            strongest: self.strongest.or(base.strongest),
            hazards: self.hazards.or(base.hazards),
            density_model: self.density_model.or(base.density_model),
            heat_capacity_model: self.heat_capacity_model.or(base.heat_capacity_model),
            strong_heat_capacity: self.strong_heat_capacity.or(base.strong_heat_capacity),
            solid_heat_capacity: self.solid_heat_capacity.or(base.solid_heat_capacity),
            heat_of_solution: self.heat_of_solution.or(base.heat_of_solution),
            heat_by_dilution: self.heat_by_dilution.or(base.heat_by_dilution),
            solubility: self.solubility.or(base.solubility),
        }
    }
}

pub(super) fn read_alkali(row: &mut Reader<'_>, id: &str) -> RawAlkali {
    let name = row.words("name").map(|it| it.value);
    // Kept in the table for the reader of the table; the pages use the name.
    let _ = (row.words("also-called"), row.words("formula"));
    let hazards = row.node("hazards").and_then(|node| {
        let mut hazards = Reader::new(node, "hazards");
        let statements = hazards.list("statements").map(|items| {
            let words = items.iter().filter_map(|it| match &it.value {
                NodeValue::Text(text) => Some(text.clone()),
                other => {
                    row.findings.push(Finding::wrong_type(
                        it.place.clone(),
                        "statements",
                        "text in quotes",
                        other.kind(),
                    ));
                    None
                }
            });
            words.collect()
        });
        let _ = hazards.words("signal");
        if read_source(&mut hazards, "source").is_none() {
            hazards.findings.push(Finding::value_without_source(node.place.clone(), id, "hazards"));
        }
        row.findings.extend(hazards.finish());
        statements
    });
    RawAlkali {
        name,
        molar_mass: read_value(row, "molar-mass", id, (1.0, 1000.0)).used,
        strongest: read_value(row, "strongest-solution-percent", id, (1.0, 99.0)).used,
        hazards,
        density_model: row.node("density-model").and_then(|node| read_density_model(row, node, id)),
        heat_capacity_model: row.node("heat-capacity-model").and_then(|node| read_heat_capacity_model(row, node, id)),
        strong_heat_capacity: row.node("strong-heat-capacity").and_then(|node| {
            read_rows(row, node, id, "strong-heat-capacity", [(0.1, 99.0), (0.5, 5.0)], |_| ()).map(|(rows, ())| rows)
        }),
        solid_heat_capacity: read_value(row, "solid-heat-capacity", id, (1.0, 1000.0)).used,
        heat_of_solution: read_value(row, "heat-of-solution", id, (1.0, 200.0)).used,
        heat_by_dilution: row.node("heat-by-dilution").and_then(|node| {
            let infinite = |table: &mut Reader<'_>| {
                let number = table.number_between("infinite-dilution", 1.0, 200.0);
                table.require("infinite-dilution", number, "infinite-dilution = 42.869").map(|it| it.value)
            };
            let (rows, infinite) = read_rows(row, node, id, "heat-by-dilution", [(0.1, 1e6), (1.0, 200.0)], infinite)?;
            Some(HeatByDilution { rows, infinite_dilution_kj_per_mol: infinite? })
        }),
        solubility: row.node("solubility").and_then(|node| {
            let other = |table: &mut Reader<'_>| read_celsius_list(table, "other-crystals-from");
            let (rows, other) = read_rows(row, node, id, "solubility", [(-50.0, 200.0), (1.0, 99.0)], other)?;
            Some(Solubility { rows, other_crystals_from_celsius: other })
        }),
    }
}

fn read_density_model(row: &mut Reader<'_>, node: &Node, id: &str) -> Option<DensityModel> {
    let mut model = Reader::new(node, "density-model");
    let mut number = |key: &'static str, low: f64, high: f64| {
        let number = model.number_between(key, low, high);
        model.require(key, number, "all of c0 to c4, lowest-celsius, highest-celsius and highest-mass-fraction")
    };
    let coefficients = ["c0", "c1", "c2", "c3", "c4"].map(|it| number(it, -1e4, 1e4));
    let ends = [number("lowest-celsius", 0.0, 20.0), number("highest-celsius", 40.0, 150.0)];
    let fraction = number("highest-mass-fraction", 0.01, 1.0);
    let source = read_source(&mut model, "source");
    if source.is_none() {
        model.findings.push(Finding::value_without_source(node.place.clone(), id, "density-model"));
    }
    row.findings.extend(model.finish());
    let value = |it: &Option<Located<f64>>| it.as_ref().map(|it| it.value);
    let [c0, c1, c2, c3, c4] = coefficients.each_ref().map(value);
    let [lowest, highest] = ends.each_ref().map(value);
    Some(DensityModel {
        coefficients: [c0?, c1?, c2?, c3?, c4?],
        celsius: (lowest?, highest?),
        highest_mass_fraction: fraction?.value,
        source: source?,
    })
}

fn read_heat_capacity_model(row: &mut Reader<'_>, node: &Node, id: &str) -> Option<HeatCapacityModel> {
    let mut model = Reader::new(node, "heat-capacity-model");
    let mut number = |key: &'static str, low: f64, high: f64| {
        let number = model.number_between(key, low, high);
        let example = "all of a1 to a6, lowest-celsius, highest-celsius and highest-mass-fraction";
        model.require(key, number, example).map(|it| it.value)
    };
    // Some of these stand in exponents: the bounds keep what is computed from them finite.
    let coefficients = [
        number("a1", -100.0, 100.0),
        number("a2", -1.0, 1.0),
        number("a3", -10.0, 10.0),
        number("a4", -100.0, 100.0),
        number("a5", -100.0, 100.0),
        number("a6", 0.0, 100.0),
    ];
    let (lowest, highest) = (number("lowest-celsius", -50.0, 400.0), number("highest-celsius", -50.0, 400.0));
    let fraction = number("highest-mass-fraction", 0.0, 1.0);
    let source = read_source(&mut model, "source");
    if source.is_none() {
        model.findings.push(Finding::value_without_source(node.place.clone(), id, "heat-capacity-model"));
    }
    row.findings.extend(model.finish());
    let (lowest, highest) = (lowest?, highest?);
    if lowest > highest {
        let name = "heat-capacity-model";
        row.findings.push(Finding::range_upside_down(node.place.clone(), id, name, lowest, highest));
        return None;
    }
    let [a1, a2, a3, a4, a5, a6] = coefficients;
    Some(HeatCapacityModel {
        coefficients: [a1?, a2?, a3?, a4?, a5?, a6?],
        celsius: (lowest, highest),
        highest_mass_fraction: fraction?,
        source: source?,
    })
}

/// Reads `rows = [[where, value], ...]` with its source, and whatever else `rest` takes from the same value. `bounds`
/// are the limits of both columns.
fn read_rows<T>(
    row: &mut Reader<'_>,
    node: &Node,
    id: &str,
    name: &'static str,
    bounds: [(f64, f64); 2],
    rest: impl FnOnce(&mut Reader<'_>) -> T,
) -> Option<(Rows, T)> {
    let mut table = Reader::new(node, name);
    let wanted = "pairs of numbers such as [[0, 29.6], [10, 33.8]], the first of each rising";
    let mut pairs: Vec<(f64, f64)> = Vec::new();
    let list = table.list("rows");
    let list = table.require("rows", list, "rows = [[0, 29.6], [10, 33.8]]").unwrap_or_default();
    for item in list {
        let pair = match &item.value {
            NodeValue::List(pair) => match pair[..] {
                [Node { value: NodeValue::Number(at), .. }, Node { value: NodeValue::Number(value), .. }] => {
                    Some((at, value))
                }
                _ => None,
            },
            _ => None,
        };
        let Some((at, value)) = pair else {
            table.findings.push(Finding::wrong_type(item.place.clone(), "rows", wanted, "this"));
            continue;
        };
        for (number, (low, high)) in [at, value].into_iter().zip(bounds) {
            if number < low || number > high {
                table.findings.push(Finding::out_of_range(item.place.clone(), "rows", number, low, high));
            }
        }
        if pairs.last().is_some_and(|(before, _)| *before >= at) {
            let found = "a row that is not above the one before it";
            table.findings.push(Finding::wrong_type(item.place.clone(), "rows", wanted, found));
        }
        pairs.push((at, value));
    }
    let rest = rest(&mut table);
    let source = read_source(&mut table, "source");
    if source.is_none() {
        table.findings.push(Finding::value_without_source(node.place.clone(), id, name));
    }
    if pairs.is_empty() && table.findings.is_empty() {
        table.findings.push(Finding::wrong_type(node.place.clone(), "rows", wanted, "an empty list"));
    }
    let refused = !table.findings.is_empty();
    row.findings.extend(table.finish());
    if refused { None } else { Some((Rows { pairs, source: source? }, rest)) }
}

/// A list of temperatures; left out, it is empty.
fn read_celsius_list(table: &mut Reader<'_>, key: &'static str) -> Vec<f64> {
    let mut celsius = Vec::new();
    for item in table.list(key).unwrap_or_default() {
        match &item.value {
            NodeValue::Number(number) => celsius.push(*number),
            other => {
                let wanted = "temperatures such as [20, 70]";
                table.findings.push(Finding::wrong_type(item.place.clone(), key, wanted, other.kind()));
            }
        }
    }
    celsius
}

pub(super) fn trust_alkali(kind: AlkaliKind, raw: Option<RawAlkali>) -> Alkali {
    let raw = raw.expect("the embedded table has both alkalis");
    let molar_mass = raw.molar_mass.expect("the embedded table has a molar mass");
    let strongest = raw.strongest.expect("the embedded table has a strongest solution");
    let solid_heat_capacity = raw.solid_heat_capacity.expect("the embedded table has a heat capacity of the solid");
    let heat_of_solution = raw.heat_of_solution.expect("the embedded table has a heat of solution");
    Alkali {
        kind,
        name: raw.name.expect("the embedded table has a name"),
        molar_mass: MolarMass::grams_per_mole(molar_mass.number.value),
        molar_mass_source: molar_mass.source,
        strongest_solution_percent: strongest.number.value,
        strongest_solution_source: strongest.source,
        density_model: raw.density_model.expect("the embedded table has a density model"),
        heat_capacity_model: raw.heat_capacity_model.expect("the embedded table has a heat capacity model"),
        strong_heat_capacity: raw.strong_heat_capacity,
        solid_heat_capacity: solid_heat_capacity.number.value,
        solid_heat_capacity_source: solid_heat_capacity.source,
        heat_of_solution_kj_per_mol: heat_of_solution.number.value,
        heat_of_solution_source: heat_of_solution.source,
        heat_by_dilution: raw.heat_by_dilution,
        solubility: raw.solubility.expect("the embedded table has a solubility"),
        hazard_statements: raw.hazards.unwrap_or_default(),
    }
}
