//! One session, with everything its report shows.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use super::super::balance::{BalanceWithSlips, Grounds, balance};
use super::super::depth::per_hour;
use super::archive::{Archive, RecipeChoice};
use super::learn::Learned;
use super::past::Past;
use super::record::SessionRecord;
use super::replay::along_the_way;
use crate::bench::{Presence, Unfit};
use crate::market::Tally;
use crate::pricing::Valuation;
use crate::quantity::{Estimate, Mass, Minutes, Money, Notation, WeighingRules, weigh};
use crate::world::AppError;

/// What one step brought.
#[derive(Debug, Clone, PartialEq)]
pub struct StepValue {
    /// Its title.
    pub title: String,
    /// How long it took.
    pub minutes: Minutes,
    /// Net after it minus net before it, with the remainder by difference.
    pub adds: Money,
    /// The same per hour.
    pub per_hour: Option<Money>,
}

/// A part's weight against the expected one.
#[derive(Debug, Clone, PartialEq)]
pub struct YieldRow {
    /// The part.
    pub part: String,
    /// Its weight; `None` if it was too light or absent.
    pub weight: Option<Mass>,
    /// What the recipe expected.
    pub expected: Estimate<Mass>,
    /// Its place in the range: `below`, `within`, `above`, `too light`, `not there`.
    pub verdict: &'static str,
}

/// A session ready to be reported, at its own yard, prices and day.
#[derive(Debug, Clone)]
pub struct SessionReport {
    /// Its name.
    pub id: String,
    /// The day, `2026-11-02`; empty if unreadable.
    pub day: String,
    /// Who worked, if they gave a name.
    pub person: Option<String>,
    /// Whether it has ended; if not, no sum includes it.
    pub ended: bool,
    /// Its tags.
    pub tags: Vec<String>,
    /// Its tally.
    pub tally: Tally,
    /// The number format of that yard.
    pub notation: Notation,
    /// What each step brought, in the order done.
    pub steps: Vec<StepValue>,
    /// What each part weighed.
    pub yields: Vec<YieldRow>,
    /// Everything with a weight: name, weight, whether the yard pays for it; heaviest first.
    pub masses: Vec<(String, Mass, bool)>,
    /// Whether the weights add up; `None` until unit and remainder are weighed.
    pub balance: Option<BalanceWithSlips>,
    /// WEEE Annex VII items still inside.
    pub still_inside: Vec<String>,
    /// Answers without a question.
    pub unfit: Vec<Unfit>,
    /// What a reader should know.
    pub remarks: Vec<String>,
    /// Whether its journal could be read only in part.
    pub damaged: bool,
}

impl SessionReport {
    /// What was *weighed to sell*: the weight on lines the yard pays for. What was sold is on the ticket.
    pub fn weighed_to_sell(&self) -> Mass {
        Mass::sum(self.masses.iter().filter(|(_, _, sold)| *sold).map(|(_, mass, _)| *mass)).unwrap_or(Mass::ZERO)
    }
}

/// Reads a session for a report.
///
/// # Errors
/// As [`Archive::play`]; its yard cannot be read.
pub fn report(archive: &Archive<'_>, record: SessionRecord) -> Result<SessionReport, AppError> {
    let past = archive.play(record, &RecipeChoice::AsRan)?;
    let mut remarks = past.remarks.clone();
    let valuation = archive.as_it_was(&past.occasion(), &mut remarks)?;
    let tally = past.tally(archive.world(), &valuation)?;
    let mut steps = Vec::new();
    for pair in along_the_way(archive, &past, &valuation)?.windows(2) {
        let [before, after] = pair else { continue };
        let step = after.after.as_deref().and_then(|id| past.recipe().step(id));
        let minutes = after.tally.minutes.get() - before.tally.minutes.get();
        let minutes = Minutes::new(minutes).unwrap_or(Minutes::ZERO);
        let adds = after.tally.net.minus(before.tally.net).unwrap_or(Money::zero(tally.currency()));
        let title = step.map(|step| step.title.clone()).unwrap_or_default();
        steps.push(StepValue { title, minutes, adds, per_hour: per_hour(adds, minutes) });
    }
    let inside = past.recipe().unit().holds.iter().filter(|item| !past.run_result.state.is_clear_of(item)).cloned();
    Ok(SessionReport {
        id: past.header.id.clone(),
        day: past.day().map(|day| day.to_string()).unwrap_or_default(),
        person: past.header.person.clone(),
        ended: past.has_ended(),
        tags: past.standing.tags().into_iter().map(str::to_owned).collect(),
        notation: valuation.notation,
        steps,
        yields: yields(&past),
        masses: masses(&tally),
        balance: whether_it_adds_up(archive, &past, &valuation),
        still_inside: inside.collect(),
        unfit: past.unfit(),
        remarks,
        damaged: past.is_damaged(),
        tally,
    })
}

/// The balance, with answers read as typed at that yard; if units have changed since, only the masses count.
fn whether_it_adds_up(archive: &Archive<'_>, past: &Past, valuation: &Valuation) -> Option<BalanceWithSlips> {
    let (world, notation) = (archive.world(), valuation.notation);
    let container = |name: &str| world.container(name);
    let rules = WeighingRules { notation, unit: world.unit(&valuation.yard).ok()?, tare: &container };
    let known = world.config.containers.keys().filter_map(|name| world.container(name));
    let grounds = Grounds {
        learned: &Learned::default(),
        tares: known.filter_map(|mass| mass.grams().to_f64()).collect(),
        division: archive.division(),
        typed: &|question| weigh(&past.standing.answer(question)?.typed, &rules).ok(),
        notation,
    };
    balance(&past.run_result.state, &grounds)
}

fn yields(past: &Past) -> Vec<YieldRow> {
    let row = |part: &crate::bench::FreePart| {
        let (weight, verdict) = match part.presence {
            Presence::Weighed(reading) if reading.net < part.expected.low() => (Some(reading.net), "below"),
            Presence::Weighed(reading) if reading.net > part.expected.high() => (Some(reading.net), "above"),
            Presence::Weighed(reading) => (Some(reading.net), "within"),
            Presence::TooLight => (None, "too light"),
            Presence::Absent => (None, "not there"),
        };
        YieldRow { part: part.part.clone(), weight, expected: part.expected, verdict }
    };
    past.run_result.state.parts.iter().map(row).collect()
}

fn masses(tally: &Tally) -> Vec<(String, Mass, bool)> {
    let sold = tally.lines.iter().flat_map(|line| {
        let pays = line.amount.amount() > Decimal::ZERO;
        line.items.iter().map(move |item| (name(&item.part, item.remainder), item.mass, pays))
    });
    let unsold = tally.unsold.iter().map(|item| (name(&item.part, item.remainder), item.mass, false));
    let known =
        |(name, mass, pays): (String, Option<Mass>, bool)| Some((name, mass.filter(|m| *m > Mass::ZERO)?, pays));
    let mut masses: Vec<_> = sold.chain(unsold).filter_map(known).collect();
    masses.sort_by(|a, b| b.1.cmp(&a.1).then_with(|| a.0.cmp(&b.0)));
    masses
}

fn name(part: &str, remainder: bool) -> String {
    if remainder { format!("{part}, what is left") } else { part.to_owned() }
}
