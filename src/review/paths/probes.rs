//! Which answers are assumed for a question. The first is the default, for what is not varied.

use rust_decimal::Decimal;

use super::PathFacts;
use crate::bench::{Answer, Ask, Question, Reading, Weighing};
use crate::quantity::{Mass, MassUnit};
use crate::recipe::Action;

/// Every answer that is tried: all of them for yes/no, a choice and a guard; for numbers and weights a few, and those
/// around what the script compares with; one for a line of text, since its words cannot be distinguished in any useful
/// way.
///
/// `seen` tells whether a script sees the answer: only then is a weight varied. `opened` tells whether some step opens
/// the weighed part: only then does it matter whether the part is there.
pub(super) fn answers(question: &Question, seen: bool, opened: bool, facts: &PathFacts<'_>) -> Vec<Answer> {
    match &question.ask {
        // Whether to do a step is decided one level up.
        Ask::Begin { .. } => vec![Answer::Do],
        Ask::Guard { action: Action::Licensed, .. } => {
            vec![Answer::DoneBy("a licensed person".into()), Answer::HandOn, Answer::Refused]
        }
        Ask::Guard { .. } => vec![Answer::Confirmed, Answer::Refused],
        Ask::YesNo => vec![Answer::Yes(true), Answer::Yes(false)],
        Ask::Choice { options } => options.iter().cloned().map(Answer::Choice).collect(),
        Ask::Number { .. } => numbers(facts).into_iter().map(Answer::Number).collect(),
        Ask::Count => counts(facts).into_iter().map(Answer::Count).collect(),
        Ask::Text => vec![Answer::Text("-".into())],
        // The bench itself guards what a user makes up, in the same way for every recipe.
        Ask::NextStep | Ask::NextPart { .. } => vec![Answer::NoMore],
        Ask::Listed { list, or } => {
            let usual = or.clone().or_else(|| list.entries().first().map(|entry| entry.id.clone()));
            usual.map(Answer::Choice).into_iter().collect()
        }
        Ask::Minutes { expected } => vec![Answer::Minutes(expected.usual())],
        Ask::Weight { expected: Some(expected), what: Weighing::Part } => {
            let mut masses = vec![expected.usual()];
            if seen {
                masses.extend([expected.low(), expected.high()]);
                masses.extend(around(&facts.weights).filter(|mass| expected.covers(*mass)));
            }
            let missing = (seen || opened).then_some(Answer::Absent);
            weights(masses).chain(seen.then_some(Answer::TooLight)).chain(missing).collect()
        }
        Ask::Weight { what: Weighing::Remainder, .. } => vec![Answer::Unweighed],
        Ask::Weight { expected: Some(expected), .. } => weights(vec![expected.usual()]).collect(),
        Ask::Weight { expected: None, .. } => {
            let some = [1, 100, 10]
                .into_iter()
                .filter_map(|amount| Mass::of(Decimal::new(amount, 1), MassUnit::Kilogram).ok());
            weights(some.chain(around(&facts.weights)).collect()).chain([Answer::TooLight]).collect()
        }
    }
}

fn weights(mut masses: Vec<Mass>) -> impl Iterator<Item = Answer> {
    let mut seen = std::collections::BTreeSet::new();
    masses.retain(|mass| seen.insert(*mass));
    masses.into_iter().map(|net| Answer::Weight(Reading { net, pieces: 1, resolution: Mass::ZERO }))
}

/// Each threshold, and a gram to either side.
fn around(thresholds: &[Mass]) -> impl Iterator<Item = Mass> + '_ {
    let near = |mass: &Mass| {
        let gram = Mass::from_grams(Decimal::ONE).ok()?;
        Some([mass.minus(gram).ok()?, *mass, mass.plus(gram).ok()?])
    };
    thresholds.iter().filter_map(near).flatten().filter(|mass| *mass > Mass::ZERO)
}

/// 0, 1, 100, and each threshold with one to either side.
fn numbers(facts: &PathFacts<'_>) -> Vec<Decimal> {
    let near = facts
        .numbers
        .iter()
        .flat_map(|number| [-1, 0, 1].map(|step| number.checked_add(step.into()).unwrap_or(*number)));
    let mut all: Vec<Decimal> = [0, 1, 100].into_iter().map(Decimal::from).chain(near).collect();
    let mut seen = std::collections::BTreeSet::new();
    all.retain(|number| seen.insert(*number));
    all
}

/// Those of [`numbers`] that can be counts, and 7 for several.
fn counts(facts: &PathFacts<'_>) -> Vec<u32> {
    let whole = numbers(facts).into_iter().filter(|number| number.is_integer() && *number <= Decimal::from(10_000));
    let mut all: Vec<u32> =
        whole.filter_map(|number| u32::try_from(number).ok()).filter(|count| *count != 100).collect();
    if !all.contains(&7) {
        all.push(7);
    }
    all
}
