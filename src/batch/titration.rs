//! Free alkali by titration: from the acid that a sample took to the alkali that was in it.
//!
//! Layer 3. The sample, the burette and the acid are somebody's; what a result means is said by `page/view/titration.rs`.
//!
//! Symbols: V, volume of acid (mL); c, its strength (mol/L); h, acidic hydrogens; M, molar mass of the alkali (g/mol); m, mass
//! of the sample (g).

use crate::units::{Mass, MolarMass, Percent, Scale, Volume};

/// What was read at a titration.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Titration {
    /// The sample.
    pub sample: Mass,
    /// The acid that turned the colour.
    pub acid: Volume,
    /// Its strength.
    pub moles_per_litre: f64,
    /// Moles of alkali that one mole of it takes up.
    pub acidic_hydrogens: f64,
}

/// Alkali in a sample, percent of it, with what a coarse burette and scale leave open.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FreeAlkali {
    /// As read.
    pub percent: f64,
    /// The least that it may be.
    pub least_percent: f64,
    /// The most.
    pub most_percent: f64,
}

/// Alkali in a sample that was titrated.
///
/// `V c h M / (10 m)`, percent. The least and the most are what V off by a division of the burette (half of one at each of its
/// two readings) and m off by half a division of the scale come to, both the same way; never below zero.
///
/// - `burette_division`: of the burette.
/// - `scale`: that the sample was weighed on.
///
/// A sample of no mass gives nothing, and one of less than half a division an unbounded most.
///
/// # Example
///
/// 2 g of soap, which took 1 mL of 0.1 mol/L hydrochloric acid: as NaOH 1 * 0.1 * 1 * 39.99712 / 20 = 0.200 %.
///
/// # Source
///
/// Stoichiometry of neutralisation. Simmons and Appleton, The Handbook of Soap Manufacture (1908): 2 grammes of soap in neutral
/// alcohol, N/10 acid, phenolphthalein, "c.c. required x 0.0031 x 50" as percent of Na2O, which is half a mole of Na2O, 31 g,
/// where this has a mole of NaOH. The principle is that of ISO 456:1973 (ethanol method; its summary was read, and not the
/// standard).
#[must_use]
pub fn free_alkali(it: &Titration, alkali: MolarMass, burette_division: Volume, scale: Scale) -> FreeAlkali {
    let percent = |millilitres: f64, grams: f64| {
        if grams <= 0.0 {
            return if millilitres > 0.0 { 100.0 } else { 0.0 };
        }
        let moles = millilitres / 1000.0 * it.moles_per_litre * it.acidic_hydrogens;
        moles * alkali.to_grams_per_mole() / grams * 100.0
    };
    let (acid, sample) = (it.acid.to_millilitres(), it.sample.to_grams());
    let half = scale.unit.grams() * scale.division / 2.0;
    let division = burette_division.to_millilitres();
    FreeAlkali {
        percent: percent(acid, sample),
        least_percent: percent((acid - division).max(0.0), sample + half),
        most_percent: percent(acid + division, sample - half),
    }
}

/// The strength by which a recipe counts a stock that was titrated: lye as weighed from its container, percent by mass.
///
/// `pure / purity`, to the next tenth above, so that the recipe reckons with no less alkali than there is.
///
/// - `pure_percent`: pure alkali in it.
/// - `purity`: of the lye, as the recipe has it; above 0.
///
/// # Example
///
/// 48.3 % of pure NaOH, and lye of 98 %: 49.286, told as 49.3 %, of which 98 % are 48.31 %.
///
/// # Source
///
/// Definition of a mass fraction.
#[must_use]
pub fn stock_strength_percent(pure_percent: f64, purity: Percent) -> f64 {
    (pure_percent / purity.to_fraction() * 10.0 - 1e-9).ceil() / 10.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tables::Tables;

    fn titrated(sample: f64, acid: f64, moles_per_litre: f64, acidic_hydrogens: f64) -> Titration {
        let (sample, acid) = (Mass::grams(sample), Volume::millilitres(acid));
        Titration { sample, acid, moles_per_litre, acidic_hydrogens }
    }

    /// Handbook of Soap Manufacture (1908), free caustic alkali: 2 g of soap and N/10 acid, mL x 0.0031 x 50 percent of
    /// Na2O. One gram of Na2O (61.979) is 2 x 39.997 / 61.979 grams of NaOH.
    #[test]
    fn the_handbook_of_1908_has_the_same_factor() {
        let naoh = Tables::embedded().naoh.molar_mass;
        let nothing = Volume::millilitres(0.0);
        for acid in [0.4, 1.0, 3.7] {
            let by_handbook = acid * 0.0031 * 50.0 * (2.0 * 39.997 / 61.979);
            let found = free_alkali(&titrated(2.0, acid, 0.1, 1.0), naoh, nothing, Scale::GRAMS).percent;
            assert!((found / by_handbook - 1.0).abs() < 0.001, "{acid} mL: {found} and {by_handbook}");
        }
    }

    /// By hand: a lye solution of 30 % NaOH, 2.000 g of it, is 0.600 g or 15.001 mmol; 1 mol/L sulfuric acid (two hydrogens)
    /// 7.5005 mL.
    #[test]
    fn a_solution_of_lye_has_the_strength_it_was_made_with() {
        let naoh = Tables::embedded().naoh.molar_mass;
        let found = free_alkali(&titrated(2.0, 7.5005, 1.0, 2.0), naoh, Volume::millilitres(0.0), Scale::GRAMS);
        assert!((found.percent - 30.0).abs() < 0.001, "{found:?}");
    }

    /// By hand: 48.3 / 0.98 = 49.286; of 30 % that are pure, 30.
    #[test]
    fn a_stock_that_was_titrated_counts_for_no_less_alkali_than_was_found() {
        for (pure, purity, strength) in
            [(48.3, 98.0, 49.3), (30.0, 100.0, 30.0), (44.1, 90.0, 49.0), (49.0, 98.0, 50.0)]
        {
            let counted = stock_strength_percent(pure, Percent::percent(purity));
            assert!((counted - strength).abs() < 1e-9, "{pure} % of {purity} %: {counted}");
            assert!(counted * purity / 100.0 >= pure - 1e-9, "{counted}");
        }
    }

    #[test]
    fn a_coarse_burette_and_a_coarse_scale_leave_more_open() {
        let koh = Tables::embedded().koh.molar_mass;
        let it = titrated(10.0, 2.0, 0.1, 1.0);
        let fine = free_alkali(&it, koh, Volume::millilitres(0.05), Scale::GRAMS.small());
        let coarse = free_alkali(&it, koh, Volume::millilitres(0.5), Scale::GRAMS);
        assert!(coarse.least_percent < fine.least_percent && fine.most_percent < coarse.most_percent);
        // By hand: 1.5 mL and 10.5 g, 2.5 mL and 9.5 g, on a scale of a gram.
        assert!((coarse.least_percent - 1.5 * 0.1 * 56.10565 / 105.0).abs() < 1e-9, "{coarse:?}");
        assert!((coarse.most_percent - 2.5 * 0.1 * 56.10565 / 95.0).abs() < 1e-9, "{coarse:?}");
        // Less acid than a division is perhaps none.
        let trace = free_alkali(&titrated(10.0, 0.1, 0.1, 1.0), koh, Volume::millilitres(0.2), Scale::GRAMS);
        assert_eq!(trace.least_percent, 0.0);
    }
}
