//! Helpers that word what several blocks say.
//!
//! Layer 6.

mod additives;
mod amount;
mod layers;
mod steps;

pub(crate) use additives::additive_notes;
pub(crate) use amount::amount_words;
pub(crate) use layers::{
    is_dispersing, layer_extras, layer_spoons, layer_word, mould_words, own_extras, size_words, swirl_steps,
    trace_words,
};
pub(crate) use steps::{cautions_at, cautions_at_layers};
