//! Times of what comes after the bench: loads planned, and past sessions valued at another yard. Run with `cargo bench --bench
//! sales`. The long comparisons with other programs are `tests/compare/load_highs.py` and `tests/compare/replay_ledger.py`.

mod yardstick;

use std::error::Error;
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use knockdown::market::load::format::LoadFile;
use knockdown::market::load::{LoadEffort, solve};
use yardstick::{Ratios, at_work};

type Failed = Box<dyn Error>;

/// Sample cases that are planned: those with everything in them, and one of each kind that is hard by itself.
const CASES: [&str; 4] = ["load-everything-001", "load-everything-002", "load-split-001", "load-tiers-001"];
/// Sessions that are replayed.
const SESSIONS: usize = 20;
/// How often each time is taken; the fastest counts.
const TIMES: usize = 15;

fn main() -> Result<(), Failed> {
    let mut ratios = Ratios::default();
    println!("{:<58} {:>11}", "", "fastest");
    loads(&mut ratios)?;
    replays(&mut ratios)?;
    ratios.finish("sales");
    Ok(())
}

fn note(ratios: &mut Ratios, what: &str, times: &[Duration]) {
    let fastest = times.iter().min().copied().unwrap_or_default();
    println!("{what:<58} {:>8.3} ms", fastest.as_secs_f64() * 1e3);
    ratios.note(what, fastest);
}

/// Sample load problems, in the time that the thread was at work.
fn loads(ratios: &mut Ratios) -> Result<(), Failed> {
    for case in CASES {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("tests/cases/{case}.json"));
        let problem = serde_json::from_str::<LoadFile>(&fs::read_to_string(path)?)?.problem()?;
        let mut times = Vec::new();
        for _ in 0..TIMES {
            let start = at_work();
            let solved = solve(&problem, &LoadEffort::default())?;
            times.push(at_work().saturating_sub(start));
            if !solved.is_proven() {
                return Err(format!("{case} was not proven").into());
            }
        }
        note(ratios, &format!("load planned: {case}"), &times);
    }
    Ok(())
}

/// The whole program over a folder of sessions, all by the shipped oven's own answers, in the time that passes.
fn replays(ratios: &mut Ratios) -> Result<(), Failed> {
    let dir = tempfile::tempdir()?;
    let answers = Path::new(env!("CARGO_MANIFEST_DIR")).join("recipes/countertop-oven.session.toml");
    let program = || {
        let mut command = Command::new(env!("CARGO_BIN_EXE_knockdown"));
        command.env("KNOCKDOWN_HOME", dir.path().join("home")).env("KNOCKDOWN_CLOCK", "2026-11-02T10:00:00Z");
        command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
        command
    };
    for _ in 0..SESSIONS {
        let answers = answers.as_os_str();
        if !program().args(["bench", "countertop-oven", "--answers"]).arg(answers).status()?.success() {
            return Err("a session cannot be made".into());
        }
    }
    let mut times = Vec::new();
    for _ in 0..TIMES {
        let start = Instant::now();
        let status = program().args(["replay", "--all", "--yard", "thistle-fork"]).status()?;
        times.push(start.elapsed());
        if !status.success() {
            return Err("the sessions cannot be replayed".into());
        }
    }
    note(ratios, &format!("replay --all of {SESSIONS} sessions at another yard"), &times);
    Ok(())
}
