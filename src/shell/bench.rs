//! The bench: one question at a time, until the session ends or is paused.

mod heads;
mod obey;
mod scale;
mod shown;

use super::discard::{agree_to_discard, discarded};
use super::ink::{Ink, Page};
use super::line::{Aids, TypedLine, lost};
use super::order::{Order, read};
use super::second_look::{Looked, look, look_at_the_end};
use super::terminal::Terminal;
use super::{balance_page, page};
use crate::bench::{Ask, Question};
use crate::script::ScriptError;
use crate::sessions::{Change, Session};
use crate::world::AppError;
use heads::{aids, at_hand, say_new, say_unfit, show_question, show_step};
use obey::{acted, aside, obey};
use shown::Shown;

/// How the user left the bench.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Left {
    /// The session ended.
    Ended,
    /// The session was paused and can be resumed.
    Paused,
    /// The session was set aside as a mistake.
    Discarded,
    /// Input ended while a question was open: the session was paused, with a message.
    OutOfInput,
}

/// Asks questions until the session ends or is paused.
///
/// # Errors
/// The journal cannot be written, a script fails, or the terminal is gone.
pub fn work(terminal: &Terminal, session: &mut Session<'_>) -> Result<Left, AppError> {
    let left = ask_on(terminal, session);
    terminal.at_hand.take();
    left
}

fn ask_on(terminal: &Terminal, session: &mut Session<'_>) -> Result<Left, AppError> {
    let mut shown = Shown::default();
    loop {
        say_new(terminal, session, &mut shown);
        say_unfit(terminal, session, &mut shown);
        let Some(question) = session.question().cloned() else {
            if look_at_the_end(terminal, session)? {
                continue;
            }
            return Ok(Left::Ended);
        };
        show_step(terminal, session, &question, &mut shown)?;
        let default = session.default_answer();
        let asked = show_question(terminal, session, &question, default.as_deref(), &mut shown);
        if !terminal.may_ask {
            let name = question.name();
            return Err(AppError::Answer(format!(
                "`{name}` ({}) needs an answer, and --no-input forbids to ask",
                question.text
            )));
        }
        terminal.at_hand.replace(at_hand(session, &question));
        let line = terminal.read_line(aids(terminal, session, &question, asked, &mut shown)).map_err(lost)?;
        if terminal.is_gone() {
            session.pause()?;
            return Ok(Left::OutOfInput);
        }
        match line {
            TypedLine::Interrupt(draft) if shown.interrupted.as_ref() == Some(&draft) => {
                return lay_aside(terminal, session);
            }
            TypedLine::Interrupt(draft) => {
                terminal.say(Ink::Caution, "Nothing is lost. Ctrl-C again lays the session aside.");
                (shown.interrupted, shown.draft) = (Some(draft.clone()), draft);
                continue;
            }
            TypedLine::End => {
                session.pause()?;
                terminal.say(
                    Ink::Caution,
                    &format!("Input has ended. The session is laid aside; go on with: resume {}", session.id()),
                );
                return Ok(Left::OutOfInput);
            }
            TypedLine::Text(text) => {
                shown.interrupted = None;
                if let Some(left) = take(terminal, session, &question, &text, &mut shown)? {
                    return Ok(left);
                }
            }
        }
    }
}

fn lay_aside(terminal: &Terminal, session: &mut Session<'_>) -> Result<Left, AppError> {
    session.pause()?;
    terminal.say(Ink::Plain, &format!("Laid aside. Go on with: resume {}", session.id()));
    Ok(Left::Paused)
}

/// Sets the session aside as a mistake, after confirmation.
fn discard(terminal: &Terminal, session: &mut Session<'_>) -> Result<Option<Left>, AppError> {
    match agree_to_discard(terminal, session.id(), true) {
        Ok(true) => {}
        Ok(false) => return Ok(None),
        Err(error) => {
            terminal.error(&error);
            return Ok(None);
        }
    }
    session.discard()?;
    terminal.say(Ink::Plain, &discarded(session.id()));
    Ok(Some(Left::Discarded))
}

/// Carries out a line: an order or an answer. `Some` if the user leaves the bench.
fn take(
    terminal: &Terminal,
    session: &mut Session<'_>,
    question: &Question,
    text: &str,
    shown: &mut Shown,
) -> Result<Option<Left>, AppError> {
    // An option with the same name as an order still counts as the option.
    let is_option =
        matches!(&question.ask, Ask::Choice { options } if options.iter().any(|o| o.eq_ignore_ascii_case(text.trim())));
    let default = session.default_answer();
    if let Some(wanted) = scale::wanted(terminal, question, text, default.as_deref()) {
        if let Some(text) = scale::weigh(terminal, session, &wanted, &mut shown.tare) {
            answer(terminal, session, question, &text, Some("scale"), shown)?;
        }
        return Ok(None);
    }
    match read(text).filter(|_| !is_option) {
        Some(Order::Pause) => return lay_aside(terminal, session).map(Some),
        Some(Order::Discard) => return discard(terminal, session),
        Some(order) => {
            shown.cautioned = None;
            match obey(terminal, session, question, order, shown) {
                Err(AppError::Store(error)) => return Err(AppError::Store(error)),
                Err(error) => terminal.error(&error),
                Ok(()) => {}
            }
        }
        None => answer(terminal, session, question, text.trim_start().strip_prefix('=').unwrap_or(text), None, shown)?,
    }
    Ok(None)
}

fn answer(
    terminal: &Terminal,
    session: &mut Session<'_>,
    question: &Question,
    text: &str,
    origin: Option<&'static str>,
    shown: &mut Shown,
) -> Result<(), AppError> {
    // A number picks from the matches of the description typed before.
    let numbered = text.trim().parse::<usize>().ok().and_then(|number| number.checked_sub(1));
    let offered = numbered.and_then(|place| shown.offers.get(place).cloned());
    let text = offered.as_deref().unwrap_or(text);
    let (text, origin) = match look(terminal, session, text)? {
        // A weight retyped after a doubt is no longer a reading of the scale.
        Looked::Answer(kept, changed) => {
            let origin = origin.filter(|_| kept == text).or(changed);
            (kept, origin)
        }
        Looked::Again => return Ok(()),
        Looked::Left => {
            text.clone_into(&mut shown.draft);
            return Ok(());
        }
    };
    let revisiting = session.is_revisiting();
    let change = match session.answer(&text, origin) {
        Err(AppError::Script(errors)) => return failed(terminal, session, errors),
        other => other?,
    };
    shown.offers.clear();
    match change {
        Change::Answered(answer) => {
            terminal.show(&page::understood(&terminal.world, session, &session.informed(question), &text, &answer));
            terminal.show(&balance_page::so_far(session, question));
            if revisiting {
                aside(terminal, session);
            }
        }
        Change::NotTaken(error) => {
            // A caret under the fault fits only if every character takes one column and the text fits on one line.
            let fits = text.chars().all(|c| c == ' ' || c.is_ascii_graphic()) && text.len() + 2 <= terminal.width();
            if let Some(at) = error.at.clone().filter(|_| fits && !text.trim().is_empty()) {
                let marks = "^".repeat(at.len().max(1));
                terminal.put(&format!("  {text}\n  {}{marks}\n", " ".repeat(at.start)));
            }
            let ink = if error.offers.is_empty() { Ink::Caution } else { Ink::Plain };
            let lead = if error.offers.is_empty() { "Not taken: " } else { "" };
            terminal.say(ink, &format!("{lead}{error}"));
            terminal.show(&page::offers(&error.offers));
            shown.offers = error.offers.into_iter().map(|(id, _)| id).collect();
        }
    }
    Ok(())
}

/// The recipe itself fails on an answer: says where, and what can be done. The session stays at the question.
fn failed(terminal: &Terminal, session: &Session<'_>, errors: Vec<ScriptError>) -> Result<(), AppError> {
    terminal.error(&AppError::Script(errors));
    terminal.say(Ink::Caution, "The recipe fails on this answer. The answer is kept, and so are all before it.");
    let mend = format!("Correct {} and type reread; or undo takes the answer back; or pause.", session.recipe_file());
    terminal.say(Ink::Plain, &mend);
    Ok(())
}

/// Offers to undo the last act of a session that has ended. Returns whether the session goes on.
///
/// # Errors
/// The terminal is gone, or the journal cannot be written.
pub fn reopen(terminal: &Terminal, session: &mut Session<'_>) -> Result<bool, AppError> {
    let mut asked = Page::new();
    asked.say(Ink::Plain, "The session has ended. `undo` takes its last act back; Enter leaves it so.");
    let words = vec![("undo".to_owned(), "take the last act back".to_owned())];
    let typed = terminal.ask(Aids::to_answer(asked).words(words))?;
    if !typed.is_some_and(|text| text.trim().eq_ignore_ascii_case("undo")) {
        return Ok(false);
    }
    acted(terminal, session.undo()?, "Taken back", "There is nothing to take back.");
    Ok(!session.has_ended())
}

/// Asks a question again that was answered `before`; `None` to keep the answer.
///
/// # Errors
/// The terminal is gone.
pub fn anew(terminal: &Terminal, question: &Question, before: &str) -> Result<Option<String>, AppError> {
    let mut asked = Page::new();
    asked.say(Ink::Plain, &question.text);
    asked.say(Ink::Faint, &format!("It says {before}. Enter leaves it so."));
    terminal.ask(Aids::to_answer(asked))
}
