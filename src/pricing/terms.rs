//! What a trip costs, and exchange rates: both as entered by the user.

use jiff::civil::Date;
use rust_decimal::Decimal;

use crate::quantity::{Currency, Mass, MassUnit, Money, Notation};
use crate::world::{AppError, World};

/// One mile in kilometres, exactly (NIST SP 811, App. B).
const MILE: Decimal = Decimal::from_parts(1_609_344, 0, 0, false, 6);

/// The user's trip costs and exchange rates, read for one home currency.
pub struct TripTerms<'w> {
    world: &'w World,
    /// The currency in which everything is compared.
    pub home: Currency,
    /// The number format.
    pub notation: Notation,
}

impl<'w> TripTerms<'w> {
    /// Terms in a home currency.
    pub fn new(world: &'w World, home: Currency, notation: Notation) -> TripTerms<'w> {
        TripTerms { world, home, notation }
    }

    /// The cost of one trip to a yard: from `asked` (`12.50`, or `YARD=12.50` for one yard), else from the settings;
    /// `None` if neither gives one.
    ///
    /// # Errors
    /// A text that is not a cost.
    pub fn trip_cost(&self, yard: &str, asked: &[&str]) -> Result<Option<Money>, AppError> {
        let of_yard = asked.iter().rev().find_map(|text| text.split_once('=').filter(|(id, _)| *id == yard));
        let of_all = || asked.iter().rev().find(|text| !text.contains('=')).copied();
        let set = || self.world.config.trips.get(yard).map(String::as_str);
        let text = of_yard.map(|(_, text)| text).or_else(of_all).or_else(set);
        text.map(|text| self.cost(text)).transpose()
    }

    /// Reads a cost: an amount, or a distance and a time at the rates in the settings, as `24 km 35 min`.
    fn cost(&self, text: &str) -> Result<Money, AppError> {
        if let Ok(money) = Money::read(text, self.home, self.notation) {
            return self.whole(text, money.amount());
        }
        let spaced: String = text.replace([',', '+'], " ");
        let words: Vec<&str> = spaced.split_whitespace().collect();
        let mut sum = Decimal::ZERO;
        for pair in words.chunks(2) {
            let [number, unit] = pair else { return Err(self.no_cost(text)) };
            let number = self.notation.read(number).map_err(|_| self.no_cost(text))?;
            let (factor, price) = match *unit {
                "km" => (Decimal::ONE, self.rate("cost_per_km", self.world.config.cost_per_km.as_deref())?),
                "mi" => (MILE, self.rate("cost_per_km", self.world.config.cost_per_km.as_deref())?),
                "min" => (Decimal::ONE / Decimal::from(60), self.floor()?),
                "h" => (Decimal::ONE, self.floor()?),
                _ => return Err(self.no_cost(text)),
            };
            let part =
                number.checked_mul(factor).and_then(|n| n.checked_mul(price)).ok_or_else(|| self.no_cost(text))?;
            sum = sum.checked_add(part).ok_or_else(|| self.no_cost(text))?;
        }
        self.whole(text, sum)
    }

    fn floor(&self) -> Result<Decimal, AppError> {
        self.rate("floor_per_hour", self.world.config.floor_per_hour.as_deref())
    }

    /// A setting that is an amount of money.
    fn rate(&self, key: &str, value: Option<&str>) -> Result<Decimal, AppError> {
        let value = value.ok_or_else(|| {
            AppError::Refused(format!("a trip by distance or time needs the setting `{key}`: settings {key} 0.60"))
        })?;
        Notation::Point
            .read(value)
            .map_err(|error| AppError::Refused(format!("the setting `{key}` in config.toml: {error}")))
    }

    fn whole(&self, text: &str, amount: Decimal) -> Result<Money, AppError> {
        let money = Money::new(amount, self.home).map_err(|_| self.no_cost(text))?.rounded();
        if money.amount() < Decimal::ZERO { Err(self.no_cost(text)) } else { Ok(money) }
    }

    fn no_cost(&self, text: &str) -> AppError {
        AppError::Answer(format!("{text:?} is no cost of a trip; write an amount such as 12.50, or 24 km 35 min"))
    }

    /// The exchange rate from `from` to the home currency, and its date; 1 for the home currency itself. `None` if the
    /// settings have no rate.
    ///
    /// # Errors
    /// A setting that is not a rate.
    pub fn exchange(&self, from: Currency) -> Result<Option<(Decimal, Option<Date>)>, AppError> {
        if from == self.home {
            return Ok(Some((Decimal::ONE, None)));
        }
        let rates = &self.world.config.rates;
        if let Some(text) = rates.get(&format!("{from}-{}", self.home)) {
            return read_rate(&format!("{from}-{}", self.home), text).map(Some);
        }
        let Some(text) = rates.get(&format!("{}-{from}", self.home)) else { return Ok(None) };
        let (rate, day) = read_rate(&format!("{}-{from}", self.home), text)?;
        Ok(Decimal::ONE.checked_div(rate).map(|rate| (rate, day)))
    }
}

/// Reads `1.37 on 2026-11-02`.
fn read_rate(key: &str, text: &str) -> Result<(Decimal, Option<Date>), AppError> {
    let wrong =
        || AppError::Refused(format!("the setting `rates.{key}` is {text:?}; write such as: 1.37 on 2026-11-02"));
    let (rate, day) = text.split_once(" on ").ok_or_else(wrong)?;
    let rate = Notation::Point.read(rate).ok().filter(|rate| *rate > Decimal::ZERO).ok_or_else(wrong)?;
    Ok((rate, Some(day.trim().parse().map_err(|_| wrong())?)))
}

/// A mass in nanograms, the mass unit of a load problem: every mass unit in use is a whole number of them.
pub(crate) fn nanograms(mass: Mass) -> Option<i64> {
    let exact = mass.grams().checked_mul(Decimal::from(1_000_000_000))?.round();
    i64::try_from(exact).ok()
}

/// One of a mass unit in nanograms.
pub(crate) fn unit_nanograms(unit: MassUnit) -> Option<i64> {
    Mass::of(Decimal::ONE, unit).ok().and_then(nanograms)
}
