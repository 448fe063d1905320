//! Lye solution made beforehand: it brings what the recipe has, and never more lye.

use kettlebook::batch::{Batch, Jug, Scale, ScaleUnit, Weighed, compute, superfat_uncertainty};
use kettlebook::finding::Severity;
use kettlebook::recipe::{Defaults, RawRecipe, Recipe, validate};
use kettlebook::source::SourceFile;
use kettlebook::units::Percent;
use proptest::prelude::*;

use super::plan::{Plan, cases, plans, tables};

/// What the library takes for a hair of binary dust, in divisions of the scale (`units/scale.rs`).
const HAIR: f64 = 1e-6;

/// The recipe of a plan, with a stock of so many hundredths of a percent or without; `None` for one with two alkalis, which has none.
fn recipe(plan: &Plan, stock: Option<u32>) -> Option<Recipe> {
    let stock = stock.map(|it| format!("stock = {{ lye-concentration = {}.{:02} }}\n", it / 100, it % 100));
    let text = format!("{}{}", stock.unwrap_or_default(), plan.text());
    let (raw, findings) = RawRecipe::read("plan", &SourceFile::new("recipes/plan.toml", text));
    assert!(findings.iter().all(|it| it.severity != Severity::Error), "{findings:#?}");
    validate(&raw, tables(), &Defaults::default()).0
}

fn scales() -> impl Iterator<Item = Scale> {
    let grams = [0.1, 0.5, 1.0, 2.0, 5.0].map(|it| Scale::new(ScaleUnit::Grams, it));
    grams.into_iter().chain([0.005, 0.05, 0.25].map(|it| Scale::new(ScaleUnit::Ounces, it)))
}

/// A batch with a stock that leaves room for further water, and the same batch without.
fn computed(plan: &Plan, strength: u32) -> Option<(Recipe, Batch, Batch)> {
    let (with, without) = (recipe(plan, Some(strength))?, recipe(plan, None)?);
    let (with_stock, plain) = (compute(&with, tables()), compute(&without, tables()));
    let stock = with_stock.stock.expect("a recipe with a stock has one");
    (!stock.brings_too_much_water(plain.plain_water)).then_some((with, with_stock, plain))
}

proptest! {
    #![proptest_config(cases(500))]

    /// Stock and further water are the recipe's lye and water, exactly and to the last step of every scale; so everything that
    /// follows from them, the layers too, is as without a stock.
    #[test]
    fn a_stock_brings_what_the_recipe_has(plan in plans(), strength in 100_u32..9_900) {
        let Some((_, batch, plain)) = computed(&plan, strength) else { return Ok(()) };
        let stock = batch.stock.expect("it has one");
        let whole = (plain.total_alkali + plain.plain_water).to_grams();
        prop_assert!(((stock.mass + stock.further_water).to_grams() - whole).abs() <= 1e-9 * whole.max(stock.mass.to_grams()));
        let lye = stock.mass.to_grams() * stock.strength.to_fraction();
        prop_assert!((lye - plain.total_alkali.to_grams()).abs() <= 1e-9 * lye);
        for scale in scales() {
            let (with, without) = (Weighed::read(&batch, scale), Weighed::read(&plain, scale));
            let read = with.stock.expect("it has one");
            prop_assert_eq!(read.stock + read.further_water, without.alkalis[0] + without.water);
            prop_assert_eq!(with.solution(), without.solution());
            prop_assert_eq!(&with.layers, &without.layers);
            prop_assert_eq!(with.solution_left(), without.solution_left());
        }
    }

    /// The stock that is weighed never brings more lye than the card gives, which is rounded down from the exact lye; and not a
    /// step of stock less than it could. So its superfat is never below that of the card without a stock.
    #[test]
    fn a_stock_never_brings_more_lye(plan in plans(), strength in 100_u32..9_900) {
        let Some((recipe, batch, plain)) = computed(&plan, strength) else { return Ok(()) };
        for scale in scales() {
            let (with, without) = (Weighed::read(&batch, scale), Weighed::read(&plain, scale));
            let read = with.stock.expect("it has one");
            let step = scale.mass(scale.one_division()).to_grams();
            let (lye, printed) = (read.lye(scale).to_grams(), scale.mass(without.alkalis[0]).to_grams());
            prop_assert!(lye <= printed + HAIR * step, "{lye} of {printed} on {scale:?}");
            prop_assert!(lye <= plain.total_alkali.to_grams() + 2.0 * HAIR * step);
            let has_room = read.further_water > 0;
            prop_assert!(!has_room || lye + step * read.strength > printed - HAIR * step, "a step more would do");
            prop_assert!(with.superfat_percent >= without.superfat_percent - 1e-6);
            let sure = superfat_uncertainty(&recipe, &batch, &with);
            prop_assert!(sure.worst_percent <= sure.superfat_percent + 1e-9);
            // Where acid that cannot be weighed so finely takes more than all of the lye, more fat is less of a superfat.
            prop_assert!(sure.superfat_percent <= sure.best_percent + 1e-9 || sure.superfat_percent > 100.0);
        }
    }

    /// A jug is enough for the batches and their spare, and no stronger than its label.
    #[test]
    fn a_jug_is_enough_and_no_stronger(plan in plans(), strength in 100_u32..9_900, batches in 1_u32..40, spare in 0_u32..100) {
        let Some((_, batch, _)) = computed(&plan, strength) else { return Ok(()) };
        for scale in scales() {
            let weighed = Weighed::read(&batch, scale);
            let stock = weighed.stock.expect("it has one").stock;
            let jug = Jug::of(&weighed, batches, Percent::percent(f64::from(spare))).expect("it has one");
            prop_assert_eq!(jug.needed, stock * u64::from(batches));
            let (lye, whole) = (scale.mass(jug.lye).to_grams(), scale.mass(jug.whole()).to_grams());
            let step = scale.mass(scale.one_division()).to_grams();
            let wanted = scale.mass(jug.needed).to_grams() * (1.0 + f64::from(spare) / 100.0);
            let share = f64::from(strength) / 10_000.0;
            prop_assert!(whole >= wanted - 2.0 * HAIR * step / share, "{whole} of {wanted} on {scale:?}");
            prop_assert!(lye <= whole * share + 2.0 * HAIR * step, "{lye} in {whole} on {scale:?}");
            prop_assert!(whole <= wanted + step * (1.0 / share + 1.0) + HAIR * step, "more than rounding asks for");
        }
    }
}
