//! Pages of a session: the step at hand, the question, a hazard, what was understood, the end.

use super::ink::{Ink, Page};
use super::meaning::meaning;
use crate::app::{AppError, Session, World};
use crate::bench::{Answer, Ask, End, Fate, Question, UNIT, Unfit, Weighing};
use crate::quantity::{Estimate, Mass, MassUnit, Money, Notation};
use crate::recipe::{Action, Hazard, Step};

/// Money with its sign in front, so that a gain and a loss differ by more than colour.
pub fn signed(money: Money, notation: Notation) -> String {
    let sign = if money.amount().is_sign_negative() { "" } else { "+" };
    format!("{sign}{}", money.show(notation))
}

/// `8.2 lb (6.6 lb to 10.1 lb)` to three digits, or the one value where there is no range.
pub fn range(expected: &Estimate<Mass>, unit: MassUnit, notation: Notation) -> String {
    let show = |mass: Mass| mass.show_rough(unit, notation);
    if expected.low() == expected.high() {
        return show(expected.usual());
    }
    format!("{} ({} to {})", show(expected.usual()), show(expected.low()), show(expected.high()))
}

/// The head of a step: where one is, what it takes, what it is expected to add, what it frees.
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
        let show = |value: crate::quantity::Minutes| notation.show(value.get());
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
    ahead(session, &mut page);
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
    Ok(page)
}

/// What is best from here on, and when nothing is: where to stop, and why. It advises; it hides no step.
fn ahead(session: &Session<'_>, page: &mut Page) {
    let notation = session.valuation().notation;
    let (best, next) = match session.ahead() {
        Ok(ahead) => ahead,
        Err(error) => return page.line(&[(Ink::Faint, "  no advice: "), (Ink::Faint, &error.to_string())]),
    };
    let titles = |places: &[usize]| {
        let steps = places.iter().filter_map(|place| session.recipe().steps().get(*place));
        steps.map(|step| step.title.as_str()).collect::<Vec<_>>().join("; ")
    };
    let rate =
        |rate: Option<Money>| rate.map(|rate| format!(", {} an hour", signed(rate, notation))).unwrap_or_default();
    if best.steps.is_empty() {
        page.line(&[
            (Ink::Caution, "  stop here: "),
            (Ink::Plain, "no further work brings more than it takes at the weights so far"),
        ]);
        if let Some(next) = next {
            let text =
                format!("{} would add {}{}", titles(&next.steps), signed(next.adds, notation), rate(next.per_hour));
            page.line(&[(Ink::Plain, "    the best of it, "), (Ink::Plain, &text)]);
        }
        return;
    }
    let facts =
        format!("{} in {} min{}", signed(best.adds, notation), notation.show(best.minutes.get()), rate(best.per_hour));
    page.line(&[(Ink::Plain, "  all that pays from here: "), (Ink::Figure, &facts)]);
    if let Some(next) = next.filter(|next| next.steps.len() < best.steps.len()) {
        page.line(&[
            (Ink::Plain, "  most per hour next: "),
            (Ink::Plain, &titles(&next.steps)),
            (Ink::Figure, &rate(next.per_hour)),
        ]);
    }
}

fn frees(world: &World, session: &Session<'_>, step: &Step, page: &mut Page) {
    let (unit, notation) = (session.unit(), session.valuation().notation);
    let book = session.valuation().book(world);
    for freed in &step.frees {
        let price = match book.price(&freed.grade, Some(freed.expected.usual())) {
            Ok(priced) => format!("{} at {}", priced.name, priced.price.show(notation)),
            Err(unsold) => format!("{}, unsold here: {}", freed.grade, unsold.words(notation)),
        };
        let weight = range(&freed.expected, unit, notation);
        let figures = if freed.figures_from.is_empty() { "no source given" } else { &freed.figures_from };
        page.line(&[(Ink::Plain, "  frees "), (Ink::Name, &freed.part), (Ink::Plain, ", "), (Ink::Figure, &weight)]);
        page.line(&[(Ink::Plain, "    sells as "), (Ink::Plain, &price)]);
        page.line(&[(Ink::Faint, "    weights from: "), (Ink::Faint, figures)]);
    }
}

/// What a step tells before its work.
pub fn instructions(step: &Step) -> Page {
    let mut page = Page::new();
    for text in &step.says {
        page.say(Ink::Plain, &format!("  {text}"));
    }
    page
}

fn ink_of(action: Action) -> Ink {
    match action {
        Action::Caution => Ink::Caution,
        Action::Danger | Action::Licensed => Ink::Danger,
    }
}

/// A hazard in full: how it hurts, the cautions in order, what to wear, when to stop. Never shortened.
pub fn hazard(hazard: &Hazard) -> Page {
    let mut page = Page::new();
    page.line(&[(ink_of(hazard.class), hazard.class.word()), (Ink::Plain, "  "), (Ink::Heading, &hazard.name)]);
    page.line(&[(Ink::Name, "How it hurts: "), (Ink::Plain, &hazard.hurts)]);
    for (place, caution) in hazard.cautions.iter().enumerate() {
        page.line(&[(Ink::Figure, &format!("  {}. ", place + 1)), (Ink::Plain, caution)]);
    }
    page.line(&[(Ink::Name, "Wear and use: "), (Ink::Plain, &hazard.protection.join(" "))]);
    page.line(&[(Ink::Name, "Stop: "), (Ink::Plain, &hazard.stop)]);
    page.line(&[(Ink::Name, "Where it goes: "), (Ink::Plain, &hazard.disposal)]);
    page.line(&[(
        Ink::Faint,
        "Usual cautions, reviewed by no qualified person; no substitute for local codes and licensed practice.",
    )]);
    page
}

/// The question itself with what may be answered.
pub fn question(session: &Session<'_>, question: &Question, default: Option<&str>) -> Page {
    let mut page = Page::new();
    let place = match session.position(&question.step) {
        Some((place, of)) => format!("[{place}/{of}] "),
        None => String::new(),
    };
    page.line(&[(Ink::Faint, &place), (Ink::Heading, &question.text)]);
    let takes = takes(session, question);
    if let Ask::Choice { options } = &question.ask {
        for (place, option) in options.iter().enumerate() {
            page.line(&[(Ink::Figure, &format!("  {} ", place + 1)), (Ink::Plain, option)]);
        }
    }
    let default = default.map(|text| format!("  Enter: {text}")).unwrap_or_default();
    page.line(&[(Ink::Faint, "  "), (Ink::Faint, &takes), (Ink::Faint, &default)]);
    page
}

fn takes(session: &Session<'_>, question: &Question) -> String {
    let (unit, notation) = (session.unit(), session.valuation().notation);
    match &question.ask {
        Ask::Begin { may_wait: true } => "do, skip or later; ? for more".into(),
        Ask::Begin { may_wait: false } => "do or skip; ? for more".into(),
        Ask::Guard { action: Action::Caution, .. } => "yes: read and followed; no: end safely".into(),
        Ask::Guard { action: Action::Danger, word, .. } => format!("type {word} once it is done; no: end safely"),
        Ask::Guard { action: Action::Licensed, .. } => {
            "by NAME, LICENCE: a licensed person did it; hand on: pass the unit on whole; no: end safely".into()
        }
        Ask::YesNo => "yes or no".into(),
        Ask::Choice { .. } => "number or word".into(),
        Ask::Number { unit } if unit.is_empty() => "a number".into(),
        Ask::Number { unit } => format!("a number, in {unit}"),
        Ask::Count => "a whole number".into(),
        Ask::Text => "a few words".into(),
        Ask::Minutes { expected } => format!("minutes; usually {}", notation.show(expected.usual().get())),
        Ask::Weight { expected, what } => {
            let usual = match (expected, what) {
                (Some(expected), Weighing::Remainder) => {
                    format!("; by difference {}", expected.usual().show_friendly(unit, notation))
                }
                (Some(expected), _) => usual(session, question, expected),
                (None, _) => String::new(),
            };
            let else_takes = match what {
                Weighing::Intake => "; or unknown",
                Weighing::Part => "; or none, or too light",
                Weighing::Remainder => "; or difference",
                Weighing::Other => "; or too light",
            };
            format!("weight in {unit}, such as {}{usual}{else_takes}", example(unit, notation))
        }
    }
}

/// What is usual, and on whose word: the person's own sessions come before the recipe.
fn usual(session: &Session<'_>, question: &Question, expected: &Estimate<Mass>) -> String {
    let (unit, notation) = (session.unit(), session.valuation().notation);
    match session.foreseen(question) {
        Some(foreseen) => {
            let sessions = own_sessions(foreseen.sessions);
            format!("; usually {} by {sessions}", range(&foreseen.weight, unit, notation))
        }
        None => format!("; usually {}", range(expected, unit, notation)),
    }
}

/// `your 6 sessions`.
fn own_sessions(count: usize) -> String {
    if count == 1 { "your 1 session".to_owned() } else { format!("your {count} sessions") }
}

fn example(unit: MassUnit, notation: Notation) -> String {
    match (unit, notation) {
        (MassUnit::Pound, Notation::Point) => "8.2, 8 lb 3 oz or 9.4 - 1.2".into(),
        (_, Notation::Point) => "3.7, 850 g or 4.2 - 0.5".into(),
        (_, Notation::Comma) => "3,7, 850 g or 4,2 - 0,5".into(),
    }
}

/// What was understood of an answer, and what a weighed part brings.
pub fn understood(world: &World, session: &Session<'_>, question: &Question, answer: &Answer) -> Page {
    let notation = session.valuation().notation;
    let mut page = Page::new();
    if let Some(text) = meaning(question, answer, session.unit(), notation) {
        page.line(&[(Ink::Plain, "  "), (Ink::Figure, &text)]);
    }
    let state = &session.transcript().state;
    if let (Answer::Weight(reading), Some(part)) =
        (answer, state.part(&question.key).filter(|p| p.step == question.step))
    {
        let line = match session.valuation().book(world).price(&part.grade, Some(reading.net)) {
            Ok(priced) => match priced.price.of(reading.net, reading.pieces) {
                Ok(money) => format!("{} at {}: {}", priced.name, priced.price.show(notation), money.show(notation)),
                Err(error) => error.to_string(),
            },
            Err(unsold) => format!("{}, unsold here: {}", part.grade, unsold.words(notation)),
        };
        page.line(&[(Ink::Plain, "  "), (Ink::Money, &line)]);
    }
    page
}

/// All steps and what became of them.
pub fn steps(session: &Session<'_>) -> Page {
    let mut page = Page::new();
    let transcript = session.transcript();
    for (place, (step, fate)) in session.recipe().steps().iter().zip(&transcript.state.fates).enumerate() {
        let (word, ink) = match fate {
            _ if transcript.state.current == Some(place) => ("now", Ink::Heading),
            Fate::Done => ("done", Ink::Good),
            Fate::Skipped => ("left out", Ink::Faint),
            Fate::Later(_) => ("later", Ink::Plain),
            Fate::Begun | Fate::Open => ("open", Ink::Plain),
        };
        page.line(&[
            (Ink::Figure, &format!("{:>3}  ", place + 1)),
            (ink, &format!("{word:<9} ")),
            (Ink::Plain, &step.title),
        ]);
    }
    page
}

/// Why a question is asked and what hangs on it.
pub fn why(world: &World, session: &Session<'_>, question: &Question) -> Result<Page, AppError> {
    let mut page = Page::new();
    let text = match &question.ask {
        Ask::Begin { .. } => {
            "A step is only done if you say so. Skipping it leaves what it frees in the remainder, and steps that need it are not offered."
        }
        Ask::Guard { .. } => {
            "A guard stands before work that can hurt. There is no way around it; refusing ends the session safely with what is out by then."
        }
        Ask::Minutes { .. } => {
            "Gain per hour rests on the time. The measured time leaves out pauses; change it if you were interrupted."
        }
        Ask::Weight { what: Weighing::Intake, .. } => {
            "The intake weight gives the value of the unit whole, the remainder by difference, and the balance of all weights."
        }
        Ask::Weight { what: Weighing::Remainder, .. } => {
            "Weighing what is left closes the balance: only then can a slip in another weight show."
        }
        Ask::Weight { .. } => {
            "The yard pays by weight and grade. The weight also tells, over many units, whether the recipe's figures hold."
        }
        _ => {
            "The recipe asks this to tell look-alikes apart or to decide what comes next; the answer is kept with the session."
        }
    };
    page.say(Ink::Plain, &format!("  {text}"));
    page.line(&[(Ink::Faint, "  kept under "), (Ink::Faint, &question.name())]);
    if question.step != UNIT
        && let Some(at) = session.recipe().step(&question.step)
    {
        page.append(step(world, session, at)?);
        page.append(instructions(at));
    }
    Ok(page)
}

/// How the session ended and what the person should know beside the tally.
pub fn ending(world: &World, session: &Session<'_>) -> Page {
    let mut page = Page::new();
    let hazards = world.host().catalogue().hazards();
    let name = |id: &str| hazards.get(id).map_or(id.to_owned(), |hazard| hazard.name.clone());
    match &session.transcript().end {
        End::Waits(question) => page.line(&[(Ink::Caution, "Not finished: "), (Ink::Plain, &question.text)]),
        End::Complete => page.line(&[(Ink::Good, "Done. "), (Ink::Plain, "Every open step is done or left out.")]),
        End::Stopped => page.line(&[(Ink::Plain, "Stopped here. What is left is taken as it is.")]),
        End::Refused(id) => {
            page.line(&[(Ink::Danger, "Ended at a guard: "), (Ink::Plain, &name(id))]);
            page.say(Ink::Plain, "The hazard is still in the unit. Work no further on it; tell whoever takes it.");
        }
        End::HandedOn(id) => {
            page.line(&[(Ink::Caution, "Handed on whole: "), (Ink::Plain, &name(id))]);
            page.say(Ink::Plain, "What is left of the unit goes to a licensed person and is not valued.");
        }
    }
    if let Some(hazard) = match &session.transcript().end {
        End::Refused(id) | End::HandedOn(id) => hazards.get(id),
        _ => None,
    } {
        page.line(&[(Ink::Name, "Stop: "), (Ink::Plain, &hazard.stop)]);
        page.line(&[(Ink::Name, "Where it goes: "), (Ink::Plain, &hazard.disposal)]);
    }
    let skipped = session.skipped();
    if !skipped.is_empty() {
        page.line(&[(Ink::Plain, "Left out: "), (Ink::Plain, &skipped.join("; "))]);
    }
    if session.has_ended() {
        left_behind(session, &mut page);
    }
    page
}

fn left_behind(session: &Session<'_>, page: &mut Page) {
    let inside = session.still_inside();
    if !inside.is_empty() {
        let items = inside.iter().map(|item| annex_item(item)).collect::<Vec<_>>().join("; ");
        page.line(&[(Ink::Danger, "Still inside: "), (Ink::Plain, &items)]);
        page.say(Ink::Plain, "Tell whoever takes the remainder, or hand it to a licensed treater.");
    }
    session.transcript().unfit.iter().for_each(|known| page.append(unfit(known)));
}

/// An answer that found no question.
pub fn unfit(unfit: &Unfit) -> Page {
    let mut page = Page::new();
    let text = format!("{} = {}: {}", unfit.name, unfit.exact, unfit.why);
    page.line(&[(Ink::Caution, "Answer not used: "), (Ink::Plain, &text)]);
    page
}

/// An item of WEEE Annex VII in our words, with its number. Source: Directive 2012/19/EU, Annex VII, consolidated 2024-04-08.
pub fn annex_item(item: &str) -> String {
    let words = match item {
        "1.1" => "capacitors containing PCB",
        "1.2" => "parts containing mercury",
        "1.3" => "batteries",
        "1.4" => "circuit boards",
        "1.5" => "toner cartridges",
        "1.6" => "plastic with brominated flame retardants",
        "1.7" => "asbestos",
        "1.8" => "picture tubes",
        "1.9" => "refrigerant gases",
        "1.10" => "gas discharge lamps",
        "1.11" => "liquid crystal displays",
        "1.12" => "external electric cables",
        "1.13" => "refractory ceramic fibres",
        "1.14" => "parts with radioactive substances",
        "1.15" => "large electrolytic capacitors",
        _ => return format!("item {item} of WEEE Annex VII"),
    };
    format!("{words} ({item})")
}
