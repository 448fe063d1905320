//! The bars of a batch that fills a mould, or is poured into one.
//!
//! Layer 3.

use super::yields::{Cut, cut};
use crate::recipe::{BatchSize, Recipe};
use crate::tables::MouldShape;

/// The bars of a mould.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bars {
    /// How many.
    pub count: u32,
    /// How many are cut from the length of each loaf and what is left of it, and the same of its width where it is cut in
    /// both directions; `None` where each hollow is a bar.
    pub cut: Option<(Cut, Option<Cut>)>,
    /// Part of the batch in one whole bar.
    pub share: f64,
}

impl Bars {
    /// Part of the batch in no bar: ends, shavings and what is left over.
    #[must_use]
    pub fn trimmings_share(&self) -> f64 {
        (1.0 - f64::from(self.count) * self.share).max(0.0)
    }
}

/// The bars of a recipe with a mould: cut from its length, and its width, where the recipe says how, or one from each hollow.
///
/// # Example
///
/// Two loaves of 230 mm in bars of 25 mm: 18 bars, 5 mm of each loaf left; a bar is 25 / 230 / 2 = 5.43 % of the batch.
///
/// A slab of 300 mm by 200 mm in bars of 90 mm by 60 mm, with a wire of 1 mm: along it 3 bars, 273 mm with the last cut, 27 mm
/// left; across it 3 bars, 183 mm, 17 mm left; 9 bars of 90 * 60 / (300 * 200) = 9 % each, and 19 % in none.
///
/// # Source
///
/// Arithmetic, as in [`cut`].
#[must_use]
pub fn bars(recipe: &Recipe) -> Option<Bars> {
    let mould = recipe.mould()?;
    let hollows = f64::from(mould.cavities);
    match (mould.shape, recipe.cut) {
        (MouldShape::Box { length, width }, Some(cutting)) => {
            let of_length = cut(length, cutting.along, cutting.kerf, cutting.ends);
            let of_width = cutting.across.map(|it| (it, cut(width, it, cutting.kerf, cutting.ends)));
            let of_width_share = of_width.map_or(1.0, |(it, _)| it.to_millimetres() / width.to_millimetres());
            let of_width = of_width.map(|(_, it)| it);
            let in_loaf = of_length.bars.saturating_mul(of_width.map_or(1, |it| it.bars));
            Some(Bars {
                count: in_loaf.saturating_mul(mould.cavities),
                cut: Some((of_length, of_width)),
                share: cutting.along.to_millimetres() / length.to_millimetres() * of_width_share / hollows,
            })
        }
        // A round log that is filled to its height, in slices.
        (MouldShape::Cylinder { .. }, Some(cutting))
            if cutting.across.is_none() && matches!(recipe.size, BatchSize::Mould(_)) =>
        {
            let of_length = cut(mould.fill_height, cutting.along, cutting.kerf, cutting.ends);
            Some(Bars {
                count: of_length.bars.saturating_mul(mould.cavities),
                cut: Some((of_length, None)),
                share: cutting.along.to_millimetres() / mould.fill_height.to_millimetres() / hollows,
            })
        }
        (_, None) if mould.cavities > 1 => Some(Bars { count: mould.cavities, cut: None, share: 1.0 / hollows }),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::recipe::{Defaults, RawRecipe, validate};
    use crate::source::SourceFile;
    use crate::tables::Tables;

    fn bars_of(lines: &str) -> Bars {
        let text = format!(
            "title = \"t\"\n{lines}\nsuperfat = 5\nalkali = \"NaOH\"\nwater = {{ lye-concentration = 33 }}\n[fats]\nlard = 100\n"
        );
        let (raw, _) = RawRecipe::read("t", &SourceFile::new("recipes/t.toml", text));
        bars(&validate(&raw, &Tables::embedded(), &Defaults::default()).0.expect("the recipe is right")).expect("bars")
    }

    /// The slab of the example above, by hand; it is 300 mm by 200 mm.
    #[test]
    fn a_slab_is_cut_in_two_directions() {
        let bars = bars_of("mould = \"slab-small\"\ncut = { along = \"90 mm\", across = \"60 mm\", kerf = \"1 mm\" }");
        let (along, across) = bars.cut.expect("it is cut");
        let across = across.expect("in both directions");
        assert_eq!((bars.count, along.bars, across.bars), (9, 3, 3));
        assert!(
            (along.left.to_millimetres() - 27.0).abs() < 1e-9 && (across.left.to_millimetres() - 17.0).abs() < 1e-9
        );
        assert!((bars.share - 0.09).abs() < 1e-12 && (bars.trimmings_share() - 0.19).abs() < 1e-12);
    }

    /// 300 mm by 200 mm, 10 mm off every end: (300 - 20 - 2) / 92 = 3.02 and (200 - 20 - 2) / 62 = 2.87 bars.
    #[test]
    fn ends_are_trimmed_on_all_sides() {
        let bars = bars_of(
            "mould = \"slab-small\"\ncut = { along = \"90 mm\", across = \"60 mm\", kerf = \"2 mm\", ends = \"10 mm\" }",
        );
        let (along, across) = bars.cut.expect("it is cut");
        assert_eq!((bars.count, along.bars, across.map(|it| it.bars)), (6, 3, Some(2)));
        assert!((along.left.to_millimetres() - 2.0).abs() < 1e-9, "{along:?}");
    }

    /// 75 mm across and 30 mm high: two slices of 14 mm and 2 mm left.
    #[test]
    fn a_round_log_is_cut_along_its_height() {
        let bars = bars_of("mould = \"round-single\"\ncut = \"14 mm\"");
        assert_eq!((bars.count, bars.cut.map(|(it, _)| it.left.to_millimetres())), (2, Some(2.0)));
        assert!((bars.share - 14.0 / 30.0).abs() < 1e-12);
    }

    #[test]
    fn a_thickness_alone_cuts_as_ever() {
        let bars = bars_of("mould = \"loaf-1kg\"\ncut = \"25 mm\"");
        assert_eq!((bars.count, bars.cut.map(|(it, _)| it.left.to_millimetres())), (9, Some(5.0)));
        assert!((bars.share - 25.0 / 230.0).abs() < 1e-12);
    }
}
