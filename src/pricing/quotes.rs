//! Dated quotes the user was given, stored in their folder.

use jiff::civil::Date;
use rust_decimal::Decimal;

use crate::market::{INDEX, Quote, Yard, index_value};
use crate::naming::suggest;
use crate::quantity::{Basis, Currency, Notation, Price};
use crate::store;
use crate::store::quotes::QuoteLog;
use crate::world::{AppError, World};

/// All quotes. A quote learned from a ticket counts only while that sale stands. Unreadable quotes are returned as
/// warnings, so that no price drops silently.
///
/// # Errors
/// The file cannot be read at all.
pub fn quotes(world: &World) -> Result<(Vec<Quote>, Vec<String>), AppError> {
    if world.ignore_user_data {
        return Ok((Vec::new(), Vec::new()));
    }
    let Some(reading) = world.log::<QuoteLog>()? else { return Ok((Vec::new(), Vec::new())) };
    let mut quotes = Vec::new();
    let mut warnings = Vec::new();
    let from_tickets = reading.records.iter().any(|record| record.ticket().is_some());
    let sales = if from_tickets { world.standing_sales()? } else { Vec::new() };
    let stands =
        |record: &&store::quotes::QuoteRecord| record.ticket().is_none_or(|id| sales.iter().any(|sale| sale == id));
    for record in reading.records.iter().filter(stands) {
        match understand(world, record) {
            Some(quote) => quotes.push(quote),
            None => warnings.push(format!(
                "a quote of {} for {} at {} cannot be understood: {:?}",
                record.date, record.grade, record.yard, record.price
            )),
        }
    }
    Ok((quotes, warnings))
}

fn understand(world: &World, record: &store::quotes::QuoteRecord) -> Option<Quote> {
    let code: String = record.price.chars().filter(char::is_ascii_uppercase).take(3).collect();
    let price = Price::read(&record.price, Currency::from_code(&code)?, Basis::Piece, Notation::Point).ok()?;
    Some(Quote {
        yard: world.yard_now(&record.yard).to_owned(),
        grade: record.grade.clone(),
        price,
        date: record.date.parse().ok()?,
        learnt: record.ticket().and_then(|_| record.at.parse().ok()),
        origin: record.origin.clone().unwrap_or_else(|| "typed".to_owned()),
    })
}

/// Stores a yard's quote for a grade, named by the catalogue or the yard, from a day on. `text` is a price as people
/// write it; without a unit it is per the unit in which the yard prices the grade.
///
/// # Errors
/// An unknown grade, an invalid price, or the file cannot be written.
pub fn add_quote(
    world: &World,
    yard: &Yard,
    grade: &str,
    text: &str,
    date: Date,
    origin: Option<&str>,
) -> Result<Quote, AppError> {
    let grade = local_grade(world, yard, grade)?;
    let quote = read_quote(world, yard, &grade, text, date, origin)?;
    keep(world, &quote, origin)?;
    Ok(quote)
}

/// Stores an index value for a day: a price with currency and unit, `1510 JPY/kg`.
///
/// # Errors
/// An invalid name, a price that is invalid or not above zero, or the file cannot be written.
pub fn add_index_value(
    world: &World,
    index: &str,
    text: &str,
    date: Date,
    origin: Option<&str>,
) -> Result<Quote, AppError> {
    crate::naming::well_formed_id(index).map_err(AppError::Name)?;
    let wrong = |why: String| AppError::Answer(format!("{text:?} is no value of an index: {why}; write 1510 JPY/kg"));
    let price: Price = text.parse().map_err(|error| wrong(format!("{error}")))?;
    if price.amount() <= Decimal::ZERO || price.basis() == Basis::Piece {
        return Err(wrong("it is a price above zero, by weight".to_owned()));
    }
    let origin_said = origin.unwrap_or("typed").to_owned();
    let quote =
        Quote { yard: INDEX.to_owned(), grade: index.to_owned(), price, date, learnt: None, origin: origin_said };
    keep(world, &quote, origin)?;
    Ok(quote)
}

/// Stores many quotes (grade or the yard's name for it, price, day). All are parsed before the first is stored.
///
/// # Errors
/// Every fault, each with its line number; nothing is stored then.
pub fn add_quotes(
    world: &World,
    yard: &Yard,
    rows: &[(usize, String, String, Date)],
    origin: Option<&str>,
) -> Result<Vec<Quote>, AppError> {
    let mut quotes = Vec::new();
    let mut wrong = Vec::new();
    for (line, name, price, date) in rows {
        let read =
            local_grade(world, yard, name).and_then(|grade| read_quote(world, yard, &grade, price, *date, origin));
        match read {
            Ok(quote) => quotes.push(quote),
            Err(error) => wrong.push(format!("line {line}: {error}")),
        }
    }
    if !wrong.is_empty() {
        return Err(AppError::Answer(format!("{}\nNone was kept.", wrong.join("\n"))));
    }
    quotes.iter().try_for_each(|quote| keep(world, quote, origin))?;
    Ok(quotes)
}

/// The grade behind a name: the yard's own name for it, or the catalogue id.
fn local_grade(world: &World, yard: &Yard, name: &str) -> Result<String, AppError> {
    let tree = world.host().catalogue().grades();
    if tree.get(name).is_some() {
        return Ok(name.to_owned());
    }
    if let Some(offer) = yard.offers().find(|offer| offer.name().to_lowercase() == name.to_lowercase()) {
        return Ok(offer.grade().to_owned());
    }
    if tree.nearest(name).is_some() {
        world.known_grade(name)?;
    }
    let near: Vec<&str> = tree.search(name).into_iter().take(4).map(|grade| grade.id.as_str()).collect();
    let near = near.join(", ");
    let hint = if near.is_empty() { "`show grades` lists all grades".to_owned() } else { format!("near are {near}") };
    Err(AppError::Name(format!("no price at {} and no grade is called `{}`; {hint}", yard.name(), name.escape_debug())))
}

fn read_quote(
    world: &World,
    yard: &Yard,
    grade: &str,
    text: &str,
    date: Date,
    origin: Option<&str>,
) -> Result<Quote, AppError> {
    world.known_grade(grade)?;
    let tree = world.host().catalogue().grades();
    let offered = tree.lineage(grade).find_map(|known| yard.offer(&known.id));
    let basis = offered.map_or(Basis::Weight(yard.unit()), |offer| offer.price().basis());
    let (price, origin) = match text.split_once(" of ") {
        Some((share, index)) => share_of_index(world, yard, share, index, date)?,
        None => {
            let price = Price::read(text, yard.currency(), basis, world.notation(yard))
                .map_err(|error| AppError::Answer(format!("{text:?} is no price: {error}")))?;
            (price, origin.unwrap_or("typed").to_owned())
        }
    };
    Ok(Quote { yard: yard.id().to_owned(), grade: grade.to_owned(), price, date, learnt: None, origin })
}

/// A price as a share of the latest index value the user entered: `72 % of copper-cash`, `0.72 of copper-cash`. The
/// price is computed now; its origin records from what.
fn share_of_index(world: &World, yard: &Yard, share: &str, index: &str, on: Date) -> Result<(Price, String), AppError> {
    let index = index.trim();
    let (all, _) = quotes(world)?;
    let Some(value) = index_value(&all, index, on) else {
        let known = all.iter().filter(|quote| quote.yard == INDEX).map(|quote| quote.grade.as_str());
        let hint = suggest(index, known);
        let index = index.escape_debug();
        let example = format!("quote --index {index} '9.10 {}/kg'", yard.currency());
        return Err(AppError::Name(format!(
            "no value of an index `{index}` is known on {on}; {hint}; enter one: {example}"
        )));
    };
    let wrong = |why: String| AppError::Answer(format!("a share of {index}, {} on {}: {why}", value.price, value.date));
    if value.price.currency() != yard.currency() {
        return Err(wrong(format!("{} pays in {}", yard.name(), yard.currency())));
    }
    let (number, percent) = share.trim().strip_suffix('%').map_or((share, false), |number| (number, true));
    let number = world.notation(yard).read(number).map_err(|error| wrong(error.to_string()))?;
    let factor = if percent { number / Decimal::ONE_HUNDRED } else { number };
    let linked = value.price.share(factor).map_err(|error| wrong(error.to_string()))?;
    Ok((linked, format!("{} of {index}, {} on {}", share.trim(), value.price, value.date)))
}

fn keep(world: &World, quote: &Quote, origin: Option<&str>) -> Result<(), AppError> {
    let record = store::quotes::QuoteRecord {
        origin: origin.map(str::to_owned).or_else(|| Some(quote.origin.clone()).filter(|said| said != "typed")),
        ..record(world, &quote.yard, &quote.grade, quote.price, quote.date)
    };
    world.home.add_quote(&record, &record.at)?;
    Ok(())
}

/// A quote as the log stores it, without its origin.
pub(crate) fn record(world: &World, yard: &str, grade: &str, price: Price, date: Date) -> store::quotes::QuoteRecord {
    store::quotes::QuoteRecord {
        at: world.clock.stamp(),
        yard: yard.to_owned(),
        grade: grade.to_owned(),
        price: price.to_string(),
        date: date.to_string(),
        origin: None,
    }
}
