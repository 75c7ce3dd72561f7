//! Published problems with published answers: a disassembly by quality, and an opencast mine.
#![allow(clippy::unwrap_used, reason = "a test may stop at a value that must be there")]

use std::collections::BTreeMap;

use knockdown::plan::{self, Effort, FreedItem, Item, PlanStep, Problem, ProblemData, Rule, Settled};

/// Opencast mining, from H. P. Williams, *Model Building in Mathematical Programming* (fifth edition, pages 269-270 and
/// 324-325): 30 blocks in four levels, each resting under the four blocks above it; a block of 100 % metal is worth
/// £200,000; digging a block costs £3,000, £6,000, £8,000 or £10,000 by level. The published best profit is £17,500.
///
/// Status: the book was not at hand. Percentages, costs and full value were read in the sample library of a statistics
/// package that reproduces the book's examples (github.com/sassoftware/optimization-examples, mpex/mpex14.sas); profits by
/// block, the best profit and its blocks in a published notebook on the same example (github.com/Gurobi/modeling-examples,
/// opencast_mining). Both agree with each other and with what stands here.
const LEVELS: [(i64, &[&[i64]]); 4] = [
    // Cost in pounds; metal in hundredths of a per cent.
    (3000, &[&[150, 150, 150, 75], &[150, 200, 150, 75], &[100, 100, 75, 50], &[75, 75, 50, 25]]),
    (6000, &[&[400, 400, 200], &[300, 300, 100], &[200, 200, 50]]),
    (8000, &[&[1200, 600], &[500, 400]]),
    (10000, &[&[600]]),
];
const POUNDS_PER_HUNDREDTH_OF_A_PER_CENT: i64 = 20;
const BEST_PROFIT_POUNDS: i64 = 17_500;
/// The published plan, its blocks counted from 1, level by level and row by row.
const BEST_BLOCKS: [usize; 14] = [1, 2, 3, 5, 6, 7, 9, 10, 11, 17, 18, 20, 21, 26];

/// The mine as a unit that is worth nothing whole; a block of ore weighs a kilogram for each pound that it brings.
fn mine() -> ProblemData {
    let mut text = Vec::new();
    let (mut items, mut steps) = (Vec::new(), Vec::new());
    let mut above = 0;
    for (level, (cost, rows)) in LEVELS.iter().enumerate() {
        let first = steps.len();
        for (y, row) in rows.iter().enumerate() {
            for (x, metal) in row.iter().enumerate() {
                let width = row.len() + 1;
                let corners = [0, 1, width, width + 1].map(|c| above + y * width + x + c);
                let requires: Vec<Vec<usize>> =
                    if level == 0 { Vec::new() } else { corners.iter().map(|&c| vec![c]).collect() };
                let id = steps.len();
                items.push(metal * POUNDS_PER_HUNDREDTH_OF_A_PER_CENT * 1000);
                steps.push(serde_json::json!({
                    "id": id, "host": 0, "minutes": 1, "cost_cents": cost * 100, "requires": requires,
                    "frees": [{"item": id + 1, "grade": "ore"}]
                }));
            }
        }
        above = first;
    }
    text.push(serde_json::json!({"id": 0, "host": null, "mass_g": items.iter().sum::<i64>(), "grade": "rock"}));
    text.extend(items.iter().enumerate().map(|(n, mass)| serde_json::json!({"id": n + 1, "host": 0, "mass_g": mass})));
    serde_json::from_value(serde_json::json!({"grades": {"ore": 100, "rock": 0}, "items": text, "steps": steps}))
        .unwrap()
}

#[test]
fn opencast_mining() {
    let problem = Problem::new(mine()).unwrap();
    assert_eq!(problem.steps().len(), 30);
    let solution = plan::best_plan(&problem, &Effort::default()).unwrap();
    assert_eq!(solution.plan.value_millicents, BEST_PROFIT_POUNDS * 100 * 1000);
    assert_eq!(solution.nodes, 0);
    let mut blocks: Vec<usize> = solution.plan.steps.iter().map(|step| step + 1).collect();
    blocks.sort_unstable();
    assert_eq!(blocks, BEST_BLOCKS);
    let frontier = plan::frontier(&problem, &Settled::default(), &Effort::default()).unwrap();
    assert_eq!(frontier.last().map(|p| p.solution.plan.clone()), Some(solution.plan));
}

/// R. H. Teunter, "Determining optimal disassembly and recovery strategies", *Omega* 34 (2006) 533-537, section 3: a
/// product (assembly 1) that holds assemblies 2 and 3, the latter holding 4 and 5; two qualities (1 high, 2 low); two ways
/// to take parts out (1 destructive, 2 not); after taking out a set of parts, one of several ways to recover the rest.
///
/// What is not known beforehand is the quality in which a part comes out; once it is seen, the plan is made afresh. So each
/// assembly of a known quality is a problem of its own, in which a part is worth what is expected of it: the paper's
/// dynamic programme, with this room choosing at every stage.
///
/// Status: read in a transcription of the article. Its table 3 prints 0 and 0 for what a destructive way makes of a
/// product of low quality; its table 5 computes with 0 and 1, and so does this.
mod by_quality {
    use super::*;

    /// One unit of the article's money. 600 divides by the 3 kg, 2 kg or 1 kg that can remain of an assembly.
    const UNIT: i64 = 600;

    /// Table 2: `(assembly, parts taken out, profits of the ways to recover the rest)`, the same at both qualities.
    const RECOVERY: [(usize, &[usize], &[i64]); 9] = [
        (1, &[], &[-4]),
        (1, &[2], &[-3]),
        (1, &[3], &[-3]),
        (1, &[2, 3], &[-2]),
        (2, &[], &[-1, 2]),
        (3, &[], &[0, 5]),
        (3, &[4], &[2, 4]),
        (3, &[5], &[-3, 3]),
        (3, &[4, 5], &[-2, 1]),
    ];
    /// Table 2, the rows that depend on quality: `(assembly, quality, profits)`.
    const ATOMS: [(usize, usize, &[i64]); 4] =
        [(4, 1, &[-1, 1, 5]), (4, 2, &[-1, 1]), (5, 1, &[2, 1, 10]), (5, 2, &[2, 1])];
    /// Table 3: tenths of the chance that a part comes out in high quality, `(part, quality of its host, way)`.
    const HIGH: [(usize, usize, usize, i64); 8] = [
        (2, 1, 2, 7),
        (2, 2, 2, 5),
        (3, 1, 2, 9),
        (3, 2, 2, 6),
        (4, 1, 2, 9),
        (4, 2, 2, 5),
        (5, 1, 2, 8),
        (5, 2, 2, 4),
    ];
    /// Table 4: `(assembly, parts, cost by way 1, by way 2)`.
    const COSTS: [(usize, &[usize], [i64; 2]); 6] = [
        (1, &[2], [1, 2]),
        (1, &[3], [2, 4]),
        (1, &[2, 3], [3, 5]),
        (3, &[4], [1, 3]),
        (3, &[5], [1, 4]),
        (3, &[4, 5], [2, 6]),
    ];
    /// Table 5, in tenths: `(assembly, quality, way, parts, value)`; way 0 takes nothing out.
    const VALUES: [(usize, usize, usize, &[usize], i64); 34] = [
        (4, 1, 0, &[], 50),
        (4, 2, 0, &[], 10),
        (5, 1, 0, &[], 100),
        (5, 2, 0, &[], 20),
        (2, 1, 0, &[], 20),
        (2, 2, 0, &[], 20),
        (3, 1, 0, &[], 50),
        (3, 1, 1, &[4], 40),
        (3, 1, 1, &[5], 40),
        (3, 1, 1, &[4, 5], 20),
        (3, 1, 2, &[4], 56),
        (3, 1, 2, &[5], 74),
        (3, 1, 2, &[4, 5], 80),
        (3, 2, 0, &[], 50),
        (3, 2, 1, &[4], 40),
        (3, 2, 1, &[5], 40),
        (3, 2, 1, &[4, 5], 20),
        (3, 2, 2, &[4], 40),
        (3, 2, 2, &[5], 42),
        (3, 2, 2, &[4, 5], 32),
        (1, 1, 0, &[], -40),
        (1, 1, 1, &[2], -20),
        (1, 1, 1, &[3], 0),
        (1, 1, 1, &[2, 3], 20),
        (1, 1, 2, &[2], -30),
        (1, 1, 2, &[3], 7),
        (1, 1, 2, &[2, 3], 27),
        (1, 2, 0, &[], -40),
        (1, 2, 1, &[2], -20),
        (1, 2, 1, &[3], 0),
        (1, 2, 1, &[2, 3], 20),
        (1, 2, 2, &[2], -30),
        (1, 2, 2, &[3], -2),
        (1, 2, 2, &[2, 3], 18),
    ];
    /// The best of each, in tenths: `(assembly, quality, value, way, parts)`.
    const BEST: [(usize, usize, i64, usize, &[usize]); 10] = [
        (4, 1, 50, 0, &[]),
        (4, 2, 10, 0, &[]),
        (5, 1, 100, 0, &[]),
        (5, 2, 20, 0, &[]),
        (2, 1, 20, 0, &[]),
        (2, 2, 20, 0, &[]),
        (3, 1, 80, 2, &[4, 5]),
        (3, 2, 50, 0, &[]),
        (1, 1, 27, 2, &[2, 3]),
        (1, 2, 20, 1, &[2, 3]),
    ];

    /// What a step of the problem stands for: the way, the parts taken out, and which recovery of the rest.
    type Choice = (usize, &'static [usize], usize);

    /// Best values found so far, in tenths, by assembly and quality.
    type Known = BTreeMap<(usize, usize), i64>;

    /// Profits of the ways to recover what is left of an assembly.
    fn recovery(assembly: usize, quality: usize, parts: &[usize]) -> &'static [i64] {
        let atom = ATOMS.iter().find(|row| (row.0, row.1) == (assembly, quality)).map(|row| row.2);
        atom.unwrap_or_else(|| RECOVERY.iter().find(|row| row.0 == assembly && row.1 == parts).unwrap().2)
    }

    /// What a part is worth before its quality is seen, in hundredths.
    fn expected(part: usize, quality: usize, way: usize, known: &Known) -> i64 {
        let high = HIGH.iter().find(|row| (row.0, row.1, row.2) == (part, quality, way)).map_or(0, |row| row.3);
        high * known[&(part, 1)] + (10 - high) * known[&(part, 2)]
    }

    /// An assembly of known quality as a problem. Every step is one choice of way, parts and recovery; all free the same
    /// weightless token, so that at most one of them can be done. Doing nothing disposes of the whole.
    fn problem(assembly: usize, quality: usize, known: &Known) -> (Problem, Vec<Choice>) {
        let mut choices: Vec<Choice> =
            (1..recovery(assembly, quality, &[]).len()).map(|r| (0, [].as_slice(), r)).collect();
        for &(_, parts, _) in COSTS.iter().filter(|row| row.0 == assembly) {
            let ways =
                [1, 2].into_iter().flat_map(|way| (0..recovery(assembly, quality, parts).len()).map(move |r| (way, r)));
            choices.extend(ways.map(|(way, r)| (way, parts, r)));
        }
        let inside: Vec<usize> =
            COSTS.iter().filter(|row| row.0 == assembly && row.1.len() == 1).map(|row| row.1[0]).collect();
        let (token, first) = (1, 2);
        let mut data = ProblemData::default();
        let item = |id: usize, mass_g: i64| Item { id, host: (id > 0).then_some(0), mass_g, grade: None };
        let mass = 1000 * (1 + inside.len() as i64);
        data.items.push(Item { grade: Some("as it stands".into()), ..item(0, mass) });
        data.items.push(item(token, 0));
        data.items.extend((0..inside.len()).map(|n| item(first + n, 1000)));
        data.grades.insert("token".into(), 0);
        let rest = |parts: &[usize], r: usize| {
            let kilograms = (1 + inside.len() - parts.len()) as i64;
            recovery(assembly, quality, parts)[r] * UNIT / kilograms
        };
        data.grades.insert("as it stands".into(), rest(&[], 0));
        for (id, &(way, parts, r)) in choices.iter().enumerate() {
            let mut frees = vec![FreedItem { item: token, grade: "token".into() }];
            for part in parts {
                let grade = format!("{part} by way {way}");
                data.grades.insert(grade.clone(), expected(*part, quality, way, known) * UNIT / 100);
                frees.push(FreedItem { item: first + inside.iter().position(|p| p == part).unwrap(), grade });
            }
            let cost = COSTS.iter().find(|row| row.0 == assembly && row.1 == parts).map_or(0, |row| row.2[way - 1]);
            data.grades.insert(format!("rest {id}"), rest(parts, r));
            data.rules.push(Rule { item: 0, all_of: vec![id], grade: format!("rest {id}") });
            data.steps.push(PlanStep { id, host: 0, minutes: 1, cost_cents: cost * UNIT, requires: Vec::new(), frees });
        }
        (Problem::new(data).unwrap(), choices)
    }

    /// Tenths of the article's money.
    fn tenths(millicents: i64) -> i64 {
        assert_eq!(millicents * 10 % (UNIT * 1000), 0, "{millicents}");
        millicents * 10 / (UNIT * 1000)
    }

    #[test]
    fn every_value_and_every_best_strategy_of_the_article() {
        let mut known = Known::new();
        let mut compared = 0;
        for (assembly, quality, best, way, parts) in BEST {
            let (problem, choices) = problem(assembly, quality, &known);
            for &(.., other_way, other_parts, value) in
                VALUES.iter().filter(|row| (row.0, row.1) == (assembly, quality))
            {
                let same = |choice: &Choice| (choice.0, choice.1) == (other_way, other_parts);
                let sets = choices.iter().enumerate().filter(|(_, c)| same(c)).map(|(step, _)| vec![step]);
                let as_it_stands = (other_way == 0).then(Vec::new);
                let found =
                    sets.chain(as_it_stands).map(|set| plan::evaluate(&problem, &set).unwrap().value_millicents);
                assert_eq!(tenths(found.max().unwrap()), value, "C({assembly},{quality}|{other_way},{other_parts:?})");
                compared += 1;
            }
            let solution = plan::best_plan(&problem, &Effort::default()).unwrap();
            assert!(solution.proven);
            assert_eq!(tenths(solution.plan.value_millicents), best, "f({assembly},{quality})");
            let chosen =
                solution.plan.steps.first().map_or((0, [].as_slice()), |&step| (choices[step].0, choices[step].1));
            assert_eq!(chosen, (way, parts), "the strategy for assembly {assembly} of quality {quality}");
            known.insert((assembly, quality), tenths(solution.plan.value_millicents));
        }
        assert_eq!(compared, VALUES.len());
    }
}
