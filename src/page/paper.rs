//! Writes the batch sheet of a recipe, a page of HTML that needs no other file.
//!
//! Layer 6.

use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, utf8_percent_encode};

use super::links::link_to;
use super::printer::{Notes, Printer, hash_of, without_marks};
use super::template::Templates;
use super::view::{LayersFigure, paper_view};
use crate::finding::Finding;
use crate::ledger::Ledger;
use crate::tables::Tables;

/// The folder of the batch sheets, below that of the lessons.
pub const SHEETS: &str = "sheets";

/// The link from a page to the batch sheet of a recipe, both below the folder of the pages.
pub(super) fn link_to_sheet(page_id: &str, recipe_id: &str) -> String {
    let name = utf8_percent_encode(recipe_id, &NOT_IN_A_PATH);
    link_to(page_id, &format!("{SHEETS}/{name}.html"))
}

/// What cannot stand in an address as it is. Letters of any alphabet can.
const NOT_IN_A_PATH: AsciiSet = NON_ALPHANUMERIC.remove(b'-').remove(b'_').remove(b'.').remove(b'~');

/// The batch sheet of a recipe.
///
/// Its mark is made from all that it says, so that a sheet of last year that says anything else has another.
///
/// - `own_line`: what a student changed against the lesson, in one line.
///
/// - `has_controls`: whether it may be made anew for what a student set.
///
/// # Errors
///
/// A finding at a template of the course that cannot be used, or loses cautions.
pub fn paper(
    ledger: &Ledger,
    tables: &Tables,
    templates: &Templates,
    own_line: Option<&str>,
    has_controls: bool,
) -> Result<String, Box<Finding>> {
    let notes = Notes::default();
    let print = Printer { ledger, tables, notes: &notes };
    let place = &ledger.recipe.places.recipe;
    let mut view = paper_view(print);
    view.own_line = own_line.map(str::to_owned);
    if let Some(layers) = &mut view.layers {
        layers.figure = match &layers.figure_data {
            LayersFigure::Bed(figure) => templates.render("cross-section.svg", figure, place)?,
            LayersFigure::Jugs(figure) => templates.render("portions.svg", figure, place)?,
        };
    }
    // How it looks is nothing that it says.
    let style = std::mem::take(&mut view.style);
    view.mark = mark_of(&without_marks(&templates.render("sheet.html", &view, place)?));
    view.style = style;
    view.own_recipe = has_controls.then(|| ledger.recipe.id.clone());
    templates.render("sheet.html", &view, place).map(|it| without_marks(&it))
}

/// Eight letters and digits in two groups.
fn mark_of(text: &str) -> String {
    let hash = hash_of(text);
    format!("{:04X}-{:04X}", hash >> 16, hash & 0xffff)
}
