//! Scripts at fault: the place, the values, and what to do.

use crate::bench::Bench;

const GOOD: &str = "unit(\"x\", \"X\").weighs((1.kg..2.kg).usually(1.5.kg)).sold_whole_as(\"steel\");\n";

fn broken(text: &str) -> Bench {
    let bench = Bench::stocked();
    bench.write("home/recipes/x.rhai", text);
    bench
}

/// The error of a recipe with `line` as its second line.
#[track_caller]
fn fails(line: &str, complaint: &str) {
    let bench = broken(&format!("{GOOD}{line}\n"));
    bench.run(&["bench", "x"]).exits(3).prints("").complains(complaint);
    assert!(!bench.has("home/sessions"), "no session begins under a script that is at fault");
}

#[test]
fn the_caret_stands_under_what_is_wrong() {
    fails(
        "step(\"a\", \"A\").minuts(1, 2, 3);",
        "\
error: there is no `minuts` for (step, whole number, whole number, whole number)
 --> home/recipes/x.rhai:2:16
  |
2 | step(\"a\", \"A\").minuts(1, 2, 3);
  |                ^^^^^^
  |
  = help: did you mean `minutes`?
",
    );
    fails(
        "step(\"a\", \"A\").minutes(1, 2, 3).frees(\"p\", 3.kgs, \"steel\");",
        "\
error: there is no unit or property `kgs` here
 --> home/recipes/x.rhai:2:46
  |
2 | step(\"a\", \"A\").minutes(1, 2, 3).frees(\"p\", 3.kgs, \"steel\");
  |                                              ^^^
  |
  = help: did you mean the unit `.kg`?
",
    );
    fails(
        "step(\"a\", \"A\").minutes(3, 2, 1);",
        "\
error: low 3 min, usual 2 min and high 1 min must ascend
 --> home/recipes/x.rhai:2:16
  |
2 | step(\"a\", \"A\").minutes(3, 2, 1);
  |                ^^^^^^^
  |
  = help: write minutes(low, usual, high), such as minutes(4, 6, 12)
",
    );
    fails(
        "step(\"a\", \"A\").minutes(1, 2, 3).guards([\"sharp-shet\"]);",
        "\
error: there is no hazard `sharp-shet`
 --> home/recipes/x.rhai:2:33
  |
2 | step(\"a\", \"A\").minutes(1, 2, 3).guards([\"sharp-shet\"]);
  |                                 ^^^^^^
  |
  = help: did you mean `sharp-sheet`?
",
    );
    fails(
        "step(\"a\", \"A\").minutes(1, 2, 3).after(\"b\");",
        "\
error: the step `a` comes after `b`, which is no step
 --> home/recipes/x.rhai:2:33
  |
2 | step(\"a\", \"A\").minutes(1, 2, 3).after(\"b\");
  |                                 ^^^^^
  |
  = help: did you mean `a`?
",
    );
}

#[test]
fn scripts_that_are_none() {
    for text in
        ["", "   \n", "{", "unit(", "\"", "loop {}", "fn f() { f() } f();", "let a = 1;", "unit(\"x\");", "\u{0}", "💥"]
    {
        let bench = broken(text);
        let ended = bench.run(&["bench", "x"]).exits(3).prints("").inertly();
        assert!(
            ended.err.starts_with("error: ") && ended.err.contains("home/recipes/x.rhai"),
            "{text:?}: {}",
            ended.err
        );
        bench.run(&["recipes"]).exits(0).quietly().shows(&["test-box", "cannot be read: "]);
    }
    let bench = broken("");
    std::fs::write(bench.path("home/recipes/x.rhai"), b"unit(\"\xff\")").unwrap();
    bench.run(&["bench", "x"]).exits(1).complains(
        "error: home/recipes/x.rhai, line 1: the bytes there are not UTF-8 text. Save the\n  file as UTF-8\n",
    );
    bench.write("home/recipes/x.rhai", &"//".repeat(70 * 1024));
    bench.run(&["bench", "x"]).exits(1).prints("");
}

#[test]
fn escape_sequences_in_a_script_are_refused_and_never_obeyed() {
    let good = "unit(\"x\", \"X\").weighs((1.kg..2.kg).usually(1.5.kg)).sold_whole_as(\"steel\");";
    for text in [
        "unit(\"x\", \"X\u{1b}[2J\").weighs(1.kg).sold_whole_as(\"steel\");".to_owned(),
        format!("{good} step(\"a\", \"A\u{9b}2J\").minutes(1, 2, 3);"),
        format!("{good} step(\"a\", \"A\").minutes(1, 2, 3).says(\"\u{202e}up\");"),
        "unit(\"x\", 3\u{1b}[2J);".to_owned(),
    ] {
        let bench = broken(&text);
        bench.run(&["recipes"]).exits(0).inertly();
        bench.run(&["show", "x"]).exits(3).inertly();
        bench.run(&["bench", "x"]).exits(3).inertly();
        bench.run(&["doctor"]).exits(1).inertly();
    }
}

#[test]
fn a_script_that_fails_on_an_answer_loses_none_and_can_be_undone() {
    let text = format!(
        "{GOOD}step(\"a\", \"A\").minutes(1, 2, 3).frees(\"p\", 1.kg, \"steel\")\n.work(|bench| {{ if bench.yes(\"k\", \"Break it?\") {{ throw \"broken\"; }} }});\n"
    );
    let bench = broken(&text);
    let lines = ["1.5 kg", "do", "yes", "undo", "no", "1 kg", "2", "difference"];
    let ended = bench.feed(&["bench", "x", "--yard", "fixed-yard", "--plain"], &lines).exits(0);
    assert!(ended.err.contains("error: the script gave up: broken\n --> home/recipes/x.rhai:3:"), "{}", ended.err);
    ended.shows(&[
        "> yes\n",
        "The answer is kept, and so are all before it.",
        "> undo\nTaken back: a/k = yes\n",
        "Break it?",
        "Done. Every open step is done",
    ]);
    // Left there, the session says what is wrong when it is taken up, and goes on once the script is mended.
    bench.feed(&["bench", "x", "--yard", "fixed-yard", "--plain"], &["1.5 kg", "do", "yes"]).exits(5);
    assert!(bench.feed(&["resume", "x-2"], &["undo"]).exits(3).err.contains("the script gave up: broken"));
    bench.write("home/recipes/x.rhai", &text.replace("throw \"broken\";", ""));
    bench
        .feed(&["resume", "x-2"], &["1 kg", "2", "difference"])
        .exits(0)
        .shows(&["has 3 answers.", "The recipe has changed since"]);
}

#[test]
fn a_script_under_another_name_is_refused() {
    let bench = Bench::stocked();
    bench.write("home/recipes/my-box.rhai", crate::stock::BOX);
    bench.run(&["bench", "my-box"]).exits(3).complains(
        "\
error: this file is named for `my-box`, but declares `test-box`
 --> home/recipes/my-box.rhai:1:1
  |
1 | unit(\"test-box\", \"Test box\")
  | ^^^^
  |
  = help: give both the same name
",
    );
    bench.write("home/yards/my-yard.rhai", crate::stock::FIXED_YARD);
    let ended = bench.run(&["bench", "test-box", "--yard", "my-yard"]).exits(3);
    assert!(ended.err.contains("this file is named for `my-yard`, but declares `fixed-yard`"), "{}", ended.err);
    bench.run(&["doctor"]).exits(1).shows(&["FAULT  recipe my-box: ", "FAULT  yard my-yard: "]);
}

/// A library of one's own that imports itself, or another that imports it, stops the recipes that use it and nothing else.
#[test]
fn libraries_that_import_each_other_in_a_circle_are_named() {
    let bench = Bench::stocked();
    for (name, other) in [("one", "two"), ("two", "one"), ("self", "self")] {
        bench.write(&format!("home/library/{name}.rhai"), &format!("import \"{other}\" as other;\nfn f(x) {{ x }}\n"));
        let recipe = GOOD.replace("\"x\", \"X\"", &format!("\"r-{name}\", \"R\""));
        bench.write(&format!("home/recipes/r-{name}.rhai"), &format!("import \"{name}\" as it;\n{recipe}"));
    }
    for (name, way) in [("one", "`one` → `two` → `one`"), ("two", "`two` → `one` → `two`"), ("self", "`self` → `self`")]
    {
        let checked = bench.run(&["check", &format!("r-{name}")]).exits(3);
        let said = format!("{}{}", checked.out, checked.err).replace("\n  ", " ");
        assert!(said.contains(&format!("libraries import each other in a circle: {way}")), "{said}");
    }
    bench.run(&["recipes"]).exits(0).shows(&["countertop-oven", "r-self"]);
    bench.run(&["plan", "countertop-oven"]).exits(0);
    // A way of nine libraries is not read to its end either.
    for depth in 0..9 {
        let import = if depth < 8 { format!("import \"d{}\" as d;\n", depth + 1) } else { String::new() };
        bench.write(&format!("home/library/d{depth}.rhai"), &format!("{import}fn f(x) {{ x }}\n"));
    }
    let recipe = GOOD.replace("\"x\", \"X\"", "\"deep\", \"Deep\"");
    bench.write("home/recipes/deep.rhai", &format!("import \"d0\" as it;\n{recipe}"));
    let checked = bench.run(&["check", "deep"]).exits(3);
    let said = format!("{}{}", checked.out, checked.err).replace("\n  ", " ");
    assert!(said.contains("libraries import each other more than 8 deep"), "{said}");
}
