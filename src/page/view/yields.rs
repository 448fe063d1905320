//! What comes of a batch: bars, cured mass, glycerol, fatty matter.
//!
//! Layer 6.

use serde::Serialize;

use super::super::printer::Printer;
use super::Fact;
use crate::ledger::{Key, Kind};
use crate::show::{self, NO_BREAK};
use crate::units::Length;

/// What comes of a batch.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct YieldView {
    pub(crate) title: String,
    pub(crate) facts: Vec<Fact>,
}

/// What comes of a batch when it has dried to the moisture of `limits.toml`.
pub(crate) fn yield_view(print: Printer<'_>) -> YieldView {
    let about = |kind: Kind| format!("about {}", print.words_of(kind));
    let bars = bars_words(print);
    let mut facts = vec![Fact::new(
        if print.ledger.recipe.pot.is_some() { "Into the pot" } else { "Poured" },
        print.words_of(Kind::TotalBatch),
    )];
    if print.ledger.recipe.pot.is_some() {
        let label =
            format!("When it is cooked, with {} of the water gone as steam", print.words_of(Kind::PotLossPercent));
        facts.push(Fact::new(label, about(Kind::PotAfter)));
    }
    if let Some(bars) = &bars {
        facts.push(Fact::new("Bars", bars.clone()));
        facts.push(Fact::new("Each bar as poured", about(Kind::BarPoured)));
        let is_told = |kind: Kind| print.figure(&Key::one(kind)).is_some();
        if is_told(Kind::CutKerf) {
            facts.push(Fact::new("Lost in each cut", print.words_of(Kind::CutKerf)));
        }
        if is_told(Kind::CutEnds) {
            facts.push(Fact::new("Trimmed off each end", print.words_of(Kind::CutEnds)));
        }
        if [Kind::CutKerf, Kind::CutEnds, Kind::CutAcross].into_iter().any(is_told) {
            facts.push(Fact::new("Left over after cutting, as poured", about(Kind::Trimmings)));
        }
    }
    facts.push(Fact::new(format!("Cured, at {} moisture", print.words_of(Kind::Moisture)), about(Kind::Cured)));
    if bars.is_some() {
        facts.push(Fact::new("Each bar cured", about(Kind::BarCured)));
    }
    facts.push(Fact::new("Glycerol that stays in it", about(Kind::Glycerol)));
    facts.push(Fact::new("Total fatty matter when cured", print.words_of(Kind::FattyMatter)));
    YieldView { title: print.ledger.recipe.title.clone(), facts }
}

/// The bars of a mould in words.
pub(super) fn bars_words(print: Printer<'_>) -> Option<String> {
    let bars = print.ledger.bars?;
    let count = print.words_of(Kind::Bars);
    let Some((along, across)) = bars.cut else { return Some(format!("{count}, one from each cavity")) };
    let left = |left: Length, kind: Kind| {
        let is_nothing = show::length(left, print.units()).starts_with(&format!("0{NO_BREAK}"));
        (!is_nothing).then(|| print.words_of(kind))
    };
    let along = left(along.left, Kind::CutLeft);
    let Some(across) = across else {
        let rest = along.map(|it| format!(", and {it} left over")).unwrap_or_default();
        return Some(format!("{count} of {}{rest}", print.words_of(Kind::Cut)));
    };
    let across = left(across.left, Kind::CutLeftAcross);
    let left = [along.map(|it| format!("{it} of the length")), across.map(|it| format!("{it} of the width"))];
    let left: Vec<String> = left.into_iter().flatten().collect();
    let rest = if left.is_empty() { String::new() } else { format!(", and {} left over", left.join(" and ")) };
    Some(format!("{count} of {} by {}{rest}", print.words_of(Kind::Cut), print.words_of(Kind::CutAcross)))
}
