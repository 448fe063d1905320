//! A colour as screens show it.
//!
//! Part of `units`.

use std::fmt;

use super::QuantityError;

/// A colour of sRGB, eight bits a channel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Colour {
    channels: [u8; 3],
}

impl Colour {
    /// How it is typed, for messages.
    pub const FORMS: &'static str = "a colour in six hexadecimal digits, such as \"#7d9a73\"";

    /// A colour by its red, green and blue.
    #[must_use]
    pub const fn of(channels: [u8; 3]) -> Colour {
        Colour { channels }
    }

    /// Reads `#rrggbb`, in capitals or not.
    ///
    /// # Errors
    ///
    /// [`QuantityError::NotAColour`] for anything else.
    ///
    /// # Example
    ///
    /// ```
    /// use kettlebook::units::Colour;
    /// assert_eq!(Colour::parse("#7D9a73").unwrap().to_string(), "#7d9a73");
    /// assert!(Colour::parse("green").is_err() && Colour::parse("#fff").is_err());
    /// ```
    pub fn parse(text: &str) -> Result<Colour, QuantityError> {
        let digits = text.strip_prefix('#').filter(|it| it.len() == 6 && it.bytes().all(|it| it.is_ascii_hexdigit()));
        let number = digits.and_then(|it| u32::from_str_radix(it, 16).ok()).ok_or(QuantityError::NotAColour)?;
        let [_, red, green, blue] = number.to_be_bytes();
        Ok(Colour { channels: [red, green, blue] })
    }

    /// The mean of colours, channel by channel, each with its weight; `None` where all weights together are nothing.
    ///
    /// Half white and half black are `#808080`: (255 + 0) / 2 = 127.5, rounded up.
    #[must_use]
    pub fn mean(colours: &[(Colour, f64)]) -> Option<Colour> {
        let total: f64 = colours.iter().map(|(_, weight)| weight).sum();
        let channel = |idx: usize| {
            let sum: f64 = colours.iter().map(|(it, weight)| f64::from(it.channels[idx]) * weight).sum();
            // A float turned into an integer stops at either end.
            (sum / total).round() as u8
        };
        (total > 0.0).then(|| Colour { channels: [channel(0), channel(1), channel(2)] })
    }

    /// How light it is, from 0 of black to 1 of white.
    ///
    /// `0.2126 R + 0.7152 G + 0.0722 B` of the channels made linear. Mid grey `#808080`: 0.2159.
    ///
    /// # Source
    ///
    /// Relative luminance, Web Content Accessibility Guidelines 2.2.
    #[must_use]
    pub fn luminance(self) -> f64 {
        let linear = self.channels.map(|it| {
            let it = f64::from(it) / 255.0;
            if it <= 0.04045 { it / 12.92 } else { ((it + 0.055) / 1.055).powf(2.4) }
        });
        0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
    }

    /// How well two colours are told apart, from 1 to 21.
    ///
    /// `(L1 + 0.05) / (L2 + 0.05)`, the lighter first. Black on white: 21.
    ///
    /// # Source
    ///
    /// Contrast ratio, Web Content Accessibility Guidelines 2.2.
    #[must_use]
    pub fn contrast(self, other: Colour) -> f64 {
        let (one, other) = (self.luminance(), other.luminance());
        (one.max(other) + 0.05) / (one.min(other) + 0.05)
    }
}

impl fmt::Display for Colour {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [red, green, blue] = self.channels;
        write!(out, "#{red:02x}{green:02x}{blue:02x}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn luminance_and_contrast_are_those_of_the_guidelines() {
        let (white, black) = (Colour::of([255; 3]), Colour::of([0; 3]));
        assert!((white.contrast(black) - 21.0).abs() < 1e-9);
        assert!((Colour::of([128; 3]).luminance() - 0.2159).abs() < 0.0001);
        assert_eq!(Colour::mean(&[(white, 1.0), (black, 1.0)]).map(|it| it.to_string()).as_deref(), Some("#808080"));
        assert_eq!(Colour::mean(&[(white, 0.0)]), None);
    }
}
