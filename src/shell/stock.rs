//! The stock as a page, as JSON and as CSV.

use std::collections::BTreeSet;

use serde_json::{Value, json};

use super::csv_rows::{Unwritten, write_csv};
use super::format::digits;
use super::ink::{Ink, Page};
use crate::naming::counted;
use crate::quantity::Mass;
use crate::trips::{OLD_PRICE, Stock, StockWorth, WorthRow, old_age};
use crate::world::{AppError, World};

/// The stock, pile by pile, then its total value.
///
/// # Errors
/// The user's unit is invalid.
pub fn page(world: &World, stock: &Stock, worth: &StockWorth<'_>) -> Result<Page, AppError> {
    let mut page = Page::new();
    if worth.rows.is_empty() {
        page.say(Ink::Plain, "Nothing is in stock. Ended sessions fill it, and `stock add GRADE WEIGHT`.");
        return Ok(page);
    }
    let unit = world.unit(&worth.valuation.yard)?;
    let show = |mass: Mass| mass.show_friendly(unit, worth.valuation.notation);
    for row in &worth.rows {
        pile(&mut page, world, worth, row, &show);
    }
    let yard = &worth.valuation.yard;
    let paid = worth.tally.paid.show(worth.valuation.notation);
    page.blank();
    page.line(&[
        (Ink::Plain, "Estimate for everything at once at "),
        (Ink::Name, yard.name()),
        (Ink::Plain, ": "),
        (Ink::Money, &paid),
    ]);
    if yard.is_sample() {
        page.say(Ink::Caution, "These are sample prices, invented. Enter your yard's own with `quote`.");
    }
    page.append(keeping(world, worth.rows.iter().flat_map(|row| &row.pile.lots).map(|lot| lot.grade.as_str())));
    old_prices(&mut page, worth);
    if !worth.without_rate.is_empty() {
        let codes: Vec<&str> = worth.without_rate.iter().map(|currency| currency.code()).collect();
        let first = codes.first().copied().unwrap_or_default();
        page.say(
            Ink::Faint,
            &format!(
                "Yards that pay in {} are not compared: no rate is set. Set one: settings rates.{first}-{} '1.37 on 2026-11-02'",
                codes.join(", "),
                yard.currency()
            ),
        );
    }
    for packed in stock.ledger.packed() {
        let lots = stock.ledger.packed_for(&packed.yard).map_or(0, |lots| lots.len());
        page.say(
            Ink::Plain,
            &format!(
                "Packed for {}: {}. `settle --yard {}` enters its ticket.",
                packed.yard,
                counted(lots, "lot"),
                packed.yard
            ),
        );
    }
    Ok(page)
}

/// Says which of the prices used are old.
fn old_prices(page: &mut Page, worth: &StockWorth<'_>) {
    let today = worth.valuation.date;
    let old = |line: &crate::market::tally::Line| old_age(line.priced.source.date(), today);
    let ages: Vec<i32> = worth.tally.lines.iter().filter_map(old).collect();
    if let Some(oldest) = ages.iter().max() {
        let (count, of) = (ages.len(), worth.tally.lines.len());
        page.say(
            Ink::Caution,
            &format!("{count} of the {of} prices behind this are {OLD_PRICE} days old or more, the oldest {oldest}: ask again."),
        );
    }
}

/// How to store piles of these grades, one line per kind, if the catalogue says that it matters.
pub fn keeping<'a>(world: &World, grades: impl IntoIterator<Item = &'a str>) -> Page {
    let catalogue = world.host().catalogue();
    let stored: BTreeSet<&str> = grades.into_iter().filter_map(|grade| catalogue.grades().stored(grade)).collect();
    let mut page = Page::new();
    for hazard in stored.into_iter().filter_map(|id| catalogue.hazards().get(id)) {
        page.line(&[
            (Ink::Caution, &format!("{}: ", hazard.name)),
            (Ink::Plain, hazard.cautions.first().map_or("", String::as_str)),
            (Ink::Plain, " The card: "),
            (Ink::Name, &format!("show {}", hazard.id)),
        ]);
    }
    page
}

fn pile(page: &mut Page, world: &World, worth: &StockWorth<'_>, row: &WorthRow<'_>, show: &dyn Fn(Mass) -> String) {
    let notation = worth.valuation.notation;
    let name =
        world.host().catalogue().grades().get(row.pile.grade).map_or(row.pile.grade, |grade| grade.name.as_str());
    match row.pile.mixed_in {
        Some(container) => page.line(&[(Ink::Name, "mixed  "), (Ink::Plain, container)]),
        None => page.line(&[(Ink::Name, row.pile.grade), (Ink::Plain, "  "), (Ink::Plain, name)]),
    }
    page.line(&[(Ink::Plain, "  "), (Ink::Figure, &amount(row, show)), (Ink::Faint, &age(worth, row))]);
    let yard = worth.valuation.yard.name();
    match &row.here {
        Ok(money) => {
            page.line(&[(Ink::Plain, "  "), (Ink::Money, &money.show(notation)), (Ink::Plain, &format!(" at {yard}"))])
        }
        Err(unsold) => {
            page.line(&[(Ink::Caution, "  unsold "), (Ink::Plain, &format!("at {yard}: {}", unsold.words(notation)))])
        }
    }
    if let Some(missing) = row.missing {
        page.line(&[(Ink::Plain, "  missing for the minimum lot: "), (Ink::Figure, &show(missing))]);
    }
    let better = row.best.as_ref().filter(|best| best.yard != worth.valuation.yard.id());
    if let Some(best) =
        better.filter(|best| row.here.as_ref().map_or(true, |here| here.amount() < best.amount.amount()))
    {
        let sample = if best.sample { " (sample prices)" } else { "" };
        let paid = best.exchanged.as_ref().map_or_else(String::new, |exchanged| {
            let day = exchanged.day.map(|day| format!(" of {day}")).unwrap_or_default();
            let rate = notation.show(exchanged.rate.round_dp(6).normalize());
            format!(": {} at the rate {rate}{day}", exchanged.paid.show(notation))
        });
        let text = format!("  best: {} at {}{sample}{paid}", best.amount.show(notation), best.yard);
        page.say(Ink::Plain, &text);
    }
}

fn amount(row: &WorthRow<'_>, show: &dyn Fn(Mass) -> String) -> String {
    let lots = match row.pile.lots.len() {
        1 => row.pile.lots.first().map(|lot| lot.id.clone()).unwrap_or_default(),
        several => format!("{several} lots"),
    };
    let weight = row.pile.mass().map_or_else(|| "not weighed".to_owned(), show);
    let unweighed = match row.pile.unweighed() {
        0 => String::new(),
        n if n == row.pile.lots.len() => String::new(),
        n => format!(", {n} of them never weighed"),
    };
    let bins = row.pile.bins();
    let place = if bins.is_empty() { String::new() } else { format!(", in {}", bins.join(", ")) };
    format!("{weight}, {lots}{unweighed}{place}")
}

fn age(worth: &StockWorth<'_>, row: &WorthRow<'_>) -> String {
    let Some(since) = row.pile.since() else { return String::new() };
    match days(worth, since) {
        Some(0) => ", since today".to_owned(),
        Some(1) => ", since yesterday".to_owned(),
        Some(days) => format!(", oldest {days} days"),
        None => String::new(),
    }
}

fn days(worth: &StockWorth<'_>, since: jiff::civil::Date) -> Option<i32> {
    worth.valuation.date.since(since).ok().map(|span| span.get_days()).filter(|days| *days >= 0)
}

/// The stock as versioned JSON.
pub fn json(worth: &StockWorth<'_>) -> Value {
    let rows = worth.rows.iter().map(|row| {
        json!({
            "grade": row.pile.grade,
            "mixed_in": row.pile.mixed_in,
            "mass_g": row.pile.mass().map(|mass| mass.grams().to_string()),
            "pieces": row.pile.pieces(),
            "unweighed": row.pile.unweighed(),
            "bins": row.pile.bins(),
            "since": row.pile.since().map(|day| day.to_string()),
            "lots": row.pile.lots.iter().map(|lot| lot.id.as_str()).collect::<Vec<_>>(),
            "value": row.here.as_ref().ok().map(|money| money.amount().to_string()),
            "unsold": row.here.as_ref().err().map(|unsold| unsold.code()),
            "missing_for_minimum_g": row.missing.map(|mass| mass.grams().to_string()),
            "best": row.best.as_ref().map(|best| {
                let paid = best.exchanged.as_ref().map(|exchanged| {
                    json!({
                        "currency": exchanged.paid.currency().code(),
                        "value": exchanged.paid.amount().to_string(),
                        "rate": exchanged.rate.to_string(),
                        "rate_of": exchanged.day.map(|day| day.to_string()),
                    })
                });
                json!({
                    "yard": best.yard,
                    "value": best.amount.amount().to_string(),
                    "sample": best.sample,
                    "paid_in": paid,
                })
            }),
        })
    });
    json!({
        "format": "knockdown-stock",
        "version": 1,
        "yard": worth.valuation.yard.id(),
        "date": worth.valuation.date.to_string(),
        "currency": worth.valuation.yard.currency().code(),
        "sample": worth.valuation.yard.is_sample(),
        "paid_for_everything": worth.tally.paid.amount().to_string(),
        "piles": rows.collect::<Vec<_>>(),
    })
}

/// The stock as comma-separated values, one row per pile.
///
/// # Errors
/// As [`write_csv`].
pub fn csv(worth: &StockWorth<'_>) -> Result<String, Unwritten> {
    write_csv(&HEADS, worth.rows.iter().map(cells))
}

/// The columns of [`csv`].
const HEADS: [&str; 11] =
    ["grade", "mixed_in", "mass_g", "pieces", "lots", "bins", "since", "value", "unsold", "best_yard", "best_value"];

fn cells(row: &WorthRow<'_>) -> Vec<String> {
    let lots: Vec<&str> = row.pile.lots.iter().map(|lot| lot.id.as_str()).collect();
    vec![
        row.pile.grade.to_owned(),
        row.pile.mixed_in.unwrap_or_default().to_owned(),
        row.pile.mass().map(|mass| mass.grams().to_string()).unwrap_or_default(),
        row.pile.pieces().to_string(),
        lots.join(" + "),
        row.pile.bins().join(" + "),
        row.pile.since().map(|day| day.to_string()).unwrap_or_default(),
        row.here.as_ref().copied().map(digits).unwrap_or_default(),
        row.here.as_ref().err().map(|unsold| unsold.code().to_owned()).unwrap_or_default(),
        row.best.as_ref().map(|best| best.yard.clone()).unwrap_or_default(),
        row.best.as_ref().map(|best| digits(best.amount)).unwrap_or_default(),
    ]
}

/// The log of the stock, one line per entry.
pub fn log(stock: &Stock) -> Page {
    let mut page = Page::new();
    for entry in stock.ledger.standing() {
        let note = entry.note.as_ref().map(|note| format!("  {note}")).unwrap_or_default();
        let day = entry.at.get(..10).unwrap_or_default();
        page.say(Ink::Plain, &format!("{:>4}  {day}  {}{note}", entry.seq, entry.words()));
    }
    if stock.ledger.standing().is_empty() {
        page.say(Ink::Plain, "Nothing was done with the stock yet.");
    }
    page
}
