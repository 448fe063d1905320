//! Plants steeped in a fat and strained off: worked by hand, and laws.

use kettlebook::batch::infusion_of;
use kettlebook::course::{Course, CourseFiles};
use kettlebook::ledger::{Key, Kind, Ledger};
use kettlebook::source::SourceFile;
use kettlebook::tables::Tables;
use kettlebook::units::{Mass, ScaleUnit};
use proptest::prelude::*;

fn course(fats_grams: f64, oil_per_plant: f64, step: &str) -> Course {
    let recipe = format!(
        "title = \"Test\"\nbatch = \"{fats_grams} g\"\nsuperfat = 6\nalkali = \"NaOH\"\npurity = {{ NaOH = 99 }}\n\
         water = {{ lye-concentration = 33 }}\n[fats]\nolive = 50\nlard = 50\n\
         [[infusions]]\nfat = \"olive\"\nplant = \"dried petals\"\noil-per-plant = {oil_per_plant}\n"
    );
    let files = CourseFiles {
        book_toml: SourceFile::new(
            "book.toml",
            format!("[preprocessor.kettle]\nunits = \"grams\"\nscale = {{ grams = {step} }}\n"),
        ),
        recipes: vec![SourceFile::new("recipes/test.toml", recipe)],
        tables: Vec::new(),
        templates: Vec::new(),
    };
    Course::new(&files).0
}

fn printed(ledger: &Ledger, kind: Kind) -> Mass {
    let figure = ledger.figure(&Key::each(kind, "olive")).expect("there is one");
    ledger.grams.scale.mass(figure.amount.reading(ScaleUnit::Grams).expect("it is weighed"))
}

fn exact(ledger: &Ledger, kind: Kind) -> f64 {
    ledger.figure(&Key::each(kind, "olive")).and_then(|it| it.amount.mass()).expect("a mass").to_grams()
}

/// By hand, with what is common practice in the table, 1 to 1.5 times its mass kept and 5 % to spare: 400 g are needed, 420 g
/// with the spare. Of eight parts of oil one and a half stay, so 420 / (6.5 / 8) = 516.92 g of oil and 64.62 g of petals. They
/// keep 64.62 to 96.92 g, and 420 to 452.31 g are strained off. On a scale of 1 g: oil up, 517 g; petals down, 64 g.
#[test]
fn an_infusion_worked_by_hand() {
    let course = course(800.0, 8.0, "1");
    let ledger = course.recipes()["test"].as_ref().expect("it is right");
    for (kind, grams) in [
        (Kind::InfusionOil, 516.923),
        (Kind::InfusionPlant, 64.615),
        (Kind::StrainedFrom, 420.0),
        (Kind::StrainedTo, 452.308),
    ] {
        assert!((exact(ledger, kind) - grams).abs() < 0.001, "{kind:?}: {}", exact(ledger, kind));
    }
    assert_eq!(printed(ledger, Kind::InfusionOil).to_grams(), 517.0);
    assert_eq!(printed(ledger, Kind::InfusionPlant).to_grams(), 64.0);
}

/// Nothing of the lye knows of the plant: the card is that of the same recipe without it.
#[test]
fn neither_fats_nor_lye_change() {
    let course = course(800.0, 8.0, "1");
    let with = course.recipes()["test"].as_ref().expect("it is right");
    let mut recipe = with.recipe.clone();
    recipe.infusions.clear();
    let without = Ledger::of(recipe, &Tables::embedded(), with.scales, None);
    assert_eq!((&with.grams.alkalis, &with.grams.fats), (&without.grams.alkalis, &without.grams.fats));
    assert_eq!((with.grams.water, with.grams.superfat_percent), (without.grams.water, without.grams.superfat_percent));
    assert_eq!(with.batch.poured(), without.batch.poured());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// What is printed is enough: whatever the batch, the parts and the scale, what comes of the printed oil and the printed plant
    /// is what the recipe prints of the fat, even where the plant keeps most.
    #[test]
    fn what_is_printed_is_enough(fats in 50.0..5000.0_f64, parts in 3.0..50.0_f64, step in 0_usize..3) {
        let step = ["0.1", "1", "5"][step];
        let course = course(fats, parts, step);
        if let Some(ledger) = &course.recipes()["test"] {
            let (oil, plant) = (printed(ledger, Kind::InfusionOil), printed(ledger, Kind::InfusionPlant));
            let most_kept = Tables::embedded().limits.oil_kept_by_plant.1;
            let strained = oil.to_grams() - most_kept * plant.to_grams();
            // The fat itself is read to the nearest, and so may read half a division more than is needed.
            let division: f64 = step.parse().expect("a number");
            prop_assert!(strained + 0.5 * division >= printed(ledger, Kind::Fat).to_grams(), "{strained}");
        }
    }

    /// More oil to one part of plant is never more oil to start with, and a plant that keeps more never less.
    #[test]
    fn oil_to_start_with_follows_the_parts_and_what_is_kept(
        needed in 1.0..5000.0_f64, parts in 3.0..50.0_f64, more in 1.0..3.0_f64, kept in 0.0..1.5_f64,
    ) {
        let start = |parts: f64, kept: f64| infusion_of(Mass::grams(needed), parts, (0.0, kept), 5.0)[0].to_grams();
        prop_assert!(start(parts * more, kept) <= start(parts, kept) * (1.0 + 1e-12));
        prop_assert!(start(parts, kept) <= start(parts, 1.5) * (1.0 + 1e-12));
        prop_assert!(start(parts, kept) >= needed * 1.05 * (1.0 - 1e-12));
    }
}
