//! The table of fats, one entry each, with where its values come from.
//!
//! Layer 6.

use std::sync::Arc;

use serde::Serialize;

use super::Fact;
use crate::show::{NO_BREAK, capitalised, short};
use crate::tables::{Fat, FatKind, PublishedRange, Source};

/// A fat.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct FatEntry {
    pub(crate) name: String,
    pub(crate) id: String,
    /// What is known about it, and where that comes from.
    pub(crate) facts: Vec<Fact>,
    pub(crate) note: Option<String>,
    /// The saponification value used and its range, for the short form.
    pub(crate) sap_value: String,
    pub(crate) iodine_value: String,
    /// The name in lists of ingredients, for the short form.
    pub(crate) inci: String,
    /// Where the saponification value comes from, for the short form.
    pub(crate) source: String,
}

/// The table of fats.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct FatsView {
    pub(crate) title: &'static str,
    pub(crate) fats: Vec<FatEntry>,
}

/// The table of these fats, in the order given.
pub(crate) fn fats_view(title: &'static str, fats: &[&Arc<Fat>]) -> FatsView {
    FatsView { title, fats: fats.iter().map(|it| entry(it)).collect() }
}

fn entry(fat: &Fat) -> FatEntry {
    let (low, high) = (fat.sap_low.to_mg_koh_per_g(), fat.sap_high.to_mg_koh_per_g());
    let used = short(fat.sap_used.to_mg_koh_per_g(), 2);
    let range = format!("{}{NO_BREAK}to{NO_BREAK}{}", short(low, 2), short(high, 2));
    let reckoned = format!("{used}, taken as {range}");
    let (sap_value, in_full) = match (&fat.sap_used_source, fat.sap_published) {
        _ if low == high => (used.clone(), used),
        (Some(_), None) => (format!("{used} ({range})"), reckoned),
        (Some(_), Some(published)) => {
            let is_all = published == (fat.sap_low, fat.sap_high);
            let [low, high] = [published.0, published.1].map(|it| short(it.to_mg_koh_per_g(), 2));
            let of_value = if is_all { used.clone() } else { reckoned };
            (format!("{used} ({range})"), format!("{of_value}; published {low}{NO_BREAK}to{NO_BREAK}{high}"))
        }
        (None, _) => (format!("{used} ({range})"), format!("{used}, the middle of {range}")),
    };
    let iodine_value = fat.iodine_value.as_ref().map_or_else(|| "not in the table".to_owned(), range_words);
    let mut facts = Vec::new();
    let mut fact = |label: &str, value: String| facts.push(Fact::new(label, value));
    match fat.kind {
        FatKind::Triglyceride => {}
        FatKind::Wax => fact("Kind", "wax: only part of it turns into soap, and it gives no glycerol".into()),
        FatKind::FattyAcid => fact("Kind", "free fatty acid: takes up lye at once, and it gives no glycerol".into()),
    }
    fact("Saponification value", in_full);
    fact("Iodine value", iodine_value.clone());
    if let Some(names) = ingredient_names(fat) {
        fact("Name in lists of ingredients (INCI)", names);
    }
    if let Some(source) = &fat.sap_used_source {
        let (label, value) = source_words("The value used", source);
        fact(&label, value);
    }
    // One figure that stands for the whole range has one source, told already.
    if fat.sap_used_source.as_ref() != Some(&fat.sap_range_source) {
        let shared = fat.iodine_value.as_ref().is_some_and(|it| it.source == fat.sap_range_source);
        let what = if shared { "Both published values" } else { "Saponification value" };
        let (label, value) = source_words(what, &fat.sap_range_source);
        fact(&label, value);
    }
    if let Some(range) = fat.iodine_value.as_ref().filter(|it| it.source != fat.sap_range_source) {
        let (label, value) = source_words("Iodine value", &range.source);
        fact(&label, value);
    }
    FatEntry {
        name: capitalised(&fat.name),
        id: fat.id.to_string(),
        facts,
        note: fat.note.clone(),
        sap_value,
        iodine_value,
        inci: fat.inci.clone().unwrap_or_default(),
        source: fat.sap_used_source.as_ref().unwrap_or(&fat.sap_range_source).to_string(),
    }
}

fn range_words(range: &PublishedRange) -> String {
    match (range.low, range.high) {
        (Some(low), Some(high)) if low == high => short(low, 2),
        (Some(low), Some(high)) => format!("{}{NO_BREAK}to{NO_BREAK}{}", short(low, 2), short(high, 2)),
        (Some(low), None) => format!("at least {}", short(low, 2)),
        (None, Some(high)) => format!("at most {}", short(high, 2)),
        (None, None) => "not in the table".into(),
    }
}

/// The names of a fat and of its soaps in lists of ingredients.
fn ingredient_names(fat: &Fat) -> Option<String> {
    let soaps: Vec<&str> =
        [&fat.inci_sodium_soap, &fat.inci_potassium_soap].into_iter().flatten().map(String::as_str).collect();
    let names = match (&fat.inci, soaps.is_empty()) {
        (Some(inci), true) => inci.clone(),
        (Some(inci), false) => format!("{inci}; as soap {}", soaps.join(", ")),
        (None, false) => format!("as soap {}", soaps.join(", ")),
        (None, true) => return None,
    };
    Some(match &fat.inci_source {
        Some(source) => format!("{names} ({source})"),
        None => names,
    })
}

/// A label that says whether a value was read or recalled, and the work.
fn source_words(what: &str, source: &Source) -> (String, String) {
    let words = source.to_string();
    match source {
        Source::Work { recalled: false, .. } => (format!("{what}, read in"), words),
        Source::Work { recalled: true, .. } => {
            (format!("{what}, from memory of"), words.trim_end_matches(" (from memory)").to_owned())
        }
        Source::FromMemory => (format!("{what}, source"), words),
        Source::CommonPractice | Source::Words(_) => (format!("{what}, from"), words),
    }
}
