//! How the prices of grades developed, what yards paid compared with what was expected, and the stored quotes.

use jiff::civil::Date;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use serde_json::{Map, Value, json};

use super::ink::{Ink, Page};
use crate::market::Quote;
use crate::market::ticket::Cause;
use crate::naming::counted;
use crate::trips::{Course, Point, PriceRecord, old_age};
use crate::world::{AppError, World};

/// The longest bar, in columns.
const BAR: i64 = 30;

/// A grade's prices, yard by yard, each as a bar.
///
/// # Errors
/// The exchange rates that are set cannot be read.
pub fn courses(world: &World, grade: &str, courses: &[Course]) -> Result<Page, AppError> {
    let mut page = Page::new();
    for course in courses {
        chart(&mut page, grade, course, world.clock.today());
        if let Some(last) = course.points.last()
            && let Some((price, day)) = world.side_by_side(last.price)?
        {
            let rate = day.map(|day| format!(", at the rate of {day}")).unwrap_or_default();
            page.say(Ink::Plain, &format!("  the latest is about {price}{rate}"));
        }
    }
    if courses.is_empty() {
        page.say(Ink::Plain, &format!("No yard that is known prices {grade}. quote {grade} PRICE keeps one."));
    }
    Ok(page)
}

/// The prices of one yard, one bar each: its length is the price relative to the highest.
fn chart(page: &mut Page, grade: &str, course: &Course, today: Date) {
    let wider = if course.grade == grade { String::new() } else { format!(", priced as {}", course.grade) };
    page.line(&[(Ink::Heading, &course.yard), (Ink::Plain, &wider)]);
    if course.sample {
        page.say(Ink::Caution, "  the module's prices are samples, invented");
    }
    let top = course.points.iter().map(|point| point.price.amount()).max().unwrap_or_default();
    for point in &course.points {
        let share = point.price.amount().checked_div(top).and_then(|share| (share * Decimal::from(BAR)).to_i64());
        let bar = "=".repeat(share.unwrap_or(0).clamp(0, BAR) as usize);
        page.line(&[
            (Ink::Plain, &format!("  {}  ", point.date)),
            (Ink::Money, &format!("{:<14}", point.price.to_string())),
            (Ink::Figure, &format!("  {bar:<30}")),
            (Ink::Faint, &format!("  {}", point.origin)),
        ]);
    }
    if let Some(days) = course.points.last().and_then(|point| old_age(point.date, today)) {
        page.say(Ink::Caution, &format!("  The latest is {days} days old: ask again before you rely on it."));
    }
}

/// The document `{"format":"knockdown-prices","version":1,…}`.
pub fn courses_json(grade: &str, courses: &[Course]) -> Value {
    let point = |point: &Point| json!({ "date": point.date.to_string(), "price": point.price.to_string(), "origin": point.origin });
    let row = |course: &Course| {
        let points: Vec<_> = course.points.iter().map(point).collect();
        json!({ "yard": course.yard, "grade": course.grade, "sample": course.sample, "points": points })
    };
    let yards: Vec<_> = courses.iter().map(row).collect();
    json!({ "format": "knockdown-prices", "version": 1, "grade": grade, "yards": yards })
}

/// What each yard paid according to its tickets, what was expected, and the causes of the difference.
pub fn records(records: &[PriceRecord]) -> Page {
    let mut page = Page::new();
    for record in records {
        let tickets = counted(record.tickets, "ticket");
        page.line(&[
            (Ink::Heading, &record.yard),
            (Ink::Plain, &format!(", {tickets}, the latest of {}", record.latest)),
        ]);
        let (paid, expected) = (record.paid.to_string(), record.expected.to_string());
        page.line(&[
            (Ink::Plain, "  paid "),
            (Ink::Money, &paid),
            (Ink::Plain, ", expected "),
            (Ink::Money, &expected),
        ]);
        for cause in Cause::ALL {
            if let Some(sum) = record.causes.get(cause.code()) {
                page.say(Ink::Plain, &format!("  {}: {}", cause.words(), sum.normalize()));
            }
        }
    }
    if records.is_empty() {
        page.say(Ink::Plain, "No ticket is settled yet. `settle` enters one; `prices GRADE` shows a grade's prices.");
    }
    page
}

/// The document `{"format":"knockdown-yard-records","version":1,…}`.
pub fn records_json(records: &[PriceRecord]) -> Value {
    let row = |record: &PriceRecord| {
        let causes: Map<_, _> =
            record.causes.iter().map(|(cause, sum)| (cause.clone(), sum.normalize().to_string().into())).collect();
        json!({
            "yard": record.yard, "currency": record.paid.currency().code(), "tickets": record.tickets,
            "latest": record.latest, "expected": record.expected.amount().to_string(),
            "paid": record.paid.amount().to_string(), "causes": causes,
        })
    };
    let rows: Vec<_> = records.iter().map(row).collect();
    json!({ "format": "knockdown-yard-records", "version": 1, "yards": rows })
}

/// The stored quotes, one line each.
pub fn quotes(quotes: &[Quote]) -> Page {
    let mut page = Page::new();
    for quote in quotes {
        let head = format!("{}  {}  {}  ", quote.date, quote.yard, quote.grade);
        page.line(&[
            (Ink::Plain, &head),
            (Ink::Money, &quote.price.to_string()),
            (Ink::Faint, &format!("  {}", quote.origin)),
        ]);
    }
    if quotes.is_empty() {
        page.say(Ink::Plain, "No quotes are kept. quote GRADE PRICE keeps one.");
    }
    page
}
