//! How much of a recipe fills a mould.
//!
//! Layer 3. Volumes are taken to add up: fats and lye shrink a little as they react, which the fill height forgives.

use super::{Batch, ExtraAmount, compute_for, water_lost};
use crate::recipe::Recipe;
use crate::tables::{Fat, Mould, Tables};
use crate::units::{Density, Mass, Volume};

/// The density of a solution of one or both alkalis.
///
/// `1 / rho = w_water / rho_water + sum of w_i * v_i`, with the apparent volume of alkali i
/// `v_i = (w + c2 + c3 t) / ((c0 w + c1) exp(1e-6 (t + c4)^2))`, w the mass fraction of all alkali, t in degrees
/// Celsius; coefficients and their range in `tables/alkalis.toml`.
///
/// - `naoh_fraction`, `koh_fraction`: mass fractions of the pure alkalis, from 0 to 1.
/// - Returns the density and whether concentration and temperature lie within the range of the coefficients. Outside of
///   it the nearest concentration and temperature inside are used, so that the result is a number; it must not be
///   relied on, and the finding `density-beyond-range` refuses it.
///
/// # Example
///
/// 30 % NaOH at 20 °C: 1.3257 g/mL.
///
/// ```
/// use kettlebook::{batch::lye_density, tables::Tables};
/// let (density, in_range) = lye_density(0.30, 0.0, 20.0, &Tables::embedded());
/// assert!((density.to_grams_per_millilitre() - 1.3257).abs() < 0.0001 && in_range);
/// ```
///
/// # Source
///
/// M. Laliberté, J. Chem. Eng. Data 54 (2009) 1725-1760; coefficients as carried by PyPI chemicals 1.5.2.
#[must_use]
pub fn lye_density(naoh_fraction: f64, koh_fraction: f64, celsius: f64, tables: &Tables) -> (Density, bool) {
    let total = naoh_fraction + koh_fraction;
    let present = [(naoh_fraction, &tables.naoh.density_model), (koh_fraction, &tables.koh.density_model)];
    let present = present.into_iter().filter(|(fraction, _)| *fraction > 0.0);
    let (mut w, mut t) = (total, celsius.clamp(0.0, 100.0));
    for (_, model) in present.clone() {
        w = w.min(model.highest_mass_fraction);
        t = t.clamp(model.celsius.0, model.celsius.1);
    }
    let in_range = w == total && t == celsius;
    let mut millilitres_per_gram = (1.0 - w) * 1000.0 / water_kilograms_per_cubic_metre(t);
    for (fraction, model) in present {
        let [c0, c1, c2, c3, c4] = model.coefficients;
        let apparent_volume = (w + c2 + c3 * t) / ((c0 * w + c1) * (1e-6 * (t + c4).powi(2)).exp());
        millilitres_per_gram += fraction * (w / total) * apparent_volume * 1000.0;
    }
    // Coefficients of a course's own may give anything; what is no density of a liquid is out of range.
    if (0.3..=2.0).contains(&millilitres_per_gram) {
        (Density::grams_per_millilitre(1.0 / millilitres_per_gram), in_range)
    } else {
        (tables.limits.water_density, false)
    }
}

/// Density of water from 0 to 100 °C at atmospheric pressure, the formula that the coefficients above go with.
fn water_kilograms_per_cubic_metre(celsius: f64) -> f64 {
    let t = celsius;
    let numerator =
        ((((-2.805_425_3e-10 * t + 1.055_630_2e-7) * t - 4.617_046_1e-5) * t - 0.007_987_040_1) * t + 16.945_176) * t
            + 999.839_52;
    numerator / (1.0 + 0.016_879_85 * t)
}

/// The mass of fats with which a recipe fills a mould.
///
/// The volume of a batch is the sum of the volumes of the fats (densities from the table, the middle of the published
/// range; `fat-density-g-per-ml` of `limits.toml` where there is none), of the lye ([`lye_density`] at the pouring
/// temperature), and of acids and of what is not water in liquids, counted at the density of water. It grows in
/// proportion to the fats, but for additives of a fixed mass; so a step or two of the secant method finds the mass.
///
/// What [`Recipe::embeds`] take up of the mould is left out: 1200 mL with 200 mL of embeds are filled as 1000 mL.
///
/// - Returns the mass and whether the density of the lye was within its range. Where fixed additives alone overfill the
///   mould, the mass is the least that is computed (a milligram), which the scale shows as nothing.
///
/// # Example
///
/// 1200 mL, olive oil alone (SV 190, density 0.9114 g/mL), superfat 5 %, lye concentration 33 %: per gram of fats
/// 1.0972 mL of fats and 0.3899 g of lye at 1.3566 g/mL, 0.2874 mL; 1200 / 1.3846 = 866.7 g (with the lye at 20 °C).
///
/// # Source
///
/// Volumes taken to add up: common practice. Check: the trade's rule of thumb of 0.40 oz of fats per cubic inch.
#[must_use]
pub fn fats_for_mould(recipe: &Recipe, mould: &Mould, tables: &Tables) -> (Mass, bool) {
    let batch = batch_for_mould(recipe, mould, tables);
    (batch.total_fats, batch.volume_is_known)
}

/// The batch that fills a mould.
pub(super) fn batch_for_mould(recipe: &Recipe, mould: &Mould, tables: &Tables) -> Batch {
    const LEAST_GRAMS: f64 = 0.001;
    // What embeds take up is not poured; the recipe's check leaves some of the mould.
    let wanted = (mould.volume().to_millilitres() - recipe.embeds_volume().to_millilitres()).max(LEAST_GRAMS);
    let batch_of = |grams: f64| compute_for(recipe, tables, Mass::grams(grams));
    let (mut low, mut high) = (wanted / 2.0, wanted);
    let (mut at_low, mut batch) = (batch_of(low).volume.to_millilitres(), batch_of(high));
    // Three steps: one is exact for a straight line, which this is but for the density of a slowly changing lye.
    for _ in 0..3 {
        let at_high = batch.volume.to_millilitres();
        let slope = (at_high - at_low) / (high - low);
        if !(slope.is_finite() && slope > 0.0) {
            break;
        }
        (low, at_low) = (high, at_high);
        high = (high + (wanted - at_high) / slope).clamp(LEAST_GRAMS, 100.0 * wanted);
        batch = batch_of(high);
    }
    batch
}

/// The volume of a batch's lye at a temperature, for pouring by volume; `None` outside the range of its density.
///
/// `solution / rho`, with [`lye_density`] for the alkali and the water. Acids, and what is not water in liquids, are
/// counted as if they were lye.
///
/// # Example
///
/// 365 g of a lye with 32.3 % of pure NaOH at 38 °C: 1.337 g/mL, 273 mL.
///
/// # Source
///
/// As [`lye_density`].
#[must_use]
pub fn lye_volume(batch: &Batch, celsius: f64, tables: &Tables) -> Option<Volume> {
    let lye = batch.total_alkali + batch.water;
    let fraction = |kind| batch.alkalis.iter().filter(|it| it.kind == kind).map(|it| it.pure).sum::<Mass>() / lye;
    let (density, in_range) = lye_density(fraction(tables.naoh.kind), fraction(tables.koh.kind), celsius, tables);
    in_range.then(|| Volume::millilitres(batch.solution.to_grams() / density.to_grams_per_millilitre()))
}

/// The volume of a batch without what goes into its layers alone, and whether the density of its lye is within the
/// known range.
pub(super) fn batch_volume(recipe: &Recipe, batch: &Batch, tables: &Tables) -> (Volume, bool) {
    let limits = &tables.limits;
    let fat_millilitres = |fat: &Fat, mass: Mass| mass.to_grams() / fat_density(fat, tables).to_grams_per_millilitre();
    let fats = recipe.fats.iter().zip(&batch.fats).map(|(share, amount)| fat_millilitres(&share.fat, amount.mass));
    let late_fats =
        recipe.late_fats.iter().zip(&batch.late_fats).map(|(share, amount)| fat_millilitres(&share.fat, amount.mass));
    let lye = batch.total_alkali + batch.water;
    let fraction = |kind| batch.alkalis.iter().filter(|it| it.kind == kind).map(|it| it.pure).sum::<Mass>() / lye;
    let (density, in_range) =
        lye_density(fraction(tables.naoh.kind), fraction(tables.koh.kind), limits.pouring_temperature_celsius, tables);
    let solids: Mass =
        batch.liquids.iter().map(|it| it.mass - it.water).chain(batch.acids.iter().map(|it| it.pure)).sum();
    let volume = fats.sum::<f64>()
        + late_fats.sum::<f64>()
        + lye.to_grams() / density.to_grams_per_millilitre()
        + extras_volume(&batch.extras, tables)
        + solids.to_grams() / limits.water_density.to_grams_per_millilitre()
        - water_lost(recipe, batch).to_grams() / limits.water_density.to_grams_per_millilitre();
    (Volume::millilitres(volume), in_range)
}

/// What additives add to the volume, in mL: by the density of their grains where the table has it, or else of water.
pub(super) fn extras_volume(extras: &[ExtraAmount], tables: &Tables) -> f64 {
    let density = |it: &ExtraAmount| it.solid_density.unwrap_or(tables.limits.water_density);
    extras.iter().map(|it| it.mass.to_grams() / density(it).to_grams_per_millilitre()).sum()
}

/// The density of a fat: the middle of its published range, or the table's fallback.
fn fat_density(fat: &Fat, tables: &Tables) -> Density {
    tables.density_of(fat).unwrap_or(tables.limits.fat_density)
}

/// The volume of the fats of a batch that are saponified, for the vessel they are melted in.
///
/// # Example
///
/// 1000 g of olive oil, relative density 0.913: 1097 mL.
///
/// # Source
///
/// Densities of the table; volumes taken to add up.
#[must_use]
pub fn fats_volume(recipe: &Recipe, batch: &Batch, tables: &Tables) -> Volume {
    let fats = recipe.fats.iter().zip(&batch.fats);
    let millilitres =
        fats.map(|(share, amount)| amount.mass.to_grams() / fat_density(&share.fat, tables).to_grams_per_millilitre());
    Volume::millilitres(millilitres.sum())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn outside_the_range_of_the_coefficients_it_says_so_and_stays_a_number() {
        let tables = Tables::embedded();
        for (naoh, koh, celsius) in [(0.6, 0.0, 20.0), (0.0, 0.99, 20.0), (0.3, 0.0, 200.0), (0.3, 0.0, 1.0)] {
            let (density, in_range) = lye_density(naoh, koh, celsius, &tables);
            assert!(!in_range, "{naoh} {koh} {celsius}");
            assert!((1.0..2.0).contains(&density.to_grams_per_millilitre()));
        }
    }

    /// The recipe of 1000 g of lard with NaOH at the given lye concentration, computed.
    fn batch(alkali: &str, concentration: u32) -> Batch {
        use crate::recipe::{Defaults, RawRecipe, validate};
        use crate::source::SourceFile;
        let text = format!(
            "title = \"Lard\"\nbatch = \"1000 g\"\nsuperfat = 5\nalkali = {alkali}\n\
             water = {{ lye-concentration = {concentration} }}\n[fats]\nlard = 100\n"
        );
        let tables = Tables::embedded();
        let (raw, _) = RawRecipe::read("lard", &SourceFile::new("recipes/lard.toml", text));
        let (recipe, _) = validate(&raw, &tables, &Defaults::default());
        super::super::compute(&recipe.expect("the recipe is right"), &tables)
    }

    #[test]
    fn the_volume_of_a_lye_is_its_mass_over_its_density() {
        let tables = Tables::embedded();
        // 133.757 g of NaOH in 271.567 g of water: 405.32 g of 33 % lye; 1.3566 g/mL at 20 °C (tests/outside).
        let volume = lye_volume(&batch("\"NaOH\"", 33), 20.0, &tables).expect("within the range");
        assert!((volume.to_millilitres() - 405.324 / 1.35664).abs() < 0.01, "{volume:?}");
        // 187.625 g of KOH in 507.28 g of water at 27 %: 694.91 g.
        let koh = lye_volume(&batch("\"KOH\"", 27), 20.0, &tables).expect("within the range");
        let density = lye_density(0.0, 0.27, 20.0, &tables).0.to_grams_per_millilitre();
        assert!((koh.to_millilitres() - 694.907 / density).abs() < 0.01, "{koh:?}");
        // A mixture of both counts each by its own share.
        let mixed = batch("{ NaOH = 50, KOH = 50 }", 30);
        let (naoh, potash) = (mixed.alkalis[0].pure / mixed.solution, mixed.alkalis[1].pure / mixed.solution);
        let density = lye_density(naoh, potash, 20.0, &tables).0.to_grams_per_millilitre();
        let volume = lye_volume(&mixed, 20.0, &tables).expect("within the range");
        assert!((volume.to_millilitres() - mixed.solution.to_grams() / density).abs() < 1e-9);
        assert_eq!(lye_volume(&batch("\"NaOH\"", 52), 20.0, &tables), None, "beyond the range of the density");
    }

    /// 230 mm by 75 mm by 60 mm are 1035 mL; twelve pieces of 10 mL leave 915 mL for the batter, and the mould is full.
    #[test]
    fn embeds_take_their_room_in_the_mould() {
        use crate::recipe::{Defaults, RawRecipe, validate};
        use crate::source::SourceFile;
        let tables = Tables::embedded();
        let batch = |embeds: &str| {
            let text = format!(
                "title = \"Lard\"\nmould = \"loaf-1kg\"\nsuperfat = 5\nalkali = \"NaOH\"\n\
                 water = {{ lye-concentration = 33 }}\n[fats]\nlard = 100\n{embeds}"
            );
            let (raw, _) = RawRecipe::read("lard", &SourceFile::new("recipes/lard.toml", text));
            let (recipe, findings) = validate(&raw, &tables, &Defaults::default());
            super::super::compute(&recipe.unwrap_or_else(|| panic!("{findings:?}")), &tables)
        };
        let by_volume = "[[embeds]]\nname = \"stars\"\ncount = 12\nvolume = \"10 ml\"\n";
        // 132 g at 1.1 g/mL are 120 mL as well.
        let by_mass = "[[embeds]]\nname = \"rope\"\nmass = \"132 g\"\ndensity = 1.1\n";
        for embeds in [by_volume, by_mass] {
            let batch = batch(embeds);
            assert!((batch.volume.to_millilitres() - 915.0).abs() < 1e-6, "{:?}", batch.volume);
            assert!((batch.filled_height.expect("a mould").to_millimetres() - 60.0).abs() < 1e-6);
        }
        let (with, without) = (batch(by_volume).total_fats, batch("").total_fats);
        assert!((with / without - 915.0 / 1035.0).abs() < 1e-9);
    }
}
