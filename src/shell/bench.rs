//! The bench: one question at a time, until the session ends or is laid aside.

use std::io;

use super::face::Face;
use super::ink::{Ink, Page};
use super::line::{Aids, Line};
use super::meaning::AnswerMeaning;
use super::order::{ORDERS, Order, read};
use super::page;
use super::second_look::{Looked, look};
use crate::app::{AppError, Change, Session, add_quote};
use crate::bench::{Ask, Entry, Kind, Question, Unfit};
use crate::quantity::{MassUnit, Notation, WeighingRules, weigh};
use crate::store::home::Shelf;

/// How a bench was left.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Left {
    /// The session came to an end.
    Ended,
    /// It was laid aside and can be taken up again.
    Paused,
    /// Input ended while a question was open: laid aside, and said so.
    OutOfInput,
}

/// What was shown last, so that a head is shown once.
#[derive(Default)]
struct Shown {
    step: Option<String>,
    told: Option<String>,
    said: Option<Vec<String>>,
    unfit: Option<Unfit>,
    interrupted: Option<String>,
    draft: String,
}

/// Asks questions until the session ends or is laid aside.
///
/// # Errors
/// A journal that cannot be written, a script that fails, or a terminal that is gone.
pub fn work(face: &Face, session: &mut Session<'_>) -> Result<Left, AppError> {
    let mut shown = Shown::default();
    loop {
        say_new(face, session, &mut shown);
        say_unfit(face, session, &mut shown);
        let Some(question) = session.question().cloned() else { return Ok(Left::Ended) };
        show_step(face, session, &question, &mut shown)?;
        let default = session.default_answer();
        show_question(face, session, &question, default.as_deref());
        if !face.may_ask {
            let name = question.name();
            return Err(AppError::Answer(format!(
                "`{name}` ({}) needs an answer, and --no-input forbids to ask",
                question.text
            )));
        }
        let line = face.read_line(aids(face, session, &question, &mut shown)).map_err(lost)?;
        if face.is_gone() {
            session.pause()?;
            return Ok(Left::OutOfInput);
        }
        match line {
            Line::Interrupt(draft) if shown.interrupted.as_ref() == Some(&draft) => return lay_aside(face, session),
            Line::Interrupt(draft) => {
                face.say(Ink::Caution, "Nothing is lost. Ctrl-C again lays the session aside.");
                (shown.interrupted, shown.draft) = (Some(draft.clone()), draft);
                continue;
            }
            Line::End => {
                session.pause()?;
                face.say(
                    Ink::Caution,
                    &format!("Input has ended. The session is laid aside; go on with: resume {}", session.id()),
                );
                return Ok(Left::OutOfInput);
            }
            Line::Text(text) => {
                shown.interrupted = None;
                if let Some(left) = take(face, session, &question, &text, &mut shown)? {
                    return Ok(left);
                }
            }
        }
    }
}

fn lost(error: io::Error) -> AppError {
    AppError::Refused(format!("the terminal cannot be read: {error}; all answers so far are on disk"))
}

fn lay_aside(face: &Face, session: &mut Session<'_>) -> Result<Left, AppError> {
    session.pause()?;
    face.say(Ink::Plain, &format!("Laid aside. Go on with: resume {}", session.id()));
    Ok(Left::Paused)
}

/// What the recipe says now and did not say before. When a session is taken up, that is what belongs to the question at hand.
fn say_new(face: &Face, session: &Session<'_>, shown: &mut Shown) {
    let said = &session.transcript().state.said;
    let asked = session.transcript().asked.len();
    let mut former = shown
        .said
        .take()
        .unwrap_or_else(|| said.iter().filter(|said| said.after < asked).map(|said| said.text.clone()).collect());
    for said in said {
        match former.iter().position(|text| *text == said.text) {
            Some(place) => drop(former.swap_remove(place)),
            None => face.say(Ink::Name, &format!("  {}", said.text)),
        }
    }
    shown.said = Some(said.iter().map(|said| said.text.clone()).collect());
}

/// Why a question that was answered is asked again: its answer does not fit the recipe as it is now.
fn say_unfit(face: &Face, session: &Session<'_>, shown: &mut Shown) {
    let name = session.transcript().waits().map(Question::name);
    let unfit = session.transcript().unfit.iter().find(|unfit| Some(&unfit.name) == name.as_ref());
    if let Some(unfit) = unfit.filter(|unfit| shown.unfit.as_ref() != Some(unfit)) {
        face.show(&page::unfit(unfit));
    }
    shown.unfit = unfit.cloned();
}

/// The head of a step when it is turned to, its instructions once it is begun, and what is said of the whole unit.
fn show_step(face: &Face, session: &Session<'_>, question: &Question, shown: &mut Shown) -> Result<(), AppError> {
    if shown.step.as_deref() != Some(&question.step) {
        shown.step = Some(question.step.clone());
        match session.recipe().step(&question.step) {
            Some(step) => {
                face.rest();
                face.show(&page::step(&face.world, session, step)?);
            }
            None => show_unit(face, session, question),
        }
    }
    let begun = !matches!(question.ask, Ask::Begin { .. } | Ask::Guard { .. });
    if begun && shown.told.as_deref() != Some(&question.step) {
        shown.told = Some(question.step.clone());
        if let Some(step) = session.recipe().step(&question.step) {
            face.show(&page::instructions(step));
        }
    }
    Ok(())
}

fn show_unit(face: &Face, session: &Session<'_>, question: &Question) {
    if question.key != "intake" {
        return;
    }
    let unit = session.recipe().unit();
    let mut page = Page::new();
    page.line(&[(Ink::Heading, &unit.name)]);
    let weight = page::range(&unit.weighs, session.unit(), session.valuation().notation);
    page.line(&[(Ink::Plain, "  weighs "), (Ink::Figure, &weight)]);
    for text in &unit.says {
        page.say(Ink::Plain, &format!("  {text}"));
    }
    face.show(&page);
}

fn show_question(face: &Face, session: &Session<'_>, question: &Question, default: Option<&str>) {
    if let Ask::Guard { hazard, .. } = &question.ask
        && let Some(known) = face.world.host().catalogue().hazards().get(hazard)
    {
        face.rest();
        face.show(&page::hazard(known));
    }
    face.rest();
    face.show(&page::question(session, question, default));
}

/// What helps while the answer is typed.
fn aids(face: &Face, session: &Session<'_>, question: &Question, shown: &mut Shown) -> Aids {
    let containers = face.world.config.containers.keys();
    let weights = containers.filter_map(|name| Some((name.to_lowercase(), face.world.container(name)?))).collect();
    let mut words: Vec<(String, String)> = match &question.ask {
        // `skip` is among the orders.
        Ask::Begin { .. } => ["do", "later"].map(|word| (word.to_owned(), String::new())).to_vec(),
        Ask::YesNo => ["yes", "no"].map(|word| (word.to_owned(), String::new())).to_vec(),
        Ask::Choice { options } => options.iter().map(|option| (option.clone(), String::new())).collect(),
        Ask::Weight { .. } => {
            face.world.config.containers.keys().map(|name| (name.clone(), "container".into())).collect()
        }
        _ => Vec::new(),
    };
    words.extend(ORDERS.iter().map(|order| (order.word.to_owned(), order.does.to_owned())));
    let meaning = AnswerMeaning {
        question: session.informed(question),
        notation: session.valuation().notation,
        unit: session.unit(),
        containers: weights,
    };
    Aids {
        prompt: "> ".into(),
        words,
        first_only: true,
        meaning: Some(Box::new(meaning)),
        draft: std::mem::take(&mut shown.draft),
        history: None,
    }
}

/// Carries a line out: an order, or an answer. `Some` when the bench is left.
fn take(
    face: &Face,
    session: &mut Session<'_>,
    question: &Question,
    text: &str,
    shown: &mut Shown,
) -> Result<Option<Left>, AppError> {
    // A choice that goes by an order's name is still a choice.
    let is_option =
        matches!(&question.ask, Ask::Choice { options } if options.iter().any(|o| o.eq_ignore_ascii_case(text.trim())));
    match read(text).filter(|_| !is_option) {
        Some(Order::Pause) => return lay_aside(face, session).map(Some),
        Some(order) => match obey(face, session, question, order, shown) {
            Err(AppError::Store(error)) => return Err(AppError::Store(error)),
            Err(error) => face.error(&error),
            Ok(()) => {}
        },
        None => answer(face, session, question, text.trim_start().strip_prefix('=').unwrap_or(text), shown)?,
    }
    Ok(None)
}

fn answer(
    face: &Face,
    session: &mut Session<'_>,
    question: &Question,
    text: &str,
    shown: &mut Shown,
) -> Result<(), AppError> {
    let (text, origin) = match look(face, session, text).map_err(lost)? {
        Looked::Answer(text, origin) => (text, origin),
        Looked::Again => return Ok(()),
        Looked::Left => {
            text.clone_into(&mut shown.draft);
            return Ok(());
        }
    };
    let revisiting = session.is_revisiting();
    let change = match session.answer(&text, origin) {
        // The answer is in the journal. Whoever is here can take it back, or mend the recipe and read it again.
        Err(AppError::Script(errors)) => {
            face.error(&AppError::Script(errors));
            face.say(Ink::Caution, "The recipe fails on this answer. Your answers are on disk. `undo` takes this one back; or mend the recipe, then `reread`.");
            return Ok(());
        }
        other => other?,
    };
    match change {
        Change::Answered(answer) => {
            face.show(&page::understood(&face.world, session, &session.informed(question), &answer));
            if revisiting {
                aside(face, session);
            }
        }
        Change::NotTaken(error) => {
            if let Some(at) = error.at.clone().filter(|_| text.is_ascii() && !text.contains(char::is_control)) {
                let marks = "^".repeat(at.len().max(1));
                face.put(&format!("  {text}\n  {}{marks}\n", " ".repeat(at.start)));
            }
            face.say(Ink::Caution, &format!("Not taken: {error}"));
        }
    }
    Ok(())
}

/// Offers to take the last act of a session back that has ended. Whether it goes on.
///
/// # Errors
/// The terminal is gone, or the journal cannot be written.
pub fn reopen(face: &Face, session: &mut Session<'_>) -> Result<bool, AppError> {
    face.say(Ink::Plain, "The session has ended. `undo` takes its last act back; Enter leaves it so.");
    let words = vec![("undo".to_owned(), "take the last act back".to_owned())];
    match face.read_line(Aids { prompt: "> ".into(), words, first_only: true, ..Aids::default() }).map_err(lost)? {
        Line::Text(text) if text.trim().eq_ignore_ascii_case("undo") => {
            acted(face, session.undo()?, "Taken back", "There is nothing to take back.");
            Ok(!session.has_ended())
        }
        _ => Ok(false),
    }
}

fn obey(
    face: &Face,
    session: &mut Session<'_>,
    question: &Question,
    order: Order,
    shown: &mut Shown,
) -> Result<(), AppError> {
    match order {
        Order::Back => match session.back() {
            Some(name) => face.say(Ink::Plain, &format!("Back at {name}. Enter keeps the old answer.")),
            None => face.say(Ink::Plain, "This is the first question."),
        },
        Order::Undo => acted(face, session.undo()?, "Taken back", "There is nothing to take back."),
        Order::Redo => acted(face, session.redo()?, "Brought back", "There is nothing to bring back."),
        Order::Skip => {
            let step = session.skip()?;
            face.say(Ink::Plain, &format!("Left out: {step}"));
        }
        Order::Stop => session.stop()?,
        Order::Note(text) => {
            session.note(&text)?;
            face.say(Ink::Plain, "Noted.");
        }
        Order::Why => face.show(&page::why(&face.world, session, question)?),
        Order::Tally => face.show(&super::tally::text::page(&session.tally()?, face.width(), face.look.plain)),
        Order::Steps => face.show(&page::steps(session)),
        Order::Yard(word) => switch_yard(face, session, &word, shown)?,
        Order::Quote(text) => quote(face, session, &text)?,
        Order::Mix(list) => {
            let parts = session.mix(&list)?;
            face.say(Ink::Plain, &format!("In one container from here on: {}", parts.join(", ")));
        }
        Order::Reread => {
            let changed = session.reread()?;
            (shown.step, shown.told) = (None, None);
            face.say(
                Ink::Plain,
                if changed { "The recipe was read again; your answers stand." } else { "The recipe has not changed." },
            );
        }
        Order::Help => face.show(&help()),
        Order::Pause => {}
    }
    aside(face, session);
    Ok(())
}

fn switch_yard(face: &Face, session: &mut Session<'_>, word: &str, shown: &mut Shown) -> Result<(), AppError> {
    session.switch_yard(word)?;
    shown.step = None;
    let yard = &session.valuation().yard;
    face.say(
        Ink::Plain,
        &format!("Valued at {} from here on, in {}, weights in {}.", yard.name(), yard.currency(), session.unit()),
    );
    let tally = session.tally()?;
    face.say(Ink::Money, &format!("Net as it stands: {}", tally.net.show(session.valuation().notation)));
    Ok(())
}

fn quote(face: &Face, session: &mut Session<'_>, text: &str) -> Result<(), AppError> {
    let (grade, price) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
    let valuation = session.valuation();
    let quote = add_quote(&face.world, &valuation.yard, grade, price.trim(), valuation.date, None)?;
    let line =
        format!("{} at {} from {} on: {}", quote.grade, quote.yard, quote.date, quote.price.show(valuation.notation));
    face.say(Ink::Money, &line);
    session.revalue()
}

fn acted(face: &Face, entry: Option<Entry>, done: &str, nothing: &str) {
    let text = match entry {
        None => nothing.to_owned(),
        Some(entry) => {
            let what = match entry.kind {
                Kind::Stop => "stop here".to_owned(),
                Kind::Note => format!("note {}", entry.understood.unwrap_or_default()),
                Kind::Mix => format!("mix {}", entry.understood.unwrap_or_default()),
                _ => format!("{} = {}", entry.question.unwrap_or_default(), entry.typed.unwrap_or_default()),
            };
            format!("{done}: {what}")
        }
    };
    face.say(Ink::Plain, &text);
}

/// Says which answers wait unused because what was changed leads past their questions.
fn aside(face: &Face, session: &Session<'_>) {
    let aside = session.set_aside();
    let question = session.question().map(Question::name);
    let aside: Vec<&str> = aside.into_iter().filter(|name| Some(*name) != question.as_deref()).collect();
    if !aside.is_empty() {
        face.say(Ink::Faint, &format!("Kept, and used again if asked: {}", aside.join(", ")));
    }
}

fn help() -> Page {
    let mut page = Page::new();
    for order in ORDERS {
        let head = format!("{} {}", order.word, order.takes);
        page.line(&[(Ink::Name, &format!("  {head:<20} ")), (Ink::Plain, order.does)]);
    }
    page.say(
        Ink::Faint,
        "  Weights: 8.2, 850 g, 8 lb 3 oz, 1.2 + 0.4, 12.4 - 1.1 (gross less tare), 12.4 - CONTAINER, 12 x 35 g",
    );
    page.say(Ink::Faint, "  A line that begins with = is always an answer, never an order.");
    page
}

/// Reads a weight for a setting or an option, in the person's notation.
///
/// # Errors
/// The text is no weight.
pub fn read_weight(text: &str, unit: MassUnit, notation: Notation) -> Result<crate::quantity::Mass, AppError> {
    let rules = WeighingRules { notation, unit, tare: &|_| None };
    weigh(text, &rules)
        .map(|weighed| weighed.net)
        .map_err(|error| AppError::Answer(format!("{text:?} is no weight: {error}")))
}

/// Lets the person choose among several scripts that a word fits. `None` when nothing may be asked or nothing was chosen.
///
/// # Errors
/// The terminal is gone.
pub fn choose(face: &Face, shelf: Shelf, several: &[(String, String)]) -> Result<Option<String>, AppError> {
    if !face.may_ask || !face.on_terminal {
        return Ok(None);
    }
    let noun = if shelf == Shelf::Yards { "yard" } else { "recipe" };
    face.say(Ink::Plain, &format!("Which {noun}?"));
    for (place, (id, name)) in several.iter().enumerate() {
        face.say(Ink::Plain, &format!("  {} {id}  {name}", place + 1));
    }
    let words = several.iter().map(|(id, name)| (id.clone(), name.clone())).collect();
    match face.read_line(Aids { prompt: "> ".into(), words, first_only: true, ..Aids::default() }).map_err(lost)? {
        Line::Text(text) => {
            let text = text.trim();
            let by_number = text.parse::<usize>().ok().and_then(|number| several.get(number.checked_sub(1)?));
            Ok(by_number.or_else(|| several.iter().find(|(id, _)| id == text)).map(|(id, _)| id.clone()))
        }
        Line::Interrupt(_) | Line::End => Ok(None),
    }
}
