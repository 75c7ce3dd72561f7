//! Which guards protect what in a recipe, and which of them a replacement recipe would weaken.
//!
//! A recipe's declarations are compared exactly: the unit's guards, those of each step, and those of every step certain
//! to be done before it. What steps ask in their work is known from the explored paths. Text is never searched: a
//! hazard named only in a comment guards nothing.

use std::collections::{BTreeMap, BTreeSet};

use super::order::{certainly_before, frees};
use crate::recipe::{Recipe, Step};

/// The guards asked in one step's work, on the explored paths.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct AskedByWork {
    /// Asked on every path on which the step was done.
    pub always: BTreeSet<String>,
    /// Asked on at least one path.
    pub sometimes: BTreeSet<String>,
}

/// The guards asked in work, by step id.
pub type WorkGuards = BTreeMap<String, AskedByWork>;

/// Something that a guard can protect.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Spot {
    /// The whole unit.
    Unit,
    /// A step, by its id.
    Step(String),
    /// A step that no longer exists.
    StepGone(String),
    /// Taking out a part, by name.
    Part(String),
    /// Taking out a WEEE Annex VII item, by number.
    Item(String),
}

/// How a guard is weaker than before, gravest first.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Loss {
    /// It is no longer asked anywhere; holds where it was.
    Gone(Vec<Spot>),
    /// It no longer protects these.
    Exposed(Vec<Spot>),
    /// It protects these only on some paths, and did on all.
    Sometimes(Vec<Spot>),
    /// It is asked elsewhere and still protects everything it did: from where, to where.
    Moved(Vec<Spot>, Vec<Spot>),
}

impl Loss {
    /// Rank of gravity; the gravest is 0.
    fn rank(&self) -> u8 {
        match self {
            Loss::Gone(_) => 0,
            Loss::Exposed(_) => 1,
            Loss::Sometimes(_) => 2,
            Loss::Moved(..) => 3,
        }
    }
}

/// A guard that is weaker than before.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Weaker {
    /// The hazard, by id.
    pub hazard: String,
    /// How.
    pub loss: Loss,
}

/// The guards of one recipe.
pub struct Guards<'a> {
    recipe: &'a Recipe,
    work: &'a WorkGuards,
    before: Vec<BTreeSet<usize>>,
}

impl<'a> Guards<'a> {
    /// The guards that a recipe declares, and those its work was seen to ask.
    pub fn of(recipe: &'a Recipe, work: &'a WorkGuards) -> Guards<'a> {
        Guards { recipe, work, before: certainly_before(recipe) }
    }

    /// Every hazard asked about, declared or seen, with the places that ask.
    pub fn asked(&self) -> BTreeMap<&'a str, Vec<Spot>> {
        let mut asked: BTreeMap<&str, Vec<Spot>> = BTreeMap::new();
        for hazard in &self.recipe.unit().guards {
            asked.entry(hazard).or_default().push(Spot::Unit);
        }
        for step in self.recipe.steps() {
            for hazard in self.own(step, true) {
                asked.entry(hazard).or_default().push(Spot::Step(step.id.clone()));
            }
        }
        asked
    }

    /// What a step itself asks; including what its work asks only on some paths, if `sometimes`.
    fn own(&self, step: &'a Step, sometimes: bool) -> BTreeSet<&'a str> {
        let work = self.work.get(&step.id);
        let seen = work.map(|work| if sometimes { &work.sometimes } else { &work.always });
        step.guards.iter().chain(seen.into_iter().flatten()).map(String::as_str).collect()
    }

    /// Whether a hazard is confirmed before a step's parts come out; on at least some paths, if `sometimes`.
    fn stands_before_step(&self, hazard: &str, place: usize, sometimes: bool) -> bool {
        let mut steps = self.before[place].iter().copied().chain([place]).filter_map(|at| self.recipe.steps().get(at));
        self.recipe.unit().guards.iter().any(|known| known == hazard)
            || steps.any(|step| self.own(step, sometimes).contains(hazard))
    }

    /// Whether a hazard protects a spot; `None` if there is no such spot.
    fn stands_before(&self, hazard: &str, spot: &Spot, sometimes: bool) -> Option<bool> {
        let places = self.places(spot);
        (!places.is_empty()).then(|| places.iter().all(|place| self.stands_before_step(hazard, *place, sometimes)))
    }

    /// The steps that are a spot, or bring it out.
    fn places(&self, spot: &Spot) -> Vec<usize> {
        let is_it = |step: &Step| match spot {
            Spot::Unit => true,
            Spot::Step(id) | Spot::StepGone(id) => step.id == *id,
            Spot::Part(part) => frees(step, part),
            Spot::Item(item) => step.removes.contains(item),
        };
        self.recipe.steps().iter().enumerate().filter(|(_, step)| is_it(step)).map(|(place, _)| place).collect()
    }

    /// Everything that a guard can protect: steps, then parts, then items.
    fn spots(&self) -> Vec<Spot> {
        let steps = self.recipe.steps();
        let parts: BTreeSet<Spot> = steps.iter().flat_map(|s| &s.frees).map(|f| Spot::Part(f.part.clone())).collect();
        let items: BTreeSet<Spot> = steps.iter().flat_map(|s| &s.removes).cloned().map(Spot::Item).collect();
        steps.iter().map(|step| Spot::Step(step.id.clone())).chain(parts).chain(items).collect()
    }

    /// Every guard that would be weaker if `new` replaced this recipe: gravest losses first, then by hazard.
    pub fn weaker_in(&self, new: &Guards<'_>) -> Vec<Weaker> {
        let asked_there = new.asked();
        let mut found = Vec::new();
        for (hazard, was) in self.asked() {
            let mut add = |loss| found.push(Weaker { hazard: hazard.to_owned(), loss });
            let Some(is) = asked_there.get(hazard) else {
                add(Loss::Gone(was));
                continue;
            };
            let (exposed, sometimes) = self.exposed_in(new, hazard);
            let moved: Vec<Spot> =
                was.into_iter().filter(|spot| !is.contains(spot) && !exposed.contains(spot)).collect();
            let still = |spot: &Spot| matches!(spot, Spot::Step(id) if exposed.contains(&Spot::StepGone(id.clone())));
            let moved: Vec<Spot> = moved.into_iter().filter(|spot| !still(spot) && !sometimes.contains(spot)).collect();
            if !exposed.is_empty() {
                add(Loss::Exposed(exposed));
            }
            if !sometimes.is_empty() {
                add(Loss::Sometimes(sometimes));
            }
            if !moved.is_empty() {
                add(Loss::Moved(moved, is.clone()));
            }
        }
        found.sort_by(|a, b| (a.loss.rank(), &a.hazard).cmp(&(b.loss.rank(), &b.hazard)));
        found
    }

    /// What a hazard no longer protects in `new`, and what it protects only on some paths there.
    fn exposed_in(&self, new: &Guards<'_>, hazard: &str) -> (Vec<Spot>, Vec<Spot>) {
        let (mut exposed, mut sometimes) = (Vec::new(), Vec::new());
        for spot in self.spots() {
            let always = self.stands_before(hazard, &spot, false) == Some(true);
            let own = matches!(&spot, Spot::Step(id) if self.recipe.step(id).is_some_and(|s| self.own(s, true).contains(hazard)));
            if !always && !own {
                continue;
            }
            match (new.stands_before(hazard, &spot, false), new.stands_before(hazard, &spot, true)) {
                (Some(true), _) => {}
                (Some(false), Some(true)) if always => sometimes.push(spot),
                (Some(false), Some(true)) => {}
                (Some(false), _) => exposed.push(spot),
                // What no longer exists needs no guard; but a step that asked may live on under another name.
                (None, _) => exposed.extend(self.lives_on(new, hazard, &spot).map(Spot::StepGone)),
            }
        }
        if self.recipe.unit().guards.iter().any(|known| known == hazard) {
            let added = new.recipe.steps().iter().filter(|step| self.recipe.step(&step.id).is_none());
            let added = added.map(|step| Spot::Step(step.id.clone()));
            exposed.extend(added.filter(|spot| new.stands_before(hazard, spot, false) == Some(false)));
        }
        let known = exposed.clone();
        exposed.retain(|spot| !self.follows_from(spot, &known));
        let known = sometimes.clone();
        sometimes.retain(|spot| !self.follows_from(spot, &known));
        (exposed, sometimes)
    }

    /// The id of a removed step that itself asked about a hazard, unless the hazard in `new` still protects everything
    /// the step brought out.
    fn lives_on(&self, new: &Guards<'_>, hazard: &str, spot: &Spot) -> Option<String> {
        let Spot::Step(id) = spot else { return None };
        let step = self.recipe.step(id).filter(|step| self.own(step, true).contains(hazard))?;
        let parts = step.frees.iter().map(|freed| Spot::Part(freed.part.clone()));
        let mut brought = parts.chain(step.removes.iter().cloned().map(Spot::Item)).peekable();
        let covered =
            brought.peek().is_some() && brought.all(|spot| new.stands_before(hazard, &spot, true) == Some(true));
        (!covered).then(|| id.clone())
    }

    /// Whether a spot consists only of what steps in `known` bring out.
    fn follows_from(&self, spot: &Spot, known: &[Spot]) -> bool {
        let step = |place: usize| self.recipe.steps().get(place).map(|step| Spot::Step(step.id.clone()));
        matches!(spot, Spot::Part(_) | Spot::Item(_))
            && self.places(spot).into_iter().filter_map(step).all(|spot| known.contains(&spot))
    }
}

#[cfg(test)]
mod tests;
