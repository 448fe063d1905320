//! What holds for every recipe, every table and every page, tried on thousands of them.
//!
//! The laws of the arithmetic are in `laws/amounts.rs` and `laws/weighing.rs`, with the reason why each holds;
//! `laws/exact.rs` is a second calculation that shares nothing with the library but the tables' text, and
//! `laws/exact_readings.rs` the same of what a scale shows. `laws/texts.rs`, `laws/slips.rs`, `laws/pages.rs` and
//! `laws/demo.rs` throw broken and hostile text at it, and `laws/variants.rs` holds the laws of recipes that are based on
//! others.

mod laws {
    mod amounts;
    mod as_weighed;
    mod certificates;
    mod demo;
    mod exact;
    mod exact_readings;
    mod glossary;
    mod pages;
    mod plan;
    mod portions;
    mod said;
    mod slips;
    mod stock;
    mod texts;
    mod uncertainty;
    mod variants;
    mod weighing;
}

/// Equal but for rounding: 1e-12 of the larger, or of `whole` where a difference of large numbers was taken.
fn equal(a: f64, b: f64, whole: f64) -> bool {
    (a - b).abs() <= 1e-12 * a.abs().max(b.abs()).max(whole)
}
