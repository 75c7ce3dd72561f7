//! Compare: a recipe over sessions.

use super::Folder;

fn close(value: &serde_json::Value, wanted: f64) {
    let value = value.as_f64().unwrap();
    assert!((value - wanted).abs() < 1e-6 * wanted.abs(), "{value} is not {wanted}");
}

#[test]
fn figures_of_a_part_are_those_of_its_weights() {
    let folder = Folder::new();
    for (day, grams) in [("2026-01-03", "3500 g"), ("2026-02-03", "3700 g"), ("2026-03-03", "3600 g")] {
        folder.oven(day, grams, None);
    }
    let document = folder.json(&["compare", "oven", "--format", "json"]);
    let parts = document["folders"][0]["parts"].as_array().unwrap();
    let part = parts.iter().find(|part| part["part"] == "transformer").unwrap();
    let summary = &part["summary_g"];
    assert_eq!(summary["n"], 3);
    close(&summary["mean"], 3600.0);
    close(&summary["sd"], 100.0);
    close(&summary["median"], 3600.0);
    // t(0.975; 2) = 4.302653 (published tables), so the mean lies in 3600 ± 4.302653 · 100/√3.
    close(&summary["mean_95"][1], 3600.0 + 4.302_652_729_911_275 * 100.0 / 3.0_f64.sqrt());
    assert_eq!(part["outliers"]["method"], "prior-predictive");
    let steps = document["folders"][0]["steps"].as_array().unwrap();
    assert!(steps.iter().any(|step| step["summary"]["n"] == 3));
}

#[test]
fn filters_choose_by_day_and_person() {
    let folder = Folder::new();
    folder.oven("2026-01-03", "3500 g", Some("Ada"));
    folder.oven("2026-02-03", "3700 g", Some("Ben"));
    let sessions = |arguments: &[&str]| {
        let all = [&["compare", "oven", "--format", "json"][..], arguments].concat();
        folder.json(&all)["folders"][0]["sessions"].as_array().unwrap().len()
    };
    assert_eq!(sessions(&[]), 2);
    assert_eq!(sessions(&["--person", "ben"]), 1);
    assert_eq!(sessions(&["--from", "2026-02-01"]), 1);
    assert_eq!(sessions(&["--from", "2026-02-01", "--to", "2026-02-02"]), 0);
}

#[test]
fn two_folders_stand_beside_each_other_and_plain_mode_draws_nothing() {
    let (mine, theirs) = (Folder::new(), Folder::new());
    mine.oven("2026-01-03", "3500 g", None);
    theirs.oven("2026-02-03", "3700 g", None);
    let with = theirs.path().to_str().unwrap();
    let page = mine.says(&["compare", "oven", "--with", with, "--plain"]);
    let name = theirs.path().file_name().unwrap().to_str().unwrap();
    assert!(page.contains("  yours: n 1") && page.contains(&format!("  {name}: n 1")), "{page}");
    assert!(page.contains("1 within the recipe's range") && !page.contains("---"), "{page}");
    assert!(mine.says(&["compare", "oven"]).contains("[--"));
    let document = mine.json(&["compare", "oven", "--with", with, "--format", "json"]);
    assert_eq!(document["folders"].as_array().unwrap().len(), 2);
}

#[test]
fn tags_are_given_at_the_start_or_later_and_filter() {
    let folder = Folder::new();
    let first = folder.oven("2026-01-03", "3500 g", None);
    folder.oven("2026-02-03", "3700 g", None);
    folder.says(&["note", "2026-01-03", "from the #garage, #Rusty"]);
    folder.says(&["note", "2026-02-03", "#garage"]);
    let sessions = |tags: &[&str]| {
        let mut all = vec!["compare", "oven", "--format", "json"];
        tags.iter().for_each(|tag| all.extend(["--tag", tag]));
        folder.json(&all)["folders"][0]["sessions"].as_array().unwrap().len()
    };
    assert_eq!((sessions(&["garage"]), sessions(&["#rusty"]), sessions(&["garage", "rusty"])), (2, 1, 1));
    assert_eq!(sessions(&["gar"]), 0, "a tag is a whole word");
    let page = folder.says(&["report", "2026-01-03"]);
    assert!(page.contains("#garage #Rusty"), "{page}");
    let journal = std::fs::read_to_string(&first).unwrap();
    assert!(journal.contains("kind = \"note\"") && folder.says(&["doctor"]).contains("0 at fault"), "{journal}");
    // A session begun with a tag has it from its first entry on; what is no word is refused before anything is answered.
    let lines = "28 lb\npause\n";
    folder.typed("2026-03-03", &["bench", "oven", "--yard", "hollow-lane", "--tag", "estate-sale"], lines);
    assert_eq!(sessions(&["estate-sale"]), 1);
    let refused = folder.on("2026-03-04", &["bench", "oven", "--yard", "hollow-lane", "--tag", "two words"]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&refused.stderr).contains("is no tag"));
    assert!(!folder.path().join("sessions/2026-03-04-countertop-oven-1.toml").exists());
}

#[test]
fn recovery_is_that_of_the_tallies() {
    let folder = Folder::new();
    folder.oven("2026-01-03", "3500 g", None);
    folder.oven("2026-02-03", "3700 g", None);
    let recovery = folder.json(&["compare", "oven", "--format", "json"])["folders"][0]["recovery_percent"].clone();
    let tally = folder.json(&["tally", "2026-01-03", "--format", "json"]);
    assert_eq!(recovery["n"], 2);
    // Only the transformer differs, and is opened: what the windings weigh over the intake is the same.
    let percent: f64 = tally["recovery"]["percent"].as_str().unwrap().parse().unwrap();
    close(&recovery["mean"], percent);
}
