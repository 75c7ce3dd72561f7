//! Slips: questioned as they are typed, named at the end.

use super::Folder;

const BEFORE_CHUCK: &str = "2.46 kg\nUNPLUGGED\nyes\ndo\n2\nnone\n1\nskip\ndo\n";

#[test]
fn a_slipped_decimal_mark_is_named_and_one_key_puts_it_right() {
    let folder = Folder::new();
    let lines = format!("{BEFORE_CHUCK}3.2 kg\nc\n");
    let said =
        folder.typed("2026-11-25", &["bench", "corded-tool", "--yard", "ellerwinkel"], &lines).replace("\n  ", " ");
    assert!(said.contains("the decimal point is one place too far right"), "{said}");
    assert!(said.contains("c takes 0,32 kg"), "{said}");
    let journal = folder.path().join("sessions/2026-11-25-corded-tool-1.toml");
    let journal = std::fs::read_to_string(journal).unwrap();
    assert!(
        journal.contains("typed = \"0,32 kg\"\nunderstood = \"320 g, 1 pcs, to 10 g\"\norigin = \"corrected\""),
        "{journal}"
    );
}

#[test]
fn a_known_container_left_on_is_taken_off() {
    let folder = Folder::new();
    folder.says(&["settings", "containers.bucket", "1.1 kg"]);
    let lines = format!("{BEFORE_CHUCK}1.42 kg\nc\n");
    let said =
        folder.typed("2026-11-25", &["bench", "corded-tool", "--yard", "ellerwinkel"], &lines).replace("\n  ", " ");
    assert!(said.contains("a container of 1100 g was weighed along"), "{said}");
    assert!(said.contains("= 320 g"), "{said}");
}

#[test]
fn another_weight_at_the_question_counts_and_yes_keeps_the_odd_one() {
    for (reply, kept) in [("318 g", "318 g, 1 pcs, to 1 g"), ("yes", "3200 g, 1 pcs, to 100 g")] {
        let folder = Folder::new();
        let lines = format!("{BEFORE_CHUCK}3.2 kg\n{reply}\n");
        folder.typed("2026-11-25", &["bench", "corded-tool", "--yard", "ellerwinkel"], &lines);
        let journal = std::fs::read_to_string(folder.path().join("sessions/2026-11-25-corded-tool-1.toml")).unwrap();
        assert!(journal.contains(kept), "{reply}: {journal}");
        // The journal tells what was asked about and meant, so that it counts as no slip later on.
        let meant = format!("understood = \"{kept}\"\norigin = \"kept\"");
        assert_eq!(journal.contains(&meant), reply == "yes", "{reply}: {journal}");
    }
}

#[test]
fn the_end_says_whether_all_adds_up_and_what_to_look_at() {
    let session = include_str!("../../recipes/desktop-computer.session.toml");
    let folder = Folder::new();
    let answers = folder.path().join("answers.toml");
    std::fs::write(&answers, session).unwrap();
    let sound = folder.says(&["bench", "desktop-computer", "--answers", answers.to_str().unwrap()]);
    assert!(sound.contains("The weights add up: "), "{sound}");
    // 2.6875 lb become 26.875 lb: more comes out than the unit weighed.
    let slipped = session.replace("\"power supply\" = \"2 lb 11 oz\"", "\"power supply\" = \"26.875 lb\"");
    assert_ne!(slipped, session);
    std::fs::write(&answers, slipped).unwrap();
    let said = folder.says(&["bench", "desktop-computer", "--answers", answers.to_str().unwrap()]).replace("\n  ", " ");
    assert!(said.contains("The weights do not add up"), "{said}");
    assert!(said.contains("Look first at: power supply"), "{said}");
    assert!(said.contains("the decimal point is one place too far right"), "{said}");
}

/// What was typed in a played session of the shipped tool recipe, with the housing's digits swapped and the rest weighed.
fn slipped_lines(folder: &Folder) -> String {
    let session = include_str!("../../recipes/corded-tool.session.toml");
    let answers = folder.path().join("answers.toml");
    std::fs::write(&answers, session).unwrap();
    let output = folder.on("2026-11-24", &["bench", "corded-tool", "--answers", answers.to_str().unwrap()]);
    assert!(output.status.success());
    let journal = std::fs::read_to_string(folder.path().join("sessions/2026-11-24-corded-tool-1.toml")).unwrap();
    let typed = journal.lines().filter_map(|line| line.strip_prefix("typed = \"")?.strip_suffix('"'));
    let slipped = typed.map(|text| match text {
        "405 g" => "450 g\n".to_owned(),
        "difference" => "65 g\n".to_owned(),
        other => format!("{other}\n"),
    });
    slipped.collect()
}

#[test]
fn at_the_end_the_correction_is_one_key_away() {
    for (reply, housing, closes) in [("c\n", "405 g", true), ("g\n406 g\n", "406 g", true), ("\n", "450 g", false)] {
        let folder = Folder::new();
        let lines = slipped_lines(&folder) + reply;
        let said = folder.typed("2026-11-25", &["bench", "corded-tool", "--yard", "hollow-lane"], &lines);
        let said = said.replace("\n  ", " ");
        assert!(said.contains("Most likely a slip in housing at 15.9 oz: two digits are swapped"), "{said}");
        assert!(said.contains("c takes 405 g; g goes back there; Enter leaves it"), "{said}");
        assert_eq!(said.trim_end().lines().last().unwrap().starts_with("The weights add up"), closes, "{said}");
        let journal = std::fs::read_to_string(folder.path().join("sessions/2026-11-25-corded-tool-1.toml")).unwrap();
        let last = journal.rsplit("question = \"halves/housing\"").next().unwrap();
        assert!(last.starts_with(&format!("\ntyped = \"{housing}\"")), "{reply:?}: {last}");
        assert_eq!(last.contains("origin = \"corrected\""), reply == "c\n");
    }
}
