//! How much of an additive, as recipes say it.
//!
//! Layer 2.

use crate::units::{Mass, QuantityError};

/// An amount that may depend on the batch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Rate {
    /// A share of the fats: 0.01 for `1 %`, `10 g/kg` or `0.16 oz/lb`.
    OfFats(f64),
    /// A share of the water that the liquid is to provide: 0.5 for `50 % of water`.
    OfWater(f64),
    /// The same whatever the batch: `15 g`.
    Fixed(Mass),
}

impl Rate {
    /// What a recipe may write.
    pub const FORMS: &'static str = "a rate such as \"1 %\" (of the fats), \"50 % of water\", \"10 g/kg\" or \"15 g\"";

    /// Reads a rate.
    ///
    /// `1 %` and `10 g/kg` are both a hundredth of the fats.
    ///
    /// # Errors
    ///
    /// [`QuantityError`] when it is none of the forms.
    pub fn parse(text: &str) -> Result<Rate, QuantityError> {
        let text = text.trim();
        if let Some((number, of)) = text.split_once('%') {
            let fraction = number.trim().parse::<f64>().map_err(|_| QuantityError::NoNumber)? / 100.0;
            if !(fraction.is_finite() && (0.0..=10.0).contains(&fraction)) {
                return Err(QuantityError::OutOfRange);
            }
            return match of.split_whitespace().collect::<Vec<_>>()[..] {
                [] | ["of", "fats"] => Ok(Rate::OfFats(fraction)),
                ["of", "water"] => Ok(Rate::OfWater(fraction)),
                _ => Err(QuantityError::UnknownUnit(of.trim().to_owned())),
            };
        }
        match text.split_once('/') {
            Some((amount, per)) => {
                let per = Mass::parse(&format!("1 {}", per.trim()))?;
                let fraction = Mass::parse(amount)? / per;
                if fraction.is_finite() && fraction <= 10.0 {
                    Ok(Rate::OfFats(fraction))
                } else {
                    Err(QuantityError::OutOfRange)
                }
            }
            None => Mass::parse(text).map(Rate::Fixed),
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
            ("50 % of water", Rate::OfWater(0.5)),
            ("15 g", Rate::Fixed(Mass::grams(15.0))),
        ] {
            assert_eq!(Rate::parse(text), Ok(rate), "{text}");
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
            ("10 g/", QuantityError::NoUnit),
            ("1 kg/mg", QuantityError::OutOfRange),
        ] {
            assert_eq!(Rate::parse(text), Err(why), "{text}");
        }
    }
}
