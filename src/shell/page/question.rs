//! The page of a question: what is asked, the possible answers, why, and what was understood.

use super::figures::{own_sessions, range};
use super::step::step;
use crate::bench::{Answer, Ask, FINISHED, NOTHING, Question, UNIT, Weighing};
use crate::quantity::{Estimate, Mass, MassUnit, Notation};
use crate::recipe::Action;
use crate::sessions::Session;
use crate::shell::ink::{Ink, Page};
use crate::shell::meaning::meaning;
use crate::world::{AppError, World};

/// The question itself with its possible answers.
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
    let reads = default.is_none() && matches!(question.ask, Ask::Weight { .. }) && session.has_scale();
    let default = default.map(|text| format!("  Enter: {text}"));
    let default = default.unwrap_or_else(|| if reads { "  Enter: the scale".into() } else { String::new() });
    page.line(&[(Ink::Faint, "  "), (Ink::Faint, &takes), (Ink::Faint, &default)]);
    page
}

/// Numbered list entries that match a description.
pub fn offers(offers: &[(String, String)]) -> Page {
    let mut page = Page::new();
    for (place, (id, name)) in offers.iter().enumerate() {
        page.line(&[
            (Ink::Figure, &format!("  {} ", place + 1)),
            (Ink::Name, id),
            (Ink::Plain, "  "),
            (Ink::Plain, name),
        ]);
    }
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
        Ask::NextStep => format!("a few words; {FINISHED}: nothing more"),
        Ask::NextPart { .. } => format!("a name; {NOTHING}: nothing comes out"),
        Ask::Listed { list, or } => {
            let or = or.as_ref().map(|word| format!("; or {word}")).unwrap_or_default();
            format!("words that describe it, to find its {}, or its id{or}", list.what())
        }
        Ask::Minutes { expected } => format!("minutes; usually {}", notation.show(expected.usual().get())),
        Ask::Weight { expected, what } => {
            let usual = match (expected, what) {
                (Some(expected), Weighing::Remainder) => {
                    format!("; by difference {}", expected.usual().show_friendly(unit, notation))
                }
                (Some(expected), _) => usual(session, question, expected),
                (None, Weighing::Part) => unexpected(session, question),
                (None, _) => String::new(),
            };
            let else_takes = match what {
                Weighing::Intake => "; or unknown",
                Weighing::Part => "; or none, or too light",
                Weighing::Remainder => "; or difference",
                Weighing::Other => "; or too light",
            };
            let scale = if session.has_scale() { "; or scale" } else { "" };
            format!("weight in {unit}, such as {}{usual}{else_takes}{scale}", example(unit, notation))
        }
    }
}

/// For a part that nobody foresaw: only that it cannot weigh more than what it came out of.
fn unexpected(session: &Session<'_>, question: &Question) -> String {
    let most = session.left_of_whole(question).map(|(name, left)| {
        let left = left.show_friendly(session.unit(), session.valuation().notation);
        format!(", and at most the {left} that is left of {name}")
    });
    format!("; no figure to expect{}", most.unwrap_or_default())
}

/// The usual value and its source: the user's own sessions take precedence over the recipe.
fn usual(session: &Session<'_>, question: &Question, expected: &Estimate<Mass>) -> String {
    let (unit, notation) = (session.unit(), session.valuation().notation);
    match session.foreseen(question) {
        Some(foreseen) => {
            let sessions = own_sessions(foreseen.sessions);
            format!("; usually {} by {sessions}", range(&foreseen.weight, unit, notation))
        }
        None => format!("; usually {}{}", range(expected, unit, notation), confidence(session, question)),
    }
}

/// A note on figures without a published source.
fn confidence(session: &Session<'_>, question: &Question) -> &'static str {
    let recipe = session.recipe();
    let figures = match recipe.step(&question.step) {
        Some(step) => step.frees.iter().find(|freed| freed.part == question.key).map(|freed| &freed.figures_from),
        None => Some(&recipe.unit().figures_from),
    };
    figures.map_or("", |figures| trust(figures))
}

/// Whether the stated source makes figures low confidence.
pub fn is_doubtful(figures_from: &str) -> bool {
    figures_from.contains("low confidence")
}

/// A note on how far to trust figures, judged by their stated source.
pub fn trust(figures_from: &str) -> &'static str {
    if is_doubtful(figures_from) {
        ", low confidence"
    } else if figures_from.contains("estimate") {
        ", in part an estimate"
    } else {
        ""
    }
}

fn example(unit: MassUnit, notation: Notation) -> String {
    match (unit, notation) {
        (MassUnit::Pound, Notation::Point) => "8.2, 8 lb 3 oz or 9.4 - 1.2".into(),
        (_, Notation::Point) => "3.7, 850 g or 4.2 - 0.5".into(),
        (_, Notation::Comma) => "3,7, 850 g or 4,2 - 0,5".into(),
    }
}

/// A question answered by an answers file: the answer given, and what was understood. Empty if no question has that
/// `name`.
pub fn played(world: &World, session: &Session<'_>, name: &str) -> Page {
    let mut page = Page::new();
    let asked = session.run_result().asked.iter().find(|asked| asked.question.name() == name);
    if let (Some(asked), Some(given)) = (asked, session.standing().answer(name)) {
        page.line(&[(Ink::Name, name), (Ink::Plain, " = "), (Ink::Figure, &given.typed)]);
        page.append(understood(world, session, &asked.question, &given.typed, &asked.answer));
    }
    page
}

/// How the typed answer was understood, and what a weighed part brings.
pub fn understood(world: &World, session: &Session<'_>, question: &Question, typed: &str, answer: &Answer) -> Page {
    let notation = session.valuation().notation;
    let mut page = Page::new();
    if let Some(text) = meaning(question, typed, answer, session.unit(), notation) {
        page.line(&[(Ink::Plain, "  "), (Ink::Figure, &text)]);
    }
    let state = &session.run_result().state;
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

/// Why a question is asked and what depends on it.
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
    }
    Ok(page)
}
