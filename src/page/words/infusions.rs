//! What is said of a plant that is steeped in a fat.
//!
//! Layer 6.

use super::super::printer::Printer;
use crate::ledger::{Key, Kind};

/// For each infusion what is strained off, what of it is weighed, and what to do when it is too little.
pub(crate) fn infusion_notes(print: Printer<'_>) -> Vec<String> {
    let batch = &print.ledger.batch;
    let note = |fat_idx: usize| {
        let fat = &batch.fats[fat_idx];
        let words = |kind: Kind| print.words(&Key::each(kind, fat.id.clone()));
        let (least, most) = (words(Kind::StrainedFrom), words(Kind::StrainedTo));
        format!(
            "The plant keeps part of the oil. Expect {least} to {most} of {name} when it is strained through a cloth; \
             the recipe needs {needed} of it. If there is less, top it up with fresh {name}, never with another fat, \
             for which the lye would be wrong. Throw away the cloudy oil at the bottom.",
            name = fat.name,
            needed = words(Kind::Fat),
        )
    };
    batch.infusions.iter().map(|it| note(it.fat_idx)).collect()
}
