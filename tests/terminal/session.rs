//! A whole session at a terminal.

use crate::screen::Place;

#[test]
fn a_session_from_intake_to_tally() {
    let place = Place::new();
    let mut screen = place.run(&["bench", "test-box"]);
    screen.writes("Session 2026-11-02-test-box-1");
    screen.writes("What does the whole unit weigh, as it came?");
    screen.is_ready();
    // While it is typed, a weight shows what it means, in both systems.
    screen.press("6");
    screen.edits(">  6   = 6 kg (13.228 lb)".replacen("  ", " ", 1).as_str());
    screen.press(".25 kg + 250 g");
    screen.edits("> 6.25 kg + 250 g   = 6.5 kg (14.33 lb)");
    screen.press(" +");
    screen.edits("> 6.25 kg + 250 g +");
    screen.press("\x7f\x7f");
    screen.edits("> 6.25 kg + 250 g   = 6.5 kg (14.33 lb)");
    screen.enter("\r");
    screen.writes("Step 1 of 3  Take off the lid");
    // Enter alone takes what is shown.
    screen.writes("Enter: do");
    screen.is_ready();
    screen.enter("\r");
    screen.writes("[1/3] Weigh: lid");
    // A weight outside the range says so while it is typed, and is questioned.
    screen.is_ready();
    screen.press("10");
    screen.shows("above the expected 1.5 kg");
    screen.enter("\r");
    screen.writes("Check: 10 kg is far outside the usual 500 g to 1.5 kg");
    screen.types("no");
    screen.writes("[1/3] Weigh: lid");
    screen.types("1.0");
    screen.writes("Light iron at 0.20/kg: 0.20 CAD");
    screen.writes("How long did it take?");
    screen.types("undo");
    screen.writes("Taken back: lid/lid = 1.0");
    screen.types("redo");
    screen.writes("Brought back: lid/lid = 1.0");
    screen.types("2");
    // Tab completes what can only be one word.
    screen.writes("[2/3] Pull the core?");
    screen.is_ready();
    screen.press("la\t");
    screen.edits("> later");
    screen.enter("\r");
    screen.writes("[3/3] Pull the wires?");
    screen.is_ready();
    screen.press("sk\t");
    screen.edits("> skip");
    screen.enter("\r");
    screen.writes("[2/3] Pull the core?");
    screen.types("do");
    screen.writes("CAUTION  Sharp sheet edges");
    screen.types("yes");
    screen.writes("What colour is the winding?");
    screen.is_ready();
    screen.press("sil\t");
    screen.edits("> silver");
    screen.enter("\r");
    screen.writes("Silver is aluminium.");
    screen.types("2.0");
    screen.writes("Transformers at 0.60/kg: 1.20 CAD");
    screen.types("back");
    screen.writes("Back at core/core. Enter keeps the old answer.");
    screen.is_ready();
    screen.enter("\r");
    screen.writes("How long did it take?");
    screen.types("4");
    screen.writes("What does all that is left of the unit weigh?");
    screen.types("3.5");
    screen.writes("Done. Every open step is done or left out.");
    // 3.5 × 0.10 = 0.35, 2.0 × 0.60 = 1.20, 1.0 × 0.20 = 0.20: 1.75, less the disc 0.50.
    screen.writes("1.25");
    assert_eq!(screen.ends(), 0);
    let journal = place.read("home/sessions/2026-11-02-test-box-1.toml");
    assert!(journal.contains("question = \"core/winding\"\ntyped = \"silver\""), "{journal}");
}

#[test]
fn killed_in_mid_question_and_resumed() {
    let place = Place::new();
    let mut screen = place.run(&["bench", "test-box"]);
    for line in ["6", "do", "1.0", "2"] {
        screen.types(line);
    }
    screen.writes("[2/3] Pull the core?");
    screen.is_ready();
    screen.press("ski");
    screen.edits("> ski");
    screen.signal("-KILL");
    screen.ends();
    let mut screen = place.run(&["resume"]);
    screen.writes("Session 2026-11-02-test-box-1 has 4 answers.");
    screen.writes("done      Take off the lid");
    screen.writes("[2/3] Pull the core?");
    screen.types("stop here");
    screen.writes("Stopped here.");
    assert_eq!(screen.ends(), 0);
}

#[test]
fn the_window_changes_in_mid_question() {
    let place = Place::new();
    let mut screen = place.run(&["bench", "test-box"]);
    screen.is_ready();
    screen.press("6.1");
    screen.shows("> 6.1   = 6.1 kg");
    screen.resize(40);
    screen.press("5");
    screen.shows("6.15");
    screen.resize(200);
    screen.press(" kg");
    screen.shows("6.15 kg");
    screen.enter("\r");
    screen.writes("= 6.15 kg (13.558 lb)");
    // What is shown from here on uses the new width: one line of more than 100 columns.
    screen.writes("Step 1 of 3");
    screen.types("do");
    screen
        .writes("weight in kg, such as 3.7, 850 g or 4.2 - 0.5; usually 1 kg (500 g to 1.5 kg); or none, or too light");
    screen.types("pause");
    assert_eq!(screen.ends(), 5);
    assert!(place.read("home/sessions/2026-11-02-test-box-1.toml").contains("typed = \"6.15 kg\""));
}

#[test]
fn every_width_works() {
    for columns in [20, 40, 80, 200] {
        let place = Place::new();
        let mut screen =
            place.run_at(columns, &["bench", "test-box"], &[("NO_COLOR", "1"), ("TERM", "xterm-256color")]);
        for line in ["6 kg", "do", "1 kg", "2", "skip", "skip"] {
            screen.types(line);
        }
        screen.types("difference");
        screen.writes("Balance cannot");
        assert_eq!(screen.ends(), 0, "at {columns}");
        let pages: Vec<String> =
            screen.raw().split("\r\n").filter(|line| !line.contains('\u{1b}')).map(str::to_owned).collect();
        let widest = pages.iter().max_by_key(|line| line.chars().count()).unwrap();
        assert!(widest.chars().count() <= usize::from(columns), "at {columns}: {widest:?}");
        assert!(pages.iter().any(|line| line.ends_with("0.70")), "at {columns}: {pages:?}");
    }
}
