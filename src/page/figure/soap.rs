//! How a layer or a portion of soap is filled in a figure: the colour that what is in it makes, and a pattern.
//!
//! Layer 6. The pattern is for those who see no colours: strokes with coordinates of their own, dark on a light soap and
//! light on a dark one, in every theme.

use std::fmt::Write as _;

use serde::Serialize;

use crate::batch::ExtraAmount;
use crate::ledger::Ledger;
use crate::recipe::Extra;
use crate::units::Colour;

/// Soap without anything in it.
const PLAIN: Colour = Colour::of([0xf2, 0xe8, 0xd2]);
/// The two colours that strokes may have; the style sheet has them too.
const DARK_STROKES: Colour = Colour::of([0x2b, 0x21, 0x18]);
const LIGHT_STROKES: Colour = Colour::of([0xff, 0xf8, 0xec]);
/// Distance between strokes of a pattern.
const STEP: f64 = 12.0;

/// How a piece of soap is filled.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(crate) struct Fill {
    /// One of four tones of the theme, where the recipe tells no colours, and on paper.
    pub(crate) tone: usize,
    /// The colour of the soap, where anything in the recipe tells one.
    pub(crate) colour: Option<String>,
    /// Whether strokes on it are light.
    pub(crate) is_dark: bool,
}

/// The fills of all layers of a recipe, in order.
pub(crate) fn fills(ledger: &Ledger) -> Vec<Fill> {
    let colours: Vec<Option<Colour>> = (0..ledger.recipe.layers.len()).map(|it| colour_of(ledger, it)).collect();
    let are_told = colours.iter().any(Option::is_some);
    let fill = |(layer_idx, colour): (usize, Option<Colour>)| {
        let colour = colour.unwrap_or(PLAIN);
        Fill {
            tone: layer_idx % 4 + 1,
            colour: are_told.then(|| colour.to_string()),
            is_dark: are_told && colour.contrast(LIGHT_STROKES) > colour.contrast(DARK_STROKES),
        }
    };
    colours.into_iter().enumerate().map(fill).collect()
}

/// The fill of a soap that is all of one colour.
pub(crate) fn fill_of_all(ledger: &Ledger) -> Fill {
    let of_batch = ledger.recipe.extras.iter().zip(&ledger.batch.extras);
    let colour = mean(of_batch.filter_map(|(it, amount)| tint(it, amount)).collect());
    Fill {
        tone: 1,
        colour: colour.map(|it| it.to_string()),
        is_dark: colour.is_some_and(|it| it.contrast(LIGHT_STROKES) > it.contrast(DARK_STROKES)),
    }
}

/// The colour of a layer: as its recipe says, or what its additives and those of the whole batch make of plain soap.
///
/// Each additive counts by its rate over the middle of what is usual, and plain soap for what is then missing to one.
fn colour_of(ledger: &Ledger, layer_idx: usize) -> Option<Colour> {
    let (layer, amount) = (&ledger.recipe.layers[layer_idx], &ledger.batch.layers[layer_idx]);
    if layer.colour.is_some() {
        return layer.colour;
    }
    let own = layer.extras.iter().zip(&amount.extras);
    let of_batch = ledger.recipe.extras.iter().zip(&ledger.batch.extras);
    mean(own.chain(of_batch).filter_map(|(it, amount)| tint(it, amount)).collect())
}

/// Plain soap with these colours in it, each so many times as much as is usual.
fn mean(mut colours: Vec<(Colour, f64)>) -> Option<Colour> {
    let tinted: f64 = colours.iter().map(|(_, weight)| weight).sum();
    if tinted <= 0.0 {
        return None;
    }
    colours.push((PLAIN, (1.0 - tinted).max(0.0)));
    Colour::mean(&colours)
}

/// The colour that an additive gives, and how much of it.
fn tint(extra: &Extra, amount: &ExtraAmount) -> Option<(Colour, f64)> {
    let additive = &extra.additive;
    // A scent colours by what browns in it, however little that is.
    if additive.scent.is_some() && extra.vanillin_percent.is_some() && !extra.browns() {
        return None;
    }
    let (colour, _) = additive.colour.as_ref()?;
    if additive.scent == Some(crate::tables::Scent::Fragrance) && !extra.browns() {
        return None;
    }
    let usual = additive.usual_rate_percent.as_ref().and_then(|it| it.middle()).filter(|it| *it > 0.0);
    Some((*colour, usual.map_or(1.0, |usual| amount.of_fats_percent / usual)))
}

/// The strokes of the pattern of a layer within a frame (left, width, top, bottom): none, dots, dashes or crosses, in turn.
pub(crate) fn strokes(layer_idx: usize, (left, width): (f64, f64), (top, bottom): (f64, f64)) -> String {
    let mut path = String::new();
    let mut line_idx = 0;
    // A layer thinner than a step still gets a row, in its middle.
    let mut y = top + (STEP / 2.0).min((bottom - top) / 2.0);
    while y < bottom - 2.0 {
        let mut x = left + STEP / 2.0 + f64::from(line_idx % 2) * STEP / 2.0;
        while x < left + width - 4.0 {
            // Writing to a string cannot fail.
            let _ = match layer_idx % 4 {
                0 => break,
                1 => write!(path, "M{x:.1} {y:.1}h0.1"),
                2 => write!(path, "M{:.1} {y:.1}h5", x - 2.5),
                _ => write!(path, "M{:.1} {y:.1}h4M{x:.1} {:.1}v4", x - 2.0, y - 2.0),
            };
            x += STEP;
        }
        y += STEP;
        line_idx += 1;
    }
    path
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 3 to 1 is what the guidelines ask of parts of a picture (Web Content Accessibility Guidelines 2.2, 1.4.11).
    #[test]
    fn strokes_are_told_from_soap_of_any_colour() {
        for red in (0..=255).step_by(15) {
            for green in (0..=255).step_by(15) {
                for blue in (0..=255).step_by(15) {
                    let soap = Colour::of([red as u8, green as u8, blue as u8]);
                    let better = soap.contrast(LIGHT_STROKES).max(soap.contrast(DARK_STROKES));
                    assert!(better >= 3.0, "{soap}: {better}");
                }
            }
        }
    }

    #[test]
    fn the_style_sheet_has_the_colours_of_strokes() {
        let style = include_str!("../../../theme/css/kettle.css");
        for colour in [DARK_STROKES, LIGHT_STROKES] {
            assert!(style.contains(&format!("stroke: {colour}")), "{colour}");
        }
    }

    /// The colours of two layers, the second with these lines.
    fn colours(lines: &str) -> Vec<Option<String>> {
        use crate::ledger::Scales;
        use crate::recipe::{Defaults, RawRecipe, validate};
        use crate::source::SourceFile;
        use crate::tables::Tables;
        let text = format!(
            "title = \"t\"\nbatch = \"1 kg\"\nsuperfat = 5\nalkali = \"NaOH\"\nwater = {{ lye-concentration = 33 }}\n\
             [fats]\nlard = 100\n[[layers]]\nname = \"a\"\nshare = 1\n[[layers]]\nname = \"b\"\nshare = 1\n{lines}\n"
        );
        let tables = Tables::embedded();
        let (raw, _) = RawRecipe::read("t", &SourceFile::new("recipes/t.toml", text));
        let recipe = validate(&raw, &tables, &Defaults::default()).0.expect("the recipe is right");
        fills(&Ledger::of(recipe, &tables, Scales::default(), None)).into_iter().map(|it| it.colour).collect()
    }

    /// Green clay, usual 0.5 to 2 %, makes `#a3ad84`; plain soap is `#f2e8d2`. Half of 1.25 % is half way: (a3 + f2) / 2 =
    /// (163 + 242) / 2 = 202.5, cb; (ad + e8) / 2 = 202.5, cb; (84 + d2) / 2 = 171, ab.
    #[test]
    fn a_layer_has_the_colour_of_what_is_in_it() {
        let clay =
            |rate: &str| colours(&format!("additives = [{{ item = \"french-green-clay\", rate = \"{rate}\" }}]"));
        let plain = Some("#f2e8d2".to_owned());
        assert_eq!(clay("1.25 %"), [plain.clone(), Some("#a3ad84".to_owned())]);
        assert_eq!(clay("0.625 %")[1].as_deref(), Some("#cbcbab"));
        assert_eq!(colours("colour = \"#123456\""), [plain, Some("#123456".to_owned())]);
        // Where nothing tells a colour the theme's tones tell the layers apart.
        assert_eq!(colours("additives = [{ item = \"mica\", rate = \"0.5 %\" }]"), [None, None]);
    }

    /// A fragrance colours by its vanillin.
    #[test]
    fn a_scent_without_vanillin_gives_no_colour() {
        let scent = |vanillin: &str| {
            colours(&format!(
                "additives = [{{ item = \"fragrance-oil\", rate = \"2 %\", limit = 3, vanillin = {vanillin} }}]"
            ))
        };
        assert_eq!(scent("0"), [None, None]);
        assert!(scent("5")[1].is_some());
    }
}
