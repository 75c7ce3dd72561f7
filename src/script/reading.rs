//! Reads the text of scripts without running anything: its tokens and its string literals.

use std::collections::BTreeSet;

use rhai::Token;

use super::host::Host;
use super::tokens::SourceText;

impl Host {
    /// The tokens of a source as the engine's lexer sees them, up to the first invalid one.
    pub(super) fn tokens(&self, source: &str) -> Vec<Token> {
        SourceText::of(source).tokens(self.engine()).map(|(token, _)| token).collect()
    }

    /// Whether a word can be a name in a script: words of the language cannot.
    #[must_use]
    pub fn is_name(&self, word: &str) -> bool {
        matches!(self.tokens(word).as_slice(), [Token::Identifier(name)] if name.as_str() == word)
    }

    /// Every string literal in a script's code, comments left out. An interpolated text yields each of its pieces.
    pub fn texts(&self, source: &str) -> BTreeSet<String> {
        self.tokens(source).iter().filter_map(text).collect()
    }

    /// Every string literal in the code of any library.
    pub fn library_texts(&self) -> BTreeSet<String> {
        self.desk.library.sources().flat_map(|source| self.texts(source)).collect()
    }

    /// Every string literal in a script's code and in the library functions that it calls, on whichever path. Functions
    /// are matched by name alone, in any library.
    pub fn texts_with_calls(&self, source: &str) -> BTreeSet<String> {
        let functions: Vec<(String, Vec<Token>)> =
            self.desk.library.sources().flat_map(|source| functions(self.tokens(source))).collect();
        let mut texts = self.texts(source);
        let mut reached = BTreeSet::new();
        let mut waiting = vec![self.tokens(source)];
        while let Some(tokens) = waiting.pop() {
            for name in calls(&tokens) {
                for (at, (_, body)) in functions.iter().enumerate().filter(|(_, (known, _))| *known == name) {
                    if reached.insert(at) {
                        texts.extend(body.iter().filter_map(text));
                        waiting.push(body.clone());
                    }
                }
            }
        }
        texts
    }
}

fn text(token: &Token) -> Option<String> {
    match token {
        Token::StringConstant(text) | Token::InterpolatedString(text) => Some(text.to_string()),
        _ => None,
    }
}

/// The functions of a source, each with its name and the tokens up to the next one.
fn functions(tokens: Vec<Token>) -> Vec<(String, Vec<Token>)> {
    let mut all: Vec<(String, Vec<Token>)> = Vec::new();
    let mut tokens = tokens.into_iter().peekable();
    while let Some(token) = tokens.next() {
        match (&token, tokens.peek()) {
            (Token::Fn, Some(Token::Identifier(name))) => all.push((name.to_string(), Vec::new())),
            _ => all.last_mut().into_iter().for_each(|(_, body)| body.push(token.clone())),
        }
    }
    all
}

/// The names of called functions.
fn calls(tokens: &[Token]) -> impl Iterator<Item = String> + '_ {
    tokens.windows(2).filter_map(|pair| match pair {
        [Token::Identifier(name), Token::LeftParen] => Some(name.to_string()),
        _ => None,
    })
}

#[cfg(test)]
mod tests {
    use std::rc::Rc;

    use super::*;
    use crate::script::{Catalogue, Library};

    fn host(library: &str) -> Host {
        let library = Library::new([("checks".to_owned(), library.into())]);
        Host::new(Rc::new(Catalogue::new("", "")), library)
    }

    fn set(texts: &[&str]) -> BTreeSet<String> {
        texts.iter().map(|text| (*text).to_owned()).collect()
    }

    #[test]
    fn a_text_with_values_in_it_does_not_hide_what_follows() {
        let host = host("");
        let source =
            r#"let a = `one ${b} two ${if c { "three" } else { #{ d: "four" }.d }} five`; let e = "six"; // "seven""#;
        assert_eq!(host.texts(source), set(&["one ", " two ", "three", "four", " five", "six"]));
        let nested = r#"let a = `x${ `y${1}z` }w`; let b = "v";"#;
        assert_eq!(host.texts(nested), set(&["x", "y", "z", "w", "v"]));
    }

    #[test]
    fn a_text_with_values_in_it_hides_neither_the_version_nor_the_end_of_the_statement() {
        let head = "unit(\"a\", `one ${1} \"two`).needs_api(99).revision(7);";
        let source = format!("{head} throw \"more\";");
        assert_eq!(host("").needs_newer(&source), Some(99));
        assert_eq!(host("").revision_number(&source).map(|place| &source[place]), Some("7"));
        assert!(host("").glance("x.rhai", &source).is_ok());
    }

    #[test]
    fn texts_of_the_functions_that_are_called_and_of_those_that_these_call() {
        let host = host(
            r#"fn first(bench) { bench.say(`a ${1} b`); second(bench) }
               fn second(bench) { bench.guard("asbestos"); }
               fn third(bench) { bench.guard("radium"); }"#,
        );
        let called =
            host.texts_with_calls(r#"import "checks" as checks; checks::first(bench); bench.guard("springs");"#);
        assert_eq!(called, set(&["checks", "springs", "a ", " b", "asbestos"]));
    }
}
