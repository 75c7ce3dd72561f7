//! Checks a recipe: its declarations, every path through it, and its test session.

use std::collections::BTreeSet;
use std::rc::Rc;

use super::subject::Subject;
use super::{Bounds, Checked, Placed, Watch, test_session};
use crate::bench::CurrentAnswers;
use crate::market::Grade;
use crate::recipe::{Recipe, RecipeFault};
use crate::review::declared;
use crate::review::guards::WorkGuards;
use crate::review::paths::{Exploration, PathFacts, Reached, Runner, explore};
use crate::script::{Host, Script, ScriptError};
use crate::world::World;

/// Runs a recipe over assumed answers, within limits.
struct HostRunner<'a> {
    host: &'a Host,
    script: &'a Script,
    watch: &'a Watch,
}

impl Runner for HostRunner<'_> {
    fn run(&mut self, standing: Rc<CurrentAnswers>) -> Reached {
        let probe = self.host.probe(self.script, standing);
        self.watch.count();
        let fault = |error: ScriptError| RecipeFault {
            mark: error.mark,
            message: error.message,
            hint: error.hint.unwrap_or_default(),
        };
        Reached {
            run_result: probe.run_result,
            faults: probe.errors.into_iter().map(fault).collect(),
            memory: probe.memory,
        }
    }

    fn bound(&self) -> u64 {
        self.watch.bounds.runs
    }

    fn spent(&self) -> Option<String> {
        self.watch.spent(self.host)
    }

    fn is_late(&self) -> bool {
        self.watch.is_late()
    }
}

/// Checks a recipe and adds what was found.
pub(super) fn check(world: &World, subject: &Subject, script: &Script, watch: &Watch, checked: &mut Checked) {
    let host = world.host();
    let recipe = match host.recipe(script) {
        Ok(recipe) => recipe,
        Err(errors) => {
            checked.findings.extend(errors.into_iter().map(Placed::from));
            return;
        }
    };
    let mut findings = declared::review(&recipe, host.catalogue().hazards());
    let explored = walk(host, script, &recipe, watch);
    findings.extend(explored.findings);
    checked.findings.extend(findings.into_iter().map(|finding| subject.place(finding)));
    checked.grades = explored.grades;
    checked.grades.insert(recipe.unit().whole_grade.clone());
    checked.guards = explored.guards;
    checked.coverage = Some(explored.coverage);
    if let Some((path, text)) = &subject.session {
        let played = test_session::play(world, script, path, text);
        checked.test_answers = Some(played.answers);
        checked.findings.extend(played.findings);
    }
}

fn walk(host: &Host, script: &Script, recipe: &Recipe, watch: &Watch) -> Exploration {
    let thresholds = host.thresholds(script);
    let grades = host.catalogue().grades();
    let is_hazardous = |grade: &str| grades.get(grade).is_some_and(Grade::is_hazardous_waste);
    let facts = PathFacts {
        hazards: host.catalogue().hazards(),
        is_hazardous: &is_hazardous,
        dangers: &|grade| grades.hazards(grade).into_iter().map(str::to_owned).collect(),
        items: &|grade| grades.annex_vii(grade).into_iter().map(str::to_owned).collect(),
        numbers: thresholds.numbers,
        weights: thresholds.weights,
    };
    explore(recipe, &facts, &mut HostRunner { host, script, watch })
}

/// The grades that a recipe names, declared or anywhere in its code except comments. Cheap, since its paths are not
/// explored. Empty if it cannot be read.
pub(super) fn named_grades(host: &Host, subject: &Subject) -> BTreeSet<String> {
    let Ok(script) = host.open(&subject.file, &subject.text) else { return BTreeSet::new() };
    let Ok(recipe) = host.recipe(&script) else { return BTreeSet::new() };
    recipe.grades().map(|(grade, _)| grade.to_owned()).chain(host.texts(script.source())).collect()
}

/// The guards that a recipe's work asks, and whether every path was explored.
pub(crate) fn work_guards(host: &Host, script: &Script, recipe: &Recipe, bounds: Bounds) -> (WorkGuards, bool) {
    if recipe.steps().iter().all(|step| step.work.is_none()) {
        return (WorkGuards::new(), true);
    }
    let explored = walk(host, script, recipe, &Watch::start(bounds, host));
    (explored.guards, explored.coverage.complete)
}
