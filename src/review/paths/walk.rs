//! The walk: depth-first from situation to situation, each expanded once.

use std::collections::{BTreeMap, BTreeSet};

use super::coverage::Coverage;
use super::graph::{Arrivals, Node};
use super::play::Player;
use super::record::{Arrived, Base, PathRecord, Sighting, Task};
use super::situation::{PartNow, Touches, parts, remembers};
use super::tree::{Effect, Root, Tree, grow};
use super::{Exploration, PathFacts, Runner, proofs};
use crate::bench::{Answer, Ask};
use crate::naming::counted;
use crate::recipe::{Recipe, Step};
use crate::review::finding::{Finding, Severity, Supposed};
use crate::review::order::frees;

/// What determines a step's work: the step, what it remembers, what matters of each part, and what no guard has
/// covered.
type Input = (usize, String, Vec<PartNow>, BTreeSet<String>);

/// A grown tree, and the situations with its input.
struct Grown {
    tree: Tree,
    nodes: Vec<Node>,
}

/// At most 1/SHARE of the run limit per step tree, so that no single step uses it up,
const SHARE: u64 = 2;
/// and at least this many runs.
const LEAST_SHARE: u64 = 200;

/// Situations are compared for repetition once this many were reached.
const LEAST_ARRIVALS: usize = 100;

/// The walk over one recipe.
pub(super) struct Walk<'a> {
    player: Player<'a>,
    record: PathRecord<'a>,
    trees: Vec<Grown>,
    inputs: BTreeMap<Input, usize>,
    begun: BTreeSet<usize>,
    left: Vec<String>,
}

impl<'a> Walk<'a> {
    pub fn new(recipe: &'a Recipe, facts: &'a PathFacts<'a>, runner: &'a mut dyn Runner) -> Walk<'a> {
        Walk {
            player: Player::new(facts, runner),
            record: PathRecord::new(recipe, facts, Touches::default()),
            trees: Vec::new(),
            inputs: BTreeMap::new(),
            begun: BTreeSet::new(),
            left: Vec::new(),
        }
    }

    fn steps(&self) -> &'a [Step] {
        self.record.recipe.steps()
    }

    pub fn explore(mut self) -> Exploration {
        while !self.walk() {
            self.begin_again();
        }
        self.finish()
    }

    /// Restarts with what was learned about how steps touch others' parts.
    fn begin_again(&mut self) {
        let touches = std::mem::take(&mut self.record.touches);
        self.record = PathRecord::new(self.record.recipe, self.record.facts, touches);
        self.trees.clear();
        self.inputs.clear();
        self.begun.clear();
        self.left.clear();
    }

    /// Walks until nothing waits, the limit is reached, or something was learned that calls for a restart; returns
    /// `false` for the last.
    fn walk(&mut self) -> bool {
        self.grow(Base::default(), Vec::new());
        // By the bottom of the first descent nearly every step's work has run, and most of what can be learned is
        // known.
        let mut descended = false;
        while let Some(task) = self.record.stack.pop() {
            if self.record.learnt && descended && self.player.spent().is_none() {
                return false;
            }
            if let Some(why) = self.player.spent().or_else(|| self.hopeless()) {
                self.record.stack.push(task);
                self.break_off(&why);
                break;
            }
            let before = self.record.stack.len();
            self.expand(&task);
            descended |= self.record.stack.len() == before;
            // The situation found first goes on top, so that the first descent does every step in the default way.
            self.record.stack[before..].reverse();
        }
        if !self.record.learnt {
            return true;
        }
        let spent = self.player.spent().or_else(|| self.hopeless());
        if let Some(why) = spent.as_ref().filter(|_| self.left.is_empty()) {
            self.left.push(format!(
                "{why}: it was seen late that a step changes parts that others free, and not looked at again"
            ));
        }
        spent.is_some()
    }

    /// Why the walk cannot finish: hardly any two paths lead to the same situation, so that the situations multiply
    /// with every step.
    fn hopeless(&self) -> Option<String> {
        let (met, arrived) = (self.record.graph.len(), self.record.arrived);
        let hopeless = arrived > LEAST_ARRIVALS && met * 10 > arrived * 9 && self.player.is_late();
        hopeless.then(|| format!("{met} of the {arrived} situations that were come to are unlike all others"))
    }

    /// Tries the step at which a run waits: done in every way, skipped, postponed.
    fn expand(&mut self, task: &Task) {
        let Some(place) = self.steps().iter().position(|step| step.id == task.question.step) else { return };
        let step = &self.steps()[place];
        self.begun.insert(place);
        let opening = vec![Supposed::new(&task.question, &Answer::Do)];
        let put_off_before = task.put_off_before;
        let base = Base { task: Some(task), place: Some(place), tree: None, put_off_before, skips: false };
        let input = remembers(step, &task.memory)
            .map(|memory| (place, memory, self.matters(place, task), task.unspoken.clone()));
        match input.as_ref().and_then(|input| self.inputs.get(input)).copied() {
            Some(known) => self.walk_again(base, &opening, known),
            None => {
                let number = self.grow(base, opening);
                self.inputs.extend(input.map(|input| (input, number)));
            }
        }
        self.decide(Base { skips: true, ..base }, Answer::Skip);
        let may_wait = matches!(task.question.ask, Ask::Begin { may_wait: true });
        if may_wait && !task.put_off_before && self.order_matters(step, task) {
            self.record.met.later = true;
            self.decide(Base { put_off_before: true, ..base }, Answer::Later);
        }
    }

    /// What can matter to a step about each part: everything for those it frees, opens or touches; for others, whether
    /// they are known to be missing or hazardous while still inside.
    fn matters(&self, place: usize, task: &Task) -> Vec<PartNow> {
        let step = &self.steps()[place];
        let touched = |part: &str| self.record.touches.by_step.contains(&(place, part.to_owned()));
        let own = |part: &str| step.opens.as_deref() == Some(part) || frees(step, part) || touched(part);
        let now = parts(self.record.recipe).into_iter().zip(&task.parts);
        now.map(|(part, now)| if own(part) || !now.out { *now } else { PartNow::default() }).collect()
    }

    /// Whether the order of a step can change what follows: its work remembers something, or another step also frees
    /// one of its parts.
    fn order_matters(&self, step: &Step, task: &Task) -> bool {
        let frees =
            |other: &Step, part: &str| other.id != step.id && other.frees.iter().any(|freed| freed.part == part);
        let shared = step.frees.iter().any(|freed| self.steps().iter().any(|other| frees(other, &freed.part)));
        shared || remembers(step, &task.memory).is_none_or(|memory| !memory.is_empty())
    }

    /// One decision about a step that is not to do it.
    fn decide(&mut self, base: Base<'_>, answer: Answer) {
        let (Some(task), Some(place)) = (base.task, base.place) else { return };
        let forced = [Supposed::new(&task.question, &answer)];
        let trail = self.record.graph.trail(task.node);
        let played = self.player.play(&trail, &forced, self.steps()[place].mark);
        let given = played.answers(trail.len());
        match self.record.take(base, &played, &given) {
            Some(arrived) => self.record.lead(base, &arrived, given.into(), 1),
            None => self.record.lead_out(base, 1),
        }
    }

    /// Grows the tree of a step, or of the questions before the first, and returns its number.
    fn grow(&mut self, base: Base<'_>, opening: Vec<Supposed>) -> usize {
        let number = self.trees.len();
        let base = Base { tree: Some(number), ..base };
        let step = base.place.map(|place| &self.steps()[place]);
        let trail = base.task.map(|task| self.record.graph.trail(task.node)).unwrap_or_default();
        let mark = step.map_or(self.record.recipe.unit().mark, |step| step.mark);
        let most = LEAST_SHARE.max(self.player.bound() / SHARE);
        let root = Root { trail: &trail, opening, mark, most };
        let mut arrivals: BTreeMap<Effect, Arrived> = BTreeMap::new();
        let record = &mut self.record;
        let tree = grow(record.recipe, record.facts, &mut self.player, &root, |played, given| {
            let arrived = record.take(base, played, given)?;
            let effect = arrived.effect.clone();
            arrivals.entry(effect.clone()).or_insert(arrived);
            Some(effect)
        });
        for (effect, class) in &tree.classes {
            if let Some(arrived) = arrivals.get(effect) {
                self.record.lead(base, arrived, class.answers.clone(), class.stands_for);
            }
        }
        self.record.lead_out(base, tree.ending);
        if tree.left > 0 {
            let name =
                step.map_or("the questions before the first step".to_owned(), |step| format!("step `{}`", step.id));
            let why = self.player.spent().map_or(String::new(), |why| format!("{why}: "));
            let tried = match tree.varied {
                0 => "usual answers alone were tried".to_owned(),
                most => format!("every combination of up to {} was tried", counted(most, "unusual answer")),
            };
            let left = tree.left;
            self.left.push(format!("{name}: {why}{tried}; {left} known to be left were not, nor what follows them"));
        }
        self.trees.push(Grown { tree, nodes: base.task.iter().map(|task| task.node).collect() });
        number
    }

    /// From another situation with a tree's input: one path per effect.
    fn walk_again(&mut self, base: Base<'_>, opening: &[Supposed], known: usize) {
        let Some(task) = base.task else { return };
        let trail = self.record.graph.trail(task.node);
        let tree = &mut self.trees[known];
        let classes: Vec<_> =
            tree.tree.classes.values().map(|class| (class.answers.clone(), class.stands_for)).collect();
        let ending = tree.tree.ending;
        // A postponed step asks to begin under another key; its answers would not fit the others.
        if classes.first().is_none_or(|(answers, _)| answers.first() == opening.first()) {
            tree.nodes.push(task.node);
        }
        let mark = base.place.map_or(self.record.recipe.unit().mark, |place| self.steps()[place].mark);
        for (answers, stands_for) in classes {
            let forced: Vec<Supposed> = opening.iter().chain(answers.iter().skip(opening.len())).cloned().collect();
            let played = self.player.play(&trail, &forced, mark);
            let given = played.answers(trail.len());
            match self.record.take(base, &played, &given) {
                Some(arrived) => self.record.lead(base, &arrived, given.into(), stands_for),
                None => self.record.lead_out(base, stands_for),
            }
        }
        self.record.lead_out(base, ending);
    }

    fn break_off(&mut self, why: &str) {
        let waiting = self.record.stack.len();
        let never: Vec<&str> = self
            .steps()
            .iter()
            .enumerate()
            .filter(|(at, _)| !self.begun.contains(at))
            .map(|(_, s)| s.id.as_str())
            .collect();
        self.left.push(format!("{why}: {waiting} situations that were met were not followed"));
        if !never.is_empty() {
            self.left.push(format!("never begun by then: {}", never.join(", ")));
        }
    }

    fn finish(mut self) -> Exploration {
        let complete = self.left.is_empty();
        let arrivals = self.record.graph.arrivals();
        let mut findings = Vec::new();
        for (finding, ways) in self.record.sightings.values() {
            let way = ways.iter().map(|way| self.shortest(way, &arrivals)).min_by_key(Vec::len).unwrap_or_default();
            findings.push(Finding { answers: way, ..finding.clone() });
        }
        findings.extend(arrivals.heaviest().iter().filter_map(|heaviest| proofs::fits(self.record.recipe, heaviest)));
        if complete {
            findings.extend(self.never(arrivals.completes_unskipped()));
        }
        let combinations = arrivals.combinations();
        self.check_ways(&mut findings);
        let coverage = Coverage {
            runs: self.player.runs,
            situations: self.record.graph.len(),
            combinations,
            complete,
            left: self.left,
            limits: self.record.met.limits(),
        };
        Exploration { findings, coverage, grades: self.record.grades, guards: self.record.guards }
    }

    /// The shortest path to a sighting, from any situation in which it is seen.
    fn shortest(&self, sighting: &Sighting, arrivals: &Arrivals<'_>) -> Vec<Supposed> {
        let others = sighting.tree.map(|tree| self.trees[tree].nodes.iter().copied()).into_iter().flatten();
        let near = sighting.from.into_iter().chain(others).min_by_key(|node| arrivals.distance(*node));
        let mut way = near.map(|node| arrivals.shortest(node)).unwrap_or_default();
        way.extend(sighting.answers.iter().cloned());
        way
    }

    /// Reruns the path to each script fault, so that no path is shown that does not lead there.
    fn check_ways(&mut self, findings: &mut [Finding]) {
        for finding in findings.iter_mut().filter(|finding| finding.rule == "script" && !finding.answers.is_empty()) {
            let played = self.player.play(&finding.answers, &[], finding.mark);
            if played.faults.iter().any(|fault| fault.message == finding.message) {
                continue;
            }
            let key = (finding.mark, finding.rule, finding.message.clone());
            let first = self.record.sightings.get(&key).and_then(|(_, ways)| ways.first());
            if let Some(way) = first {
                let mut answers = way.from.map(|node| self.record.graph.trail(node)).unwrap_or_default();
                answers.extend(way.answers.iter().cloned());
                finding.answers = answers;
            }
        }
    }

    /// What never happened on any path, once every path was explored.
    fn never(&self, completes: bool) -> Vec<Finding> {
        let recipe = self.record.recipe;
        let mut found = Vec::new();
        for (_, step) in self.steps().iter().enumerate().filter(|(place, _)| !self.begun.contains(place)) {
            let message = format!("the step `{}` is never reached, whatever is answered", step.id);
            let hint = "look at what it comes after, and whether the part that it opens ever comes out";
            found.push(Finding::new(Severity::Error, "unreachable", step.mark, message, hint));
        }
        // If the script fails, that alone may be why parts do not come out.
        let faulty = self.record.sightings.values().any(|(finding, _)| finding.rule == "script");
        for part in parts(recipe).into_iter().filter(|part| !faulty && !self.record.out.contains(*part)) {
            let declared = self.steps().iter().enumerate().filter(|(place, _)| self.begun.contains(place));
            if let Some(freed) = declared.flat_map(|(_, step)| &step.frees).find(|freed| freed.part == part) {
                let message = format!("`{part}` never comes out, whatever is answered");
                found.push(Finding::new(
                    Severity::Warning,
                    "unused",
                    freed.mark,
                    message,
                    "take it out, or see why it is always missing",
                ));
            }
        }
        if !completes {
            let message = "no order of steps leads to the end unless a step is skipped";
            let hint = "every way ends in a fault or an end of work; see the other findings";
            found.push(Finding::new(Severity::Error, "order", recipe.unit().mark, message, hint));
        }
        found
    }
}
