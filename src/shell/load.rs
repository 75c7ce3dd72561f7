//! A load plan as a page, and as JSON.

use serde_json::{Value, json};

use super::ink::{Ink, Page, width};
use crate::market::load::format::LoadFile;
use crate::market::load::{LoadProblem, Solved};
use crate::naming::counted;
use crate::quantity::{Mass, MassUnit, Notation};
use crate::stock::Pile;
use crate::trips::{Delivery, LoadPlan};
use crate::world::{AppError, World};

/// What the law in many places requires of sellers. Shown once, when a trip is planned.
const LAW: &str = "Before you drive: many places require a yard to see who sells, to keep a record, and to ask where goods come \
                   from; some hold payment back or allow no cash. Take identification and what shows that the goods are yours. \
                   What applies is your local law.";

/// The plan: what goes where, what it should bring, a loading list, the reasons, and what stays.
///
/// # Errors
/// The user's unit is invalid.
pub fn page(world: &World, plan: &LoadPlan<'_>) -> Result<Page, AppError> {
    let mut page = Page::new();
    for delivery in &plan.deliveries {
        let unit = world.unit(&delivery.valuation.yard)?;
        head(&mut page, delivery, unit);
        list(&mut page, world, delivery, unit);
        page.blank();
    }
    if plan.deliveries.is_empty() {
        page.say(Ink::Plain, "Nothing to drive with now.");
    }
    for remark in &plan.remarks {
        page.line(&[(Ink::Plain, "- "), (Ink::Plain, remark)]);
    }
    kept(&mut page, world, plan)?;
    if !plan.gap.amount().is_zero() {
        let gap = plan.gap.show(Notation::Point);
        page.say(
            Ink::Caution,
            &format!("Not proven the best: the search was cut short; another plan could bring {gap} more at most."),
        );
    }
    if !plan.deliveries.is_empty() {
        page.blank();
        page.say(Ink::Plain, LAW);
    }
    Ok(page)
}

fn head(page: &mut Page, delivery: &Delivery<'_>, unit: MassUnit) {
    let (yard, notation) = (&delivery.valuation.yard, delivery.valuation.notation);
    let trips = counted(delivery.trips, "trip");
    let load = Mass::sum(delivery.piles.iter().filter_map(Pile::mass)).unwrap_or_default();
    page.line(&[
        (Ink::Heading, yard.name()),
        (Ink::Plain, &format!(", {trips}, {}", load.show_friendly(unit, notation))),
    ]);
    if yard.is_sample() {
        page.say(Ink::Caution, "  Sample prices, invented: enter your yard's own before you drive.");
    }
    let paid = delivery.expected.paid.show(notation);
    let cost = delivery.trip_cost.show(notation);
    page.line(&[(Ink::Plain, "  should pay "), (Ink::Money, &paid), (Ink::Plain, &format!("; a trip costs {cost}"))]);
}

/// The loading list: own weights, and space for the yard's scale readings.
fn list(page: &mut Page, world: &World, delivery: &Delivery<'_>, unit: MassUnit) {
    let notation = delivery.valuation.notation;
    let book = delivery.valuation.book(world);
    let name = |pile: &Pile<'_>| match pile.mixed_in {
        Some(container) => container.to_owned(),
        None => book.listing(pile.grade).map_or(pile.grade, |listing| listing.name()).to_owned(),
    };
    let rows: Vec<[String; 3]> = delivery
        .piles
        .iter()
        .map(|pile| {
            let weight =
                pile.mass().map_or_else(|| counted(pile.pieces(), "piece"), |mass| mass.show(unit, 1, notation));
            [name(pile), pile.bins().join(", "), weight]
        })
        .collect();
    let wide =
        |column: usize, least: usize| rows.iter().map(|row| width(&row[column])).max().unwrap_or(0).max(least).min(40);
    let (names, bins, weights) = (wide(0, 4), wide(1, 3), wide(2, 7));
    let padded = |text: &str, columns: usize| format!("{text}{}", " ".repeat(columns.saturating_sub(width(text))));
    let line = |name: &str, bin: &str, weight: &str, gross: &str, tare: &str| {
        format!("  [ ] {}  {}  {}  {gross}  {tare}", padded(name, names), padded(bin, bins), padded(weight, weights))
    };
    page.say(Ink::Faint, &line("pile", "bin", "weighed", "gross   ", "tare    ").replacen("[ ]", "   ", 1));
    for [name, bin, weight] in &rows {
        page.say(Ink::Plain, &line(name, bin, weight, "________", "________"));
    }
}

fn kept(page: &mut Page, world: &World, plan: &LoadPlan<'_>) -> Result<(), AppError> {
    if plan.kept.is_empty() {
        return Ok(());
    }
    let (_, yard) = world.yard(&world.yard_id(None)?)?;
    let (unit, notation) = (world.unit(&yard)?, world.notation(&yard));
    page.blank();
    page.line(&[(Ink::Heading, "Stays here")]);
    for kept in &plan.kept {
        let what = kept.pile.mixed_in.unwrap_or(kept.pile.grade);
        let weight =
            kept.pile.mass().map_or_else(|| "not weighed".to_owned(), |mass| mass.show_friendly(unit, notation));
        page.line(&[(Ink::Plain, "  "), (Ink::Name, what), (Ink::Plain, &format!(", {weight}: {}", kept.why))]);
    }
    Ok(())
}

/// The plan as versioned JSON.
pub fn json(plan: &LoadPlan<'_>) -> Value {
    let pile = |pile: &Pile<'_>| {
        json!({
            "grade": pile.grade,
            "mixed_in": pile.mixed_in,
            "mass_g": pile.mass().map(|mass| mass.grams().to_string()),
            "lots": pile.lots.iter().map(|lot| lot.id.as_str()).collect::<Vec<_>>(),
        })
    };
    let deliveries = plan.deliveries.iter().map(|delivery| {
        json!({
            "yard": delivery.valuation.yard.id(),
            "currency": delivery.valuation.yard.currency().code(),
            "sample": delivery.valuation.yard.is_sample(),
            "trips": delivery.trips,
            "trip_cost": delivery.trip_cost.amount().to_string(),
            "expected_paid": delivery.expected.paid.amount().to_string(),
            "piles": delivery.piles.iter().map(pile).collect::<Vec<_>>(),
        })
    });
    let kept = plan.kept.iter().map(|kept| json!({ "pile": pile(&kept.pile), "why": kept.why }));
    json!({
        "format": "knockdown-load",
        "version": 1,
        "value": plan.value.amount().to_string(),
        "currency": plan.value.currency().code(),
        "gap": plan.gap.amount().to_string(),
        "deliveries": deliveries.collect::<Vec<_>>(),
        "kept": kept.collect::<Vec<_>>(),
        "remarks": plan.remarks,
        "warnings": plan.warnings,
    })
}

/// The solution of a shared problem as versioned JSON.
pub fn solution_json(problem: &LoadProblem, solved: &Solved) -> Value {
    json!({
        "format": "knockdown-load-solution",
        "version": 1,
        "value_cents": solved.plan.value,
        "alloc_lots": solved.plan.lots,
        "trips": solved.plan.trips,
        "hold_all_cents": problem.hold_all(),
        "proven": solved.is_proven(),
        "gap_cents": solved.gap(),
    })
}

/// The solution of a problem in the open format: what goes where, the trips, and whether it is proven optimal.
pub fn solution(file: &LoadFile, solved: &Solved) -> Page {
    let mut page = Page::new();
    for (pile, row) in file.piles.iter().zip(&solved.plan.lots) {
        let parts = row.iter().enumerate().filter(|(_, lots)| **lots > 0).map(|(to, lots)| match file.yards.get(to) {
            Some(_) => format!("{lots} to yard {to}"),
            None => format!("{lots} kept"),
        });
        page.say(Ink::Plain, &format!("{}: {}", pile.grade, parts.collect::<Vec<_>>().join(", ")));
    }
    let trips = solved.plan.trips.iter().enumerate().map(|(yard, trips)| format!("{trips} to yard {yard}"));
    page.say(Ink::Plain, &format!("Trips: {}", trips.collect::<Vec<_>>().join(", ")));
    let proven =
        if solved.is_proven() { "proven the best".to_owned() } else { format!("at most {} better", solved.gap()) };
    page.say(Ink::Money, &format!("{} cents, {proven}", solved.plan.value));
    page
}
