//! The arithmetic of the lye, step by step.
//!
//! Layer 5.

use serde::Serialize;

use super::super::{Computed, Units};
use super::{NO_BREAK, capitalised, exact, reading, short};
use crate::batch::{ScaleUnit, Weighed};
use crate::recipe::WaterRule;
use crate::tables::{AlkaliKind, Tables};
use crate::units::Mass;

/// One step of the arithmetic.
#[derive(Clone, Debug, Serialize)]
pub struct Step {
    /// What is done.
    pub title: String,
    /// The calculation.
    pub lines: Vec<String>,
    /// Why, in a sentence.
    pub why: String,
    /// Whether the table of fats belongs to this step.
    pub has_fats: bool,
}

/// A fat in the table of the arithmetic.
#[derive(Clone, Debug, Serialize)]
pub struct WorkedFat {
    /// Name.
    pub name: String,
    /// Mass, exact.
    pub mass: String,
    /// Saponification value.
    pub sap_value: String,
    /// KOH.
    pub koh: String,
}

/// The worked arithmetic.
#[derive(Clone, Debug, Serialize)]
pub struct WorkedView {
    /// What kind of block it is.
    pub kind: &'static str,
    /// The recipe's title.
    pub title: String,
    /// Heads of the table of fats.
    pub heads: [String; 4],
    /// The table of fats.
    pub fats: Vec<WorkedFat>,
    /// The steps.
    pub steps: Vec<Step>,
    /// Where the inputs come from.
    pub sources: Vec<String>,
}

/// The arithmetic of the lye, step by step, in the course's main unit.
#[must_use]
pub fn worked_view(computed: &Computed, units: Units, tables: &Tables) -> WorkedView {
    let batch = &computed.batch;
    let unit = if units == Units::Ounces { ScaleUnit::Ounces } else { ScaleUnit::Grams };
    let mass = |it: Mass| exact(it, unit);
    let step = |title: &str, lines: Vec<String>, why: &str| Step {
        title: title.into(),
        lines,
        why: why.into(),
        has_fats: false,
    };
    let fats = batch.fats.iter().map(|fat| WorkedFat {
        name: capitalised(&fat.name),
        mass: mass(fat.mass),
        sap_value: short(fat.sap_value.to_mg_koh_per_g(), 2),
        koh: mass(fat.koh),
    });
    let mut steps = vec![
        Step {
            title: "What each fat takes".into(),
            lines: vec!["mass of the fat × saponification value ÷ 1000 = potassium hydroxide (KOH)".into()],
            why: "A saponification value is the milligrams of KOH that one gram of the fat takes up.".into(),
            has_fats: true,
        },
        step(
            "What all of them take",
            vec![format!("the last column added up: {}", mass(batch.koh))],
            "So much KOH would leave neither fat nor alkali over.",
        ),
        step(
            "Leave the superfat",
            vec![format!(
                "{} × (100 − {}) ÷ 100 = {}",
                mass(batch.koh),
                short(batch.superfat_percent, 2),
                mass(batch.koh_after_superfat)
            )],
            "Less alkali than the fats can take: the fat left over is the margin for an error.",
        ),
    ];
    steps.extend(alkali_steps(computed, unit, tables));
    steps.push(water_step(computed, unit));
    steps.extend(units.shown(computed).into_iter().map(|it| scale_step(computed, it)));
    let alkali_sources = tables_cited(computed, tables);
    WorkedView {
        kind: "The lye, worked out",
        title: computed.recipe.title.clone(),
        heads: ["Fat", "Mass", "Saponification value", "KOH"].map(str::to_owned),
        fats: fats.collect(),
        steps,
        sources: alkali_sources,
    }
}

fn alkali_steps(computed: &Computed, unit: ScaleUnit, tables: &Tables) -> Vec<Step> {
    let batch = &computed.batch;
    let mass = |it: Mass| exact(it, unit);
    let molar_mass = |kind| short(tables.alkali(kind).molar_mass.to_grams_per_mole(), 3);
    let mut steps = Vec::new();
    for (alkali, share) in batch.alkalis.iter().zip(&computed.recipe.alkalis) {
        let formula = alkali.kind.formula();
        let koh_part = batch.koh_after_superfat * alkali.mole_fraction;
        let mut lines = Vec::new();
        if batch.alkalis.len() > 1 {
            lines.push(format!(
                "{} × {} ÷ 100 = {} of KOH whose work {formula} does",
                mass(batch.koh_after_superfat),
                short(alkali.mole_fraction * 100.0, 2),
                mass(koh_part)
            ));
        }
        let why = match alkali.kind {
            AlkaliKind::NaOH => {
                lines.push(format!(
                    "{} × {} ÷ {} = {} of pure NaOH",
                    mass(koh_part),
                    molar_mass(AlkaliKind::NaOH),
                    molar_mass(AlkaliKind::KOH),
                    mass(alkali.pure)
                ));
                "Both alkalis do the same work mole for mole, and a mole of NaOH weighs less."
            }
            AlkaliKind::KOH => "The saponification value is already stated as KOH.",
        };
        if share.purity_is_stated {
            lines.push(format!(
                "{} × 100 ÷ {} = {} from the container",
                mass(alkali.pure),
                short(alkali.purity.to_percent(), 2),
                mass(alkali.mass)
            ));
        } else {
            lines.push(format!("counted as pure: {} from the container", mass(alkali.mass)));
        }
        steps.push(Step { title: format!("Turn it into {formula}"), lines, why: why.into(), has_fats: false });
    }
    steps
}

fn water_step(computed: &Computed, unit: ScaleUnit) -> Step {
    let batch = &computed.batch;
    let mass = |it: Mass| exact(it, unit);
    let (line, why) = match computed.recipe.water {
        WaterRule::LyeConcentration(it) => {
            let concentration = short(it.to_percent(), 2);
            (
                format!(
                    "{} × (100 − {concentration}) ÷ {concentration} = {}",
                    mass(batch.total_alkali),
                    mass(batch.water)
                ),
                format!("Of 100 parts of the finished lye, {concentration} are alkali and the rest is water."),
            )
        }
        WaterRule::PerLye(ratio) => (
            format!("{} × {} = {}", mass(batch.total_alkali), short(ratio, 3), mass(batch.water)),
            "So many parts of water to one part of alkali.".to_owned(),
        ),
        WaterRule::OfFats(it) => (
            format!("{} × {} ÷ 100 = {}", mass(batch.total_fats), short(it.to_percent(), 2), mass(batch.water)),
            "Water as a percentage of the fats.".to_owned(),
        ),
    };
    Step { title: "The water it goes into".into(), lines: vec![line], why, has_fats: false }
}

fn scale_step(computed: &Computed, weighed: &Weighed) -> Step {
    let unit = weighed.scale.unit;
    let division = format!("{}{NO_BREAK}{}", short(weighed.scale.division, 6), unit.symbol());
    let mut lines = Vec::new();
    for (alkali, divisions) in computed.batch.alkalis.iter().zip(&weighed.alkalis) {
        let (exact, reading) = (exact(alkali.mass, unit), reading(weighed, *divisions));
        lines.push(format!("{}: {exact}, rounded down, reads {reading}", alkali.kind.formula()));
    }
    lines.push(format!(
        "water: {}, to the nearest, reads {}",
        exact(computed.batch.water, unit),
        reading(weighed, weighed.water)
    ));
    lines.push(format!("superfat of the amounts as printed: {}", short_percent(weighed.superfat_percent)));
    Step {
        title: format!("On a scale that shows {division}"),
        lines,
        why: "Alkali is always rounded down: the superfat may grow by it, and must not shrink.".into(),
        has_fats: false,
    }
}

fn short_percent(value: f64) -> String {
    format!("{}{NO_BREAK}%", short(value, 2))
}

/// Where the saponification values and molar masses of a recipe come from.
fn tables_cited(computed: &Computed, tables: &Tables) -> Vec<String> {
    let mut cited: Vec<String> = computed
        .recipe
        .fats
        .iter()
        .map(|share| {
            let fat = &share.fat;
            let (low, high) = (fat.sap_low.to_mg_koh_per_g(), fat.sap_high.to_mg_koh_per_g());
            let (low, high) = (short(low, 2), short(high, 2));
            let used = short(fat.sap_used.to_mg_koh_per_g(), 2);
            let name = capitalised(&fat.name);
            match &fat.sap_used_source {
                Some(source) => {
                    format!("{name}: {used} by {source}; published {low} to {high}, {}", fat.sap_range_source)
                }
                None => format!("{name}: {used}, the middle of {low} to {high}, {}", fat.sap_range_source),
            }
        })
        .collect();
    cited.push(format!("Molar masses: {}", tables.naoh.molar_mass_source));
    cited
}
