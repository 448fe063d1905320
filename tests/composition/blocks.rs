//! The two blocks that show what fats are made of: `profile` and `fats`.

use kettlebook::batch::composition;
use kettlebook::course::{Course, CourseFiles};
use kettlebook::finding::Finding;
use kettlebook::page::{Form, Lesson, Page, Rendered};
use kettlebook::source::SourceFile;
use kettlebook::tables::Tables;
use kettlebook::units::apportion;
use scraper::{Html, Selector};

const ODD: &str = "title = \"Odd <fats> & waxes\"\nbatch = \"500 g\"\nsuperfat = 8\nalkali = \"NaOH\"\n\
                   purity = { NaOH = 98 }\nwater = { lye-concentration = 33 }\n[fats]\nhemp = 10\nbeeswax = 2\n\
                   mango-butter = 20\npalm-olein = 20\npeanut = 21\ncoconut = 20\ncastor = 7\n";
const WAX: &str = "title = \"Wax\"\nbatch = \"500 g\"\nsuperfat = 30\nalkali = \"NaOH\"\npurity = { NaOH = 98 }\n\
                   water = { lye-concentration = 33 }\n[fats]\ncarnauba = 100\n";

fn course() -> Course {
    let recipes = [("odd", ODD), ("wax", WAX)];
    let files = CourseFiles {
        book_toml: SourceFile::new("book.toml", "[preprocessor.kettle]\n"),
        recipes: recipes.map(|(id, text)| SourceFile::new(format!("recipes/{id}.toml"), text)).to_vec(),
        tables: Vec::new(),
        templates: Vec::new(),
    };
    Course::new(&files).0
}

fn render(text: &str, form: Form) -> (String, Vec<Finding>) {
    let file = SourceFile::new("page.md", text);
    let page =
        Page::read(Lesson { id: "page.md".into(), title: "Page".into(), part: String::new(), file }, &|_, _| None);
    let Rendered { text, findings, .. } = course().render(&page, form);
    (text, findings)
}

#[track_caller]
fn fine(text: &str, form: Form) -> String {
    let (text, findings) = render(text, form);
    assert!(findings.is_empty(), "{findings:#?}");
    text
}

fn texts(html: &str, selector: &str) -> Vec<String> {
    let html = Html::parse_fragment(html);
    let selector = Selector::parse(selector).expect("a selector");
    html.select(&selector).map(|it| it.text().collect::<String>().trim().replace('\u{a0}', " ")).collect()
}

const PROFILE: &str = "```kettle profile\nuse = \"odd\"\n```\n";

#[test]
fn the_figure_is_xml_that_says_what_it_shows_and_its_bars_are_in_the_ratio_of_the_numbers() {
    let page = fine(PROFILE, Form::Html);
    let block = page.lines().next().expect("a block");
    assert!(
        block.starts_with("<!--kettle 0-->") && block.ends_with("<!--/kettle-->"),
        "one line, so that Markdown around it survives"
    );
    let (start, end) = (page.find("<svg").expect("a figure"), page.find("</svg>").expect("its end") + "</svg>".len());
    let svg = roxmltree::Document::parse(&page[start..end]).expect("the figure is XML");
    let root = svg.root_element();
    assert_eq!(root.attribute("role"), Some("img"));
    let words = |name: &str| root.children().find(|it| it.has_tag_name(name)).and_then(|it| it.text()).expect("words");
    assert_eq!(words("title"), "The fatty acids of Odd <fats> & waxes");
    assert!(svg.descendants().all(|it| it.attribute("id").is_none()), "an id would be twice on the print page");

    let number = |node: roxmltree::Node<'_, '_>, name: &str| -> f64 {
        node.attribute(name).expect("an attribute").parse().expect("a number")
    };
    let with_class = |class: &str| -> Vec<roxmltree::Node<'_, '_>> {
        let has = |it: &roxmltree::Node<'_, '_>| it.attribute("class").is_some_and(|it| it.starts_with(class));
        svg.descendants().filter(has).collect()
    };
    let (bars, frames) = (with_class("kettle-tone-"), with_class("kettle-profile-frame"));
    let names: Vec<&str> = with_class("kettle-profile-name").iter().filter_map(|it| it.text()).collect();
    let shares: Vec<f64> = with_class("kettle-profile-share")
        .iter()
        .map(|it| it.text().expect("a share").trim_end_matches("\u{a0}%").parse().expect("a number"))
        .collect();
    assert_eq!((bars.len(), frames.len(), names.len(), shares.len()), (7, 7, 7, 7));
    let sum: f64 = shares.iter().sum();
    assert!((sum - 100.0).abs() < 1e-9, "the printed shares add up: {shares:?}");
    for (idx, share) in shares.iter().enumerate() {
        let (bar, frame) = (number(bars[idx], "width"), number(frames[idx], "width"));
        assert!((bar / frame * 100.0 - share).abs() < 1e-9, "{}: {bar} of {frame} is not {share} %", names[idx]);
        assert_eq!(
            (number(bars[idx], "x"), number(bars[idx], "y")),
            (number(frames[idx], "x"), number(frames[idx], "y"))
        );
        assert!(words("desc").contains(&format!("{} {share:.1}\u{a0}%", names[idx])), "{}", words("desc"));
    }
    // Strokes stay inside their bars, which are the elements before them.
    let patterns = with_class("kettle-strokes");
    assert!(patterns.len() >= 4, "{}", patterns.len());
    for path in patterns {
        let bar = path.prev_sibling_element().expect("a bar");
        let across = number(bar, "x")..=number(bar, "x") + number(bar, "width");
        let down = number(bar, "y")..=number(bar, "y") + number(bar, "height");
        for (x, y) in points(path.attribute("d").expect("strokes")) {
            assert!(across.contains(&x) && down.contains(&y), "({x}, {y}) is not in {across:?}, {down:?}");
        }
    }

    // The table says the same.
    assert_eq!(
        texts(&page, ".kettle-profile tbody td"),
        shares.iter().map(|it| format!("{it:.1} %")).collect::<Vec<_>>()
    );
}

/// The points that a path of strokes goes through: `M` to a place, from there `h`, `v` or `l`.
fn points(path: &str) -> Vec<(f64, f64)> {
    let numbers = |text: &str| -> Vec<f64> {
        text.split_whitespace().map(|it| it.parse().unwrap_or_else(|_| panic!("{it:?} in {path}"))).collect()
    };
    let mut points = Vec::new();
    for stroke in path.split('M').skip(1) {
        let (start, step) = stroke.split_at(stroke.find(['h', 'v', 'l']).expect("a stroke"));
        let (start, by) = (numbers(start), numbers(&step[1..]));
        let (dx, dy) = match &step[..1] {
            "h" => (by[0], 0.0),
            "v" => (0.0, by[0]),
            _ => (by[0], by[1]),
        };
        points.extend([(start[0], start[1]), (start[0] + dx, start[1] + dy)]);
    }
    points
}

#[test]
fn the_printed_shares_are_the_computed_ones_to_a_tenth() {
    let course = course();
    let computed = course.recipes()["odd"].as_ref().expect("it can be computed");
    let groups = composition(&computed.recipe.fats, course.tables()).groups();
    let weights: Vec<f64> = groups.iter().map(|it| it.percent).collect();
    let wanted: Vec<String> = apportion(1000, &weights).iter().map(|it| format!("{}.{} %", it / 10, it % 10)).collect();
    assert_eq!(texts(&fine(PROFILE, Form::Html), ".kettle-profile tbody td"), wanted);
}

#[test]
fn a_profile_names_what_it_does_not_count_and_has_a_sentence_for_every_group_of_weight() {
    let page = fine(PROFILE, Form::Html);
    let notes = texts(&page, ".kettle-profile-notes li").join("\n");
    for words in [
        "no fatty acids for it: hemp seed oil (10 % of the fats)",
        "only partly fatty acid: beeswax, white (2 % of the fats)",
        "only 88.3 % of the acids of mango butter",
        "palm olein only the lowest is published, and counted here: 56",
    ] {
        assert!(notes.contains(words), "{words:?} is not in:\n{notes}");
    }
    let groups = texts(&page, ".kettle-profile tbody th");
    let told = texts(&page, ".kettle-profile-expected strong");
    assert_eq!(told.len(), 7, "{told:?}");
    for (group, told) in groups.iter().zip(&told) {
        assert!(group.starts_with(told.trim_end_matches('.')), "{group:?} {told:?}");
    }
    // The part of the fats that the comparison is about: all but hemp and beeswax.
    let facts = texts(&page, ".kettle-facts li").join("\n");
    assert!(facts.contains("Saponification value from the acids, 88 % of the fats"), "{facts}");
}

#[test]
fn a_recipe_of_which_nothing_is_known_has_no_figure_and_says_why() {
    let page = fine("```kettle profile\nuse = \"wax\"\n```\n", Form::Html);
    assert!(!page.contains("<svg") && !page.contains("<table") && !page.contains("NaN"), "{page}");
    assert!(page.contains("only partly fatty acid: carnauba wax"), "{page}");
    let page = fine("```kettle profile\nuse = \"wax\"\n```\n", Form::Markdown);
    assert!(!page.contains('|') && !page.contains("NaN") && !page.contains(": ."), "{page}");
}

#[test]
fn neither_block_shows_lye_so_no_cautions_come_by_themselves() {
    let both = format!("{PROFILE}\n```kettle fats\n```\n");
    assert!(!fine(&both, Form::Html).contains("kettle-safety"));
    // With lye on the page they come, and before the lye.
    let (page, findings) = render(&format!("{both}\nWeigh {{{{ lye }}}}.\n"), Form::Html);
    assert_eq!(findings.iter().map(|it| it.code).collect::<Vec<_>>(), ["no-cautions"], "{findings:#?}");
    let place = |what: &str| page.find(what).unwrap_or_else(|| panic!("{what} is not on the page"));
    assert!(place("kettle-fats") < place("kettle-safety") && place("kettle-safety") < place("Weigh"));
}

#[test]
fn the_table_of_fats_needs_no_recipe_and_lists_all_or_the_used_or_the_named() {
    let ids = |body: &str| texts(&fine(&format!("```kettle fats\n{body}```\n"), Form::Html), ".kettle-fats-name code");
    let tables = Tables::embedded();
    let all = ids("");
    assert_eq!(all.len(), tables.fats.len());
    let names: Vec<&str> = all.iter().map(|it| &*tables.fats[it].name).collect();
    assert!(names.is_sorted(), "{names:?}");
    let used = ["beeswax", "carnauba", "castor", "coconut", "hemp", "mango-butter", "palm-olein", "peanut"];
    assert_eq!(ids("only = \"used\"\n"), used);
    assert_eq!(ids("only = [\"olive\", \"almond\"]\n"), ["olive", "almond"], "in the order typed");
}

#[test]
fn an_entry_says_what_is_used_what_is_published_and_whether_anybody_read_it() {
    let page =
        fine("```kettle fats\nonly = [\"olive\", \"coconut\", \"oleic-acid\", \"palm-stearin\"]\n```\n", Form::Html);
    let entries = texts(&page, ".kettle-fats-list > li");
    let has = |entry_idx: usize, words: &str| {
        let entry = entries[entry_idx].split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(entry.contains(words), "{words:?} is not in {entry:?}");
    };
    has(0, "Saponification value 190.5, the middle of 185 to 196");
    has(0, "as soap Sodium Olivate, Potassium Olivate (from memory)");
    has(0, "Saponification value, read in British Pharmaceutical Codex");
    has(0, "Iodine value, from memory of CXS 33-1981");
    has(3, "Both published values, from memory of CXS 210-1999");
    has(1, "Both published values, read in CXS 210-1999");
    has(2, "free fatty acid");
    has(2, "Saponification value, read in USP 29-NF 24");
    has(2, "Iodine value, from memory of USP 29-NF 24");
    has(3, "Iodine value at most 48");
}

#[test]
fn a_key_belongs_to_its_view_and_a_wrong_choice_of_fats_is_told_at_its_place() {
    let told = |text: &str| -> Vec<(&str, (usize, usize))> {
        render(text, Form::Html).1.iter().map(|it| (it.code, it.place.line_and_column())).collect()
    };
    assert_eq!(told("```kettle fats\nuse = \"odd\"\n```\n"), [("unknown-key", (2, 1))]);
    assert_eq!(told("```kettle profile\nuse = \"odd\"\nonly = \"used\"\n```\n"), [("unknown-key", (3, 1))]);
    assert_eq!(told("```kettle fats\nonly = \"olive\"\n```\n"), [("unknown-choice", (2, 8))]);
    assert_eq!(told("```kettle fats\nonly = []\n```\n"), [("empty-text", (2, 8))]);
    assert_eq!(told("```kettle fats\nonly = 3\n```\n"), [("wrong-type", (2, 8))]);
    assert_eq!(told("```kettle fats\nonly = [\"olive\", 3]\n```\n"), [("wrong-type", (2, 18))]);
    assert_eq!(told("```kettle fats\nonly = [\"olive\", \"coconutt\"]\n```\n"), [("unknown-fat", (2, 18))]);
    assert_eq!(told("```kettle profile\n```\n"), [("no-recipe-on-page", (1, 11))]);
}

/// The HTML of a page in Markdown.
fn markdown(text: &str) -> String {
    use mdbook_markdown::pulldown_cmark::html::push_html;
    use mdbook_markdown::{MarkdownOptions, new_cmark_parser};
    let mut html = String::new();
    push_html(&mut html, new_cmark_parser(text, &MarkdownOptions::default()));
    html
}

#[test]
fn the_markdown_form_is_a_table_and_the_same_words() {
    let page = fine(&format!("> {}\n\n```kettle fats\n```\n", PROFILE.trim().replace('\n', "\n> ")), Form::Markdown);
    let html = markdown(&page);
    assert_eq!(texts(&html, "blockquote tbody tr").len(), 7);
    assert_eq!(texts(&html, "blockquote li strong").len(), 7, "{html}");
    assert_eq!(texts(&html, "table tbody tr").len() - 7, Tables::embedded().fats.len());
    assert!(texts(&html, "blockquote p strong")[0].ends_with("Odd <fats> & waxes"), "{page}");
    assert!(!page.contains("<svg"));
}
