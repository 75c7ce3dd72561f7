//! The sums under the lines.

use rust_decimal::{Decimal, RoundingStrategy};

use super::{Cost, CostKind, Line, TallyError, TallyItem, lots};
use crate::market::haul::{Haul, WeightSource};
use crate::market::{Book, Unsold};
use crate::quantity::{Mass, Minutes, Money, QuantityError};

/// What the unit would have brought whole, at the same yard by the same book: minus the yard's visit fees, rounded to
/// its cash step. So gain compares like with like.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Whole {
    /// The ticket line of the unit untouched; `None` if it is unsold.
    pub line: Option<Line>,
    /// The yard's visit fees on it.
    pub visit_fees: Money,
    /// What cash rounding adds or takes off.
    pub rounding: Money,
    /// What would remain, or why it cannot be sold whole here.
    pub value: Result<Money, Unsold>,
}

/// Metal that brings money, as a share of what came in.
///
/// Counts freed fractions (not remainders: an untouched unit has recovered nothing) of a grade the catalogue calls
/// metal, on a line with a positive value at this yard; by their own weights, over the intake weight.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Recovery {
    /// Their weight.
    pub metal: Mass,
    /// Their share of the intake in per cent, to one tenth, rounded half away from zero.
    pub percent: Decimal,
}

/// The sums of a tally.
pub(super) struct Totals {
    pub(super) costs: Vec<Cost>,
    pub(super) rounding: Money,
    pub(super) paid: Money,
    pub(super) net: Money,
    pub(super) whole: Whole,
    pub(super) gain: Option<Money>,
    pub(super) per_hour: Option<Money>,
}

/// Adds everything up, exactly; only cash rounding and the hourly figure round.
pub(super) fn add_up(haul: &Haul, book: &Book<'_>, lines: &[Line]) -> Result<Totals, TallyError> {
    let costs = costs(haul, book, !lines.is_empty());
    let bounds = |what| TallyError::in_step(what);
    let payment = payment(book, lines, &costs).map_err(bounds("what the yard pays"))?;
    let other = taken_off(book, &costs, |kind| kind != CostKind::VisitFee);
    let net = other.and_then(|other| payment.paid.minus(other)).map_err(bounds("the net"))?;
    let whole = whole(haul, book)?;
    let gain = whole.value.as_ref().ok().map(|value| net.minus(*value)).transpose().map_err(bounds("the gain"))?;
    let per_hour = gain.and_then(|gain| per_hour(gain, haul.minutes)).transpose().map_err(bounds("gain per hour"))?;
    Ok(Totals { costs, rounding: payment.rounding, paid: payment.paid, net, whole, gain, per_hour })
}

/// The costs. A visit fee applies only if something is sold.
fn costs(haul: &Haul, book: &Book<'_>, sells: bool) -> Vec<Cost> {
    let home = book.yard().currency();
    let cost = |kind, name: &str, amount: Money| {
        let counted = amount.currency() == home;
        Cost { kind, name: name.to_owned(), amount: amount.rounded(), counted }
    };
    let fees = book.yard().visit_fees().iter().filter(|_| sells);
    let fees = fees.map(|fee| cost(CostKind::VisitFee, &fee.name, fee.amount));
    let used = haul.consumables.iter().map(|used| cost(CostKind::Consumable, &used.name, used.cost));
    fees.chain(used).collect()
}

fn taken_off(book: &Book<'_>, costs: &[Cost], which: impl Fn(CostKind) -> bool) -> Result<Money, QuantityError> {
    let mut counted = costs.iter().filter(|cost| cost.counted && which(cost.kind));
    counted.try_fold(Money::zero(book.yard().currency()), |sum, cost| sum.plus(cost.amount))
}

/// What the yard hands over.
struct Payment {
    fees: Money,
    rounding: Money,
    paid: Money,
}

/// Lines minus visit fees, rounded once to the cash step.
fn payment<'l>(
    book: &Book<'_>,
    lines: impl IntoIterator<Item = &'l Line>,
    costs: &[Cost],
) -> Result<Payment, QuantityError> {
    let zero = Money::zero(book.yard().currency());
    let sold = lines.into_iter().try_fold(zero, |sum, line| sum.plus(line.amount))?;
    let fees = taken_off(book, costs, |kind| kind == CostKind::VisitFee)?;
    let due = sold.minus(fees)?;
    let paid = book.yard().in_cash(due);
    Ok(Payment { fees, rounding: paid.minus(due)?, paid })
}

fn whole(haul: &Haul, book: &Book<'_>) -> Result<Whole, TallyError> {
    let bounds = |what| TallyError::in_step(what);
    let zero = Money::zero(book.yard().currency());
    let line = match whole_line(haul, book) {
        Ok(line) => line,
        Err(why) => {
            return Ok(Whole { line: None, visit_fees: zero, rounding: zero, value: Err(why) });
        }
    };
    let costs = costs(haul, book, true);
    let payment = payment(book, [&line], &costs).map_err(bounds("the value of the unit whole"))?;
    Ok(Whole { line: Some(line), visit_fees: payment.fees, rounding: payment.rounding, value: Ok(payment.paid) })
}

/// The unit untouched, as a lot of one piece.
fn whole_line(haul: &Haul, book: &Book<'_>) -> Result<Line, Unsold> {
    let grade = haul.whole_grade.as_ref().ok_or(Unsold::NoGrade)?;
    if haul.intake.is_some_and(Mass::is_negative) {
        return Err(Unsold::BelowZero);
    }
    let item = TallyItem {
        part: haul.unit_name.clone(),
        grade: grade.clone(),
        mass: haul.intake,
        pieces: 1,
        how: if haul.intake.is_some() { WeightSource::Weighed } else { WeightSource::Unknown },
        remainder: false,
        regraded_from: None,
    };
    lots::price_lot(book, &[item], haul.intake, None, |net| book.price(grade, net))
}

/// Gain ÷ minutes × 60, rounded to the minor unit; `None` if the time is zero.
fn per_hour(gain: Money, minutes: Minutes) -> Option<Result<Money, QuantityError>> {
    let hourly = gain.amount().checked_mul(Decimal::from(60))?.checked_div(minutes.get())?;
    Some(Money::new(hourly, gain.currency()).map(Money::rounded))
}

/// See [`Recovery`]. `None` without an intake weight, or if the catalogue does not say whether a sold grade is metal.
pub(super) fn recovery(haul: &Haul, book: &Book<'_>, lines: &[Line]) -> Result<Option<Recovery>, TallyError> {
    let Some(intake) = haul.intake.filter(|intake| *intake > Mass::ZERO) else {
        return Ok(None);
    };
    let paying = lines.iter().filter(|line| line.amount.amount() > Decimal::ZERO);
    let mut metal = Mass::ZERO;
    for item in paying.flat_map(|line| &line.items).filter(|item| !item.remainder) {
        match book.tree().is_metal(&item.grade) {
            None => return Ok(None),
            Some(false) => {}
            Some(true) => {
                let mass = item.mass.unwrap_or(Mass::ZERO);
                metal = metal.plus(mass).map_err(TallyError::in_step("the recovered weight"))?;
            }
        }
    }
    let percent = (metal.grams() * Decimal::ONE_HUNDRED).checked_div(intake.grams());
    Ok(percent.map(|percent| Recovery {
        metal,
        percent: percent.round_dp_with_strategy(1, RoundingStrategy::MidpointAwayFromZero),
    }))
}
