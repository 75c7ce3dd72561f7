//! What the README shows is what the program prints, and what it says to type is understood.
//!
//! A fenced block behind `<!-- shows: ARGUMENTS -->` must equal the output of the program with those arguments, at 80 columns
//! and with the clock standing still; with `, from: WORDS, to: WORDS` what stands from the line on that begins with the first words
//! up to one that begins with the others. The picture is a real screen of the bench. To renew both:
//! `UPDATE_README=1 cargo test --test program readme`.

#![allow(clippy::unwrap_used, reason = "a test may fail by panicking")]

#[cfg(unix)]
mod picture;

use std::fs;
use std::path::Path;
use std::process::Command;

const MARK: &str = "<!-- shows: ";

fn output(arguments: &str, home: &Path) -> String {
    let run = Command::new(env!("CARGO_BIN_EXE_knockdown"))
        .args(arguments.split_whitespace())
        .env_clear()
        .env("KNOCKDOWN_HOME", home)
        .env("KNOCKDOWN_CLOCK", "2026-11-02T10:00:00Z")
        .env("COLUMNS", "80")
        .output()
        .unwrap();
    assert!(run.status.success(), "{arguments}: {}", String::from_utf8_lossy(&run.stderr));
    String::from_utf8(run.stdout).unwrap()
}

/// What a mark says that the program shows: all of it, or what stands from a line on.
fn shown(mark: &str, home: &Path) -> String {
    let Some((arguments, from)) = mark.split_once(", from: ") else { return output(mark, home) };
    let (from, to) = from.split_once(", to: ").expect("where it ends");
    let all = output(arguments, home);
    let line =
        |words: &str| all.find(&format!("\n{words}")).unwrap_or_else(|| panic!("no line begins with {words}:\n{all}"));
    format!("{}\n", all[line(from) + 1..line(to)].trim_end())
}

/// Whatever the tour says to type is understood, in a folder with sessions: it may fail for want of a person who answers, never
/// because the command line means nothing.
#[test]
fn every_command_of_the_tour_is_understood() {
    let readme = include_str!("../../README.md");
    let tour = readme.lines().filter(|line| line.starts_with("| ") && line.contains('`'));
    let mut tried = 0;
    for command in tour.flat_map(|line| line.split('`').skip(1).step_by(2)) {
        let stands_for_another = |word: &str| word.chars().all(|letter| letter.is_ascii_uppercase());
        if command.split(' ').any(stands_for_another) {
            continue;
        }
        let bench = crate::bench::Bench::new();
        crate::folders::copy_folder(Path::new("tests/old_formats/0.1.0-shipped/home"), &bench.path("home"));
        let words = shlex::split(command).unwrap();
        let mut arguments: Vec<&str> = words.iter().map(String::as_str).collect();
        arguments.push("--no-input");
        let ended = bench.call(&arguments).run();
        assert!(!ended.is_misread(), "{command}: {}", ended.err);
        tried += 1;
    }
    assert!(tried >= 35, "{tried}");
}

/// The README with every shown block replaced by what the program prints, and the number of blocks.
fn renewed(readme: &str, home: &Path) -> (String, usize) {
    let mut lines = readme.lines();
    let mut text = String::new();
    let mut blocks = 0;
    while let Some(line) = lines.next() {
        text.push_str(line);
        text.push('\n');
        if let Some(mark) = line.strip_prefix(MARK).and_then(|rest| rest.strip_suffix(" -->")) {
            assert_eq!(lines.next(), Some("```text"), "a block must follow {line}");
            lines.by_ref().find(|line| *line == "```").expect("the block must end");
            text.push_str(&format!("```text\n{}```\n", shown(mark, home)));
            blocks += 1;
        }
    }
    (text, blocks)
}

#[test]
fn every_shown_block_is_what_the_program_prints() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md");
    let readme = fs::read_to_string(&path).unwrap();
    let home = tempfile::tempdir().unwrap();
    let (renewed, blocks) = renewed(&readme, home.path());
    assert!(blocks >= 1, "the README shows at least one real output");
    if std::env::var_os("UPDATE_README").is_some() {
        fs::write(&path, renewed).unwrap();
    } else if readme != renewed {
        let wrong = readme.lines().zip(renewed.lines()).find(|(old, new)| old != new);
        panic!("the README shows something else than the program prints: {wrong:?}; renew it with UPDATE_README=1");
    }
}

#[test]
fn every_command_stands_in_the_tour() {
    let readme = include_str!("../../README.md");
    let home = tempfile::tempdir().unwrap();
    let help = output("--help", home.path());
    let commands = help.lines().skip_while(|line| *line != "Commands:").skip(1).take_while(|line| !line.is_empty());
    // What a command does goes on in lines that are indented further.
    let heads = commands.filter_map(|line| line.strip_prefix("  ").filter(|rest| !rest.starts_with(' ')));
    let names: Vec<&str> = heads.filter_map(|head| head.split_whitespace().next()).collect();
    assert!(names.len() > 30, "{help}");
    let stands = |name: &&str| readme.contains(&format!("`{name}`")) || readme.contains(&format!("`{name} "));
    let missing: Vec<&str> = names.into_iter().filter(|name| *name != "help" && !stands(name)).collect();
    assert!(missing.is_empty(), "the README does not name {missing:?}");
}
