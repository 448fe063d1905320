//! The fatty acids of a recipe, and what the trade expects of them.
//!
//! Layer 5. The words about each group of acids are here and nowhere else. They say what follows from the chemistry and
//! is common practice; no number for how good a bar is, and no target.

use serde::Serialize;

use super::super::Computed;
use super::super::profile_figure::{ProfileFigure, Share, profile_figure};
use super::{Fact, NO_BREAK, capitalised, percent, short};
use crate::batch::{Comparison, Composition, apportion, composition, named_percent};
use crate::tables::{AcidGroup, FatKind, Tables};

/// A row whose acids add up to less than this is told of, percent. Middles of ranges seldom add up to 100; below this
/// there are acids that the row does not name.
const LEAST_NAMED_PERCENT: f64 = 90.0;
/// Below this share nothing is said about a group, in tenths of a percent: it makes no difference that anybody notices.
const LEAST_TOLD_TENTHS: u64 = 10;

/// A group of acids in the table.
#[derive(Clone, Debug, Serialize)]
pub struct ProfileRow {
    /// Name.
    pub name: &'static str,
    /// Its acids, each with its share.
    pub acids: String,
    /// Its share.
    pub share: String,
}

/// What the trade expects of a group.
#[derive(Clone, Debug, Serialize)]
pub struct Expectation {
    /// Name.
    pub name: &'static str,
    /// The words.
    pub words: &'static str,
}

/// The fatty acids of a recipe.
#[derive(Clone, Debug, Serialize)]
pub struct ProfileView {
    /// What kind of block it is.
    pub kind: &'static str,
    /// The recipe's title.
    pub title: String,
    /// Heads of the table.
    pub heads: [&'static str; 2],
    /// The groups that are present; their shares add up to 100 as printed.
    pub rows: Vec<ProfileRow>,
    /// The figure, already SVG; empty until it is rendered, and where there is nothing to draw.
    pub figure: String,
    /// What each group is known for.
    pub expectations: Vec<Expectation>,
    /// What stands above them.
    pub expectations_head: &'static str,
    /// Iodine value, molar mass and saponification values.
    pub facts: Vec<Fact>,
    /// What these mean.
    pub meanings: Vec<String>,
    /// What is missing or only guessed.
    pub notes: Vec<String>,
    /// Where the numbers come from.
    pub sources: Vec<String>,
    /// The figure as data; without bars where nothing is known.
    #[serde(skip)]
    pub figure_data: ProfileFigure,
}

/// The fatty acids of a recipe.
#[must_use]
pub fn profile_view(computed: &Computed, tables: &Tables) -> ProfileView {
    let recipe = &computed.recipe;
    let composition = composition(&recipe.fats, tables);
    let (rows, shares) = rows(&composition);
    let told = shares.iter().zip(composition.groups()).filter(|(share, _)| share.tenths >= LEAST_TOLD_TENTHS);
    let expectations =
        told.map(|(_, it)| Expectation { name: group_name(it.group), words: expected_of(it.group) }).collect();
    let shown: Vec<Share> = shares.into_iter().filter(|it| it.tenths > 0).collect();
    let figure_data = if shown.is_empty() {
        ProfileFigure::default()
    } else {
        profile_figure(format!("The fatty acids of {}", recipe.title), &shown)
    };
    let (facts, meanings) = facts(&composition);
    ProfileView {
        kind: "Fatty acids",
        title: recipe.title.clone(),
        heads: ["Fatty acids", "Share by mass"],
        rows,
        figure: String::new(),
        expectations,
        expectations_head: "What the trade expects of them. This is common practice and no measurement; how a bar turns \
                            out depends on its water, its cure and the water it is used in too.",
        facts,
        meanings,
        notes: notes(computed, &composition),
        sources: sources(computed, &composition, tables),
        figure_data,
    }
}

/// The rows of the table, and the shares of all groups for the figure, rounded together so that they add up to 100.
fn rows(composition: &Composition) -> (Vec<ProfileRow>, Vec<Share>) {
    let groups = composition.groups();
    let weights: Vec<f64> = groups.iter().map(|it| it.percent).collect();
    let whole = if groups.is_empty() { 0 } else { 1000 };
    let group_tenths = apportion(whole, &weights);
    let mut rows = Vec::new();
    let mut shares = Vec::new();
    for (group, tenths) in groups.iter().zip(group_tenths) {
        let name = group_name(group.group);
        shares.push(Share { name, share: tenths_words(tenths), tenths, pattern: group.group as usize });
        if tenths == 0 {
            continue;
        }
        let acids: Vec<_> = composition.acids.iter().filter(|it| it.acid.group == group.group).collect();
        let acid_tenths = apportion(tenths, &acids.iter().map(|it| it.percent).collect::<Vec<_>>());
        let words = acids.iter().zip(acid_tenths).filter(|(_, tenths)| *tenths > 0).map(|(it, tenths)| {
            format!("{} ({}){NO_BREAK}{}", it.acid.name.trim_end_matches(" acid"), it.acid.short, tenths_words(tenths))
        });
        rows.push(ProfileRow { name, acids: words.collect::<Vec<_>>().join(", "), share: tenths_words(tenths) });
    }
    (rows, shares)
}

/// Tenths of a percent in words, always with the tenth: 25.0 %.
fn tenths_words(tenths: u64) -> String {
    format!("{}.{}{NO_BREAK}%", tenths / 10, tenths % 10)
}

/// What pages call a group.
fn group_name(group: AcidGroup) -> &'static str {
    match group {
        AcidGroup::Short => "Short chains, C4 to C10",
        AcidGroup::LauricMyristic => "Lauric and myristic",
        AcidGroup::PalmiticStearic => "Palmitic and stearic",
        AcidGroup::Oleic => "Oleic and its like",
        AcidGroup::LinoleicLinolenic => "Linoleic and linolenic",
        AcidGroup::Ricinoleic => "Ricinoleic",
        AcidGroup::LongSaturated => "Long saturated chains, from C20",
    }
}

/// What the trade expects of the soaps of a group, and why; common practice.
fn expected_of(group: AcidGroup) -> &'static str {
    match group {
        AcidGroup::Short => {
            "Their soaps dissolve at once and hardly lather, and the free acids have a sharp, goaty smell. They come along \
             with coconut and palm kernel oil, which are counted among the harsher ones on skin."
        }
        AcidGroup::LauricMyristic => {
            "Chains of middling length, whose soaps dissolve well: they lather quickly and richly, also in hard or cold \
             water, make a firm bar, and take fat off skin. With more than about a third of the fats from coconut and its \
             like, many find a bar drying."
        }
        AcidGroup::PalmiticStearic => {
            "Long straight chains that pack closely: they make a bar hard and slow to wear away, and its lather low, \
             fine and lasting. In cold water they dissolve little. Much stearic acid brings trace on sooner."
        }
        AcidGroup::Oleic => {
            "One double bond bends the chain, so its soap dissolves more easily than that of the straight ones: mild on \
             skin, with a small and slippery lather. A bar mostly of it traces slowly, and is soft at first and hard only \
             after a long cure. Palmitoleic, eicosenoic and erucic acid, with one double bond too, are counted here."
        }
        AcidGroup::LinoleicLinolenic => {
            "Two and three double bonds: a soft soap that dissolves easily. Oxygen attacks these acids first, so with \
             much of them what is left unsaponified turns rancid sooner, which shows as orange spots and a stale smell. \
             Keep the bars cool, dark and dry."
        }
        AcidGroup::Ricinoleic => {
            "A hydroxyl group on the chain holds water: its soap dissolves very easily, lathers little by itself, and \
             makes the lather of other soaps last longer. Much of it makes a bar soft and sticky. In practice it comes \
             from castor oil alone."
        }
        AcidGroup::LongSaturated => {
            "Very long straight chains: their soaps are hard, and dissolve so little that they hardly lather at the \
             temperature of a wash basin."
        }
    }
}

/// The numbers under the table, and a sentence on what each of them means.
fn facts(composition: &Composition) -> (Vec<Fact>, Vec<String>) {
    let (mut facts, mut meanings) = (Vec::new(), Vec::new());
    let mut fact = |label: &str, value: String| facts.push(Fact { label: label.into(), value });
    if let Some(iodine_value) = composition.iodine_value {
        fact("Iodine value by the table", one_decimal(iodine_value));
        if let Some(it) = composition.iodine_values {
            if !is_all(it.fraction) {
                fact(&of_part("Iodine value by the table", it.fraction), one_decimal(it.table));
            }
            fact(&of_part("Iodine value from the acids", it.fraction), one_decimal(it.predicted));
        }
        meanings.push(
            "The iodine value counts double bonds: it is the iodine, in grams, that 100 g of the fats take up. The more \
             double bonds, the more liquid the fats and the sooner air turns them rancid."
                .to_owned(),
        );
    }
    if let Some(mean) = composition.mean_molar_mass {
        fact("Mean molar mass of the acids", format!("{}{NO_BREAK}g/mol", one_decimal(mean.to_grams_per_mole())));
        meanings.push(
            "The mean molar mass says how long the chains are: the shorter, the more of them are in a gram, and the more \
             alkali a gram takes up."
                .to_owned(),
        );
    }
    if let Some(it) = composition.sap_values {
        let value = |value: f64| format!("{}{NO_BREAK}mg/g", one_decimal(value));
        fact(&of_part("Saponification value used", it.fraction), value(it.table));
        fact(&of_part("Saponification value from the acids", it.fraction), value(it.predicted));
        meanings.push(sap_value_meaning(&it));
    }
    (facts, meanings)
}

/// What it means that the saponification value from the acids is what it is.
fn sap_value_meaning(it: &Comparison) -> String {
    let difference = (it.predicted - it.table) / it.table * 100.0;
    let given = match difference {
        _ if one_decimal(it.predicted) == one_decimal(it.table) => "the same value".to_owned(),
        d if d.abs() < 0.05 => "almost the same value".to_owned(),
        d if d > 0.0 => format!("a value {} higher", percent(d)),
        d => format!("a value {} lower", percent(-d)),
    };
    let (range, then) = if it.agrees() {
        ("within", "The two are measured in different ways, so that speaks for the table.")
    } else {
        ("outside", "One row of the table may be wrong, or a fat not be what it is called: ask for a certificate.")
    };
    format!(
        "The lye is computed from the saponification value used. The acids alone give {given}, {range} the {} to {} that \
         the published ranges come to. {then} One percent is about one point of superfat. The acids know nothing of \
         unsaponifiable matter, which lowers the true value, nor of free acid, which raises it.",
        one_decimal(it.low),
        one_decimal(it.high),
    )
}

/// A label, with the part of the fats that it speaks of where that is not all of them.
fn of_part(label: &str, fraction: f64) -> String {
    if is_all(fraction) { label.to_owned() } else { format!("{label}, {} of the fats", percent(fraction * 100.0)) }
}

/// Whether a fraction would be printed as 100 %.
fn is_all(fraction: f64) -> bool {
    fraction > 0.9995
}

fn one_decimal(value: f64) -> String {
    format!("{:.1}", (value * 10.0).round() / 10.0)
}

/// What is missing from the profile, or only guessed.
fn notes(computed: &Computed, composition: &Composition) -> Vec<String> {
    let recipe = &computed.recipe;
    let mut notes = Vec::new();
    let named = |fat_idxs: &[usize]| {
        let names = fat_idxs.iter().map(|it| {
            let share = &recipe.fats[*it];
            format!("{} ({} of the fats)", share.fat.name, percent(share.fraction * 100.0))
        });
        names.collect::<Vec<_>>().join(", ")
    };
    let (waxes, unknown): (Vec<usize>, Vec<usize>) =
        composition.unknown_fats.iter().partition(|it| recipe.fats[**it].fat.kind == FatKind::Wax);
    if !unknown.is_empty() {
        notes.push(format!("Not counted, because the table has no fatty acids of it: {}.", named(&unknown)));
    }
    if !waxes.is_empty() {
        notes.push(format!("Not counted, because a wax is only partly fatty acid: {}.", named(&waxes)));
    }
    if !composition.fats_without_iodine_value.is_empty() {
        let names = named(&composition.fats_without_iodine_value);
        notes.push(format!("Without an iodine value in the table, and left out of it: {names}."));
    }
    for fat in recipe.fats.iter().map(|it| &it.fat) {
        if let Some(range) = fat.iodine_value.as_ref().filter(|it| it.low.is_none() || it.high.is_none()) {
            let end = if range.low.is_some() { "lowest" } else { "highest" };
            notes.push(format!(
                "Of the iodine value of {} only the {end} is published, and counted here: {}.",
                fat.name,
                short(range.middle().unwrap_or_default(), 1)
            ));
        }
        if let Some(acids) = fat.fatty_acids.as_ref().filter(|_| fat.kind != FatKind::Wax) {
            let sum = named_percent(acids);
            if sum > 0.0 && sum < LEAST_NAMED_PERCENT {
                notes.push(format!(
                    "The table names only {} of the acids of {}; they are counted as if they were all.",
                    percent(sum),
                    fat.name
                ));
            }
        }
    }
    if !recipe.late_fats.is_empty() {
        let names: Vec<&str> = recipe.late_fats.iter().map(|it| it.fat.name.as_str()).collect();
        notes.push(format!("Stirred in when the soap is cooked, and not counted: {}.", names.join(", ")));
    }
    notes
}

/// Where the shares, the molar masses and the iodine factors come from.
fn sources(computed: &Computed, composition: &Composition, tables: &Tables) -> Vec<String> {
    let mut sources = Vec::new();
    for (fat_idx, share) in computed.recipe.fats.iter().enumerate() {
        if composition.unknown_fats.contains(&fat_idx) {
            continue;
        }
        if let Some(acids) = &share.fat.fatty_acids {
            let what = match acids.basis.as_str() {
                "range" => "the middles of ranges".to_owned(),
                "typical" => "a typical profile".to_owned(),
                "" => "shares".to_owned(),
                basis => basis.to_owned(),
            };
            sources.push(format!("{}: {what}, {}", capitalised(&share.fat.name), acids.source));
        }
    }
    let once = |sources: &mut Vec<String>, text: String| {
        if !sources.contains(&text) {
            sources.push(text);
        }
    };
    for acid in tables.acids.iter().filter(|acid| composition.acids.iter().any(|it| it.acid.id == acid.id)) {
        once(&mut sources, format!("Molar masses: {}", acid.molar_mass_source));
    }
    for it in &composition.acids {
        if let Some(source) = &it.acid.iodine_factor_source {
            once(&mut sources, format!("Iodine value from the acids: {source}"));
        }
    }
    sources
}
