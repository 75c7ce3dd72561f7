//! A disk that is full: by a limit on the size of files, which every system has, and on a file system of a few pages where
//! this user may mount one.

use std::process::Command;

use knockdown::store::Home;

use crate::bench::{Bench, Ended};
use crate::sessions::{acknowledged, kept, lines};

const ID: &str = "2026-11-02-test-box-1";

/// Runs a call from a shell in which files cannot grow beyond so many blocks of 512 bytes. The signal that would end the
/// program is ignored, so that it meets the error, as on a full disk: first a short write, then none.
fn limited(bench: &Bench, blocks: usize, arguments: &[&str], lines: &[&str]) -> Ended {
    let call = bench.call(&[]).lines(lines);
    let script = format!("trap '' XFSZ; ulimit -f {blocks}; exec \"$0\" \"$@\"");
    call.under("/bin/sh", &["-c", &script], arguments).run()
}

#[test]
fn a_file_that_cannot_grow_keeps_what_was_acknowledged_and_says_so() {
    let lines = lines();
    let typed: Vec<&str> = lines.iter().map(String::as_str).collect();
    let mut cut_short = 0;
    for blocks in (4..64).step_by(3) {
        let bench = Bench::stocked();
        let ended = limited(&bench, blocks, &["bench", "test-box", "--yard", "fixed-yard", "--plain"], &typed);
        let told = acknowledged(&ended.out);
        if !bench.has(&format!("home/sessions/{ID}.toml")) {
            assert_eq!(told, 0);
            continue;
        }
        let found = kept(&bench, ID, &lines);
        assert!(found >= told, "{told} acknowledged, {found} found at {blocks} blocks");
        if ended.err.contains("was not saved in") {
            cut_short += 1;
            assert!(ended.err.contains("Nothing more is written to this file now"), "{}", ended.err);
        }
        // The session goes on where there is room again.
        let rest: Vec<&str> = typed[found..].to_vec();
        bench.feed(&["resume", ID, "--plain"], &rest);
        assert_eq!(kept(&bench, ID, &lines), lines.len());
    }
    assert!(cut_short >= 5, "only {cut_short} of the limits cut a session short");
}

#[test]
fn every_other_file_keeps_what_it_held() {
    let bench = Bench::stocked();
    bench.run(&["quote", "brass", "3", "--yard", "fixed-yard"]).exits(0);
    bench.run(&["stock", "add", "brass", "1.2 kg"]).exits(0);
    bench.run(&["settings", "unit", "kg"]).exits(0);
    let files = ["home/quotes.toml", "home/stock.toml", "home/config.toml"];
    let before = files.map(|file| bench.read(file));
    let writes: [&[&str]; 5] = [
        &["quote", "brass", "4", "--yard", "fixed-yard"],
        &["stock", "add", "brass", "1.3 kg"],
        &["settings", "unit", "lb"],
        &["copy", "countertop-oven"],
        &["report", "--all", "--out", "report.html"],
    ];
    for arguments in writes {
        let ended = limited(&bench, 0, arguments, &[]).exits(1);
        assert!(
            ended.err.contains("cannot write home/") || ended.err.contains("cannot write ./report"),
            "{}",
            ended.err
        );
    }
    assert_eq!(files.map(|file| bench.read(file)), before);
    assert!(!bench.has("home/recipes/countertop-oven.rhai") && !bench.has("report.html"));
    let ended = limited(&bench, 0, &["doctor"], &[]).exits(1);
    assert!(ended.out.contains("FAULT  folder home: ") && ended.out.contains("cannot write"), "{}", ended.out);
    bench.run(&["doctor"]).exits(0).quietly();
    for arguments in &writes[..4] {
        bench.run(arguments).exits(0);
    }
    let home = Home::at(bench.path("home"));
    assert_eq!(home.quotes().unwrap().unwrap().records.len(), 2);
    assert_eq!(home.stock().unwrap().unwrap().records.len(), 2);
}

/// The same on a file system that is really full. Where this user may not mount one, the limit above has to do, and the
/// test says so.
#[test]
#[cfg(target_os = "linux")]
fn a_full_file_system_keeps_what_was_acknowledged_and_says_so() {
    let lines = lines();
    let mut cut_short = 0;
    for filled in [8_usize, 16, 24, 28, 32, 36, 40] {
        let bench = Bench::stocked();
        std::fs::create_dir(bench.path("small")).unwrap();
        let Some((out, err)) = on_a_small_disk(&bench, filled, &lines) else {
            println!("not run: this user may not mount a small file system here");
            return;
        };
        let told = acknowledged(&out);
        if !bench.has(&format!("left/sessions/{ID}.toml")) {
            assert_eq!(told, 0, "{err}");
            continue;
        }
        std::fs::remove_dir_all(bench.path("home/sessions")).ok();
        std::fs::rename(bench.path("left/sessions"), bench.path("home/sessions")).unwrap();
        let found = kept(&bench, ID, &lines);
        assert!(found >= told, "{told} acknowledged, {found} found:\n{err}");
        if err.contains("was not saved in") {
            cut_short += 1;
        }
    }
    assert!(cut_short > 0, "no session was cut short");
}

/// Works on a file system of 64 KiB in a name space of this test's own, of which so many KiB are taken before; afterwards
/// copies what is there to `left`. `None` where that is not permitted.
#[cfg(target_os = "linux")]
fn on_a_small_disk(bench: &Bench, filled: usize, lines: &[String]) -> Option<(String, String)> {
    let script = format!(
        "mount -t tmpfs -o size=64k tmpfs small 2>/dev/null || exit 99
         cp -r home/recipes home/yards small/ && head -c {filled}k /dev/zero > small/ballast
         \"$K\" --home small bench test-box --yard fixed-yard --plain < lines; code=$?
         mkdir left && cp -r small/sessions left/ 2>/dev/null
         umount small; exit $code"
    );
    bench.write("lines", &lines.iter().map(|line| format!("{line}\n")).collect::<String>());
    let mut command = Command::new("unshare");
    command.args(["--user", "--map-root-user", "--mount", "/bin/sh", "-c", &script]).current_dir(bench.path(""));
    command.env("K", env!("CARGO_BIN_EXE_knockdown")).env("KNOCKDOWN_CLOCK", "2026-11-02T10:00:00Z");
    let output = command.output().ok()?;
    let said = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    let is_permitted = output.status.code() != Some(99) && !said(&output.stderr).contains("unshare:");
    is_permitted.then(|| (said(&output.stdout), said(&output.stderr)))
}
