//! Whether what a sentence says behind a value is what the value is of: `{{ water }} of lye` burns somebody.
//!
//! Layer 6. Only what follows at once is looked at: `of`, and the name of something that the recipe weighs out. Other words
//! say too many things in too many ways.

use super::block::ValueSite;
use crate::finding::Finding;
use crate::ledger::{Key, Kind, Ledger};
use crate::source::Place;
use crate::tables::Tables;

/// How many words behind `of` a name may begin: `of the warm olive oil`.
const REACH_WORDS: usize = 4;

/// Words with which something else begins.
const ELSE: [&str; 22] = [
    "after", "and", "as", "at", "before", "by", "for", "from", "in", "into", "on", "or", "over", "per", "than", "that",
    "to", "under", "until", "which", "while", "with",
];

/// What an amount is of.
#[derive(Clone, Debug, PartialEq, Eq)]
enum What {
    Lye,
    Water,
    Solution,
    Fats,
    Batter,
    /// A fat, an acid, a liquid or another additive, by its id.
    One(String),
}

impl What {
    fn of(key: &Key) -> Option<What> {
        let one = || key.of.as_ref().map(|it| What::One(it.to_string()));
        match key.kind {
            Kind::Lye | Kind::Alkali => Some(What::Lye),
            Kind::Water => Some(What::Water),
            Kind::Solution | Kind::LayerSolution | Kind::SolutionLeft => Some(What::Solution),
            Kind::TotalFats | Kind::LayerFats | Kind::TotalFatsDivided => Some(What::Fats),
            Kind::TotalBatch | Kind::TotalBatter | Kind::LayerBatter | Kind::LayerPoured => Some(What::Batter),
            Kind::Fat | Kind::LateFat | Kind::Additive | Kind::LayerAdditive | Kind::LayerShared => one(),
            _ => None,
        }
    }
}

/// A warning where a value is of one thing and the sentence says that it is of another.
pub(super) fn of_another(value: &ValueSite, key: &Key, ledger: &Ledger, tables: &Tables) -> Option<Finding> {
    let own = What::of(key)?;
    let file = &value.expression.place.file;
    let behind = &file.text()[value.range.end..];
    let rest = behind.trim_start();
    let says = rest.strip_prefix("of").filter(|it| it.starts_with(char::is_whitespace) && rest.len() < behind.len())?;
    let names = names(ledger, tables);
    let (start, length, said) = first_name(says, &names)?;
    let name = &says[start..start + length];
    let own_name = names.iter().find(|(_, what)| *what == own).map(|(name, _)| name.as_str()).unwrap_or_default();
    // Fat is what each fat is, and rose water is no plain water.
    let is_part_of_own = own_name.contains(&name.to_ascii_lowercase());
    let is_general = *said == What::Fats && matches!(own, What::One(_));
    let is_only_fat = own == What::Fats && ledger.batch.fats.len() == 1;
    if *said == own || is_part_of_own || is_general || is_only_fat {
        return None;
    }
    let from = file.text().len() - says.len() + start;
    let place = Place { file: file.clone(), span: from..from + length };
    Some(Finding::value_of_another_thing(place, &value.expression.value, own_name, name))
}

/// What the recipe weighs out, by the words that lessons have for it.
fn names(ledger: &Ledger, tables: &Tables) -> Vec<(String, What)> {
    let mut names: Vec<(String, What)> = [
        ("lye solution", What::Solution),
        ("solution", What::Solution),
        ("lye", What::Lye),
        ("water", What::Water),
        ("fats", What::Fats),
        ("fat", What::Fats),
        ("oils", What::Fats),
        ("batter", What::Batter),
    ]
    .map(|(name, what)| (name.to_owned(), what))
    .into();
    for it in &ledger.batch.alkalis {
        names.push((tables.alkali(it.kind).name.to_ascii_lowercase(), What::Lye));
        names.push((it.kind.formula().to_ascii_lowercase(), What::Lye));
    }
    for figure in ledger.weighed_out() {
        if let (Some(name), Some(id)) = (&figure.name, &figure.key.of) {
            // What is said in brackets or behind a comma is said in the table alone.
            let name = name.split([',', '(']).next().unwrap_or_default().trim().to_ascii_lowercase();
            names.push((name, What::One(id.to_string())));
        }
    }
    names
}

/// The first name in a text, the longest of those that begin there: where it begins, how long it is, and what it names.
fn first_name<'a>(text: &str, names: &'a [(String, What)]) -> Option<(usize, usize, &'a What)> {
    let clause_end = text.find(['.', ',', ';', ':', '(', '|', '{']).unwrap_or(text.len());
    // Other letters may be more or fewer bytes when they are small, and offsets would no longer be those of the text.
    let clause = text[..clause_end].split("\n\n").next().unwrap_or_default().to_ascii_lowercase();
    let words = clause.split_whitespace().take(REACH_WORDS).take_while(|it| !ELSE.contains(it));
    let mut starts = words.map(|it| it.as_ptr() as usize - clause.as_ptr() as usize);
    starts.find_map(|start| {
        let begins = |name: &&(String, What)| {
            let after = clause[start..].strip_prefix(name.0.as_str());
            !name.0.is_empty() && after.is_some_and(|it| !it.starts_with(|it: char| it.is_alphanumeric() || it == '-'))
        };
        let (name, what) = names.iter().filter(begins).max_by_key(|(name, _)| name.len())?;
        Some((start, name.len(), what))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_longest_of_the_first_names_is_found_whatever_letters_stand_before_it() {
        let names = [("lye", What::Lye), ("lye solution", What::Solution), ("water", What::Water)];
        let names = names.map(|(name, what)| (name.to_owned(), what));
        for (text, found) in [
            (" the Lye solution", Some((5, 12, &What::Solution))),
            (" \u{1e9e}\u{130} lye", Some((7, 3, &What::Lye))),
            (" \u{130}water", None),
            (" it until the water", None),
        ] {
            assert_eq!(first_name(text, &names), found, "{text}");
        }
    }
}
