//! `bundle`, `adopt`, `new` and `show` for bench tools.

use super::{Bench, Ran, text};

/// A small tool of somebody else's, with a module of its own.
const PAIL: &str = r#"tool("pail", "What a pail of chips is worth")
    .says("Weigh it dry.").figures_from("an invented example")
    .author("A. Writer").licence("CC0-1.0").revision(3).needs_api(1);
import "pails" as pails;
input("gross", "What does it weigh, pail and all?").weight().such_as("18.4 kg").between(1.g, 100.kg);
input("wet", "Is it wet?").yes_no().usually("no");
works_out(|sheet| {
    let net = sheet.gross - pails::tare();
    sheet.gives("net", "Net", net);
    let rate = sheet.price("copper-2", net);
    if rate != () { sheet.gives_money("worth", "Worth", rate.of(net)); }
    sheet.caution("sharp-sheet");
    if net > 50.kg { sheet.caution("heavy-lift"); }
});
example("a dry pail", #{ gross: "11 kg" }, #{ net: "10000 g", caution: "sharp-sheet" });
"#;
const PAILS: &str = "fn tare() { 1.kg }\n";

/// A folder with the pail in it.
fn author() -> Bench {
    let bench = Bench::new();
    bench.write("tools/pail.rhai", PAIL);
    bench.write("library/pails.rhai", PAILS);
    bench
}

/// What `adopt` shows of a tool that an author offers to somebody.
fn offered(taker: &Bench, id: &str, script: &str) -> Ran {
    let author = Bench::new();
    author.write(&format!("tools/{id}.rhai"), script);
    author.write("library/pails.rhai", PAILS);
    let (path, _) = author.bundle(id);
    taker.run(&["adopt", text(&path)])
}

#[test]
fn a_tool_goes_from_folder_to_folder_with_its_module_and_its_examples() {
    let author = author();
    let (path, digest) = author.bundle("pail");
    let written = std::fs::read_to_string(&path).unwrap();
    for line in
        ["kind = \"tool\"", "id = \"pail\"", "author = \"A. Writer\"", "revision = 3", "needs_api = 1", "[imports]"]
    {
        assert!(written.lines().any(|known| known == line), "{line}\n{written}");
    }
    assert!(!written.contains("session ="), "its tests are the examples in its script:\n{written}");

    let taker = Bench::new();
    let refused = taker.run_with(&["adopt", text(&path)], "yes\n");
    assert_eq!(refused.code, 2, "a yes from a pipe is nobody's: {}", refused.out);
    assert!(refused.err.contains(&format!("--digest {digest}")), "{}", refused.err);
    for shown in [
        "What a pail of chips is worth  tool pail, revision 3",
        "by A. Writer, licence CC0-1.0",
        "It becomes the command pail.",
        "gross  What does it weigh, pail and all?",
        "a weight, such as 18.4 kg",
        "yes | no; Enter answers no",
        "net  Net",
        "CAUTION: Sharp sheet edges (in its examples)",
        "CAUTION: Heavy, top-heavy or propped goods (named in its code, shown in none of its examples)",
        "It reads: prices of the yard in use",
        "Rests on: an invented example",
        "There is no tool of that id here yet.",
        "It brings a module that it imports: pails",
        "Its examples: as expected (1 example)",
        "sound   tool pail",
    ] {
        assert!(refused.out.contains(shown), "{shown}\n{}", refused.out);
    }
    assert!(!taker.home().exists(), "looking writes nothing");

    let taken = taker.run(&["adopt", text(&path), "--digest", &digest]);
    assert_eq!((taken.code, taken.err.as_str()), (0, ""), "{}", taken.out);
    let pins = taker.read("pinned.toml");
    let tables: Vec<&str> = pins.lines().filter(|line| line.starts_with('[')).collect();
    assert_eq!(tables, ["[library.pails]", "[tools.pail]"], "sorted");
    assert!(taker.done(&["pail", "--gross", "11 kg"]).contains("Net: 10 kg"));
    assert!(taker.done(&["test", "pail"]).contains("pail: as expected (1 example)"));
    let shown = taker.done(&["show", "pail"]);
    assert!(shown.contains("Its script: ") && shown.contains("tools/pail.rhai"), "{shown}");
    let again = taker.run(&["adopt", text(&path)]);
    assert!(again.code == 0 && again.out.contains("The very same is there already."), "{}", again.out);
    assert_eq!(taker.done(&["bundle", "pail"]), written, "it goes on as it came");
}

#[test]
fn a_pinned_tool_that_was_changed_is_told_with_what_changed_when_it_is_used() {
    let author = author();
    let (path, digest) = author.bundle("pail");
    let taker = Bench::new();
    assert_eq!(taker.run(&["adopt", text(&path), "--digest", &digest]).code, 0);
    let own = taker.read("tools/pail.rhai");
    taker.write("tools/pail.rhai", &own.replace("    sheet.caution(\"sharp-sheet\");\n", ""));
    for command in [&["pail", "--gross", "11 kg"][..], &["show", "pail"], &["test", "pail"], &["check", "pail"]] {
        let ran = taker.run(command);
        assert!(
            ran.err.contains("note: the tool pail was changed after it was taken in on 2026-11-02; it is used as it is now (1 line gone, 0 new)"),
            "{command:?}: {}",
            ran.err
        );
        assert!(ran.err.contains("-     sheet.caution(\"sharp-sheet\");"), "{command:?}: {}", ran.err);
    }
    taker.write("tools/pail.rhai", &own);
    taker.write("library/pails.rhai", "fn tare() { 2.kg }\n");
    let ran = taker.run(&["pail", "--gross", "11 kg"]);
    assert!(ran.err.contains("note: the library pails was changed"), "{}", ran.err);
}

/// A tool in the place of another that warns of less is told first of all, whether its examples or only its code says so.
#[test]
fn a_caution_that_an_offered_tool_drops_is_the_first_thing_shown() {
    let author = author();
    let own = author.read("tools/pail.rhai");
    for (weaker, wanted) in [
        (
            own.replace("    sheet.caution(\"sharp-sheet\");\n", "").replace(", caution: \"sharp-sheet\"", ""),
            "no longer shown: CAUTION: Sharp sheet edges (the tool that is there shows it in its example \"a dry pail\")",
        ),
        (
            // Still named, and shown on other answers only.
            own.replace(
                "    sheet.caution(\"sharp-sheet\");\n",
                "    if sheet.wet { sheet.caution(\"sharp-sheet\"); }\n",
            )
            .replace(", caution: \"sharp-sheet\"", ""),
            "no longer shown: CAUTION: Sharp sheet edges (the tool that is there shows it in its example \"a dry pail\")",
        ),
        (
            own.replace("    if net > 50.kg { sheet.caution(\"heavy-lift\"); }\n", "    // \"heavy-lift\"\n"),
            "no longer shown: CAUTION: Heavy, top-heavy or propped goods (the code of the tool that is there names it)",
        ),
    ] {
        assert_ne!(own, weaker);
        let ran = offered(&author, "pail", &weaker);
        assert!(ran.out.contains(wanted), "{wanted}\n{}", ran.out);
        let lines: Vec<&str> = ran.out.lines().collect();
        let at = |text: &str| lines.iter().position(|line| line.contains(text)).unwrap();
        assert!(at("IT GUARDS LESS") < at("It becomes the command"), "first of all\n{}", ran.out);
        assert!(ran.out.contains("stand in for your tool of that id"), "{}", ran.out);
    }
    let same = offered(&author, "pail", &own.replace("Weigh it dry.", "Weigh it dry and clean."));
    assert!(!same.out.contains("GUARDS LESS"), "{}", same.out);
    // A shipped one is compared just so.
    let bare = own.replace("\"pail\"", "\"capacitor\"");
    let ran = offered(&Bench::new(), "capacitor", &bare);
    assert!(
        ran.out.contains("stand in for the shipped tool") && ran.out.contains("no longer shown: DANGER"),
        "{}",
        ran.out
    );
}

/// Every way in which a bundle of a tool can be wrong ends in one error, and nothing is written.
#[test]
fn a_wrong_bundle_of_a_tool_gets_one_clear_error() {
    let author = author();
    let (path, digest) = author.bundle("pail");
    let good = std::fs::read_to_string(&path).unwrap();
    let file = author.beside("bad.toml");
    for (bad, wanted) in [
        (good.replace(&digest, &"a".repeat(64)).into_bytes(), "Something was changed on the way"),
        (good.replace("kind = \"tool\"", "kind = \"report\"").into_bytes(), "the digest is"),
        (good.replace("kind = \"tool\"", "kind = \"hammer\"").into_bytes(), "unknown variant `hammer`"),
        (good.replace("id = \"pail\"", "id = \"../pail\"").into_bytes(), "cannot be a name here"),
        (good.replace("pails = '''", "\"../pails\" = '''").into_bytes(), "cannot be a name here"),
        (good.replace("version = 1", "version = 2").into_bytes(), "made by a newer version"),
        ([good.as_bytes(), b"\n# \xff\xfe\n"].concat(), "not UTF-8"),
        (format!("{good}\n{}", "# padding\n".repeat(300_000)).into_bytes(), "larger than 2097152 bytes"),
    ] {
        std::fs::write(&file, bad).unwrap();
        let taker = Bench::new();
        let ran = taker.run(&["adopt", text(&file), "--digest", &digest]);
        assert!(matches!(ran.code, 1 | 2), "{wanted}: {}", ran.code);
        assert!(ran.err.contains(wanted) && ran.err.matches("error: ").count() == 1, "{wanted}: {}", ran.err);
        assert!(ran.out.is_empty() && !taker.home().exists(), "{wanted}: {}", ran.out);
    }
}

/// A bundle of a tool whose digest is right and whose contents are not.
#[test]
fn a_tool_that_lies_fails_or_takes_a_command_is_not_taken_in() {
    use knockdown::store::bundle::{Bundle, BundleKind, Contents};
    let source = PAIL.replace("import \"pails\" as pails;\n", "").replace("pails::tare()", "1.kg");
    let honest = || Contents {
        kind: BundleKind::Tool,
        id: "pail".into(),
        name: "What a pail of chips is worth".into(),
        author: "A. Writer".into(),
        licence: "CC0-1.0".into(),
        revision: 3,
        needs_api: 1,
        notes: String::new(),
        source: source.clone(),
        session: None,
        imports: Default::default(),
    };
    let taken = Bundle::seal(honest()).unwrap();
    let with_session = Contents { session: Some("yard = \"hollow-lane\"\n".into()), ..honest() };
    assert!(Bundle::seal(with_session).unwrap_err().to_string().contains("a tool has no test session"));
    for (contents, code, wanted) in [
        (honest(), 0, "Taken in: "),
        (Contents { name: "Toaster".into(), ..honest() }, 2, "its name is \"Toaster\""),
        (Contents { id: "bucket".into(), ..honest() }, 2, "its id is \"bucket\""),
        (Contents { kind: BundleKind::Recipe, ..honest() }, 3, "describes no unit"),
        (Contents { kind: BundleKind::Yard, ..honest() }, 3, "declares no yard"),
        (Contents { source: source.replace("10000 g", "11000 g"), ..honest() }, 2, "check finds errors in it"),
        (Contents { source: source.replace(".weight()", ".wieght()"), ..honest() }, 3, "did you mean `weight`?"),
        (
            Contents { source: source.replace("needs_api(1)", "needs_api(2)"), needs_api: 2, ..honest() },
            3,
            "needs script version 2",
        ),
        (
            Contents { id: "tally".into(), source: source.replace("\"pail\"", "\"tally\""), ..honest() },
            2,
            "check finds errors in it",
        ),
        (
            Contents { imports: [("pails".to_owned(), PAILS.to_owned())].into(), ..honest() },
            2,
            "which nothing in it imports",
        ),
        (
            Contents { source: source.replace("Weigh it dry.", "\u{202e}yrd"), ..honest() },
            3,
            "hidden character, U+202E",
        ),
    ] {
        let bundle = Bundle::seal(contents).unwrap();
        let taker = Bench::new();
        let file = taker.beside("offer.toml");
        std::fs::write(&file, bundle.text()).unwrap();
        let ran = taker.run(&["adopt", text(&file), "--digest", bundle.digest()]);
        assert_eq!(ran.code, code, "{wanted}: {}{}", ran.out, ran.err);
        assert!(format!("{}{}", ran.out, ran.err).contains(wanted), "{wanted}: {}{}", ran.out, ran.err);
        assert_eq!(taker.home().exists(), code == 0, "{wanted}");
    }
    assert_eq!(taken.kind.word(), "tool");
}

const ANSWERS: &str = "Net weight of a \"pail\"\npail\nWhat does it weigh, pail and all?\ngross\nweight\n18.4 kg\nHow much of it is water?\n\
                       water\nnumber\n%\n10 %\n\nNet weight\nsharp-sheet\n\n";

#[test]
fn a_new_tool_from_a_pipe_passes_check_and_test_at_once() {
    let bench = Bench::new();
    let ran = bench.run_with(&["new", "tool"], ANSWERS);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
    let script = bench.read("tools/pail.rhai");
    for line in [
        "tool(\"pail\", \"Net weight of a \\\"pail\\\"\")",
        "input(\"gross\", \"What does it weigh, pail and all?\").weight().such_as(\"18.4 kg\");",
        "input(\"water\", \"How much of it is water?\").number(\"%\").such_as(\"10 %\");",
        "sheet.gives(\"net-weight\", \"Net weight\", sheet.gross);",
        "sheet.caution(\"sharp-sheet\");",
        "#{ net_weight: \"18400 g\", caution: \"sharp-sheet\" });",
    ] {
        assert!(script.contains(line), "{line}\n{script}");
    }
    let checked = bench.done(&["check", "pail"]);
    assert!(checked.contains("sound   tool pail\n"), "{checked}");
    assert!(bench.done(&["test", "pail"]).contains("as expected (1 example)"));
    assert!(bench.done(&["pail", "--gross", "11 kg", "--water", "5 %"]).contains("Net weight: 11 kg"));
    assert!(bench.done(&["tools"]).contains("pail  Net weight of a \"pail\"  (yours)"));
    let again = bench.run_with(&["new", "tool"], ANSWERS);
    assert!(again.code == 2 && again.err.contains("is there already"), "{}", again.err);
}

#[test]
fn what_a_new_tool_cannot_be_is_told_with_the_question() {
    for (old, new, wanted) in [
        ("\npail\n", "\ntally\n", "`tally` is a command of the program's own"),
        ("\npail\n", "\nA Pail\n", "lower-case letters"),
        ("\ngross\n", "\nif\n", "a word of the script language it cannot be"),
        ("\ngross\n", "\nformat\n", "`format` is the program's own"),
        ("\nwater\n", "\ngross\n", "`gross` is the name of another answer"),
        ("\nweight\n", "\nwieght\n", "did you mean weight?"),
        ("18.4 kg", "heavy", "What might somebody answer?"),
        ("sharp-sheet", "sharp-shet", "did you mean `sharp-sheet`?"),
    ] {
        let bench = Bench::new();
        let ran = bench.run_with(&["new", "tool"], &ANSWERS.replacen(old, new, 1));
        let said = ran.err.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(ran.code == 4 && said.contains(wanted) && said.contains("nothing is written"), "{wanted}: {said}");
        assert!(!bench.home().exists());
    }
}

#[test]
fn a_tool_is_shown_with_what_it_takes_answers_warns_of_and_where_it_stands() {
    let bench = Bench::new();
    let shown = bench.done(&["show", "capacitor"]);
    for wanted in [
        "voltage  Charged to how many volts at most?",
        "a number in V, such as 2.1 kV",
        "resistor  A resistor at hand? (else leave it open)",
        "may stay open",
        "energy  Energy",
        "DANGER: High-voltage stored charge (in its examples)",
        "charge-limits",
        "3 examples; test capacitor runs them",
        "it comes with the program; copy capacitor makes it yours to edit",
    ] {
        assert!(shown.contains(wanted), "{wanted}\n{shown}");
    }
    assert!(bench.done(&["show", "pay-by-month"]).contains("It reads: your sessions"));
    // A grade and a tool share this name: both are shown.
    let both = bench.done(&["show", "wire"]);
    assert!(both.contains("Insulated copper wire") && both.contains("To use it: wire"), "{both}");
}

#[test]
fn a_word_that_names_nothing_picks_nothing_and_says_what_was_meant() {
    let bench = Bench::new();
    for (command, wanted) in [
        (["show", "wrods"], "nothing is called `wrods`"),
        (["test", "nope"], "nothing is called `nope`"),
        (["show", "capacitr"], "did you mean the tool `capacitor`?"),
        (["test", "kettel"], "did you mean the recipe `kettle`?"),
        (["bundle", "wrie"], "did you mean the tool `wire`?"),
        (["copy", "refridgerator"], "did you mean the recipe `refrigerator`?"),
        (["check", "hollow-lan3"], "did you mean the yard `hollow-lane`?"),
        (["bench", "micorwave"], "did you mean `countertop-oven`?"),
        (["show", "coper-2"], "did you mean `copper-2`?"),
        (["show", "hazrads"], "did you mean `hazards`?"),
    ] {
        let ran = bench.run(&command);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{command:?}: {}", ran.err);
        assert!(ran.err.contains(wanted), "{command:?}: {}", ran.err);
    }
    assert!(!bench.home().exists());
}
