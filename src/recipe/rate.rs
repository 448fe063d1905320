//! How much of an additive, as recipes say it.
//!
//! Layer 2.

use crate::units::{Mass, QuantityError, Volume, number};

/// An amount that may depend on the batch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Rate {
    /// A share of the fats: 0.01 for `1 %`, `10 g/kg` or `0.16 oz/lb`.
    OfFats(f64),
    /// A share of the water that the liquid is to provide, or beside so much water what is dissolved in it: 0.5 for `50 % of
    /// water`.
    OfWater(f64),
    /// The same whatever the batch: `15 g`.
    Fixed(Mass),
    /// Millilitres per gram of the fats, to be turned into a mass by the bulk density: `1 tsp/lb`.
    SpoonsOfFats(f64),
    /// The same volume whatever the batch: `2 tsp`.
    FixedSpoons(Volume),
}

impl Rate {
    /// What a recipe may write.
    pub const FORMS: &'static str = "a rate such as \"1 %\" (of the fats), \"10 g/kg\", \"1 tsp/lb\", \"15 g\" or, for a liquid and for salt in the \
         water, \"50 % of water\"";

    /// A share of the same amount.
    ///
    /// A quarter of `4 %` is `1 %`.
    #[must_use]
    pub fn part(self, fraction: f64) -> Rate {
        match self {
            Rate::OfFats(it) => Rate::OfFats(it * fraction),
            Rate::OfWater(it) => Rate::OfWater(it * fraction),
            Rate::Fixed(it) => Rate::Fixed(it * fraction),
            Rate::SpoonsOfFats(it) => Rate::SpoonsOfFats(it * fraction),
            Rate::FixedSpoons(it) => Rate::FixedSpoons(Volume::millilitres(it.to_millilitres() * fraction)),
        }
    }

    /// Reads a rate.
    ///
    /// `1 %` and `10 g/kg` are both a hundredth of the fats.
    ///
    /// # Errors
    ///
    /// [`QuantityError`] when it is none of the forms.
    pub fn parse(text: &str) -> Result<Rate, QuantityError> {
        let text = text.trim();
        if let Some((percent, of)) = text.split_once('%') {
            let fraction = number(percent)? / 100.0;
            if !(fraction.is_finite() && (0.0..=1.0).contains(&fraction)) {
                return Err(QuantityError::OutOfRange);
            }
            return match of.split_whitespace().collect::<Vec<_>>()[..] {
                [] | ["of", "fats"] => Ok(Rate::OfFats(fraction)),
                ["of", "water"] => Ok(Rate::OfWater(fraction)),
                _ => Err(QuantityError::UnknownUnit(of.trim().to_owned())),
            };
        }
        // "1/2 tsp" has a stroke in its number.
        let is_unit = |(_, per): &(&str, &str)| !per.trim_start().starts_with(|it: char| it.is_ascii_digit());
        match text.rsplit_once('/').filter(is_unit).or_else(|| text.split_once(" per ")) {
            Some((amount, per)) => {
                let per = Mass::parse(&format!("1 {}", per.trim()))?;
                let rate = match Volume::parse(amount) {
                    Ok(volume) => Rate::SpoonsOfFats(volume.to_millilitres() / per.to_grams()),
                    Err(_) => Rate::OfFats(Mass::parse(amount)? / per),
                };
                match rate {
                    Rate::OfFats(it) | Rate::SpoonsOfFats(it) if it.is_finite() && it <= 1.0 => Ok(rate),
                    _ => Err(QuantityError::OutOfRange),
                }
            }
            None => Volume::parse(text).map(Rate::FixedSpoons).or_else(|_| Mass::parse(text).map(Rate::Fixed)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rates_are_read_in_every_form_the_guide_names() {
        for (text, rate) in [
            ("1 %", Rate::OfFats(0.01)),
            ("1% of fats", Rate::OfFats(0.01)),
            ("10 g/kg", Rate::OfFats(0.01)),
            ("10 g per kg", Rate::OfFats(0.01)),
            ("1/2 %", Rate::OfFats(0.005)),
            ("50 % of water", Rate::OfWater(0.5)),
            ("15 g", Rate::Fixed(Mass::grams(15.0))),
        ] {
            assert_eq!(Rate::parse(text), Ok(rate), "{text}");
        }
        // One US teaspoon to a pound: 4.92892159375 mL to 453.59237 g.
        let Ok(Rate::SpoonsOfFats(spoons)) = Rate::parse("1 tsp/lb") else { panic!("a volume for the fats") };
        assert!((spoons - 4.928_921_593_75 / 453.592_37).abs() < 1e-12);
        assert_eq!(Rate::parse("2 tsp"), Ok(Rate::FixedSpoons(Volume::millilitres(2.0 * 4.928_921_593_75))));
        let Ok(Rate::SpoonsOfFats(half)) = Rate::parse("1/2 tsp/lb") else { panic!("a volume for the fats") };
        assert!((half - spoons / 2.0).abs() < 1e-12);
        let half_spoon = Volume::millilitres(2.464_460_796_875);
        for text in ["1/2 tsp", "½ tsp"] {
            assert_eq!(Rate::parse(text), Ok(Rate::FixedSpoons(half_spoon)));
        }
        let Ok(Rate::OfFats(fraction)) = Rate::parse("0.5 oz / lb") else { panic!("a share of the fats") };
        assert!((fraction - 0.5 / 16.0).abs() < 1e-12);
    }

    #[test]
    fn what_is_not_a_rate_says_why() {
        for (text, why) in [
            ("much", QuantityError::NoNumber),
            ("x %", QuantityError::NoNumber),
            ("1 % of soap", QuantityError::UnknownUnit("of soap".into())),
            ("-1 %", QuantityError::OutOfRange),
            ("1,5 %", QuantityError::Comma("1,5".into(), vec!["1.5".into()])),
            ("1,5 g/kg", QuantityError::Comma("1,5".into(), vec!["1.5".into()])),
            ("10 g/", QuantityError::NoUnit),
            ("1 kg/mg", QuantityError::OutOfRange),
        ] {
            assert_eq!(Rate::parse(text), Err(why), "{text}");
        }
    }
}
