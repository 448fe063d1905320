//! A variant beside the recipe it is based on, and what would happen if only the fats were swapped.
//!
//! Layer 5. The numbers of the swap are in `batch/swap.rs`; what they mean for a student is worded here.

use std::collections::BTreeMap;

use serde::Serialize;

use super::super::{Computed, Units, Value};
use super::layers::size_words as layer_size_words;
use super::measures::length_words;
use super::{Amount, Fact, NO_BREAK, alkali_name, amount, capitalised, percent, short};
use crate::batch::{Swap, Weighed, compute_for, swap_fats};
use crate::recipe::{BatchSize, Divide, Layer};
use crate::tables::{AlkaliKind, Tables};
use crate::units::Mass;

/// Fats to which the same happened.
#[derive(Clone, Debug, Serialize)]
pub struct FatGroup {
    /// What happened.
    pub head: &'static str,
    /// The fats, each with its share and what it was.
    pub fats: Vec<FatLine>,
}

/// A fat of either recipe.
#[derive(Clone, Debug, Serialize)]
pub struct FatLine {
    /// Name.
    pub name: String,
    /// Its share of all fats here; of a fat that went out, there.
    pub share: String,
    /// What it was, where that is another.
    pub was: Option<String>,
}

/// A figure of both recipes.
#[derive(Clone, Debug, Serialize)]
pub struct Pair {
    /// What.
    pub name: String,
    /// In the base.
    pub base: Amount,
    /// In the variant.
    pub variant: Amount,
}

/// What would happen if the fats were swapped and the lye left as it was.
#[derive(Clone, Debug, Serialize)]
pub struct SwapView {
    /// What is asked.
    pub head: &'static str,
    /// The superfat that comes of it, with its label.
    pub superfat: Fact,
    /// The answer in a few words.
    pub verdict: &'static str,
    /// Whether such a bar would or may burn.
    pub is_danger: bool,
    /// What it means.
    pub words: String,
}

/// A variant beside the recipe it is based on.
#[derive(Clone, Debug, Serialize)]
pub struct CompareView {
    /// What kind of block it is.
    pub kind: &'static str,
    /// The variant's title.
    pub title: String,
    /// What it is based on.
    pub based_on: String,
    /// What stands above the fats.
    pub fats_head: &'static str,
    /// The fats by what happened to them.
    pub fat_groups: Vec<FatGroup>,
    /// Heads of the table: for how much fat, the base, the variant.
    pub heads: [String; 3],
    /// Alkali, water, superfat.
    pub pairs: Vec<Pair>,
    /// That this is no card.
    pub note: &'static str,
    /// What stands above the other differences.
    pub others_head: &'static str,
    /// What else differs.
    pub others: Vec<Fact>,
    /// The swap.
    pub swap: SwapView,
}

/// A variant beside the recipe it is based on, both for the variant's mass of fats.
#[must_use]
pub fn compare_view(base: &Computed, variant: &Computed, units: Units, tables: &Tables) -> CompareView {
    let resized = resized(base, variant, tables);
    let total = amount(variant, units, |it| it.total_fats).sentence();
    let others = others(base, &resized, variant, units);
    CompareView {
        kind: "Beside the recipe it is based on",
        title: variant.recipe.title.clone(),
        based_on: format!("based on {}", base.recipe.title),
        fats_head: "Shares of all the fats",
        fat_groups: fat_groups(base, variant),
        heads: [format!("For {total} of fats"), base.recipe.title.clone(), variant.recipe.title.clone()],
        pairs: pairs(&resized, variant, units, tables),
        note: "To compare, not to weigh by: amounts to weigh out stand on the card.",
        others_head: if others.is_empty() { "Nothing else differs." } else { "What else differs" },
        others,
        swap: swap_view(base, variant, &swap_of(base, variant, units, tables), tables),
    }
}

/// The values that sentences about a variant may name besides those of any recipe.
#[must_use]
pub fn compare_values(base: &Computed, variant: &Computed, units: Units, tables: &Tables) -> BTreeMap<String, Value> {
    let swap = swap_of(base, variant, units, tables);
    BTreeMap::from([(SUPERFAT_IF_SWAPPED.to_owned(), Value::Text(superfat_words(swap.superfat_percent)))])
}

/// The superfat if the fats were swapped and the lye left as it was.
pub(super) const SUPERFAT_IF_SWAPPED: &str = "superfat_if_swapped";

fn swap_of(base: &Computed, variant: &Computed, units: Units, tables: &Tables) -> Swap {
    let scales: Vec<_> = units.shown(variant).into_iter().map(|it| it.scale).collect();
    swap_fats(&base.recipe, &variant.recipe, variant.batch.total_fats, &scales, tables)
}

/// The base for the variant's mass of fats, on the same scales.
fn resized(base: &Computed, variant: &Computed, tables: &Tables) -> Computed {
    let batch = compute_for(&base.recipe, tables, variant.batch.total_fats);
    let grams = Weighed::read(&batch, variant.grams.scale);
    let ounces = Weighed::read(&batch, variant.ounces.scale);
    Computed { recipe: base.recipe.clone(), batch, grams, ounces, cautions: base.cautions.clone() }
}

/// A share with two decimals at most: what is typed for a fat is seldom finer.
fn share(fraction: f64) -> String {
    format!("{}{NO_BREAK}%", short(fraction * 100.0, 2))
}

fn fat_groups(base: &Computed, variant: &Computed) -> Vec<FatGroup> {
    let was = |id: &str| base.batch.fats.iter().find(|it| it.id == id).map(|it| it.fraction);
    let mut groups = ["Went out", "Came in", "More of", "Less of", "As before"].map(|head| (head, Vec::new()));
    let mut add = |group_idx: usize, name: &str, share: String, was: Option<String>| {
        groups[group_idx].1.push(FatLine { name: capitalised(name), share, was });
    };
    for fat in &base.batch.fats {
        if !variant.batch.fats.iter().any(|it| it.id == fat.id) {
            add(0, &fat.name, share(fat.fraction), None);
        }
    }
    for fat in &variant.batch.fats {
        let here = share(fat.fraction);
        match was(&fat.id) {
            None => add(1, &fat.name, here, None),
            // What is printed alike is alike to whoever reads it.
            Some(was) if share(was) == here => add(4, &fat.name, here, None),
            Some(was) => add(if fat.fraction > was { 2 } else { 3 }, &fat.name, here, Some(share(was))),
        }
    }
    let groups = groups.into_iter().filter(|(_, fats)| !fats.is_empty());
    groups.map(|(head, fats)| FatGroup { head, fats }).collect()
}

fn pairs(base: &Computed, variant: &Computed, units: Units, tables: &Tables) -> Vec<Pair> {
    let mut pairs = Vec::new();
    let mut add = |name: String, of: &dyn Fn(&Computed) -> Amount| {
        pairs.push(Pair { name, base: of(base), variant: of(variant) });
    };
    for kind in AlkaliKind::ALL {
        let idx = |it: &Computed| it.batch.alkalis.iter().position(|it| it.kind == kind);
        if idx(base).is_some() || idx(variant).is_some() {
            add(alkali_name(kind, tables), &|it| {
                idx(it).map_or_else(|| plain("none"), |alkali_idx| amount(it, units, |it| it.alkalis[alkali_idx]))
            });
        }
    }
    add("Water".into(), &|it| amount(it, units, |it| it.water));
    add("Superfat".into(), &|it| plain(&percent(it.batch.superfat_percent)));
    add("Lye concentration".into(), &|it| plain(&percent(it.batch.water_conventions.lye_concentration_percent)));
    pairs
}

fn plain(text: &str) -> Amount {
    Amount { main: text.to_owned(), other: None }
}

/// What else differs: size, purity, additives, layers, the cut.
fn others(base: &Computed, resized: &Computed, variant: &Computed, units: Units) -> Vec<Fact> {
    let mut facts = Vec::new();
    let mut differ = |label: String, was: String, here: String| {
        if was != here {
            facts.push(Fact { label, value: format!("{here}, in place of {was}") });
        }
    };
    differ("Size".into(), size_words(base, units), size_words(variant, units));
    for it in &variant.batch.alkalis {
        if let Some(was) = base.batch.alkalis.iter().find(|was| was.kind == it.kind) {
            let words = |purity: f64| percent(purity);
            let label = format!("Purity of {}", it.kind.formula());
            differ(label, words(was.purity.to_percent()), words(it.purity.to_percent()));
        }
    }
    let cut = |it: &Computed| it.recipe.cut.map_or_else(|| "not cut".into(), |it| length_words(it, units));
    differ("Cut".into(), cut(base), cut(variant));
    differ("Layers".into(), layer_words(resized, units), layer_words(variant, units));
    let divided = |it: &Computed| match it.recipe.divide {
        Divide::FatsAndLye => "fats and lye, each layer blended on its own".to_owned(),
        Divide::Batter => "the batter, blended once".to_owned(),
    };
    if !base.recipe.layers.is_empty() && !variant.recipe.layers.is_empty() {
        differ("Divided".into(), divided(base), divided(variant));
    }
    facts.extend(additive_facts(resized, variant));
    facts
}

fn size_words(computed: &Computed, units: Units) -> String {
    match &computed.recipe.size {
        BatchSize::Mould(mould) => format!("what fills the {}", mould.name),
        BatchSize::Fats(_) => {
            let fats = format!("{} of fats", amount(computed, units, |it| it.total_fats).sentence());
            computed.recipe.into.as_ref().map_or(fats.clone(), |it| format!("{fats}, poured into the {}", it.name))
        }
    }
}

fn layer_words(computed: &Computed, units: Units) -> String {
    let layers = &computed.recipe.layers;
    let words = |(layer, layer_idx): (&Layer, usize)| {
        let share = layer_size_words(layers, layer_idx, units);
        let extras = computed.batch.layers[layer_idx].extras.iter();
        let extras = extras.map(|it| format!("{} of {}", share_of_fats(it.of_fats_percent), it.name));
        format!("{} ({})", layer.name, [share].into_iter().chain(extras).collect::<Vec<_>>().join(", "))
    };
    if layers.is_empty() {
        return "all poured at once".into();
    }
    layers.iter().zip(0..).map(words).collect::<Vec<_>>().join("; ")
}

/// An additive by its kind and id, with its name and its share of the fats.
struct Additive<'a> {
    key: (&'static str, &'a str),
    name: &'a str,
    rate: String,
}

fn share_of_fats(percent: f64) -> String {
    format!("{}{NO_BREAK}%", short(percent, 2))
}

/// Everything of the whole batch that is neither fat, alkali nor plain water.
fn additives(computed: &Computed) -> Vec<Additive<'_>> {
    let batch = &computed.batch;
    let rate = |mass: Mass| format!("{} of the fats", share_of_fats(mass / batch.total_fats * 100.0));
    let additive = |kind, id, name, mass| Additive { key: (kind, id), name, rate: rate(mass) };
    let acids = batch.acids.iter().map(|it| additive("acid", it.id.as_str(), it.name.as_str(), it.mass));
    let liquids = batch.liquids.iter().map(|it| additive("liquid", it.id.as_str(), it.name.as_str(), it.mass));
    let extras = batch.extras.iter().map(|it| additive("extra", it.id.as_str(), it.name.as_str(), it.mass));
    let late = batch.late_fats.iter().map(|it| additive("late", it.id.as_str(), it.name.as_str(), it.mass));
    acids.chain(liquids).chain(extras).chain(late).collect()
}

fn additive_facts(base: &Computed, variant: &Computed) -> Vec<Fact> {
    let mut before = additives(base);
    let mut facts = Vec::new();
    for it in additives(variant) {
        // Each one of the base once, since an item may stand in a recipe twice.
        let was = before.iter().position(|was| was.key == it.key).map(|was_idx| before.remove(was_idx));
        let late = if it.key.0 == "late" { ", stirred in later" } else { "" };
        let value = match was {
            None => format!("{}{late}, where there was none", it.rate),
            Some(was) if was.rate == it.rate => continue,
            Some(was) => format!("{}{late}, in place of {}", it.rate, was.rate),
        };
        facts.push(Fact { label: capitalised(it.name), value });
    }
    let gone = before.into_iter();
    facts.extend(gone.map(|it| Fact { label: capitalised(it.name), value: format!("none, in place of {}", it.rate) }));
    facts
}

/// A superfat in percent, which never hides that it is below zero.
fn superfat_words(superfat_percent: f64) -> String {
    if superfat_percent < -HAIR_PERCENT && short(superfat_percent, 1) == "0" {
        return format!("just below 0{NO_BREAK}%");
    }
    percent(superfat_percent).replace('-', "\u{2212}")
}

/// A superfat of exactly zero may come out a hair below it in binary fractions.
const HAIR_PERCENT: f64 = 1e-6;

fn swap_view(base: &Computed, variant: &Computed, swap: &Swap, tables: &Tables) -> SwapView {
    let (nominal, worst) = (swap.superfat_percent, swap.worst_percent);
    let lye_of = format!("the lye of {}", base.recipe.title);
    let is_same = fat_groups(base, variant).iter().all(|it| it.head == "As before");
    let why = demand_words(swap);
    let (verdict, is_danger, words) = if is_same {
        let margin = if worst < -HAIR_PERCENT {
            format!(" With everything at its worst that could be {}, with no swap at all.", superfat_words(worst))
        } else {
            String::new()
        };
        (
            "The fats are the same, so there is nothing to swap.",
            false,
            format!(
                "The superfat stays that of {}.{margin} As soon as a fat or its share changes, the lye has to be computed anew.",
                base.recipe.title
            ),
        )
    } else if nominal < -HAIR_PERCENT {
        (
            "Danger: such a bar would burn skin.",
            true,
            format!(
                "{why} With {lye_of} they would be left with more lye than they can take: a superfat below zero. That lye \
                 stays in the bar, which may trace, set and look like any other. The lye for these fats is on the card of \
                 {}, and only there.",
                variant.recipe.title
            ),
        )
    } else if worst < -HAIR_PERCENT {
        (
            "Danger: such a bar may burn skin.",
            true,
            format!(
                "{why} With {lye_of} the superfat would be {} on paper. But a natural fat's value is a range and a scale \
                 shows steps: with everything at its worst it would be {}, below zero, and nobody can tell by looking. The \
                 superfat was meant for the other fats. The lye for these is on the card of {}, and only there.",
                superfat_words(nominal),
                superfat_words(worst),
                variant.recipe.title
            ),
        )
    } else {
        let much = if nominal > tables.limits.highest_usual_superfat_percent {
            " With so much fat left over, the bar would stay soft and turn rancid early."
        } else {
            ""
        };
        (
            "Harmless this time, and by luck alone.",
            false,
            format!(
                "{why} With {lye_of} the superfat would not fall below zero even with everything at its worst, {}.{much} But \
                 that lye was computed for other fats, and that it suits these is luck: with another fat, or another share \
                 of the same one, the same swap burns skin. So the lye is always computed anew, and never left as it was.",
                superfat_words(worst)
            ),
        )
    };
    SwapView {
        head: "If the fats were swapped and the lye left as it was",
        superfat: Fact { label: format!("Superfat of these fats with {lye_of}"), value: superfat_words(nominal) },
        verdict,
        is_danger,
        words,
    }
}

/// How much lye these fats take beside the base's.
fn demand_words(swap: &Swap) -> String {
    let more = (swap.koh_for_variant / swap.koh_for_base - 1.0) * 100.0;
    match percent(more.abs()) {
        difference if difference == percent(0.0) => "Gram for gram these fats take as much lye as the others.".into(),
        difference if more < 0.0 => format!("Gram for gram these fats take {difference} less lye than the others."),
        difference => format!("Gram for gram these fats take {difference} more lye than the others."),
    }
}
