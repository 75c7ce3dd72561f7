//! The difference between what was paid and what was expected, cause by cause, to the cent.
//!
//! For each expected line the amount is walked from expected to paid, changing one thing at a time: weight, then the
//! tier that the weight reaches, then the grade, then the price, then the amount as written. Each change is a cause,
//! with what it adds. Since each walk starts where the previous one ended, the causes always add up exactly.

use rust_decimal::Decimal;

use super::{Ticket, TicketLine};
use crate::market::tally::{CostKind, Line};
use crate::market::tolerance::tolerance;
use crate::market::{Book, Tally};
use crate::quantity::{Basis, Mass, Money, Price, QuantityError};

/// Why money differs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Cause {
    /// The scales differ, within their tolerances.
    Tolerance,
    /// The weight reached another tier than expected.
    Tier,
    /// It was paid as another grade.
    Grade,
    /// The price is not the expected one.
    Price,
    /// Rounding, of a line or to coins.
    Rounding,
    /// Deductions are not the expected ones.
    Fees,
    /// The weights differ by more than both scales' tolerances.
    Weight,
    /// The amount is not weight times price.
    Arithmetic,
    /// The total is not the sum of the lines.
    Sum,
    /// The amount paid is not the total.
    Payment,
    /// Something taken there is not on the ticket.
    Missing,
    /// Something unexpected is on the ticket.
    Extra,
}

impl Cause {
    /// All causes, in reporting order.
    pub const ALL: [Cause; 12] = [
        Cause::Tolerance,
        Cause::Tier,
        Cause::Grade,
        Cause::Price,
        Cause::Rounding,
        Cause::Fees,
        Cause::Weight,
        Cause::Arithmetic,
        Cause::Sum,
        Cause::Payment,
        Cause::Missing,
        Cause::Extra,
    ];

    /// Whether it explains a difference; the others are to be taken up with the yard.
    pub fn explains(self) -> bool {
        matches!(self, Cause::Tolerance | Cause::Tier | Cause::Grade | Cause::Price | Cause::Rounding | Cause::Fees)
    }

    /// The cause in words.
    pub fn words(self) -> &'static str {
        match self {
            Cause::Tolerance => "scales, within tolerance",
            Cause::Tier => "weight reaches another price step",
            Cause::Grade => "paid as another grade",
            Cause::Price => "price changed",
            Cause::Rounding => "rounding",
            Cause::Fees => "deductions",
            Cause::Weight => "weight beyond tolerance",
            Cause::Arithmetic => "amount is not weight times price",
            Cause::Sum => "total is not the sum",
            Cause::Payment => "paid is not the total",
            Cause::Missing => "missing on the ticket",
            Cause::Extra => "not expected",
        }
    }

    /// A stable code for files.
    pub fn code(self) -> &'static str {
        match self {
            Cause::Tolerance => "tolerance",
            Cause::Tier => "tier",
            Cause::Grade => "grade",
            Cause::Price => "price",
            Cause::Rounding => "rounding",
            Cause::Fees => "fees",
            Cause::Weight => "weight",
            Cause::Arithmetic => "arithmetic",
            Cause::Sum => "sum",
            Cause::Payment => "payment",
            Cause::Missing => "missing",
            Cause::Extra => "extra",
        }
    }
}

/// One difference.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TicketFinding {
    /// Why.
    pub cause: Cause,
    /// The line concerned; empty for the whole ticket.
    pub line: String,
    /// Its effect on the expected amount.
    pub amount: Money,
    /// The figures behind it.
    pub detail: String,
}

/// A ticket explained.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reconciliation {
    /// The expected payment.
    pub expected: Money,
    /// The actual payment.
    pub paid: Money,
    /// What makes up the difference; the amounts add up to it exactly.
    pub findings: Vec<TicketFinding>,
}

impl Reconciliation {
    /// The total of one cause.
    pub fn sum(&self, cause: Cause) -> Money {
        self.sum_of(|finding| finding.cause == cause)
    }

    /// What no cause explains.
    pub fn remains(&self) -> Money {
        self.sum_of(|finding| !finding.cause.explains())
    }

    fn sum_of(&self, which: impl Fn(&TicketFinding) -> bool) -> Money {
        let mut amounts = self.findings.iter().filter(|finding| which(finding)).map(|finding| finding.amount);
        // Each was checked against the bounds when it was found.
        amounts.try_fold(Money::zero(self.paid.currency()), Money::plus).unwrap_or(Money::zero(self.paid.currency()))
    }
}

/// Explains a ticket. `book` is that of the ticket's yard and day, `expected` the tally of what was taken there, and
/// `own` the tolerance of the user's own scale for each of its lines, in order.
///
/// # Errors
/// A sum exceeds its limit.
pub fn reconcile(
    ticket: &Ticket,
    expected: &Tally,
    book: &Book<'_>,
    own: &[Mass],
) -> Result<Reconciliation, QuantityError> {
    let mut findings = Findings { book, found: Vec::new() };
    for (at, line) in expected.lines.iter().enumerate() {
        let paid: Vec<&TicketLine> =
            ticket.lines.iter().filter(|paid| paid.pays_for.as_deref() == Some(key(line).as_str())).collect();
        if paid.is_empty() {
            findings.add(Cause::Missing, &line.priced.name, line.amount.negated(), String::new());
        } else {
            findings.line(line, &paid, own.get(at).copied().unwrap_or_default())?;
        }
    }
    let known =
        |paid: &TicketLine| expected.lines.iter().any(|line| paid.pays_for.as_deref() == Some(key(line).as_str()));
    for paid in ticket.lines.iter().filter(|paid| !known(paid)) {
        findings.add(Cause::Extra, &paid.name, paid.amount, String::new());
    }
    findings.foot(ticket, expected)?;
    Ok(Reconciliation { expected: expected.paid, paid: ticket.paid, findings: findings.found })
}

/// The key of an expected line in [`TicketLine::pays_for`].
pub fn key(line: &Line) -> String {
    match &line.mix {
        Some(mix) => mix.name.clone(),
        None => line.priced.priced_as.clone(),
    }
}

struct Findings<'b, 'y> {
    book: &'b Book<'y>,
    found: Vec<TicketFinding>,
}

impl Findings<'_, '_> {
    fn add(&mut self, cause: Cause, line: &str, amount: Money, detail: String) {
        if !amount.amount().is_zero() {
            self.found.push(TicketFinding { cause, line: line.to_owned(), amount, detail });
        }
    }

    /// The walk of one expected line.
    fn line(&mut self, line: &Line, paid: &[&TicketLine], own: Mass) -> Result<(), QuantityError> {
        let weighed: Vec<Mass> = paid.iter().filter_map(|paid| paid.mass).collect();
        // If a ticket gives no weight or count, what was brought is assumed.
        let theirs = if weighed.is_empty() { line.net.unwrap_or_default() } else { Mass::sum(weighed)? };
        let counted = paid.iter().fold(0_u32, |sum, paid| sum.saturating_add(paid.pieces));
        let pieces = if counted == 0 { line.pieces } else { counted };
        let at_theirs = self.price(&line.priced.priced_as, theirs).filter(|_| line.mix.is_none());
        let name = &line.priced.name;
        let mut steps = vec![line.amount];
        steps.push(line.priced.price.of(theirs, pieces)?);
        steps.push(at_theirs.unwrap_or(line.priced.price).of(theirs, pieces)?);
        let (mut graded, mut priced, mut written) = (zero(line), zero(line), zero(line));
        for paid in paid {
            let (mass, pieces) = (paid.mass.unwrap_or(theirs), if paid.pieces == 0 { pieces } else { paid.pieces });
            graded = graded.plus(self.graded(line, paid, at_theirs).of(mass, pieces)?)?;
            priced = priced.plus(paid.price.of(mass, pieces)?)?;
            written = written.plus(paid.amount)?;
        }
        steps.extend([graded, priced, written]);
        self.weight(line, theirs, paid.len(), own, steps[1].minus(steps[0])?)?;
        self.add(Cause::Tier, name, steps[2].minus(steps[1])?, self.tier_words(at_theirs, line));
        self.add(Cause::Grade, name, steps[3].minus(steps[2])?, grade_words(paid));
        self.add(Cause::Price, name, steps[4].minus(steps[3])?, self.price_words(line, paid, at_theirs));
        let error = steps[5].minus(steps[4])?;
        let least = line.amount.currency().minor_unit() * Decimal::from(paid.len());
        let cause = if error.amount().abs() <= least { Cause::Rounding } else { Cause::Arithmetic };
        self.add(cause, name, error, String::new());
        Ok(())
    }

    /// Splits the effect of a different weight into what both scales' tolerances allow and the excess.
    fn weight(
        &mut self,
        line: &Line,
        theirs: Mass,
        weighings: usize,
        own: Mass,
        effect: Money,
    ) -> Result<(), QuantityError> {
        let name = &line.priced.name;
        let (Some(ours), Basis::Weight(_)) = (line.mass, line.priced.price.basis()) else {
            self.add(Cause::Weight, name, effect, "counted otherwise".to_owned());
            return Ok(());
        };
        let (unit, notation) = (self.book.yard().unit(), self.book.yard().notation());
        let division = self.book.yard().division().unwrap_or_default();
        let each = theirs.times(Decimal::ONE / Decimal::from(weighings.max(1) as u64)).unwrap_or(theirs);
        let yards = tolerance(each, division).times(Decimal::from(weighings as u64))?;
        let allowed = own.plus(yards)?;
        let apart = theirs.minus(ours)?;
        let show = |mass: Mass| mass.show(unit, 2, notation);
        let detail = format!(
            "yours {}, theirs {}; the scales allow {} ({} yours, {} theirs)",
            show(ours),
            show(theirs),
            show(allowed),
            show(own),
            show(yards)
        );
        if apart.grams().abs() <= allowed.grams() {
            self.add(Cause::Tolerance, name, effect, detail);
            return Ok(());
        }
        let share = allowed.grams().checked_div(apart.grams().abs()).unwrap_or_default();
        let within = Money::new(effect.amount() * share, effect.currency())?.rounded();
        self.add(Cause::Tolerance, name, within, detail.clone());
        self.add(Cause::Weight, name, effect.minus(within)?, detail);
        Ok(())
    }

    /// The book's price of a grade for a lot of this weight, ignoring the minimum lot.
    fn price(&self, grade: &str, mass: Mass) -> Option<Price> {
        self.book.listing(grade).ok()?.price_at(Some(mass)).map(|(price, _)| price)
    }

    /// The expected price of a lot in the grade it was paid as: its own, the book's for another grade, and if the book
    /// has none, the one that was paid.
    fn graded(&self, line: &Line, paid: &TicketLine, own: Option<Price>) -> Price {
        let own = own.unwrap_or(line.priced.price);
        match &paid.grade {
            None => own,
            Some(grade) if *grade == line.priced.priced_as => own,
            Some(_) if line.mix.is_some() => own,
            Some(grade) => self.price(grade, paid.mass.or(line.net).unwrap_or_default()).unwrap_or(paid.price),
        }
    }

    fn tier_words(&self, at_theirs: Option<Price>, line: &Line) -> String {
        let notation = self.book.yard().notation();
        let now = at_theirs.unwrap_or(line.priced.price);
        format!("{} instead of {}", now.show(notation), line.priced.price.show(notation))
    }

    fn price_words(&self, line: &Line, paid: &[&TicketLine], at_theirs: Option<Price>) -> String {
        let notation = self.book.yard().notation();
        let changes = paid.iter().map(|paid| {
            let expected = self.graded(line, paid, at_theirs);
            format!("{} instead of {}", paid.price.show(notation), expected.show(notation))
        });
        changes.collect::<Vec<_>>().join("; ")
    }

    /// Deductions, total and payment.
    fn foot(&mut self, ticket: &Ticket, expected: &Tally) -> Result<(), QuantityError> {
        let zero = Money::zero(ticket.paid.currency());
        let fees = expected.costs.iter().filter(|cost| cost.counted && cost.kind == CostKind::VisitFee);
        let fees = fees.map(|cost| cost.amount).try_fold(zero, Money::plus)?;
        let deducted = ticket.deductions.iter().try_fold(zero, |sum, (_, amount)| sum.plus(*amount))?;
        let names: Vec<&str> = ticket.deductions.iter().map(|(name, _)| name.as_str()).collect();
        self.add(Cause::Fees, "", fees.minus(deducted)?, names.join(", "));
        let sum = ticket.sum()?;
        let notation = self.book.yard().notation();
        let detail =
            format!("the lines come to {}, the ticket says {}", sum.show(notation), ticket.total.show(notation));
        self.add(Cause::Sum, "", ticket.total.minus(sum)?, detail);
        let due = self.book.yard().in_cash(ticket.total);
        self.add(Cause::Rounding, "", due.minus(ticket.total)?.minus(expected.rounding)?, "cash".to_owned());
        let detail = format!("{} was due, {} was paid", due.show(notation), ticket.paid.show(notation));
        self.add(Cause::Payment, "", ticket.paid.minus(due)?, detail);
        Ok(())
    }
}

fn zero(line: &Line) -> Money {
    Money::zero(line.amount.currency())
}

fn grade_words(paid: &[&TicketLine]) -> String {
    let names: Vec<String> = paid.iter().map(|paid| format!("paid as {}", paid.name)).collect();
    names.join("; ")
}
