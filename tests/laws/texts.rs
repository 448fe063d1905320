//! Whatever is typed: no panic, no number that is none, every finding at a place that exists.

use std::slice;
use std::sync::{Arc, LazyLock};

use kettlebook::batch::superfat_uncertainty;
use kettlebook::course::{Course, CourseFiles};
use kettlebook::finding::Finding;
use kettlebook::ledger::Ledger;
use kettlebook::page::{Form, Lesson};
use kettlebook::report;
use kettlebook::sheet::{batch_json, sheet};
use kettlebook::source::SourceFile;
use proptest::prelude::*;

use super::pages::read_page;
use super::plan::cases;

const BOOK: &str = "[preprocessor.kettle]\ncommand = \"mdbook-kettle\"\nunits = \"both\"\nscale = { grams = 0.1, ounces = 0.005 }\n\
                    [preprocessor.kettle.defaults]\nsuperfat = 5\nwater = { lye-concentration = 33 }\npurity = { NaOH = 99 }\n\
                    [output.html]\nadditional-css = [\"theme/kettle.css\"]\nadditional-js = [\"theme/kettle.js\"]\n";

const RECIPE: &str = "title = \"Tried\"\nbatch = \"900 g\"\ninto = \"tried\"\ndivide = \"batter\"\nsuperfat = 5\nalkali = { NaOH = 60, KOH = 40 }\n\
                      purity = { NaOH = 98, KOH = { low = 88, high = 92 } }\nwater = { lye-concentration = 33 }\ncut = \"25 mm\"\n\
                      times = { mould = \"1 to 2 days\", pour = \"90 min\" }\n\
                      [[acknowledged]]\nfinding = \"batch-under-mould\"\nbecause = \"it is tried\"\n\
                      [fats]\nolive = 60\ncoconut = 25\nbeeswax = 1\ntried = 14\n\
                      [[additives]]\nitem = \"citric-acid\"\nrate = \"1 %\"\n\
                      [[additives]]\nitem = \"vinegar\"\nrate = \"10 g/kg\"\nstrength = 5\n\
                      [[additives]]\nitem = \"tried-milk\"\nrate = \"50 % of water\"\n\
                      [[additives]]\nitem = \"kaolin\"\nrate = \"1 tsp/lb\"\n[[additives]]\nitem = \"tried-scent\"\nrate = \"2 %\"\nlimit = 3\nvanillin = 4\n\
                      [[layers]]\nname = \"base\"\nshare = 2\nwait = \"4 min\"\nhow = \"spoon\"\nspritz = true\nadditives = [{ item = \"tried-scent\", rate = \"1 tsp\" }]\n[[layers]]\nname = \"top\"\nshare = 1\n";

const MOULDED: &str = "title = \"Moulded\"\nmould = \"tried\"\nsuperfat = 5\nalkali = \"NaOH\"\nwater = { per-lye = 2 }\n\
                       [fats]\nolive = 86\ntried = 14\n[fats-after]\nshea = \"3 %\"\ntried = \"20 g\"\n\
                       [[additives]]\nitem = \"tried-acid\"\nrate = \"15 g\"\n[[additives]]\nitem = \"tea\"\nrate = \"5 %\"\n";

const VARIANT: &str = "title = \"Variant\"\nbased-on = \"tried\"\nbatch = \"500 g\"\nsuperfat = 8\nalkali = \"NaOH\"\n\
                       purity = { NaOH = 99 }\n[fats]\nolive = 70\ntried = 30\n[[additives]]\nitem = \"vinegar\"\n\
                       rate = \"10 g/kg\"\nstrength = 5\n";

const FATS: &str = "[olive]\nsaponification-value = { low = 184, high = 196, use = 190, source = \"s\" }\ndensity = { low = 0.91, high = 0.916, at = \"20 C\", source = \"s\" }\n\
                    [tried]\nname = \"tried\"\nkind = \"wax\"\ninci = \"Tried\"\ninci-source = \"s\"\nsaponification-value = { use = 90, source = \"s\" }\n\
                    iodine-value = { low = 10, source = { work = \"w\", edition = \"e\", where = \"p\", confidence = \"from memory\" } }\n\
                    fatty-acids = { source = \"s\", basis = \"range\", C16-0 = [1, 2], C18-1 = [50, 60] }\nnote = \"n\"\n";

const ADDITIVES: &str = "[tried-acid]\nname = \"tried acid\"\nkind = \"acid\"\nmolar-mass = { value = 134.09, source = \"s\" }\nacidic-hydrogens = 2\n\
                         strength-percent = { value = 80, source = \"s\" }\n[tried-milk]\nkind = \"liquid\"\nwater-percent = { value = 88, source = \"s\" }\n\
                         [tried-scent]\nkind = \"fragrance\"\nbulk-density = { low = 0.9, high = 1.0, source = \"s\" }\n";

const MOULDS: &str = "[tried]\nname = \"tried\"\ninside-length = \"230 mm\"\ninside-width = \"7.5 cm\"\nfill-height = \"2.5 in\"\ncavities = 3\nsource = \"s\"\n";

/// The embedded tables that a course may lay its own numbers over.
const ALKALIS: &str = include_str!("../../src/tables/alkalis.toml");
pub(super) const LIMITS: &str = include_str!("../../src/tables/limits.toml");

/// A page with every view and many values.
pub(super) const PAGE: &str = "# Page\n\n```kettle safety\n```\n\n{{ title }} {{ superfat }} {{ superfat_as_weighed }} {{ lye_concentration }} {{ water_per_lye }}\n\
    {{ water_of_fats }} {{ water }} {{ solution }} {{ total.fats }} {{ total.batch }} {{ fats.olive }} {{ percent.olive }}\n\
    {{ alkali.NaOH }} {{ layers.base.poured }} {{ grams.total.batch }} {{ ounces.total.solution }}\n\n\
    ```kettle recipe\nuse = \"tried\"\n```\n\n```kettle worked\n```\n\n```kettle layers\n```\n\n\
    ```kettle profile\n```\n\n```kettle yield\n```\n\n```kettle fats\nonly = \"used\"\n```\n\n```kettle yield\nuse = \"moulded\"\n```\n\n\
    {{ moulded.total.batch }}\n\n> ```kettle worked\n> use = \"moulded\"\n> ```\n\n\
    ```kettle practice\nask = \"How much for {{ total.fats }}?\"\nwith = { batch = \"650 g\", superfat = 8 }\nanswer = \"alkali.NaOH\"\n\
    tolerance = \"2 g\"\nbecause = \"It is {{ alkali.NaOH }}.\"\n```\n\n\
    ```kettle practice\nask = \"How much?\"\nwith = { batch = \"650 g\" }\n[[choices]]\nsay = \"{{ water }} of water\"\nright = true\n\
    why = \"So it is.\"\n[[choices]]\nsay = \"None.\"\nwhy = \"There is {{ water }}.\"\n```\n\n```kettle layers\nuse = \"moulded\"\n```\n\n\
    ```kettle timeline\nuse = \"moulded\"\n```\n\n```kettle compare\nuse = \"variant\"\n```\n";

/// The texts of a course, in the order of the seeds below.
#[derive(Clone, Debug)]
pub(super) struct Texts {
    pub texts: [String; 10],
}

pub(super) static SEEDS: LazyLock<Texts> = LazyLock::new(|| Texts {
    texts: [BOOK, RECIPE, MOULDED, FATS, ADDITIVES, MOULDS, ALKALIS, LIMITS, PAGE, VARIANT].map(str::to_owned),
});

pub(super) const PATHS: [&str; 10] = [
    "book.toml",
    "recipes/tried.toml",
    "recipes/moulded.toml",
    "tables/fats.toml",
    "tables/additives.toml",
    "tables/moulds.toml",
    "tables/alkalis.toml",
    "tables/limits.toml",
    "src/page.md",
    "recipes/variant.toml",
];

/// Fails unless a finding points into its file.
#[track_caller]
pub(super) fn check_places(findings: &[Finding]) {
    for it in findings {
        let (span, text) = (&it.place.span, it.place.file.text());
        assert!(span.start <= span.end && span.end <= text.len(), "{it:?}");
        assert!(text.is_char_boundary(span.start) && text.is_char_boundary(span.end), "{it:?}");
        assert!(!it.message.is_empty() && !it.label.is_empty(), "{it:?}");
    }
}

/// Fails on a number that is none.
#[track_caller]
fn check_finite(ledger: &Ledger) {
    let Ledger { recipe, batch, grams, ounces, .. } = ledger;
    let conventions = &batch.water_conventions;
    let mut numbers = vec![
        batch.total_fats.to_grams(),
        batch.koh.to_grams(),
        batch.koh_after_superfat.to_grams(),
        batch.koh_for_acids.to_grams(),
        batch.total_alkali.to_grams(),
        batch.water.to_grams(),
        batch.plain_water.to_grams(),
        batch.solution.to_grams(),
        batch.poured().to_grams(),
        batch.superfat_percent,
        batch.free_fat_percent(),
        batch.pure_concentration_percent,
        conventions.lye_concentration_percent,
        conventions.water_per_lye,
        conventions.water_of_fats_percent,
        batch.volume.to_millilitres(),
        batch.filled_height.unwrap_or_default().to_millimetres(),
    ];
    for it in &batch.layers {
        numbers.extend([it.fraction, it.height_fraction, it.volume.to_millilitres()]);
        numbers.extend([it.thickness.unwrap_or_default().to_millimetres(), it.fats.to_grams(), it.solution.to_grams()]);
    }
    for weighed in [grams, ounces] {
        let it = superfat_uncertainty(recipe, batch, weighed);
        let (low, high) = it.likely_percent;
        numbers.extend([weighed.superfat_percent, it.superfat_percent, it.standard_percent, low, high]);
        numbers.extend([it.worst_percent, it.best_percent]);
        numbers.extend(it.contributions.iter().flat_map(|it| [it.half_width_percent, it.share_percent]));
        if !weighed.fats.is_empty() {
            assert_eq!(weighed.fats.iter().sum::<u64>(), weighed.total_fats, "{}", recipe.id);
        }
        if !weighed.layers.is_empty() {
            let fats = weighed.total_fats + weighed.extras_in_fats;
            assert_eq!(weighed.layers.iter().map(|it| it.fats).sum::<u64>(), fats, "{}", recipe.id);
            let solution = weighed.layers.iter().map(|it| it.solution).sum::<u64>() + weighed.solution_left();
            assert!(
                solution == weighed.solution() || weighed.layers.iter().any(|it| it.batter.is_some()),
                "{}",
                recipe.id
            );
            let poured = weighed.layers.iter().map(|it| it.poured()).sum::<u64>();
            let others = weighed.late_fats.iter().sum::<u64>() + weighed.solution_left();
            assert_eq!(poured + others, weighed.poured(), "{}", recipe.id);
        }
    }
    assert!(numbers.iter().all(|it| it.is_finite()), "{}: {numbers:?}", recipe.id);
}

/// Fails on a word of `made` that stands for a number that is none, unless somebody typed it.
#[track_caller]
fn check_words(made: &str, typed: &[&str]) {
    let has = |text: &str, word: &str| text.split(|it: char| !(it.is_alphanumeric() || it == '-')).any(|it| it == word);
    for word in ["NaN", "inf", "-inf"] {
        assert!(!has(made, word) || typed.iter().any(|it| has(it, word)), "{word} in {made}");
    }
}

/// Reads, computes, renders and reports a course, and one page of it that may include what `included` finds.
#[track_caller]
pub(super) fn try_course(
    files: &CourseFiles,
    lessons: &[Lesson],
    page: &Arc<SourceFile>,
    included: &dyn Fn(&str, &str) -> Option<Arc<SourceFile>>,
) {
    let (mut course, mut findings) = Course::new(files);
    findings.extend(course.read_pages(lessons.to_vec(), included).1);
    let all = [slice::from_ref(&files.book_toml), &files.recipes, &files.tables, slice::from_ref(page)].concat();
    let typed: Vec<&str> = all.iter().map(|it| it.text()).collect();
    for ledger in course.recipes().values().flatten() {
        check_finite(ledger);
        check_words(&sheet(ledger, course.tables()), &typed);
        check_words(&batch_json(ledger).expect("a recipe is text"), &typed);
    }
    for form in [Form::Html, Form::Markdown] {
        let rendered = course.render(&read_page(page, included), form);
        check_words(&rendered.text, &typed);
        findings.extend(rendered.findings);
    }
    findings.extend(course.missing_assets(Form::Html));
    check_places(&findings);
    let json = report::json(&findings).expect("findings are text");
    let _ = (report::full(&findings, true), json, report::summary(&findings));
    let _ = report::concise(&findings);
}

/// The same for a course of these texts, whose page includes nothing.
#[track_caller]
pub(super) fn run(texts: &Texts) {
    let file = |idx: usize| SourceFile::new(PATHS[idx], texts.texts[idx].as_str());
    let files = CourseFiles {
        book_toml: file(0),
        recipes: vec![file(2), file(1), file(9)],
        tables: vec![file(6), file(3), file(4), file(7), file(5)],
        templates: Vec::new(),
    };
    try_course(&files, &[], &file(8), &|_, _| None);
}

/// Any text, and texts that Tera refuses.
fn any_template() -> impl Strategy<Value = String> {
    (any::<String>(), prop::sample::select(vec!["", "{%", "{{", "{{ x", "{% if %}", "{#", "ä{%"]))
        .prop_map(|(text, broken)| text + broken)
}

proptest! {
    #![proptest_config(cases(60))]

    #[test]
    fn any_text_may_be_a_file_of_a_course(which in 0..PATHS.len(), text in any::<String>()) {
        let mut texts = SEEDS.clone();
        texts.texts[which] = text;
        run(&texts);
    }

    #[test]
    fn any_text_may_be_a_template(name in prop::sample::select(kettlebook::page::TEMPLATE_NAMES.to_vec()), text in any_template()) {
        let files = CourseFiles {
            book_toml: SourceFile::new("book.toml", BOOK),
            recipes: Vec::new(),
            tables: Vec::new(),
            templates: vec![SourceFile::new(format!("theme/templates/{name}"), text)],
        };
        let (_, findings) = Course::new(&files);
        check_places(&findings);
        let _ = report::full(&findings, false);
    }
}

/// Editors and CI read the concise report line by line, whatever the author's text holds.
#[test]
fn each_finding_is_one_line_of_the_concise_report() {
    let recipe = "title = \"t\"\nalkali = '''Na\nOH'''\nmould = \"loaf\\nmould\"\nsuperfat = 5\n\"a\\nkey\" = 1\n\
                  [fats]\n\"whale\\noil\" = 100\n";
    let files = CourseFiles {
        book_toml: SourceFile::new("book.toml", BOOK),
        recipes: vec![SourceFile::new("recipes/lines.toml", recipe)],
        tables: Vec::new(),
        templates: Vec::new(),
    };
    let (_, findings) = Course::new(&files);
    assert_eq!(findings.len(), 4, "{findings:#?}");
    let report = report::concise(&findings);
    assert_eq!(report.lines().count(), findings.len(), "{report}");
}
