//! What is gathered for a batch, by its name and in the units of its course.

use kettlebook::course::{Course, CourseFiles};
use kettlebook::page::Form;
use kettlebook::source::SourceFile;

use crate::{course, render};

/// By hand: the fats take 199.548 g of KOH, the acid 8.761 g, which is 151.53 g of NaOH of 98 %: 151 g and 308 g of water. 151 g
/// are in 314 g of a stock of 48 %, and 145 g of water are left.
#[test]
fn a_stock_is_gathered_by_its_name_and_apart_from_the_water_beside_it() {
    let page = "```kettle safety\nuse = \"stocked\"\n```\n\n```kettle gather\npairs = 6\n```\n";
    let page = render(&course("grams"), "a.md", page, Form::Markdown).replace(['\u{202f}', '\u{a0}'], " ");
    for row in ["| Stock lye solution | 314 g | 1884 g |", "| Water | 145 g | 870 g |"] {
        assert!(page.contains(row), "{row} in {page}");
    }
}

/// 1.2 % of a pound are 5.4 g. Whoever has a scale in ounces alone is told ounces, however coarse it is.
#[test]
fn a_course_in_ounces_tells_no_additive_in_grams() {
    let recipe = "title = \"Clay\"\nbatch = \"1 lb\"\nsuperfat = 8\nalkali = \"NaOH\"\npurity = { NaOH = 98 }\n\
                  water = { lye-concentration = 33 }\nadditives = [{ item = \"kaolin\", rate = \"1.2 %\" }]\n\
                  [fats]\nolive = 60\ncoconut = 40\n";
    let settings = "[preprocessor.kettle]\nunits = \"ounces\"\nscale = { ounces = 0.05 }\n";
    let files = CourseFiles {
        book_toml: SourceFile::new("book.toml", settings),
        recipes: vec![SourceFile::new("recipes/clay.toml", recipe)],
        tables: Vec::new(),
        templates: Vec::new(),
    };
    let page = "```kettle safety\nuse = \"clay\"\n```\n\n```kettle gather\npairs = 2\n```\n\n```kettle recipe\n```\n";
    let page = render(&Course::new(&files).0, "a.md", page, Form::Markdown).replace(['\u{202f}', '\u{a0}'], " ");
    assert!(page.contains("| White kaolin clay | 0.20 oz | 0.40 oz |"), "{page}");
    assert!(!page.contains(" g |") && !page.contains(" g "), "{page}");
}
