//! Fuzz of every reader of text from outside: samples changed at random, always the same way. The
//! ordinary run tries a tenth of each; a campaign (`cargo test -- --ignored`) all, or a multiple, `FUZZ_ROUNDS`, and from another seed,
//! `FUZZ_SEED`. A failure prints its input.

#![allow(clippy::unwrap_used, clippy::new_without_default, reason = "a test may fail by panicking")]

mod mutation;
mod program;
mod targets;

use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;

use mutation::{Chance, changed};
use targets::TARGETS;

fn variable(name: &str, usual: u64) -> u64 {
    std::env::var(name).ok().and_then(|text| text.parse().ok()).unwrap_or(usual)
}

/// The files of a folder that end so.
fn files(folder: &str, ending: &str) -> Vec<Vec<u8>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
    let mut paths: Vec<_> =
        fs::read_dir(folder).expect("a folder").map(|entry| entry.expect("an entry").path()).collect();
    paths.retain(|path| path.to_string_lossy().ends_with(ending));
    paths.sort();
    paths.iter().map(|path| fs::read(path).expect("read")).collect()
}

fn lines(text: &str) -> Vec<Vec<u8>> {
    text.lines().map(|line| line.as_bytes().to_vec()).collect()
}

/// What each reader reads in earnest, and how many changed samples it gets in a campaign.
fn samples(target: &str) -> (Vec<Vec<u8>>, u64) {
    match target {
        "quantities" => (lines(include_str!("quantities.txt")), 40_000),
        "questions" => (lines(include_str!("quantities.txt")), 8_000),
        "logs" => (files("tests/store", "version-1.toml"), 3_000),
        "settings" => ([files("recipes", ".session.toml"), lines(include_str!("settings.txt"))].concat(), 4_000),
        "bundles" => (files("tests/fuzz", "bundle.toml"), 2_000),
        "recipes" => ([files("recipes", ".rhai"), files("tests/hostile/recipes", ".rhai")].concat(), 1_500),
        "yards" => ([files("scripts/yards", ".rhai"), files("tests/hostile/yards", ".rhai")].concat(), 800),
        "programs" => ((0..255_u8).map(|byte| [byte; 60].to_vec()).collect(), 1_500),
        other => panic!("no samples for {other}"),
    }
}

/// Programs need all bytes alike.
fn input(target: &str, chance: &mut Chance, samples: &[Vec<u8>]) -> Vec<u8> {
    match target {
        "programs" => (0..24 + chance.below(200)).map(|_| u8::try_from(chance.below(256)).unwrap_or(0)).collect(),
        _ => changed(chance, samples),
    }
}

/// Fuzzes a reader on the stack that the program has, with so many changed samples for each hundred of a campaign.
fn fuzz(target: &str, share: u64) {
    knockdown::script::on_a_deep_stack(|| try_all(target, share)).expect("a thread");
}

fn try_all(target: &str, share: u64) {
    let act = TARGETS.iter().find(|(name, _)| *name == target).expect("a target").1;
    let (samples, usual) = samples(target);
    let seed = variable("FUZZ_SEED", 1);
    let mut chance = Chance::new(seed);
    for round in 0..usual * share / 100 {
        let data = input(target, &mut chance, &samples);
        let ended = catch_unwind(AssertUnwindSafe(|| act(&data)));
        assert!(ended.is_ok(), "{target}, seed {seed}, round {round}: {:?}", String::from_utf8_lossy(&data));
    }
}

/// A tenth of each, from the usual seed.
mod sample {
    #[test]
    fn quantities() {
        super::fuzz("quantities", 10);
    }

    #[test]
    fn questions() {
        super::fuzz("questions", 10);
    }

    #[test]
    fn logs() {
        super::fuzz("logs", 10);
    }

    #[test]
    fn settings() {
        super::fuzz("settings", 10);
    }

    #[test]
    fn bundles() {
        super::fuzz("bundles", 10);
    }

    #[test]
    fn recipes() {
        super::fuzz("recipes", 10);
    }

    #[test]
    fn yards() {
        super::fuzz("yards", 10);
    }

    #[test]
    fn programs() {
        super::fuzz("programs", 10);
    }
}

/// All of each, or a multiple.
mod campaign {
    fn fuzz(target: &str) {
        super::fuzz(target, 100 * super::variable("FUZZ_ROUNDS", 1));
    }

    #[test]
    #[ignore = "a campaign"]
    fn quantities() {
        fuzz("quantities");
    }

    #[test]
    #[ignore = "a campaign"]
    fn questions() {
        fuzz("questions");
    }

    #[test]
    #[ignore = "a campaign"]
    fn logs() {
        fuzz("logs");
    }

    #[test]
    #[ignore = "a campaign"]
    fn settings() {
        fuzz("settings");
    }

    #[test]
    #[ignore = "a campaign"]
    fn bundles() {
        fuzz("bundles");
    }

    #[test]
    #[ignore = "a campaign"]
    fn recipes() {
        fuzz("recipes");
    }

    #[test]
    #[ignore = "a campaign"]
    fn yards() {
        fuzz("yards");
    }

    #[test]
    #[ignore = "a campaign"]
    fn programs() {
        fuzz("programs");
    }
}
