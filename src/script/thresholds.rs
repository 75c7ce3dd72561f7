//! The numbers and weights that a script compares with: its behaviour may change there, so checks try values around
//! them.

use rhai::Token;
use rust_decimal::Decimal;

use super::compiled::Script;
use super::host::Host;
use super::unit_words::unit_of;
use crate::quantity::Mass;

/// What a script compares with, as far as its text shows: constants directly before or after a comparison operator.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Thresholds {
    /// Plain numbers, ascending.
    pub numbers: Vec<Decimal>,
    /// Weights, ascending.
    pub weights: Vec<Mass>,
}

/// The most of each kind that are kept: each costs further runs at every question.
const MOST: usize = 4;

impl Host {
    /// The thresholds in a script's text. Those in an imported library are not seen.
    pub fn thresholds(&self, script: &Script) -> Thresholds {
        let tokens = self.tokens(script.source());
        let mut found = Thresholds::default();
        for (at, token) in tokens.iter().enumerate() {
            if is_comparison(token) {
                found.take(after(&tokens[at + 1..]));
                found.take(before(&tokens[..at]));
            }
        }
        found.numbers.sort();
        found.weights.sort();
        found.numbers.dedup();
        found.weights.dedup();
        found.numbers.truncate(MOST);
        found.weights.truncate(MOST);
        found
    }
}

enum Constant {
    Number(Decimal),
    Weight(Mass),
}

impl Thresholds {
    fn take(&mut self, constant: Option<Constant>) {
        match constant {
            Some(Constant::Number(number)) => self.numbers.push(number),
            Some(Constant::Weight(mass)) => self.weights.push(mass),
            None => {}
        }
    }
}

fn is_comparison(token: &Token) -> bool {
    use Token as T;
    matches!(
        token,
        T::LessThan | T::GreaterThan | T::LessThanEqualsTo | T::GreaterThanEqualsTo | T::EqualsTo | T::NotEqualsTo
    )
}

fn number(token: &Token) -> Option<Decimal> {
    match token {
        Token::IntegerConstant(whole) => Some(Decimal::from(*whole)),
        Token::DecimalConstant(decimal) => Some(decimal.0),
        _ => None,
    }
}

/// `5`, `-5`, `2.5.kg` directly after a comparison operator.
fn after(tokens: &[Token]) -> Option<Constant> {
    match tokens {
        [Token::Minus | Token::UnaryMinus, rest @ ..] => number(rest.first()?).map(|value| Constant::Number(-value)),
        [value, Token::Period, Token::Identifier(unit), ..] => weight(value, unit),
        [value, ..] => number(value).map(Constant::Number),
        [] => None,
    }
}

/// `5`, `2.5.kg` directly before a comparison operator.
fn before(tokens: &[Token]) -> Option<Constant> {
    match tokens {
        [.., value, Token::Period, Token::Identifier(unit)] => weight(value, unit),
        [.., value] => number(value).map(Constant::Number),
        [] => None,
    }
}

fn weight(value: &Token, unit: &str) -> Option<Constant> {
    Mass::of(number(value)?, unit_of(unit)?).ok().map(Constant::Weight)
}

#[cfg(test)]
mod tests {
    use std::rc::Rc;

    use super::*;
    use crate::script::{Catalogue, Library};

    #[test]
    fn constants_beside_comparisons_are_found_and_no_others() {
        let host = Host::new(Rc::new(Catalogue::new("", "")), Library::default());
        let text = "let a = 7; let m = 3.kg; if a > 34 || a < -2.5 || 3 == a { } if m >= 2.5.kg { a = 99; }";
        let found = host.thresholds(&host.open("x.rhai", text).unwrap());
        let numbers: Vec<String> = found.numbers.iter().map(ToString::to_string).collect();
        assert_eq!(numbers, ["-2.5", "3", "34"]);
        assert_eq!(found.weights, [Mass::from_grams(2500.into()).unwrap()]);
    }
}
