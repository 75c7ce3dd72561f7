use crate::plan::{FreedItem, Item, PlanStep, Problem, ProblemData, Rule};

/// A unit of 10 kg with two parts of 1 kg and 2 kg, the second behind the first.
fn sound() -> ProblemData {
    let item = |id, host, mass_g| Item { id, host, mass_g, grade: None };
    let step = |id, requires, item| PlanStep {
        id,
        host: 0,
        minutes: 5,
        cost_cents: 0,
        requires,
        frees: vec![FreedItem { item, grade: "copper".into() }],
    };
    ProblemData {
        grades: [("whole".into(), 20), ("copper".into(), 600)].into(),
        items: vec![
            Item { grade: Some("whole".into()), ..item(0, None, 10_000) },
            item(1, Some(0), 1000),
            item(2, Some(0), 2000),
        ],
        steps: vec![step(0, vec![], 1), step(1, vec![vec![0]], 2)],
        ..ProblemData::default()
    }
}

/// Spoils a sound problem and checks that the message has all of these words.
fn refused(words: &[&str], spoil: impl FnOnce(&mut ProblemData)) {
    let mut data = sound();
    spoil(&mut data);
    let message = Problem::new(data).unwrap_err().to_string();
    assert!(words.iter().all(|w| message.contains(w)), "{message} lacks one of {words:?}");
}

#[test]
fn a_sound_problem_passes_and_survives_its_exchange_form() {
    let problem = Problem::new(sound()).unwrap();
    let text = serde_json::to_string(&problem).unwrap();
    assert_eq!(serde_json::from_str::<Problem>(&text).unwrap(), problem);
}

#[test]
fn references_must_exist() {
    refused(&["step 1", "item 7", "0 to 2"], |d| d.steps[1].frees[0].item = 7);
    refused(&["step 1", "item 9"], |d| d.steps[1].host = 9);
    refused(&["step 1", "step 4", "2 steps"], |d| d.steps[1].requires = vec![vec![0], vec![4]]);
    refused(&["step 0", "\"gold\"", "no price"], |d| d.steps[0].frees[0].grade = "gold".into());
    let rule = |item, step, grade: &str| Rule { item, all_of: vec![step], grade: grade.into() };
    refused(&["rule 0", "item 3"], |d| d.rules.push(rule(3, 0, "whole")));
    refused(&["rule 0", "step 2"], |d| d.rules.push(rule(0, 2, "whole")));
    refused(&["rule 0", "\"tin\""], |d| d.rules.push(rule(0, 0, "tin")));
    refused(&["item 2", "item 5"], |d| d.items[2].host = Some(5));
}

#[test]
fn ids_count_up() {
    refused(&["item at position 1", "id 4"], |d| d.items[1].id = 4);
    refused(&["step at position 0", "id 1"], |d| d.steps[0].id = 1);
}

#[test]
fn times_and_masses_make_sense() {
    refused(&["step 0", "0 minutes", "at least 1"], |d| d.steps[0].minutes = 0);
    refused(&["step 1", "-3 minutes"], |d| d.steps[1].minutes = -3);
    refused(&["item 1", "-1 g"], |d| d.items[1].mass_g = -1);
    refused(&["item 0", "2500 g", "3000 g"], |d| d.items[0].mass_g = 2500);
    refused(&["-1 minutes"], |d| d.time_cap_minutes = Some(-1));
    refused(&["100 cents per hour", "multiple of 3"], |d| d.value_of_time_cents_per_hour = 100);
}

#[test]
fn hosts_form_a_tree() {
    refused(&["item 1", "itself"], |d| d.items[1].host = Some(1));
    refused(&["item 0", "item 1"], |d| d.items[0].host = Some(1));
    refused(&["item 2", "no host"], |d| d.items[2].host = None);
    refused(&["circle of hosts"], |d| (d.items[1].host, d.items[2].host) = (Some(2), Some(1)));
    refused(&["item 0", "no grade"], |d| d.items[0].grade = None);
    refused(&["no items"], |d| d.items.clear());
}

#[test]
fn steps_can_run() {
    refused(&["steps [0, 1]", "circle"], |d| d.steps[0].requires = vec![vec![1]]);
    refused(&["steps [0]"], |d| {
        d.steps[0].requires = vec![vec![0]];
        d.steps[1].requires.clear();
    });
    refused(&["step 1", "empty group"], |d| d.steps[1].requires.push(vec![]));
    refused(&["step 1", "item 1", "same item"], |d| (d.steps[1].host, d.steps[1].frees[0].item) = (1, 1));
    refused(&["step 1", "sits in item 0"], |d| d.steps[1].host = 1);
    refused(&["step 0", "twice"], |d| {
        let again = d.steps[0].frees[0].clone();
        d.steps[0].frees.push(again);
    });
    refused(&["step 1", "item 2", "no step frees"], |d| {
        d.steps[1].host = 2;
        d.steps[1].frees.clear();
    });
}

#[test]
fn sums_fit() {
    refused(&["too large"], |d| (d.items[0].mass_g, d.items[1].mass_g) = (i64::MAX, i64::MAX / 2));
    refused(&["too large"], |d| d.steps[0].minutes = i64::MAX);
    refused(&["too large"], |d| d.steps[0].cost_cents = i64::MIN);
    refused(&["too large"], |d| d.grades.extend([("copper".into(), i64::MIN)]));
    let mut data = sound();
    data.grades.insert("copper".into(), 1_000_000_000_000);
    let problem = Problem::new(data).unwrap();
    let plan = crate::plan::best_plan(&problem, &crate::plan::Effort::default()).unwrap().plan;
    assert_eq!(plan.value_millicents, 3000 * 1_000_000_000_000 + 7000 * 20);
}
