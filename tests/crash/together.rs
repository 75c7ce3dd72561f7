//! Several processes at once.

use std::collections::BTreeSet;
use std::time::{Duration, Instant};

use knockdown::bench::Kind;
use knockdown::store::log::Ending;
use knockdown::store::{Home, Id};

use crate::bench::Bench;
use crate::sessions::{kept, lines};

/// Eight processes begin at the same moment and work through the same lines: each has a journal of its own, whole.
#[test]
fn sessions_that_begin_at_once_have_a_journal_each() {
    let bench = Bench::stocked();
    let lines = lines();
    let outputs: Vec<String> = std::thread::scope(|scope| {
        let work = |_| {
            scope.spawn(|| {
                let lines: Vec<&str> = lines.iter().map(String::as_str).collect();
                bench.work(&lines).exits(0).out
            })
        };
        let running: Vec<_> = (0..8).map(work).collect();
        running.into_iter().map(|thread| thread.join().unwrap()).collect()
    });
    let name = |output: &String| output.lines().next().unwrap().strip_prefix("Session ").unwrap().to_owned();
    let names: BTreeSet<String> = outputs.iter().map(name).collect();
    assert_eq!(names.len(), 8, "{names:?}");
    for name in &names {
        assert_eq!(kept(&bench, name, &lines), lines.len());
    }
    bench.run(&["doctor"]).exits(0).quietly();
}

/// Whoever lets go within a second is waited for; whoever does not is named.
#[test]
fn a_lock_is_waited_for_a_second() {
    let bench = Bench::stocked();
    let home = Home::at(bench.path("home"));
    let quote = ["quote", "brass", "3", "--yard", "fixed-yard"];
    bench.run(&quote).exits(0);
    let held = home.lock("noon").unwrap();
    std::thread::scope(|scope| {
        let waiting = scope.spawn(|| bench.run(&quote).exits(0).quietly());
        std::thread::sleep(Duration::from_millis(400));
        assert!(!waiting.is_finished(), "it did not wait");
        drop(held);
        drop(waiting.join().unwrap());
    });
    assert_eq!(home.quotes().unwrap().unwrap().records.len(), 2);
    let _held = home.lock("noon").unwrap();
    let begun = Instant::now();
    let ended = bench.run(&quote).exits(1);
    assert!(ended.err.contains("home/lock is in use by process"), "{}", ended.err);
    assert!(begun.elapsed() >= Duration::from_secs(1), "{:?}", begun.elapsed());
}

/// Two processes want the same session at the same moment: whoever is told that a remark was kept finds it there, once;
/// whoever is refused is told who works, and leaves nothing.
#[test]
fn two_that_take_up_the_same_session_do_not_mix() {
    let bench = Bench::stocked();
    bench.work(&["6 kg"]).exits(5);
    let id = "2026-11-02-test-box-1";
    let mut noted = Vec::new();
    let mut refused = 0;
    for round in 0..25 {
        let ended = std::thread::scope(|scope| {
            let bench = &bench;
            let resume = |who: &'static str| {
                let note = format!("{who} {round}");
                scope.spawn(move || (bench.feed(&["resume", id, "--plain"], &[&format!("note {note}")]), note))
            };
            [resume("first"), resume("second")].map(|thread| thread.join().unwrap())
        });
        for (ended, note) in ended {
            if ended.out.contains("Noted.") {
                noted.push(note);
            } else {
                assert!(ended.err.starts_with(&format!("error: home/sessions/{id}.lock is in use")), "{}", ended.err);
                refused += 1;
            }
        }
    }
    let reading = Home::at(bench.path("home")).session(&Id::new(id).unwrap()).unwrap();
    assert_eq!(reading.ending, Ending::Whole);
    let mut found: Vec<String> =
        reading.records.into_iter().filter(|entry| entry.kind == Kind::Note).filter_map(|entry| entry.typed).collect();
    found.sort();
    noted.sort();
    assert_eq!(found, noted);
    assert_eq!(found.len() + refused, 50);
}

/// Twenty processes keep a quote each: none is lost, none is there twice, whoever was refused was told.
#[test]
fn quotes_from_several_processes_are_all_there_or_refused() {
    let bench = Bench::stocked();
    bench.run(&["quote", "brass", "99", "--yard", "fixed-yard"]).exits(0);
    let kept: Vec<usize> = std::thread::scope(|scope| {
        let bench = &bench;
        let quote = |n: usize| {
            scope.spawn(move || {
                let price = n.to_string();
                let ended = bench.call(&["quote", "brass", &price, "--yard", "fixed-yard"]).run();
                let told = ended.out.contains(&format!("{n}.00"));
                assert!(told || ended.err.contains("home/lock is in use"), "{}{}", ended.out, ended.err);
                told.then_some(n)
            })
        };
        let running: Vec<_> = (1..=20).map(quote).collect();
        running.into_iter().filter_map(|thread| thread.join().unwrap()).collect()
    });
    let quotes = Home::at(bench.path("home")).quotes().unwrap().unwrap();
    let found: BTreeSet<String> = quotes.records.iter().skip(1).map(|quote| quote.price.clone()).collect();
    let wanted: BTreeSet<String> = kept.iter().map(|n| format!("{n}.00 CAD/kg")).collect();
    assert_eq!(found, wanted);
    assert_eq!(quotes.records.len(), kept.len() + 1);
    assert!(!kept.is_empty());
}
