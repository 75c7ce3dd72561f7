//! The clock, as a door: behind it is the system's, or in tests and demos one that stands still.

use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;

/// Tells the time.
pub trait Clock {
    /// Now.
    fn now(&self) -> Timestamp;
    /// The zone in which the person lives.
    fn zone(&self) -> TimeZone;

    /// The person's own date.
    fn today(&self) -> Date {
        self.now().to_zoned_datetime(self.zone()).date()
    }

    /// Now as journals keep it: RFC 3339 in UTC, to the millisecond.
    fn stamp(&self) -> String {
        format!("{:.3}", self.now())
    }

    /// The offset of local time from UTC, as `-05:00`.
    fn offset(&self) -> String {
        self.now().to_zoned_datetime(self.zone()).strftime("%:z").to_string()
    }
}

/// The system's clock.
#[derive(Debug, Clone, Copy, Default)]
pub struct SystemClock;

impl Clock for SystemClock {
    fn now(&self) -> Timestamp {
        Timestamp::now()
    }

    fn zone(&self) -> TimeZone {
        TimeZone::system()
    }
}

/// A clock that stands still, in UTC.
#[derive(Debug, Clone, Copy)]
pub struct FixedClock(pub Timestamp);

impl Clock for FixedClock {
    fn now(&self) -> Timestamp {
        self.0
    }

    fn zone(&self) -> TimeZone {
        TimeZone::UTC
    }
}
