//! Lines of text, parsed by a pattern that the user gives.
//!
//! A pattern is a line with fields in it: `{weight}` a number with its sign, `{unit}` its unit, `{state}` a word or
//! mark for whether the scale is stable, `{skip}` anything. A blank matches any blanks or none; everything else matches
//! itself. `{state},{skip},{weight} {unit}` reads `ST,GS,+  3.600 kg`.

use rust_decimal::Decimal;

use super::{ScaleAmount, Sight, State};
use crate::quantity::MassUnit;

/// One piece of a pattern.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Piece {
    Weight,
    Unit,
    State,
    Skip,
    Blanks,
    Mark(char),
}

/// The pattern of a line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Pattern(Vec<Piece>);

/// The words a scale uses for its state.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct Words {
    pub stable: Vec<String>,
    pub moving: Vec<String>,
    pub over: Vec<String>,
    pub under: Vec<String>,
}

impl Words {
    /// The state behind a word; [`State::Unsaid`] for an unknown one.
    fn state(&self, word: &str) -> State {
        let is_in = |words: &[String]| words.iter().any(|known| known == word);
        let states = [
            (&self.over, State::Over),
            (&self.under, State::Under),
            (&self.moving, State::Moving),
            (&self.stable, State::Stable),
        ];
        states.iter().find(|(words, _)| is_in(words)).map_or(State::Unsaid, |(_, state)| *state)
    }

    /// Over or under, if the line contains such a word at all: then it need not contain a weight.
    fn beyond(&self, line: &str) -> Option<State> {
        let words = line.split(|c: char| c.is_whitespace() || c == ',' || c == ';').filter(|word| !word.is_empty());
        words.map(|word| self.state(word)).find(|state| matches!(state, State::Over | State::Under))
    }
}

impl Pattern {
    /// Parses a pattern.
    pub fn read(text: &str) -> Result<Pattern, String> {
        let mut pieces = Vec::new();
        let mut rest = text;
        while let Some(first) = rest.chars().next() {
            if first == '{' {
                let (field, after) = rest[1..].split_once('}').ok_or(format!("{rest:?} has no closing brace"))?;
                pieces.push(match field {
                    "weight" => Piece::Weight,
                    "unit" => Piece::Unit,
                    "state" => Piece::State,
                    "skip" => Piece::Skip,
                    _ => {
                        return Err(format!(
                            "{{{field}}} is no field; there are {{weight}}, {{unit}}, {{state}}, {{skip}}"
                        ));
                    }
                });
                rest = after;
            } else {
                let piece = if first == ' ' { Piece::Blanks } else { Piece::Mark(first) };
                if piece != Piece::Blanks || pieces.last() != Some(&Piece::Blanks) {
                    pieces.push(piece);
                }
                rest = &rest[first.len_utf8()..];
            }
        }
        let count = |piece: Piece| pieces.iter().filter(|known| **known == piece).count();
        if count(Piece::Weight) != 1 || count(Piece::Unit) > 1 || count(Piece::State) > 1 {
            return Err(format!("{text:?} must hold {{weight}} once, and {{unit}} and {{state}} at most once"));
        }
        Ok(Pattern(pieces))
    }

    /// The meaning of a line; `None` if it does not match, such as the rest of a line joined midway.
    pub fn sight(&self, line: &str, words: &Words, usual: Option<MassUnit>) -> Option<Sight> {
        if let Some(state) = words.beyond(line) {
            return Some(Sight::bare(state));
        }
        let (mut value, mut unit, mut state) = (None, usual, State::Unsaid);
        let mut rest = line.trim_end();
        for (place, piece) in self.0.iter().enumerate() {
            match piece {
                Piece::Blanks => rest = rest.trim_start(),
                Piece::Mark(mark) => rest = rest.strip_prefix(*mark)?,
                Piece::Weight => {
                    let (number, after) = number(rest)?;
                    (value, rest) = (Some(number), after);
                }
                Piece::Unit => {
                    let end = rest.find(|c: char| !c.is_alphabetic()).unwrap_or(rest.len());
                    unit = Some(rest[..end].parse().ok()?);
                    rest = &rest[end..];
                }
                Piece::State | Piece::Skip => {
                    let end = self.end(place, rest);
                    if *piece == Piece::State {
                        state = words.state(rest[..end].trim());
                    }
                    rest = &rest[end..];
                }
            }
        }
        let whole = rest.trim().is_empty();
        let amount = ScaleAmount { value: value.filter(|_| whole)?, unit: unit? };
        Some(Sight { state, amount: Some(amount) })
    }

    /// Where a free field ends: before the pattern's next piece.
    fn end(&self, place: usize, rest: &str) -> usize {
        let found = match self.0.get(place + 1) {
            Some(Piece::Mark(mark)) => rest.find(*mark),
            Some(Piece::Blanks) => rest.find(' '),
            Some(Piece::Weight) => rest.find(|c: char| c.is_ascii_digit() || matches!(c, '+' | '-')),
            _ => None,
        };
        found.unwrap_or(rest.len())
    }
}

/// A number at the start of a text, with blanks allowed around its sign; a point or a comma marks its decimals.
fn number(text: &str) -> Option<(Decimal, &str)> {
    let text = text.trim_start();
    let (negative, digits) = match text.as_bytes().first()? {
        b'-' => (true, text[1..].trim_start()),
        b'+' => (false, text[1..].trim_start()),
        _ => (false, text),
    };
    let end = digits.find(|c: char| !c.is_ascii_digit() && c != '.' && c != ',').unwrap_or(digits.len());
    let written = digits[..end].replace(',', ".");
    let value: Decimal = written.parse().ok()?;
    Some((if negative { -value } else { value }, &digits[end..]))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words() -> Words {
        let list = |text: &str| text.split_whitespace().map(str::to_owned).collect();
        Words { stable: list("ST"), moving: list("US ?"), over: list("OL"), under: list("UL") }
    }

    fn read(pattern: &str, line: &str) -> Option<(State, Option<String>)> {
        let sight = Pattern::read(pattern).unwrap().sight(line, &words(), Some(MassUnit::Gram))?;
        Some((sight.state, sight.amount.map(|amount| format!("{} {}", amount.value, amount.unit))))
    }

    #[test]
    fn lines_as_scales_write_them() {
        let flagged = "{state},{skip},{weight} {unit}";
        let shown = |text: &str| Some(text.to_owned());
        assert_eq!(read(flagged, "ST,GS,+  3.600 kg\r\n"), Some((State::Stable, shown("3.600 kg"))));
        assert_eq!(read(flagged, "US,NT,- 0,25lb"), Some((State::Moving, shown("-0.25 lb"))));
        assert_eq!(read(flagged, "OL,GS,+9999.99 kg"), Some((State::Over, None)));
        assert_eq!(read("{weight} {unit}", "   12.5 g "), Some((State::Unsaid, shown("12.5 g"))));
        assert_eq!(read("{weight}", "  412"), Some((State::Unsaid, shown("412 g"))));
        assert_eq!(read("S {state} {weight} {unit}", "S ?      8.5 g"), Some((State::Moving, shown("8.5 g"))));
        assert_eq!(read("W{weight}{unit}", "W+00012.50kg"), Some((State::Unsaid, shown("12.50 kg"))));
        assert_eq!(read("{skip}{weight} {unit}", "net:   7 oz"), Some((State::Unsaid, shown("7 oz"))));
    }

    #[test]
    fn what_is_no_such_line_is_passed_over() {
        for line in ["", "kg", "00 kg,", "ST,GS", "ST,GS,+ 3.6.1 kg", "ST,GS,3.6 quux", "ST,GS,3.6 kg more", "\u{fffd}"]
        {
            assert_eq!(read("{state},{skip},{weight} {unit}", line), None, "{line:?}");
        }
        assert_eq!(read("{weight}", &"9".repeat(60)), None);
    }

    #[test]
    fn patterns_that_cannot_be_used() {
        for pattern in ["", "{unit}", "{weight}{weight}", "{weight", "{mass} {unit}", "{state}{weight}{state}"] {
            assert!(Pattern::read(pattern).is_err(), "{pattern:?}");
        }
    }
}
