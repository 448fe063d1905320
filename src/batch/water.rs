//! How much water the alkali goes into, and the three ways of saying it.
//!
//! Layer 3. All three conventions speak of the alkali as weighed out, impurities and all, as the trade does: that is
//! what stands on the bench. What dissolves is the pure alkali; see `Batch::pure_concentration_percent`.

use crate::recipe::WaterRule;
use crate::units::Mass;

/// The mass of water that a rule asks for.
///
/// - lye concentration c: `alkali * (100 - c) / c`
/// - per lye r: `alkali * r`
/// - of fats p: `fats * p / 100`
///
/// `alkali` is the alkali as weighed out; `fats` is the mass of all fats. Cannot fail: the rule was checked.
///
/// # Example
///
/// 100 g of NaOH at a lye concentration of 33 % take 100 * 67 / 33 = 203.03 g of water.
///
/// ```
/// use kettlebook::{batch::water_for, recipe::WaterRule, units::{Mass, Percent}};
/// let rule = WaterRule::LyeConcentration(Percent::percent(33.0));
/// let water = water_for(rule, Mass::grams(100.0), Mass::grams(800.0));
/// assert!((water.to_grams() - 203.03).abs() < 0.005);
/// ```
///
/// # Source
///
/// Definition of a mass fraction; the three conventions are common practice.
#[must_use]
pub fn water_for(rule: WaterRule, alkali: Mass, fats: Mass) -> Mass {
    match rule {
        WaterRule::LyeConcentration(percent) => alkali * ((100.0 - percent.to_percent()) / percent.to_percent()),
        WaterRule::PerLye(ratio) => alkali * ratio,
        WaterRule::OfFats(percent) => fats * percent.to_fraction(),
    }
}

/// The same water in the three conventions of the trade.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WaterConventions {
    /// Alkali in the finished lye, percent by mass.
    pub lye_concentration_percent: f64,
    /// Mass of water per mass of alkali.
    pub water_per_lye: f64,
    /// Water in percent of the fats.
    pub water_of_fats_percent: f64,
}

impl WaterConventions {
    /// Works the three out from masses.
    ///
    /// `alkali / (alkali + water)`, `water / alkali`, `water / fats`; `alkali` and `fats` are above 0.
    ///
    /// # Example
    ///
    /// 100 g of NaOH in 200 g of water for 800 g of fats: 33.3 %, 2.0, 25 %.
    ///
    /// ```
    /// use kettlebook::{batch::WaterConventions, units::Mass};
    /// let it = WaterConventions::of(Mass::grams(100.0), Mass::grams(200.0), Mass::grams(800.0));
    /// assert!((it.lye_concentration_percent - 100.0 / 3.0).abs() < 1e-12);
    /// assert_eq!((it.water_per_lye, it.water_of_fats_percent), (2.0, 25.0));
    /// ```
    ///
    /// # Source
    ///
    /// Definitions; common practice.
    #[must_use]
    pub fn of(alkali: Mass, water: Mass, fats: Mass) -> WaterConventions {
        WaterConventions {
            lye_concentration_percent: alkali / (alkali + water) * 100.0,
            water_per_lye: water / alkali,
            water_of_fats_percent: water / fats * 100.0,
        }
    }
}
