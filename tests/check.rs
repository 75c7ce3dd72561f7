//! `check` on planted faults: a file a case under `tests/check`, its expected output beside it.
//!
//! Each fault is marked where it is planted, with `//~ rule` at the end of its line (`#~ rule` in a test session). Exactly
//! the marked rules must be found on exactly those lines, and the whole text must be that of the `.txt` file beside it.
//! `KNOCKDOWN_WRITE_EXPECTED=1 cargo test --test program check` writes those files anew, to be read before they are kept.

#![allow(clippy::unwrap_used, clippy::new_without_default, reason = "a test may fail by panicking")]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Duration;

use knockdown::authoring::{Bounds, Checked, Subject, check};
use knockdown::review::Severity;
use knockdown::shell::findings;
use knockdown::store::Home;
use knockdown::world::{FixedClock, World};

const NOW: &str = "2026-11-20T12:00:00Z";

fn world(home: &Path) -> World {
    World::new(Home::at(home.to_owned()), Box::new(FixedClock(NOW.parse().unwrap()))).unwrap()
}

fn cases() -> Vec<PathBuf> {
    let files = fs::read_dir("tests/check").unwrap().map(|entry| entry.unwrap().path());
    let mut cases: Vec<PathBuf> =
        files.filter(|path| path.extension().is_some_and(|ending| ending == "rhai")).collect();
    cases.sort();
    cases
}

fn check_files(paths: &[PathBuf]) -> Vec<Checked> {
    let home = tempfile::tempdir().unwrap();
    let world = world(home.path());
    let subjects: Vec<Subject> = paths.iter().map(|path| Subject::at(&world, path).unwrap()).collect();
    check(&world, &subjects, Bounds::default()).unwrap()
}

/// What checking one script came to: how often each rule was found on each line of a file, and the text that is shown.
struct Found {
    rules: BTreeMap<(String, usize, String), usize>,
    text: String,
}

impl Found {
    fn of(checked: &Checked) -> Found {
        let mut rules = BTreeMap::new();
        for placed in &checked.findings {
            let key = (placed.file.to_string(), placed.finding.mark.line, placed.finding.rule.to_owned());
            *rules.entry(key).or_default() += 1;
        }
        Found { rules, text: findings::text(checked, false, 100) }
    }
}

/// Every case with what checking it came to: recipes each alone, since what yards can sell depends on the recipes that are
/// checked with them; yards together.
fn checked_cases() -> Vec<(PathBuf, Found)> {
    let is_yard = |path: &PathBuf| path.file_name().unwrap().to_str().unwrap().starts_with("yard-");
    let (yards, recipes): (Vec<PathBuf>, Vec<PathBuf>) = cases().into_iter().partition(is_yard);
    let mut checked = on_all_processors(&recipes, |path| Found::of(&check_files(std::slice::from_ref(path))[0]));
    checked.extend(check_files(&yards).iter().map(Found::of));
    recipes.into_iter().chain(yards).zip(checked).collect()
}

/// Does one thing after another on as many threads as there are processors; what they come to, in order.
fn on_all_processors<T: Sync, R: Send>(things: &[T], act: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let (next, done) = (AtomicUsize::new(0), Mutex::new(Vec::new()));
    std::thread::scope(|scope| {
        for _ in 0..std::thread::available_parallelism().map_or(1, NonZeroUsize::get) {
            scope.spawn(|| {
                loop {
                    let at = next.fetch_add(1, Ordering::Relaxed);
                    let Some(thing) = things.get(at) else { break };
                    let result = act(thing);
                    done.lock().unwrap().push((at, result));
                }
            });
        }
    });
    let mut done = done.into_inner().unwrap();
    done.sort_by_key(|(at, _)| *at);
    done.into_iter().map(|(_, result)| result).collect()
}

/// How often each rule is marked on each line of a file.
fn marked(path: &Path, sign: &str, found: &mut BTreeMap<(String, usize, String), usize>) {
    let Ok(text) = fs::read_to_string(path) else { return };
    for (at, line) in text.lines().enumerate() {
        for rule in line.split(sign).skip(1) {
            let key = (path.display().to_string(), at + 1, rule.trim().to_owned());
            *found.entry(key).or_default() += 1;
        }
    }
}

#[test]
fn each_planted_fault_is_found_where_it_is_and_nothing_else() {
    let write = std::env::var_os("KNOCKDOWN_WRITE_EXPECTED").is_some();
    let cases = checked_cases();
    assert!(cases.len() >= 50, "{} cases", cases.len());
    let mut wrong = Vec::new();
    for (path, Found { rules: found, text }) in cases {
        let mut planted = BTreeMap::new();
        marked(&path, "//~ ", &mut planted);
        marked(&path.with_extension("session.toml"), "#~ ", &mut planted);
        if found != planted {
            wrong.push(format!("{}\n  planted {planted:?}\n  found   {found:?}\n{text}", path.display()));
        }
        let beside = path.with_extension("txt");
        if write {
            fs::write(&beside, &text).unwrap();
        } else if fs::read_to_string(&beside).unwrap_or_default() != text {
            wrong.push(format!("not as in {}:\n{text}", beside.display()));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// The head of the room has every rule, and no other.
#[test]
fn every_rule_is_described() {
    let page = fs::read_to_string("src/review/mod.rs").unwrap();
    let table = page.split("**What `check` finds.**").nth(1).unwrap().split("\n//!\n").nth(1).unwrap();
    let heads = table.lines().skip(2).map(|row| row.split('|').nth(1).unwrap());
    let described: BTreeSet<&str> = heads.flat_map(|head| head.split('`').skip(1).step_by(2)).collect();
    let mut planted = BTreeMap::new();
    for path in cases() {
        marked(&path, "//~ ", &mut planted);
        marked(&path.with_extension("session.toml"), "#~ ", &mut planted);
    }
    let mut known: BTreeSet<&str> = planted.keys().map(|(.., rule)| rule.as_str()).collect();
    // Those of tools are tried with tools; the other would be a defect.
    known.extend(["example", "guard-missed"]);
    assert_eq!(described, known);
}

/// The answers that are shown lead there when they are played, as they stand, from a file of answers.
#[test]
fn the_answers_shown_are_a_file_of_answers_that_leads_there() {
    let home = tempfile::tempdir().unwrap();
    fs::create_dir_all(home.path().join("recipes")).unwrap();
    for name in
        ["unknown-grade-on-a-path", "far-memory", "order-matters", "threshold-number", "threshold-weight", "key-twice"]
    {
        let path = PathBuf::from(format!("tests/check/{name}.rhai"));
        fs::copy(&path, home.path().join(format!("recipes/{name}.rhai"))).unwrap();
        for placed in check_files(&[path]).remove(0).findings {
            let lines = placed.finding.answers.iter().map(|answer| format!("{:?} = {:?}\n", answer.name, answer.typed));
            let answers = home.path().join("answers.toml");
            fs::write(&answers, lines.collect::<String>()).unwrap();
            let out = knockdown(
                home.path(),
                &["bench", name, "--yard", "ellerwinkel", "--answers", answers.to_str().unwrap()],
            );
            let said = String::from_utf8(out.stderr).unwrap();
            assert!(said.contains(&placed.finding.message), "{name}: {said}");
            assert!(said.contains(&format!(":{}:", placed.finding.mark.line)), "{name}: {said}");
        }
    }
}

fn knockdown(home: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_knockdown"))
        .args(arguments)
        .env("KNOCKDOWN_HOME", home)
        .env("KNOCKDOWN_CLOCK", NOW)
        .env_remove("COLUMNS")
        .env("NO_COLOR", "1")
        .output()
        .unwrap()
}

fn json(out: &Output) -> serde_json::Value {
    serde_json::from_slice(&out.stdout).unwrap_or_else(|error| panic!("{error}: {out:?}"))
}

#[test]
fn what_is_shipped_is_sound_and_every_way_through_it_is_looked_at() {
    let home = tempfile::tempdir().unwrap();
    let world = world(home.path());
    let subjects = Subject::all(&world).unwrap();
    assert!(subjects.len() >= 7, "{}", subjects.len());
    let bounds = Bounds { time: Duration::from_secs(600), ..Bounds::default() };
    // A script host belongs to one thread.
    on_all_processors(&subjects, |subject| {
        let one = check(&self::world(home.path()), std::slice::from_ref(subject), bounds).unwrap().remove(0);
        println!(
            "{:<28} {:>6} ms  {:?}",
            one.id,
            one.took.as_millis(),
            one.coverage.as_ref().map(|c| (c.runs, c.situations))
        );
        let doubts = one.count(Severity::Error) + one.count(Severity::Warning);
        assert_eq!(doubts, 0, "{}", findings::text(&one, false, 100));
        if let Some(coverage) = &one.coverage {
            assert!(coverage.complete, "{}: {:?}", one.id, coverage.left);
            assert!(one.test_answers.is_some_and(|answers| answers > 20), "{}", one.id);
        }
    });
}

#[test]
fn exit_codes_and_json_tell_the_same() {
    let home = tempfile::tempdir().unwrap();
    let sound = knockdown(home.path(), &["check", "tests/check/clean-work.rhai", "--format", "json"]);
    assert_eq!(sound.status.code(), Some(0), "{sound:?}");
    let document = json(&sound);
    assert_eq!((&document["format"], &document["version"]), (&"knockdown-check".into(), &1.into()));
    assert_eq!(document["scripts"][0]["findings"], serde_json::json!([]));
    assert_eq!(document["scripts"][0]["coverage"]["complete"], true);

    let faulty = knockdown(home.path(), &["check", "tests/check/unknown-grade-on-a-path.rhai", "--format", "json"]);
    assert_eq!(faulty.status.code(), Some(3), "{faulty:?}");
    let document = json(&faulty);
    assert_eq!(document["errors"], 1);
    let finding = &document["scripts"][0]["findings"][0];
    assert_eq!((&finding["severity"], &finding["rule"]), (&"error".into(), &"script".into()));
    assert_eq!(finding["line"], 11);
    let last = finding["answers"].as_array().unwrap().last().unwrap();
    assert_eq!(last, &serde_json::json!({ "question": "cord/magnet", "answer": "no" }));

    let doubtful = knockdown(home.path(), &["check", "tests/check/names-alike.rhai"]);
    assert_eq!(doubtful.status.code(), Some(0), "warnings are no errors: {doubtful:?}");
    let missing = knockdown(home.path(), &["check", "no-such-thing"]);
    assert_eq!(missing.status.code(), Some(2), "{missing:?}");
    let no_file = knockdown(home.path(), &["check", "no/such.rhai"]);
    assert_eq!(no_file.status.code(), Some(1), "{no_file:?}");
}

#[test]
fn a_bound_is_told_and_what_was_left() {
    let home = tempfile::tempdir().unwrap();
    let out = knockdown(home.path(), &["check", "desktop-computer", "--bound", "50", "--format", "json"]);
    let document = json(&out);
    let coverage = &document["scripts"][0]["coverage"];
    assert_eq!(coverage["complete"], false);
    let left = coverage["left"].to_string();
    assert!(left.contains("the bound of 50 runs is reached") && left.contains("never begun by then"), "{left}");
}

#[test]
fn a_copy_of_ones_own_is_told_from_the_shipped_one() {
    let home = tempfile::tempdir().unwrap();
    assert!(knockdown(home.path(), &["copy", "corded-tool"]).status.success());
    let world = world(home.path());
    let one = check(&world, &[Subject::find(&world, "corded-tool").unwrap()], Bounds::default()).unwrap().remove(0);
    let note = one.findings.iter().find(|placed| placed.finding.rule == "clash").unwrap();
    assert_eq!(note.finding.severity, Severity::Note);
    assert!(note.finding.message.contains("in place of the shipped recipe"), "{}", note.finding.message);
}
