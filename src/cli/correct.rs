//! `correct`: corrects an answer of a session that has ended.

use clap::{Arg, ArgMatches, Command};

use super::options::{self, text};
use super::{Code, Outcome, bench};
use crate::bench::{Ask, MENDED, Question};
use crate::sessions::{Change, Session};
use crate::shell::bench::anew;
use crate::shell::forms::agreed;
use crate::shell::ink::Ink;
use crate::shell::session_page::{self, answer_of};
use crate::shell::terminal::Terminal;
use crate::world::AppError;

pub(super) fn declare() -> Command {
    Command::new("correct")
        .about("Put right an answer of a session that has ended, under the recipe that it ran under")
        .after_help("Without an answer its name is enough to be asked; without a name the answers are listed.\nExamples: correct oven-1 · correct oven-1 transformer/transformer \"3.62 kg\"")
        .arg(options::session().required(true).help("The session, by its name or a part of it"))
        .arg(Arg::new("question").value_name("QUESTION").help("The question's name, as `show SESSION` lists it"))
        .arg(Arg::new("answer").value_name("ANSWER").num_args(1..).help("The answer [else asked for]"))
}

pub(super) fn run(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    let word = text(matches, "session").unwrap_or_default();
    let Some(name) = text(matches, "question") else { return list(terminal, word) };
    let (mut session, torn) = Session::take_up_ended(&terminal.world, word)?;
    if let Some(path) = torn {
        terminal.say_aside(&format!("warning: an entry that was never finished was moved to {}", path.display()));
    }
    session.revisit(name)?;
    let Some(question) = session.question().cloned() else { return Ok(Code::Done) };
    if matches!(question.ask, Ask::Guard { .. }) {
        let why = format!("`{name}` is a guard: what was confirmed at it, or refused, stands as it was said then");
        return Err(AppError::Refused(why));
    }
    let before = answer_of(&session, name);
    let words: Vec<&str> = matches.get_many::<String>("answer").into_iter().flatten().map(String::as_str).collect();
    let typed = if words.is_empty() { ask(terminal, &question, &before)? } else { Some(words.join(" ")) };
    let Some(typed) = typed.filter(|typed| !typed.trim().is_empty()) else {
        terminal.say(Ink::Plain, "Left as it was.");
        return Ok(Code::Done);
    };
    if !is_meant(terminal, &session, &typed)? || !may_change(terminal, &session, &typed)? {
        terminal.say(Ink::Plain, "Left as it was.");
        return Ok(Code::Done);
    }
    if let Change::NotTaken(error) = session.answer(&typed, Some(MENDED))? {
        return Err(AppError::Answer(format!("`{name}`: {error}")));
    }
    terminal.say(
        Ink::Good,
        &format!("Corrected in {}: {name} = {} (was {before})", session.id(), answer_of(&session, name)),
    );
    if session.question().is_some() {
        return bench::go_on(terminal, &mut session);
    }
    let net = session.tally()?.net.show(session.valuation().notation);
    terminal.say(Ink::Money, &format!("Estimated net: {net}"));
    Ok(Code::Done)
}

/// Confirms a weight that looks like a typing error. If nobody can be asked, the weight is accepted with a warning.
fn is_meant(terminal: &Terminal, session: &Session<'_>, typed: &str) -> Result<bool, AppError> {
    let Some(doubt) = session.doubt(typed) else { return Ok(true) };
    if !terminal.may_ask {
        terminal.say_aside(&format!("warning: {}", doubt.why));
        return Ok(true);
    }
    terminal.say(Ink::Caution, &doubt.why);
    agreed(terminal, "Is it meant so? Type yes, or Enter to leave the answer as it was > ")
}

/// Whether an answer may be corrected this way: any questions that it opens can be asked, and the user was told what it
/// takes from the stock and agreed.
fn may_change(terminal: &Terminal, session: &Session<'_>, typed: &str) -> Result<bool, AppError> {
    let (waits, haul) = session.would_be(typed)?;
    if let Some(waits) = waits.filter(|_| !terminal.may_ask) {
        let why =
            format!("with that answer the session would ask `{waits}`: correct it where it can ask, at a terminal");
        return Err(AppError::Refused(why));
    }
    let before = session.haul()?;
    let uses = if haul.is_same_goods(&before) { Vec::new() } else { terminal.world.used_in_stock(session.id())? };
    let stays = |part: &str| haul.fractions.iter().any(|fraction| fraction.part == part);
    let gone: Vec<&str> =
        before.fractions.iter().map(|fraction| fraction.part.as_str()).filter(|part| !stays(part)).collect();
    if uses.is_empty() && gone.is_empty() {
        return Ok(true);
    }
    let mut said = Vec::new();
    if !gone.is_empty() {
        said.push(format!("With that answer these no longer came out: {}.", gone.join(", ")));
    }
    if !uses.is_empty() {
        said.push(format!("Lots of the session were used in the stock: {}.", uses.join("; ")));
    }
    if !terminal.may_ask {
        said.push("Correct it at a terminal, where it is asked.".to_owned());
        return Err(AppError::Refused(said.join(" ")));
    }
    said.iter().for_each(|sentence| terminal.say(Ink::Caution, sentence));
    agreed(terminal, "Correct it all the same? Type yes, or Enter to leave it > ")
}

fn list(terminal: &Terminal, word: &str) -> Outcome {
    let (session, _) = Session::look(&terminal.world, word, None, None)?;
    terminal.show(&session_page::correctable(&session));
    Ok(Code::Done)
}

/// Asks for the answer; `None` to keep the old one.
fn ask(terminal: &Terminal, question: &Question, before: &str) -> Result<Option<String>, AppError> {
    if !terminal.may_ask {
        let why =
            format!("`{}` needs an answer, and --no-input forbids to ask: give it behind the name", question.name());
        return Err(AppError::Answer(why));
    }
    anew(terminal, question, before)
}
