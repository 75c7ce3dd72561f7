//! A tool's result: a named value with its unit.

use rust_decimal::Decimal;

use crate::quantity::{Mass, MassUnit, Money, Notation, Price};

/// A result.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// Its key in JSON and in examples.
    pub key: String,
    /// What it is.
    pub label: String,
    /// Its value.
    pub amount: Amount,
}

/// A result's value. A number is shown exactly as the script gave it: a script that rounds says so in its own text.
#[derive(Debug, Clone, PartialEq)]
pub enum Amount {
    /// A weight.
    Weight(Mass),
    /// A number with its unit, which may be empty.
    Number(Decimal, String),
    /// An amount of money, rounded to the minor unit.
    Money(Money),
    /// A price.
    Price(Price),
    /// Words.
    Text(String),
}

impl Amount {
    /// The value and its unit for JSON and examples: decimals with a point, weights in grams.
    #[must_use]
    pub fn parts(&self) -> (String, String) {
        match self {
            Amount::Weight(mass) => (mass.grams().normalize().to_string(), "g".to_owned()),
            Amount::Number(number, unit) => (number.to_string(), unit.clone()),
            Amount::Money(money) => (money.digits(Notation::Point), money.currency().code().to_owned()),
            Amount::Price(price) => (price.amount().to_string(), format!("{}{}", price.currency().code(), price.per())),
            Amount::Text(text) => (text.clone(), String::new()),
        }
    }

    /// Value and unit together, as in an example: `61.1 %`.
    #[must_use]
    pub fn exact(&self) -> String {
        let (value, unit) = self.parts();
        format!("{value} {unit}").trim_end().to_owned()
    }

    /// The result as shown to the user.
    #[must_use]
    pub fn show(&self, notation: Notation, unit: MassUnit) -> String {
        match self {
            Amount::Weight(mass) => mass.show_friendly(unit, notation),
            Amount::Number(number, unit) => format!("{} {unit}", notation.show(*number)).trim_end().to_owned(),
            Amount::Money(money) => money.show(notation),
            Amount::Price(price) => shown(*price, notation),
            Amount::Text(text) => text.clone(),
        }
    }
}

/// A price with its currency, as shown to the user: `3.40 CAD/lb`.
pub(super) fn shown(price: Price, notation: Notation) -> String {
    let money = Money::new(price.amount(), price.currency());
    money.map_or_else(|_| price.to_string(), |money| format!("{}{}", money.show(notation), price.per()))
}
