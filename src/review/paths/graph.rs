//! Situations and the paths between them: shortest paths, the number of answer combinations, heaviest paths.

use std::collections::BTreeMap;
use std::rc::Rc;

use super::situation::Situation;
use crate::quantity::Mass;
use crate::review::finding::Supposed;

/// The number of a situation.
pub(super) type Node = usize;

/// Where a path leads.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum To {
    /// To another situation.
    Situation(Node),
    /// To the end: every possible step is done or skipped.
    Complete,
    /// To an early end: refused, handed on, or a fault.
    Out,
}

/// Answers that lead on from one situation.
pub(super) struct Way {
    pub from: Option<Node>,
    pub to: To,
    pub answers: Rc<[Supposed]>,
    /// How many paths with the same effect it stands for, including itself.
    pub stands_for: u128,
    /// Whether it skips a step.
    pub skips: bool,
    /// The usual weight of the parts that come out, and the part they come out of; `None` for the unit.
    pub frees: (Option<String>, Mass),
}

struct Place {
    to_decide: usize,
    first: Option<(Option<Node>, Rc<[Supposed]>)>,
}

/// All situations found, and the paths between them.
#[derive(Default)]
pub(super) struct Graph {
    numbers: BTreeMap<Situation, Node>,
    places: Vec<Place>,
    ways: Vec<Way>,
}

/// What is known about the paths to one situation.
#[derive(Clone, Default)]
struct Arrival {
    /// Number of answers on the shortest path, and its last edge.
    shortest: Option<(usize, usize)>,
    combinations: u128,
    /// Whether some path leads there without a skipped step.
    unskipped: bool,
    /// For each host, the greatest total of what came out of it, the number of answers on the shortest such path, and
    /// its last edge.
    heaviest: BTreeMap<Option<String>, Load>,
}

/// A total of usual weights, the number of answers that lead to it, and the last edge.
#[derive(Clone, Copy)]
struct Load {
    sum: Mass,
    length: usize,
    way: usize,
}

impl Load {
    /// Heavier, or equally heavy but sooner.
    fn is_better_than(&self, other: &Load) -> bool {
        (self.sum, std::cmp::Reverse(self.length)) > (other.sum, std::cmp::Reverse(other.length))
    }
}

/// The greatest total of usual weights out of one host, and the answers that lead to it.
pub(super) struct Heaviest {
    pub host: Option<String>,
    pub mass: Mass,
    pub answers: Vec<Supposed>,
}

impl Graph {
    /// The number of a situation, and whether it is new.
    pub fn meet(&mut self, situation: Situation, to_decide: usize) -> (Node, bool) {
        let next = self.places.len();
        let node = *self.numbers.entry(situation).or_insert(next);
        if node == next {
            self.places.push(Place { to_decide, first: None });
        }
        (node, node == next)
    }

    /// Adds a path; runs reach a situation by the first path to it.
    pub fn add(&mut self, way: Way) {
        if let To::Situation(node) = way.to {
            self.places[node].first.get_or_insert_with(|| (way.from, way.answers.clone()));
        }
        self.ways.push(way);
    }

    /// How many situations there are.
    pub fn len(&self) -> usize {
        self.places.len()
    }

    /// The answers by which a situation was first reached.
    pub fn trail(&self, node: Node) -> Vec<Supposed> {
        let mut parts = Vec::new();
        let mut at = Some(node);
        while let Some((from, answers)) = at.and_then(|node| self.places[node].first.as_ref()) {
            parts.push(answers);
            at = *from;
        }
        parts.into_iter().rev().flat_map(|answers| answers.iter().cloned()).collect()
    }

    /// Computes all arrivals in one pass: a path always leads to where less is left to decide, so all paths to a
    /// situation are known before those from it are processed.
    pub fn arrivals(&self) -> Arrivals<'_> {
        let mut arrivals = Arrivals {
            graph: self,
            at: vec![Arrival::default(); self.places.len()],
            complete: Arrival::default(),
            out: Arrival::default(),
        };
        let mut order: Vec<usize> = (0..self.ways.len()).collect();
        let left = |way: &usize| self.ways[*way].from.map_or(usize::MAX, |node| self.places[node].to_decide);
        order.sort_by_key(|way| std::cmp::Reverse(left(way)));
        order.into_iter().for_each(|way| arrivals.pass(way));
        arrivals
    }
}

/// What is known about the paths to every situation, and to the ends.
pub(super) struct Arrivals<'a> {
    graph: &'a Graph,
    at: Vec<Arrival>,
    complete: Arrival,
    out: Arrival,
}

impl Arrivals<'_> {
    fn pass(&mut self, number: usize) {
        let way = &self.graph.ways[number];
        let start = Arrival { combinations: 1, unskipped: true, ..Arrival::default() };
        let before = way.from.map_or(&start, |node| &self.at[node]);
        let (length, combinations) = (before.shortest.map_or(0, |(length, _)| length), before.combinations);
        let (unskipped, mut heaviest) = (before.unskipped && !way.skips, before.heaviest.clone());
        let length = length + way.answers.len();
        for load in heaviest.values_mut() {
            *load = Load { length: load.length + way.answers.len(), way: number, ..*load };
        }
        let (host, mass) = &way.frees;
        let load = heaviest.entry(host.clone()).or_insert(Load { sum: Mass::ZERO, length, way: number });
        load.sum = load.sum.plus(*mass).unwrap_or(load.sum);
        let arrival = match way.to {
            To::Situation(node) => &mut self.at[node],
            To::Complete => &mut self.complete,
            To::Out => &mut self.out,
        };
        arrival.unskipped |= unskipped;
        if arrival.shortest.is_none_or(|(known, _)| length < known) {
            arrival.shortest = Some((length, number));
        }
        arrival.combinations = arrival.combinations.saturating_add(combinations.saturating_mul(way.stands_for));
        for (host, load) in heaviest {
            if arrival.heaviest.get(&host).is_none_or(|known| load.is_better_than(known)) {
                arrival.heaviest.insert(host, load);
            }
        }
    }

    /// How many combinations of answers lead to an end.
    pub fn combinations(&self) -> u128 {
        self.complete.combinations.saturating_add(self.out.combinations)
    }

    /// Whether some path leads to the end without a skipped step.
    pub fn completes_unskipped(&self) -> bool {
        self.complete.unskipped
    }

    /// Number of answers on the shortest path to a situation.
    pub fn distance(&self, node: Node) -> usize {
        self.at[node].shortest.map_or(usize::MAX, |(length, _)| length)
    }

    /// The answers on the shortest path to a situation.
    pub fn shortest(&self, node: Node) -> Vec<Supposed> {
        self.trace(self.at[node].shortest.map(|(_, way)| way), |arrival| arrival.shortest.map(|(_, way)| way))
    }

    /// The heaviest path for each host.
    pub fn heaviest(&self) -> Vec<Heaviest> {
        let arrivals = self.at.iter().chain([&self.complete, &self.out]);
        let mut best: BTreeMap<&Option<String>, Load> = BTreeMap::new();
        for (host, load) in arrivals.flat_map(|arrival| &arrival.heaviest) {
            if best.get(host).is_none_or(|known| load.is_better_than(known)) {
                best.insert(host, *load);
            }
        }
        let heaviest = |(host, load): (&Option<String>, Load)| {
            // Use the shortest path up to where the first part of this host comes out.
            let back = |arrival: &Arrival| {
                arrival.heaviest.get(host).map(|load| load.way).or(arrival.shortest.map(|(_, way)| way))
            };
            let answers = self.trace(Some(load.way), back);
            Heaviest { host: host.clone(), mass: load.sum, answers }
        };
        best.into_iter().map(heaviest).collect()
    }

    /// Follows a path back to the start.
    fn trace(&self, last: Option<usize>, back: impl Fn(&Arrival) -> Option<usize>) -> Vec<Supposed> {
        let mut parts = Vec::new();
        let mut at = last;
        while let Some(way) = at {
            let way = &self.graph.ways[way];
            parts.push(&way.answers);
            at = way.from.and_then(|node| back(&self.at[node]));
        }
        parts.into_iter().rev().flat_map(|answers| answers.iter().cloned()).collect()
    }
}
