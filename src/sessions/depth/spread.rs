//! The uncertainty of a plan: the spread of its gain and of its gain per hour.
//!
//! Masses and times are PERT over the recipe's low, usual and high, assumed independent; every figure here is only as
//! good as that assumption. Prices are taken as certain. These are floats, shown beside money and never fed back into
//! it.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use super::answer::{Chances, Points};
use super::worth::{Worth, minus};
use crate::plan::spread::{Distribution, Pert, weighted_sum};
use crate::quantity::{Basis, Mass, Minutes};
use crate::world::AppError;

/// One quantity that is not sure: its range, and what one unit of it adds to the gain.
type Term = (Pert, f64);

/// The chances of a plan; `None` if nothing is done.
pub(super) fn chances(worth: &Worth<'_>, order: &[usize], floor: Decimal) -> Result<Option<Chances>, AppError> {
    if order.is_empty() {
        return Ok(None);
    }
    let masses = mass_terms(worth, order);
    let minutes: Vec<Pert> = order.iter().filter_map(|&place| minutes(worth, place)).collect();
    // The constant makes the mean at usual masses agree with the exact tally: rounding, tiers and costs are in it.
    let exact = minus(worth.net(order)?, worth.net(&[])?).amount().to_f64().unwrap_or(0.0);
    let at_usual: f64 = masses.iter().map(|(usual, _, weight)| usual * weight).sum();
    let constant = exact - at_usual;
    let terms: Vec<Term> = masses.into_iter().map(|(_, pert, weight)| (pert, weight)).collect();
    let gain = weighted_sum(constant, &terms);
    let hours: Vec<Term> = minutes.iter().map(|time| (*time, 1.0 / 60.0)).collect();
    let hourly = floor.to_f64().unwrap_or(0.0);
    let wages = minutes.iter().map(|time| (*time, -hourly / 60.0));
    let after_wages: Vec<Term> = terms.iter().copied().chain(wages).collect();
    let (sum, time) = (Distribution::of(constant, &terms), Distribution::of(0.0, &hours));
    let rate = |share: f64| sum.quotient_quantile(&time, share);
    Ok(Some(Chances {
        mean: gain.mean,
        sd: gain.variance.max(0.0).sqrt(),
        gain: Points { p10: gain.p10, p50: gain.p50, p90: gain.p90 },
        per_hour: Points { p10: rate(0.1), p50: rate(0.5), p90: rate(0.9) },
        worth_it: gain.above_zero,
        worth_the_time: (!floor.is_zero()).then(|| weighted_sum(constant, &after_wages).above_zero),
    }))
}

fn grams(mass: Mass) -> f64 {
    mass.grams().to_f64().unwrap_or(0.0)
}

fn minutes(worth: &Worth<'_>, place: usize) -> Option<Pert> {
    let time = worth.recipe.steps().get(place)?.minutes;
    let value = |minutes: Minutes| (minutes.get() * worth.pace).to_f64().unwrap_or(0.0);
    Pert::new(value(time.low()), value(time.usual()), value(time.high())).ok()
}

/// Usual mass, range and worth per gram of every part that the plan frees by weight (its price minus the price of what
/// it was in); and of the unit itself, if unweighed and the work changes the grade of its remainder.
fn mass_terms(worth: &Worth<'_>, order: &[usize]) -> Vec<(f64, Pert, f64)> {
    let steps = worth.recipe.steps();
    let final_grade = |host: Option<&String>| {
        let rest =
            order.iter().rev().filter_map(|&n| steps.get(n)).find(|s| s.opens.as_ref() == host && s.rest.is_some());
        match (rest.and_then(|step| step.rest.as_ref()), host) {
            (Some(rest), _) => rest.grade.clone(),
            (None, None) => worth.run_result().state.grade.clone(),
            (None, Some(part)) => part_grade(worth, part),
        }
    };
    let mut terms = Vec::new();
    terms.extend(intake_term(worth, &final_grade(None)));
    for step in order.iter().filter_map(|&place| steps.get(place)) {
        for freed in &step.frees {
            let opened =
                order.iter().filter_map(|&n| steps.get(n)).any(|later| later.opens.as_deref() == Some(&freed.part));
            let grade = if opened { final_grade(Some(&freed.part)) } else { freed.grade.clone() };
            let (low, usual, high) = worth.range(freed);
            let range = Pert::new(grams(low), grams(usual), grams(high));
            let weight = per_gram(worth, &grade, worth.expected(freed))
                - per_gram(worth, &final_grade(step.opens.as_ref()), worth.expected(freed));
            if let Ok(range) = range {
                terms.push((grams(usual), range, weight));
            }
        }
    }
    terms
}

/// Term for an unweighed unit's own weight, which matters if its remainder sells at another price than the unit.
fn intake_term(worth: &Worth<'_>, rest: &str) -> Option<(f64, Pert, f64)> {
    let weighs = worth.unweighed()?;
    let (usual, as_it_stands) = (weighs.usual(), &worth.run_result().state.grade);
    let range = Pert::new(grams(weighs.low()), grams(usual), grams(weighs.high())).ok()?;
    Some((grams(usual), range, per_gram(worth, rest, usual) - per_gram(worth, as_it_stands, usual)))
}

fn part_grade(worth: &Worth<'_>, part: &str) -> String {
    let free = worth.run_result().state.part(part).map(|free| free.grade.clone());
    let freed = || worth.recipe.steps().iter().flat_map(|step| &step.frees).find(|freed| freed.part == part);
    free.or_else(|| freed().map(|freed| freed.grade.clone())).unwrap_or_default()
}

fn per_gram(worth: &Worth<'_>, grade: &str, mass: Mass) -> f64 {
    match worth.book().price(grade, Some(mass)) {
        Ok(priced) => match priced.price.basis() {
            Basis::Weight(unit) => (priced.price.amount() / unit.grams()).to_f64().unwrap_or(0.0),
            Basis::Piece => 0.0,
        },
        Err(_) => 0.0,
    }
}
