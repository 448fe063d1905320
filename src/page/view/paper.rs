//! The batch sheet: one recipe on paper, to weigh by, to tick and to write on.
//!
//! Layer 6. Puts together what the blocks say; there is nothing on it that is on no page.

use serde::Serialize;

use super::super::cautions::{Cautions, cautions};
use super::super::printer::Printer;
use super::timeline::{TimelineView, timeline_view};
use super::{DilutionView, LayersView, RecipeView, dilution_view, layers_view, recipe_view};

/// A recipe on paper.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct PaperView {
    pub(crate) recipe: RecipeView,
    /// What a student changed against the lesson.
    pub(crate) own_line: Option<String>,
    /// The recipe's id, where a student may have the sheet made anew.
    pub(crate) own_recipe: Option<String>,
    #[serde(flatten)]
    pub(crate) cautions: Cautions,
    pub(crate) layers: Option<LayersView>,
    pub(crate) timeline: TimelineView,
    /// How the paste becomes a liquid; none where the recipe makes none.
    pub(crate) dilution: Option<DilutionView>,
    /// The style sheet, which goes into the file so that it needs no other.
    pub(crate) style: &'static str,
    /// Tells sheets with other amounts or words apart; empty while it is not known.
    pub(crate) mark: String,
}

/// A recipe on paper; the figure of the layers is drawn later.
pub(crate) fn paper_view(print: Printer<'_>) -> PaperView {
    PaperView {
        recipe: recipe_view(String::new(), print),
        own_line: None,
        own_recipe: None,
        cautions: cautions(&[print.ledger], print.tables, print.notes),
        layers: layers_view(String::new(), print),
        timeline: timeline_view(String::new(), print),
        dilution: print.ledger.dilution.map(|_| dilution_view(print, None, None)),
        style: include_str!("../../../theme/css/sheet.css"),
        mark: String::new(),
    }
}
