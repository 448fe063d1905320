//! How large a batch has to be, where that follows from something else than its fats or its mould.
//!
//! Layer 7, since it takes a whole ledger to know.

use std::iter;

use crate::finding::Finding;
use crate::ledger::{Key, Ledger, Scales, parts_of};
use crate::recipe::{BatchSize, Changes, MASS_LIMITS_GRAMS, Recipe, Target};
use crate::source::Located;
use crate::tables::Tables;
use crate::units::Mass;

/// A recipe of the size that is wanted.
///
/// What is weighed out of something grows with the fats in a straight line, beside what does not grow at all: two batches tell
/// how, and the mass of fats follows: `fats = fats₁ + (wanted - amount₁) (fats₂ - fats₁) / (amount₂ - amount₁)`. Of what is at
/// hand a scale may show more than there is; then so much less is made.
///
/// # Errors
///
/// When there is nothing of that name in the recipe, when its amount is the same in every batch, or when the batch would be
/// smaller or larger than anybody can weigh.
///
/// # Example
///
/// 250 g of coconut oil in a batch of 1000 g of fats, and 430 g at hand: 1720 g of fats.
pub(super) fn sized(
    mut recipe: Recipe,
    changes: &Changes,
    of_course: Scales,
    tables: &Tables,
) -> Result<Recipe, Box<Finding>> {
    let Some(target) = &changes.target else { return Ok(recipe) };
    let scales = of_course.with(changes);
    let key = match &target.value {
        Target::AtHand { name, .. } => Some(named(name)),
        Target::Bars { .. } => None,
    };
    let amount = |ledger: &Ledger| match &key {
        Some(key) => key.as_ref().and_then(|it| ledger.figure(it)?.amount.mass()),
        None => Some(ledger.batch.poured()),
    };
    let wanted = match &target.value {
        Target::AtHand { mass, .. } => *mass,
        Target::Bars { count, mass } => *mass * f64::from(*count),
    };
    let first = Ledger::of(recipe.clone(), tables, scales, None);
    let second = first.for_fats(first.batch.total_fats * 2.0, tables);
    let (Some(one), Some(two)) = (amount(&first), amount(&second)) else {
        return Err(Box::new(nothing_follows(target)));
    };
    let [one, two] = [one, two].map(Mass::to_grams);
    let fats = first.batch.total_fats.to_grams();
    if two - one <= fats * 1e-9 {
        return Err(Box::new(nothing_follows(target)));
    }
    let fats_for = |wanted: f64| fats + (wanted - one) * fats / (two - one);
    let mut total = fats_for(wanted.to_grams());
    let (least, most) = MASS_LIMITS_GRAMS;
    if let (true, Some(Some(key))) = ((least..=most).contains(&total), &key) {
        let unit = scales.units.main();
        let step = scales.of(unit).mass(1).to_grams();
        // Readings are rounded together, so that one may be over by more than its own rounding.
        for tried in 1..=N_LOWER {
            let sized = first.for_fats(Mass::grams(total), tables);
            let shown = sized.figure(key).and_then(|it| it.amount.reading(unit)).map(|it| scales.of(unit).mass(it));
            let over = shown.map_or(0.0, |it| it.to_grams() - wanted.to_grams());
            if over <= step * 1e-6 {
                break;
            }
            total = fats_for(wanted.to_grams() - f64::from(tried) * step / 2.0).max(least);
        }
    }
    if !(least..=most).contains(&total) {
        return Err(Box::new(Finding::mass_out_of_range(target.place.clone(), "the mass of fats", total)));
    }
    recipe.resize(BatchSize::Fats(Mass::grams(total)))?;
    Ok(recipe)
}

/// The figure of a name.
fn named(name: &str) -> Option<Key> {
    let parts = parts_of(name)?;
    Key::from_parts(&parts.iter().map(String::as_str).collect::<Vec<_>>())
}

fn nothing_follows(target: &Located<Target>) -> Finding {
    let name = match &target.value {
        Target::AtHand { name, .. } => name,
        Target::Bars { .. } => "bars",
    };
    Finding::size_does_not_follow(target.place.clone(), name)
}

/// How many times half a step of the scale is taken off, where a reading is more than there is.
const N_LOWER: u32 = 8;

/// Each batch that is tried is larger than the one before by so much.
const LARGER: f64 = 1.1;

/// The masses of fats that are tried, the same whatever the batch is, so that one scale has one answer.
fn ladder() -> impl Iterator<Item = f64> {
    let (low, high) = MASS_LIMITS_GRAMS;
    iter::successors(Some(low), |it| Some(it * LARGER)).map(rounded_up).take_while(move |it| *it <= high)
}

/// The smallest batch, as its mass of fats in two figures, from which on the worst case of the superfat is not below zero on
/// these scales; `None` where no size mends it. Rounding may make a smaller one safe by chance, which is not counted on.
pub(super) fn smallest_batch(ledger: &Ledger, tables: &Tables) -> Option<Mass> {
    let fats = ledger.batch.total_fats.to_grams();
    let ladder: Vec<f64> = ladder().skip_while(|it| *it <= fats).collect();
    let is_safe = |it: &f64| ledger.for_fats(Mass::grams(*it), tables).is_safe_by_scale();
    let first = ladder.iter().rposition(|it| !is_safe(it)).map_or(0, |last_unsafe| last_unsafe + 1);
    ladder.get(first).copied().map(Mass::grams)
}

/// Rounded up to two figures: 1234 becomes 1300.
fn rounded_up(value: f64) -> f64 {
    let step = 10_f64.powf(value.log10().floor() - 1.0);
    (value / step).ceil() * step
}
