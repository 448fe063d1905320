//! Plain data for the templates: every number already a text, every word already chosen.
//!
//! Layer 6. The place to change the words of a block. The numbers are figures of the ledger; how they are written is in
//! `show/`.

mod compare;
mod dilution;
mod fats;
mod gather;
mod glossary;
mod layers;
mod opener;
mod own;
mod paper;
mod practice;
mod profile;
mod rebatch;
mod recipe;
mod safety;
mod stock;
mod timeline;
mod timer;
mod titration;
mod weighed;
mod worked;
mod yields;

use serde::Serialize;

pub(crate) use compare::compare_view;
pub(crate) use dilution::{AcidDose, DilutionView, dilution_view};
pub(crate) use fats::fats_view;
pub(crate) use gather::gather_view;
pub(crate) use glossary::glossary_view;
pub(crate) use layers::{LayersFigure, LayersView, layers_view};
pub(crate) use opener::{Made, OpenerView, made, programme_view};
pub(crate) use own::{SizeWay, ToldView, acids_that_differ, own_view};
pub(crate) use paper::paper_view;
pub(crate) use practice::{AnswersView, PracticeView, practice_view};
pub(crate) use profile::profile_view;
pub(crate) use rebatch::{RebatchOptions, rebatch_view, shreds_of};
pub(crate) use recipe::{RecipeView, recipe_view};
pub(crate) use safety::safety_view;
pub(crate) use stock::{StockOptions, stock_view};
pub(crate) use timeline::timeline_view;
pub(crate) use titration::titration_view;
pub(crate) use weighed::{name_of_lye, part_named, weighed_view};
pub(crate) use worked::{WorkedView, worked_view};
pub(crate) use yields::yield_view;

use super::printer::Shown;
use crate::show::capitalised;
use crate::tables::{AlkaliKind, Tables};

/// A line of a card or list: what, how much, and a remark.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct Row {
    pub(crate) name: String,
    pub(crate) hint: Option<String>,
    pub(crate) amount: Shown,
}

/// A label and what it says.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct Fact {
    pub(crate) label: String,
    pub(crate) value: String,
}

impl Fact {
    fn new(label: impl Into<String>, value: String) -> Fact {
        Fact { label: label.into(), value }
    }
}

fn alkali_name(kind: AlkaliKind, tables: &Tables) -> String {
    format!("{} ({})", capitalised(&tables.alkali(kind).name), kind.formula())
}
