//! What is said of a number that a student types: on which side of the answer it may lie, and which slip it comes from.
//!
//! Layer 6. An exercise is judged by spans of numbers, the first that holds the number says what is told; a browser only
//! compares. A slip is the same expression asked of another ledger: one with no superfat, of pure alkali, of the other
//! alkali, or of the recipe as it was before the exercise changed it.
//!
//! What counts as right lies on the side that leaves more superfat: never more of what has lye in it, and never less of the
//! fats and acids that take lye up. Everything else may be off either way.

use super::practice::USUAL_TOLERANCE;
use super::values::{Evaluated, Values};
use crate::ledger::{Amount, Kind, Ledger};
use crate::recipe::Recipe;
use crate::show::{self, Units};
use crate::source::Located;
use crate::tables::{AlkaliKind, Tables};
use crate::units::{Mass, Percent, Scale, ScaleUnit};

/// Numbers beyond this are no answer to anything asked at a bench.
const LARGEST_ANSWER: f64 = 1e9;

/// A sum of decimals misses by a hair in binary.
const HAIR: f64 = 1e-9;

/// Where a typed number may lie.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Side {
    /// Off by the tolerance either way.
    Either,
    /// Has lye in it: more of it takes from the superfat.
    NeverMore,
    /// Takes lye up: less of it takes from the superfat.
    NeverLess,
}

/// The verdict of what is right.
const RIGHT: &str = "right";

/// Numbers of which the same is said, by the name that the sentence has in `theme/templates/words.toml`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Span {
    pub(crate) verdict: &'static str,
    pub(crate) least: f64,
    pub(crate) most: f64,
}

/// An expression's number in one unit.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Number {
    /// As printed.
    pub(super) text: String,
    /// The same.
    pub(super) value: f64,
    /// Its unit, or nothing.
    pub(super) unit: &'static str,
    /// The mass that was rounded to it; `None` for what is no mass.
    exact: Option<Mass>,
    /// On which side of it a typed number may lie.
    pub(super) side: Side,
    /// Whether it is weighed on the finer scale, if there is one and it takes so much.
    is_small: bool,
    /// Whether the exact amount is none that lye was reckoned for.
    is_due_as_printed: bool,
}

impl Number {
    /// The number of an expression on the scale of a unit, or on the one that it names; `None` for what nobody would type
    /// as one number.
    pub(super) fn of(expression: &Located<String>, ledger: &Ledger, unit: ScaleUnit) -> Option<Number> {
        // What cannot be evaluated was told where the answer was.
        let answer = Values::new(ledger, Units::only(unit)).evaluate(&expression.value, &expression.place).ok()?;
        Number::of_evaluated(&answer, ledger, answer.units.main())
    }

    /// The same on the scale of a unit whatever unit it names.
    fn in_unit(expression: &Located<String>, ledger: &Ledger, unit: ScaleUnit) -> Option<Number> {
        let answer = Values::new(ledger, Units::only(unit)).evaluate(&expression.value, &expression.place).ok()?;
        Number::of_evaluated(&answer, ledger, unit).filter(|it| it.unit == unit.symbol())
    }

    fn of_evaluated(answer: &Evaluated<'_>, ledger: &Ledger, unit: ScaleUnit) -> Option<Number> {
        let amount = answer.amount.as_ref()?;
        let (text, value, unit) = number_of(amount, ledger.scales.of(unit))?;
        let side = match unit {
            "g" | "oz" if answer.holds_lye => Side::NeverMore,
            "g" | "oz" if answer.takes_lye_up => Side::NeverLess,
            _ => Side::Either,
        };
        // A layer's lye solution is what its printed fats are due, and of what is computed only the printed amounts are known.
        let is_due_as_printed = answer.key.is_none_or(|it| it.kind == Kind::LayerFats);
        let exact = amount.mass();
        Some(Number { text, value, unit, exact, side, is_small: answer.is_small, is_due_as_printed })
    }

    /// The scale on which it is read.
    pub(super) fn scale(&self, ledger: &Ledger) -> Option<Scale> {
        let scale = [ledger.scales.grams, ledger.scales.ounces].into_iter().find(|it| it.unit.symbol() == self.unit)?;
        Some(if self.is_small { scale.for_small(self.exact.unwrap_or_default()) } else { scale })
    }

    /// What is right.
    ///
    /// The exact amount of a fat may lie below what is printed. The lye is reckoned for the exact one, so that is no less.
    fn right(&self, within: f64, scale: Option<Scale>) -> Span {
        let exact = match (self.exact, scale) {
            _ if self.is_due_as_printed => self.value,
            // Nobody writes an amount down in more than tenths of what the scale shows.
            (Some(exact), Some(scale)) => around(Scale::new(scale.unit, scale.division / 10.0), exact).0,
            _ => self.value,
        };
        let (least, most) = match self.side {
            Side::Either => (self.value - within, self.value + within),
            Side::NeverMore => (self.value - within, self.value),
            Side::NeverLess => (self.value.min(exact), self.value + within),
        };
        Span { verdict: RIGHT, least, most }
    }
}

/// The steps of a scale below and above a mass, in its unit; the same one twice where it shows the mass exactly.
fn around(scale: Scale, mass: Mass) -> (f64, f64) {
    (scale.value(scale.below(mass)), scale.value(scale.above(mass)))
}

/// An exercise and what its slips are computed from.
pub(super) struct Asked<'a> {
    /// What is asked for.
    pub(super) expression: &'a Located<String>,
    /// The recipe of the question, as the exercise changes it.
    pub(super) ledger: &'a Ledger,
    /// The same as its page has it.
    pub(super) of_page: &'a Ledger,
    pub(super) tables: &'a Tables,
}

impl Asked<'_> {
    /// What is said of each number, in the order in which it is looked for.
    ///
    /// - `within`: how far off the number may be, in its unit.
    /// - `others`: the answer in other units, with how far off it may be there.
    pub(super) fn spans(&self, number: &Number, within: f64, others: &[(Number, f64)]) -> Vec<Span> {
        let scale = number.scale(self.ledger);
        let right = number.right(within, scale);
        let mut spans = vec![right];
        let scaled_card = scale.and_then(|scale| self.scaled_card(number, scale));
        // The rounding of a card that is scaled grows with the batch. What comes of it is right as long as it is small and
        // lies on the safe side: what has lye in it was rounded down before it was multiplied.
        if let Some(card) = scaled_card {
            let (least, most) = match number.side {
                Side::Either => (card.least, card.most),
                Side::NeverMore => (card.least, card.most.min(number.value)),
                Side::NeverLess => (card.least.max(right.least), card.most),
            };
            let is_near = |it: f64| (it - number.value).abs() <= number.value * USUAL_TOLERANCE;
            if least <= most && is_near(least) && is_near(most) {
                spans.push(Span { verdict: RIGHT, least, most });
            }
        }
        for (other, within) in others.iter().filter(|(other, _)| other.unit != number.unit) {
            let verdict = if other.unit == "g" { "grams" } else { "ounces" };
            spans.push(Span { verdict, ..other.right(*within, other.scale(self.ledger)) });
        }
        if let Some(scale) = scale {
            spans.extend(self.slips(number, scale, right));
        }
        match number.side {
            Side::Either => {}
            Side::NeverMore => spans.push(Span { verdict: "over", least: number.value, most: number.value + within }),
            Side::NeverLess => spans.push(Span { verdict: "under", least: number.value - within, most: right.least }),
        }
        spans.extend(scaled_card);
        let is_same = |a: &Span, b: &Span| b.least - HAIR <= a.least && a.most <= b.most + HAIR;
        let mut kept: Vec<Span> = Vec::new();
        for span in spans {
            if !kept.iter().any(|it| is_same(&span, it)) {
                kept.push(span);
            }
        }
        kept
    }

    /// The answer in the units in which a scale could show it, whatever the course shows.
    pub(super) fn in_all_units(&self) -> impl Iterator<Item = Number> {
        let units = [ScaleUnit::Grams, ScaleUnit::Ounces].into_iter();
        units.filter_map(|unit| Number::in_unit(self.expression, self.ledger, unit))
    }

    /// What somebody gets who multiplies the amount on the card; `None` where the amount does not follow the batch.
    fn scaled_card(&self, number: &Number, scale: Scale) -> Option<Span> {
        let of_card = Number::in_unit(self.expression, self.of_page, scale.unit)?;
        let factor = self.ledger.batch.total_fats / self.of_page.batch.total_fats;
        let (exact, card) = (number.exact?, of_card.exact?);
        let follows = (card.to_grams() * factor - exact.to_grams()).abs() <= exact.to_grams() * 1e-6;
        if !follows || (factor - 1.0).abs() < HAIR {
            return None;
        }
        let scaled = Mass::grams(of_card.value * factor * scale.unit.grams());
        let (least, most) = around(scale, scaled);
        Some(Span { verdict: "rounding", least, most })
    }

    /// What comes of the usual slips, each where it can be told from the answer.
    fn slips(&self, number: &Number, scale: Scale, right: Span) -> Vec<Span> {
        let with = |change: &dyn Fn(&mut Recipe)| {
            let mut other = self.ledger.clone();
            change(&mut other.recipe);
            other.for_fats(self.ledger.batch.total_fats, self.tables)
        };
        let other_alkali = |kind| match kind {
            AlkaliKind::NaOH => AlkaliKind::KOH,
            AlkaliKind::KOH => AlkaliKind::NaOH,
        };
        let exchanged = with(&|it| it.alkalis.iter_mut().for_each(|it| it.kind = other_alkali(it.kind)));
        let unchanged = self.ledger.is_changed.then(|| ("unchanged", self.of_page.clone()));
        let slips: [(&'static str, Ledger); 3] = [
            ("superfat", with(&|it| it.superfat_percent = 0.0)),
            ("purity", with(&|it| it.alkalis.iter_mut().for_each(|it| it.purity = Percent::percent(100.0)))),
            ("alkali", exchanged),
        ];
        let span = |(verdict, ledger): &(&'static str, Ledger)| {
            let exact = Number::in_unit(self.expression, ledger, scale.unit)?.exact?;
            let (least, most) = around(scale, exact);
            // One step above the answer may be nothing but rounding.
            let is_apart = least > right.most.max(number.value + scale.division) + HAIR || most < right.least - HAIR;
            is_apart.then_some(Span { verdict, least, most })
        };
        unchanged.iter().chain(&slips).filter_map(span).collect()
    }
}

/// The number of a figure as it is printed, its value and its unit; `None` for what nobody would type as one number.
fn number_of(amount: &Amount, scale: Scale) -> Option<(String, f64, &'static str)> {
    let plain = |value: f64, decimals: usize, unit: &'static str| {
        let text = show::plain(value, decimals);
        let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
        Some((text.to_owned(), text.parse().ok()?, unit))
    };
    let number = match amount {
        Amount::Weighed { .. } => {
            let divisions = amount.reading(scale.unit)?;
            (show::reading_number(scale, divisions), scale.value(divisions), scale.unit.symbol())
        }
        Amount::SmallShare(percent) => plain(*percent, 3, "%")?,
        Amount::Share(_) | Amount::ShareByScale { .. } => {
            let percent = amount.percent(scale.unit)?;
            // Just below nothing is no number that anybody could type.
            if show::superfat(percent) != show::percent(percent) {
                return None;
            }
            plain(percent, 1, "%")?
        }
        Amount::Ratio(ratio) => plain(*ratio, 2, "")?,
        Amount::Count(count) => plain(f64::from(*count), 0, "")?,
        Amount::SapValue(value) => plain(value.to_mg_koh_per_g(), 2, "")?,
        Amount::IodineValue(value) => plain(*value, 1, "")?,
        Amount::Mass(_)
        | Amount::Length(_)
        | Amount::Volume(_)
        | Amount::Vessel(_)
        | Amount::Time(..)
        | Amount::Clock(_)
        | Amount::Celsius(_)
        | Amount::CelsiusAtMost(_)
        | Amount::MolarMass(_)
        | Amount::Step(_) => return None,
    };
    (number.1 <= LARGEST_ANSWER).then_some(number)
}
