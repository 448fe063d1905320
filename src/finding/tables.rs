//! Words about tables.
//!
//! Layer 0.

use super::{Finding, choices};
use crate::show::{as_typed, fixed};
use crate::source::Place;

impl Finding {
    /// A value nobody answers for.
    pub fn value_without_source(place: Place, row: &str, value: &str) -> Finding {
        Finding::error("value-without-source", place, format!("`{value}` of `{row}` has no source"))
            .label("does not say where it comes from")
            .help("add  source = { work = \"...\", edition = \"...\", where = \"...\" }  or  source = \"supplier's certificate of ...\"")
    }

    /// A component of a scent that has no row: its limit would never be looked at.
    pub fn unknown_component(place: Place, name: &str, near: Option<&str>) -> Finding {
        Finding::error("unknown-component", place, format!("no component named `{name}` in the table of components"))
            .label("not in the table")
            .nearest(near, "add a row for it to tables/components.toml of the course, with its limit if it has one")
    }

    /// A blend as a part of a blend.
    pub fn blend_of_blends(place: Place, name: &str) -> Finding {
        Finding::error("blend-of-blends", place, format!("`{name}` is a blend itself"))
            .label("a blend in a blend")
            .help("name its oils here, each with its parts")
    }

    /// Something in a blend of scents that is none.
    pub fn no_scent_in_blend(place: Place, name: &str) -> Finding {
        Finding::error("no-scent-in-blend", place, format!("`{name}` is not a scent"))
            .label("in a blend of scents")
            .help("a blend has only essential oils and fragrance oils: give anything else its own rate in the recipe")
    }

    /// A range whose low end lies above its high end.
    pub fn range_upside_down(place: Place, row: &str, value: &str, low: f64, high: f64) -> Finding {
        Finding::error("range-upside-down", place, format!("`{value}` of `{row}` runs from {low} down to {high}"))
            .label("low is above high")
            .help("swap `low` and `high`, or look for a slip in one of them")
    }

    /// A value to use that lies below the published range: the bar would keep more fat than the page says.
    pub fn value_below_its_range(
        place: Place,
        row: &str,
        used: f64,
        (low, high): (f64, f64),
        meant: &[f64],
    ) -> Finding {
        Finding::warning(
            "value-below-its-range",
            place,
            format!("`{row}` uses a saponification value of {used}, below its published range of {low} to {high}"),
        )
        .label("below the range")
        .meant(
            meant,
            "check the unit: mg KOH per g of fat, never NaOH; give `low` and `high` too if the supplier states them",
        )
    }

    /// A value to use far below the published range, and in it as one for NaOH.
    pub fn value_for_naoh(place: Place, row: &str, used: f64, (low, high): (f64, f64), as_koh: f64) -> Finding {
        Finding::error(
            "value-for-naoh",
            place,
            format!("`{row}` uses a saponification value of {used}, far below its published range of {low} to {high}"),
        )
        .label("looks like mg of NaOH")
        .help(format!(
            "{}: write that, if the figure is for NaOH; if a laboratory stands by {used} mg KOH, give `low` and `high` with it",
            of_naoh(as_koh)
        ))
    }

    /// A value to use that lies above the published range: more lye than the fat may be able to take.
    pub fn value_above_its_range(
        place: Place,
        row: &str,
        used: f64,
        (low, high): (f64, f64),
        meant: &[f64],
    ) -> Finding {
        Finding::error(
            "value-above-its-range",
            place,
            format!("`{row}` uses a saponification value of {used}, above its published range of {low} to {high}"),
        )
        .label("more lye than such a fat may take")
        .meant(
            meant,
            "look at the certificate again; if its laboratory stands by the figure, give `low` and `high` with it",
        )
    }

    /// A saponification value above what the acids of the row can take.
    pub fn value_above_its_acids(place: Place, row: &str, value: f64, by_acids: f64, meant: &[f64]) -> Finding {
        Finding::error("value-above-its-acids", place, of_acids(row, value, by_acids))
            .label("more lye than these acids can take")
            .meant(meant, "look for a slip in the figure or in the acids; the unit is mg KOH per g of fat")
    }

    /// A saponification value far below what the acids of the row take.
    pub fn value_below_its_acids(
        place: Place,
        row: &str,
        value: f64,
        by_acids: f64,
        meant: &[f64],
        as_koh: Option<f64>,
    ) -> Finding {
        Finding::warning("value-below-its-acids", place, of_acids(row, value, by_acids))
            .label("far less lye than these acids take")
            .meant(meant, unit_or_naoh(as_koh))
    }

    /// A saponification value above those of all fats that soap is made with.
    pub fn value_above_the_usual(place: Place, row: &str, value: f64, usual: (f64, f64)) -> Finding {
        Finding::error("value-above-the-usual", place, beyond_usual(row, value, usual))
            .label("more lye than such a fat may take")
            .help("look for a slip: the unit is mg KOH per g of fat; for a fat of short chains give its `fatty-acids`, which explain it")
    }

    /// A saponification value below those of all fats that soap is made with.
    pub fn value_below_the_usual(
        place: Place,
        row: &str,
        value: f64,
        usual: (f64, f64),
        as_koh: Option<f64>,
    ) -> Finding {
        Finding::warning("value-below-the-usual", place, beyond_usual(row, value, usual))
            .label("less lye than such a fat takes")
            .help(unit_or_naoh(as_koh))
    }

    /// Acids that are more than all of a fat.
    pub fn acids_over_whole(place: Place, row: &str, sum: f64) -> Finding {
        let sum = fixed(sum, 1);
        Finding::error("acids-over-whole", place, format!("the fatty acids of `{row}` add up to {sum} %"))
            .label("more than all of them")
            .help("each is  [low, high]  in percent of all fatty acids; look for a slip in one of them")
    }

    /// Acids that leave much of a fat unnamed.
    pub fn acids_not_whole(place: Place, row: &str, sum: f64) -> Finding {
        let sum = fixed(sum, 1);
        Finding::warning("acids-not-whole", place, format!("the fatty acids of `{row}` add up to only {sum} %"))
            .label("the rest is not named")
            .help(
                "name the others too, each as  [low, high]  in percent; one that tables/acids.toml lacks can be added to the \
                 course's own",
            )
    }

    /// What nature fixes, laid over by something else.
    pub fn constant_off(place: Place, row: &str, key: &str, value: f64, known: f64, tolerance_percent: f64) -> Finding {
        let (value, known, tolerance) = (as_typed(value), as_typed(known), as_typed(tolerance_percent));
        Finding::error(
            "constant-off",
            place,
            format!("`{key}` of `{row}` is {value}, and the built-in value is {known}"),
        )
        .label(format!("more than {tolerance} % away"))
        .help("nature fixes this number: look for a slip, or remove it and use the built-in value")
    }

    /// A new row whose name is nearly a built-in one's.
    pub fn row_like_built_in(place: Place, row: &str, near: &str) -> Finding {
        Finding::warning("row-like-built-in", place, format!("`{row}` is a new row; the built-in one is `{near}`"))
            .label("corrects nothing")
            .help(format!(
                "write [{near}] to correct that one; if this is another thing, give it a name that is less \
                           like it"
            ))
    }

    /// The same, of a row that is not whole.
    pub fn missing_key_like_built_in(place: Place, key: &str, row: &str, near: &str) -> Finding {
        let message = format!("`{row}` is a new row, and the key `{key}` is missing");
        Finding::error("missing-key", place, message).label("a new row").nearest(Some(near), "")
    }

    /// A file in the folder of tables that is not a table.
    pub fn unknown_table(place: Place, name: &str, near: Option<&str>, known: &[&str]) -> Finding {
        Finding::error("unknown-table", place, format!("`{name}` is not the name of a table"))
            .label("this file")
            .nearest(near, format!("the tables are {}", choices(known)))
    }

    /// A mould with the dimensions of two shapes, or of none.
    pub fn mould_shape_unclear(place: Place, row: &str) -> Finding {
        Finding::error(
            "mould-shape-unclear",
            place,
            format!("the mould `{row}` is neither a box nor a cylinder, nor known by what it holds"),
        )
        .label("its shape is not clear")
        .help("give `inside-length` and `inside-width`, or `inside-diameter` alone, or `holds` alone")
    }
}

fn of_acids(row: &str, value: f64, by_acids: f64) -> String {
    let (value, by_acids) = (as_typed(value), fixed(by_acids, 1));
    format!("the saponification value of `{row}` is {value}, and its fatty acids come to {by_acids}")
}

fn beyond_usual(row: &str, value: f64, (low, high): (f64, f64)) -> String {
    let (value, low, high) = (as_typed(value), as_typed(low), as_typed(high));
    format!("the saponification value of `{row}` is {value}, outside the usual {low} to {high} (limits.toml)")
}

fn of_naoh(as_koh: f64) -> String {
    format!("as mg of NaOH it would be {} mg KOH", fixed(as_koh, 1))
}

fn unit_or_naoh(as_koh: Option<f64>) -> String {
    let check = "check the unit: mg KOH per g of fat, never NaOH";
    as_koh.map_or_else(|| check.to_owned(), |it| format!("{}; {check}", of_naoh(it)))
}
