//! Laws of the prose of pages: whatever they say, terms and quantities are told where they stand, and the glossary is one
//! line of HTML.

use std::cell::RefCell;
use std::sync::Arc;

use kettlebook::course::{Course, CourseFiles};
use kettlebook::page::{Form, Lesson, Rendered};
use kettlebook::source::SourceFile;
use proptest::prelude::*;

use super::plan::cases;

const RECIPE: &str = "title = \"Tried\"\nbatch = \"500 g\"\nsuperfat = 5\nalkali = \"NaOH\"\npurity = { NaOH = 99 }\n\
                      water = { lye-concentration = 33 }\n[fats]\nolive = 100\n";

/// Pieces of prose, of definition lists and of what may stand in them, put together in any order.
fn markdown() -> impl Strategy<Value = String> {
    let pieces = [
        "Trace\n",
        "Lye solution\n",
        ": a meaning {{ lye }} \n",
        ": \n",
        ":   [there](../b.md#c), and [here](#d)\n",
        "  more\n",
        "lye solutions ",
        "trace",
        "-",
        "é",
        "12 g ",
        "1 1/2",
        "½\u{a0}oz",
        ",500",
        " to 5 lb ",
        "per ",
        "/",
        "(",
        ")",
        "[a trace](part/words.md) ",
        "![x](y.png)",
        "[^1]",
        "&nbsp;",
        "\"quoted\" ",
        "<code>",
        "</code>",
        "<!-- trace -->",
        "`12 g`",
        "{{ \"12 g\" }}",
        "{{#include more.md}}",
        "\\",
        "# Head\n",
        "\n",
        "\n\n",
        "> ",
        "- ",
        "| 12 g | b |\n| - | - |\n",
        "    code\n",
        "```kettle recipe\nuse = \"tried\"\n```\n",
        "```text\na\n\nb\n```\n",
    ];
    prop::collection::vec(prop::sample::select(pieces.to_vec()), 0..30).prop_map(|it| it.concat())
}

fn included(_: &str, path: &str) -> Option<Arc<SourceFile>> {
    (path == "more.md").then(|| SourceFile::new("src/more.md", "Trace\n: 12 g of it.\n\n{{#include more.md}}\n"))
}

proptest! {
    #![proptest_config(cases(300))]

    #[test]
    fn any_prose_may_be_a_lesson(first in prop_oneof![markdown(), any::<String>()], second in markdown()) {
        COURSE.with_borrow_mut(|course| check(course, &first, &second));
    }
}

std::thread_local! {
    /// A course that is computed once.
    static COURSE: RefCell<Course> = {
        let files = CourseFiles {
            book_toml: SourceFile::new("book.toml", "[preprocessor.kettle]\nordinary-words = [\"trace\"]\n"),
            recipes: vec![SourceFile::new("recipes/tried.toml", RECIPE)],
            tables: Vec::new(),
            templates: Vec::new(),
        };
        RefCell::new(Course::new(&files).0)
    };
}

#[track_caller]
fn check(course: &mut Course, first: &str, second: &str) {
    let lesson = |id: &str, text: &str| {
        let file = SourceFile::new(format!("src/{id}"), text);
        Lesson { id: id.to_owned(), title: format!("Lesson {id}"), part: String::new(), file }
    };
    let lessons = [
        lesson("README.md", first),
        lesson("part/words.md", second),
        lesson("glossary.md", "# Glossary\n\n```kettle safety\nuse = \"tried\"\n```\n\n```kettle glossary\n```\n"),
    ];
    let ids = lessons.each_ref().map(|it| it.id.clone());
    let (pages, mut findings) = course.read_pages(lessons.into(), &included);
    for (id, page) in ids.iter().zip(&pages) {
        let codes = [Form::Html, Form::Markdown].map(|form| {
            let Rendered { text, findings: more, .. } = course.render(page, form);
            let codes: Vec<_> = more.iter().map(|it| it.code).collect();
            if id == "glossary.md" && form == Form::Html {
                let line = text.lines().nth(4).unwrap_or_default();
                assert!(line.starts_with("<!--kettle 1--><div class=\"kettle kettle-glossary\""), "{text}");
                assert!(line.ends_with("</div><!--/kettle-->") && text.trim_end().ends_with("</div>"), "{text}");
                // Behind it stands, if it is of recipes, what tells the script of the page where it is.
                let behind: Vec<&str> = text.lines().skip(5).filter(|it| !it.is_empty()).collect();
                assert!(behind.iter().all(|it| it.starts_with("<!--kettle--><div hidden ")), "{text}");
                assert!(!line.contains(" id=\"") && !line.contains("<h1"), "{line}");
            }
            findings.extend(more);
            codes
        });
        assert_eq!(codes[0], codes[1]);
    }
    for it in &findings {
        let text = it.place.file.text();
        assert!(text.get(it.place.span.clone()).is_some(), "{it:?}");
        // What is told of a typed amount stands there, in the author's own letters.
        if it.code == "typed-quantity" {
            assert!(text[it.place.span.clone()].contains(|it: char| it.is_numeric()), "{it:?}");
        }
    }
}
