//! What every page says, whatever it is about: no slips of a generator, and one family of units.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use kettlebook::course::{Course, CourseFiles, included_file};
use kettlebook::page::{Form, Lesson, Page};
use kettlebook::source::SourceFile;

use crate::{course, pages, render, without_keys};

/// The Markdown files below a folder, sorted.
fn markdown_below(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).expect("the folder can be read") {
            let path = entry.expect("the entry can be read").path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|it| it == "md") {
                found.push(path);
            }
        }
    }
    found.sort();
    found
}

/// Every golden page in each family of units and both forms, with its name.
fn golden(units: &str) -> Vec<(String, String)> {
    let course = course(units);
    let mut texts = Vec::new();
    for path in markdown_below(&pages()).into_iter().filter(|it| it.parent() == Some(&pages())) {
        let name = path.file_name().expect("a name").to_string_lossy().into_owned();
        let text = fs::read_to_string(&path).expect("the page can be read");
        for form in [Form::Html, Form::Markdown] {
            texts.push((format!("{name} in {units}, {form:?}"), render(&course, &name, &text, form)));
        }
    }
    texts
}

/// Every page of the demonstration course, with its name and everything found on it.
fn demo() -> Vec<(String, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("course");
    let files = CourseFiles::read(&root, "").expect("the course can be read");
    let (mut course, findings) = Course::new(&files);
    let lessons = markdown_below(&root.join("src")).into_iter().map(|path| {
        let id = path.strip_prefix(root.join("src")).expect("below it").to_string_lossy().replace('\\', "/");
        let text = fs::read_to_string(&path).expect("the page can be read");
        Lesson { title: id.clone(), part: String::new(), file: SourceFile::new(format!("src/{id}"), text), id }
    });
    let included =
        |including: &str, path: &str| -> Option<Arc<SourceFile>> { included_file(&root, "", including, path) };
    let (read, _) = course.read_pages(lessons.collect(), &included);
    let mut texts: Vec<_> = findings.iter().map(|it| (it.code.to_owned(), format!("{it:?}"))).collect();
    for page in &read {
        for form in [Form::Html, Form::Markdown] {
            let rendered = course.render(page, form);
            texts.push((format!("a page of the course, {form:?}"), rendered.text));
            let words = rendered.findings.iter().map(|it| (it.code.to_owned(), it.message.clone()));
            texts.extend(words);
        }
    }
    texts
}

/// A text without tags and their attributes.
fn shown(html: &str) -> String {
    let mut shown = String::new();
    let mut is_tag = false;
    for it in html.chars() {
        match it {
            '<' => is_tag = true,
            '>' if is_tag => is_tag = false,
            it if !is_tag => shown.push(it),
            _ => {}
        }
    }
    shown
}

/// Slips of a generator: a word twice, a negative nothing, the dust of binary fractions.
fn slips(text: &str) -> Vec<String> {
    let words: Vec<&str> = text.split_whitespace().collect();
    let twice = words.windows(2).filter(|it| it.iter().all(|it| it.eq_ignore_ascii_case("the")));
    let mut slips: Vec<String> = twice.map(|it| it.join(" ")).collect();
    for (at, _) in text.match_indices('%') {
        let before = text[..at].trim_end();
        let start = before.rfind(|it: char| !(it.is_ascii_digit() || it == '.')).unwrap_or(0);
        let number = before[start..].strip_prefix(['-', '\u{2212}']).unwrap_or_default();
        let stands_alone = !text[..start].ends_with(|it: char| it.is_alphanumeric());
        if stands_alone && number.parse() == Ok(0.0) {
            slips.push(text[start..=at].to_owned());
        }
    }
    for (at, _) in text.match_indices('.').filter(|(at, _)| text[..*at].ends_with(|it: char| it.is_ascii_digit())) {
        let digits = text[at + 1..].chars().take_while(char::is_ascii_digit).count();
        // But for the ounce, which is defined so.
        if digits > 6 && !text[..at + 1 + digits].ends_with("28.349523125") {
            slips.push(text[at - 1..at + 1 + digits].to_owned());
        }
    }
    slips
}

#[test]
fn slips_of_a_generator_are_seen() {
    for (text, found) in [
        ("fills the the loaf to -0.0 % with 5.300000000000001 %", vec!["the the", "-0.0 %", "5.300000000000001"]),
        ("The the \u{2212}0\u{a0}% and 0 %, 10-0 %, 0.123456", vec!["The the", "\u{2212}0\u{a0}%"]),
    ] {
        assert_eq!(slips(text), found, "{text}");
    }
}

#[test]
fn no_page_has_a_slip_of_a_generator() {
    let mut texts = demo();
    assert!(texts.len() > 20, "no course");
    for units in ["grams", "ounces", "both"] {
        texts.extend(golden(units));
    }
    let found: Vec<_> =
        texts.iter().flat_map(|(name, text)| slips(text).into_iter().map(move |it| (name, it))).collect();
    assert!(found.is_empty(), "{found:#?}");
}

/// Words in a block's HTML that Markdown would have set off, as in `*caustic*`: nothing takes the marks out there.
fn marked_words(text: &str) -> Vec<String> {
    let blocks = text.lines().filter_map(|it| Some(shown(&it[it.find("<!--kettle")?..])));
    let is_marked = |it: &str| {
        let it = it.trim_matches(|it: char| ".,:;()".contains(it));
        let inner = it.trim_start_matches(['*', '_', '`']);
        inner.len() < it.len() && inner.starts_with(char::is_alphanumeric)
    };
    let words = blocks.flat_map(|it| it.split_whitespace().map(str::to_owned).collect::<Vec<_>>());
    words.filter(|it| is_marked(it)).collect()
}

#[test]
fn no_block_shows_the_marks_of_markdown_in_its_html() {
    let block = |words: &str| format!("*not* in a block\n<!--kettle-timeline--><p>{words}</p>\n");
    assert_eq!(marked_words(&block("jars labelled *caustic* for 2 * 3 days")), ["*caustic*"]);
    let pages = golden("both").into_iter().chain(demo()).filter(|(name, _)| name.ends_with("Html"));
    let found: Vec<_> =
        pages.flat_map(|(name, text)| marked_words(&text).into_iter().map(move |it| (name.clone(), it))).collect();
    assert!(found.is_empty(), "{found:#?}");
}

#[test]
fn a_course_in_ounces_speaks_of_inches_fluid_ounces_and_fahrenheit() {
    const METRIC: [&str; 7] = ["kg", "mm", "cm", "mL", "L", "°C", "degrees Celsius"];
    let mut found = Vec::new();
    let mut n_own = 0;
    for (name, text) in golden("ounces") {
        // An acid is measured in millilitres everywhere.
        if name.starts_with("titration.md") {
            continue;
        }
        let text = shown(&text);
        n_own += ["°F", "in", "fl\u{a0}oz"].iter().filter(|it| text.contains(&format!("\u{a0}{it}"))).count();
        for unit in METRIC {
            for (at, _) in text.match_indices(&format!("\u{a0}{unit}")) {
                if !text[at + '\u{a0}'.len_utf8() + unit.len()..].starts_with(|it: char| it.is_alphanumeric()) {
                    let start = text.floor_char_boundary(at.saturating_sub(60));
                    found.push((name.clone(), text[start..at].to_owned(), unit));
                }
            }
        }
    }
    assert!(n_own > 20, "nothing in the units of the course");
    assert!(found.is_empty(), "{found:#?}");
}

#[test]
fn names_that_begin_with_an_article_have_no_second_one() {
    let mould = "[loaf]\nname = \"The loaf\"\ninside-length = \"200 mm\"\ninside-width = \"80 mm\"\nfill-height = \"60 mm\"\n\
                 source = \"a test\"\n";
    let additive = "[kaolin]\nname = \"the white clay\"\nkind = \"clay\"\n";
    let recipe = |title: &str, size: &str| {
        format!(
            "title = \"{title}\"\n{size}\nsuperfat = 5\nalkali = \"NaOH\"\npurity = {{ NaOH = 98 }}\ndivide = \"batter\"\n\
             water = {{ lye-concentration = 33 }}\nadditives = [{{ item = \"kaolin\", rate = \"1 %\" }}]\n\
             [fats]\nolive = 70\ncoconut = 30\n[[layers]]\nname = \"the base\"\nshare = 1\n[[layers]]\nname = \"top\"\nshare = 1\n"
        )
    };
    let recipes = [
        ("filling", "mould = \"loaf\""),
        ("over", "batch = \"2 kg\"\ninto = \"loaf\""),
        ("under", "batch = \"300 g\"\ninto = \"loaf\""),
        ("cut", "mould = \"loaf\"\ncut = \"900 mm\""),
        ("little", "batch = \"20 g\""),
        ("fitting", "batch = \"600 g\"\ninto = \"loaf\""),
    ];
    let file = |(id, size): (&str, &str)| SourceFile::new(format!("recipes/{id}.toml"), recipe(id, size));
    let variant = "title = \"variant\"\nbased-on = \"fitting\"\nsuperfat = 8\n";
    let files = CourseFiles {
        book_toml: SourceFile::new("book.toml", "[preprocessor.kettle]\n"),
        recipes: recipes.into_iter().map(file).chain([SourceFile::new("recipes/variant.toml", variant)]).collect(),
        tables: vec![SourceFile::new("tables/moulds.toml", mould), SourceFile::new("tables/additives.toml", additive)],
        templates: Vec::new(),
    };
    let (course, findings) = Course::new(&files);
    let codes = ["batch-over-mould", "batch-under-mould", "cut-over-mould", "additive-below-scale"];
    for code in codes {
        assert!(findings.iter().any(|it| it.code == code), "{code}: {findings:#?}");
    }
    let mut texts: Vec<String> = findings.iter().map(|it| format!("{} {:?}", it.message, it.caution)).collect();
    for (id, views) in [("filling", "recipe layers timeline"), ("fitting", "recipe"), ("variant", "compare")] {
        let blocks = views.split(' ').map(|view| format!("```kettle {view}\nuse = \"{id}\"\n```\n\n"));
        let file = SourceFile::new("a.md", blocks.collect::<String>());
        let page = Page::read(Lesson { id: "a.md".into(), title: "A".into(), part: String::new(), file }, &|_, _| None);
        texts.push(shown(&course.render(&page, Form::Html).text));
    }
    assert!(texts.concat().contains("the loaf"));
    let found: Vec<_> = texts.iter().flat_map(|it| slips(it)).collect();
    assert!(found.is_empty(), "{found:#?}\n{texts:#?}");
}

#[test]
fn where_the_alkali_is_potash_nothing_is_turned_into_it() {
    let headings = |alkali: &str| {
        let recipe = format!(
            "title = \"Soft\"\nbatch = \"1 kg\"\nsuperfat = 5\nalkali = {alkali}\npurity = {{ KOH = 90 }}\n\
             water = {{ lye-concentration = 33 }}\n[fats]\nolive = 100\n"
        );
        let files = CourseFiles {
            book_toml: SourceFile::new("book.toml", "[preprocessor.kettle]\n"),
            recipes: vec![SourceFile::new("recipes/soft.toml", recipe)],
            tables: Vec::new(),
            templates: Vec::new(),
        };
        let page = "```kettle worked\nuse = \"soft\"\n```\n";
        let text = render(&Course::new(&files).0, "a.md", page, Form::Markdown);
        ["Convert it to NaOH", "Convert it to KOH", "The part that KOH does", "What the container must give"]
            .into_iter()
            .filter(|it| text.contains(&format!("*{it}.*")))
            .collect::<Vec<_>>()
    };
    assert_eq!(headings("\"KOH\""), ["What the container must give"]);
    assert_eq!(headings("{ NaOH = 40, KOH = 60 }"), ["Convert it to NaOH", "The part that KOH does"]);
}

#[test]
fn a_course_in_one_unit_shows_no_other() {
    let text = "```kettle recipe\nuse = \"beds\"\n```\n\n```kettle worked\n```\n\n```kettle layers\n```\n\n```kettle timeline\n```\n\n\
                ```kettle yield\n```\n";
    let (grams, ounces) = (course("grams"), course("ounces"));
    let grams = without_keys(&render(&grams, "a.md", text, Form::Html));
    let ounces = without_keys(&render(&ounces, "a.md", text, Form::Html));
    assert!(grams.contains("\u{a0}g<") && !grams.contains("\u{a0}oz"), "{grams}");
    assert!(ounces.contains("\u{a0}oz<") && !ounces.contains("\u{a0}g<"), "{ounces}");
    // So it is with lengths and volumes, but for the sources, which stand as they were published.
    for (metric, imperial) in
        [("\u{a0}mm", "\u{a0}in thick"), ("\u{a0}mL", "\u{a0}fl\u{a0}oz"), ("\u{a0}L<", "\u{a0}fl")]
    {
        assert!(grams.contains(metric) && !grams.contains(imperial), "{metric} {imperial}\n{grams}");
        assert!(ounces.contains(imperial) && !ounces.contains(metric), "{metric} {imperial}\n{ounces}");
    }
}
