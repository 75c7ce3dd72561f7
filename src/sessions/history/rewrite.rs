//! A recipe with figures learned from the user's own sessions, otherwise as its author wrote it.

use std::ops::Range;
use std::path::PathBuf;

use super::archive::Archive;
use super::learn::{BEFORE, Foreseen, LEARNED, Learned, UP_TO};
use super::sift::Slipped;
use crate::quantity::{Estimate, Mass, Notation};
use crate::recipe::{Freed, Recipe};
use crate::store::home::Shelf;
use crate::store::{Id, StoreError};
use crate::world::{AppError, World};

/// A rewritten recipe.
#[derive(Debug, Clone)]
pub struct Rewritten {
    /// The recipe's id.
    pub recipe: String,
    /// Its new text.
    pub text: String,
    /// Every part with its range before and after.
    pub parts: Vec<(String, Estimate<Mass>, Foreseen)>,
    /// Sessions that could not be read, with reasons.
    pub lapses: Vec<(String, String)>,
    /// Weights excluded from learning.
    pub slips: Vec<Slipped>,
}

/// The text of a recipe with every range updated that the user's sessions say something about, each with a comment on
/// the number of sessions behind it. The revision increases by one.
///
/// # Errors
/// No such recipe, no session of it has a weight, or a figure cannot be found in the text.
pub fn learned_copy(archive: &Archive<'_>, recipe: &str) -> Result<Rewritten, AppError> {
    let world = archive.world();
    let id = world.pick_one(Shelf::Recipes, recipe)?;
    let (script, recipe) = world.recipe(&id)?;
    let learned = Learned::from(archive, &recipe, "")?;
    let source: &str = script.source();
    let mut edits: Vec<(Range<usize>, String)> = Vec::new();
    let mut parts = Vec::new();
    for freed in recipe.steps().iter().flat_map(|step| &step.frees) {
        let Some(foreseen) = learned.range(&freed.part, None) else { continue };
        let call = world.host().frees_call(source, freed.mark).ok_or_else(|| unplaced(script.file(), freed))?;
        edits.push((call.line..call.line, comment(source, call.line, freed, &foreseen)));
        edits.push((call.weight, written(&foreseen.weight)));
        let origin = origin(freed, &foreseen, &learned);
        edits.push(match call.figures_from {
            Some(place) => (place, origin),
            None => (call.end..call.end, format!("\n    .figures_from({origin})")),
        });
        parts.push((freed.part.clone(), freed.expected, foreseen));
    }
    if parts.is_empty() {
        return Err(AppError::Refused(format!(
            "no session of {id} that its figures do not hold already has weighed a part together with its unit"
        )));
    }
    if let Some(place) = world.host().revision_number(source) {
        edits.push((place, (recipe.unit().revision + 1).to_string()));
    }
    let text = edited(source, edits);
    let fresh = world.host().open(&format!("{id}.rhai (learned)"), &text)?;
    let fresh = world.host().recipe(&fresh)?;
    for (part, _, foreseen) in &parts {
        if !ranges(&fresh, part).all(|range| *range == foreseen.weight) {
            return Err(AppError::Refused(format!(
                "the range of `{part}` could not be set in the text of {id}; edit it by hand after `copy {id}`"
            )));
        }
    }
    Ok(Rewritten { recipe: id, text, parts, lapses: learned.lapses, slips: learned.slips })
}

impl World {
    /// Writes a rewritten recipe to the user's folder. Replaces their own copy only if `replace` is set; the old text
    /// then stays among the copies that sessions ran under.
    ///
    /// # Errors
    /// A recipe of that name exists and `replace` is not set, or the folder cannot be written.
    pub fn keep_learned(&self, rewritten: &Rewritten, replace: bool) -> Result<PathBuf, AppError> {
        let (id, stamp) = (Id::new(&rewritten.recipe)?, self.clock.stamp());
        if replace {
            return Ok(self.home.replace_script(Shelf::Recipes, &id, &rewritten.text, &stamp)?);
        }
        match self.home.add_script(Shelf::Recipes, &id, &rewritten.text, &stamp) {
            Err(StoreError::Exists { path }) => Err(AppError::Refused(format!(
                "{} is there already; --replace puts the learned one in its place and keeps the old text",
                path.display()
            ))),
            other => Ok(other?),
        }
    }
}

fn ranges<'r>(recipe: &'r Recipe, part: &'r str) -> impl Iterator<Item = &'r Estimate<Mass>> {
    recipe
        .steps()
        .iter()
        .flat_map(|step| &step.frees)
        .filter(move |freed| freed.part == part)
        .map(|freed| &freed.expected)
}

fn unplaced(file: &str, freed: &Freed) -> AppError {
    AppError::Refused(format!(
        "{file}:{}: the figure of `{}` cannot be found here; give it as frees(part, weight, grade)",
        freed.mark.line, freed.part
    ))
}

/// Applies edits from the end, so that earlier positions stay valid. Of two edits at one position, the one listed first
/// comes first.
fn edited(source: &str, mut edits: Vec<(Range<usize>, String)>) -> String {
    edits.sort_by_key(|(place, _)| place.start);
    let mut text = String::with_capacity(source.len() + edits.len() * 80);
    let mut at = 0;
    for (place, new) in edits {
        text.push_str(&source[at..place.start]);
        text.push_str(&new);
        at = place.end;
    }
    text + &source[at..]
}

/// A range in recipe syntax: `(2.9.kg..4.1.kg).usually(3.55.kg)`.
fn written(weight: &Estimate<Mass>) -> String {
    let mass = |mass: Mass| {
        let kilograms = mass.grams() >= rust_decimal::Decimal::ONE_THOUSAND;
        let number = if kilograms { mass.grams() / rust_decimal::Decimal::ONE_THOUSAND } else { mass.grams() };
        format!("{}.{}", number.normalize(), if kilograms { "kg" } else { "g" })
    };
    format!("({}..{}).usually({})", mass(weight.low()), mass(weight.high()), mass(weight.usual()))
}

/// The comment above a part's line, with the same indentation.
fn comment(source: &str, line: usize, freed: &Freed, foreseen: &Foreseen) -> String {
    let indent: String = source[line..].chars().take_while(|c| *c == ' ' || *c == '\t').collect();
    let by = if foreseen.by_share { ", by share of intake" } else { "" };
    let show = |mass: Mass| format!("{} g", Notation::Point.show(mass.grams()));
    let before = &freed.expected;
    format!(
        "{indent}// learned: `{}` from {} own sessions{by}; before {}, {}, {}\n",
        freed.part.replace(char::is_control, " "),
        foreseen.sessions,
        show(before.low()),
        show(before.usual()),
        show(before.high())
    )
}

/// Where the figure now comes from, as quoted text.
fn origin(freed: &Freed, foreseen: &Foreseen, learned: &Learned) -> String {
    let last = learned.days.map_or_else(String::new, |(_, last)| last.to_string());
    let before = match freed.figures_from.split_once(BEFORE) {
        Some((_, before)) => before,
        None if freed.figures_from.is_empty() => "no source given",
        None => &freed.figures_from,
    };
    format!("{:?}", format!("{LEARNED}{}{UP_TO}{last}{BEFORE}{before}", foreseen.sessions))
}
