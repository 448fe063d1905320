//! The arithmetic of the lye, step by step.
//!
//! Layer 5.

use serde::Serialize;

use super::super::{Computed, Units};
use super::{NO_BREAK, capitalised, exact, reading, short};
use crate::batch::{Input, ScaleUnit, Weighed, superfat_uncertainty};
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
    /// How exact the numbers shown are.
    pub note: &'static str,
    /// Head of the sources.
    pub sources_heading: &'static str,
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
    if !batch.acids.is_empty() {
        steps.push(acid_step(computed, unit, tables));
    }
    steps.extend(alkali_steps(computed, unit, tables));
    steps.push(water_step(computed, unit));
    steps.extend(units.shown(computed).into_iter().map(|it| scale_step(computed, it)));
    steps.push(certainty_step(computed, units));
    WorkedView {
        kind: "The lye, worked out",
        title: computed.recipe.title.clone(),
        heads: ["Fat", "Mass", "Saponi\u{ad}fication value", "KOH"].map(str::to_owned),
        fats: fats.collect(),
        steps,
        note: "All decimals are carried along and only what is shown is rounded, so the last digit may differ by one from a \
               pocket calculator's.",
        sources_heading: "Where the numbers come from",
        sources: tables_cited(computed, tables),
    }
}

/// The alkali that acids take up before the fats get any.
fn acid_step(computed: &Computed, unit: ScaleUnit, tables: &Tables) -> Step {
    let batch = &computed.batch;
    let mass = |it: Mass| exact(it, unit);
    let koh = short(tables.koh.molar_mass.to_grams_per_mole(), 3);
    let mut lines: Vec<String> = batch
        .acids
        .iter()
        .zip(&computed.recipe.acids)
        .map(|(acid, share)| {
            let strength = share.strength.to_percent();
            let strength = if strength < 100.0 { format!(" × {} ÷ 100", short(strength, 2)) } else { String::new() };
            // Only an acid that takes up more than one alkali needs to say how many.
            let hydrogens = share.acidic_hydrogens;
            let hydrogens = if hydrogens > 1.0 { format!(" × {}", short(hydrogens, 0)) } else { String::new() };
            format!(
                "{}: {}{strength}{hydrogens} × {koh} ÷ {} = {} of KOH",
                acid.name,
                mass(acid.mass),
                short(share.molar_mass.to_grams_per_mole(), 3),
                mass(acid.koh)
            )
        })
        .collect();
    lines.push(format!(
        "{} + {} = {}",
        mass(batch.koh_after_superfat),
        mass(batch.koh_for_acids),
        mass(batch.koh_after_superfat + batch.koh_for_acids)
    ));
    Step {
        title: "Add what the acid takes".into(),
        lines,
        why: "An acid uses up alkali before the fat gets any, so its part is added.".into(),
        has_fats: false,
    }
}

/// An exact mass that lies below `limit`, with as many decimals as it takes to see that it does: 104.998 g, which reads
/// 104 g on a scale of 1 g, must not be shown as 105.00 g.
fn exact_below(mass: Mass, unit: ScaleUnit, limit: f64) -> String {
    let value = mass.to_grams() / unit.grams();
    let plain = exact(mass, unit);
    let reaches_limit = |text: &str| text.parse::<f64>().is_ok_and(|it| it >= limit);
    if !reaches_limit(plain.split(NO_BREAK).next().unwrap_or_default()) {
        return plain;
    }
    let texts = (3..9).map(|decimals| format!("{value:.decimals$}"));
    let clear = texts.into_iter().find(|it| !reaches_limit(it));
    clear.map_or(plain, |it| format!("{it}{NO_BREAK}{}", unit.symbol()))
}

/// How far the superfat may be off, in words.
fn certainty_step(computed: &Computed, units: Units) -> Step {
    let mut lines = Vec::new();
    let mut first = None;
    for weighed in units.shown(computed) {
        let it = superfat_uncertainty(&computed.recipe, &computed.batch, weighed);
        lines.push(format!(
            "on a scale that shows {}: printed {}, likely between {} and {}, at the very worst {}",
            division(weighed),
            short_percent(it.superfat_percent),
            one_decimal_percent(it.likely_percent.0),
            one_decimal_percent(it.likely_percent.1),
            one_decimal_percent(it.worst_percent)
        ));
        first.get_or_insert(it);
    }
    for share in computed.recipe.alkalis.iter().filter(|it| it.purity_is_stated) {
        let (low, high) = share.purity_range;
        lines.push(format!(
            "the {} is taken to be {} to {}{NO_BREAK}% pure",
            share.kind.formula(),
            short(low.to_percent(), 2),
            short(high.to_percent(), 2)
        ));
    }
    let ranked = first.map_or_else(Vec::new, |it| it.contributions);
    let most: Vec<String> = ranked
        .iter()
        .take(3)
        .filter(|it| it.share_percent >= 1.0)
        .map(|it| {
            format!("{} (±{NO_BREAK}{} points)", input_words(it.input, computed), short(it.half_width_percent, 2))
        })
        .collect();
    if !most.is_empty() {
        lines.push(format!("what matters most: {}", most.join(", ")));
    }
    Step {
        title: "How sure the superfat is".into(),
        lines,
        why:
            "A fat's saponification value is a range, the alkali's purity too, and every reading may be off by half a \
              division. The superfat has to be large enough to take all of it up."
                .into(),
        has_fats: false,
    }
}

fn input_words(input: Input, computed: &Computed) -> String {
    let batch = &computed.batch;
    match input {
        Input::SaponificationValue(fat_idx) => format!("the saponification value of {}", batch.fats[fat_idx].name),
        Input::Purity(kind) => format!("the purity of the {}", kind.formula()),
        Input::FatReading(fat_idx) => format!("the reading of {}", batch.fats[fat_idx].name),
        Input::AlkaliReading(kind) => format!("the reading of the {}", kind.formula()),
        Input::AcidReading(acid_idx) => format!("the reading of {}", batch.acids[acid_idx].name),
    }
}

/// One decimal always, so that a row of figures lines up.
fn one_decimal_percent(value: f64) -> String {
    let rounded = (value * 10.0).round() / 10.0;
    format!("{:.1}{NO_BREAK}%", if rounded == 0.0 { 0.0 } else { rounded })
}

fn division(weighed: &Weighed) -> String {
    format!("{}{NO_BREAK}{}", short(weighed.scale.division, 6), weighed.scale.unit.symbol())
}

fn alkali_steps(computed: &Computed, unit: ScaleUnit, tables: &Tables) -> Vec<Step> {
    let batch = &computed.batch;
    let mass = |it: Mass| exact(it, unit);
    let molar_mass = |kind| short(tables.alkali(kind).molar_mass.to_grams_per_mole(), 3);
    let mut steps = Vec::new();
    for (alkali, share) in batch.alkalis.iter().zip(&computed.recipe.alkalis) {
        let formula = alkali.kind.formula();
        let koh_whole = batch.koh_after_superfat + batch.koh_for_acids;
        let koh_part = koh_whole * alkali.mole_fraction;
        let mut lines = Vec::new();
        if batch.alkalis.len() > 1 {
            lines.push(format!(
                "{} × {} ÷ 100 = {} of KOH whose work {formula} does",
                mass(koh_whole),
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
    let mut lines = vec![line];
    let brought =
        |name: &str, whole: Mass, water: Mass| format!("{name}: {} bring {} of water", mass(whole), mass(water));
    lines.extend(batch.liquids.iter().map(|it| brought(&it.name, it.mass, it.water)));
    lines.extend(
        batch.acids.iter().filter(|it| it.pure < it.mass).map(|it| brought(&it.name, it.mass, it.mass - it.pure)),
    );
    if batch.water_in_others > Mass::ZERO {
        lines.push(format!(
            "{} − {} = {} to weigh out as water",
            mass(batch.water),
            mass(batch.water_in_others),
            mass(batch.plain_water)
        ));
    }
    Step { title: "The water it goes into".into(), lines, why, has_fats: false }
}

fn scale_step(computed: &Computed, weighed: &Weighed) -> Step {
    let unit = weighed.scale.unit;
    let mut lines = Vec::new();
    for (alkali, divisions) in computed.batch.alkalis.iter().zip(&weighed.alkalis) {
        let next = weighed.scale.value(divisions + 1);
        let (exact, reading) = (exact_below(alkali.mass, unit, next), reading(weighed, *divisions));
        lines.push(format!("{}: {exact}, rounded down, reads {reading}", alkali.kind.formula()));
    }
    let batch = &computed.batch;
    let nearest = |name: &str, mass: Mass, divisions: u64| {
        format!("{name}: {}, to the nearest, reads {}", exact(mass, unit), reading(weighed, divisions))
    };
    lines.push(nearest("water", batch.plain_water, weighed.water));
    lines.extend(batch.liquids.iter().zip(&weighed.liquids).map(|(it, to)| nearest(&it.name, it.mass, *to)));
    lines.extend(batch.acids.iter().zip(&weighed.acids).map(|(it, to)| nearest(&it.name, it.mass, *to)));
    lines.push(format!("superfat of the amounts as printed: {}", short_percent(weighed.superfat_percent)));
    Step {
        title: format!("On a scale that shows {}", division(weighed)),
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mass_just_below_a_division_is_not_shown_as_the_division() {
        let shown = |grams, limit| exact_below(Mass::grams(grams), ScaleUnit::Grams, limit).replace(NO_BREAK, " ");
        assert_eq!(shown(104.998, 105.0), "104.998 g");
        assert_eq!(shown(104.9999, 105.0), "104.9999 g");
        assert_eq!(shown(104.5, 105.0), "104.50 g");
    }
}
