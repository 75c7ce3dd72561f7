use super::*;
use crate::quantity::{Estimate, Mass, MassUnit, Minutes};
use crate::recipe::{Mark, RecipeDraft};

/// A step: id, prerequisites, guards, the parts it frees.
type Made<'a> = (&'a str, &'a [&'a str], &'a [&'a str], &'a [&'a str]);

fn recipe(unit: &[&str], steps: &[Made<'_>]) -> Recipe {
    let mass = |grams: i64| Mass::of(grams.into(), MassUnit::Gram).unwrap();
    let mut draft = RecipeDraft::default();
    draft.unit("box", "Box", Mark::default()).unwrap();
    draft.weighs(Estimate::exactly(mass(1000))).unwrap();
    draft.unit_mut().unwrap().whole_grade = "whole".into();
    draft.unit_mut().unwrap().guards = unit.iter().map(|guard| (*guard).to_owned()).collect();
    for (id, after, guards, parts) in steps {
        let place = draft.step(id, id, Mark::default()).unwrap();
        let step = draft.step_mut(place).unwrap();
        step.minutes(Estimate::exactly(Minutes::new(1.into()).unwrap()));
        after.iter().for_each(|id| step.after_any(vec![(*id).to_owned()]).unwrap());
        guards.iter().for_each(|guard| step.guard(guard).unwrap());
        parts.iter().for_each(|part| step.frees(part, Estimate::exactly(mass(10)), "plain", Mark::default()).unwrap());
    }
    draft.finish().unwrap()
}

fn work(step: &str, always: &[&str], sometimes: &[&str]) -> WorkGuards {
    let set = |ids: &[&str]| ids.iter().map(|id| (*id).to_owned()).collect::<BTreeSet<_>>();
    let all: BTreeSet<String> = set(always).union(&set(sometimes)).cloned().collect();
    WorkGuards::from([(step.to_owned(), AskedByWork { always: set(always), sometimes: all })])
}

fn weaker(old: &Recipe, old_work: &WorkGuards, new: &Recipe, new_work: &WorkGuards) -> Vec<(String, Loss)> {
    let found = Guards::of(old, old_work).weaker_in(&Guards::of(new, new_work));
    found.into_iter().map(|weaker| (weaker.hazard, weaker.loss)).collect()
}

fn declared(old: &Recipe, new: &Recipe) -> Vec<(String, Loss)> {
    weaker(old, &WorkGuards::new(), new, &WorkGuards::new())
}

fn step(id: &str) -> Spot {
    Spot::Step(id.to_owned())
}

#[test]
fn nothing_is_weaker_in_the_same_recipe_or_in_one_that_asks_more() {
    let old = recipe(&["plug"], &[("lid", &[], &["edge"], &["lid"]), ("core", &["lid"], &[], &["core"])]);
    assert_eq!(declared(&old, &old), []);
    let more =
        recipe(&["plug", "dust"], &[("lid", &[], &["edge"], &["lid"]), ("core", &["lid"], &["edge"], &["core"])]);
    assert_eq!(declared(&old, &more), []);
}

#[test]
fn a_guard_that_is_asked_nowhere_is_gone() {
    let old = recipe(&["plug"], &[("lid", &[], &["edge"], &["lid"])]);
    let new = recipe(&[], &[("lid", &[], &[], &["lid"])]);
    assert_eq!(
        declared(&old, &new),
        [("edge".into(), Loss::Gone(vec![step("lid")])), ("plug".into(), Loss::Gone(vec![Spot::Unit]))]
    );
}

#[test]
fn a_guard_behind_which_a_step_no_longer_comes_is_no_guard_of_it() {
    let steps: [Made<'_>; 3] =
        [("safe", &[], &["charge"], &[]), ("coil", &["safe"], &[], &["coil"]), ("lid", &[], &[], &["lid"])];
    let mut loose = steps;
    loose[1].1 = &[];
    let found = declared(&recipe(&[], &steps), &recipe(&[], &loose));
    assert_eq!(found, [("charge".into(), Loss::Exposed(vec![step("coil")]))], "the part follows from the step");
}

#[test]
fn a_part_is_followed_to_steps_of_other_names() {
    let old = recipe(&[], &[("tube", &[], &["glass"], &["tube"]), ("neck", &[], &["glass"], &["neck"])]);
    let new = recipe(&[], &[("pull", &[], &[], &["tube"]), ("neck", &[], &["glass"], &["neck"])]);
    assert_eq!(
        declared(&old, &new),
        [("glass".into(), Loss::Exposed(vec![Spot::StepGone("tube".into()), Spot::Part("tube".into())]))]
    );
    let renamed = recipe(&[], &[("pull", &[], &["glass"], &["tube"]), ("neck", &[], &["glass"], &["neck"])]);
    assert_eq!(
        declared(&old, &renamed),
        [("glass".into(), Loss::Moved(vec![step("tube")], vec![step("pull"), step("neck")]))]
    );
}

#[test]
fn a_second_way_to_a_part_needs_the_guard_too() {
    let old = recipe(&[], &[("tube", &[], &["glass"], &["tube"])]);
    let new = recipe(&[], &[("tube", &[], &["glass"], &["tube"]), ("smash", &[], &[], &["tube"])]);
    assert_eq!(declared(&old, &new), [("glass".into(), Loss::Exposed(vec![Spot::Part("tube".into())]))]);
}

#[test]
fn a_guard_of_the_unit_stands_before_new_steps_as_well() {
    let old = recipe(&["plug"], &[("lid", &[], &[], &["lid"])]);
    let new = recipe(&[], &[("open", &[], &[], &["screws"]), ("lid", &[], &["plug"], &["lid"])]);
    assert_eq!(
        declared(&old, &new),
        [
            ("plug".into(), Loss::Exposed(vec![step("open")])),
            ("plug".into(), Loss::Moved(vec![Spot::Unit], vec![step("lid")]))
        ]
    );
}

#[test]
fn guards_that_works_ask_are_compared_by_the_ways_on_which_they_ask() {
    let made = recipe(&[], &[("lid", &[], &[], &["lid"]), ("end", &[], &["fibre"], &["end"])]);
    let (always, some, never) = (work("lid", &["fibre"], &[]), work("lid", &[], &["fibre"]), WorkGuards::new());
    assert_eq!(weaker(&made, &always, &made, &some), [("fibre".into(), Loss::Sometimes(vec![step("lid")]))]);
    assert_eq!(weaker(&made, &always, &made, &never), [("fibre".into(), Loss::Exposed(vec![step("lid")]))]);
    assert_eq!(weaker(&made, &some, &made, &never), [("fibre".into(), Loss::Exposed(vec![step("lid")]))]);
    assert_eq!(weaker(&made, &some, &made, &always), []);
    assert_eq!(weaker(&made, &some, &made, &some), []);
}
