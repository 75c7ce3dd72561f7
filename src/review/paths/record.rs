//! What the walk has seen: situations and the paths between them, findings and the paths to them.

use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use super::coverage::Met;
use super::graph::{Graph, Node, To, Way};
use super::play::PlayedPath;
use super::situation::{PartNow, Situation, Touches, parts, parts_now, remembers};
use super::spoken::confirmed;
use super::tree::Effect;
use super::{PathFacts, proofs};
use crate::bench::{Ask, Asked, End, Fate, Question, UnitState, Weighing};
use crate::quantity::Mass;
use crate::recipe::{Mark, Recipe};
use crate::review::declared::{WayRound, ways_round};
use crate::review::finding::{Finding, Supposed};
use crate::review::guards::WorkGuards;
use crate::review::order::frees;

/// A situation waiting to be expanded.
pub(super) struct Task {
    pub node: Node,
    /// Whether to begin a step.
    pub question: Question,
    pub memory: Vec<Option<String>>,
    pub parts: Vec<PartNow>,
    /// Hazards the step's parts may have that no guard has covered so far.
    pub unspoken: BTreeSet<String>,
    /// Which parts can still come out.
    pub coming: Vec<bool>,
    pub put_off_before: bool,
}

/// Where a run was made from: the situation and the step; neither for the questions before the first step.
#[derive(Clone, Copy, Default)]
pub(super) struct Base<'t> {
    pub task: Option<&'t Task>,
    pub place: Option<usize>,
    /// The tree of the run: its results apply to every situation with the tree's input.
    pub tree: Option<usize>,
    pub put_off_before: bool,
    /// Whether the step is skipped.
    pub skips: bool,
}

/// One path to a finding.
pub(super) struct Sighting {
    pub from: Option<Node>,
    pub tree: Option<usize>,
    pub answers: Rc<[Supposed]>,
}

/// Where a run led.
pub(super) struct Arrived {
    pub effect: Effect,
    pub to: To,
    pub frees: (Option<String>, Mass),
}

/// Paths kept per finding; the shortest is shown.
const MAX_SIGHTINGS: usize = 64;

/// What the walk has seen so far.
pub(super) struct PathRecord<'a> {
    pub recipe: &'a Recipe,
    pub facts: &'a PathFacts<'a>,
    pub graph: Graph,
    /// Situations waiting, the next one last.
    pub stack: Vec<Task>,
    pub sightings: BTreeMap<(Mark, &'static str, String), (Finding, Vec<Sighting>)>,
    pub grades: BTreeSet<String>,
    /// The guards asked in work.
    pub guards: WorkGuards,
    /// Parts that came out on some path.
    pub out: BTreeSet<String>,
    pub met: Met,
    /// Steps that were done on some path.
    done: BTreeSet<usize>,
    /// What steps do to parts freed by others.
    pub touches: Touches,
    /// Whether this has grown since the walk began.
    pub learnt: bool,
    /// How often a situation was reached, new or known.
    pub arrived: usize,
    fresh: u64,
    ways_round: Vec<WayRound<'a>>,
}

impl<'a> PathRecord<'a> {
    pub fn new(recipe: &'a Recipe, facts: &'a PathFacts<'a>, touches: Touches) -> PathRecord<'a> {
        PathRecord {
            recipe,
            facts,
            graph: Graph::default(),
            stack: Vec::new(),
            sightings: BTreeMap::new(),
            grades: BTreeSet::new(),
            guards: WorkGuards::new(),
            out: BTreeSet::new(),
            met: Met::default(),
            done: BTreeSet::new(),
            touches,
            learnt: false,
            arrived: 0,
            fresh: 0,
            ways_round: ways_round(recipe, facts.hazards),
        }
    }

    /// Records a run: what it shows, and where it leads. `None` if it ended early.
    pub fn take(&mut self, base: Base<'_>, played: &PlayedPath, given: &[Supposed]) -> Option<Arrived> {
        let state = &played.run_result.state;
        self.grades
            .extend(state.parts.iter().flat_map(|part| [Some(&part.grade), part.opened.as_ref()]).flatten().cloned());
        self.grades.extend(state.regrades().chain([state.grade.as_str()]).map(str::to_owned));
        self.out.extend(state.parts.iter().filter(|part| state.is_at_hand(&part.part)).map(|part| part.part.clone()));
        let asked = &played.run_result.asked[played.run_result.asked.len().saturating_sub(given.len())..];
        asked.iter().for_each(|asked| self.meet(asked));
        self.learn(base, played);
        self.note_guards(base, state, asked);
        self.prove_step(base, played, asked, given);
        let (to, unspoken) = if played.is_at_junction() {
            self.arrive(base, played)?
        } else if played.faults.is_empty() && played.run_result.end == End::Complete {
            for finding in proofs::ends_clean(self.recipe, state, self.facts.is_hazardous) {
                self.sight(finding, Base { tree: None, ..base }, given);
            }
            (To::Complete, BTreeSet::new())
        } else {
            return None;
        };
        let step = base.place.map(|place| &self.recipe.steps()[place]);
        let memory = step.and_then(|step| remembers(step, &played.memory));
        let parts = parts_now(self.recipe, state, self.facts.is_hazardous);
        let freed = state
            .parts
            .iter()
            .filter(|part| step.is_some_and(|step| step.id == part.step) && state.is_at_hand(&part.part));
        let mass = Mass::sum(freed.map(|part| part.expected.usual())).unwrap_or(Mass::ZERO);
        let frees = (step.and_then(|step| step.opens.clone()), mass);
        Some(Arrived { effect: Effect { at_end: to == To::Complete, parts, unspoken, memory }, to, frees })
    }

    /// The situation in which a run waits, and the hazards uncovered in it; a new one is pushed on the stack.
    fn arrive(&mut self, base: Base<'_>, played: &PlayedPath) -> Option<(To, BTreeSet<String>)> {
        let question = played.run_result.waits()?.clone();
        self.fresh += 1;
        self.arrived += 1;
        let (facts, touches) = (self.facts, &self.touches);
        let here = Situation::of(self.recipe, played, facts, touches, base.put_off_before, self.fresh);
        let unspoken = here.situation.unspoken.clone();
        let (node, new) = self.graph.meet(here.situation, here.to_decide);
        if new {
            let is_this = |place: usize| self.recipe.steps()[place].id == question.step;
            self.stack.push(Task {
                node,
                unspoken: touches.unspoken(self.recipe, &played.run_result, facts, is_this),
                question,
                memory: played.memory.clone(),
                parts: parts_now(self.recipe, &played.run_result.state, facts.is_hazardous),
                coming: here.coming,
                put_off_before: base.put_off_before,
            });
        }
        Some((To::Situation(node), unspoken))
    }

    /// Notes which guards a step's work asked, and whether it asks them on every path on which the step is done.
    fn note_guards(&mut self, base: Base<'_>, state: &UnitState, asked: &[Asked]) {
        let Some((place, step)) = base.place.and_then(|place| Some((place, self.recipe.steps().get(place)?))) else {
            return;
        };
        let own = asked.iter().filter(|asked| asked.by_work && asked.question.step == step.id);
        let seen: BTreeSet<String> = confirmed(own).map(str::to_owned).collect();
        let is_done = state.fates.get(place) == Some(&Fate::Done);
        let is_first = is_done && self.done.insert(place);
        let known = self.guards.entry(step.id.clone()).or_default();
        if is_first {
            known.always.clone_from(&seen);
        } else if is_done {
            known.always.retain(|hazard| seen.contains(hazard));
        }
        known.sometimes.extend(seen);
    }

    /// Learns which parts a step marks or grades. What counts is that it does, not that it changes anything here: in
    /// another situation it may.
    fn learn(&mut self, base: Base<'_>, played: &PlayedPath) {
        let (Some(task), Some(place)) = (base.task, base.place) else { return };
        let step = &self.recipe.steps()[place];
        let touched = played.run_result.state.touched_by(place);
        for (part, grade) in touched {
            if let Some(grade) = grade.filter(|grade| !(self.facts.dangers)(grade).is_empty()) {
                self.learnt |= self.touches.graded.insert((part.to_owned(), grade.to_owned()));
            }
            if frees(step, part) {
                continue;
            }
            self.learnt |= self.touches.by_step.insert((place, part.to_owned()));
            let at = parts(self.recipe).iter().position(|known| *known == part);
            if at.is_some_and(|at| !task.coming[at]) {
                self.learnt |= self.touches.watched.insert(part.to_owned());
            }
        }
    }

    fn prove_step(&mut self, base: Base<'_>, played: &PlayedPath, asked: &[Asked], given: &[Supposed]) {
        let mut found: Vec<Finding> = played.faults.iter().cloned().map(Finding::of_fault).collect();
        if let Some((place, step)) = base.place.and_then(|place| Some((place, self.recipe.steps().get(place)?))) {
            let state = &played.run_result.state;
            found.extend(proofs::guards_come_first(step, asked, state, place));
            found.extend(proofs::keys_differ(self.recipe, asked));
            found.extend(proofs::outs_are_guarded(step, &played.run_result, self.facts));
            found.extend(proofs::parts_are_spoken_of(self.recipe, step, &played.run_result, self.facts));
            found.extend(proofs::none_goes_round(&self.ways_round, step, asked, state, self.facts.hazards));
            let before = base.task.map(|task| task.parts.as_slice()).unwrap_or_default();
            found.extend(proofs::hazards_stay_marked(self.recipe, step, before, state, self.facts.is_hazardous));
        }
        found.into_iter().for_each(|finding| self.sight(finding, base, given));
    }

    /// Keeps a finding and one path to it.
    fn sight(&mut self, finding: Finding, base: Base<'_>, given: &[Supposed]) {
        let key = (finding.mark, finding.rule, finding.message.clone());
        let (_, ways) = self.sightings.entry(key).or_insert_with(|| (finding, Vec::new()));
        if ways.len() < MAX_SIGHTINGS {
            ways.push(Sighting { from: base.task.map(|task| task.node), tree: base.tree, answers: given.into() });
        }
    }

    fn meet(&mut self, asked: &Asked) {
        match &asked.question.ask {
            Ask::Number { .. } | Ask::Count => self.met.numbers = true,
            Ask::Text => self.met.texts = true,
            Ask::Weight { what: Weighing::Part | Weighing::Other, .. } => self.met.weights |= asked.by_work,
            _ => {}
        }
    }

    /// Adds the path of a run.
    pub fn lead(&mut self, base: Base<'_>, arrived: &Arrived, answers: Rc<[Supposed]>, stands_for: u128) {
        let from = base.task.map(|task| task.node);
        let skips = base.skips;
        self.graph.add(Way { from, to: arrived.to, answers, stands_for, skips, frees: arrived.frees.clone() });
    }

    /// Adds paths that end early.
    pub fn lead_out(&mut self, base: Base<'_>, stands_for: u128) {
        if stands_for > 0 {
            let from = base.task.map(|task| task.node);
            let frees = (None, Mass::ZERO);
            self.graph.add(Way { from, to: To::Out, answers: Rc::new([]), stands_for, skips: base.skips, frees });
        }
    }
}
