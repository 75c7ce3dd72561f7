//! Asks whether to set a session aside, and says what depends on it.

use super::forms::agreed;
use super::ink::Ink;
use super::terminal::Terminal;
use crate::world::AppError;

/// Whether the user agrees to set a session aside. Asked if lots of it were used in the stock, and always if `always`
/// is set.
///
/// # Errors
/// Lots were used and there is no terminal to ask at; the stock's log cannot be read.
pub fn agree_to_discard(terminal: &Terminal, session: &str, always: bool) -> Result<bool, AppError> {
    let uses = terminal.world.used_in_stock(session)?;
    if uses.is_empty() && !always {
        return Ok(true);
    }
    if !uses.is_empty() {
        let list = uses.join("; ");
        if !terminal.on_terminal || !terminal.may_ask {
            return Err(AppError::Refused(format!(
                "{session} is not set aside: its lots were used in the stock: {list}. Take that back first with `stock undo`, or do it \
                 at a terminal, where it is asked"
            )));
        }
        terminal.say(Ink::Caution, &format!("Lots of {session} were used in the stock: {list}."));
        terminal.say(
            Ink::Plain,
            "They leave the stock with it. Tickets stay booked, and what a pool was weighed at stays its weight.",
        );
    }
    agreed(terminal, "Set the session aside, so that it counts nowhere? Type yes, or Enter to leave it > ")
}

/// The message after a session was set aside.
pub fn discarded(session: &str) -> String {
    match session {
        "" => "Set aside.".to_owned(),
        id => format!("{id} is set aside: it counts nowhere. Bring it back with: discard {id} --bring-back"),
    }
}
