//! Dated quotes: what the person was told, kept in their folder.

use jiff::civil::Date;

use super::error::AppError;
use super::world::World;
use crate::market::{Quote, Yard};
use crate::quantity::{Basis, Currency, Notation, Price};
use crate::store;
use crate::store::log::Ending;

/// All quotes. Those that cannot be understood, and damage, are returned as warnings: they lower no price in silence.
///
/// # Errors
/// The file cannot be read at all.
pub fn quotes(world: &World) -> Result<(Vec<Quote>, Vec<String>), AppError> {
    let Some(reading) = world.home.quotes()? else { return Ok((Vec::new(), Vec::new())) };
    let mut quotes = Vec::new();
    let mut warnings = Vec::new();
    for record in &reading.records {
        match understand(record) {
            Some(quote) => quotes.push(quote),
            None => warnings.push(format!(
                "a quote of {} for {} at {} cannot be understood: {:?}",
                record.date, record.grade, record.yard, record.price
            )),
        }
    }
    if let Ending::Damaged(damage) = &reading.ending {
        warnings.push(format!("quotes are read only up to a damaged place: {damage}"));
    }
    Ok((quotes, warnings))
}

fn understand(record: &store::quotes::Quote) -> Option<Quote> {
    let code: String = record.price.chars().filter(char::is_ascii_uppercase).take(3).collect();
    let price = Price::read(&record.price, Currency::from_code(&code)?, Basis::Piece, Notation::Point).ok()?;
    Some(Quote {
        yard: record.yard.clone(),
        grade: record.grade.clone(),
        price,
        date: record.date.parse().ok()?,
        origin: record.origin.clone().unwrap_or_else(|| "typed".to_owned()),
    })
}

/// Keeps a quote for a grade at a yard from a day on. `text` is a price as people write it; without a unit it goes by the
/// unit in which the yard prices the grade.
///
/// # Errors
/// An unknown grade, a price that is none, or the file cannot be written.
pub fn add_quote(
    world: &World,
    yard: &Yard,
    grade: &str,
    text: &str,
    date: Date,
    origin: Option<&str>,
) -> Result<Quote, AppError> {
    let tree = world.host().catalogue().grades();
    if tree.get(grade).is_none() {
        let hint =
            tree.nearest(grade).map_or("`show grades` lists all".to_owned(), |near| format!("did you mean `{near}`?"));
        return Err(AppError::Name(format!("there is no grade `{}`; {hint}", grade.escape_debug())));
    }
    let offered = tree.lineage(grade).find_map(|known| yard.offer(&known.id));
    let basis = offered.map_or(Basis::Weight(yard.unit()), |offer| offer.price().basis());
    let price = Price::read(text, yard.currency(), basis, world.notation(yard))
        .map_err(|error| AppError::Answer(format!("{text:?} is no price: {error}")))?;
    let quote = Quote {
        yard: yard.id().to_owned(),
        grade: grade.to_owned(),
        price,
        date,
        origin: origin.unwrap_or("typed").to_owned(),
    };
    let record = store::quotes::Quote {
        at: world.clock.stamp(),
        yard: quote.yard.clone(),
        grade: quote.grade.clone(),
        price: price.to_string(),
        date: date.to_string(),
        origin: origin.map(str::to_owned),
    };
    world.home.add_quote(&record, &record.at)?;
    Ok(quote)
}
