//! Turns a draft into a recipe whose references are all valid.

use super::draft::{RecipeDraft, StepDraft};
use super::step::{Mark, Step};
use super::{API_VERSION, Recipe, UnitKind};
use crate::naming::{nearest, suggest};
use crate::quantity::Mass;

/// A fault in a recipe, and where.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RecipeFault {
    /// The place in the script.
    pub mark: Mark,
    /// What is wrong, with the offending values.
    pub message: String,
    /// What to do about it.
    pub hint: String,
}

impl RecipeFault {
    fn new(mark: Mark, message: impl Into<String>, hint: impl Into<String>) -> RecipeFault {
        RecipeFault { mark, message: message.into(), hint: hint.into() }
    }
}

impl RecipeDraft {
    /// The recipe, if all its references are valid.
    ///
    /// # Errors
    /// Every fault found, in script order.
    pub fn finish(self) -> Result<Recipe, Vec<RecipeFault>> {
        let start = Mark { line: 1, column: 1 };
        let Some(unit) = self.unit else {
            return Err(vec![RecipeFault::new(
                start,
                "this recipe describes no unit",
                "start with unit(\"id\", \"name\")",
            )]);
        };
        let mut faults = unit_faults(&unit, self.weighs.is_some());
        if self.steps.is_empty() {
            faults.push(RecipeFault::new(
                unit.mark,
                "this recipe has no step",
                "add step(\"id\", \"title\").minutes(…)",
            ));
        }
        let mut steps = Vec::new();
        for draft in self.steps {
            steps.push(finish_step(draft, &mut faults));
        }
        reference_faults(&steps, &mut faults);
        frame_faults(&steps, &mut faults);
        weight_faults(&unit, &steps, &mut faults);
        order_faults(&steps, &mut faults);
        if faults.is_empty() {
            Ok(Recipe { unit, steps })
        } else {
            faults.sort_by_key(|fault| fault.mark);
            Err(faults)
        }
    }
}

fn unit_faults(unit: &UnitKind, weighed: bool) -> Vec<RecipeFault> {
    let mut faults = Vec::new();
    if unit.needs_api > API_VERSION {
        faults.push(RecipeFault::new(
            unit.mark,
            format!("`{}` needs script version {}; this program speaks {API_VERSION}", unit.id, unit.needs_api),
            "use a newer Knockdown for this recipe",
        ));
    }
    if !weighed {
        faults.push(RecipeFault::new(
            unit.mark,
            "the unit has no weight",
            "add .weighs((10.kg..19.kg).usually(13.kg))",
        ));
    }
    if unit.whole_grade.is_empty() {
        faults.push(RecipeFault::new(
            unit.mark,
            "the unit has no whole grade",
            "add .sold_whole_as(\"appliance-light\")",
        ));
    }
    faults
}

/// Fills in what a step left open; a missing time is a fault, since value per hour depends on it.
fn finish_step(draft: StepDraft, faults: &mut Vec<RecipeFault>) -> Step {
    let mut step = draft.step;
    match draft.minutes {
        Some(minutes) => step.minutes = minutes,
        None => faults.push(RecipeFault::new(
            step.mark,
            format!("the step `{}` does not say how long it takes", step.id),
            "add .minutes(low, usual, high)",
        )),
    }
    if let Some((part, rest)) = draft.leaves {
        match &step.opens {
            Some(opened) if *opened == part && step.rest.is_none() => step.rest = Some(rest),
            Some(opened) if *opened == part => faults.push(RecipeFault::new(
                rest.mark,
                format!("the step `{}` says twice what is left of `{part}`", step.id),
                "keep either leaves or spoils/cleans",
            )),
            _ => faults.push(RecipeFault::new(
                rest.mark,
                format!("the step `{}` says what is left of `{part}`, but does not open it", step.id),
                match step.opens.as_deref().and_then(|opened| nearest(&part, [opened])) {
                    Some(opened) => format!("did you mean `{opened}`?"),
                    None => format!("add .opens({part:?})"),
                },
            )),
        }
    }
    step
}

/// Named steps must exist; opened parts must be freed by another step.
fn reference_faults(steps: &[Step], faults: &mut Vec<RecipeFault>) {
    let ids = steps.iter().map(|step| step.id.as_str());
    let parts = steps.iter().flat_map(|step| step.frees.iter().map(|freed| freed.part.as_str()));
    for step in steps {
        for (group, name) in step.after.iter().flat_map(|group| group.iter().map(move |name| (group, name))) {
            if !ids.clone().any(|id| id == name) {
                faults.push(RecipeFault::new(
                    step.place(if group.len() > 1 { "after_any" } else { "after" }),
                    format!("the step `{}` comes after `{name}`, which is no step", step.id),
                    suggest(name, ids.clone()),
                ));
            }
        }
        if let Some(part) = &step.opens {
            if !parts.clone().any(|known| known == part) {
                faults.push(RecipeFault::new(
                    step.place("opens"),
                    format!("the step `{}` opens `{part}`, which no step frees", step.id),
                    suggest(part, parts.clone()),
                ));
            }
            if step.frees.iter().any(|freed| freed.part == *part) {
                faults.push(RecipeFault::new(
                    step.place("opens"),
                    format!("the step `{}` opens `{part}` and frees it too", step.id),
                    "give what comes out another name",
                ));
            }
        }
    }
}

/// A frame for made-up steps works on nothing itself, and the ids it generates must be free.
fn frame_faults(steps: &[Step], faults: &mut Vec<RecipeFault>) {
    for frame in steps.iter().filter(|step| step.made_up) {
        if frame.opens.is_some() || !frame.frees.is_empty() || frame.rest.is_some() {
            faults.push(RecipeFault::new(
                frame.mark,
                format!("the steps of `{}` are made up at the bench, so it can name no parts of its own", frame.id),
                "free parts in a step of its own before it",
            ));
        }
        let counted = |id: &str| {
            let number = id.strip_prefix(frame.id.as_str()).and_then(|rest| rest.strip_prefix('-'));
            number.is_some_and(|number| !number.is_empty() && number.chars().all(|c| c.is_ascii_digit()))
        };
        for step in steps.iter().filter(|step| counted(&step.id)) {
            let message = format!("a step that is made up in `{}` may come to be called `{}`", frame.id, step.id);
            faults.push(RecipeFault::new(step.mark, message, "give this step another id"));
        }
    }
}

/// The minimum total weight of a host's parts must fit the maximum weight of the host.
fn weight_faults(unit: &UnitKind, steps: &[Step], faults: &mut Vec<RecipeFault>) {
    let mut hosts: Vec<(Option<&str>, Mass)> = vec![(None, unit.weighs.high())];
    for freed in steps.iter().flat_map(|step| &step.frees) {
        if !hosts.iter().any(|(part, _)| *part == Some(freed.part.as_str())) {
            hosts.push((Some(&freed.part), freed.expected.high()));
        }
    }
    for (host, capacity) in hosts {
        let mut lightest: Vec<(&str, Mass)> = Vec::new();
        let mut last = unit.mark;
        for step in steps.iter().filter(|step| step.opens.as_deref() == host) {
            for freed in &step.frees {
                last = freed.mark;
                match lightest.iter_mut().find(|(part, _)| *part == freed.part) {
                    Some((_, low)) => *low = (*low).min(freed.expected.low()),
                    None => lightest.push((&freed.part, freed.expected.low())),
                }
            }
        }
        let Ok(total) = Mass::sum(lightest.iter().map(|(_, low)| *low)) else { continue };
        if total > capacity {
            let host = host.unwrap_or("the unit");
            faults.push(RecipeFault::new(
                last,
                format!("the parts of `{host}` weigh at least {total} together, but it weighs at most {capacity}"),
                "lower the parts' low weights or raise the high weight of what holds them",
            ));
        }
    }
}

/// Every step must be reachable in some order; circular prerequisites are named.
fn order_faults(steps: &[Step], faults: &mut Vec<RecipeFault>) {
    let mut done = vec![false; steps.len()];
    let is_done = |done: &[bool], id: &str| steps.iter().zip(done).any(|(step, done)| *done && step.id == id);
    loop {
        let ready = (0..steps.len()).find(|&i| {
            let host_free = steps[i].opens.as_ref().is_none_or(|part| {
                steps.iter().zip(&done).any(|(step, done)| *done && step.frees.iter().any(|freed| freed.part == *part))
            });
            !done[i] && host_free && steps[i].after.iter().all(|group| group.iter().any(|id| is_done(&done, id)))
        });
        match ready {
            Some(i) => done[i] = true,
            None => break,
        }
    }
    for (step, _) in steps.iter().zip(&done).filter(|(_, done)| !**done) {
        let waits: Vec<_> = step.after.iter().flatten().map(|id| format!("`{id}`")).collect();
        let knows_all = step.after.iter().flatten().all(|id| steps.iter().any(|s| s.id == *id));
        let host_known = step.opens.as_ref().is_none_or(|p| steps.iter().any(|s| s.frees.iter().any(|f| f.part == *p)));
        if knows_all && host_known {
            faults.push(RecipeFault::new(
                step.mark,
                format!("the step `{}` can never start: it waits for {}", step.id, waits.join(", ")),
                "these steps wait for each other in a circle; take one of the prerequisites out",
            ));
        }
    }
}
