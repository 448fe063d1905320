//! What the pot takes from a soap that is cooked: water, as steam.
//!
//! Layer 3. Nothing but water leaves. What goes in after the cooking keeps its water.

use super::Batch;
use crate::recipe::Recipe;
use crate::tables::AdditiveKind;
use crate::units::Mass;

/// The water that leaves the pot while the soap is cooked.
///
/// `water * lost / 100`, of all the water that the alkali goes into, liquids and acids counted by the water in them.
///
/// # Example
///
/// 300 g of water, of which 8 % are lost: 24 g.
///
/// # Source
///
/// Arithmetic; how much a pot loses is what its owner weighed. A lid, the width of the pot and the time decide over it.
#[must_use]
pub fn water_lost(recipe: &Recipe, batch: &Batch) -> Mass {
    recipe.pot.as_ref().map_or(Mass::ZERO, |it| batch.water * it.water_lost.to_fraction())
}

/// Everything that was put into the pot, less the water that left it: what comes into the mould, or is a paste.
///
/// # Example
///
/// 1400 g put in, and 24 g of steam: 1376 g.
///
/// # Source
///
/// Conservation of mass.
#[must_use]
pub fn after_cooking(recipe: &Recipe, batch: &Batch) -> Mass {
    batch.poured() - water_lost(recipe, batch)
}

/// The water in liquids that are stirred in after the cooking: none of it is lost, and the lye never saw it.
///
/// # Example
///
/// 30 g of a yoghurt that is 88 % water: 26.4 g.
///
/// # Source
///
/// Arithmetic; `water-percent` of the liquid's row.
#[must_use]
pub(super) fn late_water(recipe: &Recipe, batch: &Batch) -> Mass {
    let late = recipe.extras.iter().zip(&batch.extras);
    let water = late.filter_map(|(extra, amount)| match extra.additive.kind {
        AdditiveKind::Liquid { water, .. } => Some(amount.mass * water.to_fraction()),
        AdditiveKind::Acid { .. } | AdditiveKind::Extra | AdditiveKind::Blend(_) => None,
    });
    water.sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::batch::{compute, yields};
    use crate::recipe::{Defaults, RawRecipe, validate};
    use crate::source::SourceFile;
    use crate::tables::Tables;
    use crate::units::Percent;

    fn yielded(lines: &str) -> (Recipe, Batch, f64, f64) {
        let text = format!(
            "title = \"Cooked\"\nsuperfat = 5\nalkali = \"NaOH\"\nwater = {{ of-fats = 30 }}\n{lines}[fats]\nolive = 100\n"
        );
        let tables = Tables::embedded();
        let (raw, mut findings) = RawRecipe::read("cooked", &SourceFile::new("recipes/cooked.toml", text));
        let (recipe, more) = validate(&raw, &tables, &Defaults::default());
        findings.extend(more);
        let recipe = recipe.unwrap_or_else(|| panic!("{findings:#?}"));
        let batch = compute(&recipe, &tables);
        let it = yields(&recipe, &batch, &tables, Percent::percent(12.0));
        (recipe, batch, it.poured.to_grams(), it.cured.to_grams())
    }

    /// By hand: 1000 g of fats, 300 g of water, of which 8 % are 24 g. A bar dries to the same mass, whatever of its water left
    /// in the pot and whatever on the rack.
    #[test]
    fn what_leaves_the_pot_is_not_poured_and_the_bars_dry_to_the_same() {
        let (recipe, batch, poured, cured) = yielded("batch = \"1 kg\"\npot = { water-lost = 8 }\n");
        let (_, _, without_loss, cured_without) = yielded("batch = \"1 kg\"\n");
        assert!((water_lost(&recipe, &batch).to_grams() - 24.0).abs() < 1e-9);
        assert!((without_loss - poured - 24.0).abs() < 1e-9);
        assert!((cured - cured_without).abs() < 1e-9);
    }

    #[test]
    fn a_mould_is_filled_by_what_comes_out_of_the_pot() {
        let (_, with_loss, ..) = yielded("mould = \"loaf-1kg\"\npot = { water-lost = 20 }\n");
        let (_, without, ..) = yielded("mould = \"loaf-1kg\"\n");
        assert!((with_loss.volume.to_millilitres() / without.volume.to_millilitres() - 1.0).abs() < 1e-6);
        assert!(with_loss.total_fats > without.total_fats);
    }

    /// By hand: 30 g of yoghurt are 26.37 g of water and 3.63 g of what stays; dried to 12 % that is 4.125 g more of bars.
    #[test]
    fn a_liquid_after_the_cook_keeps_its_water_until_the_cure() {
        let late = "batch = \"1 kg\"\nadditives = [{ item = \"yoghurt\", rate = \"3 %\", goes-into = \"cooked\" }]\n";
        let (recipe, batch, poured, cured) = yielded(late);
        let (_, plain, poured_plain, cured_plain) = yielded("batch = \"1 kg\"\n");
        assert_eq!((batch.solution, batch.plain_water), (plain.solution, plain.plain_water));
        assert!((poured - poured_plain - 30.0).abs() < 1e-9);
        assert!((late_water(&recipe, &batch).to_grams() - 26.37).abs() < 1e-9);
        assert!((cured - cured_plain - 3.63 / 0.88).abs() < 1e-9, "{cured} {cured_plain}");
    }
}
