//! Worked by hand.

use kettlebook::batch::{Scale, ScaleUnit, swap_fats};
use kettlebook::recipe::{Defaults, RawRecipe, Recipe, validate};
use kettlebook::source::SourceFile;
use kettlebook::tables::Tables;
use kettlebook::units::Mass;

use crate::assert_near;

/// By hand: 1000 g of lard (SV 197.5) at 5 % superfat get the work of 197.5 * 0.95 = 187.625 g of KOH. With the swap, 700 g
/// of lard and 300 g of shea (SV 177.5) take 138.25 + 53.25 = 191.5 g: 1 - 187.625 / 191.5 = 2.0235 %. Shea alone takes
/// 177.5 g: 1 - 187.625 / 177.5 = -5.7042 %. The citric acid of the base takes up what was added for it and changes nothing.
///
/// The worst case of shea alone, on an endless fine scale: all of it at SV 160, and the alkali as pure as it can be, 100 %
/// for the 99 % that was reckoned with: 1 - 187.625 / 0.99 / 160 = -18.450 %. With the acid's 8.7609 g of KOH, which purer
/// alkali exceeds too: 1 - (196.3859 / 0.99 - 8.7609) / 160 = -18.505 %.
#[test]
fn fats_swapped_under_the_same_lye_by_hand() {
    let recipe = |rest: &str| {
        let text = format!(
            "title = \"t\"\nbatch = \"1 kg\"\nsuperfat = 5\nalkali = \"NaOH\"\npurity = {{ NaOH = 99 }}\n\
             water = {{ per-lye = 2 }}\n{rest}"
        );
        let (raw, findings) = RawRecipe::read("worked", &SourceFile::new("worked.toml", text));
        assert!(findings.is_empty(), "{findings:#?}");
        validate(&raw, &Tables::embedded(), &Defaults::default()).0.expect("a recipe that can be computed")
    };
    let lard = recipe("[fats]\nlard = 100\n");
    let with_acid = recipe("[fats]\nlard = 100\n[[additives]]\nitem = \"citric-acid\"\nrate = \"1 %\"\n");
    let scale = Scale { unit: ScaleUnit::Grams, division: 1e-6 };
    let swap =
        |base: &Recipe, variant: &Recipe| swap_fats(base, variant, Mass::grams(1000.0), &[scale], &Tables::embedded());
    let (half, shea) = (recipe("[fats]\nlard = 70\nshea = 30\n"), recipe("[fats]\nshea = 100\n"));
    assert_near("with some shea", swap(&lard, &half).superfat_percent, 2.0235, 0.00005);
    assert_near("with shea alone", swap(&lard, &shea).superfat_percent, -5.7042, 0.00005);
    assert_near("at its worst", swap(&lard, &shea).worst_percent, -18.450, 0.0005);
    assert_near("with an acid in the base", swap(&with_acid, &shea).superfat_percent, -5.7042, 0.00005);
    assert_near("with an acid, at its worst", swap(&with_acid, &shea).worst_percent, -18.505, 0.0005);
}
