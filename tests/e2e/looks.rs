//! Plain lines, colour, narrow windows, dumb terminals.

use crate::bench::Bench;
use crate::stock::WHOLE;

const ESC: char = '\u{1b}';

#[test]
fn no_escape_sequence_unless_asked_for() {
    let bench = Bench::stocked();
    for arguments in [
        &["demo"][..],
        &["demo", "--plain"],
        &["show", "test-box"],
        &["yards"],
        &["doctor"],
        &["demo", "--color", "never"],
    ] {
        bench.run(arguments).exits(0).inertly();
        bench.call(arguments).env("TERM", "xterm-256color").run().exits(0).inertly();
        bench.call(arguments).env("TERM", "dumb").run().exits(0).inertly();
        bench.call(arguments).env("NO_COLOR", "1").run().exits(0).inertly();
    }
}

#[test]
fn colour_when_asked_for_changes_no_word() {
    let bench = Bench::stocked();
    for arguments in [&["demo"][..], &["show", "test-box"], &["recipes"], &["yards"]] {
        let bare = bench.run(arguments).exits(0).out;
        let coloured = bench.run(&[arguments, &["--color", "always"]].concat()).exits(0).out;
        assert!(coloured.contains(ESC), "{arguments:?}");
        let mut words = String::new();
        let mut rest = coloured.as_str();
        while let Some((before, after)) = rest.split_once(ESC) {
            words.push_str(before);
            rest = &after[after.find('m').unwrap() + 1..];
        }
        words.push_str(rest);
        // A coloured line can end in blanks that the bare one drops.
        let trimmed: String = words.lines().map(|line| format!("{}\n", line.trim_end())).collect();
        assert_eq!(trimmed, bare);
    }
    bench.call(&["demo", "--color", "always"]).env("NO_COLOR", "1").run().exits(0).shows(&["\u{1b}["]);
    bench.call(&["demo", "--color", "sometimes"]).run().exits(2);
}

#[test]
fn nothing_is_wider_than_the_window() {
    let bench = Bench::stocked();
    bench.work(&[&WHOLE[..], &["difference"]].concat()).exits(0);
    let calls = [
        &["demo"][..],
        &["tally"],
        &["show", "test-box"],
        &["show", "hollow-lane"],
        &["show", "stored-charge-hv"],
        &["yards"],
        &["show", "sessions"],
    ];
    for columns in [40, 60, 72, 80, 200] {
        for arguments in calls {
            let ended = bench.call(arguments).env("COLUMNS", &columns.to_string()).run().exits(0);
            let widest = ended.out.lines().max_by_key(|line| line.chars().count()).unwrap();
            assert!(widest.chars().count() <= columns, "{arguments:?} at {columns}: {widest:?}");
        }
    }
}

#[test]
fn a_tally_at_forty_columns() {
    let bench = Bench::stocked();
    bench.work(&[&WHOLE[..], &["difference"]].concat()).exits(0);
    bench.call(&["tally"]).env("COLUMNS", "40").run().exits(0).prints(
        "\
Done. Every open step is done or left
  out.

Test box at Fixed Yard
Estimated on 2026-11-02, with prices of
  2026-11-01.

                                     CAD
Copper transformers
  2.1 kg at 1.50/kg                 3.15
    core
Wire
  0.2 kg at 2.00/kg                 0.40
    wires
    priced as wire: no price of its own
      for wire-harness
Remainder: Appliances
  2.7 kg at 0.10/kg                 0.27
    what is left of Test box (computed)
    priced as appliance: no price of its
      own for appliance-light
Light iron
  1 kg at 0.20/kg                   0.20
    lid
────────────────────────────────────────
The yard pays                       4.02
disc                               -0.50
────────────────────────────────────────
Net                                 3.52
Sold whole: Appliances
  6 kg at 0.10/kg                   0.60
    priced as appliance: no price of its
      own for appliance-light
────────────────────────────────────────
Gain                               +2.92
    more than whole
Gain per hour (10 min)            +17.52

Weights
  Intake: 6 kg
  Balance cannot be said: what is left
    was computed, not weighed
  Recovery: 1 kg of metal, 16.7 % of the
    intake
",
    );
}

#[test]
fn plain_lines_are_not_broken_and_have_no_rules() {
    let bench = Bench::stocked();
    let plain = bench.call(&["demo", "--plain"]).without("COLUMNS").run().exits(0);
    assert!(!plain.out.contains('─'), "{}", plain.out);
    let hazard = bench.call(&["show", "stored-charge-hv", "--plain"]).without("COLUMNS").run().exits(0);
    assert!(
        hazard
            .out
            .lines()
            .all(|line| !line.starts_with("  ") || line.trim_start().starts_with(|c: char| c.is_ascii_digit())),
        "{}",
        hazard.out
    );
    bench.write("home/config.toml", "plain = true\ncolor = \"always\"\n");
    assert!(!bench.call(&["demo"]).run().exits(0).out.contains('─'));
}
