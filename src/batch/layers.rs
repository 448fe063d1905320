//! How a batch divides into layers.
//!
//! Layer 3. Exact parts; the parts as a scale shows them, which must add up to the printed total, are in `weighing.rs`.

use crate::units::Mass;

/// Divides a mass by fractions that add up to one.
///
/// `whole * fraction`, one for each. No fractions give no parts. Cannot fail.
///
/// # Example
///
/// 900 g by 2/3 and 1/3 are 600 g and 300 g.
///
/// ```
/// use kettlebook::{batch::split, units::Mass};
/// let parts = split(Mass::grams(900.0), &[2.0 / 3.0, 1.0 / 3.0]);
/// assert!((parts[0].to_grams() - 600.0).abs() < 1e-9 && (parts[1].to_grams() - 300.0).abs() < 1e-9);
/// ```
///
/// # Source
///
/// Arithmetic.
#[must_use]
pub fn split(whole: Mass, fractions: &[f64]) -> Vec<Mass> {
    fractions.iter().map(|fraction| whole * *fraction).collect()
}
