//! Lye solution made beforehand: a stock of stated strength, and what a recipe takes of it.
//!
//! Layer 3. The strength counts the lye as it comes out of its container, impurities and all, as every lye concentration does
//! here. How sure that strength is goes into the superfat's worst case (`uncertainty.rs`); what a scale shows of the stock is
//! in `weighing.rs`.

use super::heat::hottest_lye;
use super::scaling::lye_density;
use super::solubility::crystallises_below_celsius_at;
use super::vessels::vessel_for;
use super::{AlkaliAmount, Weighed};
use crate::recipe::Stock;
use crate::tables::{AlkaliKind, Tables};
use crate::units::{Mass, Percent, Scale, Volume};

/// What a recipe takes of its stock, exactly.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StockAmount {
    /// Lye in the stock, as weighed out of the container, percent by mass.
    pub strength: Percent,
    /// Pure alkali in it, percent by mass: what dissolves and what heats.
    pub pure_percent: f64,
    /// How much of it is weighed.
    pub mass: Mass,
    /// The water in that.
    pub water: Mass,
    /// Water that is still missing; nothing where more comes with the stock than the recipe has.
    pub further_water: Mass,
}

impl StockAmount {
    /// Whether more water comes with the stock than the recipe has beside its liquids and acids.
    ///
    /// A strength typed as exactly the recipe's own may come back a hair beyond it.
    #[must_use]
    pub fn brings_too_much_water(&self, plain_water: Mass) -> bool {
        self.water.to_grams() > plain_water.to_grams() + self.mass.to_grams() * 1e-9
    }

    /// What a recipe takes of its stock.
    ///
    /// `stock = lye / c`, of which `stock - lye` is water; `further water = water to weigh out - that`.
    ///
    /// - `plain_water`: the recipe's water that no liquid and no acid brings.
    ///
    /// Cannot fail.
    ///
    /// # Example
    ///
    /// 128.68 g of lye and 261.25 g of water, from a stock of 50 %: 257.36 g of stock, which bring 128.68 g of water, and
    /// 132.57 g of further water.
    ///
    /// # Source
    ///
    /// Definition of a mass fraction.
    #[must_use]
    pub fn of(stock: &Stock, alkali: &AlkaliAmount, plain_water: Mass) -> StockAmount {
        let mass = alkali.mass / stock.strength.to_fraction();
        let water = mass - alkali.mass;
        StockAmount {
            strength: stock.strength,
            pure_percent: stock.strength.to_percent() * alkali.purity.to_fraction(),
            mass,
            water,
            further_water: plain_water - water,
        }
    }
}

/// What a scale shows of a stock, in its steps.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StockReading {
    /// Lye in the stock, as a fraction.
    pub strength: f64,
    /// The stock.
    pub stock: u64,
    /// The water that is weighed beside it.
    pub further_water: u64,
}

impl StockReading {
    /// Reads a stock off a scale, from what the scale shows of the recipe's lye and water.
    ///
    /// The stock is the reading of the lye over its strength, rounded down, so that it never brings more lye than the reading.
    /// The further water is what is left of both readings: stock and further water add up to lye and water, to the last step.
    ///
    /// # Example
    ///
    /// 128 g of lye, 261 g of water, 50 %: 256 g of stock and 133 g of water. With 48 %: 128 / 0.48 = 266.67, 266 g of stock
    /// with 127.68 g of lye in it, and 123 g of water.
    #[must_use]
    pub fn of(strength: Percent, lye: u64, water: u64, scale: Scale) -> StockReading {
        let strength = strength.to_fraction();
        // Less stock is less lye, wherever rounding leaves no more room.
        let stock = scale.below(scale.mass(lye) / strength).min(lye + water);
        StockReading { strength, stock, further_water: lye + water - stock }
    }

    /// The lye in the stock that is weighed.
    #[must_use]
    pub fn lye(&self, scale: Scale) -> Mass {
        scale.mass(self.stock) * self.strength
    }
}

/// A jug of stock for several batches of one recipe, as one scale shows it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Jug {
    /// The stock that the batches take, without the spare.
    pub needed: u64,
    /// The lye to weigh out.
    pub lye: u64,
    /// The water to weigh out.
    pub water: u64,
}

impl Jug {
    /// What is weighed to make the stock for several batches; `None` for a recipe without one.
    ///
    /// `lye = stock (1 + spare) c` and `water = lye (1 - c) / c`, both rounded up: so there is enough, and the stock comes out
    /// no stronger than it is said to be. Rounded up, the water weakens it by less than one step in the whole jug.
    ///
    /// - `spare`: what is made beyond the batches.
    ///
    /// Cannot fail.
    ///
    /// # Example
    ///
    /// 6 batches of 256 g and 10 % to spare are 1689.6 g of stock of 50 %: 845 g of lye in 845 g of water.
    #[must_use]
    pub fn of(weighed: &Weighed, batches: u32, spare: Percent) -> Option<Jug> {
        let (scale, stock) = (weighed.scale, weighed.stock?);
        let needed = stock.stock * u64::from(batches);
        let lye = scale.above(scale.mass(needed) * ((1.0 + spare.to_fraction()) * stock.strength));
        let water = scale.above(scale.mass(lye) * ((1.0 - stock.strength) / stock.strength));
        Some(Jug { needed, lye, water })
    }

    /// All of it.
    #[must_use]
    pub fn whole(&self) -> u64 {
        self.lye + self.water
    }
}

/// The hottest that a stock can get while it is made from water of the tap, degrees Celsius, and with half of the water as ice;
/// `None` where the tables do not reach so far.
#[must_use]
pub fn hottest_stock(stock: &StockAmount, kind: AlkaliKind, tables: &Tables) -> [Option<f64>; 2] {
    let pure = Mass::grams(stock.pure_percent);
    let water = Mass::grams(100.0 - stock.strength.to_percent());
    let (naoh, koh) = match kind {
        AlkaliKind::NaOH => (pure, Mass::ZERO),
        AlkaliKind::KOH => (Mass::ZERO, pure),
    };
    [0.0, 0.5].map(|ice| {
        let it = hottest_lye(naoh, koh, water, ice, tables.limits.tap_water_celsius, tables);
        it.in_range.then_some(it.celsius)
    })
}

/// The temperature below which a stock may crystallise, degrees Celsius; `None` where it does not in a cool room.
#[must_use]
pub fn stock_crystallises_below_celsius(stock: &StockAmount, kind: AlkaliKind, tables: &Tables) -> Option<f64> {
    crystallises_below_celsius_at(kind, stock.pure_percent, tables)
}

/// The least volume of the vessel in which so much stock is mixed; `None` where its density is not known.
///
/// `mass / rho / fill`, the density that of the pure alkali's fraction at the pouring temperature.
#[must_use]
pub fn stock_vessel(mass: Mass, stock: &StockAmount, kind: AlkaliKind, tables: &Tables) -> Option<Volume> {
    let fraction = stock.pure_percent / 100.0;
    let (naoh, koh) = match kind {
        AlkaliKind::NaOH => (fraction, 0.0),
        AlkaliKind::KOH => (0.0, fraction),
    };
    let limits = &tables.limits;
    let (density, in_range) = lye_density(naoh, koh, limits.pouring_temperature_celsius, tables);
    let volume = Volume::millilitres(mass.to_grams() / density.to_grams_per_millilitre());
    in_range.then(|| vessel_for(volume, limits.vessel_fill))
}
