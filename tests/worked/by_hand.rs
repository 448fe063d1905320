//! Worked by hand.

use kettlebook::batch::{
    Remedy, Scale, ScaleUnit, Verdict, Weighed, WeighedPart, as_weighed, coarsest_scale, superfat_uncertainty,
    swap_fats,
};
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
    let scale = Scale::new(ScaleUnit::Grams, 1e-6);
    let swap =
        |base: &Recipe, variant: &Recipe| swap_fats(base, variant, Mass::grams(1000.0), &[scale], &Tables::embedded());
    let (half, shea) = (recipe("[fats]\nlard = 70\nshea = 30\n"), recipe("[fats]\nshea = 100\n"));
    assert_near("with some shea", swap(&lard, &half).superfat_percent, 2.0235, 0.00005);
    assert_near("with shea alone", swap(&lard, &shea).superfat_percent, -5.7042, 0.00005);
    assert_near("at its worst", swap(&lard, &shea).worst_percent, -18.450, 0.0005);
    assert_near("with an acid in the base", swap(&with_acid, &shea).superfat_percent, -5.7042, 0.00005);
    assert_near("with an acid, at its worst", swap(&with_acid, &shea).worst_percent, -18.505, 0.0005);
}

/// By hand: 100 g of lard as if its saponification value were 190 and known exactly, 5 % superfat, pure NaOH. 19 g of KOH are
/// 13.545 g of NaOH, of which 95 % are 12.868 g: the card says 12 g. On a scale of 2 g the worst case is 1 - 13 / (13.545 *
/// 0.99) = 3.05 %, on one of 5 g, which reads 10 g, 1 - 12.5 / (13.545 * 0.975) = 5.35 %, on one of 10 g 1 - 15 / (13.545 *
/// 0.95), which is below zero.
#[test]
fn the_coarsest_scale_by_hand() {
    let (recipe, tables) = lard_of_190("batch = \"100 g\"");
    let batch = kettlebook::batch::compute(&recipe, &tables);
    let weighed = Weighed::read(&batch, Scale::GRAMS);
    assert_eq!(weighed.alkalis, [12]);
    let worst = |division: f64| {
        let weighed = weighed.on_coarser(Scale::new(ScaleUnit::Grams, division));
        superfat_uncertainty(&recipe, &batch, &weighed).worst_percent
    };
    assert_near("on 2 g", worst(2.0), 3.05, 0.01);
    assert_near("on 5 g", worst(5.0), 5.35, 0.01);
    assert!(worst(10.0) < 0.0);
    assert_eq!(coarsest_scale(&recipe, &batch, &weighed), Some(Scale::new(ScaleUnit::Grams, 5.0)));
}

/// By hand: 1000 g of lard as if its saponification value were 190, 5 % superfat, pure NaOH. The card says 128 g (128.68 g).
/// Weighed were 140 g, the work of 140 * 56.10565 / 39.99712 = 196.383 g of KOH: 1 - 196.383 / 190 = -3.36 %. What takes that
/// and leaves 5 % is 196.383 / 0.95 = 206.719 g of KOH's worth of fat, 16.719 / 0.190 = 87.99 g more: 88 g. Of 100 g of lye,
/// the work of 140.274 g, 190 * 0.95 - 140.274 = 40.226 g are missing, 28.68 g of NaOH: 28 g, in twice as much water.
#[test]
fn what_was_really_weighed_by_hand() {
    let (recipe, tables) = lard_of_190("batch = \"1 kg\"");
    let batch = kettlebook::batch::compute(&recipe, &tables);
    let printed = Weighed::read(&batch, Scale::GRAMS);
    let weighed =
        |grams: f64| as_weighed(&recipe, &batch, &printed, &[(WeighedPart::Alkali(0), Mass::grams(grams))], 25.0);
    let much = weighed(140.0);
    assert_near("too much", much.weighed.superfat_percent, -3.36, 0.005);
    assert_eq!((much.verdict, much.remedy), (Verdict::LyeLeft, Remedy::MoreFat(vec![88])));
    let little = weighed(100.0);
    assert_near("too little", little.weighed.superfat_percent, 26.17, 0.005);
    assert_eq!((little.verdict, little.remedy), (Verdict::Safe, Remedy::MoreLye(vec![28], 56)));
    assert_eq!(weighed(128.0).remedy, Remedy::Nothing);
    // 13 g and 165 g are more than a quarter off; 120.4 g is no step of the scale, and taken as 121 g.
    assert_eq!([13.0, 165.0].map(|it| weighed(it).verdict), [Verdict::NotBelieved; 2]);
    assert_eq!([13.0, 165.0].map(|it| weighed(it).remedy), [Remedy::Nothing, Remedy::Nothing]);
    assert_eq!(weighed(120.4).weighed.alkalis, [121]);
    // Of 112 g, 128.68 - 112 = 16 g are missing. On a scale of 16 g the card's own 128 g may be 136 g for fats that may be 992 g:
    // 1 - 136 / (135.45 * 0.992) = -1.2 %, and nobody is sent for more lye.
    assert!(matches!(&weighed(112.0).remedy, Remedy::MoreLye(more, _) if more == &[16]));
    let coarse = Weighed::read(&batch, Scale::new(ScaleUnit::Grams, 16.0));
    assert_eq!(coarse.alkalis, [8]);
    let little = as_weighed(&recipe, &batch, &coarse, &[(WeighedPart::Alkali(0), Mass::grams(112.0))], 25.0);
    assert_eq!(little.remedy, Remedy::Nothing);
}

/// 5 % superfat in lard as if its saponification value were 190 and, as the purity of the lye, known exactly.
fn lard_of_190(size: &str) -> (Recipe, Tables) {
    let fats = "[lard]\nsaponification-value = { low = 190, high = 190, use = 190, source = \"as if\" }\n";
    let (tables, findings) = Tables::load(&[SourceFile::new("tables/fats.toml", fats)]);
    assert!(findings.iter().all(|it| it.severity != kettlebook::finding::Severity::Error), "{findings:#?}");
    let text = format!(
        "title = \"t\"\n{size}\nsuperfat = 5\nalkali = \"NaOH\"\npurity = {{ NaOH = 100 }}\nwater = {{ per-lye = 2 }}\n\
         [fats]\nlard = 100\n"
    );
    let (raw, _) = RawRecipe::read("t", &SourceFile::new("t.toml", text));
    let mut recipe = validate(&raw, &tables, &Defaults::default()).0.expect("a recipe that can be computed");
    // Without the point that a stated purity may be off.
    recipe.alkalis[0].purity_range = (recipe.alkalis[0].purity, recipe.alkalis[0].purity);
    (recipe, tables)
}
