//! Dates and times in a log. Only their form is checked here; their meaning is up to the rooms above.

use super::BadValue;

/// A form and, for each number in it, its position and range.
struct Form {
    /// `d` for a digit, any other character for itself.
    pattern: &'static str,
    ranges: &'static [(usize, u8, u8)],
    name: &'static str,
}

const DATE: Form =
    Form { pattern: "dddd-dd-dd", ranges: &[(5, 1, 12), (8, 1, 31)], name: "is no date like 2026-11-02" };

/// RFC 3339; second 60 is a leap second.
const INSTANT: Form = Form {
    pattern: "dddd-dd-ddTdd:dd:dd",
    ranges: &[(5, 1, 12), (8, 1, 31), (11, 0, 23), (14, 0, 59), (17, 0, 60)],
    name: "is no time like 2026-11-02T14:03:11Z",
};

const OFFSET: Form = Form { pattern: "dd:dd", ranges: &[(0, 0, 25), (3, 0, 59)], name: "is no offset like -05:00" };

impl Form {
    fn fits(&self, text: &str) -> bool {
        let bytes = text.as_bytes();
        let shape = self.pattern.bytes().zip(bytes).all(|(wanted, byte)| match wanted {
            b'd' => byte.is_ascii_digit(),
            _ => wanted == *byte,
        });
        shape
            && bytes.len() == self.pattern.len()
            && self.ranges.iter().all(|(at, least, greatest)| {
                let number = (bytes[*at] - b'0') * 10 + (bytes[at + 1] - b'0');
                (*least..=*greatest).contains(&number)
            })
    }

    fn check(&self, field: usize, text: &str, fits: bool) -> Result<(), BadValue> {
        if fits { Ok(()) } else { Err(BadValue::new(field, text, self.name)) }
    }
}

/// Rejects anything but an RFC 3339 time in UTC, with or without a fraction of up to nine digits.
pub(in crate::store) fn check_instant(field: usize, text: &str) -> Result<(), BadValue> {
    let fits = text.strip_suffix('Z').is_some_and(|text| match text.split_once('.') {
        None => INSTANT.fits(text),
        Some((text, fraction)) => {
            INSTANT.fits(text)
                && (1..=9).contains(&fraction.len())
                && fraction.bytes().all(|byte| byte.is_ascii_digit())
        }
    });
    INSTANT.check(field, text, fits)
}

/// Rejects anything but a date.
pub(in crate::store) fn check_date(field: usize, text: &str) -> Result<(), BadValue> {
    DATE.check(field, text, DATE.fits(text))
}

/// Rejects anything but a UTC offset.
pub(in crate::store) fn check_offset(field: usize, text: &str) -> Result<(), BadValue> {
    let fits = text.strip_prefix(['+', '-']).is_some_and(|text| OFFSET.fits(text));
    OFFSET.check(field, text, fits)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_utc_instants_pass() {
        for good in ["2026-11-02T14:03:11Z", "2026-11-02T14:03:11.123456789Z", "2016-12-31T23:59:60Z"] {
            assert_eq!(check_instant(0, good), Ok(()), "{good}");
        }
        let bad = ["", "Z", "2026-11-02", "2026-11-02T14:03:11", "2026-11-02T14:03:11-05:00", "2026-11-02 14:03:11Z"];
        for bad in bad.into_iter().chain(["2026-13-02T14:03:11Z", "2026-11-02T24:03:11Z", "2026-11-02T14:03:11.Z", "é"])
        {
            assert!(check_instant(0, bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn offsets_and_dates_have_their_form() {
        assert!(["-05:00", "+00:00", "+14:00"].into_iter().all(|text| check_offset(0, text).is_ok()));
        assert!(["05:00", "Z", "-5:00", "-05:60"].into_iter().all(|text| check_offset(0, text).is_err()));
        assert!(check_date(0, "2026-11-02").is_ok() && check_date(0, "2026-00-02").is_err());
    }
}
