//! The arithmetic of sentences: `lye / 2`, `fats.olive + fats.coconut`, `total.fats * superfat`.
//!
//! Layer 6. Figures are numbers with units here, never text. What is weighed comes out as something that is weighed:
//!
//! - the sum of two amounts is the sum of what the scale shows of them, so that whoever adds up what the page prints gets
//!   what the page prints;
//! - a multiple or a part is of the exact amount, and read off the scale: to the nearest step, or down if it has lye in it.
//!
//! A sum that has no meaning is refused, and so is one that comes to less than nothing.

use super::expression::Operator;
use crate::ledger::{Amount, Figure, Kind, Moment, Part, Scales};
use crate::units::{Length, Mass, Scale, ScaleUnit, TimeSpan, Volume};

/// Beyond this nothing is meant that is weighed, measured or counted at a bench: a thousand tonnes in grams.
const LARGEST: f64 = 1e9;

/// A figure in a sum.
#[derive(Clone, Copy, Debug)]
pub(super) struct Quantity {
    measure: Measure,
    /// Whether there is lye in it, so that a scale is read from below.
    holds_lye: bool,
    /// Whether it takes lye up, as fats and acids do.
    takes_lye_up: bool,
    /// Whether nothing in it is weighed but what may go onto the finer scale.
    is_small: bool,
}

#[derive(Clone, Copy, Debug)]
enum Measure {
    Number(f64),
    /// In grams; of what is weighed, also what each scale shows, where that is more than its rounding.
    Mass {
        grams: f64,
        is_weighed: bool,
        shown: Option<[i128; 2]>,
    },
    /// In percent, by each of the scales.
    Share([f64; 2]),
    Length(f64),
    /// Whether it is the least volume of a vessel, which is rounded up.
    Volume(f64, bool),
    Time(f64, f64),
    Celsius(f64),
}

impl Measure {
    fn name(self) -> &'static str {
        match self {
            Measure::Number(_) => "a number",
            Measure::Mass { .. } => "a mass",
            Measure::Share(_) => "a percentage",
            Measure::Length(_) => "a length",
            Measure::Volume(..) => "a volume",
            Measure::Time(..) => "a time",
            Measure::Celsius(_) => "a temperature",
        }
    }

    /// The same so many times; `None` for a temperature, whose double depends on the scale it is told in.
    fn times(self, factor: f64) -> Option<Measure> {
        Some(match self {
            Measure::Number(it) => Measure::Number(it * factor),
            Measure::Mass { grams, is_weighed, .. } => Measure::Mass { grams: grams * factor, is_weighed, shown: None },
            Measure::Share(it) => Measure::Share(it.map(|it| it * factor)),
            Measure::Length(it) => Measure::Length(it * factor),
            Measure::Volume(it, is_vessel) => Measure::Volume(it * factor, is_vessel),
            Measure::Time(low, high) => Measure::Time(low * factor, high * factor),
            Measure::Celsius(_) => return None,
        })
    }

    /// How many times the other is in it, if they are of one kind.
    fn over(self, other: Measure, main: usize) -> Option<f64> {
        match (self, other) {
            (Measure::Mass { grams: a, .. }, Measure::Mass { grams: b, .. })
            | (Measure::Length(a), Measure::Length(b))
            | (Measure::Volume(a, _), Measure::Volume(b, _)) => Some(a / b),
            (Measure::Share(a), Measure::Share(b)) => Some(a[main] / b[main]),
            (Measure::Time(a, _), Measure::Time(b, to)) if b.total_cmp(&to).is_eq() => Some(a / b),
            _ => None,
        }
    }
}

impl Quantity {
    /// A figure as a number with its unit.
    pub(super) fn of(figure: &Figure) -> Quantity {
        let takes_lye_up =
            matches!(figure.key.kind, Kind::Fat | Kind::TotalFats | Kind::LayerFats | Kind::TotalFatsDivided)
                || matches!(figure.part, Part::Acid(_));
        let is_small = figure.amount.mass().is_none()
            || matches!(figure.goes_into, Some(Moment::Trace | Moment::Cooked))
            || figure.key.kind == Kind::DilutionPreservative;
        Quantity { holds_lye: figure.holds_lye(), takes_lye_up, is_small, ..Quantity::typed(&figure.amount) }
    }

    /// What an author typed.
    pub(super) fn typed(amount: &Amount) -> Quantity {
        let measure = match *amount {
            Amount::Weighed { exact, grams, ounces } => Measure::Mass {
                grams: exact.to_grams(),
                is_weighed: true,
                shown: Some([i128::from(grams), i128::from(ounces)]),
            },
            Amount::Mass(it) => Measure::Mass { grams: it.to_grams(), is_weighed: false, shown: None },
            Amount::Step(it) => Measure::Mass { grams: it.division * it.unit.grams(), is_weighed: false, shown: None },
            Amount::Share(it) | Amount::SmallShare(it) => Measure::Share([it; 2]),
            Amount::ShareByScale { grams, ounces } => Measure::Share([grams, ounces]),
            Amount::Ratio(it) | Amount::IodineValue(it) => Measure::Number(it),
            Amount::Count(it) => Measure::Number(f64::from(it)),
            Amount::SapValue(it) => Measure::Number(it.to_mg_koh_per_g()),
            Amount::MolarMass(it) => Measure::Number(it.to_grams_per_mole()),
            Amount::Length(it) => Measure::Length(it.to_millimetres()),
            Amount::Volume(it) => Measure::Volume(it.to_millilitres(), false),
            Amount::Vessel(it) => Measure::Volume(it.to_millilitres(), true),
            Amount::Time(low, high) => Measure::Time(low.to_minutes(), high.to_minutes()),
            Amount::Clock(it) => Measure::Time(it.to_minutes(), it.to_minutes()),
            Amount::Celsius(it) | Amount::CelsiusAtMost(it) => Measure::Celsius(it),
        };
        Quantity { measure, holds_lye: false, takes_lye_up: false, is_small: true }
    }

    /// Whether there is lye in it.
    pub(super) fn holds_lye(&self) -> bool {
        self.holds_lye
    }

    /// Whether it takes lye up.
    pub(super) fn takes_lye_up(&self) -> bool {
        self.takes_lye_up
    }

    /// Whether it is weighed on the finer scale, if there is one and it takes so much.
    pub(super) fn is_small(&self) -> bool {
        self.is_small
    }

    /// What comes of two of them.
    ///
    /// # Errors
    ///
    /// Words about why it has no meaning.
    pub(super) fn with(self, operator: Operator, other: Quantity, scales: &Scales) -> Result<Quantity, String> {
        let main = usize::from(scales.units.main() == ScaleUnit::Ounces);
        let (a, b) = (self.measure, other.measure);
        let (one, another) = (a.name(), b.name());
        let joined = match operator {
            Operator::Plus => self.added(other, 1, scales),
            Operator::Minus => self.added(other, -1, scales),
            Operator::Times => match (a, b) {
                (it, Measure::Number(factor)) | (Measure::Number(factor), it) => it.times(factor),
                (it, Measure::Share(percent)) | (Measure::Share(percent), it) => it.times(percent[main] / 100.0),
                _ => None,
            },
            Operator::Over => match b {
                Measure::Number(divisor) => a.times(1.0 / divisor),
                _ => a.over(b, main).map(Measure::Number),
            },
        };
        let refused = || match operator {
            _ if matches!(a, Measure::Celsius(_)) || matches!(b, Measure::Celsius(_)) => {
                "nothing can be computed with a temperature".to_owned()
            }
            Operator::Plus => format!("{another} cannot be added to {one}"),
            Operator::Minus => format!("{another} cannot be taken from {one}"),
            Operator::Times => format!("{one} times {another} has no meaning"),
            Operator::Over => format!("{one} divided by {another} has no meaning"),
        };
        let measure = joined.ok_or_else(refused)?;
        // A number has no lye in it, whatever it was a number of.
        let is_amount = !matches!(measure, Measure::Number(_));
        Ok(Quantity {
            measure,
            holds_lye: (self.holds_lye || other.holds_lye) && is_amount,
            takes_lye_up: (self.takes_lye_up || other.takes_lye_up) && is_amount,
            is_small: self.is_small && other.is_small,
        })
    }

    fn added(self, other: Quantity, sign: i8, scales: &Scales) -> Option<Measure> {
        let factor = f64::from(sign);
        Some(match (self.measure, other.measure) {
            (Measure::Number(a), Measure::Number(b)) => Measure::Number(a + factor * b),
            (Measure::Share(a), Measure::Share(b)) => Measure::Share([a[0] + factor * b[0], a[1] + factor * b[1]]),
            (Measure::Length(a), Measure::Length(b)) => Measure::Length(a + factor * b),
            (Measure::Volume(a, _), Measure::Volume(b, _)) => Measure::Volume(a + factor * b, false),
            (Measure::Time(a, to_a), Measure::Time(b, to_b)) if sign > 0 => Measure::Time(a + b, to_a + to_b),
            // The shortest that may be left is what the longest leaves of the shortest.
            (Measure::Time(a, to_a), Measure::Time(b, to_b)) => Measure::Time(a - to_b, to_a - b),
            (
                Measure::Mass { grams: a, is_weighed: weighed_a, .. },
                Measure::Mass { grams: b, is_weighed: weighed_b, .. },
            ) => {
                let is_weighed = weighed_a || weighed_b;
                let (one, another) = (self.shown(scales), other.shown(scales));
                let sum = |idx: usize| one[idx] + i128::from(sign) * another[idx];
                Measure::Mass { grams: a + factor * b, is_weighed, shown: is_weighed.then(|| [sum(0), sum(1)]) }
            }
            _ => return None,
        })
    }

    /// What the two scales show of a mass, in divisions.
    fn shown(&self, scales: &Scales) -> [i128; 2] {
        match self.measure {
            Measure::Mass { shown: Some(shown), .. } => shown,
            Measure::Mass { grams, .. } if grams.abs() <= LARGEST => {
                let mass = Mass::grams(grams.abs());
                let read = |scale: Scale| match self {
                    it if it.holds_lye => i128::from(scale.below(mass)),
                    it if it.is_small => i128::from(scale.nearest_small(mass)),
                    _ => i128::from(scale.nearest(mass)),
                };
                let sign = if grams < 0.0 { -1 } else { 1 };
                [scales.grams, scales.ounces].map(|it| sign * read(it))
            }
            _ => [0, 0],
        }
    }

    /// The figure that it is.
    ///
    /// # Errors
    ///
    /// Words where it is less than nothing, no number at all, or too large to be meant.
    pub(super) fn amount(&self, scales: &Scales) -> Result<Amount, String> {
        let sound = |value: f64| match value {
            it if !it.is_finite() => Err("something is divided by zero".to_owned()),
            it if it.abs() > LARGEST => Err("the result is far too large to be meant".to_owned()),
            it => Ok(it),
        };
        let positive = |value: f64| match sound(value)? {
            it if it < 0.0 => Err("the result is less than zero".to_owned()),
            it => Ok(it),
        };
        Ok(match self.measure {
            Measure::Number(it) => Amount::Ratio(sound(it)?),
            Measure::Share([grams, ounces]) => {
                let (grams, ounces) = (sound(grams)?, sound(ounces)?);
                let is_one = grams.total_cmp(&ounces).is_eq();
                if is_one { Amount::Share(grams) } else { Amount::ShareByScale { grams, ounces } }
            }
            Measure::Length(it) => Amount::Length(Length::millimetres(positive(it)?)),
            Measure::Volume(it, true) => Amount::Vessel(Volume::millilitres(positive(it)?)),
            Measure::Volume(it, false) => Amount::Volume(Volume::millilitres(positive(it)?)),
            Measure::Time(low, high) => {
                Amount::Time(TimeSpan::minutes(positive(low)?), TimeSpan::minutes(positive(high)?))
            }
            Measure::Celsius(it) => Amount::Celsius(it),
            Measure::Mass { grams, is_weighed: false, .. } => Amount::Mass(Mass::grams(positive(grams)?)),
            Measure::Mass { grams, is_weighed: true, .. } => {
                // What the scale shows of two equal amounts may differ from nothing where the exact ones do not.
                let exact = Mass::grams(positive(if grams.abs() < 1e-9 { 0.0 } else { grams })?);
                let read = |it: i128| u64::try_from(it).map_err(|_| "the result is less than zero".to_owned());
                let [in_grams, in_ounces] = self.shown(scales);
                Amount::Weighed { exact, grams: read(in_grams)?, ounces: read(in_ounces)? }
            }
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn weighed(grams: f64, shown: u64, holds_lye: bool) -> Quantity {
        let exact = Mass::grams(grams);
        let amount = Amount::Weighed { exact, grams: shown, ounces: Scale::OUNCES.below(exact) };
        Quantity { holds_lye, is_small: false, ..Quantity::typed(&amount) }
    }

    fn typed(amount: Amount) -> Quantity {
        Quantity::typed(&amount)
    }

    fn reading(tried: Result<Quantity, String>) -> Result<Option<u64>, String> {
        tried?.amount(&Scales::default()).map(|it| it.reading(ScaleUnit::Grams))
    }

    #[test]
    fn what_is_weighed_is_read_off_the_scale() {
        let scales = Scales::default();
        let number = |it| typed(Amount::Ratio(it));
        let (lye, fat, other) = (weighed(85.8, 85, true), weighed(100.4, 100, false), weighed(200.4, 200, false));
        // 42.9 g has lye in it and reads 42 g; 50.2 g of fat reads 50 g, 150.6 g reads 151 g.
        assert_eq!(reading(lye.with(Operator::Over, number(2.0), &scales)), Ok(Some(42)));
        assert_eq!(reading(number(0.5).with(Operator::Times, lye, &scales)), Ok(Some(42)));
        assert_eq!(reading(fat.with(Operator::Over, number(2.0), &scales)), Ok(Some(50)));
        assert_eq!(reading(fat.with(Operator::Times, number(1.5), &scales)), Ok(Some(151)));
        // What is printed adds up, though 100.4 g and 200.4 g are 300.8 g.
        assert_eq!(reading(fat.with(Operator::Plus, other, &scales)), Ok(Some(300)));
        assert_eq!(reading(other.with(Operator::Minus, fat, &scales)), Ok(Some(100)));
        let fifty = typed(Amount::Mass(Mass::grams(50.0)));
        assert_eq!(reading(fat.with(Operator::Minus, fifty, &scales)), Ok(Some(50)));
        // 85.8 g of lye twice is 171.6 g, which reads 171 g; 5.5 % of 200.4 g is 11.02 g.
        assert_eq!(reading(lye.with(Operator::Times, number(2.0), &scales)), Ok(Some(171)));
        assert_eq!(reading(other.with(Operator::Times, typed(Amount::Share(5.5)), &scales)), Ok(Some(11)));
    }

    #[test]
    fn small_amounts_stay_on_the_finer_scale() {
        let scales = Scales { grams: Scale { steps: 10, ..Scale::GRAMS }, ..Scales::default() };
        let clay = Quantity { is_small: true, ..weighed(1.7, 17, false) };
        let times = |quantity: Quantity, factor| {
            let product = quantity.with(Operator::Times, typed(Amount::Ratio(factor)), &scales);
            product.and_then(|it| it.amount(&scales)).map(|it| it.reading(ScaleUnit::Grams))
        };
        // 2.55 g reads 2.6 g, in tenths; a fat of as much reads 3 g.
        assert_eq!(times(clay, 1.5), Ok(Some(26)));
        assert_eq!(times(Quantity { is_small: false, ..clay }, 1.5), Ok(Some(30)));
    }

    #[test]
    fn what_has_no_meaning_is_refused_in_words() {
        let scales = Scales::default();
        let (lye, superfat, two) = (weighed(85.8, 85, true), typed(Amount::Share(5.0)), typed(Amount::Ratio(2.0)));
        let (warm, fat) = (typed(Amount::Celsius(40.0)), weighed(100.4, 100, false));
        for (a, operator, b, words) in [
            (lye, Operator::Plus, superfat, "a percentage cannot be added to a mass"),
            (lye, Operator::Minus, two, "a number cannot be taken from a mass"),
            (lye, Operator::Times, fat, "a mass times a mass has no meaning"),
            (two, Operator::Over, fat, "a number divided by a mass has no meaning"),
            (warm, Operator::Times, two, "nothing can be computed with a temperature"),
            (lye, Operator::Minus, fat, "the result is less than zero"),
            (lye, Operator::Over, typed(Amount::Ratio(0.0)), "something is divided by zero"),
            (lye, Operator::Times, typed(Amount::Ratio(1e12)), "the result is far too large to be meant"),
        ] {
            assert_eq!(reading(a.with(operator, b, &scales)), Err(words.to_owned()));
        }
    }

    #[test]
    fn numbers_of_one_kind_have_a_ratio_and_times_a_span() {
        let scales = Scales::default();
        let amount = |it: Result<Quantity, String>| it.and_then(|it| it.amount(&scales));
        let (water, lye) = (weighed(170.0, 170, false), weighed(85.0, 85, true));
        assert_eq!(amount(water.with(Operator::Over, lye, &scales)), Ok(Amount::Ratio(2.0)));
        let weeks = |low: f64, high: f64| Amount::Time(TimeSpan::minutes(low), TimeSpan::minutes(high));
        let cure = typed(weeks(4.0, 6.0));
        assert_eq!(amount(cure.with(Operator::Minus, typed(weeks(1.0, 2.0)), &scales)), Ok(weeks(2.0, 5.0)));
        assert_eq!(amount(cure.with(Operator::Times, typed(Amount::Count(2)), &scales)), Ok(weeks(8.0, 12.0)));
    }
}
