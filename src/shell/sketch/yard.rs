//! Makes a new yard from questions.

use std::path::Path;

use super::answers::{MOST, free_id, grade_words, known_grade, optional, plain, positive};
use super::list;
use crate::authoring::{PriceSketch, YardSketch};
use crate::quantity::{Basis, Currency, MassUnit, Notation, Price};
use crate::shell::forms::{Blank, ask};
use crate::shell::ink::Ink;
use crate::shell::terminal::Terminal;
use crate::store::home::Shelf;
use crate::world::AppError;

/// The script of a yard made from questions; its prices come from a file or are asked one by one.
///
/// # Errors
/// The file is wrong, or the user left the questions.
pub fn asked(terminal: &Terminal, list: Option<&str>) -> Result<(String, String), AppError> {
    let rows = list.map(|path| list::read(terminal, Path::new(path))).transpose()?;
    let mut sketch = habits(terminal)?;
    sketch.prices = match rows {
        Some(rows) => list::mapped(terminal, rows, &sketch)?,
        None => prices(terminal, &sketch)?,
    };
    Ok((sketch.id.clone(), sketch.script()))
}

/// The script of a yard that resembles another.
///
/// # Errors
/// There is no such yard, or the user left the questions.
pub fn like(terminal: &Terminal, model: &str) -> Result<(String, String), AppError> {
    let model = terminal.world.pick_one(Shelf::Yards, model)?;
    let name = ask(terminal, &Blank::new("What stands on the yard's sign?"), plain)?;
    let id = free_id(terminal, Shelf::Yards, &name)?;
    let script = terminal.world.yard_like(&model, &id, &name)?;
    terminal.say(
        Ink::Caution,
        &format!("Its prices are those of {model} until you change them, in the file or with `quote`."),
    );
    Ok((id, script))
}

/// Everything but the prices.
fn habits(terminal: &Terminal) -> Result<YardSketch, AppError> {
    let name = ask(terminal, &Blank::new("What stands on the yard's sign?"), plain)?;
    let id = free_id(terminal, Shelf::Yards, &name)?;
    let region = ask(
        terminal,
        &Blank::new("Country, and province or state? Such as AU-VIC; Enter leaves it open").or(""),
        optional,
    )?;
    let currency = ask(
        terminal,
        &Blank::new("Which currency does it pay in? The three letters of ISO 4217, such as AUD"),
        |text| text.to_uppercase().parse::<Currency>().map_err(|error| error.to_string()),
    )?;
    let unit = ask(terminal, &Blank::new("Which unit does it weigh in? kg, lb, t, …"), |text| {
        text.parse::<MassUnit>().map_err(|error| error.to_string())
    })?;
    let notation = ask(
        terminal,
        &Blank::new("Does it write a decimal comma, as in 3,40? yes or no").or("no"),
        |text| match text {
            "yes" | "y" => Ok(Notation::Comma),
            "no" | "n" => Ok(Notation::Point),
            _ => Err("answer yes or no".to_owned()),
        },
    )?;
    let division = ask(
        terminal,
        &Blank::new("The division of its scale in that unit? Such as 0.2; Enter if you do not know").or(""),
        |text| {
            if text.is_empty() { Ok(None) } else { positive(text, notation).map(Some) }
        },
    )?;
    let pays_to = ask(
        terminal,
        &Blank::new("The step that it rounds cash to? Such as 0.05; Enter if it pays exactly").or(""),
        |text| if text.is_empty() { Ok(None) } else { positive(text, notation).map(Some) },
    )?;
    let today = terminal.world.clock.today();
    let as_of = ask(terminal, &Blank::new("Of which day are the prices?").or(today.to_string()), |text| {
        text.parse().map_err(|_| "write year-month-day, such as 2026-11-02".to_owned())
    })?;
    let author = terminal.world.config.person.clone().unwrap_or_default();
    Ok(YardSketch { id, name, region, currency, unit, division, notation, pays_to, as_of, prices: Vec::new(), author })
}

/// Asks for prices, one after another.
fn prices(terminal: &Terminal, yard: &YardSketch) -> Result<Vec<PriceSketch>, AppError> {
    let mut prices: Vec<PriceSketch> = Vec::new();
    while prices.len() < MOST
        && let Some(price) = price(terminal, yard, &prices)?
    {
        prices.push(price);
    }
    Ok(prices)
}

fn price(terminal: &Terminal, yard: &YardSketch, known: &[PriceSketch]) -> Result<Option<PriceSketch>, AppError> {
    let text = format!(
        "A grade, its price in {} per {}, and what the yard calls it: copper-2 3.40 No. 2. Enter when that is all",
        yard.currency,
        yard.unit.symbol()
    );
    let blank = Blank::new(text).or("").words(grade_words(terminal));
    ask(terminal, &blank, |line| {
        if line.is_empty() {
            return Ok(None);
        }
        let mut parts = line.splitn(3, char::is_whitespace);
        let (id, amount, local) = (parts.next().unwrap_or_default(), parts.next().unwrap_or_default(), parts.next());
        let grade = known_grade(terminal, id)?;
        if known.iter().any(|price| price.grade == grade) {
            return Err(format!("{grade} has its price already"));
        }
        let price = Price::read(amount, yard.currency, Basis::Weight(yard.unit), yard.notation);
        let price = price.map_err(|error| error.to_string())?;
        if price.amount().is_sign_negative() {
            return Err("a price is not below zero; `charges` in the file is for what the yard takes".to_owned());
        }
        let name = local.map(str::trim).filter(|name| !name.is_empty()).map(str::to_owned);
        let tree = terminal.world.host().catalogue().grades();
        let name = name.or_else(|| tree.get(&grade).map(|known| known.name.clone())).unwrap_or_else(|| grade.clone());
        Ok(Some(PriceSketch { grade, name: plain(&name)?, price, minimum: None }))
    })
}
