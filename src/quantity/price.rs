//! A price: money per weight, or per piece.

use std::fmt;
use std::str::FromStr;

use rust_decimal::Decimal;

use super::limits::QuantityError;
use super::mass::Mass;
use super::mass_unit::MassUnit;
use super::money::{Currency, Money};
use super::notation::Notation;
use super::quoted::quoted;
use super::text::ReadError;

/// What a price is per.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Basis {
    /// One unit of weight.
    Weight(MassUnit),
    /// One piece, whatever it weighs.
    Piece,
}

/// An exact price in the unit in which it was quoted. Never converted to another unit, since that would round.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Price {
    money: Money,
    basis: Basis,
}

impl Price {
    /// A price of `amount` per `basis`. A negative one is a fee.
    ///
    /// # Errors
    /// [`QuantityError::TooLarge`] past 10¹² major units.
    pub fn new(amount: Decimal, currency: Currency, basis: Basis) -> Result<Price, QuantityError> {
        Ok(Price { money: Money::new(amount, currency)?, basis })
    }

    /// Reads a price: an amount as in [`Money::read`], then its basis: `3.55`, `3.55/lb`, `3.55 per lb`, `4 each`, `185
    /// CAD/t`. The default basis is `basis`.
    ///
    /// # Errors
    /// [`ReadError`] for the amount or the unit.
    pub fn read(text: &str, currency: Currency, basis: Basis, notation: Notation) -> Result<Price, ReadError> {
        let (amount, per) = split_basis(text);
        let money = Money::read(amount, currency, notation)?;
        Ok(Price { money, basis: per.map_or(Ok(basis), Basis::of_name)? })
    }

    /// An exact share of it: 0.9 of a price is a price on the same basis.
    ///
    /// # Errors
    /// [`QuantityError::TooLarge`] past 10¹² major units.
    pub fn share(self, share: Decimal) -> Result<Price, QuantityError> {
        let amount = self.amount().checked_mul(share);
        Price::new(amount.unwrap_or(Decimal::MAX).normalize(), self.currency(), self.basis)
    }

    /// The amount per one of the basis.
    pub fn amount(self) -> Decimal {
        self.money.amount()
    }

    /// The currency.
    pub fn currency(self) -> Currency {
        self.money.currency()
    }

    /// The basis of the quote.
    pub fn basis(self) -> Basis {
        self.basis
    }

    /// The value of a lot of `mass` in `pieces`, rounded once to the minor unit, half away from zero.
    ///
    /// The division by the unit comes last (price × mass ÷ unit), so a weight typed in the price's own unit gives an
    /// exact product. A true half-cent tie is then recognised as one, and nothing else is: another quotient differs
    /// from a tie by at least one part in the unit's grams at the product's last decimal, far above the 28th digit.
    ///
    /// # Errors
    /// [`QuantityError::TooLarge`] past 10¹² major units.
    pub fn of(self, mass: Mass, pieces: u32) -> Result<Money, QuantityError> {
        let too_large = || QuantityError::TooLarge {
            what: "an amount",
            value: format!("{mass} at {self}"),
            limit: "1000000000000".into(),
        };
        let amount = match self.basis {
            Basis::Weight(unit) => self
                .amount()
                .checked_mul(mass.grams())
                .and_then(|p| p.checked_div(unit.grams()))
                .ok_or_else(too_large)?,
            Basis::Piece => self.amount().checked_mul(Decimal::from(pieces)).ok_or_else(too_large)?,
        };
        Ok(Money::new(amount, self.currency())?.rounded())
    }

    /// The price without its currency, for a column of one currency: `3.40/lb`, `0.90 each`. [`Price::read`] reads it
    /// back. The `Display` form has the currency: `3.40 CAD/lb`, `0.90 CAD each`.
    pub fn show(self, notation: Notation) -> String {
        format!("{}{}", self.money.digits(notation), self.per())
    }

    /// The suffix of the amount: `/lb`, ` each`.
    pub fn per(self) -> String {
        match self.basis {
            Basis::Weight(unit) => format!("/{unit}"),
            Basis::Piece => " each".into(),
        }
    }
}

impl Basis {
    /// The basis with this name: a unit of weight, `each` or `piece`.
    fn of_name(name: &str) -> Result<Basis, ReadError> {
        match name.trim().to_lowercase().as_str() {
            "each" | "piece" => Ok(Basis::Piece),
            unit => Ok(Basis::Weight(unit.parse()?)),
        }
    }
}

/// The amount in a price, and the name of its basis.
fn split_basis(text: &str) -> (&str, Option<&str>) {
    let lower = text.trim_end().to_ascii_lowercase();
    if let Some(amount) = lower.strip_suffix("each").filter(|amount| !amount.trim_end().ends_with('/')) {
        return (&text[..amount.len()], Some("each"));
    }
    let slash = lower.find('/').map(|at| (at, at + 1));
    match slash.or_else(|| lower.find(" per ").map(|at| (at, at + 5))) {
        Some((end, start)) => (&text[..end], Some(&text[start..])),
        None => (text, None),
    }
}

impl FromStr for Price {
    type Err = ReadError;

    /// Reads the `Display` form: `3.40 CAD/lb`, `0.90 CAD each`.
    fn from_str(text: &str) -> Result<Self, ReadError> {
        let (amount, Some(per)) = split_basis(text) else {
            return Err(ReadError::Missing { seen: quoted(text), missing: "unit", example: "9.70 AUD/kg" });
        };
        Ok(Price { money: amount.parse()?, basis: Basis::of_name(per)? })
    }
}

impl fmt::Display for Price {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.money, self.per())
    }
}

super::serde_text::serde_as_text!(Price);

#[cfg(test)]
mod tests {
    use super::*;

    fn price(text: &str) -> Price {
        text.parse().unwrap()
    }

    fn brings(at: &str, mass: &str, pieces: u32) -> String {
        price(at).of(mass.parse().unwrap(), pieces).unwrap().to_string()
    }

    #[test]
    fn what_a_lot_brings() {
        assert_eq!(brings("3.40 CAD/lb", "8.1 lb", 1), "27.54 CAD");
        assert_eq!(brings("0.90 CAD each", "3 kg", 7), "6.30 CAD");
        assert_eq!(brings("-5.00 CAD each", "12 kg", 1), "-5.00 CAD");
        assert_eq!(brings("185 EUR/t", "12.4 kg", 1), "2.29 EUR");
        assert_eq!(brings("410 JPY/kg", "1.25 kg", 1), "513 JPY");
        assert_eq!(brings("1.250 KWD/kg", "0.3 kg", 1), "0.375 KWD");
    }

    #[test]
    fn a_half_cent_of_a_weight_typed_in_pounds_is_a_tie() {
        // 2.5 lb × 3.55 = 8.875; 0.1 lb × 0.25 = 0.025; 8 lb 2 oz × 0.36 = 8.125 lb × 0.36 = 2.925.
        assert_eq!(brings("3.55 CAD/lb", "2.5 lb", 1), "8.88 CAD");
        assert_eq!(brings("0.25 CAD/lb", "0.1 lb", 1), "0.03 CAD");
        assert_eq!(brings("0.36 CAD/lb", "130 oz", 1), "2.93 CAD");
        assert_eq!(brings("-3.55 CAD/lb", "2.5 lb", 1), "-8.88 CAD");
        // One part in 10¹² below the tie.
        assert_eq!(brings("3.55 CAD/lb", "2.4999999999 lb", 1), "8.87 CAD");
    }

    #[test]
    fn prices_as_people_write_them() {
        let cad = Currency::from_code("CAD").unwrap();
        let lb = Basis::Weight(MassUnit::Pound);
        for (text, want) in [
            ("3.55", "3.55 CAD/lb"),
            ("3.55/lb", "3.55 CAD/lb"),
            ("3,55/lb", "3.55 CAD/lb"),
            ("$3.55 / lb", "3.55 CAD/lb"),
            ("3.55 per lb", "3.55 CAD/lb"),
            ("3.55 CAD Per Pound", "3.55 CAD/lb"),
            ("185/t", "185.00 CAD/t"),
            ("185/short ton", "185.00 CAD/short ton"),
            ("4 each", "4.00 CAD each"),
            ("4 CAD EACH", "4.00 CAD each"),
            ("4 per piece", "4.00 CAD each"),
            ("-5 each", "-5.00 CAD each"),
            ("0.0125/g", "0.0125 CAD/g"),
        ] {
            let read = Price::read(text, cad, lb, Notation::Point).unwrap();
            assert_eq!(read.to_string(), want, "{text}");
        }
        assert_eq!(Price::read("4", cad, Basis::Piece, Notation::Point).unwrap().to_string(), "4.00 CAD each");
        for (text, message) in [
            ("3.55 EUR/lb", "`EUR` is not CAD, which applies here; leave it out or write CAD"),
            (
                "185/ton",
                "`ton` can mean a tonne (1000 kg), a short ton (2000 lb) or a long ton (2240 lb); write t, short ton or long ton",
            ),
            ("3.55/lbd", "`lbd` is not a unit of mass; did you mean `lb`?"),
            ("/lb", "a number is missing"),
            ("each", "a number is missing"),
            ("1,234/t", "`1,234` can be read as 1234 or as 1.234; write the one you mean"),
        ] {
            assert_eq!(Price::read(text, cad, lb, Notation::Point).unwrap_err().to_string(), message, "{text}");
        }
        assert_eq!(
            "3.55 CAD".parse::<Price>().unwrap_err().to_string(),
            "`3.55 CAD` has no unit; write for example 9.70 AUD/kg"
        );
    }

    #[test]
    fn a_price_is_shown_with_and_without_its_currency() {
        assert_eq!(price("3.4 CAD/lb").show(Notation::Point), "3.40/lb");
        assert_eq!(price("3.4 EUR/kg").show(Notation::Comma), "3,40/kg");
        assert_eq!(price("0.9 CAD each").show(Notation::Point), "0.90 each");
        assert_eq!(price("0.9 CAD each").to_string(), "0.90 CAD each");
        assert_eq!(price("410 JPY/kg").to_string(), "410 JPY/kg");
    }

    #[test]
    fn too_much_money_is_refused() {
        let mass: Mass = "1000000 t".parse().unwrap();
        assert!(matches!(price("2 CAD/g").of(mass, 1), Err(QuantityError::TooLarge { .. })));
        assert!(matches!(price("1000000000000 CAD/g").of(mass, 1), Err(QuantityError::TooLarge { .. })));
        assert!(matches!(price("1000000000000 CAD each").of(mass, u32::MAX), Err(QuantityError::TooLarge { .. })));
    }
}
