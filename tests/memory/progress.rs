//! How far long work has come: after a second, on a terminal, and nowhere else.

use std::io::Read;
use std::time::{Duration, Instant};

use portable_pty::{CommandBuilder, PtySize, native_pty_system};

use super::Folder;
use super::damage::notes;

/// What `replay --all` writes to a terminal, and how long it took.
fn on_a_terminal(folder: &Folder, more: &[&str]) -> (String, Duration) {
    let pty = native_pty_system();
    let pair = pty.openpty(PtySize { rows: 24, cols: 80, pixel_width: 0, pixel_height: 0 }).unwrap();
    let mut command = CommandBuilder::new(env!("CARGO_BIN_EXE_knockdown"));
    command.args(["replay", "--all"]);
    command.args(more);
    command.env_clear();
    command.env("KNOCKDOWN_HOME", folder.path());
    command.env("KNOCKDOWN_CLOCK", "2026-11-25T10:00:00Z");
    command.env("TERM", "xterm");
    let begun = Instant::now();
    let mut child = pair.slave.spawn_command(command).unwrap();
    drop(pair.slave);
    let mut reader = pair.master.try_clone_reader().unwrap();
    let reading = std::thread::spawn(move || {
        let mut seen = Vec::new();
        // A terminal whose program has ended gives an error rather than an end.
        let _at_end = reader.read_to_end(&mut seen);
        String::from_utf8_lossy(&seen).into_owned()
    });
    child.wait().unwrap();
    let took = begun.elapsed();
    drop(pair.master);
    (reading.join().unwrap(), took)
}

#[test]
fn progress_shows_after_a_second_on_a_terminal_and_goes_away() {
    let folder = Folder::new();
    let sample = std::fs::read_to_string(folder.oven("2026-11-03", "8 lb", None)).unwrap();
    for month in 1..=3 {
        let id = format!("2026-0{month}-05-countertop-oven-1");
        std::fs::write(folder.path().join(format!("sessions/{id}.toml")), notes(&id, 100_000, &sample)).unwrap();
    }
    let (seen, took) = on_a_terminal(&folder, &[]);
    let shown = seen.contains(" of 4 sessions (");
    // The machine decides how long this takes; between one and four seconds either may be.
    if took > Duration::from_secs(4) {
        assert!(shown, "nothing in {took:?}: {seen}");
    }
    if took < Duration::from_secs(1) {
        assert!(!shown, "in {took:?}: {seen}");
    }
    if shown {
        let last = seen.rfind(" of 4 sessions (").unwrap();
        assert!(seen[last..].contains(&format!("\r{:60}\r", "")), "it is taken away: {seen}");
        assert!(seen[last..].contains("4 sessions, replayed"));
    }
    let (plain, _) = on_a_terminal(&folder, &["--plain"]);
    assert!(!plain.contains(" of 4 sessions ("), "{plain}");
    let piped = folder.on("2026-11-25", &["replay", "--all"]);
    assert!(!String::from_utf8_lossy(&piped.stderr).contains(" of 4 sessions ("));
}
