//! The walk against exhaustive trial: the same findings and the same number of combinations, on random recipes.

use std::cell::RefCell;
use std::collections::BTreeSet;

use proptest::prelude::*;

use super::*;
use crate::bench::{Answer, Ask, Asked, Bench, End, Halted, Question, Work};
use crate::quantity::{Estimate, MassUnit, Minutes};
use crate::recipe::{Mark, RecipeDraft};
use crate::review::finding::Supposed;

/// What the work of one made-up step does, in order.
#[derive(Debug, Clone)]
enum Act {
    /// Asks yes or no; a yes is added to what this step and the next one remember.
    Ask(usize),
    /// Says that a part is missing, if the flag is set.
    Lacks(usize, String),
    /// Gives a part a hazardous grade, if the flag is set.
    Hazard(usize, String),
    /// Weighs the step's first part ahead of its turn.
    Weigh,
    /// Asks the guard that a hazardous grade wants, if the flag is set.
    Guard(usize),
    /// Fails, if both flags are set.
    Fail(usize, usize),
}

#[derive(Debug, Clone)]
struct Made {
    after: Vec<Vec<usize>>,
    opens: Option<usize>,
    frees: Vec<usize>,
    removes: bool,
    acts: Vec<Act>,
}

const FLAGS: usize = 2;
/// What the grade `bad` can do.
const HAZARD: &str = "bites";

fn mark(line: usize) -> Mark {
    Mark { line, column: 1 }
}

fn grams(amount: i64) -> Estimate<Mass> {
    let mass = |g: i64| Mass::of(g.into(), MassUnit::Gram).unwrap();
    Estimate::new(mass(amount / 2), mass(amount), mass(amount * 2)).unwrap()
}

fn recipe(made: &[Made]) -> Option<Recipe> {
    let mut draft = RecipeDraft::default();
    draft.unit("box", "Box", mark(1)).unwrap();
    draft.weighs(grams(1000)).unwrap();
    let unit = draft.unit_mut().unwrap();
    unit.whole_grade = "whole".into();
    unit.holds = vec!["1.3".into()];
    for (number, step) in made.iter().enumerate() {
        let place = draft.step(&format!("s{number}"), &format!("Step {number}"), mark(10 + number)).unwrap();
        let draft = draft.step_mut(place).unwrap();
        draft.minutes(Estimate::exactly(Minutes::new(1.into()).unwrap()));
        for group in &step.after {
            draft.after_any(group.iter().map(|n| format!("s{n}")).collect()).unwrap();
        }
        if let Some(part) = step.opens {
            draft.opens(&format!("p{part}")).unwrap();
        }
        for part in &step.frees {
            draft.frees(&format!("p{part}"), grams(40), "plain", mark(100 + number)).ok()?;
        }
        if step.removes {
            draft.removes("1.3").unwrap();
        }
        if !step.acts.is_empty() {
            draft.work(number).unwrap();
        }
    }
    draft.finish().ok()
}

/// Runs a made-up recipe on the bench, its work in plain code.
struct Maker<'a> {
    made: &'a [Made],
    recipe: Rc<Recipe>,
    hazards: Rc<HazardBook>,
    runs: u64,
    bound: u64,
}

struct Hands<'a> {
    made: &'a [Made],
    bench: &'a Bench,
    flags: RefCell<[bool; FLAGS]>,
    fault: RefCell<Option<RecipeFault>>,
}

impl Hands<'_> {
    fn act(&self, work: usize, number: usize, act: &Act) -> Result<(), Halted> {
        let flags = *self.flags.borrow();
        match act {
            Act::Ask(flag) => {
                let step = format!("s{work}");
                let question = Question { step, key: format!("q{number}"), text: String::new(), ask: Ask::YesNo };
                if self.bench.run.borrow_mut().ask(question)? == Answer::Yes(true) {
                    self.flags.borrow_mut()[*flag] = true;
                }
            }
            Act::Lacks(flag, part) if flags[*flag] => self.bench.run.borrow_mut().state.lacks(part),
            Act::Hazard(flag, part) if flags[*flag] => self.bench.run.borrow_mut().state.regrade(part, "bad"),
            Act::Weigh => {
                let part = self.bench.current().unwrap().frees.first().map(|freed| freed.part.clone());
                if let Some(part) = part {
                    self.bench.weigh_now(&part).unwrap()?;
                }
            }
            Act::Guard(flag) if flags[*flag] => self.bench.guard(&format!("s{work}"), HAZARD)?,
            Act::Fail(one, other) if flags[*one] && flags[*other] => {
                let fault =
                    RecipeFault { mark: mark(1000 + work), message: format!("s{work} fails"), hint: String::new() };
                *self.fault.borrow_mut() = Some(fault);
                return Err(Halted);
            }
            _ => {}
        }
        Ok(())
    }
}

impl Work for Hands<'_> {
    fn perform(&self, work: usize) -> Result<(), Halted> {
        self.made[work].acts.iter().enumerate().try_for_each(|(number, act)| self.act(work, number, act))
    }
}

impl Runner for Maker<'_> {
    fn run(&mut self, standing: Rc<CurrentAnswers>) -> Reached {
        self.runs += 1;
        let bench = Bench::new(self.recipe.clone(), self.hazards.clone(), Rc::default(), standing);
        let hands = Hands { made: self.made, bench: &bench, flags: RefCell::default(), fault: RefCell::default() };
        bench.drive(&hands);
        // Every work sees all flags, as closures that captured the same variables do.
        let memory = vec![Some(format!("{:?}", hands.flags.borrow())); self.made.len()];
        Reached { run_result: Some(bench.close()), faults: hands.fault.take().into_iter().collect(), memory }
    }

    fn bound(&self) -> u64 {
        self.bound
    }

    fn spent(&self) -> Option<String> {
        (self.runs >= self.bound).then(|| format!("the bound of {} runs is reached", self.bound))
    }

    fn is_late(&self) -> bool {
        false
    }
}

/// One hazard, of the item of Annex VII that every made-up unit holds.
fn hazards() -> HazardBook {
    let texts =
        ["name", "met_in", "hurts", "stop", "disposal", "source", "status"].map(|key| format!("{key} = \"x\"\n"));
    let lists = "cautions = []\nprotection = []\nannex_vii = [\"1.3\"]\n";
    let head = format!("[[hazard]]\nid = \"{HAZARD}\"\nclass = \"danger\"\nword = \"SAFE\"\n");
    HazardBook::parse(&format!("{head}{}{lists}", texts.concat())).unwrap()
}

fn facts(hazards: &HazardBook) -> PathFacts<'_> {
    PathFacts {
        hazards,
        is_hazardous: &|grade| grade == "bad",
        dangers: &|grade| if grade == "bad" { vec![HAZARD.to_owned()] } else { Vec::new() },
        items: &|_| Vec::new(),
        numbers: Vec::new(),
        weights: Vec::new(),
    }
}

/// Every combination of the same answers, tried outright. Putting off is decided as the walk does: one step on a way,
/// where its work remembers something or its part has another way out.
struct Plain<'a> {
    maker: Maker<'a>,
    facts: PathFacts<'a>,
    findings: BTreeSet<(&'static str, String)>,
    combinations: u128,
}

impl Plain<'_> {
    fn try_all(&mut self, given: &[Supposed], put_off: bool) {
        let answers = given.iter().map(|answer| (answer.name.as_str(), answer.exact.as_str()));
        let reached = self.maker.run(Rc::new(CurrentAnswers::supposed(answers)));
        let run_result = reached.run_result.unwrap();
        if !matches!(&run_result.end, End::Waits(question) if !matches!(question.ask, Ask::Begin { .. })) {
            self.look_at_last_step(&run_result);
        }
        if let Some(fault) = reached.faults.first() {
            self.findings.insert(("script", fault.message.clone()));
            self.combinations += 1;
            return;
        }
        let End::Waits(question) = &run_result.end else {
            self.combinations += 1;
            if run_result.end == End::Complete {
                let found = proofs::ends_clean(&self.maker.recipe, &run_result.state, self.facts.is_hazardous);
                self.findings.extend(found.into_iter().map(|finding| (finding.rule, finding.message)));
            }
            return;
        };
        let recipe = self.maker.recipe.clone();
        let mut next = |answer: &Answer, put_off: bool| {
            self.try_all(&[given, &[Supposed::new(question, answer)]].concat(), put_off);
        };
        if let Ask::Begin { may_wait } = question.ask {
            next(&Answer::Do, put_off);
            next(&Answer::Skip, put_off);
            let step = recipe.step(&question.step).unwrap();
            let shared =
                |part: &str| recipe.steps().iter().filter(|s| s.frees.iter().any(|f| f.part == part)).count() > 1;
            if may_wait && !put_off && (step.work.is_some() || step.frees.iter().any(|freed| shared(&freed.part))) {
                next(&Answer::Later, true);
            }
            return;
        }
        let opened = self.maker.recipe.steps().iter().any(|step| step.opens.as_deref() == Some(&question.key));
        let seen = self.asks_in_work(question, given);
        for answer in probes::answers(question, seen, opened, &self.facts) {
            self.try_all(&[given, &[Supposed::new(question, &answer)]].concat(), put_off);
        }
    }

    /// What came out of the step done last is guarded.
    fn look_at_last_step(&mut self, run_result: &RunResult) {
        let begun = |asked: &&Asked| matches!(asked.question.ask, Ask::Begin { .. }) && asked.answer == Answer::Do;
        let Some(last) = run_result.asked.iter().rev().find(begun) else { return };
        let recipe = self.maker.recipe.clone();
        let step = recipe.step(&last.question.step).unwrap();
        let mut found = proofs::parts_are_spoken_of(&recipe, step, run_result, &self.facts);
        found.extend(proofs::outs_are_guarded(step, run_result, &self.facts));
        self.findings.extend(found.into_iter().map(|finding| (finding.rule, finding.message)));
    }

    /// Whether a step's own work asks a question: told by answering it and looking.
    fn asks_in_work(&mut self, question: &Question, given: &[Supposed]) -> bool {
        let usual = probes::answers(question, false, false, &self.facts).remove(0);
        let supposed = Supposed::new(question, &usual);
        let answers = given.iter().chain([&supposed]).map(|answer| (answer.name.as_str(), answer.exact.as_str()));
        let run_result = self.maker.run(Rc::new(CurrentAnswers::supposed(answers))).run_result.unwrap();
        run_result.asked.iter().any(|asked| asked.question.name() == supposed.name && asked.by_work)
    }
}

fn act() -> impl Strategy<Value = Act> {
    let part = || (0..4_usize).prop_map(|part| format!("p{part}"));
    prop_oneof![
        3 => (0..FLAGS).prop_map(Act::Ask),
        1 => (0..FLAGS, part()).prop_map(|(flag, part)| Act::Lacks(flag, part)),
        1 => (0..FLAGS, part()).prop_map(|(flag, part)| Act::Hazard(flag, part)),
        1 => Just(Act::Weigh),
        1 => (0..FLAGS).prop_map(Act::Guard),
        1 => (0..FLAGS, 0..FLAGS).prop_map(|(one, other)| Act::Fail(one, other)),
    ]
}

fn step() -> impl Strategy<Value = Made> {
    let after = proptest::collection::vec(proptest::collection::vec(0..4_usize, 1..3), 0..2);
    let frees = proptest::collection::btree_set(0..4_usize, 0..2);
    let opens = proptest::option::weighted(0.3, 0..4_usize);
    (after, opens, frees, any::<bool>(), proptest::collection::vec(act(), 0..3)).prop_map(
        |(after, opens, frees, removes, acts)| Made { after, opens, frees: frees.into_iter().collect(), removes, acts },
    )
}

proptest! {
    #![proptest_config(ProptestConfig { max_global_rejects: 1_000_000, ..ProptestConfig::default() })]

    /// What the walk spares, it spares without loss.
    #[test]
    fn the_walk_finds_what_trying_everything_finds(made in proptest::collection::vec(step(), 1..5)) {
        let Some(recipe) = recipe(&made) else { return Err(TestCaseError::reject("faulty recipe")) };
        let hazards = Rc::new(hazards());
        let maker = || Maker { made: &made, recipe: Rc::new(recipe.clone()), hazards: hazards.clone(), runs: 0, bound: 1_000_000 };
        let mut plain = Plain { maker: maker(), facts: facts(&hazards), findings: BTreeSet::new(), combinations: 0 };
        plain.try_all(&[], false);
        let mut runner = maker();
        let facts = facts(&hazards);
        let explored = explore(&recipe, &facts, &mut runner);
        prop_assert!(explored.coverage.complete);
        prop_assert_eq!(explored.coverage.combinations, plain.combinations);
        let compared = ["script", "depollution", "hazard-unmarked", "part-guard", "annex-guard"];
        let found: BTreeSet<(&str, String)> = explored.findings.iter()
            .filter(|finding| compared.contains(&finding.rule) && !finding.message.contains("once opened"))
            .map(|finding| (finding.rule, finding.message.clone())).collect();
        prop_assert_eq!(&found, &plain.findings);
        for finding in explored.findings.iter().filter(|finding| finding.rule == "script") {
            let answers = finding.answers.iter().map(|answer| (answer.name.as_str(), answer.exact.as_str()));
            let again = maker().run(Rc::new(CurrentAnswers::supposed(answers)));
            prop_assert_eq!(again.faults.first().map(|fault| &fault.message), Some(&finding.message));
        }
    }
}

#[test]
fn a_bound_is_kept_and_told() {
    let made: Vec<Made> = (0..12)
        .map(|n| Made {
            after: vec![],
            opens: None,
            frees: vec![n],
            removes: n == 11,
            acts: vec![Act::Ask(0), Act::Ask(1)],
        })
        .collect();
    let recipe = recipe(&made).unwrap();
    let hazards = Rc::new(hazards());
    let mut runner =
        Maker { made: &made, recipe: Rc::new(recipe.clone()), hazards: hazards.clone(), runs: 0, bound: 60 };
    let explored = explore(&recipe, &facts(&hazards), &mut runner);
    assert!(!explored.coverage.complete);
    assert!(explored.coverage.runs <= 60 + 20, "{}", explored.coverage.runs);
    assert!(explored.coverage.left[0].contains("the bound of 60 runs is reached"), "{:?}", explored.coverage.left);
}

#[test]
fn many_independent_steps_take_few_runs() {
    let made: Vec<Made> =
        (0..40).map(|n| Made { after: vec![], opens: None, frees: vec![n], removes: n == 11, acts: vec![] }).collect();
    let recipe = recipe(&made).unwrap();
    let hazards = Rc::new(hazards());
    let mut runner =
        Maker { made: &made, recipe: Rc::new(recipe.clone()), hazards: hazards.clone(), runs: 0, bound: 1_000_000 };
    let explored = explore(&recipe, &facts(&hazards), &mut runner);
    assert!(explored.coverage.complete);
    assert_eq!(explored.coverage.combinations, 1 << 40);
    assert!(explored.coverage.runs < 500, "{}", explored.coverage.runs);
}

/// A grade that is given to a part which has it already still counts: where the part stays inside, it is news.
#[test]
fn a_part_graded_again_on_one_way_is_found_where_it_stays_inside() {
    let step = |frees: Vec<usize>, acts: Vec<Act>| Made { after: vec![], opens: None, frees, removes: false, acts };
    let bad = || vec![Act::Hazard(0, "p3".into())];
    let made = [step(vec![], bad()), step(vec![], vec![Act::Ask(0)]), step(vec![3], bad())];
    let recipe = recipe(&made).unwrap();
    let hazards = Rc::new(hazards());
    let mut runner =
        Maker { made: &made, recipe: Rc::new(recipe.clone()), hazards: hazards.clone(), runs: 0, bound: 1_000_000 };
    let explored = explore(&recipe, &facts(&hazards), &mut runner);
    let found = explored.findings.iter().find(|finding| finding.rule == "hazard-unmarked").unwrap();
    let answers: Vec<String> =
        found.answers.iter().map(|answer| format!("{} = {}", answer.name, answer.exact)).collect();
    let decided: Vec<&str> = answers.iter().map(String::as_str).filter(|answer| answer.contains("/begin")).collect();
    assert_eq!(decided, ["s0/begin = later", "s1/begin = do", "s2/begin = skip", "s0/begin-2 = do"]);
}
