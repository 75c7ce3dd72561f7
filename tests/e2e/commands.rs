//! Every command, its whole output where that is ours alone, and its exit code.

use crate::bench::Bench;
use crate::stock::WHOLE;

#[test]
fn recipes_lists_shipped_ones_and_the_persons_own() {
    Bench::new()
        .run(&["recipes"])
        .exits(0)
        .quietly()
        .shows(&["countertop-oven", "Countertop microwave oven"])
        .hides(&["(yours)"]);
    let bench = Bench::stocked();
    bench.run(&["recipes"]).exits(0).quietly().shows(&["\ntest-box", "Test box  (yours)\n"]);
    let json = bench.run(&["recipes", "--format", "json"]).exits(0).quietly();
    let listed: serde_json::Value = serde_json::from_str(&json.out).unwrap();
    assert_eq!((&listed["format"], &listed["version"]), (&"knockdown-recipes".into(), &1.into()));
    let rows = listed["recipes"].as_array().unwrap();
    let own = rows.iter().find(|row| row["id"] == "test-box").unwrap();
    assert_eq!(
        (&own["own"], &own["usual_weight"], &own["error"]),
        (&true.into(), &"6000 g".into(), &serde_json::Value::Null)
    );
}

#[test]
fn yards_lists_what_they_pay_in_and_which_is_in_use() {
    let bench = Bench::stocked();
    bench.run(&["yards"]).exits(0).quietly().shows(&[
        "* bluegum-siding  Bluegum Siding Metals\n",
        "  comma-yard  Komma Hof\n    DE, EUR per kg, prices of 2026-11-01  (yours)\n",
        "  fixed-yard  Fixed Yard\n    CA-ON, CAD per kg, prices of 2026-11-01  (yours)\n",
        "    sample prices, invented\n",
    ]);
    bench.run(&["settings", "yard", "fixed"]).exits(0).quietly().shows(&["yard             fixed-yard\n"]);
    bench.run(&["yards"]).exits(0).quietly().shows(&["* fixed-yard", "  hollow-lane"]);
    let json = bench.run(&["yards", "--format", "json"]).exits(0).quietly();
    let listed: serde_json::Value = serde_json::from_str(&json.out).unwrap();
    let in_use: Vec<_> = listed["yards"].as_array().unwrap().iter().filter(|row| row["in_use"] == true).collect();
    assert_eq!(in_use.len(), 1);
    assert_eq!(in_use[0]["id"], "fixed-yard");
}

#[test]
fn show_a_recipe() {
    Bench::stocked().run(&["show", "test-box"]).exits(0).quietly().prints(
        "\
Test box  test-box, revision 1, by Test
weighs 6 kg (4 kg to 8 kg), sold whole as appliance-light
weights from: invented
A box that only tests open.

1. Take off the lid  lid, about 2 min
   tools: screwdriver
   Four screws.
   frees lid, 1 kg (500 g to 1.5 kg) as steel-light
     weights from: invented

2. Pull the core  core, about 4 min
   after lid
   CAUTION: Sharp sheet edges
   frees core, 2 kg (1 kg to 3 kg) as transformer-copper
     weights from: invented

3. Pull the wires  wires, about 2 min
   after lid
   frees wires, 200 g (50 g to 400 g) as wire-harness
     weights from: invented
   frees clips, 20 g (10 g to 50 g) as brass
     weights from: invented
",
    );
}

#[test]
fn show_a_yard() {
    let bench = Bench::stocked();
    bench.write(
        "home/yards/gate.rhai",
        r#"yard("gate", "Gate Yard").region("CA-ON").currency("CAD").weighs_in("lb", 0.2).needs_api(1);
as_of("2026-11-01");
buys("copper-2", "No. 2 copper", 3.40).from(50.lb, 3.55);
pays_each("compressor-sealed", "Sealed unit", 4.00);
charges("crt-display", "Tube display", 5.00).each();
visit_fee("Weighing", 1.50);
"#,
    );
    // A charge is a sum to pay: no sign, since the word says which way it goes.
    bench.call(&["show", "gate"]).env("COLUMNS", "120").run().exits(0).quietly().prints(
        "\
Gate Yard  gate
CA-ON, CAD, weighs in lb, prices of 2026-11-01
compressor-sealed            Sealed unit                        4.00 each
copper-2                     No. 2 copper                       3.40/lb  from 50 lb 3.55/lb
crt-display                  Tube display                       charges 5.00 each
Each visit: Weighing  1.50 CAD
",
    );
    // Where a line has to be broken, what stands before the break keeps its columns, and a weight its unit.
    bench.run(&["show", "gate"]).exits(0).quietly().shows(&[
        "compressor-sealed            Sealed unit                        4.00 each\n",
        "copper-2                     No. 2 copper                       3.40/lb  from\n  50 lb 3.55/lb\n",
    ]);
}

#[test]
fn show_grades_and_hazards() {
    let bench = Bench::new();
    bench.run(&["show", "copper-2"]).exits(0).quietly().shows(&[
        "No. 2 copper  copper-2\n",
        "may buy it as: copper\n",
        "Source: ",
    ]);
    bench.run(&["show", "stored-charge-hv"]).exits(0).quietly().shows(&[
        "DANGER  ",
        "How it hurts: ",
        "  1. ",
        "Wear and use: ",
        "Stop: ",
        "Source: ",
    ]);
    bench.run(&["show", "grades"]).exits(0).quietly().shows(&["copper", "  copper-1", "  copper-2"]);
    bench.run(&["show", "hazards"]).exits(0).quietly().shows(&["sharp-sheet", "CAUTION"]);
    bench.run(&["show", "lithium-battery"]).exits(0).quietly().shows(&[
        "The law wants it out (WEEE Annex VII): batteries (1.3)\n",
        "Before such a part is taken out:\n  DANGER: Lithium-ion cell or pack, sound (lithium-sound)\n",
    ]);
}

#[test]
fn show_sessions() {
    let bench = Bench::stocked();
    bench.run(&["show", "sessions"]).exits(0).quietly().prints("There is no session yet; bench RECIPE begins one.\n");
    bench.work(&["6 kg", "do", "note bent corner", "pause"]).exits(5);
    bench
        .run(&["show", "sessions"])
        .exits(0)
        .quietly()
        .prints("2026-11-02-test-box-1  waits at lid/lid  estimated net 0.60 CAD\n");
    bench.run(&["show", "test-box-1"]).exits(0).quietly().prints(
        "\
Test box  2026-11-02-test-box-1, begun 2026-11-02T10:00:00.000Z
unit/intake = 6 kg
lid/begin = do
2026-11-02T10:00:00.000Z  bent corner
Not finished: Weigh: lid
",
    );
}

#[test]
fn an_unknown_name_is_answered_with_the_nearest() {
    let bench = Bench::stocked();
    let wrong =
        |arguments: &[&str], complaint: &str| drop(bench.run(arguments).exits(2).prints("").complains(complaint));
    // What fits several things is listed, recipes first.
    bench.run(&["show", "computer"]).exits(0).quietly().shows(&[
        "Recipes\nall-in-one-computer                All-in-one computer\n",
        "\n\nHazards\n",
        "\n\nGrades\n",
        "\ndesktop-complete                   Desktop computer, complete\n",
    ]);
    wrong(&["show", "coper-2"], "error: nothing goes by `coper-2`; did you mean `copper-2`?\n");
    wrong(&["show", "coper"], "error: nothing goes by `coper`; did you mean `copper`?\n");
    wrong(&["show", "sharp-shet"], "error: nothing goes by `sharp-shet`; did you mean `sharp-sheet`?\n");
    wrong(&["bench", "tset-box"], "error: there is no recipe `tset-box`; did you mean `test-box`?\n");
    wrong(
        &["bench", "test-box", "--yard", "fixde-yard"],
        "error: there is no yard `fixde-yard`; did you mean `fixed-yard`?\n",
    );
    wrong(&["settings", "yrd", "x"], "error: there is no setting \"yrd\". Did you mean yard?\n");
    wrong(&["quote", "coper-2", "1"], "error: there is no grade `coper-2`; did you mean `copper-2`?\n");
    wrong(&["tally", "zzz"], "error: there is no session yet; `bench RECIPE` begins one\n");
    wrong(&["tally"], "error: there is no session yet; `bench RECIPE` begins one\n");
    bench.run(&["bnch"]).exits(2).prints("").complains(
        "error: unrecognized subcommand 'bnch'\n\n  tip: a similar subcommand exists: 'bench'\n\n\
         Usage: knockdown [OPTIONS] [COMMAND]\n\nFor more information, try '--help'.\n",
    );
    bench.run(&["recipes", "--fromat", "json"]).exits(2).prints("");
    bench.run(&["tally", "--date", "2026-13-01"]).exits(2).prints("");
    assert!(!bench.has("home/sessions"), "a name that was mistyped leaves nothing behind");
}

#[test]
fn a_part_of_a_name_picks_and_several_are_listed() {
    let bench = Bench::stocked();
    bench.run(&["show", "fixed"]).exits(0).shows(&["Fixed Yard  fixed-yard"]);
    bench
        .run(&["tally", "--yard", "yard"])
        .exits(2)
        .complains("error: `yard` can mean comma-yard, fixed-yard; write which one\n");
    bench.run(&["copy", "o"]).exits(2).prints("");
}

#[test]
fn quote_keeps_a_price_and_lists_those_kept() {
    let bench = Bench::stocked();
    bench.run(&["quote"]).exits(0).quietly().prints("No quotes are kept. quote GRADE PRICE keeps one.\n");
    bench
        .run(&["quote", "wire-harness", "2.50", "--yard", "fixed-yard", "--from", "phone"])
        .exits(0)
        .quietly()
        .prints("wire-harness at fixed-yard from 2026-11-02 on: 2.50/kg CAD\n");
    bench.run(&["quote"]).exits(0).quietly().prints("2026-11-02  fixed-yard  wire-harness  2.50 CAD/kg  phone\n");
    bench.run(&["quote", "brass", "4 each", "--yard", "fixed-yard", "--date", "2026-10-01"]).exits(0).shows(&[
        "brass at fixed-yard from 2026-10-01 on: 4.00 each CAD\n",
        "The yard's module has prices of 2026-11-01, which are later",
    ]);
    bench
        .run(&["quote", "brass", "cheap"])
        .exits(4)
        .prints("")
        .complains("error: \"cheap\" is no price: `cheap` is not a number; write digits such as 12 or\n  3.6\n");
    bench.run(&["quote", "brass"]).exits(2).prints("");
}

#[test]
fn copy_puts_a_shipped_script_into_the_folder() {
    let bench = Bench::new();
    bench
        .run(&["copy", "countertop-oven"])
        .exits(0)
        .quietly()
        .prints("Copied to home/recipes/countertop-oven.rhai\nCopied to home/recipes/countertop-oven.session.toml\nIt is used in place of the shipped one from here on.\n");
    bench.run(&["recipes"]).exits(0).shows(&["Countertop microwave oven  (yours)\n"]);
    bench.run(&["copy", "countertop-oven"]).exits(1).prints("").complains(
        "error: home/recipes/countertop-oven.rhai is there already. Choose another name,\n  or move it away\n",
    );
    bench.run(&["copy", "hollow"]).exits(0).shows(&["home/yards/hollow-lane.rhai"]);
}

#[test]
fn settings_are_shown_changed_and_taken_away() {
    let bench = Bench::stocked();
    let unset = "\
in home/config.toml
yard             not set
unit             not set
decimal          not set
scale_division   not set
person           not set
floor_per_hour   not set
color            not set
plain            not set
cost_per_km      not set
";
    bench.run(&["settings"]).exits(0).quietly().prints(unset);
    assert!(!bench.has("home/config.toml"));
    bench
        .run(&["settings", "containers.bucket", "1.1 kg"])
        .exits(0)
        .quietly()
        .prints(&format!("{unset}container bucket: 1.1 kg\n"));
    bench.run(&["settings", "containers.bucket", "--remove"]).exits(0).quietly().prints(unset);
    bench
        .run(&["settings", "unit"])
        .exits(2)
        .complains("error: write the new value: settings unit VALUE, or --remove\n");
    bench.run(&["settings", "plain", "true"]).exits(0).shows(&["plain            true\n"]);
}

#[test]
fn a_setting_that_cannot_be_meant_is_refused_when_it_is_set() {
    let bench = Bench::stocked();
    for (key, value) in [
        ("unit", "foo"),
        ("scale_division", "banana"),
        ("scale_division", "0 g"),
        ("containers.bucket", "heavy"),
        ("floor_per_hour", "NaN"),
        ("decimal", "dot"),
        ("color", "red"),
        ("plain", "maybe"),
    ] {
        let refused = bench.run(&["settings", key, value]).exits(2).prints("");
        assert!(refused.err.contains(value) || refused.err.contains(key), "{}", refused.err);
        assert!(!bench.has("home/config.toml"), "{key} {value}");
    }
}

#[test]
fn tally_at_the_sessions_yard_at_another_and_on_another_day() {
    let bench = Bench::stocked();
    bench.work(&[&WHOLE[..], &["difference"]].concat()).exits(0);
    // Of what came out only the lid is metal as it is: 1 of 6 kg.
    // 2.10 × 1.50 = 3.15; 0.20 × 2.00 = 0.40; 6 − 1 − 2.1 − 0.2 = 2.70, × 0.10 = 0.27; 1.00 × 0.20 = 0.20; sum 4.02;
    // less the disc 0.50 = 3.52; whole 0.60; gain 2.92; 2 + 5 + 3 = 10 min, 2.92 × 6 = 17.52.
    bench.run(&["tally"]).exits(0).quietly().prints(
        "\
Done. Every open step is done or left out.

Test box at Fixed Yard
Estimated on 2026-11-02, with prices of 2026-11-01.

                                            CAD
Copper transformers     2.1 kg  1.50/kg    3.15
    core
Wire                    0.2 kg  2.00/kg    0.40
    wires
    priced as wire: no price of its own for wire-harness
Remainder: Appliances   2.7 kg  0.10/kg    0.27
    what is left of Test box (computed)
    priced as appliance: no price of its own for appliance-light
Light iron              1   kg  0.20/kg    0.20
    lid
───────────────────────────────────────────────
The yard pays                              4.02
disc                                      -0.50
───────────────────────────────────────────────
Net                                        3.52
Sold whole: Appliances  6   kg  0.10/kg    0.60
    priced as appliance: no price of its own for appliance-light
───────────────────────────────────────────────
Gain                                      +2.92
    more than whole
Gain per hour (10 min)                   +17.52

Weights
  Intake: 6 kg
  Balance cannot be said: what is left was computed, not weighed
  Recovery: 1 kg of metal, 16.7 % of the intake
",
    );
    // 2.1 × 0.90 = 1.89; 0.2 × 1.20 = 0.24; 2.7 × 0.05 = 0.135, rounded 0.14; 1 × 0.10; sum 2.37. The disc costs another currency.
    bench.run(&["tally", "--yard", "comma"]).exits(0).quietly().shows(&[
        "Test box at Komma Hof",
        "Trafos",
        "1,89",
        "Net",
        "2,37",
        "In another currency (not converted, in no sum)\n  disc: 0,50 CAD\n",
    ]);
    bench.run(&["quote", "wire", "3", "--yard", "fixed-yard", "--date", "2026-12-01"]).exits(0);
    bench.run(&["tally", "--date", "2026-11-30", "--format", "csv"]).exits(0).shows(&["\nnet,,,,,,,,,,,3.52,CAD,\n"]);
    // From 1 December 0.2 kg of wire brings 0.60 instead of 0.40.
    bench.run(&["tally", "--date", "2026-12-01", "--format", "csv"]).exits(0).shows(&["\nnet,,,,,,,,,,,3.72,CAD,\n"]);
    bench
        .run(&["tally", "--format", "markdown"])
        .exits(0)
        .shows(&["## Test box at Fixed Yard\n", "| **Net** |  |  | **3.52** |\n"]);
}

#[test]
fn the_latest_session_is_the_one_begun_last() {
    let bench = Bench::stocked();
    bench.write("home/recipes/a-box.rhai", &crate::stock::BOX.replace("test-box", "a-box"));
    bench.work(&["6 kg", "pause"]).exits(5);
    let later = bench.call(&["bench", "a-box", "--yard", "fixed-yard"]).env("KNOCKDOWN_CLOCK", "2026-11-02T12:00:00Z");
    later.lines(&["5 kg", "pause"]).run().exits(5);
    bench.feed(&["resume"], &["pause"]).exits(5).shows(&["Session 2026-11-02-a-box-1 has 1 answer."]);
    bench.feed(&["resume", "test-box"], &["pause"]).exits(5).shows(&["Session 2026-11-02-test-box-1 has 1 answer."]);
}

#[test]
fn completions_and_the_manual_are_written() {
    let bench = Bench::new();
    for (shell, sign) in [
        ("bash", "complete -F"),
        ("zsh", "#compdef knockdown"),
        ("fish", "complete -c knockdown"),
        ("powershell", "Register-ArgumentCompleter"),
    ] {
        bench.run(&["completions", shell]).exits(0).quietly().shows(&[sign]).shows(&["resume"]);
    }
    bench.run(&["completions", "sh"]).exits(2).prints("");
    bench.run(&["manual"]).exits(0).quietly().shows(&[".TH knockdown 1", "Exit codes: 0 done", "\\-\\-answers"]);
    assert!(!bench.has("home"));
}

/// The real shells read what is written for them. A shell that is not on this machine is passed over; the four that were had
/// when this was written are bash 5.2, zsh 5.9, fish 3.6 and elvish 0.19. PowerShell was not to be had.
#[test]
fn completions_are_read_by_the_shells_that_there_are() {
    let bench = Bench::new();
    let mut passed_over = Vec::new();
    for (shell, program, check) in [
        ("bash", "bash", &["-n"][..]),
        ("zsh", "zsh", &["-n"]),
        ("fish", "fish", &["--no-execute"]),
        ("elvish", "elvish", &["-compileonly"]),
        ("powershell", "pwsh", &["-NoProfile", "-NonInteractive", "-File"]),
    ] {
        let written = bench.run(&["completions", shell]).exits(0).quietly().out;
        let checked = |name: &str, text: &str| {
            bench.write(name, text);
            std::process::Command::new(program).args(check).arg(bench.path(name)).output()
        };
        let Ok(output) = checked(&format!("complete.{shell}"), &written) else {
            passed_over.push(shell);
            continue;
        };
        // Elvish has its editor's variables only at a terminal: it misses those after it has understood the whole text.
        let is_read = |output: &std::process::Output| {
            let said = String::from_utf8_lossy(&output.stderr);
            (output.status.success() && said.is_empty())
                || (shell == "elvish" && said.contains("$edit:completion") && !said.contains("Parse error"))
        };
        assert!(is_read(&output), "{shell}: {}", String::from_utf8_lossy(&output.stderr));
        // And the check can fail: a text that is cut off is refused.
        let cut = written.rfind(if shell == "fish" { '"' } else { '}' }).unwrap();
        let output = checked(&format!("cut.{shell}"), &written[..cut]).unwrap();
        assert!(!is_read(&output), "{shell} reads a text that is cut off");
    }
    assert!(passed_over.len() < 5 || cfg!(windows), "no shell at all was found");
}

#[test]
fn help_names_every_command_and_every_exit_code() {
    let help = Bench::new().call(&["--help"]).env("COLUMNS", "400").run().exits(0).quietly();
    let commands =
        ["bench", "resume", "recipes", "yards", "show", "tally", "quote", "copy", "settings", "demo", "doctor"];
    let help = help.shows(&commands.map(|name| ["\n  ", name].concat()).each_ref().map(String::as_str));
    help.shows(&[
        "0 done",
        "1 failed",
        "2 not understood",
        "3 a script is at fault",
        "4 an answer is missing",
        "5 session laid aside",
    ]);
    Bench::new().run(&["bench", "--help"]).exits(0).quietly().shows(&["--answers <FILE>"]);
    Bench::new().run(&["help", "tally"]).exits(0).quietly().shows(&["at its own yard or another"]);
    Bench::new().run(&["--version"]).exits(0).quietly().prints(&format!("knockdown {}\n", env!("CARGO_PKG_VERSION")));
}

/// What is not understood in the shell is told in one line of the program's own words, and the shell goes on.
#[test]
fn a_line_that_the_shell_does_not_understand_is_told_in_one_calm_line() {
    let bench = Bench::stocked();
    for (line, wanted) in [
        ("26", "`26` is no command; all are listed by ?"),
        ("yes", "`yes` is no command; all are listed by ?"),
        ("tallly", "`tallly` is no command; did you mean tally? All are listed by ?"),
        ("capacitr", "`capacitr` is no command; did you mean capacitor? All are listed by ?"),
        ("test-box", "`test-box` is no command; show test-box shows what goes by that name. All are listed by ?"),
        ("bench", "bench needs RECIPE; bench --help tells what it takes"),
        ("tally --yrad x", "`--yrad` is no option of tally (did you mean --yard?); tally --help tells what it takes"),
        ("tally a b", "`b` is more than tally takes; tally --help tells what it takes"),
        (
            "yards --format x",
            "`x` does not fit --format FORM, which takes text, json; yards --help tells what it takes",
        ),
        ("stock bla", "`bla` is no word of stock; stock --help tells what it takes"),
    ] {
        let ended = bench.feed(&[], &[line, "quit"]).exits(0);
        let after = ended.out.split_once(&format!("knockdown> {line}\n")).unwrap().1;
        let (said, rest) = after.split_once("\nknockdown> ").unwrap();
        assert_eq!(said.replace("\n  ", " "), wanted);
        assert!(rest.starts_with("quit") && ended.err.is_empty(), "{line}: {rest}{}", ended.err);
    }
    bench.feed(&[], &["?", "bench --help", "quit"]).exits(0).shows(&["Take a unit apart by a recipe", "--answers"]);
}

#[test]
fn the_shell_reads_commands_from_a_pipe() {
    let bench = Bench::stocked();
    let ended = bench.feed(&[], &["show sessions", "shwo x", "show 'test", "", "quit", "recipes"]).exits(0);
    assert!(ended.err.is_empty() || ended.err.contains("quotation mark"), "{}", ended.err);
    ended
        .shows(&[
            "knockdown> show sessions\nThere is no session yet",
            "`shwo` is no command; did you mean show? All are listed by ?\n",
            "knockdown> quit\n",
        ])
        .hides(&["countertop-oven"]);
}
