//! Any Markdown may be a page.

use std::sync::Arc;

use kettlebook::course::{Course, CourseFiles};
use kettlebook::page::{Form, Included, Item, Lesson, Page, Rendered, find};
use kettlebook::source::SourceFile;
use proptest::prelude::*;

use super::plan::cases;
use super::texts::{PAGE, PATHS, SEEDS, check_places, run};

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
fn rendered(page: &Arc<SourceFile>, form: Form) -> Rendered {
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

/// A page of its own.
pub(super) fn read_page(file: &Arc<SourceFile>, included: Included<'_>) -> Page {
    Page::read(
        Lesson { id: "page".into(), title: "Page".into(), part: String::new(), file: Arc::clone(file) },
        included,
    )
}
