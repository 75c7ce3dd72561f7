//! The recipes' figures for parts against `tests/reference/part_masses.csv`: one row for each part of a recipe of which a mass
//! was published or estimated there. Several parts of a recipe, joined by `+`, stand beside one that is published as a whole.
//!
//! * A row with a range: what the recipe takes for usual lies within it, or, where several rows speak of one part, between the
//!   least and the most of them.
//! * A row with a single value, of one unit or a mean: the recipe's range holds it.

use std::collections::{BTreeMap, BTreeSet};

use knockdown::quantity::Mass;
use knockdown::recipe::Recipe;

use super::{grams, recipes, rows, world};

/// Where a recipe differs from a row, with words that stand beside the recipe's figure and say why: recipe, part, what was
/// published, words.
const DIFFERS: [(&str, &str, &str, &str); 3] = [
    ("desktop-computer", "memory", "desktop_pc_tower: memory module (DIMM), PCB", "15 to 40 g a module, usually two"),
    (
        "inkjet-printer",
        "cartridges",
        "inkjet_printer: print cartridge, all",
        "502 and 575 g under that name, perhaps with the carriage",
    ),
    ("led-panel-display", "stand", "led_lcd_monitor: stand, all", "usual and high estimate, for televisions"),
];

/// What a table's row says: whose part, what was published of it, least, usual, most.
struct Row {
    recipe: String,
    part: String,
    published: String,
    low: Option<Mass>,
    usual: Option<Mass>,
    high: Option<Mass>,
}

fn published() -> Vec<Row> {
    let mass = |text: &String| (!text.is_empty()).then(|| grams(text));
    let table = rows(include_str!("../reference/part_masses.csv"));
    assert!(
        table.iter().all(|row| row.len() == 10 && !row[8].is_empty() && !row[9].is_empty()),
        "a row without source"
    );
    table
        .iter()
        .map(|row| Row {
            recipe: row[0].clone(),
            part: row[1].clone(),
            published: format!("{}: {}, {}", row[2], row[3], row[4]),
            low: mass(&row[5]),
            usual: mass(&row[6]),
            high: mass(&row[7]),
        })
        .collect()
}

/// The figures of a part in each step that frees it, or the sum of several parts joined by `+`, with what is said of their source.
fn figures(recipe: &Recipe, parts: &str) -> Vec<([Mass; 3], String)> {
    let of_part = |part: &str| -> Vec<([Mass; 3], String)> {
        let freed = recipe.steps().iter().flat_map(|step| &step.frees).filter(|freed| freed.part == part);
        freed
            .map(|freed| {
                let mass = freed.expected;
                ([mass.low(), mass.usual(), mass.high()], freed.figures_from.clone())
            })
            .collect()
    };
    let all: Vec<_> = parts.split('+').map(of_part).collect();
    assert!(all.iter().all(|ways| !ways.is_empty()), "{}: no part {parts}", recipe.unit().id);
    if let [one] = all.as_slice() {
        return one.clone();
    }
    let sum = |at: usize| Mass::sum(all.iter().map(|ways| ways[0].0[at])).unwrap();
    let said = all.iter().map(|ways| ways[0].1.as_str()).collect::<Vec<_>>().join("; ");
    vec![([sum(0), sum(1), sum(2)], said)]
}

/// As recipes round to two or three digits.
fn lowered(mass: Mass) -> Mass {
    mass.times("0.98".parse().unwrap()).unwrap()
}

fn raised(mass: Mass) -> Mass {
    mass.times("1.02".parse().unwrap()).unwrap()
}

/// What is wrong with a recipe's figure beside a row; `hull` is the least and the most of all rows of that part.
fn difference(row: &Row, (least, most): (Mass, Mass), [low, usual, high]: [Mass; 3]) -> Option<String> {
    if row.low.is_some() || row.high.is_some() {
        let within = lowered(least) <= usual && usual <= raised(most);
        return (!within).then(|| format!("usual {usual} is not within {least} to {most}"));
    }
    let value = row.usual?;
    let held = lowered(low) <= value && value <= raised(high);
    (!held).then(|| format!("{low} to {high} does not hold {value}"))
}

#[test]
fn parts_weigh_what_was_published_of_them() {
    let (world, table) = (world(), published());
    let recipes = recipes(&world);
    let mut hulls: BTreeMap<(&str, &str), (Mass, Mass)> = BTreeMap::new();
    for row in &table {
        let ends = [row.low, row.usual, row.high].into_iter().flatten();
        let (least, most) = (ends.clone().min().unwrap(), ends.max().unwrap());
        let hull = hulls.entry((&row.recipe, &row.part)).or_insert((least, most));
        *hull = (hull.0.min(least), hull.1.max(most));
    }
    let (mut wrong, mut used) = (Vec::new(), BTreeSet::new());
    for row in &table {
        let recipe = &recipes.get(&row.recipe).unwrap_or_else(|| panic!("no recipe {}", row.recipe)).0;
        for (mass, said) in figures(recipe, &row.part) {
            let hull = hulls[&(row.recipe.as_str(), row.part.as_str())];
            let Some(difference) = difference(row, hull, mass) else { continue };
            let known = DIFFERS.iter().find(|(recipe, part, published, _)| {
                (*recipe, *part, *published) == (&row.recipe, &row.part, &row.published)
            });
            match known {
                Some((.., words)) if said.contains(words) => _ = used.insert(known),
                _ => wrong.push(format!(
                    "{}/{} beside {}: {difference}; it says: {said}",
                    row.recipe, row.part, row.published
                )),
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert_eq!(used.len(), DIFFERS.len(), "a difference that is none any more: {used:?}");
}

/// The table speaks of every recipe, and of most of the parts of each that it can speak of.
#[test]
fn the_table_of_parts_is_as_wide_as_promised() {
    let table = published();
    let recipes: BTreeSet<&str> = table.iter().map(|row| row.recipe.as_str()).collect();
    assert_eq!(recipes, super::KINDS.into_iter().collect());
    let parts: BTreeSet<(&str, &str)> = table.iter().map(|row| (row.recipe.as_str(), row.part.as_str())).collect();
    assert!(parts.len() >= 200, "{}", parts.len());
    assert!(table.iter().filter(|row| row.low.is_some()).count() >= 150);
}
