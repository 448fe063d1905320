//! Volumes of vessels in words.
//!
//! Layer 5.

use super::NO_BREAK;
use crate::units::Volume;

/// A vessel's least volume, rounded up: to 50 mL below a litre, to a tenth of a litre above.
#[must_use]
pub fn vessel_words(volume: Volume) -> String {
    let millilitres = volume.to_millilitres();
    // A hair above a step is that step.
    let up = |step: f64| ((millilitres / step) - 1e-6).ceil().max(1.0) * step;
    if millilitres > 950.0 {
        format!("{:.1}{NO_BREAK}L", up(100.0) / 1000.0)
    } else {
        format!("{:.0}{NO_BREAK}mL", up(50.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_vessel_is_never_smaller_than_what_goes_into_it() {
        for (millilitres, words) in [
            (0.0, "50\u{a0}mL"),
            (601.0, "650\u{a0}mL"),
            (650.0, "650\u{a0}mL"),
            (951.0, "1.0\u{a0}L"),
            (1829.0, "1.9\u{a0}L"),
        ] {
            assert_eq!(vessel_words(Volume::millilitres(millilitres)), words);
        }
    }
}
