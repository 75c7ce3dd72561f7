//! Working time.

use std::fmt;
use std::str::FromStr;

use rust_decimal::Decimal;

use super::exact;
use super::limits::{QuantityError, within};
use super::notation::Notation;
use super::quoted::quoted;
use super::text::ReadError;
use super::token::{Token, TokenKind, tokens};

/// The longest working time: a thousand hours.
const MAX_SECONDS: i64 = 3_600_000;

const PER_MINUTE: Decimal = Decimal::from_parts(60, 0, 0, false, 0);
const PER_HOUR: Decimal = Decimal::from_parts(3600, 0, 0, false, 0);

/// A length of working time, never negative. Held in seconds, so that 20 seconds, a third of a minute, is exact too.
///
/// The text form (and the serde form) is `12 min`, or `20 s` if it is not a decimal number of minutes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub struct Minutes {
    seconds: Decimal,
}

impl Minutes {
    /// Zero time.
    pub const ZERO: Minutes = Minutes { seconds: Decimal::ZERO };

    /// A time from its minutes.
    ///
    /// # Errors
    /// [`QuantityError::Negative`] below zero, [`QuantityError::TooLarge`] past a thousand hours.
    pub fn new(minutes: Decimal) -> Result<Minutes, QuantityError> {
        // A product too large for a decimal is also too large for a time.
        Minutes::from_seconds(minutes.checked_mul(PER_MINUTE).unwrap_or(minutes))
    }

    /// A time from its seconds.
    ///
    /// # Errors
    /// As [`Minutes::new`].
    pub fn from_seconds(seconds: Decimal) -> Result<Minutes, QuantityError> {
        let what = "a working time";
        if seconds < Decimal::ZERO {
            return Err(QuantityError::Negative { what, value: format!("{} s", seconds.normalize()) });
        }
        Ok(Minutes { seconds: within(what, seconds, MAX_SECONDS, "s", "a thousand hours")? })
    }

    /// Reads a working time: `12` (minutes), `12 min`, `1 h 30 min`, `90 s`. `1:30` is rejected with both readings.
    ///
    /// # Errors
    /// [`ReadError`] with the offending part and what to write.
    pub fn read(text: &str, notation: Notation) -> Result<Minutes, ReadError> {
        let tokens = tokens(text);
        refuse_clock_time(text, &tokens)?;
        if tokens.len() < 2 {
            return Ok(Minutes::new(notation.read(text)?)?);
        }
        let (mut time, mut larger) = (Minutes::ZERO, None);
        for part in tokens.chunks(2) {
            let (number, unit) = number_and_unit(text, part, notation)?;
            let seen = || quoted(&text[part[0].at.start..part[part.len() - 1].at.end]);
            if larger.is_some_and(|larger| unit >= larger) {
                return Err(ReadError::NotATime {
                    seen: seen(),
                    why: Some("hours come first, then minutes, then seconds"),
                });
            }
            let seconds = exact::product("a working time", number, unit)?;
            if larger.is_some_and(|larger| seconds >= larger) {
                return Err(ReadError::NotATime { seen: seen(), why: Some("it makes up one of the unit before it") });
            }
            time = time.plus(Minutes::from_seconds(seconds)?)?;
            larger = Some(unit);
        }
        Ok(time)
    }

    /// The number of minutes, to 28 digits.
    pub fn get(self) -> Decimal {
        (self.seconds / PER_MINUTE).normalize()
    }

    /// The sum.
    ///
    /// # Errors
    /// [`QuantityError::TooLarge`] past a thousand hours, [`QuantityError::TooFine`] if it is not exactly
    /// representable.
    pub fn plus(self, other: Minutes) -> Result<Minutes, QuantityError> {
        Minutes::from_seconds(exact::sum("a working time", self.seconds, other.seconds)?)
    }

    /// `12 min`; `20 s` if it is not a decimal number of minutes. [`Minutes::read`] reads it back.
    pub fn show(self, notation: Notation) -> String {
        let minutes = self.get();
        if exact::product("", minutes, PER_MINUTE) == Ok(self.seconds) {
            format!("{} min", notation.show(minutes))
        } else {
            format!("{} s", notation.show(self.seconds))
        }
    }
}

/// A number and its unit in seconds.
fn number_and_unit(text: &str, part: &[Token], notation: Notation) -> Result<(Decimal, Decimal), ReadError> {
    let [number, unit] = part else {
        let why = Some("a number and its unit go together");
        return Err(ReadError::NotATime { seen: quoted(&text[part[0].at.clone()]), why });
    };
    let value = notation.read(&text[number.at.clone()])?;
    let name = &text[unit.at.clone()];
    let seconds = match name.trim_end_matches('.').to_lowercase().as_str() {
        "h" | "hr" | "hrs" | "hour" | "hours" => PER_HOUR,
        "m" | "min" | "mins" | "minute" | "minutes" => PER_MINUTE,
        "s" | "sec" | "secs" | "second" | "seconds" => Decimal::ONE,
        _ => return Err(ReadError::NotATime { seen: quoted(name), why: Some("it is no unit of time") }),
    };
    Ok((value, seconds))
}

/// Rejects `1:30`: hours and minutes, or minutes and seconds?
fn refuse_clock_time(text: &str, tokens: &[Token]) -> Result<(), ReadError> {
    let [first, colon, second] = tokens else { return Ok(()) };
    if &text[colon.at.clone()] != ":" || first.kind != TokenKind::Number || second.kind != TokenKind::Number {
        return Ok(());
    }
    let (left, right) = (&text[first.at.clone()], &text[second.at.clone()]);
    Err(ReadError::AmbiguousTime {
        text: quoted(text.trim()),
        hours: quoted(&format!("{left} h {right} min")),
        minutes: quoted(&format!("{left} min {right} s")),
    })
}

impl FromStr for Minutes {
    type Err = ReadError;

    /// As [`Minutes::read`], with a decimal point.
    fn from_str(text: &str) -> Result<Self, ReadError> {
        Minutes::read(text, Notation::Point)
    }
}

impl fmt::Display for Minutes {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.show(Notation::Point))
    }
}

super::serde_text::serde_as_text!(Minutes);

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<String, String> {
        Minutes::read(text, Notation::Point).map(|time| time.to_string()).map_err(|error| error.to_string())
    }

    #[test]
    fn times_as_people_write_them() {
        for (text, want) in [
            ("12", "12 min"),
            ("12 min", "12 min"),
            ("12.5 minutes", "12.5 min"),
            ("1 h 30 min", "90 min"),
            ("1h30m", "90 min"),
            ("1 hr. 30 min. 6 s", "90.1 min"),
            ("1.5 h", "90 min"),
            ("90 s", "1.5 min"),
            ("20 s", "20 s"),
            ("0", "0 min"),
        ] {
            assert_eq!(read(text).as_deref(), Ok(want), "{text}");
        }
        assert_eq!(Minutes::read("1,5 h", Notation::Comma).map(|time| time.get()), Ok(90.into()));
    }

    #[test]
    fn times_that_are_refused() {
        let form = "write for example 12 min, 1 h 30 min or 90 s";
        for (text, message) in [
            ("1:30", "`1:30` can be read as 1 h 30 min or as 1 min 30 s; write the one you mean".to_owned()),
            ("", "a number is missing".into()),
            ("-3", "`-` is not a number; write digits such as 12 or 3.6".into()),
            ("12 kg", format!("`kg` does not belong in a time: it is no unit of time; {form}")),
            ("1 h 30", format!("`30` does not belong in a time: a number and its unit go together; {form}")),
            (
                "30 min 1 h",
                format!("`1 h` does not belong in a time: hours come first, then minutes, then seconds; {form}"),
            ),
            (
                "1 h 0.5 h",
                format!("`0.5 h` does not belong in a time: hours come first, then minutes, then seconds; {form}"),
            ),
            (
                "1 h 60 min",
                format!("`60 min` does not belong in a time: it makes up one of the unit before it; {form}"),
            ),
            ("1001 h", "a working time of 3603600 s is too large: the limit is 3600000 s, a thousand hours".into()),
            ("1e3", "`1e3` is not a number; write digits such as 12 or 3.6".into()),
        ] {
            assert_eq!(read(text), Err(message), "{text}");
        }
    }

    #[test]
    fn a_time_is_never_negative_nor_endless() {
        assert_eq!(Minutes::new((-3).into()).unwrap_err().to_string(), "a working time of -180 s is below zero");
        assert!(matches!(Minutes::new(Decimal::MAX), Err(QuantityError::TooLarge { .. })));
        assert!(matches!(Minutes::new(Decimal::MIN), Err(QuantityError::Negative { .. })));
    }

    #[test]
    fn thirds_of_a_minute_add_up() {
        let third: Minutes = "20 s".parse().unwrap();
        assert_eq!(third.plus(third).and_then(|two| two.plus(third)), Minutes::new(Decimal::ONE));
    }
}
