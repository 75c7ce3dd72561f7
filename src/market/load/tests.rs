//! Plans against exhaustive search, and the laws of the evaluator.

use proptest::prelude::*;

use super::format::LoadFile;
use super::*;

/// A small deterministic source of numbers: the seed is the case's number.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: i64) -> i64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as i64) % sides
    }
}

/// A line with up to three steps; prices may fall, and may be fractions or charges.
fn line(dice: &mut Dice, fine: bool) -> LoadLine {
    let mut from = if dice.roll(3) == 0 { dice.roll(40) } else { 0 };
    let mut steps = Vec::new();
    for _ in 0..=dice.roll(3) {
        let rate = Rate { num: dice.roll(60) - 5, den: if fine { 1 + dice.roll(7) } else { 1 } };
        steps.push(PriceStep { from, rate });
        from += 1 + dice.roll(60);
    }
    LoadLine { steps, by_piece: fine && dice.roll(5) == 0, division: if fine { dice.roll(4) * 5 } else { 0 } }
}

fn random(seed: u64) -> LoadProblem {
    let mut dice = Dice(seed.wrapping_mul(2_654_435_761).wrapping_add(17));
    let (piles, yards, fine) = (1 + dice.roll(5) as usize, 1 + dice.roll(3) as usize, dice.roll(2) == 0);
    let pile = |dice: &mut Dice| LoadPile {
        lots: if dice.roll(3) == 0 { dice.roll(4) } else { 1 },
        mass: 1 + dice.roll(60),
        pieces: dice.roll(3),
        hold: dice.roll(3) * dice.roll(700),
    };
    let goods: Vec<LoadPile> = (0..piles).map(|_| pile(&mut dice)).collect();
    let outlet = |dice: &mut Dice| {
        let lines: Vec<LoadLine> = (0..1 + dice.roll(3)).map(|_| line(dice, fine)).collect();
        let line_of = (0..piles).map(|_| Some(dice.roll(4) as usize).filter(|at| *at < lines.len())).collect();
        Outlet { trip_cost: dice.roll(500), least: dice.roll(2) * dice.roll(120), lines, line_of }
    };
    let outlets = (0..yards).map(|_| outlet(&mut dice)).collect();
    let payload = [None, Some(20 + dice.roll(100)), Some(500)][dice.roll(3) as usize];
    let most = [None, Some(dice.roll(4))][dice.roll(2) as usize];
    LoadProblem::new(goods, outlets, payload, most).expect("a problem within all limits")
}

/// Every way to deal out `lots` among `ways`.
fn deals(lots: i64, ways: usize) -> Vec<Vec<i64>> {
    if ways == 1 {
        return vec![vec![lots]];
    }
    let with = |first: i64| deals(lots - first, ways - 1).into_iter().map(move |rest| [vec![first], rest].concat());
    (0..=lots).flat_map(with).collect()
}

/// The best value of all executable allocations with at least this many trips.
fn exhaustive(problem: &LoadProblem, fewest: i64) -> Option<i64> {
    let ways = problem.outlets().len() + 1;
    let mut best = None;
    let mut begun = vec![Vec::new()];
    for pile in &problem.piles {
        let all = deals(pile.lots, ways);
        begun = begun
            .iter()
            .flat_map(|rows: &Vec<Vec<i64>>| all.iter().map(|row| [rows.clone(), vec![row.clone()]].concat()))
            .collect();
    }
    for lots in begun {
        if let Ok(plan) = score(problem, &lots)
            && plan.trips.iter().sum::<i64>() >= fewest
        {
            best = best.max(Some(plan.value));
        }
    }
    best
}

#[test]
fn plans_are_the_best_of_all() {
    let mut worth_a_trip = 0;
    for seed in 0..1500 {
        let problem = random(seed);
        let solved = solve(&problem, &LoadEffort::default()).unwrap();
        assert_eq!(Some(solved.plan.value), exhaustive(&problem, 0), "seed {seed}: {problem:?}");
        assert!(solved.is_proven() && solved.gap() == 0, "seed {seed}");
        assert_eq!(score(&problem, &solved.plan.lots).as_ref(), Ok(&solved.plan), "seed {seed}");
        worth_a_trip += usize::from(solved.plan.trips.iter().any(|trips| *trips > 0));
    }
    assert!(worth_a_trip > 500, "only {worth_a_trip} problems had anything to sell");
}

#[test]
fn so_many_trips_at_least() {
    for seed in 0..500 {
        let problem = random(seed);
        for fewest in 1..=2 {
            let solved = solve_with_trips(&problem, fewest, &LoadEffort::default()).unwrap();
            let value = solved.map(|solved| solved.plan.value);
            assert_eq!(value, exhaustive(&problem, fewest), "seed {seed}, {fewest} trips: {problem:?}");
        }
    }
}

#[test]
fn a_search_that_is_cut_short_says_how_far_it_may_be_off() {
    let mut cut = 0;
    for seed in 0..300 {
        let problem = random(seed);
        let best = solve(&problem, &LoadEffort::default()).unwrap().plan.value;
        for nodes in [1, 5, 20, 60] {
            let solved = solve(&problem, &LoadEffort { nodes, stop: None }).unwrap();
            assert!(
                solved.plan.value <= best && best <= solved.bound,
                "seed {seed}, {nodes} nodes: {solved:?}, {best}"
            );
            cut += usize::from(!solved.is_proven());
        }
        let stopped = solve(&problem, &LoadEffort { nodes: 1 << 40, stop: Some(&|| true) }).unwrap();
        assert!(stopped.plan.value <= best && best <= stopped.bound, "seed {seed}");
    }
    assert!(cut > 100, "only {cut} searches were cut short");
}

#[test]
fn rounding_is_half_away_from_zero() {
    let rate = |num, den| Rate { num, den };
    assert_eq!([rate(1, 2).of(1), rate(-1, 2).of(1), rate(1, 3).of(1), rate(2, 3).of(1)], [1, -1, 0, 1]);
    let line = LoadLine { steps: vec![PriceStep { from: 0, rate: rate(10, 1) }], by_piece: false, division: 20 };
    assert_eq!([line.pays(9, 0), line.pays(10, 0), line.pays(29, 0), line.pays(30, 0)], [0, 200, 200, 400].map(Some));
}

fn file(text: &str) -> Result<LoadProblem, String> {
    let file: LoadFile = serde_json::from_str(text).map_err(|error| error.to_string())?;
    file.problem().map_err(|error| error.to_string())
}

#[test]
fn faults_name_place_and_value() {
    let with = |pile: &str, yard: &str, rest: &str| {
        file(&format!("{{\"piles\": [{pile}], \"yards\": [{yard}], {rest}}}")).unwrap_err()
    };
    let (pile, yard, rest) = (
        r#"{"grade": "al", "lots": 1, "lot_kg": 5}"#,
        r#"{"trip_cost_cents": 5, "prices": {"al": [[0, 9]]}}"#,
        r#""payload_kg": 100"#,
    );
    assert_eq!(
        with(r#"{"grade": "al", "lots": 1, "lot_kg": 0}"#, yard, rest),
        "pile 0 (al): lot_kg is 0; write 1 or more"
    );
    assert_eq!(
        with(r#"{"grade": "al", "lots": -1, "lot_kg": 5}"#, yard, rest),
        "pile 0: its number of lots is -1; write 0 or more"
    );
    assert_eq!(with(pile, yard, r#""payload_kg": 0"#), "the problem: the payload is 0; write a weight above 0");
    let prices = |list: &str| with(pile, &format!(r#"{{"trip_cost_cents": 5, "prices": {{"al": {list}}}}}"#), rest);
    assert_eq!(prices("[]"), "yard 0, grade al: has no price; leave the grade out, or write [[0, PRICE]]");
    assert_eq!(
        prices("[[50, 3], [50, 4]]"),
        "yard 0, grade al: the price from 50 stands behind that from 50; list them in ascending order, each once"
    );
    assert_eq!(prices("[[-1, 3]]"), "yard 0, grade al: a least weight is -1; write 0 or more");
    let large = r#"{"grade": "al", "lots": 9000000000, "lot_kg": 9000000000}"#;
    assert!(with(large, yard, rest).contains("too large"), "{}", with(large, yard, rest));
    assert!(with(pile, yard, r#""payload_kg": 1.5"#).contains("1.5"));
    assert!(file(r#"{"piles": [], "yards": [], "payload_kg": 1}"#).is_ok());
}

proptest! {
    #[test]
    fn a_line_never_brings_more_than_its_bound(seed in any::<u64>(), masses in prop::collection::vec(1_i64..80, 1..6)) {
        let mut dice = Dice(seed);
        let line = line(&mut dice, true);
        let all: i64 = masses.iter().sum();
        let bound: Option<i64> = masses.iter().map(|mass| line.at_most(*mass, 1, all)).sum();
        if let Some(paid) = line.pays(all, masses.len() as i64) {
            prop_assert!(paid <= bound.unwrap() + line.slack(), "{paid} {bound:?} {line:?}");
        }
    }
}
