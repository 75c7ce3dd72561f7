//! A recipe across sessions: what each part weighed, how long each step took, what an hour brought.

use std::collections::BTreeMap;

use jiff::civil::Date;
use rust_decimal::prelude::ToPrimitive;

use super::archive::{Archive, RecipeChoice};
use super::learn::{Foreseen, Learned, three_point};
use super::outcome::{SessionOutcome, Told};
use super::sift::Slipped;
use super::summary::SessionSummary;
use crate::bench::{Presence, same_tag};
use crate::market::Tally;
use crate::quantity::{Estimate, Mass, Minutes};
use crate::recipe::{Freed, Recipe};
use crate::stats::Interval;
use crate::stats::describe::{Summary, describe};
use crate::stats::estimate::{NormalInverseGamma, PRIOR_WORTH};
use crate::stats::outliers::{Outliers, outliers};
use crate::stats::trend::{PracticeTrend, practice_trend};
use crate::store::Id;
use crate::world::AppError;

/// Confidence level of every interval in a comparison.
pub const CONFIDENCE: f64 = 0.95;

/// Which sessions to compare.
#[derive(Debug, Clone, Default)]
pub struct Filter {
    /// First day included.
    pub from: Option<Date>,
    /// Last day included.
    pub to: Option<Date>,
    /// Person, as named in the journals.
    pub person: Option<String>,
    /// Tags that must all be present.
    pub tags: Vec<String>,
}

impl Filter {
    fn takes(&self, session: &Compared) -> bool {
        let day = session.summary.day;
        let from = self.from.is_none_or(|from| day.is_some_and(|day| day >= from));
        let to = self.to.is_none_or(|to| day.is_some_and(|day| day <= to));
        let person = |wanted: &String| session.person.as_ref().is_some_and(|p| p.eq_ignore_ascii_case(wanted));
        let tagged = |wanted: &String| session.tags.iter().any(|tag| same_tag(tag, wanted));
        from && to && self.person.as_ref().is_none_or(person) && self.tags.iter().all(tagged)
    }
}

/// A part across sessions. Weights in grams.
#[derive(Debug, Clone)]
pub struct PartReport {
    /// The part.
    pub part: String,
    /// What today's recipe expects.
    pub expected: Estimate<Mass>,
    /// Session and weight, oldest first.
    pub weights: Vec<(String, f64)>,
    /// Number of sessions in which the step was done and the part was absent.
    pub absent: usize,
    /// Number of sessions in which it was too light for the scale.
    pub too_light: usize,
    /// Summary of the weights; `None` if there are none.
    pub summary: Option<Summary>,
    /// The t interval for the mean weight.
    pub interval: Option<Interval>,
    /// Per cent of the intake, over sessions in which both were weighed.
    pub share: Option<Summary>,
    /// Outlying weights.
    pub outliers: Outliers,
    /// The prediction for next time.
    pub foreseen: Option<Foreseen>,
    /// Weights excluded from that prediction.
    pub slips: Vec<Slipped>,
}

/// A step across sessions.
#[derive(Debug, Clone)]
pub struct MinutesReport {
    /// The step's id.
    pub step: String,
    /// Its title.
    pub title: String,
    /// What today's recipe expects.
    pub expected: Estimate<Minutes>,
    /// The minutes, oldest session first.
    pub minutes: Vec<f64>,
    /// Summary of the minutes; `None` if there are none.
    pub summary: Option<Summary>,
    /// How they change with practice; `None` with fewer than three.
    pub trend: Option<PracticeTrend>,
}

/// A recipe across the sessions of one folder.
#[derive(Debug, Clone)]
pub struct Comparison {
    /// The recipe's id.
    pub recipe: String,
    /// Its title.
    pub name: String,
    /// The sessions compared, oldest first.
    pub sessions: Vec<String>,
    /// Sessions that could not be read, or only in part.
    pub lapses: Vec<(String, String)>,
    /// Intake weights in grams.
    pub intake: Option<Summary>,
    /// Every part of today's recipe.
    pub parts: Vec<PartReport>,
    /// Every step of today's recipe.
    pub steps: Vec<MinutesReport>,
    /// Recovery in per cent of the intake, as it was then; see [`crate::market::tally::Recovery`].
    pub recovery: Option<Summary>,
    /// Gain per hour as it was then, one summary per currency.
    pub per_hour: Vec<(&'static str, Summary)>,
}

/// Compares an archive's sessions of a recipe. The recipe comes from the caller, so that the parts of several archives
/// line up.
///
/// # Errors
/// The folder cannot be read. Unreadable sessions are listed and stop nothing.
pub fn compare(archive: &Archive<'_>, recipe: &Recipe, filter: &Filter) -> Result<Comparison, AppError> {
    let mut lapses = Vec::new();
    let mut pasts: Vec<SessionSummary> = Vec::new();
    let mut as_it_was = AsItWas::default();
    archive.each_told(&archive.sessions_of(&recipe.unit().id)?, |id, told| {
        match told.and_then(|told| compared(archive, id, told)) {
            Ok(compared) if filter.takes(&compared) => {
                lapses.extend(compared.remarks.iter().map(|remark| (id.to_string(), remark.clone())));
                as_it_was.add(&compared, &mut lapses);
                pasts.push(compared.summary);
            }
            Ok(_) => {}
            Err(error) => lapses.push((id.to_string(), error.to_string())),
        }
        Ok(())
    })?;
    let learned = Learned::of(recipe, &pasts);
    let intakes: Vec<f64> = pasts.iter().filter_map(SessionSummary::intake).collect();
    Ok(Comparison {
        recipe: recipe.unit().id.clone(),
        name: recipe.unit().name.clone(),
        sessions: pasts.iter().map(|past| past.id.clone()).collect(),
        intake: describe(&intakes).ok(),
        parts: parts(recipe).map(|freed| part(freed, &pasts, &learned)).collect(),
        steps: recipe.steps().iter().map(|step| minutes(step, &pasts)).collect(),
        recovery: describe(&as_it_was.recovery).ok(),
        per_hour: as_it_was.per_hour.iter().filter_map(|(code, all)| Some((*code, describe(all).ok()?))).collect(),
        lapses,
    })
}

/// A session as far as a comparison needs it.
struct Compared {
    summary: SessionSummary,
    person: Option<String>,
    tags: Vec<String>,
    remarks: Vec<String>,
    /// Its tally as it was.
    tally: Result<Tally, AppError>,
}

/// What is kept of a session, else what its recipe makes of its answers, which is kept then.
fn compared(archive: &Archive<'_>, id: &Id, told: Told) -> Result<Compared, AppError> {
    let world = archive.world();
    if let Some((outcome, summary)) = told.outcome.as_ref().and_then(|it| Some((it, it.summary.clone()?))) {
        let mut remarks = Vec::new();
        let tally =
            archive.as_it_was(&outcome.occasion(), &mut remarks).and_then(|then| then.tally(world, &outcome.haul));
        let (person, tags) = (outcome.header.person.clone(), outcome.tags().to_vec());
        return Ok(Compared { summary, person, tags, remarks, tally });
    }
    // The journal may have been read anew, and have grown since: what is kept is of what was read.
    let record = told.record(&world.home, id)?;
    let outcome = SessionOutcome::of(&record);
    let past = archive.play(record, &RecipeChoice::AsRan)?;
    let summary = SessionSummary::from(&past);
    if let Some(outcome) = outcome.filter(|_| past.remarks.is_empty()) {
        archive.keep(&outcome.with(summary.clone()));
    }
    let mut remarks = past.remarks.clone();
    let tally = archive.as_it_was(&past.occasion(), &mut remarks).and_then(|then| past.tally(world, &then));
    let tags = past.standing.tags().into_iter().map(str::to_owned).collect();
    Ok(Compared { summary, person: past.header.person.clone(), tags, remarks, tally })
}

/// Every part once, though two steps may free it.
fn parts(recipe: &Recipe) -> impl Iterator<Item = &Freed> {
    let all: Vec<&Freed> = recipe.steps().iter().flat_map(|step| &step.frees).collect();
    let first = |place: usize, all: &[&Freed]| all[..place].iter().all(|known| known.part != all[place].part);
    let once: Vec<&Freed> = (0..all.len()).filter(|place| first(*place, &all)).map(|place| all[place]).collect();
    once.into_iter()
}

fn part(freed: &Freed, pasts: &[SessionSummary], learned: &Learned) -> PartReport {
    let count = |wanted: Presence| pasts.iter().filter(|past| past.presence(&freed.part) == Some(wanted)).count();
    let weighed = |past: &SessionSummary| Some((past.id.clone(), past.weight(&freed.part)?));
    let weights: Vec<(String, f64)> = pasts.iter().filter_map(weighed).collect();
    let values: Vec<f64> = weights.iter().map(|(_, grams)| *grams).collect();
    let shares: Vec<f64> =
        pasts.iter().filter_map(|past| Some(past.weight(&freed.part)? / past.intake()? * 100.0)).collect();
    let prior = three_point(&freed.expected).and_then(|range| NormalInverseGamma::from_range(&range, PRIOR_WORTH).ok());
    let none = Outliers { method: crate::stats::outliers::Method::NotTested, flagged: Vec::new() };
    let summary = describe(&values).ok();
    PartReport {
        part: freed.part.clone(),
        expected: freed.expected,
        absent: count(Presence::Absent),
        too_light: count(Presence::TooLight),
        interval: summary.and_then(|summary| summary.mean_interval(CONFIDENCE).ok()),
        summary,
        share: describe(&shares).ok(),
        outliers: outliers(&values, prior.as_ref()).unwrap_or(none),
        foreseen: learned.foresee(&freed.part, None),
        slips: learned.slips.iter().filter(|slip| slip.part == freed.part).cloned().collect(),
        weights,
    }
}

fn minutes(step: &crate::recipe::Step, pasts: &[SessionSummary]) -> MinutesReport {
    let minutes: Vec<f64> = pasts.iter().filter_map(|past| past.minutes(&step.id)).collect();
    MinutesReport {
        step: step.id.clone(),
        title: step.title.clone(),
        expected: step.minutes,
        summary: describe(&minutes).ok(),
        trend: practice_trend(&minutes).ok(),
        minutes,
    }
}

/// What the sessions' tallies say, each at its own yard and day.
#[derive(Default)]
struct AsItWas {
    per_hour: BTreeMap<&'static str, Vec<f64>>,
    recovery: Vec<f64>,
}

impl AsItWas {
    fn add(&mut self, session: &Compared, lapses: &mut Vec<(String, String)>) {
        match &session.tally {
            Ok(tally) => {
                if let Some(hourly) = tally.per_hour.and_then(|money| money.amount().to_f64()) {
                    self.per_hour.entry(tally.currency().code()).or_default().push(hourly);
                }
                self.recovery.extend(tally.recovery.and_then(|recovery| recovery.percent.to_f64()));
            }
            Err(error) => lapses.push((session.summary.id.clone(), format!("its tally: {error}"))),
        }
    }
}
