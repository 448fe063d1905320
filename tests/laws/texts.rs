//! Whatever is typed: no panic, no number that is none, every finding at a place that exists.

use std::sync::{Arc, LazyLock};

use kettlebook::batch::superfat_uncertainty;
use kettlebook::course::{Course, CourseFiles};
use kettlebook::finding::Finding;
use kettlebook::ledger::Ledger;
use kettlebook::page::{Form, Included, Item, Lesson, Page, find};
use kettlebook::report;
use kettlebook::source::SourceFile;
use proptest::prelude::*;

use crate::plan::cases;

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
                    [tried]\nname = \"tried\"\nkind = \"wax\"\ninci = \"Tried\"\ninci-source = \"s\"\nsaponification-value = { use = 150, source = \"s\" }\n\
                    iodine-value = { low = 10, source = { work = \"w\", edition = \"e\", where = \"p\", confidence = \"from memory\" } }\n\
                    fatty-acids = { source = \"s\", basis = \"range\", C16-0 = [1, 2], C18-1 = [50, 60] }\nnote = \"n\"\n";

const ADDITIVES: &str = "[tried-acid]\nname = \"tried acid\"\nkind = \"acid\"\nmolar-mass = { value = 134.09, source = \"s\" }\nacidic-hydrogens = 2\n\
                         strength-percent = { value = 80, source = \"s\" }\n[tried-milk]\nkind = \"liquid\"\nwater-percent = { value = 88, source = \"s\" }\n\
                         [tried-scent]\nkind = \"fragrance\"\nbulk-density = { low = 0.9, high = 1.0, source = \"s\" }\n";

const MOULDS: &str = "[tried]\nname = \"tried\"\ninside-length = \"230 mm\"\ninside-width = \"7.5 cm\"\nfill-height = \"2.5 in\"\ncavities = 3\nsource = \"s\"\n";

/// The embedded tables that a course may lay its own numbers over.
const ALKALIS: &str = include_str!("../../src/tables/alkalis.toml");
const LIMITS: &str = include_str!("../../src/tables/limits.toml");

/// A page with every view and many values.
const PAGE: &str = "# Page\n\n{{ title }} {{ superfat }} {{ superfat_as_weighed }} {{ lye_concentration }} {{ water_per_lye }}\n\
    {{ water_of_fats }} {{ water }} {{ solution }} {{ total.fats }} {{ total.batch }} {{ fats.olive }} {{ percent.olive }}\n\
    {{ alkali.NaOH }} {{ layers.base.poured }} {{ grams.total.batch }} {{ ounces.total.solution }}\n\n\
    ```kettle recipe\nuse = \"tried\"\n```\n\n```kettle worked\n```\n\n```kettle layers\n```\n\n```kettle safety\n```\n\n\
    ```kettle profile\n```\n\n```kettle yield\n```\n\n```kettle fats\nonly = \"used\"\n```\n\n```kettle yield\nuse = \"moulded\"\n```\n\n\
    ```kettle recipe\nuse = \"moulded\"\n```\n\n> ```kettle worked\n> use = \"moulded\"\n> ```\n\n\
    ```kettle practice\nask = \"How much for {{ total.fats }}?\"\nwith = { batch = \"650 g\", superfat = 8 }\nanswer = \"alkali.NaOH\"\n\
    tolerance = \"2 g\"\nbecause = \"It is {{ alkali.NaOH }}.\"\n```\n\n```kettle layers\nuse = \"moulded\"\n```\n\n\
    ```kettle timeline\nuse = \"moulded\"\n```\n\n```kettle compare\nuse = \"variant\"\n```\n";

/// The texts of a course, in the order of the seeds below.
#[derive(Clone, Debug)]
struct Texts {
    texts: [String; 10],
}

static SEEDS: LazyLock<Texts> = LazyLock::new(|| Texts {
    texts: [BOOK, RECIPE, MOULDED, FATS, ADDITIVES, MOULDS, ALKALIS, LIMITS, PAGE, VARIANT].map(str::to_owned),
});

const PATHS: [&str; 10] = [
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
fn check_places(findings: &[Finding]) {
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
            assert_eq!(weighed.layers.iter().map(|it| it.solution).sum::<u64>(), weighed.solution(), "{}", recipe.id);
            let poured = weighed.layers.iter().map(|it| it.poured()).sum::<u64>();
            assert_eq!(poured + weighed.late_fats.iter().sum::<u64>(), weighed.poured(), "{}", recipe.id);
        }
    }
    assert!(numbers.iter().all(|it| it.is_finite()), "{}: {numbers:?}", recipe.id);
}

/// Reads, computes, renders and reports a course of these texts.
#[track_caller]
fn run(texts: &Texts) {
    let file = |idx: usize| SourceFile::new(PATHS[idx], texts.texts[idx].as_str());
    let files = CourseFiles {
        book_toml: file(0),
        recipes: vec![file(2), file(1), file(9)],
        tables: vec![file(6), file(3), file(4), file(7), file(5)],
        templates: Vec::new(),
    };
    let (course, mut findings) = Course::new(&files);
    for ledger in course.recipes().values().flatten() {
        check_finite(ledger);
    }
    let page = file(8);
    for form in [Form::Html, Form::Markdown] {
        let included = |_: &str, _: &str| None;
        let rendered = course.render(&read_page(&page, &included), form);
        let has_no_number = |it: &str| matches!(it, "NaN" | "inf" | "-inf");
        let words = rendered.text.split(|it: char| !(it.is_alphanumeric() || it == '-'));
        assert!(!words.into_iter().any(has_no_number) || page.text().contains("inf"), "{}", rendered.text);
        findings.extend(rendered.findings);
    }
    findings.extend(course.missing_assets(Form::Html));
    check_places(&findings);
    let json = report::json(&findings).expect("findings are text");
    let _ = (report::full(&findings, true), json, report::summary(&findings));
    let _ = report::concise(&findings);
}

/// What an author would hardly type, in place of a value.
const NASTY: [&str; 44] = [
    "0",
    "-0.0",
    "-1",
    "1",
    "0.5",
    "50",
    "99",
    "100",
    "101",
    "1000",
    "1e6",
    "1e300",
    "1e-300",
    "5e-324",
    "1e999",
    "nan",
    "inf",
    "-inf",
    "99999999999999999999",
    "0x7fffffffffffffff",
    "true",
    "\"\"",
    "\" \"",
    "\"x\"",
    "\"nan\"",
    "\"1e300 g\"",
    "\"1 mg\"",
    "\"0.001 g\"",
    "\"1000 kg\"",
    "\"0 g\"",
    "\"1 % of water\"",
    "\"1000 %\"",
    "\"10000 mm\"",
    "\"1 mm\"",
    "[]",
    "{}",
    "[1, 2]",
    "[2, 1]",
    "{ low = 1, high = 2, source = \"s\" }",
    "{ value = 1e-9, source = \"s\" }",
    "1979-05-27",
    "'''a\nb'''",
    "\"\\u0000\\u202e\"",
    "\"ä😀\"",
];

/// A slip in a text: which line, what kind, and with what.
type Slip = (usize, usize, usize, u8);

fn slip(text: &str, (line, at, what, kind): Slip) -> String {
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    if lines.is_empty() {
        return NASTY[what % NASTY.len()].to_owned();
    }
    let (line, n_lines) = (line % lines.len(), lines.len());
    let nasty = NASTY[what % NASTY.len()];
    // Where numbers and texts start in the line: each may be put in another's place.
    let values: Vec<(usize, usize)> = value_ranges(&lines[line]);
    match kind % 8 {
        0..=3 if !values.is_empty() => {
            let (start, end) = values[at % values.len()];
            lines[line].replace_range(start..end, nasty);
        }
        4 => drop(lines.remove(line)),
        5 => {
            let twice = lines[line].clone();
            lines.insert(at % n_lines, twice);
        }
        6 => lines.insert(line, format!("{nasty} = {nasty}")),
        7 => {
            let boundary = (0..=at % (lines[line].len() + 1)).rev().find(|it| lines[line].is_char_boundary(*it));
            lines[line].truncate(boundary.unwrap_or(0));
        }
        _ => lines[line].push_str(nasty),
    }
    lines.join("\n") + "\n"
}

/// The numbers and quoted texts after an equals sign of a line.
fn value_ranges(line: &str) -> Vec<(usize, usize)> {
    let mut ranges = Vec::new();
    for (at, _) in line.match_indices("= ") {
        let start = at + 2;
        let rest = &line[start..];
        let end = match rest.strip_prefix('"') {
            Some(inside) => inside.find('"').map_or(rest.len(), |it| it + 2),
            None => rest.find([',', ' ', '}', ']']).unwrap_or(rest.len()),
        };
        if end > 0 {
            ranges.push((start, start + end));
        }
    }
    ranges
}

/// A course with one to four slips in its texts.
fn courses_with_slips() -> impl Strategy<Value = Texts> {
    let which = (0..PATHS.len(), (any::<usize>(), any::<usize>(), any::<usize>(), any::<u8>()));
    prop::collection::vec(which, 1..5).prop_map(|slips| {
        let mut texts = SEEDS.clone();
        for (idx, how) in slips {
            texts.texts[idx] = slip(&texts.texts[idx], how);
        }
        texts
    })
}

/// Any text, and texts that Tera refuses.
fn any_template() -> impl Strategy<Value = String> {
    (any::<String>(), prop::sample::select(vec!["", "{%", "{{", "{{ x", "{% if %}", "{#", "ä{%"]))
        .prop_map(|(text, broken)| text + broken)
}

/// Pieces of Markdown and of what is ours, put together in any order.
fn markdown() -> impl Strategy<Value = String> {
    let pieces = [
        "```kettle recipe\n",
        "```kettle\n",
        "```kettle layers\n",
        "~~~kettle safety\n",
        "```kettle practice\n",
        "ask = \"é {{ lye }} {{ \"\n",
        "answer = \"lye\"\n",
        "```",
        "```\n",
        "~~~\n",
        "````\n",
        "use = \"tried\"\n",
        "use = \"moulded\"\n",
        "use = \n",
        "{{ lye }}",
        "{{ fats.olive }}",
        "{{",
        "}}",
        "{{}}",
        "\\",
        "{{#include a.md}}",
        "{{#include a.md:1}}",
        "{{ water | upper }}",
        "{{ [1, 2][0] }}",
        "{{ \"}}\" }}",
        "\n",
        "\n\n",
        "\r\n",
        "> ",
        "- ",
        "1. ",
        "    ",
        "\t",
        " ",
        "text",
        "# head\n",
        "| a | b |\n|---|---|\n",
        "`",
        "``",
        "<div>\n",
        "</div>\n",
        "<!-- ",
        " -->",
        "<pre>",
        "[^1]",
        "[^1]: note\n",
        "$$",
        "ä😀\u{202e}",
        "\u{0}",
        "***\n",
        "===\n",
        "kettle",
        "ketle",
        "```Kettle recipe\n",
    ];
    prop::collection::vec(prop::sample::select(pieces.to_vec()), 0..30).prop_map(|it| it.concat())
}

/// A course that is computed once, for pages alone.
fn rendered(page: &Arc<SourceFile>, form: Form) -> kettlebook::page::Rendered {
    std::thread_local! {
        static COURSE: Course = {
            let file = |idx: usize| SourceFile::new(PATHS[idx], SEEDS.texts[idx].as_str());
            let files = CourseFiles {
                book_toml: file(0),
                recipes: vec![file(1), file(2), file(9)],
                tables: vec![file(3), file(4), file(5)],
                templates: Vec::new(),
            };
            let (course, findings) = Course::new(&files);
            assert!(findings.iter().all(|it| it.severity != kettlebook::finding::Severity::Error), "{findings:#?}");
            course
        };
    }
    // A file that includes itself and another page, so that including has something to find.
    let included = |_: &str, path: &str| match path {
        "a.md" => Some(SourceFile::new("src/a.md", "{{ lye }}\n\n{{#include b.md}}\n")),
        "b.md" => Some(SourceFile::new("src/b.md", "{{#include a.md}}\n```kettle worked\n```\n")),
        _ => None,
    };
    COURSE.with(|it| it.render(&read_page(page, &included), form))
}

proptest! {
    #![proptest_config(cases(300))]

    #[test]
    fn a_course_with_slips_in_it_is_read_to_the_end(texts in courses_with_slips()) {
        run(&texts);
    }
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

proptest! {
    #![proptest_config(cases(400))]

    /// Whatever the Markdown: findings point into files, and what is to be replaced are stretches of it, in order.
    #[test]
    fn any_markdown_may_be_a_page(text in markdown()) {
        let page = SourceFile::new("src/page.md", text.as_str());
        let (items, findings) = find(&page);
        check_places(&findings);
        let mut from = 0;
        for range in items.iter().map(Item::range) {
            prop_assert!(from <= range.start && range.start < range.end && range.end <= text.len(), "{range:?} after {from}");
            prop_assert!(text.is_char_boundary(range.start) && text.is_char_boundary(range.end));
            from = range.end;
        }
        for form in [Form::Html, Form::Markdown] {
            let rendered = rendered(&page, form);
            check_places(&rendered.findings);
            // What stands before the first thing that is computed comes out as it went in, but for cautions put in.
            if items.is_empty() {
                prop_assert_eq!(&rendered.text, &text);
            }
        }
        // What is made for readers of HTML is found for those of Markdown too.
        let codes = |form| rendered(&page, form).findings.iter().map(|it| it.code).collect::<Vec<_>>();
        prop_assert_eq!(codes(Form::Html), codes(Form::Markdown));
    }

    /// A page that has nothing to do with us is not touched.
    #[test]
    fn a_page_without_blocks_and_braces_passes_through_byte_for_byte(text in prop_oneof![markdown(), any::<String>()]) {
        let text = text.replace("kettle", "pot").replace("{{", "(");
        let page = SourceFile::new("src/page.md", text.as_str());
        for form in [Form::Html, Form::Markdown] {
            prop_assert_eq!(&rendered(&page, form).text, &text);
        }
    }

    #[test]
    fn the_same_course_gives_the_same_bytes(text in markdown()) {
        let page = SourceFile::new("src/page.md", text.as_str());
        prop_assert_eq!(rendered(&page, Form::Html).text, rendered(&page, Form::Html).text);
    }
}

/// The seeds themselves have nothing wrong with them: slips are the only slips.
#[test]
fn the_course_that_slips_are_made_in_has_no_errors() {
    run(&SEEDS);
    let page = SourceFile::new(PATHS[8], PAGE);
    let findings = rendered(&page, Form::Html).findings;
    let codes: Vec<_> = findings.iter().map(|it| it.code).collect();
    assert_eq!(codes, ["no-layers"], "{findings:#?}");
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

/// Numbers as a table may hold them: usual, none, below none, and as large and small as they come.
fn any_number() -> impl Strategy<Value = f64> {
    prop_oneof![
        -1000.0..1000.0_f64,
        prop::sample::select(vec![0.0, 1.0, -1.0, 0.5, 100.0, 1e6, 1e300, -1e300, 1e-300, 5e-324, f64::MAX]),
    ]
}

proptest! {
    #![proptest_config(cases(300))]

    /// An instructor may lay any numbers over the alkalis and the limits; the calculator still gives numbers.
    #[test]
    fn any_numbers_may_stand_in_the_tables(
        model in prop::collection::vec(any_number(), 8),
        limits in prop::collection::vec(any_number(), 8),
        lengths in prop::collection::vec(prop::sample::select(vec!["1 mm", "10000 mm", "75 mm", "10 m", "393 in"]), 3),
        water in prop::sample::select(vec!["lye-concentration = 1", "lye-concentration = 99", "per-lye = 2", "of-fats = 1000"]),
        superfat in prop::sample::select(vec!["-100", "0", "5", "99"]),
    ) {
        let mut texts = SEEDS.clone();
        let keys = ["c0", "c1", "c2", "c3", "c4", "lowest-celsius", "highest-celsius", "highest-mass-fraction"];
        let model: Vec<String> = keys.iter().zip(&model).map(|(key, it)| format!("{key} = {it:e}")).collect();
        let row = format!("density-model = {{ {}, source = \"s\" }}\n", model.join(", "));
        texts.texts[6] = format!("[NaOH]\n{row}[KOH]\n{row}");
        let names: Vec<&str> = LIMITS.lines().filter_map(|it| it.strip_prefix('[')?.strip_suffix(']')).collect();
        texts.texts[7] = names
            .iter()
            .zip(limits.iter().cycle())
            .filter(|(name, _)| !name.starts_with("usual"))
            .map(|(name, it)| format!("[{name}]\nvalue = {it:e}\nsource = \"s\"\n"))
            .collect();
        texts.texts[5] = format!(
            "[tried]\ninside-length = \"{}\"\ninside-width = \"{}\"\nfill-height = \"{}\"\ncavities = 1000\nsource = \"s\"\n",
            lengths[0], lengths[1], lengths[2]
        );
        for idx in [1, 2] {
            texts.texts[idx] = texts.texts[idx]
                .replace("lye-concentration = 33", water)
                .replace("per-lye = 2", water)
                .replace("superfat = 5", &format!("superfat = {superfat}"));
        }
        run(&texts);
    }
}

/// A page of its own.
fn read_page(file: &Arc<SourceFile>, included: Included<'_>) -> Page {
    Page::read(Lesson { id: "page".into(), title: "Page".into(), file: Arc::clone(file) }, included)
}
