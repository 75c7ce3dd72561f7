//! Learn: own sessions inform the bench, and can be written into the recipe.

use super::Folder;

fn taught() -> Folder {
    let folder = Folder::new();
    for month in ["01", "02", "03", "04", "05", "06"] {
        folder.oven(&format!("2026-{month}-03"), "3400 g", None);
    }
    folder
}

#[test]
fn a_recipe_is_rewritten_at_its_figures_and_says_what_stands_behind_each() {
    let folder = taught();
    let said = folder.says(&["copy", "oven", "--learned"]);
    assert!(said.contains("transformer") && said.contains("Written to"), "{said}");
    let text = std::fs::read_to_string(folder.path().join("recipes/countertop-oven.rhai")).unwrap();
    assert!(text.contains("// learned: `transformer` from 6 own sessions; before"), "{text}");
    assert!(text.contains("learned from own sessions: 6, up to 2026-06-03; before: "), "{text}");
    assert!(text.contains(".revision(2)"));
    let original = include_str!("../../recipes/countertop-oven.rhai");
    // All else is as its author wrote it: without comments and the lines of figures, the two texts are the same.
    let rest = |text: &str| {
        let kept = |line: &&str| {
            !line.contains("// learned")
                && !line.contains(".frees(")
                && !line.contains("figures_from")
                && !line.contains(".revision(")
        };
        text.lines().filter(kept).map(str::to_owned).collect::<Vec<_>>()
    };
    assert_eq!(rest(&text), rest(original));
    assert!(folder.says(&["doctor"]).contains("0 at fault"));
}

#[test]
fn a_session_teaches_once() {
    let folder = taught();
    folder.says(&["copy", "oven", "--learned"]);
    let again = folder.on("2026-11-25", &["copy", "oven", "--learned", "--replace"]);
    assert_eq!(again.status.code(), Some(2), "the figures hold these sessions already");
    folder.oven("2026-07-03", "3400 g", None);
    let refused = folder.on("2026-11-25", &["copy", "oven", "--learned"]);
    assert!(String::from_utf8_lossy(&refused.stderr).contains("--replace"));
    folder.says(&["copy", "oven", "--learned", "--replace"]);
    let text = std::fs::read_to_string(folder.path().join("recipes/countertop-oven.rhai")).unwrap();
    assert!(text.contains("learned from own sessions: 7, up to 2026-07-03; before: "), "{text}");
    assert!(!text.contains("before: learned"), "the first source is kept, not the last");
}

#[test]
fn questions_and_outlook_say_whose_figures_they_show() {
    let folder = taught();
    folder.oven("2026-07-03", "3400 g", None);
    let answers = "28.7 lb\n";
    let bare = Folder::new().typed("2026-11-25", &["bench", "oven", "--yard", "hollow-lane"], answers);
    assert!(!bare.contains("by your"), "{bare}");
    let journal = std::fs::read_to_string(folder.path().join("sessions/2026-07-03-countertop-oven-1.toml")).unwrap();
    let until = journal.find("question = \"transformer/transformer\"").unwrap();
    let typed: String = journal[..until]
        .lines()
        .filter_map(|line| line.strip_prefix("typed = \"")?.strip_suffix('"'))
        .map(|text| format!("{text}\n"))
        .collect();
    let said = folder.typed("2026-11-25", &["bench", "oven", "--yard", "hollow-lane"], &typed).replace("\n  ", " ");
    assert!(said.contains("by your 7 sessions"), "{said}");
}

#[test]
fn a_plan_goes_by_own_sessions_and_says_so() {
    assert!(!Folder::new().says(&["plan", "oven"]).contains("By your"));
    let folder = taught();
    let text = folder.says(&["plan", "oven"]);
    assert!(text.contains("By your 6 sessions: what "), "{text}");
    let own = folder.json(&["plan", "oven", "--format", "json"]);
    let recipes = Folder::new().json(&["plan", "oven", "--format", "json"]);
    assert_eq!(
        (&own["plans"][0]["learned_sessions"], &recipes["plans"][0]["learned_sessions"]),
        (&6.into(), &0.into())
    );
    let sd = |document: &serde_json::Value| document["plans"][0]["chances"]["sd"].as_f64().unwrap();
    assert!(sd(&own) < sd(&recipes), "six like sessions leave less open than the recipe's ranges do");
}

/// Five sessions and a sixth whose transformer was typed in kilograms for pounds, with nobody asked: from an answers file.
fn slipped() -> Folder {
    let folder = Folder::new();
    for month in ["01", "02", "03", "04", "05"] {
        folder.oven(&format!("2026-{month}-03"), "3400 g", None);
    }
    folder.oven("2026-06-03", "7.5 kg", None);
    folder
}

#[test]
fn a_slip_that_nobody_noticed_teaches_nothing_and_is_named() {
    let said = slipped().says(&["copy", "oven", "--learned"]).replace("\n  ", " ");
    assert!(
        said.contains("Left out: transformer, 7.5 kg in 2026-06-03-countertop-oven-1, is most likely a slip"),
        "{said}"
    );
    assert!(said.contains("such as: the same weight was counted twice"), "{said}");
    let folder = slipped();
    folder.says(&["copy", "oven", "--learned"]);
    let text = std::fs::read_to_string(folder.path().join("recipes/countertop-oven.rhai")).unwrap();
    assert!(text.contains("// learned: `transformer` from 5 own sessions"), "{text}");
    let five = taught();
    std::fs::remove_file(five.path().join("sessions/2026-06-03-countertop-oven-1.toml")).unwrap();
    five.says(&["copy", "oven", "--learned"]);
    let clean = std::fs::read_to_string(five.path().join("recipes/countertop-oven.rhai")).unwrap();
    let range = |text: &str| text.lines().find(|line| line.contains(".frees(\"transformer\"")).unwrap().to_owned();
    assert_eq!(range(&text), range(&clean), "as if the slip had never been");
}

#[test]
fn a_plan_and_a_comparison_say_what_was_left_out() {
    let folder = slipped();
    let plan = folder.says(&["plan", "oven"]).replace("\n  ", " ");
    assert!(
        plan.contains("1 weight of yours is left out: most likely slips; `compare countertop-oven` names them."),
        "{plan}"
    );
    let comparison = folder.says(&["compare", "oven"]).replace("\n  ", " ");
    assert!(
        comparison.contains("Left out: 7.5 kg in 2026-06-03-countertop-oven-1 is most likely a slip"),
        "{comparison}"
    );
    assert!(!taught().says(&["plan", "oven"]).contains("left out"));
}

#[test]
fn what_differs_from_the_recipe_every_time_is_learned() {
    let folder = Folder::new();
    // Half of what the recipe expects, each time: such units, and no slip of counting twice the other way round.
    for month in ["01", "02", "03", "04", "05"] {
        folder.oven(&format!("2026-{month}-03"), "2100 g", None);
    }
    let said = folder.says(&["copy", "oven", "--learned"]);
    assert!(!said.contains("Left out: transformer"), "{said}");
    let text = std::fs::read_to_string(folder.path().join("recipes/countertop-oven.rhai")).unwrap();
    assert!(text.contains("// learned: `transformer` from 5 own sessions"), "{text}");
}
