//! What comes of a batch: bars, cured mass, glycerol, fatty matter.
//!
//! Layer 6.

use serde::Serialize;

use super::super::printer::Printer;
use super::Fact;
use crate::ledger::Kind;
use crate::show::{self, NO_BREAK};

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
fn bars_words(print: Printer<'_>) -> Option<String> {
    let bars = print.ledger.bars?;
    let count = print.words_of(Kind::Bars);
    let Some((_, left)) = bars.cut else { return Some(format!("{count}, one from each hollow")) };
    let nothing = show::length(left, print.units()).starts_with(&format!("0{NO_BREAK}"));
    let rest = if nothing { String::new() } else { format!(", and {} left over", print.words_of(Kind::CutLeft)) };
    Some(format!("{count} of {}{rest}", print.words_of(Kind::Cut)))
}
