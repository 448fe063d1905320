//! The fatty acids of a recipe, and what the trade expects of them.
//!
//! Layer 6. The words about each group of acids are here and nowhere else. They say what follows from the chemistry and
//! is common practice; no number for how good a bar is, and no target.

use serde::Serialize;

use super::super::figure::{ProfileFigure, Share, profile_figure};
use super::super::printer::{Printer, without_marks};
use super::Fact;
use crate::batch::{Comparison, Composition};
use crate::ledger::{Key, Kind};
use crate::show::{self, NO_BREAK, capitalised, percent, percent_of_tenths};
use crate::tables::{AcidGroup, FatKind};
use crate::units::apportion;

/// A group of acids in the table.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct ProfileRow {
    pub(crate) name: &'static str,
    pub(crate) acids: String,
    pub(crate) share: String,
}

/// What the trade expects of a group.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct Expectation {
    pub(crate) name: &'static str,
    pub(crate) words: &'static str,
}

/// The fatty acids of a recipe.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct ProfileView {
    pub(crate) title: String,
    /// The groups that are present; their shares add up to 100 as printed.
    pub(crate) rows: Vec<ProfileRow>,
    /// The figure, already SVG; empty until it is rendered, and where there is nothing to draw.
    pub(crate) figure: String,
    pub(crate) expectations: Vec<Expectation>,
    /// Iodine value, molar mass and saponification values.
    pub(crate) facts: Vec<Fact>,
    pub(crate) meanings: Vec<String>,
    pub(crate) notes: Vec<String>,
    pub(crate) sources: Vec<String>,
    /// The figure as data; without bars where nothing is known.
    #[serde(skip)]
    pub(crate) figure_data: ProfileFigure,
}

/// The fatty acids of a recipe.
pub(crate) fn profile_view(print: Printer<'_>) -> ProfileView {
    let recipe = &print.ledger.recipe;
    let composition = &print.ledger.composition;
    let (rows, shares) = rows(print);
    let least_told_tenths = print.tables.limits.least_told_acids_percent * 10.0;
    let told = shares.iter().zip(composition.groups()).filter(|(share, _)| share.tenths as f64 >= least_told_tenths);
    let expectations =
        told.map(|(_, it)| Expectation { name: group_name(it.group), words: expected_of(it.group) }).collect();
    let shown: Vec<Share> = shares.into_iter().filter(|it| it.tenths > 0).collect();
    let figure_data = if shown.is_empty() {
        ProfileFigure::default()
    } else {
        profile_figure(format!("The fatty acids of {}", recipe.title), &shown)
    };
    let (facts, meanings) = facts(print);
    ProfileView {
        title: recipe.title.clone(),
        rows,
        figure: String::new(),
        expectations,
        facts,
        meanings,
        notes: notes(print),
        sources: sources(print),
        figure_data,
    }
}

/// The rows of the table, and the shares of all groups for the figure, rounded together so that they add up to 100.
fn rows(print: Printer<'_>) -> (Vec<ProfileRow>, Vec<Share>) {
    let composition: &Composition = &print.ledger.composition;
    let groups = composition.groups();
    let weights: Vec<f64> = groups.iter().map(|it| it.percent).collect();
    let whole = if groups.is_empty() { 0 } else { 1000 };
    let group_tenths = apportion(whole, &weights);
    let mut rows = Vec::new();
    let mut shares = Vec::new();
    for (group, tenths) in groups.iter().zip(group_tenths) {
        let name = group_name(group.group);
        let share = print.each(Kind::AcidGroup, group.group.id(), percent_of_tenths(tenths));
        shares.push(Share { name, share: share.clone(), tenths, pattern: group.group as usize });
        if tenths == 0 {
            continue;
        }
        let acids: Vec<_> = composition.acids.iter().filter(|it| it.acid.group == group.group).collect();
        let acid_tenths = apportion(tenths, &acids.iter().map(|it| it.percent).collect::<Vec<_>>());
        let words = acids.iter().zip(acid_tenths).filter(|(_, tenths)| *tenths > 0).map(|(it, tenths)| {
            let share = print.each(Kind::FattyAcid, &it.acid.id, percent_of_tenths(tenths));
            format!("{} ({}){NO_BREAK}{share}", it.acid.name.trim_end_matches(" acid"), it.acid.short)
        });
        rows.push(ProfileRow { name, acids: words.collect::<Vec<_>>().join(", "), share });
    }
    (rows, shares)
}

/// The groups of fatty acids with their shares as printed, without marks.
pub(super) fn acid_shares(print: Printer<'_>) -> Vec<(&'static str, String)> {
    rows(print).0.into_iter().map(|it| (it.name, without_marks(&it.share))).collect()
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
            "Their soaps dissolve at once and hardly lather, and the free acids have a sharp, goaty smell. They come \
             with coconut and palm kernel oil, which are among the harsher fats on skin."
        }
        AcidGroup::LauricMyristic => {
            "Chains of medium length, whose soaps dissolve well: they lather quickly and richly, also in hard or cold \
             water, make a firm bar, and take fat off skin. With more than about a third of the fats from coconut and \
             its like, many find a bar drying."
        }
        AcidGroup::PalmiticStearic => {
            "Long straight chains that pack closely: they make a bar hard and slow to wear away, and its lather low, \
             fine and lasting. In cold water they dissolve little. A lot of stearic acid speeds up trace."
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
fn facts(print: Printer<'_>) -> (Vec<Fact>, Vec<String>) {
    let composition = &print.ledger.composition;
    let (mut facts, mut meanings) = (Vec::new(), Vec::new());
    let mut fact = |label: &str, value: String| facts.push(Fact::new(label, value));
    if composition.iodine_value.is_some() {
        let by_table = "Iodine value by the table";
        fact(by_table, print.words_of(Kind::IodineValue));
        if let Some(it) = composition.iodine_values {
            let of_part = |label: &str| of_part(print, label, Kind::IodineCompared, it.fraction);
            if !is_all(it.fraction) {
                fact(&of_part(by_table), print.words_of(Kind::IodineByTable));
            }
            fact(&of_part("Iodine value from the acids"), print.words_of(Kind::IodineByAcids));
        }
        meanings.push(
            "The iodine value counts double bonds: it is the iodine, in grams, that 100 g of the fats take up. The more \
             double bonds, the more liquid the fats and the sooner air turns them rancid."
                .to_owned(),
        );
    }
    if composition.mean_molar_mass.is_some() {
        fact("Mean molar mass of the acids", print.words_of(Kind::MeanMolarMass));
        meanings.push(
            "The mean molar mass says how long the chains are: the shorter, the more of them are in a gram, and the more \
             alkali a gram takes up."
                .to_owned(),
        );
    }
    if let Some(it) = composition.sap_values {
        let value = |kind: Kind, value: f64| print.one(kind, format!("{}{NO_BREAK}mg/g", show::fixed(value, 1)));
        let of_part = |label: &str| of_part(print, label, Kind::KnownAcids, it.fraction);
        fact(&of_part("Saponification value used"), value(Kind::SapUsed, it.table));
        fact(&of_part("Saponification value from the acids"), value(Kind::SapByAcids, it.predicted));
        meanings.push(sap_value_meaning(print, &it));
    }
    (facts, meanings)
}

/// What it means that the saponification value from the acids is what it is.
fn sap_value_meaning(print: Printer<'_>, it: &Comparison) -> String {
    let difference = it.difference_percent();
    let shown = print.one(Kind::SapDifference, percent(difference.abs()));
    let given = match difference {
        _ if show::fixed(it.predicted, 1) == show::fixed(it.table, 1) => "the same value".to_owned(),
        d if d.abs() < 0.05 => "almost the same value".to_owned(),
        d if d > 0.0 => format!("a value {shown} higher"),
        _ => format!("a value {shown} lower"),
    };
    let range = if it.agrees() { "within" } else { "outside" };
    let then = if it.agrees() && it.is_of_its_range() {
        "The two are measured in different ways, so that speaks for the table."
    } else {
        "A row of the table may be wrong, or a fat may not be what its label says: ask for a certificate."
    };
    format!(
        "The lye is computed from the saponification value used. The acids alone give {given}, {range} the {} to {} \
         that the ranges of the table come to. {then} One percent is about one point of superfat. The acids take no \
         account of unsaponifiable matter, which lowers the true value, or of free acid, which raises it.",
        print.one(Kind::SapFrom, show::fixed(it.low, 1)),
        print.one(Kind::SapTo, show::fixed(it.high, 1)),
    )
}

/// A label, with the part of the fats that it speaks of where that is not all of them.
fn of_part(print: Printer<'_>, label: &str, kind: Kind, fraction: f64) -> String {
    if is_all(fraction) { label.to_owned() } else { format!("{label}, {} of the fats", print.words_of(kind)) }
}

/// Whether a fraction would be printed as 100 %.
fn is_all(fraction: f64) -> bool {
    fraction > 0.9995
}

/// What is missing from the profile, or only guessed.
fn notes(print: Printer<'_>) -> Vec<String> {
    let (recipe, composition) = (&print.ledger.recipe, &print.ledger.composition);
    let mut notes = Vec::new();
    let named = |fat_idxs: &[usize]| {
        let names = fat_idxs.iter().map(|it| {
            let share = &recipe.fats[*it];
            let percent = print.words(&Key::each(Kind::FatPercent, share.fat.id.clone()));
            format!("{} ({percent} of the fats)", share.fat.name)
        });
        names.collect::<Vec<_>>().join(", ")
    };
    let (waxes, unknown): (Vec<usize>, Vec<usize>) =
        composition.unknown_fats.iter().partition(|it| recipe.fats[**it].fat.kind == FatKind::Wax);
    if !unknown.is_empty() {
        notes.push(format!("Not counted, because the table has no fatty acids for it: {}.", named(&unknown)));
    }
    if !waxes.is_empty() {
        notes.push(format!("Not counted, because a wax is only partly fatty acid: {}.", named(&waxes)));
    }
    if !composition.fats_without_iodine_value.is_empty() {
        let names = named(&composition.fats_without_iodine_value);
        notes.push(format!("Without an iodine value in the table, and so left out: {names}."));
    }
    for fat in recipe.fats.iter().map(|it| &it.fat) {
        if let Some(range) = fat.iodine_value.as_ref().filter(|it| it.low.is_none() || it.high.is_none()) {
            let end = if range.low.is_some() { "lowest" } else { "highest" };
            notes.push(format!(
                "Of the iodine value of {} only the {end} is published, and counted here: {}.",
                fat.name,
                print.each(Kind::IodineOfFat, &fat.id, show::short(range.middle().unwrap_or_default(), 1))
            ));
        }
        let key = Key::each(Kind::NamedAcids, fat.id.clone());
        let named = print.figure(&key).filter(|_| fat.kind != FatKind::Wax);
        let sum = named.and_then(|it| it.amount.percent(print.units().main())).unwrap_or_default();
        if sum > 0.0 && sum < print.tables.limits.least_named_acids_percent {
            notes.push(format!(
                "The table names only {} of the acids of {}; they are counted as if they were all.",
                print.words(&key),
                fat.name
            ));
        }
    }
    if !recipe.late_fats.is_empty() {
        let names: Vec<&str> = recipe.late_fats.iter().map(|it| &*it.fat.name).collect();
        notes.push(format!("Stirred in when the soap is cooked, and not counted: {}.", names.join(", ")));
    }
    notes
}

/// Where the shares, the molar masses and the iodine factors come from.
fn sources(print: Printer<'_>) -> Vec<String> {
    let (composition, tables) = (&print.ledger.composition, print.tables);
    let mut sources = Vec::new();
    for (fat_idx, share) in print.ledger.recipe.fats.iter().enumerate() {
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
