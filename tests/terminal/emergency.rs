//! `help now` wherever a line is asked for: it shows the cards, asks the same again, and is never taken as data.

use crate::screen::Place;

/// A step with a guard that can kill, and a unit that can.
const LIVE: &str = r#"
unit("live-box", "Live box").weighs((4.kg..8.kg).usually(6.kg)).sold_whole_as("appliance").guards(["mains-plugged"]);
step("lid", "Take off the lid").minutes(1, 2, 5).guards(["sharp-sheet"])
    .frees("lid", (0.5.kg..1.5.kg).usually(1.kg), "steel-light");
"#;

fn place() -> Place {
    let place = Place::new();
    place.write("home/recipes/live-box.rhai", LIVE);
    place
}

const JOURNAL: &str = "home/sessions/2026-11-02-live-box-1.toml";

#[test]
fn at_a_question_of_the_bench_at_a_guard_and_at_a_doubt() {
    let place = place();
    let mut screen = place.run_in(80, 24, &["bench", "live-box"]);
    screen.writes("What does the whole unit weigh, as it came?");
    screen.types("help now");
    // The unit's hazard is at hand.
    screen.writes("IF IT HAPPENS  1  Electric shock");
    screen.writes("First: Power off, then call your emergency number.");
    screen.writes("Reviewed by nobody qualified.");
    screen.writes("Others, by help now NUMBER: ");
    screen.writes("Enter: more; q: back > ");
    screen.types("q");
    screen.writes("What does the whole unit weigh, as it came?");
    screen.types("6 kg");
    screen.writes("type UNPLUGGED once it is done");
    screen.types("Help Now cut");
    screen.writes("IF IT HAPPENS  7  Deep cut or amputation");
    // The cards may have scrolled the hazard away: it stands there again with the question.
    screen.writes("Enter: back > ");
    screen.types("UNPLUGGED");
    screen.writes("Still plugged in");
    screen.writes("type UNPLUGGED once it is done");
    screen.types("UNPLUGGED");
    screen.writes("[1/1] Take off the lid?");
    screen.types("do");
    screen.writes("CAUTION  Sharp sheet edges");
    screen.types("help now");
    // The hazard that is asked about comes first, then that of the unit.
    screen.writes("Deep cut or amputation");
    screen.writes("Enter: more; q: back > ");
    screen.is_ready();
    screen.enter("\r");
    screen.writes("Electric shock");
    screen.writes("Burn");
    screen.writes("Enter: back > ");
    screen.is_ready();
    screen.enter("\r");
    screen.writes("Sharp sheet edges");
    screen.writes("yes: read and followed; no: end safely");
    screen.types("yes");
    screen.writes("[1/1] Weigh: lid");
    screen.types("10 kg");
    screen.writes("Check: 10 kg is far outside");
    screen.types("help now 10");
    screen.writes("IF IT HAPPENS  10  Burn");
    screen.writes("Check: 10 kg is far outside");
    screen.writes("or type it again");
    screen.types("1 kg");
    screen.writes("How long did it take?");
    screen.types("pause");
    screen.ends();
    let journal = place.read(JOURNAL);
    assert!(!journal.to_lowercase().contains("help"), "{journal}");
    assert_eq!(journal.matches("kind = \"answer\"").count(), 5, "{journal}");
}

#[test]
fn in_a_small_window_a_card_takes_screens_under_its_heading() {
    let place = place();
    let mut screen = place.run_in(40, 20, &["bench", "live-box"]);
    screen.writes("What does the whole unit weigh");
    screen.types("help now cut");
    screen.shows("IF IT HAPPENS  7  Deep cut or amputation");
    screen.shows("First: Press on it, and call your");
    screen.shows("Enter: more; q: back > ");
    screen.is_ready();
    screen.enter("\r");
    screen.shows("IF IT HAPPENS  7  Deep cut or amputation");
    screen.shows("your local emergency services.");
    screen.shows("Enter: back > ");
    // What is typed there is no answer to the question.
    screen.types("6 kg");
    screen.writes("What does the whole unit weigh");
    screen.types("pause");
    screen.ends();
    let journal = place.read(JOURNAL);
    assert!(!journal.contains("kind = \"answer\""), "{journal}");
}

#[test]
fn in_a_form_in_a_tool_in_the_shell_and_at_a_pick() {
    let place = place();
    let mut screen = place.run(&["new", "recipe"]);
    screen.writes("What is the unit called?");
    screen.types("help now");
    screen.writes("Call your emergency number first.");
    screen.writes("What is the unit called?");
    screen.types("help now bleeding");
    screen.writes("Deep cut or amputation");
    screen.writes("What is the unit called?");
    screen.enter("\x03");
    assert_ne!(screen.ends(), 0);

    let mut screen = place.run(&["tares"]);
    screen.writes("What does it weigh, container and all?");
    screen.types("help now");
    screen.writes("Call your emergency number first.");
    screen.writes("What does it weigh, container and all?");
    screen.types("4 kg");
    screen.writes("Which container?");
    screen.enter("\x03");
    screen.ends();

    let mut screen = place.run(&[]);
    screen.types("help now shock");
    screen.writes("IF IT HAPPENS  1  Electric shock");
    screen.types("bench box");
    screen.writes("Which recipe?");
    screen.types("help now");
    screen.writes("Call your emergency number first.");
    screen.writes("Which recipe?");
    screen.types("");
    screen.writes("no recipe was chosen");
    screen.types("quit");
    assert_eq!(screen.ends(), 0);
    assert!(!place.path("home/sessions").exists(), "nothing was begun");
}

#[test]
fn plain_on_a_terminal() {
    let place = place();
    let mut screen = place.run(&["bench", "live-box", "--plain"]);
    screen.writes("as it came?");
    screen.press("help now\n");
    screen.writes("IF IT HAPPENS  1  Electric shock");
    screen.writes("as it came?");
    // What was typed while cards were shown is no answer: the next line is typed once the prompt stands again.
    screen.writes("> ");
    screen.press("pause\n");
    screen.ends();
    assert!(!place.read(JOURNAL).contains("kind = \"answer\""));
}

#[test]
fn at_a_confirmation() {
    let place = place();
    let mut screen = place.run(&["bundle", "live-box", "--out", "box.toml"]);
    assert_eq!(screen.ends(), 0);
    let mut screen = place.run(&["adopt", "box.toml"]);
    screen.writes("Take it in? Type yes");
    screen.types("help now");
    screen.writes("Call your emergency number first.");
    screen.writes("Take it in? Type yes");
    screen.types("");
    screen.ends();
}
