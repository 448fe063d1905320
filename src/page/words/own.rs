//! What a student made of a recipe, in a line; and what to say where their scale is too coarse for it.
//!
//! Layer 6.

use crate::ledger::Ledger;
use crate::recipe::{BatchSize, Changes, Target};
use crate::show::{self, Units, as_typed, superfat};
use crate::tables::{Mould, MouldShape};
use crate::units::{Mass, Scale};

/// What was changed against the lesson, in one line.
pub(crate) fn own_line(lesson: &Ledger, own: &Ledger, changes: &Changes) -> String {
    let units = own.scales.units;
    let mut parts = Vec::new();
    if changes.size.is_some() || changes.target.is_some() {
        let share = own.batch.total_fats / lesson.batch.total_fats * 100.0;
        let share = show::percent_to(share, usize::from(share < 10.0));
        parts.push(format!("for {}, {share} of the lesson\u{2019}s batch", size_words(own, changes)));
    }
    if let Some(scale) = changes.scale {
        parts.push(format!("weighed on a scale that reads {}", show::division(scale)));
    } else if changes.units.is_some_and(|it| it != lesson.scales.units) {
        parts.push(format!("weighed in {}", if units == Units::Ounces { "ounces" } else { "grams" }));
    }
    if changes.superfat_percent.is_some_and(|it| it != lesson.recipe.superfat_percent) {
        let [was, is] = [lesson, own].map(|it| superfat(it.recipe.superfat_percent));
        parts.push(format!("superfat {is} in place of {was}"));
    }
    for (kind, purity) in &changes.purity {
        parts.push(format!("{} of {} purity", kind.formula(), show::percent_to(purity.used.to_percent(), 2)));
    }
    let mut is_another = false;
    for share in &lesson.recipe.fats {
        let Some(fat) = changes.fats.get(&*share.fat.id) else { continue };
        if fat.id != share.fat.id {
            is_another = true;
            parts.push(format!("{} in place of {}", fat.name, share.fat.name));
        }
        if changes.certificates.contains(&share.fat.id) {
            let value = as_typed(fat.sap_used.to_mg_koh_per_g());
            parts.push(format!("{} with a saponification value of {value} mg KOH/g", fat.name));
        }
    }
    let line = show::capitalised(&parts.join("; "));
    if is_another { format!("{line}. This is no longer the lesson\u{2019}s recipe.") } else { format!("{line}.") }
}

fn size_words(own: &Ledger, changes: &Changes) -> String {
    let units = own.scales.units;
    match (changes.target.as_ref().map(|it| &it.value), &changes.size) {
        (Some(Target::AtHand { mass, .. }), _) => format!("the {} that you have", about(*mass, own)),
        (Some(Target::Bars { count, mass }), _) => {
            format!("{count} {} of {}", if *count == 1 { "bar" } else { "bars" }, about(*mass, own))
        }
        (None, Some(BatchSize::Mould(mould))) => mould_words(mould, units),
        (None, Some(BatchSize::Fats(mass))) => format!("{} of fats", about(*mass, own)),
        (None, None) => String::new(),
    }
}

/// What a mould measures inside, one of its cavities.
pub(crate) fn mould_inside(mould: &Mould, units: Units) -> String {
    let length = |it| show::length(it, units);
    let height = length(mould.fill_height);
    match mould.shape {
        MouldShape::Box { length: long, width } => format!("{} \u{d7} {} \u{d7} {height}", length(long), length(width)),
        MouldShape::Cylinder { diameter } => format!("{} across and {height} deep", length(diameter)),
        MouldShape::Other { holds } => format!("{}, {height} deep", show::volume(holds, units)),
    }
}

/// A mould by its name, and one of a student's own by what it measures.
fn mould_words(mould: &Mould, units: Units) -> String {
    if !mould.id.is_empty() {
        return format!("the mould \u{201c}{}\u{201d}", mould.name);
    }
    let inside = mould_inside(mould, units);
    match mould.cavities {
        1 => format!("your mould of {inside}"),
        several => format!("your mould with {several} cavities of {inside}"),
    }
}

/// A mass that was typed, in the unit that is shown.
fn about(mass: Mass, own: &Ledger) -> String {
    show::about(mass, Units::only(own.scales.units.main()))
}

/// What to say where a scale is too coarse for the lye of so small a batch.
pub(crate) fn too_coarse_words(own: &Ledger, smallest: Mass) -> String {
    let scale: Scale = own.scales.of(own.scales.units.main());
    format!(
        "A scale that reads {} is too coarse for this batch: at the worst, more lye would be in it than its fats can take. The \
         smallest batch of this recipe that it can weigh has {} of fats. Make that much, or borrow a finer scale.",
        show::division(scale),
        about(smallest, own)
    )
}
