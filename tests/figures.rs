//! Figures to scale, checked against the numbers that the same page prints.

use kettlebook::course::{Course, CourseFiles};
use kettlebook::page::{Form, Lesson, Page};
use kettlebook::source::SourceFile;
use roxmltree::{Document, Node};
use scraper::{Html, Selector};

/// Three layers of unequal thickness with clay in one of them, times of the recipe's own, and a title that needs escaping.
const RECIPE: &str = "title = \"Beds & <seams>\"\nmould = \"loaf-1kg\"\nsuperfat = 5\nalkali = \"NaOH\"\n\
    purity = { NaOH = 98 }\nwater = { lye-concentration = 30 }\n[fats]\nolive = 60\ncoconut = 40\n\
    [times]\nmould = \"2 days\"\ncure = \"4 to 6 weeks\"\nlye-cools = \"50 min\"\n\
    [[layers]]\nname = \"base\"\nthickness = \"rest\"\n[[layers]]\nname = \"seam\"\nthickness = \"7.5 mm\"\n\
    additives = [{ item = \"rose-clay\", rate = \"4 %\" }]\n[[layers]]\nname = \"top\"\nthickness = \"15 mm\"\n";

/// The block of a view, as HTML.
#[track_caller]
fn block(view: &str) -> String {
    let files = CourseFiles {
        book_toml: SourceFile::new("book.toml", "[preprocessor.kettle]\nunits = \"grams\"\n"),
        recipes: vec![SourceFile::new("recipes/test.toml", RECIPE)],
        tables: Vec::new(),
        templates: Vec::new(),
    };
    let (course, findings) = Course::new(&files);
    assert!(findings.is_empty(), "{findings:#?}");
    let file = SourceFile::new("page.md", format!("```kettle safety\n```\n\n```kettle {view}\nuse = \"test\"\n```\n"));
    let rendered = course.render(
        &Page::read(Lesson { id: "page.md".into(), title: "Page".into(), part: String::new(), file }, &|_, _| None),
        Form::Html,
    );
    assert!(rendered.findings.is_empty(), "{:#?}", rendered.findings);
    rendered.text.lines().rfind(|it| it.starts_with("<!--kettle ")).expect("a block").to_owned()
}

/// The figure of a block, which must be XML of its own.
#[track_caller]
fn svg(block: &str) -> Document<'_> {
    let (start, end) = (block.find("<svg").expect("a figure"), block.find("</svg>").expect("its end") + 6);
    let svg = Document::parse(&block[start..end]).expect("the figure is XML");
    let root = svg.root_element();
    assert_eq!(root.attribute("role"), Some("img"));
    assert!(svg.descendants().all(|it| it.attribute("id").is_none()), "an id would be twice on the print page");
    for name in ["title", "desc"] {
        let words = root.children().find(|it| it.has_tag_name(name)).and_then(|it| it.text());
        assert!(words.is_some_and(|it| !it.is_empty()), "no {name}");
    }
    svg
}

fn number(node: Node<'_, '_>, name: &str) -> f64 {
    node.attribute(name).expect("an attribute").parse().expect("a number")
}

fn with_class<'a>(svg: &'a Document<'a>, class: &str) -> Vec<Node<'a, 'a>> {
    let has = |it: &Node<'_, '_>| it.attribute("class").is_some_and(|it| it.starts_with(class));
    svg.descendants().filter(has).collect()
}

fn texts(html: &str, selector: &str) -> Vec<String> {
    let html = Html::parse_fragment(html);
    let selector = Selector::parse(selector).expect("a selector");
    html.select(&selector).map(|it| it.text().collect::<String>().trim().replace('\u{a0}', " ")).collect()
}

#[test]
fn layers_are_as_high_as_they_are_thick_and_the_soap_as_high_as_the_mould_is_filled() {
    let block = block("layers");
    let svg = svg(&block);
    let slices = with_class(&svg, "kettle-tone-");
    // 60 mm of fill height, of which 7.5 and 15 are stated; the mould is 75 mm wide.
    let thicknesses = [37.5, 7.5, 15.0];
    assert_eq!(slices.len(), thicknesses.len());
    let outline = with_class(&svg, "kettle-outline")[0];
    let (width, height) = (number(outline, "width"), number(outline, "height"));
    assert!((height / width - 60.0 / 75.0).abs() < 1e-3, "{height} to {width}");
    let mut lower = number(outline, "y") + height;
    for (slice, thickness) in slices.iter().zip(thicknesses) {
        let (y, slice_height) = (number(*slice, "y"), number(*slice, "height"));
        // Coordinates have one decimal.
        assert!(
            (slice_height / height - thickness / 60.0).abs() < 0.1 / height,
            "{slice_height} of {height} for {thickness} mm"
        );
        assert!((y + slice_height - lower).abs() < 0.11, "a gap under the layer at {y}");
        lower = y;
    }
    let listed = texts(&block, ".kettle-figure ol li");
    assert_eq!(listed, ["top, 15 mm", "seam, 7.5 mm", "base, 37.5 mm"]);
    let shares = texts(&block, ".kettle-table tbody th small:not(.kettle-extra)");
    assert_eq!(shares, ["37.5 mm thick", "7.5 mm thick", "15 mm thick"]);
}

/// Minutes of `2 h`, `50 min`, `2 h 5 min`, `2 days` or the longer of `4 to 6 weeks`.
fn minutes(words: &str) -> f64 {
    let words: Vec<&str> = words.rsplit(" to ").next().unwrap_or_default().split(' ').collect();
    let parts = words.chunks(2).map(|it| {
        let unit = match it[1] {
            "min" => 1.0,
            "h" => 60.0,
            "days" => 1440.0,
            "weeks" => 10_080.0,
            other => panic!("{other}"),
        };
        it[0].parse::<f64>().expect("a number") * unit
    });
    parts.sum()
}

#[test]
fn bars_of_time_begin_and_end_where_the_list_says() {
    let block = block("timeline");
    let svg = svg(&block);
    let at = texts(&block, ".kettle-at");
    let lengths = texts(&block, ".kettle-times > li > b, .kettle-tick > span > b");
    let bars = with_class(&svg, "kettle-bar");
    let closed: Vec<_> = bars.iter().filter(|it| it.attribute("class") == Some("kettle-bar")).collect();
    assert_eq!(closed.len(), lengths.len(), "{lengths:?}");
    let left = number(*closed[0], "x");
    let clock = |it: &str| {
        let (hours, minutes) = it.split_once(':').expect("a clock");
        hours.parse::<f64>().expect("hours") * 60.0 + minutes.parse::<f64>().expect("minutes")
    };
    let end = at.iter().zip(&lengths).map(|(at, length)| clock(at) + minutes(length)).fold(0.0, f64::max);
    assert_eq!(texts(&block, ".kettle-makes"), ["2 h 34 min at the bench"]);
    // The base is blended a step beyond light trace, and the seam by that step after its clay.
    assert_eq!(end, 154.0, "by hand: 15 + 10 + 50 + (5 + 2 + 3 + 15) + (5 + 2 + 2 + 3 + 4) + (5 + 3) + 30 and no less");
    let scale = 300.0 / end;
    for (idx, (at, length)) in at.iter().zip(&lengths).enumerate() {
        let (x, width) = (number(*closed[idx], "x"), number(*closed[idx], "width"));
        assert!((x - left - clock(at) * scale).abs() < 0.11, "step {}: {x} for {at}", idx + 1);
        assert!((width - minutes(length) * scale).abs() < 0.11, "step {}: {width} for {length}", idx + 1);
    }
    // Below, to a scale of their own: two days in the mould, four weeks of cure and two more that may be needed.
    let long = 300.0 / (2.0 + 42.0);
    let open: Vec<_> = bars.iter().filter(|it| it.attribute("class") == Some("kettle-bar-open")).collect();
    let widths = [
        number(*closed[closed.len() - 2], "width"),
        number(*closed[closed.len() - 1], "width"),
        number(*open[0], "width"),
    ];
    for (width, days) in widths.into_iter().zip([2.0, 28.0, 14.0]) {
        assert!((width - days * long).abs() < 0.11, "{width} for {days} days");
    }
    // What must not wait is hatched, and said.
    let hatched = with_class(&svg, "kettle-strokes").len();
    assert_eq!(hatched, texts(&block, ".kettle-now").len());
    assert!(hatched > 3, "{hatched}");
    // Common practice, no source: 15 minutes with 1 % of clay, 2 with 4.7 %. By hand for 4 %: 15 - 3 / 3.7 * 13 = 4.46.
    let steps = texts(&block, ".kettle-times > li");
    let seam = steps.iter().find(|it| it.contains("seam: wait")).expect("the wait");
    assert!(seam.ends_with("4 min"), "{seam}");
}
