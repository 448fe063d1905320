//! The name by which sentences know a figure.
//!
//! Layer 4.

use std::fmt;
use std::str::FromStr;
use std::sync::Arc;

use super::kind::{Kind, Of, Scope};

/// The name of a figure: of which kind it is, of which fat or other thing, and of which layer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Key {
    /// Of which kind.
    pub kind: Kind,
    /// Of which thing, where there is one for each.
    pub of: Option<Arc<str>>,
    /// Of which layer.
    pub layer: Option<Arc<str>>,
}

impl Key {
    /// The one figure of a kind.
    #[must_use]
    pub fn one(kind: Kind) -> Key {
        Key { kind, of: None, layer: None }
    }

    /// The figure of a kind for one thing.
    #[must_use]
    pub fn each(kind: Kind, of: impl Into<Arc<str>>) -> Key {
        Key { kind, of: Some(of.into()), layer: None }
    }

    /// The same of a layer, by the layer's key.
    #[must_use]
    pub fn in_layer(self, layer: impl Into<Arc<str>>) -> Key {
        Key { layer: Some(layer.into()), ..self }
    }

    /// Whether it is an amount of lye, or of something that has lye in it.
    #[must_use]
    pub fn holds_lye(&self) -> bool {
        self.kind.holds_lye()
    }

    /// The parts of the name, as groups of values hold them.
    #[must_use]
    pub fn parts(&self) -> Vec<&str> {
        let layer = self.layer.iter().flat_map(|it| ["layers", &**it]);
        layer.chain(self.kind.name().split('.')).chain(self.of.as_deref()).collect()
    }

    /// The key that these parts name; `total.solution` is another name of `solution`, and portions are layers too.
    #[must_use]
    pub fn from_parts(parts: &[&str]) -> Option<Key> {
        let (layer, rest) = match parts {
            ["layers" | "portions", layer, rest @ ..] => (Some(Arc::from(*layer)), rest),
            rest => (None, rest),
        };
        if layer.is_none() && rest == ["total", "solution"] {
            return Some(Key::one(Kind::Solution));
        }
        let scope = if layer.is_some() { Scope::Layer } else { Scope::Recipe };
        Kind::ALL.iter().filter(|it| it.scope() == scope).find_map(|kind| {
            let mut rest = rest.iter();
            let is_named = kind.name().split('.').all(|it| rest.next() == Some(&it));
            let key = |of| Key { kind: *kind, of, layer: layer.clone() };
            match (is_named, kind.of(), rest.as_slice()) {
                (true, Of::One, []) => Some(key(None)),
                (true, Of::One, _) | (false, ..) => None,
                (true, _, [of]) => Some(key(Some(Arc::from(*of)))),
                (true, ..) => None,
            }
        })
    }
}

/// Whether a part of a name can stand between dots; any other stands in brackets and quotes.
fn is_plain(part: &str) -> bool {
    let is_letter = |it: char| it.is_alphanumeric() || matches!(it, '_' | '-');
    !part.is_empty() && part.chars().all(is_letter) && !part.starts_with('-') && !part.ends_with('-')
}

impl fmt::Display for Key {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(&name_of(&self.parts()))
    }
}

/// The name with these parts, in the form in which it reads back.
#[must_use]
pub fn name_of(parts: &[&str]) -> String {
    let mut name = String::new();
    for (part_idx, part) in parts.iter().enumerate() {
        match (part_idx, is_plain(part)) {
            (0, true) => name.push_str(part),
            (_, true) => name.extend([".", part]),
            (_, false) => name.extend(["[\"", part, "\"]"]),
        }
    }
    name
}

/// The first part of a name whose second is a recipe, whatever that is called: `recipes["my bar"].lye`.
pub const RECIPES: &str = "recipes";

/// What is no name of a figure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("no figure has this name")]
pub struct NoSuchKey;

impl FromStr for Key {
    type Err = NoSuchKey;

    fn from_str(name: &str) -> Result<Key, NoSuchKey> {
        let parts = parts_of(name).ok_or(NoSuchKey)?;
        let parts: Vec<&str> = parts.iter().map(String::as_str).collect();
        Key::from_parts(&parts).ok_or(NoSuchKey)
    }
}

/// The parts of a name such as `fats.palm-kernel` or `layers["white clay"].fats`; `None` for any other expression.
#[must_use]
pub fn parts_of(expression: &str) -> Option<Vec<String>> {
    let (parts, length) = name_at_start(expression)?;
    let is_number = parts[0].parse::<f64>().is_ok();
    (length == expression.len() && !is_number).then_some(parts)
}

/// The parts of the longest name that a text starts with, and its length in bytes. A hyphen at an end is a minus sign and
/// no part of a name.
#[must_use]
pub fn name_at_start(text: &str) -> Option<(Vec<String>, usize)> {
    let mut parts = Vec::new();
    let mut length = 0;
    loop {
        let rest = &text[length..];
        let end = rest.find(|it: char| !(it.is_alphanumeric() || matches!(it, '_' | '-'))).unwrap_or(rest.len());
        let name = rest[..end].trim_end_matches('-');
        if !is_plain(name) {
            // What came before a stop that no name follows.
            return (!parts.is_empty()).then(|| (parts, length - 1));
        }
        parts.push(name.to_owned());
        length += name.len();
        while let Some(in_brackets) = text[length..].strip_prefix("[\"") {
            let Some((key, _)) = in_brackets.split_once("\"]") else { break };
            length += "[\"".len() + key.len() + "\"]".len();
            parts.push(key.to_owned());
        }
        if !text[length..].starts_with('.') {
            return Some((parts, length));
        }
        length += 1;
    }
}

/// Whether an expression may give an amount of lye: it is the name of one, the name of a recipe before it or not, or has
/// a word in it that names one.
///
/// An expression that computes is not looked into any further: cautions too many harm nobody.
#[must_use]
pub fn speaks_of_lye(expression: &str) -> bool {
    if let Some(parts) = parts_of(expression) {
        let parts: Vec<&str> = parts.iter().map(String::as_str).collect();
        let is_of_lye = |parts: &[&str]| {
            let parts = if let ["grams" | "ounces", rest @ ..] = parts { rest } else { parts };
            parts == ["alkali"] || Key::from_parts(parts).is_some_and(|it| it.holds_lye())
        };
        let of_any_recipe = if let [RECIPES, _, rest @ ..] = &parts[..] { rest } else { &parts[1..] };
        return is_of_lye(&parts) || is_of_lye(of_any_recipe);
    }
    let words = expression.split(|it: char| !(it.is_alphanumeric() || it == '_'));
    words.into_iter().any(|word| {
        let names_it = |kind: &Kind| kind.holds_lye() && kind.name().split('.').next_back() == Some(word);
        Kind::ALL.iter().any(names_it)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_key_prints_as_a_name_that_reads_back() {
        for kind in Kind::ALL {
            for of in ["palm-kernel", "a b", "1", "x.y"] {
                let key = if kind.of() == Of::One { Key::one(*kind) } else { Key::each(*kind, of) };
                let key = if kind.scope() == Scope::Layer { key.in_layer("white-clay") } else { key };
                assert_eq!(key.to_string().parse(), Ok(key.clone()), "{key}");
            }
        }
        assert_eq!("total.solution".parse(), Ok(Key::one(Kind::Solution)));
        for name in ["fats", "lye.olive", "layers.base", "nothing", "", "2 + 3"] {
            assert_eq!(name.parse::<Key>(), Err(NoSuchKey), "{name}");
        }
    }

    #[test]
    fn no_two_kinds_have_one_name_and_none_is_a_group_of_another() {
        for a in Kind::ALL {
            for b in Kind::ALL.iter().filter(|b| *b != a && b.scope() == a.scope()) {
                assert_ne!(a.name(), b.name());
                assert!(!b.name().starts_with(&format!("{}.", a.name())), "{a:?} {b:?}");
            }
        }
    }

    #[test]
    fn whatever_has_lye_in_it_speaks_of_lye() {
        for expression in [
            "lye",
            "grams.lye",
            "alkali.KOH",
            "solution",
            "total.solution",
            "total.batch",
            "layers.base.batter",
            "layers.base.poured",
            "layers[\"a b\"].solution",
            "lye | upper",
            "layers[name].batter",
            "hillside.lye",
            "hillside.grams.layers.base.solution",
            "recipes[\"my bar\"].lye",
            "recipes.water.grams.lye",
        ] {
            assert!(speaks_of_lye(expression), "{expression}");
        }
        for expression in [
            "fats.olive",
            "layers.lye.fats",
            "title",
            "water",
            "superfat",
            "percent.olive | upper",
            "hillside.water",
            "recipes.lye.water",
        ] {
            assert!(!speaks_of_lye(expression), "{expression}");
        }
    }
}
