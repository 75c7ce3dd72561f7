//! What is to be expected of a part next time: the recipe's range, corrected by the person's own sessions.

use std::collections::BTreeMap;

use jiff::civil::Date;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use super::archive::{Archive, RecipeChoice};
use super::sift::{Slipped, sift};
use super::summary::SessionSummary;
use crate::quantity::{Estimate, Mass};
use crate::recipe::{Freed, Recipe};
use crate::stats::Uncertain;
use crate::stats::estimate::PRIOR_WORTH;
use crate::stats::three_point::ThreePoint;
use crate::stats::yields::{Basis, Yield, learn};
use crate::world::AppError;

/// The most sessions that are read for one recipe, the latest ones. At the bench nobody waits for more.
const MOST: usize = 100;

/// How often the weight should lie in the range shown.
const SHOWN: f64 = 0.9;

/// How far low and high of a range lie from its mean, in standard deviations, if the range is to have that mean and that sd when
/// read as PERT: a symmetric PERT on μ ± h has variance h²/7.
const PERT_REACH: f64 = 2.645_751_311_064_590_6;

/// How a learned figure says where it comes from: `learned from own sessions: 6, up to 2026-11-02; before: estimate`. The number
/// and the day are read back, so that no session teaches twice.
pub(super) const LEARNED: &str = "learned from own sessions: ";
pub(super) const UP_TO: &str = ", up to ";
pub(super) const BEFORE: &str = "; before: ";

/// How many sessions a recipe's figure already holds, and up to which day.
fn held(figures_from: &str) -> Option<(u32, Date)> {
    let (count, rest) = figures_from.strip_prefix(LEARNED)?.split_once(UP_TO)?;
    Some((count.parse().ok()?, rest.split_once(BEFORE)?.0.parse().ok()?))
}

/// What the person's sessions say of a recipe's parts.
#[derive(Debug, Clone, Default)]
pub struct Learned {
    parts: BTreeMap<String, Taught>,
    usual_intake: f64,
    /// Weights that teach nothing, since they are most likely slips that nobody noticed.
    pub slips: Vec<Slipped>,
    /// The days of the first and the last session behind it.
    pub days: Option<(Date, Date)>,
    /// Sessions that could not be read, with the reason.
    pub lapses: Vec<(String, String)>,
}

/// What is known of a part.
#[derive(Debug, Clone, Copy)]
struct Taught {
    learned: Yield,
    /// The sessions behind it: those that the recipe's figure held already, and those since.
    sessions: usize,
}

/// What is to be expected of a part.
#[derive(Debug, Clone, PartialEq)]
pub struct Foreseen {
    /// The mean, and where nine of ten weights will lie.
    pub weight: Estimate<Mass>,
    /// How many sessions stand behind it.
    pub sessions: usize,
    /// Whether it goes by share of the intake weight rather than by mass.
    pub by_share: bool,
}

impl Learned {
    /// Learns from the sessions of a recipe in the archive, but for one: the session at hand.
    ///
    /// # Errors
    /// The folder cannot be read. A session that cannot be read is left out and listed.
    pub fn from(archive: &Archive<'_>, recipe: &Recipe, except: &str) -> Result<Learned, AppError> {
        let mut ids = archive.sessions_of(&recipe.unit().id)?;
        ids.retain(|id| id.as_str() != except);
        let mut lapses = Vec::new();
        let mut pasts = Vec::new();
        for id in &ids[ids.len().saturating_sub(MOST)..] {
            match archive.read(id, &RecipeChoice::AsRan) {
                Ok(past) if past.standing.is_discarded() => {}
                Ok(past) => pasts.push(SessionSummary::from(&past)),
                Err(error) => lapses.push((id.to_string(), error.to_string())),
            }
        }
        Ok(Learned { lapses, ..Learned::of(recipe, &pasts) })
    }

    /// Learns from sessions that were read already. A figure of the recipe that was itself learned counts as the sessions that it
    /// holds, and only those after its day are added.
    pub fn of(recipe: &Recipe, pasts: &[SessionSummary]) -> Learned {
        let usual_intake = recipe.unit().weighs.usual().grams().to_f64().unwrap_or_default();
        let mut slips: Vec<Slipped> = Vec::new();
        let taught = |freed: &Freed| {
            let held = held(&freed.figures_from);
            let counts = |past: &&SessionSummary| held.is_none_or(|(_, until)| past.day.is_some_and(|day| day > until));
            let pasts: Vec<&SessionSummary> = pasts.iter().filter(counts).collect();
            let before = held.map_or(0, |(count, _)| count);
            let (range, worth) = (three_point(&freed.expected)?, PRIOR_WORTH + f64::from(before));
            let (weighed, slipped) = sift(&freed.part, &range, usual_intake, worth, &pasts);
            slips.extend(slipped.into_iter().filter(|slip| !slips.contains(slip)).collect::<Vec<_>>());
            let learned = learn(&range, usual_intake, worth, &weighed).ok().filter(|_| !weighed.is_empty())?;
            Some((freed.part.clone(), Taught { learned, sessions: learned.sessions + before as usize }))
        };
        let parts = recipe.steps().iter().flat_map(|step| &step.frees).filter_map(taught).collect();
        let days = pasts.iter().filter_map(|past| past.day);
        let days = days.clone().min().zip(days.max());
        Learned { parts, usual_intake, slips, days, lapses: Vec::new() }
    }

    /// How many sessions stand behind what is expected of a part; 0 before the first.
    pub fn sessions(&self, part: &str) -> usize {
        self.parts.get(part).map_or(0, |taught| taught.sessions)
    }

    /// The most sessions that stand behind what is expected of one part.
    pub fn most_sessions(&self) -> usize {
        self.parts.values().map(|taught| taught.sessions).max().unwrap_or(0)
    }

    /// What to expect of a part in a unit of this intake (the usual one where it is not known). `None` before its first session.
    pub fn foresee(&self, part: &str, intake: Option<Mass>) -> Option<Foreseen> {
        let Taught { learned, sessions } = self.parts.get(part)?;
        let expected = learned.expect(self.intake(intake), SHOWN).ok()?;
        let (low, high) = (expected.interval.low, expected.interval.high);
        Some(Foreseen {
            weight: estimate(low, expected.mean, high)?,
            sessions: *sessions,
            by_share: learned.basis == Basis::ShareOfIntake,
        })
    }

    /// What to expect of a part as a mean and sd in grams: learned where there are sessions, else the recipe's range.
    /// `least_sd` keeps a range without width from claiming too much.
    pub fn uncertain(
        &self,
        part: &str,
        range: &Estimate<Mass>,
        intake: Option<Mass>,
        least_sd: f64,
    ) -> Option<Uncertain> {
        match self.parts.get(part) {
            Some(taught) => taught.learned.expected(self.intake(intake), least_sd).ok(),
            None => three_point(range)?.expected(least_sd).ok(),
        }
    }

    /// The weight to reckon with before a part is weighed.
    pub fn usual(&self, freed: &Freed, intake: Option<Mass>) -> Mass {
        self.foresee(&freed.part, intake).map_or(freed.expected.usual(), |foreseen| foreseen.weight.usual())
    }

    /// A range that, read as PERT, has the mean and sd that the sessions predict for a unit of this intake (the usual one where it
    /// is not known): for a recipe, and for planning.
    pub fn range(&self, part: &str, intake: Option<Mass>) -> Option<Foreseen> {
        let Taught { learned, sessions } = self.parts.get(part)?;
        let predicted = learned.expected(self.intake(intake), f64::MIN_POSITIVE).ok()?;
        let reach = PERT_REACH * predicted.sd();
        Some(Foreseen {
            weight: estimate(predicted.value() - reach, predicted.value(), predicted.value() + reach)?,
            sessions: *sessions,
            by_share: learned.basis == Basis::ShareOfIntake,
        })
    }

    /// The ranges of all parts that sessions have taught something of.
    pub fn ranges(&self, intake: Option<Mass>) -> BTreeMap<String, Estimate<Mass>> {
        let range = |part: &String| Some((part.clone(), self.range(part, intake)?.weight));
        self.parts.keys().filter_map(range).collect()
    }

    fn intake(&self, intake: Option<Mass>) -> f64 {
        let known = intake.and_then(|mass| mass.grams().to_f64()).filter(|grams| *grams > 0.0);
        known.unwrap_or(self.usual_intake)
    }
}

/// A recipe's estimate in grams.
pub(crate) fn three_point(range: &Estimate<Mass>) -> Option<ThreePoint> {
    let grams = |mass: Mass| mass.grams().to_f64();
    ThreePoint::new(grams(range.low())?, grams(range.usual())?, grams(range.high())?).ok()
}

/// An estimate from grams, to three significant digits and never below nothing.
fn estimate(low: f64, usual: f64, high: f64) -> Option<Estimate<Mass>> {
    let mass = |grams: f64| {
        let decimal = Decimal::try_from(grams.max(0.0)).ok()?.round_sf(3)?;
        Mass::from_grams(decimal).ok()
    };
    Estimate::new(mass(low)?, mass(usual)?, mass(high)?).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_learned_figure_says_what_it_holds() {
        let text = format!("{LEARNED}6{UP_TO}2026-11-02{BEFORE}EREC, read");
        assert_eq!(held(&text), Some((6, jiff::civil::date(2026, 11, 2))));
        assert_eq!(held("estimate"), None);
        assert_eq!(held("learned from own sessions: many, up to now; before: x"), None);
    }

    #[test]
    fn a_range_read_as_pert_has_the_mean_and_sd_that_it_was_made_of() {
        let (mean, sd) = (3700.0, 120.0);
        let range = estimate(mean - PERT_REACH * sd, mean, mean + PERT_REACH * sd).unwrap();
        let pert = three_point(&range).unwrap().pert();
        // Three significant digits are kept.
        assert!((pert.mean - mean).abs() < 5.0 && (pert.sd() - sd).abs() < 3.0, "{pert:?}");
    }
}
