//! Kettlebook computes soapmaking lessons: recipe blocks in the pages of a course become weighing-out cards, worked
//! arithmetic, layer splits and cautions, all from one calculator.
//!
//! This library knows no mdBook, no terminal and no clock; `preprocessors/mdbook-kettle` joins it to both. Modules in
//! reading order, each using only those before it:
//!
//! - [`units`], [`source`], [`finding`], [`reader`]: quantities, places in files, what can be wrong, TOML with places
//! - [`tables`]: fats, alkalis, moulds and limits, with sources
//! - [`recipe`]: a recipe as typed, and one that can be trusted
//! - [`batch`]: the recipe computed
//! - [`rules`]: what the computed batch says
//! - [`page`]: blocks and values in Markdown, and the pages made from them
//! - [`course`]: the folder of a course, read and checked
//! - [`report`]: findings printed
//!
//! # Example
//!
//! ```
//! use kettlebook::{batch, recipe::{self, Defaults, RawRecipe}, source::SourceFile, tables::Tables};
//!
//! let file = SourceFile::new("recipes/plain.toml", r#"
//! title = "Plain"
//! batch = "1000 g"
//! superfat = 5
//! alkali = "NaOH"
//! water = { lye-concentration = 33 }
//! [fats]
//! olive = 100
//! "#);
//! let tables = Tables::embedded();
//! let (raw, findings) = RawRecipe::read("plain", &file);
//! assert!(findings.is_empty());
//! let (recipe, _) = recipe::validate(&raw, &tables, &Defaults::default());
//! let batch = batch::compute(&recipe.expect("nothing is wrong with it"), &tables);
//! // 1000 g * 190.5 / 1000 * 0.95 * 39.99712 / 56.10565
//! assert!((batch.alkalis[0].mass.to_grams() - 129.015).abs() < 0.005);
//! ```

pub mod batch;
pub mod course;
pub mod finding;
pub mod ledger;
pub mod page;
pub mod prose;
pub mod reader;
pub mod recipe;
pub mod report;
pub mod rules;
pub mod sheet;
pub mod show;
pub mod source;
pub mod tables;
pub mod units;
