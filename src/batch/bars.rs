//! The bars of a batch that fills a mould, or is poured into one.
//!
//! Layer 3.

use super::yields::cut;
use crate::recipe::Recipe;
use crate::tables::MouldShape;
use crate::units::Length;

/// The bars of a mould.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bars {
    /// How many.
    pub count: u32,
    /// How thick they are cut, and what is left of each loaf; `None` where each hollow is a bar.
    pub cut: Option<(Length, Length)>,
    /// Part of the batch in one whole bar.
    pub share: f64,
}

/// The bars of a recipe with a mould: cut from its length where the recipe says how thick, or one from each hollow.
///
/// # Example
///
/// Two loaves of 230 mm in bars of 25 mm: 18 bars, 5 mm of each loaf left; a bar is 25 / 230 / 2 = 5.43 % of the batch.
///
/// # Source
///
/// Arithmetic, as in [`cut`].
#[must_use]
pub fn bars(recipe: &Recipe) -> Option<Bars> {
    let mould = recipe.mould()?;
    let hollows = f64::from(mould.cavities);
    match (mould.shape, recipe.cut) {
        (MouldShape::Box { length, .. }, Some(thickness)) => {
            let loaf = cut(length, thickness);
            Some(Bars {
                count: loaf.bars.saturating_mul(mould.cavities),
                cut: Some((thickness, loaf.left)),
                share: thickness.to_millimetres() / length.to_millimetres() / hollows,
            })
        }
        (_, None) if mould.cavities > 1 => Some(Bars { count: mould.cavities, cut: None, share: 1.0 / hollows }),
        _ => None,
    }
}
