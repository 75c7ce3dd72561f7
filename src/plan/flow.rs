//! Maximum-weight closure of a directed graph by minimum cut.
//!
//! A closure is a set of nodes that contains, with each node, everything the node requires. Picard (1976) showed that
//! the heaviest closure is the source side of a minimum cut. Here nodes of positive weight supply flow, nodes of
//! negative weight demand it, and it runs along the requirements, whose capacity is unbounded, by highest-label
//! push-relabel (Cherkassky & Goldberg 1997) with global relabelling and the gap rule. Only the first phase is needed:
//! what the leftover supply can still reach is the *smallest* heaviest closure.

mod levels;

use std::ops::{AddAssign, SubAssign};

use levels::{Levels, NONE};

/// One end of a requirement, seen from a node.
#[derive(Clone, Copy)]
struct End {
    node: u32,
    arc: u32,
}

/// A graph of requirements that can be solved for many weights.
pub(super) struct ClosureGraph {
    nodes: usize,
    arcs: usize,
    /// Row `2v`: nodes that `v` requires; row `2v + 1`: nodes that require `v`.
    starts: Vec<u32>,
    ends: Vec<End>,
}

impl ClosureGraph {
    /// A graph of `nodes` nodes; an arc `(a, b)` means that `a` requires `b`.
    pub(super) fn new(nodes: usize, arcs: &[(u32, u32)]) -> Self {
        let mut starts = vec![0_u32; 2 * nodes + 1];
        for &(a, b) in arcs {
            starts[2 * a as usize + 1] += 1;
            starts[2 * b as usize + 2] += 1;
        }
        for row in 0..2 * nodes {
            starts[row + 1] += starts[row];
        }
        let mut next = starts.clone();
        let mut ends = vec![End { node: 0, arc: 0 }; 2 * arcs.len()];
        for (arc, &(a, b)) in arcs.iter().enumerate() {
            for (row, node) in [(2 * a, b), (2 * b + 1, a)] {
                ends[next[row as usize] as usize] = End { node, arc: arc as u32 };
                next[row as usize] += 1;
            }
        }
        Self { nodes, arcs: arcs.len(), starts, ends }
    }

    fn row(&self, row: usize) -> &[End] {
        &self.ends[self.starts[row] as usize..self.starts[row + 1] as usize]
    }

    /// All nodes that a node requires, or that require it, through any number of arcs, including itself; `visit` sees
    /// each once.
    pub(super) fn follow(&self, node: usize, required: bool, seen: &mut [u32], mut visit: impl FnMut(usize)) {
        let mark = node as u32 + 1;
        let mut stack = vec![node];
        seen[node] = mark;
        while let Some(v) = stack.pop() {
            visit(v);
            for end in self.row(2 * v + usize::from(!required)) {
                if std::mem::replace(&mut seen[end.node as usize], mark) != mark {
                    stack.push(end.node as usize);
                }
            }
        }
    }

    /// The smallest closure of largest weight, as a mask. The weights must add up within half the range of an i128.
    pub(super) fn heaviest(&self, weights: &[i128]) -> Vec<bool> {
        Solver::new(self).heaviest(weights)
    }
}

/// Solves one graph for several weights, each time starting from the previous flow.
///
/// Requirements have no capacity, so any flow stays a flow under other weights: only the balances change.
pub(super) struct Solver<'a> {
    push: Push<'a, i64>,
    /// Balances left by the latest weights, if these were too large for the narrow run.
    wide: Option<Vec<i128>>,
}

impl<'a> Solver<'a> {
    pub(super) fn new(graph: &'a ClosureGraph) -> Self {
        Self { push: Push::new(graph), wide: None }
    }

    /// As [`ClosureGraph::heaviest`].
    pub(super) fn heaviest(&mut self, weights: &[i128]) -> Vec<bool> {
        let size: u128 = weights.iter().map(|w| w.unsigned_abs()).sum();
        if size > (i64::MAX / 4) as u128 {
            let mut push = Push::new(self.push.graph);
            let closure = push.solve(weights.iter().copied());
            self.wide = Some(push.balance);
            return closure;
        }
        self.wide = None;
        if self.push.flow.iter().map(|&f| f as u128).sum::<u128>() > (i64::MAX / 4) as u128 {
            self.push.flow.fill(0);
        }
        self.push.solve(weights.iter().map(|&w| w as i64))
    }

    /// The latest balance at each node: undelivered supply or, if negative, unmet demand.
    ///
    /// No closure weighs more than all leftover supplies, minus those it leaves out, minus the unmet demands it
    /// contains: its weight is the sum of its balances minus the flow that enters it.
    pub(super) fn balances(&self) -> Vec<i128> {
        self.wide.clone().unwrap_or_else(|| self.push.balance.iter().map(|&b| i128::from(b)).collect())
    }
}

/// An integer wide enough for the sum of the weights.
trait Amount: Copy + Ord + Default + AddAssign + SubAssign {}
impl Amount for i64 {}
impl Amount for i128 {}

/// The state of one push-relabel run.
struct Push<'a, T> {
    graph: &'a ClosureGraph,
    /// Positive: undelivered supply. Negative: unmet demand.
    balance: Vec<T>,
    flow: Vec<T>,
    label: Vec<u32>,
    current: Vec<u32>,
    /// First node with supply at each label, and the next one after each node.
    active: Vec<u32>,
    next: Vec<u32>,
    highest: usize,
    /// All nodes by label, to detect gaps.
    levels: Levels,
    /// Nodes in the order a search found them; kept to reuse its memory.
    queue: Vec<u32>,
    work: usize,
}

impl<'a, T: Amount> Push<'a, T> {
    fn new(graph: &'a ClosureGraph) -> Self {
        let nodes = graph.nodes;
        Self {
            graph,
            balance: vec![T::default(); nodes],
            flow: vec![T::default(); graph.arcs],
            label: vec![0; nodes],
            current: vec![0; nodes],
            active: vec![NONE; nodes + 2],
            next: vec![NONE; nodes],
            highest: 0,
            levels: Levels::new(nodes),
            queue: Vec::with_capacity(nodes),
            work: 0,
        }
    }

    /// The label of nodes that cannot reach a demand.
    fn far(&self) -> u32 {
        self.graph.nodes as u32 + 1
    }

    fn solve(&mut self, weights: impl Iterator<Item = T>) -> Vec<bool> {
        let graph = self.graph;
        self.balance.iter_mut().zip(weights).for_each(|(b, w)| *b = w);
        for v in 0..graph.nodes {
            for &End { node, arc } in graph.row(2 * v + 1) {
                self.balance[node as usize] -= self.flow[arc as usize];
                self.balance[v] += self.flow[arc as usize];
            }
        }
        let period = 6 * self.graph.nodes + self.graph.arcs;
        self.relabel_all();
        while let Some(node) = self.next_active() {
            self.discharge(node);
            if self.work > period {
                self.relabel_all();
            }
        }
        self.reached()
    }

    /// What the leftover supply can reach.
    fn reached(&mut self) -> Vec<bool> {
        let zero = T::default();
        let graph = self.graph;
        let mut reached: Vec<bool> = self.balance.iter().map(|b| *b > zero).collect();
        let mut stack = std::mem::take(&mut self.queue);
        stack.clear();
        stack.extend((0..graph.nodes as u32).filter(|&v| reached[v as usize]));
        while let Some(node) = stack.pop() {
            let v = node as usize;
            let forward = graph.row(2 * v).iter();
            let back = graph.row(2 * v + 1).iter().filter(|e| self.flow[e.arc as usize] > zero);
            for end in forward.chain(back) {
                if !std::mem::replace(&mut reached[end.node as usize], true) {
                    stack.push(end.node);
                }
            }
        }
        self.queue = stack;
        reached
    }

    fn next_active(&mut self) -> Option<usize> {
        loop {
            let node = self.active[self.highest];
            if node != NONE {
                self.active[self.highest] = self.next[node as usize];
                if self.label[node as usize] < self.far() {
                    return Some(node as usize);
                }
            } else if self.highest == 0 {
                return None;
            } else {
                self.highest -= 1;
            }
        }
    }

    /// Exact distances to unmet demands, by backward breadth-first search.
    fn relabel_all(&mut self) {
        let graph = self.graph;
        let far = self.far();
        let zero = T::default();
        self.work = 0;
        self.label.fill(far);
        self.levels.clear();
        self.active.fill(NONE);
        self.highest = 0;
        let mut queue = std::mem::take(&mut self.queue);
        queue.clear();
        queue.extend((0..graph.nodes as u32).filter(|&v| self.balance[v as usize] < zero));
        queue.iter().for_each(|&v| self.label[v as usize] = 1);
        let mut next = 0;
        while let Some(&node) = queue.get(next) {
            next += 1;
            let v = node as usize;
            let label = self.label[v];
            self.levels.insert(label, node);
            self.current[v] = graph.starts[2 * v];
            if self.balance[v] > zero {
                self.activate(v);
                self.highest = self.highest.max(label as usize);
            }
            for end in graph.row(2 * v + 1) {
                if self.label[end.node as usize] == far {
                    self.label[end.node as usize] = label + 1;
                    queue.push(end.node);
                }
            }
            for end in graph.row(2 * v) {
                if self.label[end.node as usize] == far && self.flow[end.arc as usize] > zero {
                    self.label[end.node as usize] = label + 1;
                    queue.push(end.node);
                }
            }
        }
        self.queue = queue;
    }

    /// Pushes a node's supply on, relabelling it until none is left or no demand can be reached.
    fn discharge(&mut self, v: usize) {
        let graph = self.graph;
        let zero = T::default();
        let (first, middle, last) = (graph.starts[2 * v], graph.starts[2 * v + 1], graph.starts[2 * v + 2]);
        while self.balance[v] > zero {
            if self.current[v] == last {
                if !self.relabel(v, first, middle, last) {
                    return;
                }
                continue;
            }
            let at = self.current[v];
            let End { node, arc } = graph.ends[at as usize];
            if self.label[node as usize] + 1 == self.label[v] {
                let room = self.balance[v];
                if at < middle {
                    self.flow[arc as usize] += room;
                    self.move_supply(v, node as usize, room);
                    return;
                }
                let amount = room.min(self.flow[arc as usize]);
                if amount > zero {
                    self.flow[arc as usize] -= amount;
                    self.move_supply(v, node as usize, amount);
                    continue;
                }
            }
            self.current[v] += 1;
        }
    }

    fn move_supply(&mut self, from: usize, to: usize, amount: T) {
        let zero = T::default();
        self.balance[from] -= amount;
        let idle = self.balance[to] <= zero;
        self.balance[to] += amount;
        if idle && self.balance[to] > zero {
            self.activate(to);
        }
    }

    fn activate(&mut self, v: usize) {
        let label = self.label[v] as usize;
        self.next[v] = std::mem::replace(&mut self.active[label], v as u32);
    }

    /// Lifts a node just above its lowest open neighbour; false if it can no longer reach a demand.
    fn relabel(&mut self, v: usize, first: u32, middle: u32, last: u32) -> bool {
        let zero = T::default();
        self.work += (last - first) as usize + 12;
        let far = self.far();
        let (mut lowest, mut at) = (far - 1, first);
        for position in first..last {
            let End { node, arc } = self.graph.ends[position as usize];
            let open = position < middle || self.flow[arc as usize] > zero;
            if open && self.label[node as usize] < lowest {
                (lowest, at) = (self.label[node as usize], position);
            }
        }
        let old = std::mem::replace(&mut self.label[v], lowest + 1);
        self.levels.remove(old, v as u32);
        if self.levels.is_empty(old) {
            // This label is now empty, so nothing above it leads to a demand, including this node.
            self.label[v] = far;
            self.levels.cut_above(old, |node| self.label[node as usize] = far);
        }
        if self.label[v] == far {
            return false;
        }
        self.levels.insert(lowest + 1, v as u32);
        self.current[v] = at;
        self.highest = self.highest.max(self.label[v] as usize);
        true
    }
}

#[cfg(test)]
mod tests;
