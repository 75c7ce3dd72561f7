//! Depth-first branch and bound over the piles, for given yards, tolls and limits.
//!
//! A *toll* is a price on the mass that goes to a yard, for the room on the vehicle. Values are scaled by [`SCALE`], so
//! that tolls are integers and no bound is ever rounded the wrong way.

use super::problem::LoadProblem;
use super::score::score;

/// Scaled value of one unit of money.
pub(super) const SCALE: i128 = 1 << 40;

/// Piles that share price-list lines, directly or through others: what one of them does changes the pay of another.
pub(super) type Group = Vec<usize>;

/// The remaining search effort.
pub(super) struct Budget<'a> {
    pub(super) nodes: u64,
    pub(super) stop: Option<&'a dyn Fn() -> bool>,
}

impl Budget<'_> {
    /// Whether the search has to end here.
    pub(super) fn is_spent(&mut self) -> bool {
        if self.nodes > 0 && self.nodes.is_multiple_of(256) && self.stop.is_some_and(|stop| stop()) {
            self.nodes = 0;
        }
        self.nodes = self.nodes.saturating_sub(1);
        self.nodes == 0
    }
}

/// The piles in the order they are assigned, group by group, and an upper bound on the value of a lot of each.
pub(super) struct DiveField<'a> {
    pub(super) problem: &'a LoadProblem,
    pub(super) groups: Vec<Group>,
    /// Pile and yard → upper bound on the value of a lot there; `None` if not bought.
    most: Vec<Vec<Option<i64>>>,
    /// Group and yard → the most that rounding can add to its lines there.
    slack: Vec<Vec<i64>>,
}

impl<'a> DiveField<'a> {
    pub(super) fn new(problem: &'a LoadProblem) -> DiveField<'a> {
        let most: Vec<Vec<Option<i64>>> = (0..problem.piles.len()).map(|pile| most_of(problem, pile)).collect();
        let mut groups = groups(problem);
        for group in &mut groups {
            let weight = |pile: &usize| most[*pile].iter().flatten().max().copied().unwrap_or(0);
            group.sort_by_key(|pile| (std::cmp::Reverse(weight(pile)), *pile));
        }
        let slack = groups.iter().map(|group| slack_of(problem, group)).collect();
        DiveField { problem, groups, most, slack }
    }

    /// Upper bound on the value of the piles at these yards, each pile by itself.
    pub(super) fn at_most(&self, open: u32) -> i128 {
        let is_open = |yard: usize| open >> yard & 1 == 1;
        let best = |pile: usize| {
            let goods = self.problem.piles[pile];
            let sold = self.most[pile].iter().enumerate().filter(|(yard, _)| is_open(*yard));
            let best = sold.filter_map(|(_, most)| *most).fold(goods.hold, i64::max);
            i128::from(goods.lots) * i128::from(best)
        };
        let of_group = |yards: &Vec<i64>| -> i128 {
            let open = yards.iter().enumerate().filter(|(yard, _)| is_open(*yard));
            open.map(|(_, slack)| i128::from(*slack)).sum()
        };
        let slack: i128 = self.slack.iter().map(of_group).sum();
        ((0..self.problem.piles.len()).map(best).sum::<i128>() + slack) * SCALE
    }

    /// Where a lot of a pile can go, with an upper bound on its value after the toll, best first. `None` means keeping
    /// it.
    fn ways(&self, pile: usize, open: u32, tolls: &[i128]) -> Vec<(i128, Option<usize>)> {
        let goods = self.problem.piles[pile];
        let sold = (0..self.problem.outlets.len()).filter(|yard| open >> yard & 1 == 1).filter_map(|yard| {
            let most = i128::from(self.most[pile][yard]?);
            Some((most * SCALE - tolls[yard] * i128::from(goods.mass), Some(yard)))
        });
        let mut ways: Vec<_> = sold.chain([(i128::from(goods.hold) * SCALE, None)]).collect();
        ways.sort_by_key(|(bound, yard)| (std::cmp::Reverse(*bound), *yard));
        ways
    }
}

fn most_of(problem: &LoadProblem, pile: usize) -> Vec<Option<i64>> {
    let goods = problem.piles[pile];
    let at_yard = |outlet: &super::Outlet| {
        let line = outlet.line_of[pile]?;
        let sharing = (0..problem.piles.len()).filter(|other| outlet.line_of[*other] == Some(line));
        let all = sharing.map(|other| problem.piles[other].lots * problem.piles[other].mass).sum();
        outlet.lines[line].at_most(goods.mass, goods.pieces, all)
    };
    problem.outlets.iter().map(at_yard).collect()
}

fn slack_of(problem: &LoadProblem, group: &Group) -> Vec<i64> {
    let at_yard = |outlet: &super::Outlet| {
        let mut lines: Vec<usize> = group.iter().filter_map(|pile| outlet.line_of[*pile]).collect();
        lines.sort_unstable();
        lines.dedup();
        lines.into_iter().map(|line| outlet.lines[line].slack()).sum()
    };
    problem.outlets.iter().map(at_yard).collect()
}

/// Piles that share a line anywhere, together.
fn groups(problem: &LoadProblem) -> Vec<Group> {
    let mut group_of: Vec<usize> = (0..problem.piles.len()).collect();
    for outlet in &problem.outlets {
        let mut first = vec![None; outlet.lines.len()];
        for pile in 0..problem.piles.len() {
            let Some(line) = outlet.line_of[pile] else { continue };
            let with = group_of[*first[line].get_or_insert(pile)];
            let old = group_of[pile];
            group_of.iter_mut().filter(|group| **group == old).for_each(|group| *group = with);
        }
    }
    let mut groups: Vec<Group> = vec![Vec::new(); problem.piles.len()];
    group_of.iter().enumerate().for_each(|(pile, group)| groups[*group].push(pile));
    groups.retain(|group| !group.is_empty());
    groups
}

/// The least and the greatest load of each yard.
#[derive(Debug, Clone)]
pub(super) struct Limits {
    pub(super) least: Vec<i64>,
    pub(super) most: Vec<i64>,
}

/// One descent: through one group alone, or through all of them under limits.
pub(super) struct Dive<'a, 'f> {
    field: &'f DiveField<'a>,
    open: u32,
    tolls: &'f [i128],
    limits: Option<&'f Limits>,
    /// Pile, whether its group ends with it, and the group's number.
    order: Vec<(usize, bool, usize)>,
    ways: Vec<Vec<(i128, Option<usize>)>>,
    /// Upper bound on what everything from this position on adds.
    tail: Vec<i128>,
    lots: Vec<Vec<i64>>,
    /// Yard and line → mass and pieces so far.
    sums: Vec<Vec<(i64, i64)>>,
    loads: Vec<i64>,
    /// The value of finished groups, and of what is kept.
    settled: i128,
    /// Upper bound on the unfinished group so far.
    pending: i128,
    /// Only what exceeds this counts; what was found last.
    pub(super) best: Option<(i128, Vec<Vec<i64>>)>,
    floor: i128,
    /// Under limits, plans are compared by their score.
    score: Option<i64>,
}

impl<'a, 'f> Dive<'a, 'f> {
    /// The best of one group under tolls, without limits.
    pub(super) fn group(
        field: &'f DiveField<'a>,
        group: usize,
        open: u32,
        tolls: &'f [i128],
        budget: &mut Budget<'_>,
    ) -> Option<(i128, Vec<Vec<i64>>)> {
        let mut dive = Dive::new(field, &[group], open, tolls, &[0], None);
        dive.floor = i128::MIN;
        dive.node(0, budget);
        dive.best
    }

    /// The best plan under limits that scores above `floor`, if any. `best` holds the exact optimum of each group under
    /// the tolls.
    pub(super) fn whole(
        field: &'f DiveField<'a>,
        open: u32,
        (tolls, best): (&'f [i128], &[i128]),
        limits: &'f Limits,
        (floor, fixed): (i64, i128),
        budget: &mut Budget<'_>,
    ) -> Option<Vec<Vec<i64>>> {
        let all: Vec<usize> = (0..field.groups.len()).collect();
        let mut dive = Dive::new(field, &all, open, tolls, best, Some(limits));
        dive.floor = i128::from(floor) * SCALE - fixed;
        dive.score = Some(floor);
        dive.node(0, budget);
        dive.best.map(|(_, lots)| lots)
    }

    fn new(
        field: &'f DiveField<'a>,
        groups: &[usize],
        open: u32,
        tolls: &'f [i128],
        best: &[i128],
        limits: Option<&'f Limits>,
    ) -> Dive<'a, 'f> {
        let problem = field.problem;
        let mut order = Vec::new();
        for group in groups {
            let piles = &field.groups[*group];
            order.extend(piles.iter().enumerate().map(|(at, pile)| (*pile, at + 1 == piles.len(), *group)));
        }
        let ways: Vec<_> = order.iter().map(|(pile, ..)| field.ways(*pile, open, tolls)).collect();
        let mut tail = vec![0; order.len() + 1];
        // At a group's end the bound uses the exact optima of the groups to come; within it, the upper bounds of its
        // piles.
        let mut later = 0;
        for at in (0..order.len()).rev() {
            let (pile, ends, group) = order[at];
            if ends {
                tail[at + 1] = later;
                let place = groups.iter().position(|known| *known == group).unwrap_or(0);
                later += best[place];
            }
            let own = i128::from(problem.piles[pile].lots) * ways[at][0].0;
            tail[at] = own + tail[at + 1];
        }
        if limits.is_some() {
            tail[0] = later;
        }
        let sums = problem.outlets.iter().map(|outlet| vec![(0, 0); outlet.lines.len()]).collect();
        Dive {
            field,
            open,
            tolls,
            limits,
            order,
            ways,
            tail,
            lots: vec![vec![0; problem.outlets.len() + 1]; problem.piles.len()],
            sums,
            loads: vec![0; problem.outlets.len()],
            settled: 0,
            pending: 0,
            best: None,
            floor: 0,
            score: None,
        }
    }

    /// Assigns the pile at a position and all after it.
    fn node(&mut self, at: usize, budget: &mut Budget<'_>) {
        if budget.is_spent() {
            return;
        }
        if at == self.order.len() {
            return self.leaf();
        }
        let ahead = self.tail[at] + self.slack(at);
        if self.settled + self.pending + ahead <= self.floor || !self.can_fill(at) {
            return;
        }
        let lots = self.field.problem.piles[self.order[at].0].lots;
        self.deal(at, 0, lots, budget);
    }

    fn slack(&self, at: usize) -> i128 {
        let group = self.order[at].2;
        let open = (0..self.loads.len()).filter(|yard| self.open >> yard & 1 == 1);
        open.map(|yard| i128::from(self.field.slack[group][yard])).sum::<i128>() * SCALE
    }

    /// Whether every yard can still get its minimum load.
    fn can_fill(&self, at: usize) -> bool {
        let Some(limits) = self.limits else { return true };
        (0..self.loads.len()).all(|yard| {
            let short = limits.least[yard] - self.loads[yard];
            short <= 0 || {
                let to_come = self.order[at..].iter().filter(|(pile, ..)| self.field.most[*pile][yard].is_some());
                let goods = |pile: usize| self.field.problem.piles[pile].lots * self.field.problem.piles[pile].mass;
                to_come.map(|(pile, ..)| goods(*pile)).sum::<i64>() >= short
            }
        })
    }

    /// Assigns the remaining lots of a pile to its ways from `way` on.
    fn deal(&mut self, at: usize, way: usize, left: i64, budget: &mut Budget<'_>) {
        if left == 0 {
            return self.next(at, budget);
        }
        let Some((bound, target)) = self.ways[at].get(way).copied() else { return };
        let ahead = bound * i128::from(left) + self.tail[at + 1] + self.slack(at);
        if self.settled + self.pending + ahead <= self.floor {
            return;
        }
        let last = way + 1 == self.ways[at].len();
        let fewest = if last { left } else { 0 };
        for count in (fewest..=left).rev() {
            if self.fits(at, target, count) {
                self.put(at, target, count, bound, 1);
                self.deal(at, way + 1, left - count, budget);
                self.put(at, target, count, bound, -1);
            }
            if budget.nodes == 0 {
                return;
            }
        }
    }

    fn fits(&self, at: usize, target: Option<usize>, count: i64) -> bool {
        let (Some(limits), Some(yard)) = (self.limits, target) else { return true };
        self.loads[yard] + count * self.field.problem.piles[self.order[at].0].mass <= limits.most[yard]
    }

    /// Puts lots somewhere (`sign` 1) or takes them back (-1).
    fn put(&mut self, at: usize, target: Option<usize>, count: i64, bound: i128, sign: i64) {
        let pile = self.order[at].0;
        let goods = self.field.problem.piles[pile];
        let worth = bound * i128::from(count * sign);
        match target {
            None => {
                self.lots[pile][self.loads.len()] += count * sign;
                self.settled += worth;
            }
            Some(yard) => {
                self.lots[pile][yard] += count * sign;
                self.loads[yard] += count * goods.mass * sign;
                if let Some(line) = self.field.problem.outlets[yard].line_of[pile] {
                    self.sums[yard][line].0 += count * goods.mass * sign;
                    self.sums[yard][line].1 += count * goods.pieces * sign;
                }
                self.pending += worth;
            }
        }
    }

    /// Continues after an assigned pile; at the end of its group its actual value replaces the bound.
    fn next(&mut self, at: usize, budget: &mut Budget<'_>) {
        let (_, ends, group) = self.order[at];
        if !ends {
            return self.node(at + 1, budget);
        }
        let Some(exact) = self.pay(group) else { return };
        let pending = std::mem::replace(&mut self.pending, 0);
        self.settled += exact;
        if self.settled + self.tail[at + 1] > self.floor {
            self.behind(at + 1, budget);
        }
        self.settled -= exact;
        self.pending = pending;
    }

    /// Continues at the start of a group, whose exact optimum was just looked up.
    fn behind(&mut self, at: usize, budget: &mut Budget<'_>) {
        if at == self.order.len() {
            return self.leaf();
        }
        if budget.is_spent() || !self.can_fill(at) {
            return;
        }
        let lots = self.field.problem.piles[self.order[at].0].lots;
        self.deal(at, 0, lots, budget);
    }

    /// The value of a group as assigned, minus tolls; `None` if a yard refuses a part of it.
    fn pay(&self, group: usize) -> Option<i128> {
        let problem = self.field.problem;
        let mut value = 0;
        for (yard, outlet) in problem.outlets.iter().enumerate() {
            let mut lines: Vec<usize> =
                self.field.groups[group].iter().filter_map(|pile| outlet.line_of[*pile]).collect();
            lines.sort_unstable();
            lines.dedup();
            for line in lines {
                let (mass, pieces) = self.sums[yard][line];
                let paid = outlet.lines[line].pays(mass, pieces)?;
                value += i128::from(paid) * SCALE - self.tolls[yard] * i128::from(mass);
            }
        }
        Some(value)
    }

    fn leaf(&mut self) {
        if let (Some(floor), Some(limits)) = (self.score, self.limits) {
            if self.loads.iter().zip(&limits.least).any(|(load, least)| load < least) {
                return;
            }
            // The limits say what a load may weigh; the evaluator says whether it is a plan and what it is worth.
            let Ok(plan) = score(self.field.problem, &self.lots) else { return };
            if plan.value > floor {
                self.floor += i128::from(plan.value - floor) * SCALE;
                self.score = Some(plan.value);
                self.best = Some((0, plan.lots));
            }
        } else if self.settled > self.floor {
            self.floor = self.settled;
            self.best = Some((self.settled, self.lots.clone()));
        }
    }
}
