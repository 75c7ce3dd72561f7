//! Explains a load: why this yard, what another trip would add, what a little more would unlock, how certain the scale
//! is.

use std::collections::BTreeMap;

use super::load::Scene;
use super::prices::{OLD_PRICE, old_age};
use super::stock::haul_of;
use crate::market::load::{LoadEffort, LoadProblem, Solved, solve, solve_with_trips};
use crate::market::tally::Line;
use crate::market::tolerance::tolerance;
use crate::pricing::Valuation;
use crate::quantity::{Basis, Mass, Money};

use rust_decimal::Decimal;

/// A line's scale uncertainty below this share of its amount, in per cent, gets no remark (our judgement).
const UNCERTAIN_PERCENT: i64 = 5;

/// All remarks on a plan.
pub(super) fn remarks(
    scene: &Scene<'_, '_>,
    problem: &LoadProblem,
    solved: &Solved,
    effort: &LoadEffort<'_>,
) -> Vec<String> {
    let mut said = Vec::new();
    let trips: i64 = solved.plan.trips.iter().sum();
    if trips == 0 {
        said.push("No trip pays as things stand: what the yards would pay does not cover the way.".to_owned());
    } else {
        said.extend(other_yards(scene, problem, solved, effort));
    }
    said.extend(another_trip(scene, problem, solved, effort));
    for at in 0..scene.valuations.len() {
        said.extend(least_load(scene, at));
        if solved.plan.trips[at] > 0 {
            said.extend(unlocks(scene, solved, at));
            said.extend(short_lots(scene, at));
            said.extend(old_prices(scene, solved, at));
            said.extend(scale(scene, solved, at));
        }
    }
    said
}

/// What going to one other yard alone would bring.
fn other_yards(scene: &Scene<'_, '_>, problem: &LoadProblem, solved: &Solved, effort: &LoadEffort<'_>) -> Vec<String> {
    let chosen: Vec<usize> = (0..scene.valuations.len()).filter(|at| solved.plan.trips[*at] > 0).collect();
    let name = |at: usize| scene.valuations[at].yard.name();
    let mut said = Vec::new();
    for at in 0..scene.valuations.len() {
        if chosen == [at] {
            continue;
        }
        let Some(alone) = only(problem, at).and_then(|problem| solve(&problem, effort).ok()) else { continue };
        let less = scene.money(solved.plan.value - alone.plan.value).show(scene.terms.notation);
        said.push(if alone.plan.trips.iter().all(|trips| *trips == 0) {
            format!("{} alone would not pay for its trip.", name(at))
        } else {
            format!("{} alone would bring {less} less.", name(at))
        });
    }
    said
}

/// The problem with one yard only: the others buy nothing.
fn only(problem: &LoadProblem, at: usize) -> Option<LoadProblem> {
    let mut outlets = problem.outlets().to_vec();
    for (_, outlet) in outlets.iter_mut().enumerate().filter(|(other, _)| *other != at) {
        outlet.line_of.iter_mut().for_each(|line| *line = None);
    }
    problem.with_outlets(outlets).ok()
}

/// What one more trip would add or cost.
fn another_trip(
    scene: &Scene<'_, '_>,
    problem: &LoadProblem,
    solved: &Solved,
    effort: &LoadEffort<'_>,
) -> Option<String> {
    let trips: i64 = solved.plan.trips.iter().sum();
    let free = problem.clone().with_max_trips(None);
    let more = solve_with_trips(&free, trips + 1, effort).ok()??;
    let change = more.plan.value - solved.plan.value;
    let at = (0..more.plan.trips.len()).find(|at| more.plan.trips[*at] > solved.plan.trips[*at])?;
    let to = scene.valuations[at].yard.name();
    let what = if trips == 0 { "A trip" } else { "A further trip" };
    let money = scene.money(change.abs()).show(scene.terms.notation);
    Some(match change {
        0 => format!("{what}, to {to}, would change nothing."),
        1.. => format!("{what}, to {to}, would add {money}; the limit of trips forbids it."),
        _ => format!("{what}, to {to}, would cost {money} more than it brings."),
    })
}

/// The lines that a yard would write for what goes there.
fn lines(scene: &Scene<'_, '_>, solved: &Solved, at: usize) -> Vec<Line> {
    let piles = scene.piles.iter().zip(&solved.plan.lots).filter(|(_, row)| row[at] > 0);
    let lots = piles.flat_map(|(pile, _)| pile.lots.iter().copied());
    scene.valuations[at].tally(scene.world, &haul_of(lots)).map(|tally| tally.lines).unwrap_or_default()
}

/// Better prices within reach, and minimum lots missed.
fn unlocks(scene: &Scene<'_, '_>, solved: &Solved, at: usize) -> Vec<String> {
    let valuation = &scene.valuations[at];
    let book = valuation.book(scene.world);
    let mut said = Vec::new();
    for line in lines(scene, solved, at).iter().filter(|line| line.mix.is_none()) {
        let Ok(listing) = book.listing(&line.priced.priced_as) else { continue };
        let net = line.net.unwrap_or_default();
        let better = listing.steps().into_iter().find(|(from, price)| {
            *from > net && price.basis() != Basis::Piece && price.amount() > line.priced.price.amount()
        });
        let Some((from, price)) = better else { continue };
        let (Ok(missing), Ok(now)) = (from.minus(net), price.of(net, 0)) else { continue };
        let Ok(gain) = now.minus(line.amount) else { continue };
        said.push(format!(
            "{} more {} would reach the price from {}: {} instead of {}, {} more for what is there already.",
            show(valuation, missing),
            line.priced.name,
            show(valuation, from),
            price.show(valuation.notation),
            line.priced.price.show(valuation.notation),
            gain.show(valuation.notation),
        ));
    }
    said
}

/// For a yard whose minimum load exceeds everything it would buy.
fn least_load(scene: &Scene<'_, '_>, at: usize) -> Option<String> {
    let valuation = &scene.valuations[at];
    let least = valuation.yard.least_load()?;
    let book = valuation.book(scene.world);
    let bought = scene.piles.iter().filter(|pile| pile.mixed_in.is_some() || book.listing(pile.grade).is_ok());
    let there = Mass::sum(bought.filter_map(crate::stock::Pile::mass)).ok()?;
    (there < least).then(|| {
        let missing = least.minus(there).unwrap_or_default();
        format!(
            "{} takes no load under {}: what is here for it weighs {}, {} more is needed.",
            valuation.yard.name(),
            show(valuation, least),
            show(valuation, there),
            show(valuation, missing)
        )
    })
}

/// Minimum lots that even the whole stock of a line misses, with what is missing and what reaching it would bring.
fn short_lots(scene: &Scene<'_, '_>, at: usize) -> Vec<String> {
    let valuation = &scene.valuations[at];
    let book = valuation.book(scene.world);
    let mut there: BTreeMap<String, Mass> = BTreeMap::new();
    for pile in scene.piles.iter().filter(|pile| pile.mixed_in.is_none()) {
        if let (Ok(listing), Some(mass)) = (book.listing(pile.grade), pile.mass()) {
            let sum = there.entry(listing.priced_as().to_owned()).or_default();
            *sum = sum.plus(mass).unwrap_or(*sum);
        }
    }
    let mut said = Vec::new();
    for (grade, mass) in &there {
        let Ok(listing) = book.listing(grade) else { continue };
        let Some((least, price)) = listing.steps().into_iter().next().filter(|(least, _)| least > mass) else {
            continue;
        };
        let (Ok(missing), Ok(money)) = (least.minus(*mass), price.of(least, 0)) else { continue };
        said.push(format!(
            "{} more {} would make the minimum lot of {} at {}: {} for all of it.",
            show(valuation, missing),
            listing.name(),
            show(valuation, least),
            valuation.yard.name(),
            money.show(valuation.notation),
        ));
    }
    said
}

/// Prices old enough to ask about before the trip.
fn old_prices(scene: &Scene<'_, '_>, solved: &Solved, at: usize) -> Option<String> {
    let valuation = &scene.valuations[at];
    let lines = lines(scene, solved, at);
    let ages = lines.iter().filter_map(|line| old_age(line.priced.source.date(), valuation.date));
    let (count, oldest) = ages.fold((0, 0), |(count, oldest), age| (count + 1, age.max(oldest)));
    (count > 0).then(|| {
        let (name, of) = (valuation.yard.name(), lines.len());
        format!("{count} of the {of} prices at {name} are {OLD_PRICE} days old or more, the oldest {oldest}: ask before you drive.")
    })
}

/// How uncertain the yard's scale makes light lots.
fn scale(scene: &Scene<'_, '_>, solved: &Solved, at: usize) -> Option<String> {
    let valuation = &scene.valuations[at];
    let division = valuation.yard.division()?;
    let mut uncertain = Vec::new();
    let mut sum = Money::zero(valuation.yard.currency());
    for line in lines(scene, solved, at) {
        let (Some(mass), Basis::Weight(_)) = (line.mass, line.priced.price.basis()) else { continue };
        let Ok(money) = line.priced.price.of(tolerance(mass, division), 0) else { continue };
        sum = sum.plus(money).ok()?;
        if is_uncertain(money, line.amount) {
            let (off, amount) = (money.digits(valuation.notation), line.amount.digits(valuation.notation));
            uncertain.push(format!("{} {off} of {amount}", line.priced.name));
        }
    }
    if uncertain.is_empty() {
        return None;
    }
    Some(format!(
        "The scale of {} counts in steps of {}. Within its tolerance a reading may be off, either way, by: {}. All lines \
         together: up to {}.",
        valuation.yard.name(),
        division.show(valuation.yard.unit(), 3, valuation.notation),
        uncertain.join("; "),
        sum.show(valuation.notation),
    ))
}

fn is_uncertain(off: Money, amount: Money) -> bool {
    off.amount().abs() * Decimal::from(100) > amount.amount().abs() * Decimal::from(UNCERTAIN_PERCENT)
        && !off.amount().is_zero()
}

fn show(valuation: &Valuation, mass: Mass) -> String {
    mass.show_friendly(valuation.yard.unit(), valuation.notation)
}
