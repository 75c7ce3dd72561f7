//! What a terminal is sent: colour or none, nothing but text for a dumb one.

use crate::screen::{Place, Screen};

/// A session of a few answers, then laid aside.
fn few(screen: &mut Screen) {
    for line in ["6 kg", "do", "1 kg", "2"] {
        screen.types(line);
    }
    screen.types("pause");
    screen.writes("Laid aside.");
    assert_eq!(screen.ends(), 5);
}

/// The looks that select-graphic-rendition sequences set, resets left out.
fn looks(raw: &str) -> Vec<&str> {
    let sequences = raw.split("\u{1b}[").skip(1).filter_map(|rest| {
        let end = rest.find(|c: char| c.is_ascii_alphabetic())?;
        rest[end..].starts_with('m').then_some(&rest[..end])
    });
    sequences.filter(|look| !matches!(*look, "" | "0" | "39" | "49")).collect()
}

#[test]
fn colour_on_a_terminal_that_has_it() {
    let place = Place::new();
    let mut screen = place.run_at(100, &["bench", "test-box"], &[("TERM", "xterm-256color")]);
    few(&mut screen);
    assert!(looks(&screen.raw()).contains(&"1"), "{:?}", screen.raw());
}

#[test]
fn no_colour_where_none_is_wanted() {
    for (arguments, variable) in [
        (&["bench", "test-box"][..], ("NO_COLOR", "1")),
        (&["bench", "test-box", "--color", "never"], ("NO_COLOR", "")),
    ] {
        let place = Place::new();
        let mut screen = place.run_at(100, arguments, &[("TERM", "xterm-256color"), variable]);
        few(&mut screen);
        assert_eq!(looks(&screen.raw()), Vec::<&str>::new(), "{:?}", screen.raw());
    }
}

#[test]
fn plain_and_dumb_terminals_get_text_alone() {
    for (arguments, term) in
        [(&["bench", "test-box", "--plain"][..], "xterm-256color"), (&["bench", "test-box"], "dumb")]
    {
        let place = Place::new();
        let mut screen = place.run_at(80, arguments, &[("TERM", term)]);
        for (question, line) in [
            ("What does the whole unit weigh", "6 kg"),
            ("Take off the lid?", "do"),
            ("Weigh: lid", "10 kg"),
            ("keep it?", "yes"),
            ("How long did it take?", "2"),
            ("Pull the core?", "do"),
            ("CAUTION  Sharp sheet edges", "yes"),
            ("1 copper", "1"),
            ("Weigh: core", "tally"),
            ("Gain per hour", "stop here"),
        ] {
            screen.writes(question);
            screen.writes("> ");
            screen.press(&format!("{line}\n"));
        }
        screen.writes("Stopped here.");
        screen.writes("Balance cannot");
        assert_eq!(screen.ends(), 0);
        assert!(!screen.raw().contains('\u{1b}'), "{arguments:?} {term}: {:?}", screen.raw());
        assert!(screen.raw().chars().all(|c| !c.is_control() || matches!(c, '\r' | '\n')), "{:?}", screen.raw());
    }
}

#[test]
fn the_end_of_input_in_plain_mode() {
    let place = Place::new();
    let mut screen = place.run_at(80, &["bench", "test-box", "--plain"], &[("TERM", "xterm")]);
    screen.writes("> ");
    screen.press("\u{4}");
    screen.writes("Input has ended.");
    assert_eq!(screen.ends(), 5);
}
