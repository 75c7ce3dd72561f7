//! The problem, checked.

use thiserror::Error;

/// The most yards in one problem: the search considers every subset.
pub const MAX_YARDS: usize = 16;
/// The most piles.
const MAX_PILES: usize = 500;
/// Limit on every value, mass and product, so that sums stay exact.
const LARGEST: i128 = 1 << 60;

/// Money for goods, as a fraction: `num` of money per `den` of mass (or per `den` pieces).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rate {
    /// Money.
    pub num: i64,
    /// The quantity it buys; above zero.
    pub den: i64,
}

impl Rate {
    /// The value of `quantity`, rounded once, half away from zero.
    pub fn of(self, quantity: i64) -> i64 {
        let (product, den) = (i128::from(self.num) * i128::from(quantity), i128::from(self.den));
        let rounded = (product.abs() * 2 + den) / (2 * den);
        // Bounded by the check of the problem.
        (rounded * product.signum()) as i64
    }

    /// The value of `quantity`, rounded up.
    pub(super) fn at_most(self, quantity: i64) -> i64 {
        let (product, den) = (i128::from(self.num) * i128::from(quantity), i128::from(self.den));
        (product.div_euclid(den) + i128::from(product.rem_euclid(den) > 0)) as i64
    }
}

/// From this quantity on, all of it is paid at this rate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PriceStep {
    /// The least mass.
    pub from: i64,
    /// The rate of all of the lot.
    pub rate: Rate,
}

/// One line of a yard's price list. Everything under it is weighed and paid together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LoadLine {
    /// All-units steps, lightest first. Less than the first is refused.
    pub steps: Vec<PriceStep>,
    /// Whether it is priced by the piece.
    pub by_piece: bool,
    /// The division of the yard's scale; 0 for an exact scale.
    pub division: i64,
}

impl LoadLine {
    /// The value of a lot; `None` if it is too light to be accepted. An empty lot is worth zero.
    pub fn pays(&self, mass: i64, pieces: i64) -> Option<i64> {
        if mass == 0 && pieces == 0 {
            return Some(0);
        }
        let shown = self.shown(mass);
        let step = self.steps.iter().rev().find(|step| step.from <= shown)?;
        Some(step.rate.of(if self.by_piece { pieces } else { shown }))
    }

    /// The reading of the yard's scale, rounded half away from zero.
    fn shown(&self, mass: i64) -> i64 {
        if self.division == 0 { mass } else { (mass + self.division / 2) / self.division * self.division }
    }

    /// No lot of this mass, as part of at most `most`, brings more than this plus [`LoadLine::slack`] once per line.
    pub(super) fn at_most(&self, mass: i64, pieces: i64, most: i64) -> Option<i64> {
        let reach = self.shown(most);
        let open = self.steps.iter().filter(|step| step.from <= reach);
        open.map(|step| step.rate.at_most(if self.by_piece { pieces } else { mass })).max()
    }

    /// The most that rounding to the scale and to the unit of money can add to a line.
    pub(super) fn slack(&self) -> i64 {
        let exact = self.steps.iter().all(|step| step.rate.den == 1);
        let scale = |step: &PriceStep| Rate { num: step.rate.num.abs(), den: step.rate.den }.at_most(self.division);
        let weighed = if self.by_piece { 0 } else { self.steps.iter().map(scale).max().unwrap_or(0) };
        weighed + i64::from(!exact)
    }
}

/// A pile of equal, indivisible lots.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LoadPile {
    /// How many lots.
    pub lots: i64,
    /// The mass of one.
    pub mass: i64,
    /// The pieces in one.
    pub pieces: i64,
    /// What keeping one is worth.
    pub hold: i64,
}

/// A yard as a destination.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Outlet {
    /// What one trip costs.
    pub trip_cost: i64,
    /// The minimum load it takes; 0 for none.
    pub least: i64,
    /// Its lines.
    pub lines: Vec<LoadLine>,
    /// The line for each pile; `None` if it is not bought.
    pub line_of: Vec<Option<usize>>,
}

/// A problem in which every reference exists and no sum overflows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LoadProblem {
    pub(super) piles: Vec<LoadPile>,
    pub(super) outlets: Vec<Outlet>,
    pub(super) payload: i64,
    pub(super) max_trips: Option<i64>,
}

/// Why a problem is rejected.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum LoadFault {
    /// A number out of range.
    #[error("{place}: {what} is {value}; {wanted}")]
    Number {
        /// Where.
        place: String,
        /// What it is.
        what: &'static str,
        /// The value seen.
        value: i64,
        /// What it must be.
        wanted: &'static str,
    },
    /// Price steps that do not ascend.
    #[error("{place}: the price from {from} stands behind that from {former}; list them in ascending order, each once")]
    StepOrder {
        /// Where.
        place: String,
        /// The step that is out of order.
        from: i64,
        /// The one before it.
        former: i64,
    },
    /// A price list entry without any price.
    #[error("{place}: has no price; leave the grade out, or write [[0, PRICE]]")]
    NoSteps {
        /// Where.
        place: String,
    },
    /// A pile missing from a yard's list, or with a line that does not exist.
    #[error("{place}: does not say for each of the {piles} piles which of its {lines} lines it falls under")]
    Lines {
        /// Where.
        place: String,
        /// How many piles there are.
        piles: usize,
        /// How many lines the yard has.
        lines: usize,
    },
    /// Too many of something.
    #[error("{count} {what}; at most {most} are solved at once")]
    TooMany {
        /// Of what.
        what: &'static str,
        /// How many there are.
        count: usize,
        /// How many there may be.
        most: usize,
    },
    /// Products that do not fit.
    #[error("masses, prices and costs together are too large to add up exactly; check the units (kilograms, cents)")]
    TooLarge,
}

impl LoadProblem {
    /// Checks a problem. `payload` is the most one trip carries, `max_trips` the most trips to all yards together.
    ///
    /// # Errors
    /// The first fault found, with its place and the offending value.
    pub fn new(
        piles: Vec<LoadPile>,
        outlets: Vec<Outlet>,
        payload: Option<i64>,
        max_trips: Option<i64>,
    ) -> Result<LoadProblem, LoadFault> {
        let few = |what, count, most| if count > most { Err(LoadFault::TooMany { what, count, most }) } else { Ok(()) };
        few("yards", outlets.len(), MAX_YARDS)?;
        few("piles", piles.len(), MAX_PILES)?;
        let whole = "the problem".to_owned();
        least(&whole, "the payload", payload.unwrap_or(1), 1, "write a weight above 0")?;
        least(&whole, "the limit of trips", max_trips.unwrap_or(0), 0, "write 0 or more, or null for no limit")?;
        for (at, pile) in piles.iter().enumerate() {
            let place = format!("pile {at}");
            least(&place, "its number of lots", pile.lots, 0, "write 0 or more")?;
            least(&place, "the mass of a lot", pile.mass, 1, "write 1 or more")?;
            least(&place, "its number of pieces", pile.pieces, 0, "write 0 or more")?;
        }
        outlets.iter().enumerate().try_for_each(|(at, outlet)| check_outlet(at, outlet, piles.len()))?;
        // Without a payload limit everything fits on one trip.
        let problem = LoadProblem { piles, outlets, payload: payload.unwrap_or(i64::MAX), max_trips };
        if problem.magnitude().is_some_and(|size| size <= LARGEST) { Ok(problem) } else { Err(LoadFault::TooLarge) }
    }

    /// A bound on the value of any plan; `None` if even that overflows.
    fn magnitude(&self) -> Option<i128> {
        let total = |of: fn(&LoadPile) -> i64| {
            self.piles.iter().try_fold(0_i128, |sum, pile| {
                sum.checked_add(i128::from(pile.lots).checked_mul(i128::from(of(pile).unsigned_abs()))?)
            })
        };
        let (mass, pieces, hold) = (total(|p| p.mass)?, total(|p| p.pieces)?, total(|p| p.hold)?);
        let lots: i128 = self.piles.iter().map(|pile| i128::from(pile.lots)).sum();
        let mut goods = 0;
        for line in self.outlets.iter().flat_map(|outlet| &outlet.lines) {
            // Rounding to the scale can add half a division.
            let quantity = if line.by_piece { pieces } else { mass.checked_add(i128::from(line.division))? };
            for rate in line.steps.iter().map(|step| step.rate) {
                let product = i128::from(rate.num.unsigned_abs()).checked_mul(quantity)?;
                goods = goods.max(product / i128::from(rate.den) + 1);
            }
        }
        let trips = mass / i128::from(self.payload) + lots + 1;
        let driving = self.outlets.iter().map(|outlet| i128::from(outlet.trip_cost)).max().unwrap_or(0);
        let size = goods.checked_add(hold)?.checked_add(driving.checked_mul(trips)?)?;
        if mass > LARGEST || lots > 1 << 20 { None } else { Some(size) }
    }

    /// The yards.
    pub fn outlets(&self) -> &[Outlet] {
        &self.outlets
    }

    /// The same problem with other yards.
    ///
    /// # Errors
    /// As [`LoadProblem::new`].
    pub fn with_outlets(&self, outlets: Vec<Outlet>) -> Result<LoadProblem, LoadFault> {
        LoadProblem::new(self.piles.clone(), outlets, Some(self.payload), self.max_trips)
    }

    /// The same problem with another trip limit.
    #[must_use]
    pub fn with_max_trips(mut self, max_trips: Option<i64>) -> LoadProblem {
        self.max_trips = max_trips.map(|most| most.max(0));
        self
    }

    /// What keeping everything is worth.
    pub fn hold_all(&self) -> i64 {
        self.piles.iter().map(|pile| pile.lots * pile.hold).sum()
    }

    /// How many trips a load takes.
    pub(super) fn trips(&self, load: i64) -> i64 {
        load / self.payload + i64::from(load % self.payload > 0)
    }
}

fn check_outlet(at: usize, outlet: &Outlet, piles: usize) -> Result<(), LoadFault> {
    let place = format!("yard {at}");
    least(&place, "the cost of a trip", outlet.trip_cost, 0, "write 0 or more")?;
    least(&place, "its least delivery", outlet.least, 0, "write 0 or more")?;
    let known = |line: &Option<usize>| line.is_none_or(|line| line < outlet.lines.len());
    if outlet.line_of.len() != piles || !outlet.line_of.iter().all(known) {
        return Err(LoadFault::Lines { place, piles, lines: outlet.lines.len() });
    }
    outlet.lines.iter().enumerate().try_for_each(|(number, line)| check_line(&format!("{place}, line {number}"), line))
}

/// Checks the steps of one line.
pub(super) fn check_line(place: &str, line: &LoadLine) -> Result<(), LoadFault> {
    if line.steps.is_empty() {
        return Err(LoadFault::NoSteps { place: place.to_owned() });
    }
    least(place, "its scale division", line.division, 0, "write 0 or more")?;
    let mut former = None;
    for step in &line.steps {
        least(place, "a least weight", step.from, 0, "write 0 or more")?;
        least(place, "the unit of a price", step.rate.den, 1, "write 1 or more")?;
        if let Some(former) = former.filter(|former| *former >= step.from) {
            return Err(LoadFault::StepOrder { place: place.to_owned(), from: step.from, former });
        }
        former = Some(step.from);
    }
    Ok(())
}

fn least(place: &str, what: &'static str, value: i64, least: i64, wanted: &'static str) -> Result<(), LoadFault> {
    if value < least { Err(LoadFault::Number { place: place.to_owned(), what, value, wanted }) } else { Ok(()) }
}
