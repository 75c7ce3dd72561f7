//! Every fault that the other tests here make, planted in a sound folder one at a time: `doctor` names the file, the place
//! and what to do, and nothing else is at fault.

use crate::bench::Bench;

const ID: &str = "2026-11-02-test-box-1";

/// A recipe with a test session of the person's own, a session, a quote, a find, a setting, and a recipe from a stranger.
fn sound() -> Bench {
    let bench = Bench::stocked();
    bench.work(&["6 kg", "do", "pause"]).exits(5);
    bench.run(&["quote", "brass", "3", "--yard", "fixed-yard"]).exits(0);
    bench.run(&["quote", "brass", "4", "--yard", "fixed-yard"]).exits(0);
    bench.run(&["stock", "add", "brass", "1.2 kg"]).exits(0);
    bench.run(&["stock", "add", "brass", "1.3 kg"]).exits(0);
    bench.run(&["settings", "unit", "kg"]).exits(0);
    bench.run(&["copy", "countertop-oven"]).exits(0);
    bench
}

/// What `doctor` shows, a line each, not broken.
fn faults(bench: &Bench, code: i32) -> Vec<String> {
    let ended = bench.call(&["doctor"]).env("COLUMNS", "1000").run().exits(code);
    ended.out.lines().filter(|line| line.starts_with("FAULT") || line.starts_with("note")).map(str::to_owned).collect()
}

/// Changes one file of a sound folder, and finds these words said of it, and nothing of any other file.
#[track_caller]
fn finds(file: &str, change: impl FnOnce(String) -> String, words: &[&str]) {
    let bench = sound();
    let name = format!("home/{file}");
    bench.write(&name, &change(bench.read(&name)));
    let code = i32::from(words[0].starts_with("FAULT"));
    let found = faults(&bench, code);
    assert!(found.iter().all(|line| line.contains(words[0]) || line.contains(file)), "{file}: {found:#?}");
    assert!(words.iter().all(|word| found[0].contains(word)), "{file}: {words:?} in {found:#?}");
}

#[test]
fn a_sound_folder_has_no_fault() {
    assert_eq!(faults(&sound(), 0), Vec::<String>::new());
}

#[test]
fn every_damage_of_a_log_is_named_with_its_line() {
    let logs = [
        (format!("sessions/{ID}.toml"), format!("FAULT  session {ID}: ")),
        ("quotes.toml".to_owned(), "FAULT  quotes: ".to_owned()),
        ("stock.toml".to_owned(), "FAULT  stock and tickets: ".to_owned()),
    ];
    for (file, head) in &logs {
        let find = |change: fn(String) -> String, words: &str| finds(file, change, &[head, ", line ", words]);
        find(|text| text.replace('\n', "\r\n"), "carriage return");
        find(|text| format!("\u{feff}{text}"), "byte order mark");
        find(|text| format!("{text}\0"), "a NUL byte");
        find(|text| format!("{text}# mine\n"), "expected");
        find(|text| text.replacen("at = \"2026", "at = \"2025", 1), "in entry 1: the digest");
        find(|text| text[..40].to_owned(), "ends within its header");
        finds(file, |text| text.replace("version = 1", "version = 9"), &[head, "made by a newer version"]);
        finds(file, |text| text[..text.len() - 9].to_owned(), &[head, "an entry that was never finished"]);
    }
    finds("quotes.toml", |_| "mine\n".to_owned(), &["FAULT  quotes: home/quotes.toml, line 1", "begins with \"mine\""]);
}

#[test]
fn every_damage_of_another_file_is_named() {
    finds("config.toml", |_| "unit = 3\n".to_owned(), &["FAULT  settings: home/config.toml, line 1: "]);
    finds("config.toml", |text| text + "\0", &["FAULT  settings: home/config.toml, line 2: "]);
    finds("config.toml", |_| "yard = \"nowhere\"\n".to_owned(), &["FAULT  settings: there is no yard `nowhere`"]);
    finds(
        "recipes/countertop-oven.rhai",
        |_| "unit(\n".to_owned(),
        &["FAULT  recipe countertop-oven: ", "home/recipes/countertop-oven.rhai:"],
    );
    finds(
        "recipes/countertop-oven.session.toml",
        |text| text + "x = \n",
        &["FAULT  test session of countertop-oven: home/recipes/countertop-oven.session.toml, line "],
    );
    let bench = sound();
    std::fs::write(bench.path("home/recipes/countertop-oven.rhai"), b"unit(\"\xff\")").unwrap();
    let found = faults(&bench, 1);
    assert!(
        found[0].starts_with("FAULT  recipe countertop-oven: home/recipes/countertop-oven.rhai, line 1"),
        "{found:#?}"
    );
}

#[test]
fn kept_copies_that_are_changed_or_gone_are_named() {
    let bench = sound();
    let copies = || std::fs::read_dir(bench.path("home/scripts-seen")).unwrap().map(|entry| entry.unwrap().path());
    let copy = copies().next().unwrap();
    let text = std::fs::read_to_string(&copy).unwrap();
    std::fs::write(&copy, format!("{text}// changed\n")).unwrap();
    let found = faults(&bench, 1);
    assert_eq!(found.len(), 1, "{found:#?}");
    assert!(
        found[0].starts_with("FAULT  kept copy: home/scripts-seen/") && found[0].contains("was changed"),
        "{found:#?}"
    );
    std::fs::remove_file(&copy).unwrap();
    let found = faults(&bench, 1);
    assert_eq!(found.len(), 1, "{found:#?}");
    assert!(found[0].starts_with(&format!("FAULT  session {ID}: no copy of a script")), "{found:#?}");
    std::fs::write(&copy, text).unwrap();
    bench.write("home/scripts-seen/mine.txt", "x");
    assert_eq!(faults(&bench, 1), ["FAULT  scripts-seen/mine.txt: this is no kept copy; move it elsewhere"]);
}

/// The recipe of a session is thrown away: its copy serves, so that is a note, and says how to have the recipe again. Without the
/// copy it is a fault.
#[test]
fn a_session_whose_recipe_is_gone_is_noted_and_at_fault_only_without_its_copy() {
    let bench = sound();
    let recipe = bench.read("home/recipes/test-box.rhai");
    std::fs::remove_file(bench.path("home/recipes/test-box.rhai")).unwrap();
    let found = faults(&bench, 0);
    assert_eq!(found.len(), 1, "{found:#?}");
    let words = ["note   session", ID, "the recipe test-box is gone", "Nothing is lost", "as recipes/test-box.rhai"];
    assert!(words.iter().all(|word| found[0].contains(word)), "{found:#?}");
    let copy = found[0].split("scripts-seen/").nth(1).unwrap().split(".rhai").next().unwrap();
    let copy = format!("home/scripts-seen/{copy}.rhai");
    assert_eq!(bench.read(&copy), recipe);
    bench.write("home/recipes/test-box.rhai", &bench.read(&copy));
    assert_eq!(faults(&bench, 0), Vec::<String>::new(), "what the note says to do helps");
    std::fs::remove_file(bench.path("home/recipes/test-box.rhai")).unwrap();
    std::fs::remove_file(bench.path(&copy)).unwrap();
    let found = faults(&bench, 1);
    assert!(found.iter().any(|line| line.starts_with(&format!("FAULT  session {ID}: "))), "{found:#?}");
}

#[test]
fn pins_that_lead_nowhere_are_named() {
    let bench = sound();
    bench.run(&["bundle", "countertop-oven", "--out", "oven.toml"]).exits(0);
    let bundle = bench.read("oven.toml");
    let digest = bundle.lines().find_map(|line| line.strip_prefix("digest = \"")).unwrap().trim_end_matches('"');
    bench.run(&["adopt", "oven.toml", "--digest", digest]).exits(0);
    assert!(bench.has("home/pinned.toml"));
    assert_eq!(faults(&bench, 0), Vec::<String>::new());
    let pins = bench.read("home/pinned.toml");
    bench.write("home/pinned.toml", &pins.replace("recipes.countertop-oven", "recipes.countertop-ovem"));
    let found = faults(&bench, 1);
    assert!(
        found[0].starts_with("FAULT  pins: recipes/countertop-ovem.rhai is pinned, but there is no such text"),
        "{found:#?}"
    );
    bench.write("home/pinned.toml", &pins.replace("[recipes.", "[recipds."));
    assert!(
        faults(&bench, 1)[0].contains("home/pinned.toml, line 6: the pin \"recipds.countertop-oven\" is in no folder")
    );
    bench.write("home/pinned.toml", &pins);
    let recipe = bench.read("home/recipes/countertop-oven.rhai");
    bench.write("home/recipes/countertop-oven.rhai", &format!("{recipe}// mine\n"));
    assert_eq!(faults(&bench, 0), ["note   pins: recipes/countertop-oven.rhai was changed after it was taken in"]);
}

#[test]
fn what_lies_about_is_named() {
    let bench = sound();
    bench.write(&format!("home/sessions/{ID}.toml.torn-1"), "\n[[entry]]\n");
    bench.write("home/.quotes.toml.12-0.part", "x");
    bench.write("home/sessions/.x.toml.12-0.part", "x");
    let found = faults(&bench, 0);
    assert_eq!(found.len(), 3, "{found:#?}");
    assert!(found.iter().all(|line| line.starts_with("note   home/") && line.contains("emove it")), "{found:#?}");
    bench.write("home/sessions/diary.txt", "mine");
    bench.write("home/tickets/diary.txt", "mine");
    bench.write("home/yards/Mine.rhai", "mine");
    bench.write(&format!("home/sessions/{ID}0.toml"), &bench.read(&format!("home/sessions/{ID}.toml")));
    let found = faults(&bench, 1).join("\n");
    for words in [
        "FAULT  sessions/diary.txt: the program did not put this file there; move it elsewhere",
        "FAULT  stock and tickets: tickets/diary.txt: the program did not put this file there; move it elsewhere",
        "FAULT  yards/Mine.rhai: this is no script that the program can use: name it like-this.rhai",
        &format!("FAULT  session {ID}0: home/sessions/{ID}0.toml, line 3: this is the journal of the session \"{ID}\""),
    ] {
        assert!(found.contains(words), "{words:?} in {found}");
    }
}

/// What is left of a settlement that never came to its sale, of torn entries that were put aside, and of files in the making:
/// each is named as something to know, and nothing is at fault.
#[test]
fn what_is_left_over_is_named() {
    let bench = sound();
    let ticket =
        "line-1 = { name = \"brass\", weight = \"1.2 kg\", price = \"3.50\" }\ntook = \"find-1\"\nquotes = \"yes\"\n";
    bench.write("ticket.toml", ticket);
    let before = bench.read("home/stock.toml");
    bench.run(&["settle", "--answers", "ticket.toml", "--yard", "fixed-yard"]).exits(0);
    assert_eq!(faults(&bench, 0), Vec::<String>::new(), "a sale that stands leaves nothing over");
    bench.run(&["stock", "undo"]).exits(0);
    assert_eq!(faults(&bench, 0), Vec::<String>::new(), "nor does one that was taken back");
    bench.write("home/stock.toml", &before);
    let name = "tickets/2026-11-02-fixed-yard-1.toml";
    let said = format!("note   {name}: the program ended before its sale was booked, so neither it nor its 1 price in");
    let found = faults(&bench, 0);
    assert!(found.len() == 1 && found[0].starts_with(&said), "{found:#?}");
    // Its price stays in the quotes, counts nowhere, and is named also without the ticket.
    assert!(!bench.run(&["quote"]).exits(0).out.contains("3.50"));
    std::fs::remove_file(bench.path(&format!("home/{name}"))).unwrap();
    assert!(faults(&bench, 0)[0].starts_with(&said));
    bench.run(&["settle", "--answers", "ticket.toml", "--yard", "fixed-yard"]).exits(0).shows(&["fixed-yard-2"]);
    let left = [
        ("home/stock.toml.torn-1", "the beginning of an entry"),
        ("home/quotes.toml.torn-2", "the beginning of an entry"),
        (&*format!("home/sessions/{ID}.toml.torn-1"), "the beginning of an entry"),
        ("home/.stock.toml.12-0.part", "a file in the making"),
        ("home/tickets/.2026-11-02-fixed-yard-2.toml.12-1.part", "a file in the making"),
        ("home/recipes/.oven.rhai.12-2.part", "a file in the making"),
    ];
    for (file, _) in left {
        bench.write(file, "x");
    }
    let found = faults(&bench, 0);
    for (file, what) in left {
        assert!(found.iter().any(|line| line.starts_with(&format!("note   {file}: {what}"))), "{file}: {found:#?}");
    }
    assert_eq!(found.len(), left.len() + 1, "{found:#?}");
}
