//! The page of a step: progress, what it takes, what it adds, what it frees, its hazards.

use super::ahead::ahead;
use super::figures::{own_sessions, range, signed};
use super::hazard::ink_of;
use crate::quantity::Minutes;
use crate::recipe::Step;
use crate::sessions::Session;
use crate::shell::ink::{Ink, Page};
use crate::world::{AppError, World};

/// The page of a step: progress, what it takes, what it is expected to add, what it frees, its hazards, how it is done.
///
/// # Errors
/// The step cannot be valued.
pub fn step(world: &World, session: &Session<'_>, step: &Step) -> Result<Page, AppError> {
    let notation = session.valuation().notation;
    let mut page = Page::new();
    let (place, of) = session.position(&step.id).unwrap_or((0, 0));
    page.line(&[(Ink::Faint, &format!("Step {place} of {of}  ")), (Ink::Heading, &step.title)]);
    let minutes = &step.minutes;
    let time = if minutes.low() == minutes.high() {
        format!("about {} min", notation.show(minutes.usual().get()))
    } else {
        let show = |value: Minutes| notation.show(value.get());
        format!("about {} min ({} to {})", show(minutes.usual()), show(minutes.low()), show(minutes.high()))
    };
    page.line(&[(Ink::Plain, "  "), (Ink::Plain, &time)]);
    let outlook = session.outlook(step)?;
    if outlook.adds.amount().is_zero() {
        page.line(&[(Ink::Plain, "  adds nothing by itself; it makes way for other steps")]);
    } else {
        let ink = if outlook.adds.amount().is_sign_negative() { Ink::Caution } else { Ink::Good };
        let rate = outlook.per_hour.map(|rate| format!(", {} an hour", signed(rate, notation))).unwrap_or_default();
        let by = if outlook.sessions > 0 { format!(", by {}", own_sessions(outlook.sessions)) } else { String::new() };
        page.line(&[
            (Ink::Plain, "  adds about "),
            (ink, &signed(outlook.adds, notation)),
            (Ink::Plain, &rate),
            (Ink::Faint, &by),
        ]);
    }
    // For a unit that nobody has described, there is no data to plan with.
    if !session.recipe().steps().iter().any(|step| step.made_up) {
        ahead(session, step, &mut page);
    }
    frees(world, session, step, &mut page);
    for hazard in step.guards.iter().filter_map(|id| world.host().catalogue().hazards().get(id)) {
        page.line(&[
            (Ink::Plain, "  "),
            (ink_of(hazard.class), hazard.class.word()),
            (Ink::Plain, ": "),
            (Ink::Name, &hazard.name),
        ]);
    }
    if !step.tools.is_empty() {
        page.line(&[(Ink::Plain, "  Tools: "), (Ink::Plain, &step.tools.join(", "))]);
    }
    for cost in &step.costs {
        page.line(&[
            (Ink::Plain, "  Uses up: "),
            (Ink::Plain, &cost.name),
            (Ink::Plain, &format!(", {}", cost.money.show(notation))),
        ]);
    }
    page.append(instructions(step));
    Ok(page)
}

fn frees(world: &World, session: &Session<'_>, step: &Step, page: &mut Page) {
    let (unit, notation) = (session.unit(), session.valuation().notation);
    let book = session.valuation().book(world);
    let state = &session.run_result().state;
    for freed in &step.frees {
        if state.is_lacking(&freed.part) {
            page.line(&[(Ink::Plain, "  frees no "), (Ink::Name, &freed.part), (Ink::Plain, ": not in this unit")]);
            continue;
        }
        // Earlier observations may have changed what it sells as.
        let grade = state.regraded(&freed.part).unwrap_or(&freed.grade);
        let price = match book.price(grade, Some(freed.expected.usual())) {
            Ok(priced) => format!("{} at {}", priced.name, priced.price.show(notation)),
            Err(unsold) => format!("{grade}, unsold here: {}", unsold.words(notation)),
        };
        let weight = range(&freed.expected, unit, notation);
        let figures = if freed.figures_from.is_empty() { "no source given" } else { &freed.figures_from };
        page.line(&[(Ink::Plain, "  frees "), (Ink::Name, &freed.part), (Ink::Plain, ", "), (Ink::Figure, &weight)]);
        page.line(&[(Ink::Plain, "    sells as "), (Ink::Plain, &price)]);
        page.line(&[(Ink::Faint, "    weights from: "), (Ink::Faint, figures)]);
    }
}

/// How a step is done, in the recipe's words.
pub fn instructions(step: &Step) -> Page {
    let mut page = Page::new();
    for text in &step.says {
        page.say(Ink::Plain, &format!("  {text}"));
    }
    page
}
