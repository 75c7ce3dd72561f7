//! Money: an exact amount in one currency, rounded where a line is paid.

use std::fmt;
use std::str::FromStr;

use iso_currency::Currency as Iso;
use rust_decimal::Decimal;

use super::exact;
use super::limits::{MAX_AMOUNT, QuantityError, within};
use super::notation::{Notation, NumberError};
use super::quoted::quoted;
use super::text::ReadError;

/// A currency of ISO 4217, with the number of digits of its minor unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Currency(Iso);

impl Currency {
    /// The currency of a three-letter code in capitals, if people pay with it: ISO 4217 also has codes for metals,
    /// tests, units of account and funds, which are rejected. A superseded currency (HRK) is accepted, so that old
    /// sessions can still be read.
    pub fn from_code(code: &str) -> Option<Currency> {
        Iso::from_code(code).filter(|iso| iso.exponent().is_some() && !iso.is_special() && !iso.is_fund()).map(Currency)
    }

    /// The three-letter code.
    pub fn code(self) -> &'static str {
        self.0.code()
    }

    /// Decimals by ISO 4217: 2 for most, 0 for the yen, 3 for some dinars.
    pub fn minor_digits(self) -> u32 {
        // A currency without an exponent is never constructed.
        self.0.exponent().map_or(0, u32::from)
    }

    /// The smallest amount that a bank transfer can pay, e.g. 0.01.
    pub fn minor_unit(self) -> Decimal {
        Decimal::new(1, self.minor_digits())
    }

    /// Whether `name` is this currency's code, in any case, or its sign (`$` is the sign of several dollars).
    fn is_called(self, name: &str) -> bool {
        name.eq_ignore_ascii_case(self.code()) || name == self.0.symbol().symbol
    }
}

impl FromStr for Currency {
    type Err = ReadError;

    /// Reads a three-letter code in any case.
    fn from_str(text: &str) -> Result<Self, ReadError> {
        Currency::from_code(&text.trim().to_uppercase()).ok_or_else(|| ReadError::UnknownCurrency(quoted(text.trim())))
    }
}

impl fmt::Display for Currency {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.code())
    }
}

/// An exact amount of money. May carry more digits than the minor unit until [`Money::rounded`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Money {
    amount: Decimal,
    currency: Currency,
}

impl Money {
    /// An amount in major units of `currency`.
    ///
    /// # Errors
    /// [`QuantityError::TooLarge`] if the magnitude exceeds 10¹² major units.
    pub fn new(amount: Decimal, currency: Currency) -> Result<Money, QuantityError> {
        Ok(Money { amount: within("an amount", amount, MAX_AMOUNT, currency.code(), "")?, currency })
    }

    /// Reads an amount with an optional sign; the code or sign of `currency` may stand before or after it.
    ///
    /// # Errors
    /// [`ReadError`]: not a number, another currency, or past the limit.
    pub fn read(text: &str, currency: Currency, notation: Notation) -> Result<Money, ReadError> {
        let (number, name) = split_currency(text)?;
        match name {
            Some(name) if !currency.is_called(name) => {
                Err(ReadError::OtherCurrency { seen: quoted(name), wanted: currency.code() })
            }
            _ => Ok(Money::new(notation.read_signed(number)?, currency)?),
        }
    }

    /// Zero, in `currency`.
    pub fn zero(currency: Currency) -> Money {
        Money { amount: Decimal::ZERO, currency }
    }

    /// The amount in major units.
    pub fn amount(self) -> Decimal {
        self.amount
    }

    /// The currency.
    pub fn currency(self) -> Currency {
        self.currency
    }

    /// The sum of two amounts of one currency.
    ///
    /// # Errors
    /// [`QuantityError::CurrencyMix`], [`QuantityError::TooLarge`], and [`QuantityError::TooFine`] if the sum is not
    /// exactly representable (only possible for amounts that were never rounded).
    pub fn plus(self, other: Money) -> Result<Money, QuantityError> {
        if self.currency != other.currency {
            return Err(QuantityError::CurrencyMix {
                left: self.currency.to_string(),
                right: other.currency.to_string(),
            });
        }
        Money::new(exact::sum("an amount", self.amount, other.amount)?, self.currency)
    }

    /// The difference of two amounts of one currency.
    ///
    /// # Errors
    /// As [`Money::plus`].
    pub fn minus(self, other: Money) -> Result<Money, QuantityError> {
        self.plus(other.negated())
    }

    /// The amount with the opposite sign.
    pub fn negated(self) -> Money {
        Money { amount: (-self.amount).normalize(), currency: self.currency }
    }

    /// Rounded to the minor unit, half away from zero, as a ticket line is paid.
    pub fn rounded(self) -> Money {
        self.rounded_to(self.currency.minor_unit())
    }

    /// Rounded to a multiple of `step`, half away from zero, as cash is paid if the smallest coin is larger than the
    /// minor unit. A step of zero or less changes nothing.
    pub fn rounded_to(self, step: Decimal) -> Money {
        Money { amount: exact::nearest_multiple(self.amount, step).unwrap_or(self.amount), currency: self.currency }
    }

    /// The digits alone, with at least the minor unit's decimals and all decimals of the amount.
    pub fn digits(self, notation: Notation) -> String {
        let mut amount = self.amount.normalize();
        if amount.scale() < self.currency.minor_digits() {
            amount.rescale(self.currency.minor_digits());
        }
        notation.show(amount)
    }

    /// Digits and code: `12.40 CAD`. [`Money::read`] reads it back.
    pub fn show(self, notation: Notation) -> String {
        format!("{} {}", self.digits(notation), self.currency)
    }
}

impl FromStr for Money {
    type Err = ReadError;

    /// Reads an amount with a decimal point and the code of its currency: `12.40 CAD`.
    fn from_str(text: &str) -> Result<Self, ReadError> {
        let (_, Some(code)) = split_currency(text)? else {
            return Err(ReadError::Missing { seen: quoted(text), missing: "currency", example: "12.40 AUD" });
        };
        Money::read(text, code.parse()?, Notation::Point)
    }
}

/// The number in an amount, and the name of a currency before or after it.
fn split_currency(text: &str) -> Result<(&str, Option<&str>), NumberError> {
    let text = text.trim();
    let not_a_number = || NumberError::NotANumber(quoted(text));
    let in_number = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '+' | '-' | '−');
    if text.is_empty() {
        return Err(NumberError::Missing);
    }
    let start = text.find(in_number).ok_or_else(not_a_number)?;
    let (before, rest) = text.split_at(start);
    let (number, after) = rest.split_at(rest.trim_end_matches(|c| !in_number(c)).len());
    match (before.trim(), after.trim()) {
        ("", "") => Ok((number, None)),
        (name, "") | ("", name) => Ok((number, Some(name))),
        _ => Err(not_a_number()),
    }
}

impl fmt::Display for Money {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.show(Notation::Point))
    }
}

super::serde_text::serde_as_text!(Currency, Money);

#[cfg(test)]
mod tests {
    use super::*;

    fn money(text: &str) -> Money {
        text.parse().unwrap()
    }

    #[test]
    fn currencies_that_people_pay_with() {
        for (code, digits) in [
            ("CAD", 2),
            ("EUR", 2),
            ("JPY", 0),
            ("XAF", 0),
            ("BHD", 3),
            ("KWD", 3),
            ("TND", 3),
            ("MGA", 2),
            ("MRU", 2),
            ("HRK", 2),
        ] {
            assert_eq!(Currency::from_code(code).map(Currency::minor_digits), Some(digits), "{code}");
        }
        // Gold, none, a test code, special drawing rights, an accounting dinar, two funds; a country; a name.
        for code in ["XAU", "XXX", "XTS", "XDR", "XAD", "CLF", "USN", "CA", "DOLLAR", "cad", ""] {
            assert_eq!(Currency::from_code(code), None, "{code}");
        }
        assert_eq!("cad".parse(), Ok(money("1 CAD").currency()));
        assert_eq!(
            "XAU".parse::<Currency>().unwrap_err().to_string(),
            "`XAU` is not the code of a currency in use; write for example AUD"
        );
    }

    #[test]
    fn an_amount_is_rounded_half_away_from_zero_to_its_minor_unit() {
        for (exact, rounded) in [
            ("8.875 CAD", "8.88 CAD"),
            ("-8.875 CAD", "-8.88 CAD"),
            ("8.8749999999999999999999 CAD", "8.87 CAD"),
            ("0.5 JPY", "1 JPY"),
            ("1234.4999 JPY", "1234 JPY"),
            ("1.0005 KWD", "1.001 KWD"),
            ("1.00049 BHD", "1.000 BHD"),
            ("2.0015 TND", "2.002 TND"),
        ] {
            assert_eq!(money(exact).rounded().to_string(), rounded, "{exact}");
        }
    }

    #[test]
    fn cash_is_rounded_to_a_coin() {
        let cash = |text: &str, coin: &str| money(text).rounded_to(coin.parse().unwrap()).to_string();
        assert_eq!(cash("2.02 CAD", "0.05"), "2.00 CAD");
        assert_eq!(cash("2.03 CAD", "0.05"), "2.05 CAD");
        assert_eq!(cash("2.025 CAD", "0.05"), "2.05 CAD");
        assert_eq!(cash("-2.03 CAD", "0.05"), "-2.05 CAD");
        assert_eq!(cash("2.05 NZD", "0.10"), "2.10 NZD");
        assert_eq!(cash("1234 JPY", "10"), "1230 JPY");
        assert_eq!(cash("2.02 CAD", "0"), "2.02 CAD");
        assert_eq!(cash("2.02 CAD", "-1"), "2.02 CAD");
        assert_eq!(cash("1000000000000 CAD", "0.0000000000000000000000000001"), "1000000000000.00 CAD");
    }

    #[test]
    fn sums_are_of_one_currency_and_exact() {
        assert_eq!(money("1.10 CAD").plus(money("2.20 CAD")), Ok(money("3.30 CAD")));
        assert_eq!(money("1.10 CAD").minus(money("1.10 CAD")), Ok(money("0 CAD")));
        assert_eq!(money("0 CAD").negated().to_string(), "0.00 CAD");
        assert_eq!(
            money("1 CAD").plus(money("1 EUR")).unwrap_err().to_string(),
            "CAD and EUR cannot be added: they are different currencies"
        );
        let largest = money("1000000000000 CAD");
        assert!(matches!(largest.plus(money("0.01 CAD")), Err(QuantityError::TooLarge { .. })));
        assert!(matches!(
            largest.negated().plus(money("0.0000000000000000000001 CAD")),
            Err(QuantityError::TooFine { .. })
        ));
    }

    #[test]
    fn amounts_as_people_write_them() {
        let cad = money("0 CAD").currency();
        for text in ["12.4", "12.40", "$12.40", "12,40", "CAD 12.40", "12.4 cad", " 12.40 $ "] {
            assert_eq!(Money::read(text, cad, Notation::Point), Ok(money("12.40 CAD")), "{text}");
        }
        assert_eq!(Money::read("-5", cad, Notation::Point), Ok(money("-5 CAD")));
        for (text, message) in [
            ("12 EUR", "`EUR` is not CAD, which applies here; leave it out or write CAD"),
            ("€12", "`€` is not CAD, which applies here; leave it out or write CAD"),
            ("", "a number is missing"),
            ("twelve", "`twelve` is not a number; write digits such as 12 or 3.6"),
            ("CAD 12 CAD", "`CAD 12 CAD` is not a number; write digits such as 12 or 3.6"),
            ("\u{1b}[1m12", "`\\u{1b}[` is not CAD, which applies here; leave it out or write CAD"),
            ("1 2", "`1 2` is not a number; write digits such as 12 or 3.6"),
        ] {
            assert_eq!(Money::read(text, cad, Notation::Point).unwrap_err().to_string(), message, "{text:?}");
        }
        assert_eq!("12".parse::<Money>().unwrap_err().to_string(), "`12` has no currency; write for example 12.40 AUD");
    }
}
