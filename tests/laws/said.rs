//! What a text of the author says, the page says: no name, title or source becomes markup, in either form.
//!
//! A page with hostile texts is held against the same page with plain ones: it has the same elements, and its words are
//! the same but for the texts themselves. Whatever mdBook would take for a directive is looked for in what it is given.

use kettlebook::course::{Course, CourseFiles};
use kettlebook::finding::Severity;
use kettlebook::page::{Form, Lesson};
use kettlebook::source::SourceFile;
use mdbook_markdown::pulldown_cmark::html::push_html;
use mdbook_markdown::{MarkdownOptions, new_cmark_parser};
use proptest::prelude::*;
use scraper::{Html, Node};

use super::plan::cases;

/// What each text starts with, so that it is found again and sorted alike whatever follows.
const FIELDS: [&str; 12] = ["Qaa", "Qbb", "Qcc", "Qdd", "Qee", "Qff", "Qgg", "Qhh", "Qii", "Qjj", "Qkk", "Qll"];

/// A page with every block, and values where Markdown and where HTML is read.
const PAGE: &str = "# Page\n\n{{ plain.title }} in {{ plain.mould.name }}\n\n| a | b |\n|---|---|\n| {{ plain.title }} | c |\n\n\
    <p title=\"{{ plain.title }}\">{{ plain.title }}</p>\n\n```kettle safety\nuse = \"plain\"\n```\n\n```kettle recipe\nuse = \"plain\"\n```\n\n\
    - ```kettle recipe\n  use = \"variant\"\n  ```\n\n> ```kettle layers\n> use = \"plain\"\n> ```\n\n\
    ```kettle worked\nuse = \"plain\"\n```\n\n```kettle timeline\nuse = \"plain\"\n```\n\n```kettle profile\nuse = \"plain\"\n```\n\n\
    ```kettle yield\nuse = \"plain\"\n```\n\n```kettle compare\nuse = \"variant\"\n```\n\n```kettle fats\nonly = \"used\"\n```\n\n\
    ```kettle practice\nuse = \"plain\"\nask = \"How much of {{ title }}?\"\nanswer = \"lye\"\nbecause = \"Of {{ mould.name }}.\"\n```\n\n\
    ```kettle practice\nuse = \"plain\"\nask = \"A {{ title }}.\\n\\nIs it {{ mould.name }}?\"\n\
    choices = [{ say = \"{{ title }}\", why = \"{{ mould.name }}\" }, { say = \"No {{ mould.name }}.\", right = true, why = \"So {{ title }}\" }]\n```\n\n\
    ```kettle glossary\n```\n";

/// A page in both forms, as mdBook is given it.
fn rendered(texts: &[String]) -> [String; 2] {
    // A text of JSON is one of TOML.
    let field = |idx: usize| serde_json::to_string(&texts[idx]).expect("a text");
    let source = format!("{{ work = {}, edition = \"e\" }}", field(5));
    let recipe = format!(
        "title = {}\nbatch = \"750 g\"\ninto = \"tried\"\nsuperfat = 6\nalkali = \"NaOH\"\npurity = {{ NaOH = 98 }}\n\
         water = {{ lye-concentration = 33 }}\ncut = \"25 mm\"\n[fats]\ncoconut = 40\nolive = 40\ntried = 20\n\
         [[additives]]\nitem = \"tried-clay\"\nrate = \"1 %\"\n\
         [[layers]]\nname = {}\nshare = 1\nadditives = [{{ item = \"tried-scent\", rate = \"1 %\" }}]\n[[layers]]\nname = {}\nshare = 2\n",
        field(0),
        field(1),
        field(2)
    );
    let variant = format!("title = {}\nbased-on = \"plain\"\n[fats]\ncoconut = 30\nolive = 50\ntried = 20\n", field(3));
    let fats = format!(
        "[tried]\nname = {}\nkind = \"triglyceride\"\ninci = {}\ninci-source = {source}\n\
         saponification-value = {{ low = 184, high = 196, use = 190, source = {source} }}\n\
         fatty-acids = {{ source = {source}, basis = \"range\", C16-0 = [10, 12], C18-1 = [50, 60] }}\n",
        field(4),
        field(6)
    );
    let additives = format!(
        "[tried-clay]\nname = {}\nkind = \"clay\"\n[tried-scent]\nname = {}\nkind = \"fragrance\"\n",
        field(7),
        field(8)
    );
    let moulds = format!(
        "[tried]\nname = {}\ninside-length = \"230 mm\"\ninside-width = \"75 mm\"\nfill-height = \"65 mm\"\nsource = {source}\n",
        field(9)
    );
    let files = CourseFiles {
        book_toml: SourceFile::new("book.toml", "[preprocessor.kettle]\n"),
        recipes: vec![SourceFile::new("recipes/plain.toml", recipe), SourceFile::new("recipes/variant.toml", variant)],
        tables: vec![
            SourceFile::new("tables/additives.toml", additives),
            SourceFile::new("tables/fats.toml", fats),
            SourceFile::new("tables/moulds.toml", moulds),
        ],
        templates: Vec::new(),
    };
    // As entities, in which Markdown and we see no markup, a term and its meaning are any text.
    let entities: String = texts[11].chars().map(|it| format!("&#{};", u32::from(it))).collect();
    let lessons = [
        ("words.md", &texts[10], format!("{entities}\n: Means {entities}\n")),
        ("page.md", &"Page".to_owned(), PAGE.to_owned()),
    ];
    let lessons = lessons.map(|(id, title, text)| Lesson {
        id: id.to_owned(),
        title: title.clone(),
        part: String::new(),
        file: SourceFile::new(format!("src/{id}"), text),
    });
    let (mut course, mut findings) = Course::new(&files);
    let (pages, _) = course.read_pages(lessons.into(), &|_, _| None);
    [Form::Html, Form::Markdown].map(|form| {
        let rendered = course.render(&pages[1], form);
        findings.extend(rendered.findings);
        let errors = findings.iter().filter(|it| it.severity == Severity::Error).map(|it| &it.message);
        assert_eq!(errors.collect::<Vec<_>>(), Vec::<&String>::new());
        rendered.text
    })
}

/// The elements of a page with the names of their attributes, in order, and its words.
fn seen(markdown: &str) -> (Vec<String>, String) {
    let mut html = String::new();
    push_html(&mut html, new_cmark_parser(markdown, &MarkdownOptions::default()));
    let html = Html::parse_document(&html);
    let (mut elements, mut words) = (Vec::new(), String::new());
    for node in html.root_element().descendants() {
        match node.value() {
            Node::Element(it) => {
                let mut attributes: Vec<&str> = it.attrs().map(|(name, _)| name).collect();
                attributes.sort_unstable();
                elements.push(format!("{} {}", it.name(), attributes.join(" ")));
                words.push_str(it.attr("title").unwrap_or_default());
            }
            Node::Text(it) => {
                let is_script =
                    node.parent().and_then(|it| it.value().as_element()).is_some_and(|it| it.name() == "script");
                match serde_json::from_str::<String>(it) {
                    // What is opened later is HTML in a text of JSON.
                    Ok(hidden) if is_script => {
                        let (its_elements, its_words) = seen(&hidden);
                        elements.extend(its_elements);
                        words.push_str(&its_words);
                    }
                    _ => words.push_str(it),
                }
            }
            _ => {}
        }
        words.push(' ');
    }
    (elements, words)
}

/// Words without what is not seen: the blanks between them, and what keeps letters from the right to themselves.
fn plain(words: &str) -> String {
    words.split(|it: char| it.is_whitespace() || matches!(it, '\u{2067}' | '\u{2069}')).collect()
}

/// What mdBook takes for one of its directives.
fn directives(text: &str) -> Vec<&str> {
    let after = text.match_indices('{').map(|(at, _)| &text[at..]);
    after.filter(|it| it.strip_prefix("{{").is_some_and(|it| it.trim_start().starts_with('#'))).collect()
}

#[track_caller]
fn check(hostile: &str) {
    let texts = FIELDS.map(|it| format!("{it}{hostile}"));
    let (said, expected) = (rendered(&texts), rendered(&FIELDS.map(str::to_owned)));
    for (said, expected) in said.iter().zip(&expected) {
        assert_eq!(directives(said), Vec::<&str>::new(), "{hostile:?}");
        let ((elements, words), (expected_elements, mut expected_words)) = (seen(said), seen(expected));
        assert_eq!(elements, expected_elements, "{hostile:?} in {said}");
        for (field, text) in FIELDS.iter().zip(&texts) {
            assert!(expected_words.contains(field), "{field} is nowhere on the page");
            expected_words = expected_words.replace(field, text);
        }
        assert_eq!(plain(&words), plain(&expected_words), "{hostile:?}");
    }
}

/// What Markdown, HTML, Tera or mdBook would take for more than text.
fn hostile() -> impl Strategy<Value = String> {
    let pieces = [
        "{{#include ../../secret.env}}",
        "{{ #include x }}",
        "{{\n#title x}}",
        "\\{{#include x}}",
        "{{ lye }}",
        "{{",
        "}}",
        "{%",
        "{#",
        "{",
        "}",
        "\\",
        "`",
        "``",
        "*",
        "**",
        "_",
        "__",
        "~~",
        "<b>",
        "</li>",
        "<script>",
        "</script>",
        "<!--",
        "-->",
        "]]>",
        "<",
        "-",
        "--",
        "...",
        "+",
        "#",
        ">",
        "|",
        "[a](b)",
        "![",
        "]",
        "[^1]",
        "(",
        ")",
        "&amp;",
        "&#65;",
        "&",
        "\"",
        "'",
        "\n",
        "\n\n",
        "\n- ",
        "\n# ",
        "\r\n",
        " ",
        "1. ",
        "=",
        "\n===",
        "$",
        "$$",
        ":",
        "^",
        "%",
        "é",
        "אב",
        "https://a.bc",
        "a@b.cd",
        "a",
    ];
    prop::collection::vec(prop::sample::select(pieces.to_vec()), 1..8).prop_map(|it| it.concat().trim_end().to_owned())
}

proptest! {
    #![proptest_config(cases(40))]

    #[test]
    fn any_text_is_shown_as_it_is_and_becomes_no_markup(text in hostile()) {
        check(&text);
    }
}

#[test]
fn what_would_publish_another_file_is_shown_as_it_is() {
    for text in ["{{#include ../../../secret.env}}", " {{ #include index.md }}", "\\{{#include x}}", "{{{#include x}}}"]
    {
        check(text);
    }
}
