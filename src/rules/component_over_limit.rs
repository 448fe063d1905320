//! # What it finds
//!
//! More of a component in the cured bar than is allowed, counted over all scents together, by the rates or as printed.
//! In a layer, what goes into the whole batch counts as well; the layer with most of it is reported.
//!
//! # Why it matters
//!
//! Many oils contain substances that people can become allergic to. Each oil may be within its own limit, and yet all of
//! them together may be over that of the substance.
//!
//! # Example
//!
//! Two oils with `components = { geraniol = 40, source = "..." }` in their rows, `rate = "1 %"` each, and a `limit-percent` of
//! 0.6 for geraniol in tables/components.toml
//!
//! # Source
//!
//! The suppliers' documents, which the rows name. The mass of the cured bar: `batch/yields.rs`.

use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::show::listed;
use crate::tables::Tables;

pub(super) fn check(ledger: &Ledger, tables: &Tables, findings: &mut Vec<Finding>) {
    for dose in ledger.components() {
        let Some(component) = tables.components.get(&dose.id) else { continue };
        if let Some((limit, source)) = &component.limit_percent
            && dose.percent > limit * (1.0 + 1e-9)
        {
            let from = listed(dose.names.iter().map(|it| &**it));
            let percents = (dose.percent, *limit);
            let source = source.to_string();
            findings.push(Finding::component_over_limit(dose.place, &component.name, &from, percents, &source));
        }
    }
}
