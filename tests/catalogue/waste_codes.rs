//! Entries of the European list of waste that change on 9 December 2026 (Delegated Decision (EU) 2025/934 with its corrigendum OJ
//! L, 2025/90657; both read in secondary sources, the Official Journal text not seen).

use std::process::Command;

use jiff::civil::{Date, date};

use super::world;

const FIRST_DAY: Date = date(2026, 12, 9);

/// Grade, entry before, entry from that day on; what a yard collects from households may be booked as 20 01 42* or 20 01 43*.
const CHANGES: [(&str, &str, &str); 7] = [
    ("battery", "20 01 34", "20 01 42*"),
    ("alkaline-battery", "16 06 04", "16 06 04*, zinc kinds 16 06 09*"),
    ("nickel-metal-battery", "16 06 05", "16 06 08*"),
    ("lithium-battery", "16 06 05", "16 06 07*"),
    ("lithium-battery-damaged", "16 06 05", "16 06 07*"),
    ("lithium-primary-battery", "16 06 05", "16 06 07*"),
    ("button-battery", "20 01 33*", "20 01 42*"),
];

#[test]
fn battery_codes_hold_to_their_last_day_and_from_their_first() {
    let world = world();
    let grades = world.host().catalogue().grades();
    let last_day = FIRST_DAY.yesterday().unwrap();
    for (id, before, after) in CHANGES {
        let grade = grades.get(id).unwrap();
        assert_eq!(grade.waste_code_on(last_day), Some(before), "{id}");
        assert_eq!(grade.waste_code_on(FIRST_DAY), Some(after), "{id}");
        assert!(grade.is_hazardous_waste(), "{id}");
        assert!(grade.source.contains("2025/934") && grade.status.contains("Official Journal text not seen"), "{id}");
    }
    for grade in grades.iter().filter(|grade| grade.waste_code_next.is_some()) {
        assert!(CHANGES.iter().any(|(id, ..)| *id == grade.id), "{} changes too", grade.id);
    }
    for (id, code) in
        [("lead-acid-battery", "16 06 01*"), ("nickel-cadmium-battery", "16 06 02*"), ("mercury-battery", "16 06 03*")]
    {
        assert_eq!(grades.get(id).unwrap().waste_code_on(FIRST_DAY), Some(code), "{id} does not change");
    }
    assert!(!grades.get("copper").unwrap().is_hazardous_waste());
}

fn page(grade: &str, clock: &str) -> String {
    let home = tempfile::tempdir().unwrap();
    let mut command = Command::new(env!("CARGO_BIN_EXE_knockdown"));
    command.args(["show", grade]).env_clear().env("KNOCKDOWN_HOME", home.path());
    let run = command.env("KNOCKDOWN_CLOCK", clock).env("COLUMNS", "200").output().unwrap();
    assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stderr));
    String::from_utf8(run.stdout).unwrap()
}

#[test]
fn the_page_of_a_grade_shows_the_code_of_the_day() {
    let before = page("lithium-battery", "2026-12-08T23:59:59Z");
    assert!(before.contains("European list of waste: 16 06 05; from 2026-12-09: 16 06 07*\n"), "{before}");
    let after = page("lithium-battery", "2026-12-09T00:00:00Z");
    assert!(after.contains("European list of waste: 16 06 07*; before 2026-12-09: 16 06 05\n"), "{after}");
    for shown in [&before, &after] {
        assert!(shown.contains("a national list may lag behind"), "{shown}");
        assert!(shown.contains("Ask the collector which code they book."), "{shown}");
    }
    let steady = page("lead-acid-battery", "2026-12-09T00:00:00Z");
    assert!(steady.contains("European list of waste: 16 06 01*\n") && !steady.contains("lag behind"), "{steady}");
}
