//! Numbers that no recipe changes: rates, packages, what a scale reads to, what a unit is in another.

use crate::prose::{Dimension, Quantity, unit_behind};

/// How far the text is looked through on either side, in bytes.
const REACH: usize = 80;

/// What is sold or kept by mass or volume.
const PACKAGES: [&str; 38] = [
    "bag",
    "bags",
    "block",
    "blocks",
    "bottle",
    "bottles",
    "box",
    "boxes",
    "bucket",
    "buckets",
    "can",
    "cans",
    "carton",
    "cartons",
    "container",
    "containers",
    "drum",
    "drums",
    "jar",
    "jars",
    "pack",
    "package",
    "packages",
    "packet",
    "packets",
    "pail",
    "pails",
    "pouch",
    "pouches",
    "sachet",
    "sachets",
    "sack",
    "sacks",
    "tank",
    "tin",
    "tins",
    "tub",
    "tubs",
];

/// The same, which by volume may be what a recipe asks for.
const VESSELS: [&str; 12] =
    ["beaker", "jug", "jugs", "mold", "molds", "mould", "moulds", "parcel", "scale", "scales", "sample", "weight"];

/// What links two amounts that are the same.
const EQUALS: [&str; 10] = ["=", "≈", "is", "are", "equals", "equal", "makes", "make", "has", "weighs"];

/// What may stand before an amount without changing it.
const HEDGES: [&str; 8] = ["about", "almost", "around", "exactly", "just", "nearly", "roughly", "some"];

/// What says to which step a scale reads.
const READS_TO: [&str; 15] = [
    "accurate", "down", "exact", "good", "precise", "read", "readable", "reading", "reads", "resolves", "round",
    "rounded", "weigh", "weighs", "measures",
];

/// The coarsest step that a scale in a kitchen has, in grams: an ounce and a little. Where less is said of it, a good one's.
const COARSEST_STEP: f64 = 30.0;
const COARSEST_USUAL_STEP: f64 = 10.0;

/// What nobody weighs out, in grams.
const LIGHTEST_BODY: f64 = 30_000.0;

/// Whether a number says something that no recipe changes.
pub(super) fn is_common_knowledge(quantity: &Quantity, text: &str) -> bool {
    let from = text.floor_char_boundary(quantity.span.start.saturating_sub(REACH));
    let to = text.floor_char_boundary((quantity.span.end + REACH).min(text.len()));
    let before = text[from..quantity.span.start].to_lowercase();
    let after = text[quantity.span.end..to].to_lowercase();
    let (before, after) = (Tokens::of(&before), Tokens::of(&after));
    is_rate(&before, &after)
        || is_same_in_other_unit(&before, &after)
        || is_price(&before, &after)
        || is_package(quantity, &before, &after)
        || is_of_scale(quantity, &before, &after)
        || is_of_body(quantity, &before)
}

/// The words and signs of a text.
struct Tokens<'a>(Vec<&'a str>);

impl<'a> Tokens<'a> {
    fn of(text: &'a str) -> Tokens<'a> {
        let mut tokens = Vec::new();
        for word in text.split_whitespace() {
            let mut rest = word;
            while let Some(first) = rest.chars().next() {
                let in_word = |it: char| it.is_alphanumeric() || matches!(it, '°' | '%');
                let end = if in_word(first) { rest.find(|it: char| !in_word(it)) } else { Some(first.len_utf8()) };
                let (token, after) = rest.split_at(end.unwrap_or(rest.len()));
                tokens.push(token);
                rest = after;
            }
        }
        Tokens(tokens)
    }

    /// Whether they end with these, each of which is one of some.
    fn end_with(&self, wanted: &[&[&str]]) -> bool {
        self.0.len() >= wanted.len()
            && self.0[self.0.len() - wanted.len()..].iter().zip(wanted).all(|(it, any)| any.contains(it))
    }

    /// Whether they begin with these, each of which is one of some.
    fn begin_with(&self, wanted: &[&[&str]]) -> bool {
        self.0.len() >= wanted.len() && self.0.iter().zip(wanted).all(|(it, any)| any.contains(it))
    }

    fn has_any(&self, wanted: &[&str]) -> bool {
        self.0.iter().any(|it| wanted.contains(it))
    }

    /// The tokens up to the end of the clause.
    fn clause(&self) -> impl Iterator<Item = &'a str> {
        self.0.iter().copied().take_while(|it| !matches!(*it, "." | "," | ";" | ":" | "!" | "?" | "(" | ")"))
    }
}

/// How much of one thing goes with another: "per 100 g", "10 g per kg", "10 g/kg", "5 g of it for every pound".
fn is_rate(before: &Tokens<'_>, after: &Tokens<'_>) -> bool {
    const EVERY: [&str; 2] = ["every", "each"];
    const WITH: [&str; 4] = ["for", "to", "in", "with"];
    if before.end_with(&[&["per", "/"]]) || before.end_with(&[&WITH, &EVERY]) || after.begin_with(&[&["per", "/"]]) {
        return true;
    }
    let clause: Vec<&str> = after.clause().take(8).collect();
    clause.windows(2).any(|it| match it {
        ["per", what] => !matches!(*what, "the" | "card" | "recipe" | "batch" | "instructions"),
        [with, every] => WITH.contains(with) && EVERY.contains(every),
        _ => false,
    })
}

/// What a unit is in another: "1 lb = 16 oz", "an ounce is 28.35 g", "16 oz to the pound".
fn is_same_in_other_unit(before: &Tokens<'_>, after: &Tokens<'_>) -> bool {
    let is_count =
        |it: &str| matches!(it, "a" | "an" | "one" | "the") || it.starts_with(|it: char| it.is_ascii_digit());
    let is_unit = |it: &str| {
        let by_name =
            matches!(it, "cup" | "cups" | "drop" | "drops" | "egg" | "pinch" | "stone" | "ton" | "tonne" | "cubic");
        by_name || unit_behind(it, 0).is_some_and(|(_, end)| end == it.len())
    };
    let mut head = &before.0[..];
    while let [rest @ .., last] = head
        && HEDGES.contains(last)
    {
        head = rest;
    }
    let is_equated = |it: &[&str]| matches!(it, [count, unit, equals] if EQUALS.contains(equals) && is_unit(unit) && is_count(count));
    if head.len() >= 3 && is_equated(&head[head.len() - 3..]) {
        return true;
    }
    // "An ounce is 28.35 g, and a pound 454 g": said once for both.
    if let [.., count, unit] = head
        && is_count(count)
        && is_unit(unit)
        && head.windows(3).any(is_equated)
    {
        return true;
    }
    let mut tail = &after.0[..];
    let Some((link, rest)) = tail.split_first() else { return false };
    tail = rest;
    while let [first, rest @ ..] = tail
        && HEDGES.contains(first)
    {
        tail = rest;
    }
    let links = EQUALS.contains(link) || matches!(*link, "in" | "to");
    matches!(tail, [count, unit, ..] if links && is_count(count) && is_unit(unit))
}

/// What something costs.
fn is_price(before: &Tokens<'_>, after: &Tokens<'_>) -> bool {
    const COINS: [&str; 9] = ["€", "£", "$", "cent", "cents", "euro", "euros", "dollars", "costs"];
    let n_before = before.0.len();
    let near = Tokens(before.0[n_before.saturating_sub(5)..].iter().chain(after.0.iter().take(4)).copied().collect());
    near.has_any(&COINS)
}

/// How much is in what is sold: "a 5 lb bag", "bags of 25 kg", "the drum holds 25 kg".
fn is_package(quantity: &Quantity, before: &Tokens<'_>, after: &Tokens<'_>) -> bool {
    const STOPS: [&str; 12] = ["of", "and", "in", "into", "for", "with", "the", "from", "to", "is", "at", "on"];
    let is_mass = quantity.dimension == Dimension::Mass;
    if !is_mass && quantity.dimension != Dimension::Volume {
        return false;
    }
    let is_one = |it: &str| PACKAGES.contains(&it) || is_mass && VESSELS.contains(&it);
    let mut named = after.clause().take(3).take_while(|it| !STOPS.contains(it));
    if named.any(is_one) || is_mass && quantity.n_digits == 1 && after.begin_with(&[&["loaf", "loaves"]]) {
        return true;
    }
    match &before.0[..] {
        [.., package, "of" | "holds" | "hold" | "with" | "contains"] => PACKAGES.contains(package),
        [.., "sold" | "comes" | "come" | "packed" | "bought" | "buy", "in" | "by", "the" | "a"] => true,
        [.., "sold" | "comes" | "come" | "packed" | "bought" | "delivered", "in" | "by" | "as"] => true,
        _ => false,
    }
}

/// To what a scale reads, and how much it carries: "reads to 1 g", "to the nearest 5 g", "a scale for up to 5 kg".
fn is_of_scale(quantity: &Quantity, before: &Tokens<'_>, after: &Tokens<'_>) -> bool {
    const STEPS: [&str; 9] =
        ["step", "steps", "division", "divisions", "resolution", "accuracy", "precision", "increments", "readability"];
    const SCALES: [&str; 3] = ["scale", "scales", "balance"];
    let is_step = quantity.dimension == Dimension::Mass && quantity.high <= COARSEST_STEP && quantity.n_digits == 1;
    let steps = before.end_with(&[&STEPS, &["of"]]) || before.end_with(&[&STEPS, &["is"]]);
    if is_step && (steps || after.begin_with(&[&STEPS])) {
        return true;
    }
    if is_step && quantity.high <= COARSEST_USUAL_STEP {
        let reads = before.end_with(&[&READS_TO, &["to"]]) || before.end_with(&[&["nearest", "within", "than"]]);
        // "If your scale reads 0.1 oz", and not "until the scale reads 8 g".
        let verb: &[&str] = &["reads", "shows", "has"];
        let of_a_scale = before.end_with(&[&["if"], &["your", "the", "a"], &SCALES, verb])
            || before.end_with(&[&SCALES, &["that", "which"], verb]);
        if reads || of_a_scale {
            return true;
        }
    }
    let carries = before.end_with(&[&["up"], &["to"]])
        || before.end_with(&[&["capacity", "maximum", "limit"], &["of", "is"]])
        || before.end_with(&[&["carries", "takes", "holds", "for"]]);
    carries && (before.has_any(&SCALES) || before.has_any(&["capacity"]))
}

/// What somebody weighs: "I am 150 lb".
fn is_of_body(quantity: &Quantity, before: &Tokens<'_>) -> bool {
    quantity.dimension == Dimension::Mass
        && quantity.low >= LIGHTEST_BODY
        && before.end_with(&[&["i", "you", "he", "she", "who"], &["am", "are", "is", "weigh", "weighs", "weighed"]])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::prose::quantities;

    fn left_over(text: &str) -> Vec<&str> {
        let all = quantities(text);
        all.iter().filter(|it| !is_common_knowledge(it, text)).map(|it| &text[it.span.clone()]).collect()
    }

    #[test]
    fn what_no_recipe_changes_is_common_knowledge() {
        for text in [
            "per 100 g of fats, 10 g/kg, 3 oz per pound, 28 g per pound",
            "take 5 g of clay per kilogram, or 1 tsp for every pound",
            "1 lb = 16 oz",
            "a pound is 454 g, and an ounce about 28 g; 16 oz in a pound",
            "a 5 lb bag of lye",
            "in bags of 25 kg",
            "a scale that reads to 1 g",
            "weighed to the nearest 5 g",
            "a scale for up to 5 kg",
            "500 g cost € 12",
            "a 35 lb pail, a 50 g sachet, and a 5 lb loaf",
            "I am 150 lb",
            "if your scale reads 0.1 oz",
            "a scale with a 1 oz division",
            "An ounce is 28.35 g, and a pound 454 g.",
        ] {
            assert_eq!(left_over(text), [""; 0], "{text}");
        }
    }

    #[test]
    fn what_a_recipe_changes_is_not() {
        for (text, typed) in [
            ("Pour until the scale reads 128 g.", "128 g"),
            ("Drip until the scale reads 8 g.", "8 g"),
            ("It gives a 1.4 kg loaf.", "1.4 kg"),
            ("She weighs 500 g of it.", "500 g"),
            ("It is set, and a pound 454 g.", "454 g"),
            ("Weigh 128 g as per the card.", "128 g"),
            ("The lye is 128 g, in a dry cup.", "128 g"),
            ("Fill a jug of 650 mL.", "650 mL"),
            ("Bring it down to 128 g.", "128 g"),
        ] {
            assert_eq!(left_over(text), [typed], "{text}");
        }
    }
}
