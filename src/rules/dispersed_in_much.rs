//! # What it finds
//!
//! More oil, or more water or glycerol, for dispersing additives than is good for a soap. In a layer what goes into the whole
//! batch counts as well.
//!
//! # Why it matters
//!
//! No lye is made for the oil: it stays in the soap as fat, and that part of the bar is soft and goes rancid sooner. A
//! lot of water thins the batter, and that part of the bar shrinks more as it dries.
//!
//! # Example
//!
//! `{ item = "kaolin", rate = "3 %", in = { item = "sunflower", times = 3 } }`: 9 % of the fats, on top of the superfat.
//!
//! # Source
//!
//! Common practice: `most-dispersing-oil-percent` and `most-dispersing-water-percent` in `limits.toml`.

use super::extras_of;
use crate::finding::{Finding, Step};
use crate::ledger::Ledger;
use crate::recipe::DispersingLiquid;
use crate::tables::Tables;

pub(super) fn check(ledger: &Ledger, tables: &Tables, findings: &mut Vec<Finding>) {
    let limits = &tables.limits;
    for is_oil in [true, false] {
        let most = if is_oil { limits.most_dispersing_oil_percent } else { limits.most_dispersing_water_percent };
        let of_kind = || {
            extras_of(ledger).filter_map(|(step, extra, amount)| {
                let disperses = extra.disperses.as_ref()?;
                let counts = matches!(disperses.liquid, DispersingLiquid::Fat(_)) == is_oil;
                counts.then_some((step, extra, amount.of_fats_percent))
            })
        };
        let mut told = Vec::new();
        for (step, extra, _) in of_kind() {
            // A layer has its part of what goes into the whole batch as well.
            let is_there = |other: Step| other == step || matches!((step, other), (Step::Layer(_), Step::Trace));
            let percent: f64 = of_kind().filter(|(other, ..)| is_there(*other)).map(|(_, _, percent)| percent).sum();
            if percent > most && !told.contains(&step) {
                findings.push(Finding::dispersed_in_much(extra.place.clone(), is_oil, (percent, most), step));
                told.push(step);
            }
        }
    }
}
