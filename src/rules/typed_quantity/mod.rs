//! # What it finds
//!
//! A number that the calculator gives, typed by hand into the words of a page that has a recipe: its prose, lists,
//! tables, headings, the text in its HTML, and the questions and explanations of its exercises. In prose every mass is
//! reported. A percentage, a volume, spoons, a temperature, a length, a time or a number of bars is reported where a
//! recipe of the page has exactly that figure, and the words beside it are about it or the digits can hardly be chance;
//! so is a mass in an exercise, which may be a figure of its own. A range is reported once, and so is an amount in two
//! units. What no recipe changes is left alone: rates, sizes of packages, what a scale reads to, how many ounces a pound
//! has, and what is said to be usual.
//!
//! # Why it matters
//!
//! A typed amount stays as it is when the recipe or a table changes, and then the page contradicts its own card.
//!
//! # Example
//!
//! `Weigh 128 g of lye.` instead of `Weigh {{ lye }} of lye.`
//!
//! # Source
//!
//! Common practice. A value counts as the one that is meant when its printed mass is within ten percent of the typed
//! one: far enough for a recipe that has changed since, and near enough not to be chance as a rule. For anything but a
//! mass, only the printed figure itself counts, in any unit. Three significant digits are not taken for chance. How
//! often this is right is measured on the demonstration course.

mod beside;
mod common_knowledge;

use crate::finding::Finding;
use crate::ledger::{Amount, Figure, Key, Kind, Ledger, Scales};
use crate::prose::{Dimension, Of, Prose, Quantity, quantities};
use crate::show::{self, Units};

use beside::{Beside, words_about};
use common_knowledge::is_common_knowledge;

/// How far a typed mass may be from the value that is meant, as a part of that value.
const NEAR: f64 = 0.1;

/// How far rounding in another unit may take a figure from itself, as a part of it: 2.4 in are 60 mm.
const COARSEST: f64 = 0.02;

/// The same of masses, of which a recipe has so many that more would be chance.
const COARSEST_OF_MASS: f64 = 0.005;

/// So many digits that say something are no chance.
const DIGITS_OF_NO_CHANCE: usize = 3;

/// Makes the words of an amount as a sentence prints it.
pub type Print = fn(&Amount, &Scales, Units) -> String;

/// Looks at the words of a page.
///
/// - `ledgers`: of the page's recipe, or of all that it has cards of; their figures may be meant.
/// - `tells_every_mass`: whether the page computes its prose, so that no mass in it should be typed.
#[must_use]
pub fn check<'a>(
    prose: impl Iterator<Item = &'a Prose>,
    ledgers: &[&Ledger],
    tells_every_mass: bool,
    print: Print,
) -> Vec<Finding> {
    let mut figures: Option<Figures> = None;
    let mut findings = Vec::new();
    for it in prose {
        let text = it.text.text();
        for quantity in quantities(text).into_iter().filter(|quantity| !is_common_knowledge(quantity, text)) {
            let figures = figures.get_or_insert_with(|| Figures::of(ledgers, print));
            let is_told = tells_every_mass && quantity.dimension == Dimension::Mass && it.of == Of::Lesson;
            let meant = if is_told { figures.nearest_mass(&quantity) } else { figures.equal(&quantity, it) };
            if meant.is_none() && !is_told {
                continue;
            }
            let typed = &text[quantity.span.clone()];
            let place = it.text.place(quantity.span.clone());
            let meant = meant.map(|it| (it.expression.as_str(), it.printed.as_str()));
            findings.push(Finding::typed_quantity(place, typed, meant));
        }
    }
    findings
}

/// A value that a typed amount may mean.
struct Meant {
    /// What a sentence writes for it.
    expression: String,
    /// As a sentence prints it.
    printed: String,
    /// Words that speak of it, of which one says that it is meant.
    words: Vec<String>,
    /// Whether the words of an exercise give it for another batch: a size, a superfat, a mould.
    is_given: bool,
    /// Whether it is weighed out. What is not, such as the glycerol set free, is meant only by itself.
    is_weighed: bool,
}

/// A figure as it may be typed.
struct Typed {
    quantity: Quantity,
    meant_idx: usize,
}

/// Everything that may be meant, in order, so that what is near a number is found without a look at all of it.
struct Figures {
    meant: Vec<Meant>,
    /// By dimension and lower end.
    typed: Vec<Typed>,
}

impl Figures {
    /// Of several recipes each value names its recipe.
    fn of(ledgers: &[&Ledger], print: Print) -> Figures {
        let mut figures = Figures { meant: Vec::new(), typed: Vec::new() };
        for ledger in ledgers {
            for figure in ledger.figures() {
                figures.add(figure, ledger, ledgers.len() > 1, print);
            }
        }
        figures.typed.sort_by(|a, b| order(&a.quantity, b.quantity.dimension, b.quantity.low));
        figures
    }

    fn add(&mut self, figure: &Figure, ledger: &Ledger, names_recipe: bool, print: Print) {
        let units = ledger.scales.units;
        let meant_idx = self.meant.len();
        let name = figure.key.to_string();
        let expression = if names_recipe { format!("{}.{name}", ledger.recipe.id) } else { name };
        let printed = print(&figure.amount, &ledger.scales, units);
        // In each unit by itself: of `128 g (4.50 oz)` either may be typed.
        let mut texts: Vec<String> =
            units.scales().iter().map(|it| print(&figure.amount, &ledger.scales, Units::only(*it))).collect();
        match (figure.key.kind, figure.amount) {
            (Kind::Bars, _) => texts = vec![show::with_unit(&printed, "bars")],
            (Kind::Spoons | Kind::LayerSpoons, Amount::Volume(volume)) => texts.extend(show::spoons(volume)),
            _ => {}
        }
        // Two ends are typed as one range.
        let high = match figure.key.kind {
            Kind::FatsWhenPouredFrom => ledger.figure(&Key::one(Kind::FatsWhenPouredTo)),
            Kind::LyeWhenPouredFrom => ledger.figure(&Key::one(Kind::LyeWhenPouredTo)),
            _ => None,
        };
        texts.extend(high.map(|it| format!("{printed} to {}", print(&it.amount, &ledger.scales, units))));
        let before = self.typed.len();
        for text in texts {
            let found = quantities(&text).into_iter().map(|quantity| Typed { quantity, meant_idx });
            self.typed.extend(found);
        }
        if self.typed.len() > before {
            let is_weighed = matches!(figure.amount, Amount::Weighed { .. });
            let is_given = matches!(
                figure.key.kind,
                Kind::TotalFats
                    | Kind::TotalBatch
                    | Kind::Superfat
                    | Kind::SuperfatAsWeighed
                    | Kind::FreeFat
                    | Kind::MouldAcross
                    | Kind::MouldFilled
                    | Kind::LayerThickness
            );
            self.meant.push(Meant { expression, printed, words: words_about(figure), is_given, is_weighed });
        }
    }

    /// What lies between two amounts of a dimension.
    fn between(&self, dimension: Dimension, low: f64, high: f64) -> impl Iterator<Item = (&Typed, &Meant)> {
        let from = self.typed.partition_point(|it| order(&it.quantity, dimension, low).is_lt());
        let rest = self.typed[from..].iter();
        rest.take_while(move |it| order(&it.quantity, dimension, high).is_le())
            .map(|it| (it, &self.meant[it.meant_idx]))
    }

    /// The mass that is nearest to what was typed, by what a scale shows; of equal ones the one with the shortest name.
    fn nearest_mass(&self, typed: &Quantity) -> Option<&Meant> {
        if typed.is_range {
            return None;
        }
        let off = |it: &Typed| (typed.low - it.quantity.low).abs();
        let near = self.between(Dimension::Mass, typed.low / (1.0 + NEAR), typed.low / (1.0 - NEAR));
        let reach = |meant: &Meant| if meant.is_weighed { NEAR } else { 1e-9 };
        let near = near.filter(|(it, meant)| off(it) <= reach(meant) * it.quantity.low);
        near.min_by(|a, b| off(a.0).total_cmp(&off(b.0)).then_with(|| a.1.rank().cmp(&b.1.rank())))
            .map(|(_, meant)| meant)
    }

    /// The figure that was typed, where that is no chance.
    fn equal(&self, typed: &Quantity, prose: &Prose) -> Option<&Meant> {
        let is_no_chance = typed.n_digits >= DIGITS_OF_NO_CHANCE;
        // Wide enough for any rounding that `is_typed_as` lets pass.
        let reach = typed.half_step + 1e-6;
        let equal = self.between(typed.dimension, typed.low - reach, typed.low + reach);
        let equal: Vec<&Meant> = equal
            .filter(|(it, meant)| is_typed_as(typed, &it.quantity) && !(meant.is_given && prose.of == Of::OtherBatch))
            .map(|(_, it)| it)
            .collect();
        if equal.is_empty() {
            return None;
        }
        let beside = Beside::of(prose, typed);
        if !is_no_chance && beside.says_it_is_usual() {
            return None;
        }
        let named = equal.into_iter().map(|it| (!beside.speaks_of(&it.words), it));
        let named = named.filter(|(is_unnamed, _)| is_no_chance || !is_unnamed);
        named.min_by_key(|(is_unnamed, meant)| (*is_unnamed, meant.rank())).map(|(_, meant)| meant)
    }
}

impl Meant {
    /// Of two that fit, what is weighed is offered, and then the one that needs fewer names.
    fn rank(&self) -> (bool, usize, usize) {
        (!self.is_weighed, self.expression.matches('.').count(), self.expression.len())
    }
}

fn order(it: &Quantity, dimension: Dimension, low: f64) -> std::cmp::Ordering {
    it.dimension.cmp(&dimension).then(it.low.total_cmp(&low))
}

/// Whether what was typed is a figure as printed: the same in its unit, or that rounded in another.
fn is_typed_as(typed: &Quantity, figure: &Quantity) -> bool {
    // Binary fractions.
    let dust = |it: f64| 1e-9 * it.abs().max(1.0);
    let by = |ends: [f64; 2], within: f64| (ends[0] - ends[1]).abs() <= within + dust(ends[1]);
    let coarsest = if typed.dimension == Dimension::Mass { COARSEST_OF_MASS } else { COARSEST };
    let within = if typed.has_unit_of(figure) { 0.0 } else { typed.half_step.min(coarsest * figure.low.abs()) };
    by([typed.low, figure.low], within) && by([typed.high, figure.high], within)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::{Extract, SourceFile};

    /// What is offered for the first number of a text.
    fn offered(text: &str, is_told: bool) -> Option<String> {
        let mut figures = Figures { meant: Vec::new(), typed: Vec::new() };
        for (expression, printed, words, is_weighed) in [
            ("lye", "128 g", "lye", true),
            ("lye", "4.50 oz", "lye", true),
            ("total.solution", "390 g", "solution", true),
            ("solution", "390 g", "solution", true),
            ("glycerol", "500 g", "glycerol", false),
            ("superfat", "5 %", "superfat", false),
            ("vessels.pot", "1.9 L", "pot", false),
            ("times.cure", "4 to 6 weeks", "cure", false),
            ("pouring_temperature", "38 °C", "pour", false),
            ("mould.filled", "60 mm", "deep", false),
            ("moisture", "8.25 %", "moisture", false),
        ] {
            let meant_idx = figures.meant.len();
            let quantity = quantities(printed).remove(0);
            figures.typed.push(Typed { quantity, meant_idx });
            let (expression, printed, words) = (expression.to_owned(), printed.to_owned(), vec![words.to_owned()]);
            figures.meant.push(Meant { expression, printed, words, is_given: false, is_weighed });
        }
        figures.typed.sort_by(|a, b| order(&a.quantity, b.quantity.dimension, b.quantity.low));
        let prose = Prose::plain(Extract::whole(&SourceFile::new("a.md", text)));
        let quantity = quantities(text).remove(0);
        let meant = if is_told { figures.nearest_mass(&quantity) } else { figures.equal(&quantity, &prose) };
        meant.map(|it| it.expression.clone())
    }

    #[test]
    fn the_nearest_mass_is_offered_if_it_is_near() {
        for (text, expression) in [
            ("128 g", Some("lye")),
            ("4.5 oz", Some("lye")),
            ("0.4 kg", Some("solution")),
            ("116 g", Some("lye")),
            ("114 g", None),
            ("120 to 130 g", None),
            ("500 g", Some("glycerol")),
            ("499 g", None),
        ] {
            assert_eq!(offered(text, true).as_deref(), expression, "{text}");
        }
    }

    #[test]
    fn what_is_no_mass_is_the_figure_itself_in_any_unit_beside_words_about_it() {
        for (text, expression) in [
            ("a superfat of 5 %", Some("superfat")),
            ("5 % of the class", None),
            ("a superfat of 5.1 %", None),
            ("usually a superfat of 5 %", None),
            ("8.25 % of it", Some("moisture")),
            ("a pot of 1900 ml", Some("vessels.pot")),
            ("cure it for 28 to 42 days", Some("times.cure")),
            ("cure it for 6 weeks", None),
            ("pour at 100 °F", Some("pouring_temperature")),
            ("pour at 102 °F", None),
            ("6 cm deep", Some("mould.filled")),
            ("2.4 in deep", Some("mould.filled")),
            ("2 in deep", None),
            ("6 cm. It is deep.", None),
        ] {
            assert_eq!(offered(text, false).as_deref(), expression, "{text}");
        }
    }
}
