//! The laws of recipes that are based on others, and of swapping fats under the same lye.

use kettlebook::batch::{Batch, Scale, compute_for, swap_fats};
use kettlebook::course::{Course, CourseFiles};
use kettlebook::finding::Finding;
use kettlebook::source::SourceFile;
use kettlebook::units::Mass;
use proptest::prelude::*;

use super::plan::{Plan, Size, cases, plans, recipe, tables};

const BOOK: &str = "[preprocessor.kettle]\nscale = { grams = 0.1, ounces = 0.005 }\n";

/// The moulds that plans use (`plan.rs`).
const MOULDS: &str = "[planned-1]\ninside-length = \"200 mm\"\ninside-width = \"100 mm\"\nfill-height = \"50 mm\"\n\
                      cavities = 1\nsource = \"measured\"\n";

/// A course of these recipes, as `(id, text)`.
fn course(recipes: &[(&str, String)]) -> (Course, Vec<Finding>) {
    let file = |(id, text): &(&str, String)| SourceFile::new(format!("recipes/{id}.toml"), text.as_str());
    Course::new(&CourseFiles {
        book_toml: SourceFile::new("book.toml", BOOK),
        recipes: recipes.iter().map(file).collect(),
        tables: vec![SourceFile::new("tables/moulds.toml", MOULDS)],
        templates: Vec::new(),
    })
}

fn batch(course: &Course, id: &str) -> Option<Batch> {
    course.recipes()[id].as_ref().map(|it| it.batch.clone())
}

/// What is told of a recipe, wherever in its file.
fn told<'a>(findings: &'a [Finding], id: &str) -> Vec<(&'static str, &'a str)> {
    let path = format!("recipes/{id}.toml");
    let mut told: Vec<_> =
        findings.iter().filter(|it| it.place.file.path() == path).map(|it| (it.code, it.message.as_str())).collect();
    told.sort_unstable();
    told
}

/// The plan's text with everything stated that a base could state.
fn everything(plan: &Plan) -> String {
    let text = plan.text();
    let mut empty = String::new();
    for (key, none) in
        [("[[additives]]", "additives = []\n"), ("[[layers]]", "layers = []\n"), ("[fats-after]", "fats-after = {}\n")]
    {
        if !text.contains(key) {
            empty.push_str(none);
        }
    }
    empty + &text
}

/// One of the plans by a mould, the other by a batch or masses, or both alike.
fn sized(plan: Plan, kind: u32) -> Plan {
    match kind % 3 {
        0 => Plan { size: Size::Mould, ..plan.without_fixed_additives() },
        1 => Plan { as_masses: true, ..plan },
        _ => plan,
    }
}

proptest! {
    #![proptest_config(cases(150))]

    /// Every key of the variant takes the place of the base's key, so of a base of which nothing is left nothing shows:
    /// neither in the amounts nor in what is told.
    #[test]
    fn a_variant_that_states_everything_is_the_recipe_on_its_own(base in plans(), own in plans(), kinds in 0_u32..9) {
        let (base, own) = (sized(base, kinds), sized(own, kinds / 3));
        // A base with an error gives no variant at all; only what the variant may be is asked here.
        let base = base.text().replace("title = \"Planned\"", "title = \"Base\"");
        let text = everything(&own);
        let (course, findings) = course(&[
            ("base", base),
            ("own", text.clone()),
            ("variant", format!("based-on = \"base\"\n{}", text.replace("\"Planned\"", "\"Variant\""))),
        ]);
        if batch(&course, "base").is_none() {
            prop_assert!(batch(&course, "variant").is_none());
            return Ok(());
        }
        prop_assert_eq!(batch(&course, "variant"), batch(&course, "own"));
        prop_assert_eq!(told(&findings, "variant"), told(&findings, "own"));
    }

    /// Nothing stated is nothing changed, and nothing told but that.
    #[test]
    fn a_variant_that_states_a_title_alone_is_its_base(base in plans(), kind in 0_u32..3) {
        let base = sized(base, kind).text();
        let (course, findings) =
            course(&[("base", base), ("variant", "based-on = \"base\"\ntitle = \"Variant\"\n".into())]);
        prop_assert_eq!(batch(&course, "variant"), batch(&course, "base"));
        let told: Vec<&str> = told(&findings, "variant").into_iter().map(|it| it.0).collect();
        prop_assert_eq!(told, ["variant-changes-nothing"]);
    }

    /// A long line of variants, each of which changes one thing: the last is the recipe that states them all.
    #[test]
    fn what_a_base_changes_its_variants_have(base in plans(), superfat in 5_u32..20, grams in 100_u32..5000) {
        let base = base.without_fixed_additives();
        let (course, _) = course(&[
            ("a-last", "based-on = \"c-middle\"\ntitle = \"Last\"\nwater = { per-lye = 2 }\n".into()),
            ("b-base", base.text()),
            ("c-middle", format!("based-on = \"d-first\"\ntitle = \"Middle\"\nbatch = \"{grams} g\"\n")),
            ("d-first", format!("based-on = \"b-base\"\ntitle = \"First\"\nsuperfat = {superfat}\n")),
            ("e-own", Plan {
                superfat: superfat * 1000,
                size: Size::Batch(u64::from(grams) * 1000),
                water: super::plan::Water::PerLye("2".into()),
                ..base
            }.text()),
        ]);
        if ["b-base", "c-middle", "d-first"].iter().all(|it| batch(&course, it).is_some()) {
            prop_assert_eq!(batch(&course, "a-last"), batch(&course, "e-own"));
        }
    }
}

/// Alkali as pure KOH that acids leave to the fats, and the KOH that the fats take, by their definitions.
fn present_and_wanted(base: &Batch, variant: &Batch) -> (f64, f64) {
    let present: f64 = base.alkalis.iter().map(|it| it.pure.to_grams() / it.grams_per_gram_koh).sum();
    let acids: f64 = base.acids.iter().map(|it| it.koh.to_grams()).sum();
    let wanted: f64 = variant.fats.iter().map(|it| it.mass.to_grams() * it.sap_value.to_mg_koh_per_g() / 1000.0).sum();
    (present - acids, wanted)
}

proptest! {
    #![proptest_config(cases(300))]

    /// With its own fats the lye gives the superfat that it was made for, whatever the mass of fats.
    #[test]
    fn the_same_fats_under_the_same_lye_have_the_superfat_of_the_recipe(plan in plans(), grams in 1.0..1e6_f64) {
        let plan = recipe(&plan.without_fixed_additives().text());
        let swap = swap_fats(&plan, &plan, Mass::grams(grams), &[Scale::GRAMS], tables());
        prop_assert!((swap.superfat_percent - plan.superfat_percent).abs() < 1e-9, "{swap:?}");
        prop_assert!(swap.worst_percent <= swap.superfat_percent);
    }

    /// Below zero exactly when there is more alkali than the variant's fats can take.
    #[test]
    fn a_swap_is_below_zero_exactly_when_the_lye_is_more_than_the_fats_take(
        base in plans(),
        variant in plans(),
        superfat in 0_u32..12_000,
        grams in 1.0..1e5_f64,
    ) {
        let base = recipe(&Plan { superfat, ..base }.text());
        let variant = recipe(&variant.text());
        let fats = Mass::grams(grams);
        let swap = swap_fats(&base, &variant, fats, &[Scale::GRAMS, Scale::OUNCES], tables());
        let (present, wanted) = present_and_wanted(
            &compute_for(&base, tables(), fats),
            &compute_for(&variant, tables(), fats),
        );
        let (_, wanted_by_base) = present_and_wanted(&compute_for(&base, tables(), fats), &compute_for(&base, tables(), fats));
        for (is, should) in
            [(swap.koh_left, present), (swap.koh_for_variant, wanted), (swap.koh_for_base, wanted_by_base)]
        {
            prop_assert!((is.to_grams() - should).abs() <= 1e-9 * should.max(wanted), "{is:?} for {should}");
        }
        let nearly = (present - wanted).abs() < 1e-9 * wanted;
        prop_assert!(nearly || (swap.superfat_percent < 0.0) == (present > wanted), "{swap:?}");
        prop_assert!((swap.superfat_percent - (1.0 - present / wanted) * 100.0).abs() < 1e-6, "{swap:?}");
        prop_assert!(swap.worst_percent <= swap.superfat_percent && swap.worst_percent.is_finite());
    }

    /// More superfat in the base leaves more of a cushion after the swap, never less.
    #[test]
    fn a_larger_cushion_in_the_base_is_a_larger_one_after_the_swap(base in plans(), variant in plans(), more in 1_u32..5_000) {
        let fatter = Plan { superfat: base.superfat + more, ..base.clone() };
        prop_assume!(fatter.superfat <= 99_000);
        let variant = recipe(&variant.text());
        let swap = |plan: &Plan| swap_fats(&recipe(&plan.text()), &variant, Mass::grams(1000.0), &[], tables());
        prop_assert!(swap(&fatter).superfat_percent > swap(&base).superfat_percent);
    }
}
