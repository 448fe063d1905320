//! # What it finds
//!
//! More of an additive in the cured bar than its supplier allows in soap that is rinsed off, by its rate or as
//! printed.
//!
//! # Why it matters
//!
//! These limits protect skin. They differ from one product to the next, so none is built in: the instructor states what
//! the supplier's document says.
//!
//! # Example
//!
//! `{ item = "essential-oil", rate = "4 %", limit = 2.5 }`
//!
//! # Source
//!
//! The supplier's document. The mass of the cured bar: `batch/yields.rs`. Of a layer's additive the layer alone counts,
//! since a bar may be used from one side.

use super::{Subject, extras_of};
use crate::batch::{Weighed, percent_of_cured};
use crate::finding::Finding;
use crate::units::Mass;

pub(super) fn check(subject: &Subject<'_>, findings: &mut Vec<Finding>) {
    for (extra_idx, (_, extra, amount)) in extras_of(subject).enumerate() {
        if let Some(limit) = extra.limit_percent {
            // Weighed as printed it may be more than the rate asks for.
            let most = subject.weighed.iter().map(|it| printed_mass(it, extra_idx)).fold(amount.mass, larger);
            let exact = percent_of_cured(subject.recipe, subject.batch, amount, subject.tables);
            let percent = exact * (most / amount.mass);
            if percent > limit * (1.0 + 1e-9) {
                findings.push(Finding::over_limit(extra.place.clone(), &amount.name, percent, limit));
            }
        }
    }
}

/// What the scale shows for an additive, in the order of [`extras_of`].
fn printed_mass(weighed: &Weighed, extra_idx: usize) -> Mass {
    let of_layers = weighed.layers.iter().flat_map(|it| &it.extras);
    let reading = weighed.extras.iter().chain(of_layers).nth(extra_idx);
    reading.map_or(Mass::ZERO, |it| weighed.scale.mass(*it))
}

fn larger(a: Mass, b: Mass) -> Mass {
    if a < b { b } else { a }
}
