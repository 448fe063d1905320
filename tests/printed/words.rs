//! One word for one thing: *lye* is the dry solid, *lye solution* the liquid. A novice who reads "lye into the fats" puts
//! flakes into oil.

use scraper::Html;

/// Before *lye* these speak of the liquid.
const BEFORE: &[&str] = &[
    "hot",
    "hotter",
    "warm",
    "cool",
    "cooled",
    "cooling",
    "cold",
    "strong",
    "stronger",
    "strongest",
    "weak",
    "weaker",
    "clear",
    "cloudy",
    "milky",
    "dissolved",
    "iced",
    "finished",
    "diluted",
    "mix",
    "mixed",
    "mixing",
    "mixes",
    "pour",
    "poured",
    "pouring",
    "pours",
    "blend",
    "blended",
    "stir",
    "jug of",
    "beaker of",
    "vessel of",
    "temperature of",
];

/// After *lye* these do.
const AFTER: &[&str] = &[
    "cools",
    "cooled",
    "cooling",
    "heats",
    "grows",
    "gets",
    "boils",
    "spits",
    "steams",
    "fumes",
    "mixture",
    "jug",
    "beaker",
    "vessel",
    "at 3",
    "at 4",
    "at 5",
    "at 6",
    "is clear",
    "is hot",
    "is strong",
    "is still hot",
    "is poured",
    "has cooled",
    "has cleared",
    "can get",
    "could reach",
    "could get",
    "settles",
];

/// What the liquid goes into, and the solid never.
const INTO: &[&str] = &["fat", "fats", "oil", "oils", "pot", "batter", "jar", "milk fat"];

/// Where a text says *lye* and means the liquid, with some words around it.
fn liquid_lye(text: &str) -> Vec<String> {
    let words: Vec<String> = text
        .to_lowercase()
        .split(|it: char| !(it.is_alphanumeric() || it == '-' || it == '\''))
        .filter(|it| !it.is_empty())
        .map(str::to_owned)
        .collect();
    let is_article =
        |it: &&String| ["the", "its", "your", "their", "this", "that", "a", "of the"].contains(&it.as_str());
    let mut found = Vec::new();
    for (idx, _) in words.iter().enumerate().filter(|(_, it)| *it == "lye") {
        let before: Vec<&String> = words[..idx].iter().rev().filter(|it| !is_article(it)).take(2).collect();
        let after: Vec<&String> = words[idx + 1..].iter().take(6).collect();
        if after.first().is_some_and(|it| it.starts_with("solution")) {
            continue;
        }
        let before = before.iter().rev().map(|it| it.as_str()).collect::<Vec<_>>().join(" ");
        let after_words = after.iter().map(|it| it.as_str()).collect::<Vec<_>>().join(" ");
        let ends = |it: &&str| before == **it || before.ends_with(&format!(" {it}"));
        let begins = |text: &str, it: &str| {
            text == it || text.starts_with(&format!("{it} ")) || it.starts_with("at ") && text.starts_with(it)
        };
        let into = after_words.strip_prefix("into ").map(|it| {
            let it = it.strip_prefix("the ").or_else(|| it.strip_prefix("its ")).unwrap_or(it);
            INTO.iter().any(|fat| begins(it, fat))
        });
        // Whoever mixes lye and water has both before them.
        if after_words.starts_with("and water") {
            continue;
        }
        if BEFORE.iter().any(ends) || AFTER.iter().any(|it| begins(&after_words, it)) || into == Some(true) {
            found.push(format!("{before} lye {after_words}"));
        }
    }
    found
}

#[test]
fn the_liquid_is_told_from_the_solid() {
    for (text, n_found) in [
        ("Its lye into its fats; blend.", 1),
        ("Let the lye cool. The lye cools.", 1),
        ("Pour the lye into the pot.", 1),
        ("Mixing the lye. Acid that meets strong lye boils.", 2),
        ("With the lye at 40 degrees.", 1),
        ("Lye into water, never the reverse. Weigh the lye into the dry cup.", 0),
        ("Pour the lye solution into the fats. The hot lye solution cools.", 0),
        ("85 g of lye; the lye goes into the water. Mix lye and water.", 0),
    ] {
        assert_eq!(liquid_lye(text).len(), n_found, "{text}: {:?}", liquid_lye(text));
    }
}

#[test]
fn every_page_says_lye_for_the_solid_and_lye_solution_for_the_liquid() {
    let (_, pages) = crate::demo_course();
    let mut n_lyes = 0;
    let mut wrong = Vec::new();
    for page in &pages {
        let mut html = String::new();
        let options = mdbook_markdown::MarkdownOptions::default();
        let parser = mdbook_markdown::new_cmark_parser(&page.html, &options);
        mdbook_markdown::pulldown_cmark::html::push_html(&mut html, parser);
        for paragraph in
            Html::parse_fragment(&html).select(&scraper::Selector::parse("p, li, td, h1, h2, h3").expect("a selector"))
        {
            let text: String = paragraph.text().collect();
            n_lyes += text.matches("lye").count();
            wrong.extend(liquid_lye(&text).into_iter().map(|it| format!("{}: {it}", page.page)));
        }
    }
    wrong.dedup();
    assert!(n_lyes > 500, "{n_lyes}");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
