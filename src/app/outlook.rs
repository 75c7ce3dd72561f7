//! What a step adds: the unit valued as it stands, and again with the step done as the recipe expects.

use rust_decimal::Decimal;

use super::error::AppError;
use super::gather::gather;
use super::valuation::Valuation;
use super::world::World;
use crate::bench::{Standing, Transcript};
use crate::quantity::{Minutes, Money};
use crate::recipe::{Recipe, Step};

/// What doing a step is expected to change.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Outlook {
    /// What it adds to the net; less than nothing when the parts bring less than the remainder loses.
    pub adds: Money,
    /// The same per hour of the step's usual time.
    pub per_hour: Option<Money>,
    /// The step's usual time.
    pub minutes: Minutes,
}

/// What doing `step` next is expected to add, everything else as it stands. A step that only makes way for others adds
/// nothing by itself; that says nothing against doing it.
///
/// # Errors
/// As [`Valuation::tally`].
pub(super) fn outlook(
    world: &World,
    valuation: &Valuation,
    recipe: &Recipe,
    transcript: &Transcript,
    standing: &Standing,
    step: &Step,
) -> Result<Outlook, AppError> {
    let now = valuation.tally(world, &gather(recipe, transcript, standing, None))?;
    let mut imagined = transcript.clone();
    // Without a weighed unit, parts taken out of it would seem to come from nowhere: its usual weight stands in.
    let usual = recipe.unit().weighs.usual();
    imagined.state.imagine_done(step, usual);
    let mut as_is = transcript.clone();
    as_is.state.imagine_intake(usual);
    let before = match transcript.state.intake {
        Some(_) => now,
        None => valuation.tally(world, &gather(recipe, &as_is, standing, None))?,
    };
    let after = valuation.tally(world, &gather(recipe, &imagined, standing, None))?;
    let minutes = step.minutes.usual();
    let adds = after.net.minus(before.net).unwrap_or(Money::zero(after.net.currency()));
    let per_hour = (minutes > Minutes::ZERO)
        .then(|| adds.amount().checked_mul(Decimal::from(60))?.checked_div(minutes.get()))
        .flatten()
        .and_then(|amount| Money::new(amount, adds.currency()).ok())
        .map(Money::rounded);
    Ok(Outlook { adds, per_hour, minutes })
}
