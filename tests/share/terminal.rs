//! What somebody at a terminal does: agrees to an offer, and corrects a recipe in mid-session.

use std::io::{Read as _, Write};
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

use portable_pty::{Child, CommandBuilder, PtySize, native_pty_system};

use super::{Bench, SAMOVAR, SAMOVAR_SESSION, text};

/// The program at a terminal, in plain mode: lines in, lines out.
struct Terminal {
    child: Box<dyn Child + Send + Sync>,
    input: Box<dyn Write + Send>,
    output: Receiver<Vec<u8>>,
    seen: String,
}

impl Terminal {
    fn open(bench: &Bench, arguments: &[&str]) -> Terminal {
        let size = PtySize { rows: 50, cols: 200, pixel_width: 0, pixel_height: 0 };
        let pair = native_pty_system().openpty(size).expect("a terminal");
        let mut command = CommandBuilder::new(env!("CARGO_BIN_EXE_knockdown"));
        command.env_clear();
        command.env("KNOCKDOWN_HOME", bench.home());
        command.env("KNOCKDOWN_CLOCK", "2026-11-02T10:00:00Z");
        command.env("TERM", "dumb");
        command.cwd(bench.beside(""));
        command.args(arguments);
        let child = pair.slave.spawn_command(command).expect("the program starts");
        let mut reader = pair.master.try_clone_reader().expect("a reader");
        let input = pair.master.take_writer().expect("a writer");
        let (sender, output) = channel();
        std::thread::spawn(move || {
            // The other end lives as long as this thread reads.
            let _master = pair.master;
            let mut buffer = [0_u8; 4096];
            while let Ok(count @ 1..) = reader.read(&mut buffer) {
                if sender.send(buffer[..count].to_vec()).is_err() {
                    break;
                }
            }
        });
        Terminal { child, input, output, seen: String::new() }
    }

    /// Waits until a text was shown since the last call; gives all that was shown up to there.
    fn until(&mut self, wanted: &str) -> String {
        let deadline = Instant::now() + Duration::from_secs(30);
        loop {
            if let Some(at) = self.seen.find(wanted) {
                let rest = self.seen.split_off(at + wanted.len());
                return std::mem::replace(&mut self.seen, rest);
            }
            let left = deadline
                .checked_duration_since(Instant::now())
                .unwrap_or_else(|| panic!("no {wanted:?} in:\n{}", self.seen));
            if let Ok(bytes) = self.output.recv_timeout(left) {
                self.seen.push_str(&String::from_utf8_lossy(&bytes).replace('\r', ""));
            }
        }
    }

    /// Types a line once `prompt` is shown and the line to type on is open; gives what was shown before. What is typed sooner
    /// confirms no guard.
    fn answer(&mut self, prompt: &str, line: &str) -> String {
        let mut shown = self.until(prompt);
        if !prompt.ends_with("> ") {
            shown += &self.until("> ");
        }
        self.input.write_all(format!("{line}\n").as_bytes()).expect("typed");
        shown
    }

    fn code(mut self) -> u32 {
        self.child.wait().expect("it ends").exit_code()
    }
}

#[test]
fn an_offer_is_taken_only_on_a_yes() {
    let author = Bench::new();
    author.write("recipes/samovar.rhai", SAMOVAR);
    author.write("recipes/samovar.session.toml", SAMOVAR_SESSION);
    let (path, _) = author.bundle("samovar");
    let taker = Bench::new();
    for answer in ["", "y", "no", "ja"] {
        let mut terminal = Terminal::open(&taker, &["adopt", text(&path)]);
        let shown = terminal.answer("Take it in? Type yes, or Enter to leave it > ", answer);
        assert!(shown.contains("DANGER: Still plugged in"), "{shown}");
        terminal.until("Nothing is taken in.");
        assert_eq!(terminal.code(), 0);
        assert!(!taker.home().exists(), "{answer:?}");
    }
    let mut terminal = Terminal::open(&taker, &["adopt", text(&path)]);
    terminal.answer("leave it > ", "yes");
    terminal.until("Taken in: ");
    assert_eq!(terminal.code(), 0);
    assert_eq!(taker.read("recipes/samovar.rhai"), SAMOVAR);
}

/// An offer that drops a guard is not taken in by a yes, nor by a slip of a key: only by the words that say what it is.
#[test]
fn an_offer_that_guards_less_wants_more_than_a_yes() {
    let weaker = SAMOVAR.replace(".guards([\"sharp-sheet\"])", "");
    assert_ne!(SAMOVAR, weaker);
    let author = Bench::new();
    author.write("recipes/samovar.rhai", &weaker);
    let (path, _) = author.bundle("samovar");
    let taker = Bench::new();
    taker.write("recipes/samovar.rhai", SAMOVAR);
    for answer in ["", "yes", "y", "fewer", "fewer guard", "guards"] {
        let mut terminal = Terminal::open(&taker, &["adopt", text(&path)]);
        let shown = terminal.answer("It guards less. Type fewer guards to take it in, or Enter to leave it > ", answer);
        assert!(shown.contains("IT GUARDS LESS than what it would stand in for:"), "{shown}");
        assert!(shown.contains("no longer asked: CAUTION: Sharp sheet edges (was asked before step `jug`)"), "{shown}");
        assert!(!shown.contains("Take it in? Type yes"), "{shown}");
        terminal.until("Nothing is taken in.");
        assert_eq!(terminal.code(), 0);
        assert_eq!(taker.read("recipes/samovar.rhai"), SAMOVAR, "{answer:?}");
        assert!(!taker.home().join("pinned.toml").exists(), "{answer:?}");
    }
    let mut terminal = Terminal::open(&taker, &["adopt", text(&path)]);
    terminal.answer("or Enter to leave it > ", "fewer guards");
    terminal.until("Taken in: ");
    terminal.until("What it replaced is kept as scripts-seen/");
    assert_eq!(terminal.code(), 0);
    assert_eq!(taker.read("recipes/samovar.rhai"), weaker);
    assert!(taker.read("pinned.toml").contains("[recipes.samovar]"));
}

/// A tool in the place of another that no longer shows a caution is such an offer as well.
#[test]
fn a_tool_that_warns_of_less_wants_more_than_a_yes() {
    let author = Bench::new();
    author.done(&["copy", "capacitor"]);
    let own = author.read("tools/capacitor.rhai");
    let weaker = own.replace("    sheet.caution(hazard(volts));\n", "").replace("caution: \"stored-charge-hv\", ", "");
    let weaker = weaker.replace("caution: \"crt-charge\",\n", "").replace("caution: \"stored-charge-mains\", ", "");
    assert_ne!(own, weaker);
    author.write("tools/capacitor.rhai", &weaker);
    let (path, _) = author.bundle("capacitor");
    let taker = Bench::new();
    let mut terminal = Terminal::open(&taker, &["adopt", text(&path)]);
    let shown = terminal.answer("Type fewer guards to take it in, or Enter to leave it > ", "yes");
    for hazard in ["High-voltage stored charge", "Picture-tube stored charge"] {
        assert!(shown.contains(&format!("no longer shown: DANGER: {hazard}")), "{hazard}: {shown}");
    }
    terminal.until("Nothing is taken in.");
    assert_eq!(terminal.code(), 0);
    assert!(!taker.home().exists());
}

/// Typo in mid-session: the excerpt is shown and the session goes on by the old text; after the fix, by the new one, with all
/// answers kept.
#[test]
fn a_typo_in_mid_session_is_shown_and_corrected() {
    let bench = Bench::new();
    bench.write("recipes/samovar.rhai", SAMOVAR);
    let mut terminal = Terminal::open(&bench, &["bench", "samovar"]);
    terminal.answer("as it came?", "1.1 kg");
    terminal.answer("Still plugged in", "UNPLUGGED");
    bench.write(
        "recipes/samovar.rhai",
        &SAMOVAR.replace("step(\"jug\", \"Part jug and heater\")", "stepp(\"jug\", \"Part jug from heater\")"),
    );
    terminal.answer("Take off the base?", "reread");
    let shown = terminal.until("help: did you mean `step`?");
    assert!(shown.contains("^^^^^"), "{shown}");
    terminal.answer("Take off the base?", "do");
    terminal.answer("Weigh: base", "200 g");
    bench.write("recipes/samovar.rhai", &SAMOVAR.replace("Part jug and heater", "Part jug from heater"));
    terminal.answer("How long did it take?", "reread");
    terminal.until("The recipe was read again; your answers stand.");
    terminal.answer("How long did it take?", "2");
    terminal.answer("Part jug from heater?", "stop here");
    let tally = terminal.until("Stopped here.");
    assert!(!tally.contains("panicked"), "{tally}");
    assert_eq!(terminal.code(), 0);
}

/// A recipe that fails while it runs leaves the bench usable: undo, edit and reread, pause and resume.
#[test]
fn a_recipe_that_fails_on_an_answer_leaves_the_bench_usable() {
    let bench = Bench::new();
    let sound = SAMOVAR.replace(
        "\"stainless-with-iron\");",
        "\"stainless-with-iron\")\n    .work(|bench| {\n        let screws = bench.count(\"screws\", \"How many screws?\");\n        bench.say(`that is ${12 / screws}`);\n    });",
    );
    let failing = sound.replace("12 / screws", "12 / (screws - 4)");
    bench.write("recipes/samovar.rhai", &failing);
    let mut terminal = Terminal::open(&bench, &["bench", "samovar"]);
    terminal.answer("as it came?", "1.1 kg");
    terminal.answer("Still plugged in", "UNPLUGGED");
    terminal.answer("Take off the base?", "skip");
    terminal.answer("does all that is left", "undo");
    terminal.answer("Take off the base?", "do");
    terminal.answer("Weigh: base", "200 g");
    terminal.answer("How long did it take?", "2");
    terminal.answer("Part jug and heater?", "do");
    terminal.answer("Sharp sheet edges", "yes");
    terminal.answer("How many screws?", "4");
    let shown = terminal.until("or pause.");
    assert!(shown.contains("4 / 0") || shown.contains("12 / 0 has no value"), "{shown}");
    assert!(shown.contains("samovar.rhai:") && shown.contains("The answer is kept"), "{shown}");
    // Take it back, and answer otherwise.
    terminal.answer("How many screws?", "undo");
    terminal.until("Taken back: jug/screws = 4");
    terminal.answer("How many screws?", "6");
    terminal.until("that is 6");
    // Back to what fails; this time the recipe is corrected.
    terminal.answer("Weigh: heater", "undo");
    terminal.answer("How many screws?", "4");
    terminal.until("or pause.");
    terminal.answer("How many screws?", "pause");
    terminal.until("Laid aside.");
    assert_eq!(terminal.code(), 5);

    // The journal holds the answer that fails: the session comes back all the same, once the recipe is corrected.
    bench.write("recipes/samovar.rhai", &sound);
    let mut terminal = Terminal::open(&bench, &["resume"]);
    terminal.until("The recipe has changed since");
    terminal.until("that is 3");
    terminal.answer("Weigh: heater", "80 g");
    terminal.answer("How long did it take?", "3");
    terminal.answer("does all that is left", "difference");
    terminal.until("Done.");
    assert_eq!(terminal.code(), 0);
}

/// The recipe was broken between two sittings: the kept copy serves, and the fault is shown.
#[test]
fn a_recipe_broken_between_two_sittings_does_not_lock_the_session() {
    let bench = Bench::new();
    bench.write("recipes/samovar.rhai", SAMOVAR);
    let mut terminal = Terminal::open(&bench, &["bench", "samovar"]);
    terminal.answer("as it came?", "1.1 kg");
    terminal.answer("Still plugged in", "pause");
    assert_eq!(terminal.code(), 5);
    bench.write("recipes/samovar.rhai", &SAMOVAR.replace("frees(\"heater\"", "fress(\"heater\""));
    let mut terminal = Terminal::open(&bench, &["resume"]);
    let shown = terminal.until("the copy that the session ran under is used");
    assert!(shown.contains("did you mean `frees`?"), "{shown}");
    terminal.answer("Still plugged in", "UNPLUGGED");
    bench.write("recipes/samovar.rhai", SAMOVAR);
    terminal.answer("Take off the base?", "reread");
    terminal.answer("Take off the base?", "pause");
    assert_eq!(terminal.code(), 5);
}
