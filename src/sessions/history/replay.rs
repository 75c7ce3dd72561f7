//! What past sessions would have netted: at another yard, on another day, under another recipe, at another floor.

use std::rc::Rc;

use jiff::civil::Date;
use rust_decimal::Decimal;

use super::super::haul_of_run::haul_of_run;
use super::archive::{Archive, RecipeChoice};
use super::past::Past;
use super::record::Record;
use crate::bench::Unfit;
use crate::market::{Effects, Tally};
use crate::pricing::Valuation;
use crate::quantity::{Minutes, Money, QuantityError};
use crate::world::AppError;

/// The terms of a replay.
#[derive(Debug, Clone)]
pub struct Terms {
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
/// It or its yard cannot be read, or a sum exceeds its limit.
pub fn replay(archive: &Archive<'_>, record: Record, terms: &Terms) -> Result<Replayed, AppError> {
    let ran = archive.play(record, &RecipeChoice::AsRan)?;
    let mut remarks = ran.remarks.clone();
    let then = archive.as_it_was(&ran, &mut remarks)?;
    let haul = ran.haul(archive);
    let before = then.tally(archive.world(), &haul)?;
    let other = match terms.recipe {
        RecipeChoice::AsRan => None,
        _ => Some(archive.replay(&ran, &terms.recipe)?),
    };
    let past = other.as_ref().unwrap_or(&ran);
    let haul = other.as_ref().map_or(haul, |other| other.haul(archive));
    remarks
        .extend(other.iter().flat_map(|other| &other.remarks).filter(|remark| !ran.remarks.contains(remark)).cloned());
    let date = terms.date.unwrap_or_else(|| archive.world().clock.today());
    let own = [then.yard.id().to_owned()];
    let yards = if terms.yards.is_empty() { &own[..] } else { &terms.yards };
    let by_old_terms = other.as_ref().map(|_| then.tally(archive.world(), &haul)).transpose()?;
    let reworked = by_old_terms.as_ref().unwrap_or(&before);
    let now = yards
        .iter()
        .map(|yard| {
            let valuation = archive.at_yard(yard, date)?;
            let after = valuation.tally(archive.world(), &haul)?;
            let effects = Effects::between(&before, reworked, &after).map_err(bounds)?;
            let earlier = match terms.floor {
                Some(floor) => earlier_stop(archive, past, &valuation, &after, floor)?,
                None => None,
            };
            Ok(Valued { effects, earlier, ..valued(&valuation, &after) })
        })
        .collect::<Result<_, AppError>>()?;
    Ok(Replayed {
        id: ran.header.id.clone(),
        recipe: ran.header.recipe.clone(),
        day: ran.day(),
        ended: ran.has_ended(),
        minutes: before.minutes,
        was: valued(&then, &before),
        now,
        unfit: past.unfit(),
        remarks,
        damaged: ran.is_damaged(),
    })
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
