//! Words about tables.
//!
//! Layer 0.

use super::{Finding, choices};
use crate::source::Place;

impl Finding {
    /// A value nobody answers for.
    pub fn value_without_source(place: Place, row: &str, value: &str) -> Finding {
        Finding::error("value-without-source", place, format!("`{value}` of `{row}` has no source"))
            .label("says nothing of where it comes from")
            .help("add  source = { work = \"...\", edition = \"...\", where = \"...\" }  or  source = \"supplier's certificate of ...\"")
    }

    /// A range whose low end lies above its high end.
    pub fn range_upside_down(place: Place, row: &str, value: &str, low: f64, high: f64) -> Finding {
        Finding::error("range-upside-down", place, format!("`{value}` of `{row}` runs from {low} down to {high}"))
            .label("low is above high")
            .help("exchange `low` and `high`")
    }

    /// A value to use that lies below the published range: the bar would keep more fat than the page says.
    pub fn value_below_its_range(place: Place, row: &str, used: f64, low: f64, high: f64) -> Finding {
        Finding::warning(
            "value-below-its-range",
            place,
            format!("`{row}` uses a saponification value of {used}, below its published range of {low} to {high}"),
        )
        .label("below the range")
        .help("check the unit: mg KOH per g of fat, never NaOH; give `low` and `high` too if the supplier states them")
    }

    /// A value to use that lies above the published range: more lye than the fat may be able to take.
    pub fn value_above_its_range(place: Place, row: &str, used: f64, low: f64, high: f64) -> Finding {
        Finding::error(
            "value-above-its-range",
            place,
            format!("`{row}` uses a saponification value of {used}, above its published range of {low} to {high}"),
        )
        .label("more lye than such a fat may take")
        .help("look at the certificate again; if its laboratory stands by the figure, give `low` and `high` with it")
    }

    /// A file in the folder of tables that is not a table.
    pub fn unknown_table(place: Place, name: &str, near: Option<&str>, known: &[&str]) -> Finding {
        Finding::error("unknown-table", place, format!("`{name}` is not the name of a table"))
            .label("this file")
            .nearest(near, format!("the tables are {}", choices(known)))
    }

    /// A mould with the dimensions of two shapes, or of none.
    pub fn mould_shape_unclear(place: Place, row: &str) -> Finding {
        Finding::error("mould-shape-unclear", place, format!("the mould `{row}` is neither a box nor a cylinder"))
            .label("its shape cannot be told")
            .help("give `inside-length` and `inside-width`, or `inside-diameter` alone; and `fill-height`")
    }
}
