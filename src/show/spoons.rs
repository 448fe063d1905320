//! Volumes as a cook reads them: 1 1/2 tsp.
//!
//! Part of `show`.

use super::NO_BREAK;
use crate::units::Volume;

/// The smallest spoon that kitchens have, in teaspoons.
const SMALLEST: f64 = 0.125;

/// A volume in spoons: to the eighth of a teaspoon up to one, to the quarter up to a tablespoon, and beyond that to the
/// half teaspoon, with tablespoons of three. `None` where it is more than a kitchen would measure by spoons.
#[must_use]
pub fn spoons(volume: Volume) -> Option<String> {
    let teaspoons = volume.to_teaspoons();
    if teaspoons > 48.0 {
        return None;
    }
    if teaspoons < SMALLEST / 2.0 {
        return Some("less than a pinch".into());
    }
    let step = match teaspoons {
        it if it < 1.0 => SMALLEST,
        it if it < 3.0 => 0.25,
        _ => 0.5,
    };
    // Whole eighths, which is exact in binary.
    let eighths = ((teaspoons / step).round() * step * 8.0).round() as u32;
    let (tablespoons, eighths) = (eighths / 24, eighths % 24);
    let mut parts = Vec::new();
    if tablespoons > 0 {
        parts.push(format!("{tablespoons}{NO_BREAK}tbsp"));
    }
    parts.extend(of_teaspoons(eighths).into_iter().map(|it| format!("{it}{NO_BREAK}tsp")));
    Some(parts.join(" and "))
}

/// Eighths of a teaspoon by the spoons that shops have, of 1, 1/2, 1/4 and 1/8: 12 eighths are 1 1/2, 5 are 1/2 and 1/8.
fn of_teaspoons(eighths: u32) -> Vec<String> {
    let (whole, half, rest) = (eighths / 8, eighths % 8 >= 4, eighths % 4);
    let largest = match (whole, half) {
        // One and a quarter is as plain as one and a half.
        (1.., false) if rest == 2 => return vec![format!("{whole}{NO_BREAK}1/4")],
        (1.., true) => Some(format!("{whole}{NO_BREAK}1/2")),
        (1.., false) => Some(whole.to_string()),
        (0, true) => Some("1/2".to_owned()),
        (0, false) => None,
    };
    let quarter = (rest >= 2).then(|| "1/4".to_owned());
    let eighth = (rest % 2 == 1).then(|| "1/8".to_owned());
    largest.into_iter().chain(quarter).chain(eighth).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::MILLILITRES_PER_TEASPOON;

    #[test]
    fn spoons_are_read_as_a_cook_reads_them() {
        for (teaspoons, words) in [
            (0.05, "less than a pinch"),
            (0.12, "1/8 tsp"),
            (0.39, "1/4 tsp and 1/8 tsp"),
            (0.63, "1/2 tsp and 1/8 tsp"),
            (0.75, "1/2 tsp and 1/4 tsp"),
            (0.9, "1/2 tsp and 1/4 tsp and 1/8 tsp"),
            (1.25, "1 1/4 tsp"),
            (1.75, "1 1/2 tsp and 1/4 tsp"),
            (0.97, "1 tsp"),
            (1.45, "1 1/2 tsp"),
            (2.9, "1 tbsp"),
            (3.1, "1 tbsp"),
            (4.6, "1 tbsp and 1 1/2 tsp"),
            (9.0, "3 tbsp"),
        ] {
            let volume = Volume::millilitres(teaspoons * MILLILITRES_PER_TEASPOON);
            assert_eq!(spoons(volume).map(|it| it.replace(NO_BREAK, " ")), Some(words.into()), "{teaspoons}");
        }
        assert_eq!(spoons(Volume::millilitres(1000.0)), None);
    }
}
