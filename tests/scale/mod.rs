//! A weight question answered by a connected scale: over a serial line played by a pseudo-terminal, and from recorded reports
//! of a USB scale. Whatever goes wrong with the scale, the weight can be typed.
//!
//! Not tried: a real scale of either kind, and raw USB devices on systems other than Linux.

#![cfg(unix)]
#![allow(clippy::unwrap_used, reason = "a test may fail by panicking")]

mod actor;
mod usb;

use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};

use crate::stock;
use actor::Actor;
use tempfile::TempDir;

/// A folder in which a scale is set up.
struct Place {
    dir: TempDir,
}

impl Place {
    fn new(yard: &str, scale: &[(&str, &str)]) -> Place {
        let dir = TempDir::new().unwrap();
        let home = dir.path().join("home");
        std::fs::create_dir_all(home.join("recipes")).unwrap();
        std::fs::create_dir_all(home.join("yards")).unwrap();
        std::fs::write(home.join("recipes/test-box.rhai"), stock::BOX).unwrap();
        std::fs::write(home.join("yards/fixed-yard.rhai"), stock::FIXED_YARD).unwrap();
        std::fs::write(home.join("yards/comma-yard.rhai"), stock::COMMA_YARD).unwrap();
        let rows: Vec<String> = scale.iter().map(|(key, value)| format!("{key} = {value:?}\n")).collect();
        let text = format!("yard = \"{yard}\"\n[containers]\nbucket = \"1.1 kg\"\n[scale]\n{}", rows.concat());
        std::fs::write(home.join("config.toml"), text).unwrap();
        Place { dir }
    }

    fn home(&self) -> std::path::PathBuf {
        self.dir.path().join("home")
    }

    /// Answers the questions of the test box by these lines, read from a pipe; everything that was shown.
    fn work(&self, lines: &[&str]) -> String {
        self.work_at("120", lines)
    }

    /// The same on a screen of so many columns.
    fn work_at(&self, columns: &str, lines: &[&str]) -> String {
        let mut child = command(&self.home())
            .env("COLUMNS", columns)
            .args(["bench", "test-box"])
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let text: String = lines.iter().map(|line| format!("{line}\n")).collect();
        child.stdin.take().unwrap().write_all(text.as_bytes()).unwrap();
        let output = child.wait_with_output().unwrap();
        assert_eq!(String::from_utf8_lossy(&output.stderr), "");
        String::from_utf8(output.stdout).unwrap()
    }

    /// The journal's entry for the answer to a question: what was typed, and where it came from.
    fn entry(&self, question: &str) -> (String, Option<String>) {
        let folder = std::fs::read_dir(self.home().join("sessions")).unwrap();
        let file = folder.map(|entry| entry.unwrap().path()).find(|path| path.extension().is_some_and(|e| e == "toml"));
        let text = std::fs::read_to_string(file.unwrap()).unwrap();
        let entry =
            text.split("[[entry]]").find(|entry| entry.contains(&format!("question = \"{question}\""))).unwrap();
        let field = |name: &str| {
            let line = entry.lines().find_map(|line| line.strip_prefix(&format!("{name} = ")));
            line.map(|value| value.trim_matches('"').to_owned())
        };
        (field("typed").unwrap(), field("origin"))
    }
}

fn command(home: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_knockdown"));
    command
        .env_clear()
        .env("KNOCKDOWN_HOME", home)
        .env("KNOCKDOWN_CLOCK", "2026-11-02T10:00:00Z")
        .env("COLUMNS", "120");
    command
}

const FLAGS: [(&str, &str); 5] = [
    ("pattern", "{state},{skip},{weight} {unit}"),
    ("stable", "ST"),
    ("moving", "US"),
    ("over", "OL"),
    ("kind", "lines"),
];

fn flagged<'a>(actor: &'a Actor, more: &[(&'a str, &'a str)]) -> Vec<(&'a str, &'a str)> {
    [FLAGS.as_slice(), &[("port", actor.port.as_str())], more].concat()
}

fn assert_shows(shown: &str, parts: &[&str]) {
    let mut rest = shown;
    for part in parts {
        let at = rest.find(part).unwrap_or_else(|| panic!("{part:?} is not shown, or not in this order:\n{shown}"));
        rest = &rest[at + part.len()..];
    }
}

#[test]
fn a_line_of_text_is_taken_once_it_rests_and_the_journal_says_so() {
    let actor = Actor::speaking(vec!["US,GS,+  2.5 kg", "US,GS,+  5.900 kg", "ST,GS,+  6.000 kg"]);
    let place = Place::new("fixed-yard", &flagged(&actor, &[]));
    let shown = place.work(&["scale", "pause"]);
    assert_shows(
        &shown,
        &["or scale  Enter: the scale", "> scale", "scale: 6.000 kg", "= 6 kg (13.228 lb)", "Take off the lid?"],
    );
    assert_eq!(place.entry("unit/intake"), ("6.000 kg".into(), Some("scale".into())));
}

/// What a phone shows: the question with the scale in it, what the scale shows meanwhile, and what is said when it fails.
#[test]
fn a_narrow_screen_holds_every_line_about_the_scale() {
    let fits = |shown: &str| {
        let long: Vec<&str> = shown.lines().filter(|line| line.chars().count() > 40).collect();
        assert_eq!(long, Vec::<&str>::new(), "{shown}");
    };
    let speaking = Actor::speaking(vec!["US,GS,+  5.900 kg", "ST,GS,+  6.000 kg"]);
    let place = Place::new("fixed-yard", &flagged(&speaking, &[]));
    let shown = place.work_at("40", &["scale", "pause"]);
    fits(&shown);
    assert_shows(
        &shown,
        &[
            "  weight in kg, such as 3.7, 850 g or\n    4.2 - 0.5; usually 6 kg (4 kg to\n    8 kg); or unknown; or scale  Enter:\n    the scale\n",
            "  scale: 6.000 kg\n",
            "  = 6 kg (13.228 lb)\n",
        ],
    );
    let over = Actor::speaking(vec!["OL,GS,+ 99.999 kg"]);
    let place = Place::new("fixed-yard", &flagged(&over, &[]));
    let shown = place.work_at("40", &["scale", "6 kg", "pause"]);
    fits(&shown);
    assert_shows(&shown, &["The scale is overloaded", "Type the weight", "= 6 kg"]);
    let gone = Place::new("fixed-yard", &[("kind", "commands"), ("port", "/dev/no-such-port")]);
    fits(&gone.work_at("40", &["scale", "6 kg", "pause"]));
}

#[test]
fn enter_alone_takes_a_reading_and_a_named_container_comes_off() {
    let actor = Actor::speaking(vec!["ST,GS,+  6.000 kg"]);
    let place = Place::new("fixed-yard", &flagged(&actor, &[]));
    assert_shows(&place.work(&["", "pause"]), &["= 6 kg"]);
    let place = Place::new("fixed-yard", &flagged(&actor, &[]));
    place.work(&["scale - bucket", "pause"]);
    assert_eq!(place.entry("unit/intake"), ("6.000 kg - bucket".into(), Some("scale".into())));
}

#[test]
fn a_scale_without_flags_rests_when_it_stays_the_same() {
    let actor = Actor::speaking(vec!["4.1 kg", "5.8 kg", "6.02 kg"]);
    let place = Place::new("comma-yard", &[("kind", "lines"), ("port", &actor.port)]);
    let shown = place.work(&["scale", "pause"]);
    assert_shows(&shown, &["scale: 6,02 kg, settling", "scale: 6,02 kg", "= 6,02 kg"]);
    assert_eq!(place.entry("unit/intake"), ("6,02 kg".into(), Some("scale".into())));
}

#[test]
fn the_command_set_is_asked_until_the_weight_is_stable() {
    let mut asked = 0;
    let actor = Actor::answering(move |line| {
        asked += 1;
        Some(match (line, asked) {
            ("SI", ..3) => "S D     5.812 kg".to_owned(),
            ("SI", _) => "S S     6.000 kg".to_owned(),
            _ => "ES".to_owned(),
        })
    });
    let place = Place::new("fixed-yard", &[("kind", "commands"), ("port", &actor.port)]);
    let shown = place.work(&["scale", "pause"]);
    assert_shows(&shown, &["scale: 5.812 kg, moving", "scale: 6.000 kg", "= 6 kg"]);
    assert_eq!(place.entry("unit/intake"), ("6.000 kg".into(), Some("scale".into())));
}

#[test]
fn zero_and_tare_are_orders_of_the_command_set() {
    let mut tare = 0;
    let actor = Actor::answering(move |line| {
        Some(match line {
            "T" => {
                tare = 1100;
                "T S     1.100 kg".to_owned()
            }
            "Z" => "Z A".to_owned(),
            "SI" => format!("S S     {}.{:03} kg", (7100 - tare) / 1000, (7100 - tare) % 1000),
            _ => "ES".to_owned(),
        })
    });
    let place = Place::new("fixed-yard", &[("kind", "commands"), ("port", &actor.port)]);
    let shown = place.work(&["scale zero", "scale tare", "scale", "pause"]);
    assert_shows(&shown, &["Zeroed.", "Tared by the scale", "scale: 6.000 kg", "= 6 kg"]);
    let busy = Actor::answering(|line| Some(if line == "T" { "T I" } else { "S S 1 kg" }.to_owned()));
    let place = Place::new("fixed-yard", &[("kind", "commands"), ("port", &busy.port)]);
    assert_shows(&place.work(&["scale tare", "6 kg", "pause"]), &["did not tare: it cannot just now", "= 6 kg"]);
}

#[test]
fn a_scale_that_takes_no_orders_is_tared_here() {
    let container = Actor::speaking(vec!["ST,GS,+  1.100 kg"]);
    let place = Place::new("fixed-yard", &flagged(&container, &[]));
    let shown = place.work(&["scale zero", "scale tare", "scale", "9.1 kg - 1.1 kg", "pause"]);
    // The same weight again: nothing is left of it, and that is no weight.
    assert_shows(&shown, &["press its own key", "Container: 1.100 kg", "  1.100 kg - 1.100 kg", "Not taken", "= 8 kg"]);
}

#[test]
fn overload_and_less_than_nothing_are_refused_and_the_weight_is_typed() {
    let over = Actor::speaking(vec!["OL,GS,+ 99.999 kg"]);
    let place = Place::new("fixed-yard", &flagged(&over, &[]));
    let shown = place.work(&["scale", "6 kg", "pause"]);
    assert_shows(&shown, &["The scale is overloaded: take it off at once", "Type the weight", "= 6 kg"]);
    assert_eq!(place.entry("unit/intake"), ("6 kg".into(), None));
    let negative = Actor::speaking(vec!["ST,GS,-  1.100 kg"]);
    let place = Place::new("fixed-yard", &flagged(&negative, &[]));
    let shown = place.work(&["scale", "6 kg", "pause"]);
    assert_shows(&shown, &["shows less than nothing (-1.100 kg)", "= 6 kg"]);
}

#[test]
fn a_scale_unplugged_in_the_middle_leaves_the_question_to_be_typed() {
    let mut asked = 0;
    let actor = Actor::answering(move |_| {
        asked += 1;
        (asked < 4).then(|| format!("US,GS,+ 5.{asked} kg"))
    });
    let place = Place::new("fixed-yard", &flagged(&actor, &[("ask", "P\\r\\n")]));
    let shown = place.work(&["scale", "6 kg", "pause"]);
    assert_shows(
        &shown,
        &[
            "scale: 5.1 kg, moving",
            "The scale is gone",
            "Type the weight, or try `scale` again.",
            "What does the whole unit weigh",
            "= 6 kg",
        ],
    );
    assert_eq!(place.entry("unit/intake"), ("6 kg".into(), None));
    let asked = Actor::answering(|_| None);
    let place = Place::new("fixed-yard", &[("kind", "commands"), ("port", &asked.port)]);
    assert_shows(&place.work(&["scale", "6 kg", "pause"]), &["The scale is gone", "= 6 kg"]);
}

#[test]
fn a_port_that_is_not_there_and_a_scale_that_is_not_set_up() {
    let place = Place::new("fixed-yard", &[("kind", "commands"), ("port", "/dev/no-such-port")]);
    let shown = place.work(&["scale", "6 kg", "pause"]);
    assert_shows(&shown, &["the scale at /dev/no-such-port cannot be opened", "is it plugged in", "= 6 kg"]);
    let place = Place::new("fixed-yard", &[]);
    let shown = place.work(&["scale", "6 kg", "pause"]);
    assert_shows(&shown, &["no scale is set up; `settings scale.kind commands`", "= 6 kg"]);
    assert!(!shown.contains("Enter: the scale"), "{shown}");
}

#[test]
fn a_scale_that_says_nothing_is_not_waited_for_without_end() {
    let actor = Actor::speaking(vec!["~~~ hello ~~~"]);
    let place = Place::new("fixed-yard", &flagged(&actor, &[]));
    assert_shows(&place.work(&["scale", "6 kg", "pause"]), &["says nothing that can be read", "= 6 kg"]);
}

#[test]
fn settings_choose_the_scale_and_refuse_what_does_not_suit() {
    let place = Place::new("fixed-yard", &[]);
    let run = |arguments: &[&str]| {
        let output = command(&place.home()).arg("settings").args(arguments).output().unwrap();
        (output.status.code(), String::from_utf8(output.stdout).unwrap(), String::from_utf8(output.stderr).unwrap())
    };
    assert_eq!(run(&["scale.kind", "usb"]).0, Some(0));
    assert!(run(&["scale.port", "/dev/hidraw0"]).1.contains("scale port: /dev/hidraw0"));
    assert!(run(&["scale.kind", "modem"]).2.contains("write commands, lines or usb"));
    assert!(run(&["scale.pattern", "{weigt}"]).2.contains("{weigt} is no field"));
    assert!(run(&["scale.color", "red"]).2.contains("a scale has no \"color\""));
}
