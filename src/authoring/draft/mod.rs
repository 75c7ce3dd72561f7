//! Drafts a recipe from one session: what was done, in order, with every guard that was asked.

mod answers;
mod script;

use std::collections::BTreeSet;

use crate::bench::{Ask, Asked, FreePart, Presence, UNIT};
use crate::naming::{counted, id_of_title};
use crate::quantity::{Mass, Minutes};
use crate::recipe::{Action, Step};
use crate::sessions::Session;
use crate::world::AppError;

/// A recipe as one session suggests it.
pub struct Draft {
    /// Its id.
    pub id: String,
    /// The script.
    pub script: String,
    /// A test session: the answers of the original session.
    pub test_session: String,
    /// What the author still has to fill in, a sentence each.
    pub to_fill_in: Vec<String>,
}

/// What a draft is made of, sorted and named.
struct Material<'s> {
    session: &'s Session<'s>,
    id: String,
    name: String,
    /// Guards before the first step: the unit's own, and those of the look over it.
    guards: Vec<String>,
    steps: Vec<Worked<'s>>,
    /// WEEE Annex VII items that nothing in the session cleared.
    inside: Vec<String>,
}

/// One step that was done.
struct Worked<'s> {
    /// Its id in the session.
    was: String,
    /// Its id in the draft.
    id: String,
    step: &'s Step,
    minutes: Minutes,
    guards: Vec<String>,
    after: Vec<String>,
    parts: Vec<&'s FreePart>,
    removes: Vec<String>,
    /// Whether a voltage was measured in it; the draft then measures it too.
    measured: bool,
}

impl Worked<'_> {
    /// The oil-filled capacitor it freed, if any: only its label proves that it is free of PCB.
    fn oil_filled(&self) -> Option<&FreePart> {
        self.parts.iter().copied().find(|part| part.grade == "capacitor-oil")
    }
}

/// Drafts a recipe from a session.
///
/// # Errors
/// No step of the session was done; or the name yields no id and none is given.
pub fn draft(session: &Session<'_>, id: Option<&str>, name: Option<&str>) -> Result<Draft, AppError> {
    let name = name.unwrap_or(&session.recipe().unit().name).to_owned();
    let id = id.map_or_else(|| id_of_title(&name), str::to_owned);
    crate::naming::well_formed_id(&id).map_err(|error| AppError::Answer(format!("{error}; give one with --id")))?;
    let material = Material::of(session, id, name);
    if material.steps.is_empty() {
        let message = "no step of that session was finished: there is nothing to make a recipe of".to_owned();
        return Err(AppError::Refused(message));
    }
    let to_fill_in = material.to_fill_in();
    Ok(Draft {
        script: material.script(&to_fill_in),
        test_session: material.test_session(),
        id: material.id.clone(),
        to_fill_in,
    })
}

impl<'s> Material<'s> {
    fn of(session: &'s Session<'s>, id: String, name: String) -> Material<'s> {
        let (recipe, state) = (session.recipe(), &session.run_result().state);
        let done = state.minutes.iter().filter_map(|(id, minutes)| Some((recipe.step(id)?, *minutes)));
        let mut taken: BTreeSet<String> = [UNIT, "expect", "treatment"].map(str::to_owned).into();
        let mut steps: Vec<Worked<'s>> = Vec::new();
        let mut guards = asked_guards(session, UNIT);
        for (step, minutes) in done {
            let parts: Vec<&FreePart> =
                state.parts.iter().filter(|part| part.step == step.id && part.presence != Presence::Absent).collect();
            let own = asked_guards(session, &step.id);
            // A look over the closed unit frees nothing: what it found goes before everything else.
            if steps.is_empty() && parts.is_empty() && step.tools.is_empty() {
                guards.extend(own.into_iter().filter(|hazard| !guards.contains(hazard)).collect::<Vec<_>>());
                continue;
            }
            let id = free_id(step, &mut taken, steps.len() + 1);
            let frees = |worked: &&Worked<'_>| worked.parts.iter().any(|part| Some(&part.part) == step.opens.as_ref());
            let before = match &step.opens {
                Some(_) => steps.iter().find(frees),
                None => steps.iter().rfind(|worked| worked.step.opens.is_none()),
            };
            steps.push(Worked {
                was: step.id.clone(),
                id,
                after: before.map(|worked| worked.id.clone()).into_iter().collect(),
                removes: step.removes.iter().filter(|item| !state.not_held.contains(item)).cloned().collect(),
                measured: measures_voltage(session, &step.id),
                step,
                minutes,
                guards: own,
                parts,
            });
        }
        let mut material = Material { session, id, name, guards, steps, inside: Vec::new() };
        material.place_removals();
        material
    }

    /// Items that the user reported as all out belong to the last step that freed such a part; those not out are left
    /// to a licensed treater.
    fn place_removals(&mut self) {
        let state = &self.session.run_result().state;
        let grades = self.session.grades();
        let told = |item: &&String| {
            state.removed.contains(item) && !self.steps.iter().any(|worked| worked.removes.contains(item))
        };
        let held = || self.session.recipe().unit().holds.iter().filter(|item| !state.not_held.contains(item));
        let told: Vec<String> = held().filter(told).cloned().collect();
        for item in told {
            let is_such = |part: &&FreePart| grades.annex_vii(&part.grade).contains(&item.as_str());
            if let Some(last) = self.steps.iter_mut().rfind(|worked| worked.parts.iter().any(&is_such)) {
                last.removes.push(item);
            }
        }
        let is_out = |item: &&String| self.steps.iter().any(|worked| worked.removes.contains(item));
        self.inside = held().filter(|item| !is_out(item)).cloned().collect();
    }

    /// What held the unit together so far: the larger of its weight and the weight of everything that came out.
    fn weight(&self) -> Option<Mass> {
        let state = &self.session.run_result().state;
        let out = state.freed_from(None);
        state.intake.map(|reading| reading.net.max(out))
    }

    /// Licensed hazards of what is still inside, one per item, for the step that leaves it to a treater.
    fn treatment_guards(&self) -> Vec<String> {
        let mut guards: Vec<String> = Vec::new();
        for item in &self.inside {
            let mut speak = self.session.hazards().iter().filter(|hazard| hazard.annex_vii.contains(item));
            let licensed = speak.find(|hazard| hazard.class == Action::Licensed).map(|hazard| hazard.id.clone());
            guards.extend(licensed.filter(|id| !guards.contains(id)));
        }
        guards
    }

    fn to_fill_in(&self) -> Vec<String> {
        let parts = self.steps.iter().flat_map(|worked| &worked.parts).count();
        let mut list = vec![
            "the weight range of the unit: it rests on 1 unit".to_owned(),
            format!(
                "the weight ranges of {} and the minutes of {}: each rests on 1 session",
                counted(parts, "part"),
                counted(self.steps.len(), "step")
            ),
            "what to say at each step: screws, clips, order, what to leave in".to_owned(),
            "checks that tell look-alikes apart, as the libraries of `import \"checks\"` have them".to_owned(),
        ];
        if self.weight().is_none() {
            list.push("what the unit weighs: it was not weighed".to_owned());
        }
        let bare = self.steps.iter().filter(|worked| worked.guards.is_empty()).map(|worked| format!("`{}`", worked.id));
        let bare: Vec<String> = bare.collect();
        if !bare.is_empty() {
            list.push(format!("what can hurt in {}: no guard was asked there", bare.join(", ")));
        }
        if !self.inside.is_empty() {
            let items = self.inside.join(", ");
            list.push(format!("what becomes of WEEE Annex VII {items}: still inside when the session ended"));
        }
        list
    }
}

/// The guards confirmed in a step, in order.
fn asked_guards(session: &Session<'_>, step: &str) -> Vec<String> {
    let own = session.run_result().asked.iter().filter(|asked| asked.question.step == step);
    let mut guards: Vec<String> = Vec::new();
    for hazard in own.filter_map(|asked| match &asked.question.ask {
        Ask::Guard { hazard, .. } => Some(hazard),
        _ => None,
    }) {
        if !guards.contains(hazard) {
            guards.push(hazard.clone());
        }
    }
    guards
}

fn measures_voltage(session: &Session<'_>, step: &str) -> bool {
    let is_voltage = |asked: &&Asked| {
        asked.question.step == step && matches!(&asked.question.ask, Ask::Number { unit } if unit == "V")
    };
    session.run_result().asked.iter().any(|asked| is_voltage(&asked))
}

/// An id for a step of the draft: the original one if the recipe declared it, else one made from its title.
fn free_id(step: &Step, taken: &mut BTreeSet<String>, number: usize) -> String {
    let made = if step.is_of_the_bench() { id_of_title(&step.title) } else { step.id.clone() };
    let plain = made.split('-').take(4).collect::<Vec<_>>().join("-");
    let id = [plain, made, format!("step-{number}")].into_iter().find(|id| !id.is_empty() && !taken.contains(id));
    let id = id.unwrap_or_else(|| format!("step-{number}-{}", taken.len()));
    taken.insert(id.clone());
    id
}
