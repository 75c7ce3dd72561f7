//! What the README shows is what the program prints.
//!
//! A fenced block behind `<!-- shows: ARGUMENTS -->` must equal the output of the program with those arguments, at 80 columns
//! and with the clock standing still. To renew the blocks: `UPDATE_README=1 cargo test --test program readme`.

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
    let all = output(arguments, home);
    let at = all.find(&format!("\n{from}")).unwrap_or_else(|| panic!("no line begins with {from}:\n{all}"));
    all[at + 1..].to_owned()
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
