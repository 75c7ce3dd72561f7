//! How long a step took, from the times of the journal's entries.

use jiff::Timestamp;
use rust_decimal::Decimal;

use crate::bench::{Entry, Kind};
use crate::quantity::Minutes;

/// The working time from the entry that began a step until `now`, to a tenth of a minute.
///
/// Time before a `resume` entry does not count, because the session was paused or the program gone; nor does a clock
/// set back. `None` without an entry that began the step.
pub(super) fn measured(entries: &[Entry], step: &str, now: Timestamp) -> Option<Minutes> {
    let begins = |entry: &&Entry| {
        let name = entry.question.as_deref().and_then(|name| name.strip_prefix(step)?.strip_prefix('/'));
        entry.kind == Kind::Answer && name.is_some_and(|key| key.starts_with("begin") || key == "what")
    };
    let begun = entries.iter().rposition(|entry| begins(&entry))?;
    let mut seconds = 0_i64;
    let mut former: Timestamp = entries[begun].at.parse().ok()?;
    for entry in &entries[begun + 1..] {
        let at: Timestamp = entry.at.parse().ok()?;
        if entry.kind != Kind::Resume {
            seconds += (at.as_second() - former.as_second()).max(0);
        }
        former = at;
    }
    seconds += (now.as_second() - former.as_second()).max(0);
    Minutes::new((Decimal::from(seconds) / Decimal::from(60)).round_dp(1)).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn entry(at: &str, kind: Kind, question: Option<&str>) -> Entry {
        Entry {
            seq: 1,
            at: at.into(),
            kind,
            question: question.map(str::to_owned),
            typed: None,
            understood: None,
            origin: None,
        }
    }

    fn at(text: &str) -> Timestamp {
        text.parse().unwrap()
    }

    #[test]
    fn a_pause_and_a_crash_do_not_count() {
        let entries = [
            entry("2026-11-02T10:00:00Z", Kind::Answer, Some("lid/begin")),
            entry("2026-11-02T10:04:00Z", Kind::Pause, None),
            entry("2026-11-02T12:00:00Z", Kind::Resume, None),
            entry("2026-11-02T12:01:00Z", Kind::Answer, Some("lid/lid")),
        ];
        let minutes = measured(&entries, "lid", at("2026-11-02T12:01:30Z")).unwrap();
        assert_eq!(minutes.get(), "5.5".parse().unwrap());
    }

    #[test]
    fn a_clock_set_back_gives_no_negative_time() {
        let entries = [entry("2026-11-02T10:00:00Z", Kind::Answer, Some("lid/begin-2"))];
        assert_eq!(measured(&entries, "lid", at("2026-11-02T09:00:00Z")), Some(Minutes::ZERO));
        assert_eq!(measured(&entries, "li", at("2026-11-02T11:00:00Z")), None);
    }
}
