//! Cautions beside the steps they concern.
//!
//! Layer 5.

use super::super::Computed;
use crate::finding::Step;

/// What a recipe's warnings say to the student at a step.
#[must_use]
pub fn cautions_at(computed: &Computed, step: Step) -> Vec<String> {
    computed.cautions.iter().filter(|it| it.step == step).map(|it| it.words.clone()).collect()
}

/// What they say at any layer, each with the layer's name.
#[must_use]
pub fn cautions_at_layers(computed: &Computed) -> Vec<String> {
    let layers = computed.recipe.layers.iter().enumerate();
    layers
        .flat_map(|(layer_idx, layer)| {
            let cautions = cautions_at(computed, Step::Layer(layer_idx)).into_iter();
            cautions.map(|it| format!("In the layer {}: {it}", layer.name))
        })
        .collect()
}
