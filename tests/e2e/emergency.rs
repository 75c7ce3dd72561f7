//! Emergency cards without a terminal: on the command line, in lines from a pipe, on a sheet; and how piles of batteries are kept.

use crate::bench::Bench;
use crate::stock::WHOLE;

#[test]
fn help_now_is_a_command_that_needs_no_folder() {
    let bench = Bench::new();
    bench.run(&["help", "now"]).exits(0).quietly().shows(&[
        "IF IT HAPPENS  Call your emergency number first.",
        "   1  Electric shock\n",
        "  10  Burn\n",
    ]);
    bench
        .run(&["--plain", "help", "now", "burn"])
        .exits(0)
        .quietly()
        .shows(&["IF IT HAPPENS  10  Burn", "  5. No ice"]);
    bench.run(&["help", "now", "3"]).exits(0).shows(&["IF IT HAPPENS  3  Mercury"]).hides(&["Electric shock\n"]);
    bench
        .run(&["help", "now", "zebra"])
        .exits(0)
        .shows(&["No card is called zebra.", "Call your emergency number first."]);
    bench.run(&["show", "emergencies"]).exits(0).shows(&["  14  Frozen fingers"]);
    bench.run(&["show", "shock"]).exits(0).shows(&["IF IT HAPPENS  1  Electric shock", "Source of ", "Status: "]);
    bench.run(&["help", "nothing-of-the-kind"]).exits(2).complains_of(&["`nothing-of-the-kind` is no command"]);
    assert!(!bench.has("home"), "help made a folder");
    bench.write("home/config.toml", "this is no setting");
    bench.run(&["help", "now"]).exits(0).shows(&["Call your emergency number first."]);
}

#[test]
fn help_now_between_any_two_answers_changes_nothing() {
    let whole = [&WHOLE[..], &["2.70 kg"]].concat();
    let asks: Vec<&str> = whole.iter().flat_map(|line| ["help now", line]).collect();
    let journal = |lines: &[&str]| {
        let bench = Bench::stocked();
        let ended = bench.work(lines).exits(0);
        (ended, bench.read("home/sessions/2026-11-02-test-box-1.toml"))
    };
    let (ended, asked) = journal(&asks);
    assert_eq!(asked, journal(&whole).1);
    ended.shows(&["IF IT HAPPENS  7  Deep cut or amputation", "Others, by help now NUMBER: "]);
}

#[test]
fn help_now_in_the_stock_interview() {
    let bench = Bench::stocked();
    bench.work(&[&WHOLE[..], &["2.70 kg"]].concat()).exits(0);
    let ended = bench.feed(&["settle", "--yard", "fixed-yard"], &["help now", "leave"]).exits(4);
    ended.shows(&["Call your emergency number first."]).complains_of(&["left before the end; nothing was booked"]);
}

#[test]
fn a_sheet_begins_with_the_cards_of_its_hazards() {
    let bench = Bench::new();
    let text = bench.run(&["sheet", "oven", "--format", "text"]).exits(0).out;
    let at = |what: &str| text.find(what).unwrap_or_else(|| panic!("{what}:\n{text}"));
    assert!(at("IF IT HAPPENS") < at("! Electric shock") && at("! Deep cut") < at("HAZARDS ON THE WAY"), "{text}");
    for line in ["Power off, then call your emergency number.", "Reviewed by nobody qualified.", "5. No ice, butter"] {
        assert!(at(line) < at("HAZARDS ON THE WAY"), "{text}");
    }
    assert!(!text.contains("! Button cell swallowed"), "no button cell is in it");
    let html = bench.run(&["sheet", "oven"]).exits(0).out;
    let head = html.split("<h2>Hazards on the way</h2>").next().unwrap();
    assert!(head.contains("<h2>If it happens</h2>") && head.contains("<h3>Electric shock</h3>"), "{head}");
    assert_eq!(head.matches("Reviewed by nobody qualified.").count(), 1, "{head}");
}

#[test]
fn stock_says_how_batteries_are_kept() {
    let bench = Bench::stocked();
    let kept = "The card: show battery-store";
    bench.run(&["stock", "add", "copper-2", "1 kg"]).exits(0).hides(&[kept]);
    bench.run(&["stock"]).exits(0).hides(&[kept]);
    bench.run(&["stock", "add", "lithium-battery", "1 kg"]).exits(0).shows(&[kept]);
    // A grade below one that says it inherits it; one line is said for all.
    bench.run(&["stock", "add", "alkaline-battery", "1 kg"]).exits(0).shows(&[kept]);
    let listed = bench.run(&["stock"]).exits(0).out;
    assert_eq!(listed.matches("show battery-store").count(), 1, "{listed}");
    bench.run(&["show", "battery-store"]).exits(0);
}

#[test]
fn the_end_of_a_session_says_how_batteries_are_kept() {
    let bench = Bench::stocked();
    let recipe = r#"unit("cell-box", "Cell box").weighs((4.kg..8.kg).usually(6.kg)).sold_whole_as("appliance-light");
step("pack", "Take the pack out").minutes(1, 2, 3).guards(["lithium-sound"])
    .frees("pack", (0.5.kg..1.5.kg).usually(1.kg), "lithium-battery");
"#;
    bench.write("home/recipes/cell-box.rhai", recipe);
    let begun = ["bench", "cell-box", "--yard", "fixed-yard"];
    bench.feed(&begun, &["6 kg", "do", "INSPECTED", "1 kg", "2", "5 kg"]).exits(0).shows(&["show battery-store"]);
    bench.feed(&begun, &["6 kg", "skip", "6 kg"]).exits(0).hides(&["show battery-store"]);
}
