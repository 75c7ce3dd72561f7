//! Static structure of a problem: who needs whom, who frees what, and what everything pays.

use std::collections::HashMap;

use super::data::ProblemData;

/// Lists, one per row, in two flat arrays.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Rows<T = u32> {
    starts: Vec<u32>,
    entries: Vec<T>,
}

impl Rows {
    /// Collects `(row, number)` pairs, keeping their order within each row.
    fn of_numbers(rows: usize, pairs: &[(usize, usize)]) -> Self {
        let narrow: Vec<(usize, u32)> = pairs.iter().map(|&(row, number)| (row, number as u32)).collect();
        Self::new(rows, &narrow)
    }
}

impl<T: Copy + Default> Rows<T> {
    /// Collects `(row, entry)` pairs, keeping their order within each row.
    fn new(rows: usize, pairs: &[(usize, T)]) -> Self {
        let mut starts = vec![0_u32; rows + 1];
        for &(row, _) in pairs {
            starts[row + 1] += 1;
        }
        for row in 0..rows {
            starts[row + 1] += starts[row];
        }
        let mut next = starts.clone();
        let mut entries = vec![T::default(); pairs.len()];
        for &(row, entry) in pairs {
            entries[next[row] as usize] = entry;
            next[row] += 1;
        }
        Self { starts, entries }
    }

    /// The entries of one row.
    pub(super) fn row(&self, row: usize) -> &[T] {
        &self.entries[self.starts[row] as usize..self.starts[row + 1] as usize]
    }

    /// How many rows there are.
    pub(super) fn len(&self) -> usize {
        self.starts.len() - 1
    }
}

/// A rule with its price looked up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct PricedRule {
    pub(super) item: usize,
    pub(super) all_of: Vec<usize>,
    pub(super) price: i64,
}

/// Lookups derived from a problem with valid references.
///
/// A *group* is a set of steps of which at least one must be done: a group of prerequisites, or the ways to free an
/// item (of which at most one can be done). Equal sets share one group.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Structure {
    /// Step → groups it needs.
    pub(super) needs: Rows,
    /// Group → the steps in it.
    pub(super) members: Rows,
    /// Group → the steps that need it.
    pub(super) users: Rows,
    /// Step → the groups it belongs to.
    pub(super) helps: Rows,
    /// Group → whether its members exclude each other.
    pub(super) exclusive: Vec<bool>,
    /// Item → the group of steps that free it; `None` for item 0 and for what no step frees.
    pub(super) freed_by: Vec<Option<usize>>,
    /// Item → its price as freed by each step of its group, in order.
    pub(super) way_prices: Rows<i64>,
    /// Item → the items in it that some step frees.
    pub(super) parts: Rows,
    /// Item → rules about it, in their order.
    pub(super) rules_of: Rows,
    pub(super) rules: Vec<PricedRule>,
    /// Price of item 0 as it is.
    pub(super) whole_price: i64,
    /// Step → prices of what it frees, in the order of `frees`.
    pub(super) freed_prices: Vec<Vec<i64>>,
}

impl Structure {
    pub(super) fn new(data: &ProblemData) -> Self {
        let price = |grade: &str| data.grades.get(grade).copied().unwrap_or_default();
        let mut groups = Groups::default();
        let freed_by = freeing_groups(data, &mut groups);
        let needs = needed_groups(data, &freed_by, &mut groups);
        let (steps, items, count) = (data.steps.len(), data.items.len(), groups.members.len());
        let members: Vec<(usize, usize)> =
            groups.members.iter().enumerate().flat_map(|(g, m)| m.iter().map(move |&s| (g, s))).collect();
        let swap = |pairs: &[(usize, usize)]| pairs.iter().map(|&(a, b)| (b, a)).collect::<Vec<_>>();
        let parts: Vec<(usize, usize)> =
            (0..items).filter(|&i| freed_by[i].is_some()).filter_map(|i| Some((data.items[i].host?, i))).collect();
        let freed = data.steps.iter().flat_map(|s| &s.frees).map(|f| (f.item, price(&f.grade)));
        let way_prices = Rows::new(items, &freed.collect::<Vec<_>>());
        let rules_of: Vec<(usize, usize)> = data.rules.iter().enumerate().map(|(r, rule)| (rule.item, r)).collect();
        Self {
            needs: Rows::of_numbers(steps, &needs),
            users: Rows::of_numbers(count, &swap(&needs)),
            helps: Rows::of_numbers(steps, &swap(&members)),
            members: Rows::of_numbers(count, &members),
            exclusive: groups.exclusive,
            way_prices,
            freed_by,
            parts: Rows::of_numbers(items, &parts),
            rules_of: Rows::of_numbers(items, &rules_of),
            rules: data
                .rules
                .iter()
                .map(|r| PricedRule { item: r.item, all_of: sorted(&r.all_of), price: price(&r.grade) })
                .collect(),
            whole_price: data.items[0].grade.as_deref().map_or(0, price),
            freed_prices: data.steps.iter().map(|s| s.frees.iter().map(|f| price(&f.grade)).collect()).collect(),
        }
    }
}

/// Groups found so far, without duplicates.
#[derive(Default)]
struct Groups {
    members: Vec<Vec<usize>>,
    exclusive: Vec<bool>,
    known: HashMap<Vec<usize>, usize>,
}

impl Groups {
    fn add(&mut self, steps: &[usize], exclusive: bool) -> usize {
        let steps = sorted(steps);
        if let Some(&group) = self.known.get(&steps) {
            self.exclusive[group] |= exclusive;
            return group;
        }
        self.members.push(steps.clone());
        self.exclusive.push(exclusive);
        self.known.insert(steps, self.members.len() - 1);
        self.members.len() - 1
    }
}

/// Each step once, in the order of their numbers.
pub(super) fn sorted(steps: &[usize]) -> Vec<usize> {
    let mut steps = steps.to_vec();
    steps.sort_unstable();
    steps.dedup();
    steps
}

fn freeing_groups(data: &ProblemData, groups: &mut Groups) -> Vec<Option<usize>> {
    let mut ways = vec![Vec::new(); data.items.len()];
    for (s, step) in data.steps.iter().enumerate() {
        step.frees.iter().for_each(|f| ways[f.item].push(s));
    }
    ways.iter().map(|steps| (!steps.is_empty()).then(|| groups.add(steps, true))).collect()
}

/// Every `(step, group)` need, each once; a step on an item that nothing frees was rejected before.
fn needed_groups(data: &ProblemData, freed_by: &[Option<usize>], groups: &mut Groups) -> Vec<(usize, usize)> {
    let mut needs = Vec::new();
    for (s, step) in data.steps.iter().enumerate() {
        let mut own: Vec<usize> = step.requires.iter().map(|g| groups.add(g, false)).collect();
        own.extend(freed_by[step.host]);
        needs.extend(sorted(&own).into_iter().map(|g| (s, g)));
    }
    needs
}
