//! Plans a load: states stock and yards as one problem, and turns its solution back into piles and tickets.

use jiff::civil::Date;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use super::stock::{Stock, haul_of};
use crate::market::load::{LoadAssignment, LoadLine, LoadPile, LoadProblem, Outlet, PriceStep, Rate, Solved};
use crate::market::{Tally, Unsold};
use crate::pricing::{TripTerms, Valuation, nanograms, unit_nanograms};
use crate::quantity::{Basis, Mass, Money, Price};
use crate::stock::{Pile, Pooling, piles};
use crate::world::{AppError, World};

/// The user's wishes.
#[derive(Debug, Clone, Default)]
pub struct LoadOrder<'a> {
    /// The yards within reach.
    pub yards: Vec<String>,
    /// What one trip carries.
    pub payload: Option<Mass>,
    /// Costs of a trip, as typed.
    pub trip_costs: Vec<&'a str>,
    /// Reserve prices by grade, below which piles are kept, as typed: `copper-2=3.50`.
    pub holds: Vec<&'a str>,
    /// The most trips.
    pub max_trips: Option<i64>,
    /// The pricing date.
    pub date: Option<Date>,
    /// How long to search.
    pub seconds: u64,
}

/// What goes to one yard.
pub struct Delivery<'s> {
    /// The yard, the day, the number format.
    pub valuation: Valuation,
    /// The number of trips.
    pub trips: i64,
    /// What one trip costs, in the home currency.
    pub trip_cost: Money,
    /// The piles.
    pub piles: Vec<Pile<'s>>,
    /// The expected ticket.
    pub expected: Tally,
}

/// What stays, and why.
pub struct Kept<'s> {
    /// The pile.
    pub pile: Pile<'s>,
    /// Why.
    pub why: String,
}

/// A plan.
pub struct LoadPlan<'s> {
    /// What goes where.
    pub deliveries: Vec<Delivery<'s>>,
    /// What stays.
    pub kept: Vec<Kept<'s>>,
    /// The value of the sales minus the trips, in the home currency, before cash rounding; a kept pile counts at its
    /// hold value.
    pub value: Money,
    /// How much more another plan could bring at most; zero if this one is proven optimal.
    pub gap: Money,
    /// Why this plan, and what would change it, one point each.
    pub remarks: Vec<String>,
    /// What could not be taken into account.
    pub warnings: Vec<String>,
}

/// The yards and piles behind a problem's numbers.
pub(super) struct Scene<'w, 's> {
    pub world: &'w World,
    pub terms: TripTerms<'w>,
    pub valuations: Vec<Valuation>,
    pub trip_costs: Vec<Money>,
    pub piles: Vec<Pile<'s>>,
    pub warnings: Vec<String>,
}

impl<'w, 's> Scene<'w, 's> {
    pub fn new(world: &'w World, stock: &'s Stock, order: &LoadOrder<'_>) -> Result<Scene<'w, 's>, AppError> {
        let mut valuations = Vec::new();
        for yard in &order.yards {
            valuations.push(Valuation::new(world, yard, order.date)?);
        }
        let first = valuations.first().ok_or_else(|| AppError::Refused("no yard is named to drive to".into()))?;
        let terms = TripTerms::new(world, first.yard.currency(), first.notation);
        let mut warnings = Vec::new();
        let mut reached = Vec::new();
        let mut trip_costs = Vec::new();
        for valuation in valuations {
            let (id, currency) = (valuation.yard.id().to_owned(), valuation.yard.currency());
            if terms.exchange(currency)?.is_none() {
                let home = terms.home;
                warnings.push(format!("{id} is left out: it pays in {currency}, and no rate is set; write: settings rates.{currency}-{home} '1.37 on 2026-11-02'"));
                continue;
            }
            let cost = terms.trip_cost(&id, &order.trip_costs)?;
            if cost.is_none() {
                warnings.push(format!("no cost is known of a trip to {id}; it counts as nothing. Set it: settings trips.{id} 12.50, or --trip-cost"));
            }
            trip_costs.push(cost.unwrap_or(Money::zero(terms.home)));
            reached.push(valuation);
        }
        let piles = piles(stock.ledger.lots(), Pooling::Bin);
        Ok(Scene { world, terms, valuations: reached, trip_costs, piles, warnings })
    }

    /// The problem in whole numbers: nanograms and minor units of the home currency.
    pub fn problem(&self, order: &LoadOrder<'_>) -> Result<LoadProblem, AppError> {
        let heavy = || AppError::Refused("the stock is too heavy to be planned at once".into());
        let mut piles = Vec::new();
        for pile in &self.piles {
            let mass = nanograms(pile.mass().unwrap_or_default()).ok_or_else(heavy)?;
            // Goods without a recorded weight still take up space.
            let pieces = if pile.mixed_in.is_some() { 1 } else { i64::from(pile.pieces()) };
            piles.push(LoadPile { lots: 1, mass: mass.max(1), pieces, hold: self.hold(pile, order)? });
        }
        let outlets = (0..self.valuations.len()).map(|at| self.outlet(at)).collect::<Result<_, _>>()?;
        let payload = order.payload.map(|payload| nanograms(payload).ok_or_else(heavy)).transpose()?;
        LoadProblem::new(piles, outlets, payload, order.max_trips).map_err(|error| AppError::Refused(error.to_string()))
    }

    /// The value of keeping a pile, from the reserve price for its grade or a wider class.
    fn hold(&self, pile: &Pile<'_>, order: &LoadOrder<'_>) -> Result<i64, AppError> {
        let unit = self.valuations.first().map(|valuation| valuation.yard.unit());
        let basis = Basis::Weight(unit.unwrap_or(crate::quantity::MassUnit::Kilogram));
        let tree = self.world.host().catalogue().grades();
        for text in &order.holds {
            let (grade, price) = text.split_once('=').unwrap_or((text, ""));
            self.world.known_grade(grade)?;
            let price = Price::read(price, self.terms.home, basis, self.terms.notation).map_err(|error| {
                AppError::Answer(format!("{text:?} is no grade and price: {error}; write copper-2=3.50"))
            })?;
            if pile.mixed_in.is_none() && tree.lineage(pile.grade).any(|known| known.id == grade) {
                let worth = price.of(pile.mass().unwrap_or_default(), pile.pieces());
                return worth.map_err(|error| AppError::Refused(error.to_string())).map(|money| self.minor(money));
            }
        }
        Ok(0)
    }

    /// Money of the home currency in its minor units.
    fn minor(&self, money: Money) -> i64 {
        (money.rounded().amount() / self.terms.home.minor_unit()).to_i64().unwrap_or(i64::MAX)
    }

    /// Minor units of the home currency as money.
    pub fn money(&self, minor: i64) -> Money {
        Money::new(Decimal::from(minor) * self.terms.home.minor_unit(), self.terms.home)
            .unwrap_or(Money::zero(self.terms.home))
    }

    fn outlet(&self, at: usize) -> Result<Outlet, AppError> {
        let valuation = &self.valuations[at];
        let rate = self.rate(at)?;
        let mut lines: Vec<LoadLine> = Vec::new();
        let mut places: Vec<(&str, usize)> = Vec::new();
        let mut line_of = Vec::new();
        let book = valuation.book(self.world);
        for pile in &self.piles {
            if pile.mixed_in.is_some() {
                let line = self.mixed_line(valuation, pile, rate);
                line_of.push(line.map(|line| {
                    lines.push(line);
                    lines.len() - 1
                }));
                continue;
            }
            let Ok(listing) = book.listing(pile.grade) else {
                line_of.push(None);
                continue;
            };
            let steps = listing.steps();
            let by_piece = steps.first().is_some_and(|(_, price)| price.basis() == Basis::Piece);
            let counted = if by_piece { pile.pieces() > 0 } else { pile.mass().is_some() };
            if !counted {
                line_of.push(None);
                continue;
            }
            let known = places.iter().find(|(name, _)| *name == listing.priced_as()).map(|(_, place)| *place);
            line_of.push(Some(known.map_or_else(
                || {
                    let steps = steps.iter().map(|(from, price)| step(*from, *price, rate)).collect::<Option<_>>();
                    let division = valuation.yard.division().and_then(nanograms).unwrap_or(0);
                    lines.push(LoadLine {
                        steps: steps.ok_or_else(|| out_of_bounds(listing.name()))?,
                        by_piece,
                        division,
                    });
                    places.push((listing.priced_as(), lines.len() - 1));
                    Ok::<usize, AppError>(lines.len() - 1)
                },
                Ok,
            )?));
        }
        let fees = valuation.yard.visit_fees().iter().map(|fee| fee.amount.amount()).sum::<Decimal>();
        let fees = Money::new(fees * rate, self.terms.home).map_err(|error| AppError::Refused(error.to_string()))?;
        let least = valuation.yard.least_load().and_then(nanograms).unwrap_or(0);
        Ok(Outlet { trip_cost: self.minor(self.trip_costs[at]) + self.minor(fees), least, lines, line_of })
    }

    /// The exchange rate from a yard's currency to home.
    fn rate(&self, at: usize) -> Result<Decimal, AppError> {
        Ok(self.terms.exchange(self.valuations[at].yard.currency())?.map_or(Decimal::ONE, |(rate, _)| rate))
    }

    /// A mixed container stands alone: its line is worth what the yard's rule gives, whatever else goes along.
    fn mixed_line(&self, valuation: &Valuation, pile: &Pile<'_>, rate: Decimal) -> Option<LoadLine> {
        let tally = valuation.tally(self.world, &haul_of(pile.lots.iter().copied())).ok()?;
        let amount = Money::new(tally.lines.first()?.amount.amount().checked_mul(rate)?, self.terms.home).ok()?;
        let rate = Rate { num: self.minor(amount), den: 1 };
        Some(LoadLine { steps: vec![PriceStep { from: 0, rate }], by_piece: true, division: 0 })
    }

    /// The plan in piles and tickets.
    pub fn finish(mut self, solved: &Solved, remarks: Vec<String>) -> Result<LoadPlan<'s>, AppError> {
        let (value, gap) = (self.money(solved.plan.value), self.money(solved.gap()));
        let mut deliveries = Vec::new();
        let kept = self.kept(&solved.plan);
        let valuations = std::mem::take(&mut self.valuations);
        for (at, valuation) in valuations.into_iter().enumerate().filter(|(at, _)| solved.plan.trips[*at] > 0) {
            let piles = self.piles.iter().zip(&solved.plan.lots).filter(|(_, row)| row[at] > 0);
            let piles: Vec<Pile<'s>> = piles.map(|(pile, _)| pile.clone()).collect();
            let lots = piles.iter().flat_map(|pile| pile.lots.iter().copied());
            let expected = valuation.tally(self.world, &haul_of(lots))?;
            let (trips, trip_cost) = (solved.plan.trips[at], self.trip_costs[at]);
            deliveries.push(Delivery { valuation, trips, trip_cost, piles, expected });
        }
        Ok(LoadPlan { deliveries, kept, value, gap, remarks, warnings: self.warnings })
    }

    fn kept(&self, plan: &LoadAssignment) -> Vec<Kept<'s>> {
        let kept = self.piles.iter().zip(&plan.lots).filter(|(_, row)| row.last().is_some_and(|kept| *kept > 0));
        kept.map(|(pile, _)| Kept { pile: pile.clone(), why: self.why_kept(pile) }).collect()
    }

    /// Why a pile stays: the yards' own reasons, else that no trip is worth it.
    fn why_kept(&self, pile: &Pile<'_>) -> String {
        let mut reasons = Vec::new();
        for valuation in &self.valuations {
            let book = valuation.book(self.world);
            let priced = if pile.mixed_in.is_some() { Ok(None) } else { book.price(pile.grade, pile.mass()).map(Some) };
            let unsold = match priced {
                Err(reason) => Some(reason),
                Ok(Some(priced)) if priced.price.basis() == Basis::Piece && pile.pieces() == 0 => {
                    Some(Unsold::NotCounted)
                }
                Ok(Some(priced)) if priced.price.amount() < Decimal::ZERO => {
                    Some(Unsold::Refused(format!("it pays {} for it", priced.price.show(valuation.notation))))
                }
                Ok(_) => None,
            };
            let words =
                unsold.map(|reason| format!("{}: {}", valuation.yard.name(), reason.words(self.terms.notation)));
            reasons.extend(words);
        }
        if reasons.len() < self.valuations.len() || reasons.is_empty() {
            return "it does not pay to take it now".to_owned();
        }
        reasons.join("; ")
    }
}

fn out_of_bounds(line: &str) -> AppError {
    AppError::Refused(format!("the price of {line} has more digits than can be planned with"))
}

/// A price tier as minor units of the home currency per nanogram or piece.
fn step(from: Mass, price: Price, rate: Decimal) -> Option<PriceStep> {
    let minor = price.currency().minor_unit();
    let amount = (price.amount() / minor).checked_mul(rate)?.round_dp(6).normalize();
    let unit = match price.basis() {
        Basis::Weight(unit) => unit_nanograms(unit)?,
        Basis::Piece => 1,
    };
    let num = i64::try_from(amount.mantissa()).ok()?;
    let den = 10_i64.checked_pow(amount.scale())?;
    let common = gcd(num.unsigned_abs(), unit.unsigned_abs()).max(1) as i64;
    let den = (unit / common).checked_mul(den)?;
    Some(PriceStep { from: nanograms(from)?, rate: Rate { num: num / common, den } })
}

fn gcd(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { gcd(b, a % b) }
}
