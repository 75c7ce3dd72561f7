//! The parser: from tokens to the terms of a sum.

use std::ops::Range;

use rust_decimal::Decimal;

use super::super::mass::Mass;
use super::super::mass_unit::{MassUnit, UnitError};
use super::super::notation::{Notation, NumberError, read_count};
use super::super::quoted::quoted;
use super::super::token::{Token, TokenKind};
use super::compound::{WeightPart, check_compound};
use super::fault::{WeighingError, WeighingFault, fault};
use super::fraction::TypedFraction;
use super::slip::one_slip_away;

/// One term of the sum.
pub(super) struct Term {
    pub taken_off: bool,
    pub count: Option<u32>,
    pub thing: Thing,
    pub at: Range<usize>,
}

/// The weight of a term.
pub(super) enum Thing {
    /// A typed weight: one part, or several in descending units.
    Weight(Vec<WeightPart>),
    /// A named container.
    Container(Mass),
}

/// Reads the tokens of one answer from left to right.
pub(super) struct Parser<'a> {
    text: &'a str,
    tokens: &'a [Token],
    rules: &'a WeighingRules<'a>,
    next: usize,
}

type Parsed<T> = Result<T, WeighingError>;

impl<'a> Parser<'a> {
    pub fn new(text: &'a str, tokens: &'a [Token], rules: &'a WeighingRules<'a>) -> Self {
        Parser { text, tokens, rules, next: 0 }
    }

    /// The whole answer.
    pub fn terms(mut self) -> Parsed<Vec<Term>> {
        if self.kind(0) == Some(TokenKind::Minus) {
            return Err(fault(self.at(), WeighingFault::LeadingMinus));
        }
        let mut terms = vec![self.term(false)?];
        while let Some(kind) = self.kind(0) {
            let taken_off = match kind {
                TokenKind::Plus => false,
                TokenKind::Minus => true,
                _ => return Err(self.unexpected("+ or -")),
            };
            if terms.len() == MAX_TERMS {
                return Err(fault(self.at(), WeighingFault::TooManyTerms { limit: MAX_TERMS }));
            }
            self.refuse_hyphenated_fraction()?;
            self.next += 1;
            terms.push(self.term(taken_off)?);
        }
        Ok(terms)
    }

    fn term(&mut self, taken_off: bool) -> Parsed<Term> {
        let first = self.next;
        let mut count = None;
        if self.kind(0) == Some(TokenKind::Number) && self.kind(1) == Some(TokenKind::Times) {
            count = Some(self.count()?);
            self.next += 1;
        }
        let thing = self.thing(taken_off)?;
        if count.is_none() && self.kind(0) == Some(TokenKind::Times) {
            self.refuse_fraction_as_count(first, &thing)?;
            self.next += 1;
            count = Some(self.count()?);
            if self.kind(0) == Some(TokenKind::Word) {
                return Err(fault(self.span(first, self.next + 1), WeighingFault::WeightTimesWeight));
            }
        }
        Ok(Term { taken_off, count, thing, at: self.span(first, self.next) })
    }

    /// A weight; or a container, if the text is not a complete weight.
    fn thing(&mut self, taken_off: bool) -> Parsed<Thing> {
        let first = self.next;
        let weight = self.weight().and_then(|parts| match self.kind(0) {
            None | Some(TokenKind::Plus | TokenKind::Minus | TokenKind::Times) => Ok(parts),
            _ => Err(self.unexpected("+ or -")),
        });
        let error = match weight {
            Ok(parts) => return Ok(Thing::Weight(parts)),
            Err(error) => error,
        };
        self.next = first;
        match self.container() {
            Some(mass) if taken_off => Ok(Thing::Container(mass)),
            Some(_) => {
                let at = self.span(first, self.next);
                Err(fault(at.clone(), WeighingFault::ContainerAdded { name: quoted(&self.text[at]) }))
            }
            None if taken_off && self.kind(0) == Some(TokenKind::Word) => Err(self.unknown_container()),
            None => Err(error),
        }
    }

    /// The container whose name starts here: the longest known name up to the end or a sign.
    fn container(&mut self) -> Option<Mass> {
        let first = self.next;
        let ends = (first + 1..=self.tokens.len()).rev().filter(|end| self.ends_name(*end));
        let (mass, end) =
            ends.filter_map(|end| Some(((self.rules.tare)(&self.text[self.span(first, end)])?, end))).next()?;
        self.next = end;
        Some(mass)
    }

    fn ends_name(&self, end: usize) -> bool {
        self.tokens.get(end).is_none_or(|token| matches!(token.kind, TokenKind::Plus | TokenKind::Minus))
    }

    fn unknown_container(&self) -> WeighingError {
        let mut end = self.next + 1;
        while !self.ends_name(end) {
            end += 1;
        }
        let at = self.span(self.next, end);
        let typed = &self.text[at.clone()];
        let nearest = one_slip_away(typed, |name| (self.rules.tare)(name).is_some());
        fault(at, WeighingFault::UnknownContainer { name: quoted(typed), nearest })
    }

    fn weight(&mut self) -> Parsed<Vec<WeightPart>> {
        let mut parts: Vec<WeightPart> = Vec::new();
        loop {
            let part = self.part()?;
            if let Some(major) = parts.last() {
                check_compound(self.text, self.rules.notation, major, &part)?;
            }
            parts.push(part);
            if !matches!(self.kind(0), Some(TokenKind::Number | TokenKind::Exponent | TokenKind::Vulgar(..))) {
                return Ok(parts);
            }
        }
    }

    fn part(&mut self) -> Parsed<WeightPart> {
        let first = self.next;
        let (number, step) = self.number()?;
        let unit = self.unit()?;
        Ok(WeightPart { number, step, unit, at: self.span(first, self.next) })
    }

    /// A number and one unit in its last typed digit.
    fn number(&mut self) -> Parsed<(Decimal, Decimal)> {
        let at = self.at();
        match self.kind(0) {
            Some(TokenKind::Number) if self.kind(1) != Some(TokenKind::Slash) => self.plain_or_mixed(),
            Some(TokenKind::Number | TokenKind::Vulgar(..)) => {
                let fraction = self.fraction()?;
                fraction
                    .exact(Decimal::ZERO, &self.text[at.start..fraction.end], self.rules.notation)
                    .map_err(|f| fault(at.start..fraction.end, f))
            }
            Some(TokenKind::Exponent) => {
                Err(fault(at.clone(), WeighingFault::Exponent { seen: quoted(&self.text[at]) }))
            }
            Some(TokenKind::Word) => Err(fault(at.clone(), NumberError::NotANumber(quoted(&self.text[at])).into())),
            _ => Err(self.unexpected("a weight")),
        }
    }

    /// `3.6`, or a whole number with a fraction after it: `8 1/2`, `8½`.
    fn plain_or_mixed(&mut self) -> Parsed<(Decimal, Decimal)> {
        let at = self.at();
        let typed = &self.text[at.clone()];
        let value = self.rules.notation.read_typed(typed).map_err(|e| fault(at.clone(), e.into()))?;
        self.next += 1;
        let mixed = match self.kind(0) {
            Some(TokenKind::Vulgar(..)) => true,
            Some(TokenKind::Number) => self.kind(1) == Some(TokenKind::Slash),
            _ => false,
        };
        if !mixed {
            return Ok((value, Decimal::new(1, value.scale())));
        }
        let fraction = self.fraction()?;
        let whole = at.start..fraction.end;
        if value.scale() > 0 {
            return Err(fault(whole.clone(), WeighingFault::BadFraction { seen: quoted(&self.text[whole]) }));
        }
        fraction.exact(value, &self.text[whole.clone()], self.rules.notation).map_err(|f| fault(whole, f))
    }

    /// `1/2` or `½`.
    fn fraction(&mut self) -> Parsed<TypedFraction> {
        let first = self.next;
        if let Some(TokenKind::Vulgar(numerator, denominator)) = self.kind(0) {
            self.next += 1;
            return Ok(TypedFraction {
                numerator: numerator.into(),
                denominator: denominator.into(),
                end: self.tokens[first].at.end,
            });
        }
        self.next += 2;
        if self.kind(0) != Some(TokenKind::Number) {
            return Err(self.unexpected("the lower number of a fraction"));
        }
        self.next += 1;
        let at = self.span(first, self.next);
        let digits = |index: usize| self.text[self.tokens[index].at.clone()].parse::<u16>().ok();
        match (digits(first), digits(first + 2)) {
            (Some(numerator), Some(denominator)) if numerator < denominator => {
                Ok(TypedFraction { numerator, denominator, end: at.end })
            }
            _ => Err(fault(at.clone(), WeighingFault::BadFraction { seen: quoted(&self.text[at]) })),
        }
    }

    /// The unit at this point, of one word or two; `None` if there is no word here.
    fn unit(&mut self) -> Parsed<Option<MassUnit>> {
        if self.kind(0) != Some(TokenKind::Word) {
            return Ok(None);
        }
        let one = self.unit_of(1);
        let two = (self.kind(1) == Some(TokenKind::Word)).then(|| self.unit_of(2));
        let (words, unit) = match (one, two) {
            (_, Some(Ok(unit))) => (2, Ok(unit)),
            (Err(_), Some(Err(error @ UnitError::Unknown { nearest: Some(_), .. }))) => (2, Err(error)),
            (one, _) => (1, one),
        };
        let at = self.span(self.next, self.next + words);
        self.next += words;
        unit.map(Some).map_err(|e| fault(at, e.into()))
    }

    fn unit_of(&self, words: usize) -> Result<MassUnit, UnitError> {
        self.text[self.span(self.next, self.next + words)].replace('.', "").parse()
    }

    fn count(&mut self) -> Parsed<u32> {
        if self.kind(0) != Some(TokenKind::Number) {
            return Err(self.unexpected("a count"));
        }
        let at = self.at();
        self.next += 1;
        read_count(&self.text[at.clone()]).map_err(|e| fault(at, e.into()))
    }

    /// Rejects `1/2 x …`: what precedes the sign has no unit, so it was meant as a count.
    fn refuse_fraction_as_count(&self, first: usize, thing: &Thing) -> Parsed<()> {
        let Thing::Weight(parts) = thing else { return Ok(()) };
        if parts.iter().any(|part| part.unit.is_some()) {
            return Ok(());
        }
        let at = self.span(first, self.next);
        read_count(&self.text[at.clone()]).map(drop).map_err(|e| fault(at, e.into()))
    }

    /// Rejects `8-1/2`, written without spaces: eight and a half, or eight less a half?
    fn refuse_hyphenated_fraction(&self) -> Parsed<()> {
        let Some([before, minus, after, ..]) = self.next.checked_sub(1).and_then(|from| self.tokens.get(from..)) else {
            return Ok(());
        };
        let lower_number = self.next > 1 && self.tokens[self.next - 2].kind == TokenKind::Slash;
        let whole =
            before.kind == TokenKind::Number && !lower_number && !self.text[before.at.clone()].contains(['.', ',']);
        let fraction = matches!(after.kind, TokenKind::Vulgar(..))
            || (after.kind == TokenKind::Number
                && self.kind(2) == Some(TokenKind::Slash)
                && self.kind(3) == Some(TokenKind::Number));
        if !whole || !fraction || before.at.end != minus.at.start || minus.at.end != after.at.start {
            return Ok(());
        }
        let end = self.tokens[self.next + if after.kind == TokenKind::Number { 3 } else { 1 }].at.end;
        let (at, left, right) = (before.at.start..end, &self.text[before.at.clone()], &self.text[after.at.start..end]);
        Err(fault(
            at.clone(),
            WeighingFault::FractionOrDifference {
                seen: quoted(&self.text[at]),
                mixed: quoted(&format!("{left} {right}")),
                difference: quoted(&format!("{left} - {right}")),
            },
        ))
    }

    fn kind(&self, ahead: usize) -> Option<TokenKind> {
        self.tokens.get(self.next + ahead).map(|token| token.kind)
    }

    /// The position of the next token; the end of the text after the last.
    fn at(&self) -> Range<usize> {
        self.tokens.get(self.next).map_or(self.text.len()..self.text.len(), |token| token.at.clone())
    }

    /// From the first of some tokens to the end of the last; `end` is after `first`.
    fn span(&self, first: usize, end: usize) -> Range<usize> {
        self.tokens[first].at.start..self.tokens[end - 1].at.end
    }

    /// The error if `wanted` is missing.
    fn unexpected(&self, wanted: &'static str) -> WeighingError {
        let at = self.at();
        let seen = quoted(&self.text[at.clone()]);
        if seen.is_empty() {
            let after = self.tokens.last().map_or("", |token| &self.text[token.at.clone()]);
            return fault(at, WeighingFault::Unfinished { after: quoted(after), wanted });
        }
        fault(at, WeighingFault::Unexpected { seen, wanted })
    }
}

/// The most terms in one answer.
const MAX_TERMS: usize = 64;

/// What a weight answer is read against.
#[derive(Clone, Copy)]
pub struct WeighingRules<'a> {
    /// How numbers are written.
    pub notation: Notation,
    /// The unit of an answer that names none.
    pub unit: MassUnit,
    /// The weight of a named container, if there is one of that name. The name is given as typed, trimmed;
    /// the weight is never negative.
    pub tare: &'a dyn Fn(&str) -> Option<Mass>,
}
