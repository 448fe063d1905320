//! Cautions beside the steps they concern.
//!
//! Layer 6.

use super::super::printer::caution;
use super::layer_word;
use crate::finding::Step;
use crate::ledger::Ledger;

/// What a recipe's warnings say to the student at a step.
pub(crate) fn cautions_at(ledger: &Ledger, step: Step) -> Vec<String> {
    ledger.cautions.iter().filter(|it| it.step == step).map(|it| caution(&it.words)).collect()
}

/// What they say at any layer, each with the layer's name.
pub(crate) fn cautions_at_layers(ledger: &Ledger) -> Vec<String> {
    let layers = ledger.recipe.layers.iter().enumerate();
    layers
        .flat_map(|(layer_idx, layer)| {
            let cautions = cautions_at(ledger, Step::Layer(layer_idx)).into_iter();
            cautions.map(|it| format!("In the {} {}: {it}", layer_word(&ledger.recipe), layer.name))
        })
        .collect()
}
