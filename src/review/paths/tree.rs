//! The answers within one step: every combination, those closest to the defaults first.

use std::collections::{BTreeMap, BTreeSet, VecDeque};
use std::rc::Rc;

use super::PathFacts;
use super::play::{PlayedPath, Player};
use super::probes::answers;
use super::situation::PartNow;
use crate::bench::{Ask, Asked};
use crate::recipe::{Mark, Recipe};
use crate::review::finding::Supposed;

/// What a path through a step changes for what follows.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Effect {
    /// Whether nothing follows.
    pub at_end: bool,
    /// What matters of each part.
    pub parts: Vec<PartNow>,
    /// Hazards that parts still to come may have and no guard has covered.
    pub unspoken: BTreeSet<String>,
    /// What the step's work remembers.
    pub memory: Option<String>,
}

/// A path through a step, representing others with the same effect.
pub(super) struct Class {
    pub answers: Rc<[Supposed]>,
    pub stands_for: u128,
}

/// How far the answer combinations of one step were tried.
#[derive(Default)]
pub(super) struct Tree {
    /// One path for each effect after which the run goes on.
    pub classes: BTreeMap<Effect, Class>,
    /// Paths that end there: refused, handed on, faulty.
    pub ending: u128,
    /// Combinations known to be left, each with everything that may follow.
    pub left: usize,
    /// The number of simultaneously varied answers that was tried in every combination.
    pub varied: usize,
}

/// A combination to try: leading answers from an earlier run, another one, and how many of them are not defaults.
/// Branches off one run share its answers: a run can have hundreds of questions with as many branches.
struct Branch {
    run: Rc<[Supposed]>,
    kept: usize,
    other: Option<Supposed>,
    varied: usize,
}

impl Branch {
    /// The answers given explicitly.
    fn answers(&self) -> Vec<Supposed> {
        self.run[..self.kept].iter().chain(&self.other).cloned().collect()
    }
}

/// The root of a tree.
pub(super) struct Root<'a> {
    /// The answers that lead to the step.
    pub trail: &'a [Supposed],
    /// What begins the step; empty for the questions before the first step.
    pub opening: Vec<Supposed>,
    /// Where the step is declared.
    pub mark: Mark,
    /// The most runs to spend on it.
    pub most: u64,
}

/// Runs every answer combination, as far as the limit allows, and passes each to `look`, which returns its effect, or
/// `None` if it ends the run. Every run is a different combination: of a run's questions, the explicit answers stand,
/// and each later question branches off once per other possible answer.
pub(super) fn grow(
    recipe: &Recipe,
    facts: &PathFacts<'_>,
    player: &mut Player<'_>,
    root: &Root<'_>,
    mut look: impl FnMut(&PlayedPath, &[Supposed]) -> Option<Effect>,
) -> Tree {
    let mut tree = Tree::default();
    let first = Branch { run: root.opening.clone().into(), kept: root.opening.len(), other: None, varied: 0 };
    let mut queue = VecDeque::from([first]);
    let begun = player.runs;
    // How many combinations vary one answer, how many of those were tried, and how many there may be in total.
    let (mut singles, mut tried, mut outlook) = (0_usize, 0_usize, 0_u64);
    while let Some(branch) = queue.pop_front() {
        if branch.varied == 1 {
            let left = singles.saturating_sub(tried + 1);
            outlook = estimate(singles, tried, queue.len().saturating_sub(left));
            tried += 1;
        }
        // Each waiting combination takes at least one run.
        let is_hopeless = outlook.max(player.runs - begun + queue.len() as u64) > root.most;
        if player.spent().is_some() || player.runs - begun >= root.most || is_hopeless && player.is_late() {
            tree.left = queue.len() + 1;
            tree.varied = branch.varied.saturating_sub(1);
            return tree;
        }
        let on_purpose = branch.answers();
        let played = player.play(root.trail, &on_purpose, root.mark);
        let asked = played.run_result.asked.get(root.trail.len()..).unwrap_or_default();
        let given: Rc<[Supposed]> = played.answers(root.trail.len()).into();
        for (at, question) in asked.iter().enumerate().skip(on_purpose.len()) {
            if is_repeated(&asked[..at], question) {
                continue;
            }
            let others = others(recipe, facts, question).into_iter();
            let branch = |other| Branch { run: given.clone(), kept: at, other: Some(other), varied: branch.varied + 1 };
            queue.extend(others.map(branch));
        }
        if branch.varied == 0 {
            singles = queue.len();
        }
        match look(&played, &given) {
            Some(effect) => {
                let class = tree.classes.entry(effect);
                class.or_insert_with(|| Class { answers: given.clone(), stands_for: 0 }).stands_for += 1;
            }
            None => tree.ending += 1,
        }
        tree.varied = branch.varied;
    }
    tree
}

/// Estimates the total number of combinations, if all questions take the same number of answers and none depends on
/// another: `singles` vary one answer; the first `tried` of them led to `doubles` that vary a second one as well, the
/// earlier ones to more. Of m questions with k answers each, m(k - 1) vary one and m(m - 1)(k - 1)²/2 two, and there
/// are k to the m.
fn estimate(singles: usize, tried: usize, doubles: usize) -> u64 {
    if tried < LEAST_TRIED {
        return 0;
    }
    let (singles, tried, doubles) = (singles as u128, tried as u128, doubles as u128);
    let square = singles * singles;
    let doubles = doubles * square / (tried * (2 * singles - tried)).max(1);
    let questions = square.checked_div(square.saturating_sub(2 * doubles)).unwrap_or(singles).clamp(1, singles);
    let answers = u64::try_from(1 + singles / questions).unwrap_or(u64::MAX);
    u32::try_from(questions).ok().and_then(|questions| answers.checked_pow(questions)).unwrap_or(u64::MAX)
}

/// Estimates need at least this many tried combinations.
const LEAST_TRIED: usize = 3;

/// Whether a guard was asked before under the same name: its answer applies to both. No other question may repeat.
fn is_repeated(before: &[Asked], asked: &Asked) -> bool {
    let is_same =
        |known: &Asked| known.question.key == asked.question.key && known.question.step == asked.question.step;
    matches!(asked.question.ask, Ask::Guard { .. }) && before.iter().any(is_same)
}

/// The other possible answers to a question.
fn others(recipe: &Recipe, facts: &PathFacts<'_>, asked: &Asked) -> Vec<Supposed> {
    if matches!(asked.question.ask, Ask::Begin { .. }) {
        return Vec::new();
    }
    let opened = recipe.steps().iter().any(|step| step.opens.as_deref() == Some(&asked.question.key));
    let all = answers(&asked.question, asked.by_work, opened, facts);
    let supposed = all.iter().skip(1).map(|answer| Supposed::new(&asked.question, answer));
    supposed.collect()
}

#[cfg(test)]
mod tests {
    use super::estimate;

    #[test]
    fn the_number_of_combinations_is_foreseen() {
        // Ten questions with two answers each: 10 vary one, 45 two.
        assert_eq!(estimate(10, 10, 45), 1024);
        assert!((512..=4096).contains(&estimate(10, 3, 9 + 8 + 7)), "{}", estimate(10, 3, 24));
        // Three with ten each: 27 and 243.
        assert_eq!(estimate(27, 27, 243), 1000);
        // Twenty of which each ends the work if it is answered otherwise.
        assert!(estimate(20, 20, 0) <= 21);
        assert_eq!(estimate(50, 50, 1225), 1 << 50);
        assert_eq!((estimate(0, 0, 0), estimate(2, 2, 9)), (0, 0));
    }
}
