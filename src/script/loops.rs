//! The loop in which a script got stuck, as far as its text shows it.

use rhai::{Engine, Token};

use super::tokens::SourceText;
use crate::recipe::Mark;

/// The loop that keeps a closure from ending: its first loop without an exit of its own, else its first loop. `mark` is
/// the place of the word that takes the closure. The engine loses the place when it aborts a closure.
pub(super) fn endless_loop(engine: &Engine, source: &str, mark: Mark) -> Option<Mark> {
    let tokens: Vec<(Token, Mark)> = SourceText::of(source).tokens(engine).collect();
    let from = tokens.iter().position(|(_, at)| *at >= mark)?;
    let opens = from + tokens[from..].iter().position(|(token, _)| is_open(token))?;
    let inside = &tokens[opens..closed_at(&tokens, opens)];
    let first = |wanted: fn(&Token) -> bool| inside.iter().find(|(token, _)| wanted(token)).map(|(_, at)| *at);
    first(|token| matches!(token, Token::While | Token::Loop)).or_else(|| first(|token| matches!(token, Token::For)))
}

fn is_open(token: &Token) -> bool {
    matches!(token, Token::LeftBrace | Token::MapStart)
}

/// The matching closing brace of the brace at an index; the end if there is none.
fn closed_at(tokens: &[(Token, Mark)], opens: usize) -> usize {
    let mut depth = 0_usize;
    for (at, (token, _)) in tokens.iter().enumerate().skip(opens) {
        if is_open(token) {
            depth += 1;
        } else if matches!(token, Token::RightBrace) {
            depth = depth.saturating_sub(1);
            if depth == 0 {
                return at;
            }
        }
    }
    tokens.len()
}

#[cfg(test)]
mod tests {
    use std::rc::Rc;

    use super::*;
    use crate::script::{Catalogue, Host, Library};

    #[test]
    fn the_first_loop_without_an_end_of_its_own_is_the_place() {
        let host = Host::new(Rc::new(Catalogue::new("", "")), Library::default());
        let place = |text: &str| {
            let line = text.lines().position(|line| line.contains(".work")).unwrap() + 1;
            endless_loop(host.engine(), text, Mark { line, column: 1 }).map(|mark| mark.line)
        };
        let work = "while true { }\nx\n.work(|b| {\n  for i in 0..3 { }\n  let m = #{ a: 1 };\n  while a > 1 { a += 1; }\n  loop { }\n})\n";
        assert_eq!(place(work), Some(6));
        assert_eq!(place("x\n.work(|b| {\n  for i in 0..3 { }\n}) \nwhile true { }\n"), Some(3));
        assert_eq!(place("x\n.work(|b| {\n  f()\n});\nwhile true { }\n"), None, "outside of the closure");
    }
}
