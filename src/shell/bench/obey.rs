//! Carries out the orders that work at every question.

use super::shown::Shown;
use crate::bench::{Entry, Kind, Question};
use crate::pricing::add_quote;
use crate::sessions::Session;
use crate::shell::emergency::{HELP_NOW, HELP_NOW_DOES};
use crate::shell::ink::{Ink, Page};
use crate::shell::order::{ORDERS, Order};
use crate::shell::terminal::Terminal;
use crate::shell::{forms, page, tally};
use crate::store::quotes::QuoteLog;
use crate::world::AppError;

pub(super) fn obey(
    terminal: &Terminal,
    session: &mut Session<'_>,
    question: &Question,
    order: Order,
    shown: &mut Shown,
) -> Result<(), AppError> {
    match order {
        Order::Back => match session.back() {
            Some(name) => terminal.say(Ink::Plain, &format!("Back at {name}. Enter keeps the old answer.")),
            None => terminal.say(Ink::Plain, "This is the first question."),
        },
        Order::Undo => acted(terminal, session.undo()?, "Taken back", "There is nothing to take back."),
        Order::Redo => acted(terminal, session.redo()?, "Brought back", "There is nothing to bring back."),
        Order::Skip => {
            let step = session.skip()?;
            terminal.say(Ink::Plain, &format!("Left out: {step}"));
        }
        Order::Stop => session.stop()?,
        Order::Note(text) => {
            session.note(&text)?;
            terminal.say(Ink::Plain, "Noted.");
        }
        Order::Why => terminal.show(&page::why(&terminal.world, session, question)?),
        Order::Tally => terminal.show(&tally::text::page(&session.tally()?, terminal.width(), terminal.look.plain)),
        Order::Steps => terminal.show(&page::steps(session)),
        Order::Yard(word) => switch_yard(terminal, session, &word, shown)?,
        Order::Quote(text) => quote(terminal, session, &text)?,
        Order::Mix(list) => {
            let parts = session.mix(&list)?;
            terminal.say(Ink::Plain, &format!("In one container from here on: {}", parts.join(", ")));
        }
        Order::Reread => {
            let changed = session.reread()?;
            shown.step = None;
            terminal.say(
                Ink::Plain,
                if changed { "The recipe was read again; your answers stand." } else { "The recipe has not changed." },
            );
        }
        Order::Help => terminal.show(&help()),
        Order::Pause | Order::Discard => {}
    }
    aside(terminal, session);
    Ok(())
}

fn switch_yard(terminal: &Terminal, session: &mut Session<'_>, word: &str, shown: &mut Shown) -> Result<(), AppError> {
    session.switch_yard(word)?;
    shown.step = None;
    let yard = &session.valuation().yard;
    terminal.say(
        Ink::Plain,
        &format!("Valued at {} from here on, in {}, weights in {}.", yard.name(), yard.currency(), session.unit()),
    );
    let tally = session.tally()?;
    terminal.say(Ink::Money, &format!("Net as it stands: {}", tally.net.show(session.valuation().notation)));
    Ok(())
}

fn quote(terminal: &Terminal, session: &mut Session<'_>, text: &str) -> Result<(), AppError> {
    let (grade, price) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
    forms::whole::<QuoteLog>(terminal)?;
    let valuation = session.valuation();
    let quote = add_quote(&terminal.world, &valuation.yard, grade, price.trim(), valuation.date, None)?;
    let line =
        format!("{} at {} from {} on: {}", quote.grade, quote.yard, quote.date, quote.price.show(valuation.notation));
    terminal.say(Ink::Money, &line);
    session.revalue()
}

pub(super) fn acted(terminal: &Terminal, entry: Option<Entry>, done: &str, nothing: &str) {
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
    terminal.say(Ink::Plain, &text);
}

/// Says which answers are unused because a change bypasses their questions.
pub(super) fn aside(terminal: &Terminal, session: &Session<'_>) {
    let aside = session.set_aside();
    let question = session.question().map(Question::name);
    let aside: Vec<&str> = aside.into_iter().filter(|name| Some(*name) != question.as_deref()).collect();
    if !aside.is_empty() {
        terminal.say(Ink::Faint, &format!("Kept, and used again if asked: {}", aside.join(", ")));
    }
}

fn help() -> Page {
    let mut page = Page::new();
    let orders = ORDERS.iter().map(|order| (format!("{} {}", order.word, order.takes), order.does));
    for (head, does) in orders.chain([(format!("{HELP_NOW} WHAT"), HELP_NOW_DOES)]) {
        page.line(&[(Ink::Name, &format!("  {head:<20} ")), (Ink::Plain, does)]);
    }
    page.say(
        Ink::Faint,
        "  Weights: 8.2, 850 g, 8 lb 3 oz, 1.2 + 0.4, 12.4 - 1.1 (gross less tare), 12.4 - CONTAINER, 12 x 35 g",
    );
    page.say(
        Ink::Faint,
        "  From a connected scale: scale, scale - CONTAINER, scale tare, scale zero; `settings scale.kind` sets one up",
    );
    page.say(Ink::Faint, "  A line that begins with = is always an answer, never an order.");
    page
}
