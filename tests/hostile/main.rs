//! Scripts of strangers, each in a process of its own: whatever they try, they end in one clear error, soon and small, and
//! no journal is touched.
//!
//! To add a case, drop a file into `recipes`, `yards` or `tools`; `case.rs` says what its head looks like. A recipe has the id
//! `victim`, a yard or a tool the id `stranger`. The ordinary run tries one
//! case of seven; `cargo test --test hostile -- --include-ignored --nocapture` tries all and prints what each took.

#![allow(clippy::unwrap_used, clippy::new_without_default, reason = "a test may fail by panicking")]
#![cfg(unix)]

mod bench;
mod case;
#[path = "../old_formats/folders.rs"]
mod folders;
mod stack;

use std::collections::BTreeMap;
use std::num::NonZeroUsize;
use std::sync::atomic::{AtomicUsize, Ordering};

use bench::{ANSWERS, Bench, Outcome};
use case::{Case, cases};
use knockdown::store::Home;
use knockdown::store::bundle::{Bundle, BundleKind, Contents};
use knockdown::store::log::Ending;

/// Runs a command and checks what holds of all; a command that failed must have left every journal as it was.
fn tried(bench: &Bench, case: &Case, arguments: &[&str]) -> Outcome {
    let before = bench.journals();
    let outcome = bench.run(arguments, "pause\n");
    outcome.check(&case.name);
    let after = bench.journals();
    if !outcome.is_well() {
        let untouched = before.iter().all(|journal| after.contains(journal));
        assert!(untouched, "{}: `{}` failed and changed a journal", case.name, outcome.line);
    }
    println!(
        "{:<40} {:<32} code {} {:>6.1} MB {:>5} ms",
        case.name,
        outcome.line,
        outcome.code,
        outcome.memory as f64 / 1e6,
        outcome.time.as_millis()
    );
    outcome
}

/// Whatever journals there are can still be read whole.
fn journals_are_whole(bench: &Bench, case: &Case) {
    let home = Home::at(bench.home());
    for id in home.sessions().expect("sessions").ids {
        let reading = home.session(&id).expect("a journal that can be read");
        assert!(matches!(reading.ending, Ending::Whole), "{}: {id} is not whole: {:?}", case.name, reading.ending);
    }
}

/// Runs commands that only read: no journal changes, however they end.
fn read_only(bench: &Bench, case: &Case, commands: &[&[&str]]) {
    let before = bench.journals();
    for arguments in commands {
        tried(bench, case, arguments);
        assert!(before == bench.journals(), "{}: `{}` changed a journal", case.name, arguments.join(" "));
    }
}

/// Whether a screen says something, wherever its lines are broken.
fn says(screen: &str, text: &str) -> bool {
    let words = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    words(screen).contains(&words(text))
}

/// Does a case after another on as many threads as there are processors.
fn on_all_processors(cases: &[Case], act: impl Fn(&Case) + Sync) {
    let next = AtomicUsize::new(0);
    let count = std::thread::available_parallelism().map_or(1, NonZeroUsize::get);
    std::thread::scope(|scope| {
        for _ in 0..count {
            scope.spawn(|| {
                while let Some(case) = cases.get(next.fetch_add(1, Ordering::Relaxed)) {
                    act(case);
                }
            });
        }
    });
}

/// A bundle of a hostile script. What the bundle says of it is what the script says where that can be told.
fn bundle_file(bench: &Bench, case: &Case, kind: BundleKind, id: &str) -> String {
    let made = bench.run(&["bundle", id], "");
    let text = if made.code == 0 {
        made.out
    } else {
        let contents = Contents {
            kind,
            id: id.to_owned(),
            name: if kind == BundleKind::Recipe { "Victim" } else { "Stranger" }.to_owned(),
            author: String::new(),
            licence: String::new(),
            revision: 1,
            needs_api: 1,
            notes: String::new(),
            source: case.script.clone(),
            session: None,
            imports: BTreeMap::new(),
        };
        // A script that no bundle may hold is offered as a text that is none.
        Bundle::seal(contents).map_or(case.script.clone(), |bundle| bundle.text())
    };
    bench.put("offer.toml", &text).display().to_string()
}

fn answers_file(bench: &Bench, case: &Case) -> String {
    let extra = case.answers.iter().fold(String::new(), |text, line| text + line.as_str() + "\n");
    bench.put("answers.toml", &(extra + ANSWERS)).display().to_string()
}

fn recipes_are_contained(cases: &[Case]) {
    let template = Bench::new();
    on_all_processors(cases, |case| {
        let bench = template.copy();
        bench.put("home/recipes/victim.rhai", &case.script);
        let answers = answers_file(&bench, case);
        tried(&bench, case, &["recipes", "--format", "json"]);
        tried(&bench, case, &["show", "victim"]);
        tried(&bench, case, &["tally"]);
        tried(&bench, case, &["resume"]);
        let played = tried(&bench, case, &["bench", "victim", "--answers", &answers]);
        match &case.ending {
            case::Ending::Error(text) => {
                assert!(matches!(played.code, 1 | 3 | 4), "{}: code {}\n{}", case.name, played.code, played.out);
                assert!(says(&played.err, text), "{}: wants {text:?}\n{}", case.name, played.err);
            }
            case::Ending::Shown(text) => {
                assert_eq!(played.code, 0, "{}: {}{}", case.name, played.out, played.err);
                assert!(played.out.contains(text), "{}: wants {text:?}\n{}", case.name, played.out);
            }
        }
        journals_are_whole(&bench, case);
    });
}

/// All other commands that load a recipe: they read, and nothing else.
fn no_command_lets_a_recipe_out(cases: &[Case]) {
    let template = Bench::new();
    on_all_processors(cases, |case| {
        let bench = template.copy();
        bench.put("home/recipes/victim.rhai", &case.script);
        let answers = case.answers.iter().fold(String::new(), |text, line| text + line.as_str() + "\n") + ANSWERS;
        bench.put("home/recipes/victim.session.toml", &answers);
        let offer = bundle_file(&bench, case, BundleKind::Recipe, "victim");
        read_only(
            &bench,
            case,
            &[
                &["recipes"],
                &["check", "victim"],
                &["check", "victim", "--format", "json"],
                &["test", "victim"],
                &["demo", "victim", "--plain"],
                &["plan", "victim"],
                &["compare", "victim"],
                &["replay", "--all", "--recipe-revision", "now"],
                &["report", "--all"],
                &["doctor"],
                &["adopt", &offer],
            ],
        );
        // Taken into a folder that has no such recipe yet, and into one that has a sound one.
        for name in ["fresh", "other"] {
            let taker = template.copy();
            if name == "fresh" {
                std::fs::remove_file(taker.home().join("recipes/victim.rhai")).unwrap();
            }
            read_only(&taker, case, &[&["adopt", &offer]]);
        }
    });
}

/// All other commands that load a yard: they read, and nothing else.
fn no_command_lets_a_yard_out(cases: &[Case]) {
    let template = Bench::new();
    on_all_processors(cases, |case| {
        let bench = template.copy();
        bench.put("home/yards/stranger.rhai", &case.script);
        let offer = bundle_file(&bench, case, BundleKind::Yard, "stranger");
        read_only(
            &bench,
            case,
            &[
                &["check", "stranger", "--format", "json"],
                &["plan", "victim", "--yard", "stranger"],
                &["replay", "--all", "--yard", "stranger"],
                &["stock", "--yard", "stranger"],
                &["load", "--yard", "stranger"],
                &["prices", "copper-2"],
                &["doctor"],
                &["adopt", &offer],
            ],
        );
    });
}

fn yards_are_contained(cases: &[Case]) {
    let template = Bench::new();
    for case in cases {
        let bench = template.copy();
        bench.put("home/yards/stranger.rhai", &case.script);
        let answers = answers_file(&bench, case);
        let outcomes = [
            tried(&bench, case, &["yards"]),
            tried(&bench, case, &["yards", "--format", "json"]),
            tried(&bench, case, &["show", "stranger"]),
            tried(&bench, case, &["tally", "--yard", "stranger"]),
            tried(&bench, case, &["tally", "--yard", "stranger", "--format", "json"]),
            tried(&bench, case, &["bench", "victim", "--yard", "stranger", "--answers", &answers]),
        ];
        let (case::Ending::Error(text) | case::Ending::Shown(text)) = &case.ending;
        let said = outcomes.iter().any(|outcome| says(&format!("{}{}", outcome.err, outcome.out), text));
        let all: String = outcomes.iter().map(|o| format!("$ {}\n{}{}", o.line, o.out, o.err)).collect();
        assert!(said, "{}: wants {text:?}\n{all}", case.name);
        if matches!(case.ending, case::Ending::Shown(_)) {
            assert!(outcomes.iter().all(Outcome::is_well), "{}: {all}", case.name);
        }
        journals_are_whole(&bench, case);
    }
}

fn tools_are_contained(cases: &[Case]) {
    let template = Bench::new();
    on_all_processors(cases, |case| {
        let bench = template.copy();
        bench.put("home/tools/stranger.rhai", &case.script);
        // Whatever lies among the tools, the program's own commands work.
        assert!(tried(&bench, case, &["tally"]).is_well(), "{}", case.name);
        assert!(tried(&bench, case, &["tools"]).is_well(), "{}", case.name);
        assert!(tried(&bench, case, &["completions", "bash"]).is_well(), "{}", case.name);
        let outcomes = [tried(&bench, case, &["stranger", "--no-input"]), tried(&bench, case, &["tools"])];
        let (case::Ending::Error(text) | case::Ending::Shown(text)) = &case.ending;
        let all: String = outcomes.iter().map(|o| format!("$ {}\n{}{}", o.line, o.out, o.err)).collect();
        assert!(says(&all, text), "{}: wants {text:?}\n{all}", case.name);
        assert!(!all.contains("went on"), "{}: {all}", case.name);
        journals_are_whole(&bench, case);
    });
}

/// All other commands that load a tool: they read, and nothing else.
fn no_command_lets_a_tool_out(cases: &[Case]) {
    let template = Bench::new();
    on_all_processors(cases, |case| {
        let bench = template.copy();
        bench.put("home/tools/stranger.rhai", &case.script);
        let offer = bundle_file(&bench, case, BundleKind::Tool, "stranger");
        read_only(
            &bench,
            case,
            &[
                &["show", "stranger"],
                &["check", "stranger"],
                &["check", "stranger", "--format", "json"],
                &["test", "stranger"],
                &["stranger", "--help"],
                &["stranger", "--format", "json", "--no-input"],
                &["doctor"],
                &["adopt", &offer],
            ],
        );
        // In the place of one that is sound, whose examples it is held against.
        let taker = template.copy();
        taker.put("home/tools/stranger.rhai", SOUND_TOOL);
        read_only(&taker, case, &[&["adopt", &offer]]);
    });
}

/// A tool with cautions that a hostile one may want to stand in for.
const SOUND_TOOL: &str = "tool(\"stranger\", \"Stranger\");\ninput(\"x\", \"X?\").count().usually(\"1\");\n\
    works_out(|sheet| { sheet.gives(\"n\", \"N\", sheet.x); sheet.caution(\"sharp-sheet\"); });\n\
    example(\"one\", #{ x: 1 }, #{ n: \"1\", caution: \"sharp-sheet\" });\n";

/// Characters of each kind that no screen may be given: escape, C1 control, bidirectional override, invisible tag.
const UNSAFE: [char; 4] = ['\u{1b}', '\u{9b}', '\u{202e}', '\u{e0041}'];

/// The script with a character put into its text number `place`, from 0; `None` past the last.
fn tainted(script: &str, place: usize, character: char) -> Option<String> {
    let mut pieces: Vec<String> = script.split('"').map(str::to_owned).collect();
    let text = pieces.get_mut(2 * place + 1)?;
    text.insert(text.len() / 2, character);
    Some(pieces.join("\""))
}

/// Every text of a recipe, a yard and a tool that use every word which takes one, tainted one at a time: nothing of it reaches
/// a screen as it is.
fn no_text_reaches_a_screen_unshown(one_in: usize) {
    let samples: [(&str, &str, &[&[&str]]); 3] = [
        ("home/recipes/victim.rhai", include_str!("texts/recipe.rhai"), &[&["show", "victim"], &["check", "victim"]]),
        ("home/yards/stranger.rhai", include_str!("texts/yard.rhai"), &[&["show", "stranger"], &["check", "stranger"]]),
        (
            "home/tools/stranger.rhai",
            include_str!("texts/tool.rhai"),
            &[&["stranger", "--no-input"], &["show", "stranger"]],
        ),
    ];
    let template = Bench::new();
    let mut cases = Vec::new();
    for (file, sample, _) in samples {
        let bench = template.copy();
        bench.put(file, sample);
        for arguments in samples.iter().find(|known| known.0 == file).map_or(&[][..], |known| known.2) {
            assert!(
                bench.run(arguments, "").is_well(),
                "{file}: the sample itself works: {}",
                bench.run(arguments, "").err
            );
        }
        for (place, character) in (0..).flat_map(|place| UNSAFE.map(|character| (place, character))) {
            let Some(script) = tainted(sample, place, character) else { break };
            let name = format!("{file}, text {place}, U+{:04X}", u32::from(character));
            cases.push(Case {
                name,
                ending: case::Ending::Shown(String::new()),
                answers: vec![file.to_owned()],
                script,
            });
        }
    }
    assert!(cases.len() > 300, "{} tainted texts", cases.len());
    let cases = one_of(one_in, cases);
    on_all_processors(&cases, |case| {
        let bench = template.copy();
        bench.put(&case.answers[0], &case.script);
        for (_, _, commands) in samples.iter().filter(|(file, ..)| *file == case.answers[0]) {
            commands.iter().for_each(|arguments| drop(tried(&bench, case, arguments)));
        }
    });
}

/// One case of so many. They stand in the order of what they try, so that something of each is among them.
fn one_of(so_many: usize, cases: Vec<Case>) -> Vec<Case> {
    cases.into_iter().step_by(so_many).collect()
}

/// All cases of a folder, of which there must be enough.
fn corpus(folder: &str) -> Vec<Case> {
    let cases = cases(folder);
    let least = match folder {
        "recipes" => 190,
        "yards" => 30,
        _ => 40,
    };
    assert!(cases.len() >= least, "{} cases", cases.len());
    cases
}

/// One case of seven, in the ordinary run.
mod sample {
    use super::*;

    fn some(folder: &str) -> Vec<Case> {
        one_of(7, corpus(folder))
    }

    #[test]
    fn hostile_recipes_are_contained() {
        recipes_are_contained(&some("recipes"));
    }

    #[test]
    fn no_command_lets_a_hostile_recipe_out() {
        no_command_lets_a_recipe_out(&some("recipes"));
    }

    #[test]
    fn hostile_yards_are_contained() {
        yards_are_contained(&some("yards"));
    }

    #[test]
    fn no_command_lets_a_hostile_yard_out() {
        no_command_lets_a_yard_out(&some("yards"));
    }

    #[test]
    fn hostile_tools_are_contained() {
        tools_are_contained(&some("tools"));
    }

    #[test]
    fn no_command_lets_a_hostile_tool_out() {
        no_command_lets_a_tool_out(&some("tools"));
    }

    #[test]
    fn no_text_of_any_word_reaches_a_screen_unshown() {
        no_text_reaches_a_screen_unshown(7);
    }
}

/// All of them.
mod campaign {
    use super::*;

    #[test]
    #[ignore = "a campaign"]
    fn hostile_recipes_are_contained() {
        recipes_are_contained(&corpus("recipes"));
    }

    #[test]
    #[ignore = "a campaign"]
    fn no_command_lets_a_hostile_recipe_out() {
        no_command_lets_a_recipe_out(&corpus("recipes"));
    }

    #[test]
    #[ignore = "a campaign"]
    fn hostile_yards_are_contained() {
        yards_are_contained(&corpus("yards"));
    }

    #[test]
    #[ignore = "a campaign"]
    fn no_command_lets_a_hostile_yard_out() {
        no_command_lets_a_yard_out(&corpus("yards"));
    }

    #[test]
    #[ignore = "a campaign"]
    fn hostile_tools_are_contained() {
        tools_are_contained(&corpus("tools"));
    }

    #[test]
    #[ignore = "a campaign"]
    fn no_command_lets_a_hostile_tool_out() {
        no_command_lets_a_tool_out(&corpus("tools"));
    }

    #[test]
    #[ignore = "a campaign"]
    fn no_text_of_any_word_reaches_a_screen_unshown() {
        no_text_reaches_a_screen_unshown(1);
    }
}
