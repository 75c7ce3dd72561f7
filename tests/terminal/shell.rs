//! The shell: `knockdown` without arguments.

use crate::screen::Place;

const CTRL_C: &str = "\u{3}";
const CTRL_D: &str = "\u{4}";
const UP: &str = "\u{1b}[A";

#[test]
fn commands_one_after_another() {
    let place = Place::new();
    let mut screen = place.run(&[]);
    screen.writes("? lists commands; bench RECIPE takes a unit apart; Ctrl-D leaves.");
    screen.types("recipes");
    screen.writes("Test box  (yours)");
    screen.types("shwo box");
    screen.writes("`shwo` is no command; did you mean show? All are listed by ?");
    screen.types("?");
    screen.writes("Take a unit apart by a recipe");
    screen.types("bench test-box");
    screen.writes("What does the whole unit weigh");
    screen.types("6 kg");
    screen.types("pause");
    screen.writes("Laid aside. Go on with: resume 2026-11-02-test-box-1");
    screen.types("resume");
    screen.writes("has 1 answer.");
    screen.types("skip");
    screen.types("difference");
    screen.writes("Gain per hour");
    screen.types("quit");
    assert_eq!(screen.ends(), 0);
}

#[test]
fn a_newcomer_is_told_what_to_try() {
    let place = Place::new();
    std::fs::remove_dir_all(place.path("home")).unwrap();
    let mut screen = place.run(&[]);
    screen.writes("Your folder will be home; it is made with the first thing that you keep.");
    screen.writes("  demo");
    screen.writes("No yard is chosen: prices are those of bluegum-siding. Choose with settings yard NAME");
    screen.types("demo");
    screen.writes("Nothing is written.");
    screen.writes("Gain per hour");
    assert!(!place.path("home").exists());
    screen.types("settings yard thistle");
    screen.writes("thistle-fork");
    screen.types("bench corded");
    screen.writes("Sample prices: those of Thistle Fork Recycling are invented.");
    screen.types("pause");
    screen.types("quit");
    assert_eq!(screen.ends(), 0);
    // Whoever comes back is told what waits, and no more.
    let mut screen = place.run(&[]);
    screen.writes("A session waits: 2026-11-02-corded-tool-1; resume goes on.");
    screen.is_ready();
    assert!(!screen.raw().contains("To begin:") && !screen.raw().contains("No yard"), "{}", screen.raw());
}

#[test]
fn several_that_fit_are_offered_by_number() {
    let place = Place::new();
    place.write(
        "home/recipes/test-crate.rhai",
        &crate::stock::BOX.replace("test-box", "test-crate").replace("Test box", "Test crate"),
    );
    let mut screen = place.run(&[]);
    screen.types("bench test");
    screen.writes("Which recipe?");
    screen.writes("1 test-box  Test box");
    screen.writes("2 test-crate  Test crate");
    screen.types("2");
    screen.writes("Session 2026-11-02-test-crate-1");
}

#[test]
fn tab_completes_commands_and_names() {
    let place = Place::new();
    let mut screen = place.run(&[]);
    screen.is_ready();
    screen.press("compl\t");
    screen.edits("knockdown> completions");
    screen.press("\u{15}show test-b\t");
    screen.edits("knockdown> show test-box");
    screen.enter("\r");
    screen.writes("sold whole as appliance-light");
}

#[test]
fn history_lasts_from_one_run_to_the_next() {
    let place = Place::new();
    let mut screen = place.run(&[]);
    screen.types("show hazards");
    screen.writes("sharp-sheet");
    screen.types("yards");
    screen.writes("* in use");
    screen.is_ready();
    screen.enter(CTRL_D);
    assert_eq!(screen.ends(), 0);
    let mut screen = place.run(&[]);
    screen.is_ready();
    screen.press(UP);
    screen.edits("knockdown> yards");
    screen.press(UP);
    screen.edits("knockdown> show hazards");
    screen.enter("\r");
    screen.writes("sharp-sheet");
}

#[test]
fn answers_at_the_bench_are_no_history() {
    let place = Place::new();
    let mut screen = place.run(&[]);
    screen.types("bench test-box");
    screen.types("6 kg");
    screen.types("pause");
    screen.writes("Laid aside.");
    screen.is_ready();
    screen.press(UP);
    screen.edits("knockdown> bench test-box");
}

#[test]
fn ctrl_c_keeps_what_was_typed_and_twice_leaves() {
    let place = Place::new();
    let mut screen = place.run(&[]);
    screen.is_ready();
    screen.press("show sta");
    screen.edits("knockdown> show sta");
    screen.enter(CTRL_C);
    screen.writes("Ctrl-C again, or Ctrl-D, leaves.");
    screen.is_ready();
    screen.edits("knockdown> show sta");
    screen.enter(CTRL_C);
    assert_eq!(screen.ends(), 0);
}

#[test]
fn a_torn_entry_is_put_aside_after_a_yes_and_not_before() {
    let place = Place::new();
    let log = "home/stock.toml";
    let mut screen = place.run(&["stock", "add", "brass", "1 kg"]);
    assert_eq!(screen.ends(), 0);
    let mut screen = place.run(&["stock", "add", "brass", "2 kg"]);
    assert_eq!(screen.ends(), 0);
    let whole = place.read(log);
    let torn = &whole[..whole.len() - 20];
    let piece = &torn[torn.rfind("\n[[").unwrap()..];
    place.write(log, torn);
    for no in ["", "y"] {
        let mut screen = place.run(&["stock", "add", "brass", "3 kg"]);
        screen.writes("home/stock.toml ends inside an entry that was never finished, on line ");
        screen.writes("Put that piece aside and go on?");
        screen.types(no);
        assert_eq!(screen.ends(), 1);
        assert_eq!(place.read(log), torn);
    }
    let mut screen = place.run(&["stock", "add", "brass", "3 kg", "--no-input"]);
    screen.writes("the log ends inside an entry");
    assert_eq!(screen.ends(), 1);
    let mut screen = place.run(&["stock", "add", "brass", "3 kg"]);
    screen.writes("Put that piece aside and go on?");
    screen.types("yes");
    screen.writes("The piece was moved to home/stock.toml.torn-1.");
    screen.writes("find-2: 3 kg of brass");
    assert_eq!(screen.ends(), 0);
    assert_eq!(place.read("home/stock.toml.torn-1"), piece);
    assert!(place.read(log).starts_with(&torn[..torn.len() - piece.len()]));
}
