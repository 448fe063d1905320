//! One recipe's sheet: for a terminal, and as JSON for programs.
//!
//! Layer 8. Both are projections of the ledger; the terminal's words are those of the pages.

mod differences;
mod json;
mod json_layers;
mod terminal;

pub use differences::differences_text;
pub use json::batch_json;
#[cfg(feature = "schema")]
pub use json::batch_schema;
pub use terminal::{sheet, weighed_sheet};

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ledger::{Ledger, Scales};
    use crate::recipe::{Defaults, RawRecipe, validate};
    use crate::source::SourceFile;
    use crate::tables::Tables;

    fn both_of(lines: &str) -> (String, serde_json::Value) {
        let text = format!(
            "title = \"Paste\"\nbatch = \"1 kg\"\nsuperfat = 6\nalkali = \"KOH\"\npurity = {{ KOH = 90 }}\n\
             water = {{ lye-concentration = 27 }}\n{lines}[fats]\nolive = 100\n"
        );
        let tables = Tables::embedded();
        let (raw, mut findings) = RawRecipe::read("paste", &SourceFile::new("recipes/paste.toml", text));
        let (recipe, more) = validate(&raw, &tables, &Defaults::default());
        findings.extend(more);
        let recipe = recipe.unwrap_or_else(|| panic!("{findings:#?}"));
        let ledger = Ledger::of(recipe, &tables, Scales::default(), None);
        let json = batch_json(&ledger).expect("it can be written");
        (sheet(&ledger, &tables), serde_json::from_str(&json).expect("JSON"))
    }

    #[test]
    fn a_dilution_is_on_the_sheet_and_in_the_json_and_what_goes_in_is_what_comes_out() {
        let (text, json) = both_of("[pot]\nwater-lost = 8\n[dilute]\nsoap = 25\npreservative = 1\n");
        let amounts = json["dilution"].as_array().expect("amounts");
        let ids: Vec<&str> = amounts.iter().filter_map(|it| it["id"].as_str()).collect();
        assert_eq!(ids, ["paste", "water", "preservative", "liquid"]);
        let grams: Vec<f64> = amounts.iter().filter_map(|it| it["printed"][0]["value"].as_f64()).collect();
        assert!((grams[..3].iter().sum::<f64>() - grams[3]).abs() < 1e-6, "{grams:?}");
        for it in amounts {
            let printed = it["printed"][0]["text"].as_str().expect("text");
            assert!(text.contains(printed), "{printed} is not on the sheet:\n{text}");
        }
        let outcome = json["outcome"].as_array().expect("quantities");
        let of = |name: &str| outcome.iter().find(|it| it["name"] == name).and_then(|it| it["value"].as_f64());
        let (soap, liquid) = (of("soap-without-water"), amounts[3]["exact"]["value"].as_f64());
        assert!((soap.expect("soap") / liquid.expect("liquid") - 0.25).abs() < 1e-9);
        assert!(of("water-lost-in-the-pot").is_some_and(|it| it > 0.0));
    }

    #[test]
    fn a_recipe_without_a_dilution_says_nothing_of_one() {
        let (text, json) = both_of("[times]\ncook = \"3 h\"\n");
        assert!(json["dilution"].as_array().is_some_and(Vec::is_empty));
        assert!(!text.contains("Diluting"), "{text}");
    }
}
