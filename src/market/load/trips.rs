//! All possible trip combinations.

use super::problem::LoadProblem;

/// The most combinations considered.
pub(super) const MOST_COMBINATIONS: usize = 200_000;

/// All numbers of trips to each yard: at least `fewest` and at most the limit in total, no more to a yard than its
/// goods could fill. `None` if there are too many to list.
pub(super) fn combinations(problem: &LoadProblem, fewest: i64) -> Option<Vec<Vec<i64>>> {
    let most: Vec<i64> = (0..problem.outlets.len()).map(|yard| most_trips(problem, yard)).collect();
    let mut all = vec![Vec::new()];
    for most in most {
        let mut longer = Vec::new();
        for begun in &all {
            let used: i64 = begun.iter().sum();
            let most = problem.max_trips.map_or(most, |limit| most.min(limit - used));
            for trips in 0..=most.max(0) {
                let mut combination: Vec<i64> = begun.clone();
                combination.push(trips);
                longer.push(combination);
            }
            if longer.len() > MOST_COMBINATIONS {
                return None;
            }
        }
        all = longer;
    }
    all.retain(|trips| trips.iter().sum::<i64>() >= fewest);
    Some(all)
}

fn most_trips(problem: &LoadProblem, yard: usize) -> i64 {
    let bought = problem.piles.iter().enumerate().filter(|(at, _)| problem.outlets[yard].line_of[*at].is_some());
    problem.trips(bought.map(|(_, pile)| pile.lots * pile.mass).sum())
}
