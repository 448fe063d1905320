//! An exercise with a computed answer, or with several to choose from: what its block says, and what comes out.
//!
//! Layer 6. `with` makes another batch of the recipe, which the rules then judge as they judge every recipe. What is said
//! of a typed number is in `practice_spans.rs`, what there is to choose in `practice_choices.rs`; how the exercise is worded and shown in `page/view/practice.rs`.

use super::Shelf;
use super::practice_choices::{CHOICES, Choices, FilledChoice};
use super::practice_spans::{Asked, Number, Side, Span};
use super::practice_words::WordsWithValues;
use super::printer::Notes;
use super::values::{Names, Values, unknown_names};
use super::words::amount_words;
use crate::finding::{Finding, Severity};
use crate::ledger::Ledger;
use crate::prose::{Of, Prose};
use crate::reader::Reader;
use crate::recipe::ChangesRead;
use crate::rules::{check, typed_quantity};
use crate::source::{Located, Place};
use crate::units::{Mass, QuantityError, Scale};

/// How far off an answer that is no mass may be, as a fraction of it, where the block does not say. Our choice.
pub(super) const USUAL_TOLERANCE: f64 = 0.01;

/// What a `kettle practice` block says.
#[derive(Clone, Debug)]
pub(crate) struct Exercise {
    ask: Option<WordsWithValues>,
    wanted: Wanted,
    changes: Option<ChangesRead>,
}

/// What a student is to do.
#[derive(Clone, Debug)]
enum Wanted {
    /// Type a number.
    Number(Box<NumberWanted>),
    /// Choose one of several.
    Choice(Choices),
}

/// A number to type.
#[derive(Clone, Debug)]
struct NumberWanted {
    answer: Option<Located<String>>,
    because: Option<WordsWithValues>,
    tolerance: Option<Located<Tolerance>>,
}

/// How far off an answer may be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Tolerance {
    /// By so much.
    Mass(Mass),
    /// By this fraction of the answer.
    OfAnswer(f64),
}

/// An exercise worked out.
#[derive(Clone, Debug)]
pub(crate) struct WorkedOut {
    /// The question, Markdown.
    pub(crate) ask: String,
    /// What there is to meet.
    pub(crate) outcome: Outcome,
    /// Whether it sets the superfat to nothing, so that nobody must make what it asks about.
    pub(crate) leaves_nothing: bool,
}

/// What an exercise comes to.
#[derive(Clone, Debug)]
pub(crate) enum Outcome {
    /// A number.
    Number {
        /// The answer as a sentence would print it.
        answer: String,
        /// The explanation, Markdown.
        because: Option<String>,
        /// The number in each unit in which a student may give it.
        targets: Vec<Target>,
    },
    /// One of several, of which one is right.
    Choice(Vec<FilledChoice>),
}

/// A number to meet.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Target {
    /// The number as printed.
    pub(crate) text: String,
    /// Its unit, or nothing.
    pub(crate) unit: &'static str,
    /// On which side of it a typed number may lie.
    pub(crate) side: Side,
    /// How far off a typed number may be.
    pub(crate) within: Within,
    /// What is said of typed numbers, in the order in which it is looked for.
    pub(crate) spans: Vec<Span>,
}

/// How far off a typed number may be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Within {
    /// By so many divisions of the scale.
    Divisions(Scale, u64),
    /// By so much of what is no mass.
    Plain(f64),
}

impl Within {
    /// As a number in the unit of the answer.
    fn in_unit(self) -> f64 {
        match self {
            Within::Divisions(scale, divisions) => scale.value(divisions),
            Within::Plain(value) => value,
        }
    }
}

impl Tolerance {
    const FORMS: &str = "a mass with its unit, such as \"2 g\", or a part of the answer, such as \"1 %\"";

    /// Reads `2 g`, `0.1 oz` or `1 %`.
    fn parse(text: &str) -> Result<Tolerance, QuantityError> {
        let Some(number) = text.trim().strip_suffix('%') else { return Mass::parse(text).map(Tolerance::Mass) };
        let percent = crate::units::number(number)?;
        if percent.is_finite() && percent >= 0.0 {
            Ok(Tolerance::OfAnswer(percent / 100.0))
        } else {
            Err(QuantityError::OutOfRange)
        }
    }
}

impl Exercise {
    /// Reads the keys of the block, but for `use`. What must be there is asked for only if the body could be read.
    pub(super) fn read(reader: &mut Reader<'_>, body_was_read: bool) -> Exercise {
        let ask = reader.words("ask");
        if body_was_read {
            reader.require("ask", ask.as_ref(), "ask = \"How much lye do you weigh out?\"");
        }
        let places_of_number_keys: Vec<(&str, Place)> =
            ["answer", "because", "tolerance"].into_iter().filter_map(|it| Some((it, reader.place_of(it)?))).collect();
        let wanted = match Choices::read(reader) {
            Some(choices) => {
                for (key, place) in places_of_number_keys {
                    reader.entry(key);
                    reader.findings.push(Finding::choices_beside_a_number(place, CHOICES, key));
                }
                Wanted::Choice(choices)
            }
            None => Wanted::Number(Box::new(NumberWanted::read(reader, body_was_read))),
        };
        let changes = ChangesRead::read(reader, "with");
        let ask = ask.map(|it| WordsWithValues::read(it, &mut reader.findings));
        Exercise { ask, wanted, changes }
    }

    /// Everything in the exercise that is evaluated.
    pub(super) fn expressions(&self) -> impl Iterator<Item = &Located<String>> {
        self.wanted.expressions().into_iter().chain(self.ask.iter().flat_map(WordsWithValues::expressions))
    }

    /// Figures typed into its words: into the explanation those of the batch that it asks about, into the question those of
    /// the page's recipe. The question of another batch says what that is, which is no figure of the page.
    fn typed_quantities(&self, ledger: &Ledger, asked: &Ledger) -> Vec<Finding> {
        let of = if self.changes.is_some() { Of::OtherBatch } else { Of::Exercise };
        let ask = self.ask.as_ref().filter(|_| of == Of::Exercise);
        let of_asked = self.wanted.words().into_iter().map(|it| (it, asked));
        let texts = ask.map(|it| (it, ledger)).into_iter().chain(of_asked);
        let found = texts.flat_map(|(words, ledger)| {
            let prose = Prose { of, ..words.prose().clone() };
            typed_quantity::check([&prose].into_iter(), &[ledger], false, amount_words)
        });
        found.collect()
    }

    /// Misspelt values, told although their recipe cannot be computed.
    pub(super) fn unknown_values(&self, names: &Names) -> Vec<Finding> {
        self.expressions().filter_map(|it| unknown_names(&it.value, &it.place, names)).collect()
    }

    /// Works the exercise out. All that is wrong with it is told together; then there is nothing to show.
    pub(super) fn work_out(
        &self,
        ledger: &Ledger,
        shelf: &Shelf<'_>,
        notes: &Notes,
    ) -> (Option<WorkedOut>, Vec<Finding>) {
        let mut findings = Vec::new();
        let of_page = Values::new(ledger, ledger.scales.units);
        let ask = self.ask.as_ref().and_then(|it| it.fill(&of_page, ledger, notes, &mut findings));
        let changed = self.change(ledger, shelf, &mut findings);
        // A misspelt name is told even if the recipe cannot be changed in this way.
        let asked = changed.as_ref().unwrap_or(ledger);
        let values = Values::new(asked, asked.scales.units);
        let outcome = match &self.wanted {
            Wanted::Number(number) => number.work_out(asked, ledger, &values, shelf, notes, &mut findings),
            Wanted::Choice(choices) => choices.fill(&values, asked, notes, &mut findings).map(Outcome::Choice),
        };
        let worked_out = match (ask, &changed, outcome) {
            (Some(ask), Some(asked), Some(outcome)) if findings.is_empty() => {
                Some(WorkedOut { ask, outcome, leaves_nothing: asked.leaves_nothing_on_paper })
            }
            _ => None,
        };
        if let Some(changed) = &changed {
            findings.extend(self.typed_quantities(ledger, changed));
        }
        (worked_out, findings)
    }

    /// The recipe with the changes of `with`, computed anew and weighed on the same scales; `None`, with findings, if that is
    /// no recipe to be taught.
    fn change(&self, ledger: &Ledger, shelf: &Shelf<'_>, findings: &mut Vec<Finding>) -> Option<Ledger> {
        let Some(typed) = &self.changes else { return Some(ledger.clone()) };
        let changes = typed.check(shelf.tables, findings)?;
        let place = typed.place();
        let recipe = match changes.applied(ledger.recipe.clone()) {
            Ok(recipe) => recipe,
            Err(finding) => {
                findings.push(Finding::changed_recipe_fails(typed.size_place().clone(), &finding));
                return None;
            }
        };
        let base = recipe.based_on.as_ref().and_then(|it| shelf.recipe(it)?.as_ref());
        let mut changed = Ledger::of(recipe, shelf.tables, ledger.scales, base.map(|it| &it.recipe));
        changed.is_changed = true;
        changed.leaves_nothing_on_paper = changes.superfat_percent == Some(0.0);
        let errors: Vec<Finding> = check(&changed, shelf.tables)
            .iter()
            .filter(|it| it.severity == Severity::Error)
            .map(|it| Finding::changed_recipe_fails(place.clone(), it))
            .collect();
        if !errors.is_empty() {
            findings.extend(errors);
            return None;
        }
        Some(changed)
    }
}

impl Wanted {
    /// Everything in it that is evaluated.
    fn expressions(&self) -> Vec<&Located<String>> {
        match self {
            Wanted::Number(number) => {
                number.answer.iter().chain(number.because.iter().flat_map(WordsWithValues::expressions)).collect()
            }
            Wanted::Choice(choices) => choices.expressions().collect(),
        }
    }

    /// Its texts that are about the batch that is asked about.
    fn words(&self) -> Vec<&WordsWithValues> {
        match self {
            Wanted::Number(number) => number.because.iter().collect(),
            Wanted::Choice(choices) => choices.words().collect(),
        }
    }
}

impl NumberWanted {
    fn read(reader: &mut Reader<'_>, body_was_read: bool) -> NumberWanted {
        let answer = reader.words("answer");
        if body_was_read {
            reader.require("answer", answer.as_ref(), "answer = \"lye\"");
        }
        let because = reader.words("because");
        let tolerance = reader.quantity("tolerance", Tolerance::FORMS, Tolerance::parse);
        let because = because.map(|it| WordsWithValues::read(it, &mut reader.findings));
        NumberWanted { answer, because, tolerance }
    }

    /// The number, and what is said of it; `None`, with findings, if there is none to meet.
    fn work_out(
        &self,
        asked: &Ledger,
        of_page: &Ledger,
        values: &Values<'_>,
        shelf: &Shelf<'_>,
        notes: &Notes,
        findings: &mut Vec<Finding>,
    ) -> Option<Outcome> {
        let because = self.because.as_ref().map(|it| it.fill(values, asked, notes, findings));
        let expression = self.answer.as_ref()?;
        let answer = keep(values.evaluate(&expression.value, &expression.place), findings)?;
        let question = Asked { expression, ledger: asked, of_page, tables: shelf.tables };
        let targets = self.targets(&question, &answer.text, findings)?;
        let answer = notes.mark(asked, answer.key, &expression.value, &answer.text);
        Some(Outcome::Number { answer, because: because.flatten(), targets })
    }

    /// The number to meet, in each unit of the course in which the answer gives another one.
    fn targets(&self, asked: &Asked<'_>, answer: &str, findings: &mut Vec<Finding>) -> Option<Vec<Target>> {
        let mut targets: Vec<(Number, Within)> = Vec::new();
        for unit in asked.ledger.scales.units.scales() {
            let Some(number) = Number::of(asked.expression, asked.ledger, *unit) else {
                findings.push(Finding::answer_not_a_number(asked.expression.place.clone(), answer));
                return None;
            };
            let within = self.within(answer, &number, asked.ledger, findings)?;
            if !targets.iter().any(|(it, _)| it.unit == number.unit) {
                targets.push((number, within));
            }
        }
        // What is wrong with the tolerance was told above.
        let in_others = asked.in_all_units().filter_map(|it| {
            let within = self.within(answer, &it, asked.ledger, &mut Vec::new())?;
            Some((it, within.in_unit()))
        });
        let in_others: Vec<(Number, f64)> = in_others.collect();
        let target = |(number, within): (Number, Within)| {
            let spans = asked.spans(&number, within.in_unit(), &in_others);
            Target { text: number.text, unit: number.unit, side: number.side, within, spans }
        };
        Some(targets.into_iter().map(target).collect())
    }

    /// The tolerance in the unit of the answer, and never less than the smallest step that is printed. A mass is rounded up
    /// to the scale, so that nobody who is right in grams is wrong in ounces.
    fn within(&self, answer: &str, number: &Number, ledger: &Ledger, findings: &mut Vec<Finding>) -> Option<Within> {
        let value = number.value;
        let Some(scale) = number.scale(ledger) else {
            let fraction = match &self.tolerance {
                None => USUAL_TOLERANCE,
                Some(Located { value: Tolerance::OfAnswer(fraction), place }) => {
                    self.refuse_too_wide(*fraction >= 1.0, place, answer, findings)?;
                    *fraction
                }
                Some(Located { value: Tolerance::Mass(_), place }) => {
                    findings.push(Finding::tolerance_of_another_kind(place.clone(), answer));
                    return None;
                }
            };
            // Percentages are printed with one decimal at most, ratios with two.
            let step = if number.unit == "%" { 0.1 } else { 0.01 };
            return Some(Within::Plain(((value.abs() * fraction * 100.0 - 1e-6).ceil() / 100.0).max(step)));
        };
        let exact = scale.unit.grams() * value;
        let tolerance = match &self.tolerance {
            None => Mass::ZERO,
            Some(typed) => {
                let mass = match typed.value {
                    Tolerance::Mass(mass) => mass,
                    Tolerance::OfAnswer(fraction) => Mass::grams(exact * fraction.min(1.0)),
                };
                self.refuse_too_wide(mass.to_grams() >= exact, &typed.place, answer, findings)?;
                mass
            }
        };
        Some(Within::Divisions(scale, scale.above(tolerance).max(scale.one_division())))
    }

    fn refuse_too_wide(
        &self,
        is_too_wide: bool,
        place: &Place,
        answer: &str,
        findings: &mut Vec<Finding>,
    ) -> Option<()> {
        if is_too_wide {
            findings.push(Finding::tolerance_too_wide(place.clone(), answer));
            return None;
        }
        Some(())
    }
}

/// The value, or `None` and the finding kept with the others.
pub(super) fn keep<T>(tried: Result<T, Box<Finding>>, findings: &mut Vec<Finding>) -> Option<T> {
    tried.map_err(|finding| findings.push(*finding)).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tolerance_is_a_mass_or_a_part_of_the_answer() {
        assert_eq!(Tolerance::parse("2 g"), Ok(Tolerance::Mass(Mass::grams(2.0))));
        assert_eq!(Tolerance::parse(" 1 % "), Ok(Tolerance::OfAnswer(0.01)));
        assert_eq!(Tolerance::parse("%"), Err(QuantityError::NoNumber));
        assert_eq!(Tolerance::parse("-1 %"), Err(QuantityError::OutOfRange));
        assert_eq!(Tolerance::parse("inf %"), Err(QuantityError::NoNumber));
        assert_eq!(Tolerance::parse("1/2 %"), Ok(Tolerance::OfAnswer(0.005)));
        assert_eq!(Tolerance::parse("2"), Err(QuantityError::NoUnit));
        assert_eq!(Tolerance::parse("1 tsp"), Err(QuantityError::UnknownUnit("tsp".into())));
    }
}
