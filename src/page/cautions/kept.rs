//! The cautions of lye solution that is made beforehand, and of soap that is melted down again.
//!
//! Layer 6. As all cautions, worded here and nowhere else.

use super::super::printer::Printer;
use super::{Caution, said};
use crate::ledger::Kind;
use crate::show;

/// How lye solution is made beforehand, kept, and not used any more.
pub(crate) fn stock_cautions(print: Printer<'_>) -> Vec<Caution> {
    let boiling = print.tables.limits.water_boiling_celsius;
    let hottest = print.ledger.stock.map_or([None; 2], |it| it.hottest_celsius);
    let boils = if hottest[0].is_none_or(|it| it >= boiling) {
        " Added too fast, the lye makes it boil and spit out of the vessel."
    } else {
        ""
    };
    let mut cautions = vec![
        said(
            "Making it",
            format!(
                "It is stronger than the lye solution of any batch, and hotter.{boils} Make it in polypropylene (PP) \
                 or stainless steel with room to spare, never in glass or aluminium, and stand the vessel in a basin \
                 of ice and water. Ice-cold water goes in first, then the lye, a spoonful at a time: wait until each \
                 has dissolved. One person mixes it, in goggles and gloves, with a second person beside the tap."
            ),
        ),
        said(
            "Keeping it",
            "Only when it is cold, and clear right to the bottom, pour it into a bottle of HDPE or PP with a screw \
             cap, labelled before it is filled. Never use a drinks bottle, glass or metal. Keep it closed, upright in \
             a tray, locked away from children and food. It takes up carbon dioxide from the air and grows weaker: \
             keep the bottle full and closed, and make enough for weeks, not for years.",
        ),
    ];
    if let Some(celsius) = print.ledger.stock.and_then(|it| it.crystals_below_celsius) {
        let coldest = show::temperature(celsius, print.ledger.scales.temperature);
        let coldest = print.one(Kind::StockCrystalsBelow, coldest);
        cautions.push(said(
            "Not in the cold",
            format!(
                "Below {coldest} lye may settle out as crystals. Then the liquid above them is too weak, and what lies \
                 below is far too strong. If it has become cold and is still clear, let it come to room temperature \
                 and stir it. If crystals have formed, do not make soap with it."
            ),
        ));
    }
    cautions.push(said(
        "A white cloud at the bottom",
        "That is carbonate, which does not dissolve in strong lye solution. Let it settle, pour off what is clear, and leave the \
         cloudy rest in the jug.",
    ));
    cautions
}

/// What to be careful of while shreds of finished soap are melted down again.
///
/// - `burns`: whether lye is, or may be, left over in them. - `is_known`: whether the fat that is missing is known.
pub(crate) fn rebatch_cautions(burns: bool, is_known: bool) -> Vec<Caution> {
    let lye = match (burns, is_known) {
        (true, true) => {
            "As they are, these shreds burn: gloves and goggles as for batter, until the fat has been stirred in and cooked for an \
             hour. Nobody uses the soap before your instructor has judged it."
        }
        (true, false) => {
            "Lye may be left over in these shreds and nobody knows how much: melting does not make them safe, and a \
             little fat added at a guess does not either. Do not melt them: label them caustic and let your instructor \
             judge them."
        }
        (false, _) => {
            "Use only shreds of soap that has cured and was found safe. Melting does not rescue soap in which lye was \
             left over: the lye is still in it, evenly spread. Only where it is known what was weighed wrongly can the \
             missing fat be calculated."
        }
    };
    vec![
        said("Lye in the shreds", lye),
        said(
            "Hot soap",
            "Molten soap sticks to skin and goes on burning, and its steam scalds. Use low heat or a water bath, lift \
             the lid away from you, stir it and never leave it alone: it catches at the bottom and can rise.",
        ),
    ]
}
