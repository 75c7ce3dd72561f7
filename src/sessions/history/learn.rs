//! Predicts a part's weight: the recipe's range, corrected by the user's own sessions.

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
use crate::stats::yields::{Yield, YieldBasis, learn};
use crate::world::AppError;

/// The most sessions read for one recipe, the latest ones, so that nobody waits at the bench.
const MOST: usize = 100;

/// Coverage of the range shown.
const SHOWN: f64 = 0.9;

/// Distance of low and high from the mean, in standard deviations, such that the range read as PERT has that mean and
/// sd: a symmetric PERT on μ ± h has variance h²/7.
const PERT_REACH: f64 = 2.645_751_311_064_590_6;

/// Prefix of a learned figure's origin: `learned from own sessions: 6, up to 2026-11-02; before: estimate`. The number
/// and the day are read back, so that no session teaches twice.
pub(super) const LEARNED: &str = "learned from own sessions: ";
pub(super) const UP_TO: &str = ", up to ";
pub(super) const BEFORE: &str = "; before: ";

/// How many sessions a recipe's figure already includes, and up to which day.
fn held(figures_from: &str) -> Option<(u32, Date)> {
    let (count, rest) = figures_from.strip_prefix(LEARNED)?.split_once(UP_TO)?;
    Some((count.parse().ok()?, rest.split_once(BEFORE)?.0.parse().ok()?))
}

/// What the user's sessions say about a recipe's parts.
#[derive(Debug, Clone, Default)]
pub struct Learned {
    parts: BTreeMap<String, Taught>,
    usual_intake: f64,
    /// Weights excluded as probable unnoticed slips.
    pub slips: Vec<Slipped>,
    /// The days of the first and last session used.
    pub days: Option<(Date, Date)>,
    /// Sessions that could not be read, with reasons.
    pub lapses: Vec<(String, String)>,
}

/// What is known of a part.
#[derive(Debug, Clone, Copy)]
struct Taught {
    learned: Yield,
    /// The number of sessions: those already in the recipe's figure, and those since.
    sessions: usize,
}

/// The prediction for a part.
#[derive(Debug, Clone, PartialEq)]
pub struct Foreseen {
    /// The mean, and the range that should hold nine of ten weights.
    pub weight: Estimate<Mass>,
    /// The number of sessions behind it.
    pub sessions: usize,
    /// Whether it predicts by share of the intake weight rather than by mass.
    pub by_share: bool,
}

impl Learned {
    /// Learns from an archive's sessions of a recipe, except the current session.
    ///
    /// # Errors
    /// The folder cannot be read. An unreadable session is skipped and listed.
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

    /// Learns from sessions already read. A recipe figure that was itself learned counts as the sessions it includes;
    /// only those after its day are added.
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

    /// How many sessions stand behind a part's prediction; 0 before the first.
    pub fn sessions(&self, part: &str) -> usize {
        self.parts.get(part).map_or(0, |taught| taught.sessions)
    }

    /// The largest number of sessions behind one part's prediction.
    pub fn most_sessions(&self) -> usize {
        self.parts.values().map(|taught| taught.sessions).max().unwrap_or(0)
    }

    /// Predicts a part in a unit of this intake (the usual one if unknown). `None` before the first session.
    pub fn foresee(&self, part: &str, intake: Option<Mass>) -> Option<Foreseen> {
        let Taught { learned, sessions } = self.parts.get(part)?;
        let expected = learned.expect(self.intake(intake), SHOWN).ok()?;
        let (low, high) = (expected.interval.low, expected.interval.high);
        Some(Foreseen {
            weight: estimate(low, expected.mean, high)?,
            sessions: *sessions,
            by_share: learned.basis == YieldBasis::ShareOfIntake,
        })
    }

    /// Predicts a part as mean and sd in grams: learned if there are sessions, else from the recipe's range. `least_sd`
    /// keeps a zero-width range from claiming too much.
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

    /// The weight to assume before a part is weighed.
    pub fn usual(&self, freed: &Freed, intake: Option<Mass>) -> Mass {
        self.foresee(&freed.part, intake).map_or(freed.expected.usual(), |foreseen| foreseen.weight.usual())
    }

    /// A range for recipes and planning which, read as PERT, has the mean and sd predicted for a unit of this intake
    /// (the usual one if unknown).
    pub fn range(&self, part: &str, intake: Option<Mass>) -> Option<Foreseen> {
        let Taught { learned, sessions } = self.parts.get(part)?;
        let predicted = learned.expected(self.intake(intake), f64::MIN_POSITIVE).ok()?;
        let reach = PERT_REACH * predicted.sd();
        Some(Foreseen {
            weight: estimate(predicted.value() - reach, predicted.value(), predicted.value() + reach)?,
            sessions: *sessions,
            by_share: learned.basis == YieldBasis::ShareOfIntake,
        })
    }

    /// The ranges of all parts that sessions have taught something about.
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

/// An estimate from grams, to three significant digits and never below zero.
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
        // Keep three significant digits.
        assert!((pert.mean - mean).abs() < 5.0 && (pert.sd() - sd).abs() < 3.0, "{pert:?}");
    }
}
