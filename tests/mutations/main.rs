//! Whether the tests of the store would notice: each mutation takes one safeguard out of a copy of the program, and named
//! tests have to fail then.
//!
//! The copy is built once, with every mutation in it behind a switch; without the switch the named tests have to pass. It
//! takes a build and some minutes, so it runs only when asked: `cargo test --test mutations -- --ignored --nocapture`.
//! The ordinary run holds that every mutation still has its place and its tests.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

#[path = "../old_formats/folders.rs"]
mod folders;
mod table;

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use folders::copy_folder;
use table::{MUTATIONS, Mutation};

/// The variable that switches a mutation on, in the copy only.
const SWITCH: &str = "KNOCKDOWN_MUTANT";

/// What the copy has besides: the switch.
const SWITCH_CODE: &str = "
/// Whether a mutation is switched on.
fn mutant(name: &str) -> bool {
    std::env::var_os(\"KNOCKDOWN_MUTANT\").is_some_and(|value| value == name)
}
";

/// The manifest of the copy: the library and its tests of the store, nothing else.
fn manifest(text: &str) -> String {
    let targets = text.find("[lib]").unwrap();
    let profiles = text.find("[profile.").unwrap();
    let store = "[[test]]\nname = \"store\"\n\n";
    let kept = format!("{}{store}{}", &text[..targets], &text[profiles..]);
    kept.lines().filter(|line| !line.starts_with("default-run")).map(|line| format!("{line}\n")).collect()
}

/// A copy of the program with every mutation in it.
fn mutated_copy(root: &Path, to: &Path) {
    for folder in ["src", "scripts", "recipes", "tests/store"] {
        copy_folder(&root.join(folder), &to.join(folder));
    }
    std::fs::remove_file(to.join("src/main.rs")).unwrap();
    std::fs::copy(root.join("Cargo.lock"), to.join("Cargo.lock")).unwrap();
    let text = std::fs::read_to_string(root.join("Cargo.toml")).unwrap();
    std::fs::write(to.join("Cargo.toml"), manifest(&text)).unwrap();
    for mutation in &MUTATIONS {
        mutate(to, mutation);
    }
    let lib = to.join("src/lib.rs");
    let text = std::fs::read_to_string(&lib).unwrap();
    std::fs::write(&lib, text + SWITCH_CODE).unwrap();
}

/// Puts one mutation in its place, which must be there exactly once: a mutation that no longer fits the code is a fault of
/// the table.
fn mutate(root: &Path, mutation: &Mutation) {
    let path = root.join(mutation.file);
    let text = std::fs::read_to_string(&path).unwrap();
    let count = text.matches(mutation.code).count();
    assert_eq!(count, 1, "{}: {} has {count} places like\n{}", mutation.name, mutation.file, mutation.code);
    let condition = format!("crate::mutant(\"{}\")", mutation.name);
    let mutated = mutation.mutated.replace("MUTANT", &condition);
    std::fs::write(&path, text.replace(mutation.code, &mutated)).unwrap();
}

/// Runs tests of the copy, with a mutation switched on or with none.
fn run_tests(copy: &Path, target: &Path, tests: &[&str], mutation: Option<&str>) -> Output {
    let mut command = Command::new(env!("CARGO"));
    command.args(["test", "--locked", "--test", "store", "--"]).args(tests).current_dir(copy);
    command.env("CARGO_TARGET_DIR", target).env_remove(SWITCH);
    if let Some(name) = mutation {
        command.env(SWITCH, name);
    }
    command.output().unwrap()
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned() + &String::from_utf8_lossy(&output.stderr)
}

#[test]
fn every_mutation_has_its_place_and_its_tests() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let folder = tempfile::tempdir().unwrap();
    let copy = folder.path().join("knockdown");
    mutated_copy(root, &copy);
    for test in MUTATIONS.iter().flat_map(|mutation| mutation.tests) {
        let (module, name) = test.split_once("::").unwrap();
        let text = std::fs::read_to_string(root.join(format!("tests/store/{module}.rs"))).unwrap();
        assert!(text.contains(&format!("fn {name}(")), "{test} is not there");
    }
}

#[test]
#[ignore = "a campaign"]
fn every_mutation_is_noticed() {
    let root = PathBuf::from(env!("CARGO_MANIFEST_DIR"));
    // Beside the target folder's own builds, so that dependencies are not built again.
    let target = Path::new(env!("CARGO_TARGET_TMPDIR")).parent().unwrap().to_owned();
    let folder = tempfile::tempdir().unwrap();
    let copy = folder.path().join("knockdown");
    mutated_copy(&root, &copy);

    let mut named: Vec<&str> = MUTATIONS.iter().flat_map(|mutation| mutation.tests).copied().collect();
    named.sort_unstable();
    named.dedup();
    let control = run_tests(&copy, &target, &named, None);
    assert!(control.status.success(), "without a mutation the tests have to pass:\n{}", said(&control));
    let all_ran = said(&control).contains(&format!("{} passed; 0 failed", named.len()));
    assert!(all_ran, "a test that the table names is not there:\n{}", said(&control));

    let mut unnoticed = Vec::new();
    for mutation in &MUTATIONS {
        let output = said(&run_tests(&copy, &target, mutation.tests, Some(mutation.name)));
        let failed: Vec<&str> = output.lines().filter(|line| line.ends_with("... FAILED")).collect();
        println!("{:<32} {}", mutation.name, if failed.is_empty() { "NOT NOTICED" } else { "noticed" });
        failed.iter().for_each(|line| println!("{:<32}   {line}", ""));
        if failed.is_empty() {
            unnoticed.push(format!("{}:\n{output}", mutation.name));
        }
    }
    assert!(unnoticed.is_empty(), "{}", unnoticed.join("\n"));
    println!("{} mutations, each noticed", MUTATIONS.len());
}
