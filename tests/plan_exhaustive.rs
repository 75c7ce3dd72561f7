//! Thousands of small random problems of every family against trying everything.
#![allow(clippy::unwrap_used, reason = "a test may stop at a value that must be there")]

use crate::plan_instances::{Dice, Exhaustive, FAMILIES, random, value};
use knockdown::plan::{self, Effort, Problem, ProblemData, Settled};

const LIMIT: usize = 6_000;

/// Runs a check on small problems of every family; at least `least` of them must be valid and small enough.
fn for_each_problem(seeds: u64, least: usize, mut check: impl FnMut(&str, &ProblemData, &Problem, &Exhaustive)) {
    let mut checked = 0;
    for family in FAMILIES {
        for seed in 0..seeds {
            let data = random(family, 4 + seed as usize % 9, seed);
            let Ok(problem) = Problem::new(data.clone()) else { continue };
            let Some(all) = Exhaustive::new(&data, LIMIT) else { continue };
            check(&format!("{family:?} {seed}"), &data, &problem, &all);
            checked += 1;
        }
    }
    assert!(checked >= least, "only {checked} problems were checked");
}

#[test]
fn best_plans_are_best() {
    for_each_problem(600, 4000, |id, data, problem, all| {
        let solution = plan::best_plan(problem, &Effort::default()).unwrap();
        let cap = data.time_cap_minutes.unwrap_or(i64::MAX);
        let plan = &solution.plan;
        let found = (plan.value_millicents, plan.minutes, plan.steps.len() as u32);
        assert_eq!(Some(found), all.best(|_, minutes| minutes <= cap), "{id}");
        assert!(solution.proven, "{id}");
    });
}

#[test]
fn the_evaluator_agrees_on_every_set() {
    for_each_problem(60, 300, |id, data, problem, all| {
        let executable: std::collections::HashMap<u64, i64> = all.sets.iter().map(|s| (s.0, s.2)).collect();
        let steps = data.steps.len();
        for set in 0..1_u64 << steps.min(11) {
            let list: Vec<usize> = (0..steps).filter(|s| set >> s & 1 == 1).collect();
            let plan = plan::evaluate(problem, &list);
            assert_eq!(plan.as_ref().ok().map(|p| p.value_millicents), executable.get(&set).copied(), "{id} {list:?}");
            if let Ok(plan) = plan {
                assert_eq!(plan::evaluate_in_order(problem, &plan.steps).as_ref(), Ok(&plan), "{id}");
            }
        }
    });
}

#[test]
fn frontiers_are_exact() {
    for_each_problem(80, 500, |id, _, problem, all| {
        let points = plan::frontier(problem, &Settled::default(), &Effort::default()).unwrap();
        let found: Vec<(i64, i64)> = points.iter().map(|p| (p.minutes, p.solution.plan.value_millicents)).collect();
        assert_eq!(found, all.frontier(), "{id}");
    });
}

#[test]
fn continuations_keep_to_what_is_settled() {
    for_each_problem(150, 900, |id, data, problem, all| {
        let mut dice = Dice::new(id.len() as u64 * 77 + data.steps.len() as u64);
        let done = all.sets[dice.pick(all.sets.len())];
        let bit = |n: usize| 1_u64 << n;
        let (forced, forbidden) = (dice.pick(data.steps.len()), dice.pick(data.steps.len()));
        let list: Vec<usize> = (0..data.steps.len()).filter(|&s| done.0 & bit(s) != 0).collect();
        let settled = Settled { done: list, forced: vec![forced], forbidden: vec![forbidden], ..Settled::default() };
        let cap = data.time_cap_minutes.map_or(i64::MAX, |cap| cap + done.1);
        let best = all.best(|set, minutes| {
            minutes <= cap && set & done.0 == done.0 && set & bit(forced) != 0 && set & bit(forbidden) == 0
        });
        let found = plan::best_continuation(problem, &settled, &Effort::default());
        assert_eq!(found.is_err(), best.is_none(), "{id} {found:?}");
        if let Ok(solution) = found {
            let plan = solution.plan;
            assert_eq!(Some((plan.value_millicents, plan.minutes, plan.steps.len() as u32)), best, "{id}");
        }
    });
}

/// Of each list of a demand one step is done: the best plans, their ladders and frontiers, against all sets that do so.
#[test]
fn demands_are_met_at_the_best_value() {
    let (mut met, mut binding) = (0, 0);
    for_each_problem(120, 900, |id, data, problem, all| {
        let mut dice = Dice::new(id.len() as u64 * 191 + data.steps.len() as u64);
        let ways = |dice: &mut Dice| (0..1 + dice.pick(3)).map(|_| dice.pick(data.steps.len())).collect::<Vec<_>>();
        let any_of: Vec<Vec<usize>> = (0..1 + dice.pick(2)).map(|_| ways(&mut dice)).collect();
        let meets = |set: u64| any_of.iter().all(|ways| ways.iter().any(|&way| set >> way & 1 == 1));
        let cap = data.time_cap_minutes.unwrap_or(i64::MAX);
        let best = all.best(|set, minutes| minutes <= cap && meets(set));
        let settled = Settled { any_of: any_of.clone(), ..Settled::default() };
        let found = plan::best_continuation(problem, &settled, &Effort::default());
        let place = |plan: &plan::Plan| (plan.value_millicents, plan.minutes, plan.steps.len() as u32);
        assert_eq!(found.as_ref().ok().map(|solution| place(&solution.plan)), best, "{id} {any_of:?} {found:?}");
        let Ok(solution) = found else { return };
        assert!(solution.proven, "{id}");
        met += 1;
        binding += usize::from(all.best(|_, minutes| minutes <= cap) != best);
        let rungs = plan::ladder(problem, &settled, &Effort::default()).unwrap();
        assert!(rungs.iter().all(|rung| meets(rung.plan.steps.iter().map(|&s| 1 << s).sum())), "{id}");
        let least = all.sets.iter().filter(|s| s.1 <= cap && meets(s.0)).map(|s| s.1).min();
        assert_eq!(rungs.first().map(|rung| rung.plan.minutes), least, "{id}");
        let points = plan::frontier(problem, &settled, &Effort::default()).unwrap();
        for point in points {
            let best = all.best(|set, minutes| minutes <= point.minutes && meets(set)).map(|best| best.0);
            assert_eq!(Some(point.solution.plan.value_millicents), best, "{id} within {}", point.minutes);
        }
    });
    assert!(met > 300 && binding > 150, "{met} met, {binding} of them unlike the free best");
}

#[test]
fn ladders_are_the_upper_hull() {
    for_each_problem(100, 600, |id, data, problem, all| {
        let cap = data.time_cap_minutes.unwrap_or(i64::MAX);
        let per_minute = 1000 * data.value_of_time_cents_per_hour / 60;
        let rungs = plan::ladder(problem, &Settled::default(), &Effort::default()).unwrap();
        let cash = |s: &(u64, i64, i64)| s.2 + per_minute * s.1;
        for rung in &rungs {
            assert_eq!(rung.cash_millicents, rung.plan.value_millicents + per_minute * rung.plan.minutes, "{id}");
        }
        // At every rate, in particular between break points, some rung is as good as any plan.
        let mut rates: Vec<(i64, i64)> =
            rungs.iter().filter_map(|r| r.marginal).map(|r| (r.millicents, r.minutes)).collect();
        assert!(rates.windows(2).all(|w| w[0].0 * w[1].1 > w[1].0 * w[0].1), "{id} {rates:?}");
        rates.extend([(0, 1), (1, 1), (997, 1), (10_007, 3), (100_003, 7), (10_000_019, 1)]);
        for (gain, minutes) in rates {
            let score = |cash: i64, time: i64| minutes * cash - gain * time;
            let best = all.sets.iter().filter(|s| s.1 <= cap).map(|s| score(cash(s), s.1)).max();
            let ours = rungs.iter().map(|r| score(r.cash_millicents, r.plan.minutes)).max();
            assert_eq!(ours, best, "{id} at {gain}/{minutes}");
        }
    });
}

#[test]
fn best_bundles_have_the_best_rate() {
    for_each_problem(100, 600, |id, data, problem, all| {
        let mut dice = Dice::new(id.len() as u64 * 91 + data.steps.len() as u64);
        let start = if dice.chance(50) { all.sets[0] } else { all.sets[dice.pick(all.sets.len())] };
        let done: Vec<usize> = (0..data.steps.len()).filter(|s| start.0 >> s & 1 == 1).collect();
        let cap = data.time_cap_minutes.map_or(i64::MAX, |cap| cap + start.1);
        let ratio = |a: (i64, i64), b: (i64, i64)| (a.0 * b.1).cmp(&(b.0 * a.1)).then(b.1.cmp(&a.1));
        let after = |s: &&(u64, i64, i64)| s.0 != start.0 && s.0 & start.0 == start.0 && s.1 <= cap;
        let best = all.sets.iter().filter(after).map(|s| (s.2 - start.2, s.1 - start.1)).max_by(|&a, &b| ratio(a, b));
        let settled = Settled { done, ..Settled::default() };
        let found = plan::best_bundle(problem, &settled, &Effort::default()).unwrap();
        assert_eq!(found.as_ref().map(|b| (b.rate.millicents, b.rate.minutes)), best, "{id}");
    });
}

#[test]
fn a_search_cut_short_still_bounds_the_best() {
    let cut = std::cell::Cell::new(0);
    for_each_problem(100, 600, |id, data, problem, all| {
        let cap = data.time_cap_minutes.unwrap_or(i64::MAX);
        let best = all.best(|_, minutes| minutes <= cap).unwrap();
        for effort in [Effort { nodes: 1, stop: None }, Effort { stop: Some(&|| true), ..Effort::default() }] {
            let solution = plan::best_plan(problem, &effort).unwrap();
            assert!(solution.plan.value_millicents <= best.0 && solution.bound_millicents >= best.0, "{id}");
            assert!(!solution.proven || solution.plan.value_millicents == best.0, "{id}");
            cut.set(cut.get() + u32::from(!solution.proven));
        }
    });
    assert!(cut.get() > 100, "only {} searches were cut short", cut.get());
}

#[test]
fn anytime_orders_have_the_largest_area() {
    for_each_problem(100, 600, |id, data, problem, all| {
        let plan = plan::best_plan(problem, &Effort::default()).unwrap().plan;
        let target = plan.steps.iter().fold(0_u64, |set, s| set | 1 << s);
        let executable: std::collections::HashMap<u64, i64> = all.sets.iter().map(|s| (s.0, s.2)).collect();
        let mut area: std::collections::BTreeMap<u64, i64> = std::collections::BTreeMap::from([(0, 0)]);
        // Sets in numerical order come after all of their subsets.
        for set in 0..=target {
            let (Some(&so_far), Some(&worth)) = (area.get(&set), executable.get(&set)) else { continue };
            for step in data.steps.iter().filter(|s| target & !set & 1 << s.id != 0) {
                let next = set | 1 << step.id;
                if executable.contains_key(&next) && crate::plan_instances::can_follow(data, set, step) {
                    let reached = so_far + (worth - value(data, 0)) * step.minutes;
                    let seen = area.entry(next).or_insert(i64::MIN);
                    *seen = reached.max(*seen);
                }
            }
        }
        let schedule = plan::anytime_order(problem, &[], &plan.steps).unwrap();
        assert!(schedule.proven, "{id}");
        assert_eq!(schedule.area_millicent_minutes, i128::from(area[&target]), "{id}");
    });
}
