//! The rows of alkalis.toml.
//!
//! Layer 1.

use super::Limits;
use super::value::{Row, Source, pair_of, require_source};
use crate::finding::Finding;
use crate::reader::{NodeValue, Reader};
use crate::units::MolarMass;

/// One of the two alkalis that make soap.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum AlkaliKind {
    /// Sodium hydroxide, for bars.
    NaOH,
    /// Potassium hydroxide, for soft and liquid soap.
    KOH,
}

impl AlkaliKind {
    /// Both, in the order in which pages show them.
    pub const ALL: [AlkaliKind; 2] = [AlkaliKind::NaOH, AlkaliKind::KOH];

    /// The formula, which is also what recipes call it.
    #[must_use]
    pub fn formula(self) -> &'static str {
        match self {
            AlkaliKind::NaOH => "NaOH",
            AlkaliKind::KOH => "KOH",
        }
    }
}

/// A property of an alkali's solution: `N` coefficients of a formula and the range in which they hold.
#[derive(Clone, Debug, PartialEq)]
pub struct SolutionModel<const N: usize> {
    /// The coefficients, in the order of the formula.
    pub coefficients: [f64; N],
    /// Lowest and highest temperature, degrees Celsius.
    pub celsius: (f64, f64),
    /// Highest mass fraction of alkali.
    pub highest_mass_fraction: f64,
    /// Who determined them.
    pub source: Source,
}

/// Values read off a published table, as `(where, value)` with the first rising; at least one pair.
#[derive(Clone, Debug, PartialEq)]
pub struct Rows {
    /// The pairs.
    pub pairs: Vec<(f64, f64)>,
    /// Who published them.
    pub source: Source,
}

/// How the heat of solution depends on the amount of water.
#[derive(Clone, Debug, PartialEq)]
pub struct HeatByDilution {
    /// Moles of water per mole of alkali, and kJ per mole of alkali.
    pub rows: Rows,
    /// The same table's heat in endless water, kJ per mole.
    pub infinite_dilution_kj_per_mol: f64,
}

/// The most that stays dissolved, by temperature.
#[derive(Clone, Debug, PartialEq)]
pub struct Solubility {
    /// Degrees Celsius, and alkali in percent by mass of the solution.
    pub rows: Rows,
    /// The rows, by their temperature, before which the crystals change to another hydrate: the solubility jumps
    /// somewhere between the row before and this one.
    pub other_crystals_from_celsius: Vec<f64>,
    /// The warmest, in degrees Celsius, at which the first of these hydrates crystallises, whatever the strength.
    pub hydrates_below_celsius: Option<f64>,
}

/// What is known about an alkali.
#[derive(Clone, Debug, PartialEq)]
pub struct Alkali {
    /// Which one.
    pub kind: AlkaliKind,
    /// What pages call it.
    pub name: String,
    /// Molar mass.
    pub molar_mass: MolarMass,
    /// Who determined it.
    pub molar_mass_source: Source,
    /// The strongest solution at 20 °C, percent by mass.
    pub strongest_solution_percent: f64,
    /// Who determined that.
    pub strongest_solution_source: Source,
    /// The density of its solutions: c0 to c4 of the formula in `batch/scaling.rs`.
    pub density_model: SolutionModel<5>,
    /// The heat capacity of its solutions: a1 to a6 of the formula in `batch/heat.rs`.
    pub heat_capacity_model: SolutionModel<6>,
    /// Heat capacity of solutions stronger than the model covers, where known: percent by mass, and J/(g K).
    pub strong_heat_capacity: Option<Rows>,
    /// Heat capacity of the dry alkali at 25 °C, J/(mol K).
    pub solid_heat_capacity: f64,
    /// Who determined it.
    pub solid_heat_capacity_source: Source,
    /// Heat set free on dissolving in endless water at 25 °C, kJ/mol.
    pub heat_of_solution_kj_per_mol: f64,
    /// Who determined it.
    pub heat_of_solution_source: Source,
    /// The same with less water, where known.
    pub heat_by_dilution: Option<HeatByDilution>,
    /// The most that stays dissolved, by temperature.
    pub solubility: Solubility,
    /// GHS hazard statements, such as `H314`.
    pub hazard_statements: Vec<String>,
}

/// The coefficients of a density, each with its bounds.
const DENSITY_COEFFICIENTS: [(&str, f64, f64); 5] =
    [("c0", -1e4, 1e4), ("c1", -1e4, 1e4), ("c2", -1e4, 1e4), ("c3", -1e4, 1e4), ("c4", -1e4, 1e4)];

/// The coefficients of a heat capacity. Some stand in exponents: the bounds keep what is computed from them finite.
const HEAT_CAPACITY_COEFFICIENTS: [(&str, f64, f64); 6] = [
    ("a1", -100.0, 100.0),
    ("a2", -1.0, 1.0),
    ("a3", -10.0, 10.0),
    ("a4", -100.0, 100.0),
    ("a5", -100.0, 100.0),
    ("a6", 0.0, 100.0),
];

pub(super) fn read_alkali(row: &mut Row<'_>, limits: &Limits) -> Option<Alkali> {
    let id = row.id;
    let kind = AlkaliKind::ALL.into_iter().find(|it| it.formula() == id);
    if kind.is_none() {
        row.tell(Finding::unknown_alkali(row.place.clone(), id));
    }
    let name = row.words("name");
    // Kept in the table for the reader of the table; the pages use the name.
    let _ = (row.words("also-called"), row.words("formula"));
    let hazard_statements = row.whole("hazards", |hazards| {
        let statements = read_hazard_statements(hazards);
        let _ = (hazards.words("signal"), require_source(hazards, id, "hazards"));
        statements
    });
    let molar_mass = row.constant("molar-mass", (1.0, 1000.0), limits.molar_mass_tolerance);
    let strongest_solution = row.value("strongest-solution-percent", (1.0, 99.0));
    let density_model = row.whole("density-model", |model| {
        let celsius = [(0.0, 20.0), (40.0, 150.0)];
        read_model(model, id, "density-model", DENSITY_COEFFICIENTS, celsius, (0.01, 1.0))
    });
    let heat_capacity_model = row.whole("heat-capacity-model", |model| {
        let celsius = [(-50.0, 400.0); 2];
        read_model(model, id, "heat-capacity-model", HEAT_CAPACITY_COEFFICIENTS, celsius, (0.0, 1.0))
    });
    let strong_heat_capacity = row
        .whole("strong-heat-capacity", |table| read_rows(table, id, "strong-heat-capacity", [(0.1, 99.0), (0.5, 5.0)]));
    let solid_heat_capacity = row.constant("solid-heat-capacity", (1.0, 1000.0), limits.heat_tolerance);
    let heat_of_solution = row.constant("heat-of-solution", (1.0, 200.0), limits.heat_tolerance);
    let heat_by_dilution = row.whole("heat-by-dilution", |table| {
        let infinite = table.number_between("infinite-dilution", 1.0, 200.0);
        let infinite = table.require("infinite-dilution", infinite, "infinite-dilution = 42.869");
        let rows = read_rows(table, id, "heat-by-dilution", [(0.1, 1e6), (1.0, 200.0)])?;
        Some(HeatByDilution { rows, infinite_dilution_kj_per_mol: infinite?.value })
    });
    let solubility = row.whole("solubility", |table| {
        let other_crystals_from_celsius = read_celsius_list(table, "other-crystals-from");
        let hydrates_below = table.number_between("hydrates-below", -50.0, 100.0);
        let rows = read_rows(table, id, "solubility", [(-50.0, 200.0), (1.0, 99.0)])?;
        let hydrates_below_celsius = hydrates_below.map(|it| it.value);
        Some(Solubility { rows, other_crystals_from_celsius, hydrates_below_celsius })
    });
    let (molar_mass, strongest_solution) = (molar_mass?, strongest_solution?);
    let (solid_heat_capacity, heat_of_solution) = (solid_heat_capacity?, heat_of_solution?);
    Some(Alkali {
        kind: kind?,
        name: name?,
        molar_mass: MolarMass::grams_per_mole(molar_mass.number),
        molar_mass_source: molar_mass.source,
        strongest_solution_percent: strongest_solution.number,
        strongest_solution_source: strongest_solution.source,
        density_model: density_model?,
        heat_capacity_model: heat_capacity_model?,
        strong_heat_capacity,
        solid_heat_capacity: solid_heat_capacity.number,
        solid_heat_capacity_source: solid_heat_capacity.source,
        heat_of_solution_kj_per_mol: heat_of_solution.number,
        heat_of_solution_source: heat_of_solution.source,
        heat_by_dilution,
        solubility: solubility?,
        hazard_statements: hazard_statements.unwrap_or_default(),
    })
}

fn read_hazard_statements(hazards: &mut Reader<'_>) -> Option<Vec<String>> {
    let mut statements = Vec::new();
    for item in hazards.list("statements")? {
        match &item.value {
            NodeValue::Text(text) => statements.push(text.clone()),
            other => {
                let (place, wanted) = (item.place.clone(), "text in quotes");
                hazards.findings.push(Finding::wrong_type(place, "statements", wanted, other.kind()));
            }
        }
    }
    Some(statements)
}

fn read_model<const N: usize>(
    model: &mut Reader<'_>,
    id: &str,
    name: &str,
    coefficients: [(&'static str, f64, f64); N],
    [lowest, highest]: [(f64, f64); 2],
    fraction: (f64, f64),
) -> Option<SolutionModel<N>> {
    let ends = [coefficients[0].0, coefficients[N - 1].0].join(" to ");
    let example = format!("all of {ends}, lowest-celsius, highest-celsius and highest-mass-fraction");
    let mut number = |key: &'static str, low: f64, high: f64| {
        let number = model.number_between(key, low, high);
        model.require(key, number, &example).map(|it| it.value)
    };
    let coefficients = coefficients.map(|(key, low, high)| number(key, low, high));
    let lowest = number("lowest-celsius", lowest.0, lowest.1);
    let highest = number("highest-celsius", highest.0, highest.1);
    let fraction = number("highest-mass-fraction", fraction.0, fraction.1);
    let source = require_source(model, id, name);
    let (lowest, highest) = (lowest?, highest?);
    if lowest > highest {
        model.findings.push(Finding::range_upside_down(model.place(), id, name, lowest, highest));
        return None;
    }
    if coefficients.contains(&None) {
        return None;
    }
    Some(SolutionModel {
        coefficients: coefficients.map(Option::unwrap_or_default),
        celsius: (lowest, highest),
        highest_mass_fraction: fraction?,
        source: source?,
    })
}

/// Reads `rows = [[where, value], ...]` with its source; `None` if anything in the table was refused. `bounds` are the
/// limits of both columns.
pub(super) fn read_rows(table: &mut Reader<'_>, id: &str, name: &str, bounds: [(f64, f64); 2]) -> Option<Rows> {
    let wanted = "pairs of numbers such as [[0, 29.6], [10, 33.8]], the first of each rising";
    let mut pairs: Vec<(f64, f64)> = Vec::new();
    let list = table.list("rows");
    let list = table.require("rows", list, "rows = [[0, 29.6], [10, 33.8]]").unwrap_or_default();
    for item in list {
        let Some((at, value)) = pair_of(item) else {
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
    let source = require_source(table, id, name);
    if pairs.is_empty() && table.findings.is_empty() {
        table.findings.push(Finding::wrong_type(table.place(), "rows", wanted, "an empty list"));
    }
    if table.findings.is_empty() { Some(Rows { pairs, source: source? }) } else { None }
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
