//! The same problems as mixed-integer programmes: an independent formulation, to check the room under test with.
//!
//! Each present item is in exactly one price state (as freed in one way, or by one rule), and each part that is out is
//! out of its host in exactly one state of the host. Steps that could justify each other in a circle carry levels.

use std::fmt::Write;

use std::time::Duration;

use knockdown::plan::ProblemData;
use microlp::{ComparisonOp, OptimizationDirection, Problem as Programme, SolutionStatus, SolveOutcome, Variable};

/// A row: Σ coefficient × variable ≤ or = right-hand side.
pub struct Row {
    pub terms: Vec<(usize, f64)>,
    pub equal: bool,
    pub right: f64,
}

/// Maximise `constant` + Σ weight × variable; binary variables within 0 and 1, the others within 0 and `upper`.
#[derive(Default)]
pub struct Model {
    pub constant: f64,
    pub weights: Vec<f64>,
    pub upper: Vec<f64>,
    pub integer: Vec<bool>,
    pub rows: Vec<Row>,
}

/// A price state of an item: the steps that lead to it, its price, and whether it is a rule.
struct State {
    variable: usize,
    price: f64,
}

impl Model {
    /// The programme of a problem; values in cents. Variable `s` says whether step `s` is done.
    pub fn new(data: &ProblemData) -> Self {
        let mut model = Self::default();
        for step in &data.steps {
            let time = data.value_of_time_cents_per_hour as f64 / 60.0 * step.minutes as f64;
            model.variable(-(step.cost_cents as f64) - time, 1.0, true);
        }
        let ways = |item: usize| data.steps.iter().filter(move |s| s.frees.iter().any(|f| f.item == item));
        let free: Vec<usize> = data.items.iter().map(|_| model.variable(0.0, 1.0, true)).collect();
        model.row(&[(free[0], 1.0)], true, 1.0);
        for (item, &present) in free.iter().enumerate().skip(1) {
            let mut terms: Vec<(usize, f64)> = ways(item).map(|s| (s.id, 1.0)).collect();
            terms.push((present, -1.0));
            model.row(&terms, true, 0.0);
        }
        model.prerequisites(data);
        for item in 0..data.items.len() {
            model.item(data, &free, item);
        }
        if let Some(cap) = data.time_cap_minutes {
            let terms: Vec<(usize, f64)> = data.steps.iter().map(|s| (s.id, s.minutes as f64)).collect();
            model.row(&terms, false, cap as f64);
        }
        model
    }

    fn variable(&mut self, weight: f64, upper: f64, integer: bool) -> usize {
        self.weights.push(weight);
        self.upper.push(upper);
        self.integer.push(integer);
        self.weights.len() - 1
    }

    fn row(&mut self, terms: &[(usize, f64)], equal: bool, right: f64) {
        self.rows.push(Row { terms: terms.to_vec(), equal, right });
    }

    fn prerequisites(&mut self, data: &ProblemData) {
        let groups: Vec<Vec<Vec<usize>>> = data
            .steps
            .iter()
            .map(|step| {
                let host = data.steps.iter().filter(|s| s.frees.iter().any(|f| f.item == step.host)).map(|s| s.id);
                let host = Some(host.collect::<Vec<_>>()).filter(|_| step.host != 0);
                let mut groups: Vec<Vec<usize>> = step.requires.iter().cloned().chain(host).collect();
                for group in &mut groups {
                    group.sort_unstable();
                    group.dedup();
                    // A step is no help towards itself.
                    group.retain(|&s| s != step.id);
                }
                groups
            })
            .collect();
        let reach: Vec<Vec<bool>> = (0..groups.len()).map(|s| reachable(&groups, s)).collect();
        let count = groups.len() as f64;
        let levels: Vec<usize> = groups.iter().map(|_| self.variable(0.0, count, false)).collect();
        for (step, groups) in groups.iter().enumerate() {
            for group in groups {
                let mut terms = vec![(step, 1.0)];
                for &other in group {
                    if !reach[other][step] {
                        terms.push((other, -1.0));
                        continue;
                    }
                    let relied = self.variable(0.0, 1.0, true);
                    terms.push((relied, -1.0));
                    self.row(&[(relied, 1.0), (other, -1.0)], false, 0.0);
                    let big = count + 1.0;
                    self.row(&[(levels[other], 1.0), (levels[step], -1.0), (relied, big)], false, big - 1.0);
                }
                self.row(&terms, false, 0.0);
            }
        }
    }

    fn item(&mut self, data: &ProblemData, free: &[usize], item: usize) {
        let states = self.states(data, free, item);
        let mass = data.items[item].mass_g as f64 / 1000.0;
        states.iter().for_each(|s| self.weights[s.variable] += s.price * mass);
        for part in data.items.iter().filter(|i| i.host == Some(item)) {
            let mut terms = vec![(free[part.id], -1.0)];
            for state in &states {
                let both = self.variable(-state.price * part.mass_g as f64 / 1000.0, 1.0, false);
                self.row(&[(both, 1.0), (state.variable, -1.0)], false, 0.0);
                terms.push((both, 1.0));
            }
            self.row(&terms, true, 0.0);
        }
    }

    fn states(&mut self, data: &ProblemData, free: &[usize], item: usize) -> Vec<State> {
        let price = |grade: &str| data.grades[grade] as f64;
        let mut states = Vec::new();
        let mut conditions: Vec<Vec<usize>> = Vec::new();
        match &data.items[item].grade {
            Some(grade) if item == 0 => {
                states.push(State { variable: self.variable(0.0, 1.0, true), price: price(grade) });
                conditions.push(Vec::new());
            }
            _ => {
                for step in &data.steps {
                    for freed in step.frees.iter().filter(|f| f.item == item) {
                        states.push(State { variable: self.variable(0.0, 1.0, true), price: price(&freed.grade) });
                        conditions.push(vec![step.id]);
                    }
                }
            }
        }
        for rule in data.rules.iter().filter(|r| r.item == item) {
            let state = self.variable(0.0, 1.0, true);
            let mut steps = rule.all_of.clone();
            steps.sort_unstable();
            steps.dedup();
            // No earlier state once all of these are done.
            for earlier in &states {
                let mut terms: Vec<(usize, f64)> = steps.iter().map(|&s| (s, 1.0)).collect();
                terms.push((earlier.variable, 1.0));
                self.row(&terms, false, steps.len() as f64);
            }
            states.push(State { variable: state, price: price(&rule.grade) });
            conditions.push(steps);
        }
        for (state, steps) in states.iter().zip(&conditions) {
            for &step in steps {
                self.row(&[(state.variable, 1.0), (step, -1.0)], false, 0.0);
            }
        }
        let mut terms: Vec<(usize, f64)> = states.iter().map(|s| (s.variable, 1.0)).collect();
        terms.push((free[item], -1.0));
        self.row(&terms, true, 0.0);
        states
    }

    /// The best value that the library found within the limit, in cents, and whether it proved it; none if it found nothing.
    pub fn by_microlp(&self, limit: Option<Duration>) -> Option<(f64, bool)> {
        let mut programme = Programme::new(OptimizationDirection::Maximize);
        if let Some(limit) = limit {
            programme.set_time_limit(limit);
        }
        let variables: Vec<Variable> = (0..self.weights.len())
            .map(|v| {
                if self.integer[v] {
                    programme.add_binary_var(self.weights[v])
                } else {
                    programme.add_var(self.weights[v], (0.0, self.upper[v]))
                }
            })
            .collect();
        for row in &self.rows {
            let terms: Vec<(Variable, f64)> = row.terms.iter().map(|&(v, c)| (variables[v], c)).collect();
            let op = if row.equal { ComparisonOp::Eq } else { ComparisonOp::Le };
            programme.add_constraint(terms.as_slice(), op, row.right);
        }
        match programme.solve().unwrap() {
            SolveOutcome::Solution(found) => {
                Some((found.objective() + self.constant, found.status() == SolutionStatus::Optimal))
            }
            SolveOutcome::Interrupted(_) => None,
        }
    }

    /// The programme as a file in the free MPS format, which most solvers read (minimising the negated objective).
    pub fn to_mps(&self, name: &str) -> String {
        let mut text = format!("NAME {name}\nROWS\n N COST\n");
        for (n, row) in self.rows.iter().enumerate() {
            let _ = writeln!(text, " {} R{n}", if row.equal { 'E' } else { 'L' });
        }
        let mut columns: Vec<Vec<(usize, f64)>> = vec![Vec::new(); self.weights.len()];
        for (n, row) in self.rows.iter().enumerate() {
            row.terms.iter().for_each(|&(v, c)| columns[v].push((n, c)));
        }
        text.push_str("COLUMNS\n MARKER 'MARKER' 'INTORG'\n");
        let column = |text: &mut String, v: usize| {
            let _ = writeln!(text, " X{v} COST {}", -self.weights[v]);
            for (n, c) in &columns[v] {
                let _ = writeln!(text, " X{v} R{n} {c}");
            }
        };
        (0..columns.len()).filter(|&v| self.integer[v]).for_each(|v| column(&mut text, v));
        text.push_str(" MARKER 'MARKER' 'INTEND'\n");
        (0..columns.len()).filter(|&v| !self.integer[v]).for_each(|v| column(&mut text, v));
        text.push_str("RHS\n");
        for (n, row) in self.rows.iter().enumerate().filter(|(_, r)| r.right != 0.0) {
            let _ = writeln!(text, " RHS R{n} {}", row.right);
        }
        text.push_str("BOUNDS\n");
        for (v, upper) in self.upper.iter().enumerate() {
            let _ = writeln!(text, " UP BOUND X{v} {upper}");
        }
        text + "ENDATA\n"
    }
}

/// The steps that a step relies on, directly or not.
fn reachable(groups: &[Vec<Vec<usize>>], start: usize) -> Vec<bool> {
    let mut reached = vec![false; groups.len()];
    let mut todo = vec![start];
    while let Some(step) = todo.pop() {
        for &other in groups[step].iter().flatten() {
            if !std::mem::replace(&mut reached[other], true) {
                todo.push(other);
            }
        }
    }
    reached
}
