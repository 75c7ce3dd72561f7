//! Reads the first statement of a script: enough to list it, without running the rest.

use rhai::Token;

use super::error::ScriptError;
use super::host::Host;
use super::tokens::SourceText;
use crate::recipe::Mark;

/// What the first statement of a script declares: enough to list it.
#[derive(Debug, Clone, PartialEq)]
pub enum Glance {
    /// A recipe.
    Recipe(Box<crate::recipe::UnitKind>),
    /// A yard: id, name, region, currency code.
    Yard {
        /// The yard's id.
        id: String,
        /// Its name.
        name: String,
    },
    /// A tool.
    Tool {
        /// The tool's id.
        id: String,
        /// What it does, in one line.
        title: String,
    },
}

impl Host {
    /// Reads only the first statement of a script.
    ///
    /// # Errors
    /// A first statement that declares no unit, yard or tool, or that fails.
    pub fn glance(&self, file: &str, source: &str) -> Result<Glance, Box<ScriptError>> {
        let end = self.first_statement(source);
        let script = self.compile(file.into(), source[..end].into())?;
        self.clear();
        self.evaluate(&script, &script.declares)?;
        let unit = self.desk.recipe.borrow_mut().unit_mut().ok().cloned();
        let yard = self.desk.yard.borrow().as_ref().map(|draft| (draft.id().to_owned(), draft.name().to_owned()));
        let tool = self.desk.tool.borrow_mut().tool_mut().ok().map(|tool| (tool.id.clone(), tool.title.clone()));
        match (unit, yard, tool) {
            (Some(unit), ..) => Ok(Glance::Recipe(Box::new(unit))),
            (None, Some((id, name)), _) => Ok(Glance::Yard { id, name }),
            (None, None, Some((id, title))) => Ok(Glance::Tool { id, title }),
            (None, None, None) => {
                let start = Mark { line: 1, column: 1 };
                Err(Box::new(script.error(
                    start,
                    "the first statement declares no unit, no yard and no tool",
                    "start with unit(…), yard(…) or tool(…)",
                )))
            }
        }
    }

    /// The end of the first statement: the first `;` outside all brackets, as found by the engine's lexer.
    fn first_statement(&self, source: &str) -> usize {
        let text = SourceText::of(source);
        let whole = text.as_ref().len();
        let mut depth = 0_i32;
        for (token, mark) in text.tokens(self.engine()) {
            match token {
                Token::LeftParen | Token::LeftBrace | Token::LeftBracket | Token::MapStart => depth += 1,
                Token::RightParen | Token::RightBrace | Token::RightBracket => depth -= 1,
                Token::SemiColon if depth <= 0 => return text.offset(mark).map_or(whole, |at| at + 1),
                _ => {}
            }
        }
        whole
    }
}
