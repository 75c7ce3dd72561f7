//! What past sessions would have netted: at another yard, on another day, under another recipe, at another floor.

use std::rc::Rc;

use jiff::civil::Date;
use rust_decimal::Decimal;

use super::super::haul_of_run::haul_of_run;
use super::archive::{Archive, RecipeChoice};
use super::outcome::Told;
use super::past::Past;
use crate::bench::Unfit;
use crate::market::{Effects, Haul, Tally};
use crate::pricing::Valuation;
use crate::quantity::{Minutes, Money, QuantityError};
use crate::store::Id;
use crate::store::journal::SessionHeader;
use crate::world::AppError;

/// The terms of a replay.
#[derive(Debug, Clone)]
pub struct ReplayTerms {
    /// The yards, one column each; empty means the session's own.
    pub yards: Vec<String>,
    /// The pricing date; `None` is today.
    pub date: Option<Date>,
    /// The recipe.
    pub recipe: RecipeChoice,
    /// What an hour of the user's time must bring, in each yard's currency.
    pub floor: Option<Decimal>,
}

/// A session's value at one yard.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Valued {
    /// The yard's id.
    pub yard: String,
    /// The pricing date.
    pub date: Date,
    /// What it nets.
    pub net: Money,
    /// Net minus what the unit would bring whole.
    pub gain: Option<Money>,
    /// Gain per hour.
    pub per_hour: Option<Money>,
    /// How many things are worth nothing there.
    pub unsold: usize,
    /// Whether the prices are invented samples.
    pub sample: bool,
    /// The difference from its original net; `None` if that was in another currency.
    pub effects: Option<Effects>,
    /// Where stopping earlier would have paid more at the floor rate.
    pub earlier: Option<EarlierStop>,
}

/// A stop that, at the given floor, would have left more than going on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EarlierStop {
    /// Title of the last step to do; `None` means not to open the unit at all.
    pub after: Option<String>,
    /// What it would have netted.
    pub net: Money,
    /// The minutes that it would have taken.
    pub minutes: Minutes,
    /// How much better that is, with the user's time at the floor rate counted on both sides.
    pub better_by: Money,
}

/// A replayed session.
#[derive(Debug, Clone)]
pub struct Replayed {
    /// Its name.
    pub id: String,
    /// Its recipe's id.
    pub recipe: String,
    /// The day it began.
    pub day: Option<Date>,
    /// Whether it has ended; if not, no total includes it.
    pub ended: bool,
    /// Working time.
    pub minutes: Minutes,
    /// As it was: its own yard, prices, day and recipe.
    pub was: Valued,
    /// At each of the yards asked for.
    pub now: Vec<Valued>,
    /// Answers that no longer fit the recipe asked for.
    pub unfit: Vec<Unfit>,
    /// What a reader should know.
    pub remarks: Vec<String>,
    /// Whether its journal could be read only in part.
    pub damaged: bool,
}

/// Replays one session.
///
/// # Errors
/// It cannot be read, a yard cannot be had, or a sum runs out of bounds.
pub fn replay(archive: &Archive<'_>, id: &Id, told: Told, terms: &ReplayTerms) -> Result<Replayed, AppError> {
    // As it ran it needs no run: what came out stands in its journal.
    if let Some(outcome) =
        told.outcome.as_ref().filter(|_| terms.recipe == RecipeChoice::AsRan && terms.floor.is_none())
    {
        let mut remarks = Vec::new();
        let then = archive.as_it_was(&outcome.occasion(), &mut remarks)?;
        let before = then.tally(archive.world(), &outcome.haul)?;
        let now = valued_at(archive, terms, &then, [&before, &before], &outcome.haul, None)?;
        let (header, day) = (&outcome.header, outcome.occasion().day());
        return Ok(Replayed { remarks, ..replayed(header, day, valued(&then, &before), before.minutes, now) });
    }
    let ran = archive.play(told.record(&archive.world().home, id)?, &RecipeChoice::AsRan)?;
    let mut remarks = ran.remarks.clone();
    let then = archive.as_it_was(&ran.occasion(), &mut remarks)?;
    let haul = ran.haul();
    let before = then.tally(archive.world(), &haul)?;
    let other = match terms.recipe {
        RecipeChoice::AsRan => None,
        _ => Some(archive.replay(&ran, &terms.recipe)?),
    };
    let past = other.as_ref().unwrap_or(&ran);
    let haul = other.as_ref().map_or(haul, |other| other.haul());
    remarks
        .extend(other.iter().flat_map(|other| &other.remarks).filter(|remark| !ran.remarks.contains(remark)).cloned());
    let by_old_terms = other.as_ref().map(|_| then.tally(archive.world(), &haul)).transpose()?;
    let reworked = by_old_terms.as_ref().unwrap_or(&before);
    let now = valued_at(archive, terms, &then, [&before, reworked], &haul, Some(past))?;
    Ok(Replayed {
        ended: ran.has_ended(),
        // What ran has ended as it ran: an answer that nothing asks for was left over by its own undoing.
        unfit: if other.is_none() && ran.has_ended() { Vec::new() } else { past.unfit() },
        remarks,
        damaged: ran.is_damaged(),
        ..replayed(&ran.header, ran.day(), valued(&then, &before), before.minutes, now)
    })
}

/// A session that has ended, with nothing to remark on it.
fn replayed(header: &SessionHeader, day: Option<Date>, was: Valued, minutes: Minutes, now: Vec<Valued>) -> Replayed {
    Replayed {
        id: header.id.clone(),
        recipe: header.recipe.clone(),
        day,
        ended: true,
        minutes,
        was,
        now,
        unfit: Vec::new(),
        remarks: Vec::new(),
        damaged: false,
    }
}

/// What the goods net at each of the yards asked for, or else at the session's own. `before` are the tallies as it
/// was: of what came out then, and of what comes out now.
fn valued_at(
    archive: &Archive<'_>,
    terms: &ReplayTerms,
    then: &Valuation,
    [before, reworked]: [&Tally; 2],
    haul: &Haul,
    past: Option<&Past>,
) -> Result<Vec<Valued>, AppError> {
    let date = terms.date.unwrap_or_else(|| archive.world().clock.today());
    let own = [then.yard.id().to_owned()];
    let yards = if terms.yards.is_empty() { &own[..] } else { &terms.yards };
    let at = |yard: &String| {
        let valuation = archive.at_yard(yard, date)?;
        let after = valuation.tally(archive.world(), haul)?;
        let effects = Effects::between(before, reworked, &after).map_err(bounds)?;
        let earlier = match (terms.floor, past) {
            (Some(floor), Some(past)) => earlier_stop(archive, past, &valuation, &after, floor)?,
            _ => None,
        };
        Ok(Valued { effects, earlier, ..valued(&valuation, &after) })
    };
    yards.iter().map(at).collect()
}

fn bounds(error: QuantityError) -> AppError {
    AppError::Refused(format!("the difference cannot be computed: {error}"))
}

fn valued(valuation: &Valuation, tally: &Tally) -> Valued {
    Valued {
        yard: valuation.yard.id().to_owned(),
        date: valuation.date,
        net: tally.net,
        gain: tally.gain,
        per_hour: tally.per_hour,
        unsold: tally.unsold.len(),
        sample: valuation.yard.is_sample(),
        effects: None,
        earlier: None,
    }
}

/// The best place to stop along the session's way, with time at `floor` an hour; `None` if going on was best.
///
/// Only stops at which everything is out that had to come out, so that no hazard is left in for money's sake.
fn earlier_stop(
    archive: &Archive<'_>,
    past: &Past,
    valuation: &Valuation,
    full: &Tally,
    floor: Decimal,
) -> Result<Option<EarlierStop>, AppError> {
    let as_done = left_over(full, floor)?;
    let mut stops = along_the_way(archive, past, valuation)?;
    stops.pop();
    let mut best: Option<EarlierStop> = None;
    for stop in stops.into_iter().filter(|stop| stop.is_clean) {
        let better_by = left_over(&stop.tally, floor)?.minus(as_done).map_err(bounds)?;
        if better_by.amount() > best.as_ref().map_or(Decimal::ZERO, |stop| stop.better_by.amount()) {
            let after = stop.after.as_deref().and_then(|id| past.recipe().step(id)).map(|step| step.title.clone());
            best = Some(EarlierStop { after, net: stop.tally.net, minutes: stop.tally.minutes, better_by });
        }
    }
    Ok(best)
}

/// A place to stop along a session's way.
pub(super) struct StopOnTheWay {
    /// The last step done; `None` at the start.
    pub after: Option<String>,
    /// The unit at that point, its remainder by difference.
    pub tally: Tally,
    /// Whether everything the law demands that eventually came out was already out.
    pub is_clean: bool,
}

/// The unit unopened, and after each step in order.
pub(super) fn along_the_way(
    archive: &Archive<'_>,
    past: &Past,
    valuation: &Valuation,
) -> Result<Vec<StopOnTheWay>, AppError> {
    let done: Vec<&str> = past.run_result.state.minutes.iter().map(|(step, _)| step.as_str()).collect();
    let stop = |count: usize| {
        let later = &done[count..];
        let keeps = |name: &str| {
            name != "unit/remainder" && !name.split_once('/').is_some_and(|(step, _)| later.contains(&step))
        };
        let standing = Rc::new(past.standing.stopped_early(keeps));
        let run_result = past.kept.run(archive.world(), standing.clone())?;
        let removed = &run_result.state.removed;
        let is_clean = past.run_result.state.removed.iter().all(|item| removed.contains(item));
        let haul = haul_of_run(past.recipe(), &run_result, &standing, archive.division());
        let tally = valuation.tally(archive.world(), &haul)?;
        let after = count.checked_sub(1).map(|place| done[place].to_owned());
        Ok(StopOnTheWay { after, tally, is_clean })
    };
    (0..=done.len()).map(stop).collect()
}

/// The net minus the user's time at `floor` an hour, to the minor unit.
fn left_over(tally: &Tally, floor: Decimal) -> Result<Money, AppError> {
    let hours = tally.minutes.get() / Decimal::from(60);
    let time =
        floor.checked_mul(hours).ok_or_else(|| AppError::Refused(format!("a floor of {floor} is out of bounds")))?;
    let time = Money::new(time, tally.currency()).map_err(bounds)?.rounded();
    tally.net.minus(time).map_err(bounds)
}
