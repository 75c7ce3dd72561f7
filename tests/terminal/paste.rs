//! Text pasted into a terminal: one line is an answer, several are none, and no guard is confirmed by what came before it.

use crate::screen::Place;

/// A paste as terminals mark one.
fn paste(text: &str) -> String {
    format!("\u{1b}[200~{text}\u{1b}[201~")
}

#[test]
fn one_line_with_any_line_ending_is_an_answer() {
    for ending in ["", "\n", "\r\n", "\r"] {
        let place = Place::new();
        let mut screen = place.run(&["bench", "test-box"]);
        screen.is_ready();
        screen.press(&paste(&format!("6.25 kg{ending}")));
        screen.shows("> 6.25 kg");
        screen.enter("\r");
        screen.writes("[1/3] Take off the lid?");
        screen.types("pause");
        assert_eq!(screen.ends(), 5);
        assert!(place.read("home/sessions/2026-11-02-test-box-1.toml").contains("typed = \"6.25 kg\"\n"));
    }
}

#[test]
fn several_lines_are_no_answer() {
    let place = Place::new();
    let mut screen = place.run(&["bench", "test-box"]);
    screen.is_ready();
    screen.press(&paste("6 kg\r\ndo\r\n1 kg\r\n"));
    screen.shows("1 kg");
    screen.enter("\r");
    screen.writes("Not taken: 3 lines were pasted at once; write one line at a time.");
    screen.types("6 kg");
    screen.writes("[1/3] Take off the lid?");
    screen.types("pause");
    assert_eq!(screen.ends(), 5);
}

#[test]
fn a_thousand_lines_are_refused_as_a_whole() {
    let place = Place::new();
    let mut screen = place.run(&["bench", "test-box"]);
    screen.is_ready();
    screen.press(&paste(&"6 kg\n".repeat(1000)));
    screen.press("\r");
    screen.writes("Not taken: 1000 lines were pasted at once");
    screen.press("6.5 kg\r");
    screen.writes("[1/3] Take off the lid?");
    screen.press("pause\r");
    assert_eq!(screen.ends(), 5);
    let journal = place.read("home/sessions/2026-11-02-test-box-1.toml");
    assert_eq!(journal.matches("kind = \"answer\"").count(), 1, "{journal}");
}

#[test]
fn a_thousand_lines_at_the_shell_are_refused_as_a_whole() {
    let place = Place::new();
    let mut screen = place.run(&[]);
    screen.is_ready();
    screen.press(&paste(&"bench test-box\n".repeat(1000)));
    screen.press("\r");
    screen.writes("Not taken: 1000 lines were pasted at once");
    screen.press("show sessions\r");
    screen.writes("There is no session yet");
}

#[test]
fn nothing_confirms_a_guard_that_was_not_shown_yet() {
    for arguments in [&["bench", "test-box"][..], &["bench", "test-box", "--plain"]] {
        let plain = arguments.len() == 3;
        let place = Place::new();
        let mut screen = place.run(arguments);
        for line in ["6 kg", "do", "1 kg", "2"] {
            if plain {
                screen.writes("> ");
                screen.press(&format!("{line}\n"));
            } else {
                screen.types(line);
            }
        }
        screen.writes("[2/3] Pull the core?");
        if plain {
            screen.writes("> ");
        } else {
            screen.is_ready();
        }
        // A terminal that marks no pastes, or somebody who types ahead.
        screen.press("do\ryes\rcopper\r2 kg\r5\r");
        screen.writes("CAUTION  Sharp sheet edges");
        screen.writes("yes: read and followed; no: end safely");
        screen.writes("> ");
        screen.signal("-KILL");
        screen.ends();
        let journal = place.read("home/sessions/2026-11-02-test-box-1.toml");
        assert!(journal.contains("core/begin") && !journal.contains("core/guard"), "{arguments:?}: {journal}");
    }
}
