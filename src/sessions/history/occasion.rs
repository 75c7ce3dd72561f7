//! When and where a session was.

use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::Offset;

use crate::store::journal::SessionHeader;

/// When and where a session was, as its journal says.
pub(crate) struct Occasion<'a> {
    /// What was fixed when it began.
    pub header: &'a SessionHeader,
    /// The yard that was switched to.
    pub yard: Option<&'a str>,
    /// The digest of that yard's text.
    pub yard_digest: Option<&'a str>,
    /// When it ended, or came to a stand.
    pub last_act: &'a str,
}

impl Occasion<'_> {
    /// The day on which the session began, where the person was.
    pub fn day(&self) -> Option<Date> {
        self.day_of(self.header.started.parse().ok()?)
    }

    /// The moment on which it ended, or came to a stand.
    pub fn last_act(&self) -> Option<Timestamp> {
        self.last_act.parse().ok()
    }

    /// The day on which it ended, or came to a stand.
    pub fn last_day(&self) -> Option<Date> {
        self.last_act().map_or_else(|| self.day(), |moment| self.day_of(moment))
    }

    fn day_of(&self, moment: Timestamp) -> Option<Date> {
        Some(offset(&self.header.offset)?.to_datetime(moment).date())
    }
}

/// The offset of a journal, `-05:00`.
fn offset(text: &str) -> Option<Offset> {
    let (sign, digits) =
        if let Some(digits) = text.strip_prefix('-') { (-1, digits) } else { (1, text.trim_start_matches('+')) };
    let (hours, minutes) = digits.split_once(':')?;
    let seconds = hours.parse::<i32>().ok()? * 3600 + minutes.parse::<i32>().ok()? * 60;
    Offset::from_seconds(sign * seconds).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn offsets_are_read_either_way() {
        assert_eq!(offset("-05:30"), Offset::from_seconds(-19_800).ok());
        assert_eq!(offset("+01:00"), Offset::from_seconds(3600).ok());
        assert_eq!(offset("soon"), None);
    }
}
