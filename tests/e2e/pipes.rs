//! Closed and broken pipes: the program ends quietly and never panics.

#![cfg(unix)]

use std::io::Read;
use std::process::Stdio;

use crate::bench::Bench;

/// Runs a shell line with the program as `$K`.
fn shell(bench: &Bench, line: &str) -> (String, Option<i32>) {
    let mut command = std::process::Command::new("/bin/sh");
    command.args(["-c", line]).current_dir(bench.path("")).env_clear().env("PATH", "/usr/bin:/bin");
    command.env("K", env!("CARGO_BIN_EXE_knockdown")).env("KNOCKDOWN_HOME", "home").env("COLUMNS", "80");
    let output = command.stdin(Stdio::null()).output().unwrap();
    (
        String::from_utf8(output.stdout).unwrap() + String::from_utf8(output.stderr).unwrap().as_str(),
        output.status.code(),
    )
}

#[test]
fn a_reader_that_has_gone_is_no_error() {
    let bench = Bench::stocked();
    for arguments in [
        &["demo"][..],
        &["show", "grades"],
        &["manual"],
        &["completions", "bash"],
        &["yards"],
        &["--help"],
        &["recipes"],
    ] {
        let mut child = bench
            .call(arguments)
            .command()
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        drop(child.stdout.take());
        let mut heard = String::new();
        child.stderr.take().unwrap().read_to_string(&mut heard).unwrap();
        assert_eq!((child.wait().unwrap().code(), heard.as_str()), (Some(0), ""), "{arguments:?}");
    }
}

/// A disk that is full is no reader that has gone: whoever looks into the file later must not take it for the whole.
#[test]
#[cfg(target_os = "linux")]
fn output_that_cannot_be_written_is_an_error() {
    let bench = Bench::stocked();
    let said = "error: the output cannot be written: No space left on device";
    for arguments in [
        "demo",
        "recipes",
        "recipes --format json",
        "yards --format json",
        "stock --format csv",
        "show grades",
        "export --describe",
        "words --format markdown",
        "bundle test-box",
        "sheet test-box",
        "manual",
        "completions bash",
        "help stock",
        "doctor",
        "stock --help",
        "--help",
        "--version",
        "bench test-box",
        "",
    ] {
        let (text, code) = shell(&bench, &format!("yes recipes | COLUMNS=200 \"$K\" {arguments} >/dev/full"));
        assert!(code == Some(1) && text.starts_with(said), "{arguments}: {code:?} {text}");
        assert_eq!(text.lines().count(), 1, "{arguments}: {text}");
    }
}

#[test]
fn nobody_listens_to_errors() {
    let bench = Bench::stocked();
    for arguments in [
        &["--home", "", "recipes"][..],
        &["nope"],
        &["show", "nothing-of-the-kind"],
        &["bench", "test-box", "--no-input"],
    ] {
        let wanted = bench.run(arguments);
        let mut child = bench
            .call(arguments)
            .command()
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        drop(child.stderr.take());
        let code = child.wait().unwrap().code();
        assert!(code == Some(2) || code == Some(4), "{arguments:?}: {code:?} {}", wanted.err);
        drop(wanted.exits(code.unwrap()));
    }
}

#[test]
fn a_session_whose_reader_has_gone_is_laid_aside() {
    let bench = Bench::stocked();
    let mut child = bench
        .call(&["bench", "test-box"])
        .command()
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    std::io::Write::write_all(child.stdin.as_mut().unwrap(), b"6 kg\ndo\n").unwrap();
    let mut heard = String::new();
    child.stderr.take().unwrap().read_to_string(&mut heard).unwrap();
    assert_eq!((child.wait().unwrap().code(), heard.as_str()), (Some(5), ""));
    // Nothing was acknowledged to anybody, so nothing need be there; but the session is sound.
    bench.run(&["doctor"]).exits(0);
}

#[test]
fn closed_streams() {
    let bench = Bench::stocked();
    let (text, code) = shell(&bench, "\"$K\" bench test-box --plain <&-");
    assert_eq!(code, Some(5), "{text}");
    assert!(text.contains("Input has ended."), "{text}");
    assert_eq!(shell(&bench, "\"$K\" demo >&-"), (String::new(), Some(0)));
    assert_eq!(shell(&bench, "\"$K\" nope 2>&-"), (String::new(), Some(2)));
    assert_eq!(shell(&bench, "\"$K\" recipes <&- >&- 2>&-"), (String::new(), Some(0)));
    let (text, code) = shell(&bench, "printf '6 kg\\ndo\\n' | \"$K\" bench test-box --plain >/dev/full");
    assert_eq!(code, Some(1), "{text}");
    assert!(!text.contains("panicked"), "{text}");
}

#[test]
fn a_conversation_does_not_mix_with_json() {
    let bench = Bench::stocked();
    let lines = [&crate::stock::WHOLE[..], &["difference"]].concat();
    let ended = bench.feed(&["bench", "test-box", "--yard", "fixed-yard", "--format", "json"], &lines).exits(0);
    let tally: serde_json::Value = serde_json::from_str(&ended.out).unwrap();
    assert_eq!(tally["net"], "3.52");
    assert!(ended.err.contains("What does the whole unit weigh"), "{}", ended.err);
    bench.work(&["6 kg", "pause"]).exits(5);
    let ended = bench.feed(&["resume", "test-box-2", "--format", "csv"], &["stop here"]).exits(0);
    assert!(ended.out.starts_with("kind,name,"), "{}", ended.out);
}
