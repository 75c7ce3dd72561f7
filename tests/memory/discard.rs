//! A mistaken session is set aside, counts nowhere, and is brought back as it was.

use super::Folder;

/// What every reader of sessions says of a folder on one day; the exit codes are among it.
fn everything(folder: &Folder) -> Vec<(String, String)> {
    let calls: [&[&str]; 9] = [
        &["stock", "--by", "lot", "--format", "json"],
        &["replay", "--all", "--format", "json"],
        &["compare", "countertop-oven", "--format", "json"],
        &["report", "--all", "--format", "markdown"],
        &["pay-by-month", "--measure", "net"],
        &["plan", "countertop-oven", "--format", "json"],
        &["tally", "--format", "json"],
        &["doctor"],
        &["show", "sessions"],
    ];
    calls.iter().map(|call| (call.join(" "), folder.says(call))).collect()
}

#[test]
fn a_session_set_aside_counts_nowhere_and_comes_back_as_it_was() {
    let folder = Folder::new();
    folder.oven("2026-11-03", "8 lb", None);
    let before = everything(&folder);
    let journal = folder.oven("2026-11-04", "7 lb", None);
    let both = everything(&folder);
    let written = std::fs::read_to_string(&journal).unwrap();
    folder.says(&["discard", "2026-11-04"]);
    assert!(std::fs::read_to_string(&journal).unwrap().starts_with(&written), "nothing is erased");
    for ((call, was), (_, is)) in before.iter().zip(everything(&folder)) {
        match call.as_str() {
            // It is there, and says that it does not count.
            "show sessions" => {
                assert!(is.contains("2026-11-04-countertop-oven-1  set aside"), "{is}");
                assert_eq!(is.lines().count(), 2, "{is}");
            }
            "doctor" => assert!(is.contains("sound  session 2026-11-04-countertop-oven-1"), "{is}"),
            _ => assert_eq!(*was, is, "{call}"),
        }
    }
    let out = folder.path().join("tables");
    folder.says(&["export", "--all", "--out", out.to_str().unwrap()]);
    for table in ["sessions", "answers", "parts", "steps", "lines", "costs"] {
        let rows = std::fs::read_to_string(out.join(format!("{table}.csv"))).unwrap();
        assert!(rows.contains("2026-11-03-") && !rows.contains("2026-11-04-"), "{table}: {rows}");
    }
    std::fs::remove_dir_all(out).unwrap();
    folder.says(&["discard", "2026-11-04", "--bring-back"]);
    assert_eq!(everything(&folder), both);
}

#[test]
fn a_session_set_aside_is_not_taken_up_and_named_it_says_so() {
    let folder = Folder::new();
    folder.oven("2026-11-03", "8 lb", None);
    folder.says(&["discard", "oven-1"]);
    let refused = "is set aside and counts nowhere; `discard 2026-11-03-countertop-oven-1 --bring-back` brings it back";
    for call in [&["resume", "oven-1"][..], &["replay", "oven-1"], &["report", "oven-1"], &["discard", "oven-1"]] {
        let ended = folder.on("2026-11-25", call);
        let said = String::from_utf8_lossy(&ended.stderr).split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(ended.status.code() == Some(2) && said.contains(refused), "{call:?}: {said}");
    }
    let said = folder.says(&["tally", "oven-1"]).split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains(refused), "{said}");
    folder.says(&["discard", "oven-1", "--bring-back"]);
    let ended = folder.on("2026-11-25", &["discard", "oven-1", "--bring-back"]);
    assert!(String::from_utf8_lossy(&ended.stderr).contains("is not set aside; it counts"), "{ended:?}");
}

#[test]
fn what_the_stock_has_used_is_not_set_aside_unasked() {
    let folder = Folder::new();
    folder.oven("2026-11-03", "8 lb", None);
    folder.says(&["stock", "move", "copper-winding", "--to", "shelf"]);
    let stock = folder.says(&["stock", "--by", "lot", "--format", "json"]);
    let ended = folder.on("2026-11-25", &["discard", "oven-1"]);
    let said = String::from_utf8_lossy(&ended.stderr).split_whitespace().collect::<Vec<_>>().join(" ");
    assert_eq!(ended.status.code(), Some(2), "{said}");
    assert!(
        said.contains("move 2 lots to shelf (entry 1 of the stock's log)") && said.contains("stock undo"),
        "{said}"
    );
    assert_eq!(folder.says(&["stock", "--by", "lot", "--format", "json"]), stock);
    folder.says(&["stock", "undo"]);
    folder.says(&["discard", "oven-1"]);
    assert!(folder.says(&["stock"]).starts_with("Nothing is in stock."));
}

#[test]
fn at_the_bench_it_is_asked_once() {
    let folder = Folder::new();
    let kept = folder.typed("2026-11-03", &["bench", "hard-disk"], "discard\nno\n");
    assert!(kept.contains("Set the session aside, so that it counts nowhere?"), "{kept}");
    assert!(folder.says(&["show", "sessions"]).contains("2026-11-03-hard-disk-1  waits at"));
    let gone = folder.typed("2026-11-03", &["bench", "hard-disk"], "discard\nyes\n");
    assert!(gone.contains("Bring it back with: discard 2026-11-03-hard-disk-2 --bring-back"), "{gone}");
    assert!(folder.says(&["show", "sessions"]).contains("2026-11-03-hard-disk-2  set aside"));
    // The latest that counts is meant where none is named.
    let back = folder.typed("2026-11-03", &["resume"], "");
    assert!(back.contains("2026-11-03-hard-disk-1"), "{back}");
}
