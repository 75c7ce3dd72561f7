//! How a person writes a number: with a decimal point or a decimal comma.

use rust_decimal::Decimal;
use thiserror::Error;

use super::quoted::quoted;

/// The mark between the whole part and the fraction.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Notation {
    /// `1234.5`
    #[default]
    Point,
    /// `1234,5`
    Comma,
}

/// Why a text was not accepted as a number.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum NumberError {
    /// The text is empty.
    #[error("a number is missing")]
    Missing,
    /// Not a number.
    #[error("`{0}` is not a number; write digits such as 12 or 3.6")]
    NotANumber(String),
    /// A mark that can be a decimal mark or a thousands separator.
    #[error("`{text}` can be read as {grouped} or as {fraction}; write the one you mean")]
    Ambiguous {
        /// What was written.
        text: String,
        /// Read as a whole number with a thousands separator.
        grouped: String,
        /// Read as a fraction, in the notation of the answer.
        fraction: String,
    },
    /// More digits than an exact decimal holds.
    #[error("`{0}` has too many digits to be kept exactly; at most 28 in all")]
    TooLong(String),
    /// A count that is not an integer from 1 up to the limit.
    #[error("`{text}` is not a count; write a whole number from 1 to {limit}")]
    NotACount {
        /// What was written.
        text: String,
        /// The largest accepted count.
        limit: u32,
    },
}

/// The largest count that [`read_count`] accepts.
pub(super) const MAX_COUNT: u32 = 100_000;

impl Notation {
    /// The decimal mark.
    pub fn mark(self) -> char {
        match self {
            Notation::Point => '.',
            Notation::Comma => ',',
        }
    }

    /// Writes a decimal with this mark and without separators.
    pub fn show(self, value: Decimal) -> String {
        match self {
            Notation::Point => value.to_string(),
            Notation::Comma => value.to_string().replace('.', ","),
        }
    }

    /// Reads an unsigned number.
    ///
    /// A single own mark is the decimal mark. The other mark is accepted if it can only mean one thing: with both
    /// marks, the last is the decimal mark and the first separates thousands; a repeated mark separates thousands; a
    /// single other mark is a decimal mark if it is not followed by exactly three digits. `1,234` under
    /// [`Notation::Point`] is rejected, with both readings. So the two notations never read one text as two different
    /// numbers.
    ///
    /// # Errors
    /// [`NumberError`] with the text and what to write instead.
    pub fn read(self, text: &str) -> Result<Decimal, NumberError> {
        self.read_typed(text).map(|value| value.normalize())
    }

    /// Reads a number with an optional sign: `-4`, `+4`, `4`; the typographic minus is accepted too.
    ///
    /// # Errors
    /// As [`Notation::read`].
    pub fn read_signed(self, text: &str) -> Result<Decimal, NumberError> {
        let text = text.trim();
        if let Some(digits) = text.strip_prefix(['-', '−']) {
            return Ok((-self.read(digits)?).normalize());
        }
        self.read(text.strip_prefix('+').unwrap_or(text))
    }

    /// As [`Notation::read`], but the scale of the value is the number of decimals typed, zeros included.
    pub(super) fn read_typed(self, text: &str) -> Result<Decimal, NumberError> {
        let text = text.trim();
        if text.is_empty() {
            return Err(NumberError::Missing);
        }
        let (whole, fraction) = self.parts(text)?.ok_or_else(|| NumberError::NotANumber(quoted(text)))?;
        let plain = if fraction.is_empty() { format!("0{whole}") } else { format!("0{whole}.{fraction}") };
        Decimal::from_str_exact(&plain).map_err(|_| NumberError::TooLong(quoted(text)))
    }

    /// The digits before and after the decimal mark, without separators; `None` if it is not a number.
    fn parts(self, text: &str) -> Result<Option<(String, &str)>, NumberError> {
        let (Some(first), Some(last)) = (text.find(['.', ',']), text.rfind(['.', ','])) else {
            return Ok(whole_number(text, None).map(|whole| (whole, "")));
        };
        // Both marks are one byte long.
        let (first_mark, last_mark) = (text.as_bytes()[first] as char, text.as_bytes()[last] as char);
        if first != last && first_mark == last_mark {
            return Ok(whole_number(text, Some(first_mark)).map(|whole| (whole, "")));
        }
        let fraction = &text[last + 1..];
        let separator = (first != last).then_some(first_mark);
        let Some(whole) = whole_number(&text[..last], separator) else { return Ok(None) };
        if fraction.is_empty() || !all_digits(fraction) {
            return Ok(None);
        }
        if first == last && last_mark != self.mark() && could_be_grouped(&whole, fraction) {
            return Err(NumberError::Ambiguous {
                text: text.to_owned(),
                grouped: format!("{whole}{fraction}"),
                fraction: format!("{whole}{}{fraction}", self.mark()),
            });
        }
        Ok(Some((whole, fraction)))
    }
}

/// Reads a number of pieces: an integer from 1 to 100 000.
///
/// # Errors
/// [`NumberError::NotACount`], or [`NumberError::Missing`] if the text is empty.
pub fn read_count(text: &str) -> Result<u32, NumberError> {
    let text = text.trim();
    if text.is_empty() {
        return Err(NumberError::Missing);
    }
    Some(text)
        .filter(|text| all_digits(text))
        .and_then(|text| text.parse().ok())
        .filter(|count| (1..=MAX_COUNT).contains(count))
        .ok_or_else(|| NumberError::NotACount { text: quoted(text), limit: MAX_COUNT })
}

fn all_digits(text: &str) -> bool {
    text.bytes().all(|b| b.is_ascii_digit())
}

/// The digits of an integer without thousands separators: every group but the first has three digits. Empty before a
/// decimal mark, as in `.5`, if there is no separator.
fn whole_number(text: &str, separator: Option<char>) -> Option<String> {
    let Some(separator) = separator else {
        return all_digits(text).then(|| text.to_owned());
    };
    let mut groups = text.split(separator);
    let first = groups.next()?;
    let formed = (1..=3).contains(&first.len()) && all_digits(first);
    (formed && groups.all(|group| group.len() == 3 && all_digits(group))).then(|| text.replace(separator, ""))
}

/// Whether a mark between these digits could be a thousands separator.
fn could_be_grouped(whole: &str, fraction: &str) -> bool {
    fraction.len() == 3 && (1..=3).contains(&whole.len()) && whole != "0"
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(notation: Notation, text: &str) -> Result<String, String> {
        notation.read(text).map(|value| value.to_string()).map_err(|error| error.to_string())
    }

    #[test]
    fn numbers_in_both_notations() {
        for (text, point, comma) in [
            ("12", Some("12"), Some("12")),
            ("3.6", Some("3.6"), Some("3.6")),
            ("3,6", Some("3.6"), Some("3.6")),
            (".5", Some("0.5"), Some("0.5")),
            ("007", Some("7"), Some("7")),
            ("1.250", Some("1.25"), None),
            ("1,250", None, Some("1.25")),
            ("0.250", Some("0.25"), Some("0.25")),
            ("1234.567", Some("1234.567"), Some("1234.567")),
            ("1,234.5", Some("1234.5"), Some("1234.5")),
            ("1.234,5", Some("1234.5"), Some("1234.5")),
            ("1.234.567", Some("1234567"), Some("1234567")),
            ("1,234,567.89", Some("1234567.89"), Some("1234567.89")),
        ] {
            assert_eq!(read(Notation::Point, text).ok().as_deref(), point, "{text} with a point");
            assert_eq!(read(Notation::Comma, text).ok().as_deref(), comma, "{text} with a comma");
        }
    }

    #[test]
    fn what_is_no_number() {
        for text in [
            ".",
            ",",
            "5.",
            "1.2.3",
            "1,23,456",
            ",234,567",
            "1.234,567,8",
            "1..2",
            "-3",
            "1e3",
            "NaN",
            "inf",
            "٣",
            "1 2",
        ] {
            for notation in [Notation::Point, Notation::Comma] {
                assert!(matches!(notation.read(text), Err(NumberError::NotANumber(_))), "{text}");
            }
        }
        assert_eq!(Notation::Point.read(" "), Err(NumberError::Missing));
        assert!(matches!(Notation::Point.read(&"9".repeat(30)), Err(NumberError::TooLong(_))));
        assert!(matches!(Notation::Point.read(&format!("0.{}1", "0".repeat(28))), Err(NumberError::TooLong(_))));
    }

    #[test]
    fn an_ambiguous_mark_is_refused_with_both_readings() {
        assert_eq!(
            read(Notation::Point, "1,234"),
            Err("`1,234` can be read as 1234 or as 1.234; write the one you mean".into())
        );
        assert_eq!(
            read(Notation::Comma, "12.500"),
            Err("`12.500` can be read as 12500 or as 12,500; write the one you mean".into())
        );
    }

    #[test]
    fn signs() {
        let read = |text| Notation::Point.read_signed(text).map(|value| value.to_string()).ok();
        for (text, want) in [("-4.5", "-4.5"), ("−4", "-4"), ("+4", "4"), ("4", "4"), ("-0", "0")] {
            assert_eq!(read(text).as_deref(), Some(want));
        }
        for text in ["--4", "-", "+-4", "4-"] {
            assert_eq!(read(text), None, "{text}");
        }
    }

    #[test]
    fn counts() {
        assert_eq!(read_count(" 12 "), Ok(12));
        assert_eq!(read_count("100000"), Ok(MAX_COUNT));
        assert_eq!(read_count(""), Err(NumberError::Missing));
        for text in ["0", "-1", "1.0", "1,000", "100001", "99999999999999999999", "twelve", "+3"] {
            assert!(matches!(read_count(text), Err(NumberError::NotACount { .. })), "{text}");
        }
    }
}
