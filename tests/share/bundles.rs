//! `bundle` and `adopt`.

use super::{Bench, SAMOVAR, SAMOVAR_SESSION, text};

/// The bundle of the samovar, made in a folder of its author.
fn samovar() -> (Bench, std::path::PathBuf, String) {
    let author = Bench::new();
    author.write("recipes/samovar.rhai", SAMOVAR);
    author.write("recipes/samovar.session.toml", SAMOVAR_SESSION);
    author.done(&["test", "samovar", "--update"]);
    let (path, digest) = author.bundle("samovar");
    (author, path, digest)
}

#[test]
fn a_bundle_is_readable_and_goes_to_the_output_or_to_a_new_file() {
    let (author, path, digest) = samovar();
    let written = std::fs::read_to_string(&path).unwrap();
    for line in
        ["format = \"knockdown-bundle\"", "version = 1", "kind = \"recipe\"", "id = \"samovar\"", "revision = 3"]
    {
        assert!(written.lines().any(|known| known == line), "{line}\n{written}");
    }
    assert!(written.contains(SAMOVAR), "the script stands there as it is:\n{written}");
    assert!(written.contains("\"guard.sharp-sheet\" = \"yes\""), "{written}");
    assert!(written.contains(&digest));
    assert_eq!(author.done(&["bundle", "samovar"]), written);
    let again = author.run(&["bundle", "samovar", "--out", text(&path)]);
    assert_eq!(again.code, 1);
    assert!(again.err.contains("is there already"), "{}", again.err);
    let noted = author.done(&["bundle", "samovar", "--notes", "Tried on three."]);
    assert!(noted.contains("notes = \"Tried on three.\"") && !noted.contains(&digest), "{noted}");
}

#[test]
fn of_what_is_shipped_one_in_four_can_be_passed_on() {
    all_are_passed_on(4);
}

#[test]
#[ignore = "a campaign"]
fn everything_shipped_can_be_passed_on() {
    all_are_passed_on(1);
}

/// Every so many of the shipped scripts go through a bundle into another's folder.
fn all_are_passed_on(every: usize) {
    let bench = Bench::new();
    let listings = ["recipes", "yards", "tools"].map(|listing| {
        let json: serde_json::Value = serde_json::from_str(&bench.done(&[listing, "--format", "json"])).unwrap();
        let rows = json[listing].as_array().unwrap().clone();
        rows.into_iter().map(move |row| (listing, row["id"].as_str().unwrap().to_owned()))
    });
    let all: Vec<(&str, String)> = listings.into_iter().flatten().step_by(every).collect();
    let next = std::sync::atomic::AtomicUsize::new(0);
    std::thread::scope(|scope| {
        for _ in 0..std::thread::available_parallelism().map_or(1, std::num::NonZeroUsize::get) {
            scope.spawn(|| {
                while let Some((listing, id)) = all.get(next.fetch_add(1, std::sync::atomic::Ordering::Relaxed)) {
                    passed_on(listing, id);
                }
            });
        }
    });
}

/// A shipped script goes through a bundle into another's folder.
fn passed_on(listing: &str, id: &str) {
    let bench = Bench::new();
    let (path, digest) = bench.bundle(id);
    let taker = Bench::new();
    let ran = taker.run(&["adopt", text(&path), "--digest", &digest]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{id}\n{}", ran.out);
    assert!(
        ran.out.contains("Its text is that of the shipped") && !ran.out.contains("GUARDS LESS"),
        "{id}\n{}",
        ran.out
    );
    // Reports are listed among the tools.
    let folder = if listing == "tools" && id == "pay-by-month" { "reports" } else { listing };
    assert!(taker.home().join(folder).join(format!("{id}.rhai")).exists());
}

#[test]
fn adopt_shows_hazards_parts_the_test_and_takes_in_only_with_the_digest() {
    let (_author, path, digest) = samovar();
    let taker = Bench::new();
    let refused = taker.run_with(&["adopt", text(&path)], "yes\n");
    assert_eq!(refused.code, 2, "a yes from a pipe is nobody's: {}", refused.out);
    assert!(refused.err.contains(&format!("--digest {digest}")), "{}", refused.err);
    for shown in [
        "Electric samovar  recipe samovar, revision 3",
        "by A. Writer, licence CC0-1.0",
        "DANGER: Still plugged in (before everything)",
        "CAUTION: Sharp sheet edges (before step `jug`)",
        "frees heater, 80 g (50 g to 120 g), as stainless-with-iron",
        "There is no recipe of that id here yet.",
        "Its test session: as expected (10 answers, ends complete, net",
    ] {
        assert!(refused.out.contains(shown), "{shown}\n{}", refused.out);
    }
    assert!(!taker.home().exists(), "looking writes nothing");
    let other = taker.run(&["adopt", text(&path), "--digest", &"0".repeat(64)]);
    assert_eq!((other.code, other.out.as_str()), (2, ""), "{}", other.err);
    assert!(
        other.err.split_whitespace().collect::<Vec<_>>().join(" ").ends_with("; nothing is taken in"),
        "{}",
        other.err
    );
    let no_input = taker.run(&["--no-input", "adopt", text(&path)]);
    assert_eq!(no_input.code, 2);
    assert!(!taker.home().exists());

    let taken = taker.run(&["adopt", text(&path), "--digest", &digest.to_uppercase()]);
    assert_eq!((taken.code, taken.err.as_str()), (0, ""), "{}", taken.out);
    assert_eq!(taker.read("recipes/samovar.rhai"), SAMOVAR);
    assert!(taker.read("recipes/samovar.session.toml").starts_with(SAMOVAR_SESSION));
    assert!(taker.done(&["test", "samovar"]).contains("as expected"));
    assert!(taker.done(&["recipes"]).contains("samovar"));
    let again = taker.run(&["adopt", text(&path)]);
    assert_eq!(again.code, 0);
    assert!(again.out.contains("The very same is there already."), "{}", again.out);
}

#[test]
fn a_changed_guard_and_changed_lines_are_shown_before_anything_is_replaced() {
    let author = Bench::new();
    author.done(&["copy", "corded-tool"]);
    let own = author.read("recipes/corded-tool.rhai");
    let weaker = own.replace(".guards([\"mains-plugged\", \"settled-dust\"])", ".guards([\"mains-plugged\"])");
    assert_ne!(own, weaker);
    author.write("recipes/corded-tool.rhai", &weaker);
    std::fs::remove_file(author.home().join("recipes/corded-tool.session.toml")).unwrap();
    let (path, digest) = author.bundle("corded-tool");
    let taker = Bench::new();
    let ran = taker.run(&["adopt", text(&path), "--digest", &digest]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    for shown in [
        "stand in for the shipped recipe of that id: 1 line gone, 1 new",
        "IT GUARDS LESS than what it would stand in for:",
        "no longer asked: CAUTION: Settled dust",
        "  -     .guards([\"mains-plugged\", \"settled-dust\"])",
        "  +     .guards([\"mains-plugged\"])",
        "It comes without a test session",
    ] {
        assert!(ran.out.contains(shown), "{shown}\n{}", ran.out);
    }
}

/// What an offer says of guards goes by what it declares and asks, whatever else its text names.
#[test]
fn a_guard_that_is_only_named_in_a_comment_a_text_or_dead_code_is_told_as_dropped() {
    for disguise in [
        "// \"sharp-sheet\" and `sharp-sheet`\n",
        "/* .guards([\"sharp-sheet\"]) */\n",
        "let spare = [\"sharp-sheet\"];\n",
        "fn never(bench) { bench.guard(\"sharp-sheet\"); }\n",
    ] {
        let taker = Bench::new();
        taker.write("recipes/samovar.rhai", SAMOVAR);
        let weaker = SAMOVAR.replace(".guards([\"sharp-sheet\"])", "");
        assert_ne!(SAMOVAR, weaker);
        let (unit, steps) = weaker.split_once(";\n").unwrap();
        let ran = offered(&taker, "samovar", &format!("{unit};\n{disguise}{steps}"));
        assert!(ran.out.contains("IT GUARDS LESS"), "{disguise}\n{}", ran.out);
        assert!(
            ran.out.contains("no longer asked: CAUTION: Sharp sheet edges (was asked before step `jug`)"),
            "{disguise}\n{}",
            ran.out
        );
        let lines: Vec<&str> = ran.out.lines().collect();
        let at = |text: &str| lines.iter().position(|line| line.contains(text)).unwrap();
        assert!(at("IT GUARDS LESS") < at("Hazards that it asks about"), "first of all\n{}", ran.out);
    }
}

#[test]
fn a_guard_that_stands_too_late_or_on_some_ways_only_is_told() {
    let asks = |guards: &str, work: &str| {
        let step = format!(
            "step(\"jug\", \"Part jug and heater\").after(\"base\"){guards}.minutes(1, 2, 3).work(|bench| {{ {work} }})"
        );
        SAMOVAR.replace(
            "step(\"jug\", \"Part jug and heater\").after(\"base\").minutes(1, 2, 3).guards([\"sharp-sheet\"])",
            &step,
        )
    };
    let always = "bench.guard(\"sharp-sheet\");";
    let some = "if bench.yes(\"sharp\", \"Is it sharp?\") { bench.guard(\"sharp-sheet\"); }";
    let elsewhere =
        |script: String| script.replace("\"Take off the base\")", "\"Take off the base\").guards([\"settled-dust\"])");
    for (old, new, wanted) in [
        (
            SAMOVAR.to_owned(),
            asks("", some),
            "no longer asked on every way before step `jug`: CAUTION: Sharp sheet edges",
        ),
        (
            asks("", always),
            asks("", some),
            "no longer asked on every way before step `jug`: CAUTION: Sharp sheet edges",
        ),
        (asks("", some), asks("", ""), "no longer asked: CAUTION: Sharp sheet edges (was asked before step `jug`)"),
        (
            elsewhere(SAMOVAR.replace("[\"sharp-sheet\"]", "[\"settled-dust\"]")).replace(".after(\"base\")", ""),
            elsewhere(SAMOVAR.replace("[\"sharp-sheet\"]", "[]")).replace(".after(\"base\")", ""),
            "no longer asked before step `jug`: CAUTION: Settled dust",
        ),
        (
            SAMOVAR.to_owned(),
            SAMOVAR
                .replace(".guards([\"mains-plugged\"])", "")
                .replace("[\"sharp-sheet\"]", "[\"sharp-sheet\", \"mains-plugged\"]"),
            "no longer asked before step `base`: DANGER: Still plugged in",
        ),
    ] {
        let taker = Bench::new();
        taker.write("recipes/samovar.rhai", &old);
        let ran = offered(&taker, "samovar", &new);
        assert!(ran.out.contains(wanted), "{wanted}\n{}", ran.out);
        let same = offered(&taker, "samovar", &old.replace("Electric samovar", "Electric samovar, other"));
        assert!(!same.out.contains("GUARDS LESS"), "{}", same.out);
    }
}

/// What `adopt` shows of a script that an author offers.
fn offered(taker: &Bench, id: &str, script: &str) -> super::Ran {
    let author = Bench::new();
    author.write(&format!("recipes/{id}.rhai"), script);
    let (path, _) = author.bundle(id);
    taker.run(&["adopt", text(&path)])
}

#[test]
fn a_text_of_ones_own_that_is_replaced_is_kept() {
    let (_author, path, digest) = samovar();
    let taker = Bench::new();
    let own = SAMOVAR.replace("Electric samovar", "My samovar");
    taker.write("recipes/samovar.rhai", &own);
    let ran = taker.run(&["adopt", text(&path), "--digest", &digest]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.out.contains("stand in for your recipe of that id: 1 line gone, 1 new"), "{}", ran.out);
    let kept = ran.out.lines().find_map(|line| line.strip_prefix("What it replaced is kept as ")).expect(&ran.out);
    assert_eq!(taker.read(kept), own);
    assert_eq!(taker.read("recipes/samovar.rhai"), SAMOVAR);
}

#[test]
fn a_yard_shows_how_many_prices_it_has_and_which_differ() {
    let author = Bench::new();
    author.done(&["copy", "hollow-lane"]);
    let own = author.read("yards/hollow-lane.rhai");
    let dearer = own
        .replace("\"Yellow brass\", 2.15", "\"Yellow brass\", 2.25")
        .replace("buys(\"lead\", \"Lead\", 0.65);\n", "")
        .replace(".from(50.lb, 3.55)", ".from(60.lb, 3.55)");
    author.write("yards/hollow-lane.rhai", &dearer);
    let (path, digest) = author.bundle("hollow-lane");
    let ran = Bench::new().run(&["adopt", text(&path), "--digest", &digest]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
    let shown = ran.out.split_whitespace().collect::<Vec<_>>().join(" ");
    for wanted in [
        "prices; 3 differ from what is there",
        "brass 2.15/lb -> 2.25/lb",
        "lead 0.65/lb -> none",
        "copper-2 3.40/lb -> 3.40/lb (tiers or least lot differ)",
        "Sample prices: invented",
    ] {
        assert!(shown.contains(wanted), "{wanted}\n{}", ran.out);
    }
}

#[test]
fn modules_of_ones_own_travel_and_are_pinned_too() {
    let author = Bench::new();
    author.write("library/boil.rhai", "import \"steam\" as steam;\nfn note(bench) { bench.say(steam::text()); }\n");
    author.write("library/steam.rhai", "fn text() { \"Mind the steam.\" }\n");
    author.write("library/unrelated.rhai", "fn text() { \"no\" }\n");
    let importing =
        SAMOVAR.replace("step(\"base\"", "import \"boil\" as boil;\nimport \"checks\" as checks;\nstep(\"base\"");
    let importing =
        importing.replace("\"stainless-with-iron\");", "\"stainless-with-iron\").work(|bench| boil::note(bench));");
    author.write("recipes/samovar.rhai", &importing);
    author.write("recipes/samovar.session.toml", SAMOVAR_SESSION);
    let (path, digest) = author.bundle("samovar");
    let written = std::fs::read_to_string(&path).unwrap();
    assert!(written.contains("\nboil = '''") && written.contains("\nsteam = '''"), "{written}");
    assert!(!written.contains("\nchecks = ") && !written.contains("unrelated"), "{written}");
    let taker = Bench::new();
    let ran = taker.run(&["adopt", text(&path), "--digest", &digest]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
    assert!(ran.out.contains("It brings a module that it imports: boil"), "{}", ran.out);
    assert!(taker.done(&["test", "samovar"]).contains("plays"));
    let pins = taker.read("pinned.toml");
    let tables: Vec<&str> = pins.lines().filter(|line| line.starts_with('[')).collect();
    assert_eq!(tables, ["[library.boil]", "[library.steam]", "[recipes.samovar]"], "sorted");
}

/// Every way in which a bundle can be wrong ends in one line, the code for it, and nothing written.
#[test]
fn a_wrong_bundle_gets_one_clear_error() {
    let (author, path, digest) = samovar();
    let good = std::fs::read_to_string(&path).unwrap();
    let file = author.beside("bad.toml");
    for (bad, wanted) in [
        (good.replace(&digest, &"a".repeat(64)).into_bytes(), "Something was changed on the way"),
        (good.replace("A. Writer", "B. Writer").into_bytes(), "the digest is"),
        (good.replace("id = \"samovar\"", "id = \"../../samovar\"").into_bytes(), "cannot be a name here"),
        (good.replace("id = \"samovar\"", "id = \"/etc/passwd\"").into_bytes(), "cannot be a name here"),
        (good.replace("id = \"samovar\"", "id = \"SAMOVAR\"").into_bytes(), "cannot be a name here"),
        (good.replace("version = 1", "version = 99").into_bytes(), "made by a newer version"),
        (good.replace("licence = ", "license = ").into_bytes(), "unknown field `license`"),
        (good.replace("revision = 3\n", "").into_bytes(), "missing field `revision`"),
        (good.replace("A. Writer", "A.\\u001b[31mWriter").into_bytes(), "a character that cannot be shown"),
        ([good.as_bytes(), b"\n# \xff\xfe\n"].concat(), "not UTF-8"),
        (b"not a bundle at all".to_vec(), "line 1"),
        (Vec::new(), "not a knockdown-bundle file"),
        (format!("{good}\n{}", "# padding\n".repeat(300_000)).into_bytes(), "larger than 2097152 bytes"),
    ] {
        std::fs::write(&file, bad).unwrap();
        let taker = Bench::new();
        let ran = taker.run(&["adopt", text(&file), "--digest", &digest]);
        assert!(matches!(ran.code, 1 | 2), "{wanted}: {}", ran.code);
        assert!(ran.err.contains(wanted), "{wanted}: {}", ran.err);
        assert!(ran.err.starts_with("error: ") && ran.err.matches("error: ").count() == 1, "{}", ran.err);
        assert!(!ran.err.contains('\u{1b}') && ran.out.is_empty(), "{}", ran.out);
        assert!(!taker.home().exists(), "{wanted}: something was written");
    }
}

#[test]
fn a_hundred_megabytes_are_refused_by_their_size_alone() {
    let bench = Bench::new();
    let file = bench.beside("huge.toml");
    std::fs::File::create(&file).unwrap().set_len(100 * 1024 * 1024).unwrap();
    let started = std::time::Instant::now();
    let ran = bench.run(&["adopt", text(&file)]);
    assert_eq!(ran.code, 1);
    assert!(ran.err.contains("larger than 2097152 bytes"), "{}", ran.err);
    assert!(started.elapsed().as_secs() < 2, "{:?}", started.elapsed());
    let missing = bench.run(&["adopt", "nowhere.toml"]);
    assert!(missing.code == 1 && missing.err.contains("there is no file"), "{}", missing.err);
}

/// A bundle whose digest is right and whose contents lie.
#[test]
fn a_bundle_that_says_another_thing_than_its_script_is_refused() {
    use knockdown::store::bundle::{Bundle, BundleKind, Contents};
    let honest = || Contents {
        kind: BundleKind::Recipe,
        id: "samovar".into(),
        name: "Electric samovar".into(),
        author: "A. Writer".into(),
        licence: "CC0-1.0".into(),
        revision: 3,
        needs_api: 1,
        notes: String::new(),
        source: SAMOVAR.into(),
        session: Some(SAMOVAR_SESSION.into()),
        imports: Default::default(),
    };
    let module = |name: &str| [(name.to_owned(), "fn f() { 1 }\n".to_owned())].into();
    for (contents, code, wanted) in [
        (Contents { id: "oven".into(), ..honest() }, 2, "its id is \"oven\", but its script says \"samovar\""),
        (Contents { name: "Toaster".into(), ..honest() }, 2, "its name is \"Toaster\""),
        (Contents { author: "Known Person".into(), ..honest() }, 2, "its author is \"Known Person\""),
        (Contents { licence: String::new(), ..honest() }, 2, "its licence is \"\""),
        (Contents { revision: 4, ..honest() }, 2, "its revision is \"4\""),
        (Contents { kind: BundleKind::Yard, session: None, ..honest() }, 3, "declares no yard"),
        (Contents { source: SAMOVAR.replace("minutes", "minuts"), ..honest() }, 3, "did you mean `minutes`?"),
        (
            Contents { source: SAMOVAR.replace("needs_api(1)", "needs_api(2)"), needs_api: 2, ..honest() },
            3,
            "needs script version 2",
        ),
        (Contents { imports: module("checks"), ..honest() }, 2, "stand in for the shipped one"),
        (Contents { imports: module("extra"), ..honest() }, 2, "which nothing in it imports"),
        (
            Contents { session: Some(SAMOVAR_SESSION.replace("heater = \"80 g\"\n", "")), ..honest() },
            2,
            "check finds errors in it",
        ),
        (
            Contents { source: SAMOVAR.replace("Take off the base", "\u{202e}esab"), ..honest() },
            3,
            "hidden character, U+202E",
        ),
    ] {
        let bundle = Bundle::seal(contents).unwrap();
        let taker = Bench::new();
        let file = taker.beside("lie.toml");
        std::fs::write(&file, bundle.text()).unwrap();
        let ran = taker.run(&["adopt", text(&file), "--digest", bundle.digest()]);
        assert_eq!(ran.code, code, "{wanted}: {}{}", ran.out, ran.err);
        assert!(ran.err.contains(wanted), "{wanted}: {}", ran.err);
        assert_eq!(taker.home().exists(), code == 0, "{wanted}");
        assert!(!ran.out.contains('\u{202e}'), "what reorders text is shown, not obeyed");
    }
}
