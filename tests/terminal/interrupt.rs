//! Ctrl-C, Ctrl-D and the system's own ways to end a program.

use crate::screen::{ON_A_TERMINAL, Place};

const CTRL_C: &str = "\u{3}";
const CTRL_D: &str = "\u{4}";

#[test]
fn the_first_ctrl_c_keeps_the_draft_and_the_second_lays_aside() {
    let place = Place::new();
    let mut screen = place.run(&["bench", "test-box"]);
    screen.is_ready();
    screen.press("6.2");
    screen.shows("> 6.2   = 6.2 kg");
    screen.enter(CTRL_C);
    screen.writes("Nothing is lost. Ctrl-C again lays the session aside.");
    screen.is_ready();
    screen.shows("> 6.2   = 6.2 kg");
    // Typed on, it is an answer like any other.
    screen.press("5 kg");
    screen.edits("> 6.25 kg   = 6.25 kg (13.779 lb)");
    screen.enter("\r");
    screen.writes("[1/3] Take off the lid?");
    screen.is_ready();
    screen.press("sk");
    screen.edits("> sk");
    screen.enter(CTRL_C);
    screen.writes("Nothing is lost.");
    screen.is_ready();
    screen.edits("> sk");
    screen.enter(CTRL_C);
    screen.writes("Laid aside. Go on with: resume 2026-11-02-test-box-1");
    assert_eq!(screen.ends(), 5);
    let mut screen = place.run(&["resume"]);
    screen.writes("has 1 answer.");
    screen.types("pause");
    assert_eq!(screen.ends(), 5);
}

#[test]
fn ctrl_c_at_a_doubted_weight_keeps_the_weight() {
    let place = Place::new();
    let mut screen = place.run(&["bench", "test-box"]);
    screen.types("60 kg");
    screen.writes("keep it?");
    screen.is_ready();
    screen.enter(CTRL_C);
    screen.is_ready();
    screen.edits("> 60 kg   = 60 kg (132.277 lb), above the expected 8 kg");
    screen.press("\u{7f}\u{7f}\u{7f}\u{7f} kg");
    screen.edits("> 6 kg   = 6 kg (13.228 lb)");
    screen.enter("\r");
    screen.writes("[1/3] Take off the lid?");
}

#[test]
fn a_slip_at_a_guard_is_told_right_above_the_question() {
    let place = Place::new();
    let mut screen = place.run_at(40, &["bench", "test-box"], &[("NO_COLOR", "1")]);
    for line in ["6 kg", "do", "1.0", "2", "do"] {
        screen.types(line);
    }
    screen.writes("CAUTION  Sharp sheet edges");
    screen.writes("yes: read and followed");
    let question = "Sharp sheet edges\r\n  yes: read and followed";
    screen.types("perhaps");
    screen.writes("Not taken: ");
    screen.writes(question);
    screen.is_ready();
    screen.enter(CTRL_C);
    screen.writes("Nothing is lost.");
    screen.writes(question);
    let cautions = |screen: &crate::screen::Screen| screen.raw().matches("CAUTION  Sharp sheet edges").count();
    assert_eq!(cautions(&screen), 1, "neither scrolled its own reason away");
    // What an order shows can push the cautions off the screen: then they stand there again.
    screen.types("steps");
    screen.writes("CAUTION  Sharp sheet edges");
    screen.writes(question);
    assert_eq!(cautions(&screen), 2);
    screen.types("yes");
    screen.writes("What colour is the winding?");
    screen.types("back");
    screen.writes("CAUTION  Sharp sheet edges");
}

#[test]
fn ctrl_d_lays_aside() {
    let place = Place::new();
    let mut screen = place.run(&["bench", "test-box"]);
    screen.types("6 kg");
    screen.writes("[1/3] Take off the lid?");
    screen.is_ready();
    screen.enter(CTRL_D);
    screen.writes("Input has ended. The session is laid aside; go on with: resume 2026-11-02-test-box-1");
    assert_eq!(screen.ends(), 5);
}

#[test]
fn the_system_ends_it_and_the_terminal_is_as_before() {
    for (signal, code) in [("-TERM", 143), ("-HUP", 129)] {
        let place = Place::new();
        let mut screen = place.run(&["bench", "test-box"]);
        // Whatever the terminal was before the program edits a line; taken from one that edits none.
        let before = place.run(&["recipes"]).modes();
        screen.types("6 kg");
        screen.writes("[1/3] Take off the lid?");
        screen.is_ready();
        screen.press("sk");
        screen.edits("> sk");
        assert_ne!(screen.modes(), before, "an editor reads single keys");
        screen.signal(signal);
        assert_eq!(screen.ends(), code);
        assert_eq!(screen.modes(), before);
        // The last word about bracketed paste and about the cursor: off, and visible.
        screen.writes("\u{1b}[?2004l\u{1b}[?25h");
        let mut screen = place.run(&["resume"]);
        screen.writes("has 1 answer.");
    }
}

#[test]
fn a_session_that_ends_leaves_the_terminal_as_before() {
    let place = Place::new();
    let mut screen = place.run(&["bench", "test-box"]);
    let before = place.run(&["recipes"]).modes();
    screen.types("6 kg");
    screen.types("pause");
    assert_eq!(screen.ends(), 5);
    assert_eq!(screen.modes(), before);
}

/// Does nothing in the usual run: the test below runs it on a terminal.
#[test]
fn a_defect_at_a_line_being_edited() {
    if std::env::var_os(ON_A_TERMINAL).is_none() {
        return;
    }
    knockdown::shell::signals::guard_panics();
    crossterm::terminal::enable_raw_mode().unwrap();
    print!("\u{1b}[?2004h\u{1b}[?25l");
    panic!("a defect that was planted");
}

#[test]
fn a_panic_leaves_the_terminal_as_before_and_says_that_answers_are_safe() {
    let place = Place::new();
    let before = place.run(&["recipes"]).modes();
    let mut screen = place.run_test("terminal::interrupt::a_defect_at_a_line_being_edited");
    screen.writes("\u{1b}[?2004h\u{1b}[?25l");
    // Restored before anything is reported, so that the report can be read.
    screen.writes("\u{1b}[?2004l\u{1b}[?25h");
    screen.writes("This is a defect of Knockdown. Every answer that was acknowledged is on disk");
    screen.writes("a defect that was planted");
    assert_ne!(screen.ends(), 0);
    assert_eq!(screen.modes(), before);
}
