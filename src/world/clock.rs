//! The clock behind a trait: the system's, or a fixed one in tests and demos.

use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;

/// Tells the time.
pub trait Clock {
    /// The current time.
    fn now(&self) -> Timestamp;
    /// The user's time zone.
    fn zone(&self) -> TimeZone;

    /// The user's local date.
    fn today(&self) -> Date {
        self.now().to_zoned_datetime(self.zone()).date()
    }

    /// The current time as journals store it: RFC 3339 in UTC, to the millisecond.
    fn stamp(&self) -> String {
        format!("{:.3}", self.now())
    }

    /// The local offset from UTC, as `-05:00`.
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

/// A fixed clock, in UTC.
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
