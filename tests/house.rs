//! The house keeps its own rules: how large files and functions are, which room may know which, what pure rooms never touch.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::fs;
use std::path::{Path, PathBuf};

/// The rooms by floor. A room may use rooms of lower floors and itself, nothing else.
const FLOORS: &[&[&str]] = &[
    &["naming", "quantity", "stats"],
    &["recipe", "market", "plan", "stock", "finder", "scale"],
    &["bench", "tool"],
    &["review"],
    &["script", "store", "port"],
    &["world"],
    &["pricing"],
    &["sessions"],
    &["trips"],
    &["authoring"],
    &["shell"],
    &["cli"],
];

/// Rooms without file, clock, terminal, environment or script engine.
const PURE: [&str; 12] =
    ["naming", "quantity", "stats", "recipe", "market", "plan", "stock", "finder", "scale", "bench", "tool", "review"];

/// What pure rooms never name.
const IMPURE: [&str; 12] = [
    "std::fs",
    "std::env",
    "std::net",
    "std::process",
    "std::io",
    "std::thread",
    "SystemTime",
    "Instant",
    "Timestamp::now",
    "rhai",
    "crossterm",
    "reedline",
];

/// A source file: its path below `src` or `tests`, its text.
struct Source {
    path: PathBuf,
    text: String,
}

impl Source {
    fn room(&self) -> &str {
        let first = self.path.components().next().unwrap().as_os_str().to_str().unwrap();
        first.strip_suffix(".rs").unwrap_or(first)
    }

    fn lines(&self) -> usize {
        self.text.lines().count()
    }

    /// Lines of code with their numbers, comments left out.
    fn code(&self) -> impl Iterator<Item = (usize, &str)> {
        let lines = self.text.lines().enumerate().map(|(place, line)| (place + 1, line));
        lines.filter(|(_, line)| !line.trim_start().starts_with("//"))
    }
}

fn sources() -> Vec<Source> {
    let found = files_of("src");
    assert!(found.len() > 100, "the sources were found");
    found
}

/// The files of Rust below a folder.
fn files_of(folder: &str) -> Vec<Source> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
    let mut found = Vec::new();
    let mut folders = vec![root.clone()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|extension| extension == "rs") {
                let text = fs::read_to_string(&path).unwrap();
                found.push(Source { path: path.strip_prefix(&root).unwrap().to_owned(), text });
            }
        }
    }
    found
}

/// The rooms that a line names.
fn rooms_named(line: &str) -> Vec<&str> {
    let named = line.split("crate::").skip(1);
    named.map(|rest| rest.split(|c: char| !c.is_alphanumeric() && c != '_').next().unwrap_or_default()).collect()
}

#[test]
fn files_can_be_read_in_one_sitting() {
    let sources = sources();
    let over = |limit: usize| {
        sources.iter().filter(move |file| file.lines() > limit).map(|file| file.path.display().to_string())
    };
    assert_eq!(over(800).collect::<Vec<_>>(), Vec::<String>::new(), "over 800 lines");
    let long: Vec<String> = over(400).collect();
    assert!(long.len() * 10 <= sources.len(), "more than a tenth of the files are over 400 lines: {long:?}");
}

/// Lines of code without comments, blanks and unit tests. The house is large enough: 42,500 is what is wanted, and this number
/// goes down, never up.
const MOST_LINES: usize = 44_650;

#[test]
fn the_house_does_not_grow() {
    let lines = |file: &Source| {
        let code = file.text.split("#[cfg(test)]\nmod tests {").next().unwrap().lines().map(str::trim);
        code.filter(|line| !line.is_empty() && !line.starts_with("//")).count()
    };
    let all: usize = sources().iter().filter(|file| !file.path.ends_with("tests.rs")).map(lines).sum();
    assert!(all <= MOST_LINES, "{all} lines of code, {} more than there may be", all - MOST_LINES);
    assert!(all + 500 > MOST_LINES, "{all} lines of code: set the bound lower");
}

#[test]
fn functions_are_short() {
    let mut long = Vec::new();
    let mut seen = 0;
    // Tables of cases, which files of tests hold, may be as long as there are cases.
    for file in sources().iter().filter(|file| !file.path.ends_with("tests.rs")) {
        let mut open: Option<(usize, String, String)> = None;
        for (number, line) in file.text.lines().enumerate() {
            let bare = line.trim_start();
            let indent = &line[..line.len() - bare.len()];
            match &open {
                Some((start, end, name)) if line == end => {
                    seen += 1;
                    let lines = number - start + 1;
                    if lines > 70 {
                        long.push(format!("{}:{}: {name} has {lines} lines", file.path.display(), start + 1));
                    }
                    open = None;
                }
                None if is_function(bare) && !bare.ends_with('}') && !bare.ends_with(';') => {
                    open = Some((number, format!("{indent}}}"), bare.to_owned()));
                }
                _ => {}
            }
        }
    }
    assert!(seen > 800, "functions were found: {seen}");
    assert_eq!(long, Vec::<String>::new());
}

/// Whether a line begins a function.
fn is_function(line: &str) -> bool {
    let mut words =
        line.split_whitespace().skip_while(|word| word.starts_with("pub") || matches!(*word, "const" | "async" | "in"));
    words.next() == Some("fn")
}

#[test]
fn arrows_point_down() {
    let floor = |room: &str| FLOORS.iter().position(|rooms| rooms.contains(&room));
    for file in sources().iter().filter(|file| file.path.components().count() > 1 || file.room() == "naming") {
        let own = file.room();
        let from = floor(own).unwrap_or_else(|| panic!("the room {own} has no floor"));
        for (number, line) in file.code() {
            for room in rooms_named(line) {
                let place = format!("{}:{number}", file.path.display());
                let to = floor(room).unwrap_or_else(|| panic!("{place} names {room:?}, which is no room: {line}"));
                assert!(to < from || room == own, "{place}: {own} may not know {room}");
            }
        }
    }
}

#[test]
fn pure_rooms_stay_pure() {
    for file in sources().iter().filter(|file| PURE.contains(&file.room())) {
        for (number, line) in file.code() {
            let seen = IMPURE.iter().find(|word| line.contains(*word));
            assert_eq!(seen, None, "{}:{number}: {line}", file.path.display());
        }
    }
}

#[test]
fn there_is_no_room_for_odds_and_ends() {
    for file in sources() {
        let name = file.path.to_string_lossy();
        for word in ["util", "helper", "common", "manager", "misc"] {
            assert!(!name.contains(word), "{name}");
        }
    }
}

/// A file of tests that nobody names is never compiled, and nothing would say so: targets are named in the manifest, not found.
#[test]
fn every_file_of_tests_is_reached_from_a_target() {
    let manifest = include_str!("../Cargo.toml");
    let files = files_of("tests");
    let names = |file: &Source| file.path.with_extension("").to_string_lossy().replace('\\', "/");
    for file in &files {
        let name = names(file);
        let (folder, own) = name.rsplit_once('/').unwrap_or(("", &name));
        let is_target = manifest.contains(&format!("name = \"{}\"\n", if own == "main" { folder } else { own }));
        let own = if own == "mod" { folder } else { own };
        let is_named = files.iter().filter(|other| other.path != file.path).any(|other| {
            let of_the_folder =
                Path::new(&names(other)).parent() == file.path.parent() || file.path.ends_with("mod.rs");
            let as_module = || other.text.lines().any(|line| line.trim_start_matches("pub ") == format!("mod {own};"));
            // The shim is compiled by the test that loads it.
            of_the_folder && as_module() || other.text.contains(&format!("\"/tests/{name}.rs\""))
        });
        assert!(
            is_target || is_named,
            "tests/{name}.rs is compiled by no target: name it in tests/pure.rs or tests/program.rs"
        );
    }
    assert!(files.len() > 100, "the tests were found");
}
