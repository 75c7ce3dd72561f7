//! `0.1.0-cut` was written by version 0.1.0 itself: settings, quotes, a stock with a settled ticket, pins, scripts of one's own
//! with a library module, copies of scripts that sessions ran under, and eight sessions, among them one laid aside, one handed
//! on, one under an edited recipe, one valued at another yard, one with a mixed lot, and one that a crash cut off. Beside the
//! folder lie a bundle and two files of answers.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use tempfile::TempDir;

use super::folders::copy_folder;

/// What the sessions were worth when they ended: the ticket that was settled on that day had not lowered the price of steel yet.
const SESSIONS: &str = "\
2026-11-02-risky-1  ended  estimated net 0.28 CAD
2026-11-02-risky-2  ended  estimated net 3.87 CAD
2026-11-02-risky-3  damaged  estimated net 0.63 CAD
2026-11-02-test-box-1  ended  estimated net 3.89 CAD
2026-11-02-test-box-2  ended  estimated net 0.46 EUR
2026-11-02-test-box-3  waits at lid/minutes  estimated net 0.61 CAD
2026-11-02-test-box-4  ended  estimated net 0.60 CAD
2026-11-02-test-box-5  waits at lid/minutes  estimated net 0.79 CAD
";

/// Net and gain of each by `replay`, from the copies of the scripts that they ran under.
const REPLAYED: [(&str, &str, &str); 8] = [
    ("2026-11-02-risky-1", "0.26", "-0.34"),
    ("2026-11-02-risky-2", "3.85", "3.25"),
    ("2026-11-02-risky-3", "0.63", "0.00"),
    ("2026-11-02-test-box-1", "3.88", "3.28"),
    ("2026-11-02-test-box-2", "0.46", "0.13"),
    ("2026-11-02-test-box-3", "0.61", "0.00"),
    ("2026-11-02-test-box-4", "0.60", "0.00"),
    ("2026-11-02-test-box-5", "0.79", "0.17"),
];

/// What was in stock, by lot: grade, mixed lot, grams, lot, bin.
const STOCK: &str = "\
appliance-light,,2900,2026-11-02-risky-2/remainder of the unit,
appliance-light,,2700,2026-11-02-test-box-1/remainder of the unit,
appliance-light,,3983.0095375,2026-11-02-test-box-2/remainder of the unit,
appliance-light,,6000,2026-11-02-test-box-4/remainder of the unit,
copper-2,,3200,find-1,crate
transformer-copper,,2000,2026-11-02-risky-2/core,
transformer-copper,,2100,2026-11-02-test-box-1/core,
wire-harness,,200,2026-11-02-test-box-1/wires,
transformer-aluminium,2026-11-02-test-box-2: lid + core,2000,2026-11-02-test-box-2/core,
steel-light,2026-11-02-test-box-2: lid + core,566.9904625,2026-11-02-test-box-2/lid,
";

const QUOTES: &str = "\
2026-11-02  fixed-yard  steel-light  0.25 CAD/kg  typed
2026-11-02  fixed-yard  transformer-copper  1.65 CAD/kg  phone
2026-11-10  fixed-yard  wire  2.10 CAD/kg  typed
2026-11-02  fixed-yard  steel-light  0.24 CAD/kg  settled ticket 2026-11-02-fixed-yard-1
";

/// Numbers stand to the right, so that the first line begins with blanks.
const STOCK_LOG: &str = concat!(
    "   1  2026-11-02  add copper-2\n",
    "   2  2026-11-02  add motor\n",
    "   3  2026-11-02  add steel-light\n",
    "   4  2026-11-02  move find-1 to crate\n",
    "   7  2026-11-02  regrade find-2 as motor-small\n",
    "   8  2026-11-02  write off find-2  lost\n",
    "   9  2026-11-02  pack 13 lots for fixed-yard\n",
    "  10  2026-11-02  sell 4 lots to fixed-yard  48213\n",
);

fn corpus() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/old_formats/0.1.0-cut")
}

/// A folder in which a copy of the corpus is a person's folder of some name.
struct Moved {
    dir: TempDir,
    name: &'static str,
}

/// What a run of the program came to: output, error output, exit code.
struct Ran(String, String, Option<i32>);

impl Moved {
    fn to(name: &'static str) -> Moved {
        let moved = Moved { dir: TempDir::new().unwrap(), name };
        copy_folder(&corpus().join("home"), &moved.home());
        moved
    }

    fn home(&self) -> PathBuf {
        self.dir.path().join(self.name)
    }

    fn feed(&self, arguments: &[&str], input: &str) -> Ran {
        let mut child = Command::new(env!("CARGO_BIN_EXE_knockdown"))
            .args(arguments)
            .current_dir(self.dir.path())
            .env_clear()
            .env("KNOCKDOWN_HOME", self.home())
            .env("KNOCKDOWN_CLOCK", "2026-11-02T10:00:00Z")
            .env("COLUMNS", "200")
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let _may_end_before = child.stdin.take().unwrap().write_all(input.as_bytes());
        let ended = child.wait_with_output().unwrap();
        let text = |bytes| String::from_utf8(bytes).unwrap();
        Ran(text(ended.stdout), text(ended.stderr), ended.status.code())
    }

    #[track_caller]
    fn run(&self, arguments: &[&str], code: i32) -> String {
        let Ran(out, err, ended) = self.feed(arguments, "");
        assert_eq!(ended, Some(code), "{arguments:?}\n{out}\n{err}");
        out
    }
}

/// Fields of a CSV text, without its head row.
fn rows(csv: &str) -> Vec<Vec<String>> {
    let mut reader = csv::Reader::from_reader(csv.as_bytes());
    reader.records().map(|row| row.unwrap().iter().map(str::to_owned).collect()).collect()
}

#[test]
fn a_folder_of_the_first_format_says_the_same_wherever_it_lies() {
    for name in ["home", "a b/c", "Werkstatt Müller/家"] {
        let moved = Moved::to(name);
        let found = moved.run(&["doctor"], 1);
        let faults: Vec<&str> = found.lines().filter(|line| line.starts_with("FAULT")).collect();
        assert_eq!(
            faults,
            ["FAULT  session 2026-11-02-risky-3: line 39: an entry that was never finished is left out"],
            "{found}"
        );
        assert_eq!(moved.run(&["show", "sessions"], 0), SESSIONS);
        assert_eq!(moved.run(&["quote"], 0), QUOTES);
        assert_eq!(moved.run(&["stock", "log"], 0), STOCK_LOG);
        let replayed = rows(&moved.feed(&["replay", "--all", "--format", "csv"], "").0);
        let replayed: Vec<_> = replayed.iter().map(|r| (r[0].as_str(), r[10].as_str(), r[12].as_str())).collect();
        assert_eq!(replayed, REPLAYED);
        let stock = rows(&moved.run(&["stock", "--by", "lot", "--format", "csv"], 0));
        let stock: String = stock
            .iter()
            .map(|row| [&row[0], &row[1], &row[2], &row[4], &row[5]].map(String::as_str).join(",") + "\n")
            .collect();
        assert_eq!(stock, STOCK);
    }
}

#[test]
fn sessions_of_the_first_format_go_on_where_they_were_moved_to() {
    let moved = Moved::to("Werkstatt Müller/家");
    let Ran(out, err, code) = moved.feed(&["resume", "test-box-5", "--plain"], "2\nskip\nskip\n5 kg\n");
    assert_eq!((code, err.as_str()), (Some(0), ""), "{out}");
    assert!(out.contains("Session 2026-11-02-test-box-5 has 3 answers."), "{out}");
    assert!(out.contains("Done. Every open step is done or left out."), "{out}");
    let Ran(out, _, code) = moved.feed(&["resume", "risky-3", "--plain"], "yes\n1\n2\na label\n1 kg\n2\ndo\nno\n");
    assert_eq!(code, Some(0), "{out}");
    assert!(out.contains("An entry that was never finished was moved to "), "{out}");
    assert!(out.contains("Ended at a guard: "), "{out}");
    assert!(moved.run(&["doctor"], 0).ends_with(" looked at, 0 at fault\n"));
    let Ran(out, _, code) = moved.feed(&["resume", "test-box-1", "--plain"], "undo\nundo\nredo\n2.70 kg\n");
    assert_eq!(code, Some(0), "{out}");
    assert!(out.contains("Taken back: unit/remainder = 2.70 kg"), "{out}");
    moved.run(&["stock", "undo"], 0);
    moved.run(&["export", "--all", "--out", "tables"], 0);
    for session in REPLAYED.map(|(session, ..)| session) {
        moved.run(&["tally", session, "--format", "json"], 0);
        moved.run(&["show", session], 0);
    }
}

#[test]
fn bundles_and_answers_of_the_first_format_are_taken() {
    let moved = Moved::to("home");
    fs::remove_dir_all(moved.home()).unwrap();
    let file = |name: &str| corpus().join(name).display().to_string();
    let bundle = file("samovar.bundle.toml");
    let digest = "fc9ecf608d7d86b5cc9ceed1f5497af9f0e59373a37ceb40525c9e70242a063c";
    assert!(moved.run(&["adopt", &bundle, "--digest", digest], 0).contains("Taken in: "));
    let played = moved.run(&["bench", "samovar", "--answers", &file("samovar.answers.toml")], 0);
    // What is left, 2.8 kg = 6.173 lb, on a scale of 0.2 lb 6.2 lb at 0.06: 0.37. The lid, 0.2 kg = 0.441 lb, 0.4 lb at 0.08:
    // 0.03. Together 0.40, which needs no cash rounding.
    assert!(played.lines().any(|line| line.starts_with("Net ") && line.ends_with(" 0.40")), "{played}");
    copy_folder(&corpus().join("home"), &moved.home());
    moved.run(&["stock", "undo"], 0);
    let settled = moved.run(&["settle", "--yard", "fixed-yard", "--answers", &file("ticket.answers.toml")], 0);
    assert!(settled.contains("4 lots sold."), "{settled}");
}
