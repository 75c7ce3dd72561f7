//! A recipe being declared by its script.

use crate::naming::{one_line, well_formed_id};
use crate::quantity::{Estimate, Mass, Minutes};

use super::step::{Freed, Mark, Places, RestGrade, StepCost};
use super::{Step, UnitKind};

/// The unit and the steps declared so far. Every method is one word of the script language and explains what it
/// rejects.
#[derive(Debug, Default)]
pub struct RecipeDraft {
    pub(super) unit: Option<UnitKind>,
    pub(super) weighs: Option<Estimate<Mass>>,
    pub(super) steps: Vec<StepDraft>,
}

/// A step being declared.
#[derive(Debug, Clone)]
pub struct StepDraft {
    pub(super) step: Step,
    pub(super) minutes: Option<Estimate<Minutes>>,
    pub(super) leaves: Option<(String, RestGrade)>,
}

const MAX_STEPS: usize = 200;
const MAX_LIST: usize = 60;

/// Adds to a list with a size limit.
fn push<T>(list: &mut Vec<T>, item: T, what: &str, max: usize) -> Result<(), String> {
    if list.len() >= max {
        return Err(format!("too many {what}: at most {max}"));
    }
    list.push(item);
    Ok(())
}

impl RecipeDraft {
    /// Names the unit. Once only, and first.
    ///
    /// # Errors
    /// A message if the id is malformed or a unit was named before.
    pub fn unit(&mut self, id: &str, name: &str, mark: Mark) -> Result<(), String> {
        well_formed_id(id)?;
        if let Some(unit) = &self.unit {
            return Err(format!(
                "this file already describes `{}` (line {}); one recipe a file",
                unit.id, unit.mark.line
            ));
        }
        self.unit = Some(UnitKind {
            id: id.to_owned(),
            name: name.to_owned(),
            weighs: Estimate::exactly(Mass::ZERO),
            whole_grade: String::new(),
            author: String::new(),
            licence: String::new(),
            revision: 1,
            needs_api: 1,
            guards: Vec::new(),
            says: Vec::new(),
            holds: Vec::new(),
            figures_from: String::new(),
            mark,
            places: Places::default(),
        });
        Ok(())
    }

    /// The unit as declared so far, for filling in.
    ///
    /// # Errors
    /// A message if no unit was named yet.
    pub fn unit_mut(&mut self) -> Result<&mut UnitKind, String> {
        self.unit.as_mut().ok_or_else(|| "a recipe starts with unit(id, name)".to_owned())
    }

    /// The unit's expected weight.
    ///
    /// # Errors
    /// A message if no unit was named yet, or the weight is not above zero.
    pub fn weighs(&mut self, expected: Estimate<Mass>) -> Result<(), String> {
        let unit = self.unit_mut()?;
        unit.weighs = above_zero(expected, "the unit")?;
        self.weighs = Some(expected);
        Ok(())
    }

    /// Starts a step and returns its index.
    ///
    /// # Errors
    /// A message if the id is malformed, taken, or there are too many steps.
    pub fn step(&mut self, id: &str, title: &str, mark: Mark) -> Result<usize, String> {
        well_formed_id(id)?;
        if matches!(id, "unit" | "expect") {
            let message = "questions about the whole unit, and what a test session comes to, go by such names";
            return Err(format!("a step cannot be called `{id}`: {message}"));
        }
        if self.unit.is_none() {
            return Err("a recipe starts with unit(id, name); declare it before the first step".into());
        }
        if let Some(twin) = self.steps.iter().find(|draft| draft.step.id == id) {
            return Err(format!("the step `{id}` is declared already in line {}", twin.step.mark.line));
        }
        push(&mut self.steps, StepDraft::new(id, title, mark), "steps", MAX_STEPS)?;
        Ok(self.steps.len() - 1)
    }

    /// A step by index.
    pub fn step_mut(&mut self, place: usize) -> Option<&mut StepDraft> {
        self.steps.get_mut(place)
    }
}

fn above_zero(expected: Estimate<Mass>, what: &str) -> Result<Estimate<Mass>, String> {
    if expected.low().is_negative() || expected.high().is_zero() {
        return Err(format!("the weight of {what} must be above zero, not {} to {}", expected.low(), expected.high()));
    }
    Ok(expected)
}

impl StepDraft {
    fn new(id: &str, title: &str, mark: Mark) -> StepDraft {
        let step = Step { mark, ..Step::new(id, title) };
        StepDraft { step, minutes: None, leaves: None }
    }

    /// Records where a word of the step is.
    pub fn note(&mut self, word: &str, mark: Mark) {
        self.step.places.note(word, mark);
    }

    /// How long the step takes.
    pub fn minutes(&mut self, expected: Estimate<Minutes>) {
        self.minutes = Some(expected);
    }

    /// A tool needed for the step.
    ///
    /// # Errors
    /// A message if the list is full; likewise for the methods below.
    pub fn tool(&mut self, tool: &str) -> Result<(), String> {
        push(&mut self.step.tools, tool.to_owned(), "tools in one step", MAX_LIST)
    }

    /// A hazard to confirm before the step starts. Naming one twice is not an error: guards only ever add up.
    ///
    /// # Errors
    /// A message if the list is full.
    pub fn guard(&mut self, hazard: &str) -> Result<(), String> {
        if self.step.guards.iter().any(|known| known == hazard) {
            return Ok(());
        }
        push(&mut self.step.guards, hazard.to_owned(), "guards in one step", MAX_LIST)
    }

    /// Steps of which at least one must be done first.
    ///
    /// # Errors
    /// A message if the list is full or the group is empty.
    pub fn after_any(&mut self, group: Vec<String>) -> Result<(), String> {
        if group.is_empty() {
            return Err("after_any needs at least one step".into());
        }
        push(&mut self.step.after, group, "prerequisites in one step", MAX_LIST)
    }

    /// The part that the step works on.
    ///
    /// # Errors
    /// A message if the step already opens another part.
    pub fn opens(&mut self, part: &str) -> Result<(), String> {
        match &self.step.opens {
            Some(other) if other != part => Err(format!("this step already opens `{other}`; one part a step")),
            _ => {
                self.step.opens = Some(part.to_owned());
                Ok(())
            }
        }
    }

    /// A part that comes out.
    ///
    /// # Errors
    /// A message if the step frees it already, its name is empty, its weight is not above zero, or the list is full.
    pub fn frees(&mut self, part: &str, expected: Estimate<Mass>, grade: &str, mark: Mark) -> Result<(), String> {
        if part.trim().is_empty() || part.contains(['/', '+']) || part.chars().count() > 60 {
            // In a journal a slash follows the name of a step, and a plus separates the parts of a mixed lot.
            let seen = one_line(part, 80);
            return Err(format!("the part `{seen}` needs a name of 1 to 60 characters without `/` and `+`"));
        }
        if matches!(part, "begin" | "minutes") || part.starts_with("guard.") {
            return Err(format!("a part cannot be called `{part}`: a question of every step goes by that name"));
        }
        if self.step.frees.iter().any(|freed| freed.part == part) {
            return Err(format!("this step frees `{part}` already"));
        }
        let freed = Freed {
            part: part.to_owned(),
            expected: above_zero(expected, &format!("`{part}`"))?,
            grade: grade.to_owned(),
            figures_from: String::new(),
            mark,
        };
        push(&mut self.step.frees, freed, "parts freed in one step", MAX_LIST)
    }

    /// The source of the figures of the part declared last.
    ///
    /// # Errors
    /// A message if the step frees nothing yet.
    pub fn figures_from(&mut self, source: &str) -> Result<(), String> {
        let freed =
            self.step.frees.last_mut().ok_or("figures_from speaks of the part freed just before it; free one first")?;
        freed.figures_from = source.to_owned();
        Ok(())
    }

    /// The new grade of the remainder the step works on.
    ///
    /// # Errors
    /// A message if the step has declared one already.
    pub fn rest(&mut self, grade: &str, better: bool, mark: Mark) -> Result<(), String> {
        if let Some(rest) = &self.step.rest {
            return Err(format!("this step already turns the remainder into `{}`", rest.grade));
        }
        self.step.rest = Some(RestGrade { grade: grade.to_owned(), better, mark });
        Ok(())
    }

    /// The grade of what is left of an opened part: `part` must be the one that this step opens.
    pub fn leaves(&mut self, part: &str, grade: &str, mark: Mark) {
        self.leaves = Some((part.to_owned(), RestGrade { grade: grade.to_owned(), better: true, mark }));
    }

    /// An instruction.
    ///
    /// # Errors
    /// A message if the list is full.
    pub fn says(&mut self, text: &str) -> Result<(), String> {
        push(&mut self.step.says, text.to_owned(), "texts in one step", MAX_LIST)
    }

    /// A consumable.
    ///
    /// # Errors
    /// A message if it would bring money in, or the list is full.
    pub fn costs(&mut self, cost: StepCost) -> Result<(), String> {
        if cost.money.amount().is_sign_negative() {
            return Err(format!("`{}` cannot cost less than nothing ({})", cost.name, cost.money));
        }
        push(&mut self.step.costs, cost, "costs in one step", MAX_LIST)
    }

    /// A WEEE Annex VII item that comes out with this step.
    ///
    /// # Errors
    /// A message if the list is full.
    pub fn removes(&mut self, item: &str) -> Result<(), String> {
        push(&mut self.step.removes, item.to_owned(), "removed items in one step", MAX_LIST)
    }

    /// Declares the step as a frame for steps made up at the bench.
    pub fn made_up(&mut self) {
        self.step.made_up = true;
    }

    /// The closure that asks further questions.
    ///
    /// # Errors
    /// A message if the step has one already.
    pub fn work(&mut self, number: usize) -> Result<(), String> {
        if self.step.work.is_some() {
            return Err("this step has its work already".into());
        }
        self.step.work = Some(number);
        Ok(())
    }
}
