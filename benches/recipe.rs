//! How long one recipe takes from text to every figure, and ten thousand of them.
//!
//! `cargo bench`. Times are for reading, never asserted in a test.

use std::sync::Arc;

use divan::{Bencher, black_box};
use kettlebook::ledger::{Ledger, Scales};
use kettlebook::recipe::{Defaults, RawRecipe, validate};
use kettlebook::source::SourceFile;
use kettlebook::tables::Tables;

const RECIPE: &str = r#"
title = "Bench"
mould = "loaf-1kg"
superfat = 5
alkali = "NaOH"
purity = { NaOH = 98 }
water = { lye-concentration = 33 }

[fats]
olive = 45
coconut = 25
lard = 20
castor = 10

[[layers]]
name = "base"
share = 2
[[layers]]
name = "top"
share = 1
"#;

fn main() {
    divan::main();
}

/// From the text of a recipe to everything that is computed from it; how many figures that is.
fn from_text_to_figures(file: &Arc<SourceFile>, tables: &Tables) -> usize {
    let (raw, _) = RawRecipe::read("bench", file);
    let (recipe, _) = validate(&raw, tables, &Defaults::default());
    let recipe = recipe.expect("the recipe is right");
    Ledger::of(recipe, tables, Scales::default(), None).figures().len()
}

#[divan::bench(args = [1, 10_000])]
fn recipes_parsed_and_computed(bencher: Bencher<'_, '_>, n_recipes: usize) {
    let tables = Tables::embedded();
    let files: Vec<_> = (0..n_recipes).map(|it| SourceFile::new(format!("{it}.toml"), RECIPE)).collect();
    bencher.bench_local(|| files.iter().map(|it| from_text_to_figures(black_box(it), &tables)).sum::<usize>());
}

#[divan::bench]
fn tables_parsed() -> usize {
    Tables::embedded().fats.len()
}
