//! Compare: a recipe over sessions.

use crate::Folder;

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
    assert!(page.contains("Journals carry no tags"), "{page}");
    assert!(mine.says(&["compare", "oven"]).contains("[--"));
    let document = mine.json(&["compare", "oven", "--with", with, "--format", "json"]);
    assert_eq!(document["folders"].as_array().unwrap().len(), 2);
}
