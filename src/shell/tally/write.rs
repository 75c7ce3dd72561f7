//! Writes a session's tally in the requested format.

use super::{csv, json, markdown, text};
use crate::sessions::Session;
use crate::shell::balance_page;
use crate::shell::format::Format;
use crate::shell::terminal::Terminal;
use crate::world::AppError;

/// Writes the tally of a session in a format; as text, it also says whether the weights add up.
///
/// # Errors
/// The tally cannot be computed, or cannot be written in that format.
pub fn write(terminal: &Terminal, session: &Session<'_>, format: Format) -> Result<(), AppError> {
    let tally = session.tally()?;
    for warning in &session.valuation().warnings {
        terminal.say_aside(&format!("warning: {warning}"));
    }
    match format {
        Format::Text => {
            terminal.show(&text::page(&tally, terminal.width(), terminal.look.plain));
            let balance = balance_page::page(session.balance().as_ref(), session.unit(), session.valuation().notation);
            if !balance.lines().is_empty() {
                terminal.blank_line();
                terminal.show(&balance);
            }
        }
        Format::Json => terminal.write_stdout(&json::write(&tally)?),
        Format::Csv => terminal.write_stdout(&csv::write(&tally).map_err(unwritten)?),
        Format::Markdown => terminal.write_stdout(&markdown::write(&tally)),
    }
    Ok(())
}

fn unwritten(error: impl std::fmt::Display) -> AppError {
    AppError::Refused(format!("the tally cannot be written in that form: {error}"))
}
