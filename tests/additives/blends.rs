//! Blends of scents, and components that several scents bring: worked by hand, and laws. The figures of the oils are made up.

use kettlebook::course::{Course, CourseFiles};
use kettlebook::ledger::{Key, Kind, Ledger};
use kettlebook::source::SourceFile;
use kettlebook::units::{Mass, ScaleUnit};
use proptest::prelude::*;

const TABLE: &str = "\
[lavender-oil]
supplier-limit-percent = { value = 5, source = \"made up\" }
vanillin-percent = { value = 0, source = \"made up\" }
components = { geraniol = 1.2, linalool = 35, source = \"made up\" }
[peppermint-oil]
components = { linalool = 0.5, source = \"made up\" }
[vanilla]
name = \"vanilla\"
kind = \"fragrance\"
vanillin-percent = { value = 12, source = \"made up\" }
components = { source = \"made up\" }
[quay]
name = \"quay blend\"
kind = \"blend\"
parts = { lavender-oil = 3, peppermint-oil = 1 }
[dusk]
name = \"dusk blend\"
kind = \"blend\"
parts = { vanilla = 2, lavender-oil = 1 }
";

/// A course with one recipe of so many grams of fats, in grams to the given step, and the codes of what was found in it.
fn course(fats_grams: f64, lines: &str, step: &str, limit: f64) -> (Course, Vec<&'static str>) {
    let recipe = format!(
        "title = \"Test\"\nbatch = \"{fats_grams} g\"\nsuperfat = 6\nalkali = \"NaOH\"\npurity = {{ NaOH = 99 }}\n\
         water = {{ lye-concentration = 33 }}\n[fats]\nlard = 100\n{lines}"
    );
    let components = format!("[geraniol]\nlimit-percent = {{ value = {limit}, source = \"made up\" }}\n[linalool]\n");
    let files = CourseFiles {
        book_toml: SourceFile::new(
            "book.toml",
            format!("[preprocessor.kettle]\nunits = \"grams\"\nscale = {{ grams = {step} }}\n"),
        ),
        recipes: vec![SourceFile::new("recipes/test.toml", recipe)],
        tables: vec![
            SourceFile::new("tables/additives.toml", TABLE),
            SourceFile::new("tables/components.toml", components),
        ],
        templates: Vec::new(),
    };
    let (course, findings) = Course::new(&files);
    (course, findings.iter().map(|it| it.code).collect())
}

#[track_caller]
fn ledger(course: &Course) -> &Ledger {
    course.recipes()["test"].as_ref().expect("the recipe has no error")
}

fn of(ledger: &Ledger, kind: Kind, id: &str) -> f64 {
    let figure = ledger.figure(&Key::each(kind, id)).unwrap_or_else(|| panic!("{kind:?} of {id}"));
    figure.amount.percent(ScaleUnit::Grams).expect("a percentage")
}

fn reading(ledger: &Ledger, id: &str) -> u64 {
    let figure = ledger.figure(&Key::each(Kind::Additive, id)).expect("it is an additive");
    figure.amount.reading(ScaleUnit::Grams).expect("it is weighed")
}

/// By hand. 2 % of 700 g are 14 g; three of four parts are 10.5 g, one is 3.5 g. On a scale of 1 g the fourteen are shared
/// out as 11 and 3, since of equal remainders the first oil gets the gram; each rounded by itself they would be 11 and 4. On
/// a scale of 0.1 g nothing is left over.
#[test]
fn the_oils_of_a_blend_add_up_to_it() {
    let lines = "[[additives]]\nitem = \"quay\"\nrate = \"2 %\"\n";
    for (step, expected) in [("1", [11, 3, 14]), ("0.1", [105, 35, 140])] {
        let (course, _) = course(700.0, lines, step, 1.0);
        let ids = ["lavender-oil", "peppermint-oil", "quay"];
        assert_eq!(ids.map(|it| reading(ledger(&course), it)), expected, "steps of {step}");
    }
    let (course, _) = course(700.0, lines, "1", 1.0);
    for (id, percent) in [("quay", 2.0), ("lavender-oil", 1.5), ("peppermint-oil", 0.5)] {
        assert!((of(ledger(&course), Kind::Rate, id) - percent).abs() < 1e-12, "{id}");
    }
}

/// By hand: two parts of three with 12 % of vanillin and one with none are 8 %. An oil of which nobody knows leaves the
/// blend unknown.
#[test]
fn vanillin_of_a_blend_is_the_weighted_sum() {
    let (course, _) = course(1000.0, "[[additives]]\nitem = \"dusk\"\nrate = \"1 %\"\n", "0.1", 1.0);
    assert!((of(ledger(&course), Kind::Vanillin, "dusk") - 8.0).abs() < 1e-12);
    let browns: Vec<bool> = ledger(&course).recipe.extras.iter().map(|it| it.browns()).collect();
    assert_eq!(browns, [true, false]);
    let (course, _) = self::course(1000.0, "[[additives]]\nitem = \"quay\"\nrate = \"1 %\"\n", "0.1", 1.0);
    assert!(ledger(&course).figure(&Key::each(Kind::Vanillin, "quay")).is_none());
}

/// By hand, of the fats of the upper layer: 0.75 * 2 % of lavender with the batch and, of the dusk blend in that layer alone,
/// a third of 3 %, together 2.5 %; of geraniol 1.2 % of that, 0.03 %; of linalool 35 % of it and 0.5 % of 0.5 % of
/// peppermint, 0.8775 %. Of the cured bar that is so much less as the bar is heavier than its fats.
#[test]
fn components_are_added_up_over_blends_and_in_the_layer_that_has_most() {
    let lines = "[[additives]]\nitem = \"quay\"\nrate = \"2 %\"\n[[layers]]\nname = \"a\"\nshare = 1\n\
                 [[layers]]\nname = \"b\"\nshare = 1\nadditives = [{ item = \"dusk\", rate = \"3 %\" }]\n";
    // Fats and scales so that everything reads exactly.
    let (course, _) = course(1200.0, lines, "0.1", 1.0);
    let ledger = ledger(&course);
    // That layer alone: 600 g of fats, half of the lye, 12 g of the one blend and 18 g of the other, dried to 12 % of water.
    let lye = ledger.batch.total_alkali.to_grams();
    let cured_per_fats = (600.0 + lye / 2.0 + 12.0 + 18.0) / 0.88 / 600.0;
    for (id, of_fats_percent) in [("geraniol", 0.03), ("linalool", 0.8775)] {
        let expected = of_fats_percent / cured_per_fats;
        let percent = of(ledger, Kind::Component, id);
        assert!((percent - expected).abs() < 1e-9, "{id}: {percent}, by hand {expected}");
    }
    let layer = ledger.components()[0].clone();
    assert_eq!((layer.step, layer.names.len()), (kettlebook::finding::Step::Layer(1), 1));
}

/// Each oil is held against its own supplier's limit by its own share.
#[test]
fn an_oil_of_a_blend_is_judged_by_its_own_share() {
    let of_blend =
        |rate: &str| course(1000.0, &format!("[[additives]]\nitem = \"quay\"\nrate = \"{rate}\"\n"), "0.1", 9.0).1;
    // 8 % are 6 % of lavender; of bars that weigh some 1.35 times their fats that is 4.4 %, below its limit of 5 %. 12 % are 9 %,
    // some 6.5 % of them. Either is more than is usual of each oil, and of the blend.
    assert!(!of_blend("8 %").contains(&"over-limit"), "{:?}", of_blend("8 %"));
    assert!(of_blend("12 %").contains(&"over-limit"));
    // 2.8 % are 2.1 % of lavender and 0.7 % of peppermint, usual alone and together.
    assert!(!of_blend("2.8 %").contains(&"rate-above-usual"));
    // 3.6 % are 2.7 % and 0.9 %: usual each, but more scent than is usual of either.
    assert_eq!(of_blend("3.6 %").iter().filter(|it| **it == "rate-above-usual").count(), 1);
}

proptest! {
    // Each case reads all tables.
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// Whatever the parts, the rate, the batch and the scale: the printed oils add up to the printed blend, which is what the
    /// scale would show of it, and none is off by a division or more.
    #[test]
    fn printed_oils_add_up_to_the_printed_blend(fats in 50.0..5000.0_f64, rate in 0.5..6.0_f64, step in 0_usize..3) {
        let step = ["0.1", "1", "5"][step];
        let lines = format!("[[additives]]\nitem = \"quay\"\nrate = \"{rate} %\"\n");
        let (course, _) = course(fats, &lines, step, 100.0);
        if let Some(ledger) = &course.recipes()["test"] {
            let blend = reading(ledger, "quay");
            prop_assert_eq!(blend, reading(ledger, "lavender-oil") + reading(ledger, "peppermint-oil"));
            let scale = ledger.grams.scale;
            let exact = Mass::grams(fats * rate / 100.0);
            prop_assert_eq!(blend, scale.nearest_small(exact));
            for (id, part) in [("lavender-oil", 0.75), ("peppermint-oil", 0.25)] {
                let off = scale.mass(reading(ledger, id)).to_grams() - exact.to_grams() * part;
                prop_assert!(off.abs() < 1.5 * step.parse::<f64>().expect("a number"), "{} {}", id, off);
            }
        }
    }

    /// A recipe within a limit is within every higher one, and one over it is over every lower one; more of a scent is never
    /// less of a component.
    #[test]
    fn a_limit_that_holds_holds_when_it_is_raised(rate in 0.5..6.0_f64, limit in 0.001..0.1_f64, more in 1.0..4.0_f64) {
        let lines = |rate: f64| format!("[[additives]]\nitem = \"quay\"\nrate = \"{rate} %\"\n");
        let is_over = |rate: f64, limit: f64| {
            course(800.0, &lines(rate), "0.1", limit).1.contains(&"component-over-limit")
        };
        prop_assert!(is_over(rate, limit) || !is_over(rate, limit * more));
        prop_assert!(!is_over(rate, limit) || is_over(rate * more, limit) || rate * more > 100.0);
    }
}
