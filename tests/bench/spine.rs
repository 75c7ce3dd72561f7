//! Times and memory of the spine, beside what else a machine does in that time. Run with `cargo bench --bench spine`.
//!
//! Absolute times say little on a shared machine; so everything that is compared runs in turns within one run, and the table
//! gives medians and ratios. Nothing here fails on a slow machine.

#![allow(clippy::unwrap_used, clippy::new_without_default, reason = "a test may fail by panicking")]

mod yardstick;

use std::cell::RefCell;
use std::fs;
use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::rc::Rc;
use std::time::{Duration, Instant};

use knockdown::script::{Catalogue, Host, Library};
use knockdown::sessions::{Change, Session};
use knockdown::shell::page;
use knockdown::store::Home;
use knockdown::world::{FixedClock, World};
use yardstick::Ratios;

/// Steps of the long recipe; each asks whether to begin, one weight, and the minutes.
const STEPS: usize = 30;
/// How often a program is started.
const STARTS: usize = 60;

type Failed = Box<dyn std::error::Error>;

fn main() -> Result<(), Failed> {
    let dir = tempfile::tempdir()?;
    let home = dir.path().join("home");
    fs::create_dir_all(home.join("recipes"))?;
    fs::create_dir_all(home.join("yards"))?;
    fs::write(home.join("recipes/long-unit.rhai"), long_recipe())?;
    println!("{:<58} {:>11} {:>11}", "what", "median", "fastest");
    cold_starts(dir.path(), &home)?;
    engine()?;
    next_question(&home)?;
    memory(&home)?;
    RATIOS.take().finish("spine");
    Ok(())
}

thread_local! {
    /// Everything that was timed.
    static RATIOS: RefCell<Ratios> = RefCell::default();
}

/// Times of one thing, shortest first.
struct Times(Vec<Duration>);

impl Times {
    fn of(mut times: Vec<Duration>) -> Times {
        times.sort_unstable();
        Times(times)
    }

    fn take(count: usize, mut run: impl FnMut()) -> Times {
        let once = |_| {
            let start = Instant::now();
            run();
            start.elapsed()
        };
        Times::of((0..count).map(once).collect())
    }

    fn median(&self) -> f64 {
        self.0[self.0.len() / 2].as_secs_f64() * 1e3
    }

    fn fastest(&self) -> f64 {
        self.0[0].as_secs_f64() * 1e3
    }

    fn print(&self, what: &str) {
        println!("{what:<58} {:>8.3} ms {:>8.3} ms", self.median(), self.fastest());
        RATIOS.with_borrow_mut(|ratios| ratios.note(what, self.0[0]));
    }
}

fn print_ratio(what: &str, times: &Times, beside: &Times, wanted: &str) {
    let (median, fastest) = (times.median() / beside.median(), times.fastest() / beside.fastest());
    println!("{what:<58} {median:>9.2} × {fastest:>9.2} ×   wanted: {wanted}");
}

/// Starts of the program beside those of the least program and of a script interpreter, in turns.
fn cold_starts(dir: &Path, home: &Path) -> Result<(), Failed> {
    let mut programs: Vec<(&str, Command)> = Vec::new();
    let hello = hello_world(dir)?;
    programs.push(("a bare hello-world", Command::new(hello)));
    let mut recipes = Command::new(env!("CARGO_BIN_EXE_knockdown"));
    recipes.arg("recipes").env("KNOCKDOWN_HOME", dir.join("none"));
    programs.push(("knockdown recipes", recipes));
    let mut demo = Command::new(env!("CARGO_BIN_EXE_knockdown"));
    demo.arg("demo").env("KNOCKDOWN_HOME", home);
    programs.push(("knockdown demo (a whole session)", demo));
    let mut python = Command::new("python3");
    python.args(["-c", "pass"]);
    if python.stdout(Stdio::null()).stderr(Stdio::null()).status().is_ok_and(|status| status.success()) {
        programs.push(("python3 -c pass", python));
    }
    let mut times = vec![Vec::new(); programs.len()];
    for _ in 0..STARTS {
        for ((_, program), times) in programs.iter_mut().zip(&mut times) {
            program.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
            let start = Instant::now();
            program.status()?;
            times.push(start.elapsed());
        }
    }
    let times: Vec<Times> = times.into_iter().map(Times::of).collect();
    programs.iter().zip(&times).for_each(|((name, _), times)| times.print(&format!("cold start: {name}")));
    print_ratio("  recipes beside hello-world", &times[1], &times[0], "at most 5");
    if let Some(python) = times.get(3) {
        print_ratio("  recipes beside python3 -c pass", &times[1], python, "below 1");
    }
    Ok(())
}

/// The least program that the same compiler makes.
fn hello_world(dir: &Path) -> Result<PathBuf, Failed> {
    let (source, program) = (dir.join("hello.rs"), dir.join("hello"));
    fs::write(&source, "fn main() { println!(\"Hello\"); }\n")?;
    let made = Command::new("rustc").arg("-O").arg(&source).arg("-o").arg(&program).status()?;
    if made.success() { Ok(program) } else { Err("rustc cannot make a hello-world".into()) }
}

fn catalogue() -> Rc<Catalogue> {
    let grades = include_str!("../../scripts/catalogue/grades.toml");
    let hazards = include_str!("../../scripts/catalogue/hazards.toml");
    Rc::new(Catalogue::new(grades, hazards))
}

fn library() -> Library {
    let checks = include_str!("../../scripts/library/checks.rhai");
    Library::new([("checks".to_owned(), Rc::from(checks))])
}

/// Building the engine and compiling a recipe.
fn engine() -> Result<(), Failed> {
    let oven = include_str!("../../recipes/countertop-oven.rhai");
    let build = || Host::new(catalogue(), library()).open("oven.rhai", oven).map(drop);
    let first = Times::take(1, || drop(build()));
    first.print("engine built and shipped oven compiled, first in a process");
    let again = Times::take(200, || drop(build()));
    again.print("engine built and shipped oven compiled (wanted: < 2 ms)");
    let host = Host::new(catalogue(), library());
    let script = host.open("oven.rhai", oven).map_err(|error| error.to_string())?;
    Times::take(200, || drop(host.recipe(&script))).print("its declarations run");
    Ok(())
}

/// A recipe of many steps that each ask three questions.
fn long_recipe() -> String {
    let mut text = String::from(
        "unit(\"long-unit\", \"Long unit\").weighs((50.kg..70.kg).usually(60.kg)).sold_whole_as(\"appliance-light\");\n",
    );
    for step in 1..=STEPS {
        let after = if step > 1 { format!(".after(\"step-{}\")", step - 1) } else { String::new() };
        text.push_str(&format!(
            "step(\"step-{step}\", \"Step {step}\"){after}.minutes(1, 2, 3).says(\"Do it.\")\n    \
             .frees(\"part {step}\", (0.5.kg..1.5.kg).usually(1.kg), \"steel-light\")\n    \
             .work(|bench| {{ if bench.yes(\"rusty-{step}\", \"Is it rusty?\") {{ bench.say(\"Oil it.\"); }} }});\n"
        ));
    }
    text
}

/// The answers of the long recipe: the intake, then four for each step.
fn answers() -> impl Iterator<Item = &'static str> {
    std::iter::once("60 kg").chain((0..STEPS).flat_map(|_| ["do", "no", "1 kg", "2"]))
}

fn world(home: &Path) -> Result<World, Failed> {
    let clock = FixedClock("2026-11-02T10:00:00Z".parse()?);
    Ok(World::new(Home::at(home), Box::new(clock))?)
}

/// Answers until `count` answers are there.
fn answer_to(session: &mut Session<'_>, count: usize) -> Result<(), Failed> {
    for text in answers().take(count) {
        match session.answer(text, None)? {
            Change::Answered(_) => {}
            Change::NotTaken(error) => return Err(error.into()),
        }
    }
    Ok(())
}

/// From an answer to the next question with 90 answers there: without a journal, then with one, whose sync is the disk's time.
fn next_question(home: &Path) -> Result<(), Failed> {
    let world = world(home)?;
    let mut rehearsal = Session::rehearse(&world, "long-unit", "hollow-lane", None)?;
    answer_to(&mut rehearsal, 90)?;
    let question = rehearsal.question().map(knockdown::bench::Question::name).unwrap_or_default();
    let (mut answered, mut shown, mut turned) = (Vec::new(), Vec::new(), Vec::new());
    for _ in 0..100 {
        rehearsal.undo()?;
        let start = Instant::now();
        rehearsal.answer("do", None)?;
        answered.push(start.elapsed());
        let start = Instant::now();
        if let Some(question) = rehearsal.question() {
            let _page = page::question(&rehearsal, question, rehearsal.default_answer().as_deref());
        }
        shown.push(start.elapsed());
        let start = Instant::now();
        if let Some(step) = rehearsal.question().and_then(|q| rehearsal.recipe().step(&q.step)) {
            let _page = page::step(&world, &rehearsal, step)?;
        }
        turned.push(start.elapsed());
    }
    let (answered, shown) = (Times::of(answered), Times::of(shown));
    answered.print(&format!("answer taken and run on at {question}, 90 answers"));
    shown.print("its question laid out");
    Times::of(turned).print("the head of a new step laid out, with its outlook");
    let sum = answered.median() + shown.median();
    println!("{:<58} {sum:>8.3} ms {:>11}   wanted: < 2 ms beyond the sync", "  from answer to next question", "");
    let mut session = Session::begin(&world, "long-unit", "hollow-lane", None)?;
    answer_to(&mut session, 90)?;
    let mut synced = Vec::new();
    for _ in 0..20 {
        session.undo()?;
        let start = Instant::now();
        session.answer("do", None)?;
        synced.push(start.elapsed());
    }
    Times::of(synced).print("the same with its journal entry synced to this disk");
    Ok(())
}

/// The most memory that a session of 90 answers held, where the system says.
fn memory(home: &Path) -> Result<(), Failed> {
    let mut command = Command::new(env!("CARGO_BIN_EXE_knockdown"));
    command.args(["bench", "long-unit", "--plain", "--yard", "hollow-lane"]).env("KNOCKDOWN_HOME", home);
    let mut child = command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::null()).spawn()?;
    let mut stdin = child.stdin.take().ok_or("no input")?;
    let mut lines = BufReader::new(child.stdout.take().ok_or("no output")?).lines();
    for text in answers().take(90) {
        writeln!(stdin, "{text}")?;
    }
    writeln!(stdin, "note the last answer is taken")?;
    let noted = lines.by_ref().map_while(Result::ok).any(|line| line == "Noted.");
    let status = fs::read_to_string(format!("/proc/{}/status", child.id())).unwrap_or_default();
    let field = |name: &str| {
        let line = status.lines().find_map(|line| line.strip_prefix(name));
        line.and_then(|line| line.trim().trim_end_matches(" kB").parse::<f64>().ok()).map(|kb| kb / 1024.0)
    };
    child.kill()?;
    child.wait()?;
    match (field("VmHWM:"), field("VmRSS:")) {
        (Some(peak), Some(now)) if noted => {
            let what = "resident at 90 answers: most, and now";
            println!("{what:<58} {peak:>8.1} MB {now:>8.1} MB   wanted: < 30 MB");
        }
        _ => println!("{:<58} {:>11}", "resident memory", "not known here"),
    }
    Ok(())
}
