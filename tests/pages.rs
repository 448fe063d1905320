//! Golden pages: each `tests/pages/*.md` rendered in both forms, compared with what is stored beside it.
//!
//! After a change you meant, look at every changed snapshot (`cargo insta review`).

mod pages {
    mod gathered;
    mod words;
}

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use kettlebook::course::{Course, CourseFiles};
use kettlebook::finding::Severity;
use kettlebook::page::{Form, Lesson, Page, Rendered};
use kettlebook::source::SourceFile;
use scraper::{ElementRef, Html, Selector};

fn pages() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/pages")
}

fn lesson(id: &str, title: &str, text: &str) -> Lesson {
    // The glossary stands outside of any part.
    let part = if id == "glossary.md" { "" } else { "The second evening: a test" };
    Lesson { id: id.to_owned(), title: title.to_owned(), part: part.to_owned(), file: SourceFile::new(id, text) }
}

fn course(units: &str) -> Course {
    let folder = |name: &str| -> Vec<Arc<SourceFile>> {
        let mut names: Vec<PathBuf> = fs::read_dir(pages().join("course").join(name))
            .expect("the folder can be read")
            .map(|it| it.expect("the entry can be read").path())
            .collect();
        names.sort();
        let read = |path: &PathBuf| {
            let shown = format!("{name}/{}", path.file_name().expect("a name").to_string_lossy());
            SourceFile::new(shown, fs::read_to_string(path).expect("the file can be read"))
        };
        names.iter().map(read).collect()
    };
    let settings = format!("[preprocessor.kettle]\nunits = \"{units}\"\nscale = {{ small = {{ ounces = 0.005 }} }}\n");
    let files = CourseFiles {
        book_toml: SourceFile::new("book.toml", settings),
        recipes: folder("recipes"),
        tables: folder("tables"),
        templates: Vec::new(),
    };
    let (mut course, mut findings) = Course::new(&files);
    findings.retain(|it| it.severity != Severity::Acknowledged);
    assert!(findings.is_empty(), "{findings:#?}");
    let lessons = [("first.md", "First words"), ("deeper/second.md", "Second words"), ("glossary.md", "Glossary")];
    let lessons = lessons.map(|(id, title)| {
        let path = if id == "glossary.md" { pages().join(id) } else { pages().join("lessons").join(id) };
        let text = fs::read_to_string(path).expect("the lesson can be read");
        lesson(id, title, &text)
    });
    assert_eq!(course.read_pages(lessons.into(), &|_, _| None).1, []);
    course
}

#[track_caller]
fn render(course: &Course, name: &str, text: &str, form: Form) -> String {
    let Rendered { text, findings, .. } = course.render(&Page::read(lesson(name, name, text), &|_, _| None), form);
    let errors: Vec<_> = findings.iter().filter(|it| it.severity != Severity::Note).collect();
    assert!(errors.is_empty(), "{name}: {errors:#?}");
    text
}

#[test]
fn every_page_is_as_it_was_in_both_forms() {
    let both = course("both");
    insta::glob!("pages/*.md", |path| {
        let name = path.file_name().expect("a name").to_string_lossy().into_owned();
        let text = fs::read_to_string(path).expect("the page can be read");
        for (form, ending) in [(Form::Html, "html"), (Form::Markdown, "markdown")] {
            // One tag a line reads better than one line in all.
            let rendered = render(&both, &name, &text, form).replace("> <", ">\n<");
            insta::assert_snapshot!(ending, rendered);
        }
    });
}

#[test]
fn what_may_stand_before_the_cautions_prints_no_lye() {
    let both = course("both");
    for name in ["opener.md", "programme.md"] {
        let text = fs::read_to_string(pages().join(name)).expect("the page can be read");
        let printed = both.render(&Page::read(lesson(name, name, &text), &|_, _| None), Form::Html).printed;
        assert!(!printed.is_empty(), "{name}");
        assert!(printed.iter().all(|it| it.key.as_ref().is_some_and(|it| !it.holds_lye())), "{name}: {printed:#?}");
    }
}

#[test]
fn a_page_without_blocks_and_values_keeps_every_byte() {
    let text = fs::read_to_string(pages().join("nothing_to_compute.md")).expect("the page can be read");
    assert_eq!(render(&course("grams"), "a.md", &text, Form::Html), text);
    let crlf = text.replace('\n', "\r\n");
    assert_eq!(render(&course("grams"), "a.md", &crlf, Form::Html), crlf);
}

/// The HTML that mdBook makes of a rendered page.
fn html(rendered: &str) -> Html {
    use mdbook_markdown::pulldown_cmark::html::push_html;
    use mdbook_markdown::{MarkdownOptions, new_cmark_parser};
    let mut html = String::new();
    push_html(&mut html, new_cmark_parser(rendered, &MarkdownOptions::default()));
    Html::parse_fragment(&html)
}

fn all<'a>(html: &'a Html, selector: &str) -> Vec<ElementRef<'a>> {
    html.select(&Selector::parse(selector).expect("a selector")).collect()
}

#[test]
fn blocks_in_lists_quotes_and_details_stay_inside_them() {
    let text = fs::read_to_string(pages().join("inside_lists_and_quotes.md")).expect("the page can be read");
    let page = html(&render(&course("both"), "a.md", &text, Form::Html));
    assert_eq!(all(&page, "ol > li > .kettle-safety").len(), 1);
    assert_eq!(all(&page, "ol > li > .kettle-recipe").len(), 1);
    assert_eq!(all(&page, "blockquote > .kettle-worked").len(), 1);
    assert_eq!(all(&page, "details > .kettle-recipe").len(), 1);
    // The one in the longer fence is shown as it is.
    let code: Vec<String> = all(&page, "pre > code").iter().map(|it| it.text().collect()).collect();
    assert_eq!(code, ["```kettle recipe\nuse = \"left alone\"\n```\n"]);
    assert_eq!(all(&page, "[id]").len(), 0, "blocks have no ids");
}

#[test]
fn the_markdown_form_is_a_table_in_the_same_list_item_and_quote() {
    let text = fs::read_to_string(pages().join("inside_lists_and_quotes.md")).expect("the page can be read");
    let page = html(&render(&course("both"), "a.md", &text, Form::Markdown));
    assert_eq!(all(&page, ".kettle").len(), 0);
    assert_eq!(all(&page, "ol > li > table").len(), 2, "the card has two tables");
    assert_eq!(all(&page, "ol > li > blockquote").len(), 1, "the cautions");
    assert_eq!(all(&page, "details > table").len(), 2, "the card in the details");
    assert!(all(&page, "blockquote > table").len() == 1, "the table of the arithmetic stays in the quote");
}

#[test]
fn cautions_are_put_before_the_first_lye_and_only_where_there_are_none() {
    let course = course("both");
    let page = fs::read_to_string(pages().join("cautions_come_by_themselves.md")).expect("the page can be read");
    let rendered = render(&course, "a.md", &page, Form::Html);
    let (cautions, list) = (rendered.find("kettle-safety"), rendered.find("- a list"));
    assert!(cautions.is_some() && cautions < list, "{rendered}");
    assert_eq!(rendered.matches("kettle-safety").count(), 1);

    let (card, safety) = ("```kettle recipe\nuse = \"plain\"\n```\n\n", "```kettle safety\n```\n\n");
    let boxes = |page: &str| render(&course, "a.md", page, Form::Html).matches("kettle-safety").count();
    assert_eq!(boxes(&format!("{safety}{card}")), 1);
    // A box at the foot is read too late: it stays, and one comes in front.
    let page = render(&course, "a.md", &format!("{card}{safety}"), Form::Html);
    assert_eq!(page.matches("kettle-safety").count(), 2);
    assert!(page.find("kettle-safety") < page.find("kettle-recipe"), "{page}");
}

/// No recipe that a box names keeps back what another recipe on its page calls for, in a card or in a sentence.
#[test]
fn a_box_holds_the_cautions_of_everything_on_its_page() {
    let course = course("both");
    let safety = "```kettle safety\nuse = \"plain\"\n```\n\n";
    let of_page = "```kettle safety\n```\n\n";
    for (safety, shown) in [
        (safety, "```kettle recipe\nuse = \"soft\"\n```\n"),
        (safety, "Weigh {{ soft.alkali.KOH }}.\n"),
        (of_page, "Weigh {{ soft.alkali.KOH }}.\n"),
    ] {
        let page = render(&course, "a.md", &format!("{safety}{shown}"), Form::Markdown);
        let cautions: String = page.lines().filter(|it| it.starts_with('>')).collect();
        assert!(cautions.contains("Sodium hydroxide (NaOH)") && cautions.contains("(KOH)"), "{page}");
    }
    assert!(!render(&course, "a.md", safety, Form::Markdown).contains("(KOH)"), "nor does it invent any");
}

#[test]
fn what_the_cautions_say_depends_on_the_recipe() {
    let course = course("both");
    let cautions =
        |recipe: &str| render(&course, "a.md", &format!("```kettle safety\nuse = \"{recipe}\"\n```\n"), Form::Html);
    let (plain, soft) = (cautions("plain"), cautions("soft"));
    for (words, in_plain, in_soft) in [
        ("odium hydroxide (NaOH)", true, true),
        ("potassium hydroxide (KOH)", false, true),
        ("draws water out of the air", false, true),
        ("Coconut oil must be melted", true, true),
        ("will melt only at a high temperature", false, true),
        ("Anhydrous citric acid and vinegar must be dissolved", false, true),
        ("besides water heats", false, true),
        ("safety data sheets", true, true),
        ("never pour water onto lye", true, true),
        ("Put nothing acidic on skin", true, true),
    ] {
        assert_eq!((plain.contains(words), soft.contains(words)), (in_plain, in_soft), "{words}\n{soft}");
    }
}

#[test]
fn a_strong_lye_is_called_strong() {
    let strong = "title = \"Strong\"\nbatch = \"1 kg\"\nsuperfat = 6\nalkali = \"NaOH\"\npurity = { NaOH = 99 }\n\
                  water = { lye-concentration = 40 }\n[fats]\nlard = 100\n";
    let page = "```kettle safety\nuse = \"strong\"\n```\n";
    let cautions = |concentration: &str| {
        let recipe = strong.replace("= 40", &format!("= {concentration}"));
        let files = CourseFiles {
            book_toml: SourceFile::new("book.toml", "[preprocessor.kettle]\n"),
            recipes: vec![SourceFile::new("recipes/strong.toml", recipe)],
            tables: Vec::new(),
            templates: Vec::new(),
        };
        without_keys(&render(&Course::new(&files).0, "a.md", page, Form::Html))
    };
    assert!(cautions("40").contains("This lye solution is strong: 40\u{a0}% of it is lye"));
    assert!(cautions("36").contains("This lye solution is strong: 36\u{a0}%"));
    assert!(!cautions("35").contains("This lye solution is strong"));
}

/// A page without the elements that name its figures.
fn without_keys(html: &str) -> String {
    let mut pieces = html.split("<span data-kettle=");
    let mut clean = pieces.next().unwrap_or_default().to_owned();
    for piece in pieces {
        let (_, rest) = piece.split_once('>').expect("the tag ends");
        let (shown, after) = rest.split_once("</span>").expect("the element ends");
        clean.push_str(shown);
        clean.push_str(after);
    }
    clean
}

/// A page with one exercise on the plain recipe.
fn exercise(keys: &str) -> String {
    format!("```kettle practice\nuse = \"plain\"\n{keys}```\n")
}

#[test]
fn an_exercise_that_speaks_of_lye_brings_the_cautions_and_another_does_not() {
    let course = course("both");
    let n_cautions = |keys: &str| {
        let rendered = render(&course, "a.md", &exercise(keys), Form::Html);
        let (cautions, practice) = (rendered.find("kettle-safety"), rendered.find("kettle-practice"));
        assert!(practice.is_some() && cautions.is_none_or(|it| Some(it) < practice), "{rendered}");
        rendered.matches("kettle-safety").count()
    };
    assert_eq!(n_cautions("ask = \"How much?\"\nanswer = \"lye\"\n"), 1);
    assert_eq!(n_cautions("ask = \"How much?\"\nanswer = \"total.fats\"\nbecause = \"As {{ lye }} takes.\"\n"), 1);
    assert_eq!(n_cautions("ask = \"How much for {{ solution }}?\"\nanswer = \"total.fats\"\n"), 1);
    assert_eq!(n_cautions("ask = \"How much?\"\nanswer = \"total.fats\"\nbecause = \"Of {{ percent.olive }}.\"\n"), 0);
}

#[test]
fn the_number_to_meet_is_the_one_that_a_card_of_the_changed_recipe_prints() {
    let smaller = "title = \"Smaller\"\nbatch = \"650 g\"\nsuperfat = 8\nalkali = \"NaOH\"\npurity = { NaOH = 98 }\n\
                   water = { lye-concentration = 33 }\n[fats]\nolive = 60\ncoconut = 40\n";
    let plain = fs::read_to_string(pages().join("course/recipes/plain.toml")).expect("the recipe can be read");
    let page = "```kettle recipe\nuse = \"smaller\"\n```\n\n".to_owned()
        + &exercise("ask = \"?\"\nwith = { batch = \"650 g\", superfat = 8 }\nanswer = \"lye\"\n");
    for (units, scale, n_targets) in
        [("grams", "{ grams = 5 }", 1), ("ounces", "{ ounces = 0.01 }", 1), ("both", "{ grams = 0.1 }", 2)]
    {
        let files = CourseFiles {
            book_toml: SourceFile::new(
                "book.toml",
                format!("[preprocessor.kettle]\nunits = \"{units}\"\nscale = {scale}\n"),
            ),
            recipes: vec![
                SourceFile::new("recipes/plain.toml", plain.as_str()),
                SourceFile::new("recipes/smaller.toml", smaller),
            ],
            tables: Vec::new(),
            templates: Vec::new(),
        };
        let page = html(&render(&Course::new(&files).0, "a.md", &page, Form::Html));
        // The row of the lye has the main unit in bold and the other beside it.
        let rows = all(&page, ".kettle-rows li");
        let row =
            rows.iter().find(|it| it.text().collect::<String>().contains("Sodium hydroxide")).expect("a row of lye");
        let amounts = Selector::parse(".kettle-amount > *").expect("a selector");
        let amounts: Vec<String> = row.select(&amounts).map(|it| it.text().collect()).collect();
        let targets = all(&page, "[data-kettle-expected]").into_iter().map(|it| {
            format!("{}\u{a0}{}", it.attr("data-kettle-expected").expect("a number"), it.text().collect::<String>())
        });
        let targets: Vec<String> = targets.collect();
        assert_eq!(targets, amounts, "{units}");
        assert_eq!(targets.len(), n_targets, "{units}");
        let answer: String = all(&page, ".kettle-result")[0].text().collect();
        assert!(amounts.iter().all(|it| answer.contains(it.as_str())), "{answer}, {amounts:?}");
    }
}

/// What is said of typed numbers, by unit.
fn spans(course: &Course, keys: &str) -> Vec<String> {
    let page = html(&render(course, "a.md", &exercise(&format!("ask = \"?\"\n{keys}")), Form::Html));
    let of = |it: ElementRef<'_>| it.attr("data-kettle-spans").expect("spans").to_owned();
    all(&page, "[data-kettle-spans]").into_iter().map(of).collect()
}

#[test]
fn a_tolerance_is_never_finer_than_what_is_printed() {
    let course = course("both");
    for (keys, expected) in [
        ("answer = \"water\"\n", vec!["right 303 305", "right 10.7 10.8"]),
        ("answer = \"water\"\ntolerance = \"0.2 g\"\n", vec!["right 303 305", "right 10.7 10.8"]),
        // 2 g are 0.0705 oz, 1 % of 304 g and of 10.75 oz are 3.04 g and 0.1075 oz: up to the next step of the scale.
        ("answer = \"water\"\ntolerance = \"2 g\"\n", vec!["right 302 306", "right 10.65 10.85"]),
        ("answer = \"water\"\ntolerance = \"1 %\"\n", vec!["right 300 308", "right 10.6 10.9"]),
        ("answer = \"grams.water\"\ntolerance = \"0.1 oz\"\n", vec!["right 301 307"]),
        ("answer = \"superfat\"\n", vec!["right 4.9 5.1"]),
        ("answer = \"percent.olive\"\n", vec!["right 59.4 60.6"]),
        ("answer = \"water_per_lye\"\n", vec!["right 2 2.06"]),
        ("answer = \"0\"\n", vec!["right -0.01 0.01"]),
    ] {
        let firsts: Vec<String> =
            spans(&course, keys).iter().map(|it| it.split("; ").next().expect("a span").to_owned()).collect();
        assert_eq!(firsts, expected, "{keys}");
    }
}

/// 1000 g of fats, 60 % at 190.5 and 40 % at 256.5, take 216.9 g of KOH, 206.06 g with 5 % left over. That is 146.89 g
/// of NaOH, 149.89 g of 98 %, so the card prints 149 g. With nothing left over it is 157.78 g, and of KOH 210.26 g of 98 %.
#[test]
fn more_lye_than_the_card_says_is_never_right_and_the_usual_slips_are_known() {
    let course = course("grams");
    for (keys, expected) in [
        (
            "answer = \"lye\"\n",
            "right 148 149; ounces 5.2 5.25; superfat 157 158; purity 146 147; alkali 210 211; over 149 150",
        ),
        // What counts as right anyway is no slip.
        (
            "answer = \"lye\"\ntolerance = \"3 g\"\n",
            "right 146 149; ounces 5.1 5.25; superfat 157 158; alkali 210 211; over 149 152",
        ),
        // With half a percent left over it is 156.99 g: one step of the scale from there may be mere rounding.
        (
            "with = { superfat = 0.5 }\nanswer = \"lye\"\n",
            "right 155 156; ounces 5.45 5.5; unchanged 149 150; purity 153 154; alkali 220 221; over 156 157",
        ),
        // 149 g times ten are 1490 g. The lye of ten times the fats is 1498.9 g, and what is rounded down first is less.
        (
            "with = { batch = \"10 kg\" }\nanswer = \"lye\"\n",
            "right 1497 1498; right 1490 1490; ounces 52.8 52.85; unchanged 149 150; superfat 1577 1578; \
             purity 1468 1469; alkali 2102 2103; over 1498 1499",
        ),
        // 149 g times 1.4 are 208.6 g, and the card prints 209 g.
        (
            "with = { batch = \"1.4 kg\" }\nanswer = \"lye\"\n",
            "right 208 209; ounces 7.35 7.4; unchanged 149 150; superfat 220 221; purity 205 206; alkali 294 295; \
             over 209 210",
        ),
        // Half of 149.9 g of lye is rounded down; half of what would leave no superfat is 78.9 g.
        ("answer = \"lye / 2\"\n", "right 73 74; ounces 2.55 2.6; superfat 78 79; alkali 105 106; over 74 75"),
    ] {
        assert_eq!(spans(&course, keys), [expected], "{keys}");
    }
}

/// An acid takes lye up as fats do. A card was rounded before it is multiplied, its fats to the nearest gram: where that went
/// up, 309 g of lard, a multiple is right; where it went down, 377 g of olive oil, it is too little.
#[test]
fn acids_are_as_fats_and_a_multiplied_card_is_right_on_the_safe_side_alone() {
    let course = course("grams");
    for (recipe, keys, expected) in [
        ("soft", "answer = \"additives.citric-acid\"\n", "right 10 11; ounces 0.35 0.4; under 9 10"),
        (
            "layered",
            "with = { batch = \"20 kg\" }\nanswer = \"fats.olive\"\n",
            "right 11000 11001; ounces 388.01 388.1; unchanged 377 378; under 10999 11000; rounding 10990 10991",
        ),
        (
            "layered",
            "with = { batch = \"20 kg\" }\nanswer = \"fats.lard\"\n",
            "right 9000 9001; right 9008 9009; ounces 317.45 317.5; unchanged 308 309; under 8999 9000",
        ),
        (
            "layered",
            "with = { batch = \"20 kg\" }\nanswer = \"lye\"\n",
            "right 2647 2648; right 2623 2624; ounces 93.35 93.4; unchanged 90 91; superfat 2817 2818; \
             purity 2595 2596; alkali 3714 3715; over 2648 2649",
        ),
    ] {
        let page = exercise(&format!("ask = \"?\"\n{keys}")).replace("\"plain\"", &format!("\"{recipe}\""));
        let page = html(&render(&course, "a.md", &page, Form::Html));
        let spans = all(&page, "[data-kettle-spans]")[0].attr("data-kettle-spans");
        assert_eq!(spans, Some(expected), "{recipe}: {keys}");
        for verdict in expected.split("; ").filter_map(|it| it.split(' ').next()) {
            let sentence = all(&page, ".kettle-try")[0].attr(&format!("data-kettle-{verdict}"));
            assert!(sentence.is_some_and(|it| !it.is_empty()), "{verdict}");
        }
    }
}

/// The lye is reckoned for the exact amount of a fat, which may lie below what is printed: 60 % of 777 g are 466.2 g, and
/// 40 % are 310.8 g, printed as 311 g.
#[test]
fn less_fat_than_the_lye_is_reckoned_for_is_never_right_and_water_may_be_off_either_way() {
    let course = course("grams");
    for (keys, expected) in [
        (
            "with = { batch = \"777 g\" }\nanswer = \"fats.olive\"\n",
            "right 466 467; ounces 16.44 16.5; unchanged 600 600; under 465 466",
        ),
        (
            "with = { batch = \"777 g\" }\nanswer = \"fats.coconut\"\n",
            "right 310.8 312; ounces 10.95 11; unchanged 400 400; under 310 310.8; rounding 310 311",
        ),
        (
            "with = { batch = \"777 g\" }\nanswer = \"total.fats\"\ntolerance = \"1 %\"\n",
            "right 777 785; ounces 27.4 27.7; unchanged 1000 1000; under 769 777",
        ),
        (
            "with = { batch = \"20 kg\" }\nanswer = \"water\"\n",
            "right 6086 6088; right 6080 6080; ounces 214.65 214.75; unchanged 304 305; superfat 6406 6407; \
             purity 5964 5965; alkali 8537 8538",
        ),
    ] {
        assert_eq!(spans(&course, keys), [expected], "{keys}");
    }
}

#[test]
fn answers_stand_behind_all_else_where_nothing_can_be_opened() {
    let course = course("grams");
    let page = exercise("ask = \"How much?\"\nanswer = \"total.fats\"\nbecause = \"It is {{ title }}.\"\n")
        + "\n1. one\n2. two";
    let rendered = render(&course, "a.md", &page, Form::Markdown);
    let (question, rest) = rendered.split_once("2. two").expect("the end of the page");
    assert!(question.contains("How much?") && !question.contains("1000"), "{rendered}");
    let answers = html(rest);
    let answers: String = all(&answers, "ul > li")[0].text().collect();
    assert_eq!(answers, "Practice, Plain & simple: 1000\u{a0}g. It is Plain & simple.");
    let page = html(&rendered);
    assert_eq!((all(&page, "ol > li").len(), all(&page, "ol li ul").len()), (2, 0), "{rendered}");
}

/// A sum of numbers needs no recipe, and what is set beside another recipe has the cautions of both.
#[test]
fn what_names_no_recipe_is_not_lost_and_a_comparison_brings_the_cautions_of_both() {
    let course = course("both");
    let page = render(&course, "a.md", "Deck {{ 5 g * 2 }}, and {{ 2 * 3 }}.\n", Form::Markdown);
    assert_eq!(page, "Deck 10 g (0.35 oz), and 6.\n".replace(" g", "\u{a0}g").replace(" oz", "\u{a0}oz"));
    let page = render(&course, "a.md", "```kettle compare\nuse = \"soft-variant\"\n```\n", Form::Markdown);
    let cautions: String = page.lines().filter(|it| it.starts_with('>')).collect();
    assert!(cautions.contains("Soft, with everything"), "{cautions}");
}
