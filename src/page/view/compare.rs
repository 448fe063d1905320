//! A variant beside the recipe it is based on, and what would happen if only the fats were swapped.
//!
//! Layer 6. The numbers of the swap are in `batch/swap.rs`; what they mean for a student is worded here.

use serde::Serialize;

use super::super::printer::{Printer, Shown, without_marks};
use super::super::words::size_words as layer_size_words;
use super::super::words::swirl_steps;
use super::{Fact, alkali_name};
use crate::ledger::{Figure, Key, Kind, Moment, Part};
use crate::recipe::{BatchSize, Divide};
use crate::show::{self, capitalised, is_below_zero, percent_to};
use crate::tables::AlkaliKind;

/// Fats to which the same happened.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct FatGroup {
    pub(crate) head: &'static str,
    /// The fats, each with its share and what it was.
    pub(crate) fats: Vec<FatLine>,
}

/// A fat of either recipe.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct FatLine {
    pub(crate) name: String,
    /// Its share of all fats here; of a fat that went out, there.
    pub(crate) share: String,
    pub(crate) was: Option<String>,
}

/// A figure of both recipes.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct Pair {
    pub(crate) name: String,
    pub(crate) base: Shown,
    pub(crate) variant: Shown,
}

/// What would happen if the fats were swapped and the lye left as it was.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct SwapView {
    /// The superfat that comes of it, with its label.
    pub(crate) superfat: Fact,
    pub(crate) verdict: &'static str,
    pub(crate) is_danger: bool,
    pub(crate) words: String,
}

/// A variant beside the recipe it is based on.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct CompareView {
    pub(crate) title: String,
    pub(crate) based_on: String,
    pub(crate) fat_groups: Vec<FatGroup>,
    /// Heads of the table: for how much fat, the base, the variant.
    pub(crate) heads: [String; 3],
    pub(crate) pairs: Vec<Pair>,
    pub(crate) others_head: &'static str,
    pub(crate) others: Vec<Fact>,
    pub(crate) swap: SwapView,
}

/// A variant beside the recipe it is based on, both for the variant's mass of fats.
///
/// - `base`: the base as it is.
/// - `resized`: the base for the variant's mass of fats.
pub(crate) fn compare_view(base: Printer<'_>, resized: Printer<'_>, variant: Printer<'_>) -> CompareView {
    let titles = [base, variant].map(|it| it.ledger.recipe.title.clone());
    let others = others(base, resized, variant);
    let [base_title, title] = titles.clone();
    CompareView {
        title,
        based_on: format!("based on {base_title}"),
        fat_groups: fat_groups(base, variant),
        heads: [&format!("For {} of fats", variant.words_of(Kind::TotalFats)), &titles[0], &titles[1]]
            .map(String::clone),
        pairs: pairs(resized, variant),
        others_head: if others.is_empty() { "Nothing else differs." } else { "What else differs" },
        others,
        swap: swap_view(base, variant),
    }
}

fn fat_groups(base: Printer<'_>, variant: Printer<'_>) -> Vec<FatGroup> {
    // Two decimals at most: what is typed for a fat is seldom finer.
    let share =
        |print: Printer<'_>, id: &str, fraction: f64| print.each(Kind::FatPercent, id, percent_to(fraction * 100.0, 2));
    let (of_base, of_variant) = (&base.ledger.batch.fats, &variant.ledger.batch.fats);
    let mut groups = ["Removed", "Added", "More of", "Less of", "As before"].map(|head| (head, Vec::new()));
    let mut add = |group_idx: usize, name: &str, share: String, was: Option<String>| {
        groups[group_idx].1.push(FatLine { name: capitalised(name), share, was });
    };
    for fat in of_base.iter().filter(|fat| !of_variant.iter().any(|it| it.id == fat.id)) {
        add(0, &fat.name, share(base, &fat.id, fat.fraction), None);
    }
    for fat in of_variant {
        let here = share(variant, &fat.id, fat.fraction);
        match of_base.iter().find(|it| it.id == fat.id).map(|it| it.fraction) {
            None => add(1, &fat.name, here, None),
            // What is printed alike is alike to whoever reads it.
            Some(was) if percent_to(was * 100.0, 2) == percent_to(fat.fraction * 100.0, 2) => {
                add(4, &fat.name, here, None);
            }
            Some(was) => {
                let group_idx = if fat.fraction > was { 2 } else { 3 };
                add(group_idx, &fat.name, here, Some(share(base, &fat.id, was)));
            }
        }
    }
    let groups = groups.into_iter().filter(|(_, fats)| !fats.is_empty());
    groups.map(|(head, fats)| FatGroup { head, fats }).collect()
}

fn pairs(base: Printer<'_>, variant: Printer<'_>) -> Vec<Pair> {
    let mut pairs = Vec::new();
    let mut add = |name: String, of: &dyn Fn(Printer<'_>) -> Shown| {
        pairs.push(Pair { name, base: of(base), variant: of(variant) });
    };
    for kind in AlkaliKind::ALL {
        let key = |it: Printer<'_>| {
            let alkali_idx = it.ledger.batch.alkalis.iter().position(|it| it.kind == kind);
            alkali_idx.map(|alkali_idx| it.ledger.alkali_key(alkali_idx))
        };
        if key(base).is_some() || key(variant).is_some() {
            add(alkali_name(kind, variant.tables), &|it| {
                key(it).map_or_else(|| Shown::plain("none"), |key| it.amount(&key))
            });
        }
    }
    add("Water".into(), &|it| it.amount(&Key::one(Kind::Water)));
    add("Superfat".into(), &|it| Shown::plain(it.words_of(Kind::Superfat)));
    add("Lye concentration".into(), &|it| Shown::plain(it.words_of(Kind::LyeConcentration)));
    pairs
}

/// What else differs: size, purity, additives, layers, the cut.
fn others(base: Printer<'_>, resized: Printer<'_>, variant: Printer<'_>) -> Vec<Fact> {
    let mut facts = Vec::new();
    let mut differ = |label: String, was: String, here: String| {
        if without_marks(&was) != without_marks(&here) {
            facts.push(Fact::new(label, format!("{here}, in place of {was}")));
        }
    };
    differ("Size".into(), size_words(base), size_words(variant));
    for it in &variant.ledger.batch.alkalis {
        if base.ledger.batch.alkalis.iter().any(|was| was.kind == it.kind) {
            let purity = |print: Printer<'_>| print.words(&Key::each(Kind::Purity, it.kind.formula()));
            differ(format!("Purity of {}", it.kind.formula()), purity(base), purity(variant));
        }
    }
    differ("Cut".into(), cut_words(base), cut_words(variant));
    differ("Set into it".into(), embed_words(base), embed_words(variant));
    differ("Steeped".into(), infusion_words(base), infusion_words(variant));
    differ("Stock of lye solution".into(), stock_words(base), stock_words(variant));
    differ("Water lost in the pot".into(), pot_words(base), pot_words(variant));
    differ("Dilution".into(), dilution_words(base), dilution_words(variant));
    let are_portions = [base, variant].iter().all(|it| it.ledger.recipe.divide.swirl().is_some());
    differ(if are_portions { "Portions" } else { "Layers" }.into(), layer_words(resized), layer_words(variant));
    let divided = |it: Printer<'_>| match it.ledger.recipe.divide {
        Divide::FatsAndLye => "fats and lye solution, each layer blended on its own".to_owned(),
        Divide::Batter => "the batter, blended once".to_owned(),
        Divide::Swirl(it) => format!("portions of one batter ({})", swirl_steps(it).0.to_lowercase()),
    };
    if [base, variant].iter().all(|it| !it.ledger.recipe.layers.is_empty()) {
        differ("Divided".into(), divided(base), divided(variant));
    }
    facts.extend(additive_facts(resized, variant));
    facts
}

fn size_words(print: Printer<'_>) -> String {
    let recipe = &print.ledger.recipe;
    match &recipe.size {
        BatchSize::Mould(mould) => format!("what fills {}", show::the(&mould.name)),
        BatchSize::Fats(_) => {
            let fats = format!("{} of fats", print.words_of(Kind::TotalFats));
            recipe.into.as_ref().map_or(fats.clone(), |it| format!("{fats}, poured into {}", show::the(&it.name)))
        }
    }
}

fn cut_words(print: Printer<'_>) -> String {
    let Some(cut) = print.ledger.recipe.cut else { return "not cut".into() };
    let words = |before: &str, kind: Kind, after: &str| {
        let is_told = print.figure(&Key::one(kind)).is_some();
        if is_told { format!("{before}{}{after}", print.words_of(kind)) } else { String::new() }
    };
    let across = cut.across.map(|_| words(" by ", Kind::CutAcross, "")).unwrap_or_default();
    let along = print.words_of(Kind::Cut);
    format!(
        "{along}{across}{}{}",
        words(", ", Kind::CutKerf, " lost in each cut"),
        words(", ", Kind::CutEnds, " off each end")
    )
}

fn infusion_words(print: Printer<'_>) -> String {
    let ledger = print.ledger;
    let words = ledger.recipe.infusions.iter().map(|it| {
        let fat = &ledger.batch.fats[it.fat_idx].name;
        format!("{} in {fat}, 1 part to {} of oil", it.plant, show::short(it.oil_per_plant, 2))
    });
    let words: Vec<String> = words.collect();
    if words.is_empty() { "nothing".into() } else { words.join("; ") }
}

fn stock_words(print: Printer<'_>) -> String {
    match print.ledger.batch.stock {
        None => "none".into(),
        Some(_) => format!("{} lye", print.words_of(Kind::StockConcentration)),
    }
}

fn pot_words(print: Printer<'_>) -> String {
    match print.ledger.recipe.pot {
        None => "none".into(),
        Some(_) => print.words_of(Kind::PotLossPercent),
    }
}

fn dilution_words(print: Printer<'_>) -> String {
    let Some(dilute) = &print.ledger.recipe.dilute else { return "none".into() };
    let soap = print.words_of(Kind::DilutionSoapPercent);
    let preservative = match dilute.preservative {
        None => "no preservative".to_owned(),
        // As the block about the dilution has it.
        Some(it) => {
            let percent = print.one(Kind::DilutionPreservativePercent, percent_to(it.to_percent(), 2));
            format!("{percent} of preservative")
        }
    };
    format!("{soap} of soap and {preservative}")
}

fn embed_words(print: Printer<'_>) -> String {
    let embeds = &print.ledger.recipe.embeds;
    if embeds.is_empty() {
        return "nothing".into();
    }
    format!("{}, {}", show::listed(embeds.iter().map(|it| &*it.name)), print.words_of(Kind::EmbedsVolume))
}

fn layer_words(print: Printer<'_>) -> String {
    let (recipe, batch) = (&print.ledger.recipe, &print.ledger.batch);
    let words = recipe.layers.iter().zip(&batch.layers).enumerate().map(|(layer_idx, (layer, amount))| {
        let share = layer_size_words(print, layer_idx);
        let extras = amount.extras.iter().map(|it| {
            let key = Key::each(Kind::LayerRate, it.id.clone()).in_layer(layer.key.clone());
            format!("{} of {}", print.mark(&key, percent_to(it.of_fats_percent, 2)), it.name)
        });
        format!("{} ({})", layer.name, [share].into_iter().chain(extras).collect::<Vec<_>>().join(", "))
    });
    let words: Vec<String> = words.collect();
    if words.is_empty() { "all poured at once".into() } else { words.join("; ") }
}

/// What a recipe weighs out for all of it that is neither fat, alkali nor plain water.
fn additives(print: Printer<'_>) -> Vec<(&Figure, f64)> {
    let total_fats = print.ledger.batch.total_fats;
    let is_additive = |it: &Part| matches!(it, Part::Acid(_) | Part::Liquid(_) | Part::Extra(_) | Part::LateFat(_));
    let figures = print.ledger.weighed_out().filter(|it| is_additive(&it.part));
    figures.filter_map(|it| Some((it, it.amount.mass()? / total_fats * 100.0))).collect()
}

fn additive_facts(base: Printer<'_>, variant: Printer<'_>) -> Vec<Fact> {
    let mut before = additives(base);
    let mut facts = Vec::new();
    let rate = |print: Printer<'_>, figure: &Figure, percent: f64| {
        format!("{} of the fats", print.mark(&figure.key, percent_to(percent, 2)))
    };
    let name = |it: &Figure| capitalised(it.name.as_deref().unwrap_or_default());
    for (it, percent) in additives(variant) {
        // Each one of the base once, since an item may stand in a recipe twice.
        let was = before.iter().position(|(was, _)| was.key == it.key).map(|was_idx| before.remove(was_idx));
        let late = if it.goes_into == Some(Moment::Cooked) { ", stirred in later" } else { "" };
        let here = rate(variant, it, percent);
        let value = match was {
            None => format!("{here}{late}, where there was none"),
            Some((_, was)) if percent_to(was, 2) == percent_to(percent, 2) => continue,
            Some((figure, was)) => format!("{here}{late}, in place of {}", rate(base, figure, was)),
        };
        facts.push(Fact::new(name(it), value));
    }
    let gone = before.into_iter();
    facts.extend(gone.map(|(it, was)| Fact::new(name(it), format!("none, in place of {}", rate(base, it, was)))));
    facts
}

fn swap_view(base: Printer<'_>, variant: Printer<'_>) -> SwapView {
    let percent_of = |kind: Kind| {
        let figure = variant.figure(&Key::one(kind));
        figure.and_then(|it| it.amount.percent(variant.units().main())).unwrap_or_default()
    };
    let superfat_words = |kind: Kind| variant.one(kind, show::superfat(percent_of(kind)));
    let (nominal, worst) = (percent_of(Kind::SuperfatIfSwapped), percent_of(Kind::WorstIfSwapped));
    let (base_title, title) = (&base.ledger.recipe.title, &variant.ledger.recipe.title);
    let lye_of = format!("the lye of {base_title}");
    let is_same = fat_groups(base, variant).iter().all(|it| it.head == "As before");
    let why = demand_words(variant, percent_of(Kind::LyeIfSwapped));
    let (verdict, is_danger, words) = if is_same {
        let margin = if is_below_zero(worst) {
            format!(
                " With everything at its worst that could be {}, with no swap at all.",
                superfat_words(Kind::WorstIfSwapped)
            )
        } else {
            String::new()
        };
        (
            "The fats are the same, so there is nothing to swap.",
            false,
            format!(
                "The superfat stays that of {}.{margin} As soon as a fat or its share changes, the lye has to be \
                 computed again.",
                base_title
            ),
        )
    } else if is_below_zero(nominal) {
        (
            "Danger: such a bar would burn skin.",
            true,
            format!(
                "{why} With {lye_of} they would be left with more lye than they can take: a superfat below zero. That lye \
                 stays in the bar, which may trace, set and look like any other. The lye for these fats is on the card of \
                 {}, and only there.",
                title
            ),
        )
    } else if is_below_zero(worst) {
        (
            "Danger: such a bar may burn skin.",
            true,
            format!(
                "{why} With {lye_of} the superfat would be {} on paper. But a natural fat's value is a range, and a \
                 scale reads in steps: with everything at its worst it would be {}, below zero, and nobody can tell by \
                 looking. The superfat was meant for the other fats. The lye for these is on the card of {}, and only \
                 there.",
                superfat_words(Kind::SuperfatIfSwapped),
                superfat_words(Kind::WorstIfSwapped),
                title
            ),
        )
    } else {
        let much = if nominal > variant.tables.limits.highest_usual_superfat_percent {
            " With so much fat left over, the bar would stay soft and turn rancid early."
        } else {
            ""
        };
        (
            "Harmless this time, and by luck alone.",
            false,
            format!(
                "{why} With {lye_of} the superfat would not fall below zero even with everything at its worst, \
                 {}.{much} But that lye was computed for other fats, and that it suits these is luck: with another \
                 fat, or another share of the same one, the same swap burns skin. So the lye is always computed again, \
                 and never left as it was.",
                superfat_words(Kind::WorstIfSwapped)
            ),
        )
    };
    SwapView {
        superfat: Fact {
            label: format!("Superfat of these fats with {lye_of}"),
            value: superfat_words(Kind::SuperfatIfSwapped),
        },
        verdict,
        is_danger,
        words,
    }
}

/// How much lye these fats take beside the base's.
fn demand_words(print: Printer<'_>, more_percent: f64) -> String {
    let difference = show::percent(more_percent.abs());
    let shown = print.one(Kind::LyeIfSwapped, &difference);
    match more_percent {
        _ if difference == show::percent(0.0) => "Gram for gram these fats take as much lye as the others.".into(),
        more if more < 0.0 => format!("Gram for gram these fats take {shown} less lye than the others."),
        _ => format!("Gram for gram these fats take {shown} more lye than the others."),
    }
}
