//! Made-up dismantling problems of every family, from a seed, and their answers by trying everything.
//!
//! The exhaustive search shares no code with the room under test: it reads the exchange form and follows its definitions
//! word by word.
#![allow(dead_code, reason = "each test and benchmark uses its part of this")]

pub mod milp;

use std::collections::{BTreeMap, HashSet};

use knockdown::plan::{FreedItem, Item, PlanStep, ProblemData, Rule};

/// A small deterministic generator (xorshift64*, Vigna 2016).
pub struct Dice(u64);

impl Dice {
    pub fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1)
    }

    fn next(&mut self) -> u64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 16
    }

    /// A number from `low` to `high`, both included.
    pub fn roll(&mut self, low: i64, high: i64) -> i64 {
        low + (self.next() % (high - low + 1) as u64) as i64
    }

    pub fn pick(&mut self, count: usize) -> usize {
        (self.next() % count as u64) as usize
    }

    /// True in so many of 100 cases.
    pub fn chance(&mut self, percent: u64) -> bool {
        self.next() % 100 < percent
    }
}

/// What makes a problem more than a plain closure.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Family {
    Closure,
    Downgrade,
    Alternatives,
    CyclicOr,
    Upgrade,
    TimeCap,
    ValueOfTime,
    Everything,
}

pub const FAMILIES: [Family; 8] = [
    Family::Closure,
    Family::Downgrade,
    Family::Alternatives,
    Family::CyclicOr,
    Family::Upgrade,
    Family::TimeCap,
    Family::ValueOfTime,
    Family::Everything,
];

const GRADES: [(&str, i64); 12] = [
    ("whole", 18),
    ("stripped", 9),
    ("steel", 15),
    ("clean", 120),
    ("dirty", 60),
    ("copper", 610),
    ("brass", 420),
    ("board", 900),
    ("motor", 58),
    ("plastic", 2),
    ("waste", -12),
    ("magnet", 95),
];

fn grade(dice: &mut Dice) -> String {
    GRADES[2 + dice.pick(GRADES.len() - 2)].0.into()
}

/// A random problem with about `size` steps.
pub fn random(family: Family, size: usize, seed: u64) -> ProblemData {
    let mut dice = Dice::new(seed.wrapping_mul(31) + family as u64);
    let is = |f: Family| family == f || family == Family::Everything;
    let mut data = tree(&mut dice, size);
    if is(Family::Alternatives) {
        add_ways(&mut data, &mut dice, 1 + size / 8);
    }
    if is(Family::CyclicOr) {
        add_circles(&mut data, &mut dice, 1 + size / 6);
    }
    if is(Family::Downgrade) {
        add_rules(&mut data, &mut dice, 1 + size / 6, false);
    }
    if is(Family::Upgrade) {
        add_rules(&mut data, &mut dice, 1 + size / 10, true);
    }
    if is(Family::TimeCap) {
        let total: i64 = data.steps.iter().map(|s| s.minutes).sum();
        data.time_cap_minutes = Some(dice.roll(total / 4, total * 2 / 3));
    }
    if is(Family::ValueOfTime) {
        data.value_of_time_cents_per_hour = 60 * dice.roll(1, 12);
    }
    data
}

/// A unit with nested parts, each freed by one step, with AND prerequisites on earlier steps.
fn tree(dice: &mut Dice, size: usize) -> ProblemData {
    let mut data = ProblemData {
        grades: GRADES.iter().map(|&(g, p)| (g.to_string(), p)).collect::<BTreeMap<_, _>>(),
        ..ProblemData::default()
    };
    data.items.push(Item { id: 0, host: None, mass_g: 0, grade: Some("whole".into()) });
    for id in 0..size {
        let opens = dice.chance(15) || id == 0;
        let host = if dice.chance(70) { 0 } else { dice.pick(data.items.len()) };
        let mut requires: Vec<Vec<usize>> = Vec::new();
        let earlier: Vec<usize> = (0..id).filter(|&s| data.steps[s].host == host || host == 0).collect();
        for _ in 0..dice.pick(3) {
            if !earlier.is_empty() {
                requires.push(vec![earlier[dice.pick(earlier.len())]]);
            }
        }
        let mut frees = Vec::new();
        if !opens {
            let item = data.items.len();
            data.items.push(Item { id: item, host: Some(host), mass_g: 10 * dice.roll(1, 60), grade: None });
            frees.push(FreedItem { item, grade: grade(dice) });
        }
        let cost_cents = if dice.chance(60) { 0 } else { 5 * dice.roll(1, 8) };
        data.steps.push(PlanStep { id, host, minutes: dice.roll(1, 12), cost_cents, requires, frees });
    }
    for item in (0..data.items.len()).rev() {
        let inside: i64 = data.items.iter().filter(|i| i.host == Some(item)).map(|i| i.mass_g).sum();
        data.items[item].mass_g += inside + 10 * dice.roll(0, 40);
    }
    data
}

/// Second ways to free parts.
fn add_ways(data: &mut ProblemData, dice: &mut Dice, count: usize) {
    let freeing: Vec<usize> = (0..data.steps.len()).filter(|&s| !data.steps[s].frees.is_empty()).collect();
    for _ in 0..count.min(freeing.len()) {
        let first = data.steps[freeing[dice.pick(freeing.len())]].clone();
        let frees = vec![FreedItem { item: first.frees[0].item, grade: grade(dice) }];
        let requires = if dice.chance(50) { Vec::new() } else { first.requires.clone() };
        let id = data.steps.len();
        data.steps.push(PlanStep { id, minutes: dice.roll(1, 8), frees, requires, ..first });
    }
}

/// OR groups, some of them circular: a later step as the alternative to an earlier prerequisite.
fn add_circles(data: &mut ProblemData, dice: &mut Dice, count: usize) {
    for _ in 0..count {
        let step = dice.pick(data.steps.len());
        let other = dice.pick(data.steps.len());
        if step == other {
            continue;
        }
        let groups = data.steps[step].requires.len();
        if groups > 0 && dice.chance(80) {
            let group = dice.pick(groups);
            data.steps[step].requires[group].push(other);
        } else if other < step {
            let third = dice.pick(data.steps.len());
            data.steps[step].requires.push(vec![other, third]);
        }
    }
}

fn add_rules(data: &mut ProblemData, dice: &mut Dice, count: usize, upgrade: bool) {
    for _ in 0..count {
        let item = if dice.chance(60) { 0 } else { dice.pick(data.items.len()) };
        let on_item: Vec<usize> = data.steps.iter().filter(|s| s.host == item).map(|s| s.id).collect();
        let pool: Vec<usize> =
            if on_item.is_empty() || dice.chance(20) { (0..data.steps.len()).collect() } else { on_item };
        let all_of = (0..1 + usize::from(upgrade || dice.chance(20))).map(|_| pool[dice.pick(pool.len())]).collect();
        let to = if upgrade {
            ["clean", "dirty", "copper"][dice.pick(3)].into()
        } else {
            ["stripped", "waste"][dice.pick(2)].into()
        };
        data.rules.push(Rule { item, all_of, grade: to });
    }
}

/// A large plain closure: `size` steps on one unit, each with up to three earlier prerequisites, most of them near, and
/// covers that cost but free nothing. Roughly half of the steps would not pay by themselves.
pub fn large_closure(size: usize, seed: u64) -> ProblemData {
    let mut dice = Dice::new(seed);
    let mut data = ProblemData { grades: BTreeMap::from([("whole".into(), 20)]), ..ProblemData::default() };
    data.grades.extend((1..40).map(|n| (format!("grade-{n}"), n * n)));
    data.items.push(Item { id: 0, host: None, mass_g: 100, grade: Some("whole".into()) });
    for id in 0..size {
        let mut requires = Vec::new();
        for _ in 0..dice.pick(4).min(id) {
            let back = if dice.chance(70) { 1 + dice.pick(id.min(40)) } else { 1 + dice.pick(id) };
            requires.push(vec![id - back]);
        }
        let mut frees = Vec::new();
        if dice.chance(75) {
            let mass_g = 10 * dice.roll(1, 60);
            frees.push(FreedItem { item: data.items.len(), grade: format!("grade-{}", dice.roll(1, 39)) });
            data.items.push(Item { id: data.items.len(), host: Some(0), mass_g, grade: None });
            data.items[0].mass_g += mass_g;
        }
        let cost_cents = dice.roll(0, 350);
        data.steps.push(PlanStep { id, host: 0, minutes: dice.roll(1, 12), cost_cents, requires, frees });
    }
    data
}

/// Weight of each step and `(step, prerequisite)` pairs of a problem from [`large_closure`].
pub fn closure_network(data: &ProblemData) -> (Vec<i64>, Vec<(usize, usize)>) {
    let weight = |step: &PlanStep| {
        let freed =
            step.frees.iter().map(|f| data.items[f.item].mass_g * (data.grades[&f.grade] - data.grades["whole"]));
        freed.sum::<i64>() - 1000 * step.cost_cents
    };
    let arcs = data.steps.iter().flat_map(|s| s.requires.iter().map(move |group| (s.id, group[0])));
    (data.steps.iter().map(weight).collect(), arcs.collect())
}

/// The answers of an exhaustive search.
pub struct Exhaustive {
    /// Every executable set, as a bit mask, with its minutes and value.
    pub sets: Vec<(u64, i64, i64)>,
}

impl Exhaustive {
    /// Tries every order of work; none if there are more than `limit` sets.
    pub fn new(data: &ProblemData, limit: usize) -> Option<Self> {
        let mut seen: HashSet<u64> = HashSet::from([0]);
        let mut todo = vec![0_u64];
        let mut sets = Vec::new();
        while let Some(set) = todo.pop() {
            let minutes = data.steps.iter().filter(|s| set >> s.id & 1 == 1).map(|s| s.minutes).sum();
            sets.push((set, minutes, value(data, set)));
            for step in &data.steps {
                let next = set | 1 << step.id;
                if next != set && can_follow(data, set, step) && seen.insert(next) {
                    todo.push(next);
                }
            }
            if seen.len() > limit {
                return None;
            }
        }
        Some(Self { sets })
    }

    /// Value, minutes and number of steps of the canonical optimum among the sets that pass.
    pub fn best(&self, admits: impl Fn(u64, i64) -> bool) -> Option<(i64, i64, u32)> {
        let sets = self.sets.iter().filter(|s| admits(s.0, s.1));
        sets.map(|s| (s.2, -s.1, -(s.0.count_ones() as i32))).max().map(|(v, m, n)| (v, -m, n.unsigned_abs()))
    }

    /// Minutes and value of each point of the frontier.
    pub fn frontier(&self) -> Vec<(i64, i64)> {
        let mut by_time: Vec<(i64, i64)> = self.sets.iter().map(|s| (s.1, -s.2)).collect();
        by_time.sort_unstable();
        let mut points: Vec<(i64, i64)> = Vec::new();
        for (minutes, value) in by_time.into_iter().map(|(m, v)| (m, -v)) {
            if points.last().is_none_or(|p| value > p.1) {
                points.push((minutes, value));
            }
        }
        points
    }
}

pub fn can_follow(data: &ProblemData, set: u64, step: &PlanStep) -> bool {
    let done = |s: usize| set >> s & 1 == 1;
    let free = |item: usize| data.steps.iter().any(|s| done(s.id) && s.frees.iter().any(|f| f.item == item));
    (step.host == 0 || free(step.host))
        && step.requires.iter().all(|group| group.iter().any(|&s| done(s)))
        && !step.frees.iter().any(|f| free(f.item))
}

/// Value by its definition: what remains of each present item at its price, less costs and time.
pub fn value(data: &ProblemData, set: u64) -> i64 {
    let done = |s: usize| set >> s & 1 == 1;
    let freed = |item: usize| data.steps.iter().filter(|s| done(s.id)).flat_map(|s| &s.frees).find(|f| f.item == item);
    let mut total = 0;
    for item in &data.items {
        let own = if item.id == 0 { item.grade.as_ref() } else { freed(item.id).map(|f| &f.grade) };
        let Some(own) = own else { continue };
        let rule = data.rules.iter().rfind(|r| r.item == item.id && r.all_of.iter().all(|&s| done(s)));
        let price = data.grades[rule.map_or(own, |r| &r.grade)];
        let out: i64 =
            data.items.iter().filter(|i| i.host == Some(item.id) && freed(i.id).is_some()).map(|i| i.mass_g).sum();
        total += (item.mass_g - out) * price;
    }
    let per_minute = data.value_of_time_cents_per_hour / 60;
    let spent: i64 = data.steps.iter().filter(|s| done(s.id)).map(|s| s.cost_cents + per_minute * s.minutes).sum();
    total - 1000 * spent
}
