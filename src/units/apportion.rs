//! Dividing a whole number into whole parts.
//!
//! Layer 0.

use super::HAIR;

/// Divides a reading into parts that add up to it, each as near to its share as that allows (largest remainder).
///
/// Each part first gets the whole divisions of its share; the divisions left go one each to the largest remainders,
/// the first of equals first. So equal shares differ by one division at most. `weights` are not negative and not all 0.
///
/// # Example
///
/// 100 divided by three equal weights: 34, 33, 33.
///
/// ```
/// assert_eq!(kettlebook::units::apportion(100, &[1.0, 1.0, 1.0]), [34, 33, 33]);
/// ```
///
/// # Source
///
/// The largest remainder (Hamilton) method of apportionment.
#[must_use]
pub fn apportion(total: u64, weights: &[f64]) -> Vec<u64> {
    let sum: f64 = weights.iter().sum();
    let exact: Vec<f64> = weights.iter().map(|it| total as f64 * it / sum).collect();
    let mut parts: Vec<u64> = exact.iter().map(|it| (it + HAIR).floor() as u64).collect();
    let mut by_remainder: Vec<usize> = (0..parts.len()).collect();
    by_remainder.sort_by(|&a, &b| {
        let remainder = |idx: usize| exact[idx] - parts[idx] as f64;
        remainder(b).total_cmp(&remainder(a)).then(a.cmp(&b))
    });
    let given: u64 = parts.iter().sum();
    for part_idx in by_remainder.into_iter().take(total.saturating_sub(given) as usize) {
        parts[part_idx] += 1;
    }
    parts
}
