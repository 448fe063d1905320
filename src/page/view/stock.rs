//! A jug of lye solution made beforehand: what to weigh for it, how hot it gets, and what stands on its label.
//!
//! Layer 6. The numbers are those of `batch/stock.rs`. They are of no ledger, so they are marked without a key.

use serde::Serialize;

use super::super::cautions::{Caution, stock_cautions};
use super::super::printer::{Printer, Shown};
use super::{Fact, Row, alkali_name};
use crate::batch::{Jug, stock_vessel};
use crate::ledger::Kind;
use crate::show::{self, short, with_unit};
use crate::units::{Mass, Percent};

/// How much of a stock is made.
#[derive(Clone, Copy, Debug)]
pub(crate) struct StockOptions {
    /// For so many batches of the recipe.
    pub(crate) batches: u32,
    /// What is made beyond them.
    pub(crate) spare: Percent,
}

/// A jug of lye solution made beforehand.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct StockView {
    pub(crate) title: String,
    pub(crate) makes: String,
    pub(crate) rows: Vec<Row>,
    pub(crate) total: Row,
    pub(crate) facts: Vec<Fact>,
    /// What is written on the jug, line by line.
    pub(crate) label: Vec<String>,
    /// How it is made and kept: what to be careful of.
    pub(crate) cautions: Vec<Caution>,
    /// All of it, as the first of the scales shows it.
    #[serde(skip)]
    pub(crate) whole: Mass,
}

/// A jug of stock; `None` for a recipe without one.
pub(crate) fn stock_view(print: Printer<'_>, options: StockOptions) -> Option<StockView> {
    let ledger = print.ledger;
    let stock = ledger.batch.stock.as_ref()?;
    let kind = ledger.batch.alkalis.first()?.kind;
    let mark = |text: String| print.notes.mark(ledger, None, "stock", &text);
    let jugs: Option<Vec<_>> =
        ledger.shown().map(|it| Some((it.scale, Jug::of(it, options.batches, options.spare)?))).collect();
    let jugs = jugs?;
    let shown = |of: &dyn Fn(&Jug) -> u64| {
        let mut texts = jugs.iter().map(|(scale, jug)| {
            let reading = of(jug);
            mark(show::weighed(*scale, reading, scale.mass(reading)))
        });
        Shown { main: texts.next().unwrap_or_default(), other: texts.next() }
    };
    let in_words = |of: &dyn Fn(&Jug) -> u64| {
        let it = shown(of);
        it.other.map_or(it.main.clone(), |other| format!("{} ({other})", it.main))
    };
    let row = |name: String, hint: Option<&str>, of: &dyn Fn(&Jug) -> u64| Row {
        name,
        hint: hint.map(str::to_owned),
        amount: shown(of),
    };
    let (strength, batches) = (print.words_of(Kind::StockConcentration), options.batches);
    let spare = if options.spare.to_percent() > 0.0 {
        format!(", and {} to spare", mark(with_unit(&short(options.spare.to_percent(), 1), "%")))
    } else {
        String::new()
    };
    let one = print.words_of(Kind::Stock);
    let batches_word = if options.batches == 1 { "batch" } else { "batches" };
    let makes = format!("{strength} lye, for {batches} {batches_word} of {one} each{spare}");
    let mut facts = vec![Fact::new("Needed for the batches alone", in_words(&|it| it.needed))];
    if ledger.stock.is_some_and(|it| it.hottest_celsius[0].is_some()) {
        facts.push(Fact::new("Hottest it can get, from tap water", print.words_of(Kind::HottestStock)));
        facts.push(Fact::new("The same with half of the water as ice", print.words_of(Kind::HottestIcedStock)));
    }
    let whole = jugs.first().map_or(Mass::ZERO, |(scale, jug)| scale.mass(jug.whole()));
    let most = print.tables.limits.largest_stock_jug;
    if whole > most {
        let most = jugs.iter().map(|(scale, _)| mark(show::weighed(*scale, scale.below(most), most)));
        let most: Vec<String> = most.collect();
        facts.push(Fact::new("Made in parts of no more than", most.join(" or ")));
    }
    if let Some(vessel) = stock_vessel(if whole > most { most } else { whole }, stock, kind, print.tables) {
        let vessel = mark(show::vessel(vessel, print.units()));
        facts.push(Fact::new("Vessel to mix it in", format!("at least {vessel}")));
    }
    if ledger.stock.is_some_and(|it| it.crystals_below_celsius.is_some()) {
        facts.push(Fact::new("Keep it no colder than", print.words_of(Kind::StockCrystalsBelow)));
    }
    let hazards = print.tables.alkali(kind).hazard_statements.join(", ");
    let label = vec![
        format!("DANGER. CAUSTIC. Lye solution: burns skin and eyes ({hazards}). Not to drink"),
        format!("{}, {strength} by mass as weighed from the container", alkali_name(kind, print.tables)),
        "Made on: … by: … Lot of the lye: …".to_owned(),
        "Weight of the full jug: …".to_owned(),
        "On skin or in eyes: rinse at once with plenty of water, and get medical help".to_owned(),
        "Use only what is clear, and nothing once crystals have formed in it".to_owned(),
    ];
    let rows = vec![
        row("Cold water".into(), Some("into the vessel first"), &|it| it.water),
        row(alkali_name(kind, print.tables), Some("into the water, a little at a time"), &|it| it.lye),
    ];
    Some(StockView {
        title: ledger.recipe.title.clone(),
        makes,
        rows,
        total: row("Stock lye solution together".into(), None, &Jug::whole),
        facts,
        label,
        cautions: stock_cautions(print),
        whole,
    })
}
