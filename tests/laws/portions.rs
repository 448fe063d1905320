//! Laws of a batter that is divided into portions and swirled.

use kettlebook::batch::{Batch, Scale, Weighed, compute};
use kettlebook::recipe::{Defaults, Divide, RawRecipe, Recipe, RecipeFile, Swirl, validate, with_base};
use kettlebook::source::SourceFile;
use kettlebook::units::ScaleUnit;
use proptest::prelude::*;

use super::plan::tables;

/// A portion: its parts, the rate of its colour in hundredths of a percent, and how many times its mass of oil it is in.
type Portion = (u32, u32, u32);

fn recipe(grams: u32, portions: &[Portion], swirl: &str) -> Recipe {
    let mut text = format!(
        "title = \"Swirled\"\nbatch = \"{grams} g\"\nsuperfat = 5\nalkali = \"NaOH\"\npurity = {{ NaOH = 98 }}\n\
         water = {{ lye-concentration = 30 }}\nswirl = \"{swirl}\"\n[fats]\nolive = 70\ncoconut = 30\n"
    );
    for (idx, (parts, rate, times)) in portions.iter().enumerate() {
        let rate = f64::from(*rate) / 100.0;
        text.push_str(&format!("[[portions]]\nname = \"p{idx}\"\nshare = {parts}\n"));
        let dispersed = format!("in = {{ item = \"sunflower\", times = {times} }}");
        text.push_str(&format!("additives = [{{ item = \"ultramarine\", rate = \"{rate} %\", {dispersed} }}]\n"));
    }
    let (raw, findings) = RawRecipe::read("swirled", &SourceFile::new("recipes/swirled.toml", text));
    assert!(findings.is_empty(), "{findings:#?}");
    validate(&raw, tables(), &Defaults::default()).0.expect("the recipe is right")
}

fn computed(grams: u32, portions: &[Portion], swirl: &str) -> Batch {
    compute(&recipe(grams, portions, swirl), tables())
}

fn portions() -> impl Strategy<Value = Vec<Portion>> {
    prop::collection::vec((1..50_u32, 1..200_u32, 1..10_u32), 2..7)
}

fn swirl() -> impl Strategy<Value = &'static str> {
    prop::sample::select(vec!["in-the-pot", "drop", "hanger", "feather"])
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    /// Nothing of the batter is lost or invented, to the last step of the scale, and nothing of what is poured.
    #[test]
    fn portions_add_up_to_the_batter(
        grams in 50..5000_u32, portions in portions(), swirl in swirl(), step in prop::sample::select(vec![0.1, 1.0, 5.0])
    ) {
        let batch = computed(grams, &portions, swirl);
        for scale in [Scale::new(ScaleUnit::Grams, step), Scale::OUNCES] {
            let weighed = Weighed::read(&batch, scale);
            let batter: u64 = weighed.layers.iter().filter_map(|it| it.batter).sum();
            let extras: u64 = weighed.layers.iter().flat_map(|it| &it.extras).sum();
            prop_assert_eq!(batter, weighed.total_fats + weighed.solution());
            prop_assert_eq!(batter + extras, weighed.poured());
            prop_assert_eq!(weighed.layers.iter().map(|it| it.poured()).sum::<u64>(), weighed.poured());
            prop_assert_eq!(weighed.solution_left(), 0);
        }
        let exact: f64 = batch.layers.iter().map(|it| it.batter().to_grams()).sum();
        prop_assert!(crate::equal(exact, (batch.total_fats + batch.solution).to_grams(), 0.0));
    }

    /// Oil in which a colour is dispersed makes a portion milder by what it would take up, and leaves the lye as it is: by
    /// grams of KOH, reckoned here from the shares as typed.
    #[test]
    fn dispersing_oil_is_fat_without_lye(grams in 50..5000_u32, portions in portions(), swirl in swirl()) {
        let (batch, tables) = (computed(grams, &portions, swirl), tables());
        let plain: Vec<Portion> = portions.iter().map(|(parts, rate, _)| (*parts, *rate, 1)).collect();
        prop_assert_eq!(batch.total_alkali, computed(grams, &plain, swirl).total_alkali);
        let sap = |id: &str| tables.fats[id].sap_used.to_mg_koh_per_g() / 1000.0;
        let (grams, all): (f64, u32) = (f64::from(grams), portions.iter().map(|(parts, ..)| parts).sum());
        for (idx, (parts, rate, times)) in portions.iter().enumerate() {
            let fats = grams * f64::from(*parts) / f64::from(all);
            let due = fats * (0.7 * sap("olive") + 0.3 * sap("coconut"));
            let oil = fats * f64::from(*rate) / 10_000.0 * f64::from(*times) * sap("sunflower");
            // Free fat, as the KOH that it would take, over all there is of it.
            let by_hand = (0.05 * due + oil) / (due + oil) * 100.0;
            let superfat = batch.layer_superfat_with_percent(idx, batch.superfat_percent);
            prop_assert!((superfat - by_hand).abs() < 1e-9, "{superfat} {by_hand}");
            prop_assert!(superfat > 5.0);
        }
    }
}

/// Of 1000 g of olive oil, in portions of 3 to 1: the smaller has 250 g of fats, and 1 % of colour in thrice its mass of
/// sunflower oil brings 7.5 g.
#[test]
fn a_portion_by_hand() {
    let batch = computed(1000, &[(3, 100, 1), (1, 100, 3)], "drop");
    let oil = &batch.layers[1].extras[1];
    assert!((oil.mass.to_grams() - 7.5).abs() < 1e-9 && oil.fat == oil.mass);
    assert_eq!(&*oil.id, "sunflower-for-ultramarine");
    assert!(batch.superfat_with_liquids_percent() > batch.superfat_percent);
}

/// A recipe is divided in one way: a variant's portions take the place of its base's layers and the other way round.
#[test]
fn portions_and_layers_of_a_base_give_way() {
    let head = "title = \"Base\"\nbatch = \"1 kg\"\nsuperfat = 5\nalkali = \"NaOH\"\npurity = { NaOH = 98 }\n\
                water = { lye-concentration = 33 }\nfats = { olive = 100 }\n";
    let layers = "divide = \"batter\"\n[[layers]]\nname = \"a\"\nshare = 1\n[[layers]]\nname = \"b\"\nshare = 1\n";
    let portions = "swirl = \"hanger\"\n[[portions]]\nname = \"c\"\nshare = 1\n[[portions]]\nname = \"d\"\nshare = 1\n";
    for (base, variant, divide, names) in
        [(layers, portions, Divide::Swirl(Swirl::Hanger), ["c", "d"]), (portions, layers, Divide::Batter, ["a", "b"])]
    {
        let parse = |text: String| RecipeFile::parse("it", &SourceFile::new("recipes/it.toml", text)).root;
        let base = parse(format!("{head}{base}"));
        let whole = with_base(&parse(format!("title = \"Variant\"\nbased-on = \"base\"\n{variant}")), &base);
        let (raw, findings) = RawRecipe::read_tree("it", &whole);
        assert!(findings.is_empty(), "{findings:#?}");
        let (recipe, findings) = validate(&raw, tables(), &Defaults::default());
        let recipe = recipe.unwrap_or_else(|| panic!("{findings:#?}"));
        assert_eq!(recipe.divide, divide);
        assert_eq!(recipe.layers.iter().map(|it| &*it.name).collect::<Vec<_>>(), names);
    }
}
