//! What ended sessions came to is kept beside their journals; whatever becomes of it, commands say the same.

use std::fs;

use crate::bench::Bench;

const SESSIONS: usize = 25;

const ANSWERS: [&str; 11] = ["6 kg", "do", "1 kg", "2", "do", "yes", "silver", "2 kg", "3", "skip", "difference"];

const VIEWS: [&[&str]; 6] = [
    &["stock"],
    &["stock", "--by", "lot", "--format", "json"],
    &["replay", "--all", "--format", "json"],
    &["replay", "--all", "--yard", "ellerwinkel"],
    &["compare", "test-box", "--format", "json"],
    &["compare", "test-box", "--tag", "ada"],
];

fn views(bench: &Bench) -> Vec<(String, String)> {
    let view = |view: &&[&str]| {
        let seen = bench.run(view);
        (seen.out, seen.err)
    };
    VIEWS.iter().map(view).collect()
}

/// A folder with sessions enough that what they came to is kept, one of them with a note, and one that goes on.
fn many() -> Bench {
    let bench = Bench::stocked();
    for number in 0..SESSIONS {
        let weight = format!("{} g", 900 + number * 10);
        let mut answers = ANSWERS;
        answers[2] = &weight;
        bench.work(&answers).exits(0);
    }
    bench.run(&["note", "box-25", "found by #ada"]).exits(0);
    bench.feed(&["bench", "test-box"], &["6 kg", "pause"]).exits(5);
    bench
}

#[test]
fn what_is_kept_is_never_believed_before_the_journal() {
    let bench = many();
    let file = bench.path("home/results.txt");
    assert!(!file.exists(), "nothing is kept before anybody asked");
    let before = views(&bench);
    let kept = fs::read_to_string(&file).unwrap();
    assert_eq!(kept.lines().count(), 1 + SESSIONS, "{kept}");
    assert!(kept.contains("\"summary\":{"), "the weights that `compare` asked for are kept too");
    assert_eq!(views(&bench), before, "from what is kept");
    bench.run(&["doctor"]).exits(0);

    // A line that was changed does not count, nor does half a file, nor none.
    fs::write(&file, kept.replace("\"2000", "\"9000").replace("2 kg", "9 kg")).unwrap();
    assert_ne!(fs::read_to_string(&file).unwrap(), kept, "something was changed");
    assert_eq!(views(&bench), before, "changed");
    fs::write(&file, &kept[..kept.len() / 2]).unwrap();
    assert_eq!(views(&bench), before, "cut");
    fs::remove_file(&file).unwrap();
    assert_eq!(views(&bench), before, "removed");
    // A folder in its place is left alone.
    fs::remove_file(&file).unwrap();
    fs::create_dir(&file).unwrap();
    assert_eq!(views(&bench), before, "a folder");
    bench.run(&["doctor"]).exits(1).shows(&["results.txt"]);
    fs::remove_dir(&file).unwrap();
}

#[test]
fn a_journal_that_was_altered_is_read_itself() {
    let bench = many();
    views(&bench);
    let journal = bench.path("home/sessions/2026-11-02-test-box-3.toml");
    let text = fs::read_to_string(&journal).unwrap();
    // One digit of one weight, the file as long as before.
    let altered = text.replacen("920 g", "930 g", 1);
    assert_ne!(altered, text);
    fs::write(&journal, &altered).unwrap();
    let with = views(&bench);
    assert!(with[0].1.contains("test-box-3 is left out"), "{}", with[0].1);
    fs::remove_file(bench.path("home/results.txt")).unwrap();
    assert_eq!(views(&bench), with);
    // Put back, it counts again; set aside, it does not.
    fs::write(&journal, &text).unwrap();
    let sound = views(&bench);
    assert!(!sound[0].1.contains("left out"), "{}", sound[0].1);
    bench.run(&["discard", "test-box-3"]).exits(0);
    let aside = views(&bench);
    assert_ne!(aside[1], sound[1]);
    fs::remove_file(bench.path("home/results.txt")).unwrap();
    assert_eq!(views(&bench), aside);
}

#[test]
fn a_text_that_is_gone_is_named_whether_or_not_results_are_kept() {
    let bench = many();
    views(&bench);
    fs::remove_dir_all(bench.path("home/scripts-seen")).unwrap();
    let with = views(&bench);
    let said = with[0].1.replace("\n  ", " ");
    assert!(said.contains("no copy of the recipe test-box as it was then was kept"), "{said}");
    fs::remove_file(bench.path("home/results.txt")).unwrap();
    assert_eq!(views(&bench), with);
}

#[test]
fn the_doctor_finds_a_result_that_its_journal_does_not_give() {
    let bench = many();
    views(&bench);
    let file = bench.path("home/results.txt");
    let text = fs::read_to_string(&file).unwrap();
    let forged: Vec<String> = text
        .lines()
        .map(|line| match line.splitn(4, ' ').collect::<Vec<_>>()[..] {
            [id, journal, _, result] if id.ends_with("box-5") => {
                let result = result.replace("transformer", "transistor");
                format!("{id} {journal} {} {result}", knockdown::store::digest(result.as_bytes()))
            }
            _ => line.to_owned(),
        })
        .collect();
    fs::write(&file, forged.join("\n") + "\n").unwrap();
    assert_ne!(fs::read_to_string(&file).unwrap(), text);
    bench.run(&["doctor"]).exits(1).shows(&["results.txt says something else of it than"]);
}
