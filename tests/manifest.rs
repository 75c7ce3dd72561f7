//! What the manifest promises: the notices name every crate of the program, and the package holds no more than it needs.

use std::process::Command;

/// What cargo prints, without asking the network.
fn cargo(arguments: &[&str]) -> String {
    let mut command = Command::new(env!("CARGO"));
    let output =
        command.args(arguments).args(["--locked", "--offline"]).current_dir(env!("CARGO_MANIFEST_DIR")).output();
    let output = output.unwrap();
    assert!(output.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

#[test]
fn the_notices_name_every_crate_of_the_program() {
    let format = ["--prefix", "none", "--format", "{p} | {l}"];
    // Of this system only: crates of other systems need not be there.
    let built = cargo(&[&["tree", "--edges", "normal,no-proc-macro"], &format[..]].concat());
    let listed = include_str!("../NOTICES.md").lines().skip_while(|line| *line != "```text");
    let named: Vec<&str> = listed.filter(|line| !line.starts_with("```")).collect();
    let mut count = 0;
    for line in built.lines().map(|line| line.trim_end_matches(" (*)")).filter(|line| !line.starts_with("knockdown ")) {
        assert!(named.contains(&line), "NOTICES.md does not say: {line}; it says how it is written anew");
        count += 1;
    }
    assert!(count > 50, "{built}");
    let locked = include_str!("../Cargo.lock");
    for line in &named {
        let (name, rest) = line.split_once(" v").unwrap();
        let version = rest.split_once(" | ").unwrap().0;
        let stands = format!("name = \"{name}\"\nversion = \"{version}\"\n");
        assert!(locked.contains(&stands), "NOTICES.md says {line}, which is in no build");
    }
}

#[test]
fn the_package_holds_what_the_program_is_built_from_and_no_tests() {
    let list = cargo(&["package", "--list", "--allow-dirty"]);
    let files: Vec<&str> = list.lines().collect();
    for wanted in
        ["Cargo.lock", "Cargo.toml", "NOTICES.md", "LICENSE-MIT", "LICENSE-APACHE", "README.md", "src/main.rs"]
    {
        assert!(files.contains(&wanted), "{wanted} is missing");
    }
    for folder in ["recipes/", "scripts/yards/", "scripts/catalogue/tables/"] {
        assert!(files.iter().any(|file| file.starts_with(folder)), "nothing of {folder}");
    }
    let tests: Vec<&&str> = files
        .iter()
        .filter(|file| (file.starts_with("tests/") && !file.starts_with("tests/readme/")) || file.starts_with(".ci/"))
        .collect();
    assert!(tests.is_empty(), "{tests:?}");
}
