//! Entry of a ticket, line by line.

use rust_decimal::Decimal;

use super::{Interview, Prompt, ask, ask_yes};
use crate::market::tally::{CostKind, Line};
use crate::market::ticket::{Ticket, TicketLine, key};
use crate::market::{Tally, Unsold};
use crate::naming::{counted, suggest};
use crate::pricing::Valuation;
use crate::quantity::{Basis, Mass, Money, Price, WeighingRules, read_count, weigh};
use crate::world::{AppError, World};

/// The word that ends a list.
const DONE: &str = "done";
/// The word for something that matches no expected line.
const EXTRA: &str = "extra";
/// The most lines of a ticket.
const MOST_LINES: usize = 200;

/// Asks for lines, deductions, total and payment.
pub(super) fn ticket(
    world: &World,
    valuation: &Valuation,
    expected: &Tally,
    number: Option<String>,
    who: &mut dyn Interview,
) -> Result<Ticket, AppError> {
    let mut desk = Desk { world, valuation, expected, who };
    let mut lines: Vec<TicketLine> = Vec::new();
    while lines.len() < MOST_LINES {
        match desk.line(lines.len() + 1, &lines)? {
            Some(line) => lines.push(line),
            None => break,
        }
    }
    let deductions = desk.deductions()?;
    let zero = Money::zero(valuation.yard.currency());
    let mut ticket = Ticket { date: valuation.date, number, lines, deductions, total: zero, paid: zero };
    let sum = ticket.sum().map_err(|error| AppError::Refused(error.to_string()))?;
    ticket.total = desk.money("total", "The total on the ticket", Some(sum))?;
    desk.confirm_total(&ticket, sum)?;
    ticket.paid = desk.money("paid", "What was paid out", Some(valuation.yard.in_cash(ticket.total)))?;
    Ok(ticket)
}

struct Desk<'a> {
    world: &'a World,
    valuation: &'a Valuation,
    expected: &'a Tally,
    who: &'a mut dyn Interview,
}

/// The meaning of a name on a ticket.
struct Named {
    name: String,
    grade: Option<String>,
}

impl Desk<'_> {
    fn prompt(&self, key: String, text: String, default: Option<String>) -> Prompt {
        Prompt { key, text, default, words: Vec::new() }
    }

    /// One line; `None` after the last.
    fn line(&mut self, number: usize, former: &[TicketLine]) -> Result<Option<TicketLine>, AppError> {
        let place = |part: &str| format!("line-{number}/{part}");
        let words = self.names();
        let prompt = Prompt {
            key: place("name"),
            text: format!("Line {number}: what does the ticket call it? {DONE} behind the last line"),
            default: Some(DONE.to_owned()),
            words: words.clone(),
        };
        let typed = ask(self.who, &prompt, |text| Ok(text.to_owned()))?;
        if typed.eq_ignore_ascii_case(DONE) {
            return Ok(None);
        }
        let named = self.grade_of(number, typed)?;
        let pays_for = self.pays_for(number, &named, former)?;
        let line = self.expected.lines.iter().find(|line| Some(key(line)) == pays_for).cloned();
        let (mass, pieces) = self.quantity(number, line.as_ref())?;
        let price = self.price(number, &named, line.as_ref(), mass)?;
        let mut entered = TicketLine {
            name: named.name,
            grade: named.grade,
            pays_for,
            mass,
            pieces,
            price,
            amount: Money::zero(price.currency()),
        };
        let product = Ticket::product(&entered).map_err(|error| AppError::Refused(error.to_string()))?;
        entered.amount = self.money(&place("amount"), "The amount of the line", Some(product))?;
        self.confirm_amount(number, &mut entered, product)?;
        Ok(Some(entered))
    }

    /// The yard's own names and the catalogue's ids.
    fn names(&self) -> Vec<(String, String)> {
        let offers = self.valuation.yard.offers().map(|offer| (offer.name().to_owned(), offer.grade().to_owned()));
        let mut words: Vec<_> = offers.collect();
        words.push((DONE.to_owned(), "no more lines".to_owned()));
        words
    }

    /// The grade behind a name: the yard's local name, an id, or what the user says it is.
    fn grade_of(&mut self, number: usize, typed: String) -> Result<Named, AppError> {
        let tree = self.world.host().catalogue().grades();
        let local = |text: &str| {
            let mut offers = self.valuation.yard.offers();
            let offer = offers.find(|offer| offer.name().eq_ignore_ascii_case(text) || offer.grade() == text);
            offer.map(|offer| offer.grade().to_owned()).or_else(|| tree.get(text).map(|grade| grade.id.clone()))
        };
        if let Some(grade) = local(&typed) {
            return Ok(Named { name: typed, grade: Some(grade) });
        }
        let known: Vec<(String, String)> = self.names();
        let near = suggest(&typed.to_lowercase(), known.iter().map(|(name, _)| name.as_str()));
        let found: Vec<&str> = tree.search(&typed).iter().take(4).map(|grade| grade.id.as_str()).collect();
        let found =
            if found.is_empty() { String::new() } else { format!(" Grades with such words: {}.", found.join(", ")) };
        let prompt = Prompt {
            key: format!("line-{number}/grade"),
            text: format!("No price there is called \"{typed}\"; {near}{found} Which grade is it? or {EXTRA}"),
            default: None,
            words: known,
        };
        let grade = ask(self.who, &prompt, |text| match local(text) {
            Some(grade) => Ok(Some(grade)),
            None if text == EXTRA => Ok(None),
            None => Err(format!("there is no grade or price `{text}`; write a grade, or {EXTRA}")),
        })?;
        Ok(Named { name: typed, grade })
    }

    /// The expected line that a ticket line pays for: the one of the same grade, unless it is already paid and
    /// something else is still open. Then, or if nothing fits, the user decides.
    fn pays_for(&mut self, number: usize, named: &Named, former: &[TicketLine]) -> Result<Option<String>, AppError> {
        let lines: Vec<(String, String)> =
            self.expected.lines.iter().map(|line| (key(line), line.priced.name.clone())).collect();
        let is_paid = |key: &String| former.iter().any(|line| line.pays_for.as_ref() == Some(key));
        let same = lines.iter().map(|(key, _)| key).find(|key| Some(*key) == named.grade.as_ref());
        let open: Vec<&(String, String)> = lines.iter().filter(|(key, _)| !is_paid(key)).collect();
        if let Some(same) = same.filter(|same| !is_paid(same) || open.is_empty()) {
            return Ok(Some(same.clone()));
        }
        if open.is_empty() {
            return Ok(None);
        }
        let list = open.iter().map(|(key, name)| format!("{key} ({name})")).collect::<Vec<_>>().join(", ");
        let text = match same {
            Some(same) => {
                format!("The ticket pays {same} already. What is this line for? {same} again, {list}; or {EXTRA}")
            }
            None => format!("You took no {} there. What was it? {list}; or {EXTRA}", named.name),
        };
        let prompt = Prompt { key: format!("line-{number}/for"), text, default: same.cloned(), words: lines.clone() };
        ask(self.who, &prompt, |text| {
            if text == EXTRA {
                return Ok(None);
            }
            let found = lines.iter().find(|(key, name)| key == text || name.eq_ignore_ascii_case(text));
            found.map(|(key, _)| Some(key.clone())).ok_or_else(|| {
                format!(
                    "`{text}` is not among what you took; {}",
                    suggest(text, lines.iter().map(|(key, _)| key.as_str()))
                )
            })
        })
    }

    /// Weight or pieces. Gross minus tare is accepted, as at the bench.
    fn quantity(&mut self, number: usize, line: Option<&Line>) -> Result<(Option<Mass>, u32), AppError> {
        let (yard, notation) = (&self.valuation.yard, self.valuation.notation);
        let by_piece = line.is_some_and(|line| line.priced.price.basis() == Basis::Piece);
        let default = line.map(|line| match (by_piece, line.net) {
            (true, _) => counted(line.pieces, "piece"),
            (false, net) => net.unwrap_or_default().show(yard.unit(), 4, notation),
        });
        let text = format!("The net weight on the ticket, in {}; or such as 3 pieces", yard.unit());
        let prompt = self.prompt(format!("line-{number}/weight"), text, default);
        let rules = WeighingRules { notation, unit: yard.unit(), tare: &|_| None };
        ask(self.who, &prompt, |text| {
            let lower = text.to_lowercase();
            let count = ["pieces", "piece", "pcs", "each"].iter().find_map(|word| lower.strip_suffix(word));
            match count {
                Some(count) => read_count(count).map(|pieces| (None, pieces)).map_err(|error| error.to_string()),
                None => weigh(text, &rules).map(|read| (Some(read.net), 0)).map_err(|error| error.to_string()),
            }
        })
    }

    fn price(
        &mut self,
        number: usize,
        named: &Named,
        line: Option<&Line>,
        mass: Option<Mass>,
    ) -> Result<Price, AppError> {
        let (yard, notation) = (&self.valuation.yard, self.valuation.notation);
        let book = self.valuation.book(self.world);
        let weight = mass.or_else(|| line.and_then(|line| line.net));
        let listed = |grade: &str| {
            let listing = book.listing(grade).map_err(|_| Unsold::NoPrice).ok()?;
            listing.price_at(weight).map(|(price, _)| price)
        };
        let expected = named.grade.as_deref().and_then(listed);
        let expected = expected.filter(|price| mass.is_some() != (price.basis() == Basis::Piece));
        let basis = match mass {
            None => Basis::Piece,
            Some(_) => expected.map_or(Basis::Weight(yard.unit()), Price::basis),
        };
        let text = format!("The price on the ticket, in {} {}", yard.currency(), per(basis));
        let prompt = self.prompt(format!("line-{number}/price"), text, expected.map(|price| price.show(notation)));
        ask(self.who, &prompt, |text| {
            let price = Price::read(text, yard.currency(), basis, notation).map_err(|error| error.to_string())?;
            match (price.basis(), mass) {
                (Basis::Piece, Some(_)) => Err("the line has a weight; write a price per weight".to_owned()),
                (Basis::Weight(_), None) => Err("the line has no weight; write a price for each piece".to_owned()),
                _ => Ok(price),
            }
        })
    }

    fn money(&mut self, key: &str, text: &str, default: Option<Money>) -> Result<Money, AppError> {
        let (currency, notation) = (self.valuation.yard.currency(), self.valuation.notation);
        let prompt =
            self.prompt(key.to_owned(), format!("{text}, in {currency}"), default.map(|money| money.digits(notation)));
        ask(self.who, &prompt, |text| {
            let money = Money::read(text, currency, notation).map_err(|error| error.to_string())?;
            if money.rounded() == money {
                return Ok(money);
            }
            Err(format!("{} has more digits than {currency} has coins", money.show(notation)))
        })
    }

    /// Asks about an amount that is not weight times price, unless rounding explains it.
    fn confirm_amount(&mut self, number: usize, line: &mut TicketLine, product: Money) -> Result<(), AppError> {
        let notation = self.valuation.notation;
        let off = line.amount.amount() - product.amount();
        if off.abs() <= product.currency().minor_unit() {
            return Ok(());
        }
        let quantity = match line.mass {
            Some(mass) => mass.show(self.valuation.yard.unit(), 3, notation),
            None => counted(line.pieces, "piece"),
        };
        let (shown, amount) = (product.show(notation), line.amount.show(notation));
        let question = format!(
            "{quantity} at {} come to {shown}; you wrote {amount}. Does the ticket say so?",
            line.price.show(notation)
        );
        if !ask_yes(self.who, &format!("line-{number}/amount-stands"), question, None)? {
            line.amount =
                self.money(&format!("line-{number}/amount-again"), "The amount of the line", Some(product))?;
        }
        Ok(())
    }

    fn confirm_total(&mut self, ticket: &Ticket, sum: Money) -> Result<(), AppError> {
        if ticket.total == sum {
            return Ok(());
        }
        let notation = self.valuation.notation;
        let (sum, total) = (sum.show(notation), ticket.total.show(notation));
        let question = format!("Lines less deductions come to {sum}; you wrote {total}. Does the ticket say so?");
        if ask_yes(self.who, "total-stands", question, None)? {
            return Ok(());
        }
        Err(AppError::Answer("the total does not stand; enter the ticket again. Nothing was booked".to_owned()))
    }

    fn deductions(&mut self) -> Result<Vec<(String, Money)>, AppError> {
        let fees = self.expected.costs.iter().filter(|cost| cost.counted && cost.kind == CostKind::VisitFee);
        let fees: Vec<(String, Money)> = fees.map(|cost| (cost.name.clone(), cost.amount)).collect();
        let mut found = Vec::new();
        while found.len() < MOST_LINES {
            let number = found.len() + 1;
            let usual = fees.get(found.len());
            let prompt = Prompt {
                key: format!("deduction-{number}/name"),
                text: format!("Something taken off? Its name; {DONE} when there is no more"),
                default: Some(usual.map_or(DONE, |(name, _)| name.as_str()).to_owned()),
                words: fees.iter().map(|(name, _)| (name.clone(), "expected".to_owned())).collect(),
            };
            let name = ask(self.who, &prompt, |text| Ok(text.to_owned()))?;
            if name.eq_ignore_ascii_case(DONE) {
                break;
            }
            let usual = fees.iter().find(|(known, _)| *known == name).map(|(_, amount)| *amount);
            let amount =
                self.money(&format!("deduction-{number}/amount"), &format!("{name}: how much is taken off"), usual)?;
            if amount.amount() < Decimal::ZERO {
                return Err(AppError::Answer(format!("{name}: a deduction is written without a sign")));
            }
            found.push((name, amount));
        }
        Ok(found)
    }
}

fn per(basis: Basis) -> String {
    match basis {
        Basis::Weight(unit) => format!("for one {unit}"),
        Basis::Piece => "for a piece".to_owned(),
    }
}
