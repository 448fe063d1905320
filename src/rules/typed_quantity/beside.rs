//! The words beside a number, and the words that speak of a figure.

use crate::ledger::{Figure, Kind};
use crate::prose::{Prose, Quantity, words_in};

/// How far a sentence is looked through on either side of a number, in bytes.
const REACH: usize = 240;

/// Words of a sentence about soap in general, beside which a round number is common knowledge.
const GENERAL: [&str; 19] = [
    "commonly",
    "conventional",
    "customary",
    "generally",
    "law",
    "many",
    "most",
    "mostly",
    "normal",
    "normally",
    "often",
    "ordinary",
    "rarely",
    "sometimes",
    "typical",
    "typically",
    "usual",
    "usually",
    "whichever",
];

/// The words beside a number: of its sentence, of the head of its column, of its row, of the term that it defines.
pub(super) struct Beside(Vec<String>);

impl Beside {
    pub(super) fn of(prose: &Prose, quantity: &Quantity) -> Beside {
        let text = prose.text.text();
        let own = sentence_around(text, quantity);
        let words = words_in(own).into_iter().chain(words_in(&prose.beside));
        Beside(words.map(|(_, word)| word).collect())
    }

    /// Whether one of the words begins with one of these.
    pub(super) fn speaks_of(&self, words: &[String]) -> bool {
        self.0.iter().any(|word| words.iter().any(|it| word.starts_with(it.as_str())))
    }

    /// Whether the sentence is about what is usual, and so about no recipe.
    pub(super) fn says_it_is_usual(&self) -> bool {
        self.0.iter().any(|it| GENERAL.contains(&it.as_str()))
    }
}

/// The sentence around a number, or as much of it as is near.
fn sentence_around<'a>(text: &'a str, quantity: &Quantity) -> &'a str {
    let from = text.floor_char_boundary(quantity.span.start.saturating_sub(REACH));
    let to = text.floor_char_boundary((quantity.span.end + REACH).min(text.len()));
    let start = text[from..quantity.span.start].rfind(SENTENCE_ENDS).map_or(from, |it| from + it + 1);
    let after = &text[quantity.span.end..to];
    // A stop within a number ends no sentence.
    let end = after.match_indices(SENTENCE_ENDS).map(|(at, _)| at + 1).find(|it| !after[*it..].starts_with(is_digit));
    &text[start..end.map_or(to, |it| quantity.span.end + it)]
}

const SENTENCE_ENDS: [char; 3] = ['.', '!', '?'];

fn is_digit(it: char) -> bool {
    it.is_ascii_digit()
}

/// The beginnings of words that speak of a figure, in lower case.
pub(super) fn words_about(figure: &Figure) -> Vec<String> {
    // "From", "to", "at" and "if" stand in every sentence; "total" and "left" say nothing by themselves.
    const EMPTY: [&str; 16] = [
        "and", "by", "for", "from", "high", "in", "into", "left", "low", "named", "of", "oil", "or", "to", "total",
        "with",
    ];
    let key = &figure.key;
    let names = key.of.iter().chain(&key.layer).chain(&figure.name).flat_map(|it| words_in(it));
    let names = names.map(|(_, word)| word);
    let of_kind = words_of(key.kind).iter().map(|it| (*it).to_owned());
    let words = names.chain(of_kind).filter(|it| it.len() > 2 && !EMPTY.contains(&it.as_str()));
    words.filter(|it| !it.chars().all(|it| it.is_ascii_digit())).collect()
}

/// How lessons speak of a kind of figure, beside the name of its fat, additive or layer.
fn words_of(kind: Kind) -> &'static [&'static str] {
    match kind {
        Kind::Superfat
        | Kind::SuperfatAsWeighed
        | Kind::SuperfatBySapValue
        | Kind::SuperfatByPurity
        | Kind::SuperfatByFat
        | Kind::SuperfatByAlkali
        | Kind::SuperfatByAcid
        | Kind::SuperfatLikelyFrom
        | Kind::SuperfatLikelyTo
        | Kind::SuperfatWorst
        | Kind::LayerSuperfat
        | Kind::LayerWorst
        | Kind::SuperfatIfSwapped
        | Kind::WorstIfSwapped
        | Kind::FreeFat => &["superfat", "discount", "free", "unsaponified"],
        Kind::LyeConcentration | Kind::PureConcentration => &["lye", "solution", "concentrat", "strong", "strength"],
        Kind::WaterOfFats => &["water"],
        Kind::LyeIfSwapped => &["lye"],
        Kind::Purity | Kind::PurityFrom | Kind::PurityTo => &["pur", "hydroxide"],
        Kind::AlkaliPercent => &["alkali", "hydroxide", "lye"],
        Kind::Moisture => &["moisture", "cure"],
        Kind::FattyMatter => &["fatty", "tfm"],
        Kind::SapDifference => &["saponification"],
        Kind::LayerPercent => &["layer", "batter", "share"],
        Kind::LyeVolume => &["lye", "solution"],
        Kind::LyeVessel => &["lye", "jug", "vessel", "beaker", "solution"],
        Kind::Pot => &["pot", "pan", "vessel"],
        Kind::LayerVessel => &["jug", "vessel", "cup", "beaker"],
        Kind::LayerVolume => &["layer", "batter", "volume"],
        Kind::TapWater => &["tap"],
        Kind::HottestLye => &["hot", "lye", "solution", "climb"],
        Kind::HottestIcedLye => &["ice", "iced"],
        Kind::CrystalsBelow => &["crystal", "settle", "cloud"],
        Kind::PouringTemperature => &["pour"],
        Kind::FatsWhenPouredFrom | Kind::FatsWhenPouredTo => &["fats"],
        Kind::LyeWhenPouredFrom | Kind::LyeWhenPouredTo => &["solution"],
        Kind::MouldAcross => &["mould", "mold", "wide", "width", "across", "diameter"],
        Kind::MouldFilled => &["mould", "mold", "deep", "depth", "fill"],
        Kind::LayerThickness | Kind::LayerHeight | Kind::LayerSize | Kind::LayerTop => &["layer", "thick", "thin"],
        Kind::Cut | Kind::CutAcross => &["cut", "slice", "thick"],
        Kind::CutKerf => &["wire", "blade", "kerf"],
        Kind::CutEnds => &["trim", "end"],
        Kind::CutLeft | Kind::CutLeftAcross => &["end", "rest", "remain", "piece", "heel"],
        Kind::BenchTime => &["bench", "evening", "altogether", "whole"],
        Kind::MouldTime => &["mould", "mold", "unmould", "unmold"],
        Kind::CureTime => &["cure", "cures", "curing", "rack"],
        Kind::StepLength => &["step"],
        Kind::LayerWait => &["layer", "wait", "stand", "set", "pour"],
        Kind::Bars => &["bar", "bars"],
        Kind::Lye | Kind::Alkali | Kind::TotalAlkali => &["lye", "hydroxide", "alkali"],
        Kind::Water | Kind::WaterInAll => &["water"],
        Kind::TotalFats | Kind::TotalFatsDivided | Kind::LayerFats => &["fats", "fat", "oils"],
        Kind::Solution | Kind::LayerSolution | Kind::SolutionLeft => &["solution"],
        Kind::TotalBatch | Kind::TotalBatter | Kind::LayerBatter | Kind::LayerPoured => &["batch", "batter", "pour"],
        Kind::Glycerol => &["glycer"],
        Kind::Cured | Kind::BarPoured | Kind::BarCured => &["bar", "bars", "cured", "batch", "loaf"],
        _ => &[],
    }
}
