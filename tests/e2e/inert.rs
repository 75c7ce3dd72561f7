//! Nothing that comes from a script, a file, a name or a keyboard drives the terminal, whichever command shows it in whatever
//! form: every text of a folder is laced with escape sequences, and every command is run over it.

use std::collections::BTreeSet;

use crate::bench::Bench;

/// Clears the screen, changes the title, turns text round, goes unseen, is a C1 control, ends a line, rings.
const LACED: &str = "x\u{1b}[2J\u{1b}]0;t\u{7}\u{202e}y\u{200b}\u{9b}31m\r\u{8}z";

/// The same in a string of the script language or of TOML.
fn quoted() -> String {
    r#"x\u001b[2J\u001b]0;t\u0007\u202ey\u200b\u009b31m\r\u0008z"#.to_owned()
}

/// A folder in which every text that a person or a stranger writes is laced.
fn laced() -> Bench {
    let bench = Bench::stocked();
    let laced = quoted();
    let recipe = crate::stock::BOX
        .replace("Test box", &format!("Box {laced}"))
        .replace("Take off the lid", &format!("Take {laced}"))
        .replace("Four screws.", &laced)
        .replace("A box that only tests open.", &laced)
        .replace(r#""screwdriver""#, &format!(r#""{laced}""#))
        .replace(r#""disc""#, &format!(r#""{laced}""#))
        .replace("What colour is the winding?", &laced)
        .replace("Silver is aluminium.", &laced)
        .replace(r#"from("invented")"#, &format!(r#"from("{laced}")"#))
        .replace(r#"author("Test")"#, &format!(r#"author("{laced}")"#));
    bench.write("home/recipes/laced-box.rhai", &recipe.replace("\"test-box\"", "\"laced-box\""));
    // What is said and asked while a recipe runs is looked at then, not when it is declared.
    let said =
        crate::stock::BOX.replace("Silver is aluminium.", &laced).replace("What colour", &format!("{laced} colour"));
    bench.write("home/recipes/said-box.rhai", &said.replace("\"test-box\"", "\"said-box\""));
    let yard = crate::stock::FIXED_YARD
        .replace("Fixed Yard", &format!("Yard {laced}"))
        .replace("Light iron", &format!("Iron {laced}"))
        .replace("An invented yard.", &laced);
    bench.write("home/yards/laced-yard.rhai", &yard.replace("\"fixed-yard\"", "\"laced-yard\""));
    bench.write("home/recipes/broken.rhai", &format!("unit(\"broken\", \"{LACED}\" + ).x"));
    bench.write("home/recipes/wrong.rhai", &format!("unit(\"wrong\", \"W\").weighs(\"{laced}\");"));
    bench.write("home/yards/broken-yard.rhai", &format!("yard(\"broken-yard\", `{LACED}`);\nbuys(\"{laced}\", 1);"));
    // Texts of a tool are refused where they are declared; what it works out, where it is given.
    let tool = format!(
        "tool(\"laced-tool\", \"Laced\");\ninput(\"lot\", \"Lot?\").weight();\nworks_out(|sheet| {{ sheet.verdict(\"{laced}\"); }});\n"
    );
    bench.write("home/tools/laced-tool.rhai", &tool);
    bench.write("home/tools/broken-tool.rhai", &format!("tool(\"broken-tool\", `{LACED}`);"));
    bench.write("home/config.toml", "yard = \"fixed-yard\"\n");
    bench.write(&format!("home/sessions/{}.toml", "a\u{1b}[2Jb\u{202e}"), LACED);
    bench.write("home/sessions/2026-11-01-odd-1.toml", &format!("format = \"{laced}\"\n{LACED}"));
    bench.write(&format!("home/recipes/{}.rhai", "a\u{1b}[2Jb"), LACED);
    bench.write(
        "laced.toml",
        &format!("yard = \"fixed-yard\"\n[unit]\nintake = \"{laced}\"\n[\"{laced}\"]\nx = \"y\"\n"),
    );
    bench.write("laced.csv", &format!("name,price,date\n{},{},{}\n", "a\u{1b}[2J", "b\u{1b}[2J", "c\u{1b}[2J"));
    bench
}

#[test]
fn every_command_over_a_laced_folder() {
    let bench = laced();
    let note = format!("note {LACED}");
    let lines = [
        "6 kg",
        &note,
        "do",
        LACED,
        "1 kg",
        "2",
        "do",
        "yes",
        "silver",
        "2 kg",
        "3",
        "why",
        "steps",
        "tally",
        "stop here",
    ];
    bench.work(&lines).exits(0).inertly();
    bench.feed(&["bench", "said-box", "--yard", "fixed-yard"], &lines).inertly();
    let calls: Vec<Vec<&str>> = vec![
        vec!["bench", LACED],
        vec!["bench", "test-box", "--answers", "laced.toml"],
        vec!["bench", "wrong"],
        vec!["bench", "laced-box"],
        vec!["bench", "test-box", "--yard", "laced-yard"],
        vec!["show", "laced-box"],
        vec!["show", "laced-yard"],
        vec!["bench", "broken"],
        vec!["bench", "test-box", "--yard", "broken-yard"],
        vec!["resume", LACED],
        vec!["resume", "test-box"],
        vec!["recipes"],
        vec!["yards"],
        vec!["show", "test-box"],
        vec!["show", "fixed-yard"],
        vec!["show", "sessions"],
        vec!["show", "test-box-1"],
        vec!["show", "broken"],
        vec!["show", LACED],
        vec!["plan", "test-box"],
        vec!["plan", "--problem", "laced.toml"],
        vec!["tally"],
        vec!["tally", "odd"],
        vec!["replay", "--all"],
        vec!["compare", "test-box"],
        vec!["report", "--all"],
        vec!["sheet", "test-box"],
        vec!["export", "--all", "--describe"],
        vec!["quote"],
        vec!["quote", LACED, "1"],
        vec!["quote", "copper-2", LACED],
        vec!["quote", "--csv", "laced.csv"],
        vec!["prices", "steel-light"],
        vec!["prices", LACED],
        vec!["stock"],
        vec!["stock", "add", LACED, "1 kg"],
        vec!["load", "--trip-cost", LACED],
        vec!["settle", "--answers", "laced.toml"],
        vec!["settle", "--csv", "laced.csv", "--no-input"],
        vec!["check", "test-box", "--bound", "30", "--seconds", "2"],
        vec!["check", "broken"],
        vec!["check", LACED],
        vec!["copy", LACED],
        vec!["new", "recipe"],
        vec!["words", LACED],
        vec!["test", "test-box"],
        vec!["bundle", "test-box"],
        vec!["adopt", "laced.toml"],
        vec!["settings"],
        vec!["settings", LACED, LACED],
        vec!["demo", "test-box"],
        vec!["doctor"],
        vec!["completions", LACED],
        vec!["manual"],
        vec!["note", "test-box-1", LACED],
        vec!["discard", LACED],
        vec!["correct", "test-box-1", LACED],
        vec!["draft", LACED],
        vec!["draft", "test-box-1"],
        vec!["tools"],
        vec!["laced-tool", "--lot", LACED],
        vec!["laced-tool", "--lot", "1 kg"],
        vec!["laced-tool"],
        vec!["laced-tool", "--help"],
        vec!["capacitor", "--capacitance", LACED],
        vec!["contacts", "--alloy", LACED],
        vec!["density", "--weight", LACED],
        vec!["pay-by-month"],
        vec!["scale", "--load", LACED],
        vec!["tares", "--gross", LACED],
        vec!["windings", "--class", LACED],
        vec!["wire", "--gauge", LACED],
        vec!["find-grade", LACED],
        vec!["find-grade", "colour=\u{1b}[2J"],
        vec!["find-grade"],
        vec![LACED],
        vec!["--home", LACED, "recipes"],
        vec!["--date", LACED, "tally"],
    ];
    for call in &calls {
        bench.call(call).input(format!("{LACED}\n").as_bytes()).run().inertly();
    }
    // And in the other forms that each of them can write, and at a narrow window.
    for form in ["json", "csv", "markdown", "html", "ndjson"] {
        for call in calls
            .iter()
            .filter(|call| ["tally", "stock", "replay", "report", "check", "recipes", "yards"].contains(&call[0]))
        {
            let mut call = call.clone();
            call.extend(["--format", form]);
            bench.call(&call).env("COLUMNS", "20").run().inertly();
        }
    }
    let laced = quoted();
    for (file, text) in [
        ("home/quotes.toml", format!("format = \"{laced}\"\n")),
        ("home/stock.toml", format!("format = \"{laced}\"\n")),
        ("home/pinned.toml", format!("format = \"{laced}\"\n{LACED}")),
        ("home/config.toml", format!("person = \"{laced}\"\n[containers]\n\"{laced}\" = \"1 kg\"\n")),
        ("home/config.toml", format!("{LACED} = 1\n")),
    ] {
        bench.write(file, &text);
        for call in [&["doctor"][..], &["tally"], &["quote"], &["settings"], &["stock"], &["resume"]] {
            bench.run(call).inertly();
        }
    }
    let called: BTreeSet<&str> = calls.iter().map(|call| call[0]).collect();
    let help = bench.run(&["--help"]).out;
    let listed = help.split("Commands:").nth(1).unwrap().split("Options:").next().unwrap();
    let commands = listed.lines().filter_map(|line| line.strip_prefix("  ")?.split(' ').next());
    for command in commands.filter(|command| !command.is_empty() && *command != "help") {
        assert!(called.contains(command), "`{command}` is not run over the laced folder");
    }
}

#[test]
fn what_is_laced_is_shown_and_not_dropped() {
    let bench = laced();
    let note = format!("note {LACED}");
    let lines = [&note, "6 kg", "do", "1 kg", "2", "do", "yes", "silver", "2 kg", "3", "stop here"];
    bench.work(&lines).exits(0).inertly().shows(&["> note x\\u{1b}[2J\\u{1b}]0;t\\u{7}\\u{202e}y\\u{200b}\\u{9b}31m"]);
    let refused = bench.run(&["show", "laced-box"]).exits(3).inertly();
    assert!(refused.err.contains("has a hidden character, U+001B"), "{}", refused.err);
    bench.run(&["report", "test-box-1", "--out", "page.html"]).exits(0).inertly();
    let page = bench.read("page.html");
    assert!(page.contains("Test box") && page.chars().all(|c| !c.is_control() || c == '\n'), "{page}");
}
