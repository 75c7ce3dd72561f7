//! Bad journals: each named, none stops the rest.

use sha2::{Digest, Sha256};

use super::Folder;

#[test]
fn every_bad_journal_is_named_and_the_rest_is_replayed() {
    let folder = Folder::new();
    let sound = folder.oven("2026-11-03", "8 lb", None);
    let text = std::fs::read_to_string(&sound).unwrap();
    let sessions = folder.path().join("sessions");
    let named = |day: &str| text.replace("2026-11-03-countertop-oven-1", &format!("{day}-countertop-oven-1"));
    let write =
        |day: &str, text: &str| std::fs::write(sessions.join(format!("{day}-countertop-oven-1.toml")), text).unwrap();
    write("2026-01-01", "this is no journal\n");
    write("2026-01-02", &text.replacen("version = 1", "version = 2", 1));
    write("2026-01-03", &text[..200]);
    // A copy under another name is refused, since it would be counted twice; so is one whose header was changed.
    write("2026-01-04", &text);
    write("2026-01-05", &named("2026-01-05"));
    // A byte changed far in: read up to there. An entry that was never finished: read up to there.
    let middle = text.len() / 2;
    let at = middle + text[middle..].find("kind = \"answer\"").unwrap();
    let damaged = folder.oven("2026-02-06", "8 lb", None);
    let other = std::fs::read_to_string(&damaged).unwrap();
    std::fs::write(&damaged, format!("{}kind = \"ANSWER\"{}", &other[..at], &other[at + 15..])).unwrap();
    let torn = folder.oven("2026-02-07", "8 lb", None);
    let other = std::fs::read_to_string(&torn).unwrap();
    std::fs::write(&torn, &other[..other.len() - 30]).unwrap();
    std::fs::write(sessions.join("notes.txt"), "mine").unwrap();

    let output = folder.on("2026-11-25", &["replay", "--all", "--format", "json"]);
    let said = String::from_utf8_lossy(&output.stderr).replace("\n  ", " ");
    assert_eq!(output.status.code(), Some(1), "{said}");
    let document: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    let replayed: Vec<&str> =
        document["sessions"].as_array().unwrap().iter().map(|s| s["session"].as_str().unwrap()).collect();
    assert_eq!(
        replayed,
        ["2026-02-06-countertop-oven-1", "2026-02-07-countertop-oven-1", "2026-11-03-countertop-oven-1"]
    );
    for day in ["2026-01-01", "2026-01-02", "2026-01-03", "2026-01-04", "2026-01-05", "2026-02-06", "2026-02-07"] {
        assert!(said.contains(&format!("{day}-countertop-oven-1")), "{day} is not named in: {said}");
    }
    assert!(said.contains("notes.txt"), "{said}");
    for command in [["compare", "countertop-oven"], ["report", "--all"]] {
        let output = folder.on("2026-11-25", &command);
        assert_eq!(output.status.code(), Some(1), "{command:?}");
        assert!(!output.stdout.is_empty());
    }
}

/// A session that could be read only in part is in the report as far as it goes, and is named, as in a replay or an export.
#[test]
fn a_report_names_what_it_could_read_only_in_part() {
    let folder = Folder::new();
    let torn = folder.oven("2026-02-07", "8 lb", None);
    let text = std::fs::read_to_string(&torn).unwrap();
    std::fs::write(&torn, &text[..text.len() - 30]).unwrap();
    let output = folder.on("2026-11-25", &["report", "--all"]);
    assert_eq!(output.status.code(), Some(1));
    let said = String::from_utf8_lossy(&output.stderr).replace("\n  ", " ");
    assert!(said.contains("2026-02-07-countertop-oven-1: line"), "{said}");
    assert!(String::from_utf8_lossy(&output.stdout).contains("an entry that was never finished is left out"));
}

/// The seal of a block: a digest of the one before it and of the block.
fn seal(chain: &str, block: &str) -> String {
    let digest = Sha256::new().chain_update(chain).chain_update(block).finalize();
    digest.iter().take(16).map(|byte| format!("{byte:02x}")).collect::<String>()
}

/// A journal under another name, sealed anew.
fn renamed(journal: &str, id: &str) -> String {
    let old = journal.lines().find_map(|line| line.strip_prefix("id = ")).unwrap();
    let (mut chain, mut text, mut block) = (String::new(), String::new(), String::new());
    for line in journal.replacen(old, &format!("{id:?}"), 1).lines() {
        if line.starts_with("chain = ") {
            chain = seal(&chain, &block);
            text.push_str(&format!("{block}chain = \"{chain}\"\n"));
            block.clear();
        } else {
            block.push_str(&format!("{line}\n"));
        }
    }
    text
}

/// A journal of `count` notes, sealed as the program seals it.
pub fn notes(id: &str, count: usize, sample: &str) -> String {
    let head = &sample[..sample.find("chain = ").unwrap()];
    let old = head.lines().find_map(|line| line.strip_prefix("id = ")).unwrap();
    let head = head.replacen(old, &format!("{id:?}"), 1);
    let mut chain = seal("", &head);
    let mut text = format!("{head}chain = \"{chain}\"\n");
    for seq in 1..=count {
        let block =
            format!("\n[[entry]]\nseq = {seq}\nat = \"2026-01-05T10:00:00Z\"\nkind = \"note\"\nunderstood = \"n\"\n");
        chain = seal(&chain, &block);
        text.push_str(&format!("{block}chain = \"{chain}\"\n"));
    }
    text
}

#[test]
fn a_journal_of_a_hundred_thousand_entries_is_read_and_one_more_is_named() {
    let folder = Folder::new();
    let sample = std::fs::read_to_string(folder.oven("2026-11-03", "8 lb", None)).unwrap();
    let path = |id: &str| folder.path().join(format!("sessions/{id}.toml"));
    let (full, over) = ("2026-01-05-countertop-oven-1", "2026-01-06-countertop-oven-1");
    std::fs::write(path(full), notes(full, 100_000, &sample)).unwrap();
    std::fs::write(path(over), notes(over, 100_001, &sample)).unwrap();
    let output = folder.on("2026-11-25", &["replay", "--all", "--format", "json"]);
    let document: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(document["sessions"].as_array().unwrap().len(), 3);
    assert_eq!(document["sessions"][0]["remarks"].as_array().unwrap().len(), 0);
    let remark = document["sessions"][1]["remarks"][0].as_str().unwrap();
    assert!(remark.contains("100000"), "{remark}");
}

/// What a program keeps of its sessions once looked like values that no script lets go: from some 258 sessions on, `compare` left
/// out all the others.
#[test]
fn hundreds_of_sessions_are_all_compared() {
    let folder = Folder::new();
    let sample = std::fs::read_to_string(folder.oven("2026-11-03", "8 lb", None)).unwrap();
    for number in 1..=500 {
        let id = format!("2026-01-05-countertop-oven-{number}");
        std::fs::write(folder.path().join(format!("sessions/{id}.toml")), renamed(&sample, &id)).unwrap();
    }
    let output = folder.on("2026-11-25", &["compare", "oven", "--format", "json"]);
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let document: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(document["folders"][0]["sessions"].as_array().unwrap().len(), 501);
}
