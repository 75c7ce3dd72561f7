//! Places in a script's text, for changing one figure and leaving the rest as its author wrote it.

use std::ops::Range;

use rhai::Token;

use super::host::Host;
use super::tokens::SourceText;
use crate::recipe::Mark;

/// A `frees(part, weight, grade)` call in a recipe's text, with what may follow it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FreesCall {
    /// Start of its line.
    pub line: usize,
    /// The second argument: the weight.
    pub weight: Range<usize>,
    /// Right after its closing parenthesis.
    pub end: usize,
    /// The string literal of a `figures_from(…)` that follows directly, quotes included.
    pub figures_from: Option<Range<usize>>,
}

/// A token and its start.
type Placed = (Token, usize);

impl Host {
    /// The `frees` call at a mark.
    pub fn frees_call(&self, source: &str, mark: Mark) -> Option<FreesCall> {
        let tokens = self.tokens_from(source, mark);
        let start = tokens.iter().position(|(token, _)| is_word(token, "frees"))?;
        let tokens = &tokens[start..];
        let (commas, close) = arguments(tokens)?;
        let [first, second, ..] = commas.as_slice() else { return None };
        let begins = tokens.get(first + 1)?.1;
        let ends = source[..tokens.get(*second)?.1].trim_end().len();
        let figures_from = match &tokens[close + 1..] {
            [
                (Token::Period, _),
                (word, _),
                (Token::LeftParen, _),
                (Token::StringConstant(_), at),
                (Token::RightParen, end),
                ..,
            ] if is_word(word, "figures_from") => Some(*at..source[..*end].trim_end().len()),
            _ => None,
        };
        let line = source[..tokens[0].1].rfind('\n').map_or(0, |at| at + 1);
        Some(FreesCall { line, weight: begins..ends, end: tokens[close].1 + 1, figures_from })
    }

    /// The number in the first `revision(…)` of a script.
    pub fn revision_number(&self, source: &str) -> Option<Range<usize>> {
        let tokens = self.tokens_from(source, Mark { line: 1, column: 1 });
        tokens.windows(4).find_map(|four| match four {
            [(word, _), (Token::LeftParen, _), (Token::IntegerConstant(_), at), (Token::RightParen, end)]
                if is_word(word, "revision") =>
            {
                Some(*at..source[..*end].trim_end().len())
            }
            _ => None,
        })
    }

    /// The two string literals of the first `yard("id", "name")` or `unit` call of a script, quotes included.
    pub fn declared_names(&self, source: &str, word: &str) -> Option<(Range<usize>, Range<usize>)> {
        let tokens = self.tokens_from(source, Mark { line: 1, column: 1 });
        tokens.windows(6).find_map(|six| match six {
            [
                (name, _),
                (Token::LeftParen, _),
                (Token::StringConstant(_), id),
                (Token::Comma, comma),
                (Token::StringConstant(_), called),
                (Token::RightParen, end),
            ] if is_word(name, word) => {
                let up_to = |end: &usize| source[..*end].trim_end().len();
                Some((*id..up_to(comma), *called..up_to(end)))
            }
            _ => None,
        })
    }

    /// The tokens from a mark on, up to the first invalid one.
    fn tokens_from(&self, source: &str, mark: Mark) -> Vec<Placed> {
        let text = SourceText::of(source);
        let tokens = text.tokens(self.engine()).filter(|(_, at)| *at >= mark);
        tokens.filter_map(|(token, at)| Some((token, text.offset(at)?))).collect()
    }
}

fn is_word(token: &Token, word: &str) -> bool {
    matches!(token, Token::Identifier(name) if name.as_str() == word)
}

/// The indexes of the commas between the arguments of the call that begins here, and of its closing parenthesis.
fn arguments(tokens: &[Placed]) -> Option<(Vec<usize>, usize)> {
    let mut depth = 0_i32;
    let mut commas = Vec::new();
    for (place, (token, _)) in tokens.iter().enumerate().skip(1) {
        match token {
            Token::LeftParen | Token::LeftBrace | Token::LeftBracket | Token::MapStart => depth += 1,
            Token::RightParen | Token::RightBrace | Token::RightBracket => depth -= 1,
            Token::Comma if depth == 1 => commas.push(place),
            _ => {}
        }
        if depth == 0 {
            return Some((commas, place));
        }
    }
    None
}
