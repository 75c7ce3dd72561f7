//! Advice at the head of a step: go on, skip it, or stop, and why. It only advises; it hides no step.

use rust_decimal::Decimal;

use super::figures::signed;
use crate::quantity::{Money, Notation};
use crate::recipe::Step;
use crate::sessions::{Advice, Ahead, NextBundle, Session};
use crate::shell::ink::{Ink, Page};

/// The advice at the head of `step`.
pub(super) fn ahead(session: &Session<'_>, step: &Step, page: &mut Page) {
    let ahead = match session.ahead() {
        Ok(ahead) => ahead,
        Err(error) => return page.line(&[(Ink::Faint, "  no advice: "), (Ink::Faint, &error.to_string())]),
    };
    let notation = session.valuation().notation;
    match ahead.advice {
        Advice::Work => work(session, step, &ahead, page),
        Advice::Leave | Advice::NoTime(_) => leave(&ahead, notation, page),
        Advice::Demanded => {
            let law = titles(session, &ahead.demanded);
            page.line(&[(Ink::Caution, "  stop after what the law wants out: "), (Ink::Plain, &law)]);
            let facts = format!("    with what it needs {}; {}", facts(&ahead.best, notation), beyond(&ahead));
            page.line(&[(Ink::Plain, &facts)]);
        }
        Advice::Stop => {
            page.line(&[(Ink::Caution, "  stop here: "), (Ink::Plain, beyond(&ahead))]);
            if let Some(next) = &ahead.next {
                let text = format!("{} would add {}", titles(session, &next.steps), facts(next, notation));
                page.line(&[(Ink::Plain, "    the best of it, "), (Ink::Plain, &text)]);
            }
        }
    }
    terms(session, &ahead, notation, page);
}

fn work(session: &Session<'_>, step: &Step, ahead: &Ahead, page: &mut Page) {
    let notation = session.valuation().notation;
    page.line(&[(Ink::Plain, "  all that pays from here: "), (Ink::Figure, &facts(&ahead.best, notation))]);
    let place = session.recipe().steps().iter().position(|known| known.id == step.id);
    let is_in = |places: &[usize]| place.is_some_and(|place| places.contains(&place));
    if is_in(&ahead.demanded) {
        page.line(&[(Ink::Plain, "  the law wants out what this step takes out")]);
    } else if !is_in(&ahead.best.steps) {
        // A step that raises the grade of all the rest cancels what a part gained by coming out earlier.
        let why = match ahead.next.as_ref().is_some_and(|next| is_in(&next.steps)) {
            true => "it pays by itself; with all of that done it adds less than it takes",
            false => "it brings less than it takes",
        };
        page.line(&[(Ink::Caution, "  this step is not part of it: "), (Ink::Plain, why)]);
    }
    if let Some(next) = ahead.next.as_ref().filter(|next| next.steps.len() < ahead.best.steps.len()) {
        page.line(&[
            (Ink::Plain, "  most per hour next: "),
            (Ink::Plain, &titles(session, &next.steps)),
            (Ink::Figure, &rate(next.per_hour, notation)),
        ]);
    }
}

fn leave(ahead: &Ahead, notation: Notation, page: &mut Page) {
    let why = match ahead.best.steps.is_empty() {
        true if ahead.floor.is_zero() => "no work on it brings more than it takes".to_owned(),
        true => "no work on it brings what your hour has to bring".to_owned(),
        false if ahead.demanded.is_empty() => format!("opening it adds {}", facts(&ahead.best, notation)),
        false => format!("opening it, with what the law wants out, adds {}", facts(&ahead.best, notation)),
    };
    page.line(&[(Ink::Caution, "  leave it whole, or hand it on: "), (Ink::Plain, &why)]);
}

/// The reason to stop.
fn beyond(ahead: &Ahead) -> &'static str {
    match ahead.floor.is_zero() {
        true => "nothing further brings more than it takes, at the weights so far",
        false => "nothing further brings what your hour has to bring, at the weights so far",
    }
}

/// What the advice takes into account besides weights and prices.
fn terms(session: &Session<'_>, ahead: &Ahead, notation: Notation, page: &mut Page) {
    let mut terms = Vec::new();
    if ahead.pace != Decimal::ONE {
        terms.push(format!("times at your pace so far, {} times the usual", notation.show(ahead.pace.normalize())));
    }
    if !ahead.floor.is_zero() {
        let floor = Money::new(ahead.floor, session.valuation().yard.currency());
        terms.extend(floor.map(|floor| format!("your hour at {}", floor.show(notation))));
    }
    if !terms.is_empty() {
        page.line(&[(Ink::Faint, "    counted with "), (Ink::Faint, &terms.join(" and "))]);
    }
}

fn titles(session: &Session<'_>, places: &[usize]) -> String {
    let steps = places.iter().filter_map(|place| session.recipe().steps().get(*place));
    steps.map(|step| step.title.as_str()).collect::<Vec<_>>().join("; ")
}

fn facts(bundle: &NextBundle, notation: Notation) -> String {
    let time = notation.show(bundle.minutes.get());
    format!("{} in {time} min{}", signed(bundle.adds, notation), rate(bundle.per_hour, notation))
}

fn rate(rate: Option<Money>, notation: Notation) -> String {
    rate.map(|rate| format!(", {} an hour", signed(rate, notation))).unwrap_or_default()
}
