//! What stands between the braces of a sentence, read: names, numbers with or without a unit, and what is done with them.
//!
//! Layer 6. Computes nothing; the arithmetic is in `quantity.rs`. There are no loops, no functions and no texts to put
//! together, so that an expression costs no more than its length.

use crate::ledger::{Amount, name_at_start};
use crate::reader::composed;
use crate::units::{Dimension, Length, Mass, QuantityError, TimeSpan, Typed, Volume, number, typed_at_start};

/// More than anybody needs for a sum in a sentence, and little enough to read brackets within brackets by recursion.
const LONGEST: usize = 200;

/// An expression.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Expression {
    /// The name of a figure or of another value, as typed and in parts.
    Name(String, Vec<String>),
    /// A number, with its unit if it has one.
    Typed(String, Amount),
    /// Two of them and what is done with them.
    Of(Box<Expression>, Operator, Box<Expression>),
}

/// What is done with two quantities.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Operator {
    Plus,
    Minus,
    Times,
    Over,
}

impl Operator {
    fn read(sign: char) -> Option<Operator> {
        match sign {
            '+' => Some(Operator::Plus),
            '-' | '\u{2212}' => Some(Operator::Minus),
            '*' | '\u{d7}' => Some(Operator::Times),
            '/' | '\u{f7}' => Some(Operator::Over),
            _ => None,
        }
    }

    fn binds_strongly(self) -> bool {
        matches!(self, Operator::Times | Operator::Over)
    }
}

impl Expression {
    /// Reads an expression.
    ///
    /// # Errors
    ///
    /// Words about what is wrong with it, for its author.
    pub(super) fn read(text: &str) -> Result<Expression, String> {
        if text.trim().is_empty() {
            return Err("nothing stands between the braces".to_owned());
        }
        if text.len() > LONGEST {
            return Err(format!("it is longer than {LONGEST} characters"));
        }
        let text = &*composed(text);
        // A name may begin with a digit, and have hyphens in it.
        if let Some(parts) = crate::ledger::parts_of(text) {
            return Ok(Expression::Name(text.to_owned(), parts));
        }
        let mut reader = Reader { text, at: 0 };
        let expression = reader.sum()?;
        match reader.rest().chars().next() {
            None => Ok(expression),
            Some(')') => Err("a closing bracket has no opening one".to_owned()),
            Some(_) => Err(format!("before `{}` there is no +, -, * or /", reader.rest())),
        }
    }

    /// The names in it.
    pub(super) fn names(&self) -> Vec<(&str, &[String])> {
        match self {
            Expression::Name(typed, parts) => vec![(typed, parts)],
            Expression::Typed(..) => Vec::new(),
            Expression::Of(left, _, right) => [left.names(), right.names()].concat(),
        }
    }
}

struct Reader<'a> {
    text: &'a str,
    at: usize,
}

impl<'a> Reader<'a> {
    /// What is left, from the next thing that is no space.
    fn rest(&mut self) -> &'a str {
        let rest = &self.text[self.at..];
        let trimmed = rest.trim_start();
        self.at += rest.len() - trimmed.len();
        trimmed
    }

    fn operator(&mut self, is_meant: fn(Operator) -> bool) -> Option<Operator> {
        let sign = self.rest().chars().next()?;
        let operator = Operator::read(sign).filter(|it| is_meant(*it))?;
        self.at += sign.len_utf8();
        Some(operator)
    }

    fn sum(&mut self) -> Result<Expression, String> {
        let mut left = self.product()?;
        while let Some(operator) = self.operator(|it| !it.binds_strongly()) {
            left = Expression::Of(Box::new(left), operator, Box::new(self.product()?));
        }
        Ok(left)
    }

    fn product(&mut self) -> Result<Expression, String> {
        let mut left = self.one()?;
        while let Some(operator) = self.operator(Operator::binds_strongly) {
            left = Expression::Of(Box::new(left), operator, Box::new(self.one()?));
        }
        Ok(left)
    }

    fn one(&mut self) -> Result<Expression, String> {
        let rest = self.rest();
        match rest.chars().next() {
            None => Err("something is missing at its end".to_owned()),
            Some('(') => {
                self.at += 1;
                let inside = self.sum()?;
                if !self.rest().starts_with(')') {
                    return Err("a bracket is not closed".to_owned());
                }
                self.at += 1;
                Ok(inside)
            }
            Some('"' | '\'') => Err("a text in quotes can only be used alone".to_owned()),
            Some(it) if it.is_ascii_digit() || it == '.' => self.number(rest),
            Some(it) if Operator::read(it).is_some() => Err(format!("something is missing before `{it}`")),
            Some(_) => {
                let Some((parts, length)) = name_at_start(rest) else {
                    let odd: String = rest.chars().take(1).collect();
                    return Err(format!("`{odd}` has no meaning here"));
                };
                self.at += length;
                Ok(Expression::Name(rest[..length].to_owned(), parts))
            }
        }
    }

    /// A number, and its unit if a word or a sign of percent follows.
    fn number(&mut self, rest: &str) -> Result<Expression, String> {
        if let Ok(typed) = typed_at_start(rest)
            && let Some(amount) = amount_of(&typed)
        {
            self.at += typed.length;
            return Ok(Expression::Typed(rest[..typed.length].to_owned(), amount));
        }
        let end = rest.find(|it: char| !(it.is_ascii_digit() || it == '.')).unwrap_or(rest.len());
        let (typed, after) = rest.split_at(end);
        if after.starts_with(',') {
            let end = rest.find(|it: char| !(it.is_ascii_digit() || matches!(it, '.' | ','))).unwrap_or(rest.len());
            return Err(match number(&rest[..end]) {
                Err(it @ QuantityError::Comma(..)) => it.to_string(),
                _ => format!("there is a comma after `{typed}`; decimals come after a point, as in 1.5"),
            });
        }
        let value: f64 = typed.parse().map_err(|_| format!("`{typed}` is not a number"))?;
        self.at += end;
        let after = self.rest();
        let unit = &after[..after.find(|it: char| !it.is_alphabetic()).unwrap_or(after.len())];
        if !unit.is_empty() {
            return Err(format!("`{unit}` after `{typed}` is not a unit that is known"));
        }
        Ok(Expression::Typed(typed.to_owned(), Amount::Ratio(value)))
    }
}

/// A typed quantity as figures have them; `None` where a sentence computes with none of its kind.
fn amount_of(typed: &Typed) -> Option<Amount> {
    let value = Some(typed.value).filter(|it| it.is_finite())?;
    match typed.dimension {
        Dimension::Mass => Some(Amount::Mass(Mass::grams(value))),
        Dimension::Length => Some(Amount::Length(Length::millimetres(value))),
        Dimension::Volume => Some(Amount::Volume(Volume::millilitres(value))),
        Dimension::Time => Some(TimeSpan::minutes(value)).map(|it| Amount::Time(it, it)),
        Dimension::Percent => Some(Amount::Share(value)),
        Dimension::Temperature | Dimension::Bars => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn drawn(it: &Expression) -> String {
        match it {
            Expression::Name(name, _) | Expression::Typed(name, _) => name.clone(),
            Expression::Of(left, operator, right) => {
                let sign = ['+', '-', '*', '/'].into_iter().find(|it| Operator::read(*it) == Some(*operator));
                format!("({} {} {})", drawn(left), sign.expect("a sign"), drawn(right))
            }
        }
    }

    #[test]
    fn expressions_are_read_as_at_school() {
        for (text, read) in [
            ("lye", "lye"),
            ("fats.palm-kernel", "fats.palm-kernel"),
            ("2-lye.water", "2-lye.water"),
            ("lye / 2", "(lye / 2)"),
            ("lye/2", "(lye / 2)"),
            ("a + b * c - d", "((a + (b * c)) - d)"),
            ("(a + b) * 1.5", "((a + b) * 1.5)"),
            ("a - b - c", "((a - b) - c)"),
            ("a \u{d7} b \u{f7} c \u{2212} d", "(((a * b) / c) - d)"),
            ("water - 50 g", "(water - 50 g)"),
            ("water -50g", "(water - 50g)"),
            ("water - 1/2 lb", "(water - 1/2 lb)"),
            ("water - 2 lb 3 oz", "(water - 2 lb 3 oz)"),
            ("water - 2 lb - 3 oz", "((water - 2 lb) - 3 oz)"),
            ("lye / 1 1/2 tsp * 2", "((lye / 1 1/2 tsp) * 2)"),
            ("lye * 1/2", "((lye * 1) / 2)"),
            ("total.fats * 5 %", "(total.fats * 5 %)"),
            ("layers[\"a b\"].fats / 3", "(layers[\"a b\"].fats / 3)"),
        ] {
            assert_eq!(Expression::read(text).as_ref().map(drawn).as_deref(), Ok(read), "{text}");
        }
    }

    #[test]
    fn what_is_no_expression_is_refused_in_words() {
        for (text, words) in [
            ("", "nothing stands between"),
            ("lye |", "before `|`"),
            ("lye | upper", "before `| upper`"),
            ("lye water", "before `water`"),
            ("lye -", "missing at its end"),
            ("* 2", "missing before `*`"),
            ("(lye", "not closed"),
            ("lye)", "no opening one"),
            ("lye * 1,5", "decimals come after a point: write 1.5"),
            ("water - 1,5 kg", "write 1.5"),
            ("lye * 1.5.2", "`1.5.2` is no number"),
            ("lye + \"5 g\"", "only stand alone"),
            ("2 lye", "`lye` after `2` is no unit"),
            ("@", "`@` has no meaning"),
            (&"(".repeat(300), "longer than 200"),
        ] {
            let refused = Expression::read(text).expect_err(text);
            assert!(refused.contains(words), "{text}: {refused}");
        }
    }
}
