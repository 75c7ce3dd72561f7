//! Clocks that go backwards, jump, or change to and from daylight saving.

use jiff::Timestamp;
use jiff::tz::TimeZone;
use knockdown::sessions::Session;
use knockdown::store::{Home, Id};
use knockdown::world::{Clock, World};

use crate::bench::Bench;
use crate::sessions::kept;

const LINES: [&str; 5] = ["6.00 kg", "do", "1.00 kg", "2", "do"];

/// Types one line a process, each at its own time; the session's name.
fn at_times(bench: &Bench, times: &[&str]) -> String {
    let first = bench
        .call(&["bench", "test-box", "--yard", "fixed-yard", "--plain"])
        .env("KNOCKDOWN_CLOCK", times[0])
        .lines(&[LINES[0]])
        .run()
        .exits(5);
    let id = first.out.lines().next().unwrap().strip_prefix("Session ").unwrap().to_owned();
    for (line, time) in LINES.iter().zip(times).skip(1) {
        bench.call(&["resume", &id, "--plain"]).env("KNOCKDOWN_CLOCK", time).lines(&[line]).run().exits(5);
    }
    id
}

/// Every answer is there in the order in which it was given, whatever the clock said, and no time comes out negative.
fn assert_kept(bench: &Bench, id: &str) {
    let lines: Vec<String> = LINES.iter().map(|line| (*line).to_owned()).collect();
    assert_eq!(kept(bench, id, &lines), LINES.len());
    let tally = bench.run(&["tally", id]).exits(0).quietly();
    assert!(!tally.out.contains("(-"), "{}", tally.out);
    let shown =
        bench.call(&["resume", id, "--plain"]).env("KNOCKDOWN_CLOCK", "2020-01-01T00:00:00Z").lines(&["why"]).run();
    assert!(!shown.out.contains("Enter: -"), "{}", shown.out);
}

#[test]
fn a_clock_that_goes_backwards_costs_no_answer_and_is_named() {
    let bench = Bench::stocked();
    let id = at_times(
        &bench,
        &[
            "2026-11-02T10:00:00Z",
            "2026-11-02T10:05:00Z",
            "2026-11-02T09:00:00Z",
            "1970-01-01T00:00:00Z",
            "2026-11-02T10:06:00Z",
        ],
    );
    let doctor = bench.call(&["doctor"]).env("COLUMNS", "400").run().exits(0);
    assert!(doctor.out.contains("note   session ") && doctor.out.contains("was set back"), "{}", doctor.out);
    assert_kept(&bench, &id);
}

#[test]
fn a_clock_that_was_ahead_is_named() {
    let bench = Bench::stocked();
    let id = at_times(&bench, &["2026-11-02T10:00:00Z", "2037-01-01T00:00:00Z", "2037-01-01T00:01:00Z"]);
    bench.call(&["doctor"]).env("COLUMNS", "400").run().exits(1).shows(&["FAULT  clock: ", &id, "2037-01-01"]);
    let doctor = bench.call(&["doctor"]).env("KNOCKDOWN_CLOCK", "1970-01-02T00:00:00Z").run().exits(1);
    assert!(doctor.out.contains("FAULT  clock: "), "{}", doctor.out);
}

/// A clock at an instant in a zone with daylight saving: the rule of eastern North America.
struct Eastern(Timestamp);

impl Clock for Eastern {
    fn now(&self) -> Timestamp {
        self.0
    }

    fn zone(&self) -> TimeZone {
        TimeZone::posix("EST5EDT,M3.2.0,M11.1.0").unwrap()
    }
}

/// Journals keep instants in UTC, so an hour that comes twice or never changes no time that a step took; the day that a
/// session is named for and the offset beside it are the person's own.
#[test]
fn daylight_saving_comes_and_goes() {
    // On 2026-11-01 the hour from 1:00 comes twice, from 05:00Z and from 06:00Z; on 2026-03-08 the one from 2:00, which
    // would begin at 07:00Z, never comes.
    for (begun, offset, done, minutes, day) in [
        ("2026-11-01T05:30:00Z", "-04:00", "2026-11-01T06:30:00Z", "60", "2026-11-01"),
        ("2026-11-01T06:30:00Z", "-05:00", "2026-11-01T06:40:00Z", "10", "2026-11-01"),
        ("2026-03-08T06:45:00Z", "-05:00", "2026-03-08T07:15:00Z", "30", "2026-03-08"),
        ("2026-03-09T03:59:59Z", "-04:00", "2026-03-09T04:00:59Z", "1", "2026-03-08"),
        ("2026-03-09T04:00:00Z", "-04:00", "2026-03-09T04:00:00Z", "0", "2026-03-09"),
    ] {
        let bench = Bench::stocked();
        let home = || Home::at(bench.path("home"));
        let at = |time: &str| Box::new(Eastern(time.parse().unwrap()));
        let first = World::new(home(), at(begun)).unwrap();
        let mut session = Session::begin(&first, "test-box", "fixed-yard", None).unwrap();
        session.answer("6 kg", None).unwrap();
        session.answer("do", None).unwrap();
        let id = session.id().to_owned();
        assert_eq!(id, format!("{day}-test-box-1"));
        assert_eq!(session.header().offset, offset);
        drop(session);
        // Another process goes on after the change, without a pause: its resume counts from where the first left off.
        let second = World::new(home(), at(begun)).unwrap();
        let (session, _) = Session::resume(&second, &id, None, None).unwrap();
        drop(session);
        let third = World::new(home(), at(done)).unwrap();
        let (session, _) = Session::look(&third, &id, None, None).unwrap();
        assert_eq!(session.measured("lid").unwrap().get(), minutes.parse().unwrap(), "{begun}");
    }
}

/// With the system's own clock and a zone that changes: the offset in the header is that of the moment.
#[test]
fn the_persons_zone_is_kept_beside_the_instant() {
    for (zone, offset) in [("UTC0", "+00:00"), ("XST-5:30", "+05:30"), ("XST+3:30", "-03:30")] {
        let bench = Bench::stocked();
        let call = bench.call(&["bench", "test-box", "--yard", "fixed-yard", "--plain"]);
        let ended = call.without("KNOCKDOWN_CLOCK").env("TZ", zone).lines(&["6 kg"]).run().exits(5);
        let id = ended.out.lines().next().unwrap().strip_prefix("Session ").unwrap().to_owned();
        let reading = Home::at(bench.path("home")).session(&Id::new(&id).unwrap()).unwrap();
        assert_eq!(reading.header.offset, offset);
        assert!(reading.header.started.ends_with('Z'));
    }
}
