//! What is shown above a question: the recipe's texts, the current step, its hazards; and aids for answering.

use super::shown::Shown;
use crate::bench::{Ask, FINISHED, NOTHING, Question};
use crate::sessions::Session;
use crate::shell::emergency::{HELP_NOW, HELP_NOW_DOES};
use crate::shell::ink::{Ink, Page};
use crate::shell::line::Aids;
use crate::shell::meaning::AnswerMeaning;
use crate::shell::order::ORDERS;
use crate::shell::page;
use crate::shell::terminal::Terminal;
use crate::world::AppError;

/// Shows the recipe's texts that are new since the last time. When a session is resumed, those that belong to the
/// current question.
pub(super) fn say_new(terminal: &Terminal, session: &Session<'_>, shown: &mut Shown) {
    let said = &session.run_result().state.said;
    let asked = session.run_result().asked.len();
    let mut former = shown
        .said
        .take()
        .unwrap_or_else(|| said.iter().filter(|said| said.after < asked).map(|said| said.text.clone()).collect());
    for said in said {
        match former.iter().position(|text| *text == said.text) {
            Some(place) => drop(former.swap_remove(place)),
            None => terminal.say(Ink::Name, &format!("  {}", said.text)),
        }
    }
    shown.said = Some(said.iter().map(|said| said.text.clone()).collect());
}

/// Says why an answered question is asked again: its answer does not fit the recipe as it is now.
pub(super) fn say_unfit(terminal: &Terminal, session: &Session<'_>, shown: &mut Shown) {
    let name = session.run_result().waits().map(Question::name);
    let unfit = session.run_result().unfit.iter().find(|unfit| Some(&unfit.name) == name.as_ref());
    if let Some(unfit) = unfit.filter(|unfit| shown.unfit.as_ref() != Some(unfit)) {
        terminal.show(&page::unfit(unfit));
    }
    shown.unfit = unfit.cloned();
}

/// The full page of a new step: what it takes and how it is done are shown before the user says whether to do it, and
/// before any guard is confirmed. After the guards are confirmed, the instructions are shown again, right above the
/// work.
pub(super) fn show_step(
    terminal: &Terminal,
    session: &Session<'_>,
    question: &Question,
    shown: &mut Shown,
) -> Result<(), AppError> {
    if shown.step.as_deref() != Some(&question.step) {
        (shown.step, shown.guarded) = (Some(question.step.clone()), false);
        match session.recipe().step(&question.step) {
            Some(step) => {
                terminal.blank_line();
                terminal.show(&page::step(&terminal.world, session, step)?);
            }
            None => show_unit(terminal, session, question),
        }
    }
    let Some(step) = session.recipe().step(&question.step) else { return Ok(()) };
    match &question.ask {
        // A guard demanded by the work itself comes between two of its questions: nothing has scrolled far.
        Ask::Guard { hazard, .. } => shown.guarded |= step.guards.contains(hazard),
        _ if shown.guarded => {
            shown.guarded = false;
            terminal.blank_line();
            terminal.show(&page::instructions(step));
        }
        _ => {}
    }
    Ok(())
}

fn show_unit(terminal: &Terminal, session: &Session<'_>, question: &Question) {
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
    terminal.show(&page);
}

/// Shows the question and, above a guard, its hazard in full: whenever the question is reached, and after every order,
/// which may have scrolled the hazard away. After a rejected answer the hazard is not reprinted, so that the reason for
/// the rejection stays visible. Returns hazard and question as one page.
pub(super) fn show_question(
    terminal: &Terminal,
    session: &Session<'_>,
    question: &Question,
    default: Option<&str>,
    shown: &mut Shown,
) -> Page {
    let mut whole = Page::new();
    if let Ask::Guard { hazard, .. } = &question.ask {
        let name = Some(question.name());
        if let Some(known) = terminal.world.host().catalogue().hazards().get(hazard) {
            whole = page::hazard(known);
            if shown.cautioned != name {
                terminal.blank_line();
                terminal.show(&whole);
            }
            whole.blank();
        }
        shown.cautioned = name;
        terminal.forget_keys();
    }
    let asked = page::question(session, question, default);
    terminal.blank_line();
    terminal.show(&asked);
    whole.append(asked);
    whole
}

/// The ids of the relevant hazards: those of the current step, then the confirmed ones, latest first, then those of the
/// unit.
pub(super) fn at_hand(session: &Session<'_>, question: &Question) -> Vec<String> {
    let guard = |question: &Question| match &question.ask {
        Ask::Guard { hazard, .. } => Some(hazard.clone()),
        _ => None,
    };
    let recipe = session.recipe();
    let step = recipe.step(&question.step).into_iter().flat_map(|step| step.guards.iter().cloned());
    let confirmed = session.run_result().asked.iter().rev().filter_map(|asked| guard(&asked.question));
    let unit = recipe.unit().guards.iter().cloned();
    guard(question).into_iter().chain(step).chain(confirmed).chain(unit).collect()
}

/// Aids for typing the answer.
pub(super) fn aids(
    terminal: &Terminal,
    session: &Session<'_>,
    question: &Question,
    asked: Page,
    shown: &mut Shown,
) -> Aids {
    let containers = terminal.world.config.containers.keys();
    let weights = containers.filter_map(|name| Some((name.to_lowercase(), terminal.world.container(name)?))).collect();
    let mut words: Vec<(String, String)> = match &question.ask {
        // `skip` is one of the orders.
        Ask::Listed { or: Some(word), .. } => vec![(word.clone(), "not any of them".to_owned())],
        Ask::NextStep => vec![(FINISHED.to_owned(), "nothing more is to be done".to_owned())],
        Ask::NextPart { .. } => vec![(NOTHING.to_owned(), "nothing more comes out".to_owned())],
        Ask::Begin { .. } => ["do", "later"].map(|word| (word.to_owned(), String::new())).to_vec(),
        Ask::YesNo => ["yes", "no"].map(|word| (word.to_owned(), String::new())).to_vec(),
        Ask::Choice { options } => options.iter().map(|option| (option.clone(), String::new())).collect(),
        Ask::Weight { .. } => {
            terminal.world.config.containers.keys().map(|name| (name.clone(), "container".into())).collect()
        }
        _ => Vec::new(),
    };
    words.extend(ORDERS.iter().map(|order| (order.word.to_owned(), order.does.to_owned())));
    words.push((HELP_NOW.to_owned(), HELP_NOW_DOES.to_owned()));
    let meaning = AnswerMeaning {
        question: session.informed(question),
        notation: session.valuation().notation,
        unit: session.unit(),
        containers: weights,
    };
    Aids {
        prompt: "> ".into(),
        asked,
        words,
        first_only: true,
        meaning: Some(Box::new(meaning)),
        draft: std::mem::take(&mut shown.draft),
        list: match &question.ask {
            Ask::Listed { list, .. } => Some(list.clone()),
            _ => None,
        },
        history: None,
    }
}
