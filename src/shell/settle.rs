//! Settling at the terminal or from a file: the same interview for both, and the ticket explained as a page.

use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;

use serde_json::{Value, json};

use super::ink::{Ink, Page};
use super::line::Aids;
use super::terminal::Terminal;
use crate::market::ticket::Cause;
use crate::naming::counted;
use crate::quantity::{MassUnit, Money, Notation};
use crate::store::answers::FileAnswer;
use crate::trips::{Interview, Prompt, SettledTicket, Settling};
use crate::world::AppError;

/// Words for leaving without booking anything.
const LEAVE: [&str; 3] = ["leave", "quit", "exit"];

/// Takes answers from a file first; what it leaves open is asked at the terminal, or gets its default.
pub struct Clerk<'f> {
    terminal: &'f Terminal,
    file: Option<PathBuf>,
    answers: BTreeMap<String, FileAnswer>,
    used: BTreeSet<String>,
    asks: bool,
}

impl<'f> Clerk<'f> {
    /// A user at the terminal or a writer to standard input, with some answers given in advance.
    pub fn at_terminal(terminal: &'f Terminal, given: Vec<FileAnswer>) -> Clerk<'f> {
        Clerk { file: None, asks: terminal.may_ask, ..Clerk::over(terminal, given) }
    }

    /// An answers file alone.
    pub fn of_file(terminal: &'f Terminal, file: PathBuf, given: Vec<FileAnswer>) -> Clerk<'f> {
        Clerk { file: Some(file), ..Clerk::over(terminal, given) }
    }

    fn over(terminal: &'f Terminal, given: Vec<FileAnswer>) -> Clerk<'f> {
        let answers = given.into_iter().map(|answer| (answer.question.clone(), answer)).collect();
        Clerk { terminal, file: None, answers, used: BTreeSet::new(), asks: false }
    }

    /// The names of answers that no question took.
    pub fn unused(&self) -> Vec<&str> {
        self.answers.keys().filter(|key| !self.used.contains(*key)).map(String::as_str).collect()
    }

    fn place(&self, key: &str) -> String {
        match (&self.file, self.answers.get(key)) {
            (Some(file), Some(answer)) => format!("{}, line {}: ", file.display(), answer.line),
            _ => String::new(),
        }
    }
}

impl Interview for Clerk<'_> {
    fn ask(&mut self, prompt: &Prompt) -> Result<String, AppError> {
        if let Some(answer) = self.answers.get(&prompt.key)
            && self.used.insert(prompt.key.clone())
        {
            return Ok(answer.text.clone());
        }
        if !self.asks {
            let missing = || format!("`{}` ({}) needs an answer", prompt.key, prompt.text);
            return prompt.default.clone().ok_or_else(|| AppError::Answer(missing()));
        }
        let default = prompt.default.as_ref().map(|default| format!(" [{default}]")).unwrap_or_default();
        let mut asked = Page::new();
        asked.say(Ink::Plain, &format!("{}{default}", prompt.text));
        let typed = self.terminal.ask(Aids::to_answer(asked).words(prompt.words.clone()))?;
        let left = || AppError::Answer("left before the end; nothing was booked".to_owned());
        typed.filter(|text| !LEAVE.contains(&text.trim())).ok_or_else(left)
    }

    fn refuse(&mut self, prompt: &Prompt, answer: &str, why: &str) -> Result<(), AppError> {
        let given = self.answers.contains_key(&prompt.key);
        if !self.asks {
            let place = self.place(&prompt.key);
            return Err(AppError::Answer(format!("{place}`{}` = {answer:?}: {why}", prompt.key)));
        }
        let which = if given { format!(" ({answer:?} for {})", prompt.key) } else { String::new() };
        self.terminal.say(Ink::Caution, &format!("Not taken{which}: {why}"));
        Ok(())
    }

    fn tell(&mut self, text: &str) {
        self.terminal.say(Ink::Caution, text);
    }
}

/// The ticket compared with what was expected, cause by cause.
pub fn page(settling: &Settling<'_, '_>) -> Page {
    let mut page = Page::new();
    let notation = settling.valuation.notation;
    let found = &settling.reconciliation;
    let show = |money: Money| money.show(notation);
    page.line(&[
        (Ink::Plain, "Expected "),
        (Ink::Money, &show(found.expected)),
        (Ink::Plain, ", paid "),
        (Ink::Money, &show(found.paid)),
    ]);
    if settling.valuation.yard.is_sample() {
        page.say(Ink::Caution, "What was expected rests on sample prices, which are invented.");
    }
    if found.findings.is_empty() {
        page.line(&[(Ink::Good, "As expected: "), (Ink::Plain, "there is nothing to explain.")]);
        return page;
    }
    for cause in Cause::ALL {
        let parts: Vec<_> = found.findings.iter().filter(|finding| finding.cause == cause).collect();
        if parts.is_empty() {
            continue;
        }
        let ink = if cause.explains() { Ink::Plain } else { Ink::Caution };
        page.line(&[
            (ink, &format!("{}: ", capital(cause.words()))),
            (Ink::Money, &signed(found.sum(cause), notation)),
        ]);
        for part in parts {
            let line = if part.line.is_empty() { String::new() } else { format!("{} ", part.line) };
            let detail = if part.detail.is_empty() { String::new() } else { format!(" ({})", part.detail) };
            page.say(Ink::Plain, &format!("  {line}{}{detail}", signed(part.amount, notation)));
        }
    }
    let remains = found.remains();
    if remains.amount().is_zero() {
        page.line(&[(Ink::Good, "All explained. "), (Ink::Plain, "Nothing remains to take up with the yard.")]);
    } else {
        page.line(&[(Ink::Caution, "Remains to take up with the yard: "), (Ink::Money, &signed(remains, notation))]);
    }
    page
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map(|first| first.to_uppercase().collect::<String>() + chars.as_str()).unwrap_or_default()
}

/// An amount with its sign.
fn signed(money: Money, notation: Notation) -> String {
    let plus = if money.amount() > rust_decimal::Decimal::ZERO { "+" } else { "" };
    format!("{plus}{}", money.show(notation))
}

/// What was booked, if anything: quotes, the ticket, and what stays in stock. Weights in `unit`.
pub fn outcome(booked: Option<&SettledTicket>, unit: MassUnit, notation: Notation) -> Page {
    let mut page = Page::new();
    let Some(booked) = booked else {
        page.say(Ink::Plain, "Nothing was booked.");
        return page;
    };
    booked.quotes.iter().for_each(|quote| page.say(Ink::Money, &format!("Quote kept: {quote}")));
    let lots = counted(booked.entry.lots.len(), "lot");
    page.say(Ink::Plain, &format!("Booked as {}: {lots} sold. `stock undo` takes it back.", booked.ticket));
    for rest in &booked.entry.rest {
        let shown = match rest.mass {
            Some(mass) => mass.show_friendly(unit, notation),
            None => counted(rest.pieces, "piece"),
        };
        page.say(Ink::Plain, &format!("Stays in stock: {shown} of {}", rest.lot));
    }
    page
}

/// The explanation as versioned JSON.
pub fn json(settling: &Settling<'_, '_>, booked: Option<&str>) -> Value {
    let found = &settling.reconciliation;
    let findings = found.findings.iter().map(|finding| {
        json!({
            "cause": finding.cause.code(),
            "explains": finding.cause.explains(),
            "line": finding.line,
            "amount": finding.amount.amount().to_string(),
            "detail": finding.detail,
        })
    });
    json!({
        "format": "knockdown-settlement",
        "version": 1,
        "yard": settling.valuation.yard.id(),
        "date": settling.ticket.date.to_string(),
        "currency": found.paid.currency().code(),
        "expected": found.expected.amount().to_string(),
        "total": settling.ticket.total.amount().to_string(),
        "paid": found.paid.amount().to_string(),
        "findings": findings.collect::<Vec<_>>(),
        "remains": found.remains().amount().to_string(),
        "ticket": booked,
    })
}
