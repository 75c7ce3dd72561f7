//! Turns the state of a unit on the bench into the haul that a yard values.

use crate::bench::{CurrentAnswers, End, FreePart, Presence, RunResult, UnitState};
use crate::market::haul::{BalanceReading, Consumable, Fraction, Haul, Mix, Remainder, RemainderOf, WeightSource};
use crate::quantity::{Mass, Minutes};
use crate::recipe::Recipe;

/// The haul of a unit after a run. `division` is that of the user's scale, if set; otherwise each reading is as fine as
/// it was typed.
pub(crate) fn haul_of_run(
    recipe: &Recipe,
    run_result: &RunResult,
    standing: &CurrentAnswers,
    division: Option<Mass>,
) -> Haul {
    let (state, recipe) = (&run_result.state, run_result.recipe(recipe));
    let handed_on = match &run_result.end {
        End::HandedOn(hazard) => Some(hazard.clone()),
        _ => None,
    };
    let mixes = standing.mixes();
    Haul {
        unit_name: recipe.unit().name.clone(),
        recipe: recipe.unit().id.clone(),
        intake: state.intake.map(|reading| reading.net),
        intake_division: state.intake.map_or(Mass::ZERO, |reading| resolution(reading.resolution, division)),
        whole_grade: Some(recipe.unit().whole_grade.clone()),
        fractions: whole_parts(state).map(|part| fraction(part, mixes, division)).collect(),
        mixes: mixes.iter().map(|parts| Mix { name: parts.join(" + "), net: None }).collect(),
        remainders: remainders(state),
        minutes: minutes(state),
        consumables: state.costs.iter().map(|cost| Consumable { name: cost.name.clone(), cost: cost.money }).collect(),
        handed_on,
        readings: readings(state, division),
    }
}

/// The resolution of a reading: the scale's division if set, but no finer than what was typed.
pub(crate) fn resolution(typed: Mass, division: Option<Mass>) -> Mass {
    division.map_or(typed, |division| division.max(typed))
}

/// Parts that are out, present, and not opened further.
fn whole_parts(state: &UnitState) -> impl Iterator<Item = &FreePart> {
    state.parts.iter().filter(|part| part.presence != Presence::Absent && part.opened.is_none())
}

fn fraction(part: &FreePart, mixes: &[Vec<String>], division: Option<Mass>) -> Fraction {
    let (net, pieces, division) = match part.presence {
        Presence::Weighed(reading) => (Some(reading.net), reading.pieces, division.unwrap_or(reading.resolution)),
        Presence::TooLight | Presence::Absent => (None, 1, Mass::ZERO),
    };
    Fraction {
        part: part.part.clone(),
        grade: part.grade.clone(),
        net,
        pieces,
        regraded_from: (part.grade != part.foreseen).then(|| part.foreseen.clone()),
        in_mix: mixes.iter().position(|parts| parts.contains(&part.part)),
        division,
    }
}

fn remainders(state: &UnitState) -> Vec<Remainder> {
    let (mass, how) = match (state.remainder, state.intake) {
        (Some(weighed), _) => (Some(weighed.net), WeightSource::Weighed),
        (None, Some(intake)) => (intake.net.minus(state.freed_from(None)).ok(), WeightSource::Computed),
        (None, None) => (None, WeightSource::Unknown),
    };
    let unit = Remainder { of: RemainderOf::Unit, grade: Some(state.grade.clone()), mass, how, pieces: 1 };
    let opened = state.parts.iter().filter(|part| part.presence != Presence::Absent).filter_map(|part| {
        let grade = part.opened.clone()?;
        let (mass, pieces) = match part.presence {
            Presence::Weighed(reading) => (reading.net.minus(state.freed_from(Some(&part.part))).ok(), reading.pieces),
            Presence::TooLight | Presence::Absent => (None, 1),
        };
        let how = if mass.is_some() { WeightSource::Computed } else { WeightSource::Unknown };
        Some(Remainder { of: RemainderOf::Part(part.part.clone()), grade: Some(grade), mass, how, pieces })
    });
    std::iter::once(unit).chain(opened).collect()
}

/// What should add up to the intake: parts taken from the unit itself, and the remainder if weighed.
fn readings(state: &UnitState, division: Option<Mass>) -> Vec<BalanceReading> {
    let parts = state.parts.iter().filter(|part| part.host.is_none()).filter_map(|part| match part.presence {
        Presence::Weighed(reading) => Some((part.part.clone(), reading)),
        Presence::TooLight | Presence::Absent => None,
    });
    let rest = state.remainder.map(|reading| ("what is left of the unit".to_owned(), reading));
    parts
        .chain(rest)
        .map(|(part, reading)| BalanceReading {
            part,
            mass: reading.net,
            division: resolution(reading.resolution, division),
        })
        .collect()
}

/// The total time of finished steps. Each is bounded, and a recipe has few of them.
fn minutes(state: &UnitState) -> Minutes {
    state.minutes.iter().try_fold(Minutes::ZERO, |sum, (_, minutes)| sum.plus(*minutes)).unwrap_or(Minutes::ZERO)
}
