//! Golden pages: each `tests/pages/*.md` rendered in both forms, compared with what is stored beside it.
//!
//! After a change you meant, look at every changed snapshot (`cargo insta review`).

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
    let settings = format!("[preprocessor.kettle]\nunits = \"{units}\"\n");
    let files = CourseFiles {
        book_toml: SourceFile::new("book.toml", settings),
        recipes: folder("recipes"),
        tables: folder("tables"),
        templates: Vec::new(),
    };
    let (mut course, findings) = Course::new(&files);
    assert!(findings.is_empty(), "{findings:#?}");
    let lessons = [("first.md", "First words"), ("deeper/second.md", "Second words"), ("glossary.md", "Glossary")];
    let lessons = lessons.map(|(id, title)| {
        let path = if id == "glossary.md" { pages().join(id) } else { pages().join("lessons").join(id) };
        let text = fs::read_to_string(path).expect("the lesson can be read");
        Lesson { id: id.to_owned(), title: title.to_owned(), file: SourceFile::new(id, text) }
    });
    assert_eq!(course.read_glossary(&lessons, &|_, _| None), []);
    course
}

#[track_caller]
fn render(course: &Course, name: &str, text: &str, form: Form) -> String {
    let file = SourceFile::new(name, text);
    let Rendered { text, findings, .. } = course.render(&Page { file: &file, id: name, form, included: &|_, _| None });
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
fn a_page_without_blocks_and_values_keeps_every_byte() {
    let text = fs::read_to_string(pages().join("nothing_to_compute.md")).expect("the page can be read");
    assert_eq!(render(&course("grams"), "a.md", &text, Form::Html), text);
    let crlf = text.replace('\n', "\r\n");
    assert_eq!(render(&course("grams"), "a.md", &crlf, Form::Html), crlf);
}

#[test]
fn a_course_in_one_unit_shows_no_other() {
    let text = "```kettle recipe\nuse = \"plain\"\n```\n\n```kettle worked\n```\n";
    let (grams, ounces) = (course("grams"), course("ounces"));
    let grams = render(&grams, "a.md", text, Form::Html);
    let ounces = render(&ounces, "a.md", text, Form::Html);
    assert!(grams.contains("\u{a0}g<") && !grams.contains("\u{a0}oz"), "{grams}");
    assert!(ounces.contains("\u{a0}oz<") && !ounces.contains("\u{a0}g<"), "{ounces}");
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

    let no_lye = "```kettle recipe\nuse = \"plain\"\n```\n\n```kettle safety\n```\n";
    assert_eq!(render(&course, "a.md", no_lye, Form::Html).matches("kettle-safety").count(), 1);
}

#[test]
fn what_the_cautions_say_depends_on_the_recipe() {
    let course = course("both");
    let cautions =
        |recipe: &str| render(&course, "a.md", &format!("```kettle safety\nuse = \"{recipe}\"\n```\n"), Form::Html);
    let (plain, soft) = (cautions("plain"), cautions("soft"));
    for (words, in_plain, in_soft) in [
        ("Sodium hydroxide (NaOH)", true, true),
        ("potassium hydroxide (KOH)", false, true),
        ("draws water out of the air", false, true),
        ("Coconut oil must be melted", true, true),
        ("will melt only at a high temperature", false, true),
        ("Anhydrous citric acid and vinegar must be dissolved", false, true),
        ("besides water heats", false, true),
        ("safety data sheets", true, true),
        ("never water onto the alkali", true, true),
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
        render(&Course::new(&files).0, "a.md", page, Form::Html)
    };
    assert!(cautions("40").contains("This lye is strong: 40 % of it is alkali"));
    assert!(cautions("36").contains("This lye is strong: 36 %"));
    assert!(!cautions("35").contains("This lye is strong"));
}
