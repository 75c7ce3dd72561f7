//! `prices`: how a grade's price went, and how yards paid beside what was expected.

use clap::{Arg, ArgMatches, Command};
use jiff::civil::Date;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use serde_json::json;

use super::options::{self, text};
use super::{Code, Outcome};
use crate::market::ticket::Cause;
use crate::naming::counted;
use crate::shell::format::{Format, json_text};
use crate::shell::ink::{Ink, Page};
use crate::shell::terminal::Terminal;
use crate::trips::{Course, Point, Record, old_age};

/// The longest bar, in columns.
const BAR: i64 = 30;

pub(super) fn declare() -> Command {
    Command::new("prices")
        .about("Show how a grade's price went; without a grade, how yards paid beside what was expected")
        .after_help("Examples: prices copper-2 · prices")
        .arg(Arg::new("grade").value_name("GRADE").help("A grade, by its id"))
        .arg(options::format(&["text", "json"]))
}

pub(super) fn run(terminal: &mut Terminal, matches: &ArgMatches) -> Outcome {
    let as_json = options::format_of(matches) == Format::Json;
    match text(matches, "grade") {
        Some(grade) => courses(terminal, grade, as_json),
        None => records(terminal, as_json),
    }
}

fn courses(terminal: &Terminal, grade: &str, as_json: bool) -> Outcome {
    let courses = terminal.world.courses(grade)?;
    if as_json {
        let point = |point: &Point| json!({ "date": point.date.to_string(), "price": point.price.to_string(), "origin": point.origin });
        let rows = courses.iter().map(|course| {
            let points: Vec<_> = course.points.iter().map(point).collect();
            json!({ "yard": course.yard, "grade": course.grade, "sample": course.sample, "points": points })
        });
        let rows: Vec<_> = rows.collect();
        terminal
            .put(&json_text(&json!({ "format": "knockdown-prices", "version": 1, "grade": grade, "yards": rows }))?);
        return Ok(Code::Done);
    }
    let mut page = Page::new();
    for course in &courses {
        chart(&mut page, grade, course, terminal.world.clock.today());
        if let Some(last) = course.points.last()
            && let Some((price, day)) = terminal.world.side_by_side(last.price)?
        {
            let rate = day.map(|day| format!(", at the rate of {day}")).unwrap_or_default();
            page.say(Ink::Plain, &format!("  the latest is about {price}{rate}"));
        }
    }
    if courses.is_empty() {
        page.say(Ink::Plain, &format!("No yard that is known prices {grade}. quote {grade} PRICE keeps one."));
    }
    terminal.show(&page);
    Ok(Code::Done)
}

/// The prices of one yard, a bar each: as long as the price is to the highest of them.
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

fn records(terminal: &Terminal, as_json: bool) -> Outcome {
    let (records, warnings) = terminal.world.records()?;
    warnings.iter().for_each(|warning| terminal.say_aside(&format!("warning: {warning}")));
    if as_json {
        let row = |record: &Record| {
            let causes: serde_json::Map<_, _> =
                record.causes.iter().map(|(cause, sum)| (cause.clone(), sum.normalize().to_string().into())).collect();
            json!({
                "yard": record.yard, "currency": record.paid.currency().code(), "tickets": record.tickets,
                "latest": record.latest, "expected": record.expected.amount().to_string(),
                "paid": record.paid.amount().to_string(), "causes": causes,
            })
        };
        let rows: Vec<_> = records.iter().map(row).collect();
        terminal.put(&json_text(&json!({ "format": "knockdown-yard-records", "version": 1, "yards": rows }))?);
        return Ok(Code::Done);
    }
    let mut page = Page::new();
    for record in &records {
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
    terminal.show(&page);
    Ok(Code::Done)
}
