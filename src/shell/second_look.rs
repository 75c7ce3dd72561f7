//! Asks about a weight that looks like a typing error before accepting it, and once more when all weights are entered.
//! The correction is one key away.

use super::balance_page;
use super::ink::{Ink, Page};
use super::line::Aids;
use super::terminal::Terminal;
use crate::bench::{Answer, CORRECTED, KEPT};
use crate::sessions::{Change, Doubt, FoundSlip, Session};
use crate::world::AppError;

/// Help text for `?` and `why` at a doubt prompt.
const WHY: &str = "A weight so far out is more often a slip of the unit, the decimal point or the container than right, and a slip spoils the tally. `yes` keeps what was typed; another weight takes its place; Enter asks anew; `help now` is for after an accident.";

/// What became of a typed answer before it is accepted.
pub(super) enum Looked {
    /// This text is the answer; the second value tells its origin if it is not what was typed first.
    Answer(String, Option<&'static str>),
    /// Nothing is accepted; the question is asked again.
    Again,
    /// The question stays open with what was typed.
    Left,
}

/// Asks about a weight until it is plausible or confirmed.
///
/// # Errors
/// The terminal is gone.
pub(super) fn look(terminal: &Terminal, session: &Session<'_>, text: &str) -> Result<Looked, AppError> {
    let mut text = text.to_owned();
    while let Some(doubt) = session.doubt(&text) {
        match settle(terminal, session, &doubt)? {
            Settled::Keep => return Ok(Looked::Answer(text, Some(KEPT))),
            Settled::Corrected(corrected) => return Ok(Looked::Answer(corrected, Some(CORRECTED))),
            Settled::Other(other) => text = other,
            Settled::Explained => {}
            Settled::Nothing => return Ok(Looked::Again),
            Settled::Open => return Ok(Looked::Left),
        }
    }
    Ok(Looked::Answer(text, None))
}

/// The user's reply to a doubted weight.
enum Settled {
    /// The weight is correct as typed.
    Keep,
    /// The weight that was probably meant.
    Corrected(String),
    /// Another weight was typed.
    Other(String),
    /// The user asked for the reason; the doubt remains.
    Explained,
    /// None of these.
    Nothing,
    /// Ctrl-C, or the end of input.
    Open,
}

fn settle(terminal: &Terminal, session: &Session<'_>, doubt: &Doubt) -> Result<Settled, AppError> {
    let mut asked = Page::new();
    asked.say(Ink::Caution, &format!("Check: {}", doubt.why));
    let takes = match &doubt.corrected {
        Some(corrected) => format!("keep it? yes; c takes {corrected}; or type it again"),
        None => "keep it? yes; or type it again".to_owned(),
    };
    let Some(text) = answer_to(terminal, asked, &takes)? else { return Ok(Settled::Open) };
    Ok(match (text.trim().to_lowercase().as_str(), &doubt.corrected) {
        ("yes" | "y", _) => Settled::Keep,
        ("c", Some(corrected)) => Settled::Corrected(corrected.clone()),
        ("?" | "why", _) => {
            terminal.say(Ink::Plain, WHY);
            Settled::Explained
        }
        _ if matches!(session.understand(&text), Ok(Answer::Weight(_))) => Settled::Other(text),
        _ => Settled::Nothing,
    })
}

/// What to do about a typing error that the finished balance shows.
enum AtTheEnd {
    Leave,
    Correct(String),
    GoBack,
    AskAgain,
}

/// Offers to correct the typing error that explains why the weights of a finished session do not add up. Returns
/// whether anything was changed.
///
/// # Errors
/// The terminal is gone, the journal cannot be written, or the recipe fails on the correction.
pub(super) fn look_at_the_end(terminal: &Terminal, session: &mut Session<'_>) -> Result<bool, AppError> {
    let Some(balance) = session.balance().filter(|_| terminal.may_ask) else { return Ok(false) };
    let Some(slip) = &balance.slip else { return Ok(false) };
    let Some(question) = slip.question.clone() else { return Ok(false) };
    terminal.blank_line();
    terminal.show(&balance_page::page(Some(&balance), session.unit(), session.valuation().notation));
    loop {
        match ask_at_the_end(terminal, slip)? {
            AtTheEnd::Leave => return Ok(false),
            AtTheEnd::GoBack => {
                terminal.say(Ink::Plain, &format!("Back at {question}. Enter keeps the old answer."));
                return Ok(session.go_back_to(&question));
            }
            AtTheEnd::Correct(text) => match session.correct(&question, &text)? {
                Change::Answered(_) => {
                    terminal.say(Ink::Plain, &format!("{question} = {text}"));
                    return Ok(true);
                }
                Change::NotTaken(error) => terminal.say(Ink::Caution, &format!("Not taken: {error}")),
            },
            AtTheEnd::AskAgain => {}
        }
    }
}

fn ask_at_the_end(terminal: &Terminal, slip: &FoundSlip) -> Result<AtTheEnd, AppError> {
    let takes = match &slip.retyped {
        Some(weight) => format!("c takes {weight}; g goes back there; Enter leaves it"),
        None => "g goes back there, to weigh it again; Enter leaves it".to_owned(),
    };
    let Some(text) = answer_to(terminal, Page::new(), &takes)? else { return Ok(AtTheEnd::Leave) };
    Ok(match (text.trim().to_lowercase().as_str(), &slip.retyped) {
        ("", _) => AtTheEnd::Leave,
        ("c", Some(weight)) => AtTheEnd::Correct(weight.clone()),
        ("g", _) => AtTheEnd::GoBack,
        _ => AtTheEnd::AskAgain,
    })
}

/// Asks and reads an answer. The possible replies are shown above the input line, where they can wrap between words on
/// a narrow terminal.
fn answer_to(terminal: &Terminal, mut asked: Page, takes: &str) -> Result<Option<String>, AppError> {
    asked.say(Ink::Plain, &format!("  {takes}"));
    terminal.ask(Aids::to_answer(asked))
}
