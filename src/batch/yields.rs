//! What a batch comes to: glycerol, the mass of cured bars, their fatty matter, and how many are cut.
//!
//! Layer 3. Follows the alkali: free fatty acids take theirs first, at once; what is left is shared by triglycerides and
//! waxes in proportion to what they would take. Only triglycerides set glycerol free. Everything is conserved but the
//! water that dries away; what the soap picks up from the air is not counted.
//!
//! Symbols: M, molar mass (g/mol); n, amount of substance (mol).

use super::pot::late_water;
use super::{Batch, LayerAmount, after_cooking, water_lost};
use crate::recipe::Recipe;
use crate::tables::{FatKind, Tables};
use crate::units::{Length, Mass, Percent};

/// The glycerol that triglycerides set free.
///
/// `KOH / M(KOH) / 3 * M(glycerol)`: one mole of glycerol for three moles of alkali.
///
/// - `koh_moles`: alkali that triglycerides have taken up. What waxes, free fatty acids and other acids take up sets no
///   glycerol free.
///
/// # Example
///
/// 100 g of KOH, 1.78235 mol: 54.715 g. The same moles of NaOH weigh 71.289 g, so it is 0.767505 g for each gram of NaOH.
///
/// ```
/// use kettlebook::{batch::glycerol_from, tables::Tables};
/// let tables = Tables::embedded();
/// assert!((glycerol_from(100.0 / 56.10565, &tables).to_grams() - 54.715).abs() < 0.0005);
/// assert!((glycerol_from(1.0 / 39.99712, &tables).to_grams() - 0.767505).abs() < 0.000001);
/// ```
///
/// # Source
///
/// Stoichiometry of a triglyceride.
#[must_use]
pub fn glycerol_from(koh_moles: f64, tables: &Tables) -> Mass {
    Mass::grams(koh_moles / 3.0 * tables.limits.glycerol_molar_mass.to_grams_per_mole())
}

/// The mass of a bar that has dried to a stated moisture.
///
/// `dry / (1 - moisture)`, and never more than was poured: a bar that starts drier stays as it is.
///
/// - `dry`: what is left without any water.
/// - `moisture`: water in the cured bar, percent of its mass; 100 and above gives what was poured.
///
/// # Example
///
/// 1400 g poured, of which 280 g are water, dried to 12 %: 1120 / 0.88 = 1272.7 g.
///
/// ```
/// use kettlebook::{batch::cured_mass, units::{Mass, Percent}};
/// let cured = |moisture| cured_mass(Mass::grams(1400.0), Mass::grams(1120.0), Percent::percent(moisture));
/// assert!((cured(12.0).to_grams() - 1272.7).abs() < 0.05);
/// assert_eq!(cured(25.0).to_grams(), 1400.0);
/// ```
///
/// # Source
///
/// Arithmetic; that nothing but water leaves a curing bar is common practice.
#[must_use]
pub fn cured_mass(poured: Mass, dry: Mass, moisture: Percent) -> Mass {
    let dry_fraction = 1.0 - moisture.to_fraction();
    if dry.to_grams() >= poured.to_grams() * dry_fraction { poured } else { dry / dry_fraction }
}

/// The bars that a loaf gives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cut {
    /// Whole bars.
    pub bars: u32,
    /// What is left at the end, too thin for a bar; with the end that is trimmed off it is one piece.
    pub left: Length,
}

/// Cuts a length into bars.
///
/// With t the thickness of a bar, k that of the wire or blade and e what is trimmed off each end:
///
/// - without trimming, n bars need n - 1 cuts: n is `(length + k) / (t + k)` rounded down; one cut more parts what is left,
///   `length - n (t + k)`;
/// - with it, n bars need n + 1 cuts: n is `(length - 2 e - k) / (t + k)` rounded down; left is
///   `length - 2 e - k - n (t + k)`.
///
/// A thickness of nothing gives no bars.
///
/// # Example
///
/// 230 mm in bars of 25 mm: 9 bars, 5 mm left. 8 in (203.2 mm) in bars of 1 in: 8 bars, nothing left.
///
/// ```
/// use kettlebook::{batch::cut, units::Length};
/// let mm = Length::millimetres;
/// let loaf = cut(mm(230.0), mm(25.0), mm(0.0), mm(0.0));
/// assert_eq!((loaf.bars, loaf.left.to_millimetres()), (9, 5.0));
/// assert_eq!(cut(mm(203.2), mm(25.4), mm(0.0), mm(0.0)).bars, 8);
/// // 250 mm, 5 mm off each end, a wire of 1 mm: 9 bars of 25 mm and 10 cuts are 235 mm, and 5 mm are left.
/// let trimmed = cut(mm(250.0), mm(25.0), mm(1.0), mm(5.0));
/// assert_eq!((trimmed.bars, trimmed.left.to_millimetres()), (9, 5.0));
/// ```
///
/// # Source
///
/// Arithmetic.
#[must_use]
pub fn cut(length: Length, thickness: Length, kerf: Length, ends: Length) -> Cut {
    /// Lengths in inches divide to a hair above or below a whole number; no saw cuts to a millionth of a bar.
    const HAIR: f64 = 1e-6;
    let (whole, each) = (length.to_millimetres(), thickness.to_millimetres());
    let (kerf, ends) = (kerf.to_millimetres(), ends.to_millimetres());
    if each <= 0.0 {
        return Cut { bars: 0, left: length };
    }
    let is_trimmed = ends > 0.0;
    let usable = if is_trimmed { whole - 2.0 * ends - kerf } else { whole };
    // Without trimming the last bar needs no cut after it.
    let room = if is_trimmed { usable } else { usable + kerf };
    // A float turned into an integer stops at either end.
    let bars = (room / (each + kerf) + HAIR).floor() as u32;
    Cut { bars, left: Length::millimetres((usable - f64::from(bars) * (each + kerf)).max(0.0)) }
}

/// What a batch comes to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Yields {
    /// Glycerol set free, all of which stays in the soap.
    pub glycerol: Mass,
    /// Everything poured: of a soap that is cooked, less the water that left the pot.
    pub poured: Mass,
    /// Water in it: what was weighed in whatever form, and what the neutralisation of acids forms.
    pub water: Mass,
    /// Water in the cured bars, percent.
    pub moisture: Percent,
    /// The mass of the cured bars.
    pub cured: Mass,
    /// Total fatty matter: the fatty acids of the soap, the fat left unsaponified, and the alcohols of waxes.
    pub fatty_matter: Mass,
    /// The same in percent of the cured mass.
    pub fatty_matter_percent: f64,
}

/// What a batch comes to when its bars have dried to a stated moisture.
///
/// With n the moles of alkali that each kind of fat has taken up:
///
/// - glycerol: [`glycerol_from`] the triglycerides' n
/// - water: all water of the batch, what additives are dispersed in too, and one mole more for each mole of alkali that free fatty acids and other acids take
///   up (acid + alkali = salt + water)
/// - cured: [`cured_mass`]
/// - total fatty matter: `all fats - n(triglycerides) / 3 * 38.048 + n(waxes) * M(water)`. A triglyceride that is
///   saponified and set free by a mineral acid has lost its glycerol and taken up three of water, 38.048 g/mol; a wax
///   ester has taken up one of water and lost nothing that dissolves.
///
/// More alkali than the fats can take is left over and changes none of this. `recipe` and `batch` belong together.
///
/// # Example
///
/// 1000 g of pure triolein (SV 190.095), 5 % superfat, NaOH: 0.95 * 190.095 g of KOH, 3.2188 mol. Glycerol 98.81 g; fatty
/// matter 1000 - 3.2188 / 3 * 38.048 = 959.18 g. With 128.74 g of NaOH and 261.4 g of water 1390.1 g are poured; dried to
/// 12 %, 1128.74 / 0.88 = 1282.7 g are left, of which 74.78 % are fatty matter.
///
/// # Source
///
/// Total fatty matter: the definition of ISO 685:1975, read in a transcription of its definitions and not in the standard
/// itself, nor in the edition of 2020: the fatty material, insoluble in water, that a mineral acid sets free from the
/// soap; unsaponifiable matter, glycerides and rosin acids count besides the fatty acids. Computed here, not analysed:
/// short acids (C4 to C8) dissolve partly and would be found in part only, so that coconut soap comes out a little high.
/// Default moisture: `cured-moisture-percent` of `tables/limits.toml`.
#[must_use]
pub fn yields(recipe: &Recipe, batch: &Batch, tables: &Tables, moisture: Percent) -> Yields {
    let koh_of = |kind: FatKind| {
        let fats = recipe.fats.iter().zip(&batch.fats).filter(|(share, _)| share.fat.kind == kind);
        fats.map(|(_, amount)| amount.koh).sum::<Mass>()
    };
    let moles = |koh: Mass| koh.to_grams() / tables.koh.molar_mass.to_grams_per_mole();
    let (triglycerides, waxes) = (koh_of(FatKind::Triglyceride), koh_of(FatKind::Wax));
    let less_of = |a: Mass, b: Mass| if a < b { a } else { b };
    let taken_up = less_of(batch.koh_after_superfat, batch.koh);
    let by_free_acids = less_of(koh_of(FatKind::FattyAcid), taken_up);
    let by_esters = taken_up - by_free_acids;
    let esters = triglycerides + waxes;
    let saponified = if esters > Mass::ZERO { by_esters / esters } else { 0.0 };
    let triglyceride_moles = moles(triglycerides * saponified);
    let wax_moles = moles(waxes * saponified);

    let lost = water_lost(recipe, batch);
    let poured = after_cooking(recipe, batch);
    let neutralised = moles(by_free_acids + batch.koh_for_acids);
    let water_grams_per_mole = tables.limits.water_molar_mass.to_grams_per_mole();
    let dispersing: Mass = batch.all_extras().map(|it| it.water).sum();
    let water = batch.plain_water + batch.water_in_others + dispersing - lost
        + late_water(recipe, batch)
        + Mass::grams(neutralised * water_grams_per_mole);
    let cured = cured_mass(poured, poured - water, moisture);
    let fats = batch.total_fats + batch.total_late_fats() + batch.all_extras().map(|it| it.fat).sum();
    let fatty_matter = fats - Mass::grams(triglyceride_moles / 3.0 * tables.limits.glycerol_residue_grams_per_mole())
        + Mass::grams(wax_moles * water_grams_per_mole);
    Yields {
        glycerol: glycerol_from(triglyceride_moles, tables),
        poured,
        water,
        moisture,
        cured,
        fatty_matter,
        fatty_matter_percent: fatty_matter / cured * 100.0,
    }
}

/// How much of an additive there is in the cured bar, percent; of a layer's additive, in its layer, since a bar may be used
/// from one side.
///
/// `of_fats_percent / (cured / fats)`, both of the layer. A layer has its part of all that dries to the cured mass of [`yields`],
/// but for what is stirred into layers alone, of which it has its own and no other's:
/// `cured / dry * ((dry - all own) / fats + own_i / fats_i)`, where `dry` and `own` are counted without water.
///
/// - `layer_idx`: the layer; `None` for what is in all of them, of which there is most where least else is.
/// - `of_fats_percent`: percent of the fats that it goes with.
///
/// # Example
///
/// 2 % of the fats, and bars that weigh 1.25 times their fats when cured: 1.6 %. With 500 g of salt in one half of 1000 g of fats
/// the bars weigh 1.8 times their fats on the whole. Without the salt it is 1.8 - 0.5 / 0.88 = 1.232, and 1.62 % in the half that
/// has none; in the other it is 1.232 + 1 / 0.88 = 2.368, and 0.84 %.
///
/// # Source
///
/// Arithmetic.
#[must_use]
pub fn percent_of_cured(yields: &Yields, batch: &Batch, layer_idx: Option<usize>, of_fats_percent: f64) -> f64 {
    let own_dry = |layer: &LayerAmount| layer.extras.iter().map(|it| it.mass - it.water).sum::<Mass>();
    let (dry, of_layers) = (yields.poured - yields.water, batch.layers.iter().map(own_dry).sum::<Mass>());
    if of_layers <= Mass::ZERO || dry <= Mass::ZERO {
        return of_fats_percent / (yields.cured / batch.total_fats);
    }
    let dry_per_fats = |layer: &LayerAmount| {
        (dry - of_layers) / batch.total_fats + own_dry(layer) / (batch.total_fats * layer.fraction)
    };
    let chosen = layer_idx.and_then(|it| batch.layers.get(it)).map(dry_per_fats);
    let least = || batch.layers.iter().map(dry_per_fats).fold(f64::INFINITY, f64::min);
    of_fats_percent / (chosen.unwrap_or_else(least) * (yields.cured / dry))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// One half of the batch has as much sugar as fats, the other none; each half is worked out by itself.
    #[test]
    fn a_layer_without_salt_has_more_of_the_scent_than_the_mean_of_the_bar() {
        use crate::batch::compute;
        use crate::recipe::{Defaults, RawRecipe, validate};
        use crate::source::SourceFile;
        let text = "title = \"t\"\nbatch = \"1000 g\"\nsuperfat = 5\nalkali = \"NaOH\"\n\
                    water = { lye-concentration = 33 }\nadditives = [{ item = \"lavender-oil\", rate = \"2 %\" }]\n\
                    [fats]\nlard = 100\n[[layers]]\nname = \"plain\"\nshare = 1\n[[layers]]\nname = \"salt\"\nshare = 1\n\
                    additives = [{ item = \"sugar\", rate = \"100 %\", goes-into = \"trace\" }]\n";
        let tables = Tables::embedded();
        let (raw, _) = RawRecipe::read("t", &SourceFile::new("recipes/t.toml", text));
        let (recipe, findings) = validate(&raw, &tables, &Defaults::default());
        let recipe = recipe.unwrap_or_else(|| panic!("{findings:#?}"));
        let batch = compute(&recipe, &tables);
        let yields = yields(&recipe, &batch, &tables, Percent::percent(12.0));
        let lye = batch.total_alkali.to_grams();
        // Each half has 500 g of fats, half of the lye and 10 g of scent; the second has 500 g of sugar besides.
        let [plain, salt] = [0.0, 500.0].map(|own| (500.0 + lye / 2.0 + 10.0 + own) / 0.88);
        let percent = |layer_idx| percent_of_cured(&yields, &batch, layer_idx, 2.0);
        assert!((percent(Some(0)) - 10.0 / plain * 100.0).abs() < 1e-9, "{}", percent(Some(0)));
        assert!((percent(Some(1)) - 10.0 / salt * 100.0).abs() < 1e-9, "{}", percent(Some(1)));
        assert!((percent(None) - percent(Some(0))).abs() < 1e-12);
    }

    #[test]
    fn bars_are_cut_until_what_is_left_is_thinner_than_one() {
        let inch = 25.4;
        for (length, thickness, bars, left) in [
            (250.0, 25.0, 10, 0.0),
            (250.0, 30.0, 8, 10.0),
            (20.0, 30.0, 0, 20.0),
            // Ten inches by one: a hair off in binary, and ten bars all the same.
            (10.0 * inch, inch, 10, 0.0),
            (0.3, 0.1, 3, 0.0),
            (250.0, 0.0, 0, 250.0),
        ] {
            let nothing = Length::default();
            let cut = cut(Length::millimetres(length), Length::millimetres(thickness), nothing, nothing);
            assert_eq!(cut.bars, bars, "{length} by {thickness}");
            assert!((cut.left.to_millimetres() - left).abs() < 1e-9, "{length} by {thickness}: {cut:?}");
        }
    }

    /// By hand, for each: bars, cuts and ends laid end to end, and what is then left of the length.
    #[test]
    fn the_wire_and_the_ends_take_their_part() {
        for (length, thickness, kerf, ends, bars, left) in [
            // 9 * 25 + 8 * 1 = 233; the next bar would need 26 of the 17 left, less a last cut 16.
            (250.0, 25.0, 1.0, 0.0, 9, 16.0),
            // Exactly full: 10 * 24 + 9 * 1 = 249, and 250 leaves one cut and nothing.
            (249.0, 24.0, 1.0, 0.0, 10, 0.0),
            (250.0, 24.0, 1.0, 0.0, 10, 0.0),
            // 5 + 9 * 25 + 10 * 1 + 5 = 245.
            (250.0, 25.0, 1.0, 5.0, 9, 5.0),
            // 10 + 8 * 25 + 10 = 220.
            (230.0, 25.0, 0.0, 10.0, 8, 10.0),
            // The ends are all of it.
            (50.0, 25.0, 2.0, 30.0, 0, 0.0),
        ] {
            let mm = Length::millimetres;
            let cut = cut(mm(length), mm(thickness), mm(kerf), mm(ends));
            assert_eq!(cut.bars, bars, "{length} by {thickness}: {cut:?}");
            assert!((cut.left.to_millimetres() - left).abs() < 1e-9, "{length} by {thickness}: {cut:?}");
        }
    }
}
