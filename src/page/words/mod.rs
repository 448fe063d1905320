//! Helpers that word what several blocks say.
//!
//! Layer 6.

mod additives;
mod amount;
mod infusions;
mod layers;
mod own;
mod steps;

pub(crate) use additives::additive_notes;
pub(crate) use amount::amount_words;
pub(crate) use infusions::infusion_notes;
pub(crate) use layers::{
    in_cups, is_dispersing, layer_extras, layer_spoons, mould_words, own_extras, size_words, swirl_steps,
    why_that_trace,
};
pub(crate) use own::{mould_inside, own_line, too_coarse_words};
pub(crate) use steps::{
    all_of, amount_of, blending_on, cautions_at, cautions_at_layers, fats_when_poured, in_its_liquid, lye_when_poured,
    misting, slurry_words, trace_and_test, trace_words, until_it_carries,
};
