//! What a step adds: the unit valued as it is, and with the step done as the user's own sessions, or else the recipe,
//! predict.

use super::depth::per_hour;
use super::haul_of_run::haul_of_run;
use super::history::Learned;
use crate::bench::{CurrentAnswers, RunResult};
use crate::pricing::Valuation;
use crate::quantity::{Minutes, Money};
use crate::recipe::{Recipe, Step};
use crate::world::{AppError, World};

/// The expected effect of doing a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Outlook {
    /// What it adds to the net; negative if the parts bring less than the remainder loses.
    pub adds: Money,
    /// The same per hour of the step's usual time.
    pub per_hour: Option<Money>,
    /// The step's usual time.
    pub minutes: Minutes,
    /// How many of the user's own sessions the weights come from; 0 if they are the recipe's.
    pub sessions: usize,
}

/// The expected effect of doing `step` next, with all else unchanged. A step that only makes way for others adds
/// nothing by itself; that is no reason not to do it.
///
/// # Errors
/// As [`Valuation::tally`].
pub(super) fn outlook(
    world: &World,
    valuation: &Valuation,
    recipe: &Recipe,
    run_result: &RunResult,
    standing: &CurrentAnswers,
    learned: &Learned,
    step: &Step,
) -> Result<Outlook, AppError> {
    // Without an intake weight, parts would seem to come from nowhere, so the unit's usual weight stands in.
    let mut before = run_result.clone();
    before.state.imagine_intake(recipe.unit().weighs.usual());
    let intake = run_result.state.intake.map(|reading| reading.net);
    let mut after = before.clone();
    after.state.imagine_done(step, |freed| learned.usual(freed, intake));
    let sessions = step.frees.iter().map(|freed| learned.sessions(&freed.part)).max();
    let net = |run_result| -> Result<Money, AppError> {
        Ok(valuation.tally(world, &haul_of_run(recipe, run_result, standing, None))?.net)
    };
    let (before, after) = (net(&before)?, net(&after)?);
    let minutes = step.minutes.usual();
    let adds = after.minus(before).unwrap_or(Money::zero(after.currency()));
    Ok(Outlook { adds, per_hour: per_hour(adds, minutes), minutes, sessions: sessions.unwrap_or(0) })
}
