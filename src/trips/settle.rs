//! Settling: a yard's ticket is entered line by line, explained, and booked.
//!
//! All questions go through an [`Interview`], so that a terminal and an answers file work the same way. What does not
//! fit is asked about; nothing is corrected silently.

mod entry;
mod rest;

use jiff::civil::Date;

use super::stock::{Stock, haul_of};
use super::ticket_file::TicketFile;
use crate::market::Tally;
use crate::market::tally::Line;
use crate::market::ticket::{Reconciliation, Ticket, key, reconcile};
use crate::market::tolerance::tolerance;
use crate::pricing::{Valuation, record};
use crate::quantity::{Mass, Price};
use crate::stock::{ActKind, Lot, Rest, StockEntry};
use crate::world::{AppError, World};

/// A question.
#[derive(Debug, Clone, Default)]
pub struct Prompt {
    /// Its key in an answers file: `line-1/weight`.
    pub key: String,
    /// The question.
    pub text: String,
    /// The default; `None` if an answer is required.
    pub default: Option<String>,
    /// Words for completion, each with a remark.
    pub words: Vec<(String, String)>,
}

/// Who answers: a terminal or a file.
pub trait Interview {
    /// The answer as typed; empty for the default.
    ///
    /// # Errors
    /// There is no answer, or the user has left; nothing is booked then.
    fn ask(&mut self, prompt: &Prompt) -> Result<String, AppError>;

    /// Explains why an answer is invalid, so that it can be given again.
    ///
    /// # Errors
    /// It cannot be given again.
    fn refuse(&mut self, prompt: &Prompt, answer: &str, why: &str) -> Result<(), AppError>;

    /// Prints a message.
    fn tell(&mut self, text: &str);
}

/// Asks until an answer is valid.
///
/// # Errors
/// As [`Interview::ask`] and [`Interview::refuse`].
pub(super) fn ask<T>(
    who: &mut dyn Interview,
    prompt: &Prompt,
    mut read: impl FnMut(&str) -> Result<T, String>,
) -> Result<T, AppError> {
    loop {
        let typed = who.ask(prompt)?;
        let text = match (typed.trim(), &prompt.default) {
            ("", Some(default)) => default.clone(),
            (text, _) => text.to_owned(),
        };
        match read(&text) {
            Ok(value) => return Ok(value),
            Err(why) => who.refuse(prompt, &text, &why)?,
        }
    }
}

/// Asks for yes or no.
pub(super) fn ask_yes(
    who: &mut dyn Interview,
    key: &str,
    text: String,
    default: Option<bool>,
) -> Result<bool, AppError> {
    let word = |yes: bool| if yes { "yes" } else { "no" };
    let words = [true, false].map(|yes| (word(yes).to_owned(), String::new())).to_vec();
    let default = default.map(|yes| word(yes).to_owned());
    let prompt = Prompt { key: key.to_owned(), text, default, words };
    ask(who, &prompt, |text| match text.to_lowercase().as_str() {
        "yes" | "y" => Ok(true),
        "no" | "n" => Ok(false),
        _ => Err("write yes or no".to_owned()),
    })
}

/// A ticket, entered and explained, not yet booked.
pub struct Settling<'w, 's> {
    world: &'w World,
    stock: &'s Stock,
    /// The yard, the ticket's day, the number format.
    pub valuation: Valuation,
    /// The ticket.
    pub ticket: Ticket,
    /// What was to be expected for the goods taken there.
    pub expected: Tally,
    /// The difference, explained.
    pub reconciliation: Reconciliation,
    taken: Vec<Lot>,
    rest: Vec<Rest>,
}

/// What was booked.
#[derive(Debug, Clone)]
pub struct SettledTicket {
    /// The entry in the log of the stock.
    pub entry: StockEntry,
    /// The ticket's name.
    pub ticket: String,
    /// The stored quotes, in words.
    pub quotes: Vec<String>,
}

impl<'w, 's> Settling<'w, 's> {
    /// Asks for the ticket of a yard and explains it.
    ///
    /// # Errors
    /// As [`Interview::ask`]; the yard or the quotes cannot be read.
    pub fn enter(
        world: &'w World,
        stock: &'s Stock,
        yard: &str,
        who: &mut dyn Interview,
    ) -> Result<Settling<'w, 's>, AppError> {
        let date = ask_date(world, who)?;
        let valuation = Valuation::new(world, yard, Some(date))?;
        let number = ask_number(world, yard, who)?;
        let taken: Vec<Lot> = ask_taken(world, stock, &valuation, who)?.into_iter().cloned().collect();
        let expected = valuation.tally(world, &haul_of(&taken))?;
        if expected.lines.is_empty() {
            who.tell(
                "Nothing of that is bought there, as far as is known; every line of the ticket will be unexpected.",
            );
        }
        let ticket = entry::ticket(world, &valuation, &expected, number, who)?;
        let scale = world.scale_division()?.unwrap_or_default();
        let brought = rest::ask_rest(&valuation, &expected, &ticket, &own_tolerances(&taken, &expected, scale), who)?;
        let (taken, rest) = rest::without(taken, &expected, &brought);
        let expected =
            if rest.is_empty() && brought.is_empty() { expected } else { valuation.tally(world, &haul_of(&taken))? };
        let book = valuation.book(world);
        let own = own_tolerances(&taken, &expected, scale);
        let reconciliation = reconcile(&ticket, &expected, &book, &own)
            .map_err(|error| AppError::Refused(format!("the ticket cannot be added up: {error}")))?;
        Ok(Settling { world, stock, valuation, ticket, expected, reconciliation, taken, rest })
    }

    /// Asks what is left to decide, and books the sale with its ticket and quotes as one act. Returns `None` if the
    /// user declines.
    ///
    /// # Errors
    /// As [`Interview::ask`]; the folder cannot be written, or the stock has changed meanwhile.
    pub fn book(self, who: &mut dyn Interview) -> Result<Option<SettledTicket>, AppError> {
        let sold = self.sold(who)?;
        let quotes = self.new_prices();
        let keep = !quotes.is_empty() && {
            let list = quotes.iter().map(|(grade, price)| format!("{grade} {}", price.show(self.valuation.notation)));
            let list = list.collect::<Vec<_>>().join(", ");
            ask_yes(who, "quotes", format!("Keep the ticket's prices as quotes of that day? {list}"), Some(false))?
        };
        if !ask_yes(
            who,
            "book",
            match sold.len() {
                1 => "Book the sale of 1 lot and take it out of stock?".to_owned(),
                lots => format!("Book the sale of {lots} lots and take them out of stock?"),
            },
            Some(true),
        )? {
            return Ok(None);
        }
        let (world, yard) = (self.world, self.valuation.yard.id());
        let file = TicketFile::of(yard, &self.ticket, &self.reconciliation, &sold, &self.rest_of(&sold));
        let text = file.text().map_err(AppError::Refused)?;
        let date = self.ticket.date;
        let record = |(grade, price): &(String, Price)| record(world, yard, grade, *price, date);
        let quotes = if keep { quotes } else { Vec::new() };
        let sale = StockEntry {
            lots: sold.iter().map(|lot| lot.id.clone()).collect(),
            rest: self.rest_of(&sold),
            yard: Some(yard.to_owned()),
            note: self.ticket.number.clone(),
            ..StockEntry::new(self.stock.ledger.next_seq(), world.clock.stamp(), ActKind::Sale)
        };
        let entry = world.home.settle(&date.to_string(), &text, quotes.iter().map(record).collect(), sale)?;
        let said = |(grade, price): &(String, Price)| format!("{grade} {}", price.show(self.valuation.notation));
        let ticket = entry.ticket.clone().unwrap_or_default();
        Ok(Some(SettledTicket { entry, ticket, quotes: quotes.iter().map(said).collect() }))
    }

    /// The lots sold: those of lines that the ticket pays, and of missing lines that are gone all the same.
    fn sold(&self, who: &mut dyn Interview) -> Result<Vec<&Lot>, AppError> {
        let mut sold = Vec::new();
        for line in &self.expected.lines {
            let paid = self.ticket.lines.iter().any(|paid| paid.pays_for.as_deref() == Some(key(line).as_str()));
            let name = format!("missing/{}", key(line));
            let text =
                format!("{} is not on the ticket. Is it gone all the same? no keeps it in stock", line.priced.name);
            if paid || ask_yes(who, &name, text, None)? {
                sold.extend(self.taken.iter().filter(|lot| line.items.iter().any(|item| item.part == lot.id)));
            }
        }
        Ok(sold)
    }

    /// What remains of the lots sold.
    fn rest_of(&self, sold: &[&Lot]) -> Vec<Rest> {
        self.rest.iter().filter(|rest| sold.iter().any(|lot| lot.id == rest.lot)).cloned().collect()
    }

    /// Ticket prices that differ from the book's, each grade once.
    fn new_prices(&self) -> Vec<(String, Price)> {
        let book = self.valuation.book(self.world);
        let mut prices: Vec<(String, Price)> = Vec::new();
        for line in &self.ticket.lines {
            let Some(grade) = line.grade.clone().filter(|grade| book.tree().get(grade).is_some()) else { continue };
            let known =
                book.listing(&grade).ok().and_then(|listing| listing.price_at(line.mass)).map(|(price, _)| price);
            if known != Some(line.price) && !prices.iter().any(|(other, _)| *other == grade) {
                prices.push((grade, line.price));
            }
        }
        prices
    }
}

fn ask_date(world: &World, who: &mut dyn Interview) -> Result<Date, AppError> {
    let today = world.clock.today();
    let prompt = Prompt {
        key: "date".to_owned(),
        text: "The day on the ticket".to_owned(),
        default: Some(today.to_string()),
        words: Vec::new(),
    };
    ask(who, &prompt, |text| {
        let date: Date = text.parse().map_err(|_| "write year-month-day, such as 2026-11-02".to_owned())?;
        if date > today { Err(format!("{date} lies ahead; today is {today}")) } else { Ok(date) }
    })
}

/// Asks for the ticket number; a number already booked must be confirmed, so that no ticket is entered twice by
/// mistake.
fn ask_number(world: &World, yard: &str, who: &mut dyn Interview) -> Result<Option<String>, AppError> {
    let prompt = Prompt {
        key: "ticket".to_owned(),
        text: "The number on the ticket".to_owned(),
        default: Some("none".to_owned()),
        words: Vec::new(),
    };
    let number = ask(who, &prompt, |text| Ok(Some(text.to_owned()).filter(|text| text != "none")))?;
    let (booked, warnings) = world.tickets()?;
    warnings.iter().for_each(|warning| who.tell(warning));
    let same = booked.iter().find(|known| known.yard == yard && number.is_some() && known.number == number);
    if let (Some(known), Some(number)) = (same, &number) {
        let (date, paid) = (&known.date, &known.paid);
        let text = format!("Ticket {number} of {yard} is booked already: of {date}, {paid}. Is this another one?");
        if !ask_yes(who, "another-ticket", text, None)? {
            return Err(AppError::Answer("the ticket is booked already; nothing was booked again".to_owned()));
        }
    }
    Ok(number)
}

/// What was taken there: what is packed for the yard, else everything; or what the user names, in the ticket's or the
/// stock's words.
fn ask_taken<'s>(
    world: &World,
    stock: &'s Stock,
    valuation: &Valuation,
    who: &mut dyn Interview,
) -> Result<Vec<&'s Lot>, AppError> {
    let packed = stock.ledger.packed_for(valuation.yard.id());
    let sellable = valuation.tally(world, &haul_of(stock.ledger.lots()))?;
    let grades = stock.ledger.lots().iter().map(|lot| (lot.grade.clone(), "grade".to_owned()));
    let local = sellable.lines.iter().map(|line| (line.priced.name.clone(), "what the yard calls it".to_owned()));
    let mut words: Vec<(String, String)> = grades.chain(local).collect();
    words.sort();
    words.dedup();
    let prompt = Prompt {
        key: "took".to_owned(),
        text: "What did you take there? The yard's names, grades, bins or lots with commas between; or all".to_owned(),
        default: Some(if packed.is_some() { "packed" } else { "all" }.to_owned()),
        words,
    };
    ask(who, &prompt, |text| match (text, &packed) {
        ("packed", Some(lots)) => Ok(lots.clone()),
        _ => stock.select(&in_stock(text, &sellable.lines)).map_err(|error| error.to_string()),
    })
}

/// The words of a list, with the yard's names (which may contain commas) replaced by their lots.
fn in_stock<'a>(text: &'a str, lines: &'a [Line]) -> Vec<&'a str> {
    let lots_of = |name: &str| -> Vec<&'a str> {
        let named = lines.iter().filter(|line| line.priced.name.to_lowercase() == name.to_lowercase());
        named.flat_map(|line| &line.items).map(|item| item.part.as_str()).collect()
    };
    let longest = lines.iter().map(|line| line.priced.name.len()).max().unwrap_or(0);
    let mut words = Vec::new();
    let mut rest = text.trim();
    while !rest.is_empty() {
        let ends = || rest.match_indices(',').map(|(at, _)| at).chain([rest.len()]);
        // Lowercase letters can take more bytes than uppercase ones.
        let near = ends().take_while(|end| *end <= 2 * longest);
        let local = near.map(|end| (end, lots_of(rest[..end].trim_end()))).filter(|(_, lots)| !lots.is_empty()).last();
        let (end, lots) = local.unwrap_or_else(|| {
            let end = ends().next().unwrap_or(rest.len());
            (end, vec![rest[..end].trim_end()])
        });
        words.extend(lots);
        rest = rest[end..].strip_prefix(',').unwrap_or_default().trim_start();
    }
    words
}

/// How far the user's own scale may be off on each line: the combined tolerances of its weighings. A lot with no scale
/// on record was weighed on the one in the settings.
fn own_tolerances(taken: &[Lot], expected: &Tally, scale: Mass) -> Vec<Mass> {
    let division = |lot: &Lot| if lot.division.is_zero() { scale } else { lot.division };
    let of_line = |line: &Line| {
        let lots = taken.iter().filter(|lot| line.items.iter().any(|item| item.part == lot.id));
        Mass::sum(lots.map(|lot| tolerance(lot.mass.unwrap_or_default(), division(lot)))).unwrap_or_default()
    };
    expected.lines.iter().map(of_line).collect()
}
