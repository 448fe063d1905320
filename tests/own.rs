//! What a student sets on a page, asked of the calculator of the page as its script asks: on the demo course, without a browser.
//!
//! The same questions in the real page are in `tests/browser/own.rs`.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use kettlebook::course::{Course, CourseFiles, CourseTexts, Fields, LessonText, OwnPage, PageTexts, mark_of_page};
use kettlebook::ledger::{Key, Kind, Ledger};
use kettlebook::page::{Form, Lesson, Page};
use kettlebook::source::SourceFile;
use kettlebook::units::{Mass, ScaleUnit};
use proptest::prelude::*;
use serde_json::{Value, json};

/// What a student sets is of one course, however often it is asked.
fn with_demo<T>(look: impl FnOnce(&Course) -> T) -> T {
    thread_local! {
        static DEMO: Course = Course::new(&demo_files()).0;
    }
    DEMO.with(look)
}

fn demo_files() -> CourseFiles {
    CourseFiles::read(&Path::new(env!("CARGO_MANIFEST_DIR")).join("course"), "course").expect("the demo course")
}

fn fields(typed: &[(&str, &str)]) -> Fields {
    typed.iter().map(|(name, it)| ((*name).to_owned(), (*it).to_owned())).collect()
}

/// The calculator of a page of the demo course, and the page as it was built.
fn opened(id: &str) -> (OwnPage, Course, String) {
    let files = demo_files();
    let (course, _) = Course::new(&files);
    let path = format!("course/src/{id}");
    let text = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(&path)).expect("the page");
    let lesson =
        Lesson { id: id.to_owned(), title: "Page".into(), part: String::new(), file: SourceFile::new(path, text) };
    let text = LessonText::of(&lesson, "");
    let built = course.render(&Page::read(lesson, &|_, _| None), Form::Html);
    let page =
        PageTexts { id: id.to_owned(), lessons: vec![text], included: Vec::new(), mark: mark_of_page(&built.text) };
    let mut calculator = OwnPage::default();
    let answer = ask(&mut calculator, &json!({ "open": { "course": CourseTexts::of(&files, ""), "page": page } }));
    assert_eq!(answer, json!({}), "ready");
    (calculator, course, built.text)
}

fn ask(calculator: &mut OwnPage, question: &Value) -> Value {
    serde_json::from_str(&calculator.ask(&question.to_string())).expect("JSON")
}

/// A recipe of the demo course with what a student set, and what is said of it.
fn set(course: &Course, id: &str, typed: &[(&str, &str)]) -> (Option<Ledger>, Vec<String>) {
    let it = course.own(id, &fields(typed)).expect("the recipe");
    (it.own.ledger, it.said.into_iter().map(|it| format!("{}: {}", it.field, it.words)).collect())
}

fn grams(ledger: &Ledger, key: &Key) -> f64 {
    let unit = ScaleUnit::Grams;
    let reading = ledger.figure(key).and_then(|it| it.amount.reading(unit)).expect("a reading");
    ledger.scales.of(unit).mass(reading).to_grams()
}

#[test]
fn what_a_command_may_change_comes_to_the_same_on_the_page() {
    let (course, _) = Course::new(&demo_files());
    let lesson = course.recipes()["quay-plain"].as_ref().expect("the recipe");
    let (own, said) = set(&course, "quay-plain", &[("size", "fats"), ("batch", "1 kg"), ("superfat", "6.5")]);
    let own = own.expect("amounts");
    assert_eq!(said, [""; 0]);
    // The lye follows the fats and the superfat: 1000 g at 6.5 % against the lesson's at 5 %.
    let factor = 1000.0 / lesson.batch.total_fats.to_grams() * (1.0 - 0.065) / (1.0 - 0.05);
    let [was, is] = [lesson, &own].map(|it| it.batch.alkalis[0].mass.to_grams());
    assert!((is - was * factor).abs() < 1e-9 * is, "{was} {is} {factor}");
}

#[test]
fn a_mould_of_ones_own_is_filled_whatever_is_known_of_it() {
    let (course, _) = Course::new(&demo_files());
    let poured = |typed: &[(&str, &str)]| {
        let (own, said) = set(&course, "quay-plain", typed);
        own.unwrap_or_else(|| panic!("{said:?}")).batch.poured().to_grams()
    };
    // 20 cm by 6 cm by 6 cm are 720 mL: in one box, in two of half the length, or known by what it holds.
    let one =
        poured(&[("size", "box"), ("inside-length", "20 cm"), ("inside-width", "6 cm"), ("fill-height", "60 mm")]);
    let two = poured(&[
        ("size", "box"),
        ("inside-length", "10 cm"),
        ("inside-width", "6 cm"),
        ("fill-height", "6 cm"),
        ("cavities", "2"),
    ]);
    let held = poured(&[("size", "holds"), ("holds", "0.72 l"), ("fill-height", "6 cm")]);
    assert!((one - two).abs() < 1e-6 && (one - held).abs() < 1e-6, "{one} {two} {held}");
    // pi / 4 * 80 mm * 80 mm * 100 mm are 502.65 mL.
    let round = poured(&[("size", "round"), ("inside-diameter", "8 cm"), ("fill-height", "10 cm")]);
    assert!((round / one - 502.654_824_6 / 720.0).abs() < 1e-9, "{round} {one}");
}

#[test]
fn what_no_soap_can_have_is_refused_at_its_field() {
    let (course, _) = Course::new(&demo_files());
    for (typed, field) in [
        (vec![("superfat", "4")], "superfat"),
        (vec![("superfat", "five")], "superfat"),
        (vec![("superfat", "5,5")], "superfat"),
        (vec![("certificate.coconut", "350")], "certificate.coconut"),
        (vec![("purity.NaOH", "0.98")], "purity.NaOH"),
        (vec![("exchange.coconut", "coconuts")], "exchange.coconut"),
        (vec![("size", "mould"), ("mould", "bathtub")], "mould"),
        (vec![("size", "fats"), ("batch", "800")], "batch"),
        (vec![("size", "fats"), ("batch", "-3 g")], "batch"),
        (vec![("size", "bars"), ("bars", "0"), ("bar", "100 g")], "bars"),
        (vec![("size", "holds"), ("holds", "9000 l"), ("fill-height", "6 cm")], "holds"),
        (vec![("size", "have"), ("have-of", "superfat"), ("have", "430 g")], "have"),
        (vec![("step", "500 g")], "step"),
        (vec![("step", "</script><script>alert(1)</script>")], "step"),
    ] {
        let it = course.own("quay-plain", &fields(&typed)).expect("the recipe");
        assert!(it.own.ledger.is_none(), "{typed:?}");
        let refused: Vec<&str> = it.said.iter().filter(|it| it.is_refusal).map(|it| it.field.as_str()).collect();
        assert_eq!(refused, [field], "{typed:?}: {:?}", it.said);
    }
    // What is typed for a way that was not chosen is left alone, and so is what is not finished.
    let (own, said) = set(&course, "quay-plain", &[("batch", "800"), ("size", "box"), ("fill-height", "")]);
    assert!(own.is_some() && said.is_empty(), "{said:?}");
}

#[test]
fn a_coarse_scale_tells_the_smallest_batch_that_it_can_weigh() {
    let (course, _) = Course::new(&demo_files());
    let at = |batch: &str| set(&course, "quay-plain", &[("size", "fats"), ("batch", batch), ("step", "5 g")]);
    let (own, said) = at("300 g");
    let words = said.iter().find(|it| it.starts_with("step: ")).expect("something said of the scale");
    let smallest = words.split(" has ").nth(1).and_then(|it| it.split_once("\u{a0}g")).expect("a mass").0;
    assert!(at("500 g").1.iter().any(|it| it.contains(&format!(" has {smallest}\u{a0}g "))), "one scale, one answer");
    let is_safe = |it: &Ledger| it.certainty(ScaleUnit::Grams).worst_percent >= 0.0;
    assert!(own.is_none_or(|it| !is_safe(&it)));
    let (own, said) = at(&format!("{smallest} g"));
    assert!(own.is_some_and(|it| is_safe(&it)) && !said.iter().any(|it| it.starts_with("step: ")), "{said:?}");
    // From there on all are safe, and not those alone that rounding favours.
    for larger in 1..200 {
        let batch = format!("{:.0} g", smallest.parse::<f64>().expect("a number") * 1.02_f64.powi(larger));
        let own = at(&batch).0.expect("amounts");
        assert!(is_safe(&own), "{batch}");
    }
}

#[test]
fn an_exchanged_fat_takes_the_lye_that_it_needs() {
    let (course, _) = Course::new(&demo_files());
    let lesson = course.recipes()["quay-plain"].as_ref().expect("the recipe");
    let set = course.own("quay-plain", &fields(&[("exchange.coconut", "babassu")])).expect("the recipe");
    let own = set.own.ledger.expect("amounts");
    assert!(set.own.line.contains("no longer the lesson"), "{}", set.own.line);
    let koh = |it: &Ledger| -> f64 {
        let fats = it.recipe.fats.iter().map(|it| it.fraction * it.fat.sap_used.to_mg_koh_per_g());
        fats.sum()
    };
    let lye = |it: &Ledger| it.batch.alkalis[0].mass / it.batch.total_fats;
    assert!((lye(&own) / lye(lesson) - koh(&own) / koh(lesson)).abs() < 1e-12);
    // Into a fat that is in the recipe already: one fat of both shares.
    let (own, _) = self::set(&course, "quay-plain", &[("exchange.coconut", "olive")]);
    let own = own.expect("amounts");
    assert_eq!(own.recipe.fats.len(), lesson.recipe.fats.len() - 1);
    assert!((own.recipe.fats.iter().map(|it| it.fraction).sum::<f64>() - 1.0).abs() < 1e-12);
}

#[test]
fn all_that_depends_on_a_recipe_changes_and_comes_back() {
    let (mut calculator, course, built) = opened("plain-bar.md");
    let question = |own: Value| json!({ "page": { "own": own } });
    let changed = ask(&mut calculator, &question(json!({ "quay-plain": { "size": "fats", "batch": "2 kg" } })));
    let pieces = changed["pieces"].as_array().expect("pieces").clone();
    assert!(pieces.len() > 15, "{}", pieces.len());
    let line = changed["told"]["quay-plain"]["html"].as_str().expect("what is told");
    let lesson = course.recipes()["quay-plain"].as_ref().expect("the recipe");
    let percent = 2000.0 / lesson.batch.total_fats.to_grams() * 100.0;
    let wanted = format!("For 2000\u{a0}g of fats, {percent:.0}\u{a0}% of the lesson\u{2019}s batch.");
    assert!(line.contains(&wanted), "{line}");
    let back = ask(&mut calculator, &question(json!({})));
    for piece in back["pieces"].as_array().expect("pieces") {
        let html = piece[1].as_str().expect("HTML");
        let plain = html.replace("&#123;", "{");
        assert!(built.contains(html) || built.contains(&plain) || html.starts_with("<span"), "as it was built: {html}");
    }
    assert_eq!(back["pieces"].as_array().map(Vec::len), Some(pieces.len()));
    // What is refused leaves no amount of it in the page, and all of its cautions.
    let refused = ask(&mut calculator, &question(json!({ "quay-plain": { "superfat": "1" } })));
    let pieces: Vec<&str> =
        refused["pieces"].as_array().expect("pieces").iter().filter_map(|it| it[1].as_str()).collect();
    let amounts: Vec<&&str> = pieces.iter().filter(|it| it.contains("data-kettle=\"lye\"")).collect();
    assert!(amounts.is_empty() && !pieces.is_empty(), "{amounts:?}");
    assert!(!pieces.iter().any(|it| it.contains("kettle-safety")), "the cautions stay as they were");
}

#[test]
fn what_a_browser_remembers_of_another_course_is_put_away_with_a_word() {
    let (mut calculator, ..) = opened("plain-bar.md");
    let mut remembered = |kept: &str| ask(&mut calculator, &json!({ "remembered": { "kept": kept } }));
    let fine = json!({ "quay-plain": { "superfat": "6" } });
    let kept = json!({ "version": 1, "recipes": fine }).to_string();
    assert_eq!(remembered(&kept), json!({ "own": fine }));
    for (recipes, why) in [
        (json!({ "gone": { "superfat": "6" } }), "gone."),
        (json!({ "quay-plain": { "size": "mould", "mould": "gone" } }), "gone"),
        (json!({ "quay-plain": { "superfat": "2" } }), "superfat"),
    ] {
        let answer = remembered(&json!({ "version": 1, "recipes": recipes }).to_string());
        assert!(
            answer.get("own").is_none() && answer["gone"][0].as_str().is_some_and(|it| it.contains(why)),
            "{answer}"
        );
    }
    let older = json!({ "version": 0, "recipes": fine }).to_string();
    for kept in ["", "[]", "null", "{\"version\":1}", &older, "{\"version\":1,\"recipes\":{\"a\":{\"b\":\"\\ud800\"}}}"]
    {
        let answer = remembered(kept);
        assert!(answer.get("own").is_none() && answer["gone"].as_array().map(Vec::len) == Some(1), "{kept}: {answer}");
    }
}

#[test]
fn a_page_of_another_build_is_not_changed() {
    let files = demo_files();
    let file = SourceFile::new("course/src/plain-bar.md", "```kettle recipe\nuse = \"quay-plain\"\n```\n");
    let lesson = Lesson { id: "plain-bar.md".into(), title: "Page".into(), part: String::new(), file };
    let page = PageTexts {
        id: "plain-bar.md".into(),
        lessons: vec![LessonText::of(&lesson, "")],
        included: Vec::new(),
        mark: "00000000".into(),
    };
    let mut calculator = OwnPage::default();
    let answer = ask(&mut calculator, &json!({ "open": { "course": CourseTexts::of(&files, ""), "page": page } }));
    assert!(answer["refused"].as_str().is_some_and(|it| it.contains("two different builds")), "{answer}");
    let answer = ask(&mut calculator, &json!({ "page": { "own": {} } }));
    assert!(answer["refused"].is_string() && answer.get("pieces").is_none(), "{answer}");
    for nonsense in ["", "{}", "{\"page\":7}", "{\"sheet\":{\"recipe\":\"quay-plain\",\"fields\":{}}}"] {
        let answer: Value = serde_json::from_str(&OwnPage::default().ask(nonsense)).expect("JSON");
        assert!(answer["refused"].is_string(), "{nonsense}");
    }
}

#[test]
fn a_sheet_says_what_was_changed_and_has_a_mark_of_its_own() {
    let (mut calculator, course, _) = opened("plain-bar.md");
    let question = |fields: Value| json!({ "sheet": { "recipe": "quay-plain", "fields": fields } });
    let own = ask(&mut calculator, &question(json!({ "superfat": "7" })));
    let own = own["html"].as_str().expect("a sheet");
    let lesson = course.paper(course.recipes()["quay-plain"].as_ref().expect("the recipe")).expect("a sheet");
    let mark =
        |sheet: &str| sheet.split("class=\"mark\">").nth(1).and_then(|it| it.split("</b>").next()).map(str::to_owned);
    assert!(own.contains("Superfat 7\u{a0}% in place of 5\u{a0}%."), "{own}");
    assert!(mark(own).is_some() && mark(own) != mark(&lesson));
    let refused = ask(&mut calculator, &question(json!({ "superfat": "2" })));
    assert!(refused["refused"].is_string() && refused.get("html").is_none(), "{refused}");
}

fn recipe_ids() -> Vec<String> {
    Course::new(&demo_files()).0.recipes().keys().cloned().collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    /// As much is made as there is of one thing, and by what the scale shows never more: the next division would be over.
    #[test]
    fn a_batch_takes_what_is_at_hand_and_no_more(
        recipe in prop::sample::select(recipe_ids()),
        have in 50.0..3000.0_f64,
        pick in 0_usize..6,
        step in prop::sample::select(vec!["0.1 g", "1 g", "5 g"]),
    ) {
        let id = with_demo(|course| {
            let fats = &course.recipes()[&recipe].as_ref().expect("the recipe").recipe.fats;
            fats[pick % fats.len()].fat.id.to_string()
        });
        let have = format!("{have:.1} g");
        let typed = fields(&[("size", "have"), ("have-of", &format!("fats.{id}")), ("have", &have), ("step", step)]);
        let set = with_demo(|course| course.own(&recipe, &typed)).expect("the recipe");
        if let Some(own) = set.own.ledger {
            let [have, step] = [have.as_str(), step].map(|it| Mass::parse(it).expect("a mass").to_grams());
            let weighed = grams(&own, &Key::each(Kind::Fat, &*id));
            prop_assert!(weighed <= have + 1e-9, "{recipe}: {weighed} g of {have} g");
            prop_assert!(weighed > have - 3.0 * step - 1e-9, "{recipe}: {weighed} g of {have} g");
        }
    }

    /// Bars of a mass: they are what is poured.
    #[test]
    fn so_many_bars_are_what_is_poured(
        recipe in prop::sample::select(recipe_ids()),
        bars in 2_u32..60,
        bar in 40_u32..200,
    ) {
        let (bars, bar) = (bars.to_string(), format!("{bar} g"));
        let typed = fields(&[("size", "bars"), ("bars", &bars), ("bar", &bar)]);
        let set = with_demo(|course| course.own(&recipe, &typed)).expect("the recipe");
        if let Some(own) = set.own.ledger {
            let wanted = bars.parse::<f64>().expect("a number") * Mass::parse(&bar).expect("a mass").to_grams();
            let poured = own.batch.poured().to_grams();
            prop_assert!((poured - wanted).abs() < 1e-6 * wanted, "{recipe}: {poured} g for {wanted} g");
        }
    }

    /// Whatever is typed or remembered, there is an answer, and nothing of it becomes an element of the page.
    #[test]
    fn no_text_breaks_out_of_a_field(name in "[a-z.\\-]{0,20}", text in "\\PC{0,80}") {
        let hostile = format!("{text}\"><img src=x onerror=alert(1)><!--</script>");
        let names = ["superfat", "step", "batch", "have", "mould", "weighed.lye", "exchange.olive", &name];
        let typed: BTreeMap<String, String> =
            names.iter().map(|it| ((*it).to_owned(), hostile.clone())).collect();
        let mut calculator = OwnPage::default();
        ask(&mut calculator, &json!({ "open": { "course": CourseTexts::of(&demo_files(), ""), "page": null } }));
        let answer = ask(&mut calculator, &json!({ "fields": { "recipe": "quay-plain", "fields": typed } }));
        let html = answer["html"].as_str().expect("fields");
        prop_assert!(!html.contains("<img") && !html.contains("<!--</script"), "{html}");
        prop_assert!(with_demo(|course| course.own("quay-plain", &typed)).is_some());
    }
}
