//! Generates new scripts from a few answers, with comments that teach.

use std::fmt::Write as _;

use rust_decimal::Decimal;

use crate::market::GradeTree;
use crate::naming::is_unsafe;
use crate::quantity::{Mass, MassUnit, Minutes};
use crate::script::unit_word;
use crate::store::Id;
use crate::store::home::Shelf;
use crate::world::{AppError, World};

/// What is asked for a new recipe.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RecipeSketch {
    /// Its id.
    pub id: String,
    /// The display name of such a unit.
    pub name: String,
    /// Its weight: minimum, usual, maximum.
    pub weights: [Mass; 3],
    /// The unit in which weights are written.
    pub unit: MassUnit,
    /// The grade under which it sells whole.
    pub whole_grade: String,
    /// Hazards to confirm before the first step.
    pub hazards: Vec<String>,
    /// The first steps, in order.
    pub steps: Vec<StepSketch>,
    /// Who writes it; empty when not said.
    pub author: String,
}

/// A step of a new recipe.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StepSketch {
    /// What is done.
    pub title: String,
    /// How long it usually takes.
    pub minutes: Minutes,
    /// What it frees: part, usual weight, grade.
    pub frees: Option<(String, Mass, String)>,
}

impl RecipeSketch {
    /// The script: each step has the guards and Annex VII items that the grade of its part calls for.
    #[must_use]
    pub fn script(&self, grades: &GradeTree) -> String {
        let [low, usual, high] = self.weights.map(|mass| weight(mass, self.unit));
        let mut text = format!(
            "// {}\n\
             //\n\
             // Where weights and minutes come from belongs beside them: figures_from(\"estimate\") as long as nothing better is known.\n\
             // `words` lists what can be written here, `test {}` plays the test session beside this file, once there is one.\n\n\
             unit({}, {})\n    .weighs(({low}..{high}).usually({usual}))\n    .figures_from(\"estimate\")\n    .sold_whole_as({})\n",
            one_line(&self.name),
            self.id,
            quoted(&self.id),
            quoted(&self.name),
            quoted(&self.whole_grade)
        );
        match self.hazards.as_slice() {
            [] => text.push_str(
                "    // What can hurt? `show hazards` lists what a guard can ask, such as .guards([\"mains-plugged\"]). Nearly all that\n    \
                 // has a cord, a battery or a capacitor needs one.\n",
            ),
            // Writing to a string cannot fail; so below.
            hazards => drop(writeln!(text, "    .guards({})", bracketed(hazards))),
        }
        text.push_str("    // What the law wants out, by its number in WEEE Annex VII, such as .holds([\"1.3\"]) for batteries; the step that\n    // takes it out says .removes([\"1.3\"]).\n");
        let mut held: Vec<&str> = Vec::new();
        for item in self.steps.iter().flat_map(|step| grades.annex_vii(step.grade())) {
            if !held.contains(&item) {
                held.push(item);
            }
        }
        if !held.is_empty() {
            let _ = writeln!(text, "    .holds({})", bracketed(&held));
        }
        let author = if self.author.is_empty() { String::new() } else { format!(".author({})", quoted(&self.author)) };
        let _ = writeln!(text, "    {author}.revision(1).needs_api(1);");
        let mut before: Option<String> = None;
        for (step, id) in self.steps.iter().zip(self.step_ids()) {
            step.write(&id, before.as_deref(), self.unit, grades, &mut text);
            before = Some(id);
        }
        text.push_str(
            "\n// A step can ask while it is done, and find another grade than foreseen:\n//\n\
             //     .work(|bench| {\n\
             //         if bench.choose(\"winding\", \"Scratch a winding. What colour is it?\", [\"copper\", \"silver\"]) == \"silver\" {\n\
             //             bench.regrade(\"motor\", \"motor-aluminium-wound\");\n\
             //         }\n\
             //     })\n",
        );
        text
    }

    /// A unique id for each step, made from its title.
    fn step_ids(&self) -> Vec<String> {
        let mut ids: Vec<String> = Vec::new();
        for (place, step) in self.steps.iter().enumerate() {
            let id = crate::naming::id_of_title(&step.title);
            let taken = id.is_empty() || ids.contains(&id) || matches!(id.as_str(), "unit" | "expect");
            ids.push(if taken { format!("step-{}", place + 1) } else { id });
        }
        ids
    }
}

impl StepSketch {
    /// The grade of what it frees; empty if it frees nothing.
    fn grade(&self) -> &str {
        self.frees.as_ref().map(|(.., grade)| grade.as_str()).unwrap_or_default()
    }

    fn write(&self, id: &str, before: Option<&str>, unit: MassUnit, grades: &GradeTree, text: &mut String) {
        let _ = write!(text, "\nstep({}, {})", quoted(id), quoted(&self.title));
        if let Some(before) = before {
            let _ = write!(text, "\n    .after({})", quoted(before));
        }
        let minutes = self.minutes.get().normalize();
        let half = (minutes / Decimal::TWO).normalize();
        let twice = (minutes * Decimal::TWO).normalize();
        let _ = write!(text, "\n    .minutes({half}, {minutes}, {twice})  // a guess: half and twice the usual time");
        let (hazards, items) = (grades.hazards(self.grade()), grades.annex_vii(self.grade()));
        if !hazards.is_empty() {
            let _ =
                write!(text, "\n    .guards({})  // what such a part can do, by the catalogue", bracketed(&hazards));
        }
        if let Some((part, mass, grade)) = &self.frees {
            let around = |tenths: i64| {
                mass.times(Decimal::new(tenths, 1)).map_or_else(|_| weight(*mass, unit), |m| weight(m, unit))
            };
            let _ = write!(
                text,
                "\n    .frees({}, ({}..{}).usually({}), {})  // a guess: seven tenths to one and a half of the usual weight\n    .figures_from(\"estimate\")",
                quoted(part),
                around(7),
                around(15),
                weight(*mass, unit),
                quoted(grade)
            );
        }
        if !items.is_empty() {
            let _ = write!(text, "\n    .removes({})", bracketed(&items));
        }
        text.push_str(";\n");
    }
}

/// A list of texts as a script writes it.
pub(super) fn bracketed(texts: &[impl AsRef<str>]) -> String {
    format!("[{}]", texts.iter().map(|text| quoted(text.as_ref())).collect::<Vec<_>>().join(", "))
}

impl World {
    /// Rejects an invalid id, and one the user already has a script for.
    ///
    /// # Errors
    /// The id is invalid or taken.
    pub fn expect_free(&self, shelf: Shelf, id: &str) -> Result<(), AppError> {
        crate::naming::well_formed_id(id).map_err(AppError::Answer)?;
        let id = Id::new(id)?;
        match self.home.script(shelf, &id)? {
            None => Ok(()),
            Some(_) => {
                let path = self.home.script_file(shelf, &id);
                Err(AppError::Refused(format!(
                    "{} is there already; choose another id, or edit that file",
                    path.display()
                )))
            }
        }
    }

    /// Writes a new script to the user's folder after checking that it loads. Returns its path.
    ///
    /// # Errors
    /// The id is taken, the script does not load (a defect of ours, shown as its error), or the folder cannot be
    /// written.
    pub fn write_new(&self, shelf: Shelf, id: &str, text: &str) -> Result<std::path::PathBuf, AppError> {
        self.expect_free(shelf, id)?;
        let script = self.host().open(&format!("{id}.rhai"), text)?;
        match shelf {
            Shelf::Yards => drop(self.host().yard(&script)?),
            Shelf::Tools | Shelf::Reports => drop(self.host().tool(&script)?),
            Shelf::Recipes | Shelf::Library => drop(self.host().recipe(&script)?),
        }
        Ok(self.home.add_script(shelf, &Id::new(id)?, text, &self.clock.stamp())?)
    }
}

/// A text as a script writes it.
pub(super) fn quoted(text: &str) -> String {
    format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\"").replace(is_unsafe, " "))
}

pub(super) fn one_line(text: &str) -> String {
    text.replace(is_unsafe, " ")
}

/// A weight in script syntax, `3.6.kg`, in the unit that takes the fewest digits, which is the one in which it was
/// typed; grams below one kilogram, and `unit` in preference to others.
pub(super) fn weight(mass: Mass, unit: MassUnit) -> String {
    let light = mass < Mass::of(Decimal::ONE, MassUnit::Kilogram).unwrap_or(Mass::ZERO);
    let metric = if light { [MassUnit::Gram, MassUnit::Kilogram] } else { [MassUnit::Kilogram, MassUnit::Gram] };
    let others = [unit, MassUnit::Pound, MassUnit::Ounce];
    let first = if unit == MassUnit::Kilogram { [metric, [unit, unit]] } else { [[unit, unit], metric] };
    let written = first.concat().into_iter().chain(others).map(|unit| {
        let number = mass.in_unit(unit).normalize();
        (number.to_string().len(), format!("{number}.{}", unit_word(unit)))
    });
    written.min_by_key(|(digits, _)| *digits).map(|(_, text)| text).unwrap_or_default()
}

#[cfg(test)]
mod tests;
