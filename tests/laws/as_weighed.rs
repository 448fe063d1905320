//! What was really weighed: whatever puts it right brings the stated superfat back, and never goes below it.

use kettlebook::batch::{
    Batch, Remedy, Scale, Verdict, Weighed, WeighedPart, as_weighed, compute, superfat_uncertainty,
};
use kettlebook::recipe::Recipe;
use kettlebook::units::Mass;
use proptest::prelude::*;

use super::plan::{Plan, cases, plans, recipe, tables};
use crate::equal;

/// Whatever was weighed is believed.
const ANY: f64 = f64::INFINITY;

/// A batch in which everything reads more than a few divisions.
fn computed(plan: &Plan) -> Option<(Recipe, Batch, Weighed)> {
    let recipe = recipe(&plan.text());
    let batch = compute(&recipe, tables());
    let weighed = Weighed::read(&batch, Scale::GRAMS);
    let is_enough = weighed.fats.iter().chain(&weighed.alkalis).all(|it| *it > 20);
    (is_enough && recipe.superfat_percent >= 0.0).then_some((recipe, batch, weighed))
}

/// The alkalis, so many times as much.
fn more_lye(weighed: &Weighed, factor: f64) -> Vec<(WeighedPart, Mass)> {
    let alkalis = weighed.alkalis.iter().enumerate();
    alkalis.map(|(idx, it)| (WeighedPart::Alkali(idx), Mass::grams((*it as f64 * factor).round()))).collect()
}

proptest! {
    #![proptest_config(cases(300))]

    /// Weighed as printed it is what is printed.
    #[test]
    fn what_was_weighed_as_printed_is_as_printed(plan in plans()) {
        let Some((recipe, batch, weighed)) = computed(&plan) else { return Ok(()) };
        let it = as_weighed(&recipe, &batch, &weighed, &more_lye(&weighed, 1.0), ANY);
        prop_assert_eq!(&it.weighed.alkalis, &weighed.alkalis);
        prop_assert!(equal(it.weighed.superfat_percent, weighed.superfat_percent, 1.0));
        prop_assert_eq!(it.certainty, superfat_uncertainty(&recipe, &batch, &weighed));
    }

    /// More of any one fat brings the superfat back to the recipe's: not below, and not above by more than a gram of it does.
    #[test]
    fn more_of_any_fat_restores_the_superfat(plan in plans(), factor in 1.1_f64..1.6) {
        let Some((recipe, batch, weighed)) = computed(&plan) else { return Ok(()) };
        let mut found = more_lye(&weighed, factor);
        let it = as_weighed(&recipe, &batch, &weighed, &found, ANY);
        let Remedy::MoreFat(more) = &it.remedy else { panic!("{it:?}") };
        prop_assert!(it.verdict != Verdict::Safe || it.certainty.worst_percent >= 0.0);
        for (idx, reading) in more.iter().enumerate() {
            let mass = Mass::grams((weighed.fats[idx] + reading) as f64);
            found.push((WeighedPart::Fat(idx), mass));
            let now = as_weighed(&recipe, &batch, &weighed, &found, ANY).weighed.superfat_percent;
            found.pop();
            prop_assert!(now >= recipe.superfat_percent - 1e-9, "{now} of {}", recipe.superfat_percent);
            let less = Mass::grams((weighed.fats[idx] + reading - 1) as f64);
            found.push((WeighedPart::Fat(idx), less));
            let before = as_weighed(&recipe, &batch, &weighed, &found, ANY).weighed.superfat_percent;
            found.pop();
            prop_assert!(before < recipe.superfat_percent + 1e-9, "a gram less would do: {before}");
        }
    }

    /// More lye solution brings it down to the recipe's and never below.
    #[test]
    fn more_lye_never_goes_below_the_superfat(plan in plans(), factor in 0.4_f64..0.9) {
        let Some((recipe, batch, weighed)) = computed(&plan) else { return Ok(()) };
        let found = more_lye(&weighed, factor);
        let it = as_weighed(&recipe, &batch, &weighed, &found, ANY);
        prop_assert!(it.certainty.superfat_percent > weighed.superfat_percent);
        let Remedy::MoreLye(more, _) = &it.remedy else { return Ok(()) };
        let parts = more.iter().enumerate().map(|(idx, reading)| {
            (WeighedPart::Alkali(idx), Mass::grams((it.weighed.alkalis[idx] + reading) as f64))
        });
        let now = as_weighed(&recipe, &batch, &weighed, &parts.collect::<Vec<_>>(), ANY).weighed.superfat_percent;
        prop_assert!(now >= recipe.superfat_percent - 1e-9, "{now} of {}", recipe.superfat_percent);
        prop_assert!(now < it.certainty.superfat_percent);
    }
}
