//! The one exact evaluator: the value of a plan.

use thiserror::Error;

use super::problem::Problem;

/// A plan and its value.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Plan {
    /// What the yards pay, plus what keeping the rest is worth, minus the trips.
    pub value: i64,
    /// For each pile, the lots that go to each yard, and last those kept.
    pub lots: Vec<Vec<i64>>,
    /// Trips to each yard.
    pub trips: Vec<i64>,
}

/// Why an allocation is not a plan.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum Refusal {
    /// The lots of a pile do not add up to what there is.
    #[error("pile {0} is not dealt out as it is")]
    Lots(usize),
    /// A yard does not buy a pile.
    #[error("yard {yard} does not buy pile {pile}")]
    NotBought {
        /// The yard.
        yard: usize,
        /// The pile.
        pile: usize,
    },
    /// A lot is below the yard's minimum.
    #[error("yard {yard} does not take so little on its line {line}")]
    TooLight {
        /// The yard.
        yard: usize,
        /// The line of its list.
        line: usize,
    },
    /// The whole load is below the yard's minimum.
    #[error("yard {0} does not take so small a load")]
    SmallLoad(usize),
    /// More trips than are allowed.
    #[error("{0} trips are more than allowed")]
    Trips(i64),
}

/// Scores an allocation: for each pile, the lots to each yard, and last those kept.
///
/// # Errors
/// [`Refusal`] for an allocation that cannot be carried out.
pub fn score(problem: &Problem, lots: &[Vec<i64>]) -> Result<Plan, Refusal> {
    for (at, pile) in problem.piles.iter().enumerate() {
        let row = lots.get(at).filter(|row| row.len() == problem.outlets.len() + 1 && row.iter().all(|n| *n >= 0));
        if row.is_none_or(|row| row.iter().sum::<i64>() != pile.lots) {
            return Err(Refusal::Lots(at));
        }
    }
    let kept = |(pile, row): (&super::Pile, &Vec<i64>)| pile.hold * row[problem.outlets.len()];
    let mut value: i64 = problem.piles.iter().zip(lots).map(kept).sum();
    let mut trips = Vec::with_capacity(problem.outlets.len());
    for yard in 0..problem.outlets.len() {
        let (paid, needed) = delivery(problem, lots, yard)?;
        value += paid - needed * problem.outlets[yard].trip_cost;
        trips.push(needed);
    }
    let all: i64 = trips.iter().sum();
    if problem.max_trips.is_some_and(|most| all > most) {
        return Err(Refusal::Trips(all));
    }
    Ok(Plan { value, lots: lots.to_vec(), trips })
}

/// One yard's payment for its part, and the number of trips.
fn delivery(problem: &Problem, lots: &[Vec<i64>], yard: usize) -> Result<(i64, i64), Refusal> {
    let outlet = &problem.outlets[yard];
    let mut sums = vec![(0_i64, 0_i64); outlet.lines.len()];
    let mut load = 0;
    for (at, pile) in problem.piles.iter().enumerate().filter(|(at, _)| lots[*at][yard] > 0) {
        let line = outlet.line_of[at].ok_or(Refusal::NotBought { yard, pile: at })?;
        let count = lots[at][yard];
        sums[line].0 += count * pile.mass;
        sums[line].1 += count * pile.pieces;
        load += count * pile.mass;
    }
    if load > 0 && load < outlet.least {
        return Err(Refusal::SmallLoad(yard));
    }
    let mut paid = 0;
    for (line, (mass, pieces)) in sums.into_iter().enumerate() {
        paid += outlet.lines[line].pays(mass, pieces).ok_or(Refusal::TooLight { yard, line })?;
    }
    Ok((paid, problem.trips(load)))
}
