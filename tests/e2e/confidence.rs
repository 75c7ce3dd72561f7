//! Figures of low confidence say so wherever they are shown: where a part is weighed, on the recipe's page, on its sheet, in a plan.
//! Hazards that only the questions of a recipe lead to stand on its page and on its sheet too.

use crate::bench::{Bench, Ended};

/// One weight that is a guess, one that is one in part, one that was read.
const GUESSED: &str = r#"unit("guessed", "Guessed unit").weighs((4.kg..8.kg).usually(6.kg)).sold_whole_as("appliance-light")
    .figures_from("estimate, low confidence");
import "checks" as checks;
step("lid", "Lid").minutes(1, 2, 3)
    .frees("lid", (0.5.kg..1.5.kg).usually(1.kg), "steel-light").figures_from("estimate, low confidence: nobody weighed one")
    .frees("core", (1.kg..3.kg).usually(2.kg), "steel-light").figures_from("usual read; range estimate")
    .frees("foot", (0.1.kg..0.3.kg).usually(0.2.kg), "steel-light").figures_from("ErP, read")
    .work(|bench| if !checks::ceramic(bench, "ceramic") { bench.guard("asbestos"); });
"#;

fn guessed() -> Bench {
    let bench = Bench::stocked();
    bench.write("home/recipes/guessed.rhai", GUESSED);
    bench.write("home/config.toml", "yard = \"fixed-yard\"\n");
    bench
}

fn in_one_line(ended: &Ended) -> String {
    ended.out.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// At 80 and at 40 columns, where lines break elsewhere.
fn at_both_widths(bench: &Bench, arguments: &[&str], lines: &[&str], code: i32, shown: &[&str]) {
    for width in ["80", "40"] {
        at_width(bench, width, arguments, lines, code, shown);
    }
}

fn at_width(bench: &Bench, width: &str, arguments: &[&str], lines: &[&str], code: i32, shown: &[&str]) {
    let ended = bench.call(arguments).env("COLUMNS", width).lines(lines).run().exits(code);
    let out = in_one_line(&ended);
    for text in shown {
        assert!(out.contains(text), "{text:?} at {width} columns is not in\n{}", ended.out);
    }
    assert!(ended.out.lines().all(|line| line.chars().count() <= 80), "{}", ended.out);
}

#[test]
fn a_weight_question_says_what_stands_behind_the_figure_that_it_shows() {
    let lines = ["6 kg", "do", "what shows is whole and clean", "1 kg", "2 kg", "200 g", "pause"];
    for width in ["80", "40"] {
        // A second session would go by the first one's weights.
        let bench = guessed();
        at_width(
            &bench,
            width,
            &["bench", "guessed", "--plain"],
            &lines,
            5,
            &[
                "usually 6 kg (4 kg to 8 kg), low confidence",
                "usually 1 kg (500 g to 1.5 kg), low confidence",
                "usually 2 kg (1 kg to 3 kg), in part an estimate",
                "usually 200 g (100 g to 300 g); or none, or too light",
            ],
        );
    }
}

#[test]
fn a_recipes_page_says_where_each_figure_comes_from() {
    at_both_widths(
        &guessed(),
        &["show", "guessed"],
        &[],
        0,
        &[
            "sold whole as appliance-light weights from: estimate, low confidence",
            "as steel-light weights from: estimate, low confidence: nobody weighed one",
            "as steel-light weights from: usual read; range estimate",
            "as steel-light weights from: ErP, read",
        ],
    );
}

#[test]
fn a_sheet_says_which_weights_are_guesses() {
    let bench = guessed();
    at_both_widths(
        &bench,
        &["sheet", "guessed", "--format", "text"],
        &[],
        0,
        &[
            "Such units weigh 6 kg (4 kg to 8 kg), low confidence.",
            "usually 1 kg (500 g to 1.5 kg), low confidence; steel-light",
            "usually 2 kg (1 kg to 3 kg), in part an estimate; steel-light",
            "usually 200 g (100 g to 300 g); steel-light",
        ],
    );
    let html = bench.run(&["sheet", "guessed"]).exits(0).out;
    assert!(html.contains("usually 1 kg (500 g to 1.5 kg), low confidence; steel-light"), "{html}");
    assert!(html.contains("Such units weigh 6 kg (4 kg to 8 kg), low confidence."), "{html}");
}

#[test]
fn a_plan_says_how_many_of_its_weights_are_guesses() {
    let bench = guessed();
    let said = "Low confidence: the recipe's weights of 1 of its 3 parts are guesses. Trust your scale.";
    at_both_widths(&bench, &["plan", "guessed"], &[], 0, &[said]);
    let yards = ["plan", "guessed", "--yard", "fixed-yard", "--yard", "hollow-lane"];
    at_both_widths(&bench, &yards, &[], 0, &[said]);
    bench.write("home/recipes/guessed.rhai", &GUESSED.replace(", low confidence", ""));
    let ended = bench.run(&["plan", "guessed"]).exits(0);
    assert!(!ended.out.contains("confidence"), "{}", ended.out);
}

#[test]
fn hazards_that_only_the_questions_lead_to_are_on_the_page_and_on_the_sheet() {
    let bench = guessed();
    at_both_widths(
        &bench,
        &["show", "guessed"],
        &[],
        0,
        &["By what is found, also: LICENSED ONLY: Asbestos; LICENSED ONLY: Broken ceramic that may be beryllia."],
    );
    at_both_widths(
        &bench,
        &["sheet", "guessed", "--format", "text"],
        &[],
        0,
        &[
            "HAZARDS BY WHAT IS FOUND On paper nobody asks.",
            "! LICENSED ONLY: Asbestos Fibres too fine to see",
            "Stop: Grey or white fibrous board, rope, paper, cloth or felt",
            "! LICENSED ONLY: Broken ceramic that may be beryllia",
        ],
    );
    let html = bench.run(&["sheet", "guessed"]).exits(0).out;
    assert!(html.contains("<h2>Hazards by what is found</h2>") && html.contains("LICENSED ONLY: Asbestos"), "{html}");
}

/// What the shipped recipes say of themselves reaches the screen: each has a figure of low confidence, and its plan says so.
#[test]
fn plans_of_shipped_recipes_say_it() {
    let bench = Bench::new();
    for recipe in ["countertop-oven", "storage-water-heater", "window-air-conditioner", "kettle"] {
        bench.run(&["plan", recipe]).exits(0).shows(&["Low confidence: the recipe's weights of "]);
    }
}
