//! Every JSON document that the program writes, held against its schema in this folder: `FORMAT-VERSION.json`.
//!
//! The schemas are part of what is promised to other programs: whoever changes a document so that a reader of the former one
//! would fail gives it a new version and a schema of its own beside the old.

#![allow(clippy::unwrap_used, reason = "a test may stop at a value that must be there")]

mod schema;

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use serde_json::Value;
use tempfile::TempDir;

use crate::folders::copy_folder;
use schema::Schema;

fn source(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

fn schema_file(document: &Value) -> String {
    format!("{}-{}.json", document["format"].as_str().unwrap(), document["version"].as_u64().unwrap())
}

fn schema(file: &str) -> Schema {
    Schema::read(&fs::read_to_string(source("tests/schemas").join(file)).unwrap_or_else(|_| panic!("no schema {file}")))
}

/// A person's folder of a former version, which holds something of everything.
struct Folder(TempDir);

impl Folder {
    fn new() -> Folder {
        let folder = Folder(TempDir::new().unwrap());
        copy_folder(&source("tests/old_formats/0.1.0-cut/home"), &folder.home());
        for (shelf, word, kind) in [("recipes", "unit", "recipe"), ("yards", "yard", "yard")] {
            let write = |id: &str, text: String| fs::write(folder.home().join(shelf).join(format!("{id}.rhai")), text);
            write(&format!("broken-{kind}"), format!("{word}(\"broken-{kind}\"")).unwrap();
            write(&format!("newer-{kind}"), format!("{word}(\"newer-{kind}\", \"Newer\").needs_api(99);")).unwrap();
        }
        folder
    }

    fn home(&self) -> PathBuf {
        self.0.path().join("home")
    }

    fn run(&self, arguments: &[&str]) -> Output {
        let mut command = Command::new(env!("CARGO_BIN_EXE_knockdown"));
        command.args(arguments).current_dir(self.0.path()).env_clear();
        command.env("KNOCKDOWN_HOME", self.home()).env("KNOCKDOWN_CLOCK", "2026-11-02T10:00:00Z").output().unwrap()
    }

    fn json(&self, arguments: &[&str]) -> Value {
        let out = self.run(&[arguments, &["--format", "json"]].concat());
        serde_json::from_slice(&out.stdout)
            .unwrap_or_else(|error| panic!("{arguments:?}: {error}\n{}", String::from_utf8_lossy(&out.stderr)))
    }
}

/// Calls that write every document, most of them several times over different things.
fn calls() -> Vec<Vec<String>> {
    let file = |path: &str| source(path).display().to_string();
    let (depth, load) = (file("tests/cases/depth-closure-001.json"), file("tests/cases/load-basic-001.json"));
    let answers = file("recipes/countertop-oven.session.toml");
    let ticket = file("tests/old_formats/0.1.0-cut/ticket.answers.toml");
    let lines = [
        "tally risky-1",
        "tally risky-2",
        "tally test-box-1",
        "tally test-box-2",
        "tally test-box-3 --yard hollow-lane",
        "tally test-box-4 --date 2026-11-20",
        "demo countertop-oven",
        "demo ups-sealed-lead --yard ellerwinkel",
        "bench countertop-oven --answers ANSWERS",
        "recipes",
        "recipes --by gain",
        "yards",
        "tools",
        "find-grade magnet=no",
        "stock",
        "stock --by lot",
        "stock --by bin --yard hollow-lane",
        "plan corded-tool",
        "plan test-box --yard hollow-lane --yard fixed-yard --floor 15/h --minutes 5",
        "plan --problem DEPTH",
        "load --trip-cost 0 --seconds 1",
        "load --yard hollow-lane --yard fixed-yard --trip-cost 0 --seconds 1",
        "load --problem LOAD",
        "settle --yard fixed-yard --check --answers TICKET",
        "prices steel-light",
        "prices copper-2",
        "prices",
        "check risky --bound 40 --seconds 2",
        "check broken-recipe",
        "replay --all",
        "replay --all --yard hollow-lane --floor 20 --recipe-revision now",
        "compare test-box",
        "compare risky --with home",
    ];
    let fill = |word: &str| match word {
        "ANSWERS" => answers.clone(),
        "DEPTH" => depth.clone(),
        "LOAD" => load.clone(),
        "TICKET" => ticket.clone(),
        word => word.to_owned(),
    };
    lines.iter().map(|line| line.split(' ').map(fill).collect()).collect()
}

#[test]
fn every_document_keeps_to_its_schema() {
    let folder = Folder::new();
    let mut held = BTreeSet::new();
    let mut hold = |document: &Value, by: &str| {
        let file = schema_file(document);
        let faults = schema(&file).faults(document);
        assert_eq!(faults, Vec::<String>::new(), "{by} against {file}");
        held.insert(file);
    };
    // The ticket of the corpus is booked already; taken back, it can be entered again.
    assert!(folder.run(&["stock", "undo"]).status.success());
    for call in calls() {
        let call: Vec<&str> = call.iter().map(String::as_str).collect();
        hold(&folder.json(&call), &call.join(" "));
    }
    // A session that is laid aside and taken up has the same document.
    hold(&folder.json(&["resume", "test-box-3"]), "resume");
    assert!(folder.run(&["export", "test-box-1", "--out", "tables"]).status.success());
    let tables = fs::read_to_string(folder.0.path().join("tables/schema.json")).unwrap();
    hold(&serde_json::from_str(&tables).unwrap(), "export");
    let there: BTreeSet<String> = fs::read_dir(source("tests/schemas"))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| name.ends_with(".json"))
        .collect();
    assert_eq!(held, there, "every schema is held against a document");
}

#[test]
fn every_command_that_writes_json_is_held() {
    let folder = Folder::new();
    let help = String::from_utf8(folder.run(&["--help"]).stdout).unwrap();
    let listed = help.split("Commands:").nth(1).unwrap().split("Options:").next().unwrap();
    let commands = listed.lines().filter_map(|line| line.strip_prefix("  ")?.split(' ').next());
    let mut seen = 0;
    for command in commands.filter(|command| !command.is_empty() && *command != "help") {
        let help = String::from_utf8(folder.run(&[command, "--help"]).stdout).unwrap();
        if help.lines().any(|line| line.contains("--format") && line.contains("json") && !line.contains("ndjson")) {
            let held = command == "resume" || calls().iter().any(|call| call[0] == command);
            assert!(held, "`{command} --format json` is held against no schema");
            seen += 1;
        }
    }
    assert!(seen >= 14, "{seen} commands that write JSON were found");
}

#[test]
fn a_document_that_changed_would_be_noticed() {
    let document = Folder::new().json(&["tally", "test-box-1"]);
    let schema = schema("knockdown-tally-1.json");
    let changed = |change: &dyn Fn(&mut Value)| {
        let mut document = document.clone();
        change(&mut document);
        schema.faults(&document)
    };
    assert_eq!(changed(&|_| {}), Vec::<String>::new());
    assert_eq!(changed(&|tally| tally["version"] = 2.into()), ["/version is 2, not 1"]);
    assert_eq!(changed(&|tally| drop(tally.as_object_mut().unwrap().remove("net"))), ["/net is missing"]);
    assert_eq!(changed(&|tally| tally["net"] = 3.89.into()), ["/net is a number, not a string"]);
    assert_eq!(
        changed(&|tally| tally["net"] = "3,89".into()),
        ["/net is \"3,89\", which does not fit ^-?[0-9]+(\\.[0-9]+)?$"]
    );
    assert_eq!(changed(&|tally| tally["extra"] = Value::Null), ["/extra is not foreseen"]);
    assert_eq!(
        changed(&|tally| tally["lines"][0]["items"][0]["part"] = 1.into()),
        ["/lines/0/items/0/part is a number, not a string"]
    );
}
