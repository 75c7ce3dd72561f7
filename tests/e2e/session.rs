//! What can be said at every question: orders, their words and what they leave behind.

use crate::bench::Bench;
use crate::stock::WHOLE;

#[test]
fn a_whole_session_shows_every_word_of_it() {
    let bench = Bench::stocked();
    let ended = bench.work(&[&WHOLE[..], &["2.70 kg"]].concat()).exits(0).quietly();
    ended.prints(include_str!("whole.txt"));
}

#[test]
fn undo_and_redo() {
    let bench = Bench::stocked();
    bench
        .work(&[
            "undo", "redo", "6 kg", "undo", "redo", "do", "undo", "undo", "redo", "redo", "undo", "skip", "redo",
            "undo", "pause",
        ])
        .exits(5)
        .shows(&[
            "> undo\nThere is nothing to take back.\n",
            "> redo\nThere is nothing to bring back.\n",
            "> 6 kg\n",
            "> undo\nTaken back: unit/intake = 6 kg\n",
            "What does the whole unit weigh",
            "> redo\nBrought back: unit/intake = 6 kg\n",
            "[1/3] Take off the lid?",
            "> undo\nTaken back: lid/begin = do\n",
            "> undo\nTaken back: unit/intake = 6 kg\n",
            "> redo\nBrought back: unit/intake = 6 kg\n",
            "> redo\nBrought back: lid/begin = do\n",
            "[1/3] Weigh: lid",
            "> undo\nTaken back: lid/begin = do\n",
            "> skip\nLeft out: lid\n",
            // A new answer ends what could be brought back.
            "> redo\nThere is nothing to bring back.\n",
            "> undo\nTaken back: lid/begin = skip\n",
            "[1/3] Take off the lid?",
        ]);
}

#[test]
fn back_keeps_the_old_answer_on_enter() {
    let bench = Bench::stocked();
    bench.work(&["6.25 kg", "do", "1.00 kg", "back", "back", "back", "", "back", "0.9 kg", "pause"]).exits(5).shows(&[
        "> back\nBack at lid/lid. Enter keeps the old answer.\n",
        "Enter: 1.00 kg\n",
        "> back\nBack at lid/begin. Enter keeps the old answer.\n",
        "> back\nBack at unit/intake. Enter keeps the old answer.\n",
        "Enter: 6.25 kg\n",
        "> \n  = 6.25 kg",
        "Done. How long did it take?",
        "> back\nBack at lid/lid.",
        "> 0.9 kg\n  = 900 g",
        "Done. How long did it take?",
    ]);
    bench.run(&["show", "test-box-1"]).exits(0).shows(&["unit/intake = 6.25 kg\n", "lid/lid = 0.9 kg\n"]);
    bench.feed(&["bench", "test-box", "--plain"], &["back", "pause"]).exits(5).shows(&["This is the first question."]);
}

#[test]
fn enter_keeps_a_weight_although_the_unit_has_changed() {
    let bench = Bench::stocked();
    bench.write(
        "home/yards/pound-yard.rhai",
        &crate::stock::FIXED_YARD.replace("fixed-yard", "pound-yard").replace("kg", "lb"),
    );
    bench
        .feed(
            &["bench", "test-box", "--yard", "pound-yard"],
            &["13.2", "yard fixed-yard", "back", "", "tally", "pause"],
        )
        .exits(5)
        // 13.2 lb × 453.59237 g = 5.987 kg, on a scale of 10 g 5.99 kg. Never 13.2 kg.
        .shows(&["Back at unit/intake", "Intake: 5.987 kg"]);
}

#[test]
fn going_back_lists_what_no_longer_counts() {
    let bench = Bench::stocked();
    bench
        .work(&[
            "6 kg", "do", "1 kg", "2", "do", "yes", "copper", "2 kg", "5", "back", "back", "back", "back", "back",
            "skip", "pause",
        ])
        .exits(5)
        .shows(&[
            "Back at core/begin.",
            "> skip\n",
            "Kept, and used again if asked: core/guard.sharp-sheet, core/winding, core/core",
        ]);
    bench.work(&["6 kg", "do", "1 kg", "2", "back", "back", "back", "later", "no", "pause"]).exits(5).shows(&[
        "Back at lid/begin.",
        "> no\n",
        "Kept, and used again if asked: lid/lid, lid/minutes",
    ]);
}

#[test]
fn questions_about_the_question_consume_nothing() {
    let bench = Bench::stocked();
    let ended =
        bench.work(&["why", "?", "help", "steps", "tally", "6 kg", "why", "?", "do", "why", "1 kg", "pause"]).exits(5);
    ended.shows(&[
        "gives the value of the unit whole",
        "kept under unit/intake\n",
        "go back one question",
        "  1  open      Take off the lid\n",
        "> 6 kg\n  = 6 kg (13.228 lb)\n",
        "A step is only done if you say so.",
        "kept under lid/begin\n",
        "> do\n",
        "kept under lid/lid\n",
        "> 1 kg\n",
    ]);
    bench
        .run(&["show", "test-box-1"])
        .exits(0)
        .shows(&["unit/intake = 6 kg\nlid/begin = do\nlid/lid = 1 kg\nNot finished"]);
}

#[test]
fn what_the_recipe_says_is_said_once_and_not_again_on_resume() {
    let bench = Bench::stocked();
    let lines = ["6 kg", "do", "1 kg", "2", "do", "yes", "silver", "why", "steps", "2 kg", "pause"];
    let ended = bench.work(&lines).exits(5);
    assert_eq!(ended.out.matches("Silver is aluminium.").count(), 1, "{}", ended.out);
    bench.feed(&["resume"], &["pause"]).exits(5).hides(&["Silver is aluminium."]);
    // Said again when an earlier answer is changed to it.
    bench
        .work(&["6 kg", "do", "1 kg", "2", "do", "yes", "copper", "2 kg", "back", "back", "silver", "pause"])
        .exits(5)
        .shows(&["Back at core/winding", "> silver\n", "Silver is aluminium."]);
}

#[test]
fn stop_here_ends_with_what_is_out_and_can_be_undone_by_resuming() {
    let bench = Bench::stocked();
    // 5 kg at 0.10 and 1 kg at 0.20; whole 0.60.
    bench.work(&["6 kg", "do", "1 kg", "2", "stop here"]).exits(0).shows(&[
        "> stop here\nStopped here. What is left is taken as it is.\n",
        "Remainder: Appliances",
        "Net                                     0.70\n",
        "Gain                                   +0.10\n",
    ]);
    bench.feed(&["resume"], &[""]).exits(0).shows(&["The session has ended.", "Stopped here."]);
    bench.feed(&["resume"], &["undo", "skip", "pause"]).exits(5).shows(&[
        "The session has ended.",
        "Taken back: stop here",
        "Pull the core?",
        "Left out: core",
        "Laid aside.",
    ]);
    bench.run(&["resume", "--no-input"]).exits(4);
}

#[test]
fn pause_and_resume() {
    let bench = Bench::stocked();
    bench
        .work(&["6 kg", "do", "pause", "never read"])
        .exits(5)
        .shows(&["> pause\nLaid aside. Go on with: resume 2026-11-02-test-box-1\n"]);
    bench.feed(&["resume"], &["1 kg", "2", "skip", "skip", "difference"]).exits(0).shows(&[
        "Session 2026-11-02-test-box-1 has 2 answers.\n",
        "  1  now       Take off the lid\n",
        "[1/3] Weigh: lid",
        "Left out: Pull the core; Pull the wires\n",
    ]);
    let journal = bench.read("home/sessions/2026-11-02-test-box-1.toml");
    let kinds: Vec<&str> = journal.lines().filter_map(|line| line.strip_prefix("kind = ")).collect();
    assert_eq!(kinds[..4], ["\"answer\"", "\"answer\"", "\"pause\"", "\"resume\""]);
}

#[test]
fn the_end_of_input_lays_aside() {
    let bench = Bench::stocked();
    bench.work(&["6 kg"]).exits(5).shows(&[
        "Input has ended. The session is laid aside; go on with: resume\n",
        "Not finished: Take off the lid?\n",
    ]);
}

#[test]
fn notes_are_kept_and_can_be_taken_back() {
    let bench = Bench::stocked();
    bench
        .work(&["note", "note left bolt was stripped", "note wrong one", "undo", "pause"])
        .exits(5)
        .shows(&["> note left bolt was stripped\nNoted.\n", "Taken back: note wrong one\n"]);
    bench.run(&["show", "test-box-1"]).exits(0).shows(&["left bolt was stripped"]).hides(&["wrong one"]);
}

#[test]
fn parts_in_one_container_are_a_mixed_lot() {
    let bench = Bench::stocked();
    let until = ["6 kg", "do", "1 kg", "2", "do", "yes", "copper", "2 kg", "5"];
    // Light iron at 0.20 brings less than copper transformers: 3 kg × 0.20 = 0.60.
    bench
        .work(&[&until[..], &["mix lid, lid", "mix lid, ocre", "mix lid, core", "mix core, lid", "stop here"]].concat())
        .exits(0)
        .shows(&[
            "In one container from here on: lid, core\n",
            "Light iron              3 kg  0.20/kg   0.60\n",
            "mixed lot \"lid + core\" taken as steel-light\n",
        ]);
    let refused = bench
        .work(&[&until[..], &["mix lid, lid", "mix lid, ocre", "mix lid, core", "mix core, lid", "pause"]].concat())
        .exits(5);
    refused.complains(
        "error: name at least two parts that went into one container: mix A, B\n\
         error: no part `ocre` is at hand as it came out; did you mean `core`?\n\
         error: `lid` is in a container already\n",
    );
    bench
        .work(&[&until[..], &["mix lid, core", "undo", "tally", "pause"]].concat())
        .exits(5)
        .shows(&["Taken back: mix lid + core", "3.00"]);
}

#[test]
fn another_yard_values_at_once_and_stays() {
    let bench = Bench::stocked();
    bench
        .work(&["6 kg", "yard komma", "yard nowhere", "do", "1,5", "pause"])
        .exits(5)
        .shows(&[
            "Valued at Komma Hof from here on, in EUR, weights in kg.\nNet as it stands: 0,30 EUR\n",
            "> 1,5\n  = 1,5 kg",
            "Blech at 0,10/kg: 0,15 EUR",
        ])
        .complains("error: there is no yard `nowhere`; there is bluegum-siding, comma-yard,\n  ellerwinkel, fixed-yard, hollow-lane, neem-chowk, saltmarsh-row, thistle-fork,\n  tsukisabi\n");
    bench.feed(&["resume"], &["tally", "pause"]).exits(5).shows(&["Test box at Komma Hof"]);
    bench.run(&["tally", "--yard", "fixed"]).exits(0).shows(&["Test box at Fixed Yard"]);
}

#[test]
fn a_quote_in_mid_session_counts_at_once() {
    let bench = Bench::stocked();
    bench
        .work(&["6 kg", "quote steel-light 0.50", "quote steel-lihgt 1", "quote steel-light", "do", "1 kg", "pause"])
        .exits(5)
        .shows(&["steel-light at fixed-yard from 2026-11-02 on: 0.50/kg\n", "Light iron at 0.50/kg: 0.50 CAD\n"]);
    bench.run(&["tally"]).exits(0).shows(&["quote of 2026-11-02"]);
}

#[test]
fn steps_put_off_come_after_the_others() {
    let bench = Bench::stocked();
    bench
        .work(&[
            "6 kg",
            "later",
            "do",
            "1 kg",
            "2",
            "later",
            "do",
            "0.2 kg",
            "none",
            "2",
            "later",
            "do",
            "yes",
            "1",
            "2.1 kg",
            "3",
            "difference",
        ])
        .exits(0)
        .shows(&[
            // The only step that is open cannot wait.
            "> later\nNot taken: no other step is open, so this one cannot wait: write `do` or `skip`\n",
            "[2/3] Pull the core?",
            "> later\n",
            "[3/3] Pull the wires?",
            "[2/3] Pull the core?",
            "> later\nNot taken: no other step is open",
            "Done. Every open step is done or left out.",
        ]);
    bench.run(&["show", "test-box-1"]).exits(0).shows(&["core/begin = later\n", "core/begin-2 = do\n"]);
}

#[test]
fn absent_and_too_light_parts() {
    let bench = Bench::stocked();
    bench
        .work(&[
            "6 kg",
            "do",
            "none",
            "2",
            "do",
            "yes",
            "copper",
            "2 kg",
            "5",
            "do",
            "too light",
            "none",
            "2",
            "difference",
        ])
        .exits(0)
        // 2 kg × 1.50; what is left 4 kg × 0.10; the wires have no weight to pay for, the lid and the clips do not exist.
        .shows(&[
            "Copper transformers     2 kg  1.50/kg    3.00\n",
            "Remainder: Appliances   4 kg  0.10/kg    0.40\n",
            "wires, wire-harness: weight not known\n",
        ])
        .hides(&["Light iron              ", "clips, brass"]);
}

#[test]
fn a_weight_far_out_is_questioned_before_it_is_taken() {
    let bench = Bench::stocked();
    bench
        .work(&["60 kg", "no", "60 kg", "yes", "undo", "6 kg", "do", "1000 kg", "no", "1 kg", "pause"])
        .exits(5)
        .shows(&[
            "Check: 60 kg is far outside the usual 4 kg to 8 kg. Most likely: the decimal",
            "keep it? yes; c takes 6 kg; or type it again\n> no\n",
            "What does the whole unit weigh",
            "keep it? yes; c takes 6 kg; or type it again\n> yes\n  = 60 kg",
            "Check: 1000 kg is far outside the usual 500 g to 1.5 kg, and more than the whole",
            "keep it? yes; c takes 1000 g; or type it again\n> no\n",
        ]);
    bench.run(&["show", "test-box-1"]).exits(0).shows(&["unit/intake = 6 kg\n", "lid/lid = 1 kg\n"]);
}

#[test]
fn asking_why_a_weight_is_doubted_takes_nothing() {
    let bench = Bench::stocked();
    bench.work(&["60 kg", "why", "?", "yes", "pause"]).exits(5).shows(&[
        "again\n> why\nA weight so far out is more often a slip",
        "again\n> ?\nA weight so far out is more often a slip",
        "again\n> yes\n  = 60 kg",
    ]);
    bench.run(&["show", "test-box-1"]).exits(0).shows(&["unit/intake = 60 kg\n"]);
}
