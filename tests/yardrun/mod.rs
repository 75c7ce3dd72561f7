//! The yard run on the real binary: from a session to a settled ticket, to the cent.
#![allow(clippy::unwrap_used, reason = "a test may stop at a value that must be there")]

mod load;
mod prices;
mod settle;
mod stock;
mod yards;

use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};

use serde_json::Value;
use tempfile::TempDir;

/// A yard with invented prices that the tests rest on.
const MILL: &str = r#"
yard("mill", "Mill Yard").currency("CAD").weighs_in("lb", 0.2).pays_to(0.05);
as_of("2026-11-02");
buys("copper-2", "No. 2", 3.40).from(50.lb, 3.55);
buys("steel", "Iron", 0.08);
buys("motor", "Motors", 0.28);
buys("lead", "Lead", 0.65).at_least(20.lb);
pays_each("relay", "Relays", 0.05);
visit_fee("Weighing", 2.00);
"#;

/// A second yard: better for motors, and further.
const RIDGE: &str = r#"
yard("ridge", "Ridge Metals").currency("USD").weighs_in("lb", 20);
as_of("2026-11-02");
buys("copper-2", "Copper two", 2.00);
buys("motor", "Electric motors", 0.90);
"#;

/// What a run of the program came to.
struct Ran {
    out: String,
    err: String,
    code: i32,
}

/// A folder of one's own, and the program on it, with the clock at 2026-11-20.
struct Bench {
    home: TempDir,
}

impl Bench {
    /// A folder with the yards of the tests, the first in use.
    fn new() -> Bench {
        let bench = Bench { home: TempDir::new().unwrap() };
        let yards = bench.home.path().join("yards");
        std::fs::create_dir_all(&yards).unwrap();
        std::fs::write(yards.join("mill.rhai"), MILL).unwrap();
        bench.ok(&["settings", "yard", "mill"]);
        bench
    }

    fn path(&self, name: &str) -> String {
        self.home.path().join(name).display().to_string()
    }

    fn write(&self, name: &str, text: &str) -> String {
        let path = self.path(name);
        std::fs::create_dir_all(Path::new(&path).parent().unwrap()).unwrap();
        std::fs::write(&path, text).unwrap();
        path
    }

    fn run_with(&self, arguments: &[&str], input: &str) -> Ran {
        let mut child = Command::new(env!("CARGO_BIN_EXE_knockdown"))
            .args(arguments)
            .env_clear()
            .env("KNOCKDOWN_HOME", self.home.path())
            .env("KNOCKDOWN_CLOCK", "2026-11-20T10:00:00Z")
            .env("COLUMNS", "120")
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        child.stdin.take().unwrap().write_all(input.as_bytes()).unwrap();
        let run = child.wait_with_output().unwrap();
        let text = |bytes| String::from_utf8(bytes).unwrap();
        Ran { out: text(run.stdout), err: text(run.stderr), code: run.status.code().unwrap() }
    }

    fn run(&self, arguments: &[&str]) -> Ran {
        self.run_with(arguments, "")
    }

    /// The output of a run that must succeed without a word of trouble.
    fn ok(&self, arguments: &[&str]) -> String {
        let ran = self.run(arguments);
        assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{arguments:?}: {}", ran.out);
        ran.out
    }

    fn json(&self, arguments: &[&str]) -> Value {
        serde_json::from_str(&self.ok(arguments)).unwrap()
    }

    /// The stock, every lot by itself.
    fn stock(&self) -> Value {
        self.json(&["stock", "--by", "lot", "--format", "json"])
    }

    fn lots(&self) -> Vec<String> {
        let stock = self.stock();
        let piles = stock["piles"].as_array().unwrap().iter();
        let mut lots: Vec<String> = piles.map(|pile| pile["lots"][0].as_str().unwrap().to_owned()).collect();
        lots.sort();
        lots
    }

    /// Takes the shipped microwave oven apart, as its test session does.
    fn oven(&self) {
        let session = concat!(env!("CARGO_MANIFEST_DIR"), "/recipes/countertop-oven.session.toml");
        self.ok(&["bench", "countertop-oven", "--answers", session]);
    }

    /// Three finds: copper, iron, motors.
    fn finds(&self) {
        for (grade, weight) in [("copper-2", "41.3 lb"), ("steel-light", "100 lb"), ("motor", "10 lb")] {
            self.ok(&["stock", "add", grade, weight]);
        }
    }
}
