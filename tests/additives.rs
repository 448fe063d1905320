//! Additives of the batch and of layers, from the text of a recipe to the printed amounts.

mod additives {
    mod blends;
}

use kettlebook::course::{Course, CourseFiles};
use kettlebook::finding::Step;
use kettlebook::ledger::{Key, Kind, Ledger};
use kettlebook::page::{Form, Lesson, Page};
use kettlebook::recipe::{Extra, Rate};
use kettlebook::source::{Extract, SourceFile};
use kettlebook::tables::{GoesInto, Tables};
use kettlebook::units::{MILLILITRES_PER_TEASPOON, Mass};
use proptest::prelude::*;

/// A course with one recipe of 16 oz of fats and the given lines after its fats; and the codes of what was found in it.
fn course_and_codes(lines: &str) -> (Course, Vec<&'static str>) {
    course_from(&format!("{RECIPE_HEAD}{lines}"))
}

/// The recipe up to its fats.
const RECIPE_HEAD: &str = "title = \"Test\"\nbatch = \"16 oz\"\nsuperfat = 6\nalkali = \"NaOH\"\npurity = { NaOH = 99 }\n\
                           water = { lye-concentration = 33 }\n[fats]\nlard = 100\n";

/// A course with one recipe, and the codes of what was found in it.
fn course_from(recipe: &str) -> (Course, Vec<&'static str>) {
    let files = CourseFiles {
        book_toml: SourceFile::new("book.toml", "[preprocessor.kettle]\nunits = \"both\"\n"),
        recipes: vec![SourceFile::new("recipes/test.toml", recipe)],
        tables: Vec::new(),
        templates: Vec::new(),
    };
    let (course, findings) = Course::new(&files);
    (course, findings.iter().map(|it| it.code).collect())
}

fn course_of(lines: &str) -> Course {
    course_and_codes(lines).0
}

#[track_caller]
fn computed(course: &Course) -> &Ledger {
    course.recipes()["test"].as_ref().expect("the recipe has no error")
}

/// Common practice, no source: three tablespoons of a cosmetic clay weigh about three quarters of an ounce, and that
/// much to a pound of fats is the most. One teaspoon to a pound is usual.
#[test]
fn three_tablespoons_of_clay_weigh_about_three_quarters_of_an_ounce() {
    let course = course_of("[[additives]]\nitem = \"kaolin\"\nrate = \"3 tbsp/lb\"\n");
    let clay = &computed(&course).batch.extras[0];
    assert!((clay.mass.to_ounces() - 0.75).abs() < 0.01, "{clay:?}");
    let volume = clay.volume.expect("its bulk density is known").to_millilitres();
    assert!((volume - 9.0 * MILLILITRES_PER_TEASPOON).abs() < 1e-9);
    // 4.6875 % is just below the highest rate of the table; a hair more clay is above it.
    let codes = |rate: &str| course_and_codes(&format!("[[additives]]\nitem = \"kaolin\"\nrate = \"{rate}\"\n")).1;
    assert_eq!(codes("3 tbsp/lb"), Vec::<&str>::new());
    assert_eq!(codes("3.1 tbsp/lb"), ["rate-above-highest"]);
    assert_eq!(codes("1 tsp/lb"), Vec::<&str>::new());
}

/// USDA National Nutrient Database for Standard Reference, SR27, household weights, in grams; the number of the food beside
/// each. They are rounded to the tenth of a gram or worse, and a cup settles more than a spoon: 3 % apart at the most.
#[test]
fn a_spoonful_weighs_what_published_household_weights_say() {
    // NIST SP 811 (2008), Appendix B.8: cup, tablespoon and teaspoon in mL.
    const CUP: f64 = 236.588_236_5;
    const TABLESPOON: f64 = 14.786_764_781_25;
    const TEASPOON: f64 = 4.928_921_593_75;
    let course = course_of("");
    for (id, grams, millilitres) in [
        ("salt", 6.0, TEASPOON),           // 02047
        ("salt", 18.0, TABLESPOON),        // 02047
        ("salt", 292.0, CUP),              // 02047
        ("sugar", 4.2, TEASPOON),          // 19335
        ("sugar", 200.0, CUP),             // 19335
        ("honey", 21.0, TABLESPOON),       // 19296
        ("honey", 339.0, CUP),             // 19296
        ("turmeric", 3.0, TEASPOON),       // 02043
        ("turmeric", 9.4, TABLESPOON),     // 02043
        ("paprika", 2.3, TEASPOON),        // 02028
        ("paprika", 6.8, TABLESPOON),      // 02028
        ("spirulina", 7.0, TABLESPOON),    // 11667
        ("spirulina", 112.0, CUP),         // 11667
        ("cocoa-powder", 5.4, TABLESPOON), // 19165
        ("cocoa-powder", 86.0, CUP),       // 19165
        ("poppy-seeds", 2.8, TEASPOON),    // 02033
        ("poppy-seeds", 8.8, TABLESPOON),  // 02033
    ] {
        let additive = &course.tables().additives[id];
        let density = additive.bulk_density.expect("it can be spooned").to_grams_per_millilitre();
        let off = density * millilitres / grams - 1.0;
        assert!(off.abs() < 0.03, "{id}: {:.2} g for {grams} g", density * millilitres);
    }
}

/// A fragrance oil browns by its vanillin, so without any it does not, whatever its row says of such oils.
#[test]
fn a_fragrance_oil_without_vanillin_does_not_brown_and_any_scent_with_some_does() {
    let table = "[vanilla]\nname = \"vanilla\"\nkind = \"fragrance\"\ndoes = [\"browns\"]\n";
    let (tables, findings) = Tables::load(&[SourceFile::new("tables/additives.toml", table)]);
    assert!(findings.is_empty(), "{findings:#?}");
    for (id, vanillin, browns) in [
        ("vanilla", None, true),
        ("vanilla", Some(0.0), false),
        ("vanilla", Some(0.1), true),
        ("lavender-oil", None, false),
        ("lavender-oil", Some(0.1), true),
        ("clove-leaf-oil", Some(0.0), true),
    ] {
        let place = SourceFile::new("a", "a");
        let extra = Extra {
            additive: tables.additives[id].clone(),
            rate: Rate::OfFats(0.01),
            limit_percent: None,
            vanillin_percent: vanillin,
            blend: None,
            place: Extract::whole(&place).place(0..1),
            is_dispersed: false,
            disperses: None,
        };
        assert_eq!(extra.browns(), browns, "{id} {vanillin:?}");
    }
}

/// What is stirred into the fats of a layer goes into its batter where only that is divided.
#[test]
fn a_layer_of_divided_batter_has_no_fats_to_stir_into() {
    let layers = "[[layers]]\nname = \"all\"\nshare = 1\nadditives = [{ item = \"turmeric\", rate = \"0.5 %\" }]\n";
    let goes_into = |divide: &str| {
        let text = RECIPE_HEAD.replace("[fats]", &format!("divide = \"{divide}\"\n[fats]")) + layers;
        let (course, codes) = course_from(&text);
        assert_eq!(codes, Vec::<&str>::new());
        computed(&course).batch.layers[0].extras[0].goes_into
    };
    assert_eq!(goes_into("batter"), GoesInto::Trace);
    assert_eq!(goes_into("fats-and-lye"), GoesInto::Fats);
}

/// A caution about what is dissolved in the water stands beside the lye, about what is stirred in later beside the rest.
#[test]
fn a_caution_stands_beside_the_step_of_its_additive() {
    let steps = |item: &str, rate: &str| {
        let course = course_of(&format!("[[additives]]\nitem = \"{item}\"\nrate = \"{rate}\"\n"));
        computed(&course).cautions.iter().map(|it| it.step).collect::<Vec<_>>()
    };
    assert_eq!(steps("salt", "30 %"), [Step::Lye]);
    assert_eq!(steps("mica", "6 %"), [Step::Trace]);
}

#[test]
fn a_scent_is_not_measured_by_the_spoon() {
    let has_spoons = |item: &str| {
        let course = course_of(&format!("[[additives]]\nitem = \"{item}\"\nrate = \"1 %\"\n"));
        computed(&course).figure(&Key::each(Kind::Spoons, item)).is_some()
    };
    assert!(has_spoons("kaolin"));
    assert!(!has_spoons("lavender-oil") && !has_spoons("clove-leaf-oil"));
}

const LAYERED: &str = "[[additives]]\nitem = \"annatto\"\nrate = \"0.5 %\"\n\
                       [[layers]]\nname = \"one\"\nshare = 3\n\
                       [[layers]]\nname = \"two\"\nshare = 1\nadditives = [{ item = \"kaolin\", rate = \"2 %\" }]\n";

#[test]
fn a_layers_rate_is_of_the_layers_own_fats() {
    let course = course_of(LAYERED);
    let batch = &computed(&course).batch;
    let clay = &batch.layers[1].extras[0];
    let expected = 0.02 * batch.total_fats.to_grams() / 4.0;
    assert!((clay.mass.to_grams() - expected).abs() < 1e-9 && (clay.of_fats_percent - 2.0).abs() < 1e-9);
}

#[test]
fn the_page_shows_mass_and_spoons_and_when_to_add_it() {
    let course = course_of(LAYERED);
    let text = "```kettle safety\n```\n\n```kettle recipe\nuse = \"test\"\n```\n\n```kettle layers\n```\n\n{{ layers.two.additives.kaolin }}\n";
    let file = SourceFile::new("page.md", text);
    let page =
        Page::read(Lesson { id: "page.md".into(), title: "Page".into(), part: String::new(), file }, &|_, _| None);
    let rendered = course.render(&page, Form::Html);
    assert!(rendered.findings.is_empty(), "{:?}", rendered.findings);
    // 2 % of a quarter of 453.59 g are 2.268 g; at 0.479 g/mL 4.735 mL, 0.96 teaspoons.
    for words in [
        "White kaolin clay <small>for the layer two: about 1\u{a0}tsp, at trace</small>",
        "with 2\u{a0}g white kaolin clay, about 1\u{a0}tsp",
        "\n\n2\u{a0}g (0.10\u{a0}oz)\n",
        "white kaolin clay gently, with your face away",
    ] {
        assert!(without_keys(&rendered.text).contains(words), "{words}\nis not in\n{}", rendered.text);
    }
}

/// A page without the elements that name its figures.
fn without_keys(html: &str) -> String {
    let mut pieces = html.split("<span data-kettle");
    let mut clean = pieces.next().unwrap_or_default().to_owned();
    for piece in pieces {
        let (_, rest) = piece.split_once('>').expect("the tag ends");
        let (shown, after) = rest.split_once("</span>").expect("the element ends");
        clean.push_str(shown);
        clean.push_str(after);
    }
    clean
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Layer masses add up to the batch, additives among them, exactly and as printed.
    #[test]
    fn layers_add_up_to_the_batch(shares in prop::collection::vec(1_u32..100, 1..6), rate in 1_u32..400, whole in 1_u32..300) {
        let whole = f64::from(whole) / 100.0;
        let mut lines = format!(
            "[[additives]]\nitem = \"salt\"\nrate = \"{whole} %\"\n[[additives]]\nitem = \"cocoa-powder\"\nrate = \"{whole} %\"\n"
        );
        for (idx, share) in shares.iter().enumerate() {
            let rate = f64::from(rate * (idx as u32 % 3)) / 100.0 + 0.01;
            lines.push_str(&format!(
                "[[layers]]\nname = \"layer {idx}\"\nshare = {share}\nadditives = [{{ item = \"kaolin\", rate = \"{rate} %\" }}]\n"
            ));
        }
        let course = course_of(&lines);
        if let Some(it) = course.recipes()["test"].as_ref() {
            let of_layers: Mass = it.batch.layers.iter()
                .map(|layer| layer.poured())
                .sum();
            let poured = it.batch.poured().to_grams();
            prop_assert!((of_layers.to_grams() - poured).abs() < 1e-6 * poured);
            for weighed in [&it.grams, &it.ounces] {
                let layers: u64 = weighed.layers.iter().map(|it| it.poured()).sum();
                prop_assert_eq!(layers + weighed.solution_left(), weighed.poured());
            }
        }
    }
}

/// What a row of the course's own leaves unsaid is no less true of it.
#[test]
fn a_scent_brings_the_cautions_of_a_scent_whatever_its_row_says() {
    let files = CourseFiles {
        book_toml: SourceFile::new("book.toml", "[preprocessor.kettle]\n"),
        recipes: vec![SourceFile::new(
            "recipes/test.toml",
            format!("{RECIPE_HEAD}[[additives]]\nitem = \"rose\"\nrate = \"2 %\"\n"),
        )],
        tables: vec![SourceFile::new("tables/additives.toml", "[rose]\nname = \"rose scent\"\nkind = \"fragrance\"\n")],
        templates: Vec::new(),
    };
    let (course, findings) = Course::new(&files);
    assert_eq!(findings.iter().map(|it| it.code).collect::<Vec<_>>(), ["limit-not-stated"]);
    let file = SourceFile::new("page.md", "```kettle safety\nuse = \"test\"\n```\n");
    let page =
        Page::read(Lesson { id: "page.md".into(), title: "Page".into(), part: String::new(), file }, &|_, _| None);
    let text = course.render(&page, Form::Markdown).text;
    assert!(text.contains("rose scent") && text.contains("flame"), "{text}");
}

/// By hand: 453.592 g of lard (SV 197.5) take 89.584 g of KOH; 6 % superfat leaves 84.209 g, 60.03 g of NaOH, 60.64 g of 99 %
/// purity, in 123.12 g of water. So much water is in 168.9 g of canned coconut milk (72.9 %), with 35.97 g of fat (21.3 %) that
/// takes 9.227 g of KOH (SV 256.5): 1 - 84.209 / (89.584 + 9.227) = 14.78 %. No lye is made for it.
#[test]
fn the_fat_in_a_liquid_raises_the_superfat_and_takes_no_lye() {
    let milk = "[[additives]]\nitem = \"coconut-milk\"\nrate = \"100 % of water\"\n";
    let (plain, with_milk) = (course_of(""), course_of(milk));
    let (plain, with_milk) = (computed(&plain), computed(&with_milk));
    assert!((plain.batch.total_alkali.to_grams() - 60.64).abs() < 0.01, "{:?}", plain.batch.total_alkali);
    assert_eq!(plain.batch.total_alkali, with_milk.batch.total_alkali);
    assert!((with_milk.batch.liquids[0].fat.to_grams() - 35.97).abs() < 0.02, "{:?}", with_milk.batch.liquids);
    assert!((with_milk.batch.superfat_with_liquids_percent() - 14.78).abs() < 0.02);
    let key = Key::one(Kind::SuperfatWithLiquids);
    assert!(plain.figure(&key).is_none() && with_milk.figure(&key).is_some());
}

/// By hand, the same lard: 123.12 g of water are in 141.52 g of goat's milk (87 %), with 5.802 g of fat (4.1 %) that takes 1.314 g of
/// KOH (SV 226.5), 0.1981 g of lactic acid (0.14 %; 90.078 g/mol, one hydrogen) that takes 0.1234 g, and 6.368 g of sugar (4.5 %):
/// 1 - 84.209 / (89.584 + 1.314 + 0.123) = 7.48 %.
#[test]
fn the_acid_in_a_liquid_takes_up_alkali_that_nobody_adds() {
    let milk = "[[additives]]\nitem = \"goat-milk\"\nrate = \"100 % of water\"\n";
    let course = course_of(milk);
    let computed = computed(&course);
    let liquid = &computed.batch.liquids[0];
    assert!((liquid.koh_for_acid.to_grams() - 0.1234).abs() < 0.0005, "{liquid:?}");
    assert!((liquid.sugar.to_grams() - 6.368).abs() < 0.005, "{liquid:?}");
    assert!((computed.batch.superfat_with_liquids_percent() - 7.48).abs() < 0.01);
    assert!((computed.batch.total_alkali.to_grams() - 60.64).abs() < 0.01, "no lye is made for it");
}
